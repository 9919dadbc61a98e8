//! A bar with hollows brought level: hills go down, valleys come up, to a plain box; and the same the other way, hollows pressed
//! into a plain box.
//!
//! What stands at a place is `h = T - a - b` tall, the hollows `a` and `b` deep. The map is the rearrangement of Knothe and
//! Rosenblatt (Rosenblatt 1952): with `m(x)` the mean of `h` across the bar and `M` the mean of `m` along it,
//! `x' = (1/M) int_0^x m dx`, `y' = (1/m(x)) int_0^y h dy`, `z' = (z - b)/h`: volume stays, and every line through the thickness
//! stays one. Left out: what the dies drag along the face, the length that a bar gains under ladder dies, and that a hollow of one face
//! hardly moves what lies under the other: here it does, all through the thickness.

use std::f64::consts::PI;
use std::ops::Range;

use crate::piece::line::Point;
use crate::piece::relief::{Line, Relief, Stretch};
use crate::quantity::newton_between;
use crate::steel::laws::quadrature::Series;

/// A place across is looked for from the one before where the area between them is no more than this share (project figure).
const NEAR: f64 = 0.05;
/// A step of Newton's so small, as a share of the width or in radians, is the last: what is missing then is its square (project figure).
const HAIR: f64 = 1e-7;

/// Terms at the end of a series that are less than this share of its first leave out less than that (project figure).
const FAINT: f64 = 1e-8;
/// A stretch is halved at the most so often for the sum along it.
const HALVED: u32 = 8;

/// The map of a relief, with its sums along the bar.
#[derive(Clone, Debug)]
pub struct Level {
    relief: Relief,
    straight: bool,
    cells: Vec<Cell>,
    /// The whole volume over the width.
    whole: f64,
}

/// A part of a stretch of the bar in which nothing bends, seen from a circle above it: where its ends stand upright there is no end to the
/// slope along the bar, but none in the angle.
#[derive(Clone, Copy, Debug)]
struct Cell {
    from: f64,
    to: f64,
    /// Angles of the ends of this part of it.
    angles: [f64; 2],
    /// What lies before it.
    before: f64,
    /// What stands across it, a radian, from -1 at its beginning to 1 at its end.
    stands: Series,
}

impl Cell {
    fn place(&self, angle: f64) -> f64 {
        self.from + (self.to - self.from) * (1.0 - angle.cos()) / 2.0
    }

    fn angle(&self, x: f64) -> f64 {
        (1.0 - 2.0 * (x - self.from) / (self.to - self.from)).clamp(-1.0, 1.0).acos()
    }

    /// Half of its angle, and the middle of that.
    fn half(&self) -> (f64, f64) {
        let [low, high] = self.angles;
        ((high - low) / 2.0, (high + low) / 2.0)
    }

    /// Parts it until what stands across it, `mean` high at a place, is told to the last digits that matter.
    fn parted(mut self, most: u32, mean: &impl Fn(f64) -> f64, cells: &mut Vec<Cell>) {
        let (half, middle) = self.half();
        self.stands = Series::of(|x| {
            let angle = middle + half * x;
            mean(self.place(angle)) * (self.to - self.from) * angle.sin() / 2.0
        });
        let [low, high] = self.angles;
        if most == 0 || self.stands.ends_below(FAINT) {
            return cells.push(self);
        }
        for angles in [[low, middle], [middle, high]] {
            Cell { angles, ..self }.parted(most - 1, mean, cells);
        }
    }

    /// What stands across at an angle, a radian, and all of it from the bar's beginning to there.
    fn at(&self, angle: f64) -> (f64, f64) {
        let (half, middle) = self.half();
        let (stands, sum) = self.stands.at((angle - middle) / half);
        (stands, self.before + half * sum)
    }
}

impl Level {
    /// Makes its sums.
    #[must_use]
    pub fn new(relief: &Relief) -> Level {
        let [_, wide, _] = relief.size;
        let stretches = relief.stretches(1);
        let (mut cells, mut before) = (Vec::<Cell>::new(), 0.0);
        let mut ends = Vec::with_capacity(stretches.len());
        for (nth, Stretch { from, to, like }) in stretches.into_iter().enumerate() {
            let begin = cells.len();
            if like < nth {
                let known = ends.get(like).cloned().and_then(|of: Range<usize>| cells.get(of));
                let known = known.unwrap_or_else(|| bug!("stretch {like} is not before {nth}"));
                let again: Vec<Cell> = known.iter().map(|cell| Cell { from, to, ..*cell }).collect();
                cells.extend(again);
            } else {
                let whole = Cell { from, to, angles: [0.0, PI], before, stands: Series::default() };
                whole.parted(HALVED, &|x| relief.area(x, wide) / wide, &mut cells);
            }
            for cell in cells.iter_mut().skip(begin) {
                cell.before = before;
                (_, before) = cell.at(cell.angles[1]);
            }
            ends.push(begin..cells.len());
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
        let (_, sum) = cell.at(cell.angle(x));
        (sum / self.whole).clamp(0.0, 1.0)
    }

    /// The place along the bar with hollows before which lies a share of the volume, mm.
    #[must_use]
    fn place(&self, share: f64) -> f64 {
        let asked = share * self.whole;
        let at = self.cells.partition_point(|cell| cell.before <= asked).saturating_sub(1);
        let Some(cell) = self.cells.get(at) else { bug!("a bar without stretches") };
        let [low, high] = cell.angles;
        let end = self.cells.get(at + 1).map_or(self.whole, |next| next.before);
        let guess = low + (high - low) * (asked - cell.before) / (end - cell.before);
        let angle = newton_between(low, high, guess, HAIR, |angle| {
            let (stands, sum) = cell.at(angle);
            (sum - asked, stands)
        });
        cell.place(angle)
    }
}
