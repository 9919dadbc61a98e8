//! From the rack to the blade: what was taken, and what became of every gram.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::Cause;
use crate::quantity::{Kind, Units, show, trim_number};
use crate::report::Page;
use crate::report::answer::{Answer, Table};
use crate::report::table::table;
use crate::report::tame::markup as text;

use super::frame::begin;

#[derive(Serialize, JsonSchema)]
pub struct SteelJson {
    pub(in crate::report) taken_g: f64,
    /// What it became; it adds up to what was taken.
    pub(in crate::report) parts: Vec<PartJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct PartJson {
    pub(in crate::report) what: &'static str,
    pub(in crate::report) mass_g: f64,
}

/// What became of the steel of a build.
pub fn steel(page: &Page) -> SteelJson {
    let (balance, ledger) = (page.build.balance, &page.build.ledger);
    let kept = [("in pieces", balance.pieces), ("on the rack", balance.rack)];
    let lost = Cause::LOSSES.iter().map(|cause| (cause.word(), ledger.lost(*cause)));
    let parts = kept.into_iter().chain(lost).filter(|(_, mass_g)| *mass_g != 0.0);
    SteelJson {
        taken_g: balance.taken,
        parts: parts.map(|(what, mass_g)| PartJson { what, mass_g }).collect(),
    }
}

/// What became of the steel, to look at.
pub struct SteelPage<'a> {
    /// The build.
    pub page: &'a Page<'a>,
}

impl SteelPage<'_> {
    /// The picture.
    #[must_use]
    pub fn svg(&self) -> String {
        svg(&self.json(), self.page.units)
    }
}

impl Answer for SteelPage<'_> {
    type Json = SteelJson;
    const SCHEMA: &'static str = "heatbook-steel-1";

    fn text(&self, wide: usize) -> String {
        let steel = self.json();
        let row = |what: &str, grams: f64| vec![what.to_owned(), self.page.g(grams), share(grams, &steel)];
        let rows = [row("taken", steel.taken_g)].into_iter();
        let rows = rows.chain(steel.parts.iter().map(|p| row(p.what, p.mass_g)));
        table(["steel", "", "of all"], rows, 1, wide)
    }

    fn json(&self) -> SteelJson {
        steel(self.page)
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("what mass_g", self.json().parts))
    }
}

fn share(grams: f64, steel: &SteelJson) -> String {
    let share = if steel.taken_g > 0.0 { 100.0 * grams / steel.taken_g } else { 0.0 };
    format!("{} %", trim_number(share, 1))
}

/// Bars one under the other, as long as they are heavy, px.
pub fn svg(steel: &SteelJson, units: Units) -> String {
    const LEFT: f64 = 110.0;
    const ROOM: f64 = 440.0;
    const ROW: f64 = 28.0;
    const TOP: f64 = 36.0;
    let rows = steel.parts.len() as f64 + 1.0;
    let tall = TOP + rows * ROW + 8.0;
    let mut made = begin(tall, 8.0, "steel from the rack to the blade, by weight");
    let per = if steel.taken_g > 0.0 { ROOM / steel.taken_g } else { 0.0 };
    let taken = [("taken", steel.taken_g)].into_iter();
    let mut from = LEFT;
    for (i, (what, grams)) in taken.chain(steel.parts.iter().map(|p| (p.what, p.mass_g))).enumerate() {
        let (y, long) = (TOP + i as f64 * ROW, grams * per);
        // Each part begins where the one above it ends: together they are as long as what was taken. What was found, and not
        // lost, goes back.
        let x = if i == 0 { LEFT } else { from + long.min(0.0) };
        let grey = if i == 0 { "#555" } else { "#999" };
        let said = format!("{} ({})", show(grams, Kind::MASS, units), share(grams, steel));
        let _ = writeln!(
            made,
            "<text x=\"{}\" y=\"{}\" text-anchor=\"end\">{}</text>\n\
             <rect class=\"part\" data-value=\"{grams}\" x=\"{x:.3}\" y=\"{y}\" width=\"{:.3}\" height=\"20\" fill=\"{grey}\" stroke=\"black\"/>\n\
             <text x=\"{:.3}\" y=\"{}\">{}</text>",
            LEFT - 6.0,
            y + 15.0,
            text(what),
            long.abs(),
            x + long.abs() + 6.0,
            y + 15.0,
            text(&said)
        );
        if i > 0 {
            from += long;
        }
    }
    made + "</svg>\n"
}
