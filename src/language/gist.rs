//! What a line comes to that no form reads: the verb that it speaks of, its piece, and each figure in the clause that it can stand in. It is
//! offered, never read. The clauses, and the words that go with them, are those of the forge's table (`forge/words/gists.txt`).

use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::OnceLock;

use super::vocabulary;
use super::wording::{Sort, Token, held, kind_of, tokens};
use crate::forge::{self, Form, GISTS, WORDS, Word};
use crate::quantity::Kind;
use crate::steel::grades;

/// Lines of more words than that are no slip of the pen.
const MOST: usize = 32;
/// How far from its figure a word is still near it (project figure).
const NEAR: usize = 8;
/// Words that a line does not mean the same without.
const WEIGHTY: [&str; 16] = [
    "no",
    "not",
    "without",
    "except",
    "less",
    "more",
    "half",
    "double",
    "per",
    "turned",
    "flipped",
    "if",
    "unless",
    "never",
    "minus",
    "alternate",
];
/// Clauses that no step goes without where a line names them.
const BINDING: [&str; 12] = [
    "flux",
    "dry",
    "sealed",
    "fluoride",
    "stick",
    "bite",
    "thinning",
    "soak",
    "kerf",
    "grips",
    "staggered",
    "ground",
];
/// Words that end what is said of a figure.
const STRONG: [&str; 8] = [",", ";", "and", "then", "&", ":", "+", "but"];
/// Words that may begin what is said of the next.
const WEAK: [&str; 14] =
    ["with", "at", "for", "in", "to", "from", "on", "using", "by", "x", "taking", "under", "leaving", "@"];
/// Words that say nothing of their own in a line without figures.
const IDLE: [&str; 20] = [
    "it", "them", "up", "over", "again", "now", "then", "well", "once", "all", "out", "off", "on", "and",
    "a", "an", "in", "to", "its", "itself",
];
/// What a piece is called that has no name there.
const UNNAMED: [&str; 12] = [
    "it",
    "them",
    "billet",
    "blade",
    "bar",
    "piece",
    "stack",
    "steel",
    "knife",
    "stock",
    "both",
    "everything",
];

/// A clause that a line may come to.
#[derive(Debug)]
struct Row {
    /// The kind of its figure, as in the table of wordings; `-` none, `~` where nothing above it was come upon, `?` where the row above it
    /// was not.
    kind: char,
    /// Whether one of its words must be there.
    must: bool,
    cues: Vec<Vec<String>>,
    clause: String,
}

/// A verb, the words that say it, and its clauses.
#[derive(Debug)]
struct Gist {
    word: &'static Word,
    says: Vec<String>,
    rows: Vec<&'static Row>,
}

struct Table {
    light: Vec<String>,
    gists: Vec<Gist>,
}

fn table() -> &'static Table {
    static ALL: OnceLock<Table> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut blocks: Vec<(String, Vec<String>, Vec<&'static Row>)> = Vec::new();
        let mut light = Vec::new();
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        for line in GISTS.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with(';')) {
            if let Some(all) = line.strip_prefix("light:") {
                light = words(all);
            } else if let Some((name, says)) = line.strip_prefix('#').and_then(|l| l.split_once(':')) {
                blocks.push((name.trim().to_owned(), words(says), Vec::new()));
            } else if let Some(other) = line.strip_prefix('@') {
                let rows =
                    blocks.iter().find(|b| b.0 == other.trim()).map(|b| b.2.clone()).unwrap_or_default();
                blocks.last_mut().unwrap_or_else(|| bug!("`{line}` stands in no block")).2.extend(rows);
            } else {
                let row: &'static Row = Box::leak(Box::new(row(line)));
                blocks.last_mut().unwrap_or_else(|| bug!("`{line}` stands in no block")).2.push(row);
            }
        }
        let gists = blocks.into_iter().filter_map(|(name, mut says, rows)| {
            let word = forge::word(&name)?;
            says.extend([name].into_iter().chain(word.said.iter().map(|s| (*s).to_owned())));
            Some(Gist { word, says, rows })
        });
        Table { light, gists: gists.collect() }
    })
}

fn row(line: &str) -> Row {
    if let Some((kind, clause)) =
        ['~', '?'].into_iter().find_map(|sign| Some((sign, line.strip_prefix(sign)?)))
    {
        return Row { kind, must: false, cues: Vec::new(), clause: clause.trim().to_owned() };
    }
    let Some((head, clause)) = line.split_once("=>>") else { bug!("`{line}` is no row") };
    let (kind, cues) = head.trim().split_once(' ').unwrap_or((head.trim(), ""));
    let phrase = |cue: &str| cue.split('+').map(str::to_owned).collect();
    Row {
        kind: kind.chars().next().unwrap_or('-'),
        must: kind.ends_with('!'),
        cues: cues.split('|').filter(|c| !c.is_empty()).map(phrase).collect(),
        clause: clause.trim().to_owned(),
    }
}

/// A figure of the line.
struct Figure {
    /// Its tokens.
    at: Range<usize>,
    text: String,
    kind: Option<Kind>,
    /// The tokens that speak of it, before and behind.
    before: Range<usize>,
    behind: Range<usize>,
}

/// What a line comes to.
pub struct Gisted {
    /// The line as the language has it.
    pub text: String,
    /// Whether a figure in it is nobody's.
    pub sample: bool,
}

/// What is known around a line.
pub struct Around<'a> {
    /// Names of pieces.
    pub pieces: &'a BTreeSet<String>,
    /// The piece that was worked last.
    pub last: Option<&'a str>,
    /// The unit of the recipe's lengths.
    pub unit: Option<&'a str>,
}

fn text<'t>(line: &'t str, all: &[Token], at: &Range<usize>) -> &'t str {
    let bytes = all.get(at.start).zip(at.end.checked_sub(1).and_then(|i| all.get(i)));
    bytes.and_then(|(a, b)| line.get(a.at.start..b.at.end)).unwrap_or_default()
}

/// The figures of a line, each with the words that speak of it.
fn figures(line: &str, all: &[Token], speaks: &dyn Fn(&str) -> bool) -> Vec<Figure> {
    let mut found: Vec<Figure> = Vec::new();
    let mut at = 0;
    while at < all.len() {
        let number = all.get(at).is_some_and(|t| t.sort == Sort::Number);
        let Some(len) = number.then(|| held('Q', all, at)).flatten() else {
            at += 1;
            continue;
        };
        let range = at..at + len;
        let kind = kind_of(all, at);
        let text = text(line, all, &range).to_owned();
        found.push(Figure { before: 0..at, behind: at + len..all.len(), at: range, text, kind });
        at += len;
    }
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let mut leads = false;
    for nth in 0..found.len() {
        if nth == 0 {
            let first = found.first().map_or(0, |f| f.at.start);
            leads = (first.saturating_sub(2)..first).any(|i| speaks(low(i)));
        }
        let Some((end, next)) = found.get(nth).map(|f| f.at.end).zip(found.get(nth + 1).map(|f| f.at.start))
        else {
            continue;
        };
        let strong = (end..next).find(|i| STRONG.contains(&low(*i)));
        let weak = (end..next).rev().find(|i| WEAK.contains(&low(*i)));
        let cut = strong.or(weak).unwrap_or(if leads { end } else { next });
        if let Some(figure) = found.get_mut(nth) {
            figure.behind = end..cut;
        }
        if let Some(figure) = found.get_mut(nth + 1) {
            figure.before = cut..next;
        }
    }
    found
}

/// The place of a phrase among tokens, with its length.
fn phrase(all: &[Token], within: Range<usize>, cue: &[String]) -> Option<Range<usize>> {
    within
        .clone()
        .find(|at| cue.iter().enumerate().all(|(n, word)| all.get(at + n).is_some_and(|t| t.low == *word)))
        .map(|at| at..at + cue.len())
        .filter(|found| found.end <= within.end)
}

/// How well a row fits a figure, and the words that say so.
fn fit(row: &Row, figure: &Figure, all: &[Token]) -> Option<(usize, Option<Range<usize>>)> {
    let wanted = match row.kind {
        'L' => Some(Kind::LENGTH),
        'T' => Some(Kind::TEMPERATURE),
        'H' => Some(Kind::TIME),
        'P' => Some(Kind::RATIO),
        'A' => Some(Kind::ANGLE),
        'M' => Some(Kind::MASS),
        'C' => None,
        _ => return None,
    };
    let bare = figure.kind.is_none();
    // A bare figure may stand for one whose unit was left out, where words say so.
    let same = figure.kind == wanted;
    if !(same || bare && matches!(row.kind, 'L' | 'T' | 'P')) {
        return None;
    }
    let behind = row.cues.iter().filter_map(|cue| phrase(all, figure.behind.clone(), cue));
    let before = row.cues.iter().filter_map(|cue| {
        phrase(all, figure.before.clone(), cue).map(|found| {
            // The nearest, where one stands twice.
            let near = (figure.before.start..figure.before.end).rev();
            near.filter_map(|at| phrase(all, at..figure.before.end, cue)).next().unwrap_or(found)
        })
    });
    // By how much it is to change stands before its figure.
    let behind = behind.filter(|_| row.clause != "!");
    let behind = behind.map(|p| (2 * NEAR - (p.start - figure.at.end).min(NEAR), p));
    let before = before.map(|p| (2 * NEAR - 1 - (figure.at.start - p.end).min(NEAR), p));
    match behind.chain(before).max_by_key(|(score, _)| *score) {
        Some((score, cue)) => Some((if same { score } else { score / 2 }, Some(cue))),
        None if row.must || (bare && row.kind != 'C') => None,
        None => Some((1, None)),
    }
}

/// A figure with the unit that it lacks.
fn whole(figure: &Figure, kind: char, others: &[Figure], around: &Around, hot: bool) -> Option<String> {
    if figure.kind.is_some() || kind == 'C' {
        return Some(figure.text.clone());
    }
    let unit = match kind {
        'P' => "%",
        'T' => {
            let value = figure.text.parse::<f64>().ok().filter(|v| (100.0..3000.0).contains(v))?;
            // Steel is tempered below 300 C and worked below 1300 C (common practice).
            if value > if hot { 1300.0 } else { 300.0 } { "F" } else { "C" }
        }
        _ if figure.text.contains('/') => "in",
        _ => {
            let of = |f: &Figure| {
                f.text.rsplit(|c: char| !c.is_alphabetic()).next().unwrap_or_default().to_owned()
            };
            let known = others
                .iter()
                .filter(|f| f.kind == Some(Kind::LENGTH))
                .map(of)
                .find(|u| u == "mm" || u == "in");
            return Some(format!("{} {}", figure.text, known.as_deref().or(around.unit)?));
        }
    };
    Some(format!("{} {unit}", figure.text))
}

/// The unit that most lengths of a text are in; nothing where it has none.
pub fn unit_of(text: &str) -> Option<&'static str> {
    let of = |unit: &str| text.split(|c: char| !c.is_alphabetic()).filter(|w| *w == unit).count();
    let (inches, mm) = (of("in") + text.matches('"').count(), of("mm"));
    if inches + mm == 0 {
        return None;
    }
    Some(if inches > mm { "in" } else { "mm" })
}

/// A step of the verb that a line speaks of, where `accepts` reads it: all its figures are in it, and no word is left out that it would not
/// mean the same without.
pub fn step(line: &str, around: &Around, accepts: impl Fn(&str) -> bool) -> Option<Gisted> {
    let all = tokens(line);
    if all.len() > MOST {
        return None;
    }
    let own = |t: &Token| line.get(t.at.clone()).unwrap_or_default();
    let is_piece = |t: &Token| t.sort == Sort::Word && around.pieces.contains(own(t));
    let named: BTreeSet<&str> = all.iter().filter(|t| is_piece(t)).map(own).collect();
    let piece = match named.len() {
        1 => *named.first()?,
        0 if says_no_name(&all) => around.last?,
        _ => return None,
    };
    let table = table();
    // The verbs that the line speaks of, the first before the others, those that go with everything last.
    let mut spoken: Vec<(bool, usize, usize, &Gist)> = Vec::new();
    let works = |gist: &&Gist| matches!(gist.word.form, Form::Work | Form::Measure);
    for (rank, gist) in table.gists.iter().filter(works).enumerate() {
        let says = |t: &Token| t.sort == Sort::Word && !is_piece(t) && is_one(&t.low, &gist.says);
        let light = |t: &Token| is_one(&t.low, &table.light);
        let places = all.iter().enumerate().filter(|(_, t)| says(t));
        let best = places.map(|(at, t)| (light(t), at)).min();
        spoken.extend(best.map(|(light, at)| (light, rank, at, gist)));
    }
    spoken.sort_by_key(|(light, rank, at, _)| (*light, *rank, *at));
    spoken.into_iter().find_map(|(_, _, at, gist)| clauses(line, &all, piece, at, gist, around, &accepts))
}

/// Whether nothing in a line but a word such as `it` may be a piece.
fn says_no_name(all: &[Token]) -> bool {
    let first_name = all.iter().skip(1).find(|t| t.sort == Sort::Word);
    let known = |low: &str| {
        UNNAMED.contains(&low)
            || vocabulary::is_word(low)
            || WEAK.contains(&low)
            || IDLE.contains(&low)
            || is_cue(low)
    };
    first_name.is_none_or(|t| known(&t.low))
}

/// Whether a word is one of some, also with an ending: `forging`, `drilled`, `tapers`.
fn is_one(low: &str, of: &[String]) -> bool {
    let is = |word: &str| of.iter().any(|said| said == word);
    if is(low) {
        return true;
    }
    let Some(stem) =
        ["ing", "ed", "es", "s"].iter().find_map(|end| low.strip_suffix(end)).filter(|s| s.len() > 2)
    else {
        return false;
    };
    let doubled = stem.chars().rev().nth(1) == stem.chars().next_back();
    is(stem) || is(&format!("{stem}e")) || (doubled && stem.get(..stem.len() - 1).is_some_and(is))
}

fn is_cue(low: &str) -> bool {
    let table = table();
    let of = |gist: &Gist| {
        is_one(low, &gist.says) || gist.rows.iter().any(|row| row.cues.iter().flatten().any(|cue| cue == low))
    };
    is_one(low, &table.light) || table.gists.iter().any(of)
}

/// Whether a word may be a unit with a slip in it.
fn is_like_a_unit(low: &str) -> bool {
    let units = vocabulary::of(crate::vocabulary::Sort::Unit).flat_map(|term| term.spellings());
    low.len() <= 3 || units.filter(|u| u.len() > 2).any(|u| strsim::damerau_levenshtein(low, u) <= 1)
}

fn clauses(
    line: &str,
    all: &[Token],
    piece: &str,
    verb: usize,
    gist: &Gist,
    around: &Around,
    accepts: &impl Fn(&str) -> bool,
) -> Option<Gisted> {
    let speaks = |low: &str| {
        let of = |row: &&&Row| row.kind == 'L' && !WEAK.contains(&low);
        gist.rows.iter().filter(of).any(|row| row.cues.iter().any(|cue| cue.iter().any(|w| w == low)))
    };
    let figures = figures(line, all, &speaks);
    // A word that nothing knows behind a bare figure may be a unit: of a count where it is like one, of a size any.
    let odd = |figure: &Figure, sized: bool| {
        let next = all.get(figure.at.end).filter(|t| t.sort == Sort::Word && figure.kind.is_none());
        next.is_some_and(|t| {
            let own = line.get(t.at.clone()).unwrap_or_default();
            (sized || is_like_a_unit(&t.low))
                && !is_cue(&t.low)
                && !vocabulary::is_word(&t.low)
                && !WEAK.contains(&t.low.as_str())
                && !STRONG.contains(&t.low.as_str())
                && !around.pieces.contains(own)
        })
    };
    let mut fits: Vec<(usize, usize, usize, Option<Range<usize>>)> = Vec::new();
    for (nth, figure) in figures.iter().enumerate() {
        for (r, row) in gist.rows.iter().enumerate() {
            if let Some((score, cue)) = fit(row, figure, all) {
                fits.push((score, nth, r, cue));
            }
        }
    }
    fits.sort_by_key(|(score, nth, r, _)| (std::cmp::Reverse(*score), *nth, *r));
    let mut used: BTreeSet<usize> = (verb..verb + 1).collect();
    let mut made: Vec<Option<String>> = vec![None; gist.rows.len()];
    let mut stands: BTreeSet<usize> = BTreeSet::new();
    let hot =
        gist.word.fire != forge::Fire::None || gist.rows.iter().any(|row| row.clause.starts_with("from $"));
    for (_, nth, r, cue) in fits {
        let (Some(figure), Some(row), Some(slot)) = (figures.get(nth), gist.rows.get(r), made.get_mut(r))
        else {
            continue;
        };
        if slot.is_some() || stands.contains(&nth) || odd(figure, row.kind != 'C') {
            continue;
        }
        let Some(whole) = whole(figure, row.kind, &figures, around, hot) else { continue };
        // What is said of the size before, or by how much it is to change.
        if row.clause == "!" {
            return None;
        }
        let one = whole == "1" && row.clause.ends_with("turns");
        let clause = if one { row.clause.trim_end_matches('s') } else { &row.clause };
        *slot = Some(clause.replace('$', &whole));
        stands.insert(nth);
        used.extend(figure.at.clone().chain(cue.into_iter().flatten()));
    }
    if stands.len() < figures.len() {
        return None;
    }
    let rest = |used: &BTreeSet<usize>, cue: &[String]| {
        let at = (0..all.len()).find_map(|at| phrase(all, at..all.len().min(at + cue.len()), cue))?;
        at.clone().all(|i| !used.contains(&i)).then_some(at)
    };
    let (mut media, mut sample) = (false, false);
    for (r, row) in gist.rows.iter().enumerate() {
        if row.kind == '~'
            && made.iter().take(r).all(Option::is_none)
            && let Some(slot) = made.get_mut(r)
        {
            *slot = Some(row.clause.clone());
        }
        let above = r.checked_sub(1).and_then(|above| made.get(above)).is_some_and(Option::is_some);
        if row.kind == '?' && !above {
            sample = true;
            let mm_or_in = row
                .clause
                .split_once('|')
                .map(|(mm, inches)| if around.unit == Some("in") { inches } else { mm });
            if let Some(slot) = made.get_mut(r) {
                *slot = mm_or_in.map(|c| c.trim().to_owned());
            }
        }
        // Of clauses that are said by words alone, those behind a `+` leave each other out.
        if row.kind != '-' || (media && row.clause.starts_with('+')) {
            continue;
        }
        if let Some(at) = row.cues.iter().find_map(|cue| rest(&used, cue)) {
            used.extend(at);
            media |= row.clause.starts_with('+');
            if let Some(slot) = made.get_mut(r).filter(|_| !row.clause.is_empty()) {
                *slot = Some(row.clause.clone());
            }
        }
    }
    let left = || all.iter().enumerate().filter(|(i, t)| t.sort == Sort::Word && !used.contains(i));
    let weighs = |low: &str| {
        WEIGHTY.contains(&low)
            || BINDING.contains(&low)
            || vocabulary::is(low, crate::vocabulary::Sort::Direction)
    };
    if left().any(|(_, t)| weighs(&t.low)) {
        return None;
    }
    let idle = |t: &Token| {
        let own = line.get(t.at.clone()).unwrap_or_default();
        IDLE.contains(&t.low.as_str()) || own == piece || UNNAMED.contains(&t.low.as_str())
    };
    if figures.is_empty() && left().any(|(_, t)| !idle(t)) {
        return None;
    }
    let mut said = Vec::new();
    let mut sized = false;
    for clause in made.into_iter().flatten().filter(|clause| !clause.is_empty()) {
        let clause = match clause.strip_prefix("to ") {
            Some(size) if sized => size.to_owned(),
            _ => clause,
        };
        sized = clause.starts_with("to ") || (sized && clause.ends_with(['e', 'g', 'k']));
        match (clause.strip_prefix('+'), said.last_mut()) {
            (Some(more), Some(before)) => *before = format!("{before} {}", more.trim()),
            (Some(more), None) => said.push(more.trim().to_owned()),
            (None, _) => said.push(clause),
        }
    }
    let said: Vec<&str> = said.iter().map(String::as_str).collect();
    let whole = gist.word.write(piece, &said);
    let whole = Gisted { text: whole.trim_end().to_owned(), sample };
    accepts(&whole.text).then_some(whole)
}

/// Bars of stock of what a line names: how many, of which steel, so large.
pub fn stock(line: &str, unit: Option<&str>, accepts: impl Fn(&str) -> bool) -> Option<Gisted> {
    let all = tokens(line);
    if all.len() > MOST {
        return None;
    }
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let own = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())).unwrap_or_default();
    // What it is called is the smith's: of a name that cannot be one, that is said.
    if low(2) == "=" && vocabulary::is_reserved(low(1)) {
        return None;
    }
    let grade = (0..all.len()).find(|i| {
        let bare = all
            .get(*i)
            .is_some_and(|t| t.sort == Sort::Word || (t.sort == Sort::Number && own(*i).len() > 2));
        let sized = all.get(i + 1).is_some_and(|t| t.sort == Sort::Unit)
            || low(i + 1) == "x"
            || (*i > 0 && low(i - 1) == "x");
        bare && !sized && grades::find(own(*i)).is_some()
    })?;
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
                || f.at.end == grade)
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
    let bars = format!("{count} {shape}{plural} of {}, {}{unit}", own(grade), sizes.join(" x "));
    let made = of_form(Form::Stock)?.write(&name(line, &all)?, &[&bars]);
    let made = Gisted { text: made.trim_end().to_owned(), sample: false };
    accepts(&made.text).then_some(made)
}

fn of_form(form: Form) -> Option<&'static Word> {
    WORDS.iter().find(|word| word.form == form)
}

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
    Some("billet".to_owned())
}

/// A stack of the bars that a line names, in their order or by turns.
pub fn stack(line: &str, pieces: &BTreeSet<String>, accepts: impl Fn(&str) -> bool) -> Option<Gisted> {
    let all = tokens(line);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let gist = table().gists.iter().find(|g| g.word.form == Form::Stack)?;
    let speaks = |t: &Token| is_one(&t.low, &gist.says);
    let set = low(1) == "=" && all.iter().all(|t| t.sort != Sort::Number);
    if all.len() > MOST
        || !(set || all.iter().take(4).any(speaks))
        || all.iter().any(|t| t.sort == Sort::Unit)
    {
        return None;
    }
    let named = name(line, &all)?;
    let own = |t: &Token| line.get(t.at.clone()).unwrap_or_default();
    let mut items = Vec::new();
    for (at, token) in all.iter().enumerate() {
        // Several are called by one name.
        let one = |word: &'_ str| pieces.get(word).or_else(|| pieces.get(word.strip_suffix('s')?));
        if let Some(piece) = one(own(token)).filter(|piece| token.sort == Sort::Word && **piece != named) {
            let count = at.checked_sub(1).and_then(|i| all.get(i)).filter(|t| t.sort == Sort::Number);
            let count = count.or_else(|| {
                all.get(at.checked_sub(2)?).filter(|t| {
                    t.sort == Sort::Number && matches!(low(at - 1), "of" | "x" | "bars" | "pieces")
                })
            });
            let next = all.get(at + 1).map(|t| t.low.as_str());
            let laid = next.filter(|n| matches!(*n, "turned" | "flipped")).map(|n| format!(" {n}"));
            items.push(match count {
                Some(count) => format!("{} of {piece}{}", own(count), laid.unwrap_or_default()),
                None => format!("{piece}{}", laid.unwrap_or_default()),
            });
        }
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
        || all.iter().any(|t| t.low == "side-by-side");
    let between = all.iter().position(|t| matches!(t.low.as_str(), "between" | "inside"));
    if let (Some(_), [core, side]) = (between, items.as_slice()) {
        items = vec![side.clone(), core.clone(), side.clone()];
    }
    let turns = if turns && items.len() == 2 { "alternate " } else { "" };
    let beside = if beside { " side by side" } else { "" };
    let made = gist.word.write(&named, &[&format!("{turns}{}{beside}", items.join(", "))]);
    let made = Gisted { text: made.trim_end().to_owned(), sample: false };
    (!items.is_empty() && accepts(&made.text)).then_some(made)
}
