//! The mends that findings know, to be taken with one key.

use std::collections::BTreeMap;

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
    found.fix.as_ref()?;
    let mut edits = BTreeMap::new();
    for fix in [&found.fix, &found.also].into_iter().flatten() {
        let place = view.location(fix.span)?;
        let edit = TextEdit { range: place.range, new_text: fix.text.clone() };
        edits.entry(place.uri.as_str().to_owned()).or_insert_with(Vec::new).push(edit);
    }
    let edit: WorkspaceEdit = serde_json::from_value(json!({ "changes": edits })).ok()?;
    Some(CodeActionOrCommand::CodeAction(CodeAction {
        title: [&found.fix, &found.also]
            .into_iter()
            .flatten()
            .map(|fix| title(view, fix))
            .collect::<Vec<_>>()
            .join(", and "),
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
