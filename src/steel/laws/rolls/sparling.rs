//! Spread in flat rolling after Sparling 1961.
//!
//! L. G. M. Sparling, Proc. IMechE 175 (1961) 604-640: the abstract, which names the same variables, was read; the
//! formula itself was seen through an open rolling library (github pyroll-project/pyroll-sparling-spreading, commit
//! eb79d7c4). Its corrections for roll and bar surface, grade, temperature and rate are left at 1.

use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{PASS, Pass};

/// Spread coefficient, plain number.
#[must_use]
pub fn coefficient(pass: Pass) -> f64 {
    let shape = 2.395 * pass.width_mm.powf(0.9)
        / (pass.radius_mm.powf(0.55) * pass.before_mm.powf(0.1) * pass.draft_mm().powf(0.25));
    0.981 * (-0.6735 * shape).exp()
}

/// Width after the pass, mm.
#[must_use]
pub fn width_mm(pass: Pass) -> f64 {
    pass.width_with_mm(coefficient(pass))
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "rolls-sparling",
    title: "width after a flat pass, Sparling",
    formula: "w1 = w0 (h0/h1)^S, S = 0.981 exp(-0.6735 x 2.395 w0^0.9 / (R^0.55 h0^0.1 dh^0.25))",
    inputs: PASS,
    gives: "width after",
    unit: "mm",
    validity: "hot steel, plain rolls; the corrections for surfaces, grade, temperature and rate are left at 1",
    source: "L. G. M. Sparling, Proc. IMechE 175 (1961) 604-640, doi 10.1243/PIME_PROC_1961_175_043_02, formula \
        seen through an open rolling library (github pyroll-project/pyroll-sparling-spreading, eb79d7c4)",
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
            (FLAT, 0.1885, 51.748),
            (SQUARE, 0.2625, 53.017),
            (SMALL, 0.2285, 31.569),
            (WIDE, 0.0459, 101.649),
        ] {
            prints(coefficient(pass), s, 4);
            prints(width_mm(pass), width, 3);
        }
    }
}
