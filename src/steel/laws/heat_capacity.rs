//! Heat held by hot steel: EN 1993-1-2:2005, 3.4.1.2 (read through several codes that agree).
//!
//! Structural-steel values: with 0.8 to 1 % C the peak sits near 725 to 730 C (from memory). The standard ends
//! at 1200 C; the last value is held above it, and the first below 20 C.

/// Specific heat, J/kgK, at `t_c` C. Held at its end values outside 20 to 1200 C.
pub(crate) fn heat_capacity_j_kgk(t_c: f64) -> f64 {
    let t = t_c.max(20.0);
    if t_c.is_nan() {
        f64::NAN
    } else if t < 600.0 {
        425.0 + t * (7.73e-1 + t * (-1.69e-3 + t * 2.22e-6))
    } else if t < 735.0 {
        666.0 + 13002.0 / (738.0 - t)
    } else if t < 900.0 {
        545.0 + 17820.0 / (t - 731.0)
    } else {
        650.0
    }
}

fn low_branch(t: f64) -> f64 {
    t * (425.0 + t * (7.73e-1 / 2.0 + t * (-1.69e-3 / 3.0 + t * 2.22e-6 / 4.0)))
}

/// Heat to bring one kg from 20 C to `t_c` C, J/kg: the exact integral of [`heat_capacity_j_kgk`]. Negative below 20 C.
pub(crate) fn enthalpy_j_kg(t_c: f64) -> f64 {
    if t_c.is_nan() {
        return f64::NAN;
    }
    let first = low_branch(t_c.clamp(20.0, 600.0)) - low_branch(20.0);
    let second = t_c.clamp(600.0, 735.0);
    let second = 666.0 * (second - 600.0) - 13002.0 * ((738.0 - second) / 138.0).ln();
    let third = t_c.clamp(735.0, 900.0);
    let third = 545.0 * (third - 735.0) + 17820.0 * ((third - 731.0) / 4.0).ln();
    let last = 650.0 * (t_c.max(900.0) - 900.0);
    let cold = heat_capacity_j_kgk(20.0) * (t_c.min(20.0) - 20.0);
    cold + first + second + third + last
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::near;

    #[test]
    fn content_grows_by_capacity_computed() {
        assert!(enthalpy_j_kg(f64::NAN).is_nan() && heat_capacity_j_kgk(f64::NAN).is_nan());
        for t in [-5.0, 300.0, 650.0, 734.0, 736.0, 850.0, 1000.0, 1300.0] {
            let slope = (enthalpy_j_kg(t + 0.01) - enthalpy_j_kg(t - 0.01)) / 0.02;
            near(slope, heat_capacity_j_kgk(t), 1e-4);
        }
    }
}
