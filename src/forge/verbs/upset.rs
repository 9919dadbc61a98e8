//! `upset`: shortens a bar end to end. Thickness and width grow alike.

use crate::piece::Section;
use crate::source::Code;

use crate::forge::process::press::{Aim, Way};
use crate::forge::process::pressing::{Pressing, ToSize, no_bigger, slender};
use crate::forge::words::sizes::Only;
use crate::forge::words::tool::FORGING;
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Upsetting. The tool covers the whole end: its sizes are understood and change nothing.
pub struct Upset(ToSize);

impl Works for Upset {
    const WORD: Word = Word {
        word: "upset",
        said: &["bump"],
        doc: "shortens a bar end to end: thicker and wider alike",
        clauses: &[&[Key::Size], FORGING],
        example: "upset billet to 120 mm long",
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let only = Only { code: Code::UpsetLength, what: "a length", sample: "to 120 mm long" };
        ToSize::bind(bag, |sizes| sizes.long, &only).map(Upset)
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let ToSize { heating, tool, to } = &self.0;
        let lot = cx.solid(work)?;
        let (long, bar) = (to.cold(cx)?, lot.bar);
        let help = "`draw` makes a bar longer; `upset` only shorter";
        no_bigger(cx, work, (long, to.span), bar.long, "length", help)?;
        slender(cx, work, bar.long, bar.thick.min(bar.wide), "long")?;
        let grip = tool.ends(cx)?;
        let mut pressing = Pressing::begin(cx, (work, lot), heating, grip, Way::Flat, [bar.thick, bar.wide])?;
        let grow = (bar.long / long).sqrt();
        let end = [bar.thick * grow, bar.wide * grow, long];
        let heats = pressing.heats(cx, || (end, (bar.long / long).ln()), 1);
        let pressed = pressing.press(cx, heats, Aim::Short(long))?;
        pressing.finish(cx, &pressed, Section::Flat)?;
        Ok(())
    }
}
