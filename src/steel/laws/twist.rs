//! Twisting a bar: shear, angle of the fibres, their stretch, torque, and how tight is too tight.
//!
//! Shear over length is read (a university's pages on elastic torsion, mst.edu, ME 2210); the rest is geometry. Torques are
//! standard results, **from memory**. The length is held to stay: a small growth is real, but no figure for hot steel was
//! found. Hot torsion specimens hold to an equivalent strain of about 3 (Metals 2025, 15(2), 219, abstract).

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Input, Law, Mark};

/// Equivalent strain at the surface in one heat that earns a warning. Project parameter, no source.
pub const STRAIN_WARNS: f64 = 1.5;
/// Equivalent strain at the surface that is a fault. Project parameter, after hot torsion tests that ran to about 3.
pub const STRAIN_FAULTS: f64 = 3.0;

/// Radius in mm of the corner of a square bar of `side_mm`: the hardest worked fibre.
#[must_use]
pub fn corner_radius_mm(side_mm: f64) -> f64 {
    side_mm * FRAC_1_SQRT_2
}

/// Radius in mm of the corner of a bar of two sides.
#[must_use]
pub fn flat_corner_radius_mm(thickness_mm: f64, width_mm: f64) -> f64 {
    0.5 * thickness_mm.hypot(width_mm)
}

/// Engineering shear strain at `radius_mm`, plain number, of a bar with one turn in `pitch_mm`.
#[must_use]
pub fn shear(radius_mm: f64, pitch_mm: f64) -> f64 {
    TAU * radius_mm / pitch_mm
}

/// Engineering shear strain at `radius_mm`, plain number, of `turns` in `length_mm`.
#[must_use]
pub fn shear_of_turns(radius_mm: f64, turns: f64, length_mm: f64) -> f64 {
    TAU * turns * radius_mm / length_mm
}

/// Angle in degrees of a fibre to the axis of the bar.
#[must_use]
pub fn fibre_angle_deg(shear: f64) -> f64 {
    shear.atan().to_degrees()
}

/// Equivalent (von Mises) strain, plain number.
#[must_use]
pub fn equivalent_strain(shear: f64) -> f64 {
    shear / 3f64.sqrt()
}

/// Length of a fibre after over before, plain number, the bar keeping its length.
#[must_use]
pub fn fibre_stretch(shear: f64) -> f64 {
    shear.hypot(1.0)
}

/// Tightest pitch in mm that keeps the equivalent strain at `radius_mm` to `strain`.
#[must_use]
pub fn tightest_pitch_mm(radius_mm: f64, strain: f64) -> f64 {
    TAU * radius_mm / (strain * 3f64.sqrt())
}

/// Torque in N m that twists a hot round bar of `radius_mm`, flow stress in MPa. From memory.
#[must_use]
pub fn round_torque_nm(flow_stress_mpa: f64, radius_mm: f64) -> f64 {
    TAU / 3.0 * flow_stress_mpa / 3f64.sqrt() * radius_mm.powi(3) * 1e-3
}

/// Torque in N m that twists a hot square bar of `side_mm`, flow stress in MPa. From memory (the sand heap).
#[must_use]
pub fn square_torque_nm(flow_stress_mpa: f64, side_mm: f64) -> f64 {
    flow_stress_mpa / 3f64.sqrt() * side_mm.powi(3) / 3.0 * 1e-3
}

const SIDE: Input = must("side", "mm", "side of the square bar", 1.0, 200.0);
const PITCH: Input = must("pitch", "mm", "length of one full turn", 1.0, 10_000.0);
const GEOMETRY: &str = "geometry; shear over length as in mst.edu, ME 2210, elastic torsion";
const KEEPS: &str = "square bar that keeps its length; the corner, where it is most";

/// The corner's shear of inputs side and pitch.
fn corner(i: &[f64]) -> f64 {
    shear(corner_radius_mm(at(i, 0)), at(i, 1))
}

/// One law of the corner of a twisted square bar.
const fn at_corner(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    gives: &'static str,
    unit: &'static str,
    eval: fn(&[f64]) -> f64,
) -> Law {
    Law {
        name,
        title,
        formula,
        inputs: &[SIDE, PITCH],
        gives,
        unit,
        validity: KEEPS,
        source: GEOMETRY,
        mark: Mark::Read,
        eval,
    }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    at_corner(
        "twist-shear",
        "shear of a twisted square bar",
        "g = 2 pi r / p, r = a / sqrt(2)",
        "shear strain",
        "",
        corner,
    ),
    at_corner(
        "twist-angle",
        "angle of the fibres of a twisted bar",
        "atan(2 pi r / p), r = a / sqrt(2)",
        "angle to the axis",
        "deg",
        |i| fibre_angle_deg(corner(i)),
    ),
    at_corner(
        "twist-strain",
        "strain of a twisted bar",
        "2 pi r / (p sqrt(3)), r = a / sqrt(2)",
        "equivalent strain",
        "",
        |i| equivalent_strain(corner(i)),
    ),
    at_corner(
        "twist-stretch",
        "stretch of the fibres of a twisted bar",
        "sqrt(1 + g^2), g = 2 pi r / p",
        "length after over before",
        "",
        |i| fibre_stretch(corner(i)),
    ),
    Law {
        name: "twist-tightest",
        title: "tightest pitch before a warning",
        formula: "p = 2 pi r / (1.5 sqrt(3)), r = a / sqrt(2)",
        inputs: &[SIDE],
        gives: "pitch",
        unit: "mm",
        validity: "one heat; equivalent strain of 1.5 at the corner",
        source: "project parameter, no source; hot torsion tests run to about 3 (Metals 2025, 15(2), 219)",
        mark: Mark::Project,
        eval: |i| tightest_pitch_mm(corner_radius_mm(at(i, 0)), STRAIN_WARNS),
    },
    Law {
        name: "twist-torque-square",
        title: "torque that twists a hot square bar",
        formula: "T = Y a^3 / (3 sqrt(3))",
        inputs: &[must("stress", "MPa", "flow stress", 1.0, 1000.0), SIDE],
        gives: "torque",
        unit: "N m",
        validity: "the whole section flows",
        source: "standard result, from memory",
        mark: Mark::Memory,
        eval: |i| square_torque_nm(at(i, 0), at(i, 1)),
    },
    Law {
        name: "twist-torque-round",
        title: "torque that twists a hot round bar",
        formula: "T = 2 pi Y r^3 / (3 sqrt(3))",
        inputs: &[
            must("stress", "MPa", "flow stress", 1.0, 1000.0),
            must("diameter", "mm", "diameter of the bar", 1.0, 200.0),
        ],
        gives: "torque",
        unit: "N m",
        validity: "the whole section flows",
        source: "standard result, from memory",
        mark: Mark::Memory,
        eval: |i| round_torque_nm(at(i, 0), 0.5 * at(i, 1)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // Computed: the reference's table, 12 mm square.
    #[test]
    fn square_of_12_computed() {
        for (pitch, g, angle, strain, stretch, face) in [
            (60.0, 0.8886, 41.62, 0.5130, 1.3377, 0.6283),
            (40.0, 1.3329, 53.12, 0.7695, 1.6663, 0.9425),
            (25.0, 2.1326, 64.88, 1.2312, 2.3554, 1.5080),
        ] {
            let corner = shear(corner_radius_mm(12.0), pitch);
            prints(corner, g, 4);
            prints(fibre_angle_deg(corner), angle, 2);
            prints(equivalent_strain(corner), strain, 4);
            prints(fibre_stretch(corner), stretch, 4);
            prints(shear(6.0, pitch), face, 4);
            near(shear_of_turns(6.0, 3.0, 3.0 * pitch), shear(6.0, pitch), 1e-12);
        }
        near(flat_corner_radius_mm(12.0, 12.0), corner_radius_mm(12.0), 1e-12);
    }

    // Computed: torques at 100 MPa, and the pitch of strain 1.5.
    #[test]
    fn torque_and_limit_computed() {
        prints(round_torque_nm(100.0, 6.0), 26.12, 2);
        prints(square_torque_nm(100.0, 12.0), 33.26, 2);
        prints(tightest_pitch_mm(corner_radius_mm(12.0), STRAIN_WARNS), 20.5, 1);
    }
}
