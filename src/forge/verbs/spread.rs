//! `spread`: widens a bar with the tool along it, for little length.

use crate::piece::Section;
use crate::source::{Code, Diagnostic};

use crate::forge::process::grip::Law;
use crate::forge::process::press::{Aim, Way};
use crate::forge::process::pressing::{Pressing, ToSize};
use crate::forge::words::sizes::Only;
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// Spreading.
pub struct Spread(ToSize);

impl Works for Spread {
    const WORD: Word = Word {
        word: "spread",
        said: &["widen"],
        doc: "widens a bar with the tool lying along it: width for little length",
        clauses: &[&[Key::Size, Key::With, Key::Heats, Key::At, Key::For, Key::Bite, Key::Spread]],
        example: "spread blade to 62 mm wide with peen 12 mm, heats 8",
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let only = Only { code: Code::SpreadWidth, what: "a width", sample: "to 62 mm wide" };
        ToSize::bind(bag, |sizes| sizes.wide, &only).map(Spread)
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let ToSize { heating, tool, to } = &self.0;
        let lot = cx.solid(work)?;
        let wide = to.cold(cx)?;
        let [t0, w0, l0] = lot.bar.sizes();
        if wide <= w0 * (1.0 - 1e-12) {
            return Err(self.already_wider(cx, work, wide, w0));
        }
        let grip = tool.along(cx)?;
        let coefficient = |law: Law| law.coefficient(w0, 1.0, 1.0);
        if coefficient(grip.law()) <= 0.0 {
            let message = "with a spread of 0 the bar grows no wider";
            let set = tool.spread_span(cx).unwrap_or(work.site);
            return Err(Diagnostic::new(Code::SpreadAgainstAim, message, to.span, "a width is asked")
                .and(set, "the spread is set here")
                .stops("leave the spread to the law, or set one above 0"));
        }
        let thick = |law: Law| t0 * (-(wide / w0).ln() / coefficient(law)).exp();
        let end = [thick(grip.law()), wide];
        let mut pressing = Pressing::begin(cx, (work, lot), heating, grip, Way::Flat, end)?;
        let law = pressing.law;
        let way = || {
            let thick = thick(law);
            // A machine presses the thickness down; where none counts, the widening is what is asked.
            let strain = if grip.rig.is_some() { (t0 / thick).ln() } else { (wide / w0).ln() };
            ([thick, wide, t0 * w0 * l0 / (thick * wide)], strain)
        };
        let heats = pressing.heats(cx, way, 1);
        let pressed = pressing.press(cx, heats, Aim::Wide(wide, coefficient(pressing.law)))?;
        pressing.finish(cx, &pressed, Section::Flat)?;
        Ok(())
    }
}

impl Spread {
    fn already_wider<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: f64, has: f64) -> Fault {
        let to = &self.0.to;
        let name = cx.ground.lot_name(work.from);
        let (asked, has) = (cx.mm(asked), cx.mm(has));
        Code::AlreadyWider
            .says(format!("`{name}` is already wider than asked"))
            .at(to.span, format!("asked {asked}; it is {has}"))
            .and(cx.made(work.from), format!("it comes out of this step {has} wide"))
            .stops("`edge` makes a bar narrower; or leave this step out")
    }
}
