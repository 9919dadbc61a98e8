//! The outline of a document.

use lsp_types::{DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, Range, SymbolKind};

use crate::language::{Entry, EntryKind, outline};

use super::documents::View;

/// Shop, lets, steels, recipes, steps and targets, with what stands inside.
pub fn symbols(view: &View, _: &DocumentSymbolParams) -> Option<DocumentSymbolResponse> {
    let entries = outline(view.text.text, view.analysis.own);
    Some(DocumentSymbolResponse::Nested(entries.iter().filter_map(|e| symbol(view, e)).collect()))
}

#[allow(deprecated, reason = "the field that is no longer used must be filled all the same")]
fn symbol(view: &View, entry: &Entry) -> Option<DocumentSymbol> {
    let whole = view.range(entry.whole)?;
    let words = view.range(entry.words)?;
    let inside: Vec<DocumentSymbol> = entry.inside.iter().filter_map(|e| symbol(view, e)).collect();
    Some(DocumentSymbol {
        name: entry.name.clone(),
        detail: detail(view, entry),
        kind: match entry.kind {
            EntryKind::Shop => SymbolKind::NAMESPACE,
            EntryKind::Let => SymbolKind::CONSTANT,
            EntryKind::Steel => SymbolKind::STRUCT,
            EntryKind::Recipe => SymbolKind::FUNCTION,
            EntryKind::Repeat => SymbolKind::ARRAY,
            EntryKind::Step => SymbolKind::EVENT,
            EntryKind::Target => SymbolKind::INTERFACE,
        },
        tags: None,
        deprecated: None,
        // Editors refuse an entry whose words lie outside of it.
        range: Range { start: whole.start.min(words.start), end: whole.end.max(words.end) },
        selection_range: words,
        children: (!inside.is_empty()).then_some(inside),
    })
}

/// What is written of it: the words of its line.
fn detail(view: &View, entry: &Entry) -> Option<String> {
    if !matches!(entry.kind, EntryKind::Let | EntryKind::Steel | EntryKind::Step) {
        return None;
    }
    let words = view.analysis.files.text(entry.whole).split_whitespace().collect::<Vec<_>>().join(" ");
    let cut: String = words.chars().take(80).collect();
    Some(if cut.len() < words.len() { format!("{cut} …") } else { cut })
}
