//! A chart as SVG: black on white, every line named where it runs, units on the axes.

use std::fmt::Write as _;

use crate::quantity::{Kind, Units, show, trim_number};
use crate::report::tame::markup as text;

use super::data::ChartJson;
use super::frame::{Drawn, WIDE, begin, between, ends, long};

/// The picture's sizes and its room for words, px: three of them stand on a sheet of A4 or Letter.
const TALL: f64 = 288.0;
const LEFT: f64 = 70.0;
/// The target's words stand there.
const RIGHT: f64 = 170.0;
const TOP: f64 = 40.0;
const FOOT: f64 = 68.0;
/// More points than this cannot each have their figure beside them.
const MOST_NAMED: usize = 14;
/// Numbers of steps stand at least so far from each other, px.
const BETWEEN_NUMBERS: f64 = 24.0;
/// Letters of the verbs under the axis, px.
const VERB: f64 = 11.0;

/// What a figure is divided by on the axis, and the unit there.
pub fn axis(kind: Kind, units: Units, most: f64) -> (f64, &'static str) {
    match (kind, units) {
        (Kind::MASS, Units::Metric) if most >= 1000.0 => (1000.0, "kg"),
        (Kind::MASS, Units::Metric) => (1.0, "g"),
        (Kind::MASS, Units::Inch) => (crate::quantity::LB / 16.0, "oz"),
        (_, Units::Metric) => (1.0, "mm"),
        (_, Units::Inch) => (25.4, "in"),
    }
}

/// The chart; the axis begins at nothing, so that a height is what it stands for.
pub fn svg(chart: &ChartJson, units: Units) -> String {
    let limits = || chart.limits.iter().flat_map(|l| [l.low, l.high]).flatten();
    let planned = chart.planned.iter().map(|p| p.value);
    let most = chart.points.iter().map(|p| p.value).chain(limits()).chain(planned).fold(0.0, f64::max);
    let (per, unit) = axis(chart.kind, units, most);
    let step = between(most / per / 5.0);
    let top = ((most / per / step).ceil() * step).max(step);
    let y = |value: f64| TOP + (TALL - TOP - FOOT) * (1.0 - value / per / top);
    let room = WIDE - LEFT - RIGHT;
    let count = chart.points.len().max(1) as f64;
    let x = |i: usize| LEFT + room * (i as f64 + 0.5) / count;
    let title = format!("{} of {} after each step, {unit}", chart.of, chart.piece);
    let mut made = begin(TALL, LEFT, &title);
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
    let mut said = Vec::new();
    for asked in &chart.limits {
        let (lines, words) = limit([asked.low, asked.high], chart.kind, units, [LEFT, WIDE - RIGHT], &y);
        (made, said) = (made + &lines, [said, words].concat());
    }
    let levels = said.iter().map(|(at, _)| *at).collect();
    made += &ends(&mut said, WIDE - RIGHT + 6.0);
    let line: Vec<String> =
        chart.points.iter().enumerate().map(|(i, p)| format!("{:.3},{:.3}", x(i), y(p.value))).collect();
    let _ = writeln!(
        made,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"2\"/>",
        line.join(" ")
    );
    let (squares, planned) = by_plan(chart, &x, &y);
    made += &squares;
    let at = |(i, value): (usize, f64)| [x(i), y(value)];
    let mut drawn = Drawn {
        within: [LEFT - 5.0, TOP - 14.0, WIDE - RIGHT + 4.0, TALL - FOOT],
        points: chart.points.iter().map(|p| p.value).enumerate().map(at).collect(),
        boxes: planned,
        levels,
    };
    let last = chart.points.len().saturating_sub(1);
    for (i, point) in chart.points.iter().enumerate() {
        let _ = writeln!(
            made,
            "<circle data-n=\"{}\" data-value=\"{}\" cx=\"{:.3}\" cy=\"{:.3}\" r=\"4\"/>",
            point.n,
            point.value,
            x(i),
            y(point.value)
        );
    }
    // The ends first: where not all have room, these do.
    let named = |i: &usize| chart.points.len() <= MOST_NAMED || *i == 0 || *i == last;
    for i in [last, 0].into_iter().chain(1..last).take(chart.points.len()).filter(named) {
        if let Some(point) = chart.points.get(i) {
            made.extend(drawn.beside([x(i), y(point.value)], &figure(point.value, per)));
        }
    }
    let every = (BETWEEN_NUMBERS * count / room).ceil() as usize;
    // Long words of many steps would run into each other: every second one stands lower.
    let longest = chart.points.iter().map(|p| long(p.verb, VERB)).fold(0.0, f64::max);
    let turns = longest + 4.0 > room / count;
    let foot = TALL - FOOT + 18.0;
    for (i, point) in chart.points.iter().enumerate().filter(|(i, _)| i % every == 0) {
        let at = x(i);
        let _ = writeln!(made, "<text x=\"{at:.3}\" y=\"{foot}\" text-anchor=\"middle\">{}</text>", point.n);
        if chart.points.len() <= MOST_NAMED {
            let row = if i % 2 == 1 && turns { 25.0 } else { 14.0 };
            let _ = writeln!(
                made,
                "<text x=\"{at:.3}\" y=\"{}\" text-anchor=\"middle\" font-size=\"{VERB}\">{}</text>",
                foot + row,
                text(point.verb)
            );
        }
    }
    let _ = writeln!(
        made,
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">step of the recipe</text>\n</svg>",
        LEFT + room / 2.0,
        TALL - 6.0
    );
    made
}

/// What the plan alone says where the build was measured: squares, each tied to what was read there.
fn by_plan(chart: &ChartJson, x: &dyn Fn(usize) -> f64, y: &dyn Fn(f64) -> f64) -> (String, Vec<[f64; 4]>) {
    let square = |x: f64, y: f64, more: &str| {
        let (x, y) = (x - 5.0, y - 5.0);
        format!(
            "<rect {more}x=\"{x:.3}\" y=\"{y:.3}\" width=\"10\" height=\"10\" fill=\"white\" stroke=\"#444\" stroke-width=\"2\"/>\n"
        )
    };
    let (mut made, mut boxes) = (String::new(), Vec::new());
    for plan in &chart.planned {
        let Some(i) = chart.points.iter().rposition(|p| p.n <= plan.n) else { continue };
        let (at, high) = (x(i), y(plan.value));
        let read = chart.points.get(i).map_or(high, |p| y(p.value));
        let _ = writeln!(
            made,
            "<line x1=\"{at:.3}\" x2=\"{at:.3}\" y1=\"{high:.3}\" y2=\"{read:.3}\" stroke=\"#444\" stroke-width=\"2\"/>"
        );
        boxes.push([at - 6.0, high - 6.0, at + 6.0, high + 6.0]);
        made += &square(at, high, &format!("class=\"planned\" data-value=\"{}\" ", plan.value));
    }
    if !made.is_empty() {
        let from = WIDE - RIGHT + 12.0;
        made += &square(from, 16.0, "");
        let _ = writeln!(made, "<text x=\"{}\" y=\"21\">by the plan alone</text>", from + 12.0);
    }
    (made, boxes)
}

/// A figure beside its point: to three digits or so, the unit stands on the axis.
fn figure(value: f64, per: f64) -> String {
    let value = value / per;
    let digits = if value.abs() < 10.0 { 2 } else { 1 };
    trim_number(value, if value.abs() >= 999.5 { 0 } else { digits })
}

/// The lines that the ends of a target draw from one place to another; and how high each is, with its words.
pub fn limit(
    [low, high]: [Option<f64>; 2],
    kind: Kind,
    units: Units,
    [left, right]: [f64; 2],
    y: &dyn Fn(f64) -> f64,
) -> (String, Vec<(f64, String)>) {
    let both = [(low, "at least"), (high, "at most")];
    let (mut made, mut said) = (String::new(), Vec::new());
    for (value, word) in both.into_iter().filter_map(|(end, word)| Some((end?, word))) {
        let at = y(value);
        let _ = writeln!(
            made,
            "<line class=\"limit\" data-value=\"{value}\" x1=\"{left:.3}\" x2=\"{right:.3}\" y1=\"{at:.3}\" y2=\"{at:.3}\" stroke=\"black\" stroke-dasharray=\"7 4\"/>"
        );
        said.push((at, format!("{word} {}", show(value, kind, units))));
    }
    (made, said)
}
