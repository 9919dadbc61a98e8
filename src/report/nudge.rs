//! How much each figure moves each target, in words.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{Kind, Units, show};
use crate::replay::{Plan, SlotInfo};
use crate::source::Files;
use crate::spec::{Test, What};
use crate::study::{Nudge, tested};

use super::answer::{Answer, Table};
use super::run::unit;
use super::{Asked, at_line};

/// Lines shown for each target.
const MOST: usize = 8;

fn named(files: &Files, plan: &Plan, slot: u32) -> String {
    let (SlotInfo { address, .. }, span) = plan.figure(slot);
    let line = at_line(files, span);
    if address.is_empty() {
        let text = files.words(span);
        format!("`{text}` ({line}, each time)")
    } else {
        format!("{address} ({line})")
    }
}

/// A difference: temperatures are steps, not points on the scale.
fn step_text(step: f64, kind: Kind, units: Units) -> String {
    if kind == Kind::TEMPERATURE {
        return match units {
            Units::Metric => format!("{} C", crate::quantity::trim_number(step, 1)),
            Units::Inch => format!("{} F", crate::quantity::trim_number(step * 1.8, 1)),
        };
    }
    show(step, kind, units)
}

/// How much each figure moves each target.
pub struct NudgePage<'a> {
    /// The recipe.
    pub asked: Asked<'a>,
    /// The lines of its targets.
    pub tests: &'a [Test],
    /// The nudges, the strongest first.
    pub nudges: &'a [Nudge],
}

#[derive(Serialize, JsonSchema)]
pub struct NudgesJson {
    nudges: Vec<NudgeJson>,
}

/// What a step of one figure does to one target, both in base units.
#[derive(Serialize, JsonSchema)]
pub struct NudgeJson {
    figure: String,
    step: f64,
    step_unit: &'static str,
    asked: String,
    moves: f64,
    unit: &'static str,
    share: f64,
}

/// What a figure of a test is one of: "of width", "layers".
fn amount(what: What, moves: f64) -> String {
    match (what.kind(), what.word()) {
        (Kind::NUMBER, word) if moves.abs() == 1.0 => word.trim_end_matches('s').to_owned(),
        (Kind::NUMBER, word) => word.to_owned(),
        (_, word) => format!("of {word}"),
    }
}

impl Answer for NudgePage<'_> {
    type Json = NudgesJson;
    const SCHEMA: &'static str = "heatbook-nudge-1";

    fn text(&self, _: usize) -> String {
        let Asked { files, plan, units } = self.asked;
        let mut text = String::new();
        for (line, test) in self.tests.iter().enumerate() {
            let mine: Vec<&Nudge> = self.nudges.iter().filter(|n| n.line == line).collect();
            let _ = writeln!(text, "{}", files.words(test.span));
            if mine.is_empty() {
                text += "  nothing here moves it by a small step\n";
            }
            for nudge in mine.iter().take(MOST) {
                let by = tested(plan, test, nudge.moves.abs(), units);
                let step = step_text(nudge.step, self.kind(nudge), units);
                let (verb, of) = match (test.what.of_the_build(), nudge.moves < 0.0) {
                    (true, true) => ("takes", format!("off the {}", test.what.word())),
                    (true, false) => ("adds", format!("to the {}", test.what.word())),
                    (false, less) => (if less { "costs" } else { "gives" }, amount(test.what, nudge.moves)),
                };
                let _ =
                    writeln!(text, "  {step} more of {} {verb} {by} {of}", named(files, plan, nudge.slot));
            }
            if mine.len() > MOST {
                let _ = writeln!(text, "  and {} more that move it less", mine.len() - MOST);
            }
        }
        text
    }

    fn json(&self) -> NudgesJson {
        let Asked { files, plan, .. } = self.asked;
        let one = |nudge: &Nudge| {
            let Some(test) = self.tests.get(nudge.line) else { bug!("a target is moved that is none") };
            NudgeJson {
                figure: named(files, plan, nudge.slot),
                step: nudge.step,
                step_unit: unit(self.kind(nudge)),
                asked: files.words(test.span),
                moves: nudge.moves,
                unit: unit(test.what.kind()),
                share: nudge.share,
            }
        };
        NudgesJson { nudges: self.nudges.iter().map(one).collect() }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("figure step step_unit asked moves unit share", self.json().nudges))
    }
}

impl NudgePage<'_> {
    fn kind(&self, nudge: &Nudge) -> Kind {
        self.asked.plan.figure(nudge.slot).0.kind
    }
}
