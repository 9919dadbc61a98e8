//! `flip`: half a turn about the length. Top to bottom.

use crate::forge::{Bag, Cx, Outcome, Sink, Verb, Word, Work};

/// Half a turn.
#[derive(Debug)]
pub struct Flip {
    work: Work,
}

impl Verb for Flip {
    const WORD: Word = Word {
        word: "flip",
        doc: "turns a piece over: top to bottom",
        example: "flip billet",
        mark: "before: punch the heel's end once, beside the face that is up; behind the flip that mark is below, and the heel is where it was",
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        Some(Flip { work: bag.work()? })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        let mut lot = cx.solid(self.work)?;
        lot.bar.node = cx.makeup.flip(lot.bar.node, lot.bar.sizes());
        cx.book.origin(self.work.to, self.work.from);
        cx.put(self.work.to, lot, self.work.site)
    }
}
