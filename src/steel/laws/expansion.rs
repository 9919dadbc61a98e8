//! How much longer hot steel is than cold: EN 1993-1-2:2005, 3.4.1.1 (read through several codes that agree).
//!
//! Made for structural steel: with 0.8 to 1 % C the flat part from 750 to 860 C is not there in truth
//! (from memory), but above about 860 C the line is adequate. The standard ends at 1200 C; the last line is
//! carried on above that, which is this project's choice, and held at 0 below 20 C.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Relative elongation against 20 C (mm per mm) at `t_c` C. Below 20 C it is 0; above 1200 C extrapolated.
pub fn elongation(t_c: f64) -> f64 {
    if t_c < 20.0 {
        0.0
    } else if t_c < 750.0 {
        1.2e-5 * t_c + 0.4e-8 * t_c * t_c - 2.416e-4
    } else if t_c <= 860.0 {
        1.1e-2
    } else {
        2e-5 * t_c - 6.2e-3
    }
}

/// A size measured cold (20 C), as it is at `t_c` C: mm for mm.
pub fn hot_mm(cold_mm: f64, t_c: f64) -> f64 {
    cold_mm * (1.0 + elongation(t_c))
}

/// A size measured at `t_c` C, as it is cold (20 C): mm for mm.
pub fn cold_mm(hot_mm: f64, t_c: f64) -> f64 {
    hot_mm / (1.0 + elongation(t_c))
}

/// Density in kg/m3 at `t_c` C of what weighs `cold_kg_m3` at 20 C. The mass of a bar never changes with temperature.
pub fn density_kg_m3(cold_kg_m3: f64, t_c: f64) -> f64 {
    cold_kg_m3 / (1.0 + elongation(t_c)).powi(3)
}

const SOURCE: &str = "EN 1993-1-2:2005, 3.4.1.1, seen in several independent codes that agree";
const VALIDITY: &str = "carbon steel, 20 to 1200 C; above that the last line is carried on (extrapolated); \
    rich steel has no flat part at 750 to 860 C (from memory)";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "expansion",
        title: "growth of steel with heat",
        formula: "1.2e-5 T + 0.4e-8 T^2 - 2.416e-4 below 750 C; 1.1e-2 to 860 C; 2e-5 T - 6.2e-3 above",
        inputs: &[must("temperature", "C", "temperature of the bar", 20.0, 1200.0)],
        gives: "relative elongation against 20 C",
        unit: "",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| elongation(at(x, 0)),
    },
    Law {
        name: "cold-size",
        title: "cold size of what was measured hot",
        formula: "hot / (1 + elongation(T))",
        inputs: &[
            must("hot", "mm", "size measured hot", 0.0, 1e5),
            must("temperature", "C", "temperature when measured", 20.0, 1200.0),
        ],
        gives: "size at 20 C",
        unit: "mm",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| cold_mm(at(x, 0), at(x, 1)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    /// Computed table of the reference, section 2: temperature, elongation, 100 mm hot, density.
    const TABLE: [(f64, f64, f64, f64); 14] = [
        (20.0, 0.0, 100.0, 7850.0),
        (100.0, 9.984e-4, 100.1, 7826.5),
        (200.0, 2.3184e-3, 100.232, 7795.7),
        (400.0, 5.1984e-3, 100.52, 7728.8),
        (600.0, 8.3984e-3, 100.84, 7655.5),
        (700.0, 1.01184e-2, 101.012, 7616.5),
        (735.0, 1.07393e-2, 101.074, 7602.4),
        (750.0, 1.1e-2, 101.1, 7596.5),
        (800.0, 1.1e-2, 101.1, 7596.5),
        (860.0, 1.1e-2, 101.1, 7596.5),
        (900.0, 1.18e-2, 101.18, 7578.5),
        (1000.0, 1.38e-2, 101.38, 7533.8),
        (1100.0, 1.58e-2, 101.58, 7489.4),
        (1200.0, 1.78e-2, 101.78, 7445.3),
    ];

    #[test]
    fn table_computed() {
        for (t, e, hot, density) in TABLE {
            within(elongation(t), e, 6e-8);
            within(hot_mm(100.0, t), hot, 6e-4);
            within(density_kg_m3(7850.0, t), density, 0.06);
        }
    }

    #[test]
    fn branches_join_computed() {
        // EN 1993-1-2: the branches meet at 860 C; at 750 C the first ends 8.4e-6 above the flat part, so a bar
        // seems to shrink by 0.8 um in 100 mm there.
        within(elongation(750.0 - 1e-9), 1.1e-2 + 8.4e-6, 1e-9);
        within(elongation(860.0 + 1e-9), 1.1e-2, 1e-12);
    }

    #[test]
    fn bars_gauged_hot_computed() {
        // Reference, section 2: 100 mm at 1000 C is 98.639 mm cold; at 1200 C it shrinks by 1.749 %.
        within(cold_mm(100.0, 1000.0), 98.639, 5e-4);
        within(100.0 * (1.0 - cold_mm(1.0, 1200.0)), 1.749, 5e-4);
    }

    #[test]
    fn outside_the_standard() {
        assert_eq!(elongation(-40.0), 0.0);
        within(elongation(1300.0), 2e-5 * 1300.0 - 6.2e-3, 1e-15);
        within(cold_mm(hot_mm(12.3, 1250.0), 1250.0), 12.3, 1e-12);
    }
}
