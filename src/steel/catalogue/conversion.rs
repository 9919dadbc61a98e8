//! One hardness scale in another: ASTM E140, table 1, for steel that is not austenitic.
//!
//! The table is `hardness_conversion.csv` beside this file: HRC 20 to 68, seen on public charts (carrier); its Knoop
//! column is from memory and not read. Between rows a straight line is drawn. Brinell above 650 is past its recommended range.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::steel::csv_table;

/// One row of the table: the columns that a law asks for.
#[derive(Clone, Debug, Deserialize)]
struct Row {
    /// Rockwell C.
    hrc: f64,
    /// Vickers.
    hv: f64,
    /// Brinell with a hard-metal ball; `None` where the table has none.
    hbw: Option<f64>,
}

/// Every row, hardest first.
fn rows() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| csv_table::read(include_str!("hardness_conversion.csv")))
}

/// A straight line between the two rows that `x` lies between; `None` outside the table.
fn between(x: f64, from: fn(&Row) -> Option<f64>, to: fn(&Row) -> Option<f64>) -> Option<f64> {
    let points = || rows().iter().filter_map(|r| Some((from(r)?, to(r)?)));
    let (x0, y0) = points().find(|p| p.0 <= x)?;
    let (x1, y1) = points().take_while(|p| p.0 >= x).last()?;
    if x1 == x0 {
        return Some(y0);
    }
    Some(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
}

/// Vickers hardness of `hrc`; `None` outside HRC 20 to 68.
pub(crate) fn hv_of_hrc(hrc: f64) -> Option<f64> {
    between(hrc, |r| Some(r.hrc), |r| Some(r.hv))
}

/// Brinell hardness of `hrc`; `None` outside HRC 20 to 65.
pub(crate) fn hbw_of_hrc(hrc: f64) -> Option<f64> {
    between(hrc, |r| Some(r.hrc), |r| r.hbw)
}

/// Rockwell C hardness of `hv`; `None` outside HV 238 to 940.
pub(crate) fn hrc_of_hv(hv: f64) -> Option<f64> {
    between(hv, |r| Some(r.hv), |r| Some(r.hrc))
}

/// Rockwell C hardness of `hbw`; `None` outside HBW 226 to 739.
pub(crate) fn hrc_of_hbw(hbw: f64) -> Option<f64> {
    between(hbw, |r| r.hbw, |r| Some(r.hrc))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::some_within;

    #[test]
    fn every_row_is_read() {
        // HRC 68 to 20: 49 rows in the reference, section 5.6.
        assert_eq!(rows().len(), 49);
        for (row, hrc) in rows().iter().zip((20..=68).rev()) {
            assert_eq!(row.hrc, f64::from(hrc));
        }
        let falls = |get: fn(&Row) -> f64| rows().is_sorted_by(|a, b| get(a) > get(b));
        assert!(falls(|r| r.hv));
        assert!(falls(|r| r.hbw.unwrap_or(2000.0 + r.hrc)));
    }

    #[test]
    fn spot_rows() {
        // ASTM E140 as listed in the reference, section 5.6: HRC, HV, HBW.
        for (hrc, hv, hbw) in [
            (65.0, 832.0, 739.0),
            (60.0, 697.0, 654.0),
            (55.0, 595.0, 560.0),
            (50.0, 513.0, 481.0),
            (45.0, 446.0, 421.0),
            (40.0, 392.0, 371.0),
            (30.0, 302.0, 286.0),
            (20.0, 238.0, 226.0),
        ] {
            some_within(hv_of_hrc(hrc), hv, 1e-9);
            some_within(hbw_of_hrc(hrc), hbw, 1e-9);
            some_within(hrc_of_hv(hv), hrc, 1e-9);
            some_within(hrc_of_hbw(hbw), hrc, 1e-9);
        }
        // A table that goes about with HBW 613 at HRC 60 is wrong.
        assert!(hbw_of_hrc(60.0).is_some_and(|b| (b - 613.0).abs() > 30.0));
    }

    #[test]
    fn between_and_beyond() {
        some_within(hv_of_hrc(60.5), 708.5, 1e-9);
        some_within(hrc_of_hv(708.5), 60.5, 1e-9);
        for outside in [19.9, 68.1, f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(hv_of_hrc(outside), None);
        }
        assert_eq!(hbw_of_hrc(66.0), None);
    }
}
