//! Work of shaping, and the heat that it leaves in the steel.
//!
//! Textbook mechanics. The share of work that turns to heat (0.9) is from memory.

use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Law, Mark};

/// Share of the work that stays as heat, plain number. From memory.
pub const HEAT_SHARE: f64 = 0.9;

/// Ideal work in J: volume in mm3, flow stress in MPa, log strain a plain number.
#[must_use]
pub fn ideal_work_j(volume_mm3: f64, flow_stress_mpa: f64, strain: f64) -> f64 {
    volume_mm3 * flow_stress_mpa * strain * 1e-3
}

/// Ideal work in J for each cm3 (the same number as MPa), of a metal that hardens as `K strain^n` from `from` to `to`.
#[must_use]
pub fn hardening_work_mpa(k_mpa: f64, n: f64, from: f64, to: f64) -> f64 {
    k_mpa / (n + 1.0) * (to.powf(n + 1.0) - from.powf(n + 1.0))
}

/// Rise of temperature in K that the work leaves: stress in MPa, strain and share of work plain numbers, density in
/// kg/m3, heat capacity in J/(kg K). No loss to tools or air.
#[must_use]
pub fn warming_k(
    heat_share: f64,
    flow_stress_mpa: f64,
    strain: f64,
    density_kg_m3: f64,
    capacity_j_kg_k: f64,
) -> f64 {
    heat_share * flow_stress_mpa * 1e6 * strain / (density_kg_m3 * capacity_j_kg_k)
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "work",
        title: "work of shaping",
        formula: "W = V Y e / efficiency",
        inputs: &[
            must("volume", "mm3", "volume that is shaped", 1.0, 1e9),
            must("stress", "MPa", "flow stress", 1.0, 1000.0),
            must("strain", "", "log strain", 0.0, 5.0),
            or("efficiency", "", "useful share of the work", 0.05, 1.0, 1.0),
        ],
        gives: "work",
        unit: "J",
        validity: "uniform strain; friction and waste are in the efficiency (1 is the ideal)",
        source: "textbook mechanics; checked on physics.stackexchange 418664",
        mark: Mark::Read,
        eval: |i| ideal_work_j(at(i, 0), at(i, 1), at(i, 2)) / at(i, 3),
    },
    Law {
        name: "work-warming",
        title: "rise of temperature that the work leaves",
        formula: "dT = share Y e / (rho c)",
        inputs: &[
            must("stress", "MPa", "flow stress", 1.0, 1000.0),
            must("strain", "", "log strain", 0.0, 5.0),
            or("share", "", "share of the work that turns to heat", 0.0, 1.0, HEAT_SHARE),
            or("density", "", "density in kg/m3", 7000.0, 9000.0, 7850.0),
            or("capacity", "", "heat capacity in J/(kg K)", 400.0, 1000.0, 650.0),
        ],
        gives: "rise of temperature",
        unit: "K",
        validity: "no loss to tools or air; 650 J/(kg K) as in EN 1993-1-2 above 900 C",
        source: "heat balance; the share of 0.9 from memory",
        mark: Mark::Memory,
        eval: |i| warming_k(at(i, 2), at(i, 0), at(i, 1), at(i, 3), at(i, 4)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // physics.stackexchange 418664: a 100 mm cube at 50 MPa flattened to 1 mm takes about 230 kJ (230.26 computed).
    #[test]
    fn cube_flattened() {
        let kj = ideal_work_j(1e6, 50.0, 100f64.ln()) * 1e-3;
        prints(kj, 230.0, 0);
        prints(kj, 230.26, 2);
    }

    // Computed: a billet of 50 x 50 x 100 mm pressed to 40 at 100 MPa; and its warming by balance of heat.
    #[test]
    fn billet_computed() {
        let strain = 1.25f64.ln();
        let work = ideal_work_j(250_000.0, 100.0, strain);
        prints(work, 5579.0, 0);
        let mass_kg = 250_000e-9 * 7850.0;
        near(warming_k(1.0, 100.0, strain, 7850.0, 650.0), work / (mass_kg * 650.0), 1e-12);
    }

    // Dieter ex. 15.2, as a textbook companion prints it: 200000 e^0.5 psi, bar drawn 25 to 20 to 15 mm.
    #[test]
    fn drawn_bar_dieter() {
        let strain = |d: f64| (25.0 / d).powi(2).ln();
        near(hardening_work_mpa(200_000.0, 0.5, 0.0, strain(20.0)), 39_752.1, 2e-6);
        near(hardening_work_mpa(200_000.0, 0.5, strain(20.0), strain(15.0)), 97_934.8, 2e-6);
    }
}
