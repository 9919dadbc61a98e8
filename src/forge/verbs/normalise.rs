//! `normalise`: heats a piece through and lets it cool in air, to even its grain.

use crate::forge::process::austenite;
use crate::forge::process::fire::Heating;
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Blades, Fire, Hazard};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// The most times that anyone does it in a row.
const MOST: u32 = 100;

/// Normalising.
pub struct Normalise(Heating);

impl Works for Normalise {
    const WORD: Word = Word {
        word: "normalise",
        said: &["thermal-cycle"],
        doc: "heats a piece through and lets it cool in air, to even its grain",
        clauses: &[&[Key::At, Key::Times, Key::Heats, Key::For]],
        example: "normalise blade at 870 C, 3 times",
        hazards: &[Hazard::Fire],
        blades: Blades::Works,
        fire: Fire::Forge,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let times = bag.opt(Key::Times);
        let mut heating = Heating::bind(bag);
        heating.heats = heating.heats.or(times);
        Some(Normalise(heating))
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.piece(work)?;
        let times = self.0.heats.map(|q| cx.whole(q, 1, MOST, "the number of times")).transpose()?;
        let (lot, hot) = rest(cx, work, lot, &self.0, times.unwrap_or(1))?;
        if S::KEEPS {
            let words = self.0.at.map_or(work.site, |q| cx.span(q));
            let layers = austenite::layers(cx, &lot);
            austenite::warn(cx, &layers, hot.window.from_c, words, (false, self.0.at.is_some()));
        }
        Ok(())
    }
}
