//! Spread in flat rolling after Wusatowski.
//!
//! `w1/w0 = (h0/h1)^W`, `W = 10^(-1.269 (w0/h0) (h0/D)^0.556)` to a reduction of one half, beyond it
//! `10^(-3.457 (w0/h0) (h0/D)^0.968)`. Seen through a carrier only: Z. Wusatowski, Fundamentals of Rolling,
//! Pergamon 1969, as an open rolling library gives it (github pyroll-project/pyroll-wusatowski-spreading, commit
//! 4bc1ee15). Its pages print 0.958 where its code has 0.968: the second is used, from memory. The factors for
//! temperature, speed, grade and friction are left at 1: with a speed factor the width would change at no draft.

use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{PASS, Pass};

/// Spread coefficient, plain number 0 .. 1.
#[must_use]
pub fn coefficient(pass: Pass) -> f64 {
    let slender = pass.width_mm / pass.before_mm;
    let size = pass.before_mm / (2.0 * pass.radius_mm);
    let power = if pass.after_mm / pass.before_mm >= 0.5 {
        -1.269 * slender * size.powf(0.556)
    } else {
        -3.457 * slender * size.powf(0.968)
    };
    10f64.powf(power)
}

/// Width after the pass, mm.
#[must_use]
pub fn width_mm(pass: Pass) -> f64 {
    pass.width_with_mm(coefficient(pass))
}

/// The published speed factor on the width, plain number, for thickness after over before and roll speed in m/s.
/// Shown, not used: it is not 1 where nothing is rolled.
#[must_use]
pub fn speed_factor(after_over_before: f64, roll_m_per_s: f64) -> f64 {
    let g = after_over_before;
    (-0.002958 + 0.00341 * g) * roll_m_per_s + 1.07168 - 0.10431 * g
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "rolls-wusatowski",
    title: "width after a flat pass, Wusatowski",
    formula: "w1 = w0 (h0/h1)^W, W = 10^(-1.269 (w0/h0) (h0/D)^0.556); \
        beyond half: 10^(-3.457 (w0/h0) (h0/D)^0.968)",
    inputs: PASS,
    gives: "width after",
    unit: "mm",
    validity: "hot steel, plain rolls; the corrections for temperature, speed, grade and friction are left at 1",
    source: "Z. Wusatowski, Fundamentals of Rolling, Pergamon 1969, seen through an open rolling library \
        (github pyroll-project/pyroll-wusatowski-spreading, 4bc1ee15)",
    mark: Mark::Carrier,
    eval: |i| width_mm(Pass::from_inputs(i)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;
    use crate::steel::laws::rolls::passes::{FLAT, HEAVY, SMALL, SQUARE, WIDE};

    // Computed: the reference's table.
    #[test]
    fn passes_computed() {
        for (pass, w, width) in [
            (FLAT, 0.2583, 52.411),
            (SQUARE, 0.3399, 53.940),
            (SMALL, 0.3030, 32.098),
            (WIDE, 0.0391, 101.405),
            (HEAVY, 0.3224, 51.744),
        ] {
            prints(coefficient(pass), w, 4);
            prints(width_mm(pass), width, 3);
        }
    }

    // Computed: 0.967 + 0.00045 v at no draft, why the factor is left out.
    #[test]
    fn speed_factor_is_not_one_at_no_draft_computed() {
        prints(speed_factor(1.0, 0.0), 0.967, 3);
        prints(speed_factor(1.0, 1.0) - speed_factor(1.0, 0.0), 0.00045, 5);
    }
}
