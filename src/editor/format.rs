//! The house style, as edits of the lines that differ.

use lsp_types::TextEdit;
use similar::{DiffTag, TextDiff};

use crate::language;

use super::documents::View;

/// The edits that bring a document into the house style; `None` where it cannot be read, which its findings say.
pub fn edits(view: &View) -> Option<Vec<TextEdit>> {
    let text = view.text.text;
    let made = language::format(text, view.analysis.own).ok()?;
    let diff = TextDiff::from_lines(text, made.as_str());
    let start_of = |lines: &[&str]| {
        let mut starts = vec![0];
        for line in lines {
            starts.push(starts.last().copied().unwrap_or(0) + line.len());
        }
        starts
    };
    let (old, new): (Vec<&str>, Vec<&str>) =
        (text.split_inclusive('\n').collect(), made.split_inclusive('\n').collect());
    let (old, new) = (start_of(&old), start_of(&new));
    let at = |starts: &[usize], line: usize| starts.get(line).or(starts.last()).copied().unwrap_or(0);
    let changed = diff.ops().iter().filter(|op| op.tag() != DiffTag::Equal);
    let edit = |op: &similar::DiffOp| {
        let (was, is) = (op.old_range(), op.new_range());
        let words = made.get(at(&new, is.start)..at(&new, is.end)).unwrap_or("");
        TextEdit {
            range: view.text.range(at(&old, was.start), at(&old, was.end)),
            new_text: words.to_owned(),
        }
    };
    Some(changed.map(edit).collect())
}
