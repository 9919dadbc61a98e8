//! What each word of a document is, for an editor to colour: from the vocabulary, and of names from what they stand for. It
//! goes by the words alone, so that a line at fault keeps its colours.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use lsp_types::{
    SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokens, SemanticTokensLegend,
    SemanticTokensParams, SemanticTokensRangeParams, SemanticTokensRangeResult, SemanticTokensResult,
};

use crate::language::{Sort as Named, Thing, vocabulary};
use crate::quantity::find_unit;
use crate::source::Span;
use crate::steel::grades;
use crate::vocabulary::{Sort, Term};

use super::documents::View;

/// What a word can be, by the names that the protocol has for it: editors have colours for those.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Comment,
    Text,
    Figure,
    /// A verb, or what else begins a line.
    Verb,
    /// A word of a clause.
    Clause,
    /// What is tested, or stands in a steel.
    Test,
    /// The kind of a parameter.
    Type,
    /// A steel, a fire, what a blade is quenched in.
    Material,
    Piece,
    Param,
    Recipe,
    Sign,
}

const KINDS: [(Kind, SemanticTokenType); 12] = [
    (Kind::Comment, SemanticTokenType::COMMENT),
    (Kind::Text, SemanticTokenType::STRING),
    (Kind::Figure, SemanticTokenType::NUMBER),
    (Kind::Verb, SemanticTokenType::KEYWORD),
    (Kind::Clause, SemanticTokenType::MODIFIER),
    (Kind::Test, SemanticTokenType::PROPERTY),
    (Kind::Type, SemanticTokenType::TYPE),
    (Kind::Material, SemanticTokenType::ENUM_MEMBER),
    (Kind::Piece, SemanticTokenType::VARIABLE),
    (Kind::Param, SemanticTokenType::PARAMETER),
    (Kind::Recipe, SemanticTokenType::FUNCTION),
    (Kind::Sign, SemanticTokenType::OPERATOR),
];

/// More that is told of a word, each a bit: its name is given here; it is a `let`, which never changes; it is a unit.
const GIVEN: u32 = 1;
const FIXED: u32 = 2;
const UNIT: u32 = 4;
const MORE: [SemanticTokenModifier; 3] =
    [SemanticTokenModifier::DECLARATION, SemanticTokenModifier::READONLY, SemanticTokenModifier::new("unit")];

/// What the numbers of an answer stand for.
pub fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: KINDS.iter().map(|(_, name)| name.clone()).collect(),
        token_modifiers: MORE.to_vec(),
    }
}

/// A stretch of the text, bytes, and what it is.
#[derive(Clone, Copy, Debug)]
struct Token {
    from: usize,
    to: usize,
    kind: Kind,
    more: u32,
}

/// What each word of the document is.
pub fn whole(view: &View, _: &SemanticTokensParams) -> Option<SemanticTokensResult> {
    let tokens = Words::of(view).tokens();
    Some(SemanticTokensResult::Tokens(told(view, &tokens)))
}

/// The same of a part of it.
pub fn part(view: &View, asked: &SemanticTokensRangeParams) -> Option<SemanticTokensRangeResult> {
    let (from, to) = (view.text.offset(asked.range.start), view.text.offset(asked.range.end));
    let mut tokens = Words::of(view).tokens();
    tokens.retain(|token| token.to > from && token.from < to);
    Some(SemanticTokensRangeResult::Tokens(told(view, &tokens)))
}

/// As the protocol has it: each by how far it lies behind the one before.
fn told(view: &View, tokens: &[Token]) -> SemanticTokens {
    let mut before = lsp_types::Position::default();
    let number =
        |kind: Kind| KINDS.iter().position(|(known, _)| *known == kind).and_then(|n| u32::try_from(n).ok());
    let one = |token: &Token| {
        let range = view.text.range(token.from, token.to);
        let line = range.start.line - before.line;
        let column = if line == 0 { range.start.character - before.character } else { range.start.character };
        before = range.start;
        SemanticToken {
            delta_line: line,
            delta_start: column,
            length: range.end.character.saturating_sub(range.start.character),
            token_type: number(token.kind).unwrap_or_else(|| bug!("a kind of word has no name")),
            token_modifiers_bitset: token.more,
        }
    };
    SemanticTokens { result_id: None, data: tokens.iter().map(one).collect() }
}

/// The words of the language, single ones, each with all that it is.
fn known(word: &str) -> &'static [&'static Term] {
    static ALL: OnceLock<BTreeMap<&str, Vec<&Term>>> = OnceLock::new();
    let all = ALL.get_or_init(|| {
        let mut all: BTreeMap<&str, Vec<&Term>> = BTreeMap::new();
        for term in vocabulary() {
            for word in term.spellings().flat_map(|spelling| spelling.split(' ')) {
                all.entry(word).or_default().push(term);
            }
        }
        all
    });
    all.get(word).map_or(&[], Vec::as_slice)
}

/// A way through the words of a document.
struct Words<'v> {
    text: &'v str,
    /// Where names and comments stand, and what they are, in order.
    fixed: Vec<Token>,
    /// Where the logical lines begin, in order: each with the first word of its own and of the block around it.
    lines: Vec<(usize, &'v str, &'v str)>,
    made: Vec<Token>,
}

impl<'v> Words<'v> {
    fn of(view: &'v View) -> Words<'v> {
        let analysis = view.analysis;
        let text = view.text.text;
        let own = |span: Span| analysis.own_stretch(span);
        let token = |span: Span, kind, more| own(span).map(|(from, to)| Token { from, to, kind, more });
        let index = analysis.index();
        let names = index.names().filter_map(|(span, thing)| {
            let given = if thing.made.contains(&span) { GIVEN } else { 0 };
            let (kind, more) = named(thing);
            token(span, kind, given | more)
        });
        let steels = index.grades.iter().filter_map(|(span, _)| token(*span, Kind::Material, 0));
        let comments = analysis.lines().comments.iter().filter_map(|span| token(*span, Kind::Comment, 0));
        let mut fixed: Vec<Token> = names.chain(steels).chain(comments).filter(|t| t.from < t.to).collect();
        fixed.sort_by_key(|token| (token.from, token.to));
        let mut open = analysis.lines().blocks.iter().peekable();
        let mut around: Vec<(&str, Span)> = Vec::new();
        let mut lines = Vec::new();
        for line in &analysis.lines().lines {
            around.retain(|(_, whole)| line.start < whole.end);
            let Some((start, _)) = own(*line) else { continue };
            let first =
                text.get(start..).map_or("", |rest| rest.split(|c: char| !inside(c)).next().unwrap_or(""));
            lines.push((start, first, around.last().map_or("", |(word, _)| *word)));
            while let Some(block) = open.next_if(|block| block.head.start <= line.start) {
                around.push((&block.word, block.whole));
            }
        }
        Words { text, fixed, lines, made: Vec::new() }
    }

    fn tokens(mut self) -> Vec<Token> {
        let (mut at, mut next, mut line) = (0, 0, 0);
        let fixed = std::mem::take(&mut self.fixed);
        while let Some(here) = self.text.get(at..).and_then(|rest| rest.chars().next()) {
            while fixed.get(next).is_some_and(|token| token.from < at) {
                next += 1;
            }
            if let Some(token) = fixed.get(next).filter(|token| token.from == at) {
                self.made.push(*token);
                at = token.to;
                continue;
            }
            while self.lines.get(line + 1).is_some_and(|(start, ..)| *start <= at) {
                line += 1;
            }
            // Names are known of lines that can be read: nothing else may run into one.
            let most = fixed.get(next).map_or(self.text.len(), |token| token.from);
            at = self.one(at, here, most, line);
        }
        self.made
    }

    fn put(&mut self, from: usize, to: usize, kind: Kind, more: u32) -> usize {
        self.made.push(Token { from, to, kind, more });
        to
    }

    /// The word, figure or sign that begins at a place; gives where it ends, at `most` there.
    fn one(&mut self, at: usize, here: char, most: usize, line: usize) -> usize {
        let rest = self.text.get(at..most).unwrap_or("");
        let until = |fits: &dyn Fn(char) -> bool| at + rest.find(|c| !fits(c)).unwrap_or(rest.len());
        let digit = |c: char| c.is_ascii_digit();
        if here == '"' {
            let words = rest.get(1..).unwrap_or("");
            let end = words.find(['"', '\n', '\r']).map_or(rest.len(), |end| {
                1 + end + usize::from(words.get(end..).is_some_and(|c| c.starts_with('"')))
            });
            return self.put(at, at + end, Kind::Text, 0);
        }
        let point =
            |c: char| c == '.' && rest.get(1..).is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit()));
        if digit(here) || point(here) || "½¼¾⅛⅜⅝⅞".contains(here) {
            return self.figure(at, rest);
        }
        if here.is_alphabetic() {
            let end = until(&inside);
            let word = self.text.get(at..end).unwrap_or("");
            let front = word.trim_end_matches('-');
            return self.word(at, front, line).max(at + front.len());
        }
        for sign in [">=", "<=", "+-", "..", "≥", "≤", "±", "=", "+", "*", "/", "×", "?"] {
            if rest.starts_with(sign) {
                return self.put(at, at + sign.len(), Kind::Sign, 0);
            }
        }
        at + here.len_utf8()
    }

    /// A figure, and the unit behind it; a steel goes by a number too.
    fn figure(&mut self, at: usize, rest: &str) -> usize {
        let digits = |from: usize| {
            let rest = rest.get(from..).unwrap_or("");
            from + rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len())
        };
        let begins = |from: usize, signs: &[char]| rest.get(from..).is_some_and(|r| r.starts_with(signs));
        let whole = rest.split(|c: char| !inside(c) && c != '.').next().unwrap_or("");
        let ahead = self.text.get(..at).unwrap_or("").trim_end();
        if ["of", "like"].iter().any(|word| ahead.ends_with(word)) && grades::find(whole).is_some() {
            return self.put(at, at + whole.len(), Kind::Material, 0);
        }
        let mut end = digits(0);
        for sign in [&['.'], &['/']] {
            let behind = digits(end + 1);
            if begins(end, sign) && behind > end + 1 {
                end = behind;
            }
        }
        if begins(end, &['½', '¼', '¾', '⅛', '⅜', '⅝', '⅞']) {
            end += rest.get(end..).and_then(|r| r.chars().next()).map_or(0, char::len_utf8);
        }
        self.put(at, at + end, Kind::Figure, 0);
        let behind = rest.get(end..).unwrap_or("");
        let blank = behind.len() - behind.trim_start_matches([' ', '\t', '\u{a0}']).len();
        let from = end + blank;
        let unit = rest.get(from..).unwrap_or("");
        let sign = unit.chars().next().filter(|c| "%°\"'”″’′".contains(*c));
        let letters = unit.find(|c: char| !(inside(c) || matches!(c, '/' | '°'))).unwrap_or(unit.len());
        let word = unit.get(..letters).unwrap_or("");
        let long = match sign {
            // `°C`, but `%` alone.
            Some('°') if find_unit(word).is_some() => letters,
            Some(sign) if blank == 0 || matches!(sign, '%' | '°') => sign.len_utf8(),
            None if find_unit(word).is_some() => letters,
            _ => 0,
        };
        if long > 0 {
            return self.put(at + from, at + from + long, Kind::Figure, UNIT);
        }
        at + end
    }

    /// A word that is no name of the recipe's.
    fn word(&mut self, at: usize, word: &str, line: usize) -> usize {
        let end = at + word.len();
        let Some((start, first, block)) = self.lines.get(line).copied() else { return end };
        let low = word.to_lowercase();
        let is = |sort: Sort| known(&low).iter().any(|term| term.sort == sort);
        let clause =
            known(&low).iter().any(|term| term.reserved || term.sort.follows() || term.sort == Sort::Entry);
        let ahead = self.text.get(start..at).unwrap_or("");
        let tests = block == "target" || ahead.contains(':');
        if start == at && block != "shop" && block != "target" && (is(Sort::Verb) || is(Sort::Statement)) {
            return self.put(at, end, Kind::Verb, if is(Sort::Verb) { 0 } else { GIVEN });
        }
        if first == "recipe" && ahead.trim_end().ends_with(':') && is(Sort::Kind) {
            return self.put(at, end, Kind::Type, 0);
        }
        // `edge` and `shows` are a test where a line begins with one, and stand inside others.
        if first == "steel" && is(Sort::Element) || tests && is(Sort::Test) && (start == at || !clause) {
            return self.put(at, end, Kind::Test, 0);
        }
        let burns = |term: &&&Term| matches!(term.sort, Sort::Fuel | Sort::Fire | Sort::Medium);
        for spelling in known(&low).iter().filter(burns).flat_map(|term| term.spellings()) {
            // `moved oil` is one thing.
            let text = self.text.get(at..at + spelling.len());
            if text.is_some_and(|text| text.eq_ignore_ascii_case(spelling)) && spelling.len() >= word.len() {
                return self.put(at, at + spelling.len(), Kind::Material, 0);
            }
        }
        if clause {
            return self.put(at, end, Kind::Clause, 0);
        }
        end
    }
}

/// Whether a letter may stand inside a word.
fn inside(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '-' | '_')
}

fn named(thing: &Thing) -> (Kind, u32) {
    match thing.sort {
        Named::Piece | Named::Kept => (Kind::Piece, 0),
        Named::Let => (Kind::Piece, FIXED),
        Named::Recipe => (Kind::Recipe, 0),
        Named::Param(_) => (Kind::Param, 0),
        Named::Steel => (Kind::Material, 0),
    }
}
