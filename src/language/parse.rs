//! From lines to statements: the open block picks the rule, and each line is one call of the grammar.

use pest::Parser;

use super::ast::{Clause, Statement, Step, Test};
use super::clauses::{self, args, clause};
use super::grammar::{Grammar, Node, Rule};
use super::reader::Reader;
use super::scan::{Piece, scan};
use super::syntax::{self, Line, first_word};
use crate::forge::{self, ENTRIES, Form, Name, WORDS, Word};
use crate::source::{Diagnostic, Span};

/// Parses a file; what cannot be read is said, and the rest is read all the same.
pub fn parse(text: &str, base: u32) -> (Vec<Statement>, Vec<Diagnostic>) {
    let (pieces, faults) = scan(text, base);
    let mut parse = Parse { reader: Reader::new(text, base), faults, made: Vec::new(), block: None };
    for (read, piece) in pieces.into_iter().enumerate() {
        if parse.faults.len() >= MOST_FAULTS {
            break;
        }
        if read >= MOST_LINES {
            parse.too_long(piece);
            break;
        }
        parse.piece(piece);
    }
    parse.end();
    (parse.made, parse.faults)
}

/// Lines that are read: no build has so many steps, and a slip of a program that writes recipes may.
const MOST_LINES: usize = 10_000;
/// Faults after which reading stops: nobody reads more of them.
pub const MOST_FAULTS: usize = 200;

enum Block {
    Shop(Vec<Clause<&'static str>>, Span),
    Target(Name, Vec<Test>, Span),
    /// A block at fault: its lines are passed over.
    Skipped(Span, u32),
}

struct Parse<'t> {
    reader: Reader<'t>,
    faults: Vec<Diagnostic>,
    made: Vec<Statement>,
    block: Option<Block>,
}

impl<'t> Parse<'t> {
    fn piece(&mut self, piece: Piece) {
        match (piece, self.block.take()) {
            (Piece::Open { head, sound }, None) => self.open(head, sound),
            (Piece::Open { .. }, Some(Block::Skipped(span, depth))) => {
                self.block = Some(Block::Skipped(span, depth.saturating_add(1)));
            }
            (Piece::Open { head, .. }, Some(block)) => {
                let fault = Diagnostic::fault(
                    "block_in_block",
                    "no block stands inside this one",
                    head,
                    "this opens another",
                );
                self.faults.push(fault.help("close the block before it with `}`"));
                self.close(block);
                self.open(head, true);
            }
            (Piece::Close(span), None) => {
                let fault =
                    Diagnostic::fault("stray_brace", "nothing is open here", span, "this closes nothing");
                self.faults.push(fault.help("take it away"));
            }
            (Piece::Close(_), Some(Block::Skipped(span, depth))) if depth > 0 => {
                self.block = Some(Block::Skipped(span, depth - 1));
            }
            (Piece::Close(_), Some(block)) => self.close(block),
            (Piece::Line { span, sound }, None) => {
                if sound {
                    self.statement(span);
                } else {
                    self.broken(span);
                }
            }
            (Piece::Line { span, sound }, Some(mut block)) => {
                if sound {
                    self.inner(&mut block, span);
                }
                self.block = Some(block);
            }
        }
    }

    fn too_long(&mut self, at: Piece) {
        let (Piece::Line { span, .. } | Piece::Open { head: span, .. } | Piece::Close(span)) = at;
        let message = format!("a recipe has at most {MOST_LINES} lines");
        let fault = Diagnostic::fault("too_long", message, span, "this line is one too many");
        self.faults.push(fault.help("nothing from here on is read: take the recipe apart"));
    }

    fn end(&mut self) {
        let Some(block) = self.block.take() else { return };
        let span = match &block {
            Block::Shop(_, span) | Block::Target(_, _, span) | Block::Skipped(span, _) => *span,
        };
        let fault = Diagnostic::fault("open_block", "this block is not closed", span, "opened here");
        self.faults.push(fault.help("end it with a `}` on a line of its own"));
        self.close(block);
    }

    fn close(&mut self, block: Block) {
        match block {
            Block::Shop(entries, span) => self.made.push(Statement::Shop(entries, span)),
            Block::Target(name, tests, span) => self.made.push(Statement::Target(name, tests, span)),
            Block::Skipped(..) => {}
        }
    }

    fn open(&mut self, head: Span, sound: bool) {
        let text = self.reader.slice(head);
        let block = match first_word(text) {
            _ if !sound => None,
            "shop" => {
                self.line(Rule::shop_head, head, Line::Other("shop {")).map(|_| Block::Shop(Vec::new(), head))
            }
            "target" => self.line(Rule::target_head, head, Line::Other("target blade {")).and_then(|node| {
                let name = node.into_inner().find(|n| n.as_rule() == Rule::name)?;
                Some(Block::Target(self.reader.name(&name), Vec::new(), head))
            }),
            word => {
                let fault = if syntax::LATER.contains(&word) {
                    later(word, self.reader.first(head))
                } else {
                    Diagnostic::fault("unknown_block", "no block begins like this", head, "before a `{`")
                        .help("the blocks are `shop {` and `target NAME {`")
                };
                self.faults.push(fault);
                None
            }
        };
        self.block = Some(block.unwrap_or(Block::Skipped(head, 0)));
    }

    fn inner(&mut self, block: &mut Block, span: Span) {
        match block {
            Block::Shop(entries, _) => entries.extend(self.entry(span)),
            Block::Target(_, tests, _) => {
                let node = self.line(Rule::target_line, span, Line::Test);
                let test = node.and_then(|n| n.into_inner().find(|n| n.as_rule() == Rule::test));
                tests.extend(test.map(|t| super::tests_of::test(&self.reader, t)));
            }
            Block::Skipped(..) => {}
        }
    }

    fn entry(&mut self, span: Span) -> Option<Clause<&'static str>> {
        let text = self.reader.slice(span);
        let first = first_word(text);
        let known = ENTRIES.iter().any(|(word, _)| word.split(' ').next() == Some(first));
        if !known {
            let meant = syntax::nearest(first, ENTRIES.iter().map(|(word, _)| *word));
            let all: Vec<String> = ENTRIES.iter().map(|(word, _)| format!("`{word}`")).collect();
            let help = meant
                .map_or(format!("the entries are {}", all.join(", ")), |m| format!("did you mean `{m}`"));
            let at = self.reader.first(span);
            let message = format!("a shop has no `{first}`");
            self.faults
                .push(Diagnostic::fault("unknown_entry", message, at, "this begins no entry").help(help));
            return None;
        }
        let node = self.line(Rule::shop_line, span, Line::Shop)?;
        let entry = node.into_inner().find(|n| n.as_rule() != Rule::EOI)?;
        let at = self.reader.span(&entry);
        let key = match entry.as_rule() {
            Rule::forge => "forge",
            Rule::press => "press",
            Rule::power_hammer => "power hammer",
            Rule::hammer => "hammer",
            Rule::rolls => "rolls",
            Rule::hot_zone => "hot zone",
            Rule::tongs => "tongs",
            Rule::fuel_rate => "fuel",
            Rule::kerf => "kerf",
            Rule::scale => "scale",
            _ => "spread",
        };
        Some(Clause { key, span: at, args: args(&self.reader, entry) })
    }

    fn statement(&mut self, span: Span) {
        let text = self.reader.slice(span);
        let first = first_word(text);
        let made = match first {
            "let" => self.let_line(span),
            "steel" => self.steel_line(span),
            "note" => self.note_line(span),
            "shop" | "target" => {
                let at = self.reader.first(span);
                let fault =
                    Diagnostic::fault("no_block", format!("`{first}` opens a block"), at, "no `{` follows");
                let sample = if first == "shop" { "shop {" } else { "target blade {" };
                self.faults
                    .push(fault.help(format!("write `{sample}`, one entry a line, and `}}` at the end")));
                None
            }
            word => match forge::word(word) {
                Some(word) => self.step(span, word),
                None => {
                    self.unknown(span, word);
                    None
                }
            },
        };
        match made {
            Some(made) => self.made.push(made),
            None => self.broken(span),
        }
    }

    /// Keeps the name that a line at fault would have bound, so that its later use is no second fault.
    fn broken(&mut self, span: Span) {
        let text = self.reader.slice(span);
        let mut words = text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ':' | '='));
        let first = words.next().unwrap_or("");
        let name =
            words.find(|w| !w.is_empty()).filter(|_| !matches!(first, "shop" | "target" | "note" | "steel"));
        self.made.push(Statement::Broken(name.map(|n| Name { text: n.to_owned(), span })));
    }

    fn unknown(&mut self, span: Span, word: &str) {
        let at = self.reader.first(span);
        if syntax::LATER.contains(&word) {
            self.faults.push(later(word, at));
            return;
        }
        let verbs = WORDS.iter().map(|w| w.word).chain(syntax::STATEMENTS.iter().copied());
        let help = match forge::usual(word).or_else(|| syntax::nearest(word, verbs)) {
            Some(meant) => format!("did you mean `{meant}`"),
            None => {
                let all: Vec<String> = WORDS.iter().map(|w| format!("`{}`", w.word)).collect();
                format!("the verbs are {}", all.join(", "))
            }
        };
        let message = format!("`{word}` is no verb");
        self.faults.push(
            Diagnostic::fault("unknown_verb", message, at, "a line begins with what is done").help(help),
        );
    }

    fn step(&mut self, span: Span, word: &'static Word) -> Option<Statement> {
        let rule = match word.form {
            Form::Work => Rule::work_line,
            Form::Stock => Rule::stock_line,
            Form::Stack => Rule::stack_line,
            Form::Tests => Rule::tests_line,
        };
        let node = self.line(rule, span, Line::Step(word))?;
        let (mut name, mut made) = (None, Vec::new());
        for part in node.into_inner() {
            if part.as_rule() == Rule::name {
                name = Some(self.reader.name(&part));
            } else {
                made.extend(clause(&self.reader, part));
            }
        }
        Some(Statement::Step(Step { word, name: name?, clauses: made, span }))
    }

    fn let_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::let_line, span, Line::Other("let finish = 3 mm"))?;
        let (mut name, mut quantity) = (None, None);
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::name => name = Some(self.reader.name(&part)),
                Rule::quantity => quantity = Some(self.reader.quantity(part)),
                _ => {}
            }
        }
        Some(Statement::Let(name?, quantity?))
    }

    fn steel_line(&mut self, span: Span) -> Option<Statement> {
        let node =
            self.line(Rule::steel_line, span, Line::Other("steel my-file = like W1, carbon 1.15 %"))?;
        let (mut grades, mut contents) = (Vec::new(), Vec::new());
        for part in node.into_inner() {
            match part.as_rule() {
                Rule::grade => grades.push(self.reader.grade(&part)),
                Rule::content => {
                    let mut parts = part.into_inner();
                    let element = parts.next().map_or("", |e| clauses::word(e.as_str()));
                    contents.extend(parts.next().map(|q| (element, self.reader.quantity(q))));
                }
                _ => {}
            }
        }
        let mut grades = grades.into_iter();
        Some(Statement::Steel { name: grades.next()?, like: grades.next()?, contents, span })
    }

    fn note_line(&mut self, span: Span) -> Option<Statement> {
        let node = self.line(Rule::note_line, span, Line::Other("note \"mind the seam\""))?;
        let text = node.into_inner().find(|n| n.as_rule() == Rule::text)?;
        Some(Statement::Note(text.as_str().trim_matches('"').to_owned(), span))
    }

    fn line(&mut self, rule: Rule, span: Span, line: Line) -> Option<Node<'t>> {
        let text = self.reader.slice(span);
        match Grammar::parse(rule, text) {
            Ok(mut pairs) => {
                self.reader.line = span.start;
                pairs.next()
            }
            Err(error) => {
                self.faults.push(syntax::fault(text, span, line, &error));
                None
            }
        }
    }
}

fn later(word: &str, at: Span) -> Diagnostic {
    let message = format!("`{word}` is a word of the language that this version does not read yet");
    Diagnostic::fault("not_yet", message, at, "not yet")
        .help("leave the line out for now: nothing is done in its place")
}
