//! What smiths write that the grammar does not read, turned into the words that it reads: the forms are those of the forge's table
//! (`forge/words/wordings.txt`), worked one after the other until the line can be read.

use std::ops::Range;
use std::sync::OnceLock;

use super::vocabulary;
use crate::forge::{self, Fire, Form, Key, WORDINGS};
use crate::quantity::{Kind, Reading, Unit, find_unit, said_unit, sheet_gauge};
use crate::source::Span;
use crate::steel::grades;

/// Where a line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Among the steps.
    Step,
    /// In a shop.
    Shop,
    /// In a target.
    Test,
    /// Before a `{`.
    Head,
}

/// Lines longer than this are no slip of the pen, bytes.
const LONGEST: usize = 800;
/// How often one form is worked in one line.
const MOST: usize = 24;

/// Where a byte of the text comes from.
#[derive(Clone, Copy, Debug)]
struct Origin {
    start: usize,
    end: usize,
    /// Whether it is the user's own byte.
    own: bool,
}

/// A line in other words, and where each of its bytes comes from.
#[derive(Clone, Debug)]
pub struct Worded {
    /// The line.
    pub text: String,
    from: Vec<Origin>,
    /// Whether one meaning is possible: it is read; else it is offered.
    pub sure: bool,
    /// Whether a figure in it is nobody's: it is an example.
    pub sample: bool,
    /// What the line says that no form has, in words.
    pub lost: Option<&'static str>,
}

impl Worded {
    /// The line as it is written; a tab is no other word than a blank.
    pub fn new(text: &str) -> Worded {
        let from = (0..text.len()).map(|at| Origin { start: at, end: at + 1, own: true });
        Worded { text: text.replace('\t', " "), from: from.collect(), sure: true, sample: false, lost: None }
    }

    /// The place of some of its text in the line as it was written.
    pub fn back(&self, at: Range<usize>) -> Range<usize> {
        let behind = || self.from.iter().map(|o| o.end).max().unwrap_or_default();
        match self.from.get(at.clone()).filter(|bytes| !bytes.is_empty()) {
            Some(bytes) => {
                let start = bytes.iter().map(|o| o.start).min().unwrap_or_default();
                start..bytes.iter().map(|o| o.end).max().unwrap_or(start)
            }
            None => {
                let start = self.from.get(at.start).map_or_else(behind, |o| o.start);
                start..start
            }
        }
    }

    /// The same of a span of the text that begins at 0, from the line's address.
    pub fn span(&self, span: Span, line: u32) -> Span {
        Span::within(line, self.back(span.bytes(0)))
    }

    /// Whether some of its text is the user's own.
    pub fn is_own(&self, at: Range<usize>) -> bool {
        self.from.get(at).is_some_and(|bytes| bytes.iter().all(|o| o.own))
    }

    /// What differs from the line as it was written: what goes, and what stands there instead.
    pub fn edits(&self, written: usize) -> Vec<(Range<usize>, String)> {
        let (mut made, mut cursor, mut new) = (Vec::new(), 0, String::new());
        for (at, letter) in self.text.char_indices() {
            let origin = self.from.get(at).copied();
            match origin.filter(|o| o.own && o.start >= cursor) {
                Some(own) => {
                    if own.start > cursor || !new.is_empty() {
                        made.push((cursor..own.start, std::mem::take(&mut new)));
                    }
                    cursor = own.start + letter.len_utf8();
                }
                None => new.push(letter),
            }
        }
        if cursor < written || !new.is_empty() {
            made.push((cursor..written, new));
        }
        made
    }

    /// Puts words in the place of others; what is taken over from the line keeps its place.
    fn replace(&mut self, at: Range<usize>, parts: &[Part]) {
        let outer = self.back(at.clone());
        let (Some(head), Some(tail)) = (self.text.get(..at.start), self.text.get(at.end..)) else {
            bug!("words beyond the line")
        };
        let (mut text, mut from) =
            (head.to_owned(), self.from.get(..at.start).map_or_else(Vec::new, <[Origin]>::to_vec));
        let mut put = |words: &str, origins: &mut dyn Iterator<Item = Origin>| {
            let close = text.ends_with(|c: char| c.is_whitespace()) || text.is_empty();
            if !close && !words.is_empty() && words != "," && words != ":" {
                text.push(' ');
                from.push(Origin { start: outer.start, end: outer.end, own: false });
            }
            text.push_str(words);
            from.extend(origins.take(words.len()));
        };
        for part in parts {
            match part {
                Part::Own(own) => {
                    let words = self.text.get(own.clone()).unwrap_or_default();
                    put(words, &mut self.from.get(own.clone()).unwrap_or_default().iter().copied());
                }
                Part::New(words) => {
                    let new = Origin { start: outer.start, end: outer.end, own: false };
                    put(words, &mut std::iter::repeat(new));
                }
            }
        }
        // A blank before what follows, and none too many.
        let tail_at = if text.is_empty() || text.ends_with(char::is_whitespace) {
            at.end + (tail.len() - tail.trim_start().len())
        } else {
            at.end
        };
        let tail = self.text.get(tail_at..).unwrap_or_default();
        let apart = tail.starts_with(|c: char| c.is_alphanumeric()) && !text.is_empty();
        if apart && !text.ends_with(|c: char| c.is_whitespace()) {
            text.push(' ');
            from.push(Origin { start: outer.start, end: outer.end, own: false });
        }
        text.push_str(tail);
        from.extend(self.from.get(tail_at..).unwrap_or_default());
        (self.text, self.from) = (text, from);
    }

    /// The line with one of its words made another: a guess.
    pub fn with(&self, at: Range<usize>, word: &str) -> Worded {
        let mut made = self.clone();
        made.replace(at, &[Part::New(word.to_owned())]);
        made.sure = false;
        made
    }
}

/// A part of what words are replaced by.
enum Part {
    /// Words of the line.
    Own(Range<usize>),
    /// New words.
    New(String),
}

/// What a word of a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sort {
    Word,
    Number,
    Unit,
    Sign,
    Text,
}

/// A word, a figure or a sign.
#[derive(Clone, Debug)]
pub(super) struct Token {
    /// Where it stands.
    pub at: Range<usize>,
    /// It, in lower case.
    pub low: String,
    /// What it is.
    pub sort: Sort,
}

/// The words, figures and signs of a line.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut made: Vec<Token> = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..) {
        let Some(first) = rest.chars().next() else { break };
        if first.is_whitespace() {
            at += first.len_utf8();
            continue;
        }
        let behind_number =
            made.last().is_some_and(|t| t.sort == Sort::Number && t.at.end <= at).then_some(at);
        let touching = made.last().is_some_and(|t| t.sort == Sort::Number && t.at.end == at);
        let bath = !touching && is_in_a_bath(rest);
        let (len, sort) = if let Some(len) =
            behind_number.filter(|_| !bath).and_then(|_| unit_len(rest, touching))
        {
            (len, Sort::Unit)
        } else if let Some(len) = number_len(rest) {
            let behind = rest.get(len..).unwrap_or_default();
            let letters = behind.len() - behind.trim_start_matches(|c: char| c.is_alphanumeric()).len();
            let run = behind.get(..letters).unwrap_or_default();
            let by = run
                .strip_prefix(['x', 'X'])
                .is_some_and(|b| b.is_empty() || b.starts_with(|c: char| c.is_ascii_digit()));
            let part = rest.get(..len).is_some_and(|n| n.contains(['/', '.']));
            // The grammar needs no blank behind a figure; a grade's letters are no word of the language.
            let clause = || vocabulary::may_follow(&run.to_lowercase());
            if letters == 0 || by || part || unit_len(behind, true).is_some() || clause() {
                (len, Sort::Number)
            } else {
                let word = rest.len() - rest.trim_start_matches(is_word).len();
                (word.max(len), Sort::Word)
            }
        } else if is_word(first) && first != '-' {
            let len = rest.len() - rest.trim_start_matches(is_word).len();
            // `x40` in a row of sizes.
            let by =
                rest.strip_prefix(['x', 'X']).is_some_and(|b| b.starts_with(|c: char| c.is_ascii_digit()));
            (if by { 1 } else { len }, Sort::Word)
        } else if matches!(first, '"' | '“' | '”')
            && let Some(end) = rest.char_indices().skip(1).find(|(_, c)| matches!(c, '"' | '“' | '”'))
        {
            (end.0 + end.1.len_utf8(), Sort::Text)
        } else {
            const LONG: [&str; 13] =
                ["+/-", "...", ">=", "<=", "=>", "=<", "==", ":=", "->", "..", "+-", "--", "//"];
            let long = LONG.iter().find(|sign| rest.starts_with(**sign)).map(|sign| sign.len());
            (long.unwrap_or(first.len_utf8()), Sort::Sign)
        };
        let low = text.get(at..at + len).unwrap_or_default().to_lowercase();
        made.push(Token { at: at..at + len, low, sort });
        at += len.max(1);
    }
    made
}

/// Whether a text begins with `in` before what steel is quenched in: `from 815 in oil` says no inches.
fn is_in_a_bath(text: &str) -> bool {
    const BATHS: [&str; 14] = [
        "oil", "water", "brine", "air", "plates", "fast", "moved", "still", "warm", "hot", "canola", "salt",
        "the", "a",
    ];
    let Some(behind) = text.trim_start().strip_prefix("in").filter(|b| b.starts_with(char::is_whitespace))
    else {
        return false;
    };
    let mut words = behind.split_whitespace();
    let bath = words.next().unwrap_or_default();
    // So does `at 2280 in 3 heats`.
    const ROUNDS: [&str; 3] = ["heats", "heat", "passes"];
    if bath.chars().all(|c| c.is_ascii_digit()) && words.next().is_some_and(|word| ROUNDS.contains(&word)) {
        return !bath.is_empty();
    }
    BATHS.contains(&bath.trim_matches(|c: char| !c.is_alphabetic()))
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '-' || c == '_'
}

/// The bytes of a number at the start of a text, as the grammar reads them.
fn number_len(text: &str) -> Option<usize> {
    let digits = |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let vulgar = |text: &str| text.chars().next().filter(|c| "½¼¾⅛⅜⅝⅞".contains(*c)).map(char::len_utf8);
    if let Some(len) = vulgar(text) {
        return Some(len);
    }
    if let Some(rest) = text.strip_prefix('.') {
        let len = digits(rest);
        return (len > 0).then_some(len + 1);
    }
    let whole = digits(text);
    if whole == 0 {
        return None;
    }
    let rest = text.get(whole..)?;
    if let Some(part) = rest.strip_prefix('.').map(digits).filter(|len| *len > 0) {
        return Some(whole + 1 + part);
    }
    let under = |rest: &str| {
        let rest = rest.strip_prefix(['/', '⁄'])?;
        let len = digits(rest);
        (len > 0).then_some(len)
    };
    // `1084/15N20` are two steels.
    if let Some(len) = under(rest).filter(|_| whole <= 3) {
        let stroke = if rest.starts_with('/') { 1 } else { '⁄'.len_utf8() };
        return Some(whole + stroke + len);
    }
    // The whole number before a fraction; a grade is none.
    if whole <= 3 {
        let gap = rest.len() - rest.trim_start_matches([' ', '-']).len();
        let behind = rest.get(gap..)?;
        if let Some(len) = vulgar(behind) {
            return Some(whole + gap + len);
        }
        let top = digits(behind);
        let stroke = behind.get(top..).unwrap_or_default();
        if let Some(len) = under(stroke).filter(|_| gap > 0 && top > 0) {
            let sign = if stroke.starts_with('/') { 1 } else { '⁄'.len_utf8() };
            return Some(whole + gap + top + sign + len);
        }
    }
    Some(whole)
}

/// The bytes of a unit behind a number, also one that smiths say in other words.
fn unit_len(text: &str, touching: bool) -> Option<usize> {
    for mark in ["''", "’’", "\"", "”", "″", "'", "’", "′"] {
        if text.starts_with(mark) {
            return touching.then_some(mark.len());
        }
    }
    let sign = text.strip_prefix(['°', 'º']).map(|_| text.chars().next().map_or(0, char::len_utf8));
    let letters = |text: &str| {
        let behind = text.trim_start_matches(|c: char| c.is_alphabetic() || matches!(c, '/' | '³'));
        text.len() - behind.trim_start_matches(['2', '3']).len()
    };
    let (skip, first) = match sign {
        Some(skip) => (skip, true),
        None => (0, false),
    };
    let word = text.get(skip..)?;
    if word.starts_with('%') {
        return Some(1);
    }
    let whole = letters(word);
    // `2 thou/heat`: what is behind the stroke is no part of the unit.
    let part = word.get(..whole).and_then(|w| w.find('/')).filter(|at| {
        let known = |unit: &str| find_unit(unit).is_some() || said_unit(unit).is_some();
        !word.get(..whole).is_some_and(known) && word.get(..*at).is_some_and(known)
    });
    let len = part.unwrap_or(whole);
    let one = word.get(..len).unwrap_or_default();
    let ends = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric() || c == '-' || c == '_');
    let dot = |end: usize| {
        let rest = text.get(end..).unwrap_or_default();
        end + usize::from(rest.starts_with('.') && !rest.starts_with(".."))
    };
    // `deg F`, `degrees fahrenheit`, `US tonf`, `per cent`.
    let behind = word.get(len..).unwrap_or_default();
    let gap = behind.len() - behind.trim_start_matches([' ', '.']).len();
    let second = behind.get(gap..).unwrap_or_default();
    let second = second.get(..letters(second)).unwrap_or_default();
    if len > 0 && gap > 0 && !second.is_empty() {
        let two = format!("{one} {second}");
        let end = skip + len + gap + second.len();
        let known = said_unit(&two).is_some() || find_unit(&two).is_some();
        if known && ends(text.get(end..).unwrap_or_default()) {
            return Some(dot(end));
        }
    }
    // `5°x40`: the sign by itself, and sizes go on behind it.
    let by = word.strip_prefix(['x', 'X']).is_some_and(|b| b.starts_with(|c: char| c.is_ascii_digit()));
    if first && (len == 0 || by) {
        return Some(skip);
    }
    let known = find_unit(one).is_some() || said_unit(one).is_some();
    (len > 0 && known && ends(behind)).then(|| dot(skip + len))
}

/// One part of a form.
#[derive(Debug)]
enum Element {
    Start,
    End,
    /// One of these words.
    Words {
        words: Vec<String>,
        optional: bool,
        kept: bool,
    },
    /// A figure, a name and so on.
    Held {
        what: char,
        optional: bool,
    },
    /// What must come next, and stays.
    Ahead(Box<Element>),
}

/// A form: in which lines, from which words, to which, and whether it is read or offered.
#[derive(Debug)]
struct Rule {
    on: Vec<String>,
    from: Vec<Element>,
    to: Vec<String>,
    /// The same in a recipe in inches, where its figures are others.
    in_inches: Option<Vec<String>>,
    sure: bool,
    sample: bool,
}

fn rules() -> &'static [Rule] {
    static ALL: OnceLock<Vec<Rule>> = OnceLock::new();
    ALL.get_or_init(|| {
        let (mut on, mut made) = (Vec::new(), Vec::new());
        for line in WORDINGS.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with(';')) {
            if let Some(head) = line.strip_prefix('#') {
                on = head.split_whitespace().map(str::to_owned).collect();
                continue;
            }
            let signs = ["=>>", "~>>", "?>>"];
            let parted = signs.into_iter().find_map(|sign| Some((sign, line.split_once(sign)?)));
            let Some((sign, (from, to))) = parted else { bug!("`{line}` is no form of words") };
            let (sure, sample) = (sign == "=>>", sign == "?>>");
            let from = from.split_whitespace().map(element).collect();
            let words = |to: &str| to.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
            let (to, in_inches) =
                to.split_once("||").map_or((to, None), |(mm, inches)| (mm, Some(words(inches))));
            made.push(Rule { on: on.clone(), from, to: words(to), in_inches, sure, sample });
        }
        made
    })
}

fn element(word: &str) -> Element {
    match word {
        "^" => return Element::Start,
        "$" => return Element::End,
        _ => {}
    }
    if let Some(ahead) = word.strip_prefix('&').filter(|rest| !rest.is_empty()) {
        return Element::Ahead(Box::new(element(ahead)));
    }
    let (word, optional) = match word.strip_suffix('?').filter(|w| !w.is_empty()) {
        Some(word) => (word, true),
        None => (word, false),
    };
    let mut letters = word.chars();
    if let (Some(what), None) = (letters.next(), letters.next())
        && "QDCTHPAMLBNGWSURVZ".contains(what)
    {
        return Element::Held { what, optional };
    }
    let inner = word.strip_prefix('[').and_then(|w| w.strip_suffix(']'));
    let words = inner.unwrap_or(word).split('|').map(str::to_owned).collect();
    Element::Words { words, optional, kept: inner.is_some() }
}

/// Words that hold a line together and are no names.
fn is_joint(word: &str) -> bool {
    const MORE: [&str; 19] = [
        "starting",
        "beginning",
        "with",
        "and",
        "or",
        "then",
        "than",
        "a",
        "an",
        "the",
        "is",
        "be",
        "by",
        "using",
        "until",
        "down",
        "out",
        "all",
        "about",
    ];
    MORE.contains(&word) || vocabulary::following().any(|known| known == word)
}

/// Whether a verb says of a piece what it measures.
fn is_checked(verb: &str) -> bool {
    forge::word(verb).is_some_and(|word| matches!(word.form, Form::Tests | Form::Measure))
}

/// The kind of a figure with a unit at a place.
pub(super) fn kind_of(tokens: &[Token], at: usize) -> Option<Kind> {
    let sort = |i: usize| tokens.get(i).map(|t| t.sort);
    let unit = &tokens.get(at + 1)?.low;
    let unit = said_unit(unit).and_then(find_unit).or_else(|| find_unit(unit))?;
    (sort(at)? == Sort::Number && sort(at + 1)? == Sort::Unit).then_some(unit.kind)
}

/// Whether a figure is a length that no bar is thick: 150 mm, 6 in.
fn is_long(figure: &str, unit: &str) -> bool {
    let whole = figure.split(['/', ' ', '-', '.']).next().and_then(|n| n.parse::<f64>().ok());
    let unit = said_unit(unit).and_then(find_unit).or_else(|| find_unit(unit));
    let is_whole = !figure.contains('/') || figure.contains([' ', '-']);
    let mm = |unit: &Unit| if let Reading::Factor(mm) = unit.reading { mm } else { 0.0 };
    whole.zip(unit).is_some_and(|(n, unit)| is_whole && n * mm(unit) >= 150.0)
}

/// A length as it is written, in mm; one without a unit in that of another.
fn length_mm(figure: &str, unit: &str) -> Option<f64> {
    let part = |part: &str| match part.split_once('/') {
        Some((a, b)) => Some(a.parse::<f64>().ok()? / b.parse::<f64>().ok()?),
        None => part.parse().ok(),
    };
    let whole: Option<f64> = figure.split([' ', '-']).map(part).sum();
    let unit = if matches!(unit, "\"" | "”" | "″") { "in" } else { unit };
    let unit = said_unit(unit).and_then(find_unit).or_else(|| find_unit(unit))?;
    match unit.reading {
        Reading::Factor(mm) if unit.kind == Kind::LENGTH => whole.map(|figure| figure * mm),
        _ => None,
    }
}

/// Whether of two sizes, parted by `x`, the first is the larger: `40 x 9 mm`.
fn is_larger(tokens: &[Token], at: usize) -> Option<bool> {
    let low = |i: usize| tokens.get(i).map_or("", |t| t.low.as_str());
    let unit = |i: usize| tokens.get(i).filter(|t| t.sort == Sort::Unit).map(|t| t.low.as_str());
    let next = at + held('Q', tokens, at)?;
    if !matches!(low(next), "x" | "×" | "by") {
        return None;
    }
    let of = unit(next + 2)?;
    Some(length_mm(low(at), unit(at + 1).unwrap_or(of))? > length_mm(low(next + 1), of)?)
}

/// A step that is offered for a line which has its larger size before the `x`: a bar lies flat.
pub(super) fn laid_flat(line: &str, made: &str) -> Option<String> {
    let (all, sizes) = (tokens(line), tokens(made));
    (0..all.len()).find(|at| is_larger(&all, *at) == Some(true))?;
    let word = |i: usize| sizes.get(i).map_or("", |t| t.low.as_str());
    let thick = (0..sizes.len()).find(|i| word(*i) == "thick")?;
    let (a, b) = (thick.checked_sub(2)?, thick + 2);
    if word(thick + 1) != "," || word(b + 2) != "wide" {
        return None;
    }
    let size = |i: usize| sizes.get(i).zip(sizes.get(i + 1)).map(|(n, unit)| n.at.start..unit.at.end);
    let (first, second) = (size(a)?, size(b)?);
    if length_mm(word(a), word(a + 1))? <= length_mm(word(b), word(b + 1))? {
        return None;
    }
    let (thick, wide) = (made.get(first.clone())?, made.get(second.clone())?);
    let mut flat = made.to_owned();
    flat.replace_range(second, thick);
    flat.replace_range(first, wide);
    Some(flat)
}

/// How many tokens from a place are what an element holds.
pub(super) fn held(what: char, tokens: &[Token], at: usize) -> Option<usize> {
    let sort = |i: usize| tokens.get(i).map(|t| t.sort);
    let low = |i: usize| tokens.get(i).map_or("", |t| t.low.as_str());
    let of = |kinds: &[Kind]| kinds.contains(&kind_of(tokens, at)?).then_some(2);
    let figure = || {
        if sort(at)? != Sort::Number {
            return (low(at) == "?").then_some(1);
        }
        let mut end = at + 1;
        if sort(end) == Some(Sort::Unit) {
            end += 1;
            let pair = matches!(
                (low(end - 1).trim_end_matches('.'), low(end + 1).trim_end_matches('.')),
                ("lb" | "lbs" | "pounds" | "pound", "oz" | "ounces")
                    | ("ft" | "feet" | "foot" | "'" | "’", "in" | "\"" | "”" | "inches")
                    | ("h" | "hr" | "hour" | "hours", "min" | "minutes" | "mins")
            );
            if sort(end) == Some(Sort::Number) && pair {
                end += 2;
            }
        }
        if matches!(low(end), "+-" | "±") && sort(end + 1) == Some(Sort::Number) {
            end += 2;
            if sort(end) == Some(Sort::Unit) {
                end += 1;
            }
        }
        Some(end - at)
    };
    match what {
        'Q' => figure(),
        'D' => figure().filter(|_| sort(at + 1) == Some(Sort::Unit)),
        'C' => (sort(at)? == Sort::Number && sort(at + 1) != Some(Sort::Unit)).then_some(1),
        'T' => of(&[Kind::TEMPERATURE]),
        'H' => of(&[Kind::TIME]),
        'P' => of(&[Kind::RATIO]),
        'A' => of(&[Kind::ANGLE]),
        'M' => of(&[Kind::MASS]),
        'L' => of(&[Kind::LENGTH]),
        'Z' => is_larger(tokens, at)?.then(|| held('Q', tokens, at)).flatten(),
        'B' => of(&[Kind::LENGTH]).filter(|_| is_long(low(at), low(at + 1))),
        // A piece may be called `a`, and is often called `bar`.
        'N' => {
            let called = at == 1 && (low(2) == "=" || matches!(low(1), "bar" | "bars"));
            (sort(at)? == Sort::Word && (!is_joint(low(at)) || called)).then_some(1)
        }
        'W' => (sort(at)? == Sort::Word).then_some(1),
        'U' => {
            let word = low(at).trim_end_matches('.');
            let known = word.chars().count() > 1 && (find_unit(word).is_some() || said_unit(word).is_some());
            known.then_some(1)
        }
        'G' => match sort(at)? {
            // No grade's number has fewer than three digits: `a pair of 1018 bars`.
            Sort::Number if sort(at + 1) != Some(Sort::Unit) && low(at).len() > 2 => Some(1),
            Sort::Word if !is_joint(low(at)) => Some(1),
            _ => None,
        },
        'S' => {
            let mut end = at + held('Q', tokens, at)?;
            let mut rows = 1;
            while matches!(low(end), "x" | "×") {
                let Some(more) = held('Q', tokens, end + 1) else { break };
                end += 1 + more;
                rows += 1;
            }
            (rows > 1).then_some(end - at)
        }
        _ => None,
    }
}

/// What a form holds of a line: the tokens that it spans, and those of each part that it takes over.
struct Match {
    at: Range<usize>,
    parts: Vec<(char, Range<usize>)>,
}

/// How far elements reach from a place, where they hold: what is taken over goes to `parts`.
fn follow(
    elements: &[Element],
    tokens: &[Token],
    at: usize,
    parts: &mut Vec<(char, Range<usize>)>,
) -> Option<usize> {
    let Some((element, rest)) = elements.split_first() else { return Some(at) };
    let low = |i: usize| tokens.get(i).map_or("", |t| t.low.as_str());
    let is_text = |i: usize| tokens.get(i).is_some_and(|t| t.sort == Sort::Text);
    let end = match element {
        Element::Start if at == 0 || (at == 3 && low(2) == ":" && is_checked(low(0))) => at,
        Element::End if at == tokens.len() => at,
        Element::Start | Element::End => return None,
        Element::Words { words, optional, kept } => {
            let there = at < tokens.len() && !is_text(at) && words.iter().any(|w| w == low(at));
            if !there && !optional {
                return None;
            }
            let end = at + usize::from(there);
            if *kept {
                parts.push(('w', at..end));
            }
            end
        }
        // As few words as will do.
        Element::Held { what: what @ ('R' | 'V'), .. } => {
            let known = parts.len();
            for end in at + 1..=tokens.len() {
                let figure = tokens.get(end - 1).is_some_and(|t| t.sort == Sort::Number);
                if *what == 'V' && figure {
                    return None;
                }
                parts.truncate(known);
                parts.push((*what, at..end));
                if let Some(end) = follow(rest, tokens, end, parts) {
                    return Some(end);
                }
            }
            return None;
        }
        Element::Held { what, optional } => {
            let len = held(*what, tokens, at).or(optional.then_some(0))?;
            parts.push((*what, at..at + len));
            at + len
        }
        Element::Ahead(ahead) => {
            let there = match ahead.as_ref() {
                Element::Words { words, .. } => {
                    let end = at == tokens.len();
                    words.iter().any(|w| if end { w == "$" } else { w == low(at) })
                }
                Element::Held { what, .. } => held(*what, tokens, at).is_some(),
                Element::End => at == tokens.len(),
                _ => false,
            };
            if !there {
                return None;
            }
            at
        }
    };
    follow(rest, tokens, end, parts)
}

impl Rule {
    fn holds(&self, place: Place, first: &str) -> bool {
        let word = forge::word(&vocabulary::house_verb(first)).filter(|_| place == Place::Step);
        self.on.iter().any(|on| match on.as_str() {
            "any" => true,
            "line" => place == Place::Step,
            "step" => word.is_some_and(|w| matches!(w.form, Form::Work | Form::Measure)),
            "shop" => place == Place::Shop,
            "head" => place == Place::Head,
            "test" => place == Place::Test || word.is_some_and(|w| w.form == Form::Tests),
            verb => word.is_some_and(|w| w.word == verb) || (place == Place::Step && first == verb),
        })
    }

    fn find(&self, tokens: &[Token], from: usize) -> Option<Match> {
        (from..tokens.len()).find_map(|start| self.at(tokens, start))
    }

    fn at(&self, tokens: &[Token], start: usize) -> Option<Match> {
        let mut parts = Vec::new();
        let end = follow(&self.from, tokens, start, &mut parts)?;
        (end > start).then_some(Match { at: start..end, parts })
    }

    /// Works the form once behind a place of a line that is cut into tokens: the line then, and the place behind what it did.
    fn work(
        &self,
        line: &Worded,
        tokens: &[Token],
        from: usize,
        unit: Option<&str>,
    ) -> Option<(Worded, usize)> {
        let to = self.in_inches.as_ref().filter(|_| unit == Some("in")).unwrap_or(&self.to);
        let found = self.find(tokens, from)?;
        let bytes = |at: &Range<usize>| {
            let start = tokens.get(at.start)?.at.start;
            Some(start..tokens.get(at.end.checked_sub(1)?)?.at.end).filter(|b| b.start < b.end)
        };
        let mut parts = Vec::new();
        for word in to {
            let Some(number) = word.strip_prefix('$') else {
                parts.push(Part::New(word.clone()));
                continue;
            };
            let (number, with_unit) = match number.strip_suffix('+') {
                Some(number) => (number, true),
                None => (number, false),
            };
            let nth = number.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            let (what, own) =
                nth.and_then(|n| found.parts.get(n)).unwrap_or_else(|| bug!("no part `{word}`"));
            parts.extend(bytes(own).map(Part::Own));
            let bare = matches!(*what, 'Q' | 'C') && own.len() == 1;
            if with_unit && bare {
                // The unit of the next figure that has one serves this one too; feet and metres do not.
                let units = tokens.get(own.end..found.at.end)?.iter().filter(|t| t.sort == Sort::Unit);
                let unit = units
                    .map(|t| t.low.as_str())
                    .find(|u| !matches!(find_unit(u).map(|u| u.word), Some("ft" | "m")))?;
                let unit = said_unit(unit).or_else(|| find_unit(unit).map(|u| u.word))?;
                // A part of an inch is no part of a millimetre.
                let written = bytes(own).and_then(|at| line.text.get(at)).unwrap_or_default();
                let unit = if written.contains(['/', '⁄']) { "in" } else { unit };
                parts.push(Part::New(unit.to_owned()));
            }
        }
        let mut made = line.clone();
        made.replace(bytes(&found.at)?, &parts);
        made.sure &= self.sure;
        made.sample |= self.sample;
        Some((made, found.at.start + to.len().saturating_sub(1).max(1)))
    }
}

/// A line in the words that each form of the table makes of it, one after the other, until it is accepted; else the last. Numbers that are
/// written out are made figures where the line is not read as it stands: they may be names.
///
/// # Errors
/// The line as far as the forms lead, where none is accepted.
pub fn reword(
    line: &str,
    place: Place,
    unit: Option<&str>,
    accepts: impl Fn(&Worded) -> bool,
) -> Result<Worded, Worded> {
    let mut made = Worded::new(line);
    if line.len() > LONGEST {
        return Err(made);
    }
    let mut plain = false;
    for work in [
        cases, strokes, grades, hyphens, thousands, points, decimals, degrees, units, tolerances, quotes,
        notes,
    ] {
        plain |= work(&mut made);
    }
    if plain && accepts(&made) {
        return Ok(made);
    }
    if let Some(gauge) = gauges(&made).filter(&accepts) {
        return Ok(gauge);
    }
    let figured = figured(&made);
    let first = led(made, place, unit, &accepts);
    if matches!(&first, Ok(line) if line.sure) {
        return first;
    }
    let Some(figured) = figured else { return first };
    if accepts(&figured) {
        return Ok(figured);
    }
    match (first, led(figured, place, unit, &accepts)) {
        (Ok(first), Ok(second)) => Ok(if second.sure { second } else { first }),
        (Ok(one), Err(_)) | (Err(_), Ok(one)) => Ok(one),
        (Err(_), Err(second)) => Err(second),
    }
}

/// A line as it is written, with figures, units and small words as the language has them; no other word is changed.
pub fn plain(line: &str) -> String {
    let mut made = Worded::new(line);
    for work in
        [cases, strokes, grades, hyphens, thousands, points, decimals, degrees, units, tolerances, quotes]
    {
        work(&mut made);
    }
    let mut made = gauges(&made).unwrap_or(made);
    slipped_units(&mut made);
    fractions(&mut made);
    made = figured(&made).unwrap_or(made);
    let any = |rule: &&Rule| rule.on.iter().any(|on| on == "any");
    let mut cut = tokens(&made.text);
    for rule in rules().iter().filter(any) {
        let mut at = 0;
        for _ in 0..MOST {
            let Some((next, behind)) = rule.work(&made, &cut, at, None) else { break };
            (made, at) = (next, behind);
            cut = tokens(&made.text);
        }
    }
    units(&mut made);
    tolerances(&mut made);
    made.text
}

/// A line as far as the forms lead, until it is accepted.
fn led(
    mut made: Worded,
    place: Place,
    unit: Option<&str>,
    accepts: impl Fn(&Worded) -> bool,
) -> Result<Worded, Worded> {
    let mut cut = tokens(&made.text);
    for rule in rules() {
        if !rule.holds(place, cut.first().map_or("", |t| &t.low)) {
            continue;
        }
        let mut at = 0;
        for _ in 0..MOST {
            let Some((next, behind)) = rule.work(&made, &cut, at, unit) else { break };
            at = behind;
            if next.text == made.text {
                continue;
            }
            made = next;
            units(&mut made);
            tolerances(&mut made);
            if made.text.starts_with("note ") {
                notes(&mut made);
            }
            cut = tokens(&made.text);
            if accepts(&made) {
                return Ok(made);
            }
        }
    }
    Err(made)
}

/// The number that a word says.
pub(super) fn said_number(word: &str) -> Option<u32> {
    const ONES: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    let of = |words: &[&str], word: &str| words.iter().position(|w| *w == word).map(|n| n as u32);
    let word = match word {
        "fourty" => "forty",
        "ninty" => "ninety",
        word => word,
    };
    if let Some(one) = of(&ONES, word) {
        return (one > 0).then_some(one);
    }
    let (ten, one) = word.split_once('-').map_or((word, None), |(ten, one)| (ten, Some(one)));
    let ten = (of(&TENS, ten)? + 2) * 10;
    match one {
        None => Some(ten),
        Some(one) => of(&ONES, one).filter(|one| (1..10).contains(one)).map(|one| ten + one),
    }
}

/// How often a word says: `2`, `2x`, `twice`, `two`.
pub fn times(word: &str) -> Option<u32> {
    let low = word.to_lowercase();
    let digits = low.trim_end_matches('x').parse().ok().filter(|n| (1..1000).contains(n));
    digits.or_else(|| if low == "twice" { Some(2) } else { said_number(&low) })
}

/// A line with its numbers in figures, where any is written out; a word that is set a value is none.
fn figured(line: &Worded) -> Option<Worded> {
    let mut made = line.clone();
    let all = tokens(&line.text);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    for (nth, token) in all.iter().enumerate().rev().filter(|(_, t)| t.sort == Sort::Word) {
        let dozen = token.low == "dozen";
        // `three` in `twenty three` is a part of it.
        let tens = |i: usize| said_number(low(i)).is_some_and(|n| n >= 20 && n % 10 == 0);
        let ones = |i: usize| said_number(low(i)).filter(|n| *n < 10);
        if nth > 0 && ones(nth).is_some() && tens(nth - 1) {
            continue;
        }
        // So is `seventy` in `eight hundred and seventy`.
        let of_hundreds = |i: usize| {
            i > 0 && low(i - 1) == "hundred" || i > 1 && low(i - 1) == "and" && low(i - 2) == "hundred"
        };
        if of_hundreds(nth) && said_number(&token.low).is_some() {
            continue;
        }
        // `eleven eighty` is 1180, as degrees are said.
        let large = |i: usize| said_number(low(i)).filter(|n| (10..100).contains(n));
        let said_apart = |i: usize| {
            i > 0
                && large(i).is_some()
                && (large(i - 1).is_some() || i > 1 && tens(i - 2) && ones(i - 1).is_some())
        };
        if said_apart(nth) {
            continue;
        }
        // `half a dozen`.
        let before = |n: usize| nth.checked_sub(n).map_or("", low);
        let half = if before(1) == "half" { 1 } else { 2 };
        let half = (dozen && (half == 1 || matches!(before(1), "a" | "of")) && before(half) == "half")
            .then_some(half);
        let number = if dozen { Some(if half.is_some() { 6 } else { 12 }) } else { said_number(&token.low) };
        let Some(number) = number.filter(|_| !matches!(low(nth + 1), "=" | ":")) else { continue };
        let more = tens(nth).then(|| ones(nth + 1)).flatten();
        let (number, nth) = more.map_or((number, nth), |one| (number + one, nth + 1));
        // `a dozen`, `one hundred`.
        let first = nth - usize::from(more.is_some());
        let article = usize::from(dozen && nth > 0 && matches!(low(nth - 1), "a" | "one"));
        let start = first - half.unwrap_or(article);
        let (mut number, mut end) =
            if low(nth + 1) == "hundred" { (number * 100, nth + 1) } else { (number, nth) };
        // `eight hundred and seventy`.
        if end > nth {
            let next = end + 1 + usize::from(low(end + 1) == "and");
            if let Some(rest) = said_number(low(next)).filter(|n| *n < 100) {
                let one = tens(next).then(|| ones(next + 1)).flatten();
                (number, end) = (number + rest + one.unwrap_or(0), next + usize::from(one.is_some()));
            }
        }
        if let Some(rest) = large(nth + 1).filter(|_| end == nth && (10..100).contains(&number)) {
            let one = tens(nth + 1).then(|| ones(nth + 2)).flatten();
            (number, end) = (number * 100 + rest + one.unwrap_or(0), nth + 1 + usize::from(one.is_some()));
        }
        if let Some((first, last)) = all.get(start).zip(all.get(end)) {
            made.replace(first.at.start..last.at.end, &[Part::New(number.to_string())]);
        }
    }
    units(&mut made);
    (made.text != line.text).then_some(made)
}

/// Parts of an inch that are written out, in figures: `nine sixteenths`, `one and three-eighths of an inch`. Without a unit they are inches: a
/// smith who reads a tape says no other parts.
fn fractions(line: &mut Worded) {
    const PARTS: [(&str, u32); 6] = [
        ("quarter", 4),
        ("fourth", 4),
        ("eighth", 8),
        ("sixteenth", 16),
        ("thirty-second", 32),
        ("sixty-fourth", 64),
    ];
    let part = |low: &str| {
        let one = low.strip_suffix('s').unwrap_or(low);
        PARTS.iter().find(|(word, _)| *word == one).map(|(_, parts)| *parts)
    };
    let number = |t: &Token| match t.sort {
        Sort::Number => t.low.parse().ok(),
        _ => said_number(&t.low),
    };
    let all = tokens(&line.text);
    for (at, token) in all.iter().enumerate().rev() {
        // `five-eighths`, or `five eighths`.
        let hyphened = token.low.split_once('-').and_then(|(n, of)| Some((at, said_number(n)?, part(of)?)));
        let apart = || {
            let before = at.checked_sub(1)?;
            Some((before, number(all.get(before)?)?, part(&token.low)?))
        };
        let Some((mut from, n, of)) = hyphened.or_else(apart).filter(|(_, n, of)| n < of) else { continue };
        let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
        let mut whole = String::new();
        let before = from.checked_sub(2).filter(|_| low(from - 1) == "and");
        if let Some((first, n)) = before.and_then(|first| Some((first, number(all.get(first)?)?))) {
            (from, whole) = (first, format!("{n} "));
        }
        let mut end = at + 1;
        end += usize::from(low(end) == "of");
        end += usize::from(matches!(low(end), "a" | "an"));
        let unit = held('U', &all, end).is_some();
        let (Some(first), Some(last)) = (all.get(from), all.get(if unit { end - 1 } else { at })) else {
            continue;
        };
        let made = format!("{whole}{n}/{of}{}", if unit { "" } else { " in" });
        line.replace(first.at.start..last.at.end, &[Part::New(made)]);
    }
}

/// Words of the language in lower case, whatever case they are written in; whether any was found.
fn cases(line: &mut Worded) -> bool {
    let own = |t: &Token| line.text.get(t.at.clone()).is_some_and(|word| word != t.low);
    let known = |t: &Token| {
        vocabulary::vocabulary().iter().any(|v| v.spellings().any(|s| s.split(' ').any(|w| w == t.low)))
    };
    let found: Vec<Token> =
        tokens(&line.text).into_iter().filter(|t| t.sort == Sort::Word && own(t) && known(t)).collect();
    found.iter().for_each(|t| line.replace(t.at.clone(), &[Part::New(t.low.clone())]));
    !found.is_empty()
}

/// Degrees of a fire without their scale, which are offered on the likelier one; whether there were any.
fn degrees(line: &mut Worded) -> bool {
    let all = tokens(&line.text);
    // `blade: harden at 1500 deg` names the piece first.
    let said = |t: &Token| {
        forge::word(&vocabulary::house_verb(&t.low)).or_else(|| forge::usual(&t.low).and_then(forge::word))
    };
    let word = all.iter().take(3).find_map(said);
    // Of a verb that turns a piece about, or is told an angle, degrees are no heat.
    let heated = word.filter(|word| word.clauses().all(|key| !matches!(key, Key::Turns | Key::Angle)));
    let heated = heated.filter(|word| word.clauses().any(|key| matches!(key, Key::At | Key::From)));
    // `coke fire running at 1120 deg` is of a shop.
    let fire =
        || all.iter().any(|t| matches!(t.low.as_str(), "forge" | "fire" | "furnace" | "kiln" | "oven"));
    let Some(most_c) = heated.map(hottest_c).or_else(|| fire().then_some(HOTTEST_C)) else { return false };
    let found = all.windows(2).rev().find_map(|pair| {
        let [number, unit] = pair else { return None };
        let bare = matches!(unit.low.trim_end_matches('.'), "deg" | "degree" | "degrees" | "°" | "º");
        let value = number.low.parse::<f64>().ok().filter(|v| bare && *v >= 100.0)?;
        Some((unit.at.clone(), if value > most_c { "F" } else { "C" }))
    });
    let Some((at, scale)) = found else { return false };
    line.replace(at, &[Part::New(scale.to_owned())]);
    line.sure = false;
    true
}

/// Hotter than that no steel is in a step of a verb, C: it is tempered, over and over for hours, below 300 C, and worked below 1300 C
/// (common practice).
pub fn hottest_c(word: &forge::Word) -> f64 {
    let keys = |wanted: Key| word.clauses().any(|key| key == wanted);
    if keys(Key::Times) && keys(Key::For) && word.fire == Fire::None { 300.0 } else { HOTTEST_C }
}

/// No steel is worked hotter, C (common practice).
const HOTTEST_C: f64 = 1300.0;

/// Strokes that part: sizes `1/8/1.5/10`, heats `1600/1500/1400`, clauses `200C/2h/2x`; and `/lb`, which is `per lb`. Whether there were any.
fn strokes(line: &mut Worded) -> bool {
    let Some(parted) = rows(&line.text) else { return false };
    let all = tokens(&line.text);
    let mut made = Vec::new();
    for (nth, stroke) in all.iter().enumerate().filter(|(_, t)| t.low == "/") {
        let (before, behind) = (nth.checked_sub(1).and_then(|i| all.get(i)), all.get(nth + 1));
        let (Some(before), Some(behind)) = (before, behind) else { continue };
        let per = PER.contains(&behind.low.trim_end_matches('.'))
            && matches!(before.sort, Sort::Unit | Sort::Number | Sort::Word);
        // What is written out behind a figure, or a figure behind words, is another clause.
        let clause = matches!(before.sort, Sort::Unit | Sort::Word) && behind.sort == Sort::Number
            || before.sort == Sort::Number && behind.sort == Sort::Word
            || before.sort == Sort::Unit && behind.sort == Sort::Word;
        if per || clause {
            made.push((stroke.at.clone(), if per { "per" } else { "," }));
        }
    }
    let any = !(made.is_empty() && parted.is_empty());
    made.extend(parted);
    made.sort_by_key(|(at, _)| at.start);
    made.into_iter().rev().for_each(|(at, sign)| line.replace(at, &[Part::New(sign.to_owned())]));
    any
}

/// What something is said by, behind a stroke.
const PER: [&str; 18] = [
    "lb", "kg", "oz", "g", "hr", "h", "hour", "min", "minute", "heat", "heats", "side", "face", "bar", "day",
    "in", "inch", "cut",
];

/// The strokes in rows of bare figures, with what they stand for: three or more in a row are sizes, or heats where each is hot; so are two that
/// are no part of an inch and both hot. Nothing where the line has no stroke.
fn rows(text: &str) -> Option<Vec<(Range<usize>, &'static str)>> {
    text.contains('/').then(|| {
        let mut made = Vec::new();
        let figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | '/');
        let mut at = 0;
        while let Some(start) = text.get(at..).and_then(|t| t.find(figure)).map(|n| n + at) {
            let run = text.get(start..).unwrap_or_default();
            let run = run.get(..run.len() - run.trim_start_matches(figure).len()).unwrap_or_default();
            at = start + run.len().max(1);
            let parts: Vec<&str> = run.trim_end_matches('.').split('/').collect();
            let hot = parts.iter().all(|p| p.parse::<f64>().is_ok_and(|v| v >= 300.0));
            // `1/8/1.5/10` begins with a part of an inch.
            let inch = |a: &str, b: &str| {
                let of = b.parse::<u32>().ok().filter(|n| matches!(n, 2 | 4 | 8 | 16 | 32 | 64));
                a.parse::<u32>().ok().zip(of).is_some_and(|(a, of)| a < of)
            };
            if parts.len() < if hot { 2 } else { 3 } || parts.iter().any(|p| p.is_empty()) {
                continue;
            }
            let (mut place, mut nth) = (start, 0);
            while let Some((one, next)) = parts.get(nth).zip(parts.get(nth + 1)) {
                place += one.len();
                if inch(one, next) {
                    place += 1 + next.len();
                    nth += 1;
                }
                if nth + 1 < parts.len() {
                    made.push((place..place + 1, if hot { "," } else { "x" }));
                }
                place += 1;
                nth += 1;
            }
        }
        made
    })
}

/// Bare tolerances in the unit of their figure, `40 mm +- 0.5`; whether there were any.
pub fn tolerances(line: &mut Worded) -> bool {
    let all = tokens(&line.text);
    let mut made = Vec::new();
    for (nth, sign) in all.iter().enumerate().filter(|(_, t)| matches!(t.low.as_str(), "+-" | "±" | "+/-")) {
        let unit = nth.checked_sub(1).and_then(|i| all.get(i)).filter(|t| t.sort == Sort::Unit);
        let bare = all.get(nth + 1).filter(|t| t.sort == Sort::Number);
        let next = all.get(nth + 2).is_none_or(|t| t.sort != Sort::Unit);
        if let (Some(unit), Some(bare), true) = (unit, bare, next) {
            let own = line.text.get(unit.at.clone()).unwrap_or_default();
            // A mark stands right behind its figure, and not behind a blank.
            let own = if matches!(own, "\"" | "”" | "″" | "''") { "in" } else { own };
            let own = said_unit(&unit.low).unwrap_or(own).to_owned();
            made.push((sign.at.start..bare.at.end, bare.at.clone(), own));
        }
    }
    let any = !made.is_empty();
    for (at, bare, unit) in made.into_iter().rev() {
        line.replace(at, &[Part::New("+-".to_owned()), Part::Own(bare), Part::New(unit)]);
    }
    any
}

/// Grades that are parted by hyphens, `15-N-20`, put together; whether there were any.
fn grades(line: &mut Worded) -> bool {
    let of = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let (mut found, mut at) = (Vec::new(), 0);
    for word in line.text.split(|c| !of(c)) {
        let joined = word.replace('-', "");
        let parted = joined.len() < word.len() && grades::find(word).is_none();
        if let Some(grade) = Some(joined).filter(|grade| parted && grades::find(grade).is_some()) {
            found.push((at..at + word.len(), grade));
        }
        at += word.len()
            + line.text.get(at + word.len()..).and_then(|t| t.chars().next()).map_or(0, char::len_utf8);
    }
    let any = !found.is_empty();
    found.into_iter().rev().for_each(|(at, grade)| line.replace(at, &[Part::New(grade)]));
    any
}

/// Figures parted from their units by a hyphen, `2-hour`, with a blank there; whether there were any.
fn hyphens(line: &mut Worded) -> bool {
    let behind = |at: usize| line.text.get(at + 1..).unwrap_or_default();
    let is_unit = |at: usize| {
        let rest = behind(at);
        let word =
            rest.get(..rest.len() - rest.trim_start_matches(char::is_alphabetic).len()).unwrap_or_default();
        said_unit(&word.to_lowercase()).or_else(|| find_unit(word).map(|u| u.word)).is_some()
    };
    let figure = |at: usize| line.text.get(..at).is_some_and(|b| b.ends_with(|c: char| c.is_ascii_digit()));
    let found: Vec<usize> =
        line.text.match_indices('-').map(|(at, _)| at).filter(|at| figure(*at) && is_unit(*at)).collect();
    for at in found.iter().rev() {
        line.replace(*at..at + 1, &[]);
    }
    !found.is_empty()
}

/// Thousands parted by a blank before a unit, `1 220 °C`, put together; whether there were any. They are offered.
fn thousands(line: &mut Worded) -> bool {
    let all = tokens(&line.text);
    let digits = |t: &Token, most: usize| {
        t.sort == Sort::Number && t.low.len() <= most && t.low.chars().all(|c| c.is_ascii_digit())
    };
    let found = all.windows(3).find_map(|w| {
        let [a, b, unit] = w else { return None };
        let whole =
            digits(a, 1) && a.low != "0" && digits(b, 3) && b.low.len() == 3 && unit.sort == Sort::Unit;
        (whole && a.at.end + 1 == b.at.start).then_some(a.at.end..b.at.start)
    });
    let Some(gap) = found else { return false };
    let joined = format!(
        "{}{}",
        line.text.get(..gap.start).unwrap_or_default(),
        line.text.get(gap.end..).unwrap_or_default()
    );
    line.from.drain(gap);
    line.text = joined;
    line.sure = false;
    true
}

/// Units with a slip in them behind a figure, put right: `10 minuets`.
fn slipped_units(line: &mut Worded) {
    const LONG: [&str; 7] = ["minutes", "inches", "degrees", "ounces", "pounds", "seconds", "hours"];
    let all = tokens(&line.text);
    for pair in all.windows(2).rev() {
        let [number, word] = pair else { continue };
        let behind = number.sort == Sort::Number && word.sort == Sort::Word && word.low.len() > 4;
        let unlike = |unit: &&&str| strsim::damerau_levenshtein(&word.low, unit);
        let near = LONG.iter().filter(|_| behind && !vocabulary::is_word(&word.low)).min_by_key(unlike);
        if let Some(unit) = near.filter(|unit| (1..=2).contains(&unlike(unit))) {
            line.replace(word.at.clone(), &[Part::New((*unit).to_owned())]);
        }
    }
}

/// Points behind shortened words taken away; whether there were any.
fn points(line: &mut Worded) -> bool {
    let all = tokens(&line.text);
    let after = |t: &Token| {
        line.text.get(t.at.end..).is_none_or(|rest| rest.is_empty() || rest.starts_with([' ', ',']))
    };
    let ends = |pair: &[Token]| matches!(pair, [word, point] if word.sort == Sort::Word && point.low == "." && word.at.end == point.at.start);
    let found: Vec<Range<usize>> = all
        .windows(2)
        .filter(|pair| ends(pair))
        .filter_map(|pair| pair.last().filter(|t| after(t)))
        .map(|t| t.at.clone())
        .collect();
    found.iter().rev().for_each(|at| line.replace(at.clone(), &[]));
    !found.is_empty()
}

/// Decimals that are said in words, in figures: `point four`, `one point two five`; whether there were any.
fn decimals(line: &mut Worded) -> bool {
    /// What a `point` behind it is the end of a blade of, and no decimal.
    const SHAPES: [&str; 7] = ["drop", "clip", "spear", "needle", "trailing", "the", "a"];
    let all = tokens(&line.text);
    let digit = |i: usize| match all.get(i).map_or("", |t| t.low.as_str()) {
        "oh" | "nought" | "naught" | "zero" => Some(0),
        word => said_number(word).filter(|n| *n < 10),
    };
    let mut any = false;
    for (nth, point) in all.iter().enumerate().rev().filter(|(_, t)| t.low == "point") {
        let digits: String = (nth + 1..).map_while(digit).map(|n| n.to_string()).collect();
        let back = |n: usize| nth.checked_sub(n).and_then(|i| all.get(i));
        if digits.is_empty() || back(1).is_some_and(|t| SHAPES.contains(&t.low.as_str())) {
            continue;
        }
        let number =
            |t: &Token| if t.sort == Sort::Number { t.low.parse().ok() } else { said_number(&t.low) };
        let said = [back(2), back(1)].map(|t| t.and_then(|t| Some((t.at.start, number(t)?))));
        let (start, whole) = match said {
            [_, None] if back(1).is_none_or(|t| t.sort != Sort::Number && t.low != "hundred") => {
                (point.at.start, 0)
            }
            [None, Some(whole)] => whole,
            // `twenty five point four`.
            [Some((start, tens)), Some((_, ones))] if tens >= 20 && tens % 10 == 0 && ones < 10 => {
                (start, tens + ones)
            }
            // What goes with it in another way is not taken apart.
            _ => continue,
        };
        let end = all.get(nth + digits.len()).map_or(point.at.end, |t| t.at.end);
        line.replace(start..end, &[Part::New(format!("{whole}.{digits}"))]);
        any = true;
    }
    any
}

/// Curly marks around a text made straight; whether there were any.
fn quotes(line: &mut Worded) -> bool {
    let mut any = false;
    for token in tokens(&line.text).into_iter().rev().filter(|t| t.sort == Sort::Text) {
        let text = line.text.get(token.at.clone()).unwrap_or_default();
        let inner = text.trim_matches(['"', '“', '”']).to_owned();
        if text.contains(['“', '”']) && !inner.contains('"') {
            line.replace(token.at, &[Part::New(format!("\"{inner}\""))]);
            any = true;
        }
    }
    any
}

/// The words of a note without their marks put between them; whether they were.
fn notes(line: &mut Worded) -> bool {
    let all = tokens(&line.text);
    let first = |word: &str| all.first().is_some_and(|t| t.low == word);
    if !first("note") || all.iter().filter(|t| t.sort == Sort::Text).count() > 1 {
        return false;
    }
    let begins = all.iter().skip(1).find(|t| !matches!(t.low.as_str(), ":" | "-" | "="));
    let Some((start, end)) = begins.zip(all.last()).map(|(t, last)| (t.at.start, last.at.end)) else {
        return false;
    };
    let words = line
        .text
        .get(start..end)
        .unwrap_or_default()
        .trim_matches(['"', '“', '”', '\'', '’', '‘'])
        .to_owned();
    if words.contains(['"', '“', '”']) {
        return false;
    }
    let from = all.first().map_or(start, |note| note.at.end);
    line.replace(from..end, &[Part::New(format!("\"{words}\""))]);
    true
}

/// Whether a line is a note, or meant for one: its words are the smith's own, and are not spelt anew.
pub fn is_a_note(line: &str) -> bool {
    tokens(line).first().is_some_and(|t| t.low == "note")
}

/// Whether a line does not mean the same without a word; one that begins with a figure may hold it.
pub fn weighty(low: &str) -> bool {
    let ordinal = ["st", "nd", "rd", "th"].iter().any(|end| {
        low.strip_suffix(end).is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
    });
    WEIGHTY.contains(&low) || (low.starts_with(|c: char| c.is_ascii_digit()) && !ordinal)
}

/// Words that a line does not mean the same without.
const WEIGHTY: [&str; 27] = [
    "twice",
    "thrice",
    "lengthways",
    "lengthwise",
    "longways",
    "rip",
    "hex",
    "hexagon",
    "hexagonal",
    "oval",
    "no",
    "not",
    "without",
    "except",
    "less",
    "more",
    "half",
    "double",
    "per",
    "turned",
    "flipped",
    "if",
    "unless",
    "never",
    "nowhere",
    "minus",
    "alternate",
];

/// Words of the trade that nobody calls a piece by: where one stands for a name, other words are tried.
pub const NO_NAMES: [&str; 9] =
    ["it", "them", "alternating", "alternately", "alternated", "twice", "clockwise", "flat", "half"];

/// Whether a word behind a verb may be the name of a piece: neither one of those nor a number.
pub fn may_name(word: &str) -> bool {
    let low = word.to_lowercase();
    !NO_NAMES.contains(&low.as_str())
        && said_number(&low).is_none()
        && !low.starts_with(|c: char| c.is_ascii_digit())
}

/// Gauges of sheet in inches, which are offered: there are other gauges.
fn gauges(line: &Worded) -> Option<Worded> {
    let mut made = line.clone();
    let all = tokens(&line.text);
    for pair in all.windows(2).rev() {
        let [number, gauge] = pair else { continue };
        let is = number.sort == Sort::Number
            && matches!(gauge.low.as_str(), "ga" | "gauge" | "gage" | "gg" | "swg");
        if let Some(inches) = number.low.parse().ok().and_then(sheet_gauge).filter(|_| is) {
            // `16 ga.` has a point behind it.
            let dot = usize::from(line.text.get(gauge.at.end..).is_some_and(|t| t.starts_with('.')));
            made.replace(number.at.start..gauge.at.end + dot, &[Part::New(format!("{inches} in"))]);
            made.sure = false;
        }
    }
    (!made.sure).then_some(made)
}

/// Units as the house writes them, in place of what smiths say for them; whether any was found.
fn units(line: &mut Worded) -> bool {
    let mut any = false;
    for token in tokens(&line.text).into_iter().rev() {
        let said = (token.sort == Sort::Unit).then(|| said_unit(&token.low)).flatten();
        if let Some(unit) = said {
            line.replace(token.at, &[Part::New(unit.to_owned())]);
            any = true;
        }
    }
    any
}

/// Tenths where sizes are in mm: `4 tenths`, `a tenth`. In inch country they are of a thou.
pub fn tenths(line: String, unit: Option<&str>) -> String {
    let mut made = Worded::new(&line);
    let all = tokens(&line);
    for (at, token) in all.iter().enumerate().rev() {
        if unit != Some("mm") || !matches!(token.low.as_str(), "tenth" | "tenths") {
            continue;
        }
        let Some(before) = at.checked_sub(1).and_then(|i| all.get(i)) else { continue };
        let tenths = match before.low.as_str() {
            "a" | "one" => Some(1.0),
            number => number.parse::<f64>().ok(),
        };
        if let Some(tenths) = tenths {
            let mm = crate::quantity::trim_number(tenths / 10.0, 3);
            made.replace(before.at.start..token.at.end, &[Part::New(format!("{mm} mm"))]);
        }
    }
    made.text
}

/// The words of a line that are nothing the language knows, each with its place: those a slip of the pen may be in.
pub fn strange(line: &str) -> Vec<(Range<usize>, String)> {
    let words = tokens(line).into_iter().filter(|t| t.sort == Sort::Word);
    words.map(|t| (t.at, t.low)).collect()
}

#[cfg(test)]
mod tests {
    use super::{Place, Worded, reword, rules, tokens};

    #[test]
    fn words_figures_and_units_are_told_apart() {
        let of = |text: &str| tokens(text).iter().map(|t| t.low.clone()).collect::<Vec<_>>().join("|");
        assert_eq!(of("1 bar of 15N20, 1/8\" x 1-1/2 x 6in"), "1|bar|of|15n20|,|1/8|\"|x|1-1/2|x|6|in");
        assert_eq!(of("at 2000 deg. F for 10 mins"), "at|2000|deg. f|for|10|mins");
        assert_eq!(of("4x40x150mm"), "4|x|40|x|150|mm");
        assert_eq!(of("2 in half"), "2|in|half");
    }

    /// What comes out knows where each of its bytes was, and the edits make it of what went in.
    #[test]
    fn a_line_in_other_words_knows_where_they_come_from() {
        let written = "draw the billet out to one inch square";
        let made = reword(written, Place::Step, None, |w: &Worded| w.text == "draw billet to 1 inch square");
        let made = made.unwrap_or_else(|last| panic!("{}", last.text));
        let at = made.text.find("billet").unwrap();
        assert_eq!(written.get(made.back(at..at + 6)), Some("billet"));
        let mut edited = String::new();
        let mut end = 0;
        for (at, new) in made.edits(written.len()) {
            edited += written.get(end..at.start).unwrap();
            edited += &new;
            end = at.end;
        }
        edited += written.get(end..).unwrap();
        assert_eq!(edited, made.text);
    }

    #[test]
    fn every_form_of_the_table_can_be_worked() {
        assert!(rules().len() > 150);
        for rule in rules() {
            for part in
                rule.to.iter().chain(rule.in_inches.iter().flatten()).filter_map(|w| w.strip_prefix('$'))
            {
                let n: usize = part.trim_end_matches('+').parse().unwrap();
                let held = |e: &&super::Element| {
                    matches!(e, super::Element::Held { .. } | super::Element::Words { kept: true, .. })
                };
                assert!(n >= 1 && n <= rule.from.iter().filter(held).count(), "{rule:?}");
            }
        }
    }
}
