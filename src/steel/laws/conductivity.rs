//! How well steel carries heat: EN 1993-1-2:2005, 3.4.1.3 (read through several codes that agree).

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Thermal conductivity, W/mK, at `t_c` C. Held at its end values outside 20 to 1200 C.
pub fn conductivity_w_mk(t_c: f64) -> f64 {
    if t_c < 20.0 {
        54.0 - 3.33e-2 * 20.0
    } else if t_c < 800.0 {
        54.0 - 3.33e-2 * t_c
    } else if t_c.is_nan() {
        f64::NAN
    } else {
        27.3
    }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[Law {
    name: "conductivity",
    title: "how well steel carries heat",
    formula: "54 - 3.33e-2 T below 800 C; 27.3 above",
    inputs: &[must("temperature", "C", "temperature of the bar", 20.0, 1200.0)],
    gives: "thermal conductivity",
    unit: "W/mK",
    validity: "carbon steel, 20 to 1200 C, held at the end values outside",
    source: "EN 1993-1-2:2005, 3.4.1.3, seen in several independent codes that agree",
    mark: Mark::Carrier,
    eval: |x| conductivity_w_mk(at(x, 0)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn table_computed() {
        // Computed table of the reference, section 2.
        for (t, lambda) in [
            (20.0, 53.334),
            (100.0, 50.67),
            (200.0, 47.34),
            (400.0, 40.68),
            (600.0, 34.02),
            (700.0, 30.69),
            (735.0, 29.524),
            (750.0, 29.025),
            (800.0, 27.3),
            (1200.0, 27.3),
        ] {
            within(conductivity_w_mk(t), lambda, 6e-4);
        }
    }
}
