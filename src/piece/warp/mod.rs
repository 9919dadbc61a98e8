//! What a step that makes a pattern does to the points of a bar: one file each, with its map and where that comes from.
//!
//! A map goes both ways between the unit boxes of the bar before the step and behind it. It says where the metal of an
//! ideal hand goes; each file names what it leaves out.

pub mod twist;

use super::line::Point;

pub use twist::Twist;

/// How the points of a bar were moved about.
#[derive(Clone, Debug)]
pub enum Warp {
    /// One end turned against the other.
    Twist(Twist),
}

impl Warp {
    /// Where what lies at a point now lay before the step.
    #[must_use]
    pub fn back(&self, point: Point) -> Point {
        match self {
            Warp::Twist(twist) => twist.back(point),
        }
    }

    /// Where what lay at a point before the step lies now.
    #[must_use]
    pub fn onward(&self, point: Point) -> Point {
        match self {
            Warp::Twist(twist) => twist.onward(point),
        }
    }
}
