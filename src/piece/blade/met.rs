//! Where the makeup meets the faces of a blade: what shows, how far up, and what stands at edge and spine.

use super::{Blade, Knot, Station};
use crate::piece::{Makeup, NodeId, PartName};

/// A face of a blade, tip away from you and edge down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The face of the bars laid first.
    Left,
    /// The face of those laid last.
    Right,
}

/// Steps in which a line across a section is searched for a part: a thinner run may be missed (project figure).
const STEPS: u32 = 400;

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
    fn inside(&self, blade: &Blade, station: &Station, knot: &Knot, z: f64) -> bool {
        let through = (0.5 + z / knot.full - blade.off).clamp(0.0, 1.0);
        self.makeup.inside(self.node, self.part, [through, knot.across, station.along])
    }

    /// The stretches of a line on which something holds, from 0 to 1.
    fn stretches(&self, holds: impl Fn(f64) -> bool) -> Vec<(f64, f64)> {
        let boundary = |mut a: f64, mut b: f64| {
            let first = holds(a);
            for _ in 0..50 {
                let middle = (a + b) / 2.0;
                if holds(middle) == first { a = middle } else { b = middle }
            }
            (a + b) / 2.0
        };
        let mut found = Vec::new();
        let mut open = holds(0.0).then_some(0.0);
        let mut before = 0.0;
        for i in 1..=STEPS {
            let at = f64::from(i) / f64::from(STEPS);
            match (open, holds(at)) {
                (None, true) => open = Some(boundary(before, at)),
                (Some(from), false) => {
                    found.push((from, boundary(before, at)));
                    open = None;
                }
                _ => {}
            }
            before = at;
        }
        found.extend(open.map(|from| (from, 1.0)));
        found
    }

    fn on_face(&self, blade: &Blade, station: &Station, side: Side) -> Vec<(f64, f64)> {
        self.stretches(|u| {
            let knot = station.at_share(u);
            let z = if side == Side::Left { -knot.left } else { knot.right };
            self.inside(blade, station, &knot, z)
        })
    }

    /// How far above the edge the part shows on a face, mm: 0 where it is not at the edge there.
    #[must_use]
    pub fn shows(&self, blade: &Blade, station: &Station, side: Side) -> f64 {
        let first = self.on_face(blade, station, side).first().copied();
        first.filter(|(from, _)| *from <= 1e-9).map_or(0.0, |(_, to)| to * station.width())
    }

    /// Least and most width of the part's bands on both faces, mm; none where it does not show.
    #[must_use]
    pub fn wide(&self, blade: &Blade, station: &Station) -> Option<(f64, f64)> {
        let both = [Side::Left, Side::Right].map(|side| self.on_face(blade, station, side));
        let widths = both.iter().flatten().map(|(a, b)| (b - a) * station.width());
        widths.fold(None, |so_far: Option<(f64, f64)>, w| {
            Some(so_far.map_or((w, w), |(least, most)| (least.min(w), most.max(w))))
        })
    }

    /// Least and most thickness of the part's runs through a height of the section, mm; none where it is not there.
    #[must_use]
    pub fn through(&self, blade: &Blade, station: &Station, knot: &Knot) -> Option<(f64, f64)> {
        let runs = self.stretches(|s| {
            let z = -knot.left + knot.thick() * s;
            self.inside(blade, station, knot, z)
        });
        let thick = runs.iter().map(|(a, b)| (b - a) * knot.thick());
        thick.fold(None, |so_far: Option<(f64, f64)>, t| {
            Some(so_far.map_or((t, t), |(least, most)| (least.min(t), most.max(t))))
        })
    }

    /// The share of the blade's volume that the part takes.
    #[must_use]
    pub fn share(&self, blade: &Blade) -> f64 {
        let (mut inside, mut all) = (0.0, 0.0);
        super::weight::over(blade, |station, knot, weight| {
            let held = self.through(blade, station, knot).map_or(0.0, |_| {
                self.stretches(|s| self.inside(blade, station, knot, -knot.left + knot.thick() * s))
                    .iter()
                    .map(|(a, b)| b - a)
                    .sum()
            });
            inside += weight * knot.thick() * held;
            all += weight * knot.thick();
        });
        if all > 0.0 { inside / all } else { 0.0 }
    }
}
