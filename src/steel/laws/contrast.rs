//! How carbon evens out between the layers of a stack.
//!
//! A stack of two steels repeats with a period; its carbon starts as a square wave and each harmonic of it decays. The
//! series are standard mathematics (Fourier), derived here; the decay of one harmonic was read in notes on
//! homogenisation. `Fo` is the sum of `D dt / a^2` with `a` the layer thickness DURING each step, which is exact while
//! layers are drawn out evenly. True equal standing is equal activity, not equal content: nickel and silicon end
//! lower in carbon, chromium and manganese higher (from memory). That is left out here.

use std::f64::consts::PI;

/// Terms beyond this have died out to the last figure.
const DEAD: f64 = 45.0;

/// Contrast left at the centres of layers of equal thickness, 1 at first and 0 at last. NaN for a negative `fo`.
pub(crate) fn centres(fo: f64) -> f64 {
    // The centres have not yet heard of it: the next term is exp(-1/(16 Fo)), under 1e-27 here.
    if (0.0..1e-3).contains(&fo) {
        return 1.0;
    }
    series(fo, |n| 4.0 / (n * PI), true)
}

/// Contrast left between the means of layers of equal thickness, 1 at first and 0 at last. NaN for a negative `fo`.
pub(crate) fn means(fo: f64) -> f64 {
    // Early on each boundary acts alone, and the series is slow.
    if (0.0..5e-3).contains(&fo) {
        return 1.0 - 4.0 * (fo / PI).sqrt();
    }
    series(fo, |n| 8.0 / (n * n * PI * PI), false)
}

/// Sum over odd n of `weight(n) exp(-n^2 pi^2 fo)`, every other term negative where `alternating`.
fn series(fo: f64, weight: impl Fn(f64) -> f64, alternating: bool) -> f64 {
    if fo < 0.0 || fo.is_nan() {
        return f64::NAN;
    }
    let (mut sum, mut n, mut sign) = (0.0, 1.0, 1.0);
    loop {
        let decay = n * n * PI * PI * fo;
        if decay > DEAD && n > 1.0 {
            return sum;
        }
        sum += sign * weight(n) * (-decay).exp();
        n += 2.0;
        if alternating {
            sign = -sign;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn one_way_of_summing_hands_over_to_the_other() {
        assert!(centres(-1.0).is_nan() && means(f64::NAN).is_nan());
        within(means(5e-3 - 1e-12), means(5e-3), 1e-9);
        within(centres(1e-3 - 1e-12), centres(1e-3), 1e-9);
        // Early rule of the reference: 1 - 4 sqrt(Fo/pi) below 0.05.
        within(means(0.04), 1.0 - 4.0 * (0.04 / PI).sqrt(), 1e-3);
    }
}
