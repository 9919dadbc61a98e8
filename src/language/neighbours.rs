//! What the other lines of a file speak of: a line that cannot be read may mean the same.

use std::collections::{BTreeMap, BTreeSet};

use super::gist;
use super::reader::Reader;
use super::{vocabulary, wording};
use crate::forge::{self, Form};
use crate::source::Span;
use crate::vocabulary::Sort;

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

/// The lines of a file, gone through once.
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
    pub figures: Vec<(&'t str, &'t str)>,
}

impl<'t> Neighbours<'t> {
    /// Goes through a file.
    #[must_use]
    pub fn of(reader: &Reader<'t>) -> Neighbours<'t> {
        let (mut lines, mut named) = (Vec::new(), BTreeMap::new());
        for (start, line) in reader.lines() {
            let whole = line.trim();
            let words = line.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_'));
            let mut words = words.filter(|w| !w.is_empty());
            let Some(verb) = words.next().map(vocabulary::house_verb) else { continue };
            let Some(piece) = words.next().filter(|w| wording::may_name(w)) else { continue };
            if vocabulary::is(&verb, Sort::Verb) {
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
                lines.push(Working {
                    start,
                    words: whole,
                    piece,
                    besides,
                    form: forge::word(&verb).map(|word| word.form),
                });
            }
        }
        let opens = |line: &str| {
            line.strip_prefix("shop")
                .is_some_and(|rest| matches!(rest.trim_start().chars().next(), None | Some('{')))
        };
        let shop = reader.lines().any(|(_, line)| opens(line.trim()));
        // More names than any recipe has are not followed.
        let figures = reader.lines().flat_map(|(_, line)| set_in(line)).take(64).collect();
        Neighbours { lines, named, unit: gist::unit_of(reader.whole()), shop, figures }
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

    /// The step before a line that works a piece.
    #[must_use]
    pub fn before(&self, line: Span) -> Option<String> {
        let until = self.lines.partition_point(|other| other.start < line.start);
        let last = self.lines.get(until.checked_sub(1)?)?;
        (last.form == Some(Form::Work)).then(|| last.words.to_owned())
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

/// What a line sets: `let crop = 3/8 in`, or parameters, as in `crop: length = 3/8 in, skin: length = 0.2 mm`.
fn set_in(line: &str) -> impl Iterator<Item = (&str, &str)> {
    let line = line.split('#').next().unwrap_or_default().trim();
    let own = line.strip_prefix("let ").and_then(|rest| rest.split_once('='));
    let parameter = |text| {
        let (name, set): (&str, &str) = str::split_once(text, ':')?;
        Some((name.split([' ', '(']).next_back()?, set.split_once('=')?.1.trim_end_matches([' ', ')', '{'])))
    };
    let parameters = line.split(',').filter_map(parameter);
    own.into_iter().chain(parameters).map(|(name, value)| (name.trim(), value.trim()))
}
