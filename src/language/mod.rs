//! Words to a checked plan: scan, parse, names, kinds, one bar in one place. Knows no verb by name: it reads
//! the word table of `forge`.

mod ast;
mod calls;
mod clauses;
mod figures;
mod format;
mod gist;
mod grammar;
mod index;
mod layout;
mod left_out;
mod lines;
mod log;
mod marks;
mod meaning;
mod memo;
mod named;
mod names;
mod neighbours;
mod outline;
mod parse;
mod planner;
mod read;
mod reader;
mod reuse;
mod salvage;
mod scan;
mod set;
mod settle;
mod spec_lines;
mod syntax;
mod vocabulary;
mod wording;
mod words;

pub use clauses::WORDS as WORD_RULES;
pub use format::{Unformatted, format};
pub use index::{Index, Sort, Thing, index};
pub use memo::Memo;
pub use outline::{Block, Entry, EntryKind, Lines, beginnings, lines, no_name, outline};
pub use parse::put_right;
pub use read::{Uses, build_of, rack_of, read, read_with, shop_of, uses};
pub use set::Set;
pub use vocabulary::{of as words_of, vocabulary};

use crate::forge::{Key, Word};
use crate::source::{Files, Span};
use ast::Statement;

/// A clause of a step, and where both stand.
#[derive(Clone, Copy, Debug)]
pub struct Used {
    /// The clause.
    pub key: Key,
    /// The verb of its step.
    pub word: &'static Word,
    /// The words of the clause.
    pub span: Span,
    /// The words of the step.
    pub step: Span,
}

/// Every clause of a file as it is written, also inside blocks; nothing is looked up.
#[must_use]
pub fn clauses_of(files: &Files, base: u32) -> Vec<Used> {
    let mut found = Vec::new();
    let (mut open, _) = parse::parse(files.text_from(base), base);
    open.reverse();
    while let Some(statement) = open.pop() {
        match statement {
            Statement::Step(step) => found.extend(step.clauses.iter().map(|clause| Used {
                key: clause.key,
                word: step.word,
                span: clause.span,
                step: step.span,
            })),
            Statement::Repeat(_, body, _) => open.extend(body.into_iter().rev()),
            Statement::Recipe(recipe) => open.extend(recipe.body.into_iter().rev()),
            _ => {}
        }
    }
    found
}
