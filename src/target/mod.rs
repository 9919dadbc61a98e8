//! A test on a piece: what was asked, what was got, by how much.

mod hardness;
mod judge;
mod shaped;
mod test;

pub use hardness::hardness;
pub use judge::Reading;
pub use test::{Bounds, End, Judged, Place, Test, What, Zone};
