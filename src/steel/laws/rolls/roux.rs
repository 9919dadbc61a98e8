//! Spread in flat rolling after Roux.
//!
//! M. J. Roux, Rev. Metall. 36 (1939) 257-270, seen through the pages of an open rolling library (github
//! pyroll-project/pyroll-roux-spreading, commit 3c82dade). Its code has `(w0/w0)^(2/3)` where its pages have
//! `(w0/h0)^(2/3)`: a slip, the pages are followed.

use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{PASS, Pass};

/// The factor of reduction, `A`, plain number; infinite where nothing is rolled.
fn reduction_factor(pass: Pass) -> f64 {
    let r = pass.draft_mm() / pass.before_mm;
    let off = 0.35 - r;
    (1.0 + 5.0 * off * off) * (1.0 / r - 1.0).sqrt()
}

/// The factor of shape, `B`, plain number.
fn shape_factor(pass: Pass) -> f64 {
    let slender = pass.width_mm / pass.before_mm;
    (slender - 1.0) * slender.powf(2.0 / 3.0)
}

/// Width after the pass, mm. NaN for a pass that thickens.
#[must_use]
pub fn width_mm(pass: Pass) -> f64 {
    let draft = pass.draft_mm();
    if draft == 0.0 {
        return pass.width_mm;
    }
    let rolls = (2.0 * pass.radius_mm / pass.before_mm).powf(0.75);
    let drag = (1.0 - draft / pass.before_mm) + 3.0 * reduction_factor(pass) / rolls;
    let slender = pass.width_mm / pass.before_mm;
    pass.width_mm + draft / drag * slender / (1.0 + 0.57 * shape_factor(pass))
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "rolls-roux",
    title: "width after a flat pass, Roux",
    formula: "w1 = w0 + dh / ((1 - r) + 3 A / (2R/h0)^0.75) x (w0/h0) / (1 + 0.57 B), r = dh/h0, \
        A = (1 + 5 (0.35 - r)^2) sqrt(1/r - 1), B = (w0/h0 - 1) (w0/h0)^(2/3)",
    inputs: PASS,
    gives: "width after",
    unit: "mm",
    validity: "hot steel, plain rolls",
    source: "M. J. Roux, Rev. Metall. 36 (1939) 257-270, seen through an open rolling library \
        (github pyroll-project/pyroll-roux-spreading, 3c82dade)",
    mark: Mark::Carrier,
    eval: |i| width_mm(Pass::from_inputs(i)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;
    use crate::steel::laws::rolls::passes::{FLAT, SMALL, SQUARE};

    // Computed: the reference's table.
    #[test]
    fn passes_computed() {
        for (pass, a, b, width) in
            [(FLAT, 2.6119, 0.9371, 52.439), (SQUARE, 2.2250, 0.0, 53.935), (SMALL, 2.2250, 0.0, 32.146)]
        {
            prints(reduction_factor(pass), a, 4);
            prints(shape_factor(pass), b, 4);
            prints(width_mm(pass), width, 3);
        }
    }
}
