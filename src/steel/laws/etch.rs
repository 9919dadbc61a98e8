//! How bright a steel stands out once a pattern is etched.
//!
//! The directions are common practice: nickel resists the acid and stays bright, chromium less so, manganese and carbon go dark. The
//! figures are the project's: they set greys apart for a picture, and foretell no acid.

use crate::steel::Composition;

/// Brightness, 0 to 1, of plain iron.
const PLAIN: f64 = 0.63;
/// Brightness that a per cent of each adds, up to so many per cent of it.
const NICKEL: (f64, f64) = (0.22, 3.0);
const CHROMIUM: (f64, f64) = (0.10, 5.0);
const MANGANESE: (f64, f64) = (-0.30, 2.0);
const CARBON: (f64, f64) = (-0.25, 2.0);
/// The darkest and the brightest.
const ENDS: (f64, f64) = (0.06, 0.94);
/// Steels closer than this are hard to tell apart.
const ALIKE: f64 = 0.1;

/// Whether an eye would hardly part two steels in an etched pattern: by what stays where it is, as carbon evens out between them.
#[must_use]
pub fn alike(one: &Composition, other: &Composition) -> bool {
    let [one, other] = [one, other].map(|of| shade(of, 0.0));
    (one - other).abs() < ALIKE
}

/// Brightness under etch, 0 dark to 1 bright, of a steel as it is sold.
#[must_use]
pub fn brightness(of: &Composition) -> f64 {
    shade(of, of.c)
}

/// The same with other carbon, %: what the fire has left.
#[must_use]
pub fn shade(of: &Composition, carbon: f64) -> f64 {
    let adds = |(each, most): (f64, f64), percent: f64| each * percent.min(most);
    let metals = adds(NICKEL, of.ni) + adds(CHROMIUM, of.cr) + adds(MANGANESE, of.mn);
    (PLAIN + metals + adds(CARBON, carbon)).clamp(ENDS.0, ENDS.1)
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

    #[test]
    fn carbon_goes_dark_and_does_not_part_steels_for_good() {
        let tone = |name: &str| brightness(&crate::steel::grades::find(name).unwrap().composition);
        // A mild jacket stays brighter than the core that it covers.
        assert!(tone("1018") > tone("1095") && tone("1018") < tone("15N20"));
        let lean = Composition { c: 0.1, ..Composition::default() };
        let rich = Composition { c: 1.1, ..lean };
        assert!(brightness(&rich) < brightness(&lean) - ALIKE && alike(&lean, &rich));
    }
}
