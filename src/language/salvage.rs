//! What is left of a line that no form reads: two lines on one, or the verb, the piece and each clause that can be made out. Both are
//! offered, never read.

use std::collections::BTreeSet;

use super::vocabulary;
use super::wording::{Sort, Token, held, kind_of, tokens, weighty};
use crate::forge::{self, Form, Key, Makes, Word};
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
const BETWEEN: [&str; 8] = [",", "and", "then", ";", "&", ".", "n", "'n"];

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

/// A cut along a bar, as what does it: the bar is laid so that its width is its length, cut, and laid back.
pub fn lengthways(
    line: &str,
    pieces: &BTreeSet<String>,
    reads: impl Fn(&str) -> Option<String>,
) -> Option<String> {
    const ALONG: [&[&str]; 12] = [
        &["lengthways"],
        &["lengthwise"],
        &["longways"],
        &["long-ways"],
        &["longwise"],
        &["longitudinally"],
        &["long", "way"],
        &["along", "its", "length"],
        &["along", "length"],
        &["down", "its", "length"],
        &["down", "length"],
        &["along", "its", "whole", "length"],
    ];
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let verb_of = |t: &Token| t.sort == Sort::Word && RIPS.contains(&t.low.as_str());
    let at = all.iter().take(2).position(verb_of)?;
    let along = ALONG.into_iter().find_map(|words| {
        let at = (at + 1..all.len()).find(|i| words.iter().enumerate().all(|(n, w)| low(i + n) == *w))?;
        Some(at..at + words.len())
    });
    // `rip` says it by itself.
    let along = along.or_else(|| (low(at) == "rip").then_some(at..at))?;
    let piece = all.iter().find(|t| t.sort == Sort::Word && pieces.contains(text(line, t)))?;
    let piece = text(line, piece);
    // `of equal width`, `down the middle` say nothing more.
    let width = (at..all.len()).find(|i| matches!(low(*i), "width" | "widths")).map(|i| {
        let of = i.saturating_sub(1);
        if matches!(low(of), "equal" | "same" | "even") {
            of - usize::from(low(of.wrapping_sub(1)) == "of")..i + 1
        } else {
            i..i
        }
    });
    let kept = |i: &usize| {
        *i != at && !along.contains(i) && !width.as_ref().is_some_and(|w| w.contains(i)) && low(*i) != "the"
    };
    let rest = joined(line, (0..all.len()).filter(kept).filter_map(|i| all.get(i)));
    let rest = rest.trim_start_matches("up ");
    let middle =
        |rest: &str| format!("cut {}", rest.replace("down middle", "into 2").replace("in middle", "into 2"));
    let cut = reads(&middle(rest))
        .or_else(|| reads(&format!("{} into 2", middle(rest).trim_end_matches([',', '.']))))?;
    // Only into pieces alike: what is cut off by its length is another thing.
    let counted = cut.split(" into ").nth(1).is_some_and(|n| n.starts_with(|c: char| c.is_ascii_digit()));
    counted.then(|| format!("turn {piece} ; tip {piece} ; {cut} ; tip {piece} ; turn {piece}"))
}

/// Verbs that part a bar.
const RIPS: [&str; 12] =
    ["cut", "saw", "rip", "split", "divide", "slice", "halve", "part", "section", "slit", "bandsaw", "chop"];

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
            let goes_on = goes_on || super::gist::states(&all, next);
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
const AGAIN: [&str; 12] = [
    "then",
    "and",
    "next",
    "now",
    "also",
    "re",
    "again",
    "finally",
    "lastly",
    "so",
    "afterwards",
    "thereafter",
];
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
    if tokens(line).len() > 3 * MOST {
        return None;
    }
    if let Some(again) = again_and_again(line) {
        let made = steps(&again.line, pieces, Some(again.times), reads)?;
        // What it begins with is not left out.
        let first = |line: &str| line.split(' ').next().and_then(doing).map(|word| word.word);
        if first(&made) != first(&again.line) {
            return None;
        }
        return Some(format!("repeat {} {{ {made} }}", again.times));
    }
    steps(line, pieces, None, reads)
}

/// Steps that are done over and over.
struct Again {
    /// The line without the words that say so.
    line: String,
    times: u32,
}

/// Words of `the whole 3 times`, behind what is done so often.
const WHOLE: [&str; 14] = [
    "whole",
    "all",
    "do",
    "repeat",
    "it",
    "lot",
    "everything",
    "so",
    "overall",
    "process",
    "sequence",
    "steps",
    "over",
    "this",
];
/// Words behind a count of rounds.
const ROUNDS: [&str; 8] = ["more", "over", "all", "in", "total", "altogether", "again", "rounds"];
/// Words between `each` and the like and the step that is done each time.
const EACH: [&str; 9] = ["time", "one", "fold", "weld", "round", "of", "them", "pass", "go"];

/// A line of several steps that says how often all of them are done: behind them, or of the fold that they begin with.
fn again_and_again(line: &str) -> Option<Again> {
    // `3 folds on billet`.
    let turned = || {
        let all = tokens(line);
        let [count, folds, on, piece, ..] = all.as_slice() else { return None };
        let fits = count.sort == Sort::Number && ["folds", "fold"].contains(&folds.low.as_str());
        let fits = fits && matches!(on.low.as_str(), "on" | "in" | "of" | "to" | "for" | "into");
        fits.then(|| {
            format!(
                "fold {} {} times{}",
                text(line, piece),
                count.low,
                line.get(piece.at.end..).unwrap_or_default()
            )
        })
    };
    let own = turned();
    let line = own.as_deref().unwrap_or(line);
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let between = |i: usize| BETWEEN.contains(&low(i)) || AGAIN.contains(&low(i));
    let count = |i: usize| match low(i) {
        "once" => Some((1, 1)),
        "twice" => Some((2, 1)),
        "thrice" => Some((3, 1)),
        // `x 2` at the end.
        "x" if i + 2 == all.len() => Some((low(i + 1).parse().ok()?, 2)),
        _ => {
            let n =
                low(i).parse::<u32>().ok().filter(|_| all.get(i).is_some_and(|t| t.sort == Sort::Number))?;
            let more = usize::from(low(i + 1) == "more");
            let times = matches!(low(i + 1 + more), "times" | "time" | "x" | "folds" | "rounds");
            times.then_some((n, 2 + more))
        }
    };
    let rest = |until: usize| {
        line.get(..all.get(until)?.at.start).map(|t| t.trim_end_matches([' ', ',', ';', '.', '&']))
    };
    let without = |from: usize, to: usize| {
        let head = line.get(..all.get(from)?.at.start)?;
        let tail = all.get(to).map_or("", |t| line.get(t.at.start..).unwrap_or_default());
        Some(format!("{} {tail}", head.trim_end()))
    };
    let verbs = |line: &str| {
        tokens(line).iter().filter(|t| doing(&t.low).is_some() || gerund(&t.low).is_some()).count()
    };
    // `repeat cutting in half, stacking and welding of it 3 times`.
    if low(0) == "repeat"
        && gerund(low(1)).is_some()
        && let Some((at, (times, _))) = (2..all.len()).rev().find_map(|at| Some((at, count(at)?)))
    {
        let body = line.get(all.get(1)?.at.start..all.get(at)?.at.start)?;
        let mut made = body.trim_end_matches([' ', ',']).to_owned();
        for token in tokens(&made).into_iter().rev() {
            if let Some(word) = gerund(&token.low) {
                made.replace_range(token.at, word.word);
            }
        }
        return Some(Again { line: made.replace(" of ", " "), times }).filter(|again| again.times > 1);
    }
    // `do this twice: [ … ]`, `repeat 2 x ( … )`: what is done stands in brackets.
    let opens = |i: &usize| matches!(low(*i), "(" | "[" | ":");
    if matches!(low(0), "do" | "repeat" | "loop" | "again")
        && let Some(open) = (1..all.len().min(8)).find(opens)
        && let Some((times, _)) = (1..open).find_map(count)
    {
        let from = all.get(open + usize::from(low(open) == ":" && opens(&(open + 1))))?;
        let body = line.get(from.at.end..)?.trim().trim_end_matches([')', ']', '.', ' ']);
        return Some(Again { line: body.to_owned(), times })
            .filter(|again| times > 1 && verbs(&again.line) > 0);
    }
    // `…; the whole twice`, `…, do that 2 more times`.
    let tail = (2..all.len()).find_map(|at| {
        let (times, len) = count(at)?;
        if !(at + len..all.len()).all(|i| ROUNDS.contains(&low(i)) || low(i) == ".") {
            return None;
        }
        let mut start = at;
        while start > 1 && WHOLE.contains(&low(start - 1)) {
            start -= 1;
        }
        let more = (at..at + len).any(|i| low(i) == "more");
        let all_of_it = at + len < all.len() && low(all.len() - 1) != "." || low(at - 1) == ";";
        (start < at && between(start - 1) || start == at && between(at - 1) && all_of_it)
            .then_some((start, times + u32::from(more)))
    });
    if let Some((start, times)) = tail
        && let Some(line) = rest(start).filter(|line| verbs(line) > 1)
        && times > 1
    {
        return Some(Again { line: line.to_owned(), times });
    }
    // `fold it 3 times, welding each time`.
    let fold = all.first().filter(|t| verb(&t.low).is_some_and(folds))?;
    let end = (1..all.len()).find(|i| between(*i)).unwrap_or(all.len());
    // `fold and weld it 4 times at 1230 C`.
    let bare = end == 1 && all.get(2).is_some_and(|t| doing(&t.low).is_some());
    let found = (1..if bare { all.len() } else { end }).find_map(|at| Some((at, count(at)?)));
    let (at, (times, len)) = found?;
    if times < 2 || end == all.len() || fold.at.start > 0 && between(0) {
        return None;
    }
    let mut made = without(at, at + len)?;
    // What is done each time is said once.
    for _ in 0..4 {
        let all = tokens(&made);
        let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
        let Some(at) = (1..all.len()).find(|i| matches!(low(*i), "each" | "every")) else { break };
        let from = if matches!(low(at - 1), "after" | "between" | "with" | "at") { at - 1 } else { at };
        let mut end = at + 1;
        while EACH.contains(&low(end)) {
            end += 1;
        }
        let (from, end) = (all.get(from)?.at.start, all.get(end - 1)?.at.end);
        made.replace_range(from..end, "");
    }
    // `…, welding at 2300 F`.
    let all = tokens(&made);
    let follows = |at: usize| {
        at.checked_sub(1).and_then(|i| all.get(i)).is_some_and(|t| BETWEEN.contains(&t.low.as_str()))
    };
    for (at, token) in all.iter().enumerate().rev() {
        if let Some(word) = gerund(&token.low).filter(|_| follows(at)) {
            made.replace_range(token.at.clone(), word.word);
        }
    }
    Some(Again { line: made, times })
}

/// The verb of a word such as `welding`.
fn gerund(low: &str) -> Option<&'static Word> {
    let stem = low.strip_suffix("ing")?;
    let doubled = stem.char_indices().next_back().and_then(|(at, _)| stem.get(..at)).filter(|s| s.len() > 1);
    doing(stem).or_else(|| doing(&format!("{stem}e"))).or_else(|| doubled.and_then(doing))
}

/// The steps of a line, with ` ; ` between them; of those that are done `again` and again each leaves its piece what the first finds.
fn steps(line: &str, pieces: &BTreeSet<String>, again: Option<u32>, reads: &Reads) -> Option<String> {
    let line = &in_order(line, pieces);
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let parts = |i: usize| BETWEEN.contains(&low(i));
    let begins = |at: usize| {
        let sure = (0..at)
            .rev()
            .take_while(|i| parts(*i) || AGAIN.contains(&low(*i)))
            .any(|i| low(i) != "," && low(i) != "and" && low(i) != "&");
        let next = all.get(at).filter(|t| t.sort == Sort::Word);
        // `…, grind` at the end says how.
        let how = at + 1 == all.len() && HOW.contains(&low(at)) && !sure;
        let done = !how
            && !super::gist::states(&all, at)
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
    if !(usize::from(again.is_none()) + 1..=LINES).contains(&starts.len()) {
        return None;
    }
    let mut known = pieces.clone();
    let (mut verb, mut piece): (Option<String>, Option<String>) = (None, None);
    // `cut in 4, grind clean, restack billet` says at its end what is cut.
    let is_piece = |t: &&Token| t.sort == Sort::Word && pieces.contains(text(line, t));
    let named: BTreeSet<&str> = all.iter().filter(is_piece).map(|t| text(line, t)).collect();
    let second = starts.get(1).copied().unwrap_or(all.len());
    if let (1, Some(only), false) =
        (named.len(), named.first(), all.iter().take(second).any(|t| is_piece(&t)))
    {
        piece = Some((*only).to_owned());
    }
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
        let first = own.first()?;
        let named = own.iter().find(|t| t.sort == Sort::Word && known.contains(text(line, t)));
        // `by hand, draw it ...` begins with no step.
        let says = named.is_some() || own.iter().any(|t| t.sort == Sort::Number || doing(&t.low).is_some());
        if nth == 0 && first.sort == Sort::Word && doing(&first.low).is_none() && (!says || first.low == "by")
        {
            return None;
        }
        let on = first.sort == Sort::Number || (nth > 0 && matches!(first.low.as_str(), "to" | "at"));
        let word = if on { None } else { doing(&first.low) };
        if FLIPS.contains(&first.low.as_str()) && is_every_second(words) {
            let (cut, bars) = made.last().and_then(|line| apart(line))?;
            *made.last_mut()? = cut;
            laid = Some(bars);
            continue;
        }
        // `stack blade = blade` says it all.
        if word.is_some_and(|w| w.form == Form::Stack && w.word == first.low) && words.contains('=') {
            piece = own.get(1).map(|t| text(line, t).to_owned());
            known.extend(piece.clone());
            made.push(words.split_whitespace().collect::<Vec<_>>().join(" "));
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
            const NONE: [&str; 46] = [
                "it", "them", "up", "as", "into", "the", "pieces", "all", "from", "what", "comes", "to",
                "and", "again", "a", "four", "back", "together", "on", "top", "of", "each", "other",
                "another", "one", "halves", "thirds", "quarters", "bits", "lengths", "slices", "lot", "high",
                "pile", "parts", "now", "these", "those", "chunks", "bars", "anew", "whole", "clean", "same",
                "loose", "stack",
            ];
            let fits = |t: &&&Token| {
                t.sort == Sort::Word
                    && !NONE.contains(&t.low.as_str())
                    && !vocabulary::is_reserved(&t.low)
                    && text(line, t) != of
            };
            // `restack it as billet` keeps its name; so does what is stacked over and over.
            let same = again.is_some()
                || own.windows(2).any(|w| matches!(w, [a, b] if matches!(a.low.as_str(), "as" | "restack") && text(line, b) == of));
            // What further words work by the name that it had keeps that.
            let behind = own.last().and_then(|t| line.get(t.at.end..)).unwrap_or_default();
            let later = tokens(behind).iter().any(|t| t.sort == Sort::Word && text(behind, t) == of);
            let same = same || later;
            // `as loaf` says what it is called; else a word that says nothing else.
            let named = own.iter().position(|t| matches!(t.low.as_str(), "as" | "called" | "call" | "="));
            let told = named.and_then(|at| own.iter().skip(at + 1).find(fits));
            let name = told.or_else(|| own.iter().skip(1).find(fits)).map_or("restacked", |t| text(line, t));
            let name = if same { of.clone() } else { name.to_owned() };
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
            let rest =
                ["it ", "them ", "that ", "em "].iter().find_map(|it| rest.strip_prefix(it)).unwrap_or(rest);
            let rest = if matches!(rest, "it" | "them" | "em") { "" } else { rest };
            whole = format!("{head} {of} {rest}").trim_end().to_owned();
        }
        let whole = whole.split_whitespace().collect::<Vec<_>>().join(" ");
        let line_of = reads(&whole, &known, piece.as_deref())?;
        // What begins with no verb goes on with the step before it, where both can be said of one.
        let more = made.last().filter(|_| word.is_none()).and_then(|before| {
            let head = before.split(' ').take(2).collect::<Vec<_>>().join(" ");
            let more = line_of.strip_prefix(&head)?.strip_prefix(' ')?;
            let said =
                |clause: &str| before.split([' ', ',']).any(|word| clause.split(' ').next() == Some(word));
            if more.split(", ").any(said) {
                return None;
            }
            let both = format!("{before}, {more}");
            reads(&both, &known, piece.as_deref()).filter(|read| *read == both)
        });
        if let Some(both) = more {
            made.pop();
            made.push(both);
            continue;
        }
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
    // So is `heat it to ..., then quench it`, and `hold it at ..., then weld it`.
    let word = |line: &str| line.split(' ').next().and_then(forge::word);
    let has = |line: &str, clause: &str| line.split([' ', ',']).any(|w| w == clause);
    let soaked = made.windows(2).any(|w| {
        let [a, b] = w else { return false };
        let (Some(first), Some(next)) = (word(a), word(b)) else { return false };
        let quenched = next.fire == forge::Fire::Quench && !has(b, "from");
        soaks(first) && (quenched || next.loose && !has(b, "at") && has(a, "for"))
    });
    if again.is_some() {
        made = welded(made);
    }
    (made.len() > usize::from(again.is_none()) && !twice && !soaked && laid.is_none())
        .then(|| made.join(" ; "))
}

/// Whether a verb lays a piece on itself, so that it lies loose.
fn folds(word: &Word) -> bool {
    word.makes == Makes::Laid && word.clauses().any(|key| key == Key::In)
}

/// Whether a verb only leaves a piece in the fire.
fn soaks(word: &Word) -> bool {
    let takes = |wanted: Key| word.clauses().any(|key| key == wanted);
    word.fire == forge::Fire::Forge
        && !word.moves
        && !word.loose
        && takes(Key::At)
        && !takes(Key::Times)
        && !takes(Key::From)
}

/// Steps that are done over and over, with the weld that each round needs behind its fold or its stack.
fn welded(made: Vec<String>) -> Vec<String> {
    let form = |line: &str| line.split(' ').next().and_then(forge::word);
    let loose = |line: &str| form(line).is_some_and(|word| word.form == Form::Stack || folds(word));
    let mut whole: Vec<String> = Vec::new();
    let mut next = made.into_iter().peekable();
    while let Some(line) = next.next() {
        let piece = line.split(' ').nth(1).map(str::to_owned);
        let open = loose(&line) && next.peek().is_none_or(|next| form(next).is_none_or(|word| !word.loose));
        whole.push(line);
        whole.extend(piece.filter(|_| open).map(|piece| format!("weld {piece}")));
    }
    whole
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
        let word = gerund(&first.low)?;
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
    const DONE: [(&str, &str); 12] = [
        ("reweld", "weld"),
        ("re-weld", "weld"),
        ("redraw", "draw"),
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
    // What is a tool besides is one behind other words.
    let verbs = verbs.filter(|(at, t)| *at == 0 || !vocabulary::is(&t.low, crate::vocabulary::Sort::Tool));
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
            // `ahead 6 mm`: a word that nothing knows says what the figure is of.
            let odd = |t: &Token| t.sort == Sort::Word && !vocabulary::is_word(&t.low) && !weighs(&t.low);
            if at.checked_sub(1).and_then(|i| rest.get(i)).is_some_and(odd) {
                return None;
            }
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
