//! Spread in flat rolling after Hill.
//!
//! R. Hill, letter to A. W. McCrum, 1955, seen through an open rolling library (github
//! pyroll-project/pyroll-hill-spreading, commit 1bec893e). Helmi and Alexander are said to have fitted 0.525 for the
//! 0.5 in the exponent: from memory, not used.

use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{PASS, Pass};

/// Spread coefficient, plain number 0 .. 0.5.
#[must_use]
pub fn coefficient(pass: Pass) -> f64 {
    0.5 * (-0.5 * pass.width_mm / pass.contact_mm()).exp()
}

/// Width after the pass, mm.
#[must_use]
pub fn width_mm(pass: Pass) -> f64 {
    pass.width_with_mm(coefficient(pass))
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "rolls-hill",
    title: "width after a flat pass, Hill",
    formula: "w1 = w0 (h0/h1)^S, S = 0.5 exp(-0.5 w0 / sqrt(R dh))",
    inputs: PASS,
    gives: "width after",
    unit: "mm",
    validity: "hot steel, plain rolls",
    source: "R. Hill, letter to A. W. McCrum, 1955, seen through an open rolling library \
        (github pyroll-project/pyroll-hill-spreading, 1bec893e)",
    mark: Mark::Carrier,
    eval: |i| width_mm(Pass::from_inputs(i)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;
    use crate::steel::laws::rolls::passes::{FLAT, SMALL, SQUARE, WIDE};

    // Computed: the reference's table.
    #[test]
    fn passes_computed() {
        for (pass, s, width) in [
            (FLAT, 0.2007, 51.863),
            (SQUARE, 0.2622, 53.013),
            (SMALL, 0.2465, 31.697),
            (WIDE, 0.0944, 103.426),
        ] {
            prints(coefficient(pass), s, 4);
            prints(width_mm(pass), width, 3);
        }
    }

    // Computed: the reference's note that a bite as long as the bar is wide gives 0.303 here.
    #[test]
    fn contact_as_long_as_wide_computed() {
        let pass = Pass { width_mm: 30.0, before_mm: 40.0, after_mm: 30.0, radius_mm: 90.0 };
        prints(coefficient(pass), 0.303, 3);
    }
}
