//! A blade at the end of a recipe, station by station: what a calliper finds where.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::blade::{Blade, Knot, Met, Side, Station};
use crate::piece::{Lot, LotId, Makeup, NodeId, PartName};

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

/// Places along a blade at which a part's line is looked for (project figure).
const FINE: u32 = 96;
/// A line that runs over fewer of them is none to work by: a layer that comes and goes (project figure).
const SHORTEST: usize = 8;

/// The line along a blade up to which a part shows, from the edge on: what it is called, and its stretches, points in mm from the heel
/// and up.
pub struct PartLine {
    /// The part, and the side where the two differ.
    pub name: String,
    /// Where it runs.
    pub runs: Vec<Vec<[f64; 2]>>,
}

/// Where a part shows: the place's number, mm from the heel, the edge's height there, and how far above it on the left and on the right.
type Seen = (u32, f64, f64, [f64; 2]);

/// The lines of the parts that show on a blade's faces.
#[must_use]
pub fn part_lines(page: &Page, lot: &Lot, blade: &Blade) -> Vec<PartLine> {
    let mut seen: Vec<(String, Vec<Seen>)> = Vec::new();
    for i in 0..=FINE {
        let x = blade.tip() * f64::from(i) / f64::from(FINE);
        let station = blade.section(x);
        for (name, sides) in shown(page, lot, blade, &station) {
            let of = seen.iter().position(|(known, _)| *known == name).unwrap_or(seen.len());
            if of == seen.len() {
                seen.push((name, Vec::new()));
            }
            if let Some((_, points)) = seen.get_mut(of) {
                points.push((i, x, station.edge().y, sides));
            }
        }
    }
    let lines = seen.into_iter().flat_map(|(name, points)| {
        let alike = points.iter().all(|(.., [left, right])| (left - right).abs() < 0.005);
        let sides: &[(usize, &str)] = if alike { &[(0, "")] } else { &[(0, ", left"), (1, ", right")] };
        let line = |(side, said): &(usize, &str)| {
            let on = |sides: &[f64; 2]| sides.get(*side).copied().filter(|up| *up > 0.0);
            let there = points.iter().filter_map(|(i, x, edge, sides)| Some((*i, [*x, edge + on(sides)?])));
            let there: Vec<(u32, [f64; 2])> = there.collect();
            // Where it does not show, the line is broken.
            let runs = there.chunk_by(|a, b| b.0 == a.0 + 1);
            let runs = runs.filter(|run| run.len() >= SHORTEST);
            let runs = runs.map(|run| run.iter().map(|(_, point)| *point).collect());
            PartLine { name: format!("{name}{said}"), runs: runs.collect() }
        };
        sides.iter().map(line).collect::<Vec<_>>()
    });
    lines.collect()
}

/// Layers that the bevel cuts through on the left and on the right, from the edge up to the flat: as many bands are seen there.
///
/// Told for the middle of the width: where bars lie side by side, by the one that lies there.
#[must_use]
pub fn bands(node: NodeId, makeup: &Makeup, blade: &Blade, station: &Station) -> [u64; 2] {
    let (edge, top) = (station.edge(), station.thickest());
    let flat = station.knots.iter().find(|k| k.thick() >= top.thick() - 1e-9).copied().unwrap_or(top);
    if flat.y <= edge.y {
        return [0, 0];
    }
    let middle = station.at_share(0.5);
    let place = |z: f64, full: f64| (0.5 + z / full - blade.off).clamp(0.0, 1.0);
    let side = |face: fn(&Knot) -> f64| {
        let (a, b) = (place(face(&edge), edge.full), place(face(&flat), flat.full));
        let (from, to) = (a.min(b), a.max(b));
        crate::piece::bands_between(makeup, node, (from, to), [middle.across, station.along], flat.full)
    };
    [side(|k| -k.left), side(|k| k.right)]
}

/// The tables; nothing where no piece is a blade.
#[must_use]
pub fn text(page: &Page, wide: usize) -> String {
    let mut text = String::new();
    for (id, lot, blade) in blades(page) {
        let name = page.plan.ground.lot_name(id);
        let tang = -blade.start().min(0.0);
        let tang = if tang > 0.0 { page.mm(tang) } else { "none".to_owned() };
        let (tip, balance) = (page.mm(blade.tip()), page.mm(blade.balance()));
        let told = format!("{tip} from heel to tip, tang {tang}, balance {balance} from the heel");
        let _ = writeln!(text, "\n{name}, station by station: {told}");
        let mut rows = Vec::new();
        for x in places(blade) {
            let station = blade.section(x);
            let mut row = vec![
                page.mm(x),
                page.mm(station.width()),
                page.mm(station.thickest().thick()),
                edges(page, &station),
            ];
            row.extend(BEHIND.map(|by| page.mm(blade.behind_edge(x, by))));
            let shows: Vec<String> = shown(page, lot, blade, &station)
                .into_iter()
                .map(|(name, [a, b])| format!("{name} {} and {}", page.mm(a), page.mm(b)))
                .collect();
            let [left, right] = bands(lot.bar.node, &page.build.bench.makeup, blade, &station);
            row.push(if left == right { left.to_string() } else { format!("{left} and {right}") });
            row.push(shows.join(", "));
            rows.push(row);
        }
        let [near, far] = BEHIND.map(|by| format!("{} behind edge", page.mm(by)));
        let [near, far] = [near.as_str(), far.as_str()];
        let head =
            ["from heel", "width", "spine", "edge", near, far, "bands on bevel", "shows above the edge"];
        text += &table(head, rows, 0, wide);
    }
    text
}

/// How thick the edge is; of two edges both, where they differ.
fn edges(page: &Page, station: &Station) -> String {
    let mut told: Vec<String> = station.from_edges().map(|from| page.mm(from.edge().thick())).collect();
    told.dedup();
    told.join(" and ")
}

/// A blade, mm.
#[derive(Serialize, JsonSchema)]
pub struct BladeJson {
    tang_mm: f64,
    balance_from_heel_mm: f64,
    stations: Vec<StationJson>,
}

/// One place along a blade, mm.
#[derive(Serialize, JsonSchema)]
pub struct StationJson {
    from_heel_mm: f64,
    width_mm: f64,
    /// Where it is thickest: at the spine, or at the ridge between two edges.
    spine_mm: f64,
    edge_mm: f64,
    /// The back's, where that is an edge too.
    back_edge_mm: Option<f64>,
    behind_edge_1_mm: f64,
    behind_edge_10_mm: f64,
    area_mm2: f64,
    /// Layers that the bevel cuts through, left and right.
    bands_on_bevel: [u64; 2],
}

/// A blade for JSON.
#[must_use]
pub fn json(node: NodeId, makeup: &Makeup, shape: &Blade) -> BladeJson {
    let [near, far] = BEHIND;
    let station = |x: f64| {
        let section = shape.section(x);
        StationJson {
            from_heel_mm: x,
            width_mm: section.width(),
            spine_mm: section.thickest().thick(),
            edge_mm: section.edge().thick(),
            back_edge_mm: section.two_edged().then(|| section.spine().thick()),
            behind_edge_1_mm: shape.behind_edge(x, near),
            behind_edge_10_mm: shape.behind_edge(x, far),
            area_mm2: section.area(),
            bands_on_bevel: bands(node, makeup, shape, &section),
        }
    };
    BladeJson {
        tang_mm: -shape.start().min(0.0),
        balance_from_heel_mm: shape.balance(),
        stations: places(shape).into_iter().map(station).collect(),
    }
}
