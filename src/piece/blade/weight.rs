//! What shaping takes off, weighed from the makeup where it lay.

use smallvec::SmallVec;

use super::{Blade, Knot, Station};
use crate::piece::{Makeup, NodeId};
use crate::steel::laws::quadrature;

/// Parts of the length in which layers are weighed at least (project figure: shares come out to one in ten thousand).
const PARTS: u32 = 12;
/// Parts of the width, likewise.
const ROWS: f64 = 10.0;

/// Puts further stations where a blade has few.
fn refine(blade: &mut Blade) {
    if blade.stations.len() < PARTS as usize {
        blade.stand_along(blade.start(), blade.tip(), PARTS);
    }
}

/// Sections at points along a blade, with the length that each stands for, mm.
fn along(blade: &Blade) -> impl Iterator<Item = (Station, f64)> + '_ {
    blade.fields().filter(|(a, b)| b.x > a.x).flat_map(|(a, b)| {
        let long = (b.x - a.x) / 2.0;
        quadrature::TWO.map(|s| (a.toward(b, s), long))
    })
}

/// Heights at points of a section that bends at `heights`, with the height that each stands for, mm.
fn up(mut heights: SmallVec<[f64; 32]>) -> impl Iterator<Item = (f64, f64)> {
    heights.sort_by(f64::total_cmp);
    let (low, high) = (heights.first().copied().unwrap_or(0.0), heights.last().copied().unwrap_or(0.0));
    let row = (high - low) / ROWS;
    let between: SmallVec<[f64; 32]> = heights
        .iter()
        .zip(heights.iter().skip(1))
        .flat_map(|(a, b)| {
            let parts = ((b - a) / row).ceil().clamp(1.0, ROWS) as u32;
            (1..parts).map(move |i| a + (b - a) * f64::from(i) / f64::from(parts))
        })
        .collect();
    heights.extend(between);
    heights.sort_by(f64::total_cmp);
    let pairs: SmallVec<[(f64, f64); 32]> =
        heights.iter().copied().zip(heights.iter().copied().skip(1)).collect();
    pairs
        .into_iter()
        .flat_map(|(from, to)| quadrature::TWO.map(|t| (from + (to - from) * t, (to - from) / 2.0)))
}

/// Calls `each` at points over the side of a blade, with the section there and the area that each stands for, mm2.
pub(super) fn over(blade: &Blade, mut each: impl FnMut(&Station, &Knot, f64)) {
    let mut fine = blade.clone();
    refine(&mut fine);
    for (station, long) in along(&fine) {
        for (y, tall) in up(station.knots.iter().map(|k| k.y).collect()) {
            each(&station, &Knot { y, ..station.at(y) }, long * tall);
        }
    }
}

impl Makeup {
    /// Weight in g of what a blade has lost from one shape to another that lies inside it, no metal having moved.
    ///
    /// Exact where all steels are of one density; else their layers are weighed at two points a field.
    #[must_use]
    pub fn ground_off(&self, node: NodeId, before: &Blade, after: &Blade) -> f64 {
        let n = self.node(node);
        if n.even {
            return n.density * (before.volume() - after.volume());
        }
        // Both shapes told at the same stations.
        let mut fine = before.clone();
        after.stations.iter().for_each(|s| fine.stand(s.x));
        refine(&mut fine);
        let (start, tip, off) = (after.start(), after.tip(), before.off);
        let mut grams = 0.0;
        for (station, long) in along(&fine) {
            let inner = (start..=tip).contains(&station.x).then(|| after.section(station.x));
            let (low, high) = (station.edge().y, station.spine().y);
            let mut heights: SmallVec<[f64; 32]> = station.knots.iter().map(|k| k.y).collect();
            if let Some(inner) = &inner {
                heights.extend(inner.knots.iter().map(|k| k.y).filter(|y| *y > low && *y < high));
            }
            for (y, tall) in up(heights) {
                let knot = station.at(y);
                let mut slab = |from: f64, to: f64| {
                    if to - from > 1e-12 {
                        let through = |z: f64| (0.5 + z / knot.full - off).clamp(0.0, 1.0);
                        let stretch = (through(from), through(to));
                        let density = self.density_through(node, stretch, knot.across, station.along);
                        grams += long * tall * (to - from) * density;
                    }
                };
                let stays = inner.as_ref().filter(|i| y >= i.edge().y && y <= i.spine().y).map(|i| i.at(y));
                match stays {
                    None => slab(-knot.left, knot.right),
                    Some(stays) => {
                        slab(-knot.left, -stays.left);
                        slab(stays.right, knot.right);
                    }
                }
            }
        }
        grams
    }
}
