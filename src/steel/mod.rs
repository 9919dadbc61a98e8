//! What is published about steel: grades, and laws with their sources.
//!
//! Temperatures in C, sizes in mm or um, shares in % unless a name says otherwise. Nothing here knows of pieces, steps or
//! recipes. `laws` has what a replay calls, one file a law; `catalogue` has every law as it can be asked for by name. Outside
//! its limits a law gives NaN or `None`, or is held at its end: each says which.

pub mod catalogue;
mod constants;
mod csv_table;
pub mod grades;
pub mod laws;
pub mod mark;

#[cfg(test)]
mod testing;

pub use catalogue::laws;
pub use grades::{Composition, Grade};

use crate::vocabulary::{Sort, Term};

/// The words of what a steel has in it, for the vocabulary.
pub fn terms() -> impl Iterator<Item = Term> {
    let of_iron = [
        "carbon",
        "manganese",
        "silicon",
        "chromium",
        "nickel",
        "vanadium",
        "tungsten",
        "molybdenum",
        "density",
    ];
    of_iron.into_iter().map(|word| Term::new(word, Sort::Element))
}
