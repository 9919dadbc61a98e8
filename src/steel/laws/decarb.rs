//! Carbon lost from the surface: how the decarburised skin grows. A surface held at no carbon is the worst case.

/// Depth of the skin that has lost half of its carbon, mm, after a further stay in the fire that spends `spent_mm2`
/// (diffusivity times time) and burns `burnt_mm` off the face: `sqrt(depth^2 + step^2) - burnt`, not below 0.
///
/// An estimate (project figure): depths grow with the root of time, and scale eats from outside.
#[must_use]
pub(crate) fn grown_mm(depth_mm: f64, spent_mm2: f64, burnt_mm: f64) -> f64 {
    // 2 erfinv(0.5) = 0.953873 (computed).
    let step = 0.953_872_552_408_939_6 * spent_mm2.max(0.0).sqrt();
    let left = (depth_mm * depth_mm + step * step).sqrt() - burnt_mm;
    if left < 0.0 { 0.0 } else { left }
}
