//! A bar with hollows brought level: hills go down, valleys come up, to a plain box; and the same the other way, hollows pressed
//! into a plain box.
//!
//! What stands at a place is `h = T - a - b` tall, the hollows `a` and `b` deep. The map is the rearrangement of Knothe and
//! Rosenblatt (Rosenblatt 1952): with `m(x)` the mean of `h` across the bar and `M` the mean of `m` along it,
//! `x' = (1/M) int_0^x m dx`, `y' = (1/m(x)) int_0^y h dy`, `z' = (z - b)/h`: volume stays, and every line through the thickness
//! stays one. Left out: what the dies drag along the face, the length that a bar gains under ladder dies, and that a hollow of one face
//! hardly moves what lies under the other: here it does, all through the thickness.

use crate::piece::line::Point;
use crate::piece::relief::{Line, Relief};
use crate::quantity::newton_between;
use crate::steel::laws::quadrature;

/// A place across is looked for from the one before where the area between them is no more than this share (project figure).
const NEAR: f64 = 0.05;
/// A step of Newton's so small, as a share of the width or in radians, is the last: what is missing then is its square (project figure).
const HAIR: f64 = 1e-9;

/// Cells between two edges of the relief, for the sum along it.
const CELLS: usize = 4;

/// The map of a relief, with its sums along the bar.
#[derive(Clone, Debug)]
pub struct Level {
    relief: Relief,
    straight: bool,
    cells: Vec<Cell>,
    /// The whole volume over the width.
    whole: f64,
}

/// A stretch of the bar in which nothing bends, seen from a circle above it: where its ends stand upright there is no end to the
/// slope along the bar, but none in the angle.
#[derive(Clone, Copy, Debug)]
struct Cell {
    from: f64,
    to: f64,
    /// Angles of the ends of this part of it.
    angles: [f64; 2],
    /// What lies before it.
    before: f64,
}

impl Cell {
    fn place(&self, angle: f64) -> f64 {
        self.from + (self.to - self.from) * (1.0 - angle.cos()) / 2.0
    }

    fn slope(&self, angle: f64) -> f64 {
        (self.to - self.from) * angle.sin() / 2.0
    }

    fn angle(&self, x: f64) -> f64 {
        (1.0 - 2.0 * (x - self.from) / (self.to - self.from)).clamp(-1.0, 1.0).acos()
    }

    /// The sum from the cell's beginning to an angle.
    fn sum(&self, relief: &Relief, angle: f64) -> f64 {
        let [_, wide, _] = relief.size;
        let mean = |angle: f64| relief.area(self.place(angle), wide) / wide * self.slope(angle);
        quadrature::area(self.angles[0], angle, mean)
    }
}

impl Level {
    /// Makes its sums.
    #[must_use]
    pub fn new(relief: &Relief) -> Level {
        let (mut cells, mut before) = (Vec::new(), 0.0);
        for pair in relief.stretches().windows(2) {
            let &[from, to] = pair else { bug!("two edges are {}", pair.len()) };
            for i in 0..CELLS {
                let angles = [i, i + 1].map(|i| std::f64::consts::PI * i as f64 / CELLS as f64);
                let cell = Cell { from, to, angles, before };
                before += cell.sum(relief, angles[1]);
                cells.push(cell);
            }
        }
        Level { relief: relief.clone(), straight: relief.straight(), cells, whole: before }
    }

    /// From a place of the bar with hollows to the one of the plain box.
    #[must_use]
    pub fn flatten(&self, [s, v, u]: Point) -> Point {
        let [thick, wide, long] = self.relief.size;
        let (x, y) = (u * long, v * wide);
        let along = self.along(x);
        let across = if self.straight { v } else { self.relief.area(x, y) / self.relief.area(x, wide) };
        let [a, b] = self.relief.depths(x, y);
        let through = (s * thick - b) / (thick - a - b);
        [through.clamp(0.0, 1.0), across.clamp(0.0, 1.0), along]
    }

    /// From a place of the plain box to the one of the bar with hollows.
    #[must_use]
    pub fn raise(&self, point: Point) -> Point {
        let [.., along] = point;
        self.raise_on(point, &self.line(along))
    }

    /// What stands across the bar with hollows where a place along the plain box comes from.
    pub(in crate::piece) fn line(&self, along: f64) -> Line {
        self.relief.line(self.place(along))
    }

    /// As [`Level::raise`] where that line is known.
    pub(in crate::piece) fn raise_on(&self, [s, v, _]: Point, line: &Line) -> Point {
        let [thick, wide, long] = self.relief.size;
        let y = if self.straight {
            v * wide
        } else {
            let asked = v * line.area;
            // On from the place before by what stands there, where that is not far.
            let near = line.last.get().filter(|[_, area, _]| (asked - area).abs() < NEAR * line.area);
            let guess = near.map_or(v * wide, |[y, area, height]| y + (asked - area) / height);
            newton_between(0.0, wide, guess, HAIR * wide, |y| {
                let (deep, area) = line.at(y);
                (area - asked, line.height(deep))
            })
        };
        let (deep, area) = line.at(y);
        line.last.set(Some([y, area, line.height(deep)]));
        let [a, b] = deep;
        [(b + s * (thick - a - b)) / thick, y / wide, line.x / long]
    }

    /// The share of the volume before a place along the bar with hollows.
    fn along(&self, x: f64) -> f64 {
        let at = self.cells.partition_point(|cell| cell.place(cell.angles[1]) < x);
        let Some(cell) = self.cells.get(at).or(self.cells.last()) else { bug!("a bar without stretches") };
        ((cell.before + cell.sum(&self.relief, cell.angle(x))) / self.whole).clamp(0.0, 1.0)
    }

    /// The place along the bar with hollows before which lies a share of the volume, mm.
    #[must_use]
    fn place(&self, share: f64) -> f64 {
        let asked = share * self.whole;
        let at = self.cells.partition_point(|cell| cell.before <= asked).saturating_sub(1);
        let Some(cell) = self.cells.get(at) else { bug!("a bar without stretches") };
        let [_, wide, _] = self.relief.size;
        let [low, high] = cell.angles;
        let end = self.cells.get(at + 1).map_or(self.whole, |next| next.before);
        let guess = low + (high - low) * (asked - cell.before) / (end - cell.before);
        let angle = newton_between(low, high, guess, HAIR, |angle| {
            let mean = self.relief.area(cell.place(angle), wide) / wide;
            (cell.before + cell.sum(&self.relief, angle) - asked, mean * cell.slope(angle))
        });
        cell.place(angle)
    }
}
