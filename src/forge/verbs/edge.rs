//! `edge`: forges a bar on edge. It grows narrower, and a little thicker.

use crate::piece::Section;
use crate::source::Code;

use crate::forge::process::press::{Aim, Way};
use crate::forge::process::pressing::{Pressing, ToSize, no_bigger, slender};
use crate::forge::words::sizes::Only;
use crate::forge::words::tool::{Bites, FORGING};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Forging on edge.
pub struct Edge(ToSize);

impl Works for Edge {
    const WORD: Word = Word {
        word: "edge",
        doc: "forges a bar on edge: narrower, a little thicker, longer",
        clauses: &[&[Key::Size], FORGING],
        example: "edge billet to 38 mm wide",
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let only = Only { code: Code::EdgeWidth, what: "a width", sample: "to 38 mm wide" };
        ToSize::bind(bag, |sizes| sizes.wide, &only).map(Edge)
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let ToSize { heating, tool, to } = &self.0;
        let lot = cx.solid(work)?;
        let (wide, bar) = (to.cold(cx)?, lot.bar);
        let help = "`spread` makes a bar wider; `edge` only narrower";
        no_bigger(cx, work, (wide, to.span), bar.wide, "width", help)?;
        slender(cx, work, bar.wide, bar.thick, "wide")?;
        let grip = tool.across(cx, Bites::Half)?;
        let mut pressing = Pressing::begin(cx, (work, lot), heating, grip, Way::OnEdge, [wide, bar.thick])?;
        let end = || [bar.thick, wide, bar.volume() / (bar.thick * wide)];
        let heats = pressing.heats(cx, || (end(), (bar.wide / wide).ln()), 1);
        let pressed = pressing.press(cx, heats, Aim::Thick(wide))?;
        pressing.finish(cx, &pressed.on_edge(), Section::Flat)?;
        pressing.warn_skin(cx, &pressed, wide, to.span);
        Ok(())
    }
}
