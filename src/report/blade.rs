//! A blade at the end of a recipe, station by station: what a calliper finds where.

use std::fmt::Write as _;

use crate::piece::blade::{Blade, Met, Side, Station};
use crate::piece::{Lot, LotId, PartName};
use crate::quantity::{Kind, show};

use super::Page;
use super::table::table;

/// How far behind the edge a micrometer is held, mm (the trade's two places).
pub const BEHIND: [f64; 2] = [1.0, 10.0];
/// Places along a blade that a page tells.
const PLACES: u32 = 6;

/// The pieces that are blades at the end.
pub fn blades<'a>(page: &'a Page) -> impl Iterator<Item = (LotId, &'a Lot, &'a Blade)> {
    page.build.standing.iter().filter_map(|id| {
        let lot = page.build.lot(*id)?;
        Some((*id, lot, page.build.bench.makeup.blade(&lot.bar)?))
    })
}

/// Places that a page tells: evenly from the heel, and short of the tip.
pub fn places(blade: &Blade) -> Vec<f64> {
    let tip = blade.tip();
    (0..PLACES).map(|i| tip * f64::from(i) / f64::from(PLACES)).chain([(tip - 25.0).max(tip * 0.9)]).collect()
}

/// The parts of a piece that show on a blade's faces, edge first, with how far up the one at the edge shows on each side.
pub fn shown(page: &Page, lot: &Lot, blade: &Blade, station: &Station) -> Vec<(String, [f64; 2])> {
    let names = page.plan.ground.parts.iter().enumerate();
    names
        .filter_map(|(i, name)| {
            let part = PartName(u32::try_from(i).ok()?);
            let met = Met { makeup: &page.build.bench.makeup, node: lot.bar.node, part };
            let sides = [Side::Left, Side::Right].map(|side| met.shows(blade, station, side));
            let some = sides.iter().any(|s| *s > 0.0 && *s < station.width() * (1.0 - 1e-9));
            some.then(|| (name.clone(), sides))
        })
        .collect()
}

/// The tables; nothing where no piece is a blade.
#[must_use]
pub fn text(page: &Page) -> String {
    let mut text = String::new();
    let mm = |v: f64| show(v, Kind::LENGTH, page.units);
    for (id, lot, blade) in blades(page) {
        let name = page.plan.ground.lot_name(id);
        let tang = -blade.start().min(0.0);
        let _ = writeln!(
            text,
            "\n{name}, station by station: {} from heel to tip, tang {}, balance {} from the heel",
            mm(blade.tip()),
            if tang > 0.0 { mm(tang) } else { "none".to_owned() },
            mm(blade.balance())
        );
        let mut rows = Vec::new();
        for x in places(blade) {
            let station = blade.section(x);
            let mut row =
                vec![mm(x), mm(station.width()), mm(station.spine().thick()), mm(station.edge().thick())];
            row.extend(BEHIND.map(|by| mm(blade.behind_edge(x, by))));
            let shows: Vec<String> = shown(page, lot, blade, &station)
                .into_iter()
                .map(|(name, [a, b])| format!("{name} {} and {}", mm(a), mm(b)))
                .collect();
            row.push(shows.join(", "));
            rows.push(row);
        }
        let [near, far] = BEHIND.map(|by| format!("{} behind edge", mm(by)));
        text +=
            &table(&["from heel", "width", "spine", "edge", &near, &far, "shows above the edge"], rows, 0);
    }
    text
}
