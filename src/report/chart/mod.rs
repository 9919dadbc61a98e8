//! Where a size went, to look at: dots in the terminal, lines in a picture.

mod along;
mod burnt;
mod data;
mod draw;
mod frame;
mod layers;
mod odds;
mod steel;
mod sweep;
mod why;

pub use along::{AlongJson, AlongPage, along, svg as along_svg};
pub use burnt::BurntPage;
pub use data::{ChartJson, chart, charts};
pub use draw::svg;
pub use layers::{LayersJson, LayersPage, drawable, layers, svg as layers_svg};
pub use steel::{SteelJson, SteelPage, steel, svg as steel_svg};

use std::fmt::Write as _;

use super::Page;
use super::answer::{Answer, Table};
use super::dots;
use super::table::table;
use crate::piece::{LotId, Measure};
use crate::quantity::{Kind, show};
use crate::study::Chapter;

/// The chart of a size of a piece.
pub struct ChartPage<'a> {
    /// The build.
    pub page: &'a Page<'a>,
    /// The piece.
    pub lot: LotId,
    /// The size.
    pub of: Measure,
    /// What was measured on the way.
    pub chapters: &'a [Chapter],
}

impl ChartPage<'_> {
    /// The picture.
    #[must_use]
    pub fn svg(&self) -> String {
        svg(&self.json(), self.page.units)
    }
}

impl<'a> Answer for ChartPage<'a> {
    type Json = ChartJson<'a>;
    const SCHEMA: &'static str = "heatbook-chart-2";

    fn text(&self, wide: usize) -> String {
        let (chart, units) = (self.json(), self.page.units);
        let figure = |v: f64| show(v, chart.kind, units);
        let mut text = format!("{} of {} after each step\n", chart.of, super::tame::tame(chart.piece));
        let by_plan = |n: usize| chart.planned.iter().find(|p| p.n == n).map(|p| figure(p.value));
        let measured = !chart.planned.is_empty();
        let rows = chart.points.iter().map(|p| {
            let more = measured.then(|| by_plan(p.n).unwrap_or_default());
            [p.n.to_string(), p.words.clone(), figure(p.value)].into_iter().chain(more).collect()
        });
        let more = measured.then_some("by the plan");
        text += &table(["step", "", chart.of].into_iter().chain(more), rows, 2, wide);
        let (mut lines, ends) = (Vec::new(), [0.0, chart.points.len().saturating_sub(1) as f64]);
        for limit in &chart.limits {
            let _ = writeln!(text, "asked: {}", super::tame::tame(&limit.asked));
            lines
                .extend([limit.low, limit.high].into_iter().flatten().map(|v| ends.map(|x| (x, v)).to_vec()));
        }
        let scale = match (chart.kind, units) {
            (Kind::LENGTH, crate::quantity::Units::Inch) => 25.4,
            (Kind::MASS, crate::quantity::Units::Inch) => crate::quantity::LB / 16.0,
            _ => 1.0,
        };
        lines.push((0u32..).zip(&chart.points).map(|(i, p)| (f64::from(i), p.value)).collect());
        let drawn: Vec<Vec<(f64, f64)>> =
            lines.into_iter().map(|l| l.into_iter().map(|(x, y)| (x, y / scale)).collect()).collect();
        text + &dots::drawn(&drawn)
    }

    fn json(&self) -> ChartJson<'a> {
        let none = || bug!("a chart of a piece that was never made");
        let mut chart = chart(self.page, self.lot, self.of).unwrap_or_else(none);
        chart.planned = data::planned(self.page, self.lot, self.of, self.chapters);
        chart
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("n line verb value", self.json().points))
    }
}
