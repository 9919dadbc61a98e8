//! How carbon evens out between the layers of a stack.
//!
//! A stack of two steels repeats with a period; its carbon starts as a square wave and each harmonic of it decays. The
//! series are standard mathematics (Fourier), derived here; the decay of one harmonic was read in notes on
//! homogenisation. `Fo` is the sum of `D dt / a^2` with `a` the layer thickness DURING each step, which is exact while
//! layers are drawn out evenly. True equal standing is equal activity, not equal content: nickel and silicon end
//! lower in carbon, chromium and manganese higher (from memory). That is left out here.

use std::f64::consts::PI;

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::diffusion::callister_m2_s;

/// Terms beyond this have died out to the last figure.
const DEAD: f64 = 45.0;

/// Contrast left at the centres of layers of equal thickness, 1 at first and 0 at last. NaN for a negative `fo`.
pub fn centres(fo: f64) -> f64 {
    // The centres have not yet heard of it: the next term is exp(-1/(16 Fo)), under 1e-27 here.
    if (0.0..1e-3).contains(&fo) {
        return 1.0;
    }
    series(fo, |n| 4.0 / (n * PI), true)
}

/// Contrast left between the means of layers of equal thickness, 1 at first and 0 at last. NaN for a negative `fo`.
pub fn means(fo: f64) -> f64 {
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

/// Time, s, in which the contrast of equal layers of `layer_mm` falls to 1/e at last: `a^2/(pi^2 D)`.
pub fn time_constant_s(layer_mm: f64, d_m2_s: f64) -> f64 {
    unequal_time_constant_s(layer_mm, layer_mm, d_m2_s)
}

/// The same for layers of two thicknesses, mm: `(a1 + a2)^2/(4 pi^2 D)`.
pub fn unequal_time_constant_s(first_mm: f64, second_mm: f64, d_m2_s: f64) -> f64 {
    let period = (first_mm + second_mm) * 1e-3;
    period * period / (4.0 * PI * PI * d_m2_s)
}

/// The carbon that a stack evens out to, %: by thickness, for steels of equal density.
pub fn even_percent(first: f64, first_mm: f64, second: f64, second_mm: f64) -> f64 {
    (first * first_mm + second * second_mm) / (first_mm + second_mm)
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
pub fn layer_means(start: Pair, share: f64, spent: f64) -> Pair {
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

const SOURCE: &str =
    "decay of one harmonic: notes on homogenisation; the sum is standard mathematics, derived here";
const VALIDITY: &str =
    "many layers of two steels, equal in thickness; equal content taken for equal standing";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "contrast-centres",
        title: "carbon contrast left at the centres of equal layers",
        formula: "sum over odd n of 4/(n pi) (-1)^((n-1)/2) exp(-n^2 pi^2 Fo)",
        inputs: &[must("fo", "", "sum of D dt / a^2", 0.0, 10.0)],
        gives: "share of the contrast",
        unit: "",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| centres(at(x, 0)),
    },
    Law {
        name: "contrast-means",
        title: "carbon contrast left between the means of equal layers",
        formula: "sum over odd n of 8/(n pi)^2 exp(-n^2 pi^2 Fo)",
        inputs: &[must("fo", "", "sum of D dt / a^2", 0.0, 10.0)],
        gives: "share of the contrast",
        unit: "",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| means(at(x, 0)),
    },
    Law {
        name: "contrast-time",
        title: "time in which carbon evens out between layers",
        formula: "(a1 + a2)^2/(4 pi^2 D), which is a^2/(pi^2 D) for equal layers",
        inputs: &[
            must("first", "mm", "thickness of the first layer", 1e-4, 100.0),
            must("second", "mm", "thickness of the second layer", 1e-4, 100.0),
            must("temperature", "C", "temperature", 900.0, 1250.0),
        ],
        gives: "time to 1/e; 4.85 times it leaves 1 % at the centres",
        unit: "s",
        validity: "many layers of two steels; diffusion of Callister, the slow end",
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| unequal_time_constant_s(at(x, 0), at(x, 1), callister_m2_s(at(x, 2))),
    },
];

#[cfg(test)]
mod tests {
    use crate::steel::laws::contrast::{
        Pair, centres, even_percent, layer_means, means, time_constant_s, unequal_time_constant_s,
    };
    use crate::steel::laws::diffusion::{callister_m2_s, nickel_m2_s};
    use crate::steel::testing::{near, within};

    #[test]
    fn table_computed() {
        for (fo, centre, mean) in [
            (0.001, 1.0, 0.92864),
            (0.005, 1.0, 0.84042),
            (0.01, 0.99919, 0.77432),
            (0.02, 0.97516, 0.68085),
            (0.05, 0.77231, 0.49591),
            (0.1, 0.47449, 0.30212),
            (0.2, 0.17687, 0.11260),
            (0.3, 0.06592, 0.04197),
            (0.5, 0.00916, 0.00583),
            (1.0, 0.00007, 0.00004),
        ] {
            within(centres(fo), centre, 6e-6);
            within(means(fo), mean, 6e-6);
        }
        assert_eq!((centres(0.0), means(0.0)), (1.0, 1.0));
        assert!(centres(-1.0).is_nan() && means(f64::NAN).is_nan());
        // No step where one way of summing hands over to the other.
        within(means(5e-3 - 1e-12), means(5e-3), 1e-9);
        within(centres(1e-3 - 1e-12), centres(1e-3), 1e-9);
        // Early rule of the reference: 1 - 4 sqrt(Fo/pi) below 0.05.
        within(means(0.04), 1.0 - 4.0 * (0.04 / std::f64::consts::PI).sqrt(), 1e-3);
    }

    #[test]
    fn time_constants_computed() {
        let d = callister_m2_s(1200.0);
        for (mm, s) in [(6.0, 2.80e4), (3.0, 7.01e3), (1.0, 779.0), (0.5, 195.0), (0.15, 17.5), (0.05, 1.95)]
        {
            near(time_constant_s(mm, d), s, 3e-3);
        }
        let d = callister_m2_s(1100.0);
        for (mm, s) in [(6.0, 6.76e4), (3.0, 1.69e4), (1.0, 1880.0), (0.5, 470.0), (0.15, 42.3), (0.05, 4.70)]
        {
            near(time_constant_s(mm, d), s, 3e-3);
        }
        let nickel = nickel_m2_s(1200.0);
        near(time_constant_s(1.0, nickel) / 3600.0, 12100.0, 3e-3);
        near(time_constant_s(0.15, nickel) / 3600.0, 272.0, 3e-3);
        within(unequal_time_constant_s(0.5, 1.5, d), time_constant_s(1.0, d), 1e-9);
    }

    #[test]
    fn time_to_one_per_cent_computed() {
        let tau = time_constant_s(1.0, callister_m2_s(1200.0));
        let time = tau * (400.0 / std::f64::consts::PI).ln();
        near(time, 3780.0, 2e-3);
        within(centres(callister_m2_s(1200.0) * time / 1e-6), 0.01, 1e-5);
    }

    #[test]
    fn profile_computed() {
        // 0.95 and 0.20 % C at 1200 C: layer mm, seconds, contrast, carbon at the two centres.
        for (mm, s, left, rich, poor) in [
            (1.0, 60.0, 0.99987, 0.9500, 0.2000),
            (1.0, 300.0, 0.85310, 0.8949, 0.2551),
            (1.0, 600.0, 0.58907, 0.7959, 0.3541),
            (1.0, 1800.0, 0.12636, 0.6224, 0.5276),
            (0.5, 300.0, 0.27292, 0.6773, 0.4727),
        ] {
            let fo: f64 = callister_m2_s(1200.0) * s / (mm * mm * 1e-6);
            within(centres(fo), left, 1e-5);
            let even = even_percent(0.95, mm, 0.20, mm);
            within(even + 0.375 * centres(fo), rich, 6e-5);
            within(even - 0.375 * centres(fo), poor, 6e-5);
        }
    }

    #[test]
    fn four_heats_computed() {
        // D(1150 C) 8.506e-11, 10 min each at 3, 1.5, 0.75, 0.375 mm.
        let mut fo = 0.0;
        for (mm, sum, centre, mean) in [
            (3.0, 0.00567, 1.0, 0.8301),
            (1.5, 0.02835, 0.9285, 0.6200),
            (0.75, 0.11908, 0.3931, 0.2503),
            (0.375, 0.48199, 0.0109, 0.0070),
        ] {
            fo += callister_m2_s(1150.0) * 600.0 / (mm * mm * 1e-6);
            within(fo, sum, 2e-5);
            within(centres(fo), centre, 6e-5);
            within(means(fo), mean, 6e-5);
        }
    }

    #[test]
    fn published_billet() {
        // Abstract of the study of a layered billet of plain and nickel steel: carbon ended even at about 150 um,
        // nickel hardly moved. The model at 1200 C for one minute: 4 % of the contrast (Fo 0.347, computed).
        let fo = callister_m2_s(1200.0) * 60.0 / (0.15e-3 * 0.15e-3);
        within(fo, 0.347, 5e-4);
        within(centres(fo), 0.04, 5e-3);
        assert!(means(nickel_m2_s(1200.0) * 60.0 / (0.15e-3 * 0.15e-3)) > 0.98);
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
