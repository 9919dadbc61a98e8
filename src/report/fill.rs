//! The answer to a `?`: what to write, what it comes to, how far it may be off.

use std::fmt::Write as _;

use serde::Serialize;

use crate::quantity::{Kind, Units, show};
use crate::study::{Filled, Least, written};

use super::Page;
use super::check::row;

/// One answer.
#[derive(Serialize)]
pub struct Answer {
    /// Where the `?` stands.
    pub line: u32,
    /// Its words.
    pub asked: String,
    /// The best value, base unit (mm, g, °C, min, kN, fraction).
    pub exact: f64,
    /// What to write.
    pub write: String,
}

#[derive(Serialize)]
struct FillJson<'a> {
    schema: &'static str,
    found: bool,
    least: &'static str,
    objective: f64,
    answers: &'a [Answer],
    low: Option<f64>,
    high: Option<f64>,
    runs: usize,
}

/// What there is least of, as text.
fn objective(least: Least, value: f64, units: Units) -> String {
    match least {
        Least::Steel => show(value, Kind::MASS, units),
        Least::Length => show(value, Kind::LENGTH, units),
        Least::Hours => format!("{} h", crate::quantity::trim_number(value, 2)),
        Least::Heats | Least::Cost => crate::quantity::trim_number(value, 2),
    }
}

/// The answers and the margins that they leave; the page is that of the recipe with the answers in it.
#[must_use]
pub fn fill_text(page: &Page, filled: &Filled, answers: &[Answer], least: Least, at: f64) -> String {
    let mut text = String::new();
    for (answer, unknown) in answers.iter().zip(&filled.unknowns) {
        let exact = written(answer.exact, unknown.kind, page.units);
        let _ = write!(text, "line {}: `{}` is {}", answer.line, answer.asked, answer.write);
        let shown = show(answer.exact, unknown.kind, page.units);
        if exact != answer.write && !unknown.whole && shown != answer.write {
            let _ = write!(text, " (to the last digit {shown})");
        }
        text += "\n";
    }
    if let (Some((low, high)), [unknown]) = (filled.stretch, filled.unknowns.as_slice()) {
        let (a, b) = (show(low, unknown.kind, page.units), show(high, unknown.kind, page.units));
        if a == b {
            text += "  nothing else near it will do\n";
        } else {
            let _ = writeln!(text, "  anything from {a} to {b} meets every target");
        }
    }
    let _ = writeln!(text, "  {}: {}", least.word(), objective(least, at, page.units));
    for line in &page.build.lines {
        let [mark, asked, got, margin] = row(page, &line.test, line.judged.as_ref());
        let _ = writeln!(text, "  {mark}  {asked}  {got}  {margin}");
    }
    let _ = writeln!(text, "worked out in {} runs, and checked by a plain one", filled.runs);
    text
}

/// The same as JSON.
#[must_use]
pub fn fill_json(filled: &Filled, answers: &[Answer], least: Least, at: f64) -> String {
    super::json::print(&FillJson {
        schema: "heatbook-fill-1",
        found: filled.outcome.met(),
        least: least.word(),
        objective: at,
        answers,
        low: filled.stretch.map(|s| s.0),
        high: filled.stretch.map(|s| s.1),
        runs: filled.runs,
    })
}
