//! From lines to statements: the open block picks the rule, and each line is one call of the grammar.

use std::cell::{Cell, OnceCell};
use std::collections::BTreeSet;
use std::ops::Range;

use pest::Parser;

use super::ast::{Arg, Clause, Expr, Figure, Leans, Quantity, Recipe, Statement, Step, Test, Wanted};
use super::clauses::{args, clause};
use super::gist;
use super::grammar::{Grammar, Node, Rule, next};
use super::meaning::Unread;
use super::memo::{Memo, Shift};
use super::neighbours::{Neighbours, mentioned, said};
use super::reader::Reader;
use super::scan::first_word;
use super::scan::{Piece, Scanned, scan};
use super::syntax::{self, Line};
use super::vocabulary;
use super::wording::{self, Place, Worded};
use crate::forge::{self, ENTRIES, Form, Key, Name, Word};
use crate::quantity::Kind;
use crate::source::{Code, Diagnostic, Fix, Span, quoted};
use crate::vocabulary::Sort;

/// Parses a file; what cannot be read is said, and the rest is read all the same.
pub fn parse(text: &str, base: u32) -> (Vec<Statement>, Vec<Diagnostic>) {
    parse_with(text, base, &mut Memo::none())
}

/// The same of lines that are to be read as they stand: no other words are looked for, or each try would try all of them.
fn as_it_stands(text: &str) -> (Vec<Statement>, Vec<Diagnostic>) {
    let scanned = scan(text, 0);
    let bare = scanned.bare(text, 0);
    let mut memo = Memo::none();
    let mut parse = Parse::of(Reader::new(text, &bare, 0), None, &mut memo);
    parse.trial = true;
    parse.all(scanned);
    (parse.made, parse.faults)
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

/// A file in the words of the house where smiths' other words were read; nothing where there are none.
#[must_use]
pub fn put_right(text: &str) -> Option<String> {
    reworded(text, 0).1
}

/// A file in the words of the house, as [`put_right`] gives it, and what cannot be read of it, at its places in `text`.
pub(super) fn reworded(text: &str, base: u32) -> (Vec<Diagnostic>, Option<String>) {
    let scanned = scan(text, base);
    let comments: Vec<Range<usize>> = scanned.comments.iter().map(|c| c.bytes(base)).collect();
    let bare = scanned.bare(text, base);
    let mut memo = Memo::none();
    let Parse { mut edits, faults, .. } =
        Parse::whole(Reader::new(text, &bare, base), scanned, None, &mut memo);
    // A comment between the words stays where it is: such a line is left as it stands.
    edits.retain(|(at, _)| !comments.iter().any(|c| c.start < at.end && at.start < c.end));
    if edits.is_empty() {
        return (faults, None);
    }
    let mut made = text.to_owned();
    edits.sort_by_key(|(at, _)| at.start);
    edits.into_iter().rev().for_each(|(at, words)| made.replace_range(at, &words));
    (faults, Some(made))
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
    Target(Name, Option<Quantity>, Vec<Test>, Span),
    Repeat(Quantity, Vec<Statement>, Span),
    Recipe(Box<Recipe>),
    /// A block at fault, and how deep inside it reading stands: its lines are passed over, but for what they may have worked.
    Skipped(Span, u32, Vec<Statement>),
}

/// The head of a block that lacks its brace: what follows is read as if it stood inside, until a line cannot be meant so.
#[derive(Clone, Copy)]
struct Adrift {
    /// Where the block begins among those that are open.
    depth: usize,
    /// What its lines are.
    place: Place,
}

impl Block {
    fn span(&self) -> Span {
        match self {
            Block::Shop(_, span)
            | Block::Target(_, _, _, span)
            | Block::Repeat(_, _, span)
            | Block::Skipped(span, ..) => *span,
            Block::Recipe(recipe) => recipe.span,
        }
    }

    /// The statements inside, where it holds any.
    fn body(&mut self) -> Option<&mut Vec<Statement>> {
        match self {
            Block::Repeat(_, body, _) | Block::Skipped(_, _, body) => Some(body),
            Block::Recipe(recipe) => Some(&mut recipe.body),
            Block::Shop(..) | Block::Target(..) => None,
        }
    }
}

/// Blocks inside blocks that are followed.
const DEEPEST: usize = 32;

/// A file under way.
pub(super) struct Parse<'t, 'm> {
    pub(super) reader: Reader<'t>,
    /// What the file was cut into; nothing of a line that is tried.
    pieces: Vec<Piece>,
    pub(super) faults: Vec<Diagnostic>,
    made: Vec<Statement>,
    open: Vec<Block>,
    /// The lines' trees, where somebody wants them.
    trees: Option<Vec<(u32, Node<'t>)>>,
    memo: &'m mut Memo,
    /// Whether this is one line that is tried in other words.
    trial: bool,
    /// What would make the words of the house of others that were read.
    edits: Vec<(Range<usize>, String)>,
    /// Names that stand for figures, as far as the file's own words tell; nothing where they may come from elsewhere.
    figures: Option<BTreeSet<String>>,
    /// What its lines speak of, once somebody asks.
    neighbours: OnceCell<Neighbours<'t>>,
    adrift: Option<Adrift>,
    /// Blocks that a step ended, whose brace may still come.
    ended: usize,
}

impl<'t, 'm> Parse<'t, 'm> {
    fn of(reader: Reader<'t>, trees: Option<Vec<(u32, Node<'t>)>>, memo: &'m mut Memo) -> Self {
        Parse {
            reader,
            pieces: Vec::new(),
            faults: Vec::new(),
            made: Vec::new(),
            open: Vec::new(),
            trees,
            memo,
            trial: false,
            edits: Vec::new(),
            figures: None,
            neighbours: OnceCell::new(),
            adrift: None,
            ended: 0,
        }
    }

    fn whole(
        reader: Reader<'t>,
        scanned: Scanned,
        trees: Option<Vec<(u32, Node<'t>)>>,
        memo: &'m mut Memo,
    ) -> Self {
        let mut parse = Parse::of(reader, trees, memo);
        parse.all(scanned);
        parse
    }

    fn all(&mut self, scanned: Scanned) {
        (self.faults, self.pieces) = (scanned.faults, scanned.pieces);
        self.figures = self.names_of_figures();
        for read in 0..self.pieces.len() {
            if self.faults.len() >= MOST_FAULTS {
                break;
            }
            let Some(piece) = self.pieces.get(read).copied() else { break };
            if read >= MOST_LINES {
                self.too_long(piece);
                break;
            }
            self.piece(piece);
        }
        self.end();
    }

    fn piece(&mut self, piece: Piece) {
        if self.drifts(piece) {
            return;
        }
        match piece {
            Piece::Open { head, sound } => match self.open.last_mut() {
                Some(Block::Skipped(_, depth, _)) => *depth = depth.saturating_add(1),
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
                None if self.ended > 0 => self.ended -= 1,
                None => {
                    let fault = Code::StrayBrace.says("nothing is open here").at(span, "this closes nothing");
                    self.faults.push(fault.help("take it away"));
                }
                Some(Block::Skipped(_, depth, _)) if *depth > 0 => *depth -= 1,
                Some(_) => self.close(),
            },
            Piece::Line { span, sound } => match self.open.last() {
                // A `repeat` that is misspelt holds steps: what they work is left unjudged.
                Some(Block::Skipped(head, ..)) => {
                    let first = |of: Span| first_word(self.reader.slice(of));
                    let other = matches!(first(*head), "shop" | "target" | "recipe")
                        || self.reader.slice(*head).contains('(');
                    if sound && !other && vocabulary::is(first(span), Sort::Verb) {
                        self.broken(span);
                    }
                }
                Some(Block::Shop(..) | Block::Target(..)) if sound && self.is_step(span) => {
                    self.left_open(span);
                    self.statement(span);
                }
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

    /// Whether a line is a step, and can be nothing else.
    fn is_step(&self, span: Span) -> bool {
        let line = self.reader.slice(span);
        let first = first_word(line);
        let entry = || ENTRIES.iter().any(|e| e.word.split(' ').next() == Some(first));
        vocabulary::is(first, Sort::Verb)
            && !vocabulary::is(first, Sort::Test)
            && !entry()
            && as_it_stands(line).1.is_empty()
    }

    /// A step stands where a block is still open: it is told once, and the block ends there.
    fn left_open(&mut self, step: Span) {
        let Some(block) = self.open.last().map(Block::span) else { return };
        let first = first_word(self.reader.slice(step));
        let fault = Code::OpenBlock
            .says("this block is not closed")
            .at(block, "opened here")
            .and(self.reader.first(step), "this is a step, and none stands in here");
        self.faults.push(fault.help(format!("end it with a `}}` on a line of its own before `{first}`")));
        self.close();
        self.ended += 1;
    }

    /// Whether a piece belongs to a block whose brace is missing: it is read as if it stood inside.
    fn drifts(&mut self, piece: Piece) -> bool {
        let Some(adrift) = self.adrift.take_if(|_| true) else { return false };
        if self.open.len() != adrift.depth {
            return false;
        }
        let stays = match piece {
            Piece::Close(_) => return true,
            Piece::Open { .. } => return false,
            Piece::Line { span, sound } => {
                let first = first_word(self.reader.slice(span));
                // It is closed by what it was opened with.
                if matches!(self.reader.slice(span), ")" | "]") && adrift.place != Place::Step {
                    return true;
                }
                match adrift.place {
                    Place::Shop if ENTRIES.iter().any(|e| e.word.split(' ').next() == Some(first)) => {
                        if sound {
                            let _ = self.entry(span);
                        }
                        true
                    }
                    Place::Test
                        if vocabulary::is(first, Sort::Test) && !vocabulary::is(first, Sort::Verb) =>
                    {
                        if sound {
                            let _ = self.test(span);
                        }
                        true
                    }
                    Place::Step => {
                        self.adrift = Some(adrift);
                        return false;
                    }
                    _ => false,
                }
            }
        };
        if stays {
            self.adrift = Some(adrift);
        }
        stays
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
            Some(Block::Target(name, count, tests, span)) => Statement::Target(name, count, tests, span),
            Some(Block::Repeat(count, body, span)) => Statement::Repeat(count, body, span),
            Some(Block::Recipe(recipe)) => Statement::Recipe(recipe),
            Some(Block::Skipped(head, _, body)) => {
                let mut names = self.called(head);
                for statement in body {
                    if let Statement::Broken(worked) = statement {
                        names.extend(worked);
                    }
                }
                Statement::Broken(names)
            }
            None => return,
        };
        self.push(made);
    }

    /// What a recipe is called whose head is at fault.
    fn called(&self, head: Span) -> Vec<Name> {
        let text = self.reader.slice(head);
        // `method rod(` is no recipe and meant to be one.
        let behind = || text.split_once(' ').map(|(_, rest)| rest).filter(|rest| rest.contains('('));
        let made = || text.split_once('=').and_then(|(made, _)| made.split_whitespace().last());
        let name = text.strip_prefix("recipe ").or_else(behind).or_else(made);
        let name = name.map(str::trim_start).unwrap_or_default();
        let name = name.split(|c: char| !c.is_alphanumeric() && c != '-').next().unwrap_or_default();
        if name.is_empty() { Vec::new() } else { vec![Name { text: name.to_owned(), span: head }] }
    }

    fn begin(&mut self, head: Span, sound: bool) {
        let before = self.faults.len();
        let mut block = if sound { self.head(head) } else { None };
        let read = block.as_ref().is_some_and(|block| block.fits(self.figures.as_ref()));
        if !read && sound && self.trees.is_none() {
            block = self.or_in_other_words(head, Place::Head, before, block, |p, at| p.head(at));
        }
        self.open.push(block.unwrap_or(Block::Skipped(head, 0, Vec::new())));
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
                let node = self.line(Rule::target_head, head, Line::Other("target blade {"))?;
                let (mut name, mut count) = (None, None);
                for part in node.into_inner() {
                    match part.as_rule() {
                        Rule::name => name = Some(self.reader.name(&part)),
                        Rule::quantity => count = Some(self.reader.quantity(part)),
                        _ => {}
                    }
                }
                Some(Block::Target(name?, count, Vec::new(), head))
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
            _ if self.reader.slice(head).contains('=') => {
                let text = "before a `{`, which opens a block";
                let fault = Diagnostic::new(Code::UnknownBlock, "no block begins like this", head, text);
                self.fail(fault.help(
                    "what a recipe is given stands in round brackets: `stock blade = widened(bar = bar)`",
                ))
            }
            _ => {
                let fault =
                    Diagnostic::new(Code::UnknownBlock, "no block begins like this", head, "before a `{`")
                        .help(
                            "the blocks are `shop {`, `target NAME {`, `recipe NAME(…) {` and `repeat 3 {`",
                        );
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
        if let Some(Block::Target(_, _, tests, _)) = self.open.last_mut() {
            tests.extend(test);
        }
    }

    /// A line of a target; the formatter wants its tree, whatever is known of it.
    fn test(&mut self, span: Span) -> Option<Test> {
        let words = self.reader.slice(span);
        if self.trees.is_none()
            && let Some(known) = self.memo.tests.of(words, span.start)
            && known.fits(self.figures.as_ref())
        {
            return Some(known);
        }
        let before = self.faults.len();
        let made = self.read_test(span);
        if let Some(test) = &made
            && (self.trees.is_some() || test.fits(self.figures.as_ref()))
        {
            self.memo.tests.keep(words, span.start, test);
            return made;
        }
        self.or_in_other_words(span, Place::Test, before, made, |p, at| p.read_test(at))
    }

    fn read_test(&mut self, span: Span) -> Option<Test> {
        let test = self.part(Rule::target_line, span, Line::Test, Rule::test)?;
        Some(super::spec_lines::test(&self.reader, test))
    }

    fn entry(&mut self, span: Span) -> Option<Clause<&'static str>> {
        let before = self.faults.len();
        let made = self.read_entry(span);
        let strange = made.as_ref().is_some_and(|e| e.args.leans_on_unset(self.figures.as_ref()));
        if (made.is_some() && !strange) || self.trees.is_some() {
            return made;
        }
        self.or_in_other_words(span, Place::Shop, before, made, |p, at| p.read_entry(at))
    }

    fn read_entry(&mut self, span: Span) -> Option<Clause<&'static str>> {
        let text = self.reader.slice(span);
        let first = first_word(text);
        let Some(known) = ENTRIES.iter().find(|e| e.word.split(' ').next() == Some(first)) else {
            let all = ENTRIES.iter().map(|e| e.word);
            let (message, at) = (format!("a shop has no `{first}`"), self.reader.first(span));
            let fault = Diagnostic::new(Code::UnknownEntry, message, at, "this begins no entry");
            let line = [Sort::Verb, Sort::Statement].into_iter().any(|sort| vocabulary::is(first, sort));
            return self.fail(fault.help(if line {
                format!("`{first}` is no entry but a line of its own: write it behind the shop's `}}`")
            } else if let Some(spoken) = gist::spec::spoken(text) {
                format!("the form is `{}`", spoken.form)
            } else {
                format!("the entries are {}", quoted(all))
            }));
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
            && known.fits(self.figures.as_ref())
        {
            return self.push(known);
        }
        let before = self.faults.len();
        let made = self.read_statement(span);
        if let Some(made) = made {
            if self.trees.is_some() || made.fits(self.figures.as_ref()) {
                self.memo.statements.keep(words, span.start, &made);
                return self.push(made);
            }
            // A name that nothing sets, or a clause of another verb, may be the trade's words.
            let said = made
                .foreign()
                .map(|(verb, at)| foreign(verb, self.reader.slice(at), at))
                .into_iter()
                .collect();
            let read = |p: &mut Parse, at| p.read_statement(at);
            match self.in_other_words(span, Place::Step, said, read) {
                Said::Read(made) => self.push(made),
                Said::Offered => self.broken(span),
                // What is wrong with it as it stands is said when its clauses are looked at.
                Said::Nothing => {
                    let foreign = self.faults.split_off(before).into_iter().next();
                    match foreign.filter(|_| made.leans_on_unset(self.figures.as_ref())) {
                        Some(fault) => {
                            let example = made.verb().map_or("", |word| word.example);
                            self.faults.push(fault.help(format!("the form is `{example}`")));
                            self.broken(span);
                        }
                        None => self.push(made),
                    }
                }
            }
            return;
        }
        let said = self.faults.split_off(before);
        if self.opens(span) {
            return self.broken(span);
        }
        match self.in_other_words(span, Place::Step, said, |p, at| p.read_statement(at)) {
            Said::Read(made) => self.push(made),
            Said::Offered | Said::Nothing => self.broken(span),
        }
    }

    /// Whether a line is the head of a shop or a target in other words, with another sign than its brace: that is told, and what stands behind it is
    /// read as if it stood inside.
    fn opens(&mut self, span: Span) -> bool {
        let words = self.reader.slice(span).trim_end();
        let Some(head) = words.strip_suffix(['(', '[', ':']).filter(|_| !self.trial && self.trees.is_none())
        else {
            return false;
        };
        let accepts = |line: &Worded| {
            let all: Vec<&str> = line.text.split_whitespace().collect();
            matches!(all.as_slice(), ["shop"] | ["target", _])
        };
        let head = head.trim_end();
        let plain = Worded::new(head);
        let told = if accepts(&plain) {
            Some(plain)
        } else {
            wording::reword(head, Place::Head, None, accepts).ok()
        };
        let Some(head) = told.map(|line| line.text) else { return false };
        let place = if head == "shop" { Place::Shop } else { Place::Test };
        self.adrift = Some(Adrift { depth: self.open.len(), place });
        let fault = Code::NoBlock.says("this opens a block").at(span, "no `{` follows");
        self.faults.push(fault.help(format!("write `{head} {{`, one entry a line, and `}}` at the end")));
        true
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
            "include" | "import" | "load" | "get" | "fetch" | "bring" if text.contains(".heat") => {
                self.use_line(span)
            }
            "build" | "on" | "at" => self.log_line(first, span),
            "mark" => self.mark_line(span),
            "units" => self.units_line(span),
            "give" => self.give_line(span),
            "shop" | "target" | "recipe" | "repeat" => {
                let at = self.reader.first(span);
                let fault = Code::NoBlock.says(format!("`{first}` opens a block")).at(at, "no `{` follows");
                let named = || {
                    let rest = self.reader.slice(span).get(first.len()..)?.trim_matches([' ', '\t', ':']);
                    let name = !rest.is_empty() && rest.chars().all(|c| c.is_alphanumeric() || c == '-');
                    name.then_some(rest)
                };
                let sample = match first {
                    "shop" => "shop {".to_owned(),
                    "target" => format!("target {} {{", named().unwrap_or("blade")),
                    "repeat" => {
                        let words =
                            || self.reader.slice(span).split(|c: char| !(c.is_alphanumeric() || c == '-'));
                        let figure =
                            |word: &&str| self.figures.as_ref().is_some_and(|known| known.contains(*word));
                        let count = words().find_map(wording::times).map(|times| times.to_string());
                        let count = count.or_else(|| words().skip(1).find(figure).map(str::to_owned));
                        format!("repeat {} {{", count.unwrap_or_else(|| "3".to_owned()))
                    }
                    _ => "recipe NAME(bars: count = 9) {".to_owned(),
                };
                let place = match first {
                    "shop" => Place::Shop,
                    "target" => Place::Test,
                    _ => Place::Step,
                };
                // What closes on its line holds nothing of the next.
                let closed = self.reader.slice(span).trim_end().ends_with([')', ']', '}']);
                if !self.trial && !closed {
                    self.adrift = Some(Adrift { depth: self.open.len(), place });
                }
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

    /// Keeps the names that a line at fault may have bound or worked, so that their later use is no second fault.
    fn broken(&mut self, span: Span) {
        let text = self.reader.slice(span);
        let first = first_word(text);
        if matches!(first, "shop" | "target" | "note" | "allow" | "use" | "give" | "repeat") {
            return self.push(Statement::Broken(Vec::new()));
        }
        // What is set begins the line where its verb was left out.
        let behind = text.trim_start_matches(|c: char| c != '=' && !c.is_whitespace()).trim_start();
        let verb = usize::from(!behind.starts_with('=') && !behind.starts_with("is "));
        let words = wording::strange(text).into_iter().skip(verb);
        let words = words.filter(|(_, low)| !vocabulary::is_reserved(low));
        let named = words.take(32).filter_map(|(at, _)| {
            let text = text.get(at.clone())?.to_owned();
            Some(Name { text, span: Span::within(span.start, at) })
        });
        let mut named: Vec<Name> = named.collect();
        // `stock dark bars = …`: what is made is called `dark-bars` further down.
        if let Some((head, _)) = text.split_once('=').filter(|_| verb == 1) {
            let words: Vec<&str> = head.split_whitespace().skip(1).collect();
            named.extend((words.len() == 2).then(|| Name { text: words.join("-"), span }));
        }
        // A step that names no piece is of the one that was worked last.
        let neighbours = self.neighbours.get_or_init(|| Neighbours::of(&self.reader, &self.pieces));
        let pieces = neighbours.names(span);
        let last = neighbours.last(span).filter(|_| named.iter().all(|name| !pieces.contains(&name.text)));
        named.extend(last.map(|text| Name { text, span }));
        // A cut that is not read may have made any piece that no other line makes.
        const CUTS: [&str; 10] =
            ["cut", "saw", "split", "slice", "chop", "part", "halve", "quarter", "pieces", "into"];
        if text.split([' ', ',']).any(|word| CUTS.contains(&word.to_lowercase().as_str())) {
            named.extend(neighbours.unmade().iter().map(|text| Name { text: text.clone(), span }));
        }
        self.push(Statement::Broken(named));
    }

    fn unknown(&mut self, span: Span, word: &str) {
        let at = self.reader.first(span);
        const MARKS: [&str; 6] = ["//", "/*", "--", ";", "%", "'"];
        let line = self.reader.slice(span);
        if let Some(words) = MARKS.iter().find_map(|mark| line.strip_prefix(mark)) {
            let mark = Span { end: span.start + (line.len() - words.trim_start().len()) as u32, ..span };
            let fault = Code::Syntax.says("a comment begins with `#`").at(mark, "this begins none");
            return self.faults.push(fault.help(format!("write `# {}`", words.trim())).fix(mark, "# "));
        }
        let message = format!("`{word}` is no verb");
        let fault = Diagnostic::new(Code::UnknownVerb, message, at, "a line begins with what is done");
        if ["how", "what", "what's", "which", "why"].contains(&word.to_lowercase().as_str()) {
            let help = "a recipe asks by a `?` in the place of a figure, and `heatbook fill` answers; what each piece \
                        measures after each step tells `heatbook run FILE`, and what took its width `heatbook why width PIECE FILE`";
            return self.faults.push(fault.help(help));
        }
        let low = word.to_lowercase();
        let begins = |words: &[&str]| words.iter().any(|words| line.to_lowercase().starts_with(words));
        if begins(&["make sure", "be sure", "see that", "see to it", "check ", "ensure ", "verify "])
            && let Some(expect) = forge::WORDS.iter().find(|word| word.form == Form::Tests)
        {
            return self
                .faults
                .push(fault.help(format!("what must be so there is said as in `{}`", expect.example)));
        }
        // `blade edge should be …` among the steps.
        let neighbours = self.neighbours.get_or_init(|| Neighbours::of(&self.reader, &self.pieces));
        let demands = line.split_whitespace().any(|word| matches!(word, "should" | "must" | "shall"));
        if demands
            && neighbours.names(span).contains(word)
            && let Some(expect) = forge::WORDS.iter().find(|word| word.form == Form::Tests)
        {
            return self
                .faults
                .push(fault.help(format!("what must be so there is said as in `{}`", expect.example)));
        }
        if begins(&["same ", "ditto"]) {
            return self.faults.push(fault.help("write the step out: its verb, its piece, and each clause"));
        }
        // `forge a stick tang …`: what a verb is called by says more than what goes with everything.
        // So does `off` behind `take`: that takes no stock.
        let off = line.split_whitespace().any(|word| word == "off");
        let usual =
            forge::usual(&low).and_then(forge::word).filter(|word| !(off && word.form == Form::Stock));
        let named = gist::verb(line).filter(|told| gist::names(line, told));
        // `clean up the bevels` says what is cleaned.
        let cleans = |usual: &Word, named: &Word| {
            usual.clauses().any(|key| key.word().strip_suffix('s') == Some(named.word))
        };
        let goes = |usual: &&Word| named.is_none_or(|named| named.word == usual.word || cleans(usual, named));
        let help = match usual.filter(goes) {
            Some(usual) => format!("it is `{}` here, as in `{}`", usual.word, usual.example),
            // A word of the trade is no slip of the pen.
            None => match (syntax::near_verb(&low).filter(|_| !gist::is_cue(&low)), gist::verb(line)) {
                (Some(near), _) => format!("did you mean `{}`, as in `{}`", near.word, near.example),
                (None, Some(told)) => format!("it may be `{}`, as in `{}`", told.word, told.example),
                _ => {
                    format!("the verbs are {}", quoted(vocabulary::of(Sort::Verb).map(|term| term.word)))
                }
            },
        };
        self.faults.push(fault.help(help));
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

    /// What a line says as it was read, or in other words; the faults of its reading begin at `before`.
    fn or_in_other_words<T: Shift + Fits>(
        &mut self,
        span: Span,
        place: Place,
        before: usize,
        made: Option<T>,
        read: impl Fn(&mut Parse, Span) -> Option<T>,
    ) -> Option<T> {
        let said = self.faults.split_off(before);
        match self.in_other_words(span, place, said, read) {
            Said::Read(made) => Some(made),
            Said::Offered => None,
            Said::Nothing => made,
        }
    }

    /// Reads a line at fault in the words that smiths have for it; where no meaning is sure, what it may mean is offered. What could be
    /// said of it as it stands, `said`, is put on record where nothing better is found.
    fn in_other_words<T: Shift + Fits>(
        &mut self,
        span: Span,
        place: Place,
        said: Vec<Diagnostic>,
        read: impl Fn(&mut Parse, Span) -> Option<T>,
    ) -> Said<T> {
        if self.trial || self.trees.is_some() {
            self.faults.extend(said);
            return Said::Nothing;
        }
        let written = self.reader.slice(span);
        let tries = Cell::new(0);
        let tried = |line: &Worded| {
            tries.set(tries.get() + 1);
            let mut memo = Memo::none();
            let mut parse = Parse::of(Reader::new(&line.text, &line.text, 0), None, &mut memo);
            parse.trial = true;
            let made = read(&mut parse, Span::within(0, 0..line.text.len()));
            (made.filter(|made| made.fits(self.figures.as_ref())), parse.faults)
        };
        let accepts = |line: &Worded| {
            // What is read as it stands is one line; a `;` in it is the smith's own.
            let block = place == Place::Step && !line.sure && syntax::is_unfolded(&line.text);
            if block {
                // A block that lines are put into holds them in the house's words: each was looked for by itself.
                let unfolded = syntax::unfolded(&line.text);
                let put = line.text.starts_with("target ") || line.text.starts_with("shop ");
                let (made, faults) = if put { as_it_stands(&unfolded) } else { parse(&unfolded, 0) };
                return faults.is_empty() && !made.iter().any(Statement::is_bare_block);
            }
            // Words that go on with a stack are no pieces in it.
            if line.text != written && goes_on_with_a_stack(&line.text) {
                return false;
            }
            // What is offered leaves no figure without its unit.
            let whole = place == Place::Step && line.sure;
            matches!(tried(line), (Some(made), faults) if faults.is_empty() && (whole || !made.is_bare()))
        };
        let stops = |line: &Worded| match tried(line) {
            (Some(_), faults) if faults.is_empty() => None,
            (_, faults) => Some(faults.first().map_or(0, |f| f.span().start)),
        };
        let neighbours = self.neighbours.get_or_init(|| Neighbours::of(&self.reader, &self.pieces));
        let unread = Unread {
            written,
            place,
            pieces: neighbours.names(span),
            last: neighbours.last(span),
            before: neighbours.before(span, written),
            unit: neighbours.unit,
            shop: neighbours.shop,
            figures: neighbours.figures.clone(),
            recipes: neighbours.recipes.clone(),
            steels: neighbours.steels.clone(),
            wanted: match place {
                Place::Head => mentioned(&self.reader, &self.pieces, span),
                // It changes with each line: no other's meaning hangs on it.
                Place::Step if written.contains(" into ") => neighbours.unmade().clone(),
                Place::Step | Place::Test | Place::Shop => BTreeSet::new(),
            },
            nested: !self.open.is_empty(),
        };
        // What it may mean hangs on its words, and on what is called what around it.
        let key = format!("{unread:?} {:?}", self.figures);
        let known = self.memo.worded.of(&key);
        let meaning = known.unwrap_or_else(|| unread.search(&accepts, &stops));
        let (line, found) = meaning.clone();
        if found.is_some() && line.sure {
            let (Some(mut made), _) = tried(&line) else { bug!("a line is read and is not") };
            made.shift(&|at| line.span(at, span.start));
            let start = span.bytes(self.reader.file()).start;
            let edits = line.edits(written.len()).into_iter();
            self.edits.extend(edits.map(|(at, words)| (at.start + start..at.end + start, words)));
            self.memo.worded.keep(key, &meaning, tries.get());
            return Said::Read(made);
        }
        if let Some(meant) = found {
            let line = in_the_house(line);
            // What it makes, as it is offered, is nobody's fault further down.
            let mut words = line.text.split_whitespace();
            let makes = words.next().and_then(forge::word).map(|word| word.form);
            if place == Place::Step && matches!(makes, Some(Form::Stock | Form::Stack)) && !line.sample {
                let made = words.next().map(|name| Name { text: name.to_owned(), span });
                self.push(Statement::Broken(made.into_iter().collect()));
            }
            self.faults.push(syntax::offered(written, span, &line, place, meant, said.into_iter().next()));
            self.memo.worded.keep(key, &meaning, tries.get());
            return Said::Offered;
        }
        // Several mistakes are all told, each with what is offered for it.
        if place == Place::Step {
            let each = unread.clauses().into_iter().filter_map(|(text, from, to)| {
                let line = Worded::new(&text);
                if accepts(&line) {
                    return None;
                }
                let said = tried(&line).1.into_iter().next();
                let part = Unread { written: &text, ..unread.clone() };
                let (line, found) = part.search(&accepts, &stops);
                // A step of its own is none of the clauses; of a clause only what is sure is offered.
                let own = text.get(from..).and_then(|own| own.split_whitespace().next()).unwrap_or_default();
                let mut fault = match found {
                    _ if vocabulary::is(own, Sort::Verb) || own == "restack" => {
                        let at = Span::within(0, from..from + own.len());
                        let said = format!("`{own}` begins a step of its own");
                        Code::Syntax
                            .says(said)
                            .at(at, "one step stands on a line")
                            .help("write it on a line of its own")
                    }
                    Some(meant) if line.sure || meant == syntax::Meant::Word => {
                        syntax::offered(&text, Span::within(0, 0..text.len()), &line, place, meant, said)
                    }
                    _ => said?,
                };
                let verb = text.get(..from).unwrap_or_default().trim_end();
                let form = |help: &String| help.starts_with("the form is");
                if let Some(help) = fault.help.as_mut().filter(|help| !form(help)) {
                    *help = help.replace(&format!("`{verb} "), "`");
                }
                let back = |at: Span| {
                    let inside = at.start as usize >= from;
                    let to = |n: u32| span.start + (n as usize).saturating_sub(from) as u32 + to as u32;
                    inside.then(|| Span { start: to(at.start), end: to(at.end.max(at.start)) })
                };
                for label in &mut fault.labels {
                    label.span = back(label.span)?;
                }
                fault.fix =
                    fault.fix.and_then(|fix| Some(Box::new(Fix { span: back(fix.span)?, text: fix.text })));
                Some(fault)
            });
            let mut each: Vec<Diagnostic> = each.collect();
            // What two of them are told alike is one.
            let mut told = BTreeSet::new();
            each.retain(|fault| fault.help.as_ref().is_none_or(|help| told.insert(help.clone())));
            // Several that only say the form are one mistake.
            let forms =
                each.iter().filter(|f| f.help.as_deref().is_some_and(|help| help.contains("the form is `")));
            if each.len() > 1 && forms.count() < 2 {
                self.memo.worded.keep(key, &meaning, tries.get());
                self.faults.extend(each);
                return Said::Nothing;
            }
        }
        // Where other words lead further, what stops them is what is wrong.
        let behind = |fault: &Diagnostic, at: Span| {
            fault.span().start.max(fault.span().end.saturating_sub(1)) > at.end
        };
        let further = said.first().filter(|_| line.sure && line.text != written).and_then(|first| {
            let mut fault = tried(&line).1.into_iter().next()?;
            let own = line.is_own(fault.span().bytes(0));
            fault.labels.iter_mut().for_each(|label| label.span = line.span(label.span, span.start));
            fault.fix = None;
            (own && behind(&fault, first.span())).then_some(fault)
        });
        self.memo.worded.keep(key, &meaning, tries.get());
        match further {
            Some(fault) => self.faults.push(fault),
            None => self.faults.extend(said.into_iter().map(|fault| of_the_noun(fault, written, place))),
        }
        Said::Nothing
    }

    /// The names that a `let`, a `mark` or a recipe's head gives to figures; nothing where a used file may bring more.
    fn names_of_figures(&self) -> Option<BTreeSet<String>> {
        let mut names = BTreeSet::new();
        for (_, text) in said(&self.reader, &self.pieces) {
            let mut words = text
                .split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_'))
                .filter(|w| !w.is_empty());
            match words.next() {
                Some("use" | "build") => return None,
                Some("let") => names.extend(words.next().map(str::to_owned)),
                Some("mark" | "recipe") => names.extend(words.map(str::to_owned)),
                _ if text.contains('=') => names.extend(first_name(text)),
                _ => {}
            }
        }
        Some(names)
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

/// `grind a fuller …`: the form is that of what is made; `edge of blade should be …`: that of a test among the steps.
fn of_the_noun(mut fault: Diagnostic, line: &str, place: Place) -> Diagnostic {
    let own = line.split_whitespace().next().map(vocabulary::house_verb).and_then(|verb| forge::word(&verb));
    let demands = line.split_whitespace().take(6).any(|word| matches!(word, "should" | "must" | "shall"));
    let tests = || forge::WORDS.iter().find(|word| word.form == Form::Tests).filter(|_| demands);
    if let Some(word) = tests().or_else(|| gist::noun(line)).filter(|_| place == Place::Step)
        && let Some((own, help)) = own.zip(fault.help.as_mut())
    {
        let form = |word: &Word| format!("the form is `{}`", word.example);
        *help = help.replace(&form(own), &form(word));
    }
    fault
}

/// A block that is offered, with its lines in the words of the house.
fn in_the_house(line: Worded) -> Worded {
    let right = || {
        if !line.text.contains('{') {
            return None;
        }
        let text = put_right(&syntax::unfolded(&line.text))?;
        let mut lines = text.lines().map(str::trim);
        let head = lines.next()?;
        let body: Vec<&str> = lines.filter(|line| !line.is_empty() && *line != "}").collect();
        Some(format!("{head} {} }}", body.join(" ; ")))
    };
    match right() {
        Some(text) => {
            let (sample, lost) = (line.sample, line.lost);
            let mut made = line.with(0..line.text.len(), &text);
            (made.sample, made.lost) = (sample, lost);
            made
        }
        None => line,
    }
}

/// Whether a stack has something in it that no piece is called: `all trimmed`, `and so on`, `altrenating`.
fn goes_on_with_a_stack(line: &str) -> bool {
    const NONE: [&str; 16] = [
        "all", "so", "on", "till", "until", "they", "theyre", "they're", "used", "up", "etc", "etcetera",
        "other", "every", "each", "again",
    ];
    let stacks = || forge::word(first_word(line)).is_some_and(|word| word.form == Form::Stack);
    let none = |item: &str| {
        let first = item.split_whitespace().next().unwrap_or_default();
        let near =
            |word: &&str| first.len() > 6 && (1..=2).contains(&strsim::damerau_levenshtein(first, word));
        NONE.contains(&first)
            || ["alternating", "alternate", "alternately", "trimmed", "flipped"].iter().any(near)
    };
    line.split_once('=').is_some_and(|(_, items)| stacks() && items.split(',').skip(1).any(none))
}

/// What came of a line in other words.
enum Said<T> {
    /// It is read.
    Read(T),
    /// It is at fault, and what it may mean is offered.
    Offered,
    /// Nothing.
    Nothing,
}

/// The name that a line sets without a `let`, where it does.
fn first_name(text: &str) -> Option<String> {
    let (name, _) = text.split_once('=')?;
    let name = name.trim();
    (!name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || c == '-' || c == '_'))
        .then(|| name.to_owned())
}

/// Whether what a line says can be meant, as far as the line alone tells.
trait Fits {
    /// Whether it can.
    fn fits(&self, figures: Option<&BTreeSet<String>>) -> bool;

    /// Whether a figure lacks the unit of what it stands for.
    fn is_bare(&self) -> bool {
        false
    }
}

impl Fits for Block {
    fn fits(&self, figures: Option<&BTreeSet<String>>) -> bool {
        !matches!(self, Block::Repeat(count, ..) if count.leans_on_unset(figures))
    }
}

impl Fits for Clause<&'static str> {
    fn fits(&self, figures: Option<&BTreeSet<String>>) -> bool {
        !self.args.leans_on_unset(figures)
    }

    fn is_bare(&self) -> bool {
        const OF_LENGTH: [&str; 5] = ["kerf", "scale", "hot zone", "tongs", "rolls"];
        let bare = |arg: &Arg| matches!(arg, Arg::Quantity(q) if q.is_bare());
        // A ton is three things: what is offered says which.
        let ton = |arg: &Arg| {
            let Arg::Quantity(q) = arg else { return false };
            let unit = |f: &Figure| {
                f.unit.as_ref().is_some_and(|u| u.text.to_lowercase().starts_with("ton") && u.text != "tonf")
            };
            matches!(&q.expr, Expr::Figure(f) if unit(f))
        };
        self.args.iter().any(ton)
            || (OF_LENGTH.contains(&self.key) || self.key == "forge") && self.args.iter().any(bare)
    }
}

impl Fits for Test {
    fn fits(&self, figures: Option<&BTreeSet<String>>) -> bool {
        let kind = self.what.kind();
        let plain = |k: Kind| k == kind || k.is_plain();
        !self.leans_on_unset(figures) && self.limits().into_iter().all(|q| q.kind().is_none_or(plain))
    }

    fn is_bare(&self) -> bool {
        let [_, last] = self.limits();
        let figure = |expr: &Expr| matches!(expr, Expr::Figure(figure) if figure.unit.is_none());
        last.is_lopsided() || figure(&last.expr) && !self.what.kind().is_plain()
    }
}

impl Test {
    /// What is wanted: the same twice, where it is one figure.
    fn limits(&self) -> [&Quantity; 2] {
        match &self.wanted {
            Wanted::AtLeast(q) | Wanted::AtMost(q) | Wanted::Equal(q) => [q, q],
            Wanted::Within(a, b) => [a, b],
        }
    }
}

/// The kinds of figure that clauses of some keys take; nothing where no more is known here.
fn kinds(key: Key) -> &'static [Kind] {
    match key {
        Key::Size | Key::Off | Key::Faces | Key::Edges | Key::Ends | Key::Kerf => &[Kind::LENGTH],
        Key::At => &[Kind::TEMPERATURE, Kind::LENGTH],
        Key::For | Key::Soak => &[Kind::TIME],
        Key::Into => &[Kind::NUMBER],
        _ => &[],
    }
}

impl Fits for Statement {
    /// Each clause is one of its verb, each name of a figure is set, figures have units of what they stand for, and no piece is called
    /// by a word of the trade.
    fn fits(&self, figures: Option<&BTreeSet<String>>) -> bool {
        let Statement::Step(step) = self else { return !self.leans_on_unset(figures) };
        let likely = |clause: &Clause<Key>| {
            let kinds = kinds(clause.key);
            // How hot a size is taken stands behind the word.
            let hot = clause.args.iter().position(|arg| matches!(arg, Arg::Word("hot", _)));
            clause.args.iter().enumerate().all(|(n, arg)| match arg {
                Arg::Quantity(q) if hot.is_some_and(|hot| n == hot + 1) => {
                    q.kind().is_none_or(|kind| kinds.contains(&kind) || kind == Kind::TEMPERATURE)
                }
                Arg::Quantity(q) if q.is_odd_product() => false,
                // A length that does not say of what is no weight.
                Arg::Quantity(q) if clause.key == Key::Weight && q.kind() == Some(Kind::LENGTH) => false,
                Arg::Sizes(sizes, _) => {
                    sizes.iter().all(|q| q.kind().is_none_or(|kind| kind == Kind::LENGTH))
                }
                Arg::Quantity(q) if !kinds.is_empty() => q.kind().is_none_or(|kind| kinds.contains(&kind)),
                Arg::Name(name) => !wording::NO_NAMES.contains(&name.text.as_str()),
                _ => true,
            })
        };
        // No piece is called `it`.
        let named = !wording::NO_NAMES.contains(&step.name.text.as_str());
        named && self.foreign().is_none() && !self.leans_on_unset(figures) && step.clauses.iter().all(likely)
    }

    fn is_bare(&self) -> bool {
        let Statement::Step(step) = self else { return false };
        step.clauses.iter().any(|clause| {
            clause.args.iter().any(|arg| match arg {
                Arg::Sizes(sizes, _) => sizes.last().is_some_and(Quantity::is_bare),
                Arg::Quantity(q) => {
                    let units = kinds(clause.key).iter().any(|kind| !kind.is_plain());
                    q.is_lopsided() || (units && q.is_bare())
                }
                _ => false,
            })
        })
    }
}

impl Statement {
    /// Whether an entry or a test of a block lacks a unit.
    fn is_bare_block(&self) -> bool {
        match self {
            Statement::Shop(entries, _) => entries.iter().any(Fits::is_bare),
            Statement::Target(_, _, tests, _) => tests.iter().any(Fits::is_bare),
            _ => false,
        }
    }

    fn verb(&self) -> Option<&'static Word> {
        if let Statement::Step(step) = self { Some(step.word) } else { None }
    }

    /// The verb and the words of its first clause that is none of its own.
    fn foreign(&self) -> Option<(&'static str, Span)> {
        let Statement::Step(step) = self else { return None };
        let none = |clause: &&Clause<Key>| step.word.clauses().all(|key| key != clause.key);
        step.clauses.iter().find(none).map(|clause| (step.word.word, clause.span))
    }
}

fn foreign(verb: &str, words: &str, at: Span) -> Diagnostic {
    let message = format!("`{verb}` makes nothing of `{words}`");
    Diagnostic::new(Code::ClauseUnknown, message, at, "this clause has no meaning here")
}

impl Shift for Block {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        match self {
            Block::Shop(entries, span) => {
                entries.shift(to);
                span.shift(to);
            }
            Block::Target(name, count, tests, span) => {
                name.shift(to);
                count.shift(to);
                tests.shift(to);
                span.shift(to);
            }
            Block::Repeat(count, body, span) => {
                count.shift(to);
                body.shift(to);
                span.shift(to);
            }
            Block::Recipe(_) => {}
            Block::Skipped(span, ..) => span.shift(to),
        }
    }
}
