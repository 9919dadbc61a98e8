//! A bevel, ground or forged.

use super::station::{Knot, Knots, Limit, Station};
use crate::quantity::root;

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
    pub(super) fn limits(&self, station: &Station) -> [Limit; 2] {
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

    /// A section with its strip above the edge forged to a bevel; `share` is how far: 0 before the plunge, 1 behind it.
    pub(super) fn forged(&self, old: &Station, share: f64, elongation: f64) -> Knots {
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
