//! What a selection grows to: the word, the clause, the line, the blocks around it, the file.

use lsp_types::{Position, SelectionRange, SelectionRangeParams};

use crate::language;
use crate::source::Span;

use super::documents::View;

/// For each place what lies around it, from the inside out.
pub fn ranges(view: &View, asked: &SelectionRangeParams) -> Option<Vec<SelectionRange>> {
    let used = language::clauses_of(&view.analysis.files, view.analysis.own);
    Some(asked.positions.iter().map(|place| around(view, &used, *place)).collect())
}

fn around(view: &View, used: &[language::Used], place: Position) -> SelectionRange {
    let (analysis, text) = (view.analysis, view.text.text);
    let offset = view.text.offset(place);
    let at = analysis.address(offset);
    let holds = |span: &Span| span.start <= at && at <= span.end;
    let lines = analysis.lines();
    let mut stretches: Vec<(usize, usize)> = vec![word(text, offset)];
    let own = |span: Span| analysis.own_stretch(span);
    stretches.extend(lines.comments.iter().filter(|c| holds(c)).filter_map(|c| own(*c)));
    stretches.extend(used.iter().map(|u| u.span).filter(holds).filter_map(own));
    let line = lines.line_at(at).and_then(own);
    // Where no clause is known, what stands between two commas is one.
    stretches.extend(line.and_then(|(start, end)| between(text, start, end, offset)));
    stretches.extend(line);
    stretches.extend(lines.blocks.iter().rev().map(|b| b.whole).filter(holds).filter_map(own));
    stretches.push((0, text.len()));
    // From the inside out: each holds the one before, and is more than that.
    stretches.sort_by_key(|(start, end)| end - start);
    let mut kept: Vec<(usize, usize)> = Vec::new();
    for (start, end) in stretches {
        let last = kept.last().copied().unwrap_or((offset, offset));
        if start <= last.0 && last.1 <= end && (kept.is_empty() || (start, end) != last) {
            kept.push((start, end));
        }
    }
    let outer = kept.iter().rev().fold(None, |parent: Option<Box<SelectionRange>>, (start, end)| {
        Some(Box::new(SelectionRange { range: view.text.range(*start, *end), parent }))
    });
    outer.map_or_else(|| bug!("a place lies outside of its file"), |outer| *outer)
}

/// The word that a place stands in or behind.
fn word(text: &str, offset: usize) -> (usize, usize) {
    let part = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    let ahead = text.get(..offset).unwrap_or("").char_indices().rev().take_while(|(_, c)| part(*c)).last();
    let behind = text.get(offset..).unwrap_or("");
    (ahead.map_or(offset, |(at, _)| at), offset + behind.find(|c| !part(c)).unwrap_or(behind.len()))
}

/// What stands between the commas or brackets around a place of a line.
fn between(text: &str, start: usize, end: usize, offset: usize) -> Option<(usize, usize)> {
    let from = text.get(start..offset)?.rfind([',', '(']).map_or(start, |at| start + at + 1);
    let to = text.get(offset..end)?.find([',', ')']).map_or(end, |at| offset + at);
    let words = text.get(from..to)?;
    let from = from + (words.len() - words.trim_start().len());
    (from <= offset).then_some((from, from + words.trim().len())).filter(|(_, to)| offset <= *to)
}
