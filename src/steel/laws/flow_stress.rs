//! Flow stress of hot carbon steel after Shida, by carbon, temperature, strain and rate.
//!
//! S. Shida, J. JSTP 9 (1968) no. 85 and 10 (1969) no. 103, 610-617, seen through two open rolling libraries.
//! The carriers disagree on signs. What is used here is what makes the two branches meet at the critical
//! temperature: `+0.126` above it, `+0.081 C` below it, the constant `5/Tp` in the lower exponent, and no 0.1 added to
//! strain or rate. No published worked value with stated conditions was found.

use crate::steel::constants::{KELVIN, MPA_PER_KGF_MM2};

/// Ranges within which the formula was fitted.
pub(crate) mod range {
    /// Carbon, % by mass.
    pub(crate) const CARBON_PCT: (f64, f64) = (0.0, 1.2);
    /// Temperature, C.
    pub(crate) const TEMP_C: (f64, f64) = (700.0, 1200.0);
    /// Strain of one squeeze, plain number. Far beyond it (about 2.3) the formula falls to nothing: hold it.
    pub(crate) const STRAIN: (f64, f64) = (0.0, 0.7);
    /// Rate of strain, 1/s.
    pub(crate) const RATE_PER_S: (f64, f64) = (0.1, 100.0);
}

/// Critical temperature in thousands of kelvin, where the two branches meet.
fn critical_kk(carbon: f64) -> f64 {
    0.95 * (carbon + 0.41) / (carbon + 0.32)
}

/// The dip of stress below the critical temperature, plain number.
fn dip(carbon: f64, kk: f64) -> f64 {
    let off = kk - 0.95 * (carbon + 0.49) / (carbon + 0.42);
    30.0 * (carbon + 0.9) * off * off + (carbon + 0.06) / (carbon + 0.09)
}

/// Stress in kgf/mm2 at strain 0.2 and 10/s.
fn base_kgf_mm2(carbon: f64, kk: f64) -> f64 {
    let soft = 0.01 / (carbon + 0.05);
    if kk >= critical_kk(carbon) {
        0.28 * (5.0 / kk - soft).exp()
    } else {
        let held = (carbon + 0.32) / (0.19 * (carbon + 0.41));
        0.28 * dip(carbon, kk) * (held - soft).exp()
    }
}

/// Exponent of the rate above the critical temperature, plain number.
fn rate_exponent_above(carbon: f64, kk: f64) -> f64 {
    (-0.019 * carbon + 0.126) * kk + 0.075 * carbon - 0.050
}

/// Exponent of the rate below the critical temperature, plain number.
fn rate_exponent_below(carbon: f64, kk: f64) -> f64 {
    (0.081 * carbon - 0.154) * kk - 0.019 * carbon + 0.207 + 0.027 / (carbon + 0.320)
}

/// How strongly the stress grows with the rate, plain number: `stress ~ rate^m`.
#[must_use]
pub(crate) fn rate_exponent(carbon_pct: f64, temp_c: f64) -> f64 {
    let kk = (temp_c + KELVIN) / 1000.0;
    if kk >= critical_kk(carbon_pct) {
        rate_exponent_above(carbon_pct, kk)
    } else {
        rate_exponent_below(carbon_pct, kk)
    }
}

/// Flow stress in MPa: carbon in % by mass, temperature in C, strain a plain number, rate in 1/s.
///
/// Outside the fitted range it extrapolates without a word: see [`range`]. NaN in, NaN out.
#[must_use]
pub(crate) fn shida_mpa(carbon_pct: f64, temp_c: f64, strain: f64, rate_per_s: f64) -> f64 {
    shida_with_factor_mpa(carbon_pct, temp_c, shida_strain_factor(carbon_pct, strain), rate_per_s)
}

/// The factor for strain of [`shida_mpa`], worked out once for a carbon content: 1 at a strain of 0.2.
#[must_use]
pub(crate) fn shida_strain_factor(carbon_pct: f64, strain: f64) -> f64 {
    let x = strain / 0.2;
    1.3 * x.powf(0.41 - 0.07 * carbon_pct) - 0.3 * x
}

/// [`shida_mpa`] with its factor for strain worked out before: the same figure, to the last bit.
#[must_use]
pub(crate) fn shida_with_factor_mpa(carbon_pct: f64, temp_c: f64, factor: f64, rate_per_s: f64) -> f64 {
    let kk = (temp_c + KELVIN) / 1000.0;
    base_kgf_mm2(carbon_pct, kk)
        * factor
        * (rate_per_s / 10.0).powf(rate_exponent(carbon_pct, temp_c))
        * MPA_PER_KGF_MM2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{near, prints};

    // Computed: the reference's self-consistency table at the critical temperature.
    #[test]
    fn branches_meet_computed() {
        for (c, tp_c, g, below, above) in [
            (0.10, 880.4, 1.0140, 0.10108, 0.10066),
            (0.45, 787.9, 0.9929, 0.10879, 0.10837),
            (0.80, 753.2, 0.9906, 0.12436, 0.12372),
            (1.00, 741.6, 0.9908, 0.13438, 0.13358),
        ] {
            let kk = critical_kk(c);
            prints(kk * 1000.0 - KELVIN, tp_c, 1);
            prints(dip(c, kk), g, 4);
            prints(rate_exponent_below(c, kk), below, 5);
            prints(rate_exponent_above(c, kk), above, 5);
            // The point of it: one law, so no jump beyond the 1.4 % of `dip` itself.
            let at = kk * 1000.0 - KELVIN;
            near(shida_mpa(c, at - 1e-6, 0.3, 50.0), shida_mpa(c, at + 1e-6, 0.3, 50.0), 0.015);
        }
    }
}
