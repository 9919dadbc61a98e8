//! Marks and words between names that a line lacks: a bracket that is not closed, a comma between what is given, the kind of a parameter.

use std::collections::BTreeSet;

use super::ast::{KINDS, ParamKind};
use super::named::Set;
use super::neighbours::Head;
use super::syntax::nearest;
use super::wording::{Place, Sort, Token, held, may_name, said_number, tokens};
use crate::forge::{self, Form, Key};
use crate::steel::grades;

/// What has a name around a line.
pub struct Known<'a> {
    /// Figures, each with what it is set to.
    pub figures: &'a Set<'a>,
    /// The recipes of the file.
    pub recipes: &'a [Head<'a>],
    /// Pieces.
    pub pieces: &'a BTreeSet<String>,
    /// What the lines behind a recipe's head speak of; before a step the pieces that no other line makes.
    pub wanted: &'a BTreeSet<String>,
}

/// A line with the marks that it lacks; none where it lacks none.
pub fn mended(line: &str, place: Place, known: &Known) -> Option<String> {
    let mut made = line.to_owned();
    if place == Place::Head {
        made = block(&made, known);
    }
    // What is done over and over is no call.
    let over = line.split_whitespace().next().is_some_and(|first| matches!(first, "repeat" | "do" | "loop"));
    if matches!(place, Place::Step | Place::Head) && line.contains('(') && !over {
        made = parted(&given(&made, known.recipes));
        let open = made.matches('(').count().saturating_sub(made.matches(')').count());
        // `two(bar = bar`, where nothing stands behind it.
        made = format!("{}{}", made.trim_end_matches([',', ' ']), ")".repeat(open.min(2)));
    }
    match place {
        Place::Head => {
            made = parameters(&ended(&made), known.wanted);
            made = made.lines().map(kinds).collect::<Vec<_>>().join("\n");
        }
        Place::Step => {
            made = tests(&listed(&rounded(&factors(&made, known.figures)), known.wanted), known.figures)
        }
        Place::Test => made = times(&made, known.figures),
        Place::Shop => {}
    }
    made = less(&made, known.figures);
    (made != line).then_some(made)
}

/// The head of a block whose first word is none: what takes parameters is a recipe, what is of a piece is its target.
fn block(line: &str, known: &Known) -> String {
    const BLOCKS: [&str; 4] = ["shop", "target", "recipe", "repeat"];
    let all = tokens(line);
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let word = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Word);
    if BLOCKS.contains(&low(0)) || !word(0) || !word(1) {
        return line.to_owned();
    }
    let rest = all.get(1).and_then(|t| line.get(t.at.start..)).unwrap_or_default();
    if low(2) == "(" {
        format!("recipe {rest}")
    } else if all.len() == 2 && known.pieces.contains(own(1)) {
        format!("target {rest}")
    } else {
        line.to_owned()
    }
}

/// With a comma at the end of a parameter that ends as other languages do, and without what those take for a remark.
fn ended(head: &str) -> String {
    let (first, rest) = head.split_once('\n').unwrap_or((head, ""));
    let line = |line: &str| {
        let own = line.split("//").next().unwrap_or_default();
        let words = own.trim_end();
        let blanks = own.get(words.len()..).unwrap_or_default();
        words.strip_suffix(';').map_or_else(|| own.to_owned(), |words| format!("{words},{blanks}"))
    };
    let made = std::iter::once(first.to_owned()).chain(rest.lines().map(line));
    made.collect::<Vec<_>>().join("\n")
}

/// With round brackets where braces stand on one line: what is given to a recipe, or said besides of a step.
fn rounded(line: &str) -> String {
    if line.contains('{') && line.ends_with('}') {
        line.replace('{', "(").replace('}', ")")
    } else {
        line.to_owned()
    }
}

/// With a sign behind the name of each parameter that is given something: `two(bar side)`.
fn given(line: &str, recipes: &[Head]) -> String {
    let made = || {
        let (head, rest) = line.split_once('(')?;
        let (inside, tail) = rest.rsplit_once(')').map_or((rest, ""), |(inside, _)| (inside, ")"));
        let name = head.rsplit(|c: char| !(c.is_alphanumeric() || c == '-')).next()?;
        let recipe = recipes.iter().find(|recipe| recipe.name == name)?;
        let own = |part: &str| {
            let (name, value) = part.trim().split_once(' ')?;
            let signed = value.trim_start().starts_with(['=', ':', '*', '+', '-', '/']);
            let takes = recipe.takes.iter().any(|(own, ..)| *own == name);
            (takes && !signed).then(|| format!("{name} = {}", value.trim_start()))
        };
        let parts: Vec<String> =
            inside.split(',').map(|part| own(part).unwrap_or_else(|| part.trim().to_owned())).collect();
        Some(format!("{head}({}{tail}", parts.join(", ")))
    };
    made().filter(|_| !line.starts_with("recipe")).unwrap_or_else(|| line.to_owned())
}

/// With commas between the names that a cut leaves: `cut bar into low middle high`.
fn listed(line: &str, wanted: &BTreeSet<String>) -> String {
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let cuts = forge::word(low(0)).is_some_and(|word| word.clauses().any(|key| key == Key::Into));
    let Some(into) = all.iter().position(|t| t.low == "into").filter(|at| *at == 2 && cuts) else {
        return line.to_owned();
    };
    let names = all.get(into + 1..).unwrap_or_default();
    let wanted = |t: &Token| line.get(t.at.clone()).is_some_and(|own| wanted.contains(own));
    if names.len() < 2 || !names.iter().all(wanted) {
        return line.to_owned();
    }
    let own: Vec<&str> = names.iter().filter_map(|t| line.get(t.at.clone())).collect();
    let head = names.first().and_then(|t| line.get(..t.at.start)).unwrap_or_default();
    format!("{head}{}", own.join(", "))
}

/// `1.8x thick` as `1.8 * thick`: a sign that hangs on its figure parts no sizes.
fn factors(line: &str, figures: &Set) -> String {
    let all = tokens(line);
    let mut made = line.to_owned();
    let named = |t: &Token| line.get(t.at.clone()).is_some_and(|own| figures.iter().any(|(n, _)| *n == own));
    let single = all.iter().filter(|t| matches!(t.low.as_str(), "x" | "×")).count() == 1;
    for window in all.windows(3).rev().filter(|_| single) {
        let [number, by, name] = window else { continue };
        let hangs = number.sort == Sort::Number && number.at.end == by.at.start && by.at.end < name.at.start;
        if hangs && matches!(by.low.as_str(), "x" | "×") && named(name) {
            made.replace_range(by.at.clone(), " *");
        }
    }
    made
}

/// `2 x bars` as `2 * bars`, where no sizes stand.
fn times(line: &str, figures: &Set) -> String {
    let all = tokens(line);
    let mut made = line.to_owned();
    let named = |t: &Token| line.get(t.at.clone()).is_some_and(|own| figures.iter().any(|(n, _)| *n == own));
    for window in all.windows(3).rev() {
        let [number, by, name] = window else { continue };
        if number.sort == Sort::Number && matches!(by.low.as_str(), "x" | "×") && named(name) {
            made.replace_range(by.at.clone(), "*");
        }
    }
    made
}

/// With a comma before each test of a checkpoint but the first.
fn tests(line: &str, figures: &Set) -> String {
    const MEASURED: [&str; 6] = ["thickness", "width", "length", "layers", "mass", "bands"];
    let all = tokens(line);
    let checks = all.first().and_then(|t| forge::word(&t.low)).is_some_and(|word| word.form == Form::Tests);
    if !checks || all.get(2).is_none_or(|t| t.low != ":") {
        return line.to_owned();
    }
    let mut made = times(line, figures);
    for at in (4..all.len()).rev() {
        let (Some(before), Some(here)) = (all.get(at - 1), all.get(at)) else { continue };
        let ends = matches!(before.sort, Sort::Word | Sort::Number | Sort::Unit);
        let joint = matches!(before.low.as_str(), "of" | "and" | "in" | "by" | "its" | "the");
        let limit = all.get(at + 1).is_some_and(|t| matches!(t.low.as_str(), "=" | ">=" | "<=" | "of"));
        if MEASURED.contains(&here.low.as_str()) && ends && !joint && limit {
            made.insert(before.at.end, ',');
        }
    }
    made
}

/// A recipe's head with each of its parameters in the form of one.
fn parameters(head: &str, wanted: &BTreeSet<String>) -> String {
    let Some((before, rest)) = head.split_once('(').filter(|_| head.starts_with("recipe ")) else {
        return head.to_owned();
    };
    let (inside, tail) = rest.rsplit_once(')').map_or((rest, ""), |(inside, _)| (inside, ")"));
    let each = |text: &str| {
        let parts: Vec<&str> = text.split(',').collect();
        let given = |part: &&&str| !part.trim().is_empty();
        let as_it_is = |part: &&&str| parameter(part, wanted).is_none() && is_parameter(part);
        if parts.iter().filter(given).all(|part| as_it_is(&part)) {
            return text.to_owned();
        }
        // A comma may stand in what is said of one.
        let (whole, comma) = text.trim_end().strip_suffix(',').map_or((text, ""), |whole| (whole, ","));
        if parts.iter().filter(|part| value(&tokens(part)).is_some()).count() < 2
            && let Some(made) = parameter(whole, wanted)
        {
            return format!("{made}{comma}");
        }
        let own = |part: &&str| parameter(part, wanted).unwrap_or_else(|| (*part).to_owned());
        parts.iter().map(own).collect::<Vec<_>>().join(",")
    };
    let made: Vec<String> = inside.split('\n').map(each).collect();
    format!("{before}({}{tail}", made.join("\n"))
}

/// The kind whose figures are in percent.
const SHARE: &str = "share";

/// Whether a word says a kind.
fn is_kind(word: &str) -> bool {
    KINDS.iter().any(|(kind, _)| *kind == word)
}

/// Whether a part of a recipe's head has the form of a parameter.
fn is_parameter(part: &str) -> bool {
    let all = tokens(part);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    // A word right behind a figure is none of it: `30 mm length`.
    let odd = |pair: &[Token]| matches!(pair, [figure, word] if matches!(figure.sort, Sort::Number | Sort::Unit) && word.sort == Sort::Word);
    let set = low(3) == "=" && all.len() > 4 && !all.iter().skip(4).any(|t| t.low == ";");
    low(1) == ":" && is_kind(low(2)) && (all.len() == 3 || set) && !all.windows(2).any(odd)
}

/// Where the figure or the grade stands that a parameter is set to.
fn value(all: &[Token]) -> Option<usize> {
    let set =
        |t: &Token| t.sort == Sort::Number || grades::find(&t.low).is_some() || said_number(&t.low).is_some();
    all.iter().enumerate().skip(1).find(|(_, t)| set(t)).map(|(at, _)| at)
}

/// A part of a recipe's head as a parameter: its name, its kind and what it is set to, in the marks that it lacks.
fn parameter(part: &str, wanted: &BTreeSet<String>) -> Option<String> {
    let all = tokens(part);
    let bare = |unit: Option<&Token>| unit.is_none_or(|t| t.sort != Sort::Unit);
    let share = all.len() == 5 && all.get(2).is_some_and(|t| t.low == SHARE) && bare(all.get(5));
    // What is asked for has no figure yet.
    if (is_parameter(part) && !share) || all.len() < 2 || all.iter().any(|t| t.low == "?") {
        return None;
    }
    let set = value(&all);
    let end = set.unwrap_or(all.len());
    let said = |i: usize| {
        let low = all.get(i).map_or("", |t| t.low.as_str());
        let kind = is_kind(low).then_some(low).or_else(|| other_kind(low));
        kind.and_then(|kind| KINDS.iter().find(|(own, _)| *own == kind))
    };
    // The word nearest to what it is set to says its kind, where one does.
    let kind_at = (1..end).rev().chain(end..all.len()).find(|i| said(*i).is_some());
    let sign = |t: &Token| matches!(t.low.as_str(), ":" | ";" | "=" | "-" | "–" | "," | "is" | "are" | "(");
    let stop =
        (1..end).find(|i| all.get(*i).is_some_and(sign)).or(kind_at.filter(|at| *at < end)).unwrap_or(end);
    let names: Vec<&str> = all.get(..stop)?.iter().filter_map(|t| part.get(t.at.clone())).collect();
    let whole = names.join("-");
    // What the lines below speak of is what it is called: `side of a rod: 14 mm`.
    let name = if names.len() == 1 || wanted.contains(&whole) {
        whole
    } else {
        names.iter().find(|name| wanted.contains(**name) && may_name(name)).map(|n| (*n).to_owned())?
    };
    let word = |t: &Token| t.sort == Sort::Word;
    if !all.first().is_some_and(word) {
        return None;
    }
    let indent = part.get(..part.len() - part.trim_start().len()).unwrap_or_default();
    let Some(at) = set else {
        // Without a value a kind is said by its own word.
        let (kind, _) = kind_at.filter(|at| at + 1 == all.len()).and_then(said)?;
        return Some(format!("{indent}{name}: {kind}"));
    };
    let token = all.get(at)?;
    let spelt = said_number(&token.low);
    let number = token.sort == Sort::Number || spelt.is_some();
    let unit = all.get(at + 1).filter(|t| number && t.sort == Sort::Unit);
    let grade = grades::find(&token.low).is_some() && unit.is_none();
    let of_steel = |kind: &str| KINDS.iter().any(|(own, k)| *own == kind && matches!(k, ParamKind::Steel));
    let own = match kind_at.and_then(said) {
        Some((kind, _)) if grade == of_steel(kind) => *kind,
        // `a length` of 7 bars, or in an unlike unit: what it is set to says it.
        Some(_) if !grade && unit.is_none() => *kind_at.and_then(said).map(|(kind, _)| kind)?,
        _ if grade && (!number || token.low.len() > 2) => KINDS.iter().find(|(own, _)| of_steel(own))?.0,
        _ => kind(token, unit)?,
    };
    let end = at
        + if spelt.is_some() {
            1 + usize::from(unit.is_some())
        } else if number {
            held('Q', &all, at)?
        } else {
            1
        };
    let mut figure = part.get(token.at.start..all.get(end - 1)?.at.end)?.to_owned();
    if let Some(number) = spelt {
        figure.replace_range(..token.at.len(), &number.to_string());
    }
    // A share's figure is in percent.
    if number && unit.is_none() && own == SHARE {
        figure.push_str(" %");
    }
    Some(format!("{indent}{name}: {own} = {figure}"))
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
        // `steel of: …` is one name in two words.
        let begins = all.get(at - 2).is_some_and(|t| matches!(t.low.as_str(), "," | "("));
        let same_line = line.get(before.at.end..here.at.start).is_some_and(|gap| !gap.contains('\n'));
        if name && !(begins && same_line) && !matches!(before.low.as_str(), "," | "(" | "=" | ":") {
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
            let like = || nearest(&behind.low, KINDS.iter().map(|(kind, _)| *kind));
            if let Some(kind) = other_kind(&behind.low).or_else(like) {
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

/// A kind by what it measures, or by another word for it.
fn other_kind(low: &str) -> Option<&'static str> {
    const OTHER: [(&str, &str); 22] = [
        ("diameter", "length"),
        ("width", "length"),
        ("thickness", "length"),
        ("depth", "length"),
        ("height", "length"),
        ("size", "length"),
        ("distance", "length"),
        ("dimension", "length"),
        ("weight", "mass"),
        ("temp", "temperature"),
        ("heat", "temperature"),
        ("percent", "share"),
        ("percentage", "share"),
        ("fraction", "share"),
        ("bar", "piece"),
        ("billet", "piece"),
        ("alloy", "steel"),
        ("grade", "steel"),
        ("metal", "steel"),
        ("material", "steel"),
        ("integer", "count"),
        ("quantity", "count"),
    ];
    OTHER.iter().find(|(word, _)| *word == low).map(|(_, kind)| *kind)
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
    let mut made = line.to_owned();
    for token in tokens(line).into_iter().rev().filter(|t| t.sort == Sort::Word) {
        if let Some(apart) = line.get(token.at.clone()).and_then(word) {
            made.replace_range(token.at, &apart);
        }
    }
    made
}
