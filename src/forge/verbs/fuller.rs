//! `fuller`: a round groove along a blade, ground in or forged in: lighter, and nearly as stiff.

use crate::piece::blade::{Blade, Fuller as Groove, Met, Side, Sides, Station};
use crate::piece::{Cause, Lot, PartName};
use crate::quantity::{Length, Q, Ratio, halve};
use crate::source::{Code, Span};

use crate::forge::process::shaping::{
    Change, Manner, Shaping, above_nothing, begin, burn, elongation, reshape, take_down,
};
use crate::forge::words::args::{Blades, Hazard, Usual};
use crate::forge::words::tool::FORGING;
use crate::forge::{Bag, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// Length over which a fuller runs out at its ends where nothing is said, mm (project figure).
const RUN_OUT: f64 = 10.0;
/// A fuller is no deeper than this share of its width: its walls would stand straight (project figure).
const DEEPEST: f64 = 1.0 / 3.0;
/// A web thinner than this is warned of, mm (project figure).
const THIN: f64 = 1.0;
/// Places along a fuller at which it is looked at besides the blade's own stations.
const PLACES: u32 = 32;
/// A station of a blade that gets one takes as long as to hold a line against so many parts of a makeup (estimated from searches of one
/// blade: its floor is a curve, and is laid three times).
const LAID: usize = 150;

/// Fullering.
pub struct Fuller {
    shaping: Shaping,
    across: (Q<Length>, Span),
    deep: (Q<Length>, Span),
    below: Option<Q<Length>>,
    sides: Sides,
    plunge: Option<Q<Length>>,
    elongation: Option<Q<Ratio>>,
}

impl Works for Fuller {
    const WORD: Word = Word {
        word: "fuller",
        doc: "makes a round groove along a blade, in one face or both: ground it is taken off, forged the blade grows wider",
        clauses: &[
            &[Key::Zone, Key::Across, Key::Deep, Key::Below, Key::Sides, Key::BothFaces, Key::Plunge],
            &[Key::Forged, Key::Ground, Key::Elongation],
            FORGING,
        ],
        example: "fuller blade from heel to 60 mm from tip, 8 mm across, 1 mm deep, 10 mm below spine, ground",
        heats: Some(Usual { what: "heats of a forged fuller", heats: 4, note: "", source: "project figure" }),
        hazards: &[Hazard::Fire, Hazard::Press, Hazard::Grind],
        blades: Blades::Makes,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        // `8 mm wide` says as much as `8 mm across`.
        let across = bag.take(Key::Across).or_else(|| bag.take(Key::Size).filter(|size| size.says("wide")));
        let across = across.and_then(|c| Some((bag.figure(&c, "across")?, c.span)));
        let deep = bag.take(Key::Deep).and_then(|c| Some((bag.figure(&c, "deep")?, c.span)));
        let below = bag.take(Key::Below).and_then(|c| bag.figure(&c, "below"));
        let (sides, both) = (bag.take(Key::Sides), bag.flag(Key::BothFaces));
        let said = sides.as_ref().map(|c| c.span);
        let message = "a fuller is in one face or in both";
        bag.clash(Code::FullerHow, message, (said, "here"), (both, "and here"));
        let named = [("left side", Sides::Left), ("right side", Sides::Right), ("both sides", Sides::Both)];
        let sides = sides.and_then(|c| c.which(&named)).unwrap_or(Sides::Both);
        let (plunge, elongation) = (bag.opt(Key::Plunge), bag.opt(Key::Elongation));
        let shaping = Shaping::bind(bag, Manner::Ground);
        let name = bag.name.text.clone();
        if bag.faulty() {
            return None;
        }
        let (Some(across), Some(deep)) = (across, deep) else {
            let what = match (across, deep) {
                (Some(_), _) => "how deep",
                (None, Some(_)) => "how far across",
                (None, None) => "how far across, and how deep",
            };
            let help = format!(
                "say it in full, as in `fuller {name} from heel to 60 mm from tip, 8 mm across, 1 mm deep`"
            );
            bag.unsaid(Code::FullerHow, "this does not say what groove", what, help);
            return None;
        };
        Some(Fuller { shaping, across, deep, below, sides, plunge, elongation })
    }

    fn moved(&self, before: Moved) -> Moved {
        if self.shaping.manner.0 == Manner::Forged { [true; 3] } else { before }
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let (mut lot, mut blade) = begin(cx, work, self.shaping.manner)?;
        let [from, to] = self.shaping.stretch.on(cx, &blade, false)?;
        let groove = self.groove(cx)?;
        if self.below.is_none() {
            let shown = || "along the middle of the flat".to_owned();
            cx.book.assume("where a fuller lies", shown, "project figure");
        }
        let run = cx.length_or(self.plunge, "run-out of a fuller", RUN_OUT, "project figure")?;
        // At most half of the fuller, which may be shorter than that.
        let run = run.max(0.1).min((to - from) / 2.0);
        // At an end of the steel it runs through.
        let runs = [
            if from <= blade.start() + 1e-9 { 0.0 } else { run },
            if to >= blade.tip() - 1e-9 { 0.0 } else { run },
        ];
        cx.makeup.look(LAID * (PLACES as usize + blade.stations.len()));
        self.check_room(cx, work, &blade, [from, to], &groove)?;
        match self.shaping.manner.0 {
            Manner::Ground => {
                self.check_web(cx, work, &blade, [from, to], &groove)?;
                let before = blade.clone();
                blade.fuller(&groove, [from, to], runs);
                if before.volume() - blade.volume() <= 1e-9 * before.volume() {
                    return Err(self.takes_nothing(cx, work));
                }
                if S::KEEPS {
                    self.warn_core(cx, &lot, (&before, &blade), f64::midpoint(from, to), &groove);
                }
                take_down(cx, work, &mut lot, (&before, blade), Cause::Ground)?;
            }
            Manner::Forged => self.forge(cx, (work, &mut lot, &mut blade), &groove, ([from, to], runs))?,
        }
        cx.put(work.to, lot, work.site)
    }
}

/// The sections at the blade's own stations over a stretch, and at even places between.
fn sections(blade: &Blade, [from, to]: [f64; 2]) -> Vec<Station> {
    let even = (0..=PLACES).map(|i| from + (to - from) * f64::from(i) / f64::from(PLACES));
    let own = blade.stations.iter().map(|s| s.x).filter(|x| *x > from && *x < to);
    let mut places: Vec<f64> = even.chain(own).collect();
    places.sort_by(f64::total_cmp);
    places.into_iter().map(|x| blade.section(x)).collect()
}

impl Fuller {
    fn groove<S: Sink>(&self, cx: &Cx<S>) -> Outcome<Groove> {
        let (across, deep) = (above_nothing(cx, self.across.0)?, above_nothing(cx, self.deep.0)?);
        if deep > across * DEEPEST {
            let most = cx.mm_within(across * DEEPEST);
            return Err(Code::FullerHow
                .says("a fuller so deep has walls that stand straight")
                .at(self.deep.1, format!("{} deep", cx.mm(deep)))
                .and(self.across.1, format!("{} across", cx.mm(across)))
                .stops(format!("up to {most} deep, a third of its width (project figure), or wider")));
        }
        let below = self.below.map(|q| cx.length(q)).transpose()?;
        Ok(Groove { across, deep, below, sides: self.sides })
    }

    fn check_room<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        blade: &Blade,
        [from, to]: [f64; 2],
        groove: &Groove,
    ) -> Outcome {
        let fits = |x: f64| groove.fits(&blade.section(x));
        let all = sections(blade, [from, to]);
        let Some(at) = all.iter().position(|s| !groove.fits(s)) else { return Ok(()) };
        let (Some(there), Some(before)) = (all.get(at), at.checked_sub(1).map(|i| all.get(i))) else {
            let first = all.first().map_or(0.0, Station::width);
            return Err(self.no_room(
                cx,
                work,
                (from, first),
                groove,
                "lay it elsewhere with `… below spine`, or make it narrower",
            ));
        };
        let (last, _) = halve((before.map_or(from, |s| s.x), there.x), 40, fits);
        let shown = cx.mm_less(last, 1).0;
        let help = if last > from + 1.0 {
            let first = if from > 0.0 { cx.mm(from) } else { "heel".to_owned() };
            format!("it has room `from {first} to {shown}`")
        } else {
            "lay it elsewhere with `… below spine`, or make it narrower".to_owned()
        };
        Err(self.no_room(cx, work, (there.x, there.width()), groove, &help))
    }

    fn no_room<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        (x, wide): (f64, f64),
        groove: &Groove,
        help: &str,
    ) -> Fault {
        let name = cx.ground.lot_name(work.from);
        let (x, wide, across) = (cx.mm(x), cx.mm(wide), cx.mm(groove.across));
        Code::FullerRoom
            .says(format!("`{name}` has no room for this fuller all the way"))
            .at(
                self.below.map_or(self.across.1, |q| cx.span(q)),
                format!("{across} across; {x} from the heel the blade is {wide} wide"),
            )
            .and(cx.made(work.from), "it comes out of this step so")
            .stops(help)
    }

    /// What is left between the faces.
    fn check_web<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        blade: &Blade,
        stretch: [f64; 2],
        groove: &Groove,
    ) -> Outcome {
        let all = sections(blade, stretch);
        let webs = all.iter().map(|s| (s.x, groove.web(s)));
        let Some((x, web)) = webs.min_by(|a, b| a.1.total_cmp(&b.1)) else { return Ok(()) };
        let deep = groove.deep;
        if web <= 1e-6 {
            // Between the middles of even walls there is so much room; where they lean a little less. What is said was tried.
            let faces = if self.sides == Sides::Both { 2.0 } else { 1.0 };
            let walls = all.iter().map(|s| {
                let [low, high] = groove.lips(s).map(|y| s.at(y).thick());
                f64::midpoint(low, high)
            });
            let room = (walls.fold(f64::INFINITY, f64::min) - THIN) / faces;
            let leaves = |deep: f64| {
                let groove = Groove { deep, ..*groove };
                deep > 0.0 && all.iter().all(|s| groove.web(s) >= THIN - 1e-9)
            };
            let tried = [1.0, 0.98, 0.95, 0.9, 0.75, 0.5].map(|share| cx.mm_less(room * share, 0));
            let help = match tried.iter().find(|(_, deep)| leaves(*deep)) {
                Some((shown, _)) => format!("{shown} deep it leaves {} or more", cx.mm(THIN)),
                None => "less deep, or leave the blade thicker there".to_owned(),
            };
            return Err(Code::FullerThrough
                .says("this fuller goes through the blade")
                .at(self.deep.1, format!("{} deep; worst {} from the heel", cx.mm(deep), cx.mm(x)))
                .and(cx.made(work.from), "it comes out of this step so thick")
                .stops(help));
        }
        if web < THIN {
            let (span, web, x, thin) = (self.deep.1, cx.mm(web), cx.mm(x), cx.mm(THIN));
            cx.book.warn(|| {
                Code::FullerThin
                    .says("this fuller leaves little steel between the faces")
                    .at(span, format!("{web} at {x} from the heel"))
                    .help(format!("a hand may slip by a few tenths: leave {thin} or more (project figure)"))
            });
        }
        Ok(())
    }

    /// A core that lies bare at the floor, and did not before.
    fn warn_core<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        lot: &Lot,
        (before, after): (&Blade, &Blade),
        x: f64,
        groove: &Groove,
    ) {
        let (was, is) = (before.section(x), after.section(x));
        let lips = groove.lips(&was);
        let middle = f64::midpoint(lips[0], lips[1]);
        let bare = |part: PartName| {
            let met = Met { makeup: cx.makeup, node: lot.bar.node, part };
            let shows = |blade: &Blade, section: &Station| {
                [Side::Left, Side::Right].iter().any(|side| met.shows_between(blade, section, *side, lips))
            };
            met.lone(before, &was, middle) && !shows(before, &was) && shows(after, &is)
        };
        let parts = (0..).map(PartName).zip(cx.ground.parts.iter());
        let Some(name) = parts.filter(|(part, _)| bare(*part)).map(|(_, name)| name.clone()).next() else {
            return;
        };
        let span = self.deep.1;
        cx.book.warn(|| {
            Code::FullerCore.says(format!("this fuller cuts through to `{name}`")).at(span, "so deep").help(
                "it shows along the floor: less deep keeps it covered; where that is wanted, `allow` it",
            )
        });
    }

    fn takes_nothing<S: Sink>(&self, cx: &Cx<S>, work: Work) -> Fault {
        let name = cx.ground.lot_name(work.from);
        Code::AlreadySmaller
            .says(format!("`{name}` has a groove as deep there already: there is nothing to grind off"))
            .at(work.site, "this takes nothing")
            .and(cx.made(work.from), "it comes out of this step so")
            .stops("a deeper fuller, or one beside it, takes something")
    }

    fn forge<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot, blade): (Work, &mut Lot, &mut Blade),
        groove: &Groove,
        ([from, to], runs): ([f64; 2], [f64; 2]),
    ) -> Outcome {
        if self.sides != Sides::Both {
            return Err(Code::FullerHow
                .says("a forged fuller is pressed in from both sides alike here")
                .at(work.site, "one side")
                .stops("write `both sides`, or grind it: `ground`"));
        }
        let heats = self.shaping.heating.heats(cx, work)?;
        let grip = self.shaping.tool.along(cx)?;
        let middle = blade.section(f64::midpoint(from, to));
        let [low, high] = groove.lips(&middle);
        let thick = middle.at(f64::midpoint(low, high)).thick();
        // The mean depth of a shallow round groove is two thirds of its depth (a parabola's segment).
        let strip = (thick, thick - 2.0 * groove.deep * 2.0 / 3.0, groove.across);
        let longer = elongation(cx, work, self.elongation, grip.law(), &middle, strip)?;
        let tip = blade.tip();
        burn(cx, work, lot, blade, &self.shaping.heating, (heats, true))?;
        // The fire took a little of the length: the places move with the tip.
        let moved = blade.tip() / tip;
        let stretch = [from * moved, to * moved];
        self.check_room(cx, work, blade, stretch, groove)?;
        self.check_web(cx, work, blade, stretch, groove)?;
        blade.forge_fuller(groove, stretch, runs, longer);
        reshape(cx, work.to, lot, blade.clone(), Change::Forged);
        Ok(())
    }
}
