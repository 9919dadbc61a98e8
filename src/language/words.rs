//! A file as a row of words, braces and comments: nothing of it is left out, and blanks are no part of it.

use std::collections::HashMap;
use std::ops::Range;

use super::grammar::{Node, Rule};
use super::parse::Written;
use super::reader::{house_number, house_unit};
use super::scan::Piece;
use super::vocabulary::house_verb;
use crate::source::Span;
use crate::steel::grades::house_grade;

/// What stands at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sort {
    /// A word of a line: its rule and that of the clause around it; nothing where the grammar has no rule for it.
    Word(Option<Rule>, Rule),
    /// `{`
    Open,
    /// `}`
    Close,
    /// A comment with its mark.
    Comment,
}

/// A word, a brace or a comment.
#[derive(Clone, Debug)]
pub struct Bit {
    /// Where it begins and ends in the text, bytes.
    pub at: (usize, usize),
    /// What it is.
    pub sort: Sort,
    /// Its text, blanks inside it put right.
    pub text: String,
    /// How deep in its line's tree it stands, with the rules above it.
    pub path: Vec<Rule>,
    /// Whether a logical line begins with it.
    pub first: bool,
}

/// All of a file, in order.
pub fn bits(text: &str, base: u32, written: &Written) -> Vec<Bit> {
    let mut made: Vec<Bit> = Vec::new();
    let mut ends: HashMap<u32, Span> = HashMap::new();
    for piece in &written.pieces {
        match piece {
            Piece::Line { span, .. } => {
                ends.insert(span.start, *span);
            }
            Piece::Open { head, .. } => {
                ends.insert(head.start, *head);
                let end = head.bytes(base).end;
                let brace = written.bare.get(end..).and_then(|rest| rest.find('{'));
                let brace = end + brace.unwrap_or_else(|| bug!("a block without its brace"));
                made.push(plain(brace..brace + 1, Sort::Open, "{"));
            }
            Piece::Close(span) => made.push(plain(span.bytes(base), Sort::Close, "}")),
        }
    }
    for span in &written.comments {
        let (start, words) = (span.bytes(base).start, span.of(text, base).trim_end());
        made.push(plain(start..start + words.len(), Sort::Comment, words));
    }
    for (start, node) in &written.trees {
        let span = ends.get(start).unwrap_or_else(|| bug!("a tree of no line"));
        line(span.of(written.bare, base), span.bytes(base).start, node, &mut made);
    }
    made.sort_by_key(|bit| bit.at);
    made
}

fn plain(at: Range<usize>, sort: Sort, text: &str) -> Bit {
    Bit { at: (at.start, at.end), sort, text: text.to_owned(), path: Vec::new(), first: false }
}

/// The words of one line: the leaves of its tree, and what stands between them.
fn line(text: &str, start: usize, node: &Node, made: &mut Vec<Bit>) {
    let mut found: Vec<Bit> = Vec::new();
    leaves(node, &mut Vec::new(), &mut found);
    let around = node.as_rule();
    let mut cursor = 0;
    let mut gaps: Vec<Bit> = Vec::new();
    for leaf in &found {
        gap(text, (cursor, leaf.at.0), around, &mut gaps);
        cursor = cursor.max(leaf.at.1);
    }
    gap(text, (cursor, text.len()), around, &mut gaps);
    found.extend(gaps);
    found.sort_by_key(|bit| bit.at);
    for (i, mut bit) in found.into_iter().enumerate() {
        bit.at = (bit.at.0 + start, bit.at.1 + start);
        bit.first = i == 0;
        made.push(bit);
    }
}

fn leaves(node: &Node, path: &mut Vec<Rule>, found: &mut Vec<Bit>) {
    let rule = node.as_rule();
    if rule == Rule::EOI {
        return;
    }
    let mut inner = node.clone().into_inner().peekable();
    if inner.peek().is_some() {
        path.push(rule);
        inner.for_each(|n| leaves(&n, path, found));
        path.pop();
        return;
    }
    let words = node.as_str().trim_end();
    if words.is_empty() {
        return;
    }
    let start = node.as_span().start();
    let parent = path.last().copied().unwrap_or(rule);
    let text = match rule {
        Rule::unit | Rule::second_unit => house_unit(&collapsed(words)).to_owned(),
        Rule::number => house_number(&collapsed(words)).into_owned(),
        Rule::verb => house_verb(words),
        Rule::grade if !words.starts_with('"') => house_grade(words).to_owned(),
        Rule::by if words == "X" => "x".to_owned(),
        _ if words.contains('"') => words.to_owned(),
        _ => collapsed(words),
    };
    let bit = plain(start..start + words.len(), Sort::Word(Some(rule), parent), &text);
    found.push(Bit { path: path.clone(), ..bit });
}

/// The words between two leaves: literals that have no rule of their own.
fn gap(text: &str, (from, to): (usize, usize), around: Rule, made: &mut Vec<Bit>) {
    let Some(between) = text.get(from..to) else { return };
    let mut start = from;
    for word in between.split_inclusive(char::is_whitespace) {
        let bare = word.trim_end();
        if !bare.is_empty() {
            made.push(plain(start..start + bare.len(), Sort::Word(None, around), bare));
        }
        start += word.len();
    }
}

/// A text with single blanks.
fn collapsed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
