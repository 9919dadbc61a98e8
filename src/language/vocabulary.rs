//! Every word of the language, gathered from the rooms that know them.

use std::sync::OnceLock;

use super::ast::KINDS;
use crate::vocabulary::{Sort, Term, plain};
use crate::{forge, quantity, spec, steel};

/// Words that begin a line and are no verb.
const STATEMENTS: &[&str] = &[
    "let", "steel", "note", "shop", "target", "recipe", "repeat", "use", "give", "build", "mark", "units",
    "allow",
];

/// Every word, with all that it means.
#[must_use]
pub fn vocabulary() -> &'static [Term] {
    static ALL: OnceLock<Vec<Term>> = OnceLock::new();
    ALL.get_or_init(|| {
        let own = plain(Sort::Statement, STATEMENTS);
        let kinds = KINDS.iter().map(|(word, _)| Term::new(word, Sort::Kind));
        let own = own.chain(kinds).chain([Term::new("like", Sort::Joint)]);
        let rooms = forge::terms().chain(spec::terms()).chain(steel::terms()).chain(quantity::terms());
        own.chain(rooms).collect()
    })
}

/// The words of a sort, in the order in which they are listed.
pub fn of(sort: Sort) -> impl Iterator<Item = &'static Term> {
    vocabulary().iter().filter(move |term| term.sort == sort)
}

/// The word of a sort that a text spells: one blank between its parts, in the singular.
pub fn spelt(text: &str, sort: Sort) -> Option<&'static Term> {
    let same = |spelling: &str| spelling.split(' ').eq(text.split_whitespace());
    of(sort).find(|term| term.spellings().any(same))
}

/// Whether a word is one of a sort.
pub fn is(word: &str, sort: Sort) -> bool {
    of(sort).any(|term| term.word == word)
}

/// Whether no name may be a word.
pub fn is_reserved(word: &str) -> bool {
    vocabulary().iter().any(|term| term.reserved && term.word == word)
}

/// Whether a word begins a line and is no verb.
pub fn is_statement(word: &str) -> bool {
    is(word, Sort::Statement)
}

/// The single words that may follow in the line of a step: those that are reserved first.
pub fn following() -> impl Iterator<Item = &'static str> {
    let of = |reserved: bool| vocabulary().iter().filter(move |t| t.sort.follows() && t.reserved == reserved);
    of(true).chain(of(false)).flat_map(|term| term.spellings().flat_map(|word| word.split(' ')))
}

/// Whether a word may follow in a line, as the grammar reads it.
pub fn may_follow(low: &str) -> bool {
    let first = |spelling: &str| spelling.split(' ').next() == Some(low);
    let follows = |term: &&Term| term.reserved || (term.sort.follows() && low.len() > 1);
    vocabulary().iter().filter(follows).any(|term| term.spellings().any(first))
}

/// Whether a word is one of the language, in any place.
pub fn is_word(low: &str) -> bool {
    vocabulary().iter().any(|term| term.spellings().any(|word| word.split(' ').any(|part| part == low)))
}

/// A verb as the house writes it: in lower case, and in one of two spellings.
pub fn house_verb(text: &str) -> String {
    let lower = text.to_lowercase();
    if lower == "normalize" { "normalise".to_owned() } else { lower }
}
