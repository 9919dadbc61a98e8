//! How bright a steel stands out once a pattern is etched.
//!
//! The directions are common practice: nickel resists the acid and stays bright, chromium less so, manganese goes dark. The
//! figures are the project's: they set greys apart for a picture, and foretell no acid.

use crate::steel::Composition;

/// Brightness, 0 to 1, of a steel of no nickel, manganese or chromium.
const PLAIN: f64 = 0.42;
/// Brightness that a per cent of each adds, up to so many per cent of it.
const NICKEL: (f64, f64) = (0.22, 3.0);
const CHROMIUM: (f64, f64) = (0.10, 5.0);
const MANGANESE: (f64, f64) = (-0.30, 2.0);
/// The darkest and the brightest.
const ENDS: (f64, f64) = (0.06, 0.94);
/// Steels closer than this are hard to tell apart.
const ALIKE: f64 = 0.1;

/// Whether an eye would hardly part two steels in an etched pattern.
#[must_use]
pub fn alike(one: &Composition, other: &Composition) -> bool {
    (brightness(one) - brightness(other)).abs() < ALIKE
}

/// Brightness under etch, 0 dark to 1 bright.
#[must_use]
pub fn brightness(of: &Composition) -> f64 {
    let adds = |(each, most): (f64, f64), percent: f64| each * percent.min(most);
    let all = PLAIN + adds(NICKEL, of.ni) + adds(CHROMIUM, of.cr) + adds(MANGANESE, of.mn);
    all.clamp(ENDS.0, ENDS.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nickel_stays_bright_and_manganese_goes_dark() {
        let tone = |name: &str| brightness(&crate::steel::grades::find(name).unwrap().composition);
        assert!(tone("15N20") > tone("1095") + ALIKE && tone("1095") > tone("1084"));
        assert!(tone("1084") < 0.3 && tone("15N20") > 0.6);
    }
}
