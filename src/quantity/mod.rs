//! Lengths, masses, temperatures …: the kinds of figure a smith writes, their units, and how they are shown.
//!
//! Every figure is held as one `f64` in the base unit of its kind (mm, mm2, mm3, g, °C, kN, min, degree);
//! a percentage is held as a fraction. The kind goes along in the plan, never in the figure.

mod arena;
mod gauge;
mod kind;
mod show;
mod slot;
mod solve;
mod turn;
mod unit;
mod written;

pub(crate) use arena::ids;
pub use arena::{Arena, Id};
pub use gauge::sheet as sheet_gauge;
pub use kind::{Angle, Count, Force, Kind, KindOf, Length, Mass, Number, Ratio, Temperature, Time};
pub use show::{
    Units, hours_step, on_its_side, show, show_about_c, show_below_c, show_change, show_count, show_hours,
    significant, tape_figure, told_minutes, trim_number, two_digit_step, two_digits,
};
pub use slot::{Q, Values};
pub use solve::{halve, halve_ratio, newton_between, root};
pub use turn::turned;
pub use unit::{
    LB, Reading, TONF, UNITS, US_TONF, Unit, find as find_unit, nearest as nearest_unit, said as said_unit,
    terms,
};
pub use written::{CLOSE, rounded, rounded_down, written};
