//! What the other lines of a file speak of: a line that cannot be read may mean the same.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::gist;
use super::named::{Set, set_in};
use super::reader::Reader;
use super::scan::Piece;
use super::{vocabulary, wording};
use crate::forge::{self, Form};
use crate::source::Span;
use crate::vocabulary::Sort;

/// The lines of a file and the heads of its blocks, each with where it stands.
pub fn said<'t>(reader: &Reader<'t>, pieces: &[Piece]) -> impl Iterator<Item = (Span, &'t str)> {
    pieces.iter().filter_map(|piece| match piece {
        Piece::Line { span, .. } | Piece::Open { head: span, .. } => Some((*span, reader.slice(*span))),
        Piece::Close(_) => None,
    })
}

/// The words of a block's body that may be names; more than any recipe has are not followed.
pub fn mentioned(reader: &Reader, pieces: &[Piece], head: Span) -> BTreeSet<String> {
    const MOST: usize = 512;
    let own = |piece: &&Piece| matches!(piece, Piece::Open { head: of, .. } if *of == head);
    let mut depth = 0_usize;
    let body = pieces.iter().skip_while(|piece| !own(piece)).take_while(|piece| {
        match piece {
            Piece::Open { .. } => depth += 1,
            Piece::Close(_) => depth = depth.saturating_sub(1),
            Piece::Line { .. } => {}
        }
        depth > 0
    });
    let body: Vec<Piece> = body.skip(1).copied().collect();
    let words = said(reader, &body).flat_map(|(_, line)| words(line));
    words.filter(|word| wording::may_name(word)).take(MOST).map(str::to_owned).collect()
}

/// A line that begins with a verb and goes on with the name of a piece.
#[derive(Debug)]
struct Working<'t> {
    start: u32,
    words: &'t str,
    piece: &'t str,
    /// What it makes besides.
    besides: Vec<&'t str>,
    /// Nothing where the verb is no step's.
    form: Option<Form>,
}

/// The pieces of a file, gone through once.
#[derive(Debug)]
pub struct Neighbours<'t> {
    /// In the order of the file.
    lines: Vec<Working<'t>>,
    /// How often each piece is named.
    named: BTreeMap<&'t str, usize>,
    /// The unit that most lengths are in.
    pub unit: Option<&'static str>,
    /// Whether a shop is stated.
    pub shop: bool,
    /// The names of figures, each with what it is set to.
    pub figures: Set<'t>,
    /// The recipes of the file.
    pub recipes: Vec<Head<'t>>,
    /// The names of steels: of parameters, and of those that the file states.
    pub steels: BTreeSet<String>,
    /// The names of pieces that lines work and none makes, once somebody asks.
    unmade: OnceCell<BTreeSet<String>>,
}

/// The head of a recipe: its name, and each parameter with its kind and what it is set to.
#[derive(Clone, Debug)]
pub struct Head<'t> {
    /// As it is called.
    pub name: &'t str,
    /// `pitch`, `length`, `30 mm`; nothing where a call must say it.
    pub takes: Vec<(&'t str, &'t str, Option<&'t str>)>,
}

/// The head of a recipe, where a line is one.
fn head(line: &str) -> Option<Head<'_>> {
    let (name, rest) = line.strip_prefix("recipe ")?.split_once('(')?;
    let name = name.trim();
    let takes = rest.split_once(')')?.0.split(',').filter_map(|part| {
        let (name, kind) = part.split_once(':')?;
        let (kind, set) = kind.split_once('=').map_or((kind, None), |(kind, set)| (kind, Some(set.trim())));
        Some((name.trim(), kind.trim(), set))
    });
    wording::may_name(name).then(|| Head { name, takes: takes.collect() })
}

/// The words of a line that may be names or verbs.
fn words(line: &str) -> impl Iterator<Item = &str> {
    line.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).filter(|word| !word.is_empty())
}

/// The piece that a line sets to so many bars, where it says no verb.
fn stocked(line: &str) -> Option<&str> {
    const SHAPES: [&str; 8] = ["bar", "bars", "square", "squares", "round", "rounds", "plate", "plates"];
    let (piece, bars) = line.split_once('=')?;
    let piece = piece.trim_end();
    let one = words(piece).eq([piece]) && wording::may_name(piece) && !vocabulary::is(piece, Sort::Verb);
    let bars = wording::tokens(bars);
    let counted = matches!(bars.as_slice(), [count, shape, ..] if count.sort == wording::Sort::Number && SHAPES.contains(&shape.low.as_str()));
    (one && counted).then_some(piece)
}

/// Where a line says that it turns the other way than one before it.
#[must_use]
pub fn about(words: &str) -> Option<Range<usize>> {
    const SAID: [&str; 9] = [
        "in the opposite direction",
        "the opposite direction",
        "opposite direction",
        "the opposite way",
        "the other direction",
        "the other way",
        "other way",
        "in reverse",
        "reversed",
    ];
    // As long as it was: other letters than these stay where they stand.
    let low = words.to_ascii_lowercase();
    SAID.iter().find_map(|said| low.find(said).map(|at| at..at + said.len()))
}

impl<'t> Neighbours<'t> {
    /// Goes through a file's pieces: how they stand on its lines is of no matter.
    #[must_use]
    pub fn of(reader: &Reader<'t>, pieces: &[Piece]) -> Neighbours<'t> {
        let (mut lines, mut named) = (Vec::new(), BTreeMap::new());
        for (span, line) in said(reader, pieces) {
            // `dark = 7 bars of 1084` is stock without its verb.
            if let Some(piece) = stocked(line) {
                *named.entry(piece).or_insert(0) += 1;
                let (besides, form) = (Vec::new(), Some(Form::Stock));
                lines.push(Working { start: span.start, words: line, piece, besides, form });
                continue;
            }
            let mut words = words(line);
            let Some(verb) = words.next().map(vocabulary::house_verb) else { continue };
            let Some(piece) = words.next().filter(|w| wording::may_name(w)) else { continue };
            if !vocabulary::is(&verb, Sort::Verb) {
                continue;
            }
            *named.entry(piece).or_insert(0) += 1;
            // `into lower, upper`, `keep tail`: pieces that it makes besides.
            let (mut makes, mut besides) = (false, Vec::new());
            for word in words {
                let named = wording::may_name(word);
                makes = matches!(word, "into" | "keep") || makes && named;
                if makes && named {
                    besides.push(word);
                }
            }
            for piece in &besides {
                *named.entry(piece).or_insert(0) += 1;
            }
            let form = forge::word(&verb).map(|word| word.form);
            lines.push(Working { start: span.start, words: line, piece, besides, form });
        }
        let all = || said(reader, pieces).map(|(_, line)| line);
        // More than any recipe has are not followed.
        let figures = all().flat_map(set_in).take(64).collect();
        let recipes: Vec<Head> = all().filter_map(head).take(32).collect();
        let taken = recipes.iter().flat_map(|recipe| &recipe.takes);
        let taken = taken.filter(|(_, kind, _)| *kind == "steel").map(|(name, ..)| *name);
        let stated = all().filter_map(|line| line.strip_prefix("steel ")?.split_whitespace().next());
        Neighbours {
            lines,
            named,
            unit: gist::unit_of(reader.whole()),
            shop: all().any(|line| line.trim_end() == "shop"),
            figures,
            steels: taken.chain(stated).take(64).map(str::to_owned).collect(),
            recipes,
            unmade: OnceCell::new(),
        }
    }

    /// The names of pieces that other lines than this one work or make.
    #[must_use]
    pub fn names(&self, but: Span) -> BTreeSet<String> {
        let own = self.lines.binary_search_by_key(&but.start, |line| line.start).ok();
        let own = own.and_then(|at| self.lines.get(at));
        let names = |piece: &str| {
            own.map_or(0, |line| {
                usize::from(line.piece == piece) + line.besides.iter().filter(|b| **b == piece).count()
            })
        };
        let others = self.named.iter().filter(|(piece, times)| **times > names(piece));
        others.map(|(piece, _)| (*piece).to_owned()).collect()
    }

    /// The names of pieces that other lines work and none makes; more than any recipe has are not followed.
    #[must_use]
    pub fn unmade(&self) -> &BTreeSet<String> {
        self.unmade.get_or_init(|| self.made_by_none())
    }

    fn made_by_none(&self) -> BTreeSet<String> {
        let makes = |line: &&Working| matches!(line.form, Some(Form::Stock | Form::Stack));
        let made = self.lines.iter().filter(makes).map(|line| line.piece);
        let made = made.chain(self.lines.iter().flat_map(|line| line.besides.iter().copied()));
        let taken = self.recipes.iter().flat_map(|recipe| recipe.takes.iter().map(|(name, ..)| *name));
        let made: BTreeSet<&str> = made.chain(taken).collect();
        let worked = self.lines.iter().filter(|line| line.form.is_some()).map(|line| line.piece);
        let stacks = self.lines.iter().filter(|line| line.form == Some(Form::Stack));
        let laid =
            stacks.filter_map(|line| line.words.split_once('=')).flat_map(|(_, laid)| laid.split([' ', ',']));
        let laid =
            laid.filter(|word| !word.is_empty() && wording::may_name(word) && !vocabulary::is_reserved(word));
        worked.chain(laid).filter(|piece| !made.contains(piece)).take(64).map(str::to_owned).collect()
    }

    /// The step before a line that works a piece; of one such as `twist high same as low`, or `twist high …, the other way`, the last before it by
    /// that verb, of that piece where it is named.
    #[must_use]
    pub fn before(&self, line: Span, words: &str) -> Option<String> {
        let until = self.lines.partition_point(|other| other.start < line.start);
        let before = self.lines.get(..until)?;
        let mut said = words.split_whitespace();
        let (verb, _, same) = (said.next()?, said.next(), said.next());
        let meant = if matches!(same, Some("same" | "as" | "like")) || about(words).is_some() {
            let verb = vocabulary::house_verb(verb);
            let likes: Vec<&str> = said.filter(|word| self.named.contains_key(word)).collect();
            let own = |line: &Working| line.words.split_whitespace().next().map(vocabulary::house_verb);
            let by = |line: &&Working| own(line).as_deref() == Some(&*verb);
            let named = |line: &&Working| likes.is_empty() || likes.contains(&line.piece);
            before.iter().rfind(|line| by(line) && named(line))
        } else {
            before.last()
        };
        let words = meant.filter(|line| line.form == Some(Form::Work))?.words;
        Some(words.split_whitespace().collect::<Vec<_>>().join(" "))
    }

    /// The piece that the last line before one works or makes; one of stock only where there is no other.
    #[must_use]
    pub fn last(&self, before: Span) -> Option<String> {
        let until = self.lines.partition_point(|line| line.start < before.start);
        let lines = || self.lines.iter().take(until).filter(|line| line.form.is_some());
        let is_stock = |line: &&Working| line.form == Some(Form::Stock);
        let last = lines().rev().find(|line| !is_stock(line));
        let mut stock = lines().filter(is_stock);
        let only = || stock.next().filter(|_| stock.next().is_none());
        last.or_else(only).map(|line| line.piece.to_owned())
    }
}
