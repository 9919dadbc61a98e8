//! Where the makeup meets the faces of a blade: what shows, how far up, and what stands at edge and spine.

use super::station::{Knot, Station};
use super::{Blade, grid};
use crate::piece::carbon::Region;
use crate::piece::line::{Line, Point};
use crate::piece::part_line::{Stretches, runs_on};
use crate::piece::{Makeup, NodeId, PartName};

/// A face of a blade, tip away from you and edge down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The face of the bars laid first.
    Left,
    /// The face of those laid last.
    Right,
}

impl Blade {
    /// The part of the makeup from face to face at a height of a section, at least so thick, mm: an edge may have no thickness. As stretches of its
    /// thickness, width and length, 0 to 1.
    #[must_use]
    pub fn part_at(&self, station: &Station, knot: &Knot, least: f64) -> Region {
        let place = |z: f64| (0.5 + z / knot.full - self.off).clamp(0.0, 1.0);
        let near = |at: f64| ((at - NEAR).max(0.0), (at + NEAR).min(1.0));
        let through = (place(-knot.left.max(0.5 * least)), place(knot.right.max(0.5 * least)));
        [through, near(knot.across), near(station.along)]
    }
}

/// So much of the width and of the length to each side counts as one place, as a share (project figure).
const NEAR: f64 = 0.01;

/// Looks for a named part on a blade.
#[derive(Clone, Copy)]
pub struct Met<'a> {
    /// The makeup.
    pub makeup: &'a Makeup,
    /// The blade's.
    pub node: NodeId,
    /// The part.
    pub part: PartName,
}

impl Met<'_> {
    /// The place in the makeup of a point at a knot's height, `z` mm to the right of the middle plane.
    fn place(&self, blade: &Blade, station: &Station, knot: &Knot, z: f64) -> Point {
        [0.5 + z / knot.full - blade.off, knot.across, station.along]
    }

    /// The stretches of a face in which the part shows, in mm above the edge.
    fn on_face(&self, blade: &Blade, station: &Station, side: Side) -> Stretches {
        let mut found = Stretches::new();
        let foot = station.edge().y;
        let face = |k: &Knot| if side == Side::Left { -k.left } else { k.right };
        for (low, high) in station.knots.iter().zip(station.knots.iter().skip(1)) {
            let line = Line {
                from: self.place(blade, station, low, face(low)),
                to: self.place(blade, station, high, face(high)),
            };
            let height = |s: f64| low.y - foot + (high.y - low.y) * s;
            for (from, to) in runs_on(self.makeup, self.node, self.part, line) {
                match found.last_mut() {
                    Some(last) if height(from) <= last.1 + 1e-9 => last.1 = height(to),
                    _ => found.push((height(from), height(to))),
                }
            }
        }
        found
    }

    /// How far above the edge the part shows on a face, mm: 0 where it is not at the edge there.
    #[must_use]
    pub fn shows(&self, blade: &Blade, station: &Station, side: Side) -> f64 {
        let first = self.on_face(blade, station, side).first().copied();
        first.filter(|(from, _)| *from <= 1e-9).map_or(0.0, |(_, to)| to)
    }

    /// Whether the part shows on a face between two heights of the section, mm.
    #[must_use]
    pub fn shows_between(&self, blade: &Blade, station: &Station, side: Side, [low, high]: [f64; 2]) -> bool {
        let foot = station.edge().y;
        self.on_face(blade, station, side).iter().any(|(a, b)| b + foot > low && a + foot < high)
    }

    /// Whether the part lies in a single layer through a height of the section.
    #[must_use]
    pub fn lone(&self, blade: &Blade, station: &Station, y: f64) -> bool {
        self.runs_through(blade, station, &Knot { y, ..station.at(y) }).len() == 1
    }

    /// Least and most width of the part's bands on both faces, mm; none where it does not show.
    #[must_use]
    pub fn wide(&self, blade: &Blade, station: &Station) -> Option<(f64, f64)> {
        let both = [Side::Left, Side::Right].map(|side| self.on_face(blade, station, side));
        let widths = both.iter().flatten().map(|(a, b)| b - a);
        widths.fold(None, |so_far: Option<(f64, f64)>, w| {
            Some(so_far.map_or((w, w), |(least, most)| (least.min(w), most.max(w))))
        })
    }

    /// The stretches of the line through a height of the section that lie in the part, from the left face at 0 to the right at 1.
    fn runs_through(&self, blade: &Blade, station: &Station, knot: &Knot) -> Stretches {
        let at = |z: f64| self.place(blade, station, knot, z);
        runs_on(self.makeup, self.node, self.part, Line { from: at(-knot.left), to: at(knot.right) })
    }

    /// Least and most thickness of the part's runs through a height of the section, mm; none where it is not there.
    #[must_use]
    pub fn through(&self, blade: &Blade, station: &Station, knot: &Knot) -> Option<(f64, f64)> {
        let runs = self.runs_through(blade, station, knot);
        let thick = runs.iter().map(|(a, b)| (b - a) * knot.thick());
        thick.fold(None, |so_far: Option<(f64, f64)>, t| {
            Some(so_far.map_or((t, t), |(least, most)| (least.min(t), most.max(t))))
        })
    }

    /// The share of the blade's volume that the part takes.
    #[must_use]
    pub fn share(&self, blade: &Blade) -> f64 {
        let (mut inside, mut all) = (0.0, 0.0);
        grid::over(blade, |station, knot, weight| {
            let held: f64 = self.runs_through(blade, station, knot).iter().map(|(a, b)| b - a).sum();
            inside += weight * knot.thick() * held;
            all += weight * knot.thick();
        });
        if all > 0.0 { inside / all } else { 0.0 }
    }
}
