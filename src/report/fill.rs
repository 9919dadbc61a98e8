//! The answer to a `?`: what to write, what it comes to, how far it may be off.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::written;
use crate::quantity::{Kind, Units, show, show_count, trim_number};
use crate::study::{Filled, Least, Looked};

use super::Page;
use super::answer::{Answer, Table};
use super::diagnostics::{Record, records};
use super::fold::fold;
use super::verdict::verdicts;

/// What stands for one `?`.
#[derive(Clone, Serialize, JsonSchema)]
pub struct Filling {
    /// Where the `?` stands.
    pub line: u32,
    /// Its words.
    pub asked: String,
    /// The best value, base unit (mm, g, °C, min, kN, fraction).
    pub exact: f64,
    /// What to write.
    pub write: String,
}

/// A line that takes from the rack in the place of the store.
#[derive(Clone, Serialize, JsonSchema)]
pub struct Racked {
    /// Where it stands.
    pub line: u32,
    /// The line as it was.
    pub bought: String,
    /// What to write.
    pub write: String,
    /// What is taken, by its name on the rack.
    pub name: String,
    /// What lies there under that name.
    pub bars: String,
}

/// What stands for each `?`, or that nothing does.
pub struct FillPage<'a> {
    /// The recipe: with the answers in it, where there are any, and with the nearest try.
    pub page: Page<'a>,
    /// What was found.
    pub filled: &'a Filled,
    /// The answers; none where no value will do.
    pub answers: &'a [Filling],
    /// What there should be least of.
    pub least: Least,
    /// How much of that there is; nothing where no value will do.
    pub objective: Option<f64>,
    /// What comes from the rack in the place of the store, and whether all that lies there was tried; nothing where no rack was named.
    pub racked: Option<(&'a [Racked], bool)>,
}

#[derive(Serialize, JsonSchema)]
pub struct FillJson<'a> {
    found: bool,
    least: &'static str,
    objective: Option<f64>,
    /// Weight of the bars that come from the rack, g.
    from_rack_g: f64,
    answers: &'a [Filling],
    low: Option<f64>,
    high: Option<f64>,
    runs: usize,
    from_rack: &'a [Racked],
    faults: Vec<Record<'a>>,
}

/// What there is least of, as text.
fn objective(least: Least, value: f64, units: Units) -> String {
    match least {
        Least::Steel => show(value, Kind::MASS, units),
        Least::Length => show(value, Kind::LENGTH, units),
        Least::Hours => format!("{} h", trim_number(value, 2)),
        Least::Heats | Least::Cost => trim_number(value, 2),
    }
}

impl FillPage<'_> {
    /// The weight of what is taken from the rack, g.
    fn racked_g(&self) -> f64 {
        let (plan, build) = (self.page.plan, self.page.build);
        let bought = plan.bought().filter_map(|(_, lot)| build.lot(lot));
        let grams = build.balance.taken - bought.map(|lot| lot.mass()).sum::<f64>();
        // Beyond what rounding leaves of nothing.
        if grams > 1e-9 * build.balance.taken { grams } else { 0.0 }
    }
}

impl<'a> Answer for FillPage<'a> {
    type Json = FillJson<'a>;
    const SCHEMA: &'static str = "heatbook-fill-4";

    /// The answers and the margins that they leave.
    fn text(&self, wide: usize) -> String {
        let FillPage { page, filled, answers, least, .. } = self;
        let mut text = String::new();
        if let Some((racked, all)) = self.racked {
            for Racked { line, bought, write, bars, .. } in racked {
                text += &fold(&format!("line {line}: `{bought}` is `{write}`, {bars}"), wide);
            }
            let none = if racked.is_empty() {
                "nothing that lies on the rack was found to serve in the place of what is bought"
            } else {
                ""
            };
            let rest = if all { "" } else { "not all that lies on the rack was tried" };
            for said in [none, rest].into_iter().filter(|said| !said.is_empty()) {
                text += &fold(said, wide);
            }
        }
        for (answer, unknown) in answers.iter().zip(&filled.unknowns) {
            let exact = written(answer.exact, unknown.kind, page.units);
            let _ = write!(text, "line {}: `{}` is {}", answer.line, answer.asked, answer.write);
            let shown = show(answer.exact, unknown.kind, page.units);
            if exact != answer.write && !unknown.whole && shown != answer.write {
                let _ = write!(text, " (to the last digit {shown})");
            }
            text += "\n";
        }
        let Some(at) = self.objective else { return text };
        if let (Some((low, high)), [unknown]) = (filled.stretch, filled.unknowns.as_slice()) {
            let (a, b) = (show(low, unknown.kind, page.units), show(high, unknown.kind, page.units));
            if a == b {
                text += "  nothing else near it will do\n";
            } else {
                let _ = writeln!(text, "  anything from {a} to {b} meets every target");
            }
        }
        let from_rack = match self.racked_g() {
            grams if grams > 0.0 => format!("; from the rack {}", page.g(grams)),
            _ => String::new(),
        };
        let _ = writeln!(text, "  {}: {}{from_rack}", least.word(), objective(*least, at, page.units));
        text += &verdicts(page, wide);
        let runs = show_count(filled.runs as u64, "run");
        let _ = writeln!(text, "worked out in {runs}, and checked by a plain one");
        if filled.looked == Looked::CutShort {
            text += &fold("the search was cut short: there may be a better answer", wide);
        }
        text
    }

    fn json(&self) -> FillJson<'a> {
        FillJson {
            found: self.filled.outcome.met(),
            least: self.least.word(),
            objective: self.objective,
            from_rack_g: self.racked_g(),
            answers: self.answers,
            low: self.filled.stretch.map(|s| s.0),
            high: self.filled.stretch.map(|s| s.1),
            runs: self.filled.runs,
            from_rack: self.racked.map_or(&[], |(racked, _)| racked),
            faults: records(&self.page.verdict.faults, self.page.files),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("line asked exact write", self.answers))
    }
}
