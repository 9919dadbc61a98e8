//! The house style, as edits of the lines that differ.

use lsp_types::{DocumentFormattingParams, TextEdit};
use similar::{DiffTag, TextDiff};

use crate::language;

use super::documents::View;
use super::text::starts;

/// The edits that bring a document into the house style; `None` where it cannot be read, which its findings say.
pub fn edits(view: &View, _: &DocumentFormattingParams) -> Option<Vec<TextEdit>> {
    let text = view.text.text;
    let made = language::format(text, view.analysis.own).ok()?;
    let diff = TextDiff::from_lines(text, made.as_str());
    let (old, new) = (starts(text), starts(&made));
    let byte = |starts: &[usize], line: usize, text: &str| starts.get(line).copied().unwrap_or(text.len());
    let changed = diff.ops().iter().filter(|op| op.tag() != DiffTag::Equal);
    let edit = |op: &similar::DiffOp| {
        let (was, is) = (op.old_range(), op.new_range());
        let of = byte(&new, is.start, &made)..byte(&new, is.end, &made);
        let words = made.get(of).unwrap_or_else(|| bug!("an edit is no part of what is laid out"));
        let range = view.text.range(byte(&old, was.start, text), byte(&old, was.end, text));
        TextEdit { range, new_text: words.to_owned() }
    };
    Some(changed.map(edit).collect())
}
