//! Guidance on one bite of a press or hammer: when it laps, folds, or leaves the middle unworked.
//!
//! All of it is **from memory**, not verified; Dieter's forging chapter gives it to J. G. Wistreich and A. Shutt,
//! J. Iron Steel Inst. 193 (1959).

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Largest thickness before over after in one bite; more may lap at the step. From memory.
pub const SQUEEZE_LIMIT: f64 = 1.3;
/// Least bite over thickness; under it only the skin is worked and the middle may burst. From memory.
pub const CENTRE_WORKED: f64 = 1.0 / 3.0;
/// Height over width from which a bar turned on edge leans or folds. From memory.
pub const EDGE_LEANS: f64 = 2.0;
/// Height over width at which it surely does. From memory.
pub const EDGE_FOLDS: f64 = 2.5;

/// Thinnest that one bite should leave, mm.
#[must_use]
pub fn thinnest_after_mm(h0_mm: f64) -> f64 {
    h0_mm / SQUEEZE_LIMIT
}

/// Shortest bite in mm that does not fold the step into the bar: half the draft.
#[must_use]
pub fn least_bite_against_folds_mm(h0_mm: f64, h1_mm: f64) -> f64 {
    0.5 * (h0_mm - h1_mm)
}

/// Shortest bite in mm that still works the middle of the bar.
#[must_use]
pub fn least_bite_for_centre_mm(h_mm: f64) -> f64 {
    CENTRE_WORKED * h_mm
}

const SOURCE: &str = "given to Wistreich and Shutt, J. Iron Steel Inst. 193 (1959), in Dieter's forging chapter: from memory, \
    not verified";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "bite-thinnest",
        title: "thinnest that one bite should leave",
        formula: "h1 = h0 / 1.3",
        inputs: &[must("thickness", "mm", "thickness before the bite", 0.1, 1000.0)],
        gives: "thickness after",
        unit: "mm",
        validity: "laps at the step beyond it; hot steel between flat dies",
        source: SOURCE,
        mark: Mark::Memory,
        eval: |i| thinnest_after_mm(at(i, 0)),
    },
    Law {
        name: "bite-least",
        title: "shortest bite that works the middle",
        formula: "b = h / 3",
        inputs: &[must("thickness", "mm", "thickness before the bite", 0.1, 1000.0)],
        gives: "bite",
        unit: "mm",
        validity: "shorter bites work the skin only; the middle may burst",
        source: SOURCE,
        mark: Mark::Memory,
        eval: |i| least_bite_for_centre_mm(at(i, 0)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // Computed: the reference says that 1.3 is a reduction of at most 23.1 % and a strain of 0.262.
    #[test]
    fn squeeze_limit_computed() {
        prints(1.0 - thinnest_after_mm(1.0), 0.231, 3);
        prints(SQUEEZE_LIMIT.ln(), 0.262, 3);
        near(least_bite_against_folds_mm(30.0, 24.0), 3.0, 1e-15);
        near(least_bite_for_centre_mm(30.0), 10.0, 1e-15);
    }
}
