//! Questions at the prompt: each is worked on what stands, as the command of its name works on a file, and changes nothing.

use std::sync::atomic::AtomicBool;

use clap::ValueEnum as _;

use super::super::output::{Options, columns};
use super::super::picture::{ink, lot};
use super::super::progress::watched;
use super::super::steels::listed;
use super::super::sweep::one;
use super::super::work::Work;
use super::session::Session;
use crate::quantity::{Units, find_unit, show};
use crate::report::{Answer, Asked, NudgePage, OddsPage, PicturePage, SteelsPage, SweepPage};
use crate::source::quoted;
use crate::study::{self, Draw, MOST_SAMPLES, Side, View, inputs, last_lot};

/// Samples of `odds` where nothing is said (project figure: an answer before one looks up).
const SAMPLES: usize = 20_000;

/// Values of a figure that is swept where nothing is said (project figure: a table that fits on a screen).
const VALUES: usize = 13;

/// What a question leans on: nothing may be open.
fn asked(work: &Work) -> Result<Asked<'_>, String> {
    if !work.job.plan.asks.is_empty() {
        return Err("a `?` is open: `fill` says what would do; put a figure there first".to_owned());
    }
    Ok(Asked { files: &work.job.files, plan: &work.job.plan, units: work.units })
}

/// The same where a target is asked about.
fn aimed(work: &Work) -> Result<Asked<'_>, String> {
    let asked = asked(work)?;
    if asked.plan.targets.is_empty() {
        return Err("no target stands here: `target PIECE {`, its lines and `}` say what is asked".to_owned());
    }
    Ok(asked)
}

fn page(answer: &impl Answer) -> String {
    answer.page(columns(&std::io::stdout()))
}

/// The chance of each target: `odds`, or `odds 100000` for so many samples.
///
/// # Errors
/// Why nothing can be told.
pub fn odds(work: &Work, rest: &str) -> Result<String, String> {
    let asked = aimed(work)?;
    let samples = if rest.is_empty() { Some(SAMPLES) } else { rest.parse().ok() };
    let samples = samples.filter(|n| (1..=MOST_SAMPLES).contains(n)).ok_or_else(|| {
        format!("`odds {rest}`: a count of samples should stand there, from 1 to {MOST_SAMPLES}, as in `odds 100000`")
    })?;
    if inputs(asked.plan).is_empty() {
        let write = match work.units {
            Units::Metric => "`3 mm +- 0.1 mm`",
            Units::Inch => "`1/8 in +- 0.004 in`",
        };
        return Err(format!(
            "no figure here has a tolerance, so every run is the same: write {write} for one"
        ));
    }
    let cores = std::thread::available_parallelism().map_or(1, Into::into);
    let (stop, progress) = (AtomicBool::new(false), |_| {});
    let draw = Draw { samples, seed: 1, cores, stop: &stop, progress: &progress };
    let made = watched("drawing samples", || study::odds(asked.plan, &draw));
    Ok(page(&OddsPage { asked, odds: &made }))
}

/// A figure over a range: `sweep spread 1 wide = 55 mm .. 75 mm`.
///
/// # Errors
/// Why it is not read, or nothing moves.
pub fn sweep(work: &Work, rest: &str) -> Result<String, String> {
    let asked = aimed(work)?;
    if rest.is_empty() {
        return Err(
            "`sweep` needs a figure's address and its range, as in `sweep dark thick = 2 mm .. 4 mm`"
                .to_owned(),
        );
    }
    let vary = [one(asked.plan, "sweep", rest, VALUES)?];
    let (tests, tries) = watched("trying each value", || study::sweep(asked.plan, &vary));
    let limits = tests.iter().map(|test| test.limits(&asked.plan.values)).collect();
    Ok(page(&SweepPage { asked, vary: &vary, tests: &tests, limits, tries: &tries }))
}

/// How much each figure moves each target.
///
/// # Errors
/// Why nothing can be told.
pub fn nudge(work: &Work) -> Result<String, String> {
    let asked = aimed(work)?;
    let (tests, nudges) = watched("trying each figure", || study::nudge(asked.plan, work.units));
    Ok(page(&NudgePage { asked, tests: &tests, nudges: &nudges }))
}

/// Steels of the table: all, or those that are named.
///
/// # Errors
/// That one is not in it.
pub fn steels(rest: &str, units: Units) -> Result<String, String> {
    Ok(page(&SteelsPage(&listed(rest.split_whitespace())?, units)))
}

/// A piece as it would be seen etched: `picture`, `picture blade`, `picture blade across`.
///
/// # Errors
/// That there is no such piece or view, or why it cannot be seen from there.
pub fn picture(work: &Work, rest: &str, options: &Options) -> Result<String, String> {
    asked(work)?;
    let (mut piece, mut side) = (None, Side::ALL.first().copied());
    for word in rest.split_whitespace() {
        // A piece may go by the name of a view: most blades do.
        let is_piece = last_lot(&work.job.plan, &work.build, word).is_some();
        match Side::from_str(word, false) {
            Ok(view) if piece.is_some() || !is_piece => side = Some(view),
            _ if piece.is_none() => piece = Some(word),
            _ => {
                let sides = quoted(Side::ALL.iter().map(|side| side.told().0));
                return Err(format!("`{word}` is no view: a piece is seen from {sides}"));
            }
        }
    }
    let side = side.unwrap_or_else(|| bug!("a piece is seen from nowhere"));
    let (lot, made) = lot(work, piece).map_err(|why| why.replace("behind the file", "behind `picture`"))?;
    let view = View { side, under: 0.0, at: made.bar.long / 2.0 };
    let wide = columns(&std::io::stdout());
    let cores = std::thread::available_parallelism().map_or(1, Into::into);
    let dot = |across: f64| across / wide as f64;
    let mut seen = watched("looking at each dot", || PicturePage::of(&work.page(), lot, view, dot, cores))?;
    seen.ink = ink(options);
    Ok(seen.text(wide))
}

/// What a sum such as `3 mm + 1/8 in` comes to, in both systems where they differ; nothing where the line is none: a sum is of
/// numbers, units and the names of `let`s alone.
pub fn sum(session: &Session, line: &str) -> Option<Result<String, String>> {
    let number = |c: char| c.is_ascii_digit() || c == '.';
    let words = || line.split(|c: char| c.is_whitespace() || "+*/()".contains(c)).filter(|w| !w.is_empty());
    let behind_sign = |word: &'_ str| word.trim_start_matches('-').trim_start_matches(number).to_owned();
    let mut lets = None;
    let all_of_a_sum = words().map(behind_sign).all(|word| {
        let unit = word.is_empty() || word == "US" || find_unit(&word).is_some();
        unit || lets.get_or_insert_with(|| session.lets()).contains(&word)
    });
    // A unit alone is nothing to work out, nor is a line of signs.
    let begins = words().next().is_some_and(|word| {
        word.trim_start_matches('-').starts_with(number)
            || find_unit(word).is_none() && word != "US" && word != "-"
    });
    if !(all_of_a_sum && begins) {
        return None;
    }
    let told = session.summed(line).map(|(value, kind)| {
        let [metric, inch] = [Units::Metric, Units::Inch].map(|units| show(value, kind, units));
        if metric == inch { format!("  {metric}\n") } else { format!("  {metric}, {inch}\n") }
    });
    Some(told)
}
