//! What an editor marks in a document: the places of the name under the cursor, what folds away, the files that it leads to.

use lsp_types::{
    DocumentHighlight, DocumentHighlightKind, DocumentHighlightParams, DocumentLink, DocumentLinkParams,
    FoldingRange, FoldingRangeKind, FoldingRangeParams,
};

use crate::source::Span;

use super::documents::View;
use super::uri::uri_of;

/// Every place of this document that speaks of what the name at a place means; where it is given, as written.
pub fn highlights(view: &View, asked: &DocumentHighlightParams) -> Option<Vec<DocumentHighlight>> {
    let at = view.address(asked.text_document_position_params.position);
    let (_, _, thing) = view.analysis.index().at(at)?;
    let of =
        |kind| move |span: &Span| Some(DocumentHighlight { range: view.range(*span)?, kind: Some(kind) });
    let made = thing.made.iter().filter_map(of(DocumentHighlightKind::WRITE));
    let used = thing.used.iter().chain(&thing.offcuts).filter_map(of(DocumentHighlightKind::READ));
    let mut all: Vec<DocumentHighlight> = made.chain(used).collect();
    all.sort_by_key(|mark| mark.range.start);
    all.dedup_by_key(|mark| mark.range.start);
    Some(all)
}

/// Blocks, lines that go on in the next, and comments of several lines.
pub fn folds(view: &View, _: &FoldingRangeParams) -> Option<Vec<FoldingRange>> {
    let lines = view.analysis.lines();
    let rows = |span: Span| view.range(span).map(|range| (range.start.line, range.end.line));
    let fold = |(start_line, end_line): (u32, u32), kind| {
        (start_line < end_line).then(|| FoldingRange {
            start_line,
            end_line,
            kind,
            ..FoldingRange::default()
        })
    };
    // Its last line, with the bracket, stays to be seen.
    let blocks = lines.blocks.iter().filter_map(|block| {
        let (start, end) = rows(block.whole)?;
        fold((start, end.saturating_sub(1)), None)
    });
    let long = lines.lines.iter().filter_map(|line| fold(rows(*line)?, None));
    let mut comments: Vec<(u32, u32)> = Vec::new();
    for (row, _) in lines.comments.iter().filter_map(|comment| rows(*comment)) {
        match comments.last_mut() {
            Some((_, end)) if *end + 1 == row => *end = row,
            _ => comments.push((row, row)),
        }
    }
    let comments = comments.into_iter().filter_map(|rows| fold(rows, Some(FoldingRangeKind::Comment)));
    Some(blocks.chain(long).chain(comments).collect())
}

/// The files that `use` brings, and the recipe of a log, each where it is named.
pub fn links(view: &View, _: &DocumentLinkParams) -> Option<Vec<DocumentLink>> {
    let used = view.analysis.index().uses.iter().filter_map(|(span, base)| Some((*span, (*base)?)));
    let recipe = view.analysis.recipe().and_then(|base| {
        let (_, words) = crate::language::build_of(&view.analysis.files, view.analysis.own)?;
        Some((words, base))
    });
    let link = |(span, base): (Span, u32)| {
        let path = view.path(Span { start: base, end: base })?;
        let (range, target) = (view.range(span)?, Some(uri_of(path)?));
        Some(DocumentLink { range, target, tooltip: Some(path.display().to_string()), data: None })
    };
    Some(used.chain(recipe).filter_map(link).collect())
}
