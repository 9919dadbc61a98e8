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
    let alone: Vec<Hunk> = hunks.iter().flat_map(|hunk| lone(view, hunk)).filter(touched).collect();
    let chosen: Vec<Hunk> =
        if sound(view, &alone, &made) { alone } else { hunks.into_iter().filter(touched).collect() };
    Some(chosen.iter().map(|hunk| edit(view, hunk)).collect())
}

/// Line by line where each line that goes has one that comes, but for blank ones; lines that go on in others are one, and are laid out
/// together.
fn lone(view: &View, hunk: &Hunk) -> Vec<Hunk> {
    let old = starts(view.text.text);
    let byte = |line: usize| old.get(line).copied().unwrap_or(view.text.text.len());
    let words = |line: &str| line.split_whitespace().collect::<String>();
    let was = |line: usize| words(view.text.text.get(byte(line)..byte(line + 1)).unwrap_or_default());
    let rows: Vec<&str> = hunk.is.split_inclusive('\n').collect();
    let alike = rows.len() == hunk.was.len();
    let (mut made, mut rows) = (Vec::new(), rows.into_iter().peekable());
    let (mut from, mut at, mut is) = (hunk.was.start, hunk.was.start, String::new());
    while at < hunk.was.end || rows.peek().is_some() {
        let goes = (at < hunk.was.end).then(|| was(at));
        let comes = rows.peek().map(|row| words(row));
        // Words that smiths have for those of the house are put right besides.
        let same = goes.is_some() && comes.is_some() && (alike || goes == comes);
        let (idle, new) = (goes.as_deref() == Some(""), comes.as_deref() == Some(""));
        if !same && !idle && !new {
            return vec![Hunk { was: hunk.was.clone(), is: hunk.is.clone() }];
        }
        at += usize::from(same || idle);
        if same || !idle {
            is += rows.next().unwrap_or_default();
        }
        // Blank lines go with the line behind them.
        if same {
            made.push(Hunk { was: from..at, is: std::mem::take(&mut is) });
            from = at;
        }
    }
    if from < at || !is.is_empty() {
        made.push(Hunk { was: from..at, is });
    }
    made
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
