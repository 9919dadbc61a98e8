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

/// Carbon, %, of the two layers of a stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// In the layer named first.
    pub first: f64,
    /// In the layer named second.
    pub second: f64,
}

/// Mean carbon of each layer, %, in a stack whose first layer takes `share` (0 to 1) of the period.
///
/// `spent` is the sum of `D dt / period^2`, period the thickness of both layers together at that time. The balance
/// is kept exactly: `share first + (1 - share) second` stays.
pub(crate) fn layer_means(start: Pair, share: f64, spent: f64) -> Pair {
    let even = share * start.first + (1.0 - share) * start.second;
    let step = start.first - start.second;
    if share <= 0.0 || share >= 1.0 || step == 0.0 {
        return start;
    }
    // What crossed the two boundaries, as a share of the period. Early on each boundary acts alone.
    let thin = share.min(1.0 - share);
    let moved = if spent < 5e-3 * 4.0 * thin * thin {
        2.0 * (spent / PI).sqrt()
    } else {
        share * (1.0 - share) - left_in_first(share, spent)
    };
    let first = start.first - step * moved / share;
    let second = (even - share * first) / (1.0 - share);
    Pair { first, second }
}

/// Sum of `2 sin^2(n pi share)/(n pi)^2 exp(-4 n^2 pi^2 spent)`: what of the first layer's surplus is left in it.
fn left_in_first(share: f64, spent: f64) -> f64 {
    let (mut sum, mut n) = (0.0, 1.0);
    loop {
        let decay = 4.0 * n * n * PI * PI * spent;
        // A hard end for layers so thin that the series would take long: the rest is under 1/n^2.
        if (decay > DEAD && n > 1.0) || n > 4000.0 || decay.is_nan() {
            return sum;
        }
        let wave = (n * PI * share).sin() / (n * PI);
        sum += 2.0 * wave * wave * (-decay).exp();
        n += 1.0;
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

    #[test]
    fn means_of_unequal_layers_computed() {
        let start = Pair { first: 0.9, second: 0.1 };
        for fo in [1e-4, 4e-3, 6e-3, 0.03, 0.3, 2.0] {
            // Equal layers: the period is twice the layer.
            let equal = layer_means(start, 0.5, fo / 4.0);
            within(equal.first, 0.5 + 0.4 * means(fo), 1e-9);
            within(equal.second, 0.5 - 0.4 * means(fo), 1e-9);
            for share in [0.05, 0.3, 0.8] {
                let now = layer_means(start, share, fo / 4.0);
                let whole = share * now.first + (1.0 - share) * now.second;
                within(whole, share * 0.9 + (1.0 - share) * 0.1, 1e-12);
                assert!(now.first < 0.9 && now.second > 0.1 && now.first > now.second - 1e-12);
                // Which layer is named first makes no difference.
                let turned = Pair { first: start.second, second: start.first };
                let other = layer_means(turned, 1.0 - share, fo / 4.0);
                within(other.second, now.first, 1e-9);
            }
        }
        assert_eq!(layer_means(start, 0.0, 0.1), start);
        assert_eq!(layer_means(start, 0.4, 0.0), start);
        let even = layer_means(start, 0.25, 1.0);
        within(even.first, 0.3, 1e-12);
    }
}
