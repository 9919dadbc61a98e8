//! Spread in flat rolling: ten published laws of one and the same pass.
//!
//! They differ by about a third of the width gained; that is the honest doubt of any one of them.

pub mod ekelund;
pub mod hill;
pub mod marini;
pub mod memory;
pub mod roux;
pub mod sparling;
pub mod wusatowski;

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Input, Law};

/// One pass between plain rolls. All lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Width before.
    pub width_mm: f64,
    /// Thickness before.
    pub before_mm: f64,
    /// Thickness after.
    pub after_mm: f64,
    /// Radius of the rolls.
    pub radius_mm: f64,
}

impl Pass {
    /// Thickness lost, mm.
    #[must_use]
    pub fn draft_mm(self) -> f64 {
        self.before_mm - self.after_mm
    }

    /// Length of the arc of contact, mm: `sqrt(R dh)`. NaN for a pass that thickens.
    #[must_use]
    pub fn contact_mm(self) -> f64 {
        (self.radius_mm * self.draft_mm()).sqrt()
    }

    /// Width after, mm, with spread coefficient `s`. NaN for a pass that thickens.
    #[must_use]
    pub fn width_with_mm(self, s: f64) -> f64 {
        if self.draft_mm() < 0.0 {
            return f64::NAN;
        }
        self.width_mm * (self.before_mm / self.after_mm).powf(s)
    }

    fn from_inputs(inputs: &[f64]) -> Self {
        Self {
            width_mm: at(inputs, 0),
            before_mm: at(inputs, 1),
            after_mm: at(inputs, 2),
            radius_mm: at(inputs, 3),
        }
    }
}

const WIDTH: Input = must("width", "mm", "width before", 1.0, 2000.0);
const BEFORE: Input = must("thickness", "mm", "thickness before", 0.5, 500.0);
const AFTER: Input = must("to", "mm", "thickness after", 0.25, 500.0);
const RADIUS: Input = must("radius", "mm", "radius of the rolls", 10.0, 1000.0);
/// The inputs that every law of a pass takes, in the order of [`Pass`].
const PASS: &[Input] = &[WIDTH, BEFORE, AFTER, RADIUS];

/// The laws of this folder.
pub const LAWS: &[&[Law]] =
    &[wusatowski::LAWS, sparling::LAWS, hill::LAWS, roux::LAWS, marini::LAWS, memory::LAWS, ekelund::LAWS];

/// The passes that the reference tabulates.
#[cfg(test)]
mod passes {
    use super::Pass;

    const fn pass(width_mm: f64, before_mm: f64, after_mm: f64, radius_mm: f64) -> Pass {
        Pass { width_mm, before_mm, after_mm, radius_mm }
    }

    pub(super) const FLAT: Pass = pass(50.0, 30.0, 25.0, 150.0);
    pub(super) const SQUARE: Pass = pass(50.0, 50.0, 40.0, 150.0);
    pub(super) const SMALL: Pass = pass(30.0, 30.0, 24.0, 75.0);
    pub(super) const WIDE: Pass = pass(100.0, 20.0, 14.0, 150.0);
    pub(super) const HEAVY: Pass = pass(40.0, 40.0, 18.0, 150.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;
    use passes::{FLAT, SQUARE};

    // Computed: the reference's plausibility table of ten laws on two passes.
    #[test]
    fn ten_laws_land_in_one_band_computed() {
        let friction = ekelund::friction(1100.0);
        let smooth = memory::Surface::LightSmooth;
        for (law, flat, square) in [
            (&wusatowski::width_mm as &dyn Fn(Pass) -> f64, 52.41, 53.94),
            (&roux::width_mm, 52.44, 53.94),
            (&|p| marini::width_mm(p, 0.35), 52.41, 53.38),
            (&hill::width_mm, 51.86, 53.01),
            (&sparling::width_mm, 51.75, 53.02),
            (&|p| ekelund::width_mm(p, friction), 52.32, 54.07),
            (&memory::helmi_alexander_width_mm, 52.30, 54.44),
            (&memory::beese_width_mm, 52.06, 54.71),
            (&|p| memory::el_kalay_sparling_width_mm(p, smooth), 51.61, 52.48),
            (&memory::shibahara_width_mm, 51.33, 52.26),
        ] {
            prints(law(FLAT), flat, 2);
            prints(law(SQUARE), square, 2);
        }
    }

    // Algebra: no draft, no spread, in every law; a pass that thickens is no pass.
    #[test]
    fn no_draft_no_spread() {
        let idle = Pass { after_mm: 30.0, ..FLAT };
        let backwards = Pass { after_mm: 31.0, ..FLAT };
        for law in [
            wusatowski::width_mm,
            roux::width_mm,
            hill::width_mm,
            sparling::width_mm,
            memory::shibahara_width_mm,
            memory::beese_width_mm,
            memory::helmi_alexander_width_mm,
        ] {
            assert!((law(idle) - 50.0).abs() < 1e-9, "{}", law(idle));
            assert!(law(backwards).is_nan());
        }
        assert!((marini::width_mm(idle, 0.35) - 50.0).abs() < 1e-9);
        assert!(marini::width_mm(backwards, 0.35).is_nan());
        assert!(ekelund::width_mm(backwards, 0.5).is_nan());
    }
}
