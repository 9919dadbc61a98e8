//! The odds of a recipe: the chance of each target, what each size may come to, what drives the risk.

use std::fmt::Write as _;

use serde::Serialize;

use crate::quantity::{Units, show, trim_number};
use crate::replay::Plan;
use crate::source::Files;
use crate::study::{LineOdds, Odds};

use super::SIZES_ONLY;
use super::table::table;

fn percent(p: f64) -> String {
    let digits = if (0.005..=0.995).contains(&p) { 1 } else { 2 };
    format!("{} %", trim_number(100.0 * p, digits))
}

fn words(files: &Files, line: &LineOdds) -> String {
    files.text(line.test.span).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What an input goes by: its address, or the words where it stands.
fn named(files: &Files, plan: &Plan, odds: &Odds, input: usize) -> String {
    let Some(input) = odds.inputs.get(input) else { return String::new() };
    let address = plan.slots.get(input.slot as usize).map_or("", |s| s.address.as_str());
    if !address.is_empty() {
        return address.to_owned();
    }
    let span = plan.ground.spans.get(input.slot as usize).copied().unwrap_or_default();
    format!(
        "line {}: {}",
        files.line(span),
        files.text(span).split_whitespace().collect::<Vec<_>>().join(" ")
    )
}

/// The odds as text.
#[must_use]
pub fn odds_text(files: &Files, plan: &Plan, odds: &Odds, units: Units) -> String {
    let mut text = format!("{} samples, seed {}", odds.samples, odds.seed);
    if odds.stopped {
        text += " (stopped early)";
    }
    text += "\n\n";
    let rows = odds.lines.iter().map(|line| {
        let kind = line.test.what.kind();
        let [low, middle, high] =
            line.quantiles.map(|q| if q.is_nan() { String::new() } else { show(q, kind, units) });
        vec![
            words(files, line),
            percent(line.chance),
            format!("+- {}", percent(line.error)),
            low,
            middle,
            high,
            show(line.nominal, kind, units),
            if line.first_order > 0.0 { show(line.first_order, kind, units) } else { "none".to_owned() },
        ]
    });
    let head = ["target", "met", "", "5 %", "50 %", "95 %", "as written", "first-order u"];
    text += &table(&head, rows.collect(), 1);
    let _ = writeln!(text, "\nall targets at once: {} (+- {})", percent(odds.all), percent(odds.all_error));
    if odds.failed > 0 {
        let _ = writeln!(
            text,
            "{} of the samples could not be worked to the end; they count as missed",
            odds.failed
        );
    }
    if let Some((count, fault)) = &odds.worst_fail {
        let line = files.line(fault.span());
        let _ = writeln!(text, "  {count} of them stopped at line {line}: {}", fault.message);
    }
    text += "\nwhat drives it (share of the spread of each figure):\n";
    let mut any = false;
    for line in &odds.lines {
        let top: Vec<String> = line
            .drivers
            .iter()
            .filter(|(_, share)| *share >= 0.005)
            .take(4)
            .map(|(input, share)| format!("{} {}", named(files, plan, odds, *input), percent(*share)))
            .collect();
        if !top.is_empty() {
            any = true;
            let _ = writeln!(text, "  {}: {}", words(files, line), top.join(", "));
        }
    }
    let top: Vec<String> = odds
        .risk
        .iter()
        .filter(|(_, share)| *share >= 0.002)
        .take(5)
        .map(|(input, _)| named(files, plan, odds, *input))
        .collect();
    if !top.is_empty() {
        any = true;
        let _ = writeln!(text, "  the risk as a whole, in this order: {}", top.join(", "));
    }
    if !any {
        text += "  nothing moves any of them\n";
    }
    let _ = writeln!(
        text,
        "\ntolerances cover 95 % (k = 2) and are drawn as normal, each once a run; method: JCGM 101; u: JCGM 100, first order"
    );
    let _ = writeln!(text, "{SIZES_ONLY}");
    text
}

#[derive(Serialize)]
struct OddsJson {
    schema: &'static str,
    samples: usize,
    seed: u64,
    stopped: bool,
    failed: usize,
    all: f64,
    all_error: f64,
    lines: Vec<LineJson>,
}

#[derive(Serialize)]
struct LineJson {
    asked: String,
    chance: f64,
    error: f64,
    p5: Option<f64>,
    p50: Option<f64>,
    p95: Option<f64>,
    nominal: Option<f64>,
    first_order_u: Option<f64>,
    drivers: Vec<Driver>,
}

#[derive(Serialize)]
struct Driver {
    figure: String,
    share: f64,
}

/// The odds as JSON: base units (mm, g, fraction, HRC).
#[must_use]
pub fn odds_json(files: &Files, plan: &Plan, odds: &Odds) -> String {
    let finite = |v: f64| v.is_finite().then_some(v);
    let lines = odds.lines.iter().map(|line| {
        let [p5, p50, p95] = line.quantiles.map(finite);
        let drivers = line
            .drivers
            .iter()
            .map(|(input, share)| Driver { figure: named(files, plan, odds, *input), share: *share });
        LineJson {
            asked: words(files, line),
            chance: line.chance,
            error: line.error,
            p5,
            p50,
            p95,
            nominal: finite(line.nominal),
            first_order_u: finite(line.first_order),
            drivers: drivers.collect(),
        }
    });
    super::json::print(&OddsJson {
        schema: "heatbook-odds-1",
        samples: odds.samples,
        seed: odds.seed,
        stopped: odds.stopped,
        failed: odds.failed,
        all: odds.all,
        all_error: odds.all_error,
        lines: lines.collect(),
    })
}
