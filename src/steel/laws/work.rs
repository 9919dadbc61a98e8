//! Work of shaping: textbook mechanics.

/// Ideal work in J: volume in mm3, flow stress in MPa, log strain a plain number.
#[must_use]
pub(crate) fn ideal_work_j(volume_mm3: f64, flow_stress_mpa: f64, strain: f64) -> f64 {
    volume_mm3 * flow_stress_mpa * strain * 1e-3
}
