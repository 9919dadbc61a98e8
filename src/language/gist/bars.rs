//! Bars of stock, and stacks of them, of what a line names that no form reads.

use std::collections::BTreeSet;

use super::{Figure, Gisted, MOST, figures, speaks_of};
use crate::forge::{Form, WORDS, Word};
use crate::language::vocabulary;
use crate::language::wording::{Sort, Token, tokens};
use crate::steel::grades;

/// Bars of stock of what a line names: how many, of which steel, so large.
pub fn stock(line: &str, unit: Option<&str>, accepts: impl Fn(&str) -> bool) -> Option<Gisted> {
    let all = tokens(line);
    if all.len() > MOST || all.iter().any(|t| t.low == "or") {
        return None;
    }
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    // What it is called is the smith's: of a name that cannot be one, that is said.
    if low(2) == "=" && vocabulary::is_reserved(low(1)) {
        return None;
    }
    let sized = |i: usize| {
        let behind_x = i > 0 && low(i - 1) == "x";
        let number = all.get(i).is_some_and(|t| t.sort == Sort::Number);
        number && (all.get(i + 1).is_some_and(|t| t.sort == Sort::Unit) || low(i + 1) == "x" || behind_x)
    };
    let named = |i: usize| {
        let sort = all.get(i).map(|t| t.sort);
        sort == Some(Sort::Word) || (sort == Some(Sort::Number) && own(i).len() > 2)
    };
    // `wrought iron` is one steel in two words.
    let of = |i: usize| {
        let two = format!("{}-{}", own(i), own(i + 1));
        let one = if grades::find(&two).is_some() { two } else { own(i).to_owned() };
        (named(i) && !sized(i) && grades::find(&one).is_some()).then_some((i, one))
    };
    let (grade, steel) = (0..all.len()).find_map(of)?;
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
    let mut figures = figures(line, &all, &speaks);
    figures.retain(|f| !f.at.contains(&grade));
    let wanted = if matches!(shape, "square" | "round") { 2 } else { 3 };
    let bars = |i: usize| {
        matches!(
            low(i),
            "bar"
                | "bars"
                | "piece"
                | "pieces"
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
        )
    };
    let counts = |f: &Figure| {
        f.kind.is_none()
            && (bars(f.at.end)
                || matches!(low(f.at.start.wrapping_sub(1)), "qty" | "quantity" | "(")
                || f.at.end == grade
                || (low(f.at.end) == "x" && f.at.end + 1 == grade))
    };
    let count = match figures.iter().position(counts) {
        Some(nth) => figures.remove(nth).text,
        None if figures.len() == wanted + 1 => {
            let nth = figures.iter().position(|f| {
                f.kind.is_none() && low(f.at.end) != "x" && low(f.at.start.wrapping_sub(1)) != "x"
            })?;
            figures.remove(nth).text
        }
        None => "1".to_owned(),
    };
    if figures.len() != wanted {
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
        all().find_map(|t| match t.low.as_str() {
            "thick" | "thickness" | "thk" | "square" | "round" | "dia" | "diameter" | "sq" => Some(0),
            "wide" | "width" | "across" => Some(1),
            "long" | "length" => Some(2),
            _ => None,
        })
    };
    let ranks: Vec<Option<usize>> = figures.iter().map(rank).collect();
    if ranks.iter().all(Option::is_some) {
        let mut sorted: Vec<(usize, Figure)> = ranks.into_iter().flatten().zip(figures).collect();
        sorted.sort_by_key(|(rank, _)| *rank);
        figures = sorted.into_iter().map(|(_, f)| f).collect();
    }
    let last = figures.last().is_some_and(|f| f.kind.is_none());
    let sizes: Vec<String> = figures.into_iter().map(|f| f.text).collect();
    // Whole figures that no inches are.
    let large = |s: &String| s.parse::<f64>().is_ok_and(|v| v >= 30.0);
    let unit = unit.or(sizes.iter().any(large).then_some("mm"));
    let unit = if last {
        format!(" {}", if sizes.iter().any(|s| s.contains('/')) { "in" } else { unit? })
    } else {
        String::new()
    };
    let plural = if count == "1" || count == "?" { "" } else { "s" };
    let bars = format!("{count} {shape}{plural} of {steel}, {}{unit}", sizes.join(" x "));
    let made = of_form(Form::Stock)?.write(&name(line, &all)?, &[&bars]);
    let made = Gisted { text: made.trim_end().to_owned(), sample: false };
    accepts(&made.text).then_some(made)
}

fn of_form(form: Form) -> Option<&'static Word> {
    WORDS.iter().find(|word| word.form == form)
}

/// What is made where a line gives it no name.
const UNNAMED: &str = "billet";

/// The name that a line gives to what it makes: before a sign, or behind `call it`; else one that says nothing.
fn name(line: &str, all: &[Token]) -> Option<String> {
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let is_name =
        |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Word) && !vocabulary::is_reserved(low(i));
    let begins = |i: usize| vocabulary::is(low(i), crate::vocabulary::Sort::Verb);
    if begins(0) && low(1) == ":" && is_name(2) && matches!(low(3), "," | ":" | "=" | "-") {
        return Some(own(2).to_owned());
    }
    let sign = |i: &usize| {
        matches!(low(*i), "=" | ":")
            || (*i == 2 && matches!(low(2), "from" | "of" | "is" | "with" | "as" | "in"))
    };
    let signs = (1..all.len().min(4)).find(sign).filter(|i| is_name(i - 1));
    if let Some(sign) = signs {
        return Some(own(sign - 1).to_owned());
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
        )
    };
    for at in (0..all.len()).filter(called) {
        let next = (at + 1..all.len())
            .find(|i| !matches!(low(*i), "it" | "them" | "a" | "an" | "the" | "this" | "up"))?;
        if is_name(next) {
            return Some(own(next).to_owned());
        }
    }
    Some(UNNAMED.to_owned())
}

/// A stack of the bars that a line names, in their order or by turns.
pub fn stack(line: &str, pieces: &BTreeSet<String>, accepts: impl Fn(&str) -> bool) -> Option<Gisted> {
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let speaks = speaks_of(Form::Stack, &all);
    let set = low(1) == "=" && all.iter().all(|t| t.sort != Sort::Number);
    if all.len() > MOST || !(set || speaks.is_some()) || all.iter().any(|t| t.sort == Sort::Unit) {
        return None;
    }
    let named =
        name(line, &all).filter(|named| !pieces.contains(named)).unwrap_or_else(|| UNNAMED.to_owned());
    let own = |t: &Token| line.get(t.at.clone()).unwrap_or_default();
    // Several are called by one name.
    let one = |word: &'_ str| pieces.get(word).or_else(|| pieces.get(word.strip_suffix('s')?));
    let (mut items, mut counted) = (Vec::new(), 0);
    for (at, token) in all.iter().enumerate() {
        if let Some(piece) = one(own(token)).filter(|piece| token.sort == Sort::Word && **piece != named) {
            let count = at.checked_sub(1).and_then(|i| all.get(i)).filter(|t| t.sort == Sort::Number);
            let count = count.or_else(|| {
                all.get(at.checked_sub(2)?).filter(|t| {
                    t.sort == Sort::Number && matches!(low(at - 1), "of" | "x" | "bars" | "pieces")
                })
            });
            let next = all.get(at + 1).map(|t| t.low.as_str());
            let laid = next.filter(|n| matches!(*n, "turned" | "flipped")).map(|n| format!(" {n}"));
            counted += usize::from(count.is_some());
            items.push(match count {
                Some(count) => format!("{} of {piece}{}", own(count), laid.unwrap_or_default()),
                None => format!("{piece}{}", laid.unwrap_or_default()),
            });
        }
    }
    if all.iter().filter(|t| t.sort == Sort::Number).count() > counted {
        return None;
    }
    let turns = all.iter().any(|t| {
        matches!(
            t.low.as_str(),
            "alternate" | "alternating" | "alternately" | "interleave" | "interleaved" | "turns"
        )
    });
    let beside = all
        .windows(3)
        .any(|w| matches!(w, [a, by, b] if a.low == "side" && by.low == "by" && b.low == "side"))
        || all.iter().any(|t| matches!(t.low.as_str(), "side-by-side" | "next" | "beside" | "alongside"));
    // `dark between bright`; `dark outside, bright between`.
    let says = |words: &[&str]| all.iter().position(|t| words.contains(&t.low.as_str()));
    let outside = says(&["outside", "outsides", "outer", "faces", "around"]);
    let inside = says(&["between", "inside", "core", "middle", "centre", "center"]);
    if let ([first, second], true) = (items.as_slice(), outside.or(inside).is_some()) {
        let first_out = match (outside, inside) {
            (Some(out), Some(within)) => out < within,
            (Some(_), None) => true,
            (None, Some(within)) => {
                all.iter().rposition(|t| one(own(t)).is_some()).is_some_and(|last| within > last)
            }
            (None, None) => false,
        };
        let (core, side) = if first_out { (second, first) } else { (first, second) };
        items = vec![side.clone(), core.clone(), side.clone()];
    }
    let turns = if turns && items.len() == 2 { "alternate " } else { "" };
    let beside = if beside { " side by side" } else { "" };
    let made = of_form(Form::Stack)?.write(&named, &[&format!("{turns}{}{beside}", items.join(", "))]);
    let made = Gisted { text: made.trim_end().to_owned(), sample: false };
    (!items.is_empty() && accepts(&made.text)).then_some(made)
}
