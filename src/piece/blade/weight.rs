//! What shaping takes off, weighed from the makeup where it lay.

use smallvec::SmallVec;

use super::{Blade, Knot, Station};
use crate::piece::{Makeup, NodeId};

/// Gauss's two points on 0 to 1: exact for anything up to a cubic.
const POINTS: [f64; 2] = [0.211_324_865_405_187_1, 0.788_675_134_594_812_9];

/// Parts of the length in which layers are weighed at least (project figure: shares come out to one in ten thousand).
const PARTS: u32 = 24;

/// Calls `each` at points over the side of a blade, with the section there and the area that each stands for, mm2;
/// `more` names further heights at which a section bends.
fn over_with(
    blade: &Blade,
    more: impl Fn(&Station) -> SmallVec<[f64; 16]>,
    mut each: impl FnMut(&Station, &Knot, f64),
) {
    for (a, b) in blade.fields() {
        let long = (b.x - a.x) / 2.0;
        if long <= 0.0 {
            continue;
        }
        for s in POINTS {
            let station = a.toward(b, s);
            let (low, high) = (station.edge().y, station.spine().y);
            let mut heights: SmallVec<[f64; 32]> = station.knots.iter().map(|k| k.y).collect();
            heights.extend(more(&station).into_iter().filter(|y| *y > low && *y < high));
            heights.sort_by(f64::total_cmp);
            for (from, to) in heights.iter().zip(heights.iter().skip(1)) {
                for t in POINTS {
                    let y = from + (to - from) * t;
                    each(&station, &Knot { y, ..station.at(y) }, long * (to - from) / 2.0);
                }
            }
        }
    }
}

/// Calls `each` at points over the side of a blade, with the area that each stands for, mm2.
pub(super) fn over(blade: &Blade, each: impl FnMut(&Station, &Knot, f64)) {
    over_with(blade, |_| SmallVec::new(), each);
}

impl Makeup {
    /// Weight in g of what a blade has lost from one shape to another that lies inside it, no metal having moved.
    ///
    /// Exact where all steels are of one density; else their layers are weighed at two points a field.
    #[must_use]
    pub fn ground_off(&mut self, node: NodeId, before: &Blade, after: &Blade) -> f64 {
        let n = self.node(node);
        if n.even {
            return n.density * (before.volume() - after.volume());
        }
        // Both shapes told at the same stations.
        let mut before = before.clone();
        after.stations.iter().for_each(|s| before.stand(s.x));
        before.stand_along(before.start(), before.tip(), PARTS);
        let (start, tip) = (after.start(), after.tip());
        let mut grams = 0.0;
        let off = before.off;
        let inside = |x: f64| (start..=tip).contains(&x).then(|| after.section(x));
        let heights = |station: &Station| -> SmallVec<[f64; 16]> {
            inside(station.x).iter().flat_map(|inner| inner.knots.iter().map(|k| k.y)).collect()
        };
        over_with(&before, heights, |station, knot, area| {
            let through = |z: f64| (0.5 + z / knot.full - off).clamp(0.0, 1.0);
            let mut slab = |from: f64, to: f64| {
                if to - from <= 1e-12 {
                    return;
                }
                let (a, b) = (through(from), through(to));
                grams += area * (to - from) * self.density_through(node, (a, b), knot.across, station.along);
            };
            let stays = inside(station.x)
                .filter(|inner| knot.y >= inner.edge().y && knot.y <= inner.spine().y)
                .map(|inner| inner.at(knot.y));
            match stays {
                None => slab(-knot.left, knot.right),
                Some(stays) => {
                    slab(-knot.left, -stays.left);
                    slab(stays.right, knot.right);
                }
            }
        });
        grams
    }

    /// Mean density on a line through the thickness, g/mm3.
    fn density_through(&mut self, node: NodeId, (from, to): (f64, f64), across: f64, along: f64) -> f64 {
        const HAIR: f64 = 1e-9;
        let near = |at: f64| {
            let low = (at - HAIR / 2.0).clamp(0.0, 1.0 - HAIR);
            (low, low + HAIR)
        };
        let (from, to) = if to - from > HAIR { (from, to) } else { near(from) };
        self.mean_density(node, [(from, to), near(across), near(along)])
    }
}
