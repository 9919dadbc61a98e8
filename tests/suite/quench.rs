//! How a bar cools in a bath against finite differences over its section: `tests/oracle/quench.csv`, made by
//! `tests/oracle/quench_fd.py`.

use crate::common::figures;
use heatbook::steel::laws::quench::{Depth, about_rounds_mm, ideal_round_mm};

/// How far the closed form may be off, that growth goes by.
const ABOUT: f64 = 0.10;
/// How far the series may be off the table: both solve one equation, the table with cells.
const BAND: f64 = 0.01;

#[test]
fn quenched_bars_cool_as_finite_differences_have_it() {
    let mut looked = 0;
    for (row, [thick, wide, severity, at_face, inside]) in figures(include_str!("../oracle/quench.csv"), 1) {
        looked += 1;
        for (about, round) in about_rounds_mm([thick, wide], severity).into_iter().zip([at_face, inside]) {
            assert!((about / round - 1.0).abs() <= ABOUT, "{row}: {about:.3}");
        }
        for (depth, round) in [(Depth::Surface, at_face), (Depth::Middle, inside)] {
            let got = ideal_round_mm([thick, wide], severity, depth);
            assert!((got / round - 1.0).abs() <= BAND, "{row}: {depth:?} {got:.3}");
        }
    }
    assert_eq!(looked, 84);
}
