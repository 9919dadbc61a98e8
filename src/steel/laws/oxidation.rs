//! Scale growing on clean iron in plenty of dry air: the parabolic law.
//!
//! The law was fitted to pure iron at about 700 to 1250 C. In a forge fire steel loses less, since there is
//! little free oxygen, carbon gas lifts the scale off and silicon hinders it (from memory): take it as an
//! upper bound. What a heat takes off in the shop is [`crate::steel::laws::scale`].

use crate::steel::catalogue::inputs::{KELVIN, at, must, or};
use crate::steel::catalogue::law::{Law, Mark};

/// Atomic masses, g/mol, and densities, kg/m3, that the conversions below use.
const IRON: f64 = 55.845;
const OXYGEN: f64 = 15.999;
const DENSITY_IRON: f64 = 7874.0;
const DENSITY_WUSTITE: f64 = 5745.0;

/// How much room wustite takes against the iron that it came from (1.763): computed from the atomic masses.
pub const SWELLING: f64 = (IRON + OXYGEN) / DENSITY_WUSTITE / (IRON / DENSITY_IRON);

/// Growth constant k of wustite on iron, m2/s, at `t_c` C: `2.67e-4 exp(-20319/T)`, T in kelvin.
///
/// Source: the code of the growth law of Mi, Fujinawa and Bergthorson (arXiv 2110.15461). Valid at about 700 to 1250 C.
pub fn growth_m2_s(t_c: f64) -> f64 {
    2.67e-4 * (-20319.0 / (t_c + KELVIN)).exp()
}

/// Thickness of wustite, um, after `seconds` at `t_c` C on a skin that was `before_um` thick: `X^2 = X0^2 + 2 k t`.
///
/// Chaining calls is exact for any temperature history; scale that is knocked off starts again from 0.
pub fn grown_um(before_um: f64, t_c: f64, seconds: f64) -> f64 {
    (before_um * before_um + 2e12 * growth_m2_s(t_c) * seconds).sqrt()
}

/// Thickness of wustite, um, that clean iron gets in `minutes` at `t_c` C.
pub fn thickness_um(t_c: f64, minutes: f64) -> f64 {
    grown_um(0.0, t_c, minutes * 60.0)
}

/// Depth of metal, um, that went into `wustite_um` of wustite: 0.567 of it.
pub fn recession_um(wustite_um: f64) -> f64 {
    wustite_um / SWELLING
}

/// Thickness of all scale, um, after `minutes` at `t_c` C: a second law, `x^2 = 6.1 exp(-169452/(8.314 T)) t` in cm2 and s.
///
/// Credited to Paidassi 1958 as quoted by Chen and Yuen 2003; from memory. 700 to 1250 C.
pub fn whole_scale_um(t_c: f64, minutes: f64) -> f64 {
    let kp_cm2_s = 6.1 * (-169_452.0 / (8.314 * (t_c + KELVIN))).exp();
    (kp_cm2_s * minutes * 60.0).sqrt() * 1e4
}

/// Share of its mass, %, that a long square bar of side `side_mm` loses when `recession_um` of metal goes off each side.
///
/// Ends are left out. A bar that is eaten up has lost 100 %.
pub fn square_loss_percent(side_mm: f64, recession_um: f64) -> f64 {
    let left = (side_mm - 2e-3 * recession_um) / side_mm;
    if left < 0.0 { 100.0 } else { 100.0 * (1.0 - left * left) }
}

/// Iron lost for each kg of oxygen gained, kg, in an oxide of `iron` to `oxygen` atoms. Computed.
pub fn iron_per_oxygen(iron: f64, oxygen: f64) -> f64 {
    iron * IRON / (oxygen * OXYGEN)
}

/// Oxygen taken up, mg/cm2, by a wustite layer of `wustite_um`. Computed.
pub fn oxygen_mg_cm2(wustite_um: f64) -> f64 {
    wustite_um * 1e-6 * DENSITY_WUSTITE * OXYGEN / (IRON + OXYGEN) * 100.0
}

const SOURCE: &str = "code of the growth law of Mi, Fujinawa and Bergthorson, arXiv 2110.15461";
const VALIDITY: &str = "clean pure iron in plenty of dry air, about 700 to 1250 C (1300 C is extrapolated); \
    for a forge fire an upper bound, about five times what a heat takes";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "scale-in-air",
        title: "scale on clean iron in free air",
        formula: "X = sqrt(2 k t), k = 2.67e-4 exp(-20319/T) m2/s, T in kelvin",
        inputs: &[
            must("temperature", "C", "temperature of the metal", 700.0, 1250.0),
            must("time", "min", "time at that temperature", 0.0, 1440.0),
        ],
        gives: "thickness of the scale (wustite)",
        unit: "um",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| thickness_um(at(x, 0), at(x, 1)),
    },
    Law {
        name: "scale-in-air-second",
        title: "all scale on iron in free air, second law",
        formula: "x = sqrt(kp t), kp = 6.1 exp(-169452/(8.314 T)) cm2/s, T in kelvin",
        inputs: &[
            must("temperature", "C", "temperature of the metal", 700.0, 1250.0),
            must("time", "min", "time at that temperature", 0.0, 1440.0),
        ],
        gives: "thickness of all scale",
        unit: "um",
        validity: "clean pure iron in plenty of dry air, 700 to 1250 C",
        source: "credited to Paidassi 1958 as quoted by Chen and Yuen, Oxid. Met. 59 (2003) 433; from memory",
        mark: Mark::Memory,
        eval: |x| whole_scale_um(at(x, 0), at(x, 1)),
    },
    Law {
        name: "scale-recession",
        title: "metal eaten by scale in free air",
        formula: "0.567 X, X as in scale-in-air",
        inputs: &[
            must("temperature", "C", "temperature of the metal", 700.0, 1250.0),
            must("time", "min", "time at that temperature", 0.0, 1440.0),
        ],
        gives: "depth of metal lost from each face",
        unit: "um",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| recession_um(thickness_um(at(x, 0), at(x, 1))),
    },
    Law {
        name: "scale-loss",
        title: "mass that a long square bar loses in free air",
        formula: "1 - ((b - 2 s)/b)^2, s as in scale-recession",
        inputs: &[
            must("side", "mm", "side of the bar", 1.0, 500.0),
            must("temperature", "C", "temperature of the metal", 700.0, 1250.0),
            or("time", "min", "time of one heat", 0.0, 1440.0, 10.0),
        ],
        gives: "share of the mass lost, ends left out",
        unit: "%",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| square_loss_percent(at(x, 0), recession_um(thickness_um(at(x, 1), at(x, 2)))),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::cooling::Cooling;
    use crate::steel::testing::{near, within};

    /// Computed table 1.3 of the reference: temperature, k, wustite um after 1, 5, 10, 30, 60 min, recession
    /// after 1 and 60 min, all scale after 1 h by the second law.
    type Row = (f64, f64, [f64; 5], [f64; 2], f64);
    const TABLE: [Row; 10] = [
        (700.0, 2.284e-13, [5.2, 11.7, 16.6, 28.7, 40.5], [3.0, 23.0], 42.0),
        (800.0, 1.598e-12, [13.8, 31.0, 43.8, 75.8, 107.3], [7.9, 60.8], 111.0),
        (900.0, 8.026e-12, [31.0, 69.4, 98.1, 170.0, 240.4], [17.6, 136.3], 250.0),
        (1000.0, 3.128e-11, [61.3, 137.0, 193.8, 335.6, 474.6], [34.7, 269.2], 495.0),
        (1050.0, 5.718e-11, [82.8, 185.2, 261.9, 453.7, 641.6], [47.0, 363.9], 670.0),
        (1100.0, 1.000e-10, [109.6, 245.0, 346.4, 600.1, 848.6], [62.1, 481.3], 887.0),
        (1150.0, 1.682e-10, [142.1, 317.7, 449.3, 778.2, 1100.5], [80.6, 624.2], 1151.0),
        (1200.0, 2.731e-10, [181.0, 404.8, 572.5, 991.6, 1402.3], [102.7, 795.3], 1468.0),
        (1250.0, 4.295e-10, [227.0, 507.6, 717.9, 1243.5, 1758.5], [128.8, 997.3], 1842.0),
        (1300.0, 6.563e-10, [280.6, 627.5, 887.5, 1537.1, 2173.8], [159.2, 1232.8], 2278.0),
    ];

    #[test]
    fn table_computed() {
        for (t, k, grown, eaten, whole) in TABLE {
            near(growth_m2_s(t), k, 3e-4);
            for (minutes, um) in [1.0, 5.0, 10.0, 30.0, 60.0].into_iter().zip(grown) {
                within(thickness_um(t, minutes), um, 0.06);
            }
            for (minutes, um) in [1.0, 60.0].into_iter().zip(eaten) {
                within(recession_um(thickness_um(t, minutes)), um, 0.06);
            }
            within(whole_scale_um(t, 60.0), whole, 1.0);
            // The two laws come from different papers: wustite is 0.96 of the whole (reference, 1.1).
            within(thickness_um(t, 60.0) / whole_scale_um(t, 60.0), 0.96, 0.01);
        }
    }

    #[test]
    fn conversions_computed() {
        // Reference, section 1.2. A public forum page gives 1.77 for the swelling.
        within(SWELLING, 1.763, 5e-4);
        within(SWELLING, 1.77, 0.01);
        within(recession_um(1.0), 0.567, 5e-4);
        for (fe, o, kg) in [(1.0, 1.0, 3.4905), (0.95, 1.0, 3.3160), (3.0, 4.0, 2.6179), (2.0, 3.0, 2.3270)] {
            within(iron_per_oxygen(fe, o), kg, 6e-5);
        }
        within(oxygen_mg_cm2(1.0), 0.1279, 6e-5);
        for (t, kp) in [(1000.0, 1.024e-6), (1100.0, 3.274e-6), (1200.0, 8.940e-6)] {
            let g_cm2 = oxygen_mg_cm2(thickness_um(t, 1.0 / 60.0)) / 1000.0;
            near(g_cm2 * g_cm2, kp, 5e-4);
        }
    }

    #[test]
    fn square_bars_computed() {
        // Reference, below table 1.3: loss in % of long square bars of 12, 25 and 50 mm.
        for (t, minutes, losses) in [
            (1100.0, 10.0, [6.44, 3.12, 1.57]),
            (1200.0, 10.0, [10.53, 5.13, 2.58]),
            (1250.0, 10.0, [13.11, 6.41, 3.23]),
            (1200.0, 30.0, [17.87, 8.80, 4.45]),
        ] {
            let s = recession_um(thickness_um(t, minutes));
            for (side, loss) in [12.0, 25.0, 50.0].into_iter().zip(losses) {
                within(square_loss_percent(side, s), loss, 6e-3);
            }
        }
        assert_eq!(square_loss_percent(1.0, 1e6), 100.0);
    }

    #[test]
    fn knocking_scale_off_costs_the_root_of_the_heats_computed() {
        // Reference, 1.3: four clean heats of 5 min cost 918.3 um, one of 20 min 459.2 um.
        let four = 4.0 * recession_um(thickness_um(1200.0, 5.0));
        let one = recession_um(thickness_um(1200.0, 20.0));
        within(four, 918.3, 0.06);
        within(one, 459.2, 0.06);
        within(four / one, 2.0, 1e-12);
        let kept = (0..4).fold(0.0, |x, _| grown_um(x, 1200.0, 300.0));
        within(recession_um(kept), one, 1e-9);
    }

    #[test]
    fn scale_while_cooling_computed() {
        // Reference, end of 1.3: a 25 mm square from 1200 to 900 C adds 90.8 um on bare metal, 414.9 um in all
        // after a soak of 5 min.
        let air = Cooling::in_still_air(6.25);
        let cool = |before: f64| {
            (0..600).fold(before, |x, i| {
                let hot = 1200.0 - 0.5 * f64::from(i);
                grown_um(x, hot - 0.25, air.time_s(hot, hot - 0.5))
            })
        };
        within(cool(0.0), 90.8, 0.06);
        within(recession_um(cool(0.0)), 51.5, 0.06);
        within(cool(thickness_um(1200.0, 5.0)), 414.9, 0.06);
        within(recession_um(cool(thickness_um(1200.0, 5.0))), 235.3, 0.06);
    }
}
