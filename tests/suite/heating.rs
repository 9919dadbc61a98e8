//! Heating through against finite differences in two dimensions: `tests/oracle/heating.csv`, made by `tests/oracle/heating_fd.py`.

use crate::common::figures;
use heatbook::steel::laws::heating::{Through, middle_c};

/// How far the closed form may be off the table (metal.md); the worst are 14 % under and 4 % over.
const BAND: f64 = 0.15;
/// Within this of the heat asked for, a middle counts as through, C (metal.md).
const THROUGH: f64 = 25.0;

#[test]
fn heating_agrees_with_finite_differences() {
    let (mut looked, mut worst) = (0, [0.0f64; 2]);
    let table = include_str!("../oracle/heating.csv");
    for (row, [thick, wide, start, fire, at, minutes, middle]) in figures(table, 1) {
        looked += 1;
        if middle.is_finite() {
            let got = middle_c(fire, start, minutes, [thick, wide]);
            assert!((got - middle).abs() <= 60.0, "{row}: {got}");
            continue;
        }
        let got = Through::of(fire, start, at - THROUGH).minutes([thick, wide]);
        let off = got / minutes - 1.0;
        assert!(off.abs() <= BAND, "{row}: {got:.3}");
        worst = [worst[0].min(off), worst[1].max(off)];
    }
    assert_eq!(looked, 203);
    println!("{worst:?}");
}
