//! Twisting a bar: shear, strain, and how tight is too tight.
//!
//! Shear over length is read (a university's pages on elastic torsion); the rest is geometry. The length is held to stay: a small growth is real, but no figure for hot steel was
//! found. Hot torsion specimens hold to an equivalent strain of about 3 (Metals 2025, 15(2), 219, abstract).

use std::f64::consts::TAU;

/// Equivalent strain at the surface in one heat that earns a warning. Project parameter, no source.
pub(crate) const STRAIN_WARNS: f64 = 1.5;
/// Equivalent strain at the surface that is a fault. Project parameter, after hot torsion tests that ran to about 3.
pub(crate) const STRAIN_FAULTS: f64 = 3.0;

/// Radius in mm of the corner of a bar of two sides.
#[must_use]
pub(crate) fn flat_corner_radius_mm(thickness_mm: f64, width_mm: f64) -> f64 {
    0.5 * thickness_mm.hypot(width_mm)
}

/// Engineering shear strain at `radius_mm`, plain number, of `turns` in `length_mm`.
#[must_use]
pub(crate) fn shear_of_turns(radius_mm: f64, turns: f64, length_mm: f64) -> f64 {
    TAU * turns * radius_mm / length_mm
}

/// Equivalent (von Mises) strain, plain number.
#[must_use]
pub(crate) fn equivalent_strain(shear: f64) -> f64 {
    shear / 3f64.sqrt()
}

/// Tightest pitch in mm that keeps the equivalent strain at `radius_mm` to `strain`.
#[must_use]
pub(crate) fn tightest_pitch_mm(radius_mm: f64, strain: f64) -> f64 {
    TAU * radius_mm / (strain * 3f64.sqrt())
}
