//! A line of a target, or of a shop, of what it speaks of that no form reads: what is measured, whether at least or at most, the figures, and where.

use std::collections::BTreeSet;

use super::{Figure, MOST, figures};
use crate::forge::ENTRIES;
use crate::language::vocabulary;
use crate::language::wording::{Sort, Token, kind_of, tokens};
use crate::quantity::Kind;
use crate::vocabulary::Term;

/// The thickness at the edge of a blade.
const AT_EDGE: &str = "edge";

/// Places of a section, and the ends of a blade.
const SPOTS: [&str; 4] = [AT_EDGE, "surface", "middle", "spine"];
const ENDS: [&str; 2] = ["heel", "tip"];

/// What is measured, by the words that say so.
const WHAT: [(&str, &[&str]); 12] = [
    ("hardness", &["hardness", "hard", "harder", "hrc", "rc", "rockwell", "soft", "softer"]),
    (AT_EDGE, &["edge"]),
    ("spine", &["spine"]),
    ("thickness", &["thickness", "thick", "thin", "thinner", "thicker", "thk", "taper", "tapers", "distal"]),
    (
        "width",
        &["width", "wide", "wider", "narrow", "narrower", "breadth", "broad", "broader", "tall", "deep"],
    ),
    ("length", &["length", "long", "longer", "short", "shorter", "oal", "overall"]),
    ("layers", &["layers", "layer", "sheets"]),
    ("mass", &["mass", "weight", "weigh", "weighs", "weighing", "heavy", "heavier", "light", "lighter"]),
    ("bands", &["bands", "band"]),
    ("balance", &["balance", "balances"]),
    ("hours", &["hours", "takes", "take", "time"]),
    ("cost", &["cost", "costs", "price", "priced"]),
];
/// Words of the upper end, and of the lower.
const UPPER: [&str; 29] = [
    "max", "maximum", "most", "under", "below", "less", "fewer", "smaller", "lower", "within", "<=", "<",
    "=<", "thinner", "narrower", "shorter", "lighter", "softer", "tops", "limit", "ceiling", "down", "shy",
    "inside", "atmost", "cap", "capped", "maximal", "upto",
];
const LOWER: [&str; 22] = [
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
    "=>",
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
const NOT: [&str; 15] = [
    "no", "not", "never", "nowhere", "nothing", "cannot", "mustnt", "mustn", "shouldnt", "shouldn", "cant",
    "dont", "don", "wont", "isnt",
];
/// Parts that are said in words: where one is left, a figure was not read whole.
const PARTS: [&str; 12] = [
    "half",
    "third",
    "thirds",
    "quarter",
    "quarters",
    "eighth",
    "eighths",
    "sixteenth",
    "sixteenths",
    "tenth",
    "tenths",
    "point",
];
const JUST: [&str; 5] = ["exactly", "=", "must", "total", "to"];

/// What says that a figure is not meant to the hair.
const NEARLY: [&str; 12] = [
    "about",
    "around",
    "roughly",
    "approximately",
    "approx",
    "approx.",
    "nominal",
    "nominally",
    "circa",
    "ca",
    "~",
    "thereabouts",
];

/// What a figure may be off that is said to be about so, as it is written (project figures: what a careful shop holds to by hand, a tenth
/// of a count, and two HRC, which no shop tells apart).
fn room(figure: &Figure, what: &str) -> Option<String> {
    let text = figure.text.as_str();
    let number = text.trim_end_matches(|c: char| !c.is_ascii_digit());
    match (figure.kind, what) {
        (None, "layers" | "bands") => {
            let count = number.parse::<f64>().ok()?;
            Some(format!("{}", (count / 10.0).round().max(1.0)))
        }
        (Some(Kind::HARDNESS), _) => Some("2 HRC".to_owned()),
        (Some(Kind::LENGTH), _) => {
            let mm = super::bars::worth(text)?;
            let inches =
                super::is_of_an_inch(text) || ["in", "\"", "”", "ft", "'"].iter().any(|u| text.ends_with(u));
            let room = match (inches, mm) {
                (true, ..25.4) => "1/32 in",
                (true, ..102.0) => "1/16 in",
                (true, _) => "1/8 in",
                (false, ..20.0) => "0.5 mm",
                (false, ..100.0) => "1 mm",
                (false, _) => "3 mm",
            };
            Some(room.to_owned())
        }
        (Some(Kind::MASS), _) => {
            let unit = text.get(number.len()..)?.trim();
            let share = |mass: f64| crate::quantity::trim_number(mass / 20.0, 3);
            match number.trim().parse::<f64>() {
                Ok(mass) => (mass > 0.0).then(|| format!("{} {unit}", share(mass))),
                // `1 lb 8 oz`, `1 1/2 lb`: what goes up or down from there is told in ounces.
                Err(_) => {
                    let worth = super::bars::worth;
                    let both = || {
                        let (pounds, ounces) = text.split_once("lb")?;
                        Some(worth(&format!("{pounds}lb"))? + worth(ounces.trim())?)
                    };
                    let ounces = worth(text).or_else(both)? / worth("1 oz")?;
                    Some(format!("{} oz", share(ounces)))
                }
            }
        }
        _ => None,
    }
}

/// The line, where `accepts` reads it; `is_part` says of a name whether it may be of a part of the piece.
pub fn test(
    line: &str,
    unit: Option<&str>,
    is_part: impl Fn(&str) -> bool,
    accepts: impl Fn(&str) -> bool,
) -> Option<String> {
    let mut all = tokens(line);
    // `HRC 58 min` asks for no minutes, `takes 8 h` for nothing else.
    let timed = all.iter().any(|t| matches!(t.low.as_str(), "hours" | "takes" | "time"));
    for token in
        all.iter_mut().filter(|t| !timed && t.sort == Sort::Unit && matches!(t.low.as_str(), "min" | "min."))
    {
        token.sort = Sort::Word;
    }
    let mut figures = figures(line, &all, &|_| false, &|_| false);
    if all.len() > MOST {
        return None;
    }
    figures.first()?;
    let of = part(line, &all, is_part);
    // `the lower jacket` is called so, and no limit.
    for token in all.iter_mut().filter(|t| of.as_deref() == line.get(t.at.clone())) {
        token.low.clear();
    }
    let all = all;
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    // `give or take an eighth` is not left out.
    let loose = all.iter().any(|t| matches!(t.low.as_str(), "+-" | "±" | "minus" | "give"));
    let numbers = all.iter().filter(|t| t.sort == Sort::Number).count();
    if loose && numbers < 2 || all.iter().any(|t| PARTS.contains(&t.low.as_str())) {
        return None;
    }
    let far_place = place_of(line, &all, &mut figures);
    // A word that nothing knows at the head of a line may be what is measured, with a slip in it.
    let begins = all.first().filter(|t| t.sort == Sort::Word).map(|t| t.low.as_str());
    let known = |w: &str| [&UPPER[..], &LOWER[..], &NOT[..], &NEARLY[..], &JUST[..]].concat().contains(&w);
    let kind = figures.iter().find_map(|f| f.kind);
    let of_kind = match kind.filter(|_| begins.is_none_or(known)) {
        Some(Kind::MASS) => Some("mass"),
        Some(Kind::HARDNESS) => Some("hardness"),
        _ => None,
    };
    let said = |words: &[&str]| all.iter().any(|t| t.sort == Sort::Word && words.contains(&t.low.as_str()));
    // Of a part the first word says what is measured; what is in HRC is hard, whatever else is said.
    let first_says = || WHAT.iter().find(|(_, words)| begins.is_some_and(|w| words.contains(&w)));
    let says = || WHAT.iter().find(|(_, words)| said(words));
    let what = if of.is_some() { first_says().or_else(says) } else { says() };
    // `bright at least 30 %`.
    let shared = begins.filter(|_| kind == Some(Kind::RATIO) && what.is_none()).and_then(|_| {
        let named = all.first().filter(|t| !known(&t.low))?;
        line.get(named.at.clone())
    });
    let of = of.or(shared.map(str::to_owned));
    let of_kind = of_kind.or(shared.map(|_| "share"));
    let what = what.map(|(what, _)| *what).or(of_kind).or_else(|| by_size(&all, &figures))?;
    let what = if kind == Some(Kind::HARDNESS) { "hardness" } else { what };
    let spot = SPOTS.into_iter().find(|spot| said(&[spot]));
    let (what, of) = match (what, spot) {
        ("hardness", Some(spot)) => (what, format!(" of {spot}")),
        _ => (what, of.map_or(String::new(), |part| format!(" of {part}"))),
    };
    // Nobody asks for an edge so thick: its length is meant.
    let far = figures
        .iter()
        .any(|f| super::bars::worth(&f.text).is_some_and(|mm| mm > 20.0) && f.kind == Some(Kind::LENGTH));
    let what = if far && what == AT_EDGE { "length" } else { what };
    // `600 g plus or minus 50` goes on with what stands before it.
    let off =
        said(&["plus", "minus"]) || all.iter().any(|t| matches!(t.low.as_str(), "+-" | "±" | "+" | "-"));
    in_its_unit(&mut figures, what, unit.filter(|_| what != "mass" || !off));
    for figure in figures.iter_mut().filter(|_| what == "cost") {
        let sign = figure.at.start.checked_sub(1).map(low).filter(|s| matches!(*s, "$" | "€" | "£"));
        figure.text.insert_str(0, sign.unwrap_or_default());
    }
    // No place along the bar is called so.
    if what != "hardness" && said(&["mid", "middle", "midway", "halfway"]) {
        return None;
    }
    let first = figures.first()?;
    let place = |i: usize| matches!(low(i), "at" | "from" | "behind" | "everywhere") && i >= first.at.end;
    let mut wanted = wanted(&all, &figures, low)?;
    // `250 mm or so`.
    let or_so = || (0..all.len()).any(|i| low(i) == "or" && low(i + 1) == "so");
    let is_near = all.iter().any(|t| NEARLY.contains(&t.low.as_str())) || or_so();
    let nearly = figures.len() == 1 && wanted.starts_with('=') && is_near;
    if let Some(room) = nearly.then(|| room(first, what)).flatten() {
        wanted = format!("{wanted} +- {room}");
    } else if what == "mass" && wanted.starts_with('=') && figures.len() == 1 && !loose {
        wanted = wanted.replacen('=', "<=", 1);
    }
    let all_over = ["everywhere", "throughout", "overall", "way", "along", "over", "anywhere", "nowhere"];
    // Where it holds stands behind the figure as it is written, or in words of its own.
    let tail = (0..all.len())
        .find(|i| place(*i))
        .filter(|_| what != "hardness" || of.is_empty())
        // `1/4 thick at spine` says what is measured.
        .filter(|i| low(*i) != "at" || all.get(i + 1).is_none_or(|t| t.low != what) || i + 2 < all.len())
        .and_then(|i| line.get(all.get(i)?.at.start..))
        .map(str::to_owned);
    // `everwhere`.
    let slipped = all.iter().any(|t| {
        t.sort == Sort::Word && t.low.len() > 7 && strsim::damerau_levenshtein(&t.low, "everywhere") == 1
    });
    // `not over 35 %` limits.
    let limits = |i: usize| low(i) == "over" && all.get(i + 1).is_some_and(|t| t.sort == Sort::Number);
    let far_over = (0..all.len()).any(|i| all_over.contains(&low(i)) && !limits(i));
    let over = slipped
        || far_over
            && (said(&["all", "whole", "entire"])
                || said(&["everywhere", "throughout", "anywhere", "nowhere"]));
    let before = ENDS.into_iter().find(|end| said(&[end])).map(|end| format!("at {end}"));
    // Where a blade balances is told from its heel.
    if what == "balance" && before.as_deref() != Some("at tip") {
        return Some(format!("balance {wanted}")).filter(|made| accepts(made));
    }
    let zones = [far_place, tail, over.then(|| "everywhere".to_owned()), before];
    let placed = zones.iter().any(Option::is_some);
    let lines = zones.into_iter().flatten().map(|zone| format!("{what}{of} {wanted} {zone}"));
    // A place that is said is not left out.
    let plain = (!placed).then(|| format!("{what}{of} {wanted}"));
    lines.chain(plain).find(|made| accepts(made))
}

/// The place along a blade that the last of two figures says, `5 mm 25 mm from heel`: it is none of those asked for.
fn place_of(line: &str, all: &[Token], figures: &mut Vec<Figure>) -> Option<String> {
    let [_, far] = figures.as_slice() else { return None };
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let end = [1, 2].into_iter().map(|n| low(far.at.end + n)).find(|word| ENDS.contains(word))?;
    let from = matches!(low(far.at.end), "from" | "off" | "behind" | "ahead" | "before");
    let own = line.get(all.get(far.at.start)?.at.start..all.get(far.at.end.checked_sub(1)?)?.at.end)?;
    let joined =
        far.at.start.checked_sub(1).is_some_and(|i| matches!(low(i), "to" | "-" | ".." | "and" | "+-"));
    let place =
        (from && !joined && far.kind == Some(Kind::LENGTH)).then(|| format!("at {own} from {end}"))?;
    figures.pop();
    Some(place)
}

/// What is measured, as a line begins with it.
const NOUNS: [&str; 18] = [
    "width",
    "thickness",
    "length",
    "hardness",
    "layers",
    "layer",
    "mass",
    "weight",
    "bands",
    "balance",
    "spine",
    "edge",
    "hrc",
    "rc",
    "cost",
    "hours",
    "oal",
    "overall",
];
/// Words that a line asks for something with.
const ASKS: [&str; 14] = [
    "want", "wants", "wanted", "need", "needs", "spec", "specs", "goal", "aim", "target", "require",
    "requires", "finished", "final",
];
/// Words by which a line among the steps is known to ask for something.
const MUST: [&str; 8] = ["should", "must", "shall", "ought", "between", "tolerance", "be", "wants"];

/// What a line among the steps asks of a piece, and the name of that, where it does ask: at `first` only where it begins with what is measured,
/// or with a word such as `want`.
pub fn of_a_target(line: &str, pieces: &BTreeSet<String>, first: bool) -> Option<(Option<String>, String)> {
    let all = tokens(line);
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let is_piece = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Word) && pieces.contains(own(i));
    let mut named: Vec<usize> = (0..all.len()).filter(|i| is_piece(*i)).collect();
    // `thickness of core in blade` is of a part.
    if named.len() > 1 {
        named.retain(|i| low(i.wrapping_sub(1)) != "of");
    }
    if named.len() > 1 || !all.iter().any(|t| t.sort == Sort::Number) {
        return None;
    }
    let asks = (0..all.len().min(3)).any(|i| ASKS.contains(&low(i)));
    let what = |low: &str| WHAT.iter().any(|(_, words)| words.contains(&low));
    let hard = (0..all.len())
        .any(|i| kind_of(&all, i) == Some(Kind::HARDNESS) || matches!(low(i), "hrc" | "rc" | "rockwell"));
    let begins = low((0..all.len()).find(|i| !is_piece(*i) && !ASKS.contains(&low(*i)))?);
    let verb = crate::forge::word(begins).is_some() || crate::forge::usual(begins).is_some();
    let known = (NOUNS.contains(&begins) || what(begins) && is_piece(0)) && (!verb || hard);
    let demands = all.iter().any(|t| {
        let low = t.low.as_str();
        MUST.contains(&low) || UPPER.contains(&low) || LOWER.contains(&low) || NOT.contains(&low)
    });
    let begun = asks || known && (!is_piece(0) || demands);
    let meant = demands && (!verb || is_piece(0));
    if !begun && (first || !meant) {
        return None;
    }
    // The words that say what it is of, and that it is asked, are none of the test's.
    let mut skip: BTreeSet<usize> = (0..all.len().min(3)).filter(|i| ASKS.contains(&low(*i))).collect();
    for at in &named {
        skip.insert(*at);
        skip.extend(at.checked_sub(1).filter(|i| matches!(low(*i), "of" | "in" | "for" | "on")));
        skip.extend([at + 1].into_iter().filter(|i| low(*i) == ":"));
    }
    let (mut made, mut end) = (String::new(), 0);
    for (_, token) in all.iter().enumerate().filter(|(i, _)| !skip.contains(i)) {
        if token.at.start > end && !made.is_empty() {
            made.push(' ');
        }
        made += line.get(token.at.clone()).unwrap_or_default();
        end = token.at.end;
    }
    let made = made.trim_start_matches([':', ' ']).to_owned();
    Some((named.first().map(|at| own(*at).to_owned()), made))
}

/// Whether words say what is measured.
pub fn is_measured(words: &str) -> bool {
    tokens(words).iter().any(|t| WHAT.iter().any(|(_, said)| said.contains(&t.low.as_str())))
}

/// Whether a line among the steps speaks of a machine, or of what the fire and the saw take.
pub fn is_of_a_shop(line: &str) -> bool {
    let all = tokens(line);
    let said = |words: &[&str]| all.iter().any(|t| t.sort == Sort::Word && words.contains(&t.low.as_str()));
    let kind = |of: Kind| (0..all.len()).any(|i| kind_of(&all, i) == Some(of));
    let tons =
        all.iter().any(|t| matches!(t.low.as_str(), "ton" | "tons" | "tonne" | "tonnes" | "tonf" | "t"));
    let each = said(&["per", "every", "each", "a", "and"]);
    let small = || {
        (0..all.len()).any(|i| {
            all.get(i).is_some_and(|t| t.sort == Sort::Number && t.low.parse::<f64>().is_ok_and(|v| v < 1.0))
        })
    };
    let money = line.contains(['$', '€', '£']);
    let fuel = FUELS.iter().any(|(fuel, _)| said(&[fuel]));
    (said(&["press"]) && (tons || kind(Kind::FORCE)))
        || (said(&["hammer", "powerhammer"]) && kind(Kind::MASS))
        || (said(&FIRES) && fuel && !said(&["weld", "draw"]))
        || said(&["kerf"])
        || (said(&["saw", "bandsaw"])
            && said(&["takes", "eats", "loses", "cut"])
            && !said(&["into", "off", "half"]))
        || (said(&["scale", "firescale", "oxide"])
            && each
            && said(&["heat"])
            && (kind(Kind::LENGTH) || kind(Kind::RATIO) || small()))
        || (said(&["labour", "labor", "hourly", "propane", "cost", "costs", "charge", "price", "runs"])
            && money)
}

/// Whether a line gives a bare figure and a place of a section, and nothing that is measured.
pub fn is_of_a_spot(line: &str) -> bool {
    let all = tokens(line);
    let bare = all.iter().all(|t| t.sort != Sort::Unit) && all.iter().any(|t| t.sort == Sort::Number);
    let words = || all.iter().filter(|t| t.sort == Sort::Word).map(|t| t.low.as_str());
    bare && words().any(|w| SPOTS.contains(&w))
        && words().all(|w| SPOTS.contains(&w) || matches!(w, "at" | "the" | "in" | "on" | "of" | "to"))
}

/// Whether a line gives a figure and an end of a blade, and nothing that is measured.
pub fn is_of_an_end(line: &str) -> bool {
    let all = tokens(line);
    let words = || all.iter().filter(|t| t.sort == Sort::Word).map(|t| t.low.as_str());
    let end = |w: &str| ENDS.contains(&w);
    all.first().is_some_and(|t| t.sort == Sort::Number)
        && words().any(end)
        && words().all(|w| end(w) || matches!(w, "at" | "the" | "end" | "in" | "on"))
}

/// The part of a piece that a line speaks of, `thickness of core` or `core 1 mm thick`; ends, faces and the piece itself are none.
fn part(line: &str, all: &[Token], is_part: impl Fn(&str) -> bool) -> Option<String> {
    const NONE: [&str; 16] = [
        "edge", "surface", "middle", "spine", "heel", "tip", "blade", "bar", "billet", "it", "steel", "the",
        "whole", "length", "point", "all",
    ];
    let own = |t: &Token| line.get(t.at.clone()).unwrap_or_default();
    let behind_of = || all.get(all.iter().position(|t| t.low == "of")? + 1);
    let named = || all.iter().find(|t| is_part(own(t)));
    let name = behind_of().filter(|t| is_part(own(t))).or_else(named).or_else(behind_of)?;
    let name = Some(name).filter(|t| t.sort == Sort::Word && !NONE.contains(&t.low.as_str()))?;
    let measured = WHAT.iter().any(|(_, words)| words.contains(&name.low.as_str()));
    Some(own(name)).filter(|_| !measured).map(str::to_owned)
}

/// What a length can only be of where no word says it: of a blade in whole, or of an end of it (project figures).
fn by_size(all: &[Token], figures: &[Figure]) -> Option<&'static str> {
    let [figure] = figures else { return None };
    let mm = super::bars::worth(&figure.text).filter(|_| figure.kind == Some(Kind::LENGTH))?;
    let said = |words: &[&str]| all.iter().any(|t| words.contains(&t.low.as_str()));
    if said(&["heel", "tip", "ricasso"]) {
        return Some(if mm > 20.0 { "width" } else { "thickness" });
    }
    // `10 inches` by itself.
    let limit = |low: &str| {
        [&UPPER[..], &LOWER[..], &NOT[..], &NEARLY[..], &JUST[..]].concat().contains(&low)
            || matches!(low, "than" | "at")
    };
    let lone = all.iter().all(|t| t.sort != Sort::Word || limit(&t.low)) && mm >= 150.0;
    (lone || said(&["blade", "knife", "overall", "total"]) && mm >= 100.0).then_some("length")
}

/// Gives the last figure that lacks it the unit of what is measured: of a length the recipe's, but for parts of an inch; of a mass the one that
/// a blade of so many is weighed in (project figures).
fn in_its_unit(figures: &mut [Figure], what: &str, unit: Option<&str>) {
    let length = ["thickness", "width", "length", "spine", "edge", "balance"].contains(&what);
    let bare = figures.iter().all(|f| f.kind.is_none());
    let part = figures.iter().any(|f| super::is_of_an_inch(&f.text));
    let unit = match what {
        "hardness" => Some("HRC"),
        _ if length && part => Some("in"),
        _ if length => unit,
        "mass" => {
            let most = figures.iter().filter_map(|f| f.text.parse::<f64>().ok()).fold(0.0, f64::max);
            match unit {
                None => None,
                Some("in") if most < 16.0 => Some("lb"),
                Some("in") => Some("oz"),
                Some(_) if most < 20.0 => Some("kg"),
                Some(_) => Some("g"),
            }
        }
        _ => None,
    };
    if let Some(unit) = unit.filter(|_| bare) {
        for figure in figures {
            figure.text = super::in_unit(&figure.text, unit);
            figure.kind = Some(match what {
                "hardness" => Kind::HARDNESS,
                "mass" => Kind::MASS,
                _ => Kind::LENGTH,
            });
        }
    }
}

/// What is wanted of the figures.
fn wanted<'t>(all: &'t [Token], figures: &[Figure], low: impl Fn(usize) -> &'t str) -> Option<String> {
    let is = |words: &[&str]| all.iter().position(|t| words.contains(&t.low.as_str()));
    let unit = |f: &Figure| {
        let unit = f.text.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"' && c != '%');
        if matches!(unit, "\"" | "”") { "in".to_owned() } else { unit.to_owned() }
    };
    if let [a, b] = figures {
        let whole = |f: &Figure, other: &Figure| {
            // A part of an inch is no part of a millimetre.
            let unit = if super::is_of_an_inch(&f.text) { "in".to_owned() } else { unit(other) };
            let text = if f.kind.is_none() { format!("{} {unit}", f.text) } else { f.text.clone() };
            text.trim_end().to_owned()
        };
        let between: Vec<&str> = (a.at.end..b.at.start).map(&low).collect();
        let tolerance =
            ["+-", "±", "+", "tolerance", "plus", "give", "within"].iter().any(|w| between.contains(w));
        return Some(if tolerance {
            format!("= {} +- {}", a.text, whole(b, a))
        } else {
            let joins = ["to", "-", "–", "..", "and", "through", "thru", "or"];
            // `min 50, max 100`.
            let ends = is(&UPPER).zip(is(&LOWER)).is_some();
            let joined = ends || between.iter().any(|w| joins.contains(w));
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
    // `30+ layers`.
    let and_more = || Some(one.at.end).filter(|at| low(*at) == "+");
    let (upper, lower) = (is(&UPPER), words(&LOWER).or_else(and_more));
    // `up to` is the upper end.
    let up_to = (0..all.len()).any(|i| low(i) == "up" && low(i + 1) == "to");
    let sign = match (up_to || upper.is_some(), lower.is_some() && !up_to) {
        (true, false) if not.is_some() => ">=",
        (true, false) => "<=",
        (false, true) if not.is_some() => "<=",
        (false, true) => ">=",
        (false, false) if is(&NEARLY).or(is(&JUST)).is_some() || not.is_none() => "=",
        _ => return None,
    };
    Some(format!("{sign} {}", one.text))
}

/// Entries of a shop by other words.
const ENTRIES_SAID: [(&str, &str); 10] = [
    ("lose", "scale"),
    ("loses", "scale"),
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

/// Fuels, by what smiths burn.
const FUELS: [(&str, &str); 10] = [
    ("gas", "gas"),
    ("propane", "gas"),
    ("lpg", "gas"),
    ("coal", "coal"),
    ("coke", "coke"),
    ("charcoal", "charcoal"),
    ("electric", "electric"),
    ("induction", "electric"),
    ("kiln", "electric"),
    ("butane", "gas"),
];
/// What a fire is called.
const FIRES: [&str; 6] = ["forge", "fire", "furnace", "hearth", "burner", "kiln"];

/// Whether words belong to the entry before the comma: they begin with no entry of their own.
pub fn goes_on(part: &str) -> bool {
    let all = tokens(part);
    let said = |word: &str| {
        ENTRIES.iter().any(|e| e.word.split(' ').next() == Some(word))
            || ENTRIES_SAID.iter().any(|(said, _)| *said == word)
            || FIRES.contains(&word)
            || matches!(word, "lose" | "loses" | "labor" | "labour")
    };
    !all.iter().any(|t| t.sort == Sort::Word && said(&t.low))
}

/// A fire, a press or a hammer of what a line says of it.
fn machine(line: &str, all: &[Token], figures: &[Figure], unit: Option<&str>) -> Option<String> {
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let said = |words: &[&str]| all.iter().any(|t| t.sort == Sort::Word && words.contains(&t.low.as_str()));
    let fuel = FUELS.iter().find(|(word, _)| said(&[word])).map(|(_, fuel)| *fuel);
    // `gas, 2350 F`.
    let lone = fuel.is_some() && all.len() == 1
        || fuel.is_some()
            && all.len() <= 4
            && figures.iter().all(|f| f.kind == Some(Kind::TEMPERATURE))
            && !figures.is_empty();
    if said(&FIRES) || lone {
        let heat = match figures {
            [] => String::new(),
            [one] if one.kind == Some(Kind::TEMPERATURE) => format!(", {}", one.text),
            [one] if one.kind.is_none() => {
                let value = one.text.parse::<f64>().ok().filter(|v| (600.0..3000.0).contains(v))?;
                // No forge is hotter than 1500 C (common practice).
                format!(", {} {}", one.text, if value > 1500.0 { "F" } else { "C" })
            }
            _ => return None,
        };
        let burns = [("oxidising", "oxidizing"), ("reducing", "rich"), ("neutral", "balanced")];
        let burns = burns
            .into_iter()
            .find(|(own, other)| said(&[own, other]))
            .map_or(String::new(), |(own, _)| format!(", {own}"));
        let made = format!("forge {}{burns}{heat}", fuel.unwrap_or_default()).replace(" ,", "");
        return (made.len() > 6).then_some(made);
    }
    let length = |f: &Figure| match f.kind {
        Some(kind) => (kind == Kind::LENGTH).then(|| f.text.clone()),
        None if super::is_of_an_inch(&f.text) => Some(format!("{} in", f.text)),
        None => unit
            .filter(|_| f.text.parse::<f64>().is_ok_and(|v| v < 300.0))
            .map(|unit| format!("{} {unit}", f.text)),
    };
    let per_minute = |f: &Figure| {
        let strokes = |i: usize| matches!(low(i), "strokes" | "blows" | "bpm" | "spm" | "hits" | "beats");
        (f.kind.is_none() && (strokes(f.at.end) || low(f.at.end) == "per")).then(|| f.text.clone())
    };
    let mut rest: Vec<&Figure> = figures.iter().collect();
    let mut take = |is: &dyn Fn(&Figure) -> Option<String>| {
        let nth = rest.iter().position(|f| is(f).is_some())?;
        is(rest.remove(nth))
    };
    let rate = take(&per_minute).map(|n| format!(", {n} BLOWS per min"));
    // `20 strokes a minute`.
    let _ = rate.as_ref().and_then(|_| take(&|f| (f.kind == Some(Kind::TIME)).then(String::new)));
    let made = if said(&["press"]) {
        let force = take(&|f| {
            let tons =
                |word: &str| matches!(word.trim_end_matches('.'), "ton" | "tons" | "tonne" | "tonnes" | "t");
            let tons = tons(low(f.at.end))
                || f.text.rsplit(|c: char| c.is_whitespace() || c.is_ascii_digit()).next().is_some_and(tons);
            match f.kind {
                Some(Kind::FORCE) if !tons => Some(f.text.clone()),
                _ if tons => Some(format!(
                    "{} {}",
                    f.text.trim_end_matches(|c: char| !c.is_ascii_digit()),
                    if unit == Some("in") { "US tonf" } else { "tonf" }
                )),
                _ => None,
            }
        })?;
        let die = take(&length).map(|die| format!(", flat die {die}"));
        format!(
            "press {force}{}{}",
            die.unwrap_or_default(),
            rate.unwrap_or_default().replace("BLOWS", "strokes")
        )
    } else if said(&["hammer", "powerhammer"]) {
        let mass = take(&|f| (f.kind == Some(Kind::MASS)).then(|| f.text.clone()))?;
        let driven = said(&[
            "power",
            "air",
            "little",
            "trip",
            "mechanical",
            "pneumatic",
            "helve",
            "big",
            "powerhammer",
            "spring",
        ]);
        // No arm swings more than some 5 kg (common practice).
        let driven = driven || super::bars::worth(&mass).is_some_and(|g| g > 6000.0);
        let faced = all.iter().any(|t| t.low == "face");
        let part = if driven && !faced { "flat die" } else { "face" };
        let face = take(&length).map(|face| format!(", {part} {face}"));
        let head = if driven { "power hammer" } else { "hammer" };
        format!(
            "{head} {mass}{}{}",
            face.unwrap_or_default(),
            rate.unwrap_or_default().replace("BLOWS", "blows")
        )
    } else {
        return None;
    };
    rest.is_empty().then_some(made).filter(|_| !line.is_empty())
}

/// `16T` as `16 T`.
fn tons_apart(line: &str) -> String {
    let mut made = line.to_owned();
    for token in tokens(line).into_iter().rev().filter(|t| t.sort == Sort::Word) {
        if let Some(number) =
            token.low.strip_suffix('t').filter(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
        {
            made.insert(token.at.start + number.len(), ' ');
        }
    }
    made
}

/// An entry of a shop of what a line speaks of: a machine, or one with the one figure that it has, where `accepts` reads it.
pub fn entry(line: &str, unit: Option<&str>, accepts: impl Fn(&str) -> bool) -> Option<String> {
    let line = &tons_apart(line);
    let all = tokens(line);
    // A figure that hangs on a word is a figure.
    if all.iter().any(|t| t.sort == Sort::Word && t.low.starts_with(|c: char| c.is_ascii_digit())) {
        return None;
    }
    let figures = figures(line, &all, &|_| false, &|_| false);
    if let Some(made) = machine(line, &all, &figures, unit).filter(|made| accepts(made)) {
        return Some(made);
    }
    let [figure] = figures.as_slice() else { return None };
    let words = || all.iter().filter(|t| t.sort == Sort::Word).map(|t| t.low.as_str());
    if words().any(|w| PARTS.contains(&w)) {
        return None;
    }
    // What a line says of a fire is not left out.
    if words().any(|w| FUELS.iter().any(|(fuel, _)| *fuel == w)) && !words().any(|w| w == "price") {
        return None;
    }
    // The die of a press is none of its force.
    let loads = |form: &str| {
        let all = tokens(form);
        let kind = (0..all.len()).find_map(|i| kind_of(&all, i));
        matches!(kind, Some(Kind::FORCE | Kind::MASS)) && figure.kind == Some(Kind::LENGTH)
    };
    let own = |low: &str| ENTRIES.iter().find(|e| e.word == low).filter(|e| !loads(e.form));
    let own = words().filter_map(|low| own(low).map(|e| e.word));
    let said =
        words().filter_map(|low| ENTRIES_SAID.iter().find(|(word, _)| *word == low).map(|(_, entry)| *entry));
    // What is lost in thickness is lost on both faces.
    let halved = words().any(|w| w == "thickness").then(|| half(&figure.text)).flatten();
    let text = halved.as_deref().unwrap_or(&figure.text);
    let bare =
        (figure.kind.is_none()).then(|| if super::is_of_an_inch(text) { Some("in") } else { unit }).flatten();
    let texts = [Some(text.to_owned()), bare.map(|unit| format!("{text} {unit}"))];
    let per = |behind: &&&str| {
        behind.split(' ').next_back().is_some_and(|unit| unit.is_empty() || words().any(|w| w == unit))
    };
    let mut lines = own.chain(said).flat_map(|word| {
        let texts = texts.clone();
        BEHIND.iter().rev().filter(per).flat_map(move |behind| {
            texts.clone().into_iter().rev().flatten().map(move |text| format!("{word} {text}{behind}"))
        })
    });
    lines.by_ref().take(MOST).find(|made| accepts(made))
}

/// The form of the test that a line of a target speaks of, a slip in its word or not; nothing where it speaks of none.
pub fn tested(line: &str) -> Option<&'static str> {
    const BESIDES: [(&str, &str); 6] = [
        ("showing", "shows"),
        ("visible", "shows"),
        ("apart", "pitch"),
        ("spaced", "pitch"),
        ("percent", "share"),
        ("point", "balance"),
    ];
    let near =
        |word: &str, low: &str| word == low || (low.len() > 4 && strsim::damerau_levenshtein(word, low) <= 1);
    let form = |what: &str| {
        vocabulary::of(crate::vocabulary::Sort::Test).find(|term| term.word == what).map(|term| term.form)
    };
    tokens(line).iter().filter(|t| matches!(t.sort, Sort::Word | Sort::Unit)).find_map(|t| {
        let said = WHAT.iter().find(|(_, words)| words.iter().any(|word| near(word, &t.low)));
        let besides = || BESIDES.iter().find(|(word, _)| *word == t.low).map(|(_, what)| *what);
        form(&t.low).or_else(|| form(said.map(|(what, _)| *what).or_else(besides)?))
    })
}

/// The entry that a line speaks of, where it begins with none: no figure of it is looked at.
pub fn spoken(line: &str) -> Option<&'static Term> {
    let all = tokens(line);
    let first = |entry: &str, low: &str| entry.split(' ').next() == Some(low);
    all.iter().find_map(|t| {
        let said = ENTRIES_SAID.iter().find(|(word, _)| *word == t.low).map(|(_, entry)| *entry);
        ENTRIES.iter().find(|entry| Some(entry.word) == said || first(entry.word, &t.low))
    })
}

/// Half of a figure with a decimal number.
fn half(figure: &str) -> Option<String> {
    let (number, unit) = figure.split_once(' ')?;
    Some(format!("{} {unit}", crate::quantity::trim_number(number.parse::<f64>().ok()? / 2.0, 4)))
}
