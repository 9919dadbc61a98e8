//! `turn`: a quarter turn about the length. What was wide is thick.

use crate::piece::{Axis, Bar, Cause};

use crate::forge::words::args::Makes;
use crate::forge::{Bag, Cx, Moved, Outcome, Sink, Word, Work, Works};

/// A quarter turn.
pub struct Turn;

impl Works for Turn {
    const WORD: Word = Word {
        word: "turn",
        doc: "turns a piece a quarter: what was wide is thick",
        example: "turn billet",
        mark: "before: punch the heel's end once, beside the face that is up; behind the turn that mark is at an edge, and the heel is where it was",
        makes: Makes::Laid,
        ..Word::PLAIN
    };

    fn bind(_: &mut Bag) -> Option<Self> {
        Some(Turn)
    }

    fn moved(&self, [thick, wide, long]: Moved) -> Moved {
        [wide, thick, long]
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let mut lot = cx.solid(work)?;
        let before = lot.bar;
        quarter(cx, &mut lot.bar);
        cx.put_resized(work, Cause::Turned, &before, lot)
    }
}

/// Turns a bar a quarter.
pub fn quarter<S: Sink>(cx: &mut Cx<S>, bar: &mut Bar) {
    let [thick, wide, _] = bar.sizes();
    bar.node = cx.makeup.turn(bar.node, bar.sizes());
    (bar.thick, bar.wide) = (wide, thick);
    bar.past = bar.past.along(Axis::turned);
    bar.loose = bar.loose.map(Axis::turned);
}
