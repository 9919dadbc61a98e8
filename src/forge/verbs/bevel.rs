//! `bevel`: thins a blade towards its edge. Forged it grows wider; ground it keeps its width and loses steel.

use crate::piece::blade::{Bevel as Cut, Blade, Height, Sides};
use crate::piece::{Cause, Lot, PartName};
use crate::quantity::{Angle, Kind, Length, Q, Ratio};
use crate::source::{Code, Diagnostic, Span};

use crate::forge::process::grip::Law;
use crate::forge::process::shaping::{
    Change, Manner, Shaping, above_nothing, begin, burn, reshape, take_down,
};
use crate::forge::words::args::{Blades, Hazard, Usual};
use crate::forge::words::tool::FORGING;
use crate::forge::{Bag, Clause, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// A bevel lengthens a blade by no more than this, as a share (project figure).
const MOST_LONGER: f64 = 0.5;
/// Length over which a bevel runs out where nothing is said, mm (project figure).
const PLUNGE: f64 = 5.0;

/// Bevelling.
pub struct Bevel {
    shaping: Shaping,
    edge: Q<Length>,
    edge_span: Span,
    height: Tall,
    sides: Sides,
    bulge: Option<Q<Length>>,
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
            &[Key::Zone, Key::EdgeLeft, Key::Tall, Key::Angle, Key::Sides, Key::Convex, Key::Plunge],
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
        let (bulge, plunge, elongation) =
            (bag.opt(Key::Convex), bag.opt(Key::Plunge), bag.opt(Key::Elongation));
        let off = bag.take(Key::PartOff);
        let shaping = Shaping::bind(bag, Manner::Ground);
        let words = |clause: &Option<Clause>| clause.as_ref().map(|c| c.span);
        let message = "a bevel goes by its height or by its angle, not both";
        bag.clash(Code::BevelHow, message, (words(&tall), "a height"), (words(&angle), "an angle"));
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
                        "write `bevel {name} edge 0.6 mm, height 30 mm, ground` (or `height full`, or `angle 4 deg`)"
                    ),
                ),
            };
            bag.unsaid(Code::BevelHow, "this does not say how to bevel", what, help);
            return None;
        };
        Some(Bevel { shaping, edge, edge_span, height, sides, bulge, plunge, elongation, off })
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
        let bulge = self.bulge.map(|q| cx.length(q)).transpose()?.unwrap_or(0.0);
        Ok(Cut { edge, height, sides: self.sides, bulge })
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
        let has = middle.edge().thick();
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
        let thick = blade.section(from).spine().thick();
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
        Err(Code::BevelTall
            .says("this bevel is taller than the blade is wide, and would take the spine down")
            .at(words, format!("{tall} tall; the blade is {wide} wide"))
            .and(cx.made(work.from), "it comes out of this step so wide")
            .stops("write `height full` for a bevel up to the spine; to thin the spine, `taper` it or `grind … to 3 mm thick`"))
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
        if self.sides != Sides::Both || bevel.bulge > 0.0 {
            return Err(Code::BevelForged
                .says("a forged bevel is flat and alike on both sides here")
                .at(work.site, "one side, or convex")
                .stops("forge it flat, and grind the rest: a second `bevel … ground` takes it there"));
        }
        let heats = self.shaping.heating.heats(cx, work)?;
        let grip = self.shaping.tool.along(cx)?;
        let elongation = match self.elongation {
            Some(q) => cx.get(q),
            None => usual_elongation(cx, grip.law(), blade, bevel, f64::midpoint(from, to)),
        };
        if !(0.0..=MOST_LONGER).contains(&elongation) {
            let span = self.elongation.map_or(work.site, |q| cx.span(q));
            let shown = cx.shown(elongation, Kind::RATIO);
            return Err(Diagnostic::new(Code::ShareOutOfRange, "no bevel lengthens a blade so", span, shown)
                .stops("a few per cent: common practice straightens the blade over the spine"));
        }
        let tip = blade.tip();
        burn(cx, work, lot, blade, &self.shaping.heating, (heats, true))?;
        let moved = blade.tip() / tip;
        blade.forge_bevel(bevel, from * moved, to * moved, plunge, elongation);
        reshape(cx, work.to, lot, blade.clone(), Change::Forged);
        Ok(())
    }
}

/// How much of the blade's length a forged bevel gives, as a share: what the strip above the edge would stretch by the
/// spread law with the tool along it, shared by the whole section.
fn usual_elongation<S: Sink>(cx: &mut Cx<S>, law: Law, blade: &Blade, bevel: &Cut, at: f64) -> f64 {
    let middle = blade.section(at);
    let (thick, wide) = (middle.edge().thick(), middle.width());
    let spread = law.coefficient(wide, 1.0, 1.0).clamp(0.0, 1.0);
    let mean = f64::midpoint(thick, bevel.edge);
    let tall = bevel.tall(wide, middle.spine().thick()).min(wide);
    // The strip that such a bevel is made of, as a share of the section.
    let share = (tall * mean / middle.area()).min(1.0);
    let elongation = share * ((thick / mean).powf(1.0 - spread) - 1.0);
    let shown = || format!("{} %", crate::quantity::trim_number(elongation * 100.0, 1));
    let source = "spread law with the tool along, shared by the section: project figure";
    cx.book.assume("elongation of a forged bevel", shown, source);
    elongation
}
