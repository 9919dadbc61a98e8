//! Scale growing on clean iron in plenty of dry air: the parabolic law.
//!
//! The law was fitted to pure iron at about 700 to 1250 C. In a forge fire steel loses less, since there is
//! little free oxygen, carbon gas lifts the scale off and silicon hinders it (from memory): take it as an
//! upper bound. What a heat takes off in the shop is [`crate::steel::scale`].

use crate::steel::inputs::{KELVIN, at, must, or};
use crate::steel::law::{Law, Mark};

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
#[path = "oxidation_tests.rs"]
mod tests;
