//! How much each figure moves each target, in words.

use std::fmt::Write as _;

use serde::Serialize;

use crate::quantity::{Kind, Units, show};
use crate::replay::Plan;
use crate::source::Files;
use crate::spec::Test;
use crate::study::Nudge;

/// Lines shown for each target.
const MOST: usize = 8;

fn words(files: &Files, test: &Test) -> String {
    files.text(test.span).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn named(files: &Files, plan: &Plan, slot: u32) -> String {
    let address = plan.slots.get(slot as usize).map_or("", |s| s.address.as_str());
    let span = plan.ground.spans.get(slot as usize).copied().unwrap_or_default();
    let line = files.line(span);
    if address.is_empty() {
        let text = files.text(span).split_whitespace().collect::<Vec<_>>().join(" ");
        format!("`{text}` (line {line}, each time)")
    } else {
        format!("{address} (line {line})")
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

/// The nudges as text.
#[must_use]
pub fn nudge_text(files: &Files, plan: &Plan, tests: &[Test], nudges: &[Nudge], units: Units) -> String {
    let mut text = String::new();
    for (line, test) in tests.iter().enumerate() {
        let mine: Vec<&Nudge> = nudges.iter().filter(|n| n.line == line).collect();
        let _ = writeln!(text, "{}", words(files, test));
        if mine.is_empty() {
            text += "  nothing here moves it by a small step\n";
        }
        for nudge in mine.iter().take(MOST) {
            let kind = plan.slots.get(nudge.slot as usize).map_or(Kind::NUMBER, |s| s.kind);
            let verb = if nudge.moves < 0.0 { "costs" } else { "gives" };
            let by = show(nudge.moves.abs(), test.what.kind(), units);
            let step = step_text(nudge.step, kind, units);
            let of = match test.what.kind() {
                Kind::NUMBER => test.what.word().to_owned(),
                _ => format!("of {}", test.what.word()),
            };
            let _ = writeln!(text, "  {step} more of {} {verb} {by} {of}", named(files, plan, nudge.slot));
        }
        if mine.len() > MOST {
            let _ = writeln!(text, "  and {} more that move it less", mine.len() - MOST);
        }
    }
    text
}

#[derive(Serialize)]
struct NudgeJson {
    figure: String,
    step: f64,
    asked: String,
    moves: f64,
    share: f64,
}

/// The nudges as JSON, in base units.
#[must_use]
pub fn nudge_json(files: &Files, plan: &Plan, tests: &[Test], nudges: &[Nudge]) -> String {
    let of = |n: &Nudge| {
        let test = tests.get(n.line)?;
        let figure = named(files, plan, n.slot);
        Some(NudgeJson { figure, step: n.step, asked: words(files, test), moves: n.moves, share: n.share })
    };
    let list: Vec<NudgeJson> = nudges.iter().filter_map(of).collect();
    super::json::print(&list)
}
