//! No value will do: which target stands in the way, and how near the best try came.

use crate::quantity::{Units, show, written};
use crate::replay::Plan;
use crate::source::{Code, Diagnostic};

use crate::study::solve::fill::{Filled, Looked};
use crate::study::solve::runs::{Least, Runs};

/// What to say of the nearest try.
#[must_use]
pub fn nearest_miss(plan: &Plan, filled: &Filled, units: Units) -> Vec<Diagnostic> {
    let mut runs = Runs::new(plan, Least::Steel);
    let set = filled.set();
    let tried = filled.unknowns.iter().zip(&filled.values).map(|(u, v)| written_short(*v, u.kind, units));
    let tried = tried.collect::<Vec<_>>().join(", ");
    let asked = plan.asks.first().map(|a| a.span).unwrap_or_default();
    let between = match filled.unknowns.as_slice() {
        [one] => {
            let (a, b) = (show(one.low, one.kind, units), show(one.high, one.kind, units));
            let own = if one.bounded { "the bounds asked for" } else { "without bounds of its own" };
            format!("looked for from {a} to {b}, {own}")
        }
        many => format!("{} values were looked for together", many.len()),
    };
    let (none, between) = match filled.looked {
        Looked::AtAll => ("no value", between),
        Looked::AllOver => ("no value was found that", between),
        Looked::CutShort => ("no value was found that", format!("{between}; the search was cut short")),
    };
    if let Err((_, fault)) = runs.run_or_fault(&set) {
        let message = format!("{none} lets the recipe be worked to its end");
        let mut made = Diagnostic::new(Code::NoAnswer, message, asked, format!("the best try was {tried}"));
        if let Some(fault) = fault {
            for label in &fault.labels {
                made = made.and(label.span, format!("{}: {}", fault.message, label.text));
            }
        }
        return vec![made.help(between)];
    }
    let mut found = Vec::new();
    for (test, judged) in runs.lines() {
        let Some(judged) = judged.filter(|j| !j.met) else { continue };
        let kind = test.what.kind();
        if judged.got.is_nan() {
            let message = format!("{none} meets this target: it cannot be told of the nearest try");
            let fault = Code::NoAnswer.says(message).at(test.span, "this stands in the way");
            found.push(fault.and(asked, format!("the nearest try was {tried}")).help(between.clone()));
            continue;
        }
        let (got, by) = (show(judged.got, kind, units), show(judged.margin.abs(), kind, units));
        let way = if judged.low.is_some_and(|low| judged.got < low) { "short" } else { "over" };
        let message = format!("{none} meets this target: the nearest try comes to {got}, {by} {way}");
        let fault = Code::NoAnswer.says(message).at(test.span, "this stands in the way");
        found.push(fault.and(asked, format!("the nearest try was {tried}")).help(between.clone()));
    }
    if found.is_empty() {
        let message = format!("{none} meets every checkpoint on the way");
        let fault = Diagnostic::new(Code::NoAnswer, message, asked, format!("the nearest try was {tried}"));
        found.push(fault.help(between));
    }
    found
}

fn written_short(value: f64, kind: crate::quantity::Kind, units: Units) -> String {
    let short = show(value, kind, units);
    if short.is_empty() { written(value, kind, units) } else { short }
}
