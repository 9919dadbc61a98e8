//! How thick a bar hardens through: Grossmann's ideal diameter by the factors of ASTM A255 (through a table of them
//! written out). Grain size 7 is fixed.

use crate::steel::grades::composition::Composition;

fn carbon_factor(c: f64) -> f64 {
    if c <= 0.39 {
        0.54 * c
    } else if c <= 0.55 {
        0.171 + c * (0.001 + 0.265 * c)
    } else if c <= 0.65 {
        0.115 + c * (0.268 - 0.038 * c)
    } else if c <= 0.75 {
        0.143 + 0.2 * c
    } else {
        0.062 + c * (0.409 - 0.135 * c)
    }
}

fn manganese_factor(mn: f64) -> f64 {
    if mn <= 1.20 { 3.3333 * mn + 1.0 } else { 5.10 * mn - 1.12 }
}

fn nickel_factor(ni: f64) -> f64 {
    if ni <= 1.5 { 1.0 + 0.363 * ni } else { 0.3211 + ni * (1.4501 + ni * (-0.6119 + ni * 0.1253)) }
}

/// Ideal critical diameter, mm; `copper` and `zirconium` in %.
///
/// `None` outside the factors: carbon above 0.90, manganese above 1.95, nickel above 3.5 %, or anything negative.
pub(crate) fn ideal_diameter_mm(s: &Composition, copper: f64, zirconium: f64) -> Option<f64> {
    let all = [s.c, s.mn, s.si, s.cr, s.ni, s.v, s.mo, copper, zirconium];
    let known = all.iter().all(|x| *x >= 0.0) && s.c <= 0.90 && s.mn <= 1.95 && s.ni <= 3.5;
    let inches = carbon_factor(s.c)
        * manganese_factor(s.mn)
        * (1.0 + 0.7 * s.si)
        * nickel_factor(s.ni)
        * (1.0 + 2.16 * s.cr)
        * (1.0 + 3.0 * s.mo)
        * (1.0 + 0.365 * copper)
        * (1.0 + 1.73 * s.v)
        * (1.0 + 2.5 * zirconium);
    known.then_some(25.4 * inches)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{some_within, within};

    #[test]
    fn blade_steels_computed() {
        // Reference, section 5.3, inches. It does not state 80CrV2's composition: 0.80 C, 0.40 Mn, 0.30 Si,
        // 0.55 Cr, 0.20 V gives its figure.
        let plain = Composition::plain;
        let steels = [
            (plain(0.45, 0.75, 0.25), 0.926),
            (plain(0.75, 0.55, 0.25), 0.975),
            (plain(0.84, 0.75, 0.25), 1.276),
            (Composition { cr: 0.80, ..plain(0.60, 0.88, 0.25) }, 3.305),
            (Composition { cr: 0.55, v: 0.20, ..plain(0.80, 0.40, 0.30) }, 2.518),
            (Composition { ni: 2.0, cr: 0.1, ..plain(0.75, 0.40, 0.25) }, 1.735),
        ];
        for (s, inches) in steels {
            some_within(ideal_diameter_mm(&s, 0.0, 0.0).map(|d| d / 25.4), inches, 6e-4);
        }
        assert_eq!(ideal_diameter_mm(&plain(0.95, 0.4, 0.25), 0.0, 0.0), None);
        assert_eq!(ideal_diameter_mm(&plain(0.5, f64::NAN, 0.25), 0.0, 0.0), None);
    }

    #[test]
    fn factors_join_computed() {
        // The parts of each factor meet within about 1 %, as a curve cut into parts should.
        for c in [0.39, 0.55, 0.65, 0.75] {
            within(carbon_factor(c), carbon_factor(c + 1e-9), 3e-3);
        }
        within(manganese_factor(1.2), manganese_factor(1.2 + 1e-9), 2e-3);
        within(nickel_factor(1.5), nickel_factor(1.5 + 1e-9), 3e-3);
    }
}
