//! Spread in flat rolling after Ekelund, an equation that has to be solved for the width.
//!
//! **From memory**, not verified. The friction line was seen in a program that calls itself Ekelund's (github
//! loksagergo/HotRollingCalculation, hotrolling.cpp).

use crate::quantity::halve;
use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::rolls::{AFTER, BEFORE, Pass, RADIUS, WIDTH};

/// Friction between steel rolls and hot steel at `temp_c` (seen through a carrier), plain number.
#[must_use]
pub fn friction(temp_c: f64) -> f64 {
    1.05 - 0.0005 * temp_c
}

/// Width after the pass, mm: `w1^2 - w0^2 = 8 m L dh - 4 m (h0+h1) L ln(w1/w0)`. NaN where it cannot be solved: a pass
/// that thickens, or friction too low for it.
#[must_use]
pub fn width_mm(pass: Pass, friction: f64) -> f64 {
    let contact = pass.contact_mm();
    let sum = pass.before_mm + pass.after_mm;
    let m = (1.6 * friction * contact - 1.2 * pass.draft_mm()) / sum;
    let push = 8.0 * m * contact * pass.draft_mm();
    if !(m >= 0.0 && push.is_finite() && pass.width_mm > 0.0) {
        return f64::NAN;
    }
    // Both terms grow with the width, so the root is the only one, and lies between no spread and no drag.
    let w0 = pass.width_mm;
    let over = |w: f64| w * w - w0 * w0 + 4.0 * m * sum * contact * (w / w0).ln() - push;
    let (high, low) = halve(((w0 * w0 + push).sqrt(), w0), 60, |w| over(w) > 0.0);
    0.5 * (low + high)
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "rolls-ekelund",
    title: "width after a flat pass, Ekelund",
    formula: "w1^2 - w0^2 = 8 m L dh - 4 m (h0+h1) L ln(w1/w0), m = (1.6 mu L - 1.2 dh)/(h0+h1), \
        L = sqrt(R dh), mu = 1.05 - 0.0005 T",
    inputs: &[WIDTH, BEFORE, AFTER, RADIUS, must("at", "C", "temperature of the bar", 800.0, 1250.0)],
    gives: "width after",
    unit: "mm",
    validity: "hot steel, steel rolls; solved by halving",
    source: "Ekelund's equation from memory, not verified; the friction line seen in github \
        loksagergo/HotRollingCalculation",
    mark: Mark::Memory,
    eval: |i| width_mm(Pass::from_inputs(i), friction(at(i, 4))),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};
    use crate::steel::laws::rolls::passes::{FLAT, SQUARE};

    // Computed: the reference's plausibility table at 1100 C, and the equation put back into itself.
    #[test]
    fn solves_its_own_equation_computed() {
        let mu = friction(1100.0);
        prints(mu, 0.5, 3);
        for (pass, width) in [(FLAT, 52.32), (SQUARE, 54.07)] {
            let w1 = width_mm(pass, mu);
            prints(w1, width, 2);
            let (l, sum) = (pass.contact_mm(), pass.before_mm + pass.after_mm);
            let m = (1.6 * mu * l - 1.2 * pass.draft_mm()) / sum;
            let right = 8.0 * m * l * pass.draft_mm() - 4.0 * m * sum * l * (w1 / pass.width_mm).ln();
            near(w1 * w1 - pass.width_mm * pass.width_mm, right, 1e-9);
        }
    }
}
