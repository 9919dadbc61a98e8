//! What shaping takes off, weighed from the makeup where it lay.

use super::{Blade, Knot, Station};
use crate::piece::{Makeup, NodeId};

/// Gauss's two points on 0 to 1: exact for anything up to a cubic.
const POINTS: [f64; 2] = [0.211_324_865_405_187_1, 0.788_675_134_594_812_9];

/// Calls `each` at points over the side of a blade, with the area that each stands for, mm2.
pub(super) fn over(blade: &Blade, mut each: impl FnMut(&Station, &Knot, f64)) {
    for (a, b) in blade.fields() {
        for s in POINTS {
            let station = a.toward(b, s);
            let long = (b.x - a.x) / 2.0;
            for (low, high) in station.knots.iter().zip(station.knots.iter().skip(1)) {
                for t in POINTS {
                    each(&station, &low.toward(high, t), long * (high.y - low.y) / 2.0);
                }
            }
        }
    }
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
        // Both shapes told at the same stations and heights.
        let mut before = before.clone();
        let mut after = after.clone();
        let shift = 0.0;
        after.stations.iter().for_each(|s| before.stand(s.x + shift));
        let places: Vec<f64> = before.stations.iter().map(|s| s.x).collect();
        places.iter().for_each(|x| after.stand(*x));
        for station in &mut before.stations {
            let inner = after.section(station.x);
            let heights: Vec<f64> = inner.knots.iter().map(|k| k.y).collect();
            for y in heights {
                if y > station.edge().y && y < station.spine().y {
                    let knot = Knot { y, ..station.at(y) };
                    let at = station.knots.partition_point(|k| k.y < y);
                    station.knots.insert(at, knot);
                }
            }
        }
        let (start, tip) = (after.start(), after.tip());
        let mut grams = 0.0;
        let off = before.off;
        over(&before.clone(), |station, knot, area| {
            let gone_whole = station.x < start || station.x > tip;
            let inner = after.section(station.x);
            let beyond = knot.y < inner.edge().y || knot.y > inner.spine().y;
            let through = |z: f64| (0.5 + z / knot.full - off).clamp(0.0, 1.0);
            let mut slab = |from: f64, to: f64| {
                if to - from <= 1e-12 {
                    return;
                }
                let (a, b) = (through(from), through(to));
                grams += area * (to - from) * self.density_through(node, (a, b), knot.across, station.along);
            };
            if gone_whole || beyond {
                slab(-knot.left, knot.right);
                return;
            }
            let stays = inner.at(knot.y);
            slab(-knot.left, -stays.left);
            slab(stays.right, knot.right);
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
