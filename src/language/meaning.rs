//! What a line may mean that is not read as it stands: the forms of the trade are tried, two lines on one, slips of the pen, the gist of it,
//! and what is left of it, in that order.

use std::collections::BTreeSet;

use super::gist::{self, Around};
use super::salvage;
use super::syntax::{self, Meant};
use super::wording::{self, Place, Worded};

/// What a line may mean: its other words; they are read where they are sure and come upon by a form. Where nothing was come upon, they are the
/// line as far as the forms lead.
pub type Meaning = (Worded, Option<Meant>);

/// A line that is not read, and what stands around it.
#[derive(Debug)]
pub struct Unread<'a> {
    /// The line.
    pub written: &'a str,
    /// Where it stands.
    pub place: Place,
    /// The names of pieces.
    pub pieces: BTreeSet<String>,
    /// The piece that was worked last before it.
    pub last: Option<String>,
    /// The unit that most lengths around it are in.
    pub unit: Option<&'static str>,
}

impl Unread<'_> {
    /// What it may mean. `accepts` says of other words whether they are read, `stops` where reading them stops.
    pub fn search(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Meaning {
        let furthest = match wording::reword(self.written, self.place, accepts) {
            Ok(line) => return (line, Some(Meant::Form)),
            Err(furthest) => furthest,
        };
        let plain = Worded::new(self.written);
        let made = |text: String| plain.with(0..self.written.len(), &text);
        let fits = |text: &str| accepts(&made(text.to_owned()));
        let one = |text: &str| {
            let line = Worded::new(text);
            let accepts = |line: &Worded| !syntax::is_unfolded(&line.text) && accepts(line);
            if accepts(&line) {
                return Some(line.text);
            }
            wording::reword(text, self.place, accepts).ok().map(|line| line.text)
        };
        let step = self.place == Place::Step;
        let parts = step || self.place == Place::Test;
        if let Some(parted) = parts.then(|| salvage::parted(self.written, &self.pieces, step, one)).flatten()
        {
            return (made(parted), Some(Meant::Form));
        }
        let guess = syntax::guess(&plain, self.place, stops);
        if let Some(guess) = guess.or_else(|| syntax::guess(&furthest, self.place, stops)) {
            return (guess, Some(Meant::Word));
        }
        if let Some((text, sample)) = self.gist(&fits) {
            let mut line = made(text);
            line.sample = sample;
            return (line, Some(Meant::Form));
        }
        let left = if step {
            let of = |line: &str| salvage::step(line, &self.pieces, fits, one);
            of(&furthest.text).or_else(|| of(self.written))
        } else {
            salvage::without_strange(self.written, one)
        };
        match left {
            Some(left) => (made(left), Some(Meant::Form)),
            None => (furthest, None),
        }
    }

    /// What it comes to, and whether a figure in that is nobody's.
    fn gist(&self, fits: &dyn Fn(&str) -> bool) -> Option<(String, bool)> {
        let plain = wording::plain(self.written);
        match self.place {
            Place::Step => {
                let around = Around { pieces: &self.pieces, last: self.last.as_deref(), unit: self.unit };
                gist::step(&plain, &around, fits)
                    .or_else(|| gist::bars::stack(&plain, &self.pieces, fits))
                    .or_else(|| gist::bars::stock(&plain, self.unit, fits))
                    .map(|made| (made.text, made.sample))
            }
            Place::Test => gist::spec::test(&plain, fits).map(|text| (text, false)),
            Place::Shop => gist::spec::entry(&plain, fits).map(|text| (text, false)),
            Place::Head => None,
        }
    }
}
