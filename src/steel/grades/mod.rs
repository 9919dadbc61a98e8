//! The steels: a table of grades with their sources, and between which temperatures each may be forged.

pub(crate) mod composition;
pub(crate) mod forging_table;
mod grade;
pub mod window;

pub use composition::Composition;
pub use grade::*;
