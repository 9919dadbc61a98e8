//! `drill`: drills hollows into the faces of a bar. Pressed flat afterwards, they bring the layers beneath up as rings: raindrops.

use crate::piece::relief::{Face, Layout, Profile};
use crate::quantity::{Length, Q};
use crate::source::Span;

use crate::forge::process::hollow::{self, HOLLOWS, Hollows, Tool, sized};
use crate::forge::words::args::Hazard;
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Drilling.
pub struct Drill {
    hollows: Hollows,
    holes: (Q<Length>, Span),
    ball: bool,
    by_turns: bool,
}

impl Works for Drill {
    const WORD: Word = Word {
        word: "drill",
        doc: "drills hollows into a face, through the layers, on a square lattice; pressed flat afterwards they show as rings",
        clauses: &[HOLLOWS, &[Key::Holes, Key::Ball, Key::ByTurns]],
        example: "drill billet 6 mm holes, 2 mm deep, every 15 mm, both faces, staggered",
        hazards: &[Hazard::Drill],
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let holes = bag.take(Key::Holes);
        let holes = holes.and_then(|clause| Some((bag.figure(&clause, "holes")?, clause.span)));
        let (ball, by_turns) = (bag.flag(Key::Ball).is_some(), bag.flag(Key::ByTurns).is_some());
        let help =
            format!("say it in full, as in `drill {} 6 mm holes, 2 mm deep, every 15 mm`", bag.name.text);
        let hollows = Hollows::bind(bag, holes.is_some(), &help);
        Some(Drill { hollows: hollows?, holes: holes?, ball, by_turns })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let what = "holes";
        let lot = cx.hollow(work)?;
        cx.shapeless(&lot, work)?;
        let (across, deep) = (sized(cx, self.holes.0)?, self.hollows.deep(cx)?);
        let profile = if self.ball { Profile::ball(across, deep) } else { Profile::drill(across, deep) };
        let tool = Tool { what, wide: self.holes.1 };
        let pitch = self.hollows.pitch(cx, tool, 2.0 * profile.reach(), &lot.bar)?;
        // As many as have room along and across, about the middle: the lattice runs on past the edges.
        let first = [lot.bar.long, lot.bar.wide].map(|size| {
            let many = (size / pitch + 1e-9).floor().max(1.0);
            size / 2.0 - (many - 1.0) / 2.0 * pitch
        });
        let top = Face { profile, layout: Layout::Holes { first, pitch, by_turns: self.by_turns } };
        let faces = self.hollows.faces(top, [pitch / 2.0; 2]);
        hollow::cut(cx, (work, lot), faces, (what, self.hollows.words(cx)))
    }
}
