//! Recipes that are called: their heads, their calls, and the comments that explain them.

use super::ast::{Call, Given, KINDS, Param, Recipe, Statement};
use super::grammar::{Node, Rule};
use super::reader::Reader;
use crate::forge::{Name, Word};
use crate::source::Span;

/// Reads the head of a recipe.
pub fn recipe(reader: &Reader, node: Node, span: Span) -> Option<Recipe> {
    let (mut name, mut params) = (None, Vec::new());
    for part in node.into_inner() {
        match part.as_rule() {
            Rule::name => name = Some(reader.name(&part)),
            Rule::param => params.extend(param(reader, part)),
            _ => {}
        }
    }
    Some(Recipe { name: name?, params, body: Vec::new(), doc: reader.comment_above(span), span })
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
    let (mut recipe, mut given) = (None, Vec::new());
    for part in node.into_inner() {
        match part.as_rule() {
            Rule::name => recipe = Some(reader.name(&part)),
            Rule::call_arg => {
                let mut parts = part.into_inner();
                let to = parts.find(|p| p.as_rule() == Rule::name).map(|p| reader.name(&p));
                let value = parts.find_map(|p| match p.as_rule() {
                    Rule::quantity => Some(Given::Quantity(reader.quantity(p))),
                    Rule::grade => Some(Given::Grade(reader.grade(&p))),
                    _ => None,
                });
                given.extend(to.zip(value));
            }
            _ => {}
        }
    }
    Some(Statement::Call(Box::new(Call { word, name, recipe: recipe?, given, span })))
}
