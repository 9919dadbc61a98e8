//! Carbon lost from the surface: how deep the skin is that has lost it. The face is held at no carbon, and moves inwards as
//! scale eats it.
//!
//! `w = d^2`, d the depth to half the carbon, follows `w' = 0.91 D - 2 c v sqrt(w)` with v the speed of the face. 0.91 is the square of
//! 2 erfinv(0.5): without scale, d is that of the error function. Under a front that has moved for long the carbon is
//! `1 - exp(-v x/D)`, half of it at `ln 2 D/v`: so `c = 0.91/(2 ln 2)`. D is Agren's at a quarter of the carbon at first, for towards the
//! face carbon moves slower (own fit). Held against finite differences (`tests/oracle/skin_fd.py`): half and nine tenths within 20 %
//! over 0.15 to 1.1 % C, 900 to 1230 C, one to eight heats and skins up to twice a shop's, as long as nine tenths stay short of the
//! middle; beyond that the piece has lost carbon right through.

use crate::steel::laws::diffusion::agren_m2_s;

/// Of the carbon at first, the share at which the diffusivity of the skin is taken (own fit).
const CARBON_SHARE: f64 = 0.25;

/// How far the moving face counts, `0.91/(2 ln 2)`.
const FRONT: f64 = 0.656;

/// Where more than this burns off, as a share of how far carbon moves, one step for all would overshoot.
const MUCH: f64 = 0.3;
/// So many steps then.
const STEPS: u8 = 8;

/// Depth to nine tenths of the carbon over depth to half of it: 2.44 by the error function, 3.32 under a front that has moved for
/// long; between them by finite differences (own fit).
const NINE_TENTHS: f64 = 2.9;

/// Carbon in the skin of a steel, m2/s, by temperature and the carbon that the steel held at first, %.
#[must_use]
pub(crate) fn skin_m2_s(t_c: f64, carbon_percent: f64) -> f64 {
    agren_m2_s(t_c, CARBON_SHARE * carbon_percent)
}

/// Depth of the skin that has lost half of its carbon, mm, after a further stay in the fire that spends `spent_mm2`
/// (diffusivity times time) and burns `burnt_mm` off the face.
#[must_use]
pub(crate) fn grown_mm(depth_mm: f64, spent_mm2: f64, burnt_mm: f64) -> f64 {
    let (grows, front) = (0.91 * spent_mm2.max(0.0), FRONT * burnt_mm);
    let steps = if front > MUCH * grows.sqrt() { STEPS } else { 1 };
    let (grows, half) = (grows / f64::from(steps), 0.5 * front / f64::from(steps));
    let mut depth = depth_mm;
    for _ in 0..steps {
        // Half of what burns is taken before, half after.
        let under = (depth - half).max(0.0);
        depth = ((under * under + grows).sqrt() - half).max(0.0);
    }
    depth
}

/// From this share of the way to the middle on the skins of both faces feed on each other, and reach it (finite differences).
const MEET: f64 = 0.7;

/// Depth to nine tenths of the carbon, mm, where half of it is lost at `half_mm`; as far as the middle, `middle_mm`, where the
/// piece has lost carbon right through.
#[must_use]
pub(crate) fn to_nine_tenths_mm(half_mm: f64, middle_mm: f64) -> f64 {
    let deep = NINE_TENTHS * half_mm;
    if deep < MEET * middle_mm { deep } else { middle_mm }
}

/// The share of its carbon that is left between two depths below a face, both over the depth to half of it: the mean of
/// `erf(0.477 x)`.
#[must_use]
pub(crate) fn carbon_left(near: f64, far: f64) -> f64 {
    // erfinv(0.5); the whole of erf is x erf(x) + exp(-x^2)/sqrt(pi).
    let scale = 0.476_936_276_204_469_9;
    let whole = |x: f64| x * libm::erf(x) + ((-x * x).exp() - 1.0) / std::f64::consts::PI.sqrt();
    let (near, far) = (scale * near.max(0.0), scale * far.max(0.0));
    if far - near < 1e-9 { libm::erf(far) } else { (whole(far) - whole(near)) / (far - near) }
}
