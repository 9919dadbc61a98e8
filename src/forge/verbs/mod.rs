//! One file a verb: its arguments, doc, physics and faults together.

pub(in crate::forge) mod bevel;
pub(in crate::forge) mod cut;
pub(in crate::forge) mod draw;
pub(in crate::forge) mod edge;
pub(in crate::forge) mod etch;
pub(in crate::forge) mod expect;
pub(in crate::forge) mod flip;
pub(in crate::forge) mod fold;
pub(in crate::forge) mod grind;
pub(in crate::forge) mod harden;
pub(in crate::forge) mod heat;
pub(in crate::forge) mod join;
pub(in crate::forge) mod measure;
pub(in crate::forge) mod normalise;
pub(in crate::forge) mod profile;
pub(in crate::forge) mod spread;
pub(in crate::forge) mod stack;
pub(in crate::forge) mod stock;
pub(in crate::forge) mod tang;
pub(in crate::forge) mod taper;
pub(in crate::forge) mod temper;
pub(in crate::forge) mod turn;
pub(in crate::forge) mod twist;
pub(in crate::forge) mod upset;
pub(in crate::forge) mod weld;
