//! Marks and words between names that a line lacks: a bracket that is not closed, a comma between what is given, the kind of a parameter.

use std::collections::BTreeSet;

use super::ast::{KINDS, ParamKind};
use super::named::Set;
use super::syntax::nearest;
use super::wording::{Place, Sort, Token, tokens};

/// A line with the marks that it lacks; none where it lacks none.
pub fn mended(line: &str, place: Place, figures: &Set) -> Option<String> {
    let mut made = line.to_owned();
    if matches!(place, Place::Step | Place::Head) && line.contains('(') {
        made = parted(&made);
        let open = made.matches('(').count().saturating_sub(made.matches(')').count());
        // `two(bar = bar`, where nothing stands behind it.
        made = format!("{}{}", made.trim_end_matches([',', ' ']), ")".repeat(open.min(2)));
    }
    if place == Place::Head {
        made = made.lines().map(kinds).collect::<Vec<_>>().join("\n");
    }
    made = less(&made, figures);
    (made != line).then_some(made)
}

/// With a comma before each name that is given something.
fn parted(line: &str) -> String {
    let all = tokens(line);
    let Some(open) = all.iter().position(|t| t.low == "(") else { return line.to_owned() };
    let mut made = line.to_owned();
    let gives = |at: usize| all.get(at + 1).is_some_and(|t| matches!(t.low.as_str(), "=" | ":"));
    for at in (open + 2..all.len()).rev() {
        let (Some(before), Some(here)) = (all.get(at - 1), all.get(at)) else { continue };
        let name = here.sort == Sort::Word && gives(at);
        if name && !matches!(before.low.as_str(), "," | "(" | "=" | ":") {
            made.insert(before.at.end, ',');
        }
    }
    made
}

/// A line of a recipe's head with the kinds that its parameters lack, or that are misspelt.
fn kinds(line: &str) -> String {
    let all = tokens(line);
    let mut made = line.to_owned();
    let known = |word: &str| KINDS.iter().any(|(kind, _)| *kind == word);
    let begins = |at: usize| at == 0 || all.get(at - 1).is_some_and(|t| matches!(t.low.as_str(), "," | "("));
    for (at, name) in all.iter().enumerate().rev().filter(|(at, t)| t.sort == Sort::Word && begins(*at)) {
        let Some(sign) = all.get(at + 1) else { continue };
        let Some(behind) = all.get(at + 2) else { continue };
        if sign.low == ":" && behind.sort == Sort::Word && !known(&behind.low) {
            // Words for a kind by what it measures.
            const OTHER: [(&str, &str); 10] = [
                ("diameter", "length"),
                ("width", "length"),
                ("thickness", "length"),
                ("depth", "length"),
                ("height", "length"),
                ("size", "length"),
                ("weight", "mass"),
                ("temp", "temperature"),
                ("percent", "share"),
                ("bar", "piece"),
            ];
            let other = OTHER.iter().find(|(word, _)| *word == behind.low).map(|(_, kind)| *kind);
            if let Some(kind) = other.or_else(|| nearest(&behind.low, KINDS.iter().map(|(kind, _)| *kind))) {
                made.replace_range(behind.at.clone(), kind);
            }
        } else if matches!(sign.low.as_str(), "=" | ":")
            && let Some(kind) = kind(behind, all.get(at + 3))
        {
            made.replace_range(name.at.end..behind.at.start, &format!(": {kind} = "));
        }
    }
    made
}

/// The kind of what a parameter is set to.
fn kind(number: &Token, unit: Option<&Token>) -> Option<&'static str> {
    let word = |low: &str| KINDS.iter().find(|(kind, _)| *kind == low).map(|(kind, _)| *kind);
    match number.sort {
        Sort::Word => crate::steel::grades::find(&number.low).and_then(|_| {
            KINDS.iter().find(|(_, kind)| matches!(kind, ParamKind::Steel)).map(|(word, _)| *word)
        }),
        Sort::Number => match unit.filter(|t| t.sort == Sort::Unit) {
            Some(unit) => {
                let of = crate::quantity::find_unit(&unit.low)?.kind;
                let fits =
                    |kind: &&(&str, ParamKind)| matches!(kind.1, ParamKind::Figure(own, _) if own == of);
                KINDS.iter().find(fits).map(|(word, _)| *word)
            }
            None => word("count"),
        },
        _ => None,
    }
}

/// With blanks around the sign of `bars-1`, where a figure is called `bars`.
fn less(line: &str, figures: &Set) -> String {
    let names: BTreeSet<&str> = figures.iter().map(|(name, _)| *name).collect();
    let word = |word: &str| {
        let (name, number) = word.rsplit_once('-')?;
        let count = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
        (count && names.contains(name) && !names.contains(word)).then(|| format!("{name} - {number}"))
    };
    line.split(' ').map(|own| word(own).unwrap_or_else(|| own.to_owned())).collect::<Vec<_>>().join(" ")
}
