//! `bevel`: thins a blade towards its edge. Forged it grows wider; ground it keeps its width and loses steel.

use crate::piece::blade::{Bevel as Cut, Blade, Face, Height, Knot, Sides};
use crate::piece::{Cause, Lot, PartName};
use crate::quantity::{Angle, Kind, Length, Q, Ratio, halve};
use crate::source::{Code, Span};

use crate::forge::process::shaping::{
    Change, Manner, Shaping, above_nothing, begin, burn, elongation, reshape, take_down,
};
use crate::forge::words::args::{Blades, Hazard, Usual};
use crate::forge::words::tool::FORGING;
use crate::forge::{Bag, Clause, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// No wheel is wider than this, mm (project figure): what only a wider one would mend is ground flat.
const WIDEST_WHEEL: f64 = 2000.0;
/// Work that a help may cost: squares of the bends of all sections (project figure: a real blade has a tenth of it).
const MOST_BENDS: usize = 500_000;
/// Length over which a bevel runs out where nothing is said, mm (project figure).
const PLUNGE: f64 = 5.0;

/// Bevelling.
pub struct Bevel {
    shaping: Shaping,
    edge: Q<Length>,
    edge_span: Span,
    height: Tall,
    sides: Sides,
    both_edges: bool,
    convex: Option<Q<Length>>,
    hollow: Option<Q<Length>>,
    plunge: Option<Q<Length>>,
    elongation: Option<Q<Ratio>>,
    off: Option<(PartName, Q<Length>)>,
}

#[derive(Clone, Copy, Debug)]
enum Tall {
    Height(Q<Length>),
    Full,
    Angle(Q<Angle>),
}

impl Works for Bevel {
    const WORD: Word = Word {
        word: "bevel",
        doc: "thins a blade towards its edge: forged it grows wider, ground it keeps its width and loses steel",
        clauses: &[
            &[Key::Zone, Key::EdgeLeft, Key::Tall, Key::Angle, Key::Sides, Key::BothEdges],
            &[Key::Convex, Key::Hollow, Key::Plunge],
            &[Key::PartOff, Key::Forged, Key::Ground, Key::Elongation],
            FORGING,
        ],
        example: "bevel blade edge 0.6 mm, height 30 mm, ground",
        // At least six.
        heats: Some(Usual {
            what: "heats of a bevel",
            heats: 6,
            note: ", three a side",
            source: "common practice",
        }),
        hazards: &[Hazard::Fire, Hazard::Press, Hazard::Grind],
        blades: Blades::Makes,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let (edge, tall, angle) = (bag.take(Key::EdgeLeft), bag.take(Key::Tall), bag.take(Key::Angle));
        let sides = bag.take(Key::Sides);
        let both_edges = bag.flag(Key::BothEdges).is_some();
        let (convex, hollow) = (bag.take(Key::Convex), bag.take(Key::Hollow));
        let (plunge, elongation) = (bag.opt(Key::Plunge), bag.opt(Key::Elongation));
        let off = bag.take(Key::PartOff);
        let shaping = Shaping::bind(bag, Manner::Ground);
        let words = |clause: &Option<Clause>| clause.as_ref().map(|c| c.span);
        let message = "a bevel goes by its height or by its angle, not both";
        bag.clash(Code::BevelHow, message, (words(&tall), "a height"), (words(&angle), "an angle"));
        let message = "the face of a bevel is convex or hollow, not both";
        bag.clash(Code::BevelHow, message, (words(&convex), "convex"), (words(&hollow), "hollow"));
        let convex = convex.and_then(|c| bag.figure(&c, "convex"));
        let hollow = hollow.and_then(|c| bag.figure(&c, "hollow"));
        let edge_span = words(&edge);
        let edge = edge.and_then(|c| bag.figure(&c, "edge"));
        let height = match (tall, angle) {
            (Some(tall), _) if tall.says("full") => Some(Tall::Full),
            (Some(tall), _) => bag.figure(&tall, "height").map(Tall::Height),
            (None, Some(angle)) => bag.figure(&angle, "angle").map(Tall::Angle),
            (None, None) => None,
        };
        let named = [("left side", Sides::Left), ("right side", Sides::Right), ("both sides", Sides::Both)];
        let Some(sides) = sides.map_or(Some(Sides::Both), |c| c.which(&named)) else {
            bug!("a bevel on no side")
        };
        let off = off.and_then(|c| {
            let name = c.names().next()?.clone();
            let slot = c.slots().next()?;
            Some((bag.scope.part(&name.text), bag.typed(slot, "off")?))
        });
        let name = bag.name.text.clone();
        if bag.faulty() {
            return None;
        }
        let (Some(edge), Some(edge_span), Some(height)) = (edge, edge_span, height) else {
            // What is said stays as it is: only what lacks is told.
            let (what, help) = match (edge, height) {
                (Some(_), _) => (
                    "how far up",
                    "add it, as in `height 30 mm` (or `height full`, or `angle 4 deg`)".to_owned(),
                ),
                (None, Some(_)) => ("what is left at the edge", "add it, as in `edge 0.6 mm`".to_owned()),
                (None, None) => (
                    "what is left at the edge, and how far up",
                    format!(
                        "say it in full, as in `bevel {name} edge 0.6 mm, height 30 mm, ground` (or `height full`, or `angle 4 deg`)"
                    ),
                ),
            };
            bag.unsaid(Code::BevelHow, "this does not say how to bevel", what, help);
            return None;
        };
        Some(Bevel {
            shaping,
            edge,
            edge_span,
            height,
            sides,
            both_edges,
            convex,
            hollow,
            plunge,
            elongation,
            off,
        })
    }

    fn moved(&self, before: Moved) -> Moved {
        if self.shaping.manner.0 == Manner::Forged { [true; 3] } else { before }
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let (mut lot, mut blade) = begin(cx, work, self.shaping.manner)?;
        let [from, to] = self.shaping.stretch.on(cx, &blade, false)?;
        let bevel = self.cut(cx)?;
        self.check(cx, work, &blade, from, to, &bevel)?;
        self.check_height(cx, work, &blade, [from, to], &bevel)?;
        self.check_round(cx, &blade, [from, to], &bevel)?;
        self.shift(cx, &lot, &mut blade)?;
        // A bevel that begins on the blade, or before a tang, runs out over a little length.
        let starts_bare = from <= blade.start() + 1e-9;
        let plunge = match self.plunge {
            None if starts_bare => 0.0,
            plunge => cx.length_or(plunge, "plunge", PLUNGE, "project figure")?,
        };
        let plunge = if starts_bare { plunge } else { plunge.max(0.1) };
        match self.shaping.manner.0 {
            Manner::Ground => {
                let before = blade.clone();
                blade.bevel(&bevel, from, to, plunge);
                if before.volume() - blade.volume() <= 1e-9 * before.volume() {
                    return Err(self.takes_nothing(cx, work));
                }
                if let Some(wheel) = self.hollow {
                    self.check_hollow(cx, (&before, &blade), (&bevel, wheel), (from, to, plunge))?;
                }
                take_down(cx, work, &mut lot, (&before, blade), Cause::Ground)?;
            }
            Manner::Forged => self.forge(cx, (work, &mut lot, &mut blade), &bevel, (from, to, plunge))?,
        }
        cx.put(work.to, lot, work.site)
    }
}

impl Bevel {
    fn cut<S: Sink>(&self, cx: &Cx<S>) -> Outcome<Cut> {
        let edge = cx.length(self.edge)?;
        let height = match self.height {
            Tall::Height(q) => Height::Tall(above_nothing(cx, q)?),
            Tall::Full => Height::Full,
            Tall::Angle(q) => {
                let degrees = cx.get(q);
                if !(0.1..=60.0).contains(&degrees) {
                    return Err(Code::BevelAngle
                        .says("no bevel has such an angle")
                        .at(cx.span(q), cx.shown(degrees, Kind::ANGLE))
                        .stops("it is the angle of one face to the middle of the blade: 2 to 20 deg (common practice)"));
                }
                Height::Slope(degrees.to_radians().tan())
            }
        };
        let face = match (self.convex, self.hollow) {
            (Some(q), _) => Face::Convex(cx.length(q)?),
            (None, Some(q)) => Face::Hollow(above_nothing(cx, q)?),
            (None, None) => Face::Flat,
        };
        Ok(Cut { edge, height, sides: self.sides, face, both_edges: self.both_edges })
    }

    /// The edge that is asked for must be thinner than what is there.
    fn check<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        blade: &Blade,
        from: f64,
        to: f64,
        bevel: &Cut,
    ) -> Outcome {
        let middle = blade.section(f64::midpoint(from, to));
        let edges = [middle.edge(), if self.both_edges { middle.spine() } else { middle.edge() }];
        let has = edges.iter().map(Knot::thick).fold(f64::INFINITY, f64::min);
        if bevel.edge < has * (1.0 + 1e-9) {
            return Ok(());
        }
        let name = cx.ground.lot_name(work.from);
        let (asked, has) = (cx.mm(bevel.edge), cx.mm(has));
        Err(Code::AlreadySmaller
            .says(format!("the edge of `{name}` is already thinner than asked"))
            .at(self.edge_span, format!("asked {asked}; it is {has}"))
            .and(cx.made(work.from), format!("it comes out of this step with {has} at the edge"))
            .stops("a bevel only thins: ask for less at the edge"))
    }

    /// A bevel that is taller than the blade is wide would take the spine down.
    fn check_height<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        blade: &Blade,
        [from, to]: [f64; 2],
        bevel: &Cut,
    ) -> Outcome {
        let wide = blade.section(from).width().max(blade.section(f64::midpoint(from, to)).width());
        let thick = blade.section(from).thickness();
        // Two edges share the width.
        let wide = if self.both_edges { wide / 2.0 } else { wide };
        // A forged one makes the blade wider as it goes.
        let room = if self.shaping.manner.0 == Manner::Forged { 2.0 * wide } else { wide };
        let tall = bevel.tall(wide, thick);
        if tall <= room * (1.0 + 1e-9) || matches!(self.height, Tall::Full) {
            return Ok(());
        }
        let words = match self.height {
            Tall::Height(q) => cx.span(q),
            Tall::Angle(q) => cx.span(q),
            Tall::Full => work.site,
        };
        let (tall, wide) = (cx.mm(tall), cx.mm(wide));
        if self.both_edges {
            return Err(Code::BevelTall
                .says("these bevels are taller than half of the blade, and would run into each other")
                .at(words, format!("{tall} tall each; half of the blade is {wide}"))
                .and(cx.made(work.from), "it comes out of this step so wide")
                .stops("write `height full` for bevels that meet in a ridge along the middle"));
        }
        Err(Code::BevelTall
            .says("this bevel is taller than the blade is wide, and would take the spine down")
            .at(words, format!("{tall} tall; the blade is {wide} wide"))
            .and(cx.made(work.from), "it comes out of this step so wide")
            .stops("write `height full` for a bevel up to the spine; to thin the spine, `taper` it or `grind … to 3 mm thick`"))
    }

    /// A round face runs from the edge to its top without turning back.
    fn check_round<S: Sink>(&self, cx: &Cx<S>, blade: &Blade, [from, to]: [f64; 2], bevel: &Cut) -> Outcome {
        let Some(q) = self.hollow.or(self.convex) else { return Ok(()) };
        let rounds = |x: f64| bevel.rounds(&blade.section(x));
        if rounds(from) && rounds(f64::midpoint(from, to)) {
            return Ok(());
        }
        let tall = cx.mm(bevel.tall(blade.section(from).width(), blade.section(from).thickness()));
        let (label, help) = if self.hollow.is_some() {
            ("of such a wheel", "a wider wheel, or a lower bevel")
        } else {
            ("to stand out so far", "less, or a taller bevel")
        };
        Err(Code::BevelRound
            .says("the face of this bevel cannot be so round")
            .at(cx.span(q), format!("{label}; the bevel is {tall} tall"))
            .stops(help))
    }

    /// A hollow takes most behind the edge, and may go through there.
    fn check_hollow<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (before, after): (&Blade, &Blade),
        (bevel, wheel): (&Cut, Q<Length>),
        (from, to, plunge): (f64, f64, f64),
    ) -> Outcome {
        let Some([x, left, edge]) = after.thinner_inside(from, to) else { return Ok(()) };
        let through = left <= 1e-6;
        if !through && !S::KEEPS {
            return Ok(());
        }
        // The least wheel that does not, tried on the blade itself; a wider one takes less everywhere.
        let fine = |wheel: f64| {
            let mut tried = before.clone();
            tried.bevel(&Cut { face: Face::Hollow(wheel), ..*bevel }, from, to, plunge);
            tried.thinner_inside(from, to).is_none_or(|[_, left, _]| through && left > 1e-3)
        };
        let most = WIDEST_WHEEL;
        // A blade of very many bends is not ground twenty times for a help.
        let bends: usize = before.stations.iter().map(|s| s.knots.len().pow(2)).sum();
        let help = if bends > MOST_BENDS {
            "a wider wheel takes less".to_owned()
        } else if fine(most) {
            let (_, least) = halve((cx.get(wheel), most), 20, |wheel| !fine(wheel));
            // Rounded down a little above it, it is no less.
            let wheel = cx.mm_within(least * 1.01 + 1.0);
            let leaves =
                if through { "leaves steel everywhere" } else { "leaves it no thinner than the edge" };
            format!("a wheel of {wheel} or more {leaves}")
        } else {
            "grind it flat".to_owned()
        };
        let help =
            format!("{help}; a lower bevel, or one that ends where the blade gets thin, may do as well");
        let (x, span) = (cx.mm(x), cx.span(wheel));
        if through {
            return Err(Code::HollowThrough
                .says("this hollow grinds through to the other face behind the edge")
                .at(span, format!("worst {x} from the heel"))
                .stops(help));
        }
        let (left, edge) = (cx.mm(left), cx.mm(edge));
        cx.book.warn(|| {
            Code::ThinBehindEdge
                .says("this hollow leaves the blade thinner behind its edge than at it")
                .at(span, format!("{left} at {x} from the heel; the edge is {edge}"))
                .help(help)
        });
        Ok(())
    }

    fn takes_nothing<S: Sink>(&self, cx: &Cx<S>, work: Work) -> Fault {
        let name = cx.ground.lot_name(work.from);
        Code::AlreadySmaller
            .says(format!("`{name}` lies inside this bevel already: there is nothing to grind off"))
            .at(work.site, "this takes nothing")
            .and(cx.made(work.from), "it comes out of this step so")
            .stops("a taller bevel, or a thinner edge, takes something")
    }

    /// Moves the makeup off the middle plane, where that is asked.
    fn shift<S: Sink>(&self, cx: &Cx<S>, lot: &Lot, blade: &mut Blade) -> Outcome {
        let Some((part, q)) = self.off else { return Ok(()) };
        let by = cx.get(q);
        let full = blade.section(0.0).spine().full;
        if cx.makeup.share_of(lot.bar.node, part).is_none() || by.abs() >= full / 2.0 {
            let name = cx.ground.part_name(part).to_owned();
            let thick = cx.mm(full);
            return Err(Code::PartOff
                .says(format!("`{name}` cannot lie so in this blade"))
                .at(cx.span(q), format!("the blade is {thick} thick"))
                .stops("name a part that was stacked into it, and less than half of the thickness"));
        }
        blade.off += by / full;
        Ok(())
    }

    fn forge<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot, blade): (Work, &mut Lot, &mut Blade),
        bevel: &Cut,
        (from, to, plunge): (f64, f64, f64),
    ) -> Outcome {
        if self.sides != Sides::Both || bevel.face != Face::Flat {
            return Err(Code::BevelForged
                .says("a forged bevel is flat and alike on both sides here")
                .at(work.site, "one side, convex or hollow")
                .stops("forge it flat, and grind the rest: a second `bevel … ground` takes it there"));
        }
        let heats = self.shaping.heating.heats(cx, work)?;
        let grip = self.shaping.tool.along(cx)?;
        let middle = blade.section(f64::midpoint(from, to));
        let (thick, wide) = (middle.edge().thick(), middle.width());
        let sides = if self.both_edges { 2.0 } else { 1.0 };
        let tall = bevel.tall(wide, middle.thickness()).min(wide / sides);
        let strip = (thick, f64::midpoint(thick, bevel.edge), tall * sides);
        let longer = elongation(cx, work, self.elongation, grip.law(), &middle, strip)?;
        let tip = blade.tip();
        burn(cx, work, lot, blade, &self.shaping.heating, (heats, true))?;
        let moved = blade.tip() / tip;
        blade.forge_bevel(bevel, from * moved, to * moved, plunge, longer);
        reshape(cx, work.to, lot, blade.clone(), Change::Forged);
        Ok(())
    }
}
