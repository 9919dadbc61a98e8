//! Words to a checked plan: scan, parse, names, kinds, one bar in one place. Knows no verb by name: it reads
//! the word table of `forge`.

mod ast;
mod clauses;
mod figures;
mod grammar;
mod names;
mod parse;
mod plan;
mod planner;
mod reader;
mod scan;
mod syntax;
mod tests_of;

pub use plan::{Ask, Op, OpLine, Plan, Planned, SlotInfo, TargetPlan};

use crate::source::{Diagnostic, Files};

/// Reads a file of [`Files`] to a plan, and says all that is wrong with it.
///
/// `base` is the address of the file's first byte.
#[must_use]
pub fn read(files: &Files, base: u32) -> (Plan, Vec<Diagnostic>) {
    let text = files.whole(crate::source::Span { start: base, end: base }).map_or("", |(_, text, _)| text);
    let (statements, mut faults) = parse::parse(text, base);
    let (plan, more) = planner::plan(&statements);
    faults.extend(more);
    faults.sort_by_key(Diagnostic::span);
    (plan, faults)
}
