//! A bevel, ground or forged.

use super::curve::{arc, sagitta};
use super::station::{Knot, Knots, Limit, Station};
use crate::quantity::root;

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

/// What the face of a bevel is, from the edge up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Face {
    /// Straight.
    Flat,
    /// An arc that stands so far out from a flat one in its middle, mm.
    Convex(f64),
    /// An arc of a wheel so wide, mm.
    Hollow(f64),
}

impl Face {
    /// How far its middle stands out from the straight line, mm; less than nothing where it is hollow, `None` where no wheel so small
    /// reaches from end to end.
    fn stands_out(self, chord: f64) -> Option<f64> {
        match self {
            Face::Flat => Some(0.0),
            Face::Convex(by) => Some(by),
            Face::Hollow(wheel) => sagitta(chord, wheel).map(|by| -by),
        }
    }
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
    /// What its face is.
    pub face: Face,
    /// Whether the back is bevelled as the edge is: each from its own side up to the middle of the width at the most.
    pub both_edges: bool,
}

impl Bevel {
    /// How far up it goes in a section of this width and thickness, mm.
    #[must_use]
    pub fn tall(&self, width: f64, thick: f64) -> f64 {
        match self.height {
            Height::Tall(h) => h,
            Height::Full if self.both_edges => width / 2.0,
            Height::Full => width,
            Height::Slope(k) => {
                let faces = if self.sides == Sides::Both { 2.0 } else { 1.0 };
                (thick - self.edge).max(0.0) / (faces * k)
            }
        }
    }

    /// The same bevel on a section that has one edge.
    fn single(&self) -> Bevel {
        Bevel { both_edges: false, ..*self }
    }

    /// Where each of its faces begins and where it ends in a section of one edge: height, and out from the middle plane, mm.
    fn ends(&self, station: &Station) -> [Option<[(f64, f64); 2]>; 2] {
        let (edge, top) = (station.edge(), station.thickest());
        let tall = match self.height {
            // Where the back is an edge, to the ridge between both.
            Height::Full => top.y - edge.y,
            _ => self.tall(station.width(), top.thick()),
        };
        // A bevel taller than the blade is wide still runs up its slope: it ends beyond the spine.
        let face = |low: f64, high: f64| Some([(edge.y, low), (edge.y + tall, high)]);
        match self.sides {
            Sides::Both => {
                let half = self.edge / 2.0;
                // The edge stands in the middle plane.
                [face(half, top.left), face(half, top.right)]
            }
            Sides::Left => [face(self.edge - edge.right, top.left), None],
            Sides::Right => [None, face(self.edge - edge.left, top.right)],
        }
    }

    /// The parts of a section that it works as if each had one edge, edge first.
    fn halves(&self, station: &Station) -> Vec<Station> {
        if self.both_edges { station.halves().to_vec() } else { vec![station.clone()] }
    }

    /// Whether an arc of its face reaches from end to end and does not turn back: for the first and the widest section it must.
    #[must_use]
    pub fn rounds(&self, station: &Station) -> bool {
        let fits = |ends: [(f64, f64); 2]| self.points(ends).is_some();
        let halves = self.halves(station);
        halves.iter().flat_map(|half| self.single().ends(half)).flatten().all(fits)
    }

    fn points(&self, [a, b]: [(f64, f64); 2]) -> Option<Limit> {
        let out = self.face.stands_out((b.0 - a.0).hypot(b.1 - a.1))?;
        arc([a, b], out).map(Iterator::collect)
    }

    /// A section ground down to it.
    pub(super) fn ground(&self, station: &Station) -> Knots {
        // Where the blade comes to its point, an arc finds no room: there it is straight.
        let limit = |ends: Option<[(f64, f64); 2]>| {
            ends.map_or_else(Limit::new, |ends| {
                self.points(ends).unwrap_or_else(|| ends.into_iter().collect())
            })
        };
        let single = self.single();
        let halves = self.halves(station).into_iter();
        let mut ground = station.clone();
        for (half, back) in halves.zip([false, true]) {
            let limits = single.ends(&half).map(limit);
            ground = if back { ground.mirrored() } else { ground };
            ground.knots = ground.clipped(&limits);
            ground = if back { ground.mirrored() } else { ground };
        }
        ground.knots
    }

    /// A section with its strip above the edge forged to a bevel; `share` is how far: 0 before the plunge, 1 behind it.
    pub(super) fn forged(&self, old: &Station, share: f64, elongation: f64) -> Knots {
        if self.both_edges {
            // Each half by itself: the middle between them stays where it is.
            let [low, high] = old.halves().map(|half| {
                let knots = self.single().forged(&half, share, elongation);
                Station { knots, ..half }
            });
            let above = high.mirrored().knots.into_iter().filter(|k| k.y > low.spine().y + 1e-10);
            return low.knots.iter().copied().chain(above).collect();
        }
        let area = old.area() / (1.0 + elongation);
        if area <= 0.0 || share <= 0.0 {
            return old.knots.clone();
        }
        let (edge, spine, wide) = (old.edge(), old.spine(), old.width());
        let thick = edge.thick();
        let left_at_edge = thick + (self.edge.min(thick) - thick) * share;
        let squeeze = left_at_edge / thick;
        let area_of = |knots: &Knots| Station { x: 0.0, along: 0.0, knots: knots.clone() }.area();
        // The whole width as one bevel: its width follows from its area.
        let whole = |wide_new: f64| strip(old, wide, wide_new, squeeze);
        let full = || {
            let unit = area_of(&whole(1.0));
            whole(area / unit)
        };
        let tall = match self.height {
            Height::Full => return settle(full(), spine),
            Height::Tall(_) | Height::Slope(_) => self.tall(wide, spine.thick()) * share,
        };
        if area_of(&strip(old, wide, tall, squeeze)) >= area {
            return settle(full(), spine);
        }
        // The old strip that makes a bevel so tall: the more of it goes in, the less is left above.
        // (From a hair on: where nothing is taken there is no bevel, and its area is the old one.)
        let took = root((1e-6, wide), |took| area_of(&strip(old, took, tall, squeeze)) - area);
        settle(strip(old, took, tall, squeeze), spine)
    }
}

/// The lowest `took` mm of a section pushed into `tall` mm, squeezed at the edge and not at the top of the strip.
fn strip(old: &Station, took: f64, tall: f64, squeeze: f64) -> Knots {
    let edge = old.edge();
    let top = old.at(edge.y + took);
    let inside = old.knots.iter().filter(|k| k.y < top.y - 1e-10).copied();
    let above = old.knots.iter().filter(|k| k.y > top.y + 1e-10).copied();
    let pushed = |k: Knot| {
        let s = if took > 0.0 { (k.y - edge.y) / took } else { 1.0 };
        let by = squeeze + (1.0 - squeeze) * s;
        k.thinned(by, edge.y + s * tall)
    };
    let lifted = |k: Knot| Knot { y: k.y - took + tall, ..k };
    let shoulder = pushed(Knot { y: edge.y + took, ..top });
    inside.map(pushed).chain(std::iter::once(shoulder)).chain(above.map(lifted)).collect()
}

/// The spine stays where it was: the edge moves down.
fn settle(mut knots: Knots, spine: Knot) -> Knots {
    let lower = knots.last().map_or(0.0, |k| k.y) - spine.y;
    knots.iter_mut().for_each(|k| k.y -= lower);
    knots
}
