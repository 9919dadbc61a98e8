//! A recipe that is called in words: `make blank with the widened recipe from bar, 62 mm wide`.

use std::collections::BTreeSet;
use std::ops::Range;

use super::neighbours::Head;
use super::vocabulary;
use super::wording::{Sort, held, said_number, tokens};
use crate::forge::{self, Form};
use crate::quantity::find_unit;
use crate::steel::grades;

/// Words that say nothing of a call.
const IDLE: [&str; 53] = [
    "from", "with", "of", "the", "and", "using", "by", "a", "an", "out", "made", "make", "recipe", "do",
    "now", "as", "in", "run", "work", "call", "called", "it", "that", "just", "stands", "plain", "usual",
    "use", "build", "for", "is", "at", "to", "my", "our", "end", "done", "when", "put", "standard", "give",
    "me", "written", "what", "comes", "which", "result", "then", "so", "one", "1", "single", "another",
];
/// Words before the name of what is made.
const CALLED: [&str; 5] = ["call", "called", "calling", "name", "naming"];

/// The call that a line says in words, and whether a figure in it is an example; nothing where it speaks of no recipe.
pub fn call(line: &str, recipes: &[Head], pieces: &BTreeSet<String>) -> Option<(String, bool)> {
    let all = tokens(line);
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let word = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Word);
    let names_it = |i: usize| {
        word(i) && !IDLE.contains(&low(i)) && !vocabulary::is(low(i), crate::vocabulary::Sort::Verb)
    };
    let sign = all.iter().position(|t| t.low == "=");
    let makes = |i: usize| {
        matches!(low(i), "make" | "build" | "get" | "produce" | "create")
            || forge::word(low(i)).is_some_and(|word| word.form == Form::Stock)
    };
    let article = |i: usize| matches!(low(i), "the" | "a" | "an" | "my" | "our" | "me" | "up");
    // `stock blade = …`, `…, and call it blade`, `make blade as …`, `for blade use …`.
    let tail = (1..all.len()).rev().find(|i| CALLED.contains(&low(*i)));
    let first = (1..3).find(|i| !article(*i)).filter(|i| makes(0) && names_it(*i));
    let name = match (sign, tail) {
        (Some(sign), _) => {
            sign.checked_sub(1).filter(|name| word(*name) && (*name == 0 || *name == 1 && makes(0)))?
        }
        (None, Some(_)) => all.len() - 1,
        (None, None) => {
            // `for blade use …`, `use … for blade`.
            let used = || matches!(low(0), "use" | "run" | "call" | "work");
            let goal = |i: &usize| matches!(low(*i), "for" | "as") && names_it(i + 1);
            let last = || (1..all.len()).find(goal).filter(|_| used()).map(|i| i + 1);
            first.or((low(0) == "for" && names_it(1)).then_some(1)).or_else(last)?
        }
    };
    let begin = sign.map_or(0, |sign| sign + 1);
    if !word(name) {
        return None;
    }
    let (recipe, at) = named(line, recipes, begin, name)?;
    // `[long = 290 mm]`: what is set there is what the recipe takes.
    let takes =
        |i: usize| i.checked_sub(1).is_some_and(|i| recipe.takes.iter().any(|(name, ..)| *name == own(i)));
    if (begin..all.len()).any(|i| low(i) == "=" && !takes(i)) {
        return None;
    }
    // Without a sign only words lead to it: what is made `as` one, `with` one, or by a recipe.
    let led = at.start.checked_sub(1).is_some_and(|i| {
        let before = if article(i) { i.wrapping_sub(1) } else { i };
        matches!(low(before), "as" | "from" | "with" | "by" | "using" | "use" | "run" | "do")
    });
    if sign.is_none() && tail.is_none() && !led && low(at.end) != "recipe" {
        return None;
    }
    let mut used: BTreeSet<usize> = at.chain([name]).chain(0..begin).collect();
    let mut given: Vec<String> = Vec::new();
    for (param, kind, set) in &recipe.takes {
        if *kind == "piece" {
            let other = |i: &usize| own(*i) != own(name) && !matches!(low(i + 1), ":" | "=");
            let is_piece = |i: &usize| word(*i) && pieces.contains(own(*i)) && other(i);
            let piece = (begin..all.len()).find(|i| !used.contains(i) && is_piece(i))?;
            used.insert(piece);
            given.push(format!("{param} = {}", own(piece)));
            continue;
        }
        // `rods 1/4"` is of the `rod` that it takes.
        let says = |i: usize| own(i) == *param || own(i).strip_suffix('s') == Some(*param);
        let Some(at) = (begin..all.len()).find(|i| !used.contains(i) && says(*i)) else { continue };
        let behind =
            (at + 1..all.len()).find(|i| !matches!(low(*i), ":" | "=" | "of" | "is" | "at" | "to" | "be"));
        let steel = *kind == "steel";
        let value = |i: usize| -> Option<Range<usize>> {
            if steel {
                return grades::find(low(i)).map(|_| i..i + 1);
            }
            let said = || said_number(low(i)).filter(|_| *kind == "count").map(|_| 1);
            let fits = |len: &usize| *kind != "count" || *len == 1;
            held('Q', &all, i).filter(|_| low(i) != "?").filter(fits).or_else(said).map(|len| i..i + len)
        };
        // `wide 62 mm`, or `62 mm wide`, or `1095 for the dark`.
        let idle = |i: usize| matches!(low(i), "for" | "as" | "the" | "in");
        let reaches = |v: &Range<usize>| (v.end..at).all(idle) && !used.contains(&v.start);
        let before = (begin..at).rev().find_map(|i| value(i).filter(reaches));
        let Some(value) = behind.and_then(value).or(before) else { continue };
        let text = all.get(value.start).zip(all.get(value.end - 1));
        let text = text.and_then(|(a, b)| line.get(a.at.start..b.at.end))?;
        // A bare figure is in the unit of what it is set to where nobody says.
        let bare = *kind == "length" && all.get(value.end - 1).is_some_and(|t| t.sort == Sort::Number);
        let unit = set.filter(|_| bare).and_then(|set| set.rsplit_once(' ')).map(|(_, unit)| unit);
        let whole = unit.filter(|unit| find_unit(unit).is_some()).map(|unit| format!("{text} {unit}"));
        let text = whole.as_deref().unwrap_or(text);
        let said = said_number(&text.to_lowercase()).map(|number| number.to_string());
        given.push(format!("{param} = {}", said.as_deref().unwrap_or(text)));
        used.extend(value.chain([at]));
    }
    // What else is said goes behind the name of what it sets, which is shown by one.
    let more = (begin..all.len()).any(|i| {
        !used.contains(&i)
            && !pieces.contains(own(i))
            && (all.get(i).is_some_and(|t| t.sort == Sort::Number) || names_it(i))
    });
    if more && given.len() == recipe.takes.iter().filter(|(_, kind, _)| *kind == "piece").count() {
        given.extend(recipe.takes.iter().find_map(|(name, _, set)| Some(format!("{name} = {}", (*set)?))));
    }
    Some((format!("stock {} = {}({})", own(name), recipe.name, given.join(", ")), more))
}

/// The recipe that a line names, with blanks in the place of its hyphens or not, and where: the one with the longest name.
fn named<'r, 't>(
    line: &str,
    recipes: &'r [Head<'t>],
    begin: usize,
    but: usize,
) -> Option<(&'r Head<'t>, Range<usize>)> {
    let all = tokens(line);
    let place = |recipe: &Head| {
        let parts = recipe.name.split('-').count();
        (1..=parts).find_map(|len| {
            (begin..all.len()).map(|at| at..at + len).find(|at| {
                let own = all.get(at.clone()).map(|own| own.iter().filter_map(|t| line.get(t.at.clone())));
                // `two edged-blade` too.
                !at.contains(&but)
                    && own
                        .is_some_and(|own| own.collect::<Vec<_>>().join("-").replace('_', "-") == recipe.name)
            })
        })
    };
    let found = recipes
        .iter()
        .filter_map(|recipe| Some((recipe, place(recipe)?)))
        .max_by_key(|(recipe, _)| recipe.name.len());
    // With a slip in it, where a bracket follows.
    let slipped = |recipe: &&'r Head<'t>| {
        let near = |at: &usize| {
            let opens = all.get(at + 1).is_some_and(|t| matches!(t.low.as_str(), "(" | "[" | "{"));
            let own = all.get(*at).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
            opens && own.len() > 5 && *at != but && strsim::damerau_levenshtein(own, recipe.name) <= 2
        };
        (begin..all.len()).find(near)
    };
    found.or_else(|| recipes.iter().find_map(|recipe| slipped(&recipe).map(|at| (recipe, at..at + 1))))
}
