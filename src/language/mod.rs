//! Words to a checked plan: scan, parse, names, kinds, one bar in one place. Knows no verb by name: it reads
//! the word table of `forge`.

mod ast;
mod clauses;
mod expand;
mod figures;
mod grammar;
mod known;
mod names;
mod parse;
mod plan;
mod planner;
mod reader;
mod reuse;
mod scan;
mod shops;
mod syntax;
mod tests_of;

pub use known::Set;
pub use plan::{Ask, Op, OpLine, ParamDoc, Plan, Planned, RecipeDoc, SlotInfo, TargetPlan};

use std::collections::BTreeMap;

use crate::source::{Diagnostic, Files, Span};
use ast::Statement;

/// The address of the first byte of the file behind each `use`, by the words of its name.
pub type Uses = BTreeMap<Span, u32>;

/// The files that a file uses: each name as written, and its words.
#[must_use]
pub fn uses(files: &Files, base: u32) -> Vec<(String, Span)> {
    let text = text_of(files, base);
    if !text.contains("use") {
        return Vec::new();
    }
    let (statements, _) = parse::parse(text, base);
    let of = |s: Statement| if let Statement::Use(name, span) = s { Some((name, span)) } else { None };
    statements.into_iter().filter_map(of).collect()
}

fn text_of(files: &Files, base: u32) -> &str {
    files.whole(Span { start: base, end: base }).map_or("", |(_, text, _)| text)
}

/// Reads a file of [`Files`] to a plan, and says all that is wrong with it.
///
/// `base` is the address of the file's first byte. Files that it uses are not looked for.
#[must_use]
pub fn read(files: &Files, base: u32) -> (Plan, Vec<Diagnostic>) {
    let (plan, _, faults) = read_with(files, base, &Uses::new(), Vec::new());
    (plan, faults)
}

/// Reads a file with those that it uses, and with figures set from outside.
///
/// Gives back what was set: with the kind of the figure at its address, where there is one.
#[must_use]
pub fn read_with(files: &Files, base: u32, uses: &Uses, set: Vec<Set>) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    let (own, mut faults) = parse::parse(text_of(files, base), base);
    let mut used: Vec<(u32, Vec<Statement>)> = Vec::new();
    let mut open: Vec<u32> = used_by(&own, uses);
    open.reverse();
    while let Some(next) = open.pop() {
        if next == base || used.iter().any(|(known, _)| *known == next) {
            continue;
        }
        let (statements, found) = parse::parse(text_of(files, next), next);
        faults.extend(found);
        let mut further = used_by(&statements, uses);
        further.reverse();
        open.extend(further);
        used.push((next, statements));
    }
    let used: Vec<Vec<Statement>> = used.into_iter().map(|(_, statements)| statements).collect();
    let (plan, set, more) = planner::plan(planner::Sources { own: &own, used: &used, set });
    faults.extend(more);
    faults.sort_by_key(Diagnostic::span);
    (plan, set, faults)
}

fn used_by(statements: &[Statement], uses: &Uses) -> Vec<u32> {
    let of = |s: &Statement| if let Statement::Use(_, span) = s { uses.get(span).copied() } else { None };
    statements.iter().filter_map(of).collect()
}
