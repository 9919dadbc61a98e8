//! A pass between plain rolls, and the law of spread that a run leans on; nine more are in the catalogue.

pub(crate) mod wusatowski;

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
    pub(crate) fn draft_mm(self) -> f64 {
        self.before_mm - self.after_mm
    }

    /// Length of the arc of contact, mm: `sqrt(R dh)`. NaN for a pass that thickens.
    #[must_use]
    pub(crate) fn contact_mm(self) -> f64 {
        (self.radius_mm * self.draft_mm()).sqrt()
    }

    /// Width after, mm, with spread coefficient `s`. NaN for a pass that thickens.
    #[must_use]
    pub(crate) fn width_with_mm(self, s: f64) -> f64 {
        if self.draft_mm() < 0.0 {
            return f64::NAN;
        }
        self.width_mm * (self.before_mm / self.after_mm).powf(s)
    }
}
