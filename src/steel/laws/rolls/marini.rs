//! Spread in flat rolling after Marini, with friction.
//!
//! N. Marini, La Metallurgia Italiana 1941, 292-309, seen through the pages of an open rolling library (github
//! pyroll-project/pyroll-marini-spreading, commit a43aa7fd).

use crate::steel::catalogue::inputs::{at, or};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{AFTER, BEFORE, Pass, RADIUS, WIDTH};

/// The two factors `A` (friction) and `B` (angle of contact), plain numbers.
fn factors(pass: Pass, friction: f64) -> (f64, f64) {
    let angle = (pass.draft_mm() / pass.radius_mm).sqrt();
    (angle / (2.0 * friction), angle)
}

/// Width after the pass, mm; `friction` between roll and steel, plain number. NaN for a pass that thickens, and
/// where the friction is too low to take it (`A` of 1 or more).
#[must_use]
pub fn width_mm(pass: Pass, friction: f64) -> f64 {
    let (a, b) = factors(pass, friction);
    if a >= 1.0 {
        return f64::NAN;
    }
    let Pass { width_mm: w, before_mm: h0, after_mm: h1, radius_mm: r } = pass;
    let drag = w * (h0 + h1) / 2.0 * (1.0 + a) / (1.0 - a) * 0.91 * (w + 3.0 * h0) / (4.0 * h0);
    w + 2.0 * pass.draft_mm() * w * (r - h0 / 2.0) * b / (h1 * w + drag + 2.0 * h1 * r * b)
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "rolls-marini",
    title: "width after a flat pass, Marini",
    formula: "w1 = w0 + 2 dh w0 (R - h0/2) B / (h1 w0 + w0 (h0+h1)/2 (1+A)/(1-A) 0.91 (w0 + 3 h0)/(4 h0) \
        + 2 h1 R B), A = sqrt(dh/R)/(2 mu), B = sqrt(dh/R)",
    inputs: &[
        WIDTH,
        BEFORE,
        AFTER,
        RADIUS,
        or("friction", "", "friction between roll and steel", 0.05, 0.7, 0.35),
    ],
    gives: "width after",
    unit: "mm",
    validity: "hot steel, plain rolls that can take the pass; friction 0.35 where unstated is a project figure",
    source: "N. Marini, La Metallurgia Italiana 1941, 292-309, seen through an open rolling library \
        (github pyroll-project/pyroll-marini-spreading, a43aa7fd)",
    mark: Mark::Carrier,
    eval: |i| width_mm(Pass::from_inputs(i), at(i, 4)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;
    use crate::steel::laws::rolls::passes::{FLAT, SQUARE};

    // Computed: the reference's two passes.
    #[test]
    fn passes_computed() {
        let (a, b) = factors(FLAT, 0.35);
        prints(a, 0.2608, 4);
        prints(b, 0.1826, 4);
        prints(width_mm(FLAT, 0.35), 52.412, 3);
        prints(width_mm(SQUARE, 0.35), 53.383, 3);
        assert!(width_mm(SQUARE, 0.05).is_nan());
    }
}
