//! A jacket bent round a core on both faces and one edge.
//!
//! The tree lays it as three straight pieces, one under the core, one above it, one before its edge (a butt at both corners). Bent, it
//! runs through: level curves lie as deep in it as they lie under its outer side, with a mitre at each corner, and each place keeps its
//! share of the curve. The depth is told by area: `(2 W + T) d - 2 d^2` of what lies over all of its thickness, so that each area stays
//! (project geometry: outside it thins, inside it thickens, as bent metal does).
//!
//! Left out: the corner's round, and how far the jacket slides on its core.

use super::super::line::Point;

/// A bend at two corners.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mitre {
    /// Thickness and width of the whole, mm.
    pub size: [f64; 2],
    /// Thickness of the jacket, mm.
    pub jacket: f64,
}

impl Mitre {
    /// The share of the jacket's width that lies under the core, and above it.
    #[must_use]
    pub fn leg(&self) -> f64 {
        let [thick, wide] = self.size;
        wide / (2.0 * wide + thick - 2.0 * self.jacket)
    }

    /// Where what lies at a point now lay among straight pieces.
    #[must_use]
    pub fn back(&self, [s, v, u]: Point) -> Point {
        let ([thick, wide], jacket) = (self.size, self.jacket);
        let (z, y) = (s * thick, v * wide);
        let deep = z.min(thick - z).min(y);
        if deep >= jacket {
            return [s, v, u];
        }
        // From the back along the lower face, up the edge, and back along the upper face.
        let along = if z <= y && z <= thick - z {
            wide - y
        } else if y <= thick - z {
            (wide - deep) + (z - deep)
        } else {
            (wide - deep) + (thick - 2.0 * deep) + (y - deep)
        };
        let (share, depth) = (along / self.round(deep), self.area(deep) / self.area(jacket));
        let leg = self.leg();
        let [z, y] = if share <= leg {
            [depth * jacket, wide * (1.0 - share / leg)]
        } else if share >= 1.0 - leg {
            [thick - depth * jacket, wide * (share - (1.0 - leg)) / leg]
        } else {
            [jacket + (share - leg) / (1.0 - 2.0 * leg) * (thick - 2.0 * jacket), depth * jacket]
        };
        [z / thick, y / wide, u]
    }

    /// Where what lay at a point among straight pieces lies now.
    #[must_use]
    pub fn onward(&self, [s, v, u]: Point) -> Point {
        let ([thick, wide], jacket) = (self.size, self.jacket);
        let (z, y) = (s * thick, v * wide);
        let leg = self.leg();
        let (share, depth) = if z < jacket {
            (leg * (1.0 - y / wide), z / jacket)
        } else if z > thick - jacket {
            (1.0 - leg + leg * y / wide, (thick - z) / jacket)
        } else if y < jacket {
            (leg + (1.0 - 2.0 * leg) * (z - jacket) / (thick - 2.0 * jacket), y / jacket)
        } else {
            return [s, v, u];
        };
        let whole = 2.0 * wide + thick;
        let deep = (whole - (whole * whole - 8.0 * depth * self.area(jacket)).max(0.0).sqrt()) / 4.0;
        let along = share * self.round(deep);
        let (low, edge) = (wide - deep, thick - 2.0 * deep);
        let [z, y] = if along <= low {
            [deep, wide - along]
        } else if along <= low + edge {
            [deep + along - low, deep]
        } else {
            [thick - deep, deep + along - low - edge]
        };
        [z / thick, y / wide, u]
    }

    /// How long the level curve so deep is, mm.
    fn round(&self, deep: f64) -> f64 {
        let [thick, wide] = self.size;
        2.0 * wide + thick - 4.0 * deep
    }

    /// The area outside of it, mm2.
    fn area(&self, deep: f64) -> f64 {
        let [thick, wide] = self.size;
        (2.0 * wide + thick) * deep - 2.0 * deep * deep
    }
}
