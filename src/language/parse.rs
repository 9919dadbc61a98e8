//! From lines to statements: the open block picks the rule, and each line is one call of the grammar.

use pest::Parser;

use super::ast::{Clause, Quantity, Recipe, Statement, Step, Test};
use super::clauses::{args, clause};
use super::grammar::{Grammar, Node, Rule, next};
use super::memo::Memo;
use super::reader::Reader;
use super::scan::first_word;
use super::scan::{Piece, Scanned, scan};
use super::syntax::{self, Line};
use super::vocabulary;
use crate::forge::{self, ENTRIES, Form, Name, Word};
use crate::source::{Code, Diagnostic, Span, quoted};
use crate::vocabulary::Sort;

/// Parses a file; what cannot be read is said, and the rest is read all the same.
pub fn parse(text: &str, base: u32) -> (Vec<Statement>, Vec<Diagnostic>) {
    parse_with(text, base, &mut Memo::none())
}

/// The same with a memo of what lines said before.
pub fn parse_with(text: &str, base: u32, memo: &mut Memo) -> (Vec<Statement>, Vec<Diagnostic>) {
    let scanned = scan(text, base);
    let bare = scanned.bare(text, base);
    let parse = Parse::whole(Reader::new(text, &bare, base), scanned, None, memo);
    (parse.made, parse.faults)
}

/// A file as it is written: what the formatter works on.
pub struct Written<'t> {
    /// The file, its comments made blank.
    pub bare: &'t str,
    /// Its lines and blocks.
    pub pieces: Vec<Piece>,
    /// Its comments.
    pub comments: Vec<Span>,
    /// Each line's tree, with the address of its first byte.
    pub trees: Vec<(u32, Node<'t>)>,
}

/// Parses a file, keeps each line's tree, and hands it over.
///
/// # Errors
/// What cannot be read.
pub fn written<T>(text: &str, base: u32, work: impl FnOnce(&Written) -> T) -> Result<T, Vec<Diagnostic>> {
    let scanned = scan(text, base);
    let bare = scanned.bare(text, base);
    let (pieces, comments) = (scanned.pieces.clone(), scanned.comments.clone());
    let mut memo = Memo::none();
    let parse = Parse::whole(Reader::new(text, &bare, base), scanned, Some(Vec::new()), &mut memo);
    let trees = parse.trees.unwrap_or_else(|| bug!("the trees are gone"));
    if parse.faults.is_empty() {
        Ok(work(&Written { bare: &bare, pieces, comments, trees }))
    } else {
        Err(parse.faults)
    }
}

/// Lines that are read: no build has so many steps, and a slip of a program that writes recipes may.
const MOST_LINES: usize = 20_000;
/// Faults after which reading stops: nobody reads more of them.
pub const MOST_FAULTS: usize = 200;

enum Block {
    Shop(Vec<Clause<&'static str>>, Span),
    Target(Name, Vec<Test>, Span),
    Repeat(Quantity, Vec<Statement>, Span),
    Recipe(Box<Recipe>),
    /// A block at fault: its lines are passed over.
    Skipped(Span, u32),
}

impl Block {
    fn span(&self) -> Span {
        match self {
            Block::Shop(_, span)
            | Block::Target(_, _, span)
            | Block::Repeat(_, _, span)
            | Block::Skipped(span, _) => *span,
            Block::Recipe(recipe) => recipe.span,
        }
    }

    /// The statements inside, where it holds any.
    fn body(&mut self) -> Option<&mut Vec<Statement>> {
        match self {
            Block::Repeat(_, body, _) => Some(body),
            Block::Recipe(recipe) => Some(&mut recipe.body),
            Block::Shop(..) | Block::Target(..) | Block::Skipped(..) => None,
        }
    }
}

/// Blocks inside blocks that are followed.
const DEEPEST: usize = 32;

/// A file under way.
pub(super) struct Parse<'t, 'm> {
    pub(super) reader: Reader<'t>,
    pub(super) faults: Vec<Diagnostic>,
    made: Vec<Statement>,
    open: Vec<Block>,
    /// The lines' trees, where somebody wants them.
    trees: Option<Vec<(u32, Node<'t>)>>,
    memo: &'m mut Memo,
}

impl<'t, 'm> Parse<'t, 'm> {
    fn whole(
        reader: Reader<'t>,
        scanned: Scanned,
        trees: Option<Vec<(u32, Node<'t>)>>,
        memo: &'m mut Memo,
    ) -> Self {
        let faults = scanned.faults;
        let mut parse = Parse { reader, faults, made: Vec::new(), open: Vec::new(), trees, memo };
        for (read, piece) in scanned.pieces.into_iter().enumerate() {
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
        parse
    }

    fn piece(&mut self, piece: Piece) {
        match piece {
            Piece::Open { head, sound } => match self.open.last_mut() {
                Some(Block::Skipped(_, depth)) => *depth = depth.saturating_add(1),
                Some(Block::Shop(..) | Block::Target(..)) => {
                    let text = "this opens another";
                    let fault = Code::BlockInBlock.says("no block stands inside this one").at(head, text);
                    self.faults.push(fault.help("close the block before it with `}`"));
                    self.close();
                    self.begin(head, true);
                }
                _ => self.begin(head, sound),
            },
            Piece::Close(span) => match self.open.last_mut() {
                None => {
                    let fault = Code::StrayBrace.says("nothing is open here").at(span, "this closes nothing");
                    self.faults.push(fault.help("take it away"));
                }
                Some(Block::Skipped(_, depth)) if *depth > 0 => *depth -= 1,
                Some(_) => self.close(),
            },
            Piece::Line { span, sound } => match self.open.last() {
                Some(Block::Skipped(..)) => {}
                Some(Block::Shop(..) | Block::Target(..)) => {
                    if sound {
                        self.inner(span);
                    }
                }
                _ if sound => self.statement(span),
                _ => self.broken(span),
            },
        }
    }

    /// Puts a statement where it stands: into the open block, else into the file.
    fn push(&mut self, statement: Statement) {
        match self.open.last_mut().and_then(Block::body) {
            Some(body) => body.push(statement),
            None => self.made.push(statement),
        }
    }

    fn too_long(&mut self, at: Piece) {
        let (Piece::Line { span, .. } | Piece::Open { head: span, .. } | Piece::Close(span)) = at;
        let message = format!("a recipe has at most {MOST_LINES} lines");
        let fault = Diagnostic::new(Code::TooLong, message, span, "this line is one too many");
        self.faults.push(fault.help("nothing from here on is read: take the recipe apart"));
    }

    fn end(&mut self) {
        while let Some(block) = self.open.last() {
            let span = block.span();
            let fault = Diagnostic::new(Code::OpenBlock, "this block is not closed", span, "opened here");
            self.faults.push(fault.help("end it with a `}` on a line of its own"));
            self.close();
        }
    }

    fn close(&mut self) {
        let made = match self.open.pop() {
            Some(Block::Shop(entries, span)) => Statement::Shop(entries, span),
            Some(Block::Target(name, tests, span)) => Statement::Target(name, tests, span),
            Some(Block::Repeat(count, body, span)) => Statement::Repeat(count, body, span),
            Some(Block::Recipe(recipe)) => Statement::Recipe(recipe),
            Some(Block::Skipped(..)) | None => return,
        };
        self.push(made);
    }

    fn begin(&mut self, head: Span, sound: bool) {
        let block = if sound { self.head(head) } else { None };
        self.open.push(block.unwrap_or(Block::Skipped(head, 0)));
    }

    fn head(&mut self, head: Span) -> Option<Block> {
        let first = first_word(self.reader.slice(head));
        let inside = !self.open.is_empty();
        if self.open.len() >= DEEPEST {
            let message = format!("more than {DEEPEST} blocks inside blocks");
            let fault = Diagnostic::new(Code::TooDeep, message, head, "one too many");
            return self.fail(fault.help("take the recipe apart"));
        }
        if inside && matches!(first, "shop" | "target" | "recipe") {
            let message = format!("`{first}` stands at the top of a file, and in no block");
            let fault = Diagnostic::new(Code::BlockInBlock, message, head, "this opens inside another");
            return self.fail(fault.help("only `repeat 3 {` stands inside a block"));
        }
        match first {
            "shop" => {
                self.line(Rule::shop_head, head, Line::Other("shop {")).map(|_| Block::Shop(Vec::new(), head))
            }
            "target" => {
                let name = self.part(Rule::target_head, head, Line::Other("target blade {"), Rule::name)?;
                Some(Block::Target(self.reader.name(&name), Vec::new(), head))
            }
            "repeat" => {
                let count = self.part(Rule::repeat_head, head, Line::Other("repeat 3 {"), Rule::quantity)?;
                Some(Block::Repeat(self.reader.quantity(count), Vec::new(), head))
            }
            "recipe" => {
                let sample = "recipe restacked(bars: count = 9, across: length = 40 mm) {";
                let node = self.line(Rule::recipe_head, head, Line::Other(sample))?;
                Some(Block::Recipe(Box::new(super::reuse::recipe(&self.reader, node, head)?)))
            }
            word => {
                let fault = if vocabulary::is(word, Sort::Later) {
                    syntax::later(word, self.reader.first(head))
                } else {
                    Diagnostic::new(Code::UnknownBlock, "no block begins like this", head, "before a `{`")
                        .help("the blocks are `shop {`, `target NAME {`, `recipe NAME(…) {` and `repeat 3 {`")
                };
                self.fail(fault)
            }
        }
    }

    fn inner(&mut self, span: Span) {
        if matches!(self.open.last(), Some(Block::Shop(..))) {
            if first_word(self.reader.slice(span)) == "allow" {
                let allowed = self.allow_line(span, true);
                allowed.into_iter().for_each(|allowed| self.push(allowed));
                return;
            }
            let entry = self.entry(span);
            if let Some(Block::Shop(entries, _)) = self.open.last_mut() {
                entries.extend(entry);
            }
            return;
        }
        let test = self.test(span);
        if let Some(Block::Target(_, tests, _)) = self.open.last_mut() {
            tests.extend(test);
        }
    }

    /// A line of a target; the formatter wants its tree, whatever is known of it.
    fn test(&mut self, span: Span) -> Option<Test> {
        let words = self.reader.slice(span);
        if self.trees.is_none()
            && let Some(known) = self.memo.tests.of(words, span.start)
        {
            return Some(known);
        }
        let test = self.part(Rule::target_line, span, Line::Test, Rule::test)?;
        let test = super::spec_lines::test(&self.reader, test);
        self.memo.tests.keep(words, span.start, &test);
        Some(test)
    }

    fn entry(&mut self, span: Span) -> Option<Clause<&'static str>> {
        let text = self.reader.slice(span);
        let first = first_word(text);
        let Some(known) = ENTRIES.iter().find(|e| e.word.split(' ').next() == Some(first)) else {
            let all = ENTRIES.iter().map(|e| e.word);
            let (message, at) = (format!("a shop has no `{first}`"), self.reader.first(span));
            let fault = Diagnostic::new(Code::UnknownEntry, message, at, "this begins no entry");
            let meant = syntax::nearest(first, all.clone());
            return self.fail(fault.meant(meant, || format!("the entries are {}", quoted(all))));
        };
        let node = self.line(Rule::shop_line, span, Line::Shop)?;
        let entry = node.into_inner().find(|n| n.as_rule() != Rule::EOI)?;
        let at = self.reader.span(&entry);
        Some(Clause { key: known.word, span: at, args: args(&self.reader, entry) })
    }

    fn statement(&mut self, span: Span) {
        let words = self.reader.slice(span);
        if self.trees.is_none()
            && let Some(known) = self.memo.statements.of(words, span.start)
        {
            return self.push(known);
        }
        match self.read_statement(span) {
            Some(made) => {
                self.memo.statements.keep(words, span.start, &made);
                self.push(made);
            }
            None => self.broken(span),
        }
    }

    fn read_statement(&mut self, span: Span) -> Option<Statement> {
        let text = self.reader.slice(span);
        let first = first_word(text);
        match first {
            "let" => self.let_line(span),
            "steel" => self.steel_line(span),
            "note" => self.note_line(span),
            "allow" => self.allow_line(span, false),
            "use" => self.use_line(span),
            "build" | "on" | "at" => self.log_line(first, span),
            "mark" => self.mark_line(span),
            "give" => self.give_line(span),
            "shop" | "target" | "recipe" | "repeat" => {
                let at = self.reader.first(span);
                let fault = Code::NoBlock.says(format!("`{first}` opens a block")).at(at, "no `{` follows");
                let sample = match first {
                    "shop" => "shop {",
                    "target" => "target blade {",
                    "repeat" => "repeat 3 {",
                    _ => "recipe NAME(bars: count = 9) {",
                };
                self.fail(fault.help(format!("write `{sample}`, one entry a line, and `}}` at the end")))
            }
            word => match forge::word(&vocabulary::house_verb(word)) {
                Some(word) => self.step(span, word),
                None => {
                    self.unknown(span, word);
                    None
                }
            },
        }
    }

    /// Keeps the name that a line at fault would have bound, so that its later use is no second fault.
    fn broken(&mut self, span: Span) {
        let text = self.reader.slice(span);
        let mut words = text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ':' | '='));
        let first = words.next().unwrap_or("");
        let name = words.find(|w| !w.is_empty()).filter(|_| {
            !matches!(first, "shop" | "target" | "note" | "allow" | "steel" | "use" | "give" | "repeat")
        });
        self.push(Statement::Broken(name.map(|n| Name { text: n.to_owned(), span })));
    }

    fn unknown(&mut self, span: Span, word: &str) {
        let at = self.reader.first(span);
        if vocabulary::is(word, Sort::Later) {
            return self.faults.push(syntax::later(word, at));
        }
        let begins = vocabulary::of(Sort::Verb).chain(vocabulary::of(Sort::Statement)).map(|term| term.word);
        let meant = forge::usual(word).or_else(|| syntax::nearest(word, begins));
        let message = format!("`{word}` is no verb");
        let fault = Diagnostic::new(Code::UnknownVerb, message, at, "a line begins with what is done");
        let verbs = vocabulary::of(Sort::Verb).map(|term| term.word);
        self.faults.push(fault.meant(meant, || format!("the verbs are {}", quoted(verbs))));
    }

    fn step(&mut self, span: Span, word: &'static Word) -> Option<Statement> {
        let rule = match word.form {
            Form::Work => Rule::work_line,
            Form::Stock => Rule::stock_line,
            Form::Stack => Rule::stack_line,
            Form::Tests => Rule::tests_line,
            Form::Measure => Rule::measure_line,
        };
        let node = self.line(rule, span, Line::Step(word))?;
        let (mut name, mut made) = (None, Vec::new());
        for part in node.into_inner() {
            if part.as_rule() == Rule::call {
                return super::reuse::call(&self.reader, part, name?, span, word);
            }
            if part.as_rule() == Rule::name {
                name = Some(self.reader.name(&part));
            } else {
                made.extend(clause(&self.reader, part));
            }
        }
        Some(Statement::Step(Step { word, name: name?, clauses: made, span }))
    }

    /// Puts a fault on record: nothing is made.
    pub(super) fn fail<T>(&mut self, fault: Diagnostic) -> Option<T> {
        self.faults.push(fault);
        None
    }

    /// The first part of a line that is of a rule.
    pub(super) fn part(&mut self, rule: Rule, span: Span, line: Line, of: Rule) -> Option<Node<'t>> {
        next(&mut self.line(rule, span, line)?.into_inner(), of)
    }

    pub(super) fn line(&mut self, rule: Rule, span: Span, line: Line) -> Option<Node<'t>> {
        let text = self.reader.slice(span);
        match Grammar::parse(rule, text) {
            Ok(mut pairs) => {
                self.reader.line = span.start;
                let node = pairs.next()?;
                if let Some(trees) = &mut self.trees {
                    trees.push((span.start, node.clone()));
                }
                Some(node)
            }
            Err(error) => self.fail(syntax::fault(text, span, line, &error)),
        }
    }
}
