//! The outline of a document, and names sought over all files.

use lsp_types::{
    DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, Location, OneOf, Range, SymbolKind,
    WorkspaceSymbol, WorkspaceSymbolResponse,
};

use crate::forge::{self, Form};
use crate::language::{Entry, EntryKind, outline};
use crate::source::Span;

use super::documents::{Documents, View};
use super::text::{Text, starts};

/// Names that are told of at once: whoever seeks types more of it (project figure).
const MOST: usize = 400;

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
        kind: kind(entry.kind),
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

fn kind(of: EntryKind) -> SymbolKind {
    match of {
        EntryKind::Shop => SymbolKind::NAMESPACE,
        EntryKind::Let => SymbolKind::CONSTANT,
        EntryKind::Steel => SymbolKind::STRUCT,
        EntryKind::Recipe => SymbolKind::FUNCTION,
        EntryKind::Repeat => SymbolKind::ARRAY,
        EntryKind::Step => SymbolKind::EVENT,
        EntryKind::Target => SymbolKind::INTERFACE,
    }
}

/// Names that are given in any file, open or in the folders, in which the letters of a query stand in their order.
pub fn everywhere(documents: &Documents, query: &str) -> WorkspaceSymbolResponse {
    let mut made = Vec::new();
    for (uri, text) in documents.all() {
        let lines = starts(text);
        let shown = Text::new(text, &lines, documents.encoding);
        let mut open = outline(text, 0);
        open.reverse();
        while let Some(mut entry) = open.pop() {
            open.extend(entry.inside.drain(..).rev());
            let Some(name) = given(text, &entry).filter(|name| fits(name, query)) else { continue };
            let Span { start, end } = entry.words;
            let range = shown.range(start as usize, end as usize);
            made.push(WorkspaceSymbol {
                name: name.to_owned(),
                kind: kind(entry.kind),
                tags: None,
                container_name: uri.as_str().rsplit('/').next().map(str::to_owned),
                location: OneOf::Left(Location { uri: uri.clone(), range }),
                data: None,
            });
        }
    }
    // What is so, then what begins so, then the rest.
    made.sort_by_key(|s| (s.name != query, !s.name.starts_with(query), s.name.clone()));
    made.truncate(MOST);
    WorkspaceSymbolResponse::Nested(made)
}

/// The name that an entry gives to something; of steps, those that make a piece.
fn given<'t>(text: &'t str, entry: &Entry) -> Option<&'t str> {
    let makes = || {
        let verb = forge::word(entry.name.split(' ').next()?)?;
        matches!(verb.form, Form::Stock | Form::Stack).then_some(())
    };
    match entry.kind {
        EntryKind::Shop | EntryKind::Repeat | EntryKind::Target => None,
        EntryKind::Step => makes().and_then(|()| text.get(entry.words.bytes(0))),
        EntryKind::Let | EntryKind::Steel | EntryKind::Recipe => text.get(entry.words.bytes(0)),
    }
}

fn fits(name: &str, query: &str) -> bool {
    let mut letters = name.chars().flat_map(char::to_lowercase);
    query.chars().flat_map(char::to_lowercase).all(|c| letters.any(|letter| letter == c))
}
