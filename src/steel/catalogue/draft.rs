//! What rolls can take and what it costs: largest draft, force and torque of a flat pass.
//!
//! Read in Groover, Fundamentals of Modern Manufacturing, ch. 18, eqs. 18.7-18.13. Friction of hot steel there: about
//! 0.4, with sticking up to 0.7.

use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Law, Mark};

/// Largest draft in mm that rolls of `radius_mm` pull in by themselves, `friction` a plain number.
#[must_use]
pub fn largest_draft_mm(friction: f64, radius_mm: f64) -> f64 {
    friction * friction * radius_mm
}

/// Length of contact in mm; NaN for a negative draft.
#[must_use]
pub fn contact_mm(radius_mm: f64, draft_mm: f64) -> f64 {
    (radius_mm * draft_mm).sqrt()
}

/// Mean flow stress in MPa over a strain, of a metal that hardens as `K strain^n`, `k_mpa` in MPa.
#[must_use]
pub fn mean_flow_stress_mpa(k_mpa: f64, strain: f64, n: f64) -> f64 {
    k_mpa * strain.powf(n) / (1.0 + n)
}

/// Force between the rolls, kN.
#[must_use]
pub fn force_kn(mean_flow_stress_mpa: f64, width_mm: f64, contact_mm: f64) -> f64 {
    mean_flow_stress_mpa * width_mm * contact_mm * 1e-3
}

/// Torque on each of two rolls, N m.
#[must_use]
pub fn torque_nm(force_kn: f64, contact_mm: f64) -> f64 {
    0.5 * force_kn * contact_mm
}

/// Power of both rolls together in W, at `turns_per_min`.
#[must_use]
pub fn power_w(force_kn: f64, contact_mm: f64, turns_per_min: f64) -> f64 {
    std::f64::consts::TAU * turns_per_min / 60.0 * force_kn * contact_mm
}

const GROOVER: &str = "Groover, Fundamentals of Modern Manufacturing, ch. 18, eqs. 18.7-18.13";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "rolls-largest-draft",
        title: "largest draft that rolls pull in by themselves",
        formula: "d = mu^2 R",
        inputs: &[
            or("friction", "", "friction between roll and steel", 0.01, 0.7, 0.4),
            must("radius", "mm", "radius of the rolls", 10.0, 1000.0),
        ],
        gives: "draft",
        unit: "mm",
        validity: "plain rolls; friction of hot steel about 0.4, with sticking up to 0.7",
        source: GROOVER,
        mark: Mark::Read,
        eval: |i| largest_draft_mm(at(i, 0), at(i, 1)),
    },
    Law {
        name: "rolls-force",
        title: "force between rolls",
        formula: "F = Y w sqrt(R dh)",
        inputs: &[
            must("stress", "MPa", "mean flow stress", 1.0, 1000.0),
            must("width", "mm", "width of the bar", 1.0, 2000.0),
            must("radius", "mm", "radius of the rolls", 10.0, 1000.0),
            must("draft", "mm", "thickness lost in the pass", 0.0, 100.0),
        ],
        gives: "force",
        unit: "kN",
        validity: "an estimate: friction is left out",
        source: GROOVER,
        mark: Mark::Read,
        eval: |i| force_kn(at(i, 0), at(i, 1), contact_mm(at(i, 2), at(i, 3))),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::near;

    // Dieter, Mechanical Metallurgy, ex. 17.1, as a textbook companion prints it: in inches, 12 in rolls.
    #[test]
    fn largest_draft_dieter() {
        near(largest_draft_mm(0.08, 12.0), 0.0768, 1e-9);
        near(largest_draft_mm(0.5, 12.0), 3.0, 1e-9);
    }

    // Groover ex. 18.1: 300 mm strip, 25 to 22 mm, R 250, 50 turns a minute, K 275 MPa, n 0.15, friction 0.12.
    // The book rounds on the way, to about 5e-4.
    #[test]
    fn strip_groover() {
        near(largest_draft_mm(0.12, 250.0), 3.6, 1e-9);
        let l = contact_mm(250.0, 3.0);
        near(l, 27.4, 1e-3);
        let y = mean_flow_stress_mpa(275.0, (25f64 / 22.0).ln(), 0.15);
        near(y, 175.7, 5e-4);
        let f = force_kn(y, 300.0, l);
        near(f, 1444.786, 1.5e-3);
        near(torque_nm(f, l), 19_786.0, 2e-3);
        near(power_w(f, l, 50.0), 207_201.0, 2e-3);
    }
}
