//! What a step that makes a pattern does to the points of a bar: one file each, with its map and where that comes from.
//!
//! A map goes both ways between the unit boxes of the bar before the step and behind it. It says where the metal of an
//! ideal hand goes; each file names what it leaves out.

pub mod level;
pub mod mitre;
pub mod shear;
pub mod twist;
pub mod uneven;

use super::line::Point;
use super::relief::Relief;

pub use level::Level;
pub use mitre::Mitre;
pub use shear::{Drag, Shear};
pub use twist::Twist;
pub use uneven::{Uneven, Wavy};

/// How the points of a bar were moved about.
#[derive(Clone, Debug)]
pub enum Warp {
    /// One end turned against the other.
    Twist(Twist),
    /// Hollows brought level.
    Level(Relief),
    /// Hollows pressed in.
    Pressed(Relief),
    /// Layers dragged along.
    Shear(Shear),
    /// A jacket bent at two corners.
    Mitre(Mitre),
    /// An uneven hand, ground flat.
    Uneven(Uneven),
    /// A pattern of stock: nobody says where its layers lie.
    Untold,
}

/// A warp made ready to be asked of many points.
#[derive(Clone, Debug)]
pub enum Map {
    /// One end turned against the other.
    Twist(Twist),
    /// Hollows brought level.
    Level(Level),
    /// Hollows pressed in.
    Pressed(Level),
    /// Layers dragged along.
    Shear(Shear),
    /// A jacket bent at two corners.
    Mitre(Mitre),
    /// An uneven hand, ground flat.
    Uneven(Wavy),
    /// A pattern of stock: every point is taken to lie where it lay.
    Untold,
}

impl Warp {
    /// Makes it ready.
    #[must_use]
    pub fn map(&self) -> Map {
        match self {
            Warp::Twist(twist) => Map::Twist(*twist),
            Warp::Level(relief) => Map::Level(Level::new(relief)),
            Warp::Pressed(relief) => Map::Pressed(Level::new(relief)),
            Warp::Shear(shear) => Map::Shear(*shear),
            Warp::Mitre(mitre) => Map::Mitre(*mitre),
            Warp::Uneven(uneven) => Map::Uneven(Wavy::new(*uneven)),
            Warp::Untold => Map::Untold,
        }
    }
}

impl Map {
    /// Where what lies at a point now lay before the step.
    #[inline]
    #[must_use]
    pub fn back(&self, point: Point) -> Point {
        match self {
            Map::Twist(twist) => twist.back(point),
            Map::Level(level) => level.raise(point),
            Map::Pressed(level) => level.flatten(point),
            Map::Shear(shear) => shear.back(point),
            Map::Mitre(mitre) => mitre.back(point),
            Map::Uneven(wavy) => wavy.back(point),
            Map::Untold => point,
        }
    }

    /// Where what lay at a point before the step lies now.
    #[must_use]
    pub fn onward(&self, point: Point) -> Point {
        match self {
            Map::Twist(twist) => twist.onward(point),
            Map::Level(level) => level.flatten(point),
            Map::Pressed(level) => level.raise(point),
            Map::Shear(shear) => shear.onward(point),
            Map::Mitre(mitre) => mitre.onward(point),
            Map::Uneven(wavy) => wavy.onward(point),
            Map::Untold => point,
        }
    }
}
