//! What a bar *is*: its shape, what it is made up of, and the book of every change to it.

mod axis;
mod bands;
mod bar;
pub mod blade;
mod book;
mod carbon;
mod count;
pub mod field;
mod ids;
mod line;
mod makeup;
mod part_line;
mod parts;
mod past;
mod pattern;
pub mod relief;
mod strata;
mod view;
mod walk;
pub mod warp;

pub use axis::Axis;
pub use bands::{bands, bands_between};
pub use bar::{Bar, Lot, Packed, Section};
pub use blade::Blade;
pub use book::{Cause, Measure};
pub use carbon::{Region, SteelCarbon};
pub use count::layers_text;
pub use ids::{BladeId, LotId, NodeId, PartName, PastId, ReliefId, SteelId};
pub use makeup::{Makeup, MakeupMark, Part, Standing, TooMuch};
pub use parts::PartRuns;
pub use past::{Hard, Past};
pub use pattern::{Mark, Sampled};
pub use relief::Relief;
pub use strata::{sheets, strata};
pub use view::Cut;
pub use warp::Warp;
