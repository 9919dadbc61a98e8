//! What an offer leaves out of the line that it is offered for: a word that nothing here knows, so that nobody can tell that it says
//! nothing; a clause of the verb that is said in its own words; how often; what is asked. A line that lacks something is not offered: its
//! form is.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use super::gist;
use super::vocabulary;
use super::wording::{Sort, Token, said_number, tokens};
use crate::forge::{self, Form, GISTS, Pattern, WORDINGS, Word};
use crate::quantity::said_unit;

/// The least letters of a word in which one may be wrong.
const LONG: usize = 4;
/// The most of one that is looked up for a slip in it.
const LONGEST: usize = 24;

/// Words that the tables of what smiths say have on either side, whatever they stand for there.
fn in_the_tables() -> &'static BTreeSet<String> {
    static ALL: OnceLock<BTreeSet<String>> = OnceLock::new();
    ALL.get_or_init(|| {
        let rows = WORDINGS.lines().chain(GISTS.lines()).filter(|row| !row.starts_with(';'));
        let words = rows.flat_map(|row| row.split([' ', '|', '+', '?', '^', '&', '[', ']', ':']));
        words.filter(|word| word.starts_with(|c: char| c.is_lowercase())).map(str::to_owned).collect()
    })
}

/// Whether two words are one, but for an ending or a letter.
fn alike(a: &str, b: &str) -> bool {
    let plain = |word: &str| word.trim_end_matches("'s").trim_end_matches("’s").to_owned();
    let (a, b) = (plain(a), plain(b));
    let long = a.len() >= LONG && b.len() >= LONG;
    a == b || (long && one_slip(&a, &b)) || gist::is_one(&a, &[b])
}

/// Whether one letter is wrong, too much or missing, or two have changed places.
fn one_slip(a: &str, b: &str) -> bool {
    a.len().abs_diff(b.len()) < LONG && a.len() <= LONGEST && strsim::damerau_levenshtein(a, b) <= 1
}

/// Whether a line has words that neither what is offered for it nor what is said `beside` that says, and that it does not mean the
/// same without.
pub fn left_out(written: &str, offered: &str, beside: &str, pieces: &BTreeSet<String>) -> bool {
    let (all, made) = (tokens(written), tokens(offered));
    let said = format!("{offered} {beside}").to_lowercase();
    let has = |word: &str| said.contains(word) || made.iter().any(|t| alike(&t.low, word));
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let verb = forge::word(made.first().map_or("", |t| t.low.as_str()));
    let flags: Vec<&str> = verb.map(flags).unwrap_or_default();
    // A stack goes without none of its bars.
    let stack = verb.is_some_and(|verb| verb.form == Form::Stack);
    let bar = |low: &str| stack && pieces.iter().any(|piece| alike(low, piece)) && !has(low);
    // What is used is a file.
    if written.contains(".heat") && !offered.contains(".heat") {
        return true;
    }
    // What lies between two others is not the first of them.
    let between = |at: usize| {
        let named = |i: &usize| {
            all.get(*i).and_then(|t| written.get(t.at.clone())).filter(|name| pieces.contains(*name))
        };
        let inner = (0..at).rev().find_map(|i| named(&i));
        let first = offered
            .split_once('=')
            .and_then(|(_, items)| items.split([' ', ',']).find(|item| !item.is_empty()));
        stack && low(at) == "between" && inner.is_some() && inner == first
    };
    // A clause of the verb that stands alone, word for word.
    let flag = |at: usize| {
        flags.iter().any(|flag| {
            let there = flag.split(' ').enumerate().all(|(n, word)| low(at + n) == word);
            let denied = matches!(low(at.wrapping_sub(1)), "no" | "without");
            there && !denied && !flag.split(' ').all(has)
        })
    };
    let needs = |at: usize| {
        let any = gist::needs(low(at)).or_else(|| gist::needs(&format!("{}+{}", low(at), low(at + 1))));
        let says = |word: &String| match word.chars().all(char::is_alphabetic) {
            true if word.len() < LONG => made.iter().any(|t| t.low == *word),
            _ => said.contains(word),
        };
        any.is_some_and(|any| !any.iter().any(says))
    };
    // `fold it and weld it` is no weld alone.
    let further = verb.is_some_and(|verb| all.iter().skip(1).any(|t| t.low == verb.word));
    let first = further && forge::word(low(0)).is_some() && !gist::is_light(low(0)) && !has(low(0));
    let lost = |at: usize, t: &Token| {
        (t.low.contains('?') && !offered.contains('?'))
            || needs(at)
            || flag(at)
            || (at > 0 && bar(&t.low))
            || between(at)
            || (at == 0 && first)
            // What an offer has for its verb is seen to be another word.
            || (at > 0 && is_strange(t) && !has(&t.low))
    };
    all.iter().enumerate().any(|(at, t)| t.sort != Sort::Text && lost(at, t))
}

/// The clauses of a verb that are words alone.
fn flags(word: &'static Word) -> Vec<&'static str> {
    let alone = word.clauses().filter(|key| key.pattern() == Pattern::Flag);
    alone.flat_map(|key| key.forms().iter().copied()).collect()
}

/// Whether nothing here knows a word.
fn is_strange(t: &Token) -> bool {
    let letters = t.low.chars().all(|c| c.is_alphabetic() || c == '-' || c == '\'' || c == '’');
    let slip = |unit: &str| t.low.len() > LONG && alike(unit, &t.low);
    let units = || vocabulary::of(crate::vocabulary::Sort::Unit).flat_map(|term| term.spellings());
    let figure = said_number(&t.low).is_some() || said_unit(&t.low).is_some() || units().any(slip);
    if t.sort != Sort::Word || t.low.len() < 2 || !letters || figure {
        return false;
    }
    // A slip of the pen in what says nothing says nothing either.
    let idle = |word: &str| gist::idle().iter().any(|idle| alike(idle, word));
    let known = |word: &str| {
        in_the_tables().contains(word)
            || vocabulary::is_word(word)
            || gist::is_cue(word)
            || idle(word)
            || gist::needs(word).is_some()
            || forge::usual(word).is_some()
    };
    // So does one in a word that is known, unless it needs another.
    let slip = |low: &str| {
        let near = |word: &&String| low.chars().next() == word.chars().next() && one_slip(low, word);
        let of = in_the_tables().iter().find(|word| low.len() > LONG && word.len() > LONG && near(word));
        of.is_some_and(|word| gist::needs(word).is_none())
    };
    let stem = t.low.trim_end_matches("'s").trim_end_matches("’s");
    !(known(stem) || slip(stem) || stem.split('-').all(known))
}
