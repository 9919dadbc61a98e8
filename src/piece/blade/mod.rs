//! The shape of a blade: sections at stations along its length.
//!
//! A station is a place along the blade with a section: knots from the edge up to the spine, each with the two faces there. Between
//! two knots a face is straight; between two stations everything is straight at the same share of the width. That is the
//! definition of the shape, so its volume and centre are exact sums and nothing is sampled. Each knot also knows which
//! place of the makeup lies there: forging moves that place along, grinding passes over it.

mod clip;
mod forged;
mod measure;
mod met;
mod outline;
mod tang;
mod weight;

use smallvec::SmallVec;

use super::{Bar, Makeup};
use crate::quantity::id;

pub use clip::{Bevel, Height, Sides};
pub use forged::Draft;
pub use met::{Met, Side};
pub use outline::{Outline, Run, Short};

/// A blade in the arena of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BladeId(u32);
id!(BladeId, u32);

/// A height of a section, and both faces there. Everything in mm but `across`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knot {
    /// Height, from a line along the bar.
    pub y: f64,
    /// The left face, out from the middle plane.
    pub left: f64,
    /// The right face, out from the middle plane.
    pub right: f64,
    /// What the whole thickness of the makeup measures here.
    pub full: f64,
    /// The place in the makeup's width, 0 at the edge side and 1 at the spine side.
    pub across: f64,
}

impl Knot {
    /// From face to face, mm.
    #[must_use]
    pub fn thick(&self) -> f64 {
        self.left + self.right
    }

    fn toward(&self, other: &Knot, s: f64) -> Knot {
        let mix = |a: f64, b: f64| a + (b - a) * s;
        Knot {
            y: mix(self.y, other.y),
            left: mix(self.left, other.left),
            right: mix(self.right, other.right),
            full: mix(self.full, other.full),
            across: mix(self.across, other.across),
        }
    }
}

/// The knots of a section, edge first; never none.
pub type Knots = SmallVec<[Knot; 6]>;

/// A place along a blade.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// From the heel, mm; below 0 in the tang.
    pub x: f64,
    /// The place in the makeup's length, 0 at its heel end and 1 at its tip end.
    pub along: f64,
    /// The section.
    pub knots: Knots,
}

/// A shaped bar: at least two stations, from the tang's end (or the heel, at 0) to the tip.
#[derive(Clone, Debug, PartialEq)]
pub struct Blade {
    /// In order of `x`.
    pub stations: Vec<Station>,
    /// How far the makeup lies off the middle plane, to the right, as a share of its whole thickness there.
    pub off: f64,
}

/// Places closer than this are one, mm.
const SAME: f64 = 1e-9;
/// Stations of one blade that are kept: no shaping of a real one comes near (project figure).
pub const MOST_STATIONS: usize = 10_000;
/// Stations with which a step may still begin, and points of an outline: far under what a step could then come to.
pub const MOST_BEGUN: usize = 400;
/// Bends of one section that are followed, and stations of all blades that a run keeps (project figures).
pub const MOST_KNOTS: usize = 400;
/// Likewise.
pub const MOST_KEPT: usize = 1_000_000;

impl Station {
    /// The knot at the edge.
    #[must_use]
    pub fn edge(&self) -> Knot {
        self.knots.first().copied().unwrap_or(NO_KNOT)
    }

    /// The knot at the spine.
    #[must_use]
    pub fn spine(&self) -> Knot {
        self.knots.last().copied().unwrap_or(NO_KNOT)
    }

    /// From edge to spine, mm.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.spine().y - self.edge().y
    }

    /// The greatest thickness, mm.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        self.knots.iter().map(Knot::thick).fold(0.0, f64::max)
    }

    /// The section at a height, mm; the nearest end where it lies beyond.
    #[must_use]
    pub fn at(&self, y: f64) -> Knot {
        let mut below = self.edge();
        for knot in &self.knots {
            if knot.y >= y {
                let gap = knot.y - below.y;
                return if gap <= 0.0 { *knot } else { below.toward(knot, ((y - below.y) / gap).max(0.0)) };
            }
            below = *knot;
        }
        below
    }

    /// The section at a share of the width, 0 at the edge.
    #[must_use]
    pub fn at_share(&self, u: f64) -> Knot {
        let (from, wide) = (self.edge().y, self.width());
        if wide > 0.0 {
            return self.at(from + wide * u);
        }
        // All heights are one: the knots are taken as evenly spread.
        let last = self.knots.len().saturating_sub(1) as f64;
        let place = u.clamp(0.0, 1.0) * last;
        let (low, s) = (place.floor(), place.fract());
        let knot = |i: f64| self.knots.get(i as usize).copied().unwrap_or(self.spine());
        knot(low).toward(&knot(low + 1.0), s)
    }

    /// The shares of the width at which the knots stand.
    pub fn shares(&self) -> impl Iterator<Item = f64> + '_ {
        let (from, wide) = (self.edge().y, self.width());
        let last = self.knots.len().saturating_sub(1).max(1) as f64;
        self.knots.iter().enumerate().map(
            move |(i, k)| {
                if wide > 0.0 { (k.y - from) / wide } else { i as f64 / last }
            },
        )
    }

    /// The section between this station and another.
    #[must_use]
    pub fn toward(&self, other: &Station, s: f64) -> Station {
        let mut shares: SmallVec<[f64; 8]> = self.shares().chain(other.shares()).collect();
        shares.sort_by(f64::total_cmp);
        shares.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        let knots = shares.iter().map(|u| self.at_share(*u).toward(&other.at_share(*u), s)).collect();
        let mix = |a: f64, b: f64| a + (b - a) * s;
        Station { x: mix(self.x, other.x), along: mix(self.along, other.along), knots }
    }
}

const NO_KNOT: Knot = Knot { y: 0.0, left: 0.0, right: 0.0, full: 1.0, across: 0.0 };

impl Blade {
    /// A bar as it is, not shaped yet: the heel at its heel end.
    #[must_use]
    pub fn of(bar: &Bar) -> Blade {
        let half = bar.thick / 2.0;
        let knot = |y: f64, across: f64| Knot { y, left: half, right: half, full: bar.thick, across };
        let station = |x: f64, along: f64| Station {
            x,
            along,
            knots: [knot(0.0, 0.0), knot(bar.wide, 1.0)].into_iter().collect(),
        };
        Blade { stations: vec![station(0.0, 0.0), station(bar.long, 1.0)], off: 0.0 }
    }

    /// Where the blade begins: the end of the tang, or the heel, mm.
    #[must_use]
    pub fn start(&self) -> f64 {
        self.stations.first().map_or(0.0, |s| s.x)
    }

    /// Where the tip is, mm from the heel.
    #[must_use]
    pub fn tip(&self) -> f64 {
        self.stations.last().map_or(0.0, |s| s.x)
    }

    /// The section at a place, mm from the heel; the nearest end where it lies beyond, and the side of the tip where
    /// two stand at one place.
    #[must_use]
    pub fn section(&self, x: f64) -> Station {
        // A hair of rounding does not part two stations that stand at one place.
        let at = self.stations.partition_point(|s| s.x <= x + SAME);
        let after = self.stations.get(at);
        let before = at.checked_sub(1).and_then(|i| self.stations.get(i));
        match (before, after) {
            (Some(a), Some(b)) if x > a.x => a.toward(b, (x - a.x) / (b.x - a.x)),
            (Some(a), _) => a.clone(),
            (None, Some(b)) => b.clone(),
            (None, None) => Station { x, along: 0.0, knots: Knots::new() },
        }
    }

    /// Puts a station at a place inside the blade, where there is none yet.
    pub fn stand(&mut self, x: f64) {
        let near = |s: &Station| (s.x - x).abs() <= SAME;
        if x <= self.start() || x >= self.tip() || self.stations.len() >= MOST_STATIONS {
            return;
        }
        let at = self.stations.partition_point(|s| s.x < x);
        let taken = self.stations.get(at).is_some_and(near)
            || at.checked_sub(1).and_then(|i| self.stations.get(i)).is_some_and(near);
        if !taken {
            let station = self.section(x);
            self.stations.insert(at, station);
        }
    }

    /// Puts stations at both ends of a stretch and evenly between them.
    pub fn stand_along(&mut self, from: f64, to: f64, parts: u32) {
        for i in 0..=parts {
            self.stand(from + (to - from) * f64::from(i) / f64::from(parts));
        }
    }

    /// Keeps what lies between two places; the heel stays where it is. Of two stations at an end the inner one stays.
    pub fn keep(&mut self, from: f64, to: f64) {
        self.stand(from);
        self.stand(to);
        self.stations.retain(|s| s.x >= from - SAME && s.x <= to + SAME);
        let one_place = |a: Option<&Station>, b: Option<&Station>| {
            a.zip(b).is_some_and(|(a, b)| (b.x - a.x).abs() <= SAME)
        };
        while self.stations.len() > 2 && one_place(self.stations.first(), self.stations.get(1)) {
            self.stations.remove(0);
        }
        while self.stations.len() > 2
            && one_place(self.stations.get(self.stations.len() - 2), self.stations.last())
        {
            self.stations.pop();
        }
    }

    /// Moves the heel along, mm.
    pub fn heel_at(&mut self, x: f64) {
        self.stations.iter_mut().for_each(|s| s.x -= x);
    }

    /// Where there is no tang and the heel end was taken off, the heel moves to what is left.
    pub fn rest_heel(&mut self) {
        if self.start() > 0.0 {
            self.heel_at(self.start());
        }
    }

    /// The same shape grown alike in every direction.
    pub fn grow(&mut self, factor: f64) {
        self.stretch([factor; 3]);
    }

    /// Each size by a factor of its own: thickness, width, length.
    pub fn stretch(&mut self, [thick, wide, long]: [f64; 3]) {
        for station in &mut self.stations {
            station.x *= long;
            for knot in &mut station.knots {
                knot.y *= wide;
                for size in [&mut knot.left, &mut knot.right, &mut knot.full] {
                    *size *= thick;
                }
            }
        }
    }

    /// What it takes to keep it, in stations of the usual few bends.
    pub(super) fn room(&self) -> usize {
        self.stations.iter().map(|s| 1 + s.knots.len() / 8).sum()
    }

    /// Whether a step may still begin with it: more stations or bends than any real blade has are not followed.
    #[must_use]
    pub fn overdone(&self) -> bool {
        self.stations.len() > MOST_BEGUN || self.stations.iter().any(|s| s.knots.len() > MOST_KNOTS)
    }

    /// Whether every figure of it is one.
    #[must_use]
    pub fn sound(&self) -> bool {
        let fine = |k: &Knot| [k.y, k.left, k.right, k.full, k.across].iter().all(|v| v.is_finite());
        self.stations.len() >= 2 && self.stations.iter().all(|s| s.x.is_finite() && s.knots.iter().all(fine))
    }
}

impl Makeup {
    /// Keeps a blade's shape.
    pub fn keep_blade(&mut self, blade: Blade) -> BladeId {
        self.stations += blade.room();
        self.blades.push(blade)
    }

    /// Whether the run keeps more of blades than it has room for.
    #[must_use]
    pub fn full_of_blades(&self) -> bool {
        self.stations > MOST_KEPT
    }

    /// The shape of a bar, where it is no plain bar any more.
    #[must_use]
    pub fn blade(&self, bar: &Bar) -> Option<&Blade> {
        bar.blade.map(|id| &self.blades[id])
    }

    /// The shape of a bar, shaped or not.
    #[must_use]
    pub fn shape(&self, bar: &Bar) -> Blade {
        self.blade(bar).cloned().unwrap_or_else(|| Blade::of(bar))
    }
}
