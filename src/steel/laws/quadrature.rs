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
}
