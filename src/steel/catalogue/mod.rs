//! Laws that can be asked for by name: tables of text for what a reader is told, and a formula each. A law that a replay
//! leans on has its formula in `laws`; those of the rest are here.

mod carbon;
mod conversion;
mod flow;
mod formulas;
pub(crate) mod law;
mod rolls;
mod scale_in_air;
mod tables;

pub use tables::laws;
