//! The cautions of a recipe: in full on the sheet, in few words elsewhere.

use crate::manual::{FIRST, caution, told_each_time};
use crate::replay::{Allowed, Plan};

use super::Page;

/// All of them, one line each.
pub fn lines(plan: &Plan) -> Vec<String> {
    let told = plan.hazards().into_iter().map(caution).map(|(work, mind)| format!("{work}: {mind}"));
    told.chain([format!("before all: {FIRST}")]).collect()
}

/// Those that are told each time, and where the others are.
pub fn in_short(plan: &Plan) -> Vec<String> {
    let (full, short): (Vec<_>, Vec<_>) = plan.hazards().into_iter().partition(|h| told_each_time(*h));
    let full = full.into_iter().map(caution).map(|(work, mind)| format!("{work}: {mind}"));
    let names: Vec<&str> = short.into_iter().map(|hazard| caution(hazard).0).collect();
    full.chain([format!("{}: `heatbook explain cautions`", names.join("; "))]).collect()
}

/// The warnings that the recipe answers, a line each.
pub fn allowed(page: &Page) -> String {
    let line = |allowed: &Allowed| {
        let place = page.files.place(allowed.span);
        format!("allowed: {}, {} line {}: {}\n", allowed.name, place.file, place.line, allowed.reason)
    };
    page.verdict.allowed.iter().map(line).collect()
}
