//! The several tons, and what area of hot steel a force can press.
//!
//! A ton of press force is one of three things; a shop must say which. Standard conversions.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// One tonne-force, in kN (standard gravity, exact).
pub const KN_PER_TONNE_FORCE: f64 = 9.80665;
/// One US ton-force (2000 lbf), in kN.
pub const KN_PER_US_TON: f64 = 8.896_443_230_521;
/// One long ton-force (2240 lbf), in kN.
pub const KN_PER_LONG_TON: f64 = 9.964_016_418_184;
/// One kgf/mm2, in MPa: the unit of the older flow stress formulas (standard gravity, exact).
pub const MPA_PER_KGF_MM2: f64 = 9.80665;

/// Area of contact in mm2 that `force_kn` presses at `pressure_mpa`.
#[must_use]
pub fn contact_area_mm2(force_kn: f64, pressure_mpa: f64) -> f64 {
    force_kn * 1000.0 / pressure_mpa
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "press-area",
    title: "area of contact that a press can work",
    formula: "A = F / p",
    inputs: &[
        must("force", "kN", "force of the press", 0.1, 100_000.0),
        must("pressure", "MPa", "pressure on the steel", 1.0, 2000.0),
    ],
    gives: "area of contact",
    unit: "mm2",
    validity: "any press; hot steel takes about 120 to 200 MPa (computed, see press-bite)",
    source: "force over pressure",
    mark: Mark::Read,
    eval: |i| contact_area_mm2(at(i, 0), at(i, 1)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;

    // Outside the project: the pound is 0.45359237 kg by international agreement.
    #[test]
    fn tons_from_the_pound() {
        prints(KN_PER_US_TON, 2000.0 * 0.453_592_37 * 9.80665e-3, 9);
        prints(KN_PER_LONG_TON, 2240.0 * 0.453_592_37 * 9.80665e-3, 9);
        prints(KN_PER_US_TON, 8.89644, 5);
        prints(KN_PER_LONG_TON, 9.96402, 5);
    }

    // Computed: small presses of 25, 40 and 60 US tons, contact in cm2.
    #[test]
    fn small_presses_computed() {
        for (tons, kn, at_150, at_120, at_200) in [
            (25.0, 222.4, 14.8, 18.5, 11.1),
            (40.0, 355.9, 23.7, 29.7, 17.8),
            (60.0, 533.8, 35.6, 44.5, 26.7),
        ] {
            let force = tons * KN_PER_US_TON;
            prints(force, kn, 1);
            for (pressure, cm2) in [(150.0, at_150), (120.0, at_120), (200.0, at_200)] {
                prints(contact_area_mm2(force, pressure) / 100.0, cm2, 1);
            }
        }
    }
}
