//! The grammar, compiled from `grammar/heatbook.pest`.

/// The parser of one logical line.
#[derive(pest_derive::Parser)]
#[grammar = "../grammar/heatbook.pest"]
pub struct Grammar;

pub use pest::iterators::{Pair, Pairs};

/// A stretch of a parsed line.
pub type Node<'i> = Pair<'i, Rule>;

/// The next part of a line that is of a rule; those before it are passed over.
pub fn next<'t>(parts: &mut Pairs<'t, Rule>, rule: Rule) -> Option<Node<'t>> {
    parts.find(|part| part.as_rule() == rule)
}
