//! Lengths, masses, temperatures …: the kinds of figure a smith writes, their units, and how they are shown.
//!
//! Every figure is held as one `f64` in the base unit of its kind (mm, mm2, mm3, g, °C, kN, min, degree);
//! a percentage is held as a fraction. The kind goes along in the plan, never in the figure.

mod kind;
mod show;
mod slot;
mod unit;

pub use kind::{Angle, Count, Kind, KindOf, Length, Mass, Number, Power, Ratio, Temperature, Time};
pub use show::{Units, show, show_count, trim_number};
pub use slot::{Q, Values};
pub use unit::{
    Reading, UNITS, Unit, find as find_unit, instead as unit_instead, nearest as nearest_unit, terms,
};
