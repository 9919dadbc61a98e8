//! A test on a piece: what was asked, what was got, by how much.

mod hardness;
mod judge;
mod requirement;
mod shaped;

pub use hardness::hardness;
pub use judge::Reading;
pub use requirement::{Bounds, End, Judged, Place, Test, What, Zone, terms};
