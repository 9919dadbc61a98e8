//! Taking steel off a blade's faces: tapers, bevels, clean-up. Nothing moves; the makeup stays where it is.

use smallvec::SmallVec;

use super::{Blade, Knot, Knots, Station};

/// A limit that a face is ground down to, over the height of a section: straight between its points, none beyond them.
type Limit = SmallVec<[(f64, f64); 12]>;

/// A knot is no bend where it lies no further off a straight line than this, mm: far below what the balance can tell.
const STRAIGHT: f64 = 1e-12;
/// Pieces that a convex bevel is drawn with.
const CHORDS: u32 = 8;

/// Which faces are bevelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sides {
    /// Both alike.
    Both,
    /// The left one alone.
    Left,
    /// The right one alone.
    Right,
}

/// How far up a bevel goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Height {
    /// So far from the edge, mm.
    Tall(f64),
    /// To the spine.
    Full,
    /// As far as this angle takes it: of one face to the middle plane, as its tangent.
    Slope(f64),
}

/// A bevel.
#[derive(Clone, Copy, Debug)]
pub struct Bevel {
    /// Thickness left at the edge, mm.
    pub edge: f64,
    /// How far up.
    pub height: Height,
    /// Which faces.
    pub sides: Sides,
    /// How far a convex face stands out from a flat one in its middle, mm.
    pub bulge: f64,
}

impl Bevel {
    /// How far up it goes in a section of this width and thickness, mm.
    #[must_use]
    pub fn tall(&self, width: f64, thick: f64) -> f64 {
        match self.height {
            Height::Tall(h) => h,
            Height::Full => width,
            Height::Slope(k) => {
                let faces = if self.sides == Sides::Both { 2.0 } else { 1.0 };
                (thick - self.edge).max(0.0) / (faces * k)
            }
        }
    }

    /// The limits of both faces in a section.
    fn limits(&self, station: &Station) -> [Limit; 2] {
        let (edge, spine) = (station.edge(), station.spine());
        let thick = spine.thick();
        let tall = self.tall(station.width(), thick);
        // A bevel taller than the blade is wide still runs up its slope: it ends beyond the spine.
        let face = |low: f64, high: f64| -> Limit {
            (0..=CHORDS)
                .filter(|i| self.bulge > 0.0 || *i == 0 || *i == CHORDS)
                .map(|i| {
                    let s = f64::from(i) / f64::from(CHORDS);
                    (edge.y + tall * s, low + (high - low) * s + 4.0 * self.bulge * s * (1.0 - s))
                })
                .collect()
        };
        let none = Limit::new();
        match self.sides {
            Sides::Both => {
                let half = self.edge / 2.0;
                // The edge stands in the middle plane.
                [face(half, spine.left), face(half, spine.right)]
            }
            Sides::Left => [face(self.edge - edge.right, spine.left), none],
            Sides::Right => [none, face(self.edge - edge.left, spine.right)],
        }
    }
}

/// A face's limit at a height; none where it does not reach.
fn limit_at(limit: &Limit, y: f64) -> f64 {
    let mut before: Option<(f64, f64)> = None;
    for (at, value) in limit {
        if *at >= y {
            return match before {
                Some((b, low)) if at > &b => low + (value - low) * (y - b) / (at - b),
                _ if *at <= y + 1e-12 => *value,
                _ => f64::INFINITY,
            };
        }
        before = Some((*at, *value));
    }
    f64::INFINITY
}

/// Grinds a section down to the limits of its two faces.
fn clip(station: &Station, limits: &[Limit; 2]) -> Knots {
    let (low, high) = (station.edge().y, station.spine().y);
    let mut heights: SmallVec<[f64; 16]> = station.knots.iter().map(|k| k.y).collect();
    for limit in limits {
        heights.extend(limit.iter().map(|p| p.0).filter(|y| *y > low && *y < high));
    }
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 1e-10);
    // Where a face and its limit cross between two heights, a knot is needed.
    let mut crossings: SmallVec<[f64; 4]> = SmallVec::new();
    let faces: [fn(&Knot) -> f64; 2] = [|k| k.left, |k| k.right];
    for (a, b) in heights.iter().zip(heights.iter().skip(1)) {
        for (face, limit) in faces.iter().zip(limits) {
            let over = |y: f64| face(&station.at(y)) - limit_at(limit, y);
            let (p, q) = (over(*a), over(*b));
            if p.is_finite() && q.is_finite() && p * q < 0.0 {
                crossings.push(a + (b - a) * p / (p - q));
            }
        }
    }
    heights.extend(crossings);
    heights.sort_by(f64::total_cmp);
    // One knot a height: two of them would part as soon as a skin is taken off.
    heights.dedup_by(|a, b| (*a - *b).abs() < 1e-10);
    let ground = heights.iter().map(|y| {
        let mut knot = station.at(*y);
        let [left, right] = limits;
        knot.left = knot.left.min(limit_at(left, *y));
        knot.right = knot.right.min(limit_at(right, *y));
        knot
    });
    tidy(ground.collect())
}

/// A section without the knots that lie on a straight line between their neighbours.
fn tidy(knots: Knots) -> Knots {
    let mut kept = Knots::new();
    for (i, knot) in knots.iter().enumerate() {
        let straight = match (kept.last(), knots.get(i + 1)) {
            (Some(before), Some(after)) if after.y > before.y => {
                let on = before.toward(after, (knot.y - before.y) / (after.y - before.y));
                let off = [on.left - knot.left, on.right - knot.right, on.full - knot.full];
                off.iter().all(|d| d.abs() < STRAIGHT) && (on.across - knot.across).abs() < STRAIGHT
            }
            _ => false,
        };
        if !straight {
            kept.push(*knot);
        }
    }
    kept
}

impl Station {
    /// The section without what has no thickness left: an edge ground or burnt through stands back.
    fn bare(&mut self) {
        let sound = |k: &Knot| k.thick() >= 0.0;
        let Some(first) = self.knots.iter().position(sound) else {
            // Nothing is left here: a line at the spine.
            let mut spine = self.spine();
            (spine.left, spine.right) = (0.0, 0.0);
            self.knots = [spine, spine].into_iter().collect();
            return;
        };
        if let (Some(before), Some(at)) =
            (first.checked_sub(1).and_then(|i| self.knots.get(i)).copied(), self.knots.get(first).copied())
        {
            let s = before.thick() / (before.thick() - at.thick());
            let knot = before.toward(&at, s);
            self.knots.drain(..first);
            self.knots.insert(0, knot);
        }
    }
}

impl Blade {
    /// Grinds a bevel from one place to another; over `plunge` mm from the first place on it runs out of the flat.
    pub fn bevel(&mut self, bevel: &Bevel, from: f64, to: f64, plunge: f64) {
        self.stand(from);
        self.stand(to);
        if plunge > 0.0 {
            self.stand_along(from, (from + plunge).min(to), 4);
        }
        for station in &mut self.stations {
            if station.x < from - super::SAME || station.x > to + super::SAME {
                continue;
            }
            let knots = clip(station, &bevel.limits(station));
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

    /// Grinds both faces alike down to a thickness that runs straight from `from` to `to`, mm: `(place, thickness)`.
    pub fn thin(&mut self, from: (f64, f64), to: (f64, f64)) {
        let ((a, thick_a), (b, thick_b)) = (from, to);
        self.stand(a);
        self.stand(b);
        for station in &mut self.stations {
            if station.x < a - super::SAME || station.x > b + super::SAME {
                continue;
            }
            let s = if b > a { (station.x - a) / (b - a) } else { 1.0 };
            let half = (thick_a + (thick_b - thick_a) * s) / 2.0;
            let (low, high) = (station.edge().y - 1.0, station.spine().y + 1.0);
            let limit: Limit = [(low, half), (high, half)].into_iter().collect();
            station.knots = clip(station, &[limit.clone(), limit]);
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
            let (edge, spine) = (station.edge(), station.spine());
            let flat = spine.thick() - 1e-9;
            let Some(top) = station.knots.iter().position(|k| k.thick() >= flat) else { continue };
            if top == 0 {
                continue;
            }
            let last = station.knots.get(top).copied().unwrap_or(spine);
            let limit = |face: fn(&Knot) -> f64| -> Limit {
                let below = station.knots.get(top - 1).copied().unwrap_or(edge);
                let slope =
                    if last.y > below.y { (face(&last) - face(&below)) / (last.y - below.y) } else { 0.0 };
                let inside = station.knots.iter().take(top + 1).map(|k| (k.y, face(k) - depth));
                // Beyond its top the bevel goes on as it was, as far as it meets the flat.
                let on = (spine.y + 1.0, face(&last) - depth + slope * (spine.y + 1.0 - last.y));
                inside.chain(std::iter::once(on)).collect()
            };
            station.knots = clip(station, &[limit(|k| k.left), limit(|k| k.right)]);
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
}

impl Station {
    /// Keeps what lies between two heights; where they have crossed, a line in their middle.
    pub fn narrow(&mut self, low: f64, high: f64) {
        let (low, high) = (low.max(self.edge().y), high.min(self.spine().y));
        if low >= high {
            let knot = self.at((low + high) / 2.0);
            self.knots = [knot, knot].into_iter().collect();
            return;
        }
        let (first, last) = (self.at(low), self.at(high));
        let inner = self.knots.iter().filter(|k| k.y > low + 1e-10 && k.y < high - 1e-10).copied();
        let knots: Knots = std::iter::once(Knot { y: low, ..first })
            .chain(inner)
            .chain(std::iter::once(Knot { y: high, ..last }))
            .collect();
        self.knots = knots;
    }
}
