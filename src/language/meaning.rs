//! What a line may mean that is not read as it stands: the forms of the trade are tried, two lines on one, slips of the pen, the gist of it,
//! and what is left of it, in that order.

use std::cell::Cell;
use std::collections::BTreeSet;

use super::calls;
use super::gist::{self, Around, Gisted};
use super::left_out::left_out;
use super::marks::{self, Known};
use super::named::{Put, Set};
use super::neighbours::{Head, about};
use super::salvage;
use super::syntax::{self, Meant};
use super::vocabulary;
use super::wording::{self, Place, Worded};
use crate::forge::{self, Form, Key};
use crate::vocabulary::Sort;

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
    /// The step before it, as it is written.
    pub before: Option<String>,
    /// The unit that most lengths around it are in.
    pub unit: Option<&'static str>,
    /// Whether the recipe has a shop.
    pub shop: bool,
    /// The names of figures, each with what it is set to.
    pub figures: Set<'a>,
    /// The recipes of the file.
    pub recipes: Vec<Head<'a>>,
    /// The names of steels.
    pub steels: BTreeSet<String>,
    /// What the lines behind a recipe's head speak of; of a step the pieces that others work and none makes.
    pub wanted: BTreeSet<String>,
    /// Whether it stands inside a block.
    pub nested: bool,
}

impl Unread<'_> {
    /// What it may mean. `accepts` says of other words whether they are read, `stops` where reading them stops.
    pub fn search(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Meaning {
        if let Some(turned) = self.turned_about(accepts, stops) {
            return turned;
        }
        let other = self
            .with_hyphens(accepts, stops)
            .or_else(|| self.with_marks(accepts, stops))
            .or_else(|| self.with_spelling(accepts, stops));
        if let Some(meaning) = other {
            return meaning;
        }
        let (mut line, mut meant) = self.as_written(accepts, stops);
        // What leaves out a word that nothing here knows did not understand the line.
        // An example leaves out what it likes, but for a file.
        let example = line.sample && !self.written.contains(".heat");
        let offered = meant == Some(Meant::Form) && !line.sure && !example;
        let beside = line.lost.unwrap_or_default();
        if offered && left_out(self.written, &line.text, beside, &self.pieces) {
            (line, meant) = self.form_of(&line.text);
        } else if let Some(flat) = wording::laid_flat(self.written, &line.text).filter(|_| offered) {
            line = line.with(0..line.text.len(), &flat);
        }
        // A shop knows no figures of a recipe: an inch and a half wide is no half of what is called `wide`.
        let put = Put::into(self.written, &self.figures).filter(|_| self.place != Place::Shop);
        // What leaves a figure out by its name did not understand the line.
        let lost = put.as_ref().is_some_and(|put| !put.stands_in(&line.text, &self.figures));
        if meant.is_some() && !line.sample && !lost {
            return (line, meant);
        }
        let needed = put.as_ref().is_some_and(|put| put.needs(self.written, &line.text, &self.figures));
        let with = put.and_then(|put| self.with_figures(&put, accepts, stops));
        // An example is better than nothing, and no better than another one.
        match with.filter(|(with, _)| !with.sample || needed || meant.is_none()) {
            Some(with) => with,
            None => (line, meant.filter(|_| !needed)),
        }
    }

    /// The form of what was offered for it: an example, where the line begins with another word.
    fn form_of(&self, offered: &str) -> Meaning {
        let plain = Worded::new(self.written);
        let first =
            |line: &str| line.split_whitespace().next().map(vocabulary::house_verb).unwrap_or_default();
        let own = first(offered);
        let form = match self.place {
            Place::Step => forge::word(&own).map(|word| word.example),
            Place::Shop => vocabulary::of(Sort::Entry)
                .find(|entry| entry.word.split(' ').next() == Some(own.as_str()))
                .map(|entry| entry.form),
            Place::Test | Place::Head => None,
        };
        let begins = first(self.written);
        let strange = own != begins && forge::word(&begins).is_none() && !self.slips_a_verb();
        match form.filter(|form| !form.is_empty() && strange) {
            Some(form) => {
                let mut line = plain.with(0..self.written.len(), form);
                line.sample = true;
                (line, Some(Meant::Form))
            }
            None => (plain, None),
        }
    }

    /// The same, with no name taken for the figure that it is set to.
    fn as_written(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Meaning {
        // `length = 210 mm` sets nothing: it is a test that stands among the steps.
        let own = self.written.trim_start().to_lowercase().starts_with("let");
        let tested = |line: &str| {
            let name = line.strip_prefix("let ").and_then(|rest| rest.split(' ').next()).unwrap_or_default();
            [Sort::Test, Sort::Entry, Sort::Verb].into_iter().any(|sort| vocabulary::is(name, sort))
        };
        let accepts: &dyn Fn(&Worded) -> bool =
            &|line: &Worded| (own || !tested(&line.text)) && accepts(line);
        if let Some(again) = self.restacked() {
            let again = Worded::new(self.written).with(0..self.written.len(), &again);
            if accepts(&again) {
                return (again, Some(Meant::Form));
            }
        }
        let furthest = match wording::reword(self.written, self.place, self.unit, accepts) {
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
            wording::reword(text, self.place, self.unit, accepts).ok().map(|line| line.text)
        };
        let step = self.place == Place::Step;
        // What is cut along its length; the same as the line before; what stands among the steps and belongs to the shop or a target.
        if let Some(along) = step.then(|| self.lengthways(accepts)).flatten() {
            let mut line = made(along);
            line.lost = Some("`cut` goes across the bar, and so laid it goes along it");
            return (line, Some(Meant::Form));
        }
        if let Some((call, sample)) = step.then(|| self.call()).flatten().filter(|(call, _)| fits(call)) {
            let mut line = made(call);
            line.sample = sample;
            return (line, Some(Meant::Form));
        }
        if let Some(expected) = step.then(|| self.expected(&fits)).flatten() {
            return (made(expected), Some(Meant::Form));
        }
        if let Some(other) =
            step.then(|| self.same(accepts).or_else(|| self.in_a_block(true, &fits))).flatten()
        {
            return (self.placed(made(other)), Some(Meant::Form));
        }
        let parts = step || matches!(self.place, Place::Test | Place::Shop);
        if let Some((parted, sample)) = self.sentences(accepts, &fits) {
            let mut line = made(parted);
            line.sample = sample;
            return (line, Some(Meant::Form));
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
                && let Some(gist) = self.gist(&fits).filter(|gist| !gist.sample)
            {
                let mut line = made(gist.text);
                line.lost = gist.lost;
                return (line, Some(Meant::Form));
            }
            // So is what has a slip in its verb and more besides: `stak billet from …`.
            if !more
                && !accepts(&guess)
                && let Some((line, meant)) = self.with_verb(2, accepts, stops)
            {
                return (made(line), Some(meant));
            }
            return (if more { whole } else { guess }, Some(Meant::Word));
        }
        // What begins with a slip of a verb is none of another that it speaks of: `twsit bar 4 full turns`.
        if let Some((line, meant)) = self.with_verb(1, accepts, stops) {
            return (made(line), Some(meant));
        }
        if step && self.slips_a_verb() {
            return (furthest, None);
        }
        if let Some(gist) = self.gist(&fits) {
            let mut line = made(gist.text);
            (line.sample, line.lost) = (gist.sample, gist.lost);
            return (line, Some(Meant::Form));
        }
        // `pull a hidden tang …` asks for nothing: it says what is done.
        let told = gist::verb(self.written).filter(|told| gist::names(self.written, told));
        let done = told.is_some_and(|told| told.form == Form::Work);
        if let Some(block) = step.then(|| self.in_a_block(false, &fits)).flatten().filter(|_| !done) {
            return (self.placed(made(block)), Some(Meant::Form));
        }
        if let Some((line, meant)) = self.with_verb(2, accepts, stops) {
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

    /// An entry goes into the shop that the recipe has.
    fn placed(&self, line: Worded) -> Worded {
        let mut line = line;
        if self.shop && line.text.starts_with("shop {") {
            line.lost = Some(syntax::IN_THE_SHOP);
        }
        line
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
        Unread {
            written,
            place,
            pieces: pieces.clone(),
            last,
            before: None,
            unit: self.unit,
            shop: self.shop,
            figures: Vec::new(),
            recipes: Vec::new(),
            steels: self.steels.clone(),
            wanted: BTreeSet::new(),
            nested: self.nested,
        }
    }

    /// What it may mean where it says that it turns the other way: as the last step by its verb does not. Where no such step says how it turns,
    /// nothing.
    fn turned_about(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<Meaning> {
        let at = about(self.written).filter(|_| self.place == Place::Step)?;
        let first = self.written.split_whitespace().next()?;
        let word = forge::word(&vocabulary::house_verb(first))?;
        if !word.clauses().any(|key| key == Key::Turns) {
            return None;
        }
        let plain = Worded::new(self.written);
        let before = self.before.as_deref().filter(|before| before.split(' ').next() == Some(first));
        let says = |way: &str| before.is_some_and(|before| before.split([' ', ',']).any(|word| word == way));
        let way = match (says("left"), says("right")) {
            (true, false) => "right",
            (false, true) => "left",
            _ => return Some((plain, None)),
        };
        let mut line = self.written.to_owned();
        line.replace_range(at, way);
        let made = |text: &str| plain.with(0..self.written.len(), text);
        if accepts(&made(&line)) {
            return Some((made(&line), Some(Meant::Form)));
        }
        let (found, meant) = Unread { written: &line, ..self.clone() }.search(accepts, stops);
        let mut whole = made(&found.text);
        (whole.sample, whole.lost) = (found.sample, found.lost);
        Some((whole, meant))
    }

    /// What it may mean where two words are a name that lacks its hyphen: `core bar`.
    fn with_hyphens(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<Meaning> {
        let known =
            |name: &str| self.pieces.contains(name) || self.figures.iter().any(|(own, _)| *own == name);
        let mut words: Vec<String> = Vec::new();
        let mut any = false;
        let makes = |verb: &String| {
            let form = forge::word(&vocabulary::house_verb(verb)).map(|word| word.form);
            verb == "let" || matches!(form, Some(Form::Stock | Form::Stack))
        };
        for word in self.written.split_whitespace() {
            // `stock dark bars = …`: a name is one word.
            let first = words.first().is_some_and(|v| v == "let");
            if first
                && words.len() == 2
                && word.ends_with(':')
                && word.len() > 1
                && !words.iter().any(|w| w.ends_with(':'))
            {
                let name = words.pop().unwrap_or_default();
                words.push(format!("{name}-{}", word.trim_end_matches(':')));
                words.push("=".to_owned());
                any = true;
                continue;
            }
            let sets = word == "="
                || (matches!(word, ":=" | "is" | "be" | "as") && words.first().is_some_and(|v| v == "let"));
            if sets && words.first().is_some_and(makes) && words.len() == 3 {
                words = vec![words.remove(0), words.join("-")];
                any = true;
            }
            // `let the …`.
            if words.len() == 1
                && words.first().is_some_and(|v| v == "let")
                && matches!(word, "the" | "my" | "our")
            {
                continue;
            }
            let name = word.trim_end_matches([',', ':', '.', ';']);
            // Parts of a name may be names of figures and of steels, as in `core bar`.
            let is_piece = |word: &str| self.pieces.contains(word);
            let lacks =
                |before: &String| !is_piece(before) && !is_piece(name) && known(&format!("{before}-{name}"));
            match words.last_mut() {
                Some(before) if lacks(before) => {
                    *before = format!("{before}-{word}");
                    any = true;
                }
                _ => words.push(word.to_owned()),
            }
        }
        let line = any.then(|| words.join(" "))?;
        let made = |text: &str| Worded::new(self.written).with(0..self.written.len(), text);
        if accepts(&made(&line)) {
            return Some((made(&line), Some(Meant::Form)));
        }
        let (found, meant) = self.of(&line, self.place, &self.pieces, None).search(accepts, stops);
        let mut whole = made(&found.text);
        whole.lost = found.lost;
        (meant.is_some() && !found.sample).then_some((whole, Some(Meant::Form)))
    }

    /// What it may mean with the brackets, commas and kinds that it lacks.
    fn with_marks(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<Meaning> {
        let known = Known {
            figures: &self.figures,
            recipes: &self.recipes,
            pieces: &self.pieces,
            wanted: &self.wanted,
        };
        let line = marks::mended(self.written, self.place, &known)?;
        let made = |text: &str| Worded::new(self.written).with(0..self.written.len(), text);
        if accepts(&made(&line)) {
            return Some((made(&line), Some(Meant::Form)));
        }
        let (found, meant) = Unread { written: &line, ..self.clone() }.search(accepts, stops);
        let mut whole = made(&found.text);
        (whole.lost, whole.sample) = (found.lost, found.sample);
        meant.map(|_| (whole, Some(Meant::Form)))
    }

    /// What it may mean where several of its words have slips in them, or one in a line that is read in other words only.
    fn with_spelling(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<Meaning> {
        if wording::is_a_note(self.written) {
            return None;
        }
        let figure = |word: &str| self.figures.iter().any(|(own, _)| *own == word);
        let named = |word: &str| {
            self.pieces.contains(word)
                || figure(word)
                || self.steels.contains(word)
                || self.recipes.iter().any(|recipe| recipe.name == word)
        };
        let mut line = self.written.to_owned();
        let (mut made, mut worked_on) = (0, false);
        let words: Vec<_> = wording::strange(self.written).into_iter().take(24).collect();
        for (nth, (at, low)) in words.into_iter().enumerate().rev() {
            let own = self.written.get(at.clone()).unwrap_or_default();
            // A step begins with its verb and its piece.
            if named(own) || (nth == 0 && self.place == Place::Step) {
                continue;
            }
            if nth == 1 && self.place == Place::Step {
                let first = self.written.split_whitespace().next().unwrap_or_default().to_lowercase();
                let worked =
                    forge::word(&vocabulary::house_verb(&first)).is_some_and(|word| word.form == Form::Work);
                let near = |piece: &&String| {
                    let far = strsim::damerau_levenshtein(&low, &piece.to_lowercase());
                    worked && low.len() > 4 && far == 1 && !vocabulary::is_word(&low)
                };
                if let Some(piece) = self.pieces.iter().find(near) {
                    line.replace_range(at, piece);
                    (made, worked_on) = (made + 1, true);
                }
                continue;
            }
            let pieces = self.pieces.iter().map(String::as_str).filter(|_| self.place == Place::Step);
            if let Some(word) = syntax::slipped(&low, pieces) {
                // A long word is no other one.
                worked_on |= low.len() > 7;
                line.replace_range(at, word);
                made += 1;
            }
        }
        let whole = Worded::new(self.written).with(0..self.written.len(), &line);
        if made == 0 || (made == 1 && accepts(&whole)) {
            return None;
        }
        if accepts(&whole) {
            return Some((whole, Some(Meant::Form)));
        }
        let found = wording::reword(&line, self.place, self.unit, |line: &Worded| {
            let mut offered = line.clone();
            offered.sure = false;
            accepts(&offered)
        });
        if let Some(found) = found.ok().filter(|found| !found.sample) {
            return Some((whole.with(0..line.len(), &found.text), Some(Meant::Form)));
        }
        if !worked_on {
            return None;
        }
        let (found, meant) = Unread { written: &line, ..self.clone() }.search(accepts, stops);
        meant.filter(|_| !found.sample).map(|_| {
            let mut made = whole.with(0..line.len(), &found.text);
            made.lost = found.lost;
            (made, Some(Meant::Form))
        })
    }

    /// What it may mean where each name of a figure stands for what it is set to; the name then stands in what is offered.
    fn with_figures(
        &self,
        put: &Put,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<Meaning> {
        let (found, meant) = self.of(&put.line, self.place, &self.pieces, None).as_written(accepts, stops);
        meant?;
        let mut made = Worded::new(self.written).with(0..self.written.len(), &put.back(&found.text)?);
        (made.lost, made.sample) = (found.lost, found.sample);
        accepts(&made).then_some((made, Some(Meant::Form)))
    }

    /// Stock that a recipe of the file makes, called in words: the call, and whether a figure in it is an example.
    fn call(&self) -> Option<(String, bool)> {
        // `make stock blank by three-bar-blank`: both say what is done.
        let line = ["make ", "get ", "do "].iter().find_map(|idle| {
            let rest = self.written.strip_prefix(idle)?;
            forge::word(rest.split(' ').next()?).filter(|word| word.form == Form::Stock).map(|_| rest)
        });
        calls::call(line.unwrap_or(self.written), &self.recipes, &self.pieces)
    }

    /// What a line of a recipe, or one that speaks of now, says that a piece should measure there.
    fn expected(&self, fits: &dyn Fn(&str) -> bool) -> Option<String> {
        const NOW: [&str; 8] = ["now", "still", "here", "yet", "stage", "point", "far", "already"];
        const MUST: [&str; 9] = ["should", "must", "shall", "ought", "has", "needs", "wants", "better", "is"];
        const IDLE: [&str; 8] = ["by", "at", "this", "that", "so", "the", "in", "that's"];
        const CHECKS: [&str; 6] = ["make", "sure", "check", "see", "ensure", "verify"];
        let demands = |line: &str| line.split(' ').any(|word| MUST.contains(&word));
        if !demands(self.written) {
            return None;
        }
        let plain = wording::plain(self.written);
        let words: Vec<&str> = plain.split_whitespace().collect();
        let low = |word: &str| word.trim_end_matches([',', ':']).to_lowercase();
        let is_now = |word: &&str| NOW.contains(&low(word).as_str());
        let named =
            words.iter().take(6).position(|word| self.pieces.contains(word.trim_end_matches([',', ':'])))?;
        let must = words.iter().skip(named + 1).take(2).any(|word| MUST.contains(&low(word).as_str()));
        let checks = |word: &&str| CHECKS.contains(&low(word).as_str());
        let idle = |word: &&str| is_now(word) || checks(word) || IDLE.contains(&low(word).as_str());
        let now = words.iter().any(|word| is_now(word) || checks(word));
        if !must || !words.iter().take(named).all(idle) || !(self.nested || now) {
            return None;
        }
        let piece = words.get(named)?.trim_end_matches([',', ':']);
        let asked: Vec<&str> = words.iter().skip(named + 1).filter(|word| !is_now(word)).copied().collect();
        let whole = |tests: &str| format!("expect {piece}: {tests}");
        let accepts = |line: &Worded| fits(&whole(&line.text));
        let made = self.parts(&asked.join(" "), Place::Test, &accepts)?;
        (!made.is_empty()).then(|| whole(&made.join(", "))).filter(|line| fits(line))
    }

    /// What a part of it comes to: in other words, or its gist; and whether a figure in that is nobody's.
    fn part(&self, accepts: &dyn Fn(&Worded) -> bool) -> Option<(String, bool)> {
        // As what is offered: with all its units.
        let accepts = |line: &Worded| {
            let mut offered = line.clone();
            offered.sure = false;
            !syntax::is_unfolded(&line.text) && accepts(&offered)
        };
        let plain = Worded::new(self.written);
        if accepts(&plain) {
            return Some((plain.text, false));
        }
        if let Ok(line) = wording::reword(self.written, self.place, self.unit, accepts) {
            return Some((line.text, line.sample));
        }
        let fits = |text: &str| accepts(&plain.with(0..self.written.len(), text));
        self.gist(&fits).filter(|gist| gist.lost.is_none()).map(|gist| (gist.text, gist.sample))
    }

    /// Several steps, tests or entries on one line, each read by itself; also a block that lacks its braces.
    fn sentences(
        &self,
        accepts: &dyn Fn(&Worded) -> bool,
        fits: &dyn Fn(&str) -> bool,
    ) -> Option<(String, bool)> {
        let pieces = &self.pieces;
        match self.place {
            Place::Step => {
                if let Some(block) = self.block(fits) {
                    return Some((block, false));
                }
                let line = wording::plain(&without_reason(self.written));
                let around = Around { pieces, last: self.last.as_deref(), unit: self.unit };
                if let Some(made) = gist::series(&line, &around, fits) {
                    return Some((made.text, false));
                }
                let sample = Cell::new(false);
                let reads = |text: &str, pieces: &BTreeSet<String>, last: Option<&str>| {
                    let (made, example) = self.of(text, Place::Step, pieces, last).part(accepts)?;
                    sample.set(sample.get() || example);
                    Some(made)
                };
                let made = salvage::sentences(&line, pieces, &reads).or_else(|| {
                    sample.set(false);
                    salvage::sentences(self.written, pieces, &reads)
                });
                made.map(|made| (made, sample.get()))
            }
            Place::Test | Place::Shop => {
                let made = self.parts(self.written, self.place, accepts)?;
                (made.len() > 1).then(|| (made.join(" ; "), false))
            }
            Place::Head => None,
        }
    }

    /// A cut along a bar, which no verb makes by itself.
    fn lengthways(&self, accepts: &dyn Fn(&Worded) -> bool) -> Option<String> {
        let plain = wording::plain(self.written);
        let reads = |text: &str| {
            let made = self.of(text, Place::Step, &self.pieces, None).part(accepts);
            made.filter(|(_, sample)| !sample).map(|(text, _)| text)
        };
        salvage::lengthways(&plain, &self.pieces, reads)
    }

    /// The step before once more, with what a line such as `same but anticlockwise` says otherwise.
    fn same(&self, accepts: &dyn Fn(&Worded) -> bool) -> Option<String> {
        let before = self.before.as_deref()?;
        let plain = wording::plain(self.written);
        // `twist high same as low`.
        if let [verb, piece, "same" | "as" | "like", like @ ..] =
            plain.split_whitespace().collect::<Vec<_>>().as_slice()
        {
            let mut own = before.split_whitespace();
            let (of, worked) = (own.next()?, own.next()?.trim_end_matches([',', ':']));
            const IDLE: [&str; 7] = ["as", "before", "above", "last", "time", "the", "again"];
            let said = like.iter().all(|word| IDLE.contains(word) || *word == worked);
            if vocabulary::house_verb(verb) != vocabulary::house_verb(of)
                || !said
                || !self.pieces.contains(*piece)
            {
                return None;
            }
            let rest = before.get(of.len()..)?.trim_start().strip_prefix(worked)?;
            return Some(format!("{of} {piece}{rest}")).filter(|line| accepts(&Worded::new(line)));
        }
        let (first, rest) = plain.split_once(' ').unwrap_or((&plain, ""));
        if !matches!(first.to_lowercase().trim_end_matches(','), "same" | "ditto" | "likewise" | "idem") {
            return None;
        }
        const IDLE: [&str; 12] =
            ["but", "again", "on", "for", "with", "to", "as", "before", "above", "of", "it", "and"];
        let words: Vec<&str> =
            rest.split([' ', ',']).filter(|word| !word.is_empty() && !IDLE.contains(word)).collect();
        let mut own = before.split(' ');
        let (verb, piece) = (own.next()?, own.next()?.trim_end_matches(':'));
        // On another piece, or with another clause.
        let (named, others): (Vec<&str>, Vec<&str>) =
            words.iter().partition(|word| self.pieces.contains(**word));
        let piece = match named.as_slice() {
            [] => piece,
            [other] => other,
            _ => return None,
        };
        let mut line = before.replacen(before.split(' ').nth(1)?, piece, 1);
        if !others.is_empty() {
            let words = format!(
                "{verb} {piece} {}",
                rest.split(' ').filter(|w| others.contains(w)).collect::<Vec<_>>().join(" ")
            );
            let (more, sample) = self.of(&words, Place::Step, &self.pieces, None).part(accepts)?;
            let more = more.strip_prefix(&format!("{verb} {piece} ")).filter(|_| !sample)?;
            let head = |clause: &str| {
                let word = clause.split(' ').find(|w| !w.starts_with(|c: char| c.is_ascii_digit()));
                match word {
                    Some("left" | "right") => Some("left".to_owned()),
                    word => word.map(str::to_owned),
                }
            };
            let new: Vec<&str> = more.split(", ").collect();
            let body = line.strip_prefix(&format!("{verb} {piece}"))?.trim().to_owned();
            let kept = body.split(", ").filter(|clause| !new.iter().any(|new| head(new) == head(clause)));
            let all: Vec<&str> =
                kept.filter(|clause| !clause.is_empty()).chain(new.iter().copied()).collect();
            line = format!("{verb} {piece} {}", all.join(", "));
        }
        accepts(&Worded::new(&line)).then_some(line)
    }

    /// A line of the shop, or of a target, as the block that it belongs in: at `once` only where it begins as such a line does.
    fn in_a_block(&self, once: bool, fits: &dyn Fn(&str) -> bool) -> Option<String> {
        if self.slips_a_verb() {
            return None;
        }
        let (plain, written) = (wording::plain(self.written), self.written.trim_end_matches('.'));
        let line = plain.trim_end_matches('.');
        if let Some((name, asked)) = gist::spec::of_a_target(line, &self.pieces, once) {
            // What is asked of nothing in particular is mostly asked of the blade.
            let blade = || self.pieces.get("blade").or(self.pieces.last()).cloned();
            let name = name.or(self.last.clone()).or_else(blade).unwrap_or_else(|| "blade".to_owned());
            let whole = |test: &str| format!("target {name} {{ {test} }}");
            let accepts = |line: &Worded| fits(&whole(&line.text));
            let made = self.parts(&asked, Place::Test, &accepts);
            if let Some(made) = made.filter(|made| !made.is_empty()) {
                return Some(whole(&made.join(" ; ")));
            }
        }
        let names = |word: &str| self.pieces.contains(word);
        if line.split([' ', ',']).any(names) || !gist::spec::is_of_a_shop(line) {
            return None;
        }
        let whole = |entry: &str| format!("shop {{ {entry} }}");
        let accepts = |line: &Worded| fits(&whole(&line.text));
        let made = [written, line].into_iter().find_map(|line| self.parts(line, Place::Shop, &accepts))?;
        (!made.is_empty()).then(|| whole(&made.join(" ; ")))
    }

    /// Each test or entry of a line, read by itself; one that does not say what it is of goes on with that of the one before.
    fn parts(&self, line: &str, place: Place, accepts: &dyn Fn(&Worded) -> bool) -> Option<Vec<String>> {
        let mut made: Vec<String> = Vec::new();
        for text in entries(line, place) {
            let read = |text: &str| {
                let made = self.of(text, place, &self.pieces, None).part(accepts);
                made.filter(|(_, sample)| !sample).map(|(text, _)| text)
            };
            let before = made.last().and_then(|last| last.split(' ').next());
            let on = || read(&format!("{} {text}", before.filter(|_| place == Place::Test)?));
            // `60 HRC edge, 45 spine`: the second is as hard. `spine 4 mm at heel, 2 mm at tip`: so is the other end.
            let same = (before == Some("hardness") && gist::spec::is_of_a_spot(&text))
                || (before != Some("length") && gist::spec::is_of_an_end(&text));
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

    /// Whether a line begins with a slip of a verb; a word of the trade is none.
    fn slips_a_verb(&self) -> bool {
        let slip =
            |first: &str| !gist::is_cue(&first.to_lowercase()) && syntax::like_a_verb(first, 1).is_some();
        self.written.split_whitespace().next().is_some_and(slip)
    }

    /// `restack the two halves as blade`: what was worked last, where no piece is named.
    fn restacked(&self) -> Option<String> {
        const PARTS: [&str; 17] = [
            "all", "both", "them", "it", "halves", "quarters", "thirds", "pieces", "parts", "bars",
            "lengths", "slabs", "lot", "up", "back", "together", "again",
        ];
        let plain = wording::plain(self.written);
        let words: Vec<&str> = plain.split_whitespace().filter(|word| *word != "the").collect();
        let (first, rest) = words.split_first()?;
        let step = self.place == Place::Step;
        let low = first.to_lowercase();
        let restacks = matches!(low.as_str(), "restack" | "re-stack");
        let puts = matches!(low.as_str(), "put" | "pile" | "lay")
            || forge::word(&low).is_some_and(|word| word.form == Form::Stack);
        let last = self.last.as_deref().filter(|_| {
            step && (restacks || (puts && rest.iter().any(|w| matches!(*w, "back" | "together"))))
        })?;
        // `…, and call it blade from here on`.
        let rest = match rest {
            [rest @ .., "from", "here" | "now", "on"] | [rest @ .., "please" | "now"] => rest,
            rest => rest,
        };
        let as_ =
            rest.iter().position(|word| matches!(*word, "as" | "into" | "for" | "to" | "call" | "called"));
        let (parts, name) = rest.split_at(as_.unwrap_or(rest.len()));
        let idle = |word: &&str| {
            let low = word.to_lowercase();
            PARTS.contains(&low.as_str())
                || low.chars().all(|c| c.is_ascii_digit())
                || wording::said_number(&low).is_some()
                || matches!(low.as_str(), "and" | ",")
                || **word == *last
        };
        let name = match name {
            [] => last,
            [_, name] | [_, "it" | "them", name] => name,
            _ => return None,
        };
        (!parts.is_empty() && parts.iter().all(idle)).then(|| format!("stack {name} = {last}"))
    }

    /// What it comes to where there is a slip in its verb, of so many letters at most.
    fn with_verb(
        &self,
        most: usize,
        accepts: &dyn Fn(&Worded) -> bool,
        stops: &dyn Fn(&Worded) -> Option<u32>,
    ) -> Option<(String, Meant)> {
        let first = self.written.split_whitespace().next().filter(|_| self.place == Place::Step)?;
        let verb = syntax::like_a_verb(first, most)?;
        let line = format!("{verb}{}", self.written.trim_start().get(first.len()..)?);
        let (line, meant) = self.of(&line, self.place, &self.pieces, None).search(accepts, stops);
        meant.filter(|_| !line.sample).map(|meant| (line.text, meant))
    }

    /// What it comes to.
    fn gist(&self, fits: &dyn Fn(&str) -> bool) -> Option<Gisted> {
        let reasoned = without_reason(self.written);
        let plain = wording::tenths(wording::plain(&reasoned), self.unit);
        let told = |text: String| Gisted { text, sample: false, lost: None };
        match self.place {
            Place::Step => {
                let around = Around { pieces: &self.pieces, last: self.last.as_deref(), unit: self.unit };
                gist::step(&plain, &around, fits)
                    .or_else(|| gist::bars::stack(&plain, &self.pieces, fits))
                    .or_else(|| {
                        // An example that leaves out what is called by a name did not understand the line.
                        let named = |made: &Gisted| {
                            made.sample
                                && self.figures.iter().any(|(name, _)| {
                                    has_word(self.written, name) && !has_word(&made.text, name)
                                })
                        };
                        gist::bars::stock(&plain, self.unit, (&self.pieces, &self.steels), fits)
                            .filter(|made| !named(made))
                    })
            }
            Place::Test => {
                // What was worked last before a target is mostly the piece that it is of.
                let is_part = |name: &str| self.pieces.contains(name) && self.last.as_deref() != Some(name);
                gist::spec::test(&plain, self.unit, is_part, fits).map(told)
            }
            Place::Shop => gist::spec::entry(&plain, self.unit, fits).map(told),
            Place::Head => None,
        }
    }
}

/// Whether a line has a word.
fn has_word(line: &str, word: &str) -> bool {
    line.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).any(|own| own == word)
}

/// A line without the reason that it gives at its end, where no figure stands in that.
fn without_reason(line: &str) -> String {
    const WHY: [&str; 9] = [
        " because ",
        " so that ",
        " so as ",
        " in order to ",
        " to remove the ",
        " to get rid of ",
        " to clean up ",
        " since ",
        " for strength",
    ];
    let low = line.to_lowercase();
    let at = WHY.iter().filter_map(|why| low.find(why)).min().filter(|at| {
        low.get(*at..).is_some_and(|rest| !rest.contains(|c: char| c.is_ascii_digit() || c == ';'))
    });
    at.and_then(|at| line.get(..at)).map_or(line, |head| head.trim_end_matches([',', ' '])).to_owned()
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
    let and = |part: &str| -> Vec<String> {
        // `50 mm wide at heel and 5 mm thick`: both say what they are of.
        let whole = |side: &str| side.contains(|c: char| c.is_ascii_digit()) && gist::spec::is_measured(side);
        match part.split_once(" and ").filter(|(a, b)| place == Place::Test && whole(a) && whole(b)) {
            Some((a, b)) => vec![a.to_owned(), b.to_owned()],
            None => vec![part.to_owned()],
        }
    };
    for part in line.split(';').flat_map(|part| part.split(", ")).flat_map(and) {
        let part = part.trim().trim_end_matches([',', '.']);
        let goes_on = place == Place::Shop && gist::spec::goes_on(part);
        if let Some((heel, tip)) = ends(part).filter(|_| place == Place::Test) {
            made.extend([heel.to_owned(), tip.to_owned()]);
            continue;
        }
        // `60 HRC, +- 1`.
        let more = part.starts_with(['+', '±']) && place == Place::Test;
        match made.last_mut().filter(|_| goes_on || more) {
            _ if part.is_empty() => {}
            Some(before) if more => *before = format!("{before} {part}"),
            Some(before) => *before = format!("{before}, {part}"),
            None => made.push(part.to_owned()),
        }
    }
    made
}
