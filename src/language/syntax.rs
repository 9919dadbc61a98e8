//! What to say of a line that the grammar cannot read: where it stops, what could stand there, what was meant.

use std::borrow::Cow;
use std::collections::BTreeSet;

use pest::error::{Error, ErrorVariant, InputLocation};

use super::clauses::sort_of;
use super::grammar::Rule;
use super::scan::first_word;
use super::vocabulary;
use crate::forge::{ENTRIES, Form, Word};
use crate::quantity::nearest_unit;
use crate::source::{Code, Diagnostic, Span};
use crate::vocabulary::Sort;

/// What kind of line was being read.
#[derive(Clone, Copy)]
pub enum Line {
    /// A step of this verb.
    Step(&'static Word),
    /// An entry of a shop.
    Shop,
    /// A test.
    Test,
    /// Another line, with a sample of it.
    Other(&'static str),
}

impl Line {
    fn sample(self, first: &str) -> &'static str {
        match self {
            Line::Step(word) => word.example,
            Line::Shop => ENTRIES.iter().find(|e| e.word.starts_with(first)).map_or("kerf 2 mm", |e| e.form),
            Line::Test => "width >= 58 mm everywhere",
            Line::Other(sample) => sample,
        }
    }
}

/// Turns the grammar's finding into ours.
pub fn fault(text: &str, span: Span, line: Line, error: &Error<Rule>) -> Diagnostic {
    let at = match error.location {
        InputLocation::Pos(p) | InputLocation::Span((p, _)) => p.min(text.len()),
    };
    let Some((before, rest)) = text.split_at_checked(at) else { bug!("the grammar stops inside a letter") };
    let word = first_word(rest.trim_start());
    let start = text.len() - rest.trim_start().len();
    let here = Span::within(span.start, start..start + word.len());
    let help = |extra: Option<String>| {
        let sample = format!("the form is `{}`", line.sample(first_word(text)));
        extra.map_or(sample.clone(), |extra| format!("{extra}; {sample}"))
    };
    let expected = expectations(error);
    let wanted = (!expected.is_empty()).then(|| format!("{} could stand here", one_of(&expected)));

    let slipped = || {
        slip_before(before, line).map(|(slip, at, meant)| {
            let here = Span::within(span.start, at..at + slip.len());
            let message = format!("`{slip}` makes no sense here");
            Diagnostic::new(Code::Syntax, message, here, "no such word in this line")
                .help(help(Some(format!("did you mean `{meant}`"))))
                .fix(here, meant)
        })
    };
    if word.is_empty() {
        // A slip at the end of the line may have been taken for a name.
        if let Some(fault) = slipped() {
            return fault;
        }
        let tail = Span { start: span.end.saturating_sub(1).max(span.start), end: span.end };
        return Diagnostic::new(Code::Unfinished, "the line ends too soon", tail, wanted.unwrap_or_default())
            .help(help(None));
    }
    let behind_number = before.trim_end().chars().next_back().is_some_and(|c| c.is_ascii_digit());
    if behind_number && word.chars().all(char::is_alphabetic) && !is_known(word) {
        let unit = nearest_unit(word);
        let units = "lengths are in mm, cm, in, thou; weights in g, kg, lb, oz";
        let meant = unit.map_or(units.to_owned(), |unit| format!("did you mean `{unit}`"));
        return Code::UnknownUnit
            .says(format!("`{word}` is no unit"))
            .at(here, "behind a figure a unit should stand")
            .help(help(Some(meant)))
            .fix_if(here, unit);
    }
    let tested = matches!(line, Line::Test) && before.trim().is_empty();
    if let Some(meant) = nearest_word(word, line).filter(|_| tested && vocabulary::is_reserved(word)) {
        let message = format!("`{word}` is nothing that is tested");
        return Diagnostic::new(Code::Syntax, message, here, "a test begins with what is tested")
            .help(help(Some(format!("did you mean `{meant}`"))))
            .fix(here, meant);
    }
    if vocabulary::is_reserved(word) && (expected.contains("a name") || expected.is_empty()) {
        return Code::ReservedName
            .says(format!("`{word}` is a word of the language, and no name"))
            .at(here, "a name or a figure should stand here")
            .help(help(Some(format!("call it something else, such as `{word}-1`"))));
    }
    // A comma goes on to an allowance and to nothing else.
    if let (Line::Test, Some(done)) = (line, before.trim_end().strip_suffix(',')) {
        let message = "one test stands on a line";
        let comma = Span::within(span.start, done.len()..done.len() + 1);
        return Diagnostic::new(Code::Syntax, message, comma, "the next test should begin a line of its own")
            .help(help(None));
    }
    // The word before was taken for a name, where it was a slip of the pen.
    if let Some(fault) = slipped() {
        return fault;
    }
    let meant = match word {
        // A limit is met where it is reached.
        ">" => Some(">="),
        "<" => Some("<="),
        _ if is_known(word) => None,
        _ => nearest_word(word, line),
    };
    let asked = meant.map(|w| format!("did you mean `{w}`"));
    Code::Syntax
        .says(format!("`{word}` makes no sense here"))
        .at(here, wanted.unwrap_or_else(|| "no such word in this line".to_owned()))
        .help(help(asked))
        .fix_if(here, meant)
}

/// A word of the language that comes in a later version.
pub fn later(word: &str, at: Span) -> Diagnostic {
    let message = format!("`{word}` is a word of the language that this version does not read yet");
    Diagnostic::new(Code::NotYet, message, at, "not yet")
        .help("leave the line out for now: nothing is done in its place")
}

fn is_known(word: &str) -> bool {
    vocabulary::is(word, Sort::Verb) || vocabulary::following().any(|known| known == word)
}

/// The last word before the place where reading stopped, if it is no word of the language and like one.
fn slip_before(before: &str, line: Line) -> Option<(&str, usize, &'static str)> {
    // The first word is the verb and the second the piece; of a test the first is what is tested.
    let least = match line {
        Line::Step(_) => 3,
        Line::Test => 1,
        Line::Shop | Line::Other(_) => return None,
    };
    let trimmed = before.trim_end();
    let start = trimmed.rfind(char::is_whitespace).map_or(0, |i| i + 1);
    let word = trimmed.get(start..)?;
    let place = trimmed.split_whitespace().count();
    let letters = !word.is_empty() && word.chars().all(char::is_alphabetic);
    if place < least || !letters || is_known(word) || crate::quantity::find_unit(word).is_some() {
        return None;
    }
    nearest_word(word, line).map(|meant| (word, start, meant))
}

/// The word of the language most like one that makes no sense.
fn nearest_word(word: &str, line: Line) -> Option<&'static str> {
    let words = |sort| vocabulary::of(sort).map(|term| term.word);
    let tested = || words(Sort::Test).chain(words(Sort::Tested)).chain(words(Sort::End));
    match line {
        Line::Test => nearest(word, tested()),
        Line::Step(w) if w.form == Form::Tests => nearest(word, tested()),
        Line::Shop => nearest(word, words(Sort::Entry).chain(vocabulary::following())),
        _ => nearest(word, vocabulary::following()),
    }
}

/// The candidate most like a word, where one is like it at all.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let close = match word.chars().count() {
        0..=2 => 1,
        3..=5 => 2,
        _ => 3,
    };
    candidates
        .into_iter()
        .filter(|c| *c != word)
        .map(|c| (strsim::damerau_levenshtein(word, c), c))
        .filter(|(d, c)| *d <= close && *d < c.chars().count())
        .min_by_key(|(d, _)| *d)
        .map(|(_, c)| c)
}

fn expectations(error: &Error<Rule>) -> BTreeSet<Cow<'static, str>> {
    let ErrorVariant::ParsingError { positives, .. } = &error.variant else { return BTreeSet::new() };
    positives.iter().filter_map(|rule| friendly(*rule)).collect()
}

/// What a rule of the grammar is called in a message; the ones left out say nothing useful.
fn friendly(rule: Rule) -> Option<Cow<'static, str>> {
    let said = match rule {
        Rule::name => "a name",
        Rule::figure | Rule::number => "a quantity",
        Rule::unit | Rule::second_unit => "a unit",
        Rule::equals => "`=`",
        Rule::comma => "a comma",
        Rule::colon => "`:`",
        Rule::dots => "`..`",
        Rule::close => "`)`",
        Rule::by => "`x`",
        Rule::grade => "a grade of steel",
        Rule::text => "a text in `\"`",
        Rule::wanted | Rule::at_least | Rule::at_most | Rule::exactly => "`>=`, `<=`, `=` or a range",
        Rule::zone | Rule::everywhere => "where it holds",
        Rule::place => "a place along the bar",
        Rule::item => "a bar",
        Rule::EOI => "the end of the line",
        Rule::tool => "a tool",
        Rule::with_tool | Rule::into | Rule::size | Rule::off | Rule::onto => "a clause",
        _ => {
            if let Some(sort) = sort_of(rule) {
                return sort.asked().map(Cow::Borrowed);
            }
            let name = format!("{rule:?}");
            let word = name.strip_prefix("kw_").filter(|word| vocabulary::is(word, Sort::Joint))?;
            return Some(Cow::Owned(format!("`{word}`")));
        }
    };
    Some(Cow::Borrowed(said))
}

/// "`a`, `b` or `c`", at most five of them.
fn one_of(words: &BTreeSet<Cow<'static, str>>) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).take(5).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}
