//! The shape of a blade: sections at stations along its length.
//!
//! A station is a place along the blade with a section: knots from the edge up to the spine, each with the two faces there. Between
//! two knots a face is straight; between two stations everything is straight at the same share of the width. That is the
//! definition of the shape, so its volume and centre are exact sums and nothing is sampled. Each knot also knows which
//! place of the makeup lies there: forging moves that place along, grinding passes over it.

mod bevel;
mod curve;
mod fuller;
pub(super) mod grid;
mod met;
mod metal;
mod outline;
mod station;

use super::bar::Bar;
use metal::{Metal, running, sums, total};
use station::{Limit, SAME};

pub use bevel::{Bevel, Face, Height, Sides};
pub use curve::smooth;
pub use fuller::Fuller;
pub use met::{Met, Side};
pub use outline::{Outline, Run, Short};
pub use station::{Knot, Knots, Station};

/// Stations of one blade that are kept: no shaping of a real one comes near (project figure).
pub const MOST_STATIONS: usize = 10_000;
/// Stations with which a step may still begin, and points of an outline: far under what a step could then come to.
pub const MOST_BEGUN: usize = 400;
/// Bends of one section that are followed (project figure).
pub const MOST_KNOTS: usize = 400;
/// Stations that a forged stretch is told in.
const PARTS: u32 = 16;

/// To follow a line along a blade, its stations may become so many, and no more between two of them than these (project figures: half of those that a step
/// may begin with).
const FOLLOWING: usize = MOST_BEGUN / 2;
const CLOSEST: usize = 32;
/// A fuller moves by no more than this share of its width between two stations: halfway its floor lies then 1/256 of its depth higher (geometry, to second
/// order).
const FOLLOWED: f64 = 1.0 / 16.0;
/// Where an outline is cut out, a face lies no further than this, mm, from where it lay (project figure: half of what the finest calliper tells).
const STAYS: f64 = 0.005;

/// A shaped bar: at least two stations, from the tang's end (or the heel, at 0) to the tip.
#[derive(Clone, Debug, PartialEq)]
pub struct Blade {
    /// In order of `x`.
    pub stations: Vec<Station>,
    /// How far the makeup lies off the middle plane, to the right, as a share of its whole thickness there.
    pub off: f64,
}

/// A taper to forge.
#[derive(Clone, Copy, Debug)]
pub struct Draft {
    /// Thickness at the far end, mm; the near end keeps its own.
    pub thick: Option<f64>,
    /// Width at the far end, mm; likewise.
    pub wide: Option<f64>,
    /// Spread: how much of what is pressed off one size the other gains, where only one is asked.
    pub spread: f64,
}

impl Blade {
    /// A bar as it is, not shaped yet: the heel at its heel end.
    #[must_use]
    pub fn of(bar: &Bar) -> Blade {
        let half = bar.thick / 2.0;
        let knot = |y: f64, across: f64| Knot { y, left: half, right: half, full: bar.thick, across };
        let knots: Knots = [knot(0.0, 0.0), knot(bar.wide, 1.0)].into_iter().collect();
        let station = |x: f64, along: f64| Station { x, along, knots: knots.clone() };
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

    /// The lowest and the highest place of its side, mm.
    #[must_use]
    pub fn heights(&self) -> (f64, f64) {
        self.stations.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| {
            (low.min(s.edge().y), high.max(s.spine().y))
        })
    }

    /// The least and the most that a share of its makeup's length takes on it, mm for the whole.
    #[must_use]
    pub fn stretched(&self) -> Option<[f64; 2]> {
        let pairs = self.stations.windows(2).filter_map(|pair| match pair {
            [a, b] if a.x >= 0.0 && b.along > a.along => Some((b.x - a.x) / (b.along - a.along)),
            _ => None,
        });
        pairs.fold(None, |found, long| {
            let [least, most] = found.unwrap_or([long; 2]);
            Some([f64::min(least, long), f64::max(most, long)])
        })
    }

    /// The section at a place, mm from the heel; the nearest end where it lies beyond, and the side of the tip where
    /// two stand at one place.
    #[must_use]
    pub fn section(&self, x: f64) -> Station {
        match self.around(x) {
            (a, b, s) if s > 0.0 => a.toward(b, s),
            (a, ..) => a.clone(),
        }
    }

    /// The stations on both sides of a place, and how far it lies from the first toward the second, 0 to 1.
    #[must_use]
    pub fn around(&self, x: f64) -> (&Station, &Station, f64) {
        // A hair of rounding does not part two stations that stand at one place.
        let at = self.stations.partition_point(|s| s.x <= x + SAME);
        let after = self.stations.get(at);
        let before = at.checked_sub(1).and_then(|i| self.stations.get(i));
        match (before, after) {
            (Some(a), Some(b)) if x > a.x => (a, b, (x - a.x) / (b.x - a.x)),
            (Some(a), _) | (None, Some(a)) => (a, a, 0.0),
            (None, None) => bug!("a blade without stations"),
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

    /// Puts stations so close over a stretch that a line along the blade, at these heights, moves by no more than `step` mm across it
    /// from one to the next: between them everything runs at a share of the width.
    fn stand_closely(&mut self, [from, to]: [f64; 2], height: impl Fn(&Station) -> f64, step: f64) {
        self.stand(from);
        self.stand(to);
        let share = |s: &Station| (s.width() > 0.0).then(|| (height(s) - s.edge().y) / s.width());
        let mut places = Vec::new();
        let room = FOLLOWING.saturating_sub(self.stations.len()) / self.stations.len().max(1);
        let most = (1 + room).min(CLOSEST) as f64;
        for (a, b) in self.fields().filter(|(a, b)| a.x >= from - SAME && b.x <= to + SAME) {
            let (Some(p), Some(q)) = (share(a), share(b)) else { continue };
            let parts = ((q - p).abs() * a.width().max(b.width()) / step).ceil().clamp(1.0, most) as u32;
            places.extend((1..parts).map(|i| a.x + (b.x - a.x) * f64::from(i) / f64::from(parts)));
        }
        places.into_iter().for_each(|x| self.stand(x));
    }

    /// Puts stations so close, from the heel on, that a cut leaves the faces where they are between them too: a hollow or a fuller that keeps its
    /// height lies at another share of a width that changes.
    fn stand_where_cut(&mut self, cut: impl Fn(&mut Station)) {
        let left = |mut station: Station| {
            cut(&mut station);
            station
        };
        let mut open: Vec<[f64; 2]> =
            self.fields().map(|(a, b)| [a.x, b.x]).filter(|f| f[0] >= -SAME).collect();
        while let Some(next) = (!open.is_empty()).then(|| std::mem::take(&mut open)) {
            for [from, to] in next {
                let at = self.stations.partition_point(|s| s.x < to - SAME);
                let (Some(a), Some(b)) =
                    (at.checked_sub(1).and_then(|i| self.stations.get(i)), self.stations.get(at))
                else {
                    continue;
                };
                // Straight faces stay straight.
                if a.knots.len().max(b.knots.len()) < 3
                    || self.stations.len() >= FOLLOWING
                    || b.x - a.x < 2.0 * SAME
                {
                    continue;
                }
                let middle = f64::midpoint(from, to);
                let (near, far) = (left(a.clone()), left(b.clone()));
                let off = |s: f64| left(a.toward(b, s)).off_from(&near.toward(&far, s));
                if [0.25, 0.5, 0.75].into_iter().any(|s| off(s) > STAYS) {
                    self.stand(middle);
                    open.extend([[from, middle], [middle, to]]);
                }
            }
        }
    }

    /// Keeps what lies between two places; the heel stays where it is. Of two stations at an end the inner one stays.
    pub fn keep(&mut self, from: f64, to: f64) {
        self.stand(from);
        self.stand(to);
        self.stations.retain(|s| s.x >= from - SAME && s.x <= to + SAME);
        let one_place = |a: &Station, b: &Station| (b.x - a.x).abs() <= SAME;
        while matches!(self.stations.as_slice(), [a, b, _, ..] if one_place(a, b)) {
            self.stations.remove(0);
        }
        while matches!(self.stations.as_slice(), [.., _, a, b] if one_place(a, b)) {
            self.stations.pop();
        }
    }

    /// A blade of what lies between two places, as [`Blade::keep`] keeps it.
    fn part(&self, from: f64, to: f64) -> Blade {
        let mut part = self.clone();
        part.keep(from, to);
        part
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

    pub(super) fn fields(&self) -> impl Iterator<Item = (&Station, &Station)> {
        self.stations.iter().zip(self.stations.iter().skip(1))
    }

    /// Volume with the tang, mm3.
    #[must_use]
    pub fn volume(&self) -> f64 {
        running(&self.stations).last().unwrap_or(0.0)
    }

    /// Volume from one place to another, mm3.
    #[must_use]
    pub fn volume_within(&self, from: f64, to: f64) -> f64 {
        self.part(from, to).volume()
    }

    /// The middle of the volume along the length, mm from the heel, the tang counted in: the balance point of one steel.
    #[must_use]
    pub fn balance(&self) -> f64 {
        let (mut volume, mut moment) = (0.0, 0.0);
        for (a, b) in self.fields() {
            let long = b.x - a.x;
            let (from, to) = (a.slice(), b.slice());
            let ((w0, m0), (w1, m1)) = ((from.wide, from.mean), (to.wide, to.mean));
            let here = from.volume_to(to);
            volume += here;
            moment +=
                a.x * here + long * long * (w0 * m0 / 12.0 + (w0 * m1 + w1 * m0) / 12.0 + w1 * m1 / 4.0);
        }
        moment / volume
    }

    /// Area of the outline as seen from the side, tang and all, mm2.
    #[must_use]
    pub fn side_area(&self) -> f64 {
        self.fields().map(|(a, b)| (b.x - a.x) * (a.width() + b.width()) / 2.0).sum()
    }

    /// The outline as seen from the side, mm: `(from the heel, height)`, along the edge and back along the spine.
    #[must_use]
    pub fn side(&self) -> Vec<[f64; 2]> {
        let edge = self.stations.iter().map(|s| [s.x, s.edge().y]);
        let spine = self.stations.iter().rev().map(|s| [s.x, s.spine().y]);
        let mut points: Vec<[f64; 2]> = edge.chain(spine).collect();
        points.dedup();
        points
    }

    /// The greatest width and thickness from heel to tip, mm.
    #[must_use]
    pub fn greatest(&self) -> [f64; 2] {
        // Of two stations at the heel the second is the blade's.
        let heel = self.stations.iter().rposition(|s| s.x <= SAME).unwrap_or(0);
        let blade = self.stations.iter().skip(heel);
        blade.fold([0.0, 0.0], |[w, t], s| [f64::max(w, s.width()), f64::max(t, s.thickness())])
    }

    /// Thickness so far behind the edge, at a place, mm; the spine's where the blade is not so wide.
    #[must_use]
    pub fn behind_edge(&self, x: f64, by: f64) -> f64 {
        let section = self.section(x);
        section.at(section.edge().y + by).thick()
    }

    /// Grinds a bevel from one place to another; over `plunge` mm from the first place on it runs out of the flat.
    pub fn bevel(&mut self, bevel: &Bevel, from: f64, to: f64, plunge: f64) {
        self.stand(from);
        self.stand(to);
        if plunge > 0.0 {
            self.stand_along(from, (from + plunge).min(to), 4);
        }
        for station in &mut self.stations {
            if station.x < from - SAME || station.x > to + SAME {
                continue;
            }
            let knots = bevel.ground(station);
            let share = if plunge > 0.0 { ((station.x - from) / plunge).clamp(0.0, 1.0) } else { 1.0 };
            if share >= 1.0 {
                station.knots = knots;
            } else {
                let ground = Station { knots, ..station.clone() };
                *station = station.toward(&ground, share);
            }
            station.bare();
        }
    }

    /// Grinds a fuller from one place to another; it runs out over so many mm at both ends.
    pub fn fuller(&mut self, fuller: &Fuller, [from, to]: [f64; 2], runs: [f64; 2]) {
        let [first, last] = runs;
        self.stand_closely([from, to], |s| fuller.lips(s)[0], FOLLOWED * fuller.across);
        self.stand_along(from, from + first, 4);
        self.stand_along(to - last, to, 4);
        for station in self.stations.iter_mut().filter(|s| s.x >= from - SAME && s.x <= to + SAME) {
            let share = run_out(station.x, [from, to], runs);
            let ground = fuller.ground(station);
            *station = if share < 1.0 { station.toward(&ground, share) } else { ground };
        }
    }

    /// Forges a fuller from one place to another: the blade grows wider, and longer by `elongation`, as a share. Gives the stretch's new length, mm.
    pub fn forge_fuller(
        &mut self,
        fuller: &Fuller,
        [from, to]: [f64; 2],
        runs: [f64; 2],
        elongation: f64,
    ) -> f64 {
        let long = to - from;
        self.reforge(from, to, |s, old| {
            let share = run_out(s * long, [0.0, long], runs);
            fuller.forged(old, share, elongation * share)
        })
    }

    /// Where a section is thinner inside than at its edge, over a stretch: the place from the heel and the thickness there, where that is least,
    /// and the edge's, mm.
    #[must_use]
    pub fn thinner_inside(&self, from: f64, to: f64) -> Option<[f64; 3]> {
        let there =
            self.stations.iter().filter(|s| s.x >= from - SAME && s.x <= to + SAME && s.width() > 0.0);
        let sides = there.flat_map(Station::from_edges);
        let thin = sides.filter_map(|s| {
            let (edge, top) = (s.edge().thick(), s.thickest());
            let inside = s.knots.iter().take_while(|k| k.y < top.y).map(Knot::thick).fold(edge, f64::min);
            (inside < edge - 1e-9).then_some([s.x, inside, edge])
        });
        thin.min_by(|a, b| a[1].total_cmp(&b[1]))
    }

    /// Grinds both faces alike down to a thickness that runs straight from `from` to `to`, mm: `(place, thickness)`.
    pub fn thin(&mut self, from: (f64, f64), to: (f64, f64)) {
        let ((a, thick_a), (b, thick_b)) = (from, to);
        self.stand(a);
        self.stand(b);
        for station in &mut self.stations {
            if station.x < a - SAME || station.x > b + SAME {
                continue;
            }
            let s = if b > a { (station.x - a) / (b - a) } else { 1.0 };
            let half = (thick_a + (thick_b - thick_a) * s) / 2.0;
            let (low, high) = (station.edge().y - 1.0, station.spine().y + 1.0);
            let limit: Limit = [(low, half), (high, half)].into_iter().collect();
            station.knots = station.clipped(&[limit.clone(), limit]);
            // A face that lies beyond the middle plane, as a chisel grind's does, may meet the other one.
            station.bare();
        }
    }

    /// Takes so much off every face, mm, square to it; where nothing is left, the edge stands back.
    pub fn skin_faces(&mut self, depth: f64) {
        for station in &mut self.stations {
            let old = station.knots.clone();
            let slope = |i: usize, face: fn(&Knot) -> f64| {
                // The flatter neighbour sets a knot: a corner is not dug into.
                let side = |a: usize, b: usize| {
                    let (a, b) = (old.get(a)?, old.get(b)?);
                    (b.y > a.y).then(|| ((face(b) - face(a)) / (b.y - a.y)).hypot(1.0))
                };
                let before = i.checked_sub(1).and_then(|p| side(p, i));
                let after = side(i, i + 1);
                match (before, after) {
                    (Some(a), Some(b)) => a.min(b),
                    (a, b) => a.or(b).unwrap_or(1.0),
                }
            };
            for (i, knot) in station.knots.iter_mut().enumerate() {
                knot.left -= depth * slope(i, |k| k.left);
                knot.right -= depth * slope(i, |k| k.right);
            }
            station.bare();
        }
    }

    /// Takes so much off the bevels alone, mm square to the middle plane: they run up further into the flat.
    pub fn skin_bevels(&mut self, depth: f64) {
        if depth <= 0.0 {
            return;
        }
        for station in &mut self.stations {
            let old = station.clone();
            for (side, back) in old.from_edges().zip([false, true]) {
                let Some(limits) = side.under_bevels(depth) else { continue };
                let mut ground = if back { station.mirrored() } else { station.clone() };
                ground.knots = ground.clipped(&limits);
                *station = if back { ground.mirrored() } else { ground };
            }
            station.bare();
        }
    }

    /// Takes so much off edge and spine, mm.
    pub fn skin_edges(&mut self, edge: f64, spine: f64) {
        for station in &mut self.stations {
            let (low, high) = (station.edge().y + edge, station.spine().y - spine);
            station.narrow(low, high);
        }
        self.end_at_point();
    }

    /// A tip that edge and spine have met before: the blade ends where they meet.
    pub(super) fn end_at_point(&mut self) {
        let Some(gone) = self.stations.iter().rposition(|s| s.width() > 0.0) else { return };
        if gone + 2 < self.stations.len() {
            self.stations.truncate(gone + 2);
        }
    }

    /// Takes so much off both ends, mm; the heel stays where it was, see [`Blade::rest_heel`].
    pub fn skin_ends(&mut self, depth: f64) {
        self.keep(self.start() + depth, self.tip() - depth);
    }

    /// What a heat burns off a blade all round, mm deep.
    pub fn burn(&mut self, depth: f64) {
        self.skin_faces(depth);
        self.skin_edges(depth, depth);
        self.skin_ends(depth);
    }

    /// Heights are told from the lowest place of the edge, as a rule laid along it tells them: earlier steps may have
    /// moved the edge up or down.
    pub fn rest_edge(&mut self) {
        let ahead = self.stations.iter().filter(|s| s.x >= -SAME);
        let low = ahead.map(|s| s.edge().y).fold(f64::INFINITY, f64::min);
        if low.is_finite() {
            self.stations.iter_mut().flat_map(|s| &mut s.knots).for_each(|k| k.y -= low);
        }
    }

    /// Cuts an outline out of a blade, from the heel to the tip; tells where steel was missing most.
    pub fn cut_out(&mut self, outline: &Outline) -> Option<Short> {
        self.stand(0.0);
        let tip = self.tip();
        let places: Vec<f64> = outline.places().filter(|x| *x >= 0.0 && *x <= tip).collect();
        places.iter().for_each(|x| self.stand(*x));
        // Where the outline leaves the steel between two stations.
        let over = |s: &Station| [outline.edge.at(s.x) - s.edge().y, s.spine().y - outline.spine.at(s.x)];
        let mut crossings = Vec::new();
        for (a, b) in self.fields().filter(|(a, _)| a.x >= -SAME) {
            for (p, q) in over(a).into_iter().zip(over(b)) {
                if p * q < 0.0 {
                    crossings.push(a.x + (b.x - a.x) * p / (p - q));
                }
            }
        }
        crossings.into_iter().for_each(|x| self.stand(x));
        let cut =
            |station: &mut Station| station.narrow(outline.edge.at(station.x), outline.spine.at(station.x));
        self.stand_where_cut(cut);
        // The bar behind the heel keeps its own section up to the shoulder.
        let heel = self.stations.iter().rposition(|s| s.x <= SAME).unwrap_or(0);
        let first =
            if self.start() < -SAME && self.stations.get(heel.wrapping_sub(1)).is_none_or(|s| s.x < -SAME) {
                let shoulder = self.section(0.0);
                self.stations.insert(heel, shoulder);
                heel + 1
            } else {
                heel
            };
        let mut short: Option<Short> = None;
        for station in self.stations.iter_mut().skip(first) {
            let [edge, spine] = over(station).map(|over| (-over).max(0.0));
            if edge.max(spine) > 1e-6 && short.is_none_or(|s| edge.max(spine) > s.edge.max(s.spine)) {
                short = Some(Short { x: station.x, edge, spine });
            }
            cut(station);
        }
        self.end_at_point();
        short
    }

    /// Forges the tip end to an outline of this length, mm, thickness held: the metal is taken from the tip end on, and
    /// what is left over lies behind the heel.
    ///
    /// # Errors
    /// The length in mm that there is metal for, where it is less.
    pub fn forge_out(&mut self, outline: &Outline, long: f64) -> Result<(), f64> {
        let (start, tip) = (self.start(), self.tip());
        let mut places: Vec<f64> =
            outline.places().chain([0.0, long]).filter(|x| *x >= 0.0 && *x <= long).collect();
        places.extend((1..12).map(|i| long * f64::from(i) / 12.0));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < SAME);
        // The metal of each place comes from as far up the bar as its volume tells; the bar is followed from the tip.
        let old = self.clone();
        let source = Metal::of(old.part(start, tip).stations);
        let all = source.all();
        let mut metal: Vec<Station> = vec![old.section(tip); places.len()];
        let mut made: Vec<Station> = Vec::new();
        for _ in 0..4 {
            made = places
                .iter()
                .zip(&metal)
                .map(|(x, old)| {
                    let (low, high) = (outline.edge.at(*x), outline.spine.at(*x));
                    let knots = old.between(low, high.max(low));
                    Station { x: *x, along: old.along, knots }
                })
                .collect();
            let before = sums(&made);
            let needs = total(&before);
            if needs > all * (1.0 + 1e-12) {
                return Err(long * all / needs);
            }
            let next: Vec<Station> = before.into_iter().map(|sum| source.behind(all - needs + sum)).collect();
            let moved = metal.iter().zip(&next).map(|(a, b)| (a.x - b.x).abs()).fold(0.0, f64::max);
            metal = next;
            if moved < 1e-9 {
                break;
            }
        }
        let Some(heel) = metal.first().map(|s| s.x) else { return Ok(()) };
        let mut left = old;
        left.keep(start, heel);
        left.heel_at(heel);
        if heel - start <= SAME {
            left.stations.clear();
        } else if let Some(last) = left.stations.last_mut() {
            // The shoulder between the heel and the bar behind it.
            last.x = last.x.min(0.0);
        }
        let shoulder = left.stations.len();
        left.stations.extend(made);
        self.stations = left.stations;
        if shoulder > 0 {
            self.stations.dedup_by(|b, a| (b.x - a.x).abs() <= SAME && a.knots == b.knots);
        }
        Ok(())
    }

    /// Forges a stretch: `form` gives the new section at a share of the new length from the old one of the same metal.
    ///
    /// Gives the stretch's new length, mm.
    fn reforge(&mut self, from: f64, to: f64, form: impl Fn(f64, &Station) -> Knots) -> f64 {
        self.stand(from);
        self.stand(to);
        let old = self.clone();
        let source = Metal::of(old.part(from, to).stations);
        let volume = source.all();
        let shares: Vec<f64> = (0..=PARTS).map(|i| f64::from(i) / f64::from(PARTS)).collect();
        let mut metal = shares.clone();
        let mut made: Vec<Station> = Vec::new();
        let mut unit = 1.0;
        for _ in 0..6 {
            made = shares
                .iter()
                .zip(&metal)
                .map(|(s, m)| {
                    let old = source.behind(volume * m);
                    Station { x: *s, along: old.along, knots: form(*s, &old) }
                })
                .collect();
            let before = sums(&made);
            unit = total(&before);
            let next: Vec<f64> = before.into_iter().map(|sum| sum / unit).collect();
            let moved = metal.iter().zip(&next).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            metal = next;
            // An even stretch is told at once.
            if moved < 1e-12 {
                break;
            }
        }
        let long = volume / unit;
        let grown = long - (to - from);
        for station in &mut made {
            station.x = from + long * station.x;
        }
        // A shoulder right at an end keeps its outer section; where the form steps off what lies beyond, there is one now.
        let outer = |at: f64, first: bool, inner: Option<&Station>| {
            let there: Vec<&Station> = old.stations.iter().filter(|s| (s.x - at).abs() <= SAME).collect();
            let outside = if first { old.start() < at - SAME } else { old.tip() > at + SAME };
            let own = *(if first { there.first() } else { there.last() })?;
            let steps = outside && inner.is_some_and(|inner| !own.alike(inner));
            (there.len() > 1 || steps).then(|| own.clone())
        };
        let before: Vec<Station> = old
            .stations
            .iter()
            .filter(|s| s.x < from - SAME)
            .cloned()
            .chain(outer(from, true, made.first()))
            .collect();
        let beyond = old.stations.iter().filter(|s| s.x > to + SAME).cloned();
        let behind = outer(to, false, made.last()).into_iter().chain(beyond).map(|mut s| {
            s.x += grown;
            s
        });
        self.stations = before.into_iter().chain(made).chain(behind).collect();
        long
    }

    /// Forges a taper from one place to another; the second may lie nearer the heel. Gives the stretch's new length, mm.
    pub fn draft(&mut self, from: f64, to: f64, draft: &Draft) -> f64 {
        let (a, b) = (from.min(to), from.max(to));
        let near = self.section(from);
        let (thick, wide) = (near.thickest().thick(), near.width());
        self.reforge(a, b, |s, old| {
            let s = if from <= to { s } else { 1.0 - s };
            let toward = |from: f64, to: f64| from + (to - from) * s;
            let (has_t, has_w) = (old.thickest().thick(), old.width());
            let thin = draft.thick.map(|t| (toward(thick, t) / has_t).min(1.0));
            let narrow =
                draft.wide.map(|w| if has_w > 0.0 { (toward(wide, w) / has_w).min(1.0) } else { 1.0 });
            let (f, g) = match (thin, narrow) {
                (Some(f), Some(g)) => (f, g),
                (Some(f), None) => (f, f.powf(-draft.spread)),
                (None, Some(g)) => (g.powf(-draft.spread), g),
                (None, None) => (1.0, 1.0),
            };
            old.scaled(f, g)
        })
    }

    /// Forges a bevel: the strip above the edge is thinned and pushed down; what it does not gain in height goes into length,
    /// `elongation` of it, as a share. Gives the stretch's new length, mm.
    pub fn forge_bevel(&mut self, bevel: &Bevel, from: f64, to: f64, plunge: f64, elongation: f64) -> f64 {
        let old_long = to - from;
        self.reforge(from, to, |s, old| {
            let share = if plunge > 0.0 { (s * old_long / plunge).min(1.0) } else { 1.0 };
            bevel.forged(old, share, elongation)
        })
    }

    /// The steel behind the heel drawn to a bar of this width and thickness and `long` mm; its volume is the caller's.
    #[must_use]
    pub fn drawn_tang(&self, wide: f64, thick: f64, long: f64) -> Blade {
        let (end, heel) = (self.section(self.start()), self.behind_heel());
        let drawn = |x: f64, old: &Station| {
            let middle = f64::midpoint(old.edge().y, old.spine().y);
            let squeeze = thick / old.thickness();
            let narrow = wide / old.width();
            let knot = |k: &Knot| Knot {
                y: middle + (k.y - middle) * narrow,
                left: thick / 2.0,
                right: thick / 2.0,
                full: k.full * squeeze,
                across: k.across,
            };
            let knots = [knot(&old.edge()), knot(&old.spine())].into_iter().collect();
            Station { x, along: old.along, knots }
        };
        // The tang's middle line runs straight back from the heel.
        let at_heel = drawn(0.0, &heel);
        let mut at_end = drawn(-long, &end);
        let shift = at_heel.edge().y - at_end.edge().y;
        at_end.knots.iter_mut().for_each(|k| k.y += shift);
        let blade = self.ahead_of_heel();
        Blade { stations: [at_end, at_heel].into_iter().chain(blade).collect(), off: self.off }
    }

    /// The section right behind the heel.
    fn behind_heel(&self) -> Station {
        let there = self.stations.iter().find(|s| s.x.abs() <= SAME);
        there.cloned().unwrap_or_else(|| self.section(0.0))
    }

    /// The stations from the heel on; of two at the heel the blade's own.
    fn ahead_of_heel(&self) -> Vec<Station> {
        self.part(0.0, self.tip()).stations
    }

    /// What lies behind the heel ground to a width, and to a thickness where one is given, running into the blade over `shoulder`.
    pub fn ground_tang(&mut self, wide: f64, thick: Option<f64>, shoulder: f64) {
        let start = self.start();
        let heel = self.ahead_of_heel();
        let middle = {
            let at = self.section(0.0);
            f64::midpoint(at.edge().y, at.spine().y)
        };
        let mut tang = self.part(start, 0.0);
        let run_out = (-shoulder).max(start / 2.0);
        tang.stand(run_out);
        if let Some(thick) = thick {
            let full = tang.section(0.0).thickest().thick();
            tang.thin((start, thick), (run_out, thick));
            tang.thin((run_out, thick), (0.0, full.max(thick)));
        }
        for station in tang.stations.iter_mut() {
            station.narrow(middle - wide / 2.0, middle + wide / 2.0);
        }
        self.stations = tang.stations.into_iter().chain(heel).collect();
    }
}

/// How much of its depth a fuller has at a place between its ends, over which it runs out, 0 to 1.
fn run_out(x: f64, [from, to]: [f64; 2], [first, last]: [f64; 2]) -> f64 {
    let over = |long: f64, run: f64| if run > 0.0 { (long / run).clamp(0.0, 1.0) } else { 1.0 };
    over(x - from, first).min(over(to - x, last))
}
