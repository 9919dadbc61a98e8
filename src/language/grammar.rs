//! The grammar, compiled from `grammar/heatbook.pest`.

/// The parser of one logical line.
#[derive(pest_derive::Parser)]
#[grammar = "../grammar/heatbook.pest"]
pub struct Grammar;

pub use pest::iterators::Pair;

/// A stretch of a parsed line.
pub type Node<'i> = Pair<'i, Rule>;
