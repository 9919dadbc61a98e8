//! Spread in flat rolling after Wusatowski.
//!
//! `w1/w0 = (h0/h1)^W`, `W = 10^(-1.269 (w0/h0) (h0/D)^0.556)` to a reduction of one half, beyond it
//! `10^(-3.457 (w0/h0) (h0/D)^0.968)`. Seen through a carrier only: Z. Wusatowski, Fundamentals of Rolling,
//! Pergamon 1969, as an open rolling library gives it. Its pages print 0.958 where its code has 0.968: the second is used, from memory. The factors for
//! temperature, speed, grade and friction are left at 1: with a speed factor the width would change at no draft.

use crate::steel::laws::rolls::Pass;

/// Spread coefficient, plain number 0 .. 1.
#[must_use]
pub(crate) fn coefficient(pass: Pass) -> f64 {
    let slender = pass.width_mm / pass.before_mm;
    let size = pass.before_mm / (2.0 * pass.radius_mm);
    let power = if pass.after_mm / pass.before_mm >= 0.5 {
        -1.269 * slender * size.powf(0.556)
    } else {
        -3.457 * slender * size.powf(0.968)
    };
    10f64.powf(power)
}
