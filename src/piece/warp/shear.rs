//! Layers dragged along: a wedge that goes in through the top, or faces that stay behind while the middle is drawn.
//!
//! Each place moves along one axis by what another axis says, `old = new + d e`, and nothing along the third: a shear, so every volume
//! stays. What stands out at one end and is hollow at the other is taken off behind it: of the size along the first axis, 1 - d is left.
//!
//! A wedge through the top at half the width: `e = exp(-|v - 1/2| / r)` (patterns of this house: the form is a project figure, and so are
//! drag and reach where nobody says them). A bow: `e = 1 - |2 s - 1|`, the middle before the faces (project figure).
//!
//! Left out: the wedge's own width, which parts the halves and is ground off; layers that tear; and what friction does at the ends.

use super::super::axis::Axis;
use super::super::line::Point;

/// Stretches in which a wedge's drag is one, on each side of its middle: they differ by this part of it.
const STEPS: u32 = 48;

/// How far each place is dragged, of the farthest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drag {
    /// A wedge in the middle; its reach, as a share of the size across.
    Wedge(f64),
    /// The middle before both ends, in straight lines.
    Bow,
}

/// A shear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shear {
    /// The axis along which metal is dragged.
    pub along: Axis,
    /// The axis whose place says how far.
    pub by: Axis,
    /// How far it goes at the most, as a share of the size along.
    pub far: f64,
    /// The form of it.
    pub drag: Drag,
    /// The size along, before, mm.
    pub size: f64,
}

impl Drag {
    /// How far a place is dragged, 0 to 1.
    #[must_use]
    pub fn at(self, place: f64) -> f64 {
        let off = (place - 0.5).abs();
        match self {
            Drag::Wedge(reach) => (-off / reach).exp(),
            Drag::Bow => 1.0 - 2.0 * off,
        }
    }

    /// The mean from one place to another.
    fn mean(self, from: f64, to: f64) -> f64 {
        // From the middle outwards; both sides are alike.
        let sum = |x: f64| {
            let off = (x - 0.5).abs();
            let sum = match self {
                Drag::Wedge(reach) => reach * -(-off / reach).exp_m1(),
                Drag::Bow => off - off * off,
            };
            sum.copysign(x - 0.5)
        };
        (sum(to) - sum(from)) / (to - from)
    }

    /// Where a drag is met on the upper side.
    fn place(self, drag: f64) -> f64 {
        match self {
            Drag::Wedge(reach) => (0.5 - reach * drag.ln()).min(1.0),
            Drag::Bow => 1.0 - drag / 2.0,
        }
    }

    /// Stretches in which it is taken as one for sums: where each begins and ends, and its mean.
    pub(crate) fn cells(self) -> impl Iterator<Item = (f64, f64, f64)> {
        let least = self.at(1.0);
        let edge = move |i: u32| match i {
            0 => 0.5,
            STEPS => 1.0,
            i => self.place(1.0 - (1.0 - least) * f64::from(i) / f64::from(STEPS)),
        };
        let upper = (0..STEPS).map(move |i| (edge(i), edge(i + 1)));
        let lower = (0..STEPS).rev().map(move |i| (1.0 - edge(i + 1), 1.0 - edge(i)));
        lower
            .chain(upper)
            .filter(|(from, to)| to > from)
            .map(move |(from, to)| (from, to, self.mean(from, to)))
    }
}

impl Shear {
    /// Where what lies at a point now lay before.
    #[must_use]
    pub fn back(&self, point: Point) -> Point {
        self.along.with(point, self.was(self.along.of(point), self.drag.at(self.by.of(point))))
    }

    /// Where what lay at a point lies now; outside of the piece it was taken off.
    #[must_use]
    pub fn onward(&self, point: Point) -> Point {
        let drag = self.drag.at(self.by.of(point));
        self.along.with(point, (self.along.of(point) - self.far * drag) / (1.0 - self.far))
    }

    /// The place along before, of one now where the drag is so much of the farthest.
    pub(crate) fn was(&self, now: f64, drag: f64) -> f64 {
        now * (1.0 - self.far) + self.far * drag
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_cover_the_width_and_hold_the_mean() {
        for drag in [Drag::Wedge(1.0 / 6.0), Drag::Wedge(0.02), Drag::Wedge(3.0), Drag::Bow] {
            let cells: Vec<_> = drag.cells().collect();
            assert_eq!((cells[0].0, cells[cells.len() - 1].1), (0.0, 1.0), "{drag:?}");
            assert!(cells.windows(2).all(|pair| pair[0].1 == pair[1].0), "{drag:?}");
            let sum: f64 = cells.iter().map(|(from, to, mean)| (to - from) * mean).sum();
            let plain: f64 = (0..100_000).map(|i| drag.at((f64::from(i) + 0.5) / 1e5)).sum::<f64>() / 1e5;
            assert!((sum - plain).abs() < 1e-6, "{drag:?}: {sum} {plain}");
        }
    }

    #[test]
    fn a_wedge_takes_the_middle_down_and_leaves_the_edges() {
        // 40 mm thick, 48 mm wide, 8 mm of drag, 8 mm of reach: what lay 20 mm high in the middle lies 12 mm high of 32.
        let drag = Drag::Wedge(8.0 / 48.0);
        let shear = Shear { along: Axis::Thickness, by: Axis::Width, far: 0.2, drag, size: 40.0 };
        assert!((shear.onward([0.5, 0.5, 0.3])[0] * 32.0 - 12.0).abs() < 1e-9);
        // A reach off the middle, 8 mm / e.
        let [at, ..] = shear.onward([0.5, 0.5 + 8.0 / 48.0, 0.3]);
        assert!((at * 32.0 - (20.0 - 8.0 / std::f64::consts::E)).abs() < 1e-9);
        assert_eq!(
            shear.back(shear.onward([0.5, 0.1, 0.3])).map(|v| (v * 1e12).round() / 1e12),
            [0.5, 0.1, 0.3]
        );
    }
}
