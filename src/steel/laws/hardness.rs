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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::some_within;

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
