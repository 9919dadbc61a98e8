//! The house style, as edits of the lines that differ.

use lsp_types::{DocumentFormattingParams, DocumentRangeFormattingParams, TextEdit};
use similar::{DiffTag, TextDiff};

use crate::language;

use super::documents::View;
use super::text::starts;

/// Some lines of a text, by their numbers from 0, and what stands in their place in the house style.
struct Hunk {
    was: std::ops::Range<usize>,
    is: String,
}

/// The edits that bring a document into the house style; `None` where it cannot be read, which its findings say.
pub fn edits(view: &View, _: &DocumentFormattingParams) -> Option<Vec<TextEdit>> {
    let (hunks, _) = hunks(view)?;
    Some(hunks.iter().map(|hunk| edit(view, hunk)).collect())
}

/// The same of whole lines of it: those that a range touches.
pub fn part(view: &View, asked: &DocumentRangeFormattingParams) -> Option<Vec<TextEdit>> {
    let (hunks, made) = hunks(view)?;
    let (first, mut last) = (asked.range.start.line as usize, asked.range.end.line as usize);
    // A range that ends before a line's first letter does not touch the line.
    if asked.range.end.character == 0 && last > first {
        last -= 1;
    }
    let touched = |hunk: &Hunk| hunk.was.start <= last && first < hunk.was.end.max(hunk.was.start + 1);
    // Line by line where as many lines come as go; but lines that go on in others are one, and are laid out together.
    let lone = |hunk: &Hunk| -> Vec<Hunk> {
        let rows: Vec<&str> = hunk.is.split_inclusive('\n').collect();
        if rows.len() != hunk.was.len() {
            return vec![Hunk { was: hunk.was.clone(), is: hunk.is.clone() }];
        }
        let row = |(at, row): (usize, &str)| Hunk { was: at..at + 1, is: row.to_owned() };
        hunk.was.clone().zip(rows).map(row).collect()
    };
    let alone: Vec<Hunk> = hunks.iter().flat_map(lone).filter(touched).collect();
    let chosen: Vec<Hunk> =
        if sound(view, &alone, &made) { alone } else { hunks.into_iter().filter(touched).collect() };
    Some(chosen.iter().map(|hunk| edit(view, hunk)).collect())
}

/// Whether the text with some lines laid out is the same recipe still: it comes to the same in the house style.
fn sound(view: &View, hunks: &[Hunk], made: &str) -> bool {
    let old = starts(view.text.text);
    let mut text = view.text.text.to_owned();
    for hunk in hunks.iter().rev() {
        let end = text.len();
        let byte = |line: usize| old.get(line).copied().unwrap_or(end);
        let (from, to) = (byte(hunk.was.start), byte(hunk.was.end));
        text.replace_range(from..to, &hunk.is);
    }
    language::format(&text, 0).is_ok_and(|again| again == made)
}

/// What differs from the house style, and the text in it.
fn hunks(view: &View) -> Option<(Vec<Hunk>, String)> {
    let text = view.text.text;
    let made = language::format(text, view.analysis.own).ok()?;
    let new = starts(&made);
    let byte = |line: usize| new.get(line).copied().unwrap_or(made.len());
    let diff = TextDiff::from_lines(text, made.as_str());
    let changed = diff.ops().iter().filter(|op| op.tag() != DiffTag::Equal);
    let hunk = |op: &similar::DiffOp| {
        let of = byte(op.new_range().start)..byte(op.new_range().end);
        let words = made.get(of).unwrap_or_else(|| bug!("an edit is no part of what is laid out"));
        Hunk { was: op.old_range(), is: words.to_owned() }
    };
    let hunks = changed.map(hunk).collect();
    Some((hunks, made))
}

fn edit(view: &View, hunk: &Hunk) -> TextEdit {
    let old = starts(view.text.text);
    let byte = |line: usize| old.get(line).copied().unwrap_or(view.text.text.len());
    let range = view.text.range(byte(hunk.was.start), byte(hunk.was.end));
    TextEdit { range, new_text: hunk.is.clone() }
}
