//! Hardness straight from the quench, by carbon.
//!
//! ASTM A255's curve for steel that is all martensite holds from 0.10 to 0.69 % C (through a table of its factors
//! written out) and falls off beyond; above that hardness is flat at 66, plus or minus 1, as measured rows show.
//! At low carbon expect 5 points either way, since a section seldom turns to martensite throughout.

/// Hardness above 0.69 % C, HRC: a flat line through measured rows (project figure, plus or minus 1).
pub(crate) const FLAT_HRC: f64 = 66.0;

/// Hardness as quenched, HRC, of steel that is all martensite; `None` under 0.10 % C, where no source reaches.
pub(crate) fn as_quenched_hrc(carbon_percent: f64) -> Option<f64> {
    let c = carbon_percent;
    if c.is_nan() || c < 0.10 {
        None
    } else if c <= 0.69 {
        Some(33.087 + c * (50.723 + c * (33.662 + c * (-2.7048 + c * (-107.02 + c * 43.523)))))
    } else {
        Some(FLAT_HRC)
    }
}

/// Half martensite above 0.69 % C, HRC, plus or minus 1 (from memory).
const HALF_RICH_HRC: f64 = 54.0;

/// Hardness of a steel that is half martensite, HRC: a table of ASTM A255 fitted in a code (through it), 0.10 to 0.69 % C.
pub(crate) fn half_martensite_hrc(carbon_percent: f64) -> f64 {
    let c = carbon_percent;
    if c > 0.69 {
        return HALF_RICH_HRC;
    }
    let c = c.max(0.10);
    22.974 + c * (6.214 + c * (356.364 + c * (-1091.488 + c * (1464.880 - c * 750.441))))
}

/// Hardness of what did not turn to martensite in a quench, HRC: fine pearlite. About 20 at 0.4 % C, 28 at 0.6, 39 from 0.8 on,
/// 4 either way: tables of a steelmaker's handbook, from memory.
pub(crate) fn unhardened_hrc(carbon_percent: f64) -> f64 {
    let c = carbon_percent;
    if c < 0.6 { 20.0 + 40.0 * (c - 0.4) } else { 28.0 + 55.0 * (c.min(0.8) - 0.6) }
}

/// Ratios of hardness along an end-quenched bar, ASTM A255 as polynomials in the ideal diameter, mm (through a table of them
/// written out): mm from the end, the coefficients, and the diameter from which on the ratio is held.
const RATIOS: [(f64, [f64; 6], f64); 9] = [
    (3.0, [0.170547, 0.173925, -0.0109281, 3.13863e-4, -4.32086e-6, 2.31674e-8], 52.0),
    (5.0, [3.03987, -0.0855161, 1.38048e-3, -9.98717e-6, 2.64963e-8, 5.46044e-12], 104.0),
    (7.0, [4.32366, -0.134451, 2.28151e-3, -1.96250e-5, 8.35338e-8, -1.38456e-10], 129.0),
    (9.0, [4.46324, -0.0992003, 1.19387e-3, -7.40686e-6, 2.26087e-8, -2.46815e-11], 138.0),
    (11.0, [4.40915, -0.0792024, 6.74319e-4, -1.97223e-6, -3.21758e-9, 2.08025e-11], 156.0),
    (15.0, [5.01595, -0.0957696, 9.56240e-4, -4.62213e-6, 8.92787e-9, -8.74859e-13], 168.0),
    (20.0, [5.51133, -0.104310, 1.15299e-3, -7.51801e-6, 2.75126e-8, -4.3110e-11], 177.0),
    (30.0, [7.16001, -0.171328, 2.42820e-3, -1.91259e-5, 7.67320e-8, -1.21571e-10], 177.0),
    (50.0, [8.10202, -0.171039, 2.12643e-3, -1.52754e-5, 5.78179e-8, -8.79890e-11], 177.0),
];
/// The least ideal diameter of those ratios, mm.
const LEAST_DIAMETER: f64 = 15.0;

/// How many times softer than its end an end-quenched bar is, so many mm from it; at 1.5 mm and under it is 1.
pub(crate) fn end_quench_ratio(ideal_diameter_mm: f64, from_end_mm: f64) -> f64 {
    let mut before = (1.5, 1.0);
    for (mm, factors, held) in RATIOS {
        let d = ideal_diameter_mm.clamp(LEAST_DIAMETER, held);
        let ratio = factors.iter().rev().fold(0.0, |sum, factor| sum * d + factor).max(before.1);
        if from_end_mm <= mm {
            let (from, low) = before;
            return low + (ratio - low) * ((from_end_mm - from) / (mm - from)).max(0.0);
        }
        before = (mm, ratio);
    }
    before.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{some_within, within};

    #[test]
    fn half_martensite_and_ratios() {
        // ASTM A255, table 7, through a code: whole HRC. Computed from the fit: 0.40 % 42.4, 0.50 46.8, 0.60 50.7.
        for (c, hrc) in
            [(0.10, 26.0), (0.20, 32.0), (0.30, 37.0), (0.40, 43.0), (0.50, 47.0), (0.60, 51.0), (0.69, 53.0)]
        {
            within(half_martensite_hrc(c), hrc, 1.0);
        }
        // The reference, 3.4, computed.
        for (d, mm, ratio) in [
            (25.4, 3.0, 1.128),
            (25.4, 9.0, 2.602),
            (25.4, 20.0, 3.494),
            (50.8, 5.0, 1.127),
            (50.8, 20.0, 2.371),
        ] {
            within(end_quench_ratio(d, mm), ratio, 0.02);
        }
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
        assert_eq!(as_quenched_hrc(0.05), None);
        assert_eq!(as_quenched_hrc(f64::NAN), None);
    }
}
