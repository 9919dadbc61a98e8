//! A test on a piece: what was asked, what was got, by how much.

mod hardness;
mod judge;
mod reading;
mod requirement;
mod shaped;

use crate::piece::SteelId;
use crate::quantity::Arena;
use crate::steel::Grade;

pub use hardness::{Hardness, NotTold, Told, band_words, hardness};
pub use reading::Reading;
pub use requirement::{Bounds, End, Judged, Place, Spot, Test, What, Zone, terms};

/// The steels of a plan.
pub type Steels = Arena<SteelId, Grade>;
