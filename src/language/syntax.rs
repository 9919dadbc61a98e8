//! What to say of a line that the grammar cannot read: where it stops, what could stand there, what was meant.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::ops::Range;

use pest::error::{Error, ErrorVariant, InputLocation};

use super::clauses::sort_of;
use super::gist;
use super::grammar::Rule;
use super::scan::first_word;
use super::vocabulary;
use super::wording::{self, Place, Worded};
use crate::forge::{ENTRIES, Word};
use crate::source::{Code, Diagnostic, Span, quoted};
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
    /// The form of a line, as far as its words say what it is about.
    fn sample(self, text: &str) -> &'static str {
        match self {
            Line::Step(word) => word.example,
            Line::Shop => {
                let first = first_word(text);
                ENTRIES.iter().find(|e| e.word.starts_with(first)).map_or("kerf 2 mm", |e| e.form)
            }
            Line::Test => gist::spec::tested(text).unwrap_or("width >= 58 mm everywhere"),
            Line::Other(sample) => sample,
        }
    }
}

/// Turns the grammar's finding into ours.
pub fn fault(text: &str, span: Span, line: Line, error: &Error<Rule>) -> Diagnostic {
    let at = match error.location {
        InputLocation::Pos(p) | InputLocation::Span((p, _)) => p.min(text.len()),
    };
    let expected = expectations(error);
    let at = blamed(text, at, line, expected.contains("`:`")).unwrap_or(at);
    let Some((before, rest)) = text.split_at_checked(at) else { bug!("the grammar stops inside a letter") };
    let word = first_word(rest.trim_start());
    let start = text.len() - rest.trim_start().len();
    let here = Span::within(span.start, start..start + word.len());
    let help = |extra: Option<String>| {
        let sample = format!("the form is `{}`", line.sample(text));
        extra.map_or(sample.clone(), |extra| format!("{extra}; {sample}"))
    };
    let wanted = (!expected.is_empty()).then(|| format!("{} could stand here", one_of(&expected)));
    if word.is_empty() {
        let tail = Span { start: span.end.saturating_sub(1).max(span.start), end: span.end };
        return Diagnostic::new(Code::Unfinished, "the line ends too soon", tail, wanted.unwrap_or_default())
            .help(help(None));
    }
    let behind_number = before.trim_end().chars().next_back().is_some_and(|c| c.is_ascii_digit());
    let strange = !is_known(word) && crate::quantity::find_unit(word).is_none();
    if behind_number && word.chars().all(char::is_alphabetic) && strange {
        return no_unit(word, here).help(help(Some(UNITS.to_owned())));
    }
    let tested = matches!(line, Line::Test) && before.trim().is_empty();
    if tested && word.starts_with(char::is_alphabetic) {
        let message = format!("`{word}` is nothing that is tested");
        let fault = Diagnostic::new(Code::Syntax, message, here, "a test begins with what is tested");
        return fault.help(match gist::spec::tested(text) {
            Some(form) => format!("the form is `{form}`"),
            None => {
                let whats: Vec<&str> = vocabulary::of(Sort::Test).map(|term| term.word).collect();
                format!("a target tests {}; the form is `{}`", quoted(whats), line.sample(text))
            }
        });
    }
    let names = !matches!(line, Line::Test);
    if names && vocabulary::is_reserved(word) && (expected.contains("a name") || expected.is_empty()) {
        // Names stand behind the verb and behind these; elsewhere nobody meant one.
        let said = before.trim_end();
        let named = said.split_whitespace().count() < 2
            || ["=", " into", " as", "+", "-", "*", "("].iter().any(|s| said.ends_with(s));
        let other = named.then(|| format!("call it something else, such as `{word}-1`"));
        return Code::ReservedName
            .says(format!("`{word}` is a word of the language, and no name"))
            .at(here, "a name or a figure should stand here")
            .help(help(other));
    }
    // A comma goes on to an allowance and to nothing else.
    if let (Line::Test, Some(done)) = (line, before.trim_end().strip_suffix(',')) {
        let message = "one test stands on a line";
        let comma = Span::within(span.start, done.len()..done.len() + 1);
        return Diagnostic::new(Code::Syntax, message, comma, "the next test should begin a line of its own")
            .help(help(None));
    }
    let known = is_known(word) || !word.starts_with(char::is_alphabetic);
    let what = wanted.filter(|_| known).unwrap_or_else(|| "no such word in this line".to_owned());
    Code::Syntax.says(format!("`{word}` makes no sense here")).at(here, what).help(help(None))
}

const UNITS: &str =
    "lengths are in mm, cm, in, ft, thou; weights in g, kg, lb, oz; heat in C, F; time in min, h";

fn no_unit(word: &str, here: Span) -> Diagnostic {
    Diagnostic::new(
        Code::UnknownUnit,
        format!("`{word}` is no unit"),
        here,
        "behind a figure a unit should stand",
    )
}

/// Where the word stands that is to blame: one that nothing knows was taken for a name, where reading stopped right behind it.
fn blamed(text: &str, at: usize, line: Line, named: bool) -> Option<usize> {
    // The first word is the verb and the second the piece; of a test the first is what is tested.
    let least = match line {
        Line::Step(_) => 3,
        Line::Test => 1,
        Line::Shop => 2,
        Line::Other(_) => return None,
    };
    let (before, rest) = text.split_at_checked(at)?;
    let goes_on = rest.trim_start().chars().next().is_some_and(|c| c.is_alphabetic());
    let trimmed = before.trim_end();
    let start = trimmed.rfind(|c: char| c.is_whitespace() || c == ',').map_or(0, |i| i + 1);
    let word = trimmed.get(start..)?;
    let place = trimmed.split_whitespace().count();
    let letters = !word.is_empty() && word.chars().all(|c| c.is_alphabetic() || c == '-');
    let known = is_known(word) || crate::quantity::find_unit(word).is_some();
    let whole = place >= least && letters && !known && !named;
    // Two words that nothing knows: the first is to blame.
    let blames = whole && (!goes_on || !is_known(first_word(rest.trim_start())));
    blames.then_some(start)
}

/// Whether a fault only says where reading stopped, so that the word that was meant to be another is the one to blame.
fn reblamed(code: Code) -> bool {
    matches!(code, Code::Syntax | Code::Unfinished | Code::UnknownUnit | Code::ClauseUnknown)
}

/// How a line that is offered was come upon.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meant {
    /// By a form of the trade's.
    Form,
    /// By words that are like those of the language.
    Word,
}

/// The fault of a line whose meaning is not sure, with what it may mean: what was said of it as it stands is said again, and the help
/// is the line that would be read.
pub fn offered(
    written: &str,
    span: Span,
    line: &Worded,
    place: Place,
    meant: Meant,
    said: Option<Diagnostic>,
) -> Diagnostic {
    let made = line.text.replace(" ,", ",");
    let made = made.trim();
    // A tab is no other word than the blank that is offered in its place.
    let written = &written.replace('\t', " ");
    let (mut old, new) = differs(written, made);
    let whole = old.clone();
    let gap = |text: &str| text.len() - text.trim_start_matches([' ', ',']).len();
    old.start += written.get(old.clone()).map_or(0, gap).min(old.len().saturating_sub(1));
    let (was, is) = (written.get(old.clone()).unwrap_or_default(), made.get(new.clone()).unwrap_or_default());
    let here = Span::within(span.start, old.clone());
    let one = |words: &str| !words.is_empty() && !words.contains(char::is_whitespace);
    let guessed = meant == Meant::Word && one(was) && one(is);
    let beyond = line.lost.map_or(String::new(), |lost| format!("; {lost}"));
    // `layers > 100`: no form leaves the limit itself out.
    let over = [(">", ">="), ("<", "<=")].iter().any(|(own, house)| was == *own && is == *house);
    let lost = if over { "; what comes to just that meets it".to_owned() } else { beyond };
    let strange = |word: &str| {
        let word = word.trim_end();
        Code::Syntax.says(format!("`{word}` makes no sense here")).at(here, "no such word in this line")
    };
    let first = first_word(written.get(old.start..).unwrap_or_default());
    let behind_number =
        written.get(..old.start).is_some_and(|b| b.trim_end().ends_with(|c: char| c.is_ascii_digit()));
    let fault = match said {
        // Only a word is left out, further to the left than where the line seemed to end.
        Some(said) if said.code == Code::Unfinished && was.trim().is_empty() && !is.trim().is_empty() => {
            let before = written.get(..old.start).unwrap_or_default().trim_end().len();
            let behind = Span::within(span.start, before.saturating_sub(1)..before);
            Code::Syntax.says("a word is missing here").at(behind, format!("`{}` goes behind it", is.trim()))
        }
        Some(said) if !reblamed(said.code) || said.span() == here => said,
        // A form of the trade's: all the words that it stands for are to blame.
        Some(said) if !guessed => {
            let words = was.trim_matches([',', ' ']);
            let short = !words.is_empty() && words.len() < 40 && said.code != Code::ClauseUnknown;
            if short && !words.starts_with(|c: char| c.is_ascii_digit()) { strange(was) } else { said }
        }
        Some(_) if behind_number && crate::quantity::find_unit(is).is_some() => no_unit(was, here),
        Some(said) if !was.starts_with(char::is_alphabetic) => said,
        Some(_) => strange(was),
        None => strange(first),
    };
    if line.sample && !is_unfolded(made) {
        return fault.help(format!("say it in full, as in `{made}`{lost}"));
    }
    if is_unfolded(made) {
        let unfolded = unfolded(made);
        let block = if made.contains('{') { " as a block" } else { "" };
        let one = match place {
            Place::Test => "test",
            Place::Shop => "entry",
            _ if made.starts_with("shop ") || made.starts_with("target ") => "entry",
            _ => "step",
        };
        let lines = quoted(unfolded.lines().map(str::trim));
        if line.sample {
            return fault.help(format!("say it in full{block}, one {one} a line, as in {lines}"));
        }
        if line.lost == Some(IN_THE_SHOP) {
            let inside = unfolded.lines().skip(1).map(str::trim).filter(|line| *line != "}");
            return fault.help(format!("{IN_THE_SHOP}: {}", quoted(inside)));
        }
        let help = format!("write it{block}, one {one} a line: {lines}{lost}");
        return fault.help(help).fix(Span::within(span.start, 0..written.len()), unfolded);
    }
    let help = if guessed {
        format!("did you mean `{is}`")
    } else if made.contains('\n') {
        // Of the head of a recipe, the lines that are otherwise.
        let from = made.get(..new.start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
        let behind = made.get(new.end..).and_then(|behind| behind.find('\n'));
        let lines = made.get(from..behind.map_or(made.len(), |at| new.end + at)).unwrap_or_default();
        format!("write {}{lost}", quoted(lines.lines().map(str::trim)))
    } else if made.len() > 100 && !was.is_empty() {
        format!("write `{}` for `{}`{lost}", is.trim(), was.trim())
    } else if place == Place::Head {
        format!("write `{made} {{`{lost}")
    } else {
        format!("write `{made}`{lost}")
    };
    // The label passes over the comma that parts the words from those before; the mend does not.
    fault.help(help).fix(Span::within(span.start, whole), is)
}

/// What to do with an entry that stands outside the shop that a recipe has.
pub const IN_THE_SHOP: &str = "write it inside the `shop {` of this recipe";

/// Whether a line stands for several.
pub fn is_unfolded(text: &str) -> bool {
    text.contains('{') || text.trim_end_matches([' ', ';']).contains(" ; ")
}

/// A block that is written on one line, as it stands in a recipe.
pub fn unfolded(text: &str) -> String {
    text.replace(" {", " {\n ").replace(" ;", "\n ").replace(" }", "\n}")
}

/// What differs between two lines, whole words of each.
fn differs(before: &str, after: &str) -> (Range<usize>, Range<usize>) {
    let same = |a: &mut dyn Iterator<Item = char>, b: &mut dyn Iterator<Item = char>| -> usize {
        a.zip(b).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum()
    };
    let head = same(&mut before.chars(), &mut after.chars());
    let (old, new) = (before.get(head..).unwrap_or_default(), after.get(head..).unwrap_or_default());
    let tail = same(&mut old.chars().rev(), &mut new.chars().rev());
    let part = |c: char| !c.is_whitespace() && c != ',';
    // To the ends of the words that the difference stands in, where it parts one.
    let next = |text: &str, at: usize| text.get(at..).and_then(|t| t.chars().next()).is_some_and(part);
    let back = before.get(..head).unwrap_or_default();
    let parted = next(before, head) || next(after, head);
    let head = if parted { head - (back.len() - back.trim_end_matches(part).len()) } else { head };
    let last =
        |text: &str| text.get(..text.len() - tail).and_then(|t| t.chars().next_back()).is_some_and(part);
    let forth = before.get(before.len() - tail..).unwrap_or_default();
    let parted = last(before) || last(after);
    let tail = if parted { tail - (forth.len() - forth.trim_start_matches(part).len()) } else { tail };
    (head..(before.len() - tail).max(head), head..(after.len() - tail).max(head))
}

/// A line in which words that nothing knows are made words of the language that are like them: where it can then be read. `stops` says
/// where reading stops, if it does.
pub fn guess(line: &Worded, place: Place, stops: impl Fn(&Worded) -> Option<u32>) -> Option<Worded> {
    let mut line = line.clone();
    if wording::is_a_note(&line.text) {
        return None;
    }
    for _ in 0..3 {
        let now = stops(&line)?;
        let mut likely: Vec<(usize, Range<usize>, &'static str)> = Vec::new();
        for (nth, (at, low)) in wording::strange(&line.text).into_iter().enumerate().take(24) {
            let named = place == Place::Step && nth == 1;
            if named || gist::MORE.contains(&low.as_str()) || (is_known(&low) && nth > 0) {
                continue;
            }
            let number = line
                .text
                .get(..at.start)
                .is_some_and(|b| b.trim_end().ends_with(|c: char| c.is_ascii_digit()));
            let like = candidates(place, nth, number)
                .filter_map(|word| Some((distance(&low, word)?, at.clone(), word)));
            likely.extend(like);
        }
        likely.sort_by_key(|(distance, at, word)| {
            let begins =
                line.text.get(at.clone()).and_then(|w| w.chars().next()).map(|c| c.to_ascii_lowercase());
            (*distance, begins != word.chars().next(), at.len().abs_diff(word.len()), at.start)
        });
        likely.dedup_by(|a, b| a.1 == b.1 && a.2 == b.2);
        let mut furthest: Option<(u32, Worded)> = None;
        for (_, at, word) in likely.into_iter().take(40) {
            let tried = line.with(at, word);
            match stops(&tried) {
                None => return Some(tried),
                Some(stop) if stop > furthest.as_ref().map_or(now, |(stop, _)| *stop) => {
                    furthest = Some((stop, tried))
                }
                Some(_) => {}
            }
        }
        line = furthest?.1;
    }
    None
}

/// The verb that a word is slips of the pen away from, of so many letters at most.
pub fn like_a_verb(word: &str, most: usize) -> Option<&'static str> {
    let low = word.to_lowercase();
    let own = low.trim_end_matches([':', ',']);
    if is_known(own) || is_known(&low) || crate::forge::usual(&low).is_some() || low.chars().count() < 4 {
        return None;
    }
    let verbs = vocabulary::of(Sort::Verb).flat_map(|term| term.spellings());
    let near = |verb| distance(&low, verb).filter(|far| *far <= most).map(|far| (far, verb));
    verbs.filter_map(near).min().map(|(_, verb)| verb)
}

/// The word of the language, or the name, that a longer word is one slip of the pen away from; nothing where it is known.
pub fn slipped<'a>(low: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let letters = low.chars().all(|c| c.is_alphabetic() || c == '-');
    if low.chars().count() < 5 || !letters || vocabulary::is_word(low) || gist::MORE.contains(&low) {
        return None;
    }
    // `tight` is no `right`: a word that turns a step round is never a guess.
    let turns = |word: &str| matches!(word, "right" | "left");
    let near = |word: &&str| {
        word.len().abs_diff(low.len()) < 2
            && word.len() > 4
            && !turns(word)
            && strsim::damerau_levenshtein(low, word) == 1
    };
    let words =
        || vocabulary::following().chain(vocabulary::of(Sort::Test).flat_map(|term| term.spellings()));
    // A word in another number is no slip: `bars`, `heat`.
    let number = |word: &&str| word.strip_suffix('s') == Some(low) || low.strip_suffix('s') == Some(word);
    words().filter(|word| !number(word)).find(near).or_else(|| names.filter(|name| !number(name)).find(near))
}

/// The verb that a word is nearest to, where it is near to one alone.
pub fn near_verb(low: &str) -> Option<&'static Word> {
    let near = |word: &Word| distance(low, word.word);
    let mut all: Vec<(usize, &'static Word)> =
        crate::forge::WORDS.iter().filter_map(|word| Some((near(word)?, word))).collect();
    all.sort_by_key(|(far, _)| *far);
    match all.as_slice() {
        [(_, only)] => Some(only),
        [(near, first), (next, _), ..] if near < next => Some(first),
        _ => None,
    }
}

/// How unlike a word is to one of the language; nothing where it is another word altogether.
fn distance(word: &str, meant: &str) -> Option<usize> {
    let most = match word.chars().count() {
        0 | 1 => 0,
        2..=5 => 1,
        _ => 2,
    };
    let unlike = strsim::damerau_levenshtein(word, meant);
    (unlike > 0 && unlike <= most && unlike < meant.chars().count()).then_some(unlike)
}

/// The words that may be meant at a place of a line.
fn candidates(place: Place, nth: usize, number: bool) -> Box<dyn Iterator<Item = &'static str>> {
    let words = |sort| vocabulary::of(sort).flat_map(|term| term.spellings());
    let units = number.then(|| words(Sort::Unit)).into_iter().flatten();
    match (place, nth) {
        (Place::Step, 0) => Box::new(words(Sort::Verb).chain(words(Sort::Statement))),
        (Place::Test, _) => Box::new(
            words(Sort::Test)
                .chain(words(Sort::Tested))
                .chain(words(Sort::End))
                .chain(["of", "at", "from"])
                .chain(units),
        ),
        (Place::Shop, _) => Box::new(words(Sort::Entry).chain(vocabulary::following()).chain(units)),
        (Place::Head, _) => Box::new(["shop", "target", "repeat", "recipe"].into_iter()),
        (Place::Step, _) => Box::new(
            vocabulary::following()
                .chain(words(Sort::Test))
                .chain(words(Sort::Element))
                .chain(["like"])
                .chain(units),
        ),
    }
}

fn is_known(word: &str) -> bool {
    vocabulary::is(word, Sort::Verb) || vocabulary::following().any(|known| known == word)
}

/// The candidate most like a word, where one is like it at all.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let close = match word.chars().count() {
        0..=4 => 1,
        5..=7 => 2,
        _ => 3,
    };
    candidates
        .into_iter()
        .filter(|c| *c != word)
        .map(|c| (strsim::damerau_levenshtein(&word.to_lowercase(), &c.to_lowercase()), c))
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
        Rule::zone | Rule::everywhere | Rule::on_face => "where it holds",
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
