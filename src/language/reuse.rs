//! Recipes that are called: their heads, their calls, and the comments that explain them.

use super::ast::{Call, Given, KINDS, Param, Recipe, Statement};
use super::grammar::{Node, Rule, next};
use super::reader::Reader;
use crate::forge::{Name, Word};
use crate::source::Span;

/// Reads the head of a recipe.
pub fn recipe(reader: &Reader, node: Node, span: Span) -> Option<Recipe> {
    let mut parts = node.into_inner();
    let name = reader.name(&next(&mut parts, Rule::name)?);
    let params = parts.filter(|p| p.as_rule() == Rule::param).filter_map(|p| param(reader, p)).collect();
    Some(Recipe { name, params, body: Vec::new(), doc: reader.comment_above(span), span })
}

fn param(reader: &Reader, node: Node) -> Option<Param> {
    let at = reader.span(&node);
    let (mut name, mut kind, mut default) = (None, None, None);
    for part in node.into_inner() {
        match part.as_rule() {
            Rule::name => name = Some(reader.name(&part)),
            Rule::param_kind | Rule::steel_kind => {
                kind = KINDS.iter().find(|(word, _)| *word == part.as_str().trim()).map(|(_, kind)| *kind);
            }
            Rule::quantity => default = Some(Given::Quantity(reader.quantity(part))),
            Rule::grade => default = Some(Given::Grade(reader.grade(&part))),
            _ => {}
        }
    }
    Some(Param { name: name?, kind: kind?, default, doc: reader.comment_behind(at) })
}

/// Reads a call.
pub fn call(reader: &Reader, node: Node, name: Name, span: Span, word: &'static Word) -> Option<Statement> {
    let mut parts = node.into_inner();
    let recipe = reader.name(&next(&mut parts, Rule::name)?);
    let arg = |arg: Node| {
        let mut parts = arg.into_inner();
        let to = reader.name(&next(&mut parts, Rule::name)?);
        let value = parts.find_map(|p| match p.as_rule() {
            Rule::quantity => Some(Given::Quantity(reader.quantity(p))),
            Rule::grade => Some(Given::Grade(reader.grade(&p))),
            _ => None,
        });
        Some((to, value?))
    };
    let given = parts.filter(|p| p.as_rule() == Rule::call_arg).filter_map(arg).collect();
    Some(Statement::Call(Box::new(Call { word, name, recipe, given, span })))
}
