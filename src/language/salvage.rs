//! What is left of a line that no form reads: two lines on one, or the verb, the piece and each clause that can be made out. Both are
//! offered, never read.

use std::collections::BTreeSet;

use super::vocabulary;
use super::wording::{Sort, Token, held, kind_of, tokens, weighty};
use crate::forge::{self, Form, Word};
use crate::quantity::Kind;

/// Lines of more words than that are no slip of the pen.
const MOST: usize = 24;
/// The most words of a clause.
const LONGEST: usize = 7;
/// Words that a clause does not mean the same without either.
const OF_CLAUSES: [&str; 4] = ["off", "hot", "mirrored", "until"];
/// Words of the language that a line goes without where they lead to nothing.
const LIGHT: [&str; 13] =
    ["at", "to", "in", "of", "on", "with", "for", "from", "into", "heat", "heats", "with", "each"];
/// What two steps are put together with.
const BETWEEN: [&str; 6] = [",", "and", "then", ";", "&", "."];

/// The verb of the language that a word is, or says.
fn verb(low: &str) -> Option<&'static Word> {
    forge::word(&vocabulary::house_verb(low)).or_else(|| forge::usual(low).and_then(forge::word))
}

fn text<'t>(line: &'t str, token: &Token) -> &'t str {
    line.get(token.at.clone()).unwrap_or_default()
}

/// Tokens in one row, those apart that were apart.
fn joined<'a>(line: &str, all: impl Iterator<Item = &'a Token>) -> String {
    let (mut made, mut end) = (String::new(), usize::MAX);
    for token in all {
        if token.at.start != end && token.low != "," && !made.is_empty() {
            made.push(' ');
        }
        made += text(line, token);
        end = token.at.end;
    }
    made
}

/// Two lines that stand on one, with ` ; ` between them, where `reads` makes a line of either.
pub fn parted(
    line: &str,
    pieces: &BTreeSet<String>,
    step: bool,
    reads: impl Fn(&str) -> Option<String>,
) -> Option<String> {
    let all = tokens(line);
    let between = |t: &Token| BETWEEN.contains(&t.low.as_str());
    let is_piece = |t: &Token| t.sort == Sort::Word && pieces.contains(text(line, t));
    for (nth, sign) in all.iter().enumerate().take(MOST).skip(1).filter(|(_, t)| between(t)) {
        let Some(next) = all.iter().skip(nth).position(|t| !between(t)).map(|n| n + nth) else { continue };
        let (Some(left), Some(first)) = (line.get(..sign.at.start), all.get(next)) else { continue };
        let mut right = line.get(first.at.start..).unwrap_or_default().to_owned();
        if step {
            // `weld it at 1250 C & press to 25 mm` goes on with the weld.
            let goes_on = NOUNS.contains(&first.low.as_str()) && sign.low != "then" && sign.low != ";";
            if verb(&first.low).is_none() || goes_on {
                continue;
            }
            // The piece is the one before, where none is named.
            let own = all.iter().skip(next).any(is_piece);
            if let Some(piece) = all.iter().take(nth).find(|t| is_piece(t)).filter(|_| !own) {
                let rest = line.get(first.at.end..).unwrap_or_default().trim_start();
                let it = |rest: &'_ str| {
                    rest.split_whitespace().next().filter(|w| matches!(*w, "it" | "them")).map(str::len)
                };
                let rest = it(rest).and_then(|len| rest.get(len..)).unwrap_or(rest).trim_start();
                right = format!("{} {} {rest}", text(line, first), text(line, piece));
            }
        }
        if let (Some(left), Some(right)) = (reads(left.trim()), reads(right.trim())) {
            return Some(format!("{} ; {}", left.trim(), right.trim()));
        }
    }
    None
}

/// Verbs that are nouns besides: behind a comma they go on with the clause before.
const NOUNS: [&str; 18] = [
    "squash", "squeeze", "knock", "tap", "heat", "edge", "tip", "press", "measure", "turn", "bevel", "tang",
    "hammer", "forge", "saw", "file", "mill", "flat",
];
/// Words before the verb of a further step.
const AGAIN: [&str; 10] = ["then", "and", "next", "now", "also", "re", "again", "finally", "lastly", "so"];
/// Words that say at the end of a line how a thing is done.
const HOW: [&str; 3] = ["grind", "forge", "hammer"];
/// What lays a bar on its other face, and is a word of a stack besides.
const FLIPS: [&str; 1] = ["flip"];
/// What is said of the time between two steps.
const IDLY: [&str; 6] =
    ["cool", "let cool", "air cool", "let it cool", "let it air cool", "cool to room temp"];

/// What makes a step of words, among pieces, behind the one that was worked last.
pub type Reads<'a> = dyn Fn(&str, &BTreeSet<String>, Option<&str>) -> Option<String> + 'a;

/// Several steps on one line, with ` ; ` between them, where `reads` makes a line of each: behind a comma, a point, `and` or `then` a further one
/// begins with its verb. One without a piece goes on with the piece before, or with what was just stacked.
pub fn sentences(line: &str, pieces: &BTreeSet<String>, reads: &Reads) -> Option<String> {
    let line = &in_order(line, pieces);
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let parts = |i: usize| BETWEEN.contains(&low(i));
    if all.len() > 3 * MOST {
        return None;
    }
    let begins = |at: usize| {
        let sure = (0..at)
            .rev()
            .take_while(|i| parts(*i) || AGAIN.contains(&low(*i)))
            .any(|i| low(i) != "," && low(i) != "and" && low(i) != "&");
        let next = all.get(at).filter(|t| t.sort == Sort::Word);
        // `…, grind` at the end says how.
        let how = at + 1 == all.len() && HOW.contains(&low(at)) && !sure;
        let done = !how
            && next.is_some_and(|t| doing(&t.low).is_some() && (sure || !NOUNS.contains(&t.low.as_str())));
        // `then 2 more at 2250 F` goes on with the verb.
        let works = all
            .first()
            .filter(|t| t.sort == Sort::Word)
            .is_some_and(|t| doing(&t.low).is_none_or(|word| word.form == Form::Work));
        let goes_on = works
            && low(at.wrapping_sub(1)) == "then"
            && (next.is_none() || matches!(low(at), "to" | "at"))
            && all.get(at + usize::from(next.is_some())).is_some_and(|t| t.sort == Sort::Number);
        let repeats = matches!(low(at), "repeat" | "cool" | "let") && at + 3 >= all.len();
        done || goes_on || repeats || low(at) == "cool"
    };
    let mut starts = vec![0];
    for at in 1..all.len() {
        let (before, here) = (low(at - 1), low(at));
        let parted = BETWEEN.contains(&before)
            || (AGAIN.contains(&before) && starts.last().is_some_and(|s| *s < at - 1));
        if parted && !AGAIN.contains(&here) && begins(at) {
            starts.push(at);
        }
    }
    if !(2..=LINES).contains(&starts.len()) {
        return None;
    }
    let mut known = pieces.clone();
    let (mut verb, mut piece): (Option<String>, Option<String>) = (None, None);
    let mut made: Vec<String> = Vec::new();
    // How bars lie of which every second is flipped.
    let mut laid: Option<String> = None;
    for (nth, start) in starts.iter().enumerate() {
        let mut end = starts.get(nth + 1).copied().unwrap_or(all.len());
        while end > *start && (parts(end - 1) || AGAIN.contains(&low(end - 1))) {
            end -= 1;
        }
        let span = all.get(*start).zip(all.get(end.checked_sub(1)?)).map(|(a, b)| a.at.start..b.at.end)?;
        let words = line.get(span)?;
        if IDLY.contains(&words.to_lowercase().as_str()) {
            continue;
        }
        if matches!(words, "repeat" | "repeat once" | "again") {
            made.extend(made.clone());
            continue;
        }
        let own: Vec<&Token> = all.get(*start..end).unwrap_or_default().iter().collect();
        let named = own.iter().find(|t| t.sort == Sort::Word && known.contains(text(line, t)));
        let first = own.first()?;
        let on = first.sort == Sort::Number || (nth > 0 && matches!(first.low.as_str(), "to" | "at"));
        let word = if on { None } else { doing(&first.low) };
        if FLIPS.contains(&first.low.as_str()) && is_every_second(words) {
            let (cut, bars) = made.last().and_then(|line| apart(line))?;
            *made.last_mut()? = cut;
            laid = Some(bars);
            continue;
        }
        // `restack it as blade`, `stack blade from what comes`.
        if let Some(stack) = word.filter(|w| w.form == Form::Stack)
            && let Some(of) = piece.as_ref().filter(|_| {
                !words.contains('=') && named.is_none_or(|t| Some(text(line, t)) == piece.as_deref())
            })
        {
            // `stack them flipped` says more.
            if own.iter().any(|t| weighty(&t.low)) {
                return None;
            }
            const NONE: [&str; 40] = [
                "it", "them", "up", "as", "into", "the", "pieces", "all", "from", "what", "comes", "to",
                "and", "again", "a", "four", "back", "together", "on", "top", "of", "each", "other",
                "another", "one", "halves", "thirds", "quarters", "bits", "lengths", "slices", "lot", "high",
                "pile", "parts", "now", "these", "those", "chunks", "bars",
            ];
            let fits = |t: &&&Token| {
                t.sort == Sort::Word
                    && !NONE.contains(&t.low.as_str())
                    && !vocabulary::is_reserved(&t.low)
                    && text(line, t) != of
            };
            // `as loaf` says what it is called; else a word that says nothing else.
            let named = own.iter().position(|t| matches!(t.low.as_str(), "as" | "called" | "call" | "="));
            let told = named.and_then(|at| own.iter().skip(at + 1).find(fits));
            let name = told.or_else(|| own.iter().skip(1).find(fits)).map_or("restacked", |t| text(line, t));
            let name = name.to_owned();
            let bars = laid.take().unwrap_or_else(|| of.clone());
            made.push(stack.write(&name, &[&bars]).trim_end().to_owned());
            known.insert(name.clone());
            piece = Some(name);
            continue;
        }
        let mut whole = words.to_owned();
        if nth > 0 {
            let rest = match word {
                // `square it to 16 mm` says how it is drawn.
                Some(_) if first.low == "square" => words.to_owned(),
                Some(word) => {
                    let behind = line.get(first.at.end..own.last()?.at.end).unwrap_or_default();
                    format!("{} {}", word.word, behind.trim_start())
                }
                None => format!("{} {words}", verb.clone()?),
            };
            whole = rest;
        }
        if let (None, Some(of)) = (named, &piece) {
            // Behind the verb, in the place of `it`.
            let (head, rest) = whole.split_once(' ').unwrap_or((&whole, ""));
            let rest = ["it ", "them ", "that "].iter().find_map(|it| rest.strip_prefix(it)).unwrap_or(rest);
            let rest = if matches!(rest, "it" | "them") { "" } else { rest };
            whole = format!("{head} {of} {rest}").trim_end().to_owned();
        }
        let line_of = reads(&whole, &known, piece.as_deref())?;
        // What it works, or makes.
        let mut words = line_of.split_whitespace();
        verb = words.next().map(str::to_owned);
        piece = words.next().map(|name| name.trim_end_matches(':').to_owned()).or(piece);
        known.extend(piece.clone());
        made.push(line_of);
    }
    // `harden it ..., and quench it ...` is one step.
    let quenches = |line: &String| {
        line.split(' ').next().and_then(forge::word).is_some_and(|word| word.fire == forge::Fire::Quench)
    };
    let twice = made.windows(2).any(|w| w.iter().all(quenches));
    (made.len() > 1 && !twice && laid.is_none()).then(|| made.join(" ; "))
}

/// Whether words speak of every second piece.
fn is_every_second(words: &str) -> bool {
    let said = |of: &[&str]| words.split(' ').any(|word| of.contains(&word));
    said(&["every", "each"]) && said(&["second", "2nd", "other", "alternate"])
}

/// A cut into so many bars as one into bars with names, and these with every second of them flipped.
fn apart(cut: &str) -> Option<(String, String)> {
    let (head, count) = cut.rsplit_once(" into ")?;
    let count = count.parse::<u32>().ok().filter(|n| (2..=12).contains(n))?;
    let piece = head.split(' ').nth(1)?;
    let names: Vec<String> = (1..=count).map(|n| format!("{piece}-{n}")).collect();
    let laid = names
        .iter()
        .enumerate()
        .map(|(n, name)| if n % 2 == 1 { format!("{name} flipped") } else { name.clone() });
    Some((format!("{head} into {}", names.join(", ")), laid.collect::<Vec<_>>().join(", ")))
}

/// The most steps on one line.
const LINES: usize = 6;

/// A line that says behind `after` what comes first, in the order in which it is done: `temper it …, after hardening …`.
fn in_order(line: &str, pieces: &BTreeSet<String>) -> String {
    let all = tokens(line);
    let is_piece = |t: &&Token| t.sort == Sort::Word && pieces.contains(text(line, t));
    let made = || {
        let at = all.iter().skip(2).position(|t| t.low == "after")? + 2;
        let (after, first) = (all.get(at)?, all.get(at + 1)?);
        let word = first.low.strip_suffix("ing").and_then(|stem| {
            doing(stem).or_else(|| doing(&format!("{stem}e"))).or_else(|| doing(stem.get(..stem.len() - 1)?))
        })?;
        let figures = all.iter().skip(at + 1).any(|t| t.sort == Sort::Number);
        let piece = all.iter().take(at).find(is_piece)?;
        let own = all.iter().skip(at + 1).any(|t| is_piece(&t));
        let piece = if own { "" } else { text(line, piece) };
        let (before, rest) = (line.get(..after.at.start)?, line.get(first.at.end..)?);
        let before = before.trim_end_matches([' ', ',']);
        figures.then(|| format!("{} {piece} {} , then {before}", word.word, rest.trim()))
    };
    made().unwrap_or_else(|| line.to_owned())
}

/// The verb that a word is or says, also as what has been done.
fn doing(low: &str) -> Option<&'static Word> {
    if low == "restack" {
        return forge::WORDS.iter().find(|word| word.form == Form::Stack);
    }
    // `turned`, `flipped`, `ground` and `forged` are words of clauses.
    const DONE: [(&str, &str); 9] = [
        ("square", "draw"),
        ("drawn", "draw"),
        ("welded", "weld"),
        ("folded", "fold"),
        ("hardened", "harden"),
        ("quenched", "harden"),
        ("tempered", "temper"),
        ("twisted", "twist"),
        ("normalised", "normalise"),
    ];
    let done = DONE.iter().find(|(done, _)| *done == low).map(|(_, verb)| *verb);
    verb(low).or_else(|| done.and_then(forge::word))
}

/// A step of the verb and the clauses that can be made out in a line: all its figures are in it, and no word is left out that the line
/// would not mean the same without.
pub fn step(
    line: &str,
    pieces: &BTreeSet<String>,
    accepts: impl Fn(&str) -> bool,
    reads: impl Fn(&str) -> Option<String>,
) -> Option<String> {
    let all = tokens(line);
    if all.len() > MOST || has_odd_figure(&all) {
        return None;
    }
    let named: Vec<usize> = (0..all.len())
        .filter(|i| all.get(*i).is_some_and(|t| t.sort == Sort::Word && pieces.contains(text(line, t))))
        .collect();
    let [piece] = *named.as_slice() else { return None };
    // By how much it is to change is no size.
    let more = |pair: &[Token]| matches!(pair, [_, word] if super::gist::MORE.contains(&word.low.as_str()));
    if all.windows(2).any(more) {
        return None;
    }
    // Where nothing says what is done, a size across says it.
    let across = ["thick", "square", "round", "octagon"];
    let drawn = || forge::usual("forge").filter(|_| all.iter().any(|t| across.contains(&t.low.as_str())));
    let verbs = all.iter().enumerate().filter(|(at, t)| *at != piece && t.sort == Sort::Word);
    let mut verbs: Vec<(usize, &'static Word)> = verbs
        .filter_map(|(at, t)| Some((at, verb(&t.low)?)))
        .filter(|(_, word)| word.form == Form::Work)
        .collect();
    if verbs.is_empty() {
        verbs.extend(drawn().and_then(forge::word).map(|word| (usize::MAX, word)));
    }
    let mut best: Option<(usize, String)> = None;
    for (at, word) in verbs {
        let name = all.get(piece).map_or("", |t| text(line, t));
        let head = format!("{} {name}", word.word);
        let rest: Vec<Token> =
            all.iter().enumerate().filter(|(i, _)| *i != at && *i != piece).map(|(_, t)| t.clone()).collect();
        let known = |t: &Token| t.sort != Sort::Word || weighs(&t.low) || is_following(&t.low);
        let words = |keep: &dyn Fn(&Token) -> bool| {
            format!("{head} {}", joined(line, rest.iter().filter(|t| keep(t)))).replace(" ,", ",")
        };
        // The piece behind the verb, and then also without the words that nothing knows.
        let plain = rest
            .iter()
            .any(|t| t.sort == Sort::Number)
            .then(|| reads(&words(&|_| true)).or_else(|| reads(&words(&known))));
        if let Some(made) = plain.flatten() {
            return Some(made);
        }
        let Some((kept, made)) = clauses(line, &head, word, &rest, &accepts) else { continue };
        if best.as_ref().is_none_or(|(most, _)| kept > *most) {
            best = Some((kept, made));
        }
    }
    best.map(|(_, made)| made)
}

/// A line without the words that nothing knows.
pub fn without_strange(line: &str, reads: impl Fn(&str) -> Option<String>) -> Option<String> {
    let all = tokens(line);
    let known = |t: &&Token| t.sort != Sort::Word || weighs(&t.low) || vocabulary::is_word(&t.low);
    let figures = all.iter().any(|t| t.sort == Sort::Number);
    // What is tested says more than the kind of its figure.
    let begins = all.iter().take(2).map(|t| t.sort == Sort::Word).collect::<Vec<_>>();
    if all.first().is_some_and(|t| !known(&t)) && begins == [true, false] {
        return None;
    }
    let some = all.iter().any(|t| !known(&t)) && figures && all.len() <= MOST && !has_odd_figure(&all);
    some.then(|| reads(&joined(line, all.iter().filter(known)))).flatten()
}

/// Whether a word that nothing knows stands behind a bare figure: it may be a unit.
fn has_odd_figure(all: &[Token]) -> bool {
    all.windows(2).any(|pair| {
        let [figure, word] = pair else { return false };
        figure.sort == Sort::Number && word.sort == Sort::Word && !vocabulary::is_word(&word.low)
    })
}

fn weighs(low: &str) -> bool {
    weighty(low) || OF_CLAUSES.contains(&low)
}

fn is_following(low: &str) -> bool {
    vocabulary::following().any(|known| known == low)
}

/// What a verb makes of words: how many it takes, and the line.
fn clauses(
    line: &str,
    head: &str,
    word: &'static Word,
    rest: &[Token],
    accepts: &impl Fn(&str) -> bool,
) -> Option<(usize, String)> {
    let words = |from: usize, to: usize| joined(line, rest.get(from..to).unwrap_or_default().iter());
    let starts = |t: &Token| t.sort == Sort::Number || is_following(&t.low);
    let (mut made, mut kept, mut at, mut figures) = (Vec::new(), 0, 0, 0);
    while let Some(token) = rest.get(at) {
        let most = (at + LONGEST).min(rest.len());
        let whole = (at + 1..=most).rev().filter(|_| starts(token)).find_map(|end| {
            let clause = words(at, end);
            let fits = !clause.ends_with(',') && accepts(&format!("{head} {clause}"));
            fits.then_some((end, clause))
        });
        let found = whole.or_else(|| {
            let end = at + held('Q', rest, at)?;
            let clause = like_example(word, &words(at, end), kind_of(rest, at)?, made.len())?;
            accepts(&format!("{head} {clause}")).then_some((end, clause))
        });
        match found {
            Some((end, clause)) => {
                let numbers = rest.get(at..end).unwrap_or_default().iter();
                figures += numbers.filter(|t| t.sort == Sort::Number).count();
                kept += end - at;
                made.push(clause);
                at = end;
            }
            None if token.sort == Sort::Number || weighs(&token.low) => return None,
            None if is_following(&token.low) && !LIGHT.contains(&token.low.as_str()) => return None,
            None => at += 1,
        }
    }
    let whole = format!("{head} {}", made.join(", "));
    (figures > 0 && accepts(&whole)).then_some((kept, whole))
}

/// A figure in the words that stand around one of its kind in a verb's example: that after so many of it, else the first.
fn like_example(word: &'static Word, figure: &str, kind: Kind, after: usize) -> Option<String> {
    let like: Vec<String> = word
        .example
        .split(',')
        .filter_map(|part| {
            let all = tokens(part);
            let at = all.iter().position(|t| t.sort == Sort::Number)?;
            let end = at + held('Q', &all, at)?;
            if kind_of(&all, at) != Some(kind) {
                return None;
            }
            let before = at.checked_sub(1).and_then(|i| all.get(i)).filter(|t| t.sort == Sort::Word)?;
            let across = ["thick", "wide", "long", "times"];
            let behind = all.get(end).filter(|t| across.contains(&t.low.as_str()));
            let before = if is_following(&before.low) { &before.low } else { "" };
            let behind = behind.map_or("", |t| &t.low);
            Some(format!("{before} {figure} {behind}").trim().to_owned())
        })
        .collect();
    like.get(after).or(like.first()).cloned()
}
