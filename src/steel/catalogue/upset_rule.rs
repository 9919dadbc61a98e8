//! How much free length may be upset before it buckles, and the stock that a head takes.
//!
//! Forging Industry Association, design rules for upset forgings
//! (<https://www.forging.org/forging/design/3542-design-rules-parts-made-upset-forgings.html>), read; Groover ch. 18.4
//! gives the same three diameters.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Free length in one blow over diameter, plain number: rule 1.
pub const FREE_LENGTH: f64 = 3.0;
/// The same with something in hand. From memory ("practical safe figure").
pub const FREE_LENGTH_SAFE: f64 = 2.5;
/// Upset diameter over bar diameter up to which a die bore guides a longer length: rule 2.
pub const GUIDED_BORE: f64 = 1.5;
/// Unsupported stock beyond the die face over diameter, when rule 2 is used: rule 3.
pub const BEYOND_DIE: f64 = 1.5;

/// Longest free length in mm that may be gathered in one blow (rule 1).
///
/// For a rectangular bar or stack take the smaller side as the diameter (from memory).
#[must_use]
pub fn free_length_mm(diameter_mm: f64) -> f64 {
    FREE_LENGTH * diameter_mm
}

/// Widest bore in mm that still guides a longer length (rule 2).
#[must_use]
pub fn guided_bore_mm(diameter_mm: f64) -> f64 {
    GUIDED_BORE * diameter_mm
}

/// Longest stock in mm beyond the die face when a bore guides the rest (rule 3).
#[must_use]
pub fn beyond_die_mm(diameter_mm: f64) -> f64 {
    BEYOND_DIE * diameter_mm
}

/// Whether a free length may buckle by rule 1. False for NaN.
#[must_use]
pub fn may_buckle(free_length_mm: f64, smaller_side_mm: f64) -> bool {
    free_length_mm > FREE_LENGTH * smaller_side_mm
}

/// Length of bar in mm that an upset head of `head_mm3` takes, from a bar of `bar_mm2`.
#[must_use]
pub fn stock_for_head_mm(head_mm3: f64, bar_mm2: f64) -> f64 {
    head_mm3 / bar_mm2
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "upset-free-length",
        title: "longest free length that may be upset in one blow",
        formula: "L = 3 d",
        inputs: &[must("diameter", "mm", "diameter, or the smaller side", 0.1, 1000.0)],
        gives: "free length",
        unit: "mm",
        validity: "round bars; the smaller side of a flat one from memory; 2.5 d to be safe, from memory",
        source: "Forging Industry Association, design rules for upset forgings, rule 1; Groover ch. 18.4",
        mark: Mark::Read,
        eval: |i| free_length_mm(at(i, 0)),
    },
    Law {
        name: "upset-stock",
        title: "length of bar that an upset head takes",
        formula: "L = head volume / bar area",
        inputs: &[
            must("head", "mm3", "volume of the head", 0.1, 1e9),
            must("bar", "mm2", "area of the bar", 0.1, 1e6),
        ],
        gives: "length of bar",
        unit: "mm",
        validity: "constant volume; scale is extra",
        source: "constant volume; a worked head in Shop Practice vol. 1, Bolts (chestofbooks.com)",
        mark: Mark::Read,
        eval: |i| stock_for_head_mm(at(i, 0), at(i, 1)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // Forging Industry Association, rules 1 to 3, on a bar of 25 mm.
    #[test]
    fn bar_of_25() {
        near(free_length_mm(25.0), 75.0, 1e-15);
        near(guided_bore_mm(25.0), 37.5, 1e-15);
        near(beyond_die_mm(25.0), 37.5, 1e-15);
        assert!(may_buckle(75.1, 25.0) && !may_buckle(74.9, 25.0) && !may_buckle(f64::NAN, 25.0));
    }

    // Shop Practice vol. 1, Bolts: a square head 1.25 x 1.25 x 5/8 in on a 3/4 in bar takes about 2 1/4 in (it prints
    // 2.22 with an area of 0.44; 2.2105 computed with the exact area). In inches.
    #[test]
    fn square_head() {
        let head = 0.625 * 1.25 * 1.25;
        near(head, 0.9776, 1.1e-3);
        prints(stock_for_head_mm(head, 0.44), 2.22, 2);
        prints(stock_for_head_mm(head, std::f64::consts::PI * 0.75 * 0.75 / 4.0), 2.2105, 4);
    }
}
