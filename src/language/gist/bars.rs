//! Bars of stock, and stacks of them, of what a line names that no form reads.

use std::collections::BTreeSet;

use super::{Figure, Gisted, MOST, figures, speaks_of};
use crate::forge::{Form, WORDS, Word};
use crate::language::vocabulary;
use crate::language::wording::{Sort, Token, tokens};
use crate::quantity::{Kind, Reading, find_unit, said_unit};
use crate::steel::grades;

/// Bars of stock of what a line names: how many, of which steel, so large.
///
/// What is called what: pieces, and steels.
pub fn stock(
    line: &str,
    unit: Option<&str>,
    (pieces, steels): (&BTreeSet<String>, &BTreeSet<String>),
    accepts: impl Fn(&str) -> bool,
) -> Option<Gisted> {
    let line = &super::across(line.to_owned());
    let all = tokens(line);
    // Another verb's line is none of stock; nor is what is asked of a piece.
    let begins = forge_word(&vocabulary::house_verb(&all.first()?.low));
    let asked = all.iter().any(|t| matches!(t.low.as_str(), ">=" | "<=" | "least" | "sure"));
    if begins.is_some_and(|word| word.form != Form::Stock) || asked {
        return None;
    }
    // What it asks has no figure yet.
    if all.len() > MOST || all.iter().any(|t| matches!(t.low.as_str(), "or" | "?")) {
        return None;
    }
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    // The sizes of a can or a bundle are none of a bar's.
    if (0..all.len()).any(|i| low(i) == "in" && matches!(low(i + 1), "can" | "bundle")) {
        return None;
    }
    // What it is called is the smith's: of a name that cannot be one, that is said.
    if low(2) == "=" && vocabulary::is_reserved(low(1)) {
        return None;
    }
    let sized = |i: usize| {
        // `7 x 1084` is no size.
        let behind_x = i > 0 && low(i - 1) == "x" && own(i).len() < 4;
        let number = all.get(i).is_some_and(|t| t.sort == Sort::Number);
        // `of 1084 in 6 x 40 mm` neither.
        let unit = all.get(i + 1).is_some_and(|t| t.sort == Sort::Unit)
            && !(i > 0 && low(i - 1) == "of" && own(i).len() > 3);
        // `1095 x 6, 1/8 x …` counts its bars.
        let counted = own(i).len() > 3 && low(i + 1) == "x" && matches!(low(i + 3), "," | "@" | "(");
        number && !counted && (unit || low(i + 1) == "x" || behind_x)
    };
    let named = |i: usize| {
        let sort = all.get(i).map(|t| t.sort);
        sort == Some(Sort::Word) || (sort == Some(Sort::Number) && own(i).len() > 2)
    };
    // `15 n 20`, `80 crv2`.
    let apart = |i: usize| {
        let joined = |n: usize| (i..i + n).map(own).collect::<String>();
        let n = [3, 2].into_iter().find(|n| grades::find(&joined(*n)).is_some())?;
        (named(i) || own(i).len() == 2).then(|| (i, joined(n)))
    };
    // `wrought iron` is one steel in two words.
    let of = |i: usize| {
        let two = format!("{}-{}", own(i), own(i + 1));
        let one = if grades::find(&two).is_some() { two } else { own(i).to_owned() };
        (named(i) && !sized(i) && grades::find(&one).is_some()).then_some((i, one))
    };
    // The name of a steel may be that of much else: `of dark`, `5 dark bars`.
    let of_bars = |i: usize| low(i.wrapping_sub(1)) == "of" || matches!(low(i + 1), "bar" | "bars" | "steel");
    let by_name =
        |i: usize| (named(i) && steels.contains(own(i)) && of_bars(i)).then(|| (i, own(i).to_owned()));
    // `d2 = …` is a name there.
    let named = if low(2) == "=" { 3 } else { 0 };
    // A steel that nothing knows is one all the same, where it stands behind `of`.
    let strange = |i: usize| {
        let word = all.get(i).is_some_and(|t| t.sort == Sort::Word) && !vocabulary::is_reserved(low(i));
        let behind = i > 1 && low(i - 1) == "of" && own(i).chars().any(|c| c.is_ascii_digit());
        (word && behind).then(|| (i, own(i).to_owned()))
    };
    let (grade, steel) = (named..all.len())
        .find_map(of)
        .or_else(|| (named..all.len()).find_map(by_name))
        .or_else(|| (named..all.len()).find_map(apart))
        .or_else(|| (named..all.len()).find_map(strange))?;
    let of_grade = |f: &Figure| {
        let end = (grade + 1..grade + 4).find(|end| (grade..*end).map(own).collect::<String>() == steel);
        (grade..end.unwrap_or(grade + 1)).contains(&f.at.start)
    };
    const SHAPES: [(&str, &[&str]); 3] = [
        ("square", &["square", "squares", "sq"]),
        ("round", &["round", "rounds", "rod", "rods", "dia", "diameter"]),
        ("plate", &["plate", "plates", "sheet", "sheets"]),
    ];
    let shape = SHAPES
        .iter()
        .find(|(_, said)| all.iter().any(|t| said.contains(&t.low.as_str())))
        .map_or("bar", |(s, _)| s);
    let speaks = |low: &str| matches!(low, "thick" | "thickness" | "wide" | "width" | "long" | "length");
    let mut figures = figures(line, &all, &speaks, &|_| false);
    figures.retain(|f| !of_grade(f) && !f.at.contains(&grade));
    let wanted = if matches!(shape, "square" | "round") { 2 } else { 3 };
    let bars = |i: usize| {
        matches!(
            low(i),
            "bar"
                | "bars"
                | "piece"
                | "pieces"
                | "bits"
                | "chunks"
                | "slabs"
                | "blanks"
                | "pcs"
                | "pc"
                | "strip"
                | "strips"
                | "length"
                | "lengths"
                | "off"
                | "of"
                | "sheets"
                | "plates"
                | "rounds"
                | "squares"
                | "rods"
                | "sticks"
                | "flats"
                | "ea"
                | "lots"
                | "round"
                | "square"
                | "plate"
                | "rod"
                | "flat"
        )
    };
    let counts = |f: &Figure| {
        f.kind.is_none()
            && !f.text.contains('/')
            && (bars(f.at.end)
                || matches!(low(f.at.start.wrapping_sub(1)), "qty" | "quantity" | "(")
                || f.at.end == grade
                || (low(f.at.start.wrapping_sub(1)) == "=" && low(f.at.end) != "x")
                || (low(f.at.end) == "x" && f.at.end + 1 == grade)
                || (f.at.start == grade + 2 && low(grade + 1) == "x" && low(f.at.end) != "x"))
    };
    let count = match figures.iter().position(counts) {
        Some(nth) => figures.remove(nth).text,
        None if figures.len() == wanted + 1 => {
            let nth = figures.iter().position(|f| {
                f.kind.is_none() && low(f.at.end) != "x" && low(f.at.start.wrapping_sub(1)) != "x"
            })?;
            figures.remove(nth).text
        }
        // `= 2barz of 1084`.
        None => (1..grade)
            .filter(|i| low(i - 1) == "=" && low(i + 1) == "of")
            .map(|i| low(i).trim_end_matches(char::is_alphabetic))
            .find(|count| !count.is_empty() && count.chars().all(|c| c.is_ascii_digit()))
            .unwrap_or("1")
            .to_owned(),
    };
    // `as wide and long as core`: what is not said is said as an example.
    let weight = figures
        .iter()
        .find(|f| f.kind == Some(Kind::MASS) && low(f.at.start.wrapping_sub(1)) != "x")
        .and_then(|f| worth(&f.text));
    // A weight in a row of sizes is none of them, and says no weight.
    if weight.is_none() && figures.iter().any(|f| f.kind == Some(Kind::MASS)) {
        return None;
    }
    figures.retain(|f| f.kind != Some(Kind::MASS));
    let sample = figures.len() < wanted;
    // A name among the sizes is the smith's: of one that nothing sets, that is said.
    let by = |i: usize| low(i) == "x" && all.get(i + 1).is_none_or(|t| t.sort != Sort::Number);
    let named = |i: usize| {
        i > 0 && low(i) == "x" && all.get(i - 1).is_some_and(|t| !matches!(t.sort, Sort::Number | Sort::Unit))
    };
    if sample && (0..all.len()).any(|i| by(i) || named(i)) {
        return None;
    }
    if figures.is_empty() || figures.len() > wanted {
        return None;
    }
    // By what is said of each, else in the order of thick, wide and long.
    let rank = |f: &Figure| {
        let all = || {
            all.get(f.before.clone())
                .unwrap_or_default()
                .iter()
                .rev()
                .take(2)
                .chain(all.get(f.behind.clone()).unwrap_or_default().iter().take(2))
        };
        all()
            .find_map(|t| match t.low.as_str() {
                "thick" | "thickness" | "thk" | "square" | "round" | "dia" | "diameter" | "sq" => Some(0),
                "wide" | "width" | "across" => Some(1),
                "long" | "length" | "lengths" => Some(wanted - 1),
                _ => None,
            })
            .or_else(|| {
                // `40 x 3 mm, cut about 15 cm`.
                let behind = (1..=2).any(|n| f.at.start >= n && CUT.contains(&low(f.at.start - n)));
                (behind && low(f.at.end) != "x").then_some(wanted - 1)
            })
    };
    let mut slots: Vec<Option<Figure>> = (0..wanted).map(|_| None).collect();
    let mut others: Vec<Figure> = Vec::new();
    for figure in figures {
        match rank(&figure).and_then(|rank| slots.get_mut(rank)).filter(|slot| slot.is_none()) {
            Some(slot) => *slot = Some(figure),
            None => others.push(figure),
        }
    }
    // What is offered is thinner than wide, and wider than long only where it is said so: `40 x 4 mm, 15 cm long`.
    // A thou serves its own figure alone, and is of inch country.
    let fine = |text: &str| matches!(text_unit(text).as_str(), "thou" | "mil" | "mils");
    let of_thous = others.iter().any(|f| fine(&f.text));
    let unit = if of_thous { Some("in") } else { unit };
    // A centimetre beside millimetres serves only its own figure: `flat 40x4 mm, 15 cm long`.
    let of_mm = others.iter().any(|f| text_unit(&f.text) == "mm");
    let coarse = |text: &str| of_mm && text_unit(text) == "cm";
    let served = others.iter().rev().filter(|f| f.kind.is_some() && !fine(&f.text) && !coarse(&f.text));
    let serves = served.map(|f| text_unit(&f.text)).next().or(unit.map(str::to_owned));
    let size = |f: &Figure| in_mm(&f.text, serves.as_deref());
    let sorted =
        others.windows(2).all(|w| matches!(w, [a, b] if size(a).zip(size(b)).is_none_or(|(a, b)| a <= b)));
    let swapped = slots.iter().any(Option::is_some) || others.len() == 3;
    if !sorted && swapped {
        others.sort_by(|a, b| size(a).partial_cmp(&size(b)).unwrap_or(std::cmp::Ordering::Equal));
    }
    // `2 kg of 6 x 40 mm`: so long that it weighs so much.
    let mut sample = sample;
    if let (Some(g), [a, b], 3, true) = (weight, others.as_slice(), wanted, slots.iter().all(Option::is_none))
        && let (Some(a), Some(b), Some(grade)) = (size(a), size(b), grades::find(&steel))
    {
        let mm = g / (a * b * grade.density_kg_m3 * 1e-6);
        let text = match unit.or(serves.as_deref()) {
            Some("in") => format!("{} in", (mm / 25.4).ceil()),
            _ => format!("{} mm", mm.ceil()),
        };
        if let Some(last) = slots.last_mut() {
            *last = Some(Figure { text, kind: Some(Kind::LENGTH), at: 0..0, before: 0..0, behind: 0..0 });
            sample = false;
        }
    }
    let mut others = others.into_iter();
    let inches = unit == Some("in");
    let usual = if wanted == 2 {
        [["20 mm", "150 mm", ""], ["3/4 in", "6 in", ""]]
    } else {
        [["6 mm", "40 mm", "150 mm"], ["1/4 in", "1 1/2 in", "6 in"]]
    };
    let usual = usual.get(usize::from(inches)).copied().unwrap_or_default();
    let sizes: Vec<(String, bool)> = slots
        .into_iter()
        .zip(usual)
        .map(|(slot, usual)| {
            slot.or_else(|| others.next()).map_or((usual.to_owned(), true), |f| (f.text, f.kind.is_some()))
        })
        .collect();
    // Feet and metres serve only their own figure; so does an inch behind which a millimetre stands.
    let large = |text: &str| matches!(text_unit(text).as_str(), "ft" | "m" | "'" | "’") || coarse(text);
    let part = sizes.iter().any(|(s, kind)| !kind && super::is_of_an_inch(s));
    let whole = |s: &String| s.parse::<f64>().is_ok_and(|v| v >= 30.0);
    // Where all others are in inches, so is the last: `an eighth by an inch and a half by five`.
    let inch = |text: &str| matches!(text_unit(text).as_str(), "in" | "\"" | "”" | "inch" | "inches");
    let all_inches =
        sizes.iter().any(|(s, has)| *has && inch(s)) && sizes.iter().all(|(s, has)| !has || inch(s));
    let small = sizes.iter().all(|(s, has)| *has || s.parse::<f64>().is_ok_and(|v| v < 30.0));
    let unit = if part || all_inches && small {
        Some("in")
    } else {
        unit.or(sizes.iter().any(|(s, _)| whole(s)).then_some("mm"))
    };
    let far = sizes.last().is_some_and(|(s, has)| *has && (large(s) || fine(s)));
    let count_of = sizes.len();
    let mut texts = Vec::new();
    for (nth, (size, has)) in sizes.into_iter().enumerate() {
        // The last bare one before a large unit has its own.
        let bare = !has && (nth + 1 == count_of || (far && nth + 2 == count_of));
        texts.push(if bare { format!("{size} {}", unit?) } else { size });
    }
    let sizes = texts;
    let plural = if count == "1" || count == "?" { "" } else { "s" };
    let bars = format!("{count} {shape}{plural} of {steel}, {}", sizes.join(" x "));
    // `dark, 11 off 1084`; `bright - 8 pcs`: the first word is the name, where it is no other.
    let number = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Number);
    let counted = number(1) || matches!(low(1), "," | "-" | "–") && number(2);
    let verb = vocabulary::is(&vocabulary::house_verb(low(0)), crate::vocabulary::Sort::Verb)
        || crate::forge::usual(low(0)).is_some()
        || BOUGHT.contains(&low(0));
    let word = all.first().is_some_and(|t| t.sort == Sort::Word) && !vocabulary::is_reserved(low(0));
    let named = name(line, &all, pieces)?;
    let first = counted && word && !verb && named == UNNAMED && grades::find(own(0)).is_none();
    let named = if first { own(0).to_owned() } else { named };
    let made = of_form(Form::Stock)?.write(&named, &[&bars]);
    let made = Gisted { text: made.trim_end().to_owned(), sample, lost: None };
    accepts(&made.text).then_some(made)
}

/// Words before the length that bars come in.
const CUT: [&str; 2] = ["cut", "sawn"];

/// The unit behind a figure; nothing where it has none.
fn text_unit(figure: &str) -> String {
    figure.rsplit(|c: char| c.is_ascii_digit()).next().unwrap_or_default().trim().to_owned()
}

/// A size in mm, a bare one in a unit that serves it.
fn in_mm(figure: &str, serves: Option<&str>) -> Option<f64> {
    let unit = serves.filter(|u| !matches!(*u, "ft" | "m") && !super::is_of_an_inch(figure)).unwrap_or("in");
    if text_unit(figure).is_empty() { worth(&format!("{figure} {unit}")) } else { worth(figure) }
}

/// What a figure with its unit is worth in the base unit of its kind: mm, g.
pub fn worth(figure: &str) -> Option<f64> {
    let own = text_unit(figure);
    let number = figure.strip_suffix(&own)?.trim();
    let unit = said_unit(&own).or(Some(&own)).and_then(find_unit)?;
    let Reading::Factor(factor) = unit.reading else { return None };
    let value = number.split([' ', '-']).filter(|part| !part.is_empty()).try_fold(0.0, |sum, part| {
        let (top, under) = part.split_once('/').unwrap_or((part, "1"));
        Some(sum + top.parse::<f64>().ok()? / under.parse::<f64>().ok()?)
    })?;
    Some(value * factor)
}

fn forge_word(word: &str) -> Option<&'static Word> {
    WORDS.iter().find(|w| w.word == word)
}

fn of_form(form: Form) -> Option<&'static Word> {
    WORDS.iter().find(|word| word.form == form)
}

/// Words that a line about stock begins with.
const BOUGHT: [&str; 14] = [
    "take", "get", "buy", "need", "use", "have", "grab", "order", "about", "with", "and", "or", "plus",
    "please",
];

/// What is made where a line gives it no name.
const UNNAMED: &str = "billet";

/// The name that a line gives to what it makes: before a sign, or behind `call it`; else one that says nothing.
fn name(line: &str, all: &[Token], pieces: &BTreeSet<String>) -> Option<String> {
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let is_name = |i: usize| {
        let word = all.get(i).is_some_and(|t| t.sort == Sort::Word);
        word && (!vocabulary::is_reserved(low(i)) || pieces.contains(own(i))) && !THINGS.contains(&low(i))
    };
    let begins = |i: usize| vocabulary::is(low(i), crate::vocabulary::Sort::Verb);
    if let Some(last) = called(all) {
        return Some(own(last).to_owned());
    }
    if begins(0) && low(1) == ":" && is_name(2) && matches!(low(3), "," | ":" | "=" | "-") {
        return Some(own(2).to_owned());
    }
    // `dark is O1, 3 off`; `san mai blade out of core and side`; `core between sides = blade`.
    let is_of = |i: usize| matches!(low(i), "from" | "of" | "is" | "are" | "with" | "as" | "in" | "out");
    let verbal = !matches!(all.first().map(|t| t.sort), Some(Sort::Number));
    let sign = |i: &usize| {
        matches!(low(*i), "=" | ":")
            || (*i == 1 && matches!(low(1), "is" | "are"))
            || (*i == 2 && verbal && is_of(2))
            || (*i == 3 && low(0) == "san" && is_of(3))
    };
    let signs = (1..all.len().min(4)).find(sign).filter(|i| is_name(i - 1));
    if let Some(sign) = signs {
        return Some(own(sign - 1).to_owned());
    }
    if let Some(last) =
        all.len().checked_sub(1).filter(|last| *last > 1 && low(last - 1) == "=" && is_name(*last))
    {
        return Some(own(last).to_owned());
    }
    let called = |i: &usize| {
        matches!(
            low(*i),
            "call"
                | "called"
                | "named"
                | "name"
                | "into"
                | "as"
                | "make"
                | "for"
                | "labelled"
                | "form"
                | "ref"
                | "->"
                | "=>"
                | "making"
                | "forming"
        )
    };
    for at in (0..all.len()).filter(called) {
        let next = (at + 1..all.len()).find(|i| {
            !matches!(
                low(*i),
                "it" | "them" | "a" | "an" | "the" | "this" | "up" | "result" | "whole" | "lot"
            )
        })?;
        if is_name(next) {
            return Some(own(next).to_owned());
        }
    }
    Some(UNNAMED.to_owned())
}

/// Words for what is made, which are no name of it.
const THINGS: [&str; 10] =
    ["pieces", "bars", "rods", "strips", "bits", "slices", "halves", "lengths", "flats", "sheets"];

/// The name at the end of a line that says what to call what it makes: `…, and call it loaf`.
fn called(all: &[Token]) -> Option<usize> {
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let last = all.len().checked_sub(1).filter(|last| *last > 2)?;
    let it = usize::from(matches!(low(last - 1), "it" | "that" | "this" | "them" | "lot" | "result"));
    let says = matches!(low(last - 1 - it), "call" | "called" | "calling" | "name" | "named" | "naming");
    let word = all.get(last).is_some_and(|t| t.sort == Sort::Word) && !vocabulary::is_reserved(low(last));
    (says && word).then_some(last)
}

/// `side-core-side` as three pieces, where they are.
fn apart(line: &str, pieces: &BTreeSet<String>) -> String {
    let mut made = line.to_owned();
    for token in tokens(line).into_iter().rev().filter(|t| t.sort == Sort::Word) {
        let own = line.get(token.at.clone()).unwrap_or_default();
        let parts: Vec<&str> = own.split('-').collect();
        if parts.len() > 1 && !pieces.contains(own) && parts.iter().all(|part| pieces.contains(*part)) {
            made.replace_range(token.at, &parts.join(" , "));
        }
    }
    made
}

/// Two kinds of bar by turns where a line says how many lie in all, `13 high`, or how often both come, `5 x (dark, bright) + 1 dark`, or which of
/// them lies outside.
fn by_turns(
    line: &str,
    all: &[Token],
    items: &[String],
    turns: bool,
    out: &dyn Fn(&Token) -> bool,
) -> Option<Vec<String>> {
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    let plain = |item: &str| item.rsplit(' ').next().unwrap_or_default().to_owned();
    let mut kinds: Vec<String> = items.iter().map(|item| plain(item)).collect();
    let mut seen = BTreeSet::new();
    kinds.retain(|kind| seen.insert(kind.clone()));
    let [a, b] = kinds.as_slice() else { return None };
    let number =
        |i: usize| low(i).parse::<u32>().ok().filter(|_| all.get(i).is_some_and(|t| t.sort == Sort::Number));
    let of = |n: u32, m: u32, a: &str, b: &str| Some(vec![format!("{n} of {a}"), format!("{m} of {b}")]);
    let numbers: Vec<usize> = (0..all.len()).filter(|i| number(*i).is_some()).collect();
    // `5 x ( dark , bright ) + 1 dark`; `dark , bright x 4`.
    let open = (0..all.len()).find(|i| matches!(low(*i), "(" | "["));
    if let Some(open) = open {
        let close = (open..all.len()).find(|i| matches!(low(*i), ")" | "]"))?;
        let before = numbers.iter().find(|i| **i + 2 == open || **i + 1 == open);
        let behind = numbers.iter().find(|i| **i == close + 2 && matches!(low(close + 1), "x" | "×" | "*"));
        let behind =
            behind.or_else(|| numbers.iter().find(|i| **i == close + 1 && low(close + 2) == "times"));
        let times = before.or(behind).and_then(|i| number(*i))?;
        let inside = |name: &str| (open..close).filter(|i| own(*i) == name).count() == 1;
        if !(inside(a) && inside(b)) || numbers.iter().any(|i| (open..close).contains(i)) {
            return None;
        }
        let more = |name: &str| {
            let at = (close..all.len()).find(|i| own(*i) == name)?;
            let count = |i: usize| number(i).filter(|_| i > close + 2);
            count(at - 1).or_else(|| count(at - 2)).or(Some(1))
        };
        let (n, m) = (times + more(a).unwrap_or(0), times + more(b).unwrap_or(0));
        return if n.abs_diff(m) > 1 {
            None
        } else if n >= m {
            of(n, m, a, b)
        } else {
            of(m, n, b, a)
        };
    }
    let last = out_of(line, all, a, b, out);
    let [at] = numbers.as_slice() else {
        // Which lies outside begins.
        return (numbers.is_empty() && turns).then_some(last?).map(|(first, second)| vec![first, second]);
    };
    let count = number(*at)?;
    let ends = at + 1 == all.len() && matches!(low(at.wrapping_sub(1)), "x" | "×");
    if (ends || low(at + 1) == "times") && items.len() == 2 {
        return of(count, count, a, b);
    }
    if matches!(low(at + 1), "high" | "layers" | "bars" | "total" | "pieces" | "tall" | "in") && count > 2 {
        let (first, second) = last.unwrap_or((a.clone(), b.clone()));
        return of(count.div_ceil(2), count / 2, &first, &second);
    }
    None
}

/// Words before the bar that lies lowest.
const STARTS: [&str; 4] = ["starting", "beginning", "start", "begin"];

/// Of two kinds of bar, the one that a line says lies outside, and the other.
fn out_of(
    line: &str,
    all: &[Token],
    a: &str,
    b: &str,
    out: &dyn Fn(&Token) -> bool,
) -> Option<(String, String)> {
    let place = all.iter().position(out)?;
    // `starting with dark` speaks of what follows.
    let starts = all.get(place).is_some_and(|t| STARTS.contains(&t.low.as_str()));
    let behind = if starts { 0 } else { place };
    let near = (0..behind).rev().chain(place..all.len()).find_map(|i| {
        let own = all.get(i).and_then(|t| line.get(t.at.clone()))?;
        [a, b].into_iter().find(|name| *name == own)
    })?;
    Some(if near == a { (a.to_owned(), b.to_owned()) } else { (b.to_owned(), a.to_owned()) })
}

/// How often a group of bars lies in a stack, where a line says so at its end: `x 5`, `repeated 5 times`.
fn rounds(all: &[Token]) -> Option<usize> {
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let at = all.iter().rposition(|t| t.sort == Sort::Number)?;
    let times = matches!(low(at + 1), "times" | "x" | "rounds") && at + 2 >= all.len();
    let by =
        at + 1 == all.len() && matches!(low(at.checked_sub(1)?), "x" | "×") && low(at.checked_sub(2)?) == ",";
    let count = low(at).parse::<usize>().ok().filter(|n| (2..=12).contains(n))?;
    (times || by).then_some(count)
}

/// A stack of the bars that a line names, in their order or by turns.
pub fn stack(line: &str, pieces: &BTreeSet<String>, accepts: impl Fn(&str) -> bool) -> Option<Gisted> {
    // What says how bars lie on each other in any stack, and by how much they are turned.
    const PLAIN: [&str; 14] = [
        " one on top of other",
        " 1 on top of other",
        " one on top of another",
        " 1 on top of another",
        " on top of each other",
        " one above other",
        " 1 above other",
        " by 90 degrees",
        " by 90 deg",
        " 90 degrees",
        " 90 deg",
        " by quarter turn",
        " 1/4 turn",
        " by a quarter turn",
    ];
    let mut line =
        apart(line, pieces).replace("every other 1", "alternately").replace("every other one", "alternately");
    for words in PLAIN {
        line = line.replace(words, " ");
    }
    let line = &line;
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let speaks = speaks_of(Form::Stack, &all);
    // Another verb's line is none of a stack.
    let first = vocabulary::house_verb(low(0));
    if forge_word(&first).is_some_and(|word| word.form != Form::Stack) {
        return None;
    }
    let set = low(1) == "=" && all.iter().all(|t| t.sort != Sort::Number);
    if all.len() > MOST || !(set || speaks.is_some()) || all.iter().any(|t| t.sort == Sort::Unit) {
        return None;
    }
    // A name before a sign is what it is to be called, whatever else is called so.
    let named = name(line, &all, &BTreeSet::new())
        .filter(|named| !pieces.contains(named) || low(2) == "=" || called(&all).is_some())
        .unwrap_or_else(|| UNNAMED.to_owned());
    let own = |t: &Token| line.get(t.at.clone()).unwrap_or_default();
    // Several are called by one name.
    let one = |word: &'_ str| pieces.get(word).or_else(|| pieces.get(word.strip_suffix('s')?));
    // `both sides` says where, though a piece is called `side`.
    let is_place = |at: usize| {
        matches!(low(at), "side" | "sides")
            && (matches!(low(at.wrapping_sub(1)), "both" | "either" | "each" | "by")
                || matches!(low(at.wrapping_sub(1)), "a" | "one")
                    && !matches!(low(at + 1), "on" | "either" | "each"))
    };
    // `the dark bars` are dark, though a piece is called `bar`.
    let is_kind = |at: usize| {
        matches!(low(at), "bar" | "bars" | "rod" | "rods")
            && at.checked_sub(1).and_then(|i| all.get(i)).is_some_and(|t| one(own(t)).is_some())
    };
    let (mut items, mut counted) = (Vec::new(), 0);
    for (at, token) in all.iter().enumerate() {
        if is_place(at) || is_kind(at) {
            continue;
        }
        if let Some(piece) = one(own(token)).filter(|piece| token.sort == Sort::Word && **piece != named) {
            let count = at.checked_sub(1).and_then(|i| all.get(i)).filter(|t| t.sort == Sort::Number);
            let count = count.or_else(|| {
                all.get(at.checked_sub(2)?).filter(|t| {
                    t.sort == Sort::Number && matches!(low(at - 1), "of" | "x" | "bars" | "pieces")
                })
            });
            // `4 of the twisted rods`.
            let count = count.or_else(|| {
                let number = all.get(at.checked_sub(3)?).filter(|t| t.sort == Sort::Number)?;
                let adjective = matches!(low(at - 2), "of" | "x") && all.get(at - 1)?.sort == Sort::Word;
                (adjective || low(at - 1) == "of" && all.get(at - 2)?.sort == Sort::Word).then_some(number)
            });
            // `dark x 7`.
            let behind =
                all.get(at + 2).filter(|t| t.sort == Sort::Number && matches!(low(at + 1), "x" | "×" | "*"));
            let count = count.or(behind);
            let next = all.get(at + 1).map(|t| t.low.as_str());
            let laid = next.filter(|n| matches!(*n, "turned" | "flipped")).map(|n| format!(" {n}"));
            counted += usize::from(count.is_some());
            items.push(match count {
                Some(count) => format!("{} of {piece}{}", own(count), laid.unwrap_or_default()),
                None => format!("{piece}{}", laid.unwrap_or_default()),
            });
        }
    }
    let says_turns = all.iter().any(|t| {
        matches!(
            t.low.as_str(),
            "alternate"
                | "alternated"
                | "alternating"
                | "alternately"
                | "interleave"
                | "interleaved"
                | "turns"
                | "repeat"
                | "repeating"
                | "alternation"
                | "etc"
        )
    });
    let says_turns =
        says_turns || all.windows(2).any(|w| matches!(w, [so, on] if so.low == "so" && on.low == "on"));
    let pair = |a: &str, b: &str| all.windows(2).any(|w| matches!(w, [x, y] if x.low == a && y.low == b));
    let says_turns = says_turns || pair("turn", "about");
    let says_turns = says_turns || pair("every", "other") || pair("in", "turn");
    // `outside`, `top and bottom`: which lies there.
    let out = |t: &Token| {
        STARTS.contains(&t.low.as_str())
            || matches!(t.low.as_str(), "outside" | "outsides" | "top" | "bottom" | "outer")
            || (says_turns && t.low == "first")
    };
    // `each turned`.
    if pair("each", "turned") || pair("all", "turned") || pair("each", "rotated") {
        items.iter_mut().filter(|item| !item.ends_with(" turned")).for_each(|item| item.push_str(" turned"));
    }
    // `alternating, start with bright`: the other kind is the only other there is.
    if let ([first], true) = (items.as_slice(), says_turns && counted == 0) {
        let mut others = pieces.iter().filter(|piece| *piece != first && **piece != named);
        let second = others.next().filter(|_| others.next().is_none())?.clone();
        let begins = all.iter().any(|t| STARTS.contains(&t.low.as_str()));
        items = if begins { vec![first.clone(), second] } else { return None };
    }
    // `2 dark, 1 bright, repeated 5 times`.
    if let Some(times) = rounds(&all).filter(|_| counted > 0 && items.len() > 1) {
        let numbers = all.iter().filter(|t| t.sort == Sort::Number).count();
        if numbers != counted + 1 {
            return None;
        }
        let whole = vec![items.join(", "); times].join(", ");
        let made = of_form(Form::Stack)?.write(&named, &[&whole]);
        let made = Gisted { text: made.trim_end().to_owned(), sample: false, lost: None };
        return accepts(&made.text).then_some(made);
    }
    let mut turns = says_turns;
    // `4 dark and 3 bright by turns, dark on the outside` says of the dark only where it lies.
    if turns && counted == 2 && all.iter().any(out) {
        items.retain(|item| item.contains(" of "));
    }
    if let Some(taken) = by_turns(line, &all, &items, says_turns, &out) {
        turns = true;
        items = taken;
    } else if all.iter().filter(|t| t.sort == Sort::Number).count() > counted {
        return None;
    }
    let beside = all
        .windows(3)
        .any(|w| matches!(w, [a, by, b] if a.low == "side" && by.low == "by" && b.low == "side"))
        || all.windows(3).any(|w| w.iter().map(|t| t.low.as_str()).eq(["edge", "to", "edge"]))
        || all.iter().any(|t| {
            matches!(t.low.as_str(), "side-by-side" | "edge-to-edge" | "next" | "beside" | "alongside")
        });
    // `core with side either side`.
    let around = (0..all.len())
        .any(|at| is_place(at) && low(at) == "sides" || (is_place(at) && low(at - 1) == "each"));
    let either = |t: &Token| {
        let faces = pair("each", "face") || pair("both", "faces");
        matches!(t.low.as_str(), "either" | "flanking")
            || (faces && !says_turns && matches!(t.low.as_str(), "each" | "both"))
            || (around && matches!(t.low.as_str(), "both" | "each"))
    };
    if let ([a, b], true) = (items.as_slice(), all.iter().any(either))
        && let Some((out, core)) = out_of(line, &all, a, b, &either)
    {
        items = vec![out.clone(), core, out];
    }
    let three = items.len() == 3;
    // `dark between bright`; `dark outside, bright between`.
    let says = |words: &[&str]| all.iter().position(|t| words.contains(&t.low.as_str()));
    let outside = says(&["outside", "outsides", "outer", "faces", "around"]);
    let inside = says(&["between", "inside", "core", "middle", "centre", "center"]);
    if let ([first, second], true, false) = (items.as_slice(), outside.or(inside).is_some(), turns) {
        let first_out = match (outside, inside) {
            (Some(out), Some(within)) => out < within,
            (Some(_), None) => true,
            (None, Some(within)) => {
                all.iter().rposition(|t| one(own(t)).is_some()).is_some_and(|last| within > last)
            }
            (None, None) => false,
        };
        let (core, side) = if first_out { (second, first) } else { (first, second) };
        // `between 2 side`: one on either side.
        let side = side.strip_prefix("2 of ").unwrap_or(side);
        items = vec![side.to_owned(), core.clone(), side.to_owned()];
    }
    // `core between side and side`.
    if let ([core, a, b], Some(at), None) = (items.as_slice(), says(&["between"]), outside)
        && all.iter().position(|t| one(own(t)).is_some()).is_some_and(|first| first < at)
        && three
        && !turns
    {
        items = vec![a.clone(), core.clone(), b.clone()];
    }
    // Bars that go by turns are not offered in a row.
    if turns && !matches!(items.len(), 1 | 2) && counted > 0 {
        return None;
    }
    let turns = if turns && items.len() == 2 { "alternate " } else { "" };
    let beside = if beside { " side by side" } else { "" };
    let made = of_form(Form::Stack)?.write(&named, &[&format!("{turns}{}{beside}", items.join(", "))]);
    let made = Gisted { text: made.trim_end().to_owned(), sample: false, lost: None };
    // Nor is how it lies, or that it is cut.
    let lies = [
        ("flipped", "flipped"),
        ("mirrored", "mirrored"),
        ("turned", "turned"),
        ("trim", "trimmed"),
        ("trimmed", "trimmed"),
    ];
    if lies.iter().any(|(says, word)| all.iter().any(|t| t.low == *says) && !made.text.contains(word)) {
        return None;
    }
    // A piece that the line names is not left out.
    let told = |piece: &str| made.text.split([' ', ',']).any(|word| word == piece);
    let left_out =
        (0..all.len()).filter(|at| !is_place(*at) && !is_kind(*at)).filter_map(|at| one(own(all.get(at)?)));
    let whole = left_out.into_iter().all(|piece| told(piece));
    (!items.is_empty() && whole && accepts(&made.text)).then_some(made)
}
