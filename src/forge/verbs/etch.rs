//! `etch`: what the acid eats off a blade to bring out its pattern.

use crate::piece::Cause;
use crate::quantity::{Length, Q};

use crate::forge::process::shaping::{take, take_down};
use crate::forge::words::args::{Blades, Hazard};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Depth of an etch where nothing is said, mm a face: 0.0005 to 0.003 in (common practice), its middle.
const DEPTH: f64 = 0.045;

/// Etching.
pub struct Etch {
    depth: Option<Q<Length>>,
}

impl Works for Etch {
    const WORD: Word = Word {
        word: "etch",
        doc: "brings out the pattern in acid: a little goes off every face",
        clauses: &[&[Key::Faces]],
        example: "etch blade faces 0.04 mm",
        hazards: &[Hazard::Etch],
        blades: Blades::Makes,
        takes_off: true,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let depth = bag.opt(Key::Faces);
        Some(Etch { depth })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let (mut lot, blade) = take(cx, work)?;
        let depth = cx.length_or(self.depth, "depth of an etch", DEPTH, "common practice")?;
        let mut after = blade.clone();
        after.skin_faces(depth);
        take_down(cx, work, &mut lot, (&blade, after), Cause::Etched)?;
        lot.bar.past.strip([depth, 0.0]);
        cx.put(work.to, lot, work.site)
    }
}
