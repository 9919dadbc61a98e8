//! A file as an editor sees it: its lines, blocks and comments, and what each statement is. Made of whatever can be read;
//! a line at fault is left out.

use super::ast::Statement;
use super::grammar::{Grammar, Rule};
use super::parse;
use super::scan::first_word;
use super::scan::{Piece, scan};
use super::vocabulary;
use crate::forge::{Name, Word};
use crate::source::Span;
use crate::vocabulary::Sort;

/// A block of a file.
#[derive(Clone, Debug)]
pub struct Block {
    /// The word that it begins with.
    pub word: String,
    /// The words before its `{`.
    pub head: Span,
    /// From its first word to behind its `}`, or to the file's end where it is left open.
    pub whole: Span,
}

/// The lines, blocks and comments of a file.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    /// The words of each logical line; those before a `{` too.
    pub lines: Vec<Span>,
    /// The blocks, in the order in which they open.
    pub blocks: Vec<Block>,
    /// The comments.
    pub comments: Vec<Span>,
}

impl Lines {
    /// The innermost block around a place: behind its head, and before its `}`.
    #[must_use]
    pub fn block_at(&self, at: u32) -> Option<&Block> {
        self.blocks.iter().rev().find(|b| b.head.end < at && at < b.whole.end)
    }

    /// The line that a place stands in.
    #[must_use]
    pub fn line_at(&self, at: u32) -> Option<Span> {
        self.lines.iter().copied().find(|l| l.start <= at && at <= l.end)
    }
}

/// Cuts a file into lines, blocks and comments; `base` is the address of its first byte.
#[must_use]
pub fn lines(text: &str, base: u32) -> Lines {
    let scanned = scan(text, base);
    let end = Span::within(base, 0..text.len()).end;
    let mut made = Lines { comments: scanned.comments, ..Lines::default() };
    let mut open: Vec<usize> = Vec::new();
    for piece in scanned.pieces {
        match piece {
            Piece::Line { span, .. } => made.lines.push(span),
            Piece::Open { head, .. } => {
                made.lines.push(head);
                open.push(made.blocks.len());
                let word = first_word(head.of(text, base)).to_owned();
                // One past the end, so that the end itself lies inside a block that is left open.
                let whole = Span { start: head.start, end: end.saturating_add(1) };
                made.blocks.push(Block { word, head, whole });
            }
            Piece::Close(span) => {
                if let Some(block) = open.pop().and_then(|at| made.blocks.get_mut(at)) {
                    block.whole.end = span.end;
                }
            }
        }
    }
    made
}

/// The words, besides the verbs, that a line can begin with: in a block of this word, or at the top where that is nothing.
#[must_use]
pub fn beginnings(block: &str) -> Vec<&'static str> {
    let top = block.is_empty();
    // A log's lines belong into a file of their own; only `repeat` stands inside blocks, and `give` inside recipes.
    let fits = |word: &&str| match *word {
        "give" => !top,
        "build" => false,
        "shop" | "target" | "recipe" | "use" | "steel" => top,
        _ => true,
    };
    vocabulary::of(Sort::Statement).map(|term| term.word).filter(fits).collect()
}

/// Why a word cannot be the name of anything (of a steel, where that is asked); `None` where it can.
#[must_use]
pub fn no_name(word: &str, steel: bool) -> Option<String> {
    use pest::Parser as _;
    let rule = if steel { Rule::grade } else { Rule::name };
    let whole = Grammar::parse(rule, word).is_ok_and(|mut p| p.next().is_some_and(|n| n.as_str() == word));
    if vocabulary::is_reserved(word) {
        return Some(format!("`{word}` is a word of the language, and no name"));
    }
    if !whole || word.starts_with('"') {
        let form = "a name begins with a letter and has letters, digits, `-` and `_` behind it";
        return Some(format!("`{word}` is no name: {form}"));
    }
    if crate::forge::word(word).is_some() {
        return Some(format!("`{word}` is a verb, and no name"));
    }
    if vocabulary::is_statement(word) {
        return Some(format!("`{word}` is a word of the language, and no name"));
    }
    if steel && crate::steel::grades::find(word).is_some() {
        return Some(format!("there is a steel `{word}` in the table already"));
    }
    None
}

/// What an entry of an outline is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EntryKind {
    /// `shop { … }`
    Shop,
    /// `let`
    Let,
    /// `steel … = like …`
    Steel,
    /// `recipe NAME(…) { … }`
    Recipe,
    /// `repeat 3 { … }`
    Repeat,
    /// A step, or a call.
    Step,
    /// `target NAME { … }`
    Target,
}

/// An entry of an outline.
#[derive(Clone, Debug)]
pub struct Entry {
    /// What it is.
    pub kind: EntryKind,
    /// What it is called: a name, or verb and piece.
    pub name: String,
    /// The whole of it.
    pub whole: Span,
    /// The words to put the cursor on.
    pub words: Span,
    /// What stands inside.
    pub inside: Vec<Entry>,
}

/// The outline of a file.
#[must_use]
pub fn outline(text: &str, base: u32) -> Vec<Entry> {
    let (statements, _) = parse::parse(text, base);
    let lines = lines(text, base);
    entries(&statements, &lines)
}

fn entries(statements: &[Statement], lines: &Lines) -> Vec<Entry> {
    statements.iter().filter_map(|s| entry(s, lines)).collect()
}

fn entry(statement: &Statement, lines: &Lines) -> Option<Entry> {
    let block = |head: Span| lines.blocks.iter().find(|b| b.head == head).map_or(head, |b| b.whole);
    let does = |verb: &Word, piece: &Name| format!("{} {}", verb.word, piece.text);
    let line = |at: Span| lines.line_at(at.start).unwrap_or(at);
    let (kind, name, whole, words, body): (_, String, _, _, &[Statement]) = match statement {
        Statement::Shop(_, head) => (EntryKind::Shop, "shop".to_owned(), block(*head), *head, &[]),
        Statement::Let(name, _) | Statement::Mark(_, name, _) => {
            (EntryKind::Let, name.text.clone(), line(name.span), name.span, &[])
        }
        Statement::Steel(s) => (EntryKind::Steel, s.name.text.clone(), s.span, s.name.span, &[]),
        Statement::Recipe(r) => (EntryKind::Recipe, r.name.text.clone(), block(r.span), r.name.span, &r.body),
        Statement::Repeat(_, body, head) => {
            (EntryKind::Repeat, "repeat".to_owned(), block(*head), *head, body)
        }
        Statement::Step(s) => (EntryKind::Step, does(s.word, &s.name), s.span, s.name.span, &[]),
        Statement::Call(c) => (EntryKind::Step, does(c.word, &c.name), c.span, c.name.span, &[]),
        Statement::Target(name, _, _, head) => {
            (EntryKind::Target, format!("target {}", name.text), block(*head), name.span, &[])
        }
        _ => return None,
    };
    Some(Entry { kind, name, whole, words, inside: entries(body, lines) })
}
