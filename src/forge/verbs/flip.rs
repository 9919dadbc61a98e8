//! `flip`: half a turn about the length. Top to bottom.

use crate::forge::{Bag, Cx, Outcome, Sink, Word, Work, Works};

/// Half a turn.
pub struct Flip;

impl Works for Flip {
    const WORD: Word = Word {
        word: "flip",
        doc: "turns a piece over: top to bottom",
        example: "flip billet",
        mark: "before: punch the heel's end once, beside the face that is up; behind the flip that mark is below, and the heel is where it was",
        ..Word::PLAIN
    };

    fn bind(_: &mut Bag) -> Option<Self> {
        Some(Flip)
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let mut lot = cx.solid(work)?;
        lot.bar.node = cx.makeup.flip(lot.bar.node, lot.bar.sizes());
        cx.book.origin(work.to, work.from);
        cx.put(work.to, lot, work.site)
    }
}
