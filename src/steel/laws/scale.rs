//! The skin that one heat takes off every face that sees the fire.
//!
//! Common practice sets the size (0.05 mm for a heat of 6 minutes at 1200 C, 0.002 inch a face); the
//! oxidation law only says how it grows with temperature and minutes. The free-air law itself is an upper
//! bound, five times this at 1200 C.

use crate::quantity::halve;
use crate::steel::catalogue::inputs::{at, or};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::oxidation::growth_m2_s;

/// Skin of the heat that all others are measured against, mm a face. Common practice.
pub const STANDARD_MM: f64 = 0.05;
/// Temperature of that heat, C. Project figure.
pub const STANDARD_C: f64 = 1200.0;
/// Length of that heat, min. Project figure.
pub const STANDARD_MIN: f64 = 6.0;
/// Factor on the skin for an oxidising fire. Project figure.
pub const OXIDISING: f64 = 2.0;
/// Factor on the skin for a reducing fire. Project figure.
pub const REDUCING: f64 = 0.5;
/// Factor on the skin under a full coat of flux. Project figure.
pub const FLUXED: f64 = 0.5;

/// Skin, mm a face, of one heat of `minutes` at `t_c` C: `0.05 sqrt(k(T) t / (k(1200 C) 6 min))` times `factor`.
///
/// `factor` is the product of the factors above that apply, 1 for a neutral fire without flux.
pub fn skin_mm(t_c: f64, minutes: f64, factor: f64) -> f64 {
    let growth = growth_m2_s(t_c) * minutes / (growth_m2_s(STANDARD_C) * STANDARD_MIN);
    factor * STANDARD_MM * growth.sqrt()
}

/// Skin, mm, that takes `percent` of the volume off a bar of these sizes: the law `scale 2 % per heat` of the shop.
///
/// `length_mm` is `None` where the ends do not see the fire. Percentages outside 0 to 100, or sizes that are
/// not positive, give NaN.
pub fn skin_for_loss_mm(percent: f64, thickness_mm: f64, width_mm: f64, length_mm: Option<f64>) -> f64 {
    let length = length_mm.unwrap_or(f64::INFINITY);
    let sound = (0.0..=100.0).contains(&percent) && thickness_mm > 0.0 && width_mm > 0.0 && length > 0.0;
    if !sound {
        return f64::NAN;
    }
    let wanted = 1.0 - percent / 100.0;
    let left = |skin: f64| {
        (1.0 - 2.0 * skin / thickness_mm) * (1.0 - 2.0 * skin / width_mm) * (1.0 - 2.0 * skin / length)
    };
    // What is left falls steadily from 1 to 0 as the skin grows to half the smallest size, so halving finds it.
    let most = thickness_mm.min(width_mm).min(length) / 2.0;
    let (low, high) = halve((0.0, most), 200, |skin| left(skin) > wanted);
    if percent == 0.0 { 0.0 } else { 0.5 * (low + high) }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[Law {
    name: "skin",
    title: "skin that one heat in the shop takes off each face",
    formula: "0.05 mm sqrt(k(T) t / (k(1200 C) 6 min)) x factor, k as in scale-in-air",
    inputs: &[
        or("temperature", "C", "temperature of the heat", 700.0, 1250.0, STANDARD_C),
        or("time", "min", "time of the heat", 0.0, 240.0, STANDARD_MIN),
        or(
            "factor",
            "",
            "1 neutral fire, 2 oxidising, 0.5 reducing, halved again under a full coat of flux",
            0.0,
            4.0,
            1.0,
        ),
    ],
    gives: "metal lost from each face",
    unit: "mm",
    validity: "a rule of thumb for a gas or coal fire; measure your own and state it in the shop",
    source: "0.05 mm a heat: common practice; its growth: the law scale-in-air; factors: project figures",
    mark: Mark::Practice,
    eval: |x| skin_mm(at(x, 0), at(x, 1), at(x, 2)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::oxidation::{recession_um, thickness_um};
    use crate::steel::testing::{near, within};

    #[test]
    fn standard_heat() {
        // Common practice: 0.05 mm (0.002 inch) a face a heat.
        within(skin_mm(1200.0, 6.0, 1.0), 0.05, 1e-15);
        within(skin_mm(1200.0, 6.0, 1.0) / 25.4, 0.002, 5e-5);
        within(skin_mm(1200.0, 24.0, 1.0), 0.1, 1e-15);
        within(skin_mm(1200.0, 6.0, OXIDISING * FLUXED), 0.05, 1e-15);
        within(skin_mm(1200.0, 6.0, REDUCING), 0.025, 1e-15);
    }

    #[test]
    fn free_air_is_five_times_as_much_computed() {
        // The law scale-in-air (Mi, Fujinawa and Bergthorson) against the shop's skin.
        let air_mm = recession_um(thickness_um(1200.0, 6.0)) / 1000.0;
        within(air_mm / skin_mm(1200.0, 6.0, 1.0), 5.0, 0.1);
    }

    #[test]
    fn grows_as_the_published_constant_computed() {
        // Reference, table 1.3: k(1000 C) 3.128e-11 and k(1200 C) 2.731e-10 m2/s.
        let ratio: f64 = 3.128e-11 / 2.731e-10;
        near(skin_mm(1000.0, 6.0, 1.0), 0.05 * ratio.sqrt(), 5e-4);
    }

    #[test]
    fn two_per_cent_of_a_bar_computed() {
        // A cube of 10 mm left with 98 % of its volume has sides of 10 x 0.98^(1/3) mm.
        let cube = (10.0 - 10.0 * 0.98_f64.cbrt()) / 2.0;
        within(skin_for_loss_mm(2.0, 10.0, 10.0, Some(10.0)), cube, 1e-12);
        let square = (25.0 - 25.0 * 0.98_f64.sqrt()) / 2.0;
        within(skin_for_loss_mm(2.0, 25.0, 25.0, None), square, 1e-12);
        assert_eq!(skin_for_loss_mm(0.0, 25.0, 25.0, None), 0.0);
        assert!(skin_for_loss_mm(120.0, 25.0, 25.0, None).is_nan());
        assert!(skin_for_loss_mm(2.0, 0.0, 25.0, None).is_nan());
    }
}
