//! What a line comes to that no form reads: the verb that it speaks of, its piece, and each figure in the clause that it can stand in. It is
//! offered, never read. The clauses, and the words that go with them, are those of the forge's table (`forge/words/gists.txt`).

use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::OnceLock;

pub mod bars;
pub mod spec;

use super::vocabulary;
use super::wording::{Sort, Token, held, kind_of, tokens, weighty};
use crate::forge::{self, Form, GISTS, Word};
use crate::quantity::Kind;

/// Lines of more words than that are no slip of the pen.
const MOST: usize = 32;
/// How far from its figure a word is still near it (project figure).
const NEAR: usize = 8;
/// Words that a line, as it is offered, does not mean the same without either.
const OFFERED: [&str; 2] = ["or", "repeat"];
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
/// Words behind a figure by which something is to change.
pub const MORE: [&str; 10] =
    ["wider", "longer", "thinner", "thicker", "shorter", "broader", "narrower", "deeper", "higher", "more"];
/// Shares in words.
const SHARES: [&str; 8] = ["third", "quarter", "fourth", "fifth", "sixth", "seventh", "eighth", "tenth"];
/// Words before a step that is not this one.
const WHEN: [&str; 3] = ["after", "before", "until"];
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
    /// Of how many rows above it none was, for it to stand.
    above: usize,
    /// Whether one of its words must be there.
    must: bool,
    /// Whether they may stand anywhere.
    far: bool,
    cues: Vec<Vec<String>>,
    clause: String,
    /// What is said besides where the clause stands.
    beside: Option<String>,
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
    /// What is made by a verb of the same name.
    nouns: Vec<String>,
    /// Words that say nothing by themselves.
    idle: Vec<String>,
    /// Words that say something, and what stands in a line that says it too.
    needs: Vec<(String, Vec<String>)>,
    gists: Vec<Gist>,
}

fn table() -> &'static Table {
    static ALL: OnceLock<Table> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut blocks: Vec<(String, Vec<String>, Vec<&'static Row>)> = Vec::new();
        let (mut light, mut idle, mut needs, mut nouns) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        for line in GISTS.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with(';')) {
            if let Some(all) = line.strip_prefix("light:") {
                light = words(all);
            } else if let Some(all) = line.strip_prefix("nouns:") {
                nouns = words(all);
            } else if let Some(all) = line.strip_prefix("idle:") {
                idle.extend(words(all));
            } else if let Some(all) = line.strip_prefix("needs:") {
                needs.extend(words(all).iter().filter_map(|pair| {
                    let (word, any) = pair.split_once('>')?;
                    Some((word.to_owned(), any.split('|').map(str::to_owned).collect()))
                }));
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
            // A verb that is a noun of the trade besides begins its line.
            let own = (!says.contains(&format!("^{name}"))).then_some(name);
            says.extend(own.into_iter().chain(word.said.iter().map(|s| (*s).to_owned())));
            Some(Gist { word, says, rows })
        });
        Table { light, nouns, idle, needs, gists: gists.collect() }
    })
}

fn row(line: &str) -> Row {
    if let Some((kind, clause)) =
        ['~', '?'].into_iter().find_map(|sign| Some((sign, line.strip_prefix(sign)?)))
    {
        let digits = clause.len() - clause.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let (above, clause) = clause.split_at(digits);
        let above = above.parse().unwrap_or(1);
        return Row {
            kind,
            above,
            must: false,
            far: false,
            cues: Vec::new(),
            clause: clause.trim().to_owned(),
            beside: None,
        };
    }
    let Some((head, clause)) = line.split_once("=>>") else { bug!("`{line}` is no row") };
    let (kind, cues) = head.trim().split_once(' ').unwrap_or((head.trim(), ""));
    let phrase = |cue: &str| cue.split('+').map(str::to_owned).collect();
    let (clause, beside) = match clause.split_once(" ; ").filter(|(clause, _)| !clause.trim().is_empty()) {
        Some((clause, beside)) => (clause, Some(beside.trim().to_owned())),
        None => (clause, None),
    };
    Row {
        beside,
        kind: kind.chars().next().unwrap_or('-'),
        above: 0,
        far: kind.ends_with('*'),
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
    /// What the line says that no form has, in words.
    pub lost: Option<&'static str>,
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

/// The figures of a line, each with the words that speak of it: `speaks` says which do, `verbs` which of them say what is done besides.
fn figures(
    line: &str,
    all: &[Token],
    speaks: &dyn Fn(&str) -> bool,
    verbs: &dyn Fn(&str) -> bool,
) -> Vec<Figure> {
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
        let text = text(line, all, &range).trim_end_matches('.').to_owned();
        found.push(Figure { before: 0..at, behind: at + len..all.len(), at: range, text, kind });
        at += len;
    }
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let mut leads = false;
    for nth in 0..found.len() {
        if nth == 0 {
            let first = found.first().map_or(0, |f| f.at.start);
            // `dimples 1/4 in dia 1/8 in deep` names what is drilled, and says of each figure behind it what it is.
            let follows = || 2 * found.iter().filter(|f| speaks(low(f.at.end))).count() > found.len();
            let led = |i: usize| speaks(low(i)) && !(verbs(low(i)) && follows());
            leads = (first.saturating_sub(2)..first).any(led);
        }
        let Some((end, next)) = found.get(nth).map(|f| f.at.end).zip(found.get(nth + 1).map(|f| f.at.start))
        else {
            continue;
        };
        // `11 1/4 long not 12` says the second of something else.
        let strong = (end..next).find(|i| STRONG.contains(&low(*i)) || low(*i) == "not");
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

/// Gives bare figures of `90 x 12 x 4 mm` the unit of the last.
fn in_one_unit(figures: &mut [Figure], all: &[Token]) {
    for nth in (1..figures.len()).rev() {
        let (Some(next), Some(here)) = (figures.get(nth), figures.get(nth - 1)) else { continue };
        let between = all.get(here.at.end..next.at.start).unwrap_or_default();
        let by = matches!(between, [one] if matches!(one.low.as_str(), "x" | "×" | "*" | "by"));
        let unit =
            next.text.rsplit_once(|c: char| c.is_ascii_digit() || c == ' ').map(|(_, unit)| unit.to_owned());
        if let (true, None, Some(Kind::LENGTH), Some(unit)) = (by, here.kind, next.kind, unit)
            && let Some(here) = figures.get_mut(nth - 1)
        {
            here.text = format!("{} {unit}", here.text);
            here.kind = Some(Kind::LENGTH);
        }
    }
}

/// The place of a phrase among tokens, with its length.
fn phrase(all: &[Token], within: Range<usize>, cue: &[String]) -> Option<Range<usize>> {
    within
        .clone()
        .find(|at| cue.iter().enumerate().all(|(n, word)| all.get(at + n).is_some_and(|t| t.low == *word)))
        .map(|at| at..at + cue.len())
        .filter(|found| found.end <= within.end)
}

/// The kind of figure that a letter of the table stands for; none for a bare one.
fn kind_wanted(letter: char) -> Option<Kind> {
    match letter {
        'L' => Some(Kind::LENGTH),
        'T' => Some(Kind::TEMPERATURE),
        'H' => Some(Kind::TIME),
        'P' => Some(Kind::RATIO),
        'A' => Some(Kind::ANGLE),
        'M' => Some(Kind::MASS),
        _ => None,
    }
}

impl Row {
    /// Its clause in the unit of the recipe, of one that has it in both.
    fn example(&self, unit: Option<&str>) -> Option<String> {
        let clause = self.clause.strip_prefix('!').unwrap_or(&self.clause);
        let (mm, inches) = clause.split_once('|')?;
        Some(if unit == Some("in") { inches } else { mm }.trim().to_owned())
    }

    /// Whether its figure says by how much something is to change.
    fn is_by(&self) -> bool {
        self.clause.starts_with('!')
    }

    /// What to say of it, where no form has what it says.
    fn lost(&'static self) -> Option<&'static str> {
        self.clause.strip_prefix(';').map(str::trim)
    }
}

/// How well a row fits a figure, and the words that say so.
fn fit(
    row: &'static Row,
    figure: &Figure,
    all: &[Token],
    measured: bool,
) -> Option<(usize, Option<Range<usize>>)> {
    let wanted = kind_wanted(row.kind);
    if matches!(row.kind, '-' | '~' | '?' | '=' | 'N') {
        return None;
    }
    // Only of a turn there are parts, nothing is done a hundred times over, no share is a part of an inch, and no quench begins so cold.
    let part = figure.kind.is_none() && figure.text.contains(['/', '.']);
    let number = figure
        .text
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .next()
        .and_then(|n| n.parse::<f64>().ok());
    let many = number.is_some_and(|n| n >= 100.0);
    let turns = row.clause.ends_with("turns");
    let cold = number.is_some_and(|n| n < 500.0) && row.clause == "from $";
    // `after 2nd weld 20 x 40 x 120` counts no heats, nor does `14 x 14`.
    if row.kind == 'C' && is_by_a_size(figure, all) {
        return None;
    }
    // `reduce 1/5` says a share, `1/8` is of an inch.
    let of_an_inch = row.kind == 'P' && is_of_an_inch(&figure.text);
    if (part && (of_an_inch || (row.kind == 'C' && !turns)))
        || (row.kind == 'C' && many && !turns)
        || (row.kind == 'T' && cold)
    {
        return None;
    }
    // What is told in seconds is of the bath, and no soak.
    if row.kind == 'H' && is_brief(figure) {
        return (row.must && row.clause.is_empty()).then_some((2 * NEAR, None));
    }
    let bare = figure.kind.is_none();
    // A bare figure may stand for one whose unit was left out, where words say so.
    let same = figure.kind == wanted;
    // `down to 28` is no share.
    let unit_left_out = bare && matches!(row.kind, 'L' | 'T' | 'P') && !row.clause.contains("$'");
    if !same && !unit_left_out {
        return None;
    }
    // `off one end of it, 12 mm`.
    if row.far {
        let said = row.cues.iter().find_map(|cue| phrase(all, 0..all.len(), cue));
        // Of what no form has only the end of a change is meant: `taper to 1/4`.
        let meant = row.lost().is_none() || follows(figure, all, "to");
        return said.filter(|_| meant).map(|cue| (2, Some(cue)));
    }
    let behind = row.cues.iter().filter_map(|cue| phrase(all, figure.behind.clone(), cue));
    let before = row.cues.iter().filter_map(|cue| {
        phrase(all, figure.before.clone(), cue).map(|found| {
            // The nearest, where one stands twice.
            let near = (figure.before.start..figure.before.end).rev();
            near.filter_map(|at| phrase(all, at..figure.before.end, cue)).next().unwrap_or(found)
        })
    });
    // `four of the bars` counts them.
    if row.is_by() && bare && all.get(figure.at.end).is_some_and(|t| t.low == "of") {
        return None;
    }
    // By how much it is to change stands before its figure; so does what is not twisted but for a stretch.
    const BEFORE: [&str; 6] = ["by", "each", "down", "middle", "center", "centre"];
    let by = |p: &Range<usize>| {
        let last = p.end.checked_sub(1).and_then(|i| all.get(i));
        last.is_some_and(|t| BEFORE.contains(&t.low.as_str()))
    };
    let behind = behind.filter(|p| !row.is_by() || (p.start == figure.at.end && !by(p)));
    let before = before.filter(|p| !row.is_by() || (p.end == figure.at.start && by(p)));
    // `two faces` counts what is there, `faces 0.4` does not.
    let counted = row.cues.iter().flatten().any(|cue| cue == "step");
    let before = before.filter(|_| !(row.kind == 'C' && row.clause.is_empty()) || counted);
    // `to`, `at` and the like say it only right before their figure.
    let weak = |p: &Range<usize>| {
        let low = all.get(p.start).map_or("", |t| t.low.as_str());
        let times = low == "x" && all.get(p.end).is_none_or(|t| t.sort != Sort::Number);
        p.len() == 1 && WEAK.contains(&low) && !times
    };
    // `32 mm down to 27 mm`: the second is meant.
    let leads_on = |p: &Range<usize>| {
        all.get(p.start).is_some_and(|t| t.low == "down") && all.get(p.end).is_some_and(|t| t.low == "to")
    };
    // `80 mm pieces (kerf 2)`: the word right before the next figure is its own.
    let next = |p: &Range<usize>| {
        let number = all.get(p.end).is_some_and(|t| t.sort == Sort::Number);
        number && p.start != figure.at.end && row.must
    };
    // What no form has is said of the figure beside it: `oil, 1475 F` says no bath.
    let parts = |i: usize| all.get(i).is_some_and(|t| STRONG.contains(&t.low.as_str()));
    let apart = |mut at: Range<usize>| row.lost().is_some() && at.any(parts);
    let behind = behind.filter(|p| !weak(p) && !leads_on(p) && !next(p) && !apart(figure.at.end..p.start));
    let before = before.filter(|p| (!weak(p) || p.end == figure.at.start) && !apart(p.end..figure.at.start));
    // What a comma parts is further off, two words say more than one.
    let far = |at: Range<usize>| {
        let parted = at.clone().any(|i| all.get(i).is_some_and(|t| STRONG.contains(&t.low.as_str())));
        (at.len() + if parted { NEAR / 4 } else { 0 }).min(NEAR)
    };
    let near = |p: &Range<usize>, at: Range<usize>| 2 * NEAR - far(at) + p.len().saturating_sub(1);
    let behind = behind.map(|p| (near(&p, figure.at.end..p.start), p));
    let before = before.map(|p| (near(&p, p.end..figure.at.start).saturating_sub(1), p));
    // `5 mm to 2 mm`: the first is what it measures now.
    let ahead = |n: usize| all.get(figure.at.end + n);
    let sized = same || (bare && row.kind == 'L');
    let down = usize::from(ahead(0).is_some_and(|t| t.low == "down"));
    let now =
        ahead(down).is_some_and(|t| t.low == "to") && ahead(down + 1).is_some_and(|t| t.sort == Sort::Number);
    match behind.chain(before).max_by_key(|(score, _)| *score) {
        Some((score, cue)) => Some((if same { score } else { score / 2 }, Some(cue))),
        None if now && sized && row.kind == 'L' && row.clause.is_empty() => Some((2, None)),
        // What was measured stands in the order of the sizes.
        None if bare && row.kind == 'L' && measured => Some((1, None)),
        // A heat without its scale is told by its height, sizes without units by what parts them: `12 x 38`.
        None if row.must => None,
        None if bare && row.kind == 'T' && figure.text.parse::<f64>().is_ok_and(|v| v >= 300.0) => {
            Some((1, None))
        }
        None if bare
            && row.kind == 'L'
            && !row.clause.is_empty()
            && !row.is_by()
            && is_of_sizes(figure, all) =>
        {
            Some((1, None))
        }
        None if bare && row.kind == 'L' && row.clause.ends_with("thick") && follows(figure, all, "to") => {
            Some((1, None))
        }
        // `1/32 per side` is of the faces.
        None if bare && row.kind == 'L' && !row.must && is_of_a_side(figure, all) => Some((1, None)),
        None if bare && row.kind != 'C' => None,
        // `for 2` is a time without its unit.
        None if bare && follows(figure, all, "for") && ends_there(figure, all) => None,
        // No bar is so thick, and none so wide where it is not said.
        None if row.kind == 'L'
            && (row.clause.ends_with("thick") || row.clause.ends_with("wide"))
            && !is_of_sizes(figure, all)
            && held('B', all, figure.at.start).is_some() =>
        {
            None
        }
        None => Some((1, None)),
    }
}

/// Whether a figure is of seconds.
fn is_brief(figure: &Figure) -> bool {
    let unit = figure.text.trim_start_matches(|c: char| !c.is_alphabetic());
    figure.kind == Some(Kind::TIME)
        && matches!(unit.trim_end_matches('.'), "s" | "sec" | "secs" | "second" | "seconds")
}

/// Whether `per side` or the like stands behind a figure.
fn is_of_a_side(figure: &Figure, all: &[Token]) -> bool {
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    matches!(low(figure.at.end), "per" | "a" | "each" | "both" | "either")
        && matches!(low(figure.at.end + 1), "side" | "sides" | "face" | "faces")
}

/// Whether nothing more is said behind a figure.
fn ends_there(figure: &Figure, all: &[Token]) -> bool {
    all.get(figure.at.end).is_none_or(|t| STRONG.contains(&t.low.as_str()))
}

/// Whether a figure stands right behind a word.
fn follows(figure: &Figure, all: &[Token], word: &str) -> bool {
    figure.at.start.checked_sub(1).and_then(|i| all.get(i)).is_some_and(|t| t.low == word)
}

/// Whether a figure is parted by `x` from one that can be a size.
fn is_by_a_size(figure: &Figure, all: &[Token]) -> bool {
    let by = |i: usize| all.get(i).is_some_and(|t| matches!(t.low.as_str(), "x" | "×" | "*"));
    let number = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Number);
    let size = |i: usize| number(i) && kind_of(all, i).is_none_or(|kind| kind == Kind::LENGTH);
    let unit = |i: usize| usize::from(all.get(i).is_some_and(|t| t.sort == Sort::Unit));
    let before = figure.at.start.checked_sub(2).filter(|i| by(i + 1)).and_then(|i| i.checked_sub(unit(i)));
    (by(figure.at.end) && size(figure.at.end + 1)) || before.is_some_and(size)
}

/// Whether a figure is parted from another by `x`.
fn is_of_sizes(figure: &Figure, all: &[Token]) -> bool {
    let by = |i: usize| all.get(i).is_some_and(|t| matches!(t.low.as_str(), "x" | "×" | "*"));
    let number = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Number);
    let behind = by(figure.at.end) && number(figure.at.end + 1);
    behind
        || figure
            .at
            .start
            .checked_sub(2)
            .is_some_and(|i| by(i + 1) && (number(i) || all.get(i).is_some_and(|t| t.sort == Sort::Unit)))
}

/// A figure with the unit that it lacks.
fn whole(
    figure: &Figure,
    kind: char,
    others: &[Figure],
    around: &Around,
    hot: bool,
    times: bool,
) -> Option<String> {
    if figure.kind.is_some() || matches!(kind, 'C' | 'F') {
        return Some(figure.text.clone());
    }
    if times {
        return None;
    }
    let unit = match kind {
        'P' if figure.text.contains('/') => {
            let (top, under) = figure.text.split_once('/')?;
            let share = 100.0 * top.trim().parse::<f64>().ok()?
                / under.trim().parse::<f64>().ok().filter(|v| *v > 0.0)?;
            return Some(format!("{} %", crate::quantity::trim_number(share, 0)));
        }
        'P' => "%",
        'T' => {
            let value = figure.text.parse::<f64>().ok().filter(|v| (100.0..3000.0).contains(v))?;
            // Steel is tempered below 300 C and worked below 1300 C (common practice).
            if value > if hot { 1300.0 } else { 300.0 } { "F" } else { "C" }
        }
        // `39 1/2` where all else is metric is of millimetres: no bar is so wide.
        _ if around.unit == Some("mm")
            && (is_a_foot(&figure.text) || others.iter().any(|f| is_a_foot(&f.text))) =>
        {
            "mm"
        }
        _ if is_of_an_inch(&figure.text)
            || others.iter().any(|f| f.kind.is_none() && is_of_an_inch(&f.text)) =>
        {
            "in"
        }
        _ => {
            let of = |f: &Figure| {
                f.text.rsplit(|c: char| !c.is_alphabetic()).next().unwrap_or_default().to_owned()
            };
            let of = |f: &Figure| if f.text.ends_with('"') { "in".to_owned() } else { of(f) };
            let known = others
                .iter()
                .filter(|f| f.kind == Some(Kind::LENGTH))
                .map(of)
                .find(|u| u == "mm" || u == "in");
            // `1/32" off the edges and 0.4 off the faces`: a decimal is of what the recipe is in.
            let decimal = figure.text.contains('.') && around.unit == Some("mm");
            let known = known.filter(|_| !decimal);
            return Some(in_unit(&figure.text, known.as_deref().or(around.unit)?));
        }
    };
    Some(in_unit(&figure.text, unit))
}

/// Whether a bare figure with a part is a foot and more, were it of inches.
fn is_a_foot(figure: &str) -> bool {
    let whole =
        figure.split([' ', '-']).next().filter(|_| figure.contains('/') && figure.contains([' ', '-']));
    whole.and_then(|n| n.parse::<f64>().ok()).is_some_and(|n| n >= 12.0)
}

/// What a share leaves of the whole.
fn left_of(share: &str) -> Option<String> {
    let left = 100.0 - share.trim_end_matches(['%', ' ']).parse::<f64>().ok().filter(|v| *v < 100.0)?;
    Some(format!("{} %", crate::quantity::trim_number(left, 1)))
}

/// A figure in a unit, its tolerance too.
fn in_unit(figure: &str, unit: &str) -> String {
    match figure.split_once("+-").or_else(|| figure.split_once('±')) {
        Some((size, more)) => format!("{} {unit} +- {} {unit}", size.trim(), more.trim()),
        None => format!("{figure} {unit}"),
    }
}

/// Whether a bare size can only be of an inch: a fraction, or thousandths that begin with their point, as no metric drawing has them.
pub fn is_of_an_inch(figure: &str) -> bool {
    let thousandths = figure.starts_with('.') && figure.len() > 3;
    let under = figure.rsplit_once('/').and_then(|(_, under)| under.split(' ').next());
    under.is_some_and(|of| ["2", "4", "8", "16", "32", "64"].contains(&of)) || thousandths
}

/// The unit that most lengths of a text are in; nothing where it has none.
pub fn unit_of(text: &str) -> Option<&'static str> {
    let whole = |at: usize, unit: &str| {
        let behind = text.get(at + unit.len()..).is_some_and(|rest| !rest.starts_with(char::is_alphabetic));
        // `in 6 heats` is of no inch: a figure, or `per`, stands before a unit.
        let before = text.get(..at).unwrap_or_default().trim_end();
        behind
            && (before.ends_with(|c: char| c.is_numeric() || c == '.' || c == ')') || before.ends_with("per"))
    };
    let of = |unit: &str| text.match_indices(unit).filter(|(at, _)| whole(*at, unit)).count();
    let (inches, mm) = (of("in") + text.matches('"').count(), of("mm"));
    if inches + mm == 0 {
        return None;
    }
    Some(if inches > mm { "in" } else { "mm" })
}

/// What is counted of a twist.
const TURNS: [&str; 4] = ["turns", "turn", "twists", "twist"];

/// `per inch` as `per 1 inch`.
fn per_one(line: &str) -> String {
    let all = tokens(line);
    let mut made = line.to_owned();
    // `three turns to the inch`.
    let turns = all.iter().any(|t| TURNS.contains(&t.low.as_str()));
    let by = |low: &str| low == "per" || (turns && matches!(low, "to" | "every" | "each"));
    for (at, token) in all.iter().enumerate().rev().filter(|(_, t)| by(&t.low)) {
        if held('U', &all, at + 1).is_some() {
            made.insert_str(token.at.end, " 1");
        }
    }
    made
}

/// `1/2 by 1/2` as `1/2 x 1/2`, and `12 mm square by 12 mm` as one size.
fn across(line: String) -> String {
    let all = tokens(&line);
    let mut made = line.clone();
    for (at, by) in all.iter().enumerate().rev().filter(|(_, t)| matches!(t.low.as_str(), "by" | "x")) {
        let number = |i: usize| all.get(i).filter(|t| t.sort == Sort::Number);
        let unit =
            usize::from(at.checked_sub(1).and_then(|i| all.get(i)).is_some_and(|t| t.sort == Sort::Unit));
        let Some((first, second)) = at.checked_sub(1 + unit).and_then(number).zip(number(at + 1)) else {
            continue;
        };
        // `squash it by 15 %`, `4 bars by 2`: only of lengths.
        let kinds = [kind_of(&all, at - 1 - unit), kind_of(&all, at + 1)];
        if kinds.iter().flatten().any(|kind| *kind != Kind::LENGTH) {
            continue;
        }
        let square = all.iter().any(|t| matches!(t.low.as_str(), "square" | "sq"));
        if square && first.low == second.low {
            let end = all.get(at + 2).filter(|t| t.sort == Sort::Unit).unwrap_or(second).at.end;
            let start = if unit == 1 { by.at.start } else { first.at.start };
            let words = line.get(second.at.start..end).unwrap_or_default();
            made.replace_range(start..end, if unit == 1 { "" } else { words });
        } else if by.low == "by" {
            made.replace_range(by.at.clone(), "x");
        }
    }
    made
}

/// A step of the verb that a line speaks of, where `accepts` reads it: all its figures are in it, and no word is left out that it would not
/// mean the same without.
pub fn step(line: &str, around: &Around, accepts: &dyn Fn(&str) -> bool) -> Option<Gisted> {
    let line = &across(per_one(line));
    let all = tokens(line);
    // A file is used, and not worked; a stack is laid.
    let laid = all.first().and_then(|t| forge::word(&vocabulary::house_verb(&t.low)));
    if all.len() > MOST || line.contains(".heat") || laid.is_some_and(|word| word.form == Form::Stack) {
        return None;
    }
    // What it asks is not lost in figures that stand beside it.
    let asks = all.iter().any(|t| t.low == "?");
    // Nor is one of two sides, `faces + edges`.
    let side = |t: &Token| matches!(t.low.as_str(), "faces" | "edges");
    let both = all.windows(3).any(|three| {
        matches!(three, [a, and, b] if side(a) && side(b) && matches!(and.low.as_str(), "+" | "&" | "and"))
    });
    let sided = |made: &str| !both || (made.contains("faces") && made.contains("edges"));
    // Nor is a further step, `; twist rod same as bar`.
    let further = all.windows(3).any(|three| {
        let verb = |t: &Token| forge::word(&vocabulary::house_verb(&t.low)).is_some();
        matches!(three, [sign, word, of] if sign.low == ";" && verb(word)
            && of.sort == Sort::Word && !vocabulary::is_word(&of.low))
    });
    // `sqare it up and twist it`: where nothing knows what is done first, what is done next is not all.
    let said = |t: &Token| {
        forge::word(&vocabulary::house_verb(&t.low)).or_else(|| forge::usual(&t.low).and_then(forge::word))
    };
    let strange =
        all.first().is_some_and(|t| said(t).is_none() && !is_cue(&t.low) && !vocabulary::is_word(&t.low));
    let and_it = strange
        && all.windows(3).skip(1).any(|three| {
            matches!(three, [and, word, it] if matches!(and.low.as_str(), "and" | "then" | "," | "&")
                && matches!(it.low.as_str(), "it" | "them")
                && said(word).is_some_and(|word| word.form == Form::Work))
        });
    let further = |made: &str| !(further || and_it) || made.contains(';');
    // Nor what only this verb knows, nor that something is as large again.
    const OWN: [(&str, &str); 12] = [
        ("rods", "rods"),
        ("balls", "balls"),
        ("bow", "bow"),
        ("seed", "seed"),
        ("uneven", "uneven"),
        ("unevenly", "uneven"),
        ("bite", "bite"),
        ("drag", "drag"),
        ("reach", "reach"),
        ("web", "web"),
        ("twice", "2"),
        ("thrice", "3"),
    ];
    let lost = |made: &str| {
        OWN.iter().any(|(says, word)| all.iter().any(|t| t.low == *says) && !made.contains(word))
    };
    let further = |made: &str| further(made) && !lost(made);
    let accepts =
        &|made: &str| (!asks || made.contains('?')) && sided(made) && further(made) && accepts(made);
    // `all inches`, `(mm)`: the unit of all that has none stands at the end.
    let ends = all
        .iter()
        .rev()
        .find(|t| t.sort == Sort::Word)
        .filter(|t| all.last().is_some_and(|l| l.at.end <= t.at.end + 1));
    let unit = ends.and_then(|t| match t.low.as_str() {
        "inches" | "inch" => Some("in"),
        "mm" | "millimeters" | "millimetres" => Some("mm"),
        _ => None,
    });
    let around = &Around { unit: unit.or(around.unit), ..*around };
    let own = |t: &Token| line.get(t.at.clone()).unwrap_or_default();
    // `BILLET` is the piece `billet`, where no other is called so.
    let called = |t: &Token| {
        let own = own(t);
        let alike = || around.pieces.iter().find(|p| p.len() > 2 && p.eq_ignore_ascii_case(own));
        around.pieces.get(own).or_else(alike).filter(|_| t.sort == Sort::Word).map(String::as_str)
    };
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    // `a bright yellow` and `blade takes 2 mm` speak of the fire and of the saw.
    let other = |at: usize| {
        let next = low(at + 1);
        let by = |i: usize| ["dark", "bright", "each", "both", "per", "a", "one"].contains(&low(i));
        let side = next == "side" || (low(at) == "side" && at > 0 && by(at - 1));
        side || HUES.contains(&next)
            || matches!(next, "grooves" | "notches" | "rungs" | "slots")
            || (low(at) == "blade" && SAWS.contains(&next))
            || (at > 1 && low(at - 1) == "saw")
    };
    let named: Vec<(usize, &str)> = all
        .iter()
        .enumerate()
        .filter(|(at, _)| !other(*at))
        .filter_map(|(at, t)| Some((at, called(t)?)))
        .collect();
    // `draw billet to 3/4 in square bar`: the piece stands behind the verb, where no other is named beside it.
    let parts = |i: usize| all.get(i).is_some_and(|t| STRONG.contains(&t.low.as_str()));
    let first = named.first().filter(|(at, _)| *at == 1).filter(|_| {
        named.iter().skip(1).all(|(at, _)| at.checked_sub(1).is_none_or(|i| !parts(i)) && low(at - 1) != "to")
    });
    let named = first.map_or_else(|| named.clone(), |first| vec![*first]);
    let is_piece = |at: usize| named.iter().any(|(place, _)| *place == at);
    let names: BTreeSet<&str> = named.iter().map(|(_, name)| *name).collect();
    let piece = match names.len() {
        1 => *names.first()?,
        0 if says_no_name(&all) => around.last?,
        0 => return None,
        _ => return several(line, &all, &named, around, accepts),
    };
    if let Some(made) = series(line, around, accepts) {
        return Some(made);
    }
    let table = table();
    // The verbs that the line speaks of, the first before the others, those that go with everything last.
    let mut spoken: Vec<(bool, usize, usize, &Gist)> = Vec::new();
    let works = |gist: &&Gist| matches!(gist.word.form, Form::Work | Form::Measure);
    for (rank, gist) in table.gists.iter().filter(works).enumerate() {
        // `^word` only where a line begins; `a+b` one behind the other.
        let says = |at: usize, t: &Token| {
            let begins = || at == 0 && gist.says.iter().any(|s| s.strip_prefix('^') == Some(&t.low));
            let pair = || {
                gist.says
                    .iter()
                    .filter_map(|s| s.split_once('+'))
                    .any(|(a, b)| t.low == a && low(at + 1) == b)
            };
            t.sort == Sort::Word
                && !is_piece(at)
                && !states(&all, at)
                && (is_one(&t.low, &gist.says) || begins() || pair())
        };
        let light = |t: &Token| is_one(&t.low, &table.light);
        // `after welding` is when, not what.
        let when = |at: usize| {
            at.checked_sub(1).and_then(|i| all.get(i)).is_some_and(|t| WHEN.contains(&t.low.as_str()))
        };
        // A line that begins with a verb is none of another that it goes on with.
        let begins =
            all.first().filter(|t| !light(t)).and_then(|t| forge::word(&vocabulary::house_verb(&t.low)));
        let elsewhere = |at: usize, t: &Token| {
            let own = || is_one(&t.low, &[gist.word.word.to_owned()]);
            at > 0
                && begins.is_some_and(|b| b.word != gist.word.word)
                && (forge::word(&t.low).is_some() || own())
        };
        let places =
            all.iter().enumerate().filter(|(at, t)| says(*at, t) && !when(*at) && !elsewhere(*at, t));
        let best = places.map(|(at, t)| (light(t), at)).min();
        spoken.extend(best.map(|(light, at)| (light, rank, at, gist)));
    }
    // Of words that go with everything the verb that the line begins with comes first.
    let begins = forge::word(low(0)).is_some();
    spoken.sort_by_key(|(light, rank, at, _)| (*light, *light && begins && *at > 0, *rank, *at));
    // `clean up the bevels` says what is ground.
    let usual = all.first().and_then(|t| forge::usual(&t.low)).and_then(forge::word);
    let cleaned = |gist: &Gist| {
        usual.is_some_and(|word| {
            word.clauses().any(|key| key.word().strip_suffix('s') == Some(gist.word.word))
        })
    };
    if spoken.iter().any(|(.., gist)| usual.is_some_and(|word| word.word == gist.word.word)) {
        spoken.retain(|(.., gist)| !cleaned(gist));
    }
    // `grind in the bevels`: what a verb is called by says more than what goes with everything; `off the bevels` says only where.
    let called = |gist: &Gist| {
        let own = [gist.word.word.to_owned()];
        let off = |at: usize| matches!(low(at.wrapping_sub(1)), "off" | "from" | "of" | "=" | ",");
        let named =
            |at: usize, t: &Token| t.sort == Sort::Word && !is_piece(at) && !off(at) && is_one(&t.low, &own);
        let clause = vocabulary::is(gist.word.word, crate::vocabulary::Sort::Figured);
        !clause && !is_one(gist.word.word, &table.light) && all.iter().enumerate().any(|(at, t)| named(at, t))
    };
    let begun = all.first().is_some_and(|t| is_one(&t.low, &table.light));
    if begun && spoken.iter().any(|(_, _, at, gist)| *at > 0 && called(gist)) {
        spoken.retain(|(.., gist)| called(gist));
    }
    // A word that goes with everything names the verb only where no other does.
    if spoken.iter().any(|(light, ..)| !light) {
        spoken.retain(|(light, _, at, _)| !light || *at == 0);
    }
    spoken.into_iter().find_map(|(_, _, _, gist)| clauses(line, &all, piece, gist, around, accepts))
}

/// The verb that the words of a line speak of, where it begins with none: no figure of it is looked at.
pub fn verb(line: &str) -> Option<&'static Word> {
    let (mut all, table) = (tokens(line), table());
    // `then square it up` begins with what is done.
    let begins = all
        .iter()
        .take_while(|t| matches!(t.low.as_str(), "then" | "next" | "now" | "and" | "please"))
        .count();
    all.drain(..begins);
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let says = |says: &String, at: usize| match says.split_once('+') {
        Some((a, b)) => low(at) == a && low(at + 1) == b,
        None => says.strip_prefix('^').map_or(says == low(at), |says| at == 0 && says == low(at)),
    };
    let light = |at: usize| is_one(low(at), &table.light);
    let at = |gist: &&Gist| {
        let places = (0..all.len()).filter(|at| gist.says.iter().any(|s| says(s, *at)));
        places.min_by_key(|at| (light(*at), *at))
    };
    // A verb's own name says more than what else is said for one.
    let own = |gist: &Gist| all.iter().any(|t| is_one(&t.low, &[gist.word.word.to_owned()]));
    let found = table.gists.iter().filter_map(|gist| Some((at(&gist)?, gist)));
    let found = found.filter(|(at, _)| !states(&all, *at));
    found.min_by_key(|(at, gist)| (!own(gist), light(*at), *at)).map(|(_, gist)| gist.word)
}

/// The verb that a line means which begins with a word that goes with everything, and goes on with what is made: `grind a fuller …`.
pub fn noun(line: &str) -> Option<&'static Word> {
    let (all, table) = (tokens(line), table());
    let first = all.first().filter(|t| is_one(&t.low, &table.light))?;
    let named = |low: &str| table.gists.iter().find(|gist| is_one(low, &[gist.word.word.to_owned()]));
    // `no tang`, `after the bevels` speak of another time.
    let apart = |t: &Token| matches!(t.low.as_str(), "no" | "without" | "before" | "after" | "for");
    let made = all
        .windows(2)
        .filter(|two| matches!(two, [before, t] if table.nouns.contains(&t.low) && !apart(before)));
    let mut said = made.filter_map(|two| named(&two.last()?.low));
    said.next().map(|gist| gist.word).filter(|word| word.word != first.low)
}

/// Whether a line says a verb by its own name.
pub fn names(line: &str, word: &Word) -> bool {
    tokens(line).iter().any(|t| is_one(&t.low, &[word.word.to_owned()]))
}

/// Whether what could be a verb states a figure: `…, spread 0.4`.
pub fn states(all: &[Token], at: usize) -> bool {
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let number = |i: usize| all.get(i).is_some_and(|t| t.sort == Sort::Number);
    let next = at + 1 + usize::from(matches!(low(at + 1), "factor" | "of" | "=" | ":"));
    let both = vocabulary::is(low(at), crate::vocabulary::Sort::Figured) && forge::word(low(at)).is_some();
    at > 0 && both && number(next) && all.get(next + 1).is_none_or(|t| t.sort != Sort::Unit)
}

/// Colours of a fire.
const HUES: [&str; 8] = ["yellow", "orange", "red", "white", "cherry", "straw", "lemon", "heat"];
/// What a saw's blade does.
const SAWS: [&str; 6] = ["takes", "eats", "cuts", "loses", "removes", "kerf"];
/// The most lines that one stands for.
const LINES: usize = 6;

/// The words between two places, without what parts them from others.
fn between(line: &str, all: &[Token], mut at: Range<usize>) -> String {
    let parts = |i: usize| all.get(i).is_some_and(|t| STRONG.contains(&t.low.as_str()));
    while at.start < at.end && parts(at.end - 1) {
        at.end -= 1;
    }
    while at.start < at.end && parts(at.start) {
        at.start += 1;
    }
    text(line, all, &at).to_owned()
}

/// One step for each of several pieces that a line works alike, or each in its own way: what stands behind all of them is said of all.
fn several(
    line: &str,
    all: &[Token],
    named: &[(usize, &str)],
    around: &Around,
    accepts: &dyn Fn(&str) -> bool,
) -> Option<Gisted> {
    let (first, last) = (named.first()?.0, named.last()?.0);
    let parts = |i: &usize| all.get(*i).is_some_and(|t| STRONG.contains(&t.low.as_str()));
    let head = between(line, all, 0..first);
    // Side by side they are worked alike; else the words behind each are its own, but for the last clause where it is said of `each`.
    let alike =
        named.windows(2).all(|w| matches!(w, [a, b] if (a.0 + 1..b.0).all(|i| parts(&i)) && b.0 > a.0 + 1));
    // `fold billet, dark faces in` names no two that are folded.
    let bare =
        all.get(last + 1).is_some_and(|t| t.sort == Sort::Word) && all.iter().all(|t| t.sort != Sort::Number);
    let comma = all.get(last.saturating_sub(1)).is_some_and(|t| t.low == ",");
    if alike && bare && comma {
        return None;
    }
    let each = || all.last().is_some_and(|t| matches!(t.low.as_str(), "each" | "both" | "all" | "apiece"));
    let tail = if alike {
        last + 1
    } else {
        (last..all.len()).rev().find(parts).filter(|_| each()).unwrap_or(all.len())
    };
    if named.len() > LINES
        || head.is_empty()
        || !vocabulary::is(&vocabulary::house_verb(head.split(' ').next()?), crate::vocabulary::Sort::Verb)
    {
        return None;
    }
    let shared = between(line, all, tail..all.len().saturating_sub(usize::from(!alike && each())));
    // `opposite ways`: left and right by turns.
    let opposed = ["opposite", "contrary", "opposing"].into_iter().find_map(|word| shared.find(word));
    let shared = opposed
        .and_then(|at| shared.get(..at))
        .map_or(shared.clone(), |s| s.trim_end_matches([',', ' ']).to_owned());
    let ways = if opposed.is_some() { [", left", ", right"] } else { ["", ""] };
    let mut made = Vec::new();
    for (nth, (at, _)) in named.iter().enumerate() {
        let way = ways.get(nth % 2).copied().unwrap_or_default();
        let end = named.get(nth + 1).map_or(tail, |next| next.0);
        let own = between(line, all, *at..if alike { at + 1 } else { end });
        let one = format!("{head} {own} , {shared}{way}");
        let one = if accepts(&one) { one } else { one_step(&one, around, accepts)? };
        made.push(one);
    }
    Some(Gisted { text: made.join(" ; "), sample: false, lost: None })
}

/// A line that is no example.
fn one_step(line: &str, around: &Around, accepts: &dyn Fn(&str) -> bool) -> Option<String> {
    step(line, around, accepts).filter(|made| !made.sample).map(|made| made.text)
}

/// What heats of a treatment are counted by.
const COUNTED: [&str; 8] = ["times", "x", "cycles", "rounds", "heats", "passes", "steps", "stages"];

/// One step for each of several heats of a treatment, `870, 840 and 800 C`: what is said behind the last is said of all, unless each has words
/// of its own.
pub fn series(line: &str, around: &Around, accepts: &dyn Fn(&str) -> bool) -> Option<Gisted> {
    let all = &tokens(line);
    let treats = |t: &Token| forge::word(&vocabulary::house_verb(&t.low));
    let said = |t: &Token| table().gists.iter().find(|gist| gist.says.contains(&t.low)).map(|gist| gist.word);
    let word = all.iter().take(3).find_map(treats).or_else(|| said(all.first()?))?;
    // `temper at 400 F, after hardening at 1500 F` is of two treatments.
    if all.iter().any(|t| WHEN.contains(&t.low.as_str())) {
        return None;
    }
    let keys: Vec<_> = word.clauses().collect();
    let cycles = keys.contains(&forge::Key::At)
        && keys.contains(&forge::Key::Times)
        && !keys.contains(&forge::Key::From);
    if !cycles {
        return None;
    }
    let figures = figures(line, all, &|_| false, &|_| false);
    let unit = figures
        .iter()
        .rev()
        .find(|f| f.kind == Some(Kind::TEMPERATURE))
        .and_then(|f| f.text.rsplit_once(|c: char| c.is_ascii_digit()));
    let unit = unit.map(|(_, unit)| unit.trim().to_owned());
    let hot = |f: &&Figure| match f.kind {
        Some(kind) => kind == Kind::TEMPERATURE,
        None => f.text.parse::<f64>().is_ok_and(|v| (100.0..3000.0).contains(&v)),
    };
    let heats: Vec<&Figure> = figures.iter().filter(hot).collect();
    let (first, last) = (heats.first()?, heats.last()?);
    // `3 times, dropping 100 degrees each`.
    const FALLS: [&str; 7] =
        ["dropping", "falling", "lowering", "stepping", "decreasing", "reducing", "lower"];
    if all.iter().any(|t| FALLS.contains(&t.low.as_str()))
        && heats.windows(2).any(|w| {
            let worth = |f: &Figure| f.text.split(' ').next().and_then(|n| n.parse::<f64>().ok());
            matches!(w, [a, b] if worth(a).zip(worth(b)).is_some_and(|(a, b)| a.min(b) < 300.0))
        })
    {
        return None;
    }
    if !(2..=LINES).contains(&heats.len()) {
        return None;
    }
    // `390-400 F` is one heat.
    let spans = heats.windows(2).any(|w| {
        matches!(w, [a, b] if (a.at.end..b.at.start).any(|i| all.get(i).is_some_and(|t| matches!(t.low.as_str(), "-" | "–" | "to" | "or"))))
    });
    if spans {
        return None;
    }
    let ends: Vec<usize> = heats.iter().skip(1).map(|f| f.at.start).chain([all.len()]).collect();
    let own = figures.iter().any(|f| f.at.start > first.at.start && f.at.start < last.at.start && !hot(&f));
    // `3 times: 1600, 1500, 1350` and `in 3 falling heats` count them.
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let counts = |at: usize| {
        let count = all.get(at).is_some_and(|t| t.sort == Sort::Number) && low(at).parse() == Ok(heats.len());
        let end = (at + 1..at + 4).find(|i| COUNTED.contains(&low(*i))).filter(|_| count)? + 1;
        let all_words = (at + 1..end).all(|i| all.get(i).is_some_and(|t| t.sort == Sort::Word));
        let from = at - usize::from(at > 0 && low(at - 1) == "in");
        all_words.then_some(from..end)
    };
    let apart = |at: Range<usize>| match at.clone().find_map(counts).filter(|c| c.end <= at.end) {
        Some(count) => {
            let (before, behind) =
                (between(line, all, at.start..count.start), between(line, all, count.end..at.end));
            format!("{before} {behind}").trim().to_owned()
        }
        None => between(line, all, at),
    };
    let (head, shared) = (apart(0..first.at.start), apart(last.at.end..all.len()));
    let mut made = Vec::new();
    for (heat, end) in heats.iter().zip(ends) {
        let degrees = match (&unit, heat.kind) {
            (Some(unit), None) => format!("{} {unit}", heat.text),
            // No steel is treated above 1300 C (common practice).
            (None, None) => format!(
                "{} {}",
                heat.text,
                if heat.text.parse::<f64>().is_ok_and(|v| v > 1300.0) { "F" } else { "C" }
            ),
            _ => heat.text.clone(),
        };
        let rest = if own { between(line, all, heat.at.end..end) } else { shared.clone() };
        let rest = rest.strip_suffix("cool").unwrap_or(&rest).trim_end_matches([',', ' ']);
        let one = format!("{head} {degrees} , {rest}");
        made.push(if accepts(&one) { one } else { one_step(&one, around, accepts)? });
    }
    Some(Gisted { text: made.join(" ; "), sample: false, lost: None })
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
pub fn is_one(low: &str, of: &[String]) -> bool {
    let is = |word: &str| of.iter().any(|said| said == word);
    // `face-grind` is a kind of grinding.
    if is(low) || low.split_once('-').is_some_and(|(kind, word)| is(word) || is(kind)) {
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

/// Whether a line speaks of what is done in a form.
fn speaks_of(form: Form, all: &[Token]) -> Option<&'static Word> {
    let gist = table().gists.iter().find(|g| g.word.form == form)?;
    all.iter().any(|t| is_one(&t.low, &gist.says)).then_some(gist.word)
}

/// Whether a word goes with any verb, or with one of its clauses.
pub fn is_cue(low: &str) -> bool {
    let table = table();
    let of = |gist: &Gist| {
        is_one(low, &gist.says) || gist.rows.iter().any(|row| row.cues.iter().flatten().any(|cue| cue == low))
    };
    is_one(low, &table.light) || table.gists.iter().any(of)
}

/// Whether a word goes with every verb.
pub fn is_light(low: &str) -> bool {
    is_one(low, &table().light)
}

/// Words that say nothing by themselves.
pub fn idle() -> &'static [String] {
    &table().idle
}

/// What stands in a line that says the same as a word: one of these.
pub fn needs(low: &str) -> Option<&'static [String]> {
    table().needs.iter().find(|(word, _)| word == low).map(|(_, any)| any.as_slice())
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
    gist: &Gist,
    around: &Around,
    accepts: &dyn Fn(&str) -> bool,
) -> Option<Gisted> {
    let speaks = |low: &str| {
        let of = |row: &&&Row| row.kind == 'L' && !row.is_by() && !WEAK.contains(&low);
        gist.rows.iter().filter(of).any(|row| row.cues.iter().any(|cue| cue.iter().any(|w| w == low)))
    };
    let verbs = |low: &str| is_one(low, &gist.says);
    let mut figures = figures(line, all, &speaks, &verbs);
    in_one_unit(&mut figures, all);
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
    let first = all.first().and_then(|t| forge::word(&vocabulary::house_verb(&t.low)));
    let measured = first.is_some_and(|word| word.form == Form::Measure && word.word == gist.word.word);
    let mut fits: Vec<(usize, usize, usize, Option<Range<usize>>)> = Vec::new();
    for (nth, figure) in figures.iter().enumerate() {
        for (r, row) in gist.rows.iter().enumerate() {
            // What says nothing new stands beside the figure that does.
            let other = |(n, f): (usize, &Figure)| {
                let same = |kind| Some(kind) == kind_wanted(row.kind);
                let hot = || f.text.parse::<f64>().is_ok_and(|v| v >= 300.0);
                let bare = (row.kind == 'L' && is_of_an_inch(&f.text)) || (row.kind == 'T' && hot());
                n != nth && f.kind.map_or(bare, same)
            };
            let alone = row.kind != 'C' && !figures.iter().enumerate().any(other);
            let unsaid =
                row.clause.is_empty() || (row.lost().is_some() && gist.word.fire == forge::Fire::Quench);
            if row.must && unsaid && alone && !is_brief(figure) {
                continue;
            }
            // `9 mm by 38 mm` parts two sizes; the first is not asked for by how much.
            if row.is_by() && nth > 0 {
                continue;
            }
            if let Some((score, cue)) = fit(row, figure, all, measured) {
                fits.push((score, nth, r, cue));
            }
        }
    }
    fits.sort_by_key(|(score, nth, r, _)| (std::cmp::Reverse(*score), *nth, *r));
    let (mut media, mut sample, mut lost) = (false, false, None);
    let mut used: BTreeSet<usize> = BTreeSet::new();
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
        let times = all.get(figure.at.end).is_some_and(|t| t.low == "times");
        // `10 mm wider` says by how much.
        let more = all.get(figure.at.end).is_some_and(|t| MORE.contains(&t.low.as_str()));
        if more && row.clause.starts_with("to ") {
            return None;
        }
        // By how much it is to change: an example stands in its place.
        if row.is_by() {
            *slot = Some(row.example(around.unit)?);
            sample = true;
            stands.insert(nth);
            used.extend(figure.at.clone().chain(cue.into_iter().flatten()));
            continue;
        }
        // What no form has is said besides.
        if let Some(said) = row.lost() {
            lost = lost.or(Some(said));
            *slot = Some(String::new());
            stands.insert(nth);
            // `water of 40 C` says the water all the same, `not below 900 C` nothing else.
            let weighs = |i: &usize| all.get(*i).is_some_and(|t| weighty(&t.low));
            used.extend(figure.at.clone().chain(cue.into_iter().flatten().filter(weighs)));
            continue;
        }
        let Some(whole) = whole(figure, row.kind, &figures, around, hot, times) else { continue };
        // `to 80 % of its height` says what is left.
        let whole = if row.clause.contains("$'") { left_of(&whole)? } else { whole };
        let one = whole == "1" && row.clause.ends_with("turns");
        let clause = if one { row.clause.trim_end_matches('s') } else { &row.clause };
        *slot = Some(clause.replace("$'", "$").replace('$', &whole));
        lost = lost.or(row.beside.as_deref());
        stands.insert(nth);
        // `per face`, `a side`.
        let per = cue
            .as_ref()
            .and_then(|cue| cue.start.checked_sub(1))
            .filter(|i| all.get(*i).is_some_and(|t| t.low == "per"));
        // `in 130 F canola`: what says nothing new of its figure may say something by itself.
        let cue = cue.filter(|_| !row.clause.is_empty());
        used.extend(figure.at.clone().chain(cue.into_iter().flatten()).chain(per));
        // `grips 25 mm both ends` says it twice.
        let windows = [figure.before.clone(), figure.behind.clone()];
        let again = row.cues.iter().filter(|cue| cue.iter().all(|word| BINDING.contains(&word.as_str())));
        let again = again.flat_map(|cue| windows.iter().filter_map(|at| phrase(all, at.clone(), cue)));
        used.extend(again.flatten());
    }
    if stands.len() < figures.len() {
        return None;
    }
    let low = |i: usize| all.get(i).map_or("", |t| t.low.as_str());
    let rest = |used: &BTreeSet<usize>, cue: &[String]| {
        let at = (0..all.len()).find_map(|at| phrase(all, at..all.len().min(at + cue.len()), cue))?;
        // A piece may be called `left`.
        let named = |i: usize| all.get(i).and_then(|t| line.get(t.at.clone())) == Some(piece);
        at.clone().all(|i| !used.contains(&i) && !named(i)).then_some(at)
    };
    // Of clauses that leave each other out the first that is said stands.
    let medium =
        gist.rows.iter().enumerate().filter(|(_, row)| row.kind == '-' && row.clause.starts_with('+'));
    let medium = medium
        .filter_map(|(r, row)| {
            Some((row.cues.iter().filter_map(|cue| rest(&used, cue)).map(|p| p.start).min()?, r))
        })
        .min()
        .map(|(_, r)| r);
    for (r, row) in gist.rows.iter().enumerate() {
        let none_above = made.iter().take(r).all(Option::is_none);
        if let Some(slot) = made.get_mut(r).filter(|_| row.kind == '~' && none_above) {
            *slot = Some(row.clause.clone());
        }
        let above = made.get(r.saturating_sub(row.above)..r).unwrap_or_default();
        if row.kind == '?' && above.iter().all(Option::is_none) {
            sample = true;
            if let Some(slot) = made.get_mut(r) {
                *slot = row.example(around.unit);
            }
        }
        // `call it tail`.
        if row.kind == 'N' {
            let said = |cue: &Vec<String>| {
                let at = rest(&used, cue)?.end;
                let at = at + usize::from(low(at) == "it");
                let name = all.get(at).filter(|t| {
                    t.sort == Sort::Word
                        && !vocabulary::is_reserved(&t.low)
                        && !IDLE.contains(&t.low.as_str())
                })?;
                Some((at, line.get(name.at.clone())?))
            };
            if let Some((at, name)) = row.cues.iter().find_map(said) {
                used.insert(at);
                if let Some(slot) = made.get_mut(r) {
                    *slot = Some(row.clause.replace('$', name));
                }
            }
        }
        // `to half its length` says no figure.
        if row.kind == '='
            && let Some(at) = row.cues.iter().find_map(|cue| rest(&used, cue))
        {
            if let Some(slot) = made.get_mut(r) {
                *slot = row.example(around.unit);
            }
            (sample, _) = (true, used.extend(at));
        }
        // Of clauses that are said by words alone, those behind a `+` leave each other out.
        if row.kind != '-' || (row.clause.starts_with('+') && (media || medium != Some(r))) {
            continue;
        }
        if let Some(at) = row.cues.iter().find_map(|cue| rest(&used, cue)) {
            if row.clause == "!" {
                return None;
            }
            used.extend(at);
            // `dry, no flux` says it twice.
            while let Some(at) = row.cues.iter().find_map(|cue| rest(&used, cue)) {
                used.extend(at);
            }
            if let Some(said) = row.lost() {
                lost = lost.or(Some(said));
                continue;
            }
            media |= row.clause.starts_with('+');
            if let Some(slot) = made.get_mut(r).filter(|_| !row.clause.is_empty()) {
                *slot = Some(row.clause.clone());
            }
        }
    }
    let is_piece = |t: &Token| line.get(t.at.clone()) == Some(piece);
    let left =
        || all.iter().enumerate().filter(|(i, t)| t.sort == Sort::Word && !used.contains(i) && !is_piece(t));
    let is_end = |word: &str| vocabulary::is(word, crate::vocabulary::Sort::End);
    let ended = made.iter().flatten().any(|clause| clause.split(' ').any(is_end));
    let weighs = |low: &str| {
        weighty(low)
            || OFFERED.contains(&low)
            || (is_end(low) && !ended)
            || BINDING.contains(&low)
            || vocabulary::is(low, crate::vocabulary::Sort::Direction)
    };
    // `a sixth thinner` says how much.
    let share =
        |at: usize| SHARES.contains(&low(at)) && matches!(low(at.wrapping_sub(1)), "a" | "an" | "1" | "by");
    // So does a unit without its figure.
    let unit = |at: usize| {
        held('U', all, at).is_some()
            && matches!(low(at.wrapping_sub(1)), "to" | "per" | "every" | "each" | "an" | "1")
    };
    if left().any(|(at, t)| weighs(&t.low) || share(at) || unit(at)) {
        return None;
    }
    let idle = |t: &Token| {
        let own = line.get(t.at.clone()).unwrap_or_default();
        let verb = is_one(&t.low, &gist.says) || is_one(&t.low, &table().light);
        // `dark side in` speaks of no piece.
        let said = around.pieces.contains(own);
        verb || said || IDLE.contains(&t.low.as_str()) || own == piece || UNNAMED.contains(&t.low.as_str())
    };
    if figures.is_empty() && !sample && left().any(|(_, t)| !idle(t)) {
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
    let whole = Gisted { text: whole.trim_end().to_owned(), sample, lost };
    accepts(&whole.text).then_some(whole)
}
