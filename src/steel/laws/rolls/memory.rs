//! Four more spread laws of flat rolling, with constants **from memory**, not verified.
//!
//! Helmi and Alexander's paper exists (J. Iron Steel Inst. 206 (1968) 1110-1117, citation read), El-Kalay and
//! Sparling's too (same journal, 1968, a reference entry seen); the numbers of all four could not be confirmed. They
//! are here to show how far laws differ, and nothing else uses them.

use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{PASS, Pass};

/// Surfaces that El-Kalay and Sparling tell apart: scale on the bar, finish of the rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Light scale, smooth rolls.
    LightSmooth,
    /// Light scale, rough rolls.
    LightRough,
    /// Heavy scale, smooth rolls.
    HeavySmooth,
    /// Heavy scale, rough rolls.
    HeavyRough,
}

impl Surface {
    const fn constants(self) -> [f64; 5] {
        match self {
            Self::LightSmooth => [0.851, 1.766, 0.643, 0.386, -0.104],
            Self::LightRough => [0.955, 1.844, 0.643, 0.386, -0.104],
            Self::HeavySmooth => [0.993, 2.186, 0.569, 0.402, -0.123],
            Self::HeavyRough => [0.980, 2.105, 0.569, 0.402, -0.123],
        }
    }
}

/// Width after the pass, mm, El-Kalay and Sparling.
#[must_use]
pub fn el_kalay_sparling_width_mm(pass: Pass, surface: Surface) -> f64 {
    let [a, b, c, d, e] = surface.constants();
    let slender = (pass.width_mm / pass.before_mm).powf(c);
    let size = (pass.before_mm / pass.radius_mm).powf(d);
    let reduction = (pass.draft_mm() / pass.before_mm).powf(e);
    pass.width_with_mm(a * (-b * slender * size * reduction).exp())
}

/// Width after the pass, mm, Helmi and Alexander.
#[must_use]
pub fn helmi_alexander_width_mm(pass: Pass) -> f64 {
    let squat = pass.before_mm / pass.width_mm;
    let long = pass.width_mm / pass.contact_mm();
    pass.width_with_mm(0.95 * squat.powf(1.1) * (-0.707 * long * squat.powf(0.971)).exp())
}

/// Width after the pass, mm, Beese.
#[must_use]
pub fn beese_width_mm(pass: Pass) -> f64 {
    let squat = pass.before_mm / pass.width_mm;
    pass.width_with_mm(0.61 * squat.powf(1.3) * (-0.32 * pass.before_mm / pass.contact_mm()).exp())
}

/// Width after the pass, mm, Shibahara.
#[must_use]
pub fn shibahara_width_mm(pass: Pass) -> f64 {
    let m = pass.width_mm / pass.before_mm;
    let long = (pass.width_mm / pass.contact_mm()).powf(0.016 * m);
    let size = (pass.before_mm / pass.radius_mm).powf(0.015 * m);
    pass.width_with_mm((-1.64 * m.powf(0.376) * long * size).exp())
}

const UNVERIFIED: &str = "from memory, not verified";

/// One such law: they share inputs, mark and limits.
const fn law(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    source: &'static str,
    eval: fn(&[f64]) -> f64,
) -> Law {
    Law {
        name,
        title,
        formula,
        inputs: PASS,
        gives: "width after",
        unit: "mm",
        validity: "hot steel, plain rolls; to compare with, not to rely on",
        source,
        mark: Mark::Memory,
        eval,
    }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    law(
        "rolls-el-kalay-sparling",
        "width after a flat pass, El-Kalay and Sparling, light scale, smooth rolls",
        "w1 = w0 (h0/h1)^S, S = 0.851 exp(-1.766 (w0/h0)^0.643 (h0/R)^0.386 r^-0.104), r = dh/h0",
        "El-Kalay, Sparling, J. Iron Steel Inst. 1968: constants from memory, not verified",
        |i| el_kalay_sparling_width_mm(Pass::from_inputs(i), Surface::LightSmooth),
    ),
    law(
        "rolls-helmi-alexander",
        "width after a flat pass, Helmi and Alexander",
        "w1 = w0 (h0/h1)^S, S = 0.95 (h0/w0)^1.1 exp(-0.707 (w0/L) (h0/w0)^0.971), L = sqrt(R dh)",
        "A. Helmi, J. M. Alexander, J. Iron Steel Inst. 206 (1968) 1110-1117: constants from memory, not verified",
        |i| helmi_alexander_width_mm(Pass::from_inputs(i)),
    ),
    law(
        "rolls-beese",
        "width after a flat pass, Beese",
        "w1 = w0 (h0/h1)^S, S = 0.61 (h0/w0)^1.3 exp(-0.32 h0/L), L = sqrt(R dh)",
        UNVERIFIED,
        |i| beese_width_mm(Pass::from_inputs(i)),
    ),
    law(
        "rolls-shibahara",
        "width after a flat pass, Shibahara",
        "w1 = w0 (h0/h1)^S, S = exp(-1.64 m^0.376 (w0/L)^(0.016 m) (h0/R)^(0.015 m)), m = w0/h0, L = sqrt(R dh)",
        UNVERIFIED,
        |i| shibahara_width_mm(Pass::from_inputs(i)),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::rolls::passes::FLAT;

    // Computed: the four surfaces keep an order that can be checked; the plausibility table is in `rolls`.
    #[test]
    fn rough_rolls_spread_more_than_smooth_under_heavy_scale_computed() {
        let width = |surface| el_kalay_sparling_width_mm(FLAT, surface);
        assert!(width(Surface::HeavyRough) > width(Surface::HeavySmooth));
        assert!(width(Surface::LightRough) > width(Surface::LightSmooth));
        assert!(width(Surface::HeavySmooth) < width(Surface::LightSmooth) + 0.5);
    }
}
