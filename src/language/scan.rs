//! A linear scan that cuts a file into logical lines and blocks, before any grammar is asked.
//!
//! It knows comments, strings, braces, and commas at line ends. It also catches the slips that would send the
//! grammar down the wrong way: decimal commas and runaway brackets.

use std::borrow::Cow;

use super::vocabulary;
use crate::source::{Code, Diagnostic, Fix, Span};
use crate::vocabulary::Sort;

/// Brackets inside brackets that are followed.
const DEEPEST: u32 = 128;

/// Bytes in one line, with those that it goes on in: no step is so long.
const LONGEST: usize = 1 << 16;

/// A piece of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Piece {
    /// A whole line; `sound` unless the scan found fault with it.
    Line {
        /// The words.
        span: Span,
        /// Whether it is worth parsing.
        sound: bool,
    },
    /// The words before a `{`, and the brace.
    Open {
        /// The words.
        head: Span,
        /// Whether they are worth parsing.
        sound: bool,
    },
    /// A `}`.
    Close(Span),
}

/// A file cut up.
#[derive(Default)]
pub struct Scanned {
    /// Its lines and blocks.
    pub pieces: Vec<Piece>,
    /// Its comments, each up to the line's end.
    pub comments: Vec<Span>,
    /// Its texts, each with its marks.
    pub texts: Vec<Span>,
    /// What is wrong with it.
    pub faults: Vec<Diagnostic>,
}

impl Scanned {
    /// The text with blanks in the place of its comments, so that no line has one inside, and of its tabs: between words they are no other sign.
    pub fn bare<'t>(&self, text: &'t str, base: u32) -> Cow<'t, str> {
        let tabs = text.contains('\t');
        if self.comments.is_empty() && !tabs {
            return Cow::Borrowed(text);
        }
        let (mut made, mut end) = (String::with_capacity(text.len()), 0);
        for comment in self.comments.iter().map(|c| c.bytes(base)) {
            made += text.get(end..comment.start).unwrap_or_else(|| bug!("comments out of order"));
            end = comment.end;
            made.extend(comment.map(|_| ' '));
        }
        made += text.get(end..).unwrap_or_else(|| bug!("a comment behind the end"));
        if tabs {
            made = made.replace('\t', " ");
            for own in self.texts.iter().map(|t| t.bytes(base)) {
                let words = text.get(own.clone()).unwrap_or_else(|| bug!("a text behind the end"));
                made.replace_range(own, words);
            }
        }
        Cow::Owned(made)
    }
}

#[derive(Default)]
struct Scan<'t> {
    text: &'t str,
    base: u32,
    made: Scanned,
    /// Where the current line's words begin and end so far.
    line: Option<(usize, usize)>,
    /// The comma that the current line ends with so far.
    comma: Option<usize>,
    depth: u32,
    /// The last bracket found that closes behind lines of comments: each such line asks for it.
    closing: usize,
    /// Whether a brace that opens no block is open.
    braced: bool,
    sound: bool,
}

/// Cuts a file into its lines and blocks.
pub fn scan(text: &str, base: u32) -> Scanned {
    let mut scan = Scan { text, base, sound: true, ..Scan::default() };
    scan.run();
    scan.made
}

impl Scan<'_> {
    fn run(&mut self) {
        let bytes = self.text.as_bytes();
        let byte = |i: usize| bytes.get(i).copied().unwrap_or(b'\n');
        // A mark that some editors put before everything else.
        let mut i = if self.text.starts_with('\u{feff}') { 3 } else { 0 };
        while i < bytes.len() {
            let here = byte(i);
            match here {
                b'#' => {
                    let start = i;
                    while i < bytes.len() && byte(i) != b'\n' {
                        i += 1;
                    }
                    self.made.comments.push(self.span(start, i));
                    continue;
                }
                b'\n' => self.line_end(i + 1),
                b' ' | b'\t' | b'\r' => {}
                0xC2 if byte(i + 1) == 0xA0 => i += 1,
                // A quote right behind a figure is an inch mark.
                b'"' if !self.is_inch_mark(i) => {
                    let start = i;
                    i += 1;
                    while i < bytes.len() && byte(i) != b'"' && byte(i) != b'\n' {
                        i += 1;
                    }
                    self.word(start, (i + 1).min(bytes.len()));
                    self.made.texts.push(self.span(start, (i + 1).min(bytes.len())));
                    if byte(i) != b'"' {
                        self.open_text(start, i);
                        continue;
                    }
                }
                b'{' if self.is_bracket(i) => {
                    self.word(i, i + 1);
                    self.braced = true;
                }
                b'}' if std::mem::take(&mut self.braced) => self.word(i, i + 1),
                b'{' => self.open(i),
                b'}' => {
                    if let Some(at) = self.comma {
                        self.dangling(at, "the block is closed behind it");
                    }
                    self.finish();
                    self.made.pieces.push(Piece::Close(self.span(i, i + 1)));
                }
                b',' => {
                    self.word(i, i + 1);
                    self.comma = Some(i);
                    if i > 0 && byte(i - 1).is_ascii_digit() && byte(i + 1).is_ascii_digit() {
                        self.decimal_comma(i);
                    }
                }
                b'(' => {
                    self.word(i, i + 1);
                    self.depth += 1;
                    if self.depth == DEEPEST + 1 {
                        self.too_deep(i);
                    }
                }
                _ => {
                    self.word(i, i + 1);
                    if here == b')' {
                        self.depth = self.depth.saturating_sub(1);
                    }
                }
            }
            i += 1;
        }
        if let Some(at) = self.comma {
            self.dangling(at, "nothing comes after it");
        }
        self.finish();
    }

    /// Whether a figure ends right before a quote.
    fn is_inch_mark(&self, at: usize) -> bool {
        let before = self.text.get(..at).and_then(|before| before.chars().next_back());
        before.is_some_and(|c| c.is_ascii_digit() || "½¼¾⅛⅜⅝⅞".contains(c))
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span::within(self.base, start..end)
    }

    fn word(&mut self, start: usize, end: usize) {
        self.line = Some((self.line.map_or(start, |(s, _)| s), end));
        self.comma = None;
    }

    /// A line's end: the line ends with it, unless it ends in a comma and the next goes on.
    fn line_end(&mut self, next: usize) {
        let Some(at) = self.comma else {
            // An open bracket goes on too, where nothing else can be meant.
            let ends_open = self.line.is_some_and(|(start, end)| {
                let words = self.text.get(start..end).unwrap_or("");
                // `spec for blade (` opens a block in other marks.
                let called = !words.ends_with(" (") || words.contains('=') || first_word(words) == "recipe";
                words.ends_with('(') && called
            });
            if self.depth > 0 && (ends_open || self.closes(next) || self.parameter_begins(next)) {
                return;
            }
            return self.finish();
        };
        if self.step_begins(next) {
            self.dangling(at, "the next line begins a step of its own");
            self.finish();
        }
    }

    /// Whether a brace stands behind a step and is closed at the end of its line: it is meant for a bracket, as in `sandwiched{core: 1095}`.
    fn is_bracket(&self, at: usize) -> bool {
        let Some((start, _)) = self.line else { return false };
        let step = self.text.get(start..at).map_or("", first_word);
        let rest = self.text.get(at + 1..).unwrap_or("").lines().next().unwrap_or("");
        let inside = rest.split('#').next().unwrap_or("").trim_end();
        let closed = inside.strip_suffix('}').is_some_and(|inside| !inside.contains(['{', '}']));
        closed && vocabulary::is(&vocabulary::house_verb(step), Sort::Verb)
    }

    /// Whether the next words, behind comments, begin with a bracket that closes.
    fn closes(&mut self, from: usize) -> bool {
        if from <= self.closing {
            return true;
        }
        let mut rest = self.text.get(from..).unwrap_or("").trim_start();
        while rest.starts_with('#') {
            rest = rest.split_once('\n').map_or("", |(_, behind)| behind).trim_start();
        }
        let closes = rest.starts_with(')');
        if closes {
            self.closing = self.text.len() - rest.len();
        }
        closes
    }

    /// Whether the next line begins as a parameter does, `thick: length`: only the comma before it is missing.
    fn parameter_begins(&self, from: usize) -> bool {
        let line = self.text.get(from..).unwrap_or("").lines().next().unwrap_or("").trim_start();
        let name = line.split(|c: char| !c.is_alphanumeric() && c != '-').next().unwrap_or("");
        let behind = line.get(name.len()..).unwrap_or("").trim_start();
        name.starts_with(char::is_alphabetic) && behind.starts_with(':')
    }

    /// Whether a verb and a name stand at the start of the line that begins here.
    fn step_begins(&self, from: usize) -> bool {
        let line = self.text.get(from..).unwrap_or("").lines().next().unwrap_or("");
        let line = line.split('#').next().unwrap_or("");
        let mut words = line.split_whitespace();
        let (Some(verb), Some(name)) = (words.next(), words.next()) else { return false };
        let begins = vocabulary::is(&vocabulary::house_verb(verb), Sort::Verb)
            || vocabulary::is(verb, Sort::Statement);
        let letter = name.chars().next().is_some_and(|c| c.is_alphabetic() || c == '"');
        begins && letter && !vocabulary::is_reserved(name.trim_end_matches(','))
    }

    fn finish(&mut self) {
        if let Some((start, end)) = self.line.take() {
            // The comma that dangled is no part of the line's words.
            let end = self.comma.filter(|at| at + 1 == end).unwrap_or(end);
            let span = self.span(start, end);
            self.too_long(start, end);
            if start < end {
                self.made.pieces.push(Piece::Line { span, sound: self.sound });
            }
        }
        (self.comma, self.depth, self.sound, self.braced) = (None, 0, true, false);
    }

    fn open(&mut self, at: usize) {
        // A brace may stand on the line behind what opens it.
        if let (None, Some(Piece::Line { span, sound })) = (self.line, self.made.pieces.last().copied()) {
            let head = span.of(self.text, self.base);
            let gap = self.text.get(span.bytes(self.base).end..at).unwrap_or("x");
            if matches!(first_word(head), "shop" | "target" | "repeat" | "recipe") && gap.trim().is_empty() {
                self.made.pieces.pop();
                self.line = Some((span.bytes(self.base).start, span.bytes(self.base).end));
                self.sound = sound;
            }
        }
        let (start, end) = self.line.take().unwrap_or((at, at));
        self.too_long(start, end);
        self.made.pieces.push(Piece::Open { head: self.span(start, end), sound: self.sound });
        (self.comma, self.depth, self.sound) = (None, 0, true);
    }

    fn too_long(&mut self, start: usize, end: usize) {
        if end - start <= LONGEST || !self.sound {
            return;
        }
        let shown =
            self.text.get(start..end).and_then(|w| w.char_indices().nth(20)).map_or(end, |(i, _)| start + i);
        let span = self.span(start, shown);
        let fault = Code::LineTooLong.says("this line is longer than any step").at(span, "it begins here");
        self.made.faults.push(fault.help("put one step on a line; look for a comma that joins lines"));
        self.sound = false;
    }

    fn dangling(&mut self, at: usize, why: &str) {
        let span = self.span(at, at + 1);
        let fault = Code::DanglingComma.says("a line that ends in a comma goes on in the next").at(span, why);
        let fault = fault.help("take the comma away, or write what should follow it");
        self.made.faults.push(fault.fix(span, ""));
    }

    /// A comma inside a number; all those of a line are one fault.
    fn decimal_comma(&mut self, at: usize) {
        let not_digit = |c: char| !c.is_ascii_digit();
        let Some((before, behind)) = self.text.get(at + 1..).and_then(|b| Some((self.text.get(..at)?, b)))
        else {
            bug!("no comma stands at {at}")
        };
        let whole = before.rsplit(not_digit).next().unwrap_or(before);
        // A steel's number ends before its comma: `1084,3 x 40 x 120 mm`.
        let front = before.strip_suffix(whole).map_or("", str::trim_end);
        if whole.len() >= 3 && front.strip_suffix("of").is_some_and(|f| f.ends_with(char::is_whitespace)) {
            return;
        }
        let part = behind.split(not_digit).next().unwrap_or(behind);
        let (from, to) = (at - whole.len(), at + 1 + part.len());
        let thousands = part.len() == 3 && whole.len() <= 3 && !whole.starts_with('0');
        let (span, written) = (self.span(from, to), format!("{whole}.{part}"));
        self.sound = false;
        // `3,5 to 4,5 mm` is one slip.
        let begins = self.line.map_or(from, |(start, _)| start);
        let same = self.made.faults.last_mut().filter(|f| {
            f.code == Code::DecimalComma && f.span().bytes(self.base).start >= begins && !thousands
        });
        if let Some(fault) = same
            && let Some(fix) = fault.fix.as_deref_mut()
            && let Some(between) = self.text.get(fix.span.bytes(self.base).end..from)
        {
            let help = fault.help.take().unwrap_or_default();
            fault.help = Some(format!("{help} and `{written}`"));
            *fix = Fix {
                span: Span { start: fix.span.start, end: span.end },
                text: format!("{}{between}{written}", fix.text),
            };
            return;
        }
        let help = if thousands {
            format!("write `{written}` for a decimal point, or `{whole}{part}` for thousands")
        } else {
            format!("write `{written}`")
        };
        let message = "a comma parts clauses; decimals have a point";
        self.made.faults.push(
            Diagnostic::new(Code::DecimalComma, message, span, "this comma stands inside a number")
                .help(help)
                .fix(span, written),
        );
    }

    fn too_deep(&mut self, at: usize) {
        let span = self.span(at, at + 1);
        let message = format!("more than {DEEPEST} brackets inside each other");
        let fault = Diagnostic::new(Code::TooDeep, message, span, "this one is too many");
        self.made.faults.push(fault.help("work parts of it out with `let` first"));
        self.sound = false;
    }

    fn open_text(&mut self, start: usize, end: usize) {
        let span = self.span(start, end);
        let (message, text) = ("this text is not closed", "it begins here and runs to the line's end");
        let fault = Diagnostic::new(Code::OpenText, message, span, text);
        self.made.faults.push(fault.help("end it with `\"` on the same line"));
        self.sound = false;
    }
}

/// The word, number or sign that a text begins with.
pub fn first_word(text: &str) -> &str {
    let is_word = |c: char| c.is_alphanumeric() || c == '-' || c == '_' || c == '.';
    let end = match text.chars().next() {
        Some(c) if is_word(c) => text.find(|c| !is_word(c)).unwrap_or(text.len()),
        Some(c) => c.len_utf8(),
        None => 0,
    };
    text.split_at(end).0
}
