//! A place along a blade, and its section.

use smallvec::SmallVec;

/// Places closer than this are one, mm.
pub(super) const SAME: f64 = 1e-9;
/// A knot is no bend where it lies no further off a straight line than this, mm: far below what the balance can tell.
const STRAIGHT: f64 = 1e-12;

/// A limit that a face is ground down to, over the height of a section: straight between its points, none beyond them.
pub(super) type Limit = SmallVec<[(f64, f64); 12]>;

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
    /// The same place thinned by a factor, at another height, mm.
    pub(super) fn thinned(&self, by: f64, y: f64) -> Knot {
        Knot { y, left: self.left * by, right: self.right * by, full: self.full * by, across: self.across }
    }

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

impl Station {
    /// The knot at the edge.
    #[must_use]
    pub fn edge(&self) -> Knot {
        *self.knots.first().unwrap_or_else(|| bug!("a section without an edge"))
    }

    /// The knot at the spine.
    #[must_use]
    pub fn spine(&self) -> Knot {
        *self.knots.last().unwrap_or_else(|| bug!("a section without a spine"))
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

    /// The knot where it is thickest: the spine, but where that is ground down as an edge is; of several the highest.
    #[must_use]
    pub fn thickest(&self) -> Knot {
        let spine = self.spine();
        // What rounding adds to a flat is no ridge.
        let over = |best: Knot, knot: &Knot| if knot.thick() > best.thick() + 1e-9 { *knot } else { best };
        self.knots.iter().rev().fold(spine, over)
    }

    /// The middle of what is as thick as the section is anywhere, mm.
    pub(super) fn middle_of_flat(&self) -> f64 {
        let flat = self.thickness() - 1e-9;
        let mut thick = self.knots.iter().filter(|k| k.thick() >= flat).map(|k| k.y);
        let low = thick.next().unwrap_or(self.spine().y);
        f64::midpoint(low, thick.next_back().unwrap_or(low))
    }

    /// Whether the back is an edge too: less than half as thick as the section is (project figure).
    #[must_use]
    pub fn two_edged(&self) -> bool {
        self.spine().thick() < 0.5 * self.thickness()
    }

    /// The same section turned about: its spine is the edge now. Heights count down.
    #[must_use]
    pub fn mirrored(&self) -> Station {
        let knots = self.knots.iter().rev().map(|k| Knot { y: -k.y, ..*k }).collect();
        Station { knots, ..self.clone() }
    }

    /// From the edge to the middle of the width, and from the spine to there, as [`Station::mirrored`] has it.
    pub(super) fn halves(&self) -> [Station; 2] {
        let middle = f64::midpoint(self.edge().y, self.spine().y);
        let (mut low, mut high) = (self.clone(), self.mirrored());
        low.narrow(low.edge().y, middle);
        high.narrow(high.edge().y, -middle);
        [low, high]
    }

    /// The section from each of its edges: of two edges from the back too, see [`Station::mirrored`].
    pub fn from_edges(&self) -> impl Iterator<Item = Station> + use<> {
        let back = self.two_edged().then(|| self.mirrored());
        std::iter::once(self.clone()).chain(back)
    }

    /// The section at a height, mm; the nearest end where it lies beyond.
    #[must_use]
    pub fn at(&self, y: f64) -> Knot {
        self.at_from(&mut 0, y)
    }

    /// The same for heights that rise: each is looked for from where the one before it was found.
    fn at_from(&self, from: &mut usize, y: f64) -> Knot {
        let knots = self.knots.get(*from..).unwrap_or_default();
        *from += knots.iter().take_while(|knot| knot.y < y).count();
        let below = from.checked_sub(1).and_then(|i| self.knots.get(i)).copied().unwrap_or(self.edge());
        let Some(knot) = self.knots.get(*from) else { return below };
        let gap = knot.y - below.y;
        if gap <= 0.0 { *knot } else { below.toward(knot, ((y - below.y) / gap).max(0.0)) }
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
        let knot = |i: f64| self.knots.get(i as usize).copied();
        // At the last knot there is none to go toward.
        let here = knot(low).unwrap_or_else(|| bug!("no knot at {u} of the width"));
        knot(low + 1.0).map_or(here, |next| here.toward(&next, s))
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
        let alike = self.knots.len() == other.knots.len()
            && self.shares().zip(other.shares()).all(|(a, b)| (a - b).abs() < 1e-12);
        let knots = if alike {
            self.knots.iter().zip(&other.knots).map(|(a, b)| a.toward(b, s)).collect()
        } else {
            let mut shares: SmallVec<[f64; 8]> = self.shares().chain(other.shares()).collect();
            shares.sort_by(f64::total_cmp);
            shares.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
            shares.iter().map(|u| self.at_share(*u).toward(&other.at_share(*u), s)).collect()
        };
        let mix = |a: f64, b: f64| a + (b - a) * s;
        Station { x: mix(self.x, other.x), along: mix(self.along, other.along), knots }
    }

    /// Pairs of neighbouring knots.
    fn fields(&self) -> impl Iterator<Item = (&Knot, &Knot)> {
        self.knots.iter().zip(self.knots.iter().skip(1))
    }

    /// Area of the section, mm2.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.fields().map(|(a, b)| (b.y - a.y) * (a.thick() + b.thick()) / 2.0).sum()
    }

    /// The middle of the section's area, mm: height, and distance to the right of the middle plane.
    #[must_use]
    pub fn centre(&self) -> [f64; 2] {
        let (mut area, mut up, mut right) = (0.0, 0.0, 0.0);
        for (a, b) in self.fields() {
            let (h, t, u) = (b.y - a.y, a.thick(), b.thick());
            area += h * (t + u) / 2.0;
            // Trapezoid: the thickness runs straight over the height.
            up += h * (a.y * (t + u) / 2.0 + h * (t + 2.0 * u) / 6.0);
            // Between the faces: half the difference of their squares, each running straight.
            let square = |p: f64, q: f64| h * (p * p + p * q + q * q) / 3.0;
            right += (square(a.right, b.right) - square(a.left, b.left)) / 2.0;
        }
        [up / area, right / area]
    }

    /// The section's outline as points `(height, right of the middle plane)`, mm: up the left face, down the right one.
    #[must_use]
    pub fn outline(&self) -> Vec<[f64; 2]> {
        let left = self.knots.iter().map(|k| [k.y, -k.left]);
        let right = self.knots.iter().rev().map(|k| [k.y, k.right]);
        left.chain(right).collect()
    }

    /// Width and mean thickness of a section; both run straight from one station to the next.
    pub(super) fn wide_and_mean(&self) -> (f64, f64) {
        let width = self.width();
        if width > 0.0 {
            return (width, self.area() / width);
        }
        let shares: Vec<f64> = self.shares().collect();
        let knots = self.fields();
        let gaps = shares.iter().zip(shares.iter().skip(1));
        let mean: f64 = knots.zip(gaps).map(|((a, b), (u, v))| (a.thick() + b.thick()) / 2.0 * (v - u)).sum();
        // A section of one knot has no share to average over.
        (width, if self.knots.len() < 2 { self.edge().thick() } else { mean })
    }

    /// Its place, width and mean thickness, mm.
    pub(super) fn slice(&self) -> Slice {
        let (wide, mean) = self.wide_and_mean();
        Slice { x: self.x, wide, mean }
    }

    /// Grinds a section down to the limits of its two faces.
    pub(super) fn clipped(&self, limits: &[Limit; 2]) -> Knots {
        let (low, high) = (self.edge().y, self.spine().y);
        let mut heights: SmallVec<[f64; 32]> = self.knots.iter().map(|k| k.y).collect();
        for limit in limits {
            heights.extend(limit.iter().map(|p| p.0).filter(|y| *y > low && *y < high));
        }
        let mut met = self.meets(&mut heights, limits);
        // Where a face and its limit cross between two heights, a knot is needed.
        let mut crossings: SmallVec<[f64; 4]> = SmallVec::new();
        let at = || heights.iter().zip(&met);
        for ((a, here), (b, next)) in at().zip(at().skip(1)) {
            for (p, q) in here.over().into_iter().zip(next.over()) {
                if p.is_finite() && q.is_finite() && p * q < 0.0 {
                    crossings.push(a + (b - a) * p / (p - q));
                }
            }
        }
        if !crossings.is_empty() {
            heights.extend(crossings);
            met = self.meets(&mut heights, limits);
        }
        let ground = met.iter().map(|met| {
            let [left, right] = met.limits;
            Knot { left: met.knot.left.min(left), right: met.knot.right.min(right), ..met.knot }
        });
        tidy(ground.collect())
    }

    /// The section and the limits of its faces at some heights, one knot a height: two of them would part as soon as a skin is taken
    /// off.
    fn meets(&self, heights: &mut SmallVec<[f64; 32]>, [left, right]: &[Limit; 2]) -> SmallVec<[Met; 32]> {
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|a, b| (*a - *b).abs() < 1e-10);
        let (mut knots, mut lefts, mut rights) = (0, 0, 0);
        let at = |y: &f64| Met {
            knot: self.at_from(&mut knots, *y),
            limits: [limit_at(left, &mut lefts, *y), limit_at(right, &mut rights, *y)],
        };
        heights.iter().map(at).collect()
    }

    /// What its bevels are ground down to where so much is taken off them, mm square to the middle plane; `None` where it has none.
    pub(super) fn under_bevels(&self, depth: f64) -> Option<[Limit; 2]> {
        let flat = self.thickness() - 1e-9;
        let top = self.knots.iter().position(|k| k.thick() >= flat)?;
        let (below, last) = (self.knots.get(top.checked_sub(1)?)?, self.knots.get(top)?);
        let end = self.spine().y + 1.0;
        Some([|k: &Knot| k.left, |k: &Knot| k.right].map(|face: fn(&Knot) -> f64| {
            let slope = if last.y > below.y { (face(last) - face(below)) / (last.y - below.y) } else { 0.0 };
            let inside = self.knots.iter().take(top + 1).map(|k| (k.y, face(k) - depth));
            // Beyond its top the bevel goes on as it was, as far as it meets the flat.
            let on = (end, face(last) - depth + slope * (end - last.y));
            inside.chain(std::iter::once(on)).collect()
        }))
    }

    /// The section without what has no thickness left: an edge ground or burnt through stands back.
    pub(super) fn bare(&mut self) {
        let sound = |k: &Knot| k.thick() >= 0.0;
        if !self.knots.iter().any(sound) {
            // Nothing is left here: a line at the spine.
            let mut spine = self.spine();
            (spine.left, spine.right) = (0.0, 0.0);
            self.knots = [spine, spine].into_iter().collect();
            return;
        }
        self.bare_edge();
        // The back may be an edge too.
        if !sound(&self.spine()) {
            self.knots.reverse();
            self.bare_edge();
            self.knots.reverse();
        }
    }

    fn bare_edge(&mut self) {
        let Some(first) = self.knots.iter().position(|k| k.thick() >= 0.0) else { return };
        if let (Some(before), Some(at)) =
            (first.checked_sub(1).and_then(|i| self.knots.get(i)).copied(), self.knots.get(first).copied())
        {
            let s = before.thick() / (before.thick() - at.thick());
            let knot = before.toward(&at, s);
            self.knots.drain(..first);
            self.knots.insert(0, knot);
        }
    }

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
        let ends = [Knot { y: low, ..first }, Knot { y: high, ..last }].map(std::iter::once);
        let [low, high] = ends;
        self.knots = low.chain(inner).chain(high).collect();
    }

    /// The section forged between two heights, its thickness held.
    pub(super) fn between(&self, low: f64, high: f64) -> Knots {
        let (from, wide) = (self.edge().y, self.width());
        let place = |y: f64| if wide > 0.0 { low + (y - from) / wide * (high - low) } else { low };
        self.knots.iter().map(|k| Knot { y: place(k.y), ..*k }).collect()
    }

    /// The section made thinner and wider by factors, about its middle.
    pub(super) fn scaled(&self, thick: f64, wide: f64) -> Knots {
        let middle = (self.edge().y + self.spine().y) / 2.0;
        let one = |k: &Knot| k.thinned(thick, middle + (k.y - middle) * wide);
        self.knots.iter().map(one).collect()
    }

    /// How far a face of one section lies from that of another, at most, mm.
    pub(super) fn off_from(&self, other: &Station) -> f64 {
        let off = |y: f64| {
            let (here, there) = (self.at(y), other.at(y));
            (here.left - there.left).abs().max((here.right - there.right).abs())
        };
        self.knots.iter().chain(&other.knots).map(|k| off(k.y)).fold(0.0, f64::max)
    }

    /// Whether both sections are one and the same, to the last digits of the arithmetic.
    pub(super) fn alike(&self, other: &Station) -> bool {
        let size = |k: &Knot| [k.y, k.left, k.right];
        let same = |(a, b): (&Knot, &Knot)| size(a).iter().zip(size(b)).all(|(a, b)| (a - b).abs() <= 1e-9);
        self.knots.len() == other.knots.len() && self.knots.iter().zip(&other.knots).all(same)
    }
}

/// What of a station its volume hangs on, mm.
#[derive(Clone, Copy)]
pub(super) struct Slice {
    pub(super) x: f64,
    pub(super) wide: f64,
    pub(super) mean: f64,
}

impl Slice {
    /// Volume from here to the next, mm3: width times mean thickness, both straight, integrated.
    pub(super) fn volume_to(self, next: Slice) -> f64 {
        let (Slice { x, wide: w0, mean: m0 }, Slice { x: end, wide: w1, mean: m1 }) = (self, next);
        (end - x) * (w0 * m0 / 3.0 + (w0 * m1 + w1 * m0) / 6.0 + w1 * m1 / 3.0)
    }
}

/// A height of a section that is ground: the section as it is there, and how far out its faces may be, left and right.
struct Met {
    knot: Knot,
    limits: [f64; 2],
}

impl Met {
    /// How far each face lies over its limit.
    fn over(&self) -> [f64; 2] {
        let [left, right] = self.limits;
        [self.knot.left - left, self.knot.right - right]
    }
}

/// A face's limit at a height, looked for from where that of a lower one was found; none where it does not reach.
fn limit_at(limit: &Limit, from: &mut usize, y: f64) -> f64 {
    *from += limit.get(*from..).unwrap_or_default().iter().take_while(|(at, _)| *at < y).count();
    let before = from.checked_sub(1).and_then(|i| limit.get(i));
    match (before, limit.get(*from)) {
        (Some((b, low)), Some((at, value))) if at > b => low + (value - low) * (y - b) / (at - b),
        (_, Some((at, value))) if *at <= y + 1e-12 => *value,
        _ => f64::INFINITY,
    }
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
