//! Pressure under a flat tool on a strip that flows one way only: the friction hill.
//!
//! Half-width `a` of the contact, distance `x` from its middle, thickness `h`, all in mm; `2k` is 1.1547 times the flow
//! stress. Read in Groover ch. 18, and in companions of Dieter ch. 16 (github FOSSEE/Python-Textbook-Companions, d34b2ae7).

use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::press_load::PLANE_STRAIN;

/// Pressure in MPa at `x_mm` from the middle of a sliding strip; friction a plain number.
#[must_use]
pub fn sliding_mpa(flow_stress_mpa: f64, friction: f64, half_mm: f64, thickness_mm: f64, x_mm: f64) -> f64 {
    PLANE_STRAIN * flow_stress_mpa * (2.0 * friction * (half_mm - x_mm) / thickness_mm).exp()
}

/// Pressure in MPa at `x_mm` from the middle of a strip that sticks all over.
#[must_use]
pub fn sticking_mpa(flow_stress_mpa: f64, half_mm: f64, thickness_mm: f64, x_mm: f64) -> f64 {
    PLANE_STRAIN * flow_stress_mpa * ((half_mm - x_mm) / thickness_mm + 1.0)
}

/// Mean pressure in MPa of a strip that sticks all over.
#[must_use]
pub fn sticking_mean_mpa(flow_stress_mpa: f64, half_mm: f64, thickness_mm: f64) -> f64 {
    PLANE_STRAIN * flow_stress_mpa * (1.0 + half_mm / (2.0 * thickness_mm))
}

/// Mean pressure in MPa of a sliding strip, first order in the friction.
#[must_use]
pub fn sliding_mean_mpa(flow_stress_mpa: f64, friction: f64, half_mm: f64, thickness_mm: f64) -> f64 {
    PLANE_STRAIN * flow_stress_mpa * (1.0 + friction * half_mm / thickness_mm)
}

/// Width in mm of the rim that still slides, from the edge inward; 0 where friction (0.5 or more) sticks from the edge.
#[must_use]
pub fn sliding_rim_mm(friction: f64, thickness_mm: f64) -> f64 {
    let rim = thickness_mm / (2.0 * friction) * (1.0 / (2.0 * friction)).ln();
    if rim < 0.0 { 0.0 } else { rim }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "press-strip",
        title: "mean pressure under a flat tool, sticking",
        formula: "p = 1.1547 Y (1 + a/(2h)), a half the contact",
        inputs: &[
            must("stress", "MPa", "flow stress", 1.0, 1000.0),
            must("half", "mm", "half the contact along the flow", 0.1, 1000.0),
            must("thickness", "mm", "thickness of the bar", 0.1, 1000.0),
        ],
        gives: "mean pressure",
        unit: "MPa",
        validity: "bite at least as long as the bar is thick",
        source: "Dieter, Mechanical Metallurgy, ch. 16, seen through a textbook companion \
            (github FOSSEE/Python-Textbook-Companions, d34b2ae7)",
        mark: Mark::Carrier,
        eval: |i| sticking_mean_mpa(at(i, 0), at(i, 1), at(i, 2)),
    },
    Law {
        name: "press-strip-sliding",
        title: "mean pressure under a flat tool, sliding",
        formula: "p = 1.1547 Y (1 + mu a/h), a half the contact",
        inputs: &[
            must("stress", "MPa", "flow stress", 1.0, 1000.0),
            or("friction", "", "friction between tool and steel", 0.0, 0.5, 0.4),
            must("half", "mm", "half the contact along the flow", 0.1, 1000.0),
            must("thickness", "mm", "thickness of the bar", 0.1, 1000.0),
        ],
        gives: "mean pressure",
        unit: "MPa",
        validity: "first order: low friction, thick bars",
        source: "Dieter, Mechanical Metallurgy, ch. 16, seen through a textbook companion \
            (github FOSSEE/Python-Textbook-Companions, d34b2ae7); friction hot 0.4 to 0.5, Groover table 17.1",
        mark: Mark::Carrier,
        eval: |i| sliding_mean_mpa(at(i, 0), at(i, 1), at(i, 2), at(i, 3)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::near;

    // Dieter ex. 16.1, as a textbook companion prints it: lead, 1000 psi, friction 0.25, a 2 in, h 0.25 in, 6 in deep.
    // Pressures in psi and lengths in inches pass straight through.
    #[test]
    fn slab_dieter() {
        near(sliding_mpa(1000.0, 0.25, 2.0, 0.25, 0.0), 63_044.5, 1e-6);
        near(sliding_mpa(1000.0, 0.25, 2.0, 0.25, 2.0), 1154.7, 1e-6);
        near(sliding_mpa(1000.0, 0.25, 2.0, 0.25, 1.0), 8532.0, 1e-4);
        near(sticking_mpa(1000.0, 2.0, 0.25, 0.0), 10_392.0, 1e-4);
        let pounds = sticking_mean_mpa(1000.0, 2.0, 0.25) * 4.0 * 6.0;
        // The companion takes 0.453 kg for the pound, and so prints 62.77 where 62.85 tonnes-force are right.
        near(pounds * 0.453e-3, 62.77, 1e-4);
        // Computed by the reference.
        near(pounds, 138_564.0, 1e-5);
        near(pounds * 4.448_221_615e-3, 616.4, 1e-4);
    }

    // Algebra: the mean of the sticking hill is its mid-height, and the rim ends where sliding would shear the metal.
    #[test]
    fn hill_and_rim() {
        let mid = sticking_mpa(80.0, 20.0, 10.0, 10.0);
        near(sticking_mean_mpa(80.0, 20.0, 10.0), mid, 1e-12);
        near(sliding_mean_mpa(80.0, 0.5, 20.0, 10.0), mid, 1e-12);
        let rim = sliding_rim_mm(0.2, 10.0);
        let there = sliding_mpa(80.0, 0.2, 40.0, 10.0, 40.0 - rim);
        near(0.2 * there, 0.5 * PLANE_STRAIN * 80.0, 1e-12);
        near(sliding_rim_mm(0.6, 10.0) + 1.0, 1.0, 1e-15);
    }
}
