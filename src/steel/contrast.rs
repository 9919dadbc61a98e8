//! How carbon evens out between the layers of a stack.
//!
//! A stack of two steels repeats with a period; its carbon starts as a square wave and each harmonic of it decays. The
//! series are standard mathematics (Fourier), derived here; the decay of one harmonic was read in notes on
//! homogenisation. `Fo` is the sum of `D dt / a^2` with `a` the layer thickness DURING each step, which is exact while
//! layers are drawn out evenly. True equal standing is equal activity, not equal content: nickel and silicon end
//! lower in carbon, chromium and manganese higher (from memory). That is left out here.

use std::f64::consts::PI;

use crate::steel::diffusion::callister_m2_s;
use crate::steel::inputs::{at, must};
use crate::steel::law::{Law, Mark};

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
