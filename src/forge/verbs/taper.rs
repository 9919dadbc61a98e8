//! `taper`: a thickness or width that falls along the blade; forged it lengthens, ground it is taken off.

use crate::piece::blade::{Blade, Draft};
use crate::piece::{Cause, Lot};
use crate::source::{Code, Span};

use crate::forge::process::shaping::{Change, Manner, Shaping, begin, burn, reshape, take_down};
use crate::forge::words::args::Blades;
use crate::forge::words::sizes::{Size, Sizes};
use crate::forge::words::tool::{Bites, FORGING};
use crate::forge::{Bag, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// Log strain a heat where the recipe does not say (project figure, as for bars).
const STRAIN_PER_HEAT: f64 = 0.25;
/// A forged taper is drawn to no less than its start over this: beyond that the steel is cold before it is there (project figure).
const STEEPEST: f64 = 12.0;
/// Length over which a ground taper comes back to the full thickness where it ends before the tip, mm (project figure).
const SHOULDER: f64 = 5.0;

/// Tapering.
pub struct Taper {
    shaping: Shaping,
    thick: Option<Size>,
    wide: Option<Size>,
}

impl Works for Taper {
    const WORD: Word = Word {
        word: "taper",
        doc: "lets thickness or width fall along the blade: forged it lengthens, ground it is taken off",
        clauses: &[&[Key::Zone, Key::Size, Key::Forged, Key::Ground], FORGING],
        example: "taper blade from heel to tip, to 2 mm thick, forged",
        blades: Blades::Makes,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let shaping = Shaping::bind(bag, Manner::Forged);
        let name = bag.name.text.clone();
        let other = to.long.or(to.section.map(|s| s.1));
        if bag.faulty() {
            return None;
        }
        if let Some(other) = other {
            let fault = Code::TaperWhat.says("a taper goes to a thickness or a width");
            let help = format!(
                "say it in full, as in `taper {name} from heel to tip, to 2 mm thick`; the length follows"
            );
            bag.fault(fault.at(other.span, "not to this").help(help));
            return None;
        }
        if to.span.is_none() {
            let help = format!("say it in full, as in `taper {name} from heel to tip, to 2 mm thick`");
            let what = "to what thickness or width";
            bag.unsaid(Code::TaperWhat, "this does not say what to taper to", what, help);
            return None;
        }
        if let (Manner::Ground, Some(wide)) = (shaping.manner.0, to.wide) {
            let fault = Code::TaperWhat.says("a width is not ground to a taper").at(wide.span, "a width");
            bag.fault(fault.help("cut it to an outline with `profile`, or write `forged`"));
            return None;
        }
        Some(Taper { shaping, thick: to.thick, wide: to.wide })
    }

    fn moved(&self, [_, wide, long]: Moved) -> Moved {
        if self.shaping.manner.0 == Manner::Forged { [true; 3] } else { [false, wide, long] }
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let (mut lot, mut blade) = begin(cx, work, self.shaping.manner)?;
        let [from, to] = self.shaping.stretch.on(cx, &blade, true)?;
        let thick = self.thick.map(|s| s.cold(cx)).transpose()?;
        let wide = self.wide.map(|s| s.cold(cx)).transpose()?;
        self.check(cx, work, &blade, (from, to), thick, wide)?;
        match self.shaping.manner.0 {
            Manner::Ground => {
                let before = blade.clone();
                let near = blade.section(from).thickest().thick();
                let end = thick.unwrap_or(near);
                let (a, b) = if from < to { ((from, near), (to, end)) } else { ((to, end), (from, near)) };
                // Where the taper ends on the blade it runs out again.
                if to < blade.tip() && to > from {
                    blade.stand((to + SHOULDER).min(blade.tip()));
                }
                if to > 0.0 && to < from {
                    blade.stand((to - SHOULDER).max(0.0));
                }
                blade.thin(a, b);
                take_down(cx, work, &mut lot, (&before, blade), Cause::Ground)?;
            }
            Manner::Forged => self.forge(cx, (work, &mut lot, &mut blade), (from, to), (thick, wide))?,
        }
        cx.put(work.to, lot, work.site)
    }
}

impl Taper {
    fn forge<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot, blade): (Work, &mut Lot, &mut Blade),
        (from, to): (f64, f64),
        (thick, wide): (Option<f64>, Option<f64>),
    ) -> Outcome {
        let near = blade.section(from);
        let strain = |has: f64, end: Option<f64>| end.map_or(0.0, |end| (has / end).ln().max(0.0));
        let strain = strain(near.thickest().thick(), thick) + strain(near.width(), wide);
        let heats = match self.shaping.heating.stated(cx)? {
            Some(heats) => heats,
            None => {
                cx.book.assume("heats", || "one for each 0.25 of log strain".to_owned(), "project figure");
                (strain / STRAIN_PER_HEAT).ceil().clamp(1.0, 1000.0) as u32
            }
        };
        let spread = if thick.is_some() && wide.is_some() {
            0.0
        } else {
            let grip = self.shaping.tool.across(cx, Bites::Half)?;
            let size = if wide.is_some() { near.thickest().thick() } else { near.width() };
            grip.law().coefficient(size, 1.0, 1.0).clamp(0.0, 1.0)
        };
        let tip = blade.tip();
        burn(cx, work, lot, blade, &self.shaping.heating, (heats, true))?;
        // The fire took a little of the length: the places move with the tip.
        let moved = blade.tip() / tip;
        blade.draft(from * moved, to * moved, &Draft { thick, wide, spread });
        reshape(cx, work.to, lot, blade.clone(), Change::Forged);
        Ok(())
    }

    /// A taper never thickens or widens.
    fn check<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        blade: &Blade,
        (from, to): (f64, f64),
        thick: Option<f64>,
        wide: Option<f64>,
    ) -> Outcome {
        let (near, there) = (blade.section(from), blade.section(to));
        let steep = |asked: Option<f64>, has: f64, size: Option<Size>| {
            let least = has / STEEPEST;
            asked.filter(|asked| *asked < least).and(size).map(|size| (least, size.span))
        };
        if self.shaping.manner.0 == Manner::Forged {
            let found = steep(thick, near.thickest().thick(), self.thick);
            if let Some((least, span)) = found.or_else(|| steep(wide, near.width(), self.wide)) {
                return Err(too_steep(cx, span, least));
            }
        }
        let over = |asked: Option<f64>, has: f64, size: Option<Size>| {
            asked
                .filter(|asked| *asked > has * (1.0 + 1e-9))
                .zip(size)
                .map(|(asked, size)| (asked, has, size.span))
        };
        let found = over(thick, there.thickest().thick(), self.thick).map(|f| (f, "thick"));
        let found = found.or_else(|| over(wide, there.width(), self.wide).map(|f| (f, "wide")));
        let Some(((asked, has, span), word)) = found else { return Ok(()) };
        Err(thicker(cx, work, span, (asked, has), word))
    }
}

fn too_steep<S: Sink>(cx: &Cx<S>, span: Span, least: f64) -> Fault {
    let least = cx.mm(least);
    Code::TooSteep
        .says("no hammer draws a taper so far out")
        .at(span, format!("from this start it comes to no less than {least}"))
        .stops(format!("forge it to {least} or more, and grind the rest"))
}

fn thicker<S: Sink>(cx: &Cx<S>, work: Work, span: Span, (asked, has): (f64, f64), word: &str) -> Fault {
    let name = cx.ground.lot_name(work.from);
    let (asked, has) = (cx.mm(asked), cx.mm(has));
    Code::AlreadySmaller
        .says(format!("`{name}` is already less than {asked} {word} there"))
        .at(span, format!("asked {asked}; it is {has}"))
        .and(cx.made(work.from), format!("it comes out of this step {has} {word} there"))
        .stops("a taper only takes away: ask for less, or leave more steel before")
}
