//! Findings as text: drawn for people, plain for readers and logs, short for editors, JSON for programs.

use schemars::JsonSchema;
use serde::Serialize;

use crate::source::{Diagnostic, Files, Fix, Severity};

use super::answer::Answer;
use super::drawn::drawn;
use super::fold::fold;
use super::tame::{escaped, tame};

/// How findings are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Drawn beside the words; in colour or not.
    Human {
        /// Whether to colour.
        colour: bool,
        /// Columns to draw in.
        wide: usize,
    },
    /// Sentences, nothing drawn.
    Plain,
    /// One line each.
    Short,
    /// One JSON object a line.
    Json,
    /// Workflow commands of a build service: one line each, shown beside the change.
    GitHub,
}

/// Findings that are shown to people: nobody reads more at once.
const MOST_SHOWN: usize = 25;

/// All findings, one after the other.
#[must_use]
pub fn diagnostics(findings: &[&Diagnostic], files: &Files, style: Style) -> String {
    let shown: String = findings
        .iter()
        .take(if style == Style::Json { usize::MAX } else { MOST_SHOWN })
        .map(|finding| match style {
            Style::Human { colour, wide } => {
                drawn(finding, files, colour, wide).unwrap_or_else(|| fold(&plain(finding, files), wide))
            }
            Style::Plain => plain(finding, files),
            Style::Short => short(finding, files),
            Style::Json => line(&record(finding, files)),
            Style::GitHub => workflow(finding, files),
        })
        .collect();
    match findings.len().checked_sub(MOST_SHOWN).filter(|more| *more > 0 && style != Style::Json) {
        Some(more) => format!("{shown}and {more} more: mend these first\n"),
        None => shown,
    }
}

/// A sentence that is about no words of a recipe, a `fault` or a `note`: as it is for people, as a record for programs.
#[must_use]
pub fn said(message: &str, severity: &'static str, style: Style) -> String {
    match style {
        Style::Json => line(&said_record(message, severity)),
        Style::GitHub => format!("::{}::{}\n", level(severity), in_message(message)),
        Style::Human { wide, .. } => fold(message, wide),
        _ => format!("{message}\n"),
    }
}

/// No answer, and why.
pub enum Unanswered<'a> {
    /// In a sentence.
    Said(&'a str),
    /// By what is wrong with the recipe.
    Found(&'a [Diagnostic], &'a Files),
}

#[derive(Serialize, JsonSchema)]
pub struct UnansweredJson<'a> {
    faults: Vec<Record<'a>>,
}

impl<'a> Answer for Unanswered<'a> {
    type Json = UnansweredJson<'a>;
    const SCHEMA: &'static str = "heatbook-faults-2";

    fn text(&self, _: usize) -> String {
        match self {
            Unanswered::Said(message) => format!("{message}\n"),
            Unanswered::Found(found, files) => found.iter().map(|f| plain(f, files)).collect(),
        }
    }

    fn json(&self) -> UnansweredJson<'a> {
        let faults = match self {
            Unanswered::Said(message) => vec![said_record(message, "fault")],
            Unanswered::Found(found, files) => records(found, files),
        };
        UnansweredJson { faults }
    }
}

pub(super) fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => "fault",
        Severity::Warning => "warning",
    }
}

fn short(finding: &Diagnostic, files: &Files) -> String {
    let at = files.place(finding.span());
    let help = finding.help.as_deref().map_or(String::new(), |h| format!(" ({h})"));
    let place = format!("{}:{}:{}: {}", at.file, at.line, at.column, severity(finding.severity()));
    tame(&format!("{place}: {} [heatbook::{}]{help}", finding.message, finding.code)) + "\n"
}

/// A line that the build service takes as an error or a warning at its place.
fn workflow(finding: &Diagnostic, files: &Files) -> String {
    let (start, end) = (files.place(finding.span()), files.place(finding.span().tail()));
    let level = level(severity(finding.severity()));
    let file = in_message(&tame(start.file)).replace(':', "%3A").replace(',', "%2C");
    let place = format!(
        "file={file},line={},endLine={},col={},endColumn={}",
        start.line, end.line, start.column, end.column
    );
    let told = finding.labels.first().filter(|label| !label.text.is_empty());
    let told = told.map_or(String::new(), |label| format!(": {}", label.text));
    let help = finding.help.as_deref().map_or(String::new(), |help| format!("\n{}", tame(help)));
    let message = in_message(&format!("{}{help}", tame(&format!("{}{told}", finding.message))));
    format!("::{level} {place},title=heatbook%3A%3A{}::{message}\n", finding.code)
}

fn level(severity: &str) -> &'static str {
    match severity {
        "fault" => "error",
        "warning" => "warning",
        _ => "notice",
    }
}

/// A text inside such a line, where a line's end and the sign itself are written otherwise.
fn in_message(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// The plain form: what, where, why, what would work, each on a line of its own.
fn plain(finding: &Diagnostic, files: &Files) -> String {
    let mut text = format!("{}: {}\n", severity(finding.severity()), tame(&finding.message));
    for label in &finding.labels {
        let at = files.place(label.span);
        let words: String = files.text(label.span).chars().take(80).collect();
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let said = if label.text.is_empty() { String::new() } else { format!(": {}", label.text) };
        text += &tame(&format!("  {} line {}, column {}, `{words}`{said}", at.file, at.line, at.column));
        text += "\n";
    }
    if let Some(help) = &finding.help {
        text += &format!("  help: {}\n", tame(help));
    }
    text + &format!("  code: heatbook::{}\n\n", finding.code)
}

/// A finding for programs; one that is about no words of a recipe has no code and no place.
#[derive(Serialize, JsonSchema)]
pub struct Record<'a> {
    code: Option<String>,
    severity: &'static str,
    pub(super) message: &'a str,
    file: Option<&'a str>,
    pub(super) line: Option<u32>,
    column: Option<u32>,
    labels: Vec<Mark<'a>>,
    help: Option<&'a str>,
    /// The help as edits, where it is known: all of them together.
    edits: Vec<Edit<'a>>,
}

/// Other text in the place of a stretch of a file, line and column counted from 1, the end left out.
#[derive(Serialize, JsonSchema)]
pub struct Edit<'a> {
    file: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    text: &'a str,
}

#[derive(Serialize, JsonSchema)]
pub struct Mark<'a> {
    file: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    words: &'a str,
    text: &'a str,
}

/// Findings as records.
pub(super) fn records<'a>(findings: &'a [Diagnostic], files: &'a Files) -> Vec<Record<'a>> {
    findings.iter().map(|f| record(f, files)).collect()
}

fn record<'a>(finding: &'a Diagnostic, files: &'a Files) -> Record<'a> {
    let at = files.place(finding.span());
    let labels = finding.labels.iter().map(|label| {
        let (start, end) = (files.place(label.span), files.place(label.span.tail()));
        Mark {
            file: start.file,
            line: start.line,
            column: start.column,
            end_line: end.line,
            end_column: end.column,
            words: files.text(label.span),
            text: &label.text,
        }
    });
    let edit = |fix: &'a Fix| {
        let (start, end) = (files.place(fix.span), files.place(fix.span.tail()));
        Edit {
            file: start.file,
            line: start.line,
            column: start.column,
            end_line: end.line,
            end_column: end.column,
            text: &fix.text,
        }
    };
    let edits = [&finding.fix, &finding.also].into_iter().flatten().map(|fix| edit(fix)).collect();
    Record {
        code: Some(format!("heatbook::{}", finding.code)),
        severity: severity(finding.severity()),
        message: &finding.message,
        file: Some(at.file),
        line: Some(at.line),
        column: Some(at.column),
        labels: labels.collect(),
        help: finding.help.as_deref(),
        edits,
    }
}

/// A sentence as a record.
pub(super) fn said_record<'a>(message: &'a str, severity: &'static str) -> Record<'a> {
    let (code, file, line, column, labels, help) = (None, None, None, None, Vec::new(), None);
    Record { code, severity, message, file, line, column, labels, help, edits: Vec::new() }
}

fn line(record: &Record) -> String {
    match serde_json::to_string(record) {
        Ok(text) => escaped(text) + "\n",
        Err(error) => bug!("a finding that is no JSON: {error}"),
    }
}
