//! The shape of a bar: a rectangle, round or octagon swept along a length.

use super::axis::Axis;
use super::book::Cause;
use super::ids::{BladeId, NodeId, ReliefId};
use super::past::Past;

/// The outline of the cross-section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section {
    /// Flat faces and edges.
    Flat,
    /// A round; it is worked as the square of equal area.
    Round,
    /// A regular octagon, measured across flats; it is worked as the square of equal area.
    Octagon,
}

impl Section {
    /// The side of the square of equal area, for a calliper size of 1.
    ///
    /// Round: `sqrt(pi/4)`. Octagon across flats: area `2 (sqrt(2) - 1) a^2` (plane geometry).
    #[must_use]
    pub fn side_per_size(self) -> f64 {
        match self {
            Section::Flat => 1.0,
            Section::Round => (std::f64::consts::PI / 4.0).sqrt(),
            Section::Octagon => (2.0 * (std::f64::consts::SQRT_2 - 1.0)).sqrt(),
        }
    }
}

/// What loose bars are packed in: voids lie between them until their first weld.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Packed {
    /// The shares of thickness and of width that each wall of their can takes once the voids are closed; nothing where there is no can.
    pub walls: Option<[f64; 2]>,
    /// How the can comes off behind that weld; nothing where it stays.
    pub off: Option<Cause>,
}

/// One bar, cold. Sizes in mm, mass in g.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// In the stacking direction; for a round or octagon the side of the square of equal area.
    pub thick: f64,
    /// Across the face; likewise.
    pub wide: f64,
    /// From the heel end to the tip end.
    pub long: f64,
    /// The outline.
    pub section: Section,
    /// What it is made up of.
    pub node: NodeId,
    /// Mass, g.
    pub mass: f64,
    /// The direction in which loose pieces lie on each other, until they are welded.
    pub loose: Option<Axis>,
    /// What loose pieces are packed in, with voids between them.
    pub packed: Option<Packed>,
    /// What fire and quench have left in it.
    pub past: Past,
    /// The shape, where it is no plain bar any more: the three sizes are then its greatest, the length from heel to tip.
    pub blade: Option<BladeId>,
    /// What was cut or pressed into its faces and is not level yet: the thickness is then that over the hills.
    pub relief: Option<ReliefId>,
    /// The volume as a share of the block of its three sizes: 1 for every plain bar; what is packed has voids.
    pub fill: f64,
    /// Its density over the mean of all that went in: a blade ground to shape has lost more of one steel than of another.
    pub heft: f64,
}

impl Bar {
    /// A plain bar of these sizes, mm: fresh, and not weighed yet.
    #[must_use]
    pub fn plain([thick, wide, long]: [f64; 3], section: Section, node: NodeId) -> Bar {
        let (past, loose, packed, blade, relief) = (Past::NONE, None, None, None, None);
        let (mass, fill, heft) = (0.0, 1.0, 1.0);
        Bar { thick, wide, long, section, node, mass, loose, packed, past, blade, relief, fill, heft }
    }

    /// Volume, mm3; exact for every section.
    #[must_use]
    pub fn volume(&self) -> f64 {
        self.thick * self.wide * self.long * self.fill
    }

    /// Thickness as a calliper reads it, mm.
    #[must_use]
    pub fn calliper_thick(&self) -> f64 {
        self.thick / self.section.side_per_size()
    }

    /// Width as a calliper reads it, mm.
    #[must_use]
    pub fn calliper_wide(&self) -> f64 {
        self.wide / self.section.side_per_size()
    }

    /// The size along an axis, mm.
    #[must_use]
    pub fn along(&self, axis: Axis) -> f64 {
        axis.of(self.sizes())
    }

    /// The three sizes in the order of [`Axis::ALL`], mm.
    #[must_use]
    pub fn sizes(&self) -> [f64; 3] {
        [self.thick, self.wide, self.long]
    }
}

/// Several bars alike under one name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lot {
    /// One of them.
    pub bar: Bar,
    /// How many there are.
    pub count: u32,
}

impl Lot {
    /// Mass of all of them, g.
    #[must_use]
    pub fn mass(&self) -> f64 {
        self.bar.mass * f64::from(self.count)
    }
}
