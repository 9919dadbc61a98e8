//! A sweep: a table, and a plot that a person can read in the terminal.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{Kind, Units, show};
use crate::spec::Test;
use crate::study::{Try, Vary};

use super::Asked;
use super::answer::{Answer, Table, cell};
use super::dots;
use super::run::unit;
use super::table::table;

/// A sweep.
pub struct SweepPage<'a> {
    /// The recipe.
    pub asked: Asked<'a>,
    /// What was varied.
    pub vary: &'a [Vary],
    /// What was tried against.
    pub tests: &'a [Test],
    /// Low and high limit of each test.
    pub limits: Vec<(Option<f64>, Option<f64>)>,
    /// The tries.
    pub tries: &'a [Try],
}

impl SweepPage<'_> {
    pub(super) fn words(&self, test: &Test) -> String {
        self.asked.files.words(test.span)
    }

    /// Least and most that the target of a line asks for.
    pub(super) fn limits(&self, line: usize) -> (Option<f64>, Option<f64>) {
        *self.limits.get(line).unwrap_or_else(|| bug!("the line {line} of a sweep has no limits"))
    }

    /// A figure in the unit that it is plotted in, and that unit's word.
    pub(super) fn plotted(&self, value: f64, kind: Kind) -> (f64, &'static str) {
        match (kind, self.asked.units) {
            (Kind::LENGTH, Units::Metric) => (value, "mm"),
            (Kind::LENGTH, Units::Inch) => (value / 25.4, "in"),
            (Kind::MASS, Units::Metric) => (value, "g"),
            (Kind::MASS, Units::Inch) => (value / (453.592_37 / 16.0), "oz"),
            (Kind::RATIO, _) => (100.0 * value, "%"),
            (Kind::TEMPERATURE, Units::Metric) => (value, "C"),
            (Kind::TEMPERATURE, Units::Inch) => (1.8 * value + 32.0, "F"),
            (Kind::TIME, _) => (value, "min"),
            (Kind::HARDNESS, _) => (value, "HRC"),
            _ => (value, ""),
        }
    }

    /// The points of one test along the one figure that is varied.
    fn points(&self, line: usize) -> Vec<(f64, f64)> {
        let x = self.vary.first().map_or(Kind::NUMBER, |v| v.kind);
        let y = self.tests.get(line).map_or(Kind::NUMBER, |t| t.what.kind());
        let of = |t: &Try| {
            let (got, _) = *t.got.as_ref()?.get(line)?;
            Some((self.plotted(*t.values.first()?, x).0, self.plotted(got?, y).0))
        };
        self.tries.iter().filter_map(of).collect()
    }
}

fn plot(sweep: &SweepPage, vary: &Vary, line: usize) -> String {
    let Some(test) = sweep.tests.get(line) else { return String::new() };
    let points = sweep.points(line);
    let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else {
        return String::new();
    };
    let moves = points.iter().any(|p| (p.1 - first.1).abs() > 1e-6 * first.1.abs());
    if !moves || last.0 <= first.0 {
        return String::new();
    }
    let (_, x_unit) = sweep.plotted(0.0, vary.kind);
    let (_, y_unit) = sweep.plotted(0.0, test.what.kind());
    let (low, high) = sweep.limits(line);
    let seen = points.iter().fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.1), b.max(p.1)));
    let span = seen.1 - seen.0;
    // A limit far off would flatten the line that is asked for.
    let limits = [low, high].into_iter().flatten().map(|limit| sweep.plotted(limit, test.what.kind()).0);
    let near = limits.filter(|y| *y >= seen.0 - span && *y <= seen.1 + span);
    let mut lines: Vec<Vec<(f64, f64)>> = near.map(|y| vec![(first.0, y), (last.0, y)]).collect();
    lines.push(points);
    let [y_unit, x_unit] =
        [y_unit, x_unit].map(|unit| if unit.is_empty() { String::new() } else { format!(" ({unit})") });
    let head = format!("\n{}{y_unit} over {}{x_unit}\n", sweep.words(test), vary.address);
    head + &dots::drawn(&lines)
}

/// Two figures: where all is met, and where not.
fn map(sweep: &SweepPage, down: &Vary, across: &Vary) -> String {
    let mut text =
        format!("\n{} down, {} across: # met, . missed, x cannot be worked\n", down.address, across.address);
    for row in sweep.tries.chunks(across.points.max(2)) {
        let first = row
            .first()
            .and_then(|t| t.values.first())
            .map_or(String::new(), |v| show(*v, down.kind, sweep.asked.units));
        let cells: String = row
            .iter()
            .map(|t| match (&t.got, t.met) {
                (None, _) => " x",
                (Some(_), true) => " #",
                (Some(_), false) => " .",
            })
            .collect();
        let _ = writeln!(text, "{first:>12} {cells}");
    }
    let ends = [across.low, across.high].map(|v| show(v, across.kind, sweep.asked.units));
    let _ = writeln!(text, "{:>12}  {} to {}", "", ends[0], ends[1]);
    text
}

#[derive(Serialize, JsonSchema)]
pub struct SweepJson {
    varied: Vec<String>,
    tries: Vec<TryJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct TryJson {
    values: Vec<VariedJson>,
    met: bool,
    /// Nothing where the recipe could not be worked.
    got: Option<Vec<GotJson>>,
    fault: Option<String>,
}

/// A figure that was varied, base unit.
#[derive(Serialize, JsonSchema)]
pub struct VariedJson {
    figure: String,
    value: f64,
    unit: &'static str,
}

/// What a target came to, base unit; nothing where there is no such figure.
#[derive(Serialize, JsonSchema)]
pub struct GotJson {
    asked: String,
    value: Option<f64>,
    unit: &'static str,
    met: bool,
}

impl Answer for SweepPage<'_> {
    type Json = SweepJson;
    const SCHEMA: &'static str = "heatbook-sweep-2";

    /// A table, and a plot or a map.
    fn text(&self, wide: usize) -> String {
        let mut head: Vec<String> = self.vary.iter().map(|v| v.address.clone()).collect();
        head.push("all".to_owned());
        head.extend(self.tests.iter().map(|t| self.words(t)));
        let rows = self.tries.iter().map(|t| {
            let mut row: Vec<String> =
                t.values.iter().zip(self.vary).map(|(v, one)| show(*v, one.kind, self.asked.units)).collect();
            row.push(if t.met { "met" } else { "MISSED" }.to_owned());
            match &t.got {
                Some(got) => row.extend(got.iter().zip(self.tests).map(|((got, met), test)| {
                    let mark = if *met { "" } else { " !" };
                    let shown = |got| {
                        show(got, test.what.kind(), test.told_in(self.asked.units, self.asked.plan.units()))
                    };
                    format!("{}{mark}", got.map_or("none of it".to_owned(), shown))
                })),
                None => row.push(t.fault.clone().unwrap_or_default()),
            }
            row
        });
        let drawn = match self.vary {
            [one] => (0..self.tests.len()).map(|line| plot(self, one, line)).collect(),
            [down, across] => map(self, down, across),
            _ => String::new(),
        };
        table(head, rows, 0, wide) + &drawn
    }

    fn json(&self) -> SweepJson {
        let got = |((value, met), test): (&(Option<f64>, bool), &Test)| GotJson {
            asked: self.words(test),
            value: *value,
            unit: unit(test.what.kind()),
            met: *met,
        };
        let value = |(value, one): (&f64, &Vary)| VariedJson {
            figure: one.address.clone(),
            value: *value,
            unit: unit(one.kind),
        };
        let tries = self.tries.iter().map(|t| TryJson {
            values: t.values.iter().zip(self.vary).map(value).collect(),
            met: t.met,
            got: t.got.as_ref().map(|lines| lines.iter().zip(self.tests).map(got).collect()),
            fault: t.fault.clone(),
        });
        SweepJson { varied: self.vary.iter().map(|v| v.address.clone()).collect(), tries: tries.collect() }
    }

    /// In base units (mm, g, °C, min, fraction, HRC).
    fn csv(&self) -> Option<Table> {
        let varied = self.vary.iter().map(|v| v.address.clone());
        let head = varied.chain(["met".to_owned()]).chain(self.tests.iter().map(|t| self.words(t)));
        let rows = self.tries.iter().map(|t| {
            let got = |i| t.got.as_ref().and_then(|lines| lines.get(i)).and_then(|(got, _)| *got);
            let values = t.values.iter().map(f64::to_string).chain([u8::from(t.met).to_string()]);
            values.chain((0..self.tests.len()).map(|i| cell(got(i)))).collect()
        });
        Some(Table::new(head, rows))
    }
}
