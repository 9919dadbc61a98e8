//! Hardness straight from the quench, by carbon.
//!
//! ASTM A255's curve for steel that is all martensite holds from 0.10 to 0.69 % C (through a table of its factors
//! written out) and falls off beyond; above that hardness is flat at 66, plus or minus 1, as measured rows show.
//! At low carbon expect 5 points either way, since a section seldom turns to martensite throughout.

use crate::steel::catalogue::inputs::{at, carbon, composition, eight, must};
use crate::steel::catalogue::law::{Input, Law, Mark};
use crate::steel::grades::composition::Composition;

/// Hardness above 0.69 % C, HRC: a flat line through measured rows (project figure, plus or minus 1).
pub const FLAT_HRC: f64 = 66.0;

/// Hardness as quenched, HRC, of steel that is all martensite; `None` under 0.10 % C, where no source reaches.
pub fn as_quenched_hrc(carbon_percent: f64) -> Option<f64> {
    let c = carbon_percent;
    if c.is_nan() || c < 0.10 {
        None
    } else if c <= 0.69 {
        Some(33.087 + c * (50.723 + c * (33.662 + c * (-2.7048 + c * (-107.02 + c * 43.523)))))
    } else {
        Some(FLAT_HRC)
    }
}

/// Hardness as quenched, HV, at a cooling rate in C/h: Maynier's equation (Li 1998, eq. 27; read). Overshoots above
/// about 0.5 % C.
pub fn maynier_hv(s: &Composition, rate_c_h: f64) -> f64 {
    127.0 + 949.0 * s.c + 27.0 * s.si + 11.0 * s.mn + 8.0 * s.ni + 16.0 * s.cr + 21.0 * rate_c_h.log10()
}

const MAYNIER_INPUTS: &[Input] = &{
    let [c, mn, si, cr, ni, v, w, mo] = eight(0.05, 0.5);
    let rate = must("rate", "", "cooling rate in C an hour", 1.0, 1e7);
    [c, mn, si, cr, ni, v, w, mo, rate]
};

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "hardness-as-quenched",
        title: "hardness of martensite straight from the quench",
        formula: "33.087 + 50.723C + 33.662C^2 - 2.7048C^3 - 107.02C^4 + 43.523C^5 to 0.69 % C; 66 above",
        inputs: &[carbon(0.10, 1.2)],
        gives: "hardness",
        unit: "HRC",
        validity: "all martensite, 0.10 % C and more; 5 points either way at low carbon, 1 above 0.7 %",
        source: "ASTM A255, through a table of its factors; the flat part is a project figure from measured rows",
        mark: Mark::Carrier,
        eval: |x| as_quenched_hrc(at(x, 0)).unwrap_or(f64::NAN),
    },
    Law {
        name: "hardness-maynier",
        title: "hardness of martensite by cooling rate",
        formula: "127 + 949C + 27Si + 11Mn + 8Ni + 16Cr + 21 log10(rate), in HV",
        inputs: MAYNIER_INPUTS,
        gives: "hardness in HV",
        unit: "",
        validity: "up to about 0.5 % C: it overshoots above",
        source: "Maynier, as Li and others, Metall. Mater. Trans. B 29 (1998) 661, eq. 27",
        mark: Mark::Read,
        eval: |x| maynier_hv(&composition(x), at(x, 8)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{some_within, within};

    #[test]
    fn curve_computed() {
        // Reference, section 5.4.
        for (c, hrc) in [
            (0.10, 38.48),
            (0.20, 44.40),
            (0.30, 50.50),
            (0.40, 56.29),
            (0.50, 61.20),
            (0.60, 64.57),
            (0.69, 65.77),
        ] {
            some_within(as_quenched_hrc(c), hrc, 6e-3);
        }
        some_within(as_quenched_hrc(0.31), 51.1, 0.06);
        some_within(as_quenched_hrc(0.56), 63.4, 0.06);
        assert_eq!(as_quenched_hrc(0.05), None);
        assert_eq!(as_quenched_hrc(f64::NAN), None);
    }

    #[test]
    fn measured_rows() {
        // Hollomon and Jaffe 1945 as quenched, through an open data set: within 5 HRC at low carbon, 2 above.
        for (c, hrc, tolerance) in [
            (0.31, 46.5, 5.0),
            (0.56, 63.0, 1.0),
            (0.74, 66.5, 1.0),
            (0.89, 67.0, 1.0),
            (0.98, 66.5, 1.0),
            (1.15, 64.5, 2.0),
        ] {
            some_within(as_quenched_hrc(c), hrc, tolerance);
        }
    }

    #[test]
    fn maynier_computed() {
        let s = Composition::plain(0.4, 0.75, 0.25);
        // 127 + 379.6 + 6.75 + 8.25 + 21 x 5.
        within(maynier_hv(&s, 1e5), 626.6, 1e-9);
    }
}
