//! Heat held by hot steel: EN 1993-1-2:2005, 3.4.1.2 (read through several codes that agree).
//!
//! Structural-steel values: with 0.8 to 1 % C the peak sits near 725 to 730 C (from memory). The standard ends
//! at 1200 C; the last value is held above it, and the first below 20 C.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Where the curve of heat capacity has a kink, C.
pub const KINKS_C: [f64; 3] = [600.0, 735.0, 900.0];

/// Specific heat, J/kgK, at `t_c` C. Held at its end values outside 20 to 1200 C.
pub fn heat_capacity_j_kgk(t_c: f64) -> f64 {
    let t = t_c.max(20.0);
    if t_c.is_nan() {
        f64::NAN
    } else if t < 600.0 {
        425.0 + t * (7.73e-1 + t * (-1.69e-3 + t * 2.22e-6))
    } else if t < 735.0 {
        666.0 + 13002.0 / (738.0 - t)
    } else if t < 900.0 {
        545.0 + 17820.0 / (t - 731.0)
    } else {
        650.0
    }
}

fn low_branch(t: f64) -> f64 {
    t * (425.0 + t * (7.73e-1 / 2.0 + t * (-1.69e-3 / 3.0 + t * 2.22e-6 / 4.0)))
}

/// Heat to bring one kg from 20 C to `t_c` C, J/kg: the exact integral of [`heat_capacity_j_kgk`]. Negative below 20 C.
pub fn enthalpy_j_kg(t_c: f64) -> f64 {
    if t_c.is_nan() {
        return f64::NAN;
    }
    let first = low_branch(t_c.clamp(20.0, 600.0)) - low_branch(20.0);
    let second = t_c.clamp(600.0, 735.0);
    let second = 666.0 * (second - 600.0) - 13002.0 * ((738.0 - second) / 138.0).ln();
    let third = t_c.clamp(735.0, 900.0);
    let third = 545.0 * (third - 735.0) + 17820.0 * ((third - 731.0) / 4.0).ln();
    let last = 650.0 * (t_c.max(900.0) - 900.0);
    let cold = heat_capacity_j_kgk(20.0) * (t_c.min(20.0) - 20.0);
    cold + first + second + third + last
}

const SOURCE: &str = "EN 1993-1-2:2005, 3.4.1.2, seen in several independent codes that agree";
const VALIDITY: &str = "carbon steel, 20 to 1200 C, held at the end values outside; \
    in rich steel the peak sits near 725 to 730 C (from memory)";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "heat-capacity",
        title: "specific heat of steel",
        formula: "425 + 0.773 T - 1.69e-3 T^2 + 2.22e-6 T^3 below 600 C; 666 + 13002/(738 - T) to 735 C; \
            545 + 17820/(T - 731) to 900 C; 650 above",
        inputs: &[must("temperature", "C", "temperature of the bar", 20.0, 1200.0)],
        gives: "specific heat",
        unit: "J/kgK",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| heat_capacity_j_kgk(at(x, 0)),
    },
    Law {
        name: "heat-content",
        title: "heat that a bar takes from 20 C up",
        formula: "mass x integral of the specific heat from 20 C to T",
        inputs: &[
            must("mass", "g", "mass of the bar", 0.0, 1e6),
            must("temperature", "C", "temperature reached", 20.0, 1200.0),
        ],
        gives: "heat",
        unit: "J",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| at(x, 0) / 1000.0 * enthalpy_j_kg(at(x, 1)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{near, within};

    #[test]
    fn table_computed() {
        // Computed table of the reference, section 2.
        for (t, c) in [
            (20.0, 439.80),
            (100.0, 487.62),
            (200.0, 529.76),
            (400.0, 605.88),
            (600.0, 760.22),
            (700.0, 1008.16),
            (735.0, 5000.0),
            (750.0, 1482.89),
            (800.0, 803.26),
            (860.0, 683.14),
            (900.0, 650.0),
            (1200.0, 650.0),
        ] {
            within(heat_capacity_j_kgk(t), c, 6e-3);
        }
        // Joints named there: the cubic gives 759.9 at 600 C, both branches 5000 at 735 C.
        within(heat_capacity_j_kgk(600.0 - 1e-9), 759.9, 0.05);
        within(heat_capacity_j_kgk(735.0 - 1e-9), 5000.0, 1e-3);
    }

    #[test]
    fn heat_content_computed() {
        // Reference, section 2: kJ/kg from 20 C up.
        for (t, kj) in [
            (600.0, 335.74),
            (735.0, 475.43),
            (800.0, 561.60),
            (900.0, 632.06),
            (1000.0, 697.06),
            (1200.0, 827.06),
        ] {
            within(enthalpy_j_kg(t) / 1000.0, kj, 6e-3);
        }
        assert_eq!(enthalpy_j_kg(20.0), 0.0);
        assert!(enthalpy_j_kg(f64::NAN).is_nan() && heat_capacity_j_kgk(f64::NAN).is_nan());
    }

    #[test]
    fn content_grows_by_capacity_computed() {
        for t in [-5.0, 300.0, 650.0, 734.0, 736.0, 850.0, 1000.0, 1300.0] {
            let slope = (enthalpy_j_kg(t + 0.01) - enthalpy_j_kg(t - 0.01)) / 0.02;
            near(slope, heat_capacity_j_kgk(t), 1e-4);
        }
    }
}
