//! Area under a smooth curve: the points of Gauss and Legendre.

/// Two points on 0 to 1, each of weight one half: exact for polynomials up to the third power.
pub(crate) const TWO: [f64; 2] = [0.211_324_865_405_187_1, 0.788_675_134_594_812_9];

/// Three points on 0 to 1 with their weights: exact up to the fifth power.
pub(crate) const THREE: [(f64, f64); 3] =
    [(0.112_701_665_379_258_3, 5.0 / 18.0), (0.5, 4.0 / 9.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];

/// Six points on 0 to 1 with their weights: exact up to the eleventh power.
pub(crate) const SIX: [(f64, f64); 6] = [
    (0.033_765_242_898_424, 0.085_662_246_189_585),
    (0.169_395_306_766_868, 0.180_380_786_524_069),
    (0.380_690_406_958_402, 0.233_956_967_286_346),
    (0.619_309_593_041_598, 0.233_956_967_286_346),
    (0.830_604_693_233_132, 0.180_380_786_524_069),
    (0.966_234_757_101_576, 0.085_662_246_189_585),
];

/// Half of eight points and their weights on -1 to 1; the other half mirrors them.
const EIGHT: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// Integral of `curve` from `from` to `to`; exact for polynomials up to the fifteenth power.
pub(crate) fn area(from: f64, to: f64, curve: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    let pairs =
        EIGHT.iter().map(|(x, weight)| weight * (curve(middle - half * x) + curve(middle + half * x)));
    half * pairs.sum::<f64>()
}

/// Terms of a [`Series`].
const TERMS: usize = 8;

/// A smooth curve on -1 to 1 as a sum of Legendre's polynomials, from its eight points: exact up to the seventh power, and its whole area
/// is that of [`area`].
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Series([f64; TERMS]);

impl Series {
    /// Of a curve.
    pub(crate) fn of(curve: impl Fn(f64) -> f64) -> Series {
        let mut terms = [0.0; TERMS];
        for (x, weight) in EIGHT.iter().flat_map(|(x, weight)| [(*x, *weight), (-x, *weight)]) {
            let worth = weight * curve(x);
            for (n, (term, power)) in terms.iter_mut().zip(powers(x)).enumerate() {
                *term += (n as f64 + 0.5) * worth * power;
            }
        }
        Series(terms)
    }

    /// Whether its last two terms are less than a share of its first: then what was left out is about as little.
    pub(crate) fn ends_below(&self, share: f64) -> bool {
        let [first, .., a, b] = self.0;
        a.abs().max(b.abs()) <= share * first.abs()
    }

    /// Its height at a place, and its area from -1 to there.
    pub(crate) fn at(&self, x: f64) -> (f64, f64) {
        let [_, rest @ ..] = powers(x);
        let (mut before, mut here) = (0.0, 1.0);
        let (mut height, mut area) = (0.0, 0.0);
        for (n, (term, next)) in self.0.iter().zip(rest).enumerate() {
            height += term * here;
            // The area under the first is x + 1, under the others (P(n+1) - P(n-1)) / (2n + 1).
            let under = if n == 0 { next + 1.0 } else { next - before };
            area += term * under / (2.0 * n as f64 + 1.0);
            (before, here) = (here, next);
        }
        (height, area)
    }
}

/// Legendre's polynomials at a place, by Bonnet's recursion.
fn powers(x: f64) -> [f64; TERMS + 1] {
    let (mut before, mut here) = (0.0, 1.0);
    std::array::from_fn(|n| {
        let (now, n) = (here, n as f64);
        (before, here) = (now, ((2.0 * n + 1.0) * x * now - n * before) / (n + 1.0));
        now
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn powers_computed() {
        for power in 0..16_i32 {
            let exact = 1.0 / (f64::from(power) + 1.0);
            within(area(0.0, 1.0, |x| x.powi(power)), exact, 1e-14);
        }
        for power in 0..12_i32 {
            let exact = 1.0 / (f64::from(power) + 1.0);
            if power < 6 {
                within(THREE.iter().map(|(x, weight)| weight * x.powi(power)).sum(), exact, 1e-14);
            }
            within(SIX.iter().map(|(x, weight)| weight * x.powi(power)).sum(), exact, 1e-13);
            if power < 4 {
                within(TWO.iter().map(|x| 0.5 * x.powi(power)).sum(), exact, 1e-14);
            }
        }
        within(area(0.0, std::f64::consts::PI, f64::sin), 2.0, 1e-13);
    }

    #[test]
    fn a_series_has_the_curve_and_its_area() {
        for power in 0..8_i32 {
            let series = Series::of(|x| x.powi(power));
            for x in [-1.0, -0.7, 0.0, 0.31, 1.0_f64] {
                let (height, so_far) = series.at(x);
                let next = f64::from(power) + 1.0;
                assert!((height - x.powi(power)).abs() < 1e-14, "{power} {x}");
                assert!(
                    (so_far - (x.powf(next) - (-1.0_f64).powf(next)) / next).abs() < 1e-14,
                    "{power} {x}"
                );
            }
        }
        // Of a curve that is no power, the whole area is that of its eight points.
        let (_, whole) = Series::of(f64::exp).at(1.0);
        within(whole, area(-1.0, 1.0, f64::exp), 1e-15);
    }
}
