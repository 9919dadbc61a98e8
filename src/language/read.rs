//! A recipe and all that belongs to it, read to a plan.

use std::collections::BTreeMap;

use super::ast::{self, Statement, Steel};
use super::gist;
use super::log;
use super::memo::Memo;
use super::outline;
use super::parse;
use super::planner;
use super::scan;
use super::set::Set;
use super::settle::settle;
use super::wording;
use crate::forge::{self, Form, Key};
use crate::quantity::Kind;
use crate::replay::Plan;
use crate::source::{Code, Diagnostic, Files, Fix, Span};

/// The address of the first byte of the file behind each `use`, by the words of its name.
pub type Uses = BTreeMap<Span, u32>;

/// The words by which a recipe has its `shop.heat` in [`Uses`]: none, at its first byte.
#[must_use]
pub fn shop_of(recipe: u32) -> Span {
    Span { start: recipe, end: recipe }
}

/// The words by which it has its rack file there: its first byte.
#[must_use]
pub fn rack_of(recipe: u32) -> Span {
    Span { start: recipe, end: recipe.saturating_add(1) }
}

/// The files that a file uses: each name as written, and its words.
#[must_use]
pub fn uses(files: &Files, base: u32) -> Vec<(String, Span)> {
    let of = |s: Statement| if let Statement::Use(name, span) = s { Some((name, span)) } else { None };
    top_lines(files, base, "use").into_iter().filter_map(of).collect()
}

/// The statements at the top of a file that begin with a word: only those lines are read.
fn top_lines(files: &Files, base: u32, word: &str) -> Vec<Statement> {
    let text = files.text_from(base);
    if !text.contains(word) {
        return Vec::new();
    }
    let lines = outline::lines(text, base);
    let begins = |line: &&Span| scan::first_word(files.text(**line)) == word;
    let top = lines.lines.iter().filter(begins).filter(|line| lines.block_at(line.start).is_none());
    top.flat_map(|line| parse::parse(files.text(*line), line.start).0).collect()
}

/// Reads a file of [`Files`] to a plan, and says all that is wrong with it.
///
/// `base` is the address of the file's first byte. Files that it uses are not looked for.
#[must_use]
pub fn read(files: &Files, base: u32) -> (Plan, Vec<Diagnostic>) {
    let (plan, _, faults) = read_with(files, base, None, &Uses::new(), Vec::new(), &mut Memo::default());
    (plan, faults)
}

/// The recipe that a build log speaks of, by its name as written and the words of that; `None` where the file is no log.
#[must_use]
pub fn build_of(files: &Files, base: u32) -> Option<(String, Span)> {
    top_lines(files, base, "build")
        .into_iter()
        .find_map(|s| if let Statement::BuildOf(name, span) = s { Some((name, span)) } else { None })
}

/// Reads a file with those that it uses, with what a log says was measured (the address of the log's first byte), and with
/// figures set from outside; what the lines of earlier texts said is remembered.
///
/// Gives back what was set: with the kind of the figure at its address, where there is one.
#[must_use]
pub fn read_with(
    files: &Files,
    base: u32,
    log: Option<u32>,
    uses: &Uses,
    set: Vec<Set>,
    memo: &mut Memo,
) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    let wished = set.clone();
    let (plan, set, faults) = read_once(files, (base, log), uses, set, memo);
    if faults.iter().any(|f| f.fix.is_some()) && memo.leaves_offers() {
        return (plan, set, one_a_line(faults, files));
    }
    let faults = settle(files, uses, plan.steps.len(), faults, |files, uses, forth| {
        read_once(files, (forth(base), log.map(forth)), uses, wished.clone(), memo).2
    });
    (plan, set, one_a_line(faults, files))
}

fn read_once(
    files: &Files,
    (base, log): (u32, Option<u32>),
    uses: &Uses,
    set: Vec<Set>,
    memo: &mut Memo,
) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    let (all, mut faults) = statements(files, base, uses, memo);
    let mut used: Vec<Vec<Statement>> = all.into_iter().map(|(_, statements)| statements).collect();
    let shared = match uses.get(&shop_of(base)) {
        Some(shop) => shared(files, *shop, &used, memo, &mut faults),
        None => Vec::new(),
    };
    let own = used.remove(0);
    let from_shop = shared.iter().flat_map(stated).collect();
    let shown_in = own.iter().chain(&shared).find_map(|s| match s {
        Statement::Units(inches, _) => Some(*inches),
        _ => None,
    });
    used.push(shared);
    let shelf = match uses.get(&rack_of(base)) {
        Some(rack) => shelf(files, *rack, memo, &mut faults),
        None => Vec::new(),
    };
    let steels = shelf.iter().filter(|s| matches!(s, Statement::Steel(_)));
    used.push(steels.cloned().collect());
    let (logged, found) =
        log.map(|log| parse::parse_with(files.text_from(log), log, memo)).unwrap_or_default();
    faults.extend(found);
    let mut entries = Vec::new();
    let (mut notes, mut built): (Vec<(String, Span, usize)>, _) = (Vec::new(), 0);
    let mut day = None;
    for statement in &logged {
        match statement {
            Statement::At(entry) => {
                let line =
                    if let ast::Label::Line(n) = &entry.label { files.line_span(base, *n) } else { None };
                entries.push(log::Entry { logged: entry, line, met: false });
            }
            Statement::When(words, span) => {
                day = when(files, words, *span).or(day);
                notes.push((words.clone(), *span, 0));
            }
            Statement::Note(text, span) => notes.push((text.clone(), *span, usize::MAX)),
            Statement::BuildOf(_, span) => {
                built += 1;
                if built > 1 {
                    let message = "a log speaks of one build of one recipe";
                    let fault = Diagnostic::new(Code::TwoBuilds, message, *span, "a second one here");
                    faults.push(fault.help("write a log of its own for each build"));
                }
            }
            Statement::Allow(allow) => faults.push(not_in_log(allow.span)),
            Statement::Broken(_) => {}
            Statement::Step(step) => faults.push(not_in_log(step.span)),
            Statement::Let(name, _) | Statement::Mark(_, name, _) => faults.push(not_in_log(name.span)),
            Statement::Shop(_, span)
            | Statement::Target(_, _, _, span)
            | Statement::Repeat(_, _, span)
            | Statement::Steel(Steel { span, .. })
            | Statement::Give(_, span)
            | Statement::Units(_, span)
            | Statement::Use(_, span) => faults.push(not_in_log(*span)),
            Statement::Recipe(recipe) => faults.push(not_in_log(recipe.span)),
            Statement::Call(call) => faults.push(not_in_log(call.span)),
        }
    }
    let (mut plan, set, more) = planner::plan(&own, &used, &shelf, set, entries);
    plan.from_shop = from_shop;
    plan.day = day;
    if let Some(inches) = shown_in {
        plan.inches = inches;
    }
    let last = plan.steps.len();
    plan.notes.extend(notes.into_iter().map(|(text, span, before)| (text, span, before.min(last))));
    faults.extend(more);
    faults.sort_by_key(Diagnostic::span);
    for fault in &mut faults {
        with_unit(fault, files, files.text_from(base));
        if let Some(fix) = &mut fault.fix {
            keep_apart(fix, files);
        }
    }
    (plan, set, faults)
}

/// A word that is put in must not grow onto one that stands close behind: `0 mm x40 mm`.
fn keep_apart(fix: &mut Fix, files: &Files) {
    let end = fix.span.end;
    let behind = files.line_of(fix.span).map(|line| files.text(Span { start: end, end: line.end.max(end) }));
    if fix.text.ends_with(char::is_alphanumeric)
        && behind.is_some_and(|behind| behind.starts_with(char::is_alphanumeric))
    {
        fix.text.push(' ');
    }
}

/// Units that several figures of one line lack are one mistake: it is told once, with the line as it would be read.
fn one_a_line(faults: Vec<Diagnostic>, files: &Files) -> Vec<Diagnostic> {
    let lacks = |f: &Diagnostic| {
        let fix =
            f.fix.as_deref().filter(|fix| f.code == Code::WrongKind && fix.span.start == fix.span.end)?;
        Some((files.line_of(fix.span)?, fix.clone()))
    };
    let mut made: Vec<Diagnostic> = Vec::new();
    let mut units: BTreeMap<(u32, u32), (usize, Vec<Fix>)> = BTreeMap::new();
    for fault in faults {
        let Some((line, fix)) = lacks(&fault) else {
            made.push(fault);
            continue;
        };
        let (first, fixes) = units.entry((line.start, line.end)).or_insert((made.len(), Vec::new()));
        if fixes.is_empty() {
            made.push(fault);
        } else if let Some(first) = made.get_mut(*first) {
            first.labels.extend(fault.labels);
        }
        fixes.push(fix);
    }
    for ((start, end), (first, mut fixes)) in units {
        if fixes.len() < 2 {
            continue;
        }
        // The line as it is shown has its other mends in it too.
        let others = made.iter().enumerate().filter(|(nth, _)| *nth != first);
        let others = others.filter_map(|(_, fault)| fault.fix.as_deref());
        fixes.extend(others.filter(|fix| start <= fix.span.start && fix.span.end <= end).cloned());
        fixes.sort_by_key(|fix| fix.span.start);
        if fixes.windows(2).any(|w| matches!(w, [a, b] if a.span.end > b.span.start)) {
            continue;
        }
        let (Some(fault), Some(from), Some(to)) = (made.get_mut(first), fixes.first(), fixes.last()) else {
            continue;
        };
        let whole = |at: Span| {
            let mut text = files.text(at).to_owned();
            for fix in fixes.iter().rev() {
                let place = (fix.span.start - at.start) as usize..(fix.span.end - at.start) as usize;
                text.replace_range(place, &fix.text);
            }
            text
        };
        fault.help = Some(format!("write `{}`", whole(Span { start, end }).trim()));
        let at = Span { start: from.span.start, end: to.span.end };
        fault.fix = Some(Box::new(Fix { span: at, text: whole(at) }));
    }
    made
}

/// Longer words are no number, bytes.
const LONGEST_NUMBER: usize = 40;

/// Offers the unit that the recipe's other sizes are in, where a length lacks its own.
fn with_unit(fault: &mut Diagnostic, files: &Files, recipe: &str) {
    let written = files.text(fault.span()).trim();
    // `forty wide`.
    let plain = (written.len() < LONGEST_NUMBER).then(|| wording::plain(written));
    let bare = plain.as_deref().unwrap_or(written);
    if fault.code == Code::WrongKind
        && fault.help.as_deref().is_some_and(|help| help.ends_with("is an angle"))
    {
        return with_scale(fault, bare, files);
    }
    let number =
        !bare.is_empty() && bare.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | ' ' | '-'));
    if fault.code == Code::WrongKind
        && number
        && fault.help.as_deref().is_some_and(|help| {
            [Kind::TEMPERATURE.example(), "2250 F", "1230 C"]
                .iter()
                .any(|t| help == format!("write it like `{t}`") || help == format!("write it like {t}"))
        })
    {
        return with_scale(fault, bare, files);
    }
    let like = |kind: Kind| format!("write it like {}", kind.example());
    if fault.code == Code::WrongKind && number && fault.help.as_deref() == Some(&like(Kind::TIME)) {
        fault.help = Some(format!("write `{bare} min` or `{bare} h`"));
        return;
    }
    let behind = match fault.code {
        _ if !number => return,
        Code::BareSize if fault.fix.is_none() => ": it serves all three",
        Code::WrongKind if fault.help.as_deref() == Some(&like(Kind::LENGTH)) => "",
        // `10 in +- 1/16`.
        Code::UnlikeKinds if fault.message.starts_with("a length and a bare") => "",
        _ => return,
    };
    // What stands on the same line goes before the rest: a line in parts of an inch is in inches.
    let line = files.line_of(fault.span()).map_or("", |line| files.text(line));
    let sizes = || line.split(|c: char| matches!(c, 'x' | ',') || c.is_whitespace());
    let of_line = || sizes().any(gist::is_of_an_inch).then_some("in");
    // No stock is forty inches wide.
    let large =
        || sizes().any(|s| s.parse::<f64>().is_ok_and(|v| (30.0..1000.0).contains(&v))).then_some("mm");
    let size = fault.code == Code::BareSize;
    let unit = gist::unit_of(line)
        .or_else(|| of_line().filter(|_| size))
        .or_else(|| gist::unit_of(recipe))
        .or_else(|| large().filter(|_| size));
    let Some(unit) = unit else { return };
    let unit = if gist::is_of_an_inch(bare) { "in" } else { unit };
    let end = fault.span().start + written.len() as u32;
    fault.help = Some(format!("write the unit behind it, as in `{bare} {unit}`{behind}"));
    fault.fix = Some(Box::new(if bare == written {
        Fix { span: Span { start: end, end }, text: format!(" {unit}") }
    } else {
        Fix { span: Span { start: fault.span().start, end }, text: format!("{bare} {unit}") }
    }));
}

/// Offers the scale that degrees of a fire are on, where one can be meant.
fn with_scale(fault: &mut Diagnostic, degrees: &str, files: &Files) {
    let digits = degrees.trim_end_matches(|c: char| !c.is_ascii_digit());
    let Ok(value) = digits.parse::<f64>() else { return };
    let why = if degrees == digits { "" } else { ": `deg` alone is an angle" };
    if !(100.0..3000.0).contains(&value) {
        return;
    }
    let line = files.line_of(fault.span()).map_or("", |line| files.text(line));
    let verb = line.split_whitespace().next().and_then(forge::word);
    if value <= verb.map_or(1300.0, wording::hottest_c) {
        fault.help = Some(format!("write `{digits} C` or `{digits} F`{why}"));
        return;
    }
    fault.help = Some(format!("write `{digits} F`{why}"));
    fault.fix = Some(Box::new(Fix { span: fault.span(), text: format!("{digits} F") }));
}

/// What a `shop.heat` gives that neither the recipe nor what it uses gives itself.
fn shared(
    files: &Files,
    shop: u32,
    given: &[Vec<Statement>],
    memo: &mut Memo,
    faults: &mut Vec<Diagnostic>,
) -> Vec<Statement> {
    let (statements, found) = parse::parse_with(files.text_from(shop), shop, memo);
    faults.extend(found);
    let known: Vec<_> = given.iter().flatten().flat_map(entries).map(planner::stated).collect();
    let steels =
        || given.iter().flatten().filter_map(|s| if let Statement::Steel(s) = s { Some(s) } else { None });
    let mut kept = Vec::new();
    for statement in statements {
        match statement {
            Statement::Shop(mut entries, span) => {
                entries.retain(|entry| !known.contains(&planner::stated(entry)));
                kept.push(Statement::Shop(entries, span));
            }
            Statement::Steel(steel) if steels().any(|known| known.name.text == steel.name.text) => {}
            Statement::Allow(allow) => kept.push(Statement::Allow(ast::Allow { everywhere: true, ..allow })),
            Statement::Steel(_) | Statement::Units(..) | Statement::Note(..) | Statement::Broken(_) => {
                kept.push(statement)
            }
            other => {
                let message = "a `shop.heat` only says what the shop has";
                let fault = Code::NotInShop.says(message).at(words(&other), "this belongs into a recipe");
                faults.push(fault.help("`shop`, `steel`, `units` and `allow` lines stand in it, and notes"));
            }
        }
    }
    kept
}

/// What lies on the rack by its file: lines of stock, the steels of their own, and notes on them.
fn shelf(files: &Files, rack: u32, memo: &mut Memo, faults: &mut Vec<Diagnostic>) -> Vec<Statement> {
    let (mut statements, found) = parse::parse_with(files.text_from(rack), rack, memo);
    faults.extend(found);
    statements.retain(|statement| {
        let lies = match statement {
            Statement::Step(step) => {
                let taken = step.clauses.iter().any(|clause| clause.key == Key::FromRack);
                step.word.form == Form::Stock && !taken
            }
            Statement::Steel(_) | Statement::Units(..) | Statement::Note(..) | Statement::Broken(_) => true,
            _ => false,
        };
        if !lies {
            let message = "a rack file only says what lies on the rack";
            let fault = Code::NotInShop.says(message).at(words(statement), "this belongs into a recipe");
            faults.push(fault.help("lines of `stock`, `steel` and `units` stand in it, and notes"));
        }
        lies
    });
    statements
}

/// The entries of a shop.
fn entries(statement: &Statement) -> &[ast::Clause<&'static str>] {
    if let Statement::Shop(entries, _) = statement { entries } else { &[] }
}

/// What a statement of a shop states, and where.
fn stated(statement: &Statement) -> Vec<(String, Span)> {
    match statement {
        Statement::Shop(entries, _) => entries.iter().map(|e| (e.key.to_owned(), e.span)).collect(),
        Statement::Steel(steel) => vec![(format!("steel {}", steel.name.text), steel.span)],
        _ => Vec::new(),
    }
}

/// Words of a statement that stands where it does not belong.
fn words(statement: &Statement) -> Span {
    match statement {
        Statement::Let(name, _) | Statement::Mark(_, name, _) => name.span,
        Statement::Steel(Steel { span, .. })
        | Statement::Note(_, span)
        | Statement::Allow(ast::Allow { span, .. })
        | Statement::Shop(_, span)
        | Statement::Target(_, _, _, span)
        | Statement::Step(ast::Step { span, .. })
        | Statement::Repeat(_, _, span)
        | Statement::Give(_, span)
        | Statement::Use(_, span)
        | Statement::Units(_, span)
        | Statement::BuildOf(_, span)
        | Statement::When(_, span)
        | Statement::At(ast::Logged { span, .. }) => *span,
        Statement::Recipe(recipe) => recipe.span,
        Statement::Call(call) => call.span,
        Statement::Broken(name) => name.first().map(|name| name.span).unwrap_or_default(),
    }
}

/// The day of a line that says when, and where it stands.
fn when(files: &Files, words: &str, line: Span) -> Option<(String, Span)> {
    let day = words.split(", ").next()?;
    let start = line.start + files.text(line).find(day)? as u32;
    Some((day.to_owned(), Span { start, end: start + day.len() as u32 }))
}

fn not_in_log(span: Span) -> Diagnostic {
    let message = "a build log only says when, and what was measured";
    Diagnostic::new(Code::NotInLog, message, span, "this belongs into the recipe")
        .help("a log has `build of`, `on`, `at weld 2: …` and `note` lines")
}

/// The statements of a file and of all that it uses, also by way of others, the file first; and what is wrong with them.
pub(super) fn statements(
    files: &Files,
    base: u32,
    uses: &Uses,
    memo: &mut Memo,
) -> (Vec<(u32, Vec<Statement>)>, Vec<Diagnostic>) {
    let (mut open, mut read, mut faults) = (vec![base], Vec::new(), Vec::new());
    while let Some(next) = open.pop() {
        if read.iter().any(|(known, _)| *known == next) {
            continue;
        }
        let (statements, found) = parse::parse_with(files.text_from(next), next, memo);
        faults.extend(found);
        let of = |s: &Statement| if let Statement::Use(_, span) = s { uses.get(span).copied() } else { None };
        open.extend(statements.iter().rev().filter_map(of));
        read.push((next, statements));
    }
    (read, faults)
}
