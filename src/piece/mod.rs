//! What a bar *is*: its shape, what it is made up of, and the book of every change to it.

mod bar;
pub mod blade;
mod book;
mod carbon;
mod count;
mod makeup;
mod parts;
mod past;
mod point;
mod share;
mod strata;
mod view;
mod walk;

pub use bar::{Bar, Lot, Section};
pub use blade::{Blade, BladeId};
pub use book::{Cause, LotId, Measure};
pub use carbon::SteelCarbon;
pub use makeup::{Axis, Makeup, MakeupMark, NodeId, Part, PartName, PastId, SteelId, TooMuch};
pub use parts::PartRuns;
pub use past::{Hard, Past};
pub use view::Cut;
