//! A line of a target, or of a shop, of what it speaks of that no form reads: what is measured, whether at least or at most, the figures, and where.

use super::{Figure, MOST, figures};
use crate::forge::ENTRIES;
use crate::language::wording::{Sort, Token, tokens};
use crate::quantity::Kind;

/// What is measured, by the words that say so.
const WHAT: [(&str, &[&str]); 9] = [
    ("spine", &["spine"]),
    ("thickness", &["thickness", "thick", "thin", "thinner", "thicker", "thk"]),
    (
        "width",
        &["width", "wide", "wider", "narrow", "narrower", "breadth", "broad", "broader", "tall", "deep"],
    ),
    ("length", &["length", "long", "longer", "short", "shorter"]),
    ("layers", &["layers", "layer", "sheets"]),
    ("mass", &["mass", "weight", "weigh", "weighs", "weighing", "heavy", "heavier", "light", "lighter"]),
    ("hardness", &["hardness", "hard", "harder", "hrc", "rc", "rockwell", "soft", "softer"]),
    ("bands", &["bands", "band"]),
    ("balance", &["balance", "balances"]),
];
/// Words of the upper end, and of the lower.
const UPPER: [&str; 28] = [
    "max", "maximum", "most", "under", "below", "less", "fewer", "smaller", "lower", "within", "<=", "<",
    "thinner", "narrower", "shorter", "lighter", "softer", "tops", "limit", "ceiling", "down", "shy",
    "inside", "atmost", "cap", "capped", "maximal", "upto",
];
const LOWER: [&str; 21] = [
    "min",
    "minimum",
    "least",
    "over",
    "above",
    "more",
    "greater",
    "larger",
    "bigger",
    "better",
    "upwards",
    ">=",
    ">",
    "thicker",
    "wider",
    "longer",
    "heavier",
    "harder",
    "exceed",
    "exceeds",
    "exceeding",
];
const NOT: [&str; 5] = ["no", "not", "never", "nothing", "cannot"];
const ABOUT: [&str; 12] = [
    "about",
    "around",
    "roughly",
    "approximately",
    "approx",
    "nominal",
    "nominally",
    "exactly",
    "=",
    "must",
    "total",
    "to",
];

/// The line, where `accepts` reads it.
pub fn test(line: &str, accepts: impl Fn(&str) -> bool) -> Option<String> {
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let figures = figures(line, &all, &|_| false);
    let first = figures.first().filter(|_| all.len() <= MOST)?;
    // A word that nothing knows at the head of a line may be what is measured, with a slip in it.
    let begins = all.first().filter(|t| t.sort == Sort::Word).map(|t| t.low.as_str());
    let known = |w: &str| [&UPPER[..], &LOWER[..], &NOT[..], &ABOUT[..]].concat().contains(&w);
    let of_kind = match first.kind.filter(|_| begins.is_none_or(known)) {
        Some(Kind::MASS) => Some("mass"),
        Some(Kind::HARDNESS) => Some("hardness"),
        _ => None,
    };
    let said = |words: &[&str]| all.iter().any(|t| t.sort == Sort::Word && words.contains(&t.low.as_str()));
    let what = WHAT.iter().find(|(_, words)| said(words)).map(|(what, _)| *what).or(of_kind)?;
    let place = |i: usize| matches!(low(i), "at" | "from" | "behind" | "everywhere") && i >= first.at.end;
    let mut wanted = wanted(&all, &figures, low)?;
    if what == "mass" && wanted.starts_with('=') && figures.len() == 1 {
        wanted = wanted.replacen('=', "<=", 1);
    }
    let all_over = ["everywhere", "throughout", "overall", "way", "along", "over", "anywhere"];
    // Where it holds stands behind the figure as it is written, or in words of its own.
    let tail =
        (0..all.len()).find(|i| place(*i)).and_then(|i| line.get(all.get(i)?.at.start..)).map(str::to_owned);
    let over = said(&all_over)
        && (said(&["all", "whole", "entire"]) || said(&["everywhere", "throughout", "anywhere"]));
    let before = ["heel", "tip"].into_iter().find(|end| said(&[end])).map(|end| format!("at {end}"));
    let zones = [tail, over.then(|| "everywhere".to_owned()), before];
    let placed = zones.iter().any(Option::is_some);
    let lines = zones.into_iter().flatten().map(|zone| format!("{what} {wanted} {zone}"));
    // A place that is said is not left out.
    let plain = (!placed).then(|| format!("{what} {wanted}"));
    lines.chain(plain).find(|made| accepts(made))
}

/// What is wanted of the figures.
fn wanted<'t>(all: &'t [Token], figures: &[Figure], low: impl Fn(usize) -> &'t str) -> Option<String> {
    let is = |words: &[&str]| all.iter().position(|t| words.contains(&t.low.as_str()));
    let unit = |f: &Figure| {
        f.text.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"' && c != '%').to_owned()
    };
    if let [a, b] = figures {
        let whole = |f: &Figure, other: &Figure| {
            if f.kind.is_none() { format!("{} {}", f.text, unit(other)) } else { f.text.clone() }
        };
        let between: Vec<&str> = (a.at.end..b.at.start).map(&low).collect();
        let tolerance =
            ["+-", "±", "+", "tolerance", "plus", "give", "within"].iter().any(|w| between.contains(w));
        return Some(if tolerance {
            format!("= {} +- {}", a.text, whole(b, a))
        } else {
            let joins = ["to", "-", "–", "..", "and", "through", "thru", "or"];
            let joined = between.iter().any(|w| joins.contains(w));
            if !joined || is(&NOT).is_some() {
                return None;
            }
            format!("{} .. {}", whole(a, b), b.text)
        });
    }
    // `+2/-2`, in the unit of the size.
    if let [a, more, less] = figures {
        let same = more.kind.is_none() && more.text.trim() == less.text.trim();
        let signs = low(more.at.start.checked_sub(1)?) == "+" && low(less.at.start.checked_sub(1)?) == "-";
        return (same && signs).then(|| format!("= {} +- {} {}", a.text, more.text, unit(a)));
    }
    let [one] = figures else { return None };
    let not = is(&NOT);
    let words =
        |set: &[&str]| is(set).or_else(|| set.contains(&"over").then(|| is(&["plus", "up"])).flatten());
    let (upper, lower) = (is(&UPPER), words(&LOWER));
    // `up to` is the upper end.
    let up_to = (0..all.len()).any(|i| low(i) == "up" && low(i + 1) == "to");
    let sign = match (up_to || upper.is_some(), lower.is_some() && !up_to) {
        (true, false) if not.is_some() => ">=",
        (true, false) => "<=",
        (false, true) if not.is_some() => "<=",
        (false, true) => ">=",
        (false, false) if is(&ABOUT).is_some() || not.is_none() => "=",
        _ => return None,
    };
    Some(format!("{sign} {}", one.text))
}

/// Entries of a shop by other words.
const ENTRIES_SAID: [(&str, &str); 8] = [
    ("saw", "kerf"),
    ("bandsaw", "kerf"),
    ("cut", "kerf"),
    ("oxide", "scale"),
    ("jaws", "tongs"),
    ("hydraulic", "press"),
    ("mallet", "hammer"),
    ("sledge", "hammer"),
];
/// What stands behind the figure of an entry.
const BEHIND: [&str; 4] = ["", " per heat", " per hour", " per min"];

/// An entry of a shop with the one figure that a line has, where `accepts` reads it.
pub fn entry(line: &str, accepts: impl Fn(&str) -> bool) -> Option<String> {
    let all = tokens(line);
    let figures = figures(line, &all, &|_| false);
    let [figure] = figures.as_slice() else { return None };
    let words = || all.iter().filter(|t| t.sort == Sort::Word).map(|t| t.low.as_str());
    let own = words().filter_map(|low| ENTRIES.iter().find(|e| e.word == low).map(|e| e.word));
    let said =
        words().filter_map(|low| ENTRIES_SAID.iter().find(|(word, _)| *word == low).map(|(_, entry)| *entry));
    let per = |behind: &&&str| {
        behind.split(' ').next_back().is_some_and(|unit| unit.is_empty() || words().any(|w| w == unit))
    };
    let lines = own.chain(said).flat_map(|word| {
        BEHIND.iter().rev().filter(per).map(move |behind| format!("{word} {}{behind}", figure.text))
    });
    lines.take(MOST).find(|made| accepts(made))
}
