//! A chart as SVG: black on white, every line named where it runs, units on the axes.

use std::fmt::Write as _;

use crate::quantity::{Kind, Units, show, trim_number};
use crate::report::tame::markup as text;

use super::data::{ChartJson, PlannedJson};

/// The picture's sizes and its room for words, px.
const WIDE: f64 = 720.0;
const TALL: f64 = 380.0;
const LEFT: f64 = 70.0;
/// The target's words stand there.
const RIGHT: f64 = 170.0;
const TOP: f64 = 44.0;
const FOOT: f64 = 72.0;
/// Words of a line apart from each other, px.
const APART: f64 = 15.0;
/// More points than this cannot each have their figure beside them.
const MOST_NAMED: usize = 14;
/// Numbers of steps stand at least so far from each other, px.
const BETWEEN_NUMBERS: f64 = 24.0;

/// What a figure is divided by on the axis, and the unit there.
fn axis(kind: Kind, units: Units, most: f64) -> (f64, &'static str) {
    match (kind, units) {
        (Kind::MASS, Units::Metric) if most >= 1000.0 => (1000.0, "kg"),
        (Kind::MASS, Units::Metric) => (1.0, "g"),
        (Kind::MASS, Units::Inch) => (crate::quantity::LB / 16.0, "oz"),
        (_, Units::Metric) => (1.0, "mm"),
        (_, Units::Inch) => (25.4, "in"),
    }
}

/// A step between two marks of an axis: 1, 2 or 5 with noughts, so that about five fit.
fn between(most: f64) -> f64 {
    let rough = most / 5.0;
    let unit = 10f64.powf(rough.max(1e-9).log10().floor());
    let steps = [1.0, 2.0, 5.0].into_iter().find(|n| n * unit >= rough * (1.0 - 1e-9));
    steps.unwrap_or(10.0) * unit
}

/// The chart; the axis begins at nothing, so that a height is what it stands for.
pub fn svg(chart: &ChartJson, units: Units) -> String {
    let limits = || chart.limits.iter().flat_map(|l| [l.low, l.high]).flatten();
    let planned = chart.planned.iter().map(|p| p.value);
    let most = chart.points.iter().map(|p| p.value).chain(limits()).chain(planned).fold(0.0, f64::max);
    let (per, unit) = axis(chart.kind, units, most);
    let step = between(most / per);
    let top = ((most / per / step).ceil() * step).max(step);
    let y = |value: f64| TOP + (TALL - TOP - FOOT) * (1.0 - value / per / top);
    let room = WIDE - LEFT - RIGHT;
    let count = chart.points.len().max(1) as f64;
    let x = |i: usize| LEFT + room * (i as f64 + 0.5) / count;
    let title = format!("{} of {} after each step, {unit}", chart.of, chart.piece);
    let mut made = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDE} {TALL}\" role=\"img\" aria-label=\"{0}\" \
         font-family=\"sans-serif\" font-size=\"14\">\n<rect width=\"{WIDE}\" height=\"{TALL}\" fill=\"white\"/>\n\
         <text x=\"{LEFT}\" y=\"20\" font-weight=\"bold\">{0}</text>\n",
        text(&title)
    );
    let mut mark = 0.0;
    while mark <= top * (1.0 + 1e-9) {
        let at = y(mark * per);
        let _ = writeln!(
            made,
            "<line class=\"mark\" data-value=\"{}\" x1=\"{LEFT}\" x2=\"{}\" y1=\"{at:.3}\" y2=\"{at:.3}\" stroke=\"#ccc\"/>\n\
             <text x=\"{}\" y=\"{:.3}\" text-anchor=\"end\">{} {unit}</text>",
            mark * per,
            WIDE - RIGHT,
            LEFT - 6.0,
            at + 5.0,
            trim_number(mark, 4)
        );
        mark += step;
    }
    made += &asked(chart, units, &y);
    let line: Vec<String> =
        chart.points.iter().enumerate().map(|(i, p)| format!("{:.3},{:.3}", x(i), y(p.value))).collect();
    let _ = writeln!(
        made,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"2\"/>",
        line.join(" ")
    );
    made += &by_plan(chart, &x, &y);
    let last = chart.points.len().saturating_sub(1);
    let every = (BETWEEN_NUMBERS * count / room).ceil() as usize;
    for (i, point) in chart.points.iter().enumerate() {
        let (at, high) = (x(i), y(point.value));
        let _ = writeln!(
            made,
            "<circle data-n=\"{}\" data-value=\"{}\" cx=\"{at:.3}\" cy=\"{high:.3}\" r=\"4\"/>",
            point.n, point.value
        );
        if chart.points.len() <= MOST_NAMED || i == 0 || i == last {
            let said = figure(point.value, per);
            // Where the plan's figure stands above it, below.
            let above = |plan: &PlannedJson| plan.n == point.n && plan.value >= point.value;
            let words = if chart.planned.iter().any(above) { high + 20.0 } else { high - 9.0 };
            // Close to an end of many, words keep clear of the axis and of what the target says.
            let anchor = match i {
                _ if chart.points.len() <= MOST_NAMED => "middle",
                0 => "start",
                _ => "end",
            };
            made += &clear((at, words), anchor, &said);
        }
        let foot = TALL - FOOT + 18.0;
        if i % every == 0 {
            let _ =
                writeln!(made, "<text x=\"{at:.3}\" y=\"{foot}\" text-anchor=\"middle\">{}</text>", point.n);
        }
        if chart.points.len() <= MOST_NAMED {
            // Long words of many steps would run into each other: every second one stands lower.
            let row = if i % 2 == 1 && chart.points.len() > 9 { 26.0 } else { 15.0 };
            let _ = writeln!(
                made,
                "<text x=\"{at:.3}\" y=\"{}\" text-anchor=\"middle\" font-size=\"11\">{}</text>",
                foot + row,
                text(point.verb)
            );
        }
    }
    let _ = writeln!(
        made,
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">step of the recipe</text>\n</svg>",
        LEFT + room / 2.0,
        TALL - 8.0
    );
    made
}

/// What the plan alone says where the build was measured: squares, each tied to what was read there.
fn by_plan(chart: &ChartJson, x: &dyn Fn(usize) -> f64, y: &dyn Fn(f64) -> f64) -> String {
    let square = |x: f64, y: f64, more: &str| {
        let (x, y) = (x - 5.0, y - 5.0);
        format!(
            "<rect {more}x=\"{x:.3}\" y=\"{y:.3}\" width=\"10\" height=\"10\" fill=\"white\" stroke=\"#444\" stroke-width=\"2\"/>\n"
        )
    };
    let mut made = String::new();
    for plan in &chart.planned {
        let Some(i) = chart.points.iter().rposition(|p| p.n <= plan.n) else { continue };
        let (at, high) = (x(i), y(plan.value));
        let read = chart.points.get(i).map_or(high, |p| y(p.value));
        let _ = writeln!(
            made,
            "<line x1=\"{at:.3}\" x2=\"{at:.3}\" y1=\"{high:.3}\" y2=\"{read:.3}\" stroke=\"#444\" stroke-width=\"2\"/>"
        );
        made += &square(at, high, &format!("class=\"planned\" data-value=\"{}\" ", plan.value));
    }
    if !made.is_empty() {
        let from = WIDE - RIGHT + 12.0;
        made += &square(from, 16.0, "");
        let _ = writeln!(made, "<text x=\"{}\" y=\"21\">by the plan alone</text>", from + 12.0);
    }
    made
}

/// Words that can be read over a line: once broad in white, and over that in black.
fn clear((x, y): (f64, f64), anchor: &str, words: &str) -> String {
    let at = format!("<text x=\"{x:.3}\" y=\"{y:.3}\" text-anchor=\"{anchor}\"");
    format!(
        "{at} fill=\"white\" stroke=\"white\" stroke-width=\"4\" aria-hidden=\"true\">{words}</text>\n{at}>{words}</text>\n"
    )
}

/// A figure beside its point: to three digits or so, the unit stands on the axis.
fn figure(value: f64, per: f64) -> String {
    let value = value / per;
    let digits = if value.abs() < 10.0 { 2 } else { 1 };
    trim_number(value, if value.abs() >= 999.5 { 0 } else { digits })
}

/// The lines that the target draws, each with its words; words that would lie on each other are moved apart.
fn asked(chart: &ChartJson, units: Units, y: &dyn Fn(f64) -> f64) -> String {
    let ends = chart.limits.iter().flat_map(|l| [(l.low, "at least"), (l.high, "at most")]);
    let mut ends: Vec<(f64, &str)> = ends.filter_map(|(end, word)| Some((end?, word))).collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut made = String::new();
    let mut free = f64::INFINITY;
    for (value, word) in ends {
        let at = y(value);
        let words = (at + 5.0).min(free - APART);
        free = words;
        let _ = writeln!(
            made,
            "<line class=\"limit\" data-value=\"{value}\" x1=\"{LEFT}\" x2=\"{}\" y1=\"{at:.3}\" y2=\"{at:.3}\" stroke=\"black\" stroke-dasharray=\"7 4\"/>",
            WIDE - RIGHT
        );
        let said = format!("{word} {}", show(value, chart.kind, units));
        let _ = writeln!(
            made,
            "<text x=\"{}\" y=\"{words:.3}\" font-size=\"12\">{said}</text>",
            WIDE - RIGHT + 6.0
        );
    }
    made
}
