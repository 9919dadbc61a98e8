//! What stands under the cursor, in a few lines.

use std::fmt::Write as _;

use lsp_types::{Hover, HoverContents, HoverParams, MarkupContent, MarkupKind};

use crate::forge::{self, ENTRIES, Key};
use crate::language::{Sort, Thing};
use crate::manual::{self, Topic, clause_doc};
use crate::piece::LotId;
use crate::quantity::{Reading, Units, find_unit, show, trim_number, turned};
use crate::replay::RecipeDoc;
use crate::source::Span;
use crate::spec::{Spot, What};
use crate::steel::{Grade, grades};

use super::documents::View;
use super::figures;
use super::logged;
use super::pattern;
use super::signature;

/// What is told of a place.
pub fn hover(view: &View, asked: &HoverParams, pictures: bool) -> Option<Hover> {
    let offset = view.text.offset(asked.text_document_position_params.position);
    let at = view.analysis.address(offset);
    let lines = view.analysis.lines();
    if lines.comments.iter().any(|c| c.start <= at && at <= c.end) {
        return None;
    }
    let logged = || {
        let (span, steps) = logged::at(view, offset)?;
        Some((logged::told(view, &steps)?, span))
    };
    let (told, span) = logged()
        .or_else(|| named(view, at, pictures))
        .or_else(|| grade(view, at))
        .or_else(|| word(view, offset))?;
    let contents = HoverContents::Markup(MarkupContent {
        kind: MarkupKind::Markdown,
        value: told.trim_end().to_owned(),
    });
    Some(Hover { contents, range: view.range(span) })
}

fn named(view: &View, at: u32, pictures: bool) -> Option<(String, Span)> {
    let analysis = view.analysis;
    let (span, _, thing) = analysis.index().at(at)?;
    let told = match thing.sort {
        Sort::Piece | Sort::Kept | Sort::Param("piece") => {
            let (mut told, lot) = piece(view, at, thing);
            if let Some(shown) = lot.filter(|_| pictures).and_then(|lot| pattern::shown(analysis, lot)) {
                let _ = writeln!(told, "\n{shown}");
            }
            told
        }
        Sort::Let | Sort::Param(_) => figure(view, thing),
        Sort::Recipe => recipe(view, analysis.plan.recipes.iter().find(|r| r.name == thing.name)?),
        Sort::Steel => steel(analysis.plan.ground.steels.iter().find(|g| g.name == thing.name)?),
    };
    Some((told, span))
}

/// A thing's name, what it is, and what the comment at its head says.
fn headed(thing: &Thing, what: &str) -> String {
    let doc = if thing.doc.is_empty() { String::new() } else { format!("{}\n\n", thing.doc) };
    format!("**{}**, {what}\n\n{doc}", thing.name)
}

/// What a piece measures: after the step that the cursor stands in, or else before it; in a target, at the end. And which
/// bars those are.
fn piece(view: &View, at: u32, thing: &Thing) -> (String, Option<LotId>) {
    let analysis = view.analysis;
    let mut told = headed(thing, thing.sort.word());
    let found = figures::pieces_at(analysis, at, &thing.name);
    if let (Some((first, given)), Some((last, _))) = (found.first(), found.last()) {
        let when = if *given { "after this step" } else { "as it goes into this step" };
        let shown = |id| {
            figures::told(analysis, id).unwrap_or_else(|| "not made: a fault stands in the way".to_owned())
        };
        if found.len() > 1 {
            let _ = writeln!(told, "{when}, the first of {} runs: {}  ", found.len(), shown(*first));
            let _ = writeln!(told, "the last: {}", shown(*last));
        } else {
            let _ = writeln!(told, "{when}: {}", shown(*first));
        }
        return (told, Some(*last));
    }
    let target = |t: &&crate::replay::TargetPlan| {
        let block = analysis.lines().blocks.iter().find(|b| b.head == t.span);
        block.is_some_and(|b| b.whole.start <= at && at <= b.whole.end)
    };
    let of = analysis.plan.targets.iter().find(target).filter(|t| t.piece == thing.name);
    let lot = of.and_then(|t| t.lot);
    if let Some(shown) = lot.and_then(|lot| figures::told(analysis, lot)) {
        let _ = writeln!(told, "at the end: {shown}");
    } else if let Some(first) = thing.made.first().and_then(|s| view.location(*s)) {
        let _ = writeln!(told, "first made on line {}", first.range.start.line + 1);
    }
    (told, lot)
}

fn figure(view: &View, thing: &Thing) -> String {
    let values = figures::values(view.analysis, thing);
    let kind = match thing.sort {
        Sort::Param(kind) => format!("a parameter of kind `{kind}`"),
        _ => "set by `let`".to_owned(),
    };
    let mut told = headed(thing, &kind);
    let written = thing.value.map(|span| view.analysis.files.text(span).trim().to_owned());
    match values.as_slice() {
        [] => {}
        [one] => _ = writeln!(told, "{one}  "),
        many => _ = writeln!(told, "{}, by the call  ", many.join("; ")),
    }
    if let Some(written) = written.filter(|w| values.len() != 1 || !values.contains(w)) {
        let what = if matches!(thing.sort, Sort::Param(_)) { "left out" } else { "written" };
        let _ = writeln!(told, "{what}: `{written}`");
    }
    told
}

fn recipe(view: &View, doc: &RecipeDoc) -> String {
    let head: Vec<String> = doc.params.iter().map(|p| signature::param(view, p)).collect();
    let mut told = format!("```heatbook\nrecipe {}({})\n```\n", doc.name, head.join(", "));
    if !doc.doc.is_empty() {
        let _ = writeln!(told, "{}\n", doc.doc);
    }
    for param in doc.params.iter().filter(|p| !p.doc.is_empty()) {
        let _ = writeln!(told, "- `{}`: {}", param.name, param.doc);
    }
    told
}

fn grade(view: &View, at: u32) -> Option<(String, Span)> {
    let (span, name) = view.analysis.index().grades.iter().find(|(s, _)| s.start <= at && at <= s.end)?;
    Some((steel(grades::find(name)?), *span))
}

/// What a steel is made of, and where that is from.
pub fn steel(grade: &Grade) -> String {
    let content = |(symbol, share)| format!("{symbol} {} %", trim_number(share, 3));
    let shown: Vec<String> = grade.composition.listed().map(content).collect();
    let mut told = format!("**{}**", grade.name);
    if grade.designation != grade.name && !grade.designation.is_empty() {
        let _ = write!(told, ", {}", grade.designation);
    }
    let _ = writeln!(told, "\n\n{}  ", shown.join(", "));
    let _ = writeln!(told, "{} kg/m3  ", trim_number(grade.density_kg_m3, 0));
    for (what, text) in [
        ("standard", &grade.standard),
        ("composition", &grade.composition_mark),
        ("source", &grade.source),
        ("note", &grade.note),
    ] {
        if !text.is_empty() {
            let _ = writeln!(told, "{what}: {text}  ");
        }
    }
    told
}

/// A word of the language: a verb, a clause, an entry of a shop, what a target tests, or a unit.
fn word(view: &View, offset: usize) -> Option<(String, Span)> {
    let analysis = view.analysis;
    let text = view.text.text;
    let part = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '%' | '°' | '/');
    let before = text.get(..offset)?;
    let start = before.char_indices().rev().take_while(|(_, c)| part(*c)).last().map_or(offset, |(i, _)| i);
    let behind = text.get(offset..)?;
    let end = offset + behind.find(|c| !part(c)).unwrap_or(behind.len());
    let whole = text.get(start..end)?;
    // `38mm`: the unit begins behind the digits.
    let digits = whole.find(|c: char| !(c.is_ascii_digit() || c == '/')).unwrap_or(whole.len());
    let (start, word) = (start + digits, whole.get(digits..)?);
    if word.is_empty() {
        return None;
    }
    let span = Span { start: analysis.address(start), end: analysis.address(end) };
    let line = analysis.lines().line_at(span.start)?;
    let block = analysis.lines().block_at(span.start).map(|b| b.word.as_str());
    let first = line.start == span.start;
    let ahead = analysis.files.text(Span { start: line.start, end: span.start }).trim_end();
    let words = analysis.files.text(line);
    let tests = block == Some("target") || ahead.contains(':');
    let told = if first { begins(word, block, words) } else { None };
    let told = told.or_else(|| unit(word, ahead, analysis.units)).or_else(|| clause(word, words));
    let told = told.or_else(|| if tests { test(word) } else { None })?;
    // Samples are in the reader's units.
    let told = if analysis.units == Units::Inch { turned(&told, |_| false) } else { told };
    Some((told, span))
}

fn begins(word: &str, block: Option<&str>, line: &str) -> Option<String> {
    match block {
        Some("shop") => {
            // `hot zone` and `power hammer` are entries of two words.
            let entry = ENTRIES.iter().find(|e| line.starts_with(e.word) && e.word.starts_with(word))?;
            page(Topic::Shop, entry.word)
        }
        Some("target") => test(word),
        _ => page(Topic::Verb, word).or_else(|| page(Topic::Line, word)),
    }
}

/// The page of a name as `explain` has it, without what can go wrong: that is told where it does.
pub fn page(topic: Topic, name: &str) -> Option<String> {
    let page = manual::pages().iter().find(|page| page.topic == topic && page.answers_to(name))?;
    let what = match topic {
        Topic::Shop => ", an entry of the shop",
        Topic::Target => ", of a piece or a part",
        _ => "",
    };
    let mut told = format!("**{}**{what}: {}\n\n", page.name, page.doc);
    let mut written = false;
    for (word, fact) in &page.facts {
        // What has no word of its own goes on with the fact before it.
        let goes_on = word.is_empty();
        written = if goes_on { written } else { matches!(*word, "form" | "forms" | "such as") };
        let lines: Vec<String> =
            fact.lines().map(|line| if written { format!("`{line}`") } else { line.to_owned() }).collect();
        if goes_on {
            told.truncate(told.trim_end().len());
            let _ = writeln!(told, ", {}", lines.join(", "));
        } else {
            let _ = writeln!(told, "- {word}: {}", lines.join(", "));
        }
    }
    for part in &page.parts {
        let written = part.forms.first().map_or(part.word, String::as_str);
        let _ = writeln!(told, "- `{written}`: {} ({})", part.doc, part.takes);
    }
    let _ = writeln!(told, "\n`heatbook explain {} {}` tells what can go wrong", topic.word(), page.name);
    Some(told)
}

fn clause(word: &str, line: &str) -> Option<String> {
    let verb = forge::word(line.split_whitespace().next()?)?;
    let says =
        |key: &Key| key.word() == word || key.form().split_whitespace().any(|w| w == word && !measured(w));
    let keys: Vec<Key> = verb.clauses().filter(says).collect();
    let exact: Vec<&Key> = keys.iter().filter(|k| k.word() == word).collect();
    let shown: Vec<String> = (if exact.is_empty() { keys.iter().collect() } else { exact })
        .into_iter()
        .map(|key| format!("`{}`: {}\n", key.form(), clause_doc(*key)))
        .collect();
    (!shown.is_empty()).then(|| shown.join("\n"))
}

fn measured(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit()) || find_unit(word).is_some()
}

fn test(word: &str) -> Option<String> {
    let Some(what) = What::ALL.into_iter().find(|w| w.word() == word) else {
        let spot = Spot::ALL.into_iter().find(|spot| spot.word() == word)?;
        let of = if spot.mark().is_some() { "pitch" } else { "hardness" };
        return Some(format!("**{word}**, of a {of}: {}\n", spot.doc()));
    };
    page(Topic::Target, what.word())
}

/// A unit behind a figure: its kind, and how much of the base unit it is.
fn unit(word: &str, ahead: &str, units: Units) -> Option<String> {
    if !ahead.ends_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let unit = find_unit(word)?;
    let much = match unit.reading {
        Reading::Factor(1.0) | Reading::Celsius => String::new(),
        Reading::Fahrenheit if units == Units::Inch => String::new(),
        // An inch is an inch.
        Reading::Factor(factor) => Some(show(factor, unit.kind, units))
            .filter(|much| *much != format!("1 {}", unit.word))
            .map_or(String::new(), |much| format!(": {much}")),
        Reading::Fahrenheit => ": (F - 32) x 5/9 is C".to_owned(),
        Reading::Refused(why) => format!(", refused: {why}"),
    };
    Some(format!("**{word}**, {}{much}\n", unit.kind.name()))
}
