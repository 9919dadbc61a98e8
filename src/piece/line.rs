//! A straight line through a piece, anywhere and in any direction.

use super::axis::Axis;

/// A point of a piece: thickness, width and length, each from 0 to 1.
pub(crate) type Point = [f64; 3];

/// A line between two points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub from: Point,
    pub to: Point,
}

impl Line {
    /// The point at a share of the line.
    pub fn at(&self, share: f64) -> Point {
        Axis::each(|axis| {
            let (a, b) = (axis.of(self.from), axis.of(self.to));
            a + (b - a) * share
        })
    }

    /// Where it lies between two bounds along an axis, as shares of its length. On a boundary the lower part counts.
    pub fn between(&self, axis: Axis, low: f64, high: f64) -> (f64, f64) {
        let (p, q) = (axis.of(self.from), axis.of(self.to));
        if p == q {
            return if p > low && p <= high { (0.0, 1.0) } else { (0.0, 0.0) };
        }
        let at = |v: f64| ((v - p) / (q - p)).clamp(0.0, 1.0);
        let (a, b) = (at(low), at(high));
        (a.min(b), a.max(b))
    }
}
