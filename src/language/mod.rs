//! Words to a checked plan: scan, parse, names, kinds, one bar in one place. Knows no verb by name: it reads
//! the word table of `forge`.

mod ast;
mod clauses;
mod expand;
mod figures;
mod format;
mod grammar;
mod index;
mod known;
mod layout;
mod lines;
mod log;
mod memo;
mod names;
mod outline;
mod parse;
mod plan;
mod planner;
mod reader;
mod requirements;
mod reuse;
mod scan;
mod shops;
mod spec_lines;
mod syntax;
mod vocabulary;
mod words;

pub use clauses::WORDS as WORD_RULES;
pub use format::{Unformatted, format};
pub use index::{Index, Sort, Thing, index};
pub use known::Set;
pub use memo::Memo;
pub use outline::{Block, Entry, EntryKind, Lines, beginnings, lines, no_name, outline};
pub use plan::{Ask, Op, OpLine, ParamDoc, Plan, Planned, RecipeDoc, SlotInfo, TargetPlan};
pub use vocabulary::{of as words_of, vocabulary};

use std::collections::BTreeMap;

use crate::forge::{Key, Word};
use crate::source::{Code, Diagnostic, Files, Span};
use ast::Statement;

/// The address of the first byte of the file behind each `use`, by the words of its name.
pub type Uses = BTreeMap<Span, u32>;

/// The files that a file uses: each name as written, and its words.
#[must_use]
pub fn uses(files: &Files, base: u32) -> Vec<(String, Span)> {
    let of = |s: Statement| if let Statement::Use(name, span) = s { Some((name, span)) } else { None };
    top_lines(files, base, "use").into_iter().filter_map(of).collect()
}

/// The statements at the top of a file that begin with a word: only those lines are read.
fn top_lines(files: &Files, base: u32, word: &str) -> Vec<Statement> {
    let text = text_of(files, base);
    if !text.contains(word) {
        return Vec::new();
    }
    let lines = outline::lines(text, base);
    let begins = |line: &&Span| syntax::first_word(files.text(**line)) == word;
    let top = lines.lines.iter().filter(begins).filter(|line| lines.block_at(line.start).is_none());
    top.flat_map(|line| parse::parse(files.text(*line), line.start).0).collect()
}

/// Whether a word belongs to the language, and is not read yet.
#[must_use]
pub fn is_later(word: &str) -> bool {
    vocabulary::is(word, crate::vocabulary::Sort::Later)
}

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
    let (mut open, _) = parse::parse(text_of(files, base), base);
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

/// The recipe that a build log speaks of, by its name as written and the words of that; `None` where the file is no log.
#[must_use]
pub fn build_of(files: &Files, base: u32) -> Option<(String, Span)> {
    top_lines(files, base, "build")
        .into_iter()
        .find_map(|s| if let Statement::BuildOf(name, span) = s { Some((name, span)) } else { None })
}

/// Reads a file with those that it uses, and with figures set from outside.
///
/// Gives back what was set: with the kind of the figure at its address, where there is one.
#[must_use]
pub fn read_with(files: &Files, base: u32, uses: &Uses, set: Vec<Set>) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    read_logged(files, base, None, uses, set)
}

/// The same, with what a log says was measured: the address of the log's first byte.
#[must_use]
pub fn read_logged(
    files: &Files,
    base: u32,
    log: Option<u32>,
    uses: &Uses,
    set: Vec<Set>,
) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    read_remembered(files, base, log, uses, set, &mut Memo::none())
}

/// The same with a memo of what the lines of earlier texts said.
#[must_use]
pub fn read_remembered(
    files: &Files,
    base: u32,
    log: Option<u32>,
    uses: &Uses,
    set: Vec<Set>,
    memo: &mut Memo,
) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    let (own, mut faults) = parse::parse_with(text_of(files, base), base, memo);
    let logged: Vec<Statement> = match log {
        Some(log) => {
            let (statements, found) = parse::parse_with(text_of(files, log), log, memo);
            faults.extend(found);
            statements
        }
        None => Vec::new(),
    };
    let mut entries = Vec::new();
    let (mut notes, mut built) = (Vec::new(), 0);
    for statement in &logged {
        match statement {
            Statement::At(entry) => {
                let line =
                    if let ast::Label::Line(n) = &entry.label { files.line_span(base, *n) } else { None };
                entries.push(log::Entry { logged: entry, line, met: false });
            }
            Statement::When(words, span) => notes.push((words.clone(), *span, 0)),
            Statement::Note(text, span) => notes.push((text.clone(), *span, usize::MAX)),
            Statement::BuildOf(_, span) => {
                built += 1;
                if built > 1 {
                    let message = "a log speaks of one build of one recipe";
                    let fault = Diagnostic::new(Code::TwoBuilds, message, *span, "a second one here");
                    faults.push(fault.help("write a log of its own for each build"));
                }
            }
            Statement::Broken(_) => {}
            Statement::Step(step) => faults.push(not_in_log(step.span)),
            Statement::Let(name, _) | Statement::Mark(_, name, _) => faults.push(not_in_log(name.span)),
            Statement::Shop(_, span) | Statement::Target(_, _, span) | Statement::Repeat(_, _, span) => {
                faults.push(not_in_log(*span));
            }
            Statement::Steel { span, .. } | Statement::Give(_, span) | Statement::Use(_, span) => {
                faults.push(not_in_log(*span));
            }
            Statement::Recipe(recipe) => faults.push(not_in_log(recipe.span)),
            Statement::Call(call) => faults.push(not_in_log(call.span)),
        }
    }
    let mut used: Vec<(u32, Vec<Statement>)> = Vec::new();
    let mut open: Vec<u32> = used_by(&own, uses);
    open.reverse();
    while let Some(next) = open.pop() {
        if next == base || used.iter().any(|(known, _)| *known == next) {
            continue;
        }
        let (statements, found) = parse::parse_with(text_of(files, next), next, memo);
        faults.extend(found);
        let mut further = used_by(&statements, uses);
        further.reverse();
        open.extend(further);
        used.push((next, statements));
    }
    let used: Vec<Vec<Statement>> = used.into_iter().map(|(_, statements)| statements).collect();
    let (plan, set, more) = planner::plan(planner::Sources { own: &own, used: &used, set, log: entries });
    let mut plan = plan;
    let last = plan.steps.len();
    plan.notes.extend(
        notes.into_iter().map(|(text, span, before): (String, Span, usize)| (text, span, before.min(last))),
    );
    faults.extend(more);
    faults.sort_by_key(Diagnostic::span);
    (plan, set, faults)
}

fn not_in_log(span: Span) -> Diagnostic {
    let message = "a build log only says when, and what was measured";
    Diagnostic::new(Code::NotInLog, message, span, "this belongs into the recipe")
        .help("a log has `build of`, `on`, `at weld 2: …` and `note` lines")
}

fn used_by(statements: &[Statement], uses: &Uses) -> Vec<u32> {
    let of = |s: &Statement| if let Statement::Use(_, span) = s { uses.get(span).copied() } else { None };
    statements.iter().filter_map(of).collect()
}
