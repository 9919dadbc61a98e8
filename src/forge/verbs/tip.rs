//! `tip`: stands a piece on end. Its thickness becomes its length, its length its thickness.

use crate::piece::{Axis, Cause, Section};

use crate::forge::process::ends;
use crate::forge::words::args::Makes;
use crate::forge::{Bag, Cx, Moved, Outcome, Sink, Word, Work, Works};

/// Standing on end.
pub struct Tip;

impl Works for Tip {
    const WORD: Word = Word {
        word: "tip",
        doc: "stands a piece on end: its thickness becomes its length, its length its thickness",
        example: "tip slab",
        mark: "before: punch the heel's end once, beside the face that is up; behind it the heel's end lies below, and that face is the new heel's end",
        makes: Makes::Laid,
        ..Word::PLAIN
    };

    fn bind(_: &mut Bag) -> Option<Self> {
        Some(Tip)
    }

    fn moved(&self, [thick, wide, long]: Moved) -> Moved {
        [long, wide, thick]
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let mut lot = cx.solid(work)?;
        if lot.bar.past.rough {
            ends::warn(cx, work.from, work.site, "they are its faces from here on");
        }
        let before = lot.bar;
        let bar = &mut lot.bar;
        bar.node = cx.makeup.tip(bar.node, bar.sizes());
        (bar.thick, bar.long, bar.section) = (before.long, before.thick, Section::Flat);
        bar.past = bar.past.along(Axis::tipped);
        bar.past.rough = false;
        cx.put_resized(work, Cause::Turned, &before, lot)
    }
}
