//! Flow stress and rolling pressure after Ekelund.
//!
//! **From memory**, not verified. Friction line and alloy bracket were seen in a program (github
//! loksagergo/HotRollingCalculation, hotrolling.cpp) that has another temperature factor, half as high again: the factor
//! is not confirmed. It comes to nothing at 1400 C, so it is too low above about 1200 C.

use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::Pass;
use crate::steel::laws::rolls::ekelund::friction;
use crate::steel::laws::tonnage::MPA_PER_KGF_MM2;

/// Static flow stress in MPa: temperature in C, contents in % by mass.
#[must_use]
pub fn ekelund_mpa(temp_c: f64, carbon_pct: f64, manganese_pct: f64, chromium_pct: f64) -> f64 {
    let alloy = 1.4 + carbon_pct + manganese_pct + 0.3 * chromium_pct;
    (14.0 - 0.01 * temp_c) * alloy * MPA_PER_KGF_MM2
}

/// Mean pressure in MPa between steel rolls: static flow stress in MPa, temperature in C, roll speed in mm/s.
#[must_use]
pub fn roll_pressure_mpa(pass: Pass, stress_mpa: f64, temp_c: f64, roll_mm_per_s: f64) -> f64 {
    let sum = pass.before_mm + pass.after_mm;
    let draft = pass.draft_mm();
    let drag = (1.6 * friction(temp_c) * pass.contact_mm() - 1.2 * draft) / sum;
    let viscous = 0.01 * (14.0 - 0.01 * temp_c) * MPA_PER_KGF_MM2;
    let speed = 2.0 * roll_mm_per_s * (draft / pass.radius_mm).sqrt() / sum;
    (1.0 + drag) * (stress_mpa + viscous * speed)
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "flow-stress-ekelund",
    title: "static flow stress of hot steel, Ekelund",
    formula: "k = (14 - 0.01 T)(1.4 + C + Mn + 0.3 Cr) kgf/mm2, T in C",
    inputs: &[
        must("at", "C", "temperature", 800.0, 1200.0),
        must("carbon", "%", "carbon by mass", 0.0, 1.2),
        must("manganese", "%", "manganese by mass", 0.0, 1.0),
        or("chromium", "%", "chromium by mass", 0.0, 2.0, 0.0),
    ],
    gives: "static flow stress",
    unit: "MPa",
    validity: "800-1200 C, manganese to 1 % (the range, too, from memory); too low above 1200 C",
    source: "Ekelund: from memory; temperature factor not confirmed, alloy bracket seen in github \
        loksagergo/HotRollingCalculation",
    mark: Mark::Memory,
    eval: |i| ekelund_mpa(at(i, 0), at(i, 1), at(i, 2), at(i, 3)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // Computed: the reference's table.
    #[test]
    fn stresses_computed() {
        for (t, c, mn, cr, kgf, mpa) in [
            (1100.0, 0.15, 0.5, 0.0, 6.150, 60.3),
            (1100.0, 0.80, 0.7, 0.1, 8.790, 86.2),
            (1000.0, 0.20, 0.45, 0.0, 8.200, 80.4),
            (1200.0, 0.75, 0.3, 0.0, 4.900, 48.1),
        ] {
            let got = ekelund_mpa(t, c, mn, cr);
            prints(got / 9.80665, kgf, 3);
            prints(got, mpa, 1);
        }
    }

    // Computed: the reference's pass of 50 x 30 to 25 mm at 1 m/s.
    #[test]
    fn pressure_computed() {
        let pass = Pass { width_mm: 50.0, before_mm: 30.0, after_mm: 25.0, radius_mm: 150.0 };
        prints(pass.contact_mm(), 27.386, 3);
        let k = ekelund_mpa(1100.0, 0.15, 0.5, 0.0);
        let p = roll_pressure_mpa(pass, k, 1100.0, 1000.0);
        prints(p, 80.27, 2);
        near(p * 50.0 * pass.contact_mm() * 1e-3, 109.9, 5e-4);
    }
}
