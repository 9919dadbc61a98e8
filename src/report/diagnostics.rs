//! Findings as text: drawn for people, plain for readers and logs, short for editors, JSON for programs.

use serde::Serialize;

use crate::source::{Diagnostic, Files, Severity};

/// How findings are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Drawn beside the words; in colour or not.
    Human {
        /// Whether to colour.
        colour: bool,
    },
    /// Sentences, nothing drawn.
    Plain,
    /// One line each.
    Short,
    /// One JSON object a line.
    Json,
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
            Style::Human { colour } => super::drawn::drawn(finding, files, colour),
            Style::Plain => plain(finding, files),
            Style::Short => short(finding, files),
            Style::Json => json(finding, files),
        })
        .collect();
    match findings.len().checked_sub(MOST_SHOWN).filter(|more| *more > 0 && style != Style::Json) {
        Some(more) => format!("{shown}and {more} more: mend these first\n"),
        None => shown,
    }
}

pub(super) fn severity(finding: &Diagnostic) -> &'static str {
    match finding.severity() {
        Severity::Fault => "fault",
        Severity::Warning => "warning",
    }
}

/// Text with what could drive a terminal taken out.
pub(super) fn tame(text: &str) -> String {
    text.chars().map(|c| if c.is_control() && c != '\t' { '\u{fffd}' } else { c }).collect()
}

fn short(finding: &Diagnostic, files: &Files) -> String {
    let at = files.place(finding.span());
    let help = finding.help.as_deref().map_or(String::new(), |h| format!(" ({h})"));
    let line = format!(
        "{}:{}:{}: {}: {} [heatbook::{}]{help}",
        at.file,
        at.line,
        at.column,
        severity(finding),
        finding.message,
        finding.code
    );
    tame(&line) + "\n"
}

/// The plain form: what, where, why, what would work, each on a line of its own.
pub(super) fn plain(finding: &Diagnostic, files: &Files) -> String {
    let mut text = format!("{}: {}\n", severity(finding), tame(&finding.message));
    for label in &finding.labels {
        let at = files.place(label.span);
        let words = files.text(label.span);
        let words: String = words.chars().take(80).collect();
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

#[derive(Serialize)]
pub(super) struct Record<'a> {
    code: String,
    severity: &'static str,
    message: &'a str,
    file: &'a str,
    line: u32,
    column: u32,
    labels: Vec<Mark<'a>>,
    help: Option<&'a str>,
}

#[derive(Serialize)]
struct Mark<'a> {
    file: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    words: &'a str,
    text: &'a str,
}

/// A finding as a record.
pub(super) fn record<'a>(finding: &'a Diagnostic, files: &'a Files) -> Record<'a> {
    let at = files.place(finding.span());
    let labels = finding
        .labels
        .iter()
        .map(|label| {
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
        })
        .collect();
    Record {
        code: format!("heatbook::{}", finding.code),
        severity: severity(finding),
        message: &finding.message,
        file: at.file,
        line: at.line,
        column: at.column,
        labels,
        help: finding.help.as_deref(),
    }
}

fn json(finding: &Diagnostic, files: &Files) -> String {
    serde_json::to_string(&record(finding, files)).unwrap_or_default() + "\n"
}
