//! What a line may mean that is not read as it stands: the forms of the trade are tried, two lines on one, slips of the pen, the gist of it,
//! and what is left of it, in that order.

use std::collections::BTreeSet;

use super::gist::{self, Around};
use super::salvage;
use super::syntax::{self, Meant};
use super::vocabulary;
use super::wording::{self, Place, Worded};
use crate::forge::{self, Form};

/// What a line may mean: its other words; they are read where they are sure and come upon by a form. Where nothing was come upon, they are the
/// line as far as the forms lead.
pub type Meaning = (Worded, Option<Meant>);

/// A line that is not read, and what stands around it.
#[derive(Clone, Debug)]
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
        let parts = step || matches!(self.place, Place::Test | Place::Shop);
        if let Some(parted) = self.sentences(accepts, &fits) {
            return (made(parted), Some(Meant::Form));
        }
        if let Some(parted) = parts.then(|| salvage::parted(self.written, &self.pieces, step, one)).flatten()
        {
            return (made(parted), Some(Meant::Form));
        }
        let guess = syntax::guess(&plain, self.place, stops);
        if let Some(guess) = guess.or_else(|| syntax::guess(&furthest, self.place, stops)) {
            // What the slip stood in the way of is mended along: `lenght = 10 in +- 1/16`.
            let mut whole = guess.clone();
            let more = wording::tolerances(&mut whole) && accepts(&whole);
            // What lacks more than its letters is taken whole: `press 25 ton, flat dies 2 in`.
            if !more
                && !accepts(&guess)
                && let Some((text, false)) = self.gist(&fits)
            {
                return (made(text), Some(Meant::Form));
            }
            return (if more { whole } else { guess }, Some(Meant::Word));
        }
        if let Some((text, sample)) = self.gist(&fits) {
            let mut line = made(text);
            line.sample = sample;
            return (line, Some(Meant::Form));
        }
        if let Some((line, meant)) = self.with_verb(accepts, stops) {
            return (made(line), Some(meant));
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

    /// The clauses of a step, each behind its verb and its piece: the line that it would be alone, where the clause begins in that, and where in
    /// the line as it is written. None where there is but one.
    pub fn clauses(&self) -> Vec<(String, usize, usize)> {
        let written = self.written;
        let mut words = written.split_whitespace();
        let verb = words.next().and_then(|word| forge::word(&vocabulary::house_verb(word)));
        let (Some(_), Some(piece)) = (verb.filter(|v| v.form == Form::Work), words.next()) else {
            return Vec::new();
        };
        let name = piece.trim_end_matches(',');
        if !self.pieces.contains(name) || written.contains('"') {
            return Vec::new();
        }
        let Some(head) = written.find(name).and_then(|at| written.get(..at + name.len())) else {
            return Vec::new();
        };
        let (mut made, mut at) = (Vec::new(), head.len());
        for part in written.get(head.len()..).unwrap_or_default().split(',') {
            let own = part.trim();
            if !own.is_empty() {
                let from = at + (part.len() - part.trim_start().len());
                made.push((format!("{head} {own}"), head.len() + 1, from));
            }
            at += part.len() + 1;
        }
        if made.len() > 1 { made } else { Vec::new() }
    }

    /// The same place with other words in it.
    fn of<'b>(
        &self,
        written: &'b str,
        place: Place,
        pieces: &BTreeSet<String>,
        last: Option<&str>,
    ) -> Unread<'b> {
        let last = last.map(str::to_owned).or_else(|| self.last.clone());
        Unread { written, place, pieces: pieces.clone(), last, unit: self.unit }
    }

    /// What a part of it comes to: in other words, or its gist.
    fn part(&self, accepts: &dyn Fn(&Worded) -> bool) -> Option<String> {
        // As what is offered: with all its units.
        let accepts = |line: &Worded| {
            let mut offered = line.clone();
            offered.sure = false;
            !syntax::is_unfolded(&line.text) && accepts(&offered)
        };
        let plain = Worded::new(self.written);
        if accepts(&plain) {
            return Some(plain.text);
        }
        if let Ok(line) = wording::reword(self.written, self.place, accepts) {
            return (!line.sample).then_some(line.text);
        }
        let fits = |text: &str| accepts(&plain.with(0..self.written.len(), text));
        self.gist(&fits).filter(|(_, sample)| !sample).map(|(text, _)| text)
    }

    /// Several steps, tests or entries on one line, each read by itself; also a block that lacks its braces.
    fn sentences(&self, accepts: &dyn Fn(&Worded) -> bool, fits: &dyn Fn(&str) -> bool) -> Option<String> {
        let pieces = &self.pieces;
        match self.place {
            Place::Step => {
                if let Some(block) = self.block(fits) {
                    return Some(block);
                }
                let line = wording::plain(self.written);
                let around = Around { pieces, last: self.last.as_deref(), unit: self.unit };
                if let Some(made) = gist::series(&line, &around, fits) {
                    return Some(made.text);
                }
                let reads = |text: &str, pieces: &BTreeSet<String>, last: Option<&str>| {
                    self.of(text, Place::Step, pieces, last).part(accepts)
                };
                salvage::sentences(&line, pieces, &reads)
                    .or_else(|| salvage::sentences(self.written, pieces, &reads))
            }
            Place::Test | Place::Shop => {
                let made = self.parts(self.written, self.place, accepts)?;
                (made.len() > 1).then(|| made.join(" ; "))
            }
            Place::Head => None,
        }
    }

    /// Each test or entry of a line, read by itself; one that does not say what it is of goes on with that of the one before.
    fn parts(&self, line: &str, place: Place, accepts: &dyn Fn(&Worded) -> bool) -> Option<Vec<String>> {
        let mut made: Vec<String> = Vec::new();
        for text in entries(line, place) {
            let read = |text: &str| self.of(text, place, &self.pieces, None).part(accepts);
            let before = made.last().and_then(|last| last.split(' ').next());
            let on = || read(&format!("{} {text}", before.filter(|_| place == Place::Test)?));
            // `60 HRC edge, 45 spine`: the second is as hard. `spine 4 mm at heel, 2 mm at tip`: so is the other end.
            let same = (before == Some("hardness") && gist::spec::is_of_a_spot(&text))
                || gist::spec::is_of_an_end(&text);
            let own = || read(&text);
            made.push(if same { on().or_else(own) } else { own().or_else(on) }?);
        }
        Some(made)
    }

    /// A shop or a target on one line without its braces.
    fn block(&self, fits: &dyn Fn(&str) -> bool) -> Option<String> {
        let (head, rest) = self.written.split_once(':')?;
        let mut words = head.split_whitespace();
        let place = match words.next()?.to_lowercase().as_str() {
            "shop" => Place::Shop,
            "target" => Place::Test,
            _ => return None,
        };
        let whole = |entry: &str| format!("{} {{ {entry} }}", head.trim().to_lowercase());
        let accepts = |line: &Worded| fits(&whole(&line.text));
        let made = self.parts(rest, place, &accepts)?;
        (!made.is_empty()).then(|| whole(&made.join(" ; ")))
    }

    /// What it comes to where there is a slip in its verb.
    fn with_verb(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<(String, Meant)> {
        let first = self.written.split_whitespace().next().filter(|_| self.place == Place::Step)?;
        let verb = syntax::like_a_verb(first)?;
        let line = format!("{verb}{}", self.written.trim_start().get(first.len()..)?);
        let (line, meant) = self.of(&line, self.place, &self.pieces, None).search(accepts, stops);
        meant.filter(|_| !line.sample).map(|meant| (line.text, meant))
    }

    /// What it comes to, and whether a figure in that is nobody's.
    fn gist(&self, fits: &dyn Fn(&str) -> bool) -> Option<(String, bool)> {
        let plain = wording::tenths(wording::plain(self.written), self.unit);
        match self.place {
            Place::Step => {
                let around = Around { pieces: &self.pieces, last: self.last.as_deref(), unit: self.unit };
                gist::step(&plain, &around, fits)
                    .or_else(|| gist::bars::stack(&plain, &self.pieces, fits))
                    .or_else(|| gist::bars::stock(&plain, self.unit, fits))
                    .map(|made| (made.text, made.sample))
            }
            Place::Test => gist::spec::test(&plain, self.unit, fits).map(|text| (text, false)),
            Place::Shop => gist::spec::entry(&plain, self.unit, fits).map(|text| (text, false)),
            Place::Head => None,
        }
    }
}

/// `4 mm at heel tapering to 2 mm at tip` as what is asked of each end.
fn ends(part: &str) -> Option<(&str, &str)> {
    let low = part.to_lowercase();
    let place = |word: &str| low.find(word).map(|at| at + word.len());
    let (heel, tip) = (place("heel")?, place("tip")?);
    let (first, rest) = part.split_at_checked(heel.min(tip))?;
    let second = rest.get(rest.find(|c: char| c.is_ascii_digit())?..)?;
    // A stretch has no figure between its ends, and a size before it.
    let figure = |text: &str| text.contains(|c: char| c.is_ascii_digit());
    let between = rest.split(' ').any(|word| matches!(word, "from"));
    (figure(first) && !between && second.contains(if heel < tip { "tip" } else { "heel" }))
        .then_some((first, second))
}

/// The tests or the entries that stand on one line, parted by commas, semicolons or points; a comma goes on where no word follows it, and with
/// what belongs to an entry.
fn entries(line: &str, place: Place) -> Vec<String> {
    let mut made: Vec<String> = Vec::new();
    for part in line.split(';').flat_map(|part| part.split(", ")) {
        let part = part.trim().trim_end_matches([',', '.']);
        let goes_on = place == Place::Shop && gist::spec::goes_on(part);
        if let Some((heel, tip)) = ends(part).filter(|_| place == Place::Test) {
            made.extend([heel.to_owned(), tip.to_owned()]);
            continue;
        }
        match made.last_mut().filter(|_| goes_on) {
            _ if part.is_empty() => {}
            Some(before) => *before = format!("{before}, {part}"),
            None => made.push(part.to_owned()),
        }
    }
    made
}
