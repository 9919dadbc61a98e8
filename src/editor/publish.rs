//! What is wrong with a document, as an editor shows it.

use lsp_types::{
    DiagnosticRelatedInformation, DiagnosticSeverity, NumberOrString, Position, PublishDiagnosticsParams,
    Range, Uri,
};

use crate::source::{Diagnostic, Severity, Span};

use super::documents::{Document, View};

/// Findings that an editor is handed for one document: nobody reads more of them.
const MOST: usize = 500;

/// The findings of a document.
pub fn findings(view: &View) -> PublishDiagnosticsParams {
    let diagnostics = view.analysis.findings.iter().take(MOST).map(|f| finding(view, f)).collect();
    PublishDiagnosticsParams::new(view.document.uri.clone(), diagnostics, Some(view.document.version))
}

/// No findings: what a closed document has.
pub fn none(uri: Uri) -> PublishDiagnosticsParams {
    PublishDiagnosticsParams::new(uri, Vec::new(), None)
}

/// The one finding of a text that cannot be held.
pub fn refused(document: &Document, why: &str) -> PublishDiagnosticsParams {
    let diagnostic = lsp_types::Diagnostic {
        range: Range::default(),
        severity: Some(DiagnosticSeverity::ERROR),
        source: Some("heatbook".to_owned()),
        message: why.to_owned(),
        ..lsp_types::Diagnostic::default()
    };
    PublishDiagnosticsParams::new(document.uri.clone(), vec![diagnostic], Some(document.version))
}

/// One finding. Where its first words stand in a used file, it is shown at those of the document that lead there.
pub fn finding(view: &View, found: &Diagnostic) -> lsp_types::Diagnostic {
    let own = found.labels.iter().position(|l| view.analysis.own_stretch(l.span).is_some());
    let main = own.and_then(|at| found.labels.get(at));
    let range = main.and_then(|l| shown(view, l.span)).or_else(|| leads_to(view, found.span()));
    let mut message = found.message.clone();
    if let Some(first) = found.labels.first().filter(|l| !l.text.is_empty()) {
        message = if message.is_empty() { first.text.clone() } else { format!("{message}: {}", first.text) };
    }
    if own != Some(0)
        && let Some((file, _, _)) = view.analysis.files.whole(found.span())
    {
        message = format!("{message} (in `{file}`)");
    }
    if let Some(help) = &found.help {
        message = format!("{message}\nhelp: {help}");
    }
    let others = found.labels.iter().enumerate().filter(|(i, _)| Some(*i) != own.or(Some(usize::MAX)));
    let related: Vec<DiagnosticRelatedInformation> = others
        .filter_map(|(_, label)| {
            let location = view.location(label.span)?;
            let text = if label.text.is_empty() { &found.message } else { &label.text };
            Some(DiagnosticRelatedInformation { location, message: text.clone() })
        })
        .collect();
    lsp_types::Diagnostic {
        range: range.unwrap_or_default(),
        severity: Some(match found.severity() {
            Severity::Fault => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
        }),
        code: Some(NumberOrString::String(found.code.name().to_owned())),
        source: Some("heatbook".to_owned()),
        message,
        related_information: (!related.is_empty()).then_some(related),
        ..lsp_types::Diagnostic::default()
    }
}

/// The range of words of the document; an empty one takes in a letter, so that there is something to see.
fn shown(view: &View, span: Span) -> Option<Range> {
    let range = view.range(span)?;
    if range.start != range.end {
        return Some(range);
    }
    let line = Position { line: range.start.line, character: u32::MAX };
    let line_end = view.text.position(view.text.offset(line));
    let moved = |character| Position { character, ..range.start };
    let column = range.start.character;
    Some(if range.start < line_end {
        Range { start: range.start, end: moved(column + 1) }
    } else {
        Range { start: moved(column.saturating_sub(1)), ..range }
    })
}

/// The words of the document that name the file a span stands in, or the first that name any.
fn leads_to(view: &View, span: Span) -> Option<Range> {
    let base = view.analysis.files.whole(span).map(|(_, _, base)| base);
    let own = || view.analysis.index().uses.iter().filter_map(|(at, to)| Some((view.range(*at)?, *to)));
    own().find(|(_, to)| to.is_some() && *to == base).or_else(|| own().next()).map(|(range, _)| range)
}
