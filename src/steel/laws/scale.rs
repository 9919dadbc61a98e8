//! The skin that one heat takes off every face that sees the fire.
//!
//! Common practice sets the size (0.05 mm for a heat of 6 minutes at 1200 C, 0.002 inch a face); the
//! oxidation law only says how it grows with temperature and minutes. The free-air law itself is an upper
//! bound, five times this at 1200 C.

use crate::steel::constants::KELVIN;

/// Skin of the heat that all others are measured against, mm a face. Common practice.
pub(crate) const STANDARD_MM: f64 = 0.05;
/// Temperature of that heat, C. Project figure.
pub(crate) const STANDARD_C: f64 = 1200.0;
/// Length of that heat, min. Project figure.
pub(crate) const STANDARD_MIN: f64 = 6.0;
/// Factor on the skin for an oxidising fire. Project figure.
pub(crate) const OXIDISING: f64 = 2.0;
/// Factor on the skin for a reducing fire. Project figure.
pub(crate) const REDUCING: f64 = 0.5;
/// Factor on the skin under a full coat of flux. Project figure.
pub(crate) const FLUXED: f64 = 0.5;

/// Growth constant k of wustite on iron, m2/s, at `t_c` C: `2.67e-4 exp(-20319/T)`, T in kelvin.
///
/// Source: the code of the growth law of Mi, Fujinawa and Bergthorson (arXiv 2110.15461). Valid at about 700 to 1250 C.
pub(crate) fn growth_m2_s(t_c: f64) -> f64 {
    2.67e-4 * (-20319.0 / (t_c + KELVIN)).exp()
}

/// Skin, mm a face, of one heat of `minutes` at `t_c` C: `0.05 sqrt(k(T) t / (k(1200 C) 6 min))` times `factor`.
///
/// `factor` is the product of the factors above that apply, 1 for a neutral fire without flux.
pub(crate) fn skin_mm(t_c: f64, minutes: f64, factor: f64) -> f64 {
    let growth = growth_m2_s(t_c) * minutes / (growth_m2_s(STANDARD_C) * STANDARD_MIN);
    factor * STANDARD_MM * growth.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn factors_of_the_fire() {
        // Common practice: 0.05 mm (0.002 inch) a face a heat.
        within(skin_mm(1200.0, 6.0, OXIDISING * FLUXED), 0.05, 1e-15);
        within(skin_mm(1200.0, 6.0, REDUCING), 0.025, 1e-15);
    }
}
