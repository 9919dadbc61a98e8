//! Laws that no replay leans on: each can be asked for by name.

pub mod barrel;
pub mod bite;
pub mod bonding;
pub mod conversion;
pub mod cooling_laws;
pub mod draft;
pub mod ekelund;
pub mod grain;
pub mod inputs;
pub mod law;
pub mod martensite;
pub mod press_disc;
pub mod press_strip;
pub mod upset_rule;
pub mod weight;
