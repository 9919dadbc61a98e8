//! The mends that findings know, to be taken with one key.

use lsp_types::{CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, TextEdit, WorkspaceEdit};
use serde_json::json;

use crate::source::{Diagnostic, Fix};

use super::documents::View;
use super::publish;

/// What would mend the findings that touch a range.
pub fn actions(view: &View, params: &CodeActionParams) -> Vec<CodeActionOrCommand> {
    let wanted = params.context.only.as_ref();
    let quick = |kind: &CodeActionKind| CodeActionKind::QUICKFIX.as_str().starts_with(kind.as_str());
    if !wanted.is_none_or(|kinds| kinds.iter().any(quick)) {
        return Vec::new();
    }
    let (from, to) = (view.address(params.range.start), view.address(params.range.end));
    // A finding is offered its mend at any of its words: at the target that is missed, and at the step that it is owed to.
    let touches = |f: &&Diagnostic| {
        let own = f.labels.iter().filter(|l| view.analysis.own_stretch(l.span).is_some());
        own.map(|l| l.span).any(|s| s.start <= to && from <= s.end)
    };
    view.analysis.findings.iter().filter(touches).filter_map(|f| action(view, f)).collect()
}

fn action(view: &View, found: &Diagnostic) -> Option<CodeActionOrCommand> {
    let fix = found.fix.as_ref()?;
    let place = view.location(fix.span)?;
    let edit = TextEdit { range: place.range, new_text: fix.text.clone() };
    let changes = json!({ "changes": { place.uri.as_str(): [edit] } });
    let edit: WorkspaceEdit = serde_json::from_value(changes).ok()?;
    Some(CodeActionOrCommand::CodeAction(CodeAction {
        title: title(view, fix),
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: Some(vec![publish::finding(view, found)]),
        edit: Some(edit),
        is_preferred: Some(true),
        ..CodeAction::default()
    }))
}

fn title(view: &View, fix: &Fix) -> String {
    let was = view.analysis.files.text(fix.span);
    match (was.is_empty(), fix.text.is_empty()) {
        (_, true) => format!("take `{was}` away"),
        (true, false) => format!("put `{}` in", fix.text),
        (false, false) => format!("write `{}` instead of `{was}`", fix.text),
    }
}
