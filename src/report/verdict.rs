//! The verdict on a recipe in words: what it comes to, and each target and checkpoint, met or missed.

use crate::quantity::{show_count, trim_number};
use crate::spec::{Judged, Test};
use crate::study::{as_known, at_place, got, tested};

use super::Page;
use super::fold::fold;
use super::table::table;
use crate::replay::TargetPlan;

/// Checkpoints that are shown to people: a `repeat` may have thousands (project figure).
const MOST_EXPECTS: usize = 200;

/// The verdict: what the recipe comes to, and each of its targets and checkpoints.
#[must_use]
pub fn verdict_text(page: &Page, wide: usize) -> String {
    let (build, judged) = (page.build, page.verdict);
    let faults = show_count(judged.faults.len() as u64, "fault");
    let warnings = show_count(judged.warnings.len() as u64, "warning");
    let word = match (judged.met, build.lines.is_empty()) {
        (true, true) if page.plan.steps.is_empty() => super::NO_STEP,
        (true, true) => "it can be worked, and there is no target to meet",
        (true, false) => "the recipe makes its spec",
        (false, _) => "the recipe does not make its spec as written",
    };
    let mut text = fold(&format!("{}: {word} ({faults}, {warnings})", page.name), wide);
    for (index, target) in page.plan.targets.iter().enumerate() {
        let lines: Vec<_> = build.lines.iter().filter(|l| l.target == index).collect();
        if lines.is_empty() {
            continue;
        }
        let rows = lines.iter().map(|l| verdict(page, &l.test, l.judged.as_ref()));
        text += &format!("{}\n{}", ordered(page, target), rows_text(rows, wide));
        for line in &lines {
            text += &fold(&(both_counts(page, line) + &missed_at(page, line)), wide);
        }
    }
    let expects: Vec<_> = build.ledger.checked.chunk_by(|a, b| a.step == b.step).collect();
    for checked in expects.iter().take(MOST_EXPECTS) {
        let Some(first) = checked.first() else { continue };
        let (line, name) = (page.at_line(first.test.span), page.plan.ground.lot_name(first.lot));
        let rows = checked.iter().map(|c| verdict(page, &c.test, Some(&c.judged)));
        text += &format!("expect {name}, {line}\n{}", rows_text(rows, wide));
    }
    let more = expects.get(MOST_EXPECTS..).unwrap_or_default();
    if !more.is_empty() {
        let missed = more.iter().filter(|checked| checked.iter().any(|c| !c.judged.met)).count();
        let told = if missed == 0 { "all met".to_owned() } else { format!("{missed} of them missed") };
        text += &fold(&format!("and {}: {told}", show_count(more.len() as u64, "more checkpoint")), wide);
    }
    text
}

/// A target's piece; of an order how many are asked for and made, and what they weigh together.
fn ordered(page: &Page, target: &TargetPlan) -> String {
    let lot = target.lot.and_then(|lot| page.build.lot(lot));
    let (Some((wanted, _)), Some(lot)) = (target.count, lot) else { return target.piece.clone() };
    let rest = match lot.count.checked_sub(wanted) {
        None => format!("{} are made", lot.count),
        Some(0) => "so many are made".to_owned(),
        Some(1) => "1 more is made, and is left over".to_owned(),
        Some(more) => format!("{more} more are made, and are left over"),
    };
    let weight = lot.bar.mass * f64::from(lot.count.min(wanted));
    format!("{wanted} of {}, each alike: {rest}; {} in all", target.piece, page.g(weight))
}

/// A piece, and of an order for how many of it: `3 of blade`.
pub(super) fn of_order(piece: &str, wanted: Option<u32>) -> String {
    wanted.map_or_else(|| piece.to_owned(), |wanted| format!("{wanted} of {piece}"))
}

/// Verdicts as rows.
fn rows_text(rows: impl IntoIterator<Item = [String; 4]>, wide: usize) -> String {
    let rows =
        rows.into_iter().map(|[mark, asked, got, margin]| vec![format!("  {mark}"), asked, got, margin]);
    table([""; 4], rows, 2, wide)
}

/// Met or missed, what was asked, what was got, by how much.
pub(super) fn verdict(page: &Page, test: &Test, judged: Option<&Judged>) -> [String; 4] {
    let asked = page.files.words(test.span);
    let Some(judged) = judged else {
        return ["not made".to_owned(), asked, String::new(), String::new()];
    };
    let units = test.told_in(page.units, page.plan.units());
    let told = |figure: f64| tested(page.plan, test, figure, units);
    let margin = as_known(test, judged).margin;
    let margin = match (judged.met, margin.is_finite()) {
        (true, true) => format!("{} to spare", told(margin)),
        (false, true) if judged.low.is_some_and(|low| judged.got < low) => format!("{} short", told(-margin)),
        (false, true) => format!("{} over", told(-margin)),
        _ => String::new(),
    };
    let mark = if judged.met { "met" } else { "MISSED" };
    [mark.to_owned(), asked, got(page.plan, test, judged, units), margin]
}

/// Every line of the targets with its verdict.
pub(super) fn verdicts(page: &Page, wide: usize) -> String {
    rows_text(page.build.lines.iter().map(|l| verdict(page, &l.test, l.judged.as_ref())), wide)
}

/// Where along a blade a line is missed.
fn missed_at(page: &Page, line: &crate::replay::Line) -> String {
    let Some(judged) = line.judged.filter(|j| !j.met && j.at.is_some()) else { return String::new() };
    let (asked, units) = (page.files.words(line.test.span), line.test.told_in(page.units, page.plan.units()));
    format!("  note: `{asked}` is missed{}\n", at_place(&judged, units))
}

/// Where a layer count is met and fewer bands can be seen, both are said.
fn both_counts(page: &Page, line: &crate::replay::Line) -> String {
    let (Some(judged), Some(lot)) = (line.judged, page.build.lot(line.lot)) else { return String::new() };
    if line.test.what != crate::spec::What::Layers || line.test.part.is_some() || !judged.met {
        return String::new();
    }
    let bands = crate::piece::bands(&page.build.bench.makeup, lot.bar.node, lot.bar.thick);
    let Some(low) = judged.low.filter(|low| (bands as f64) < *low) else { return String::new() };
    let layers = page.build.bench.makeup.layers(lot.bar.node);
    let bands = show_count(bands, "band");
    format!(
        "  note: {layers} layers by the trade's count, but {bands} can be told apart, under the {} asked: like faces run together, or layers were ground off\n",
        trim_number(low, 0)
    )
}
