//! A finding drawn beside the words it is about.

use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, MietteError, MietteSpanContents,
    Report, SourceCode, SourceSpan, SpanContents,
};

use crate::source::{Diagnostic, Files, Severity, Span};

use super::fold::{columns, words};
use super::tame::{tame, tame_in_place};

/// Lines longer than this are not drawn: the plain form serves better.
const LONGEST: usize = 300;

/// What stands before a line of a recipe, and before a label under its words, at the most.
const MARGIN: usize = 14;
/// The least room that a label is folded into: an unbreakable word is longer.
const LEAST: usize = 20;

/// A file of which whole lines are shown, and only those that are spoken of.
#[derive(Debug)]
struct Lines {
    name: String,
    text: String,
}

impl SourceCode for Lines {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _: usize,
        _: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (start, end) = (span.offset(), span.offset() + span.len());
        let (before, after) =
            self.text.get(..start).zip(self.text.get(end..)).ok_or(MietteError::OutOfBounds)?;
        let from = before.rfind('\n').map_or(0, |i| i + 1);
        let to = after.find('\n').map_or(self.text.len(), |i| end + i);
        // A carriage return before the line's end would count as one more.
        let shown = self.text.get(from..to).ok_or(MietteError::OutOfBounds)?.trim_end_matches('\r');
        let line = before.bytes().filter(|b| *b == b'\n').count();
        let lines = shown.bytes().filter(|b| *b == b'\n').count() + 1;
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            shown.as_bytes(),
            (from, shown.len()).into(),
            line,
            0,
            lines,
        )))
    }
}

/// Draws a finding; `None` where it cannot be drawn well.
pub(super) fn drawn(finding: &Diagnostic, files: &Files, colour: bool, wide: usize) -> Option<String> {
    let drawn = prepare(finding, files, wide)?;
    let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler =
        GraphicalReportHandler::new_themed(theme).with_width(wide).with_context_lines(0).with_links(false);
    let mut text = String::new();
    handler.render_report(&mut text, drawn.as_ref()).ok()?;
    Some(text + "\n")
}

fn prepare(finding: &Diagnostic, files: &Files, wide: usize) -> Option<Report> {
    let (name, text, base) = files.whole(finding.span())?;
    let shown = tame_in_place(text);
    let mut labels: Vec<(usize, usize, String)> = Vec::new();
    for label in &finding.labels {
        let (start, end) = clip(text, base, label.span)?;
        match labels.iter_mut().find(|(s, e, _)| *s == start && *e == end) {
            Some((_, _, said)) => *said = format!("{said}; {}", label.text),
            None => labels.push((start, end, label.text.clone())),
        }
    }
    apart(text, &mut labels);
    labels.sort_by_key(|l| l.0);
    let spans = labels.into_iter().map(|(start, end, said)| {
        // Drawn under the middle of its words, behind the number of their line.
        let before = text.get(..start).and_then(|t| t.rsplit('\n').next()).map_or(0, columns);
        let room = wide.saturating_sub(MARGIN + before + (end - start) / 2).max(LEAST);
        let said = (!said.is_empty()).then(|| words(&tame(&said), room, "", "").join("\n"));
        LabeledSpan::new(said, start, end - start)
    });
    let mut drawn = MietteDiagnostic::new(tame(&finding.message))
        .with_code(format!("heatbook::{}", finding.code))
        .with_severity(match finding.severity() {
            Severity::Fault => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
        })
        .with_labels(spans);
    drawn.help = finding.help.as_deref().map(tame);
    Some(Report::new(drawn).with_source_code(Lines { name: tame(name), text: shown }))
}

/// A span as byte offsets into its file, on one line, never empty; `None` where it cannot be drawn.
fn clip(text: &str, base: u32, span: Span) -> Option<(usize, usize)> {
    let at = |address: u32| (address.saturating_sub(base) as usize).min(text.len());
    let (start, end) = (at(span.start), at(span.end));
    let words = text.get(start..end)?;
    let first = words.lines().next().unwrap_or("").trim_end();
    let mut end = start + first.len();
    let mut start = start;
    if start == end {
        // An empty span is drawn under the character before it.
        let before = text.get(..start)?.chars().next_back()?;
        start -= before.len_utf8();
        if before == '\n' {
            return None;
        }
    }
    end = end.max(start + 1);
    let line_start = text.get(..start)?.rfind('\n').map_or(0, |i| i + 1);
    let line_end = text.get(start..)?.find('\n').map_or(text.len(), |i| start + i);
    (line_end - line_start <= LONGEST && text.is_char_boundary(end)).then_some((start, end))
}

/// Labels inside each other cannot be drawn: the outer one keeps the words before or behind the inner.
fn apart(text: &str, labels: &mut [(usize, usize, String)]) {
    let all: Vec<(usize, usize)> = labels.iter().map(|(s, e, _)| (*s, *e)).collect();
    for (start, end, _) in labels.iter_mut() {
        let inner: Vec<(usize, usize)> = all
            .iter()
            .copied()
            .filter(|(s, e)| (*s, *e) != (*start, *end) && *s < *end && *e > *start && e - s < *end - *start)
            .collect();
        let Some(first) = inner.iter().map(|i| i.0).min() else { continue };
        let Some(last) = inner.iter().map(|i| i.1).max() else { continue };
        let before = text.get(*start..first).map_or(0, |w| w.trim_end().len());
        if before > 0 {
            *end = *start + before;
        } else if last < *end {
            let behind = text.get(last..*end).unwrap_or("");
            let lead =
                behind.len() - behind.trim_start_matches(|c: char| c.is_whitespace() || c == ',').len();
            if last + lead < *end {
                *start = last + lead;
            }
        }
    }
}
