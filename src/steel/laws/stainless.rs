//! Flow stress of hot austenitic stainless steel, AISI 304: measured table, and the paper's own law.
//!
//! Obiko et al., "Hot workability behaviour of AISI304 stainless steel", doi 10.1007/s12008-025-02436-x, table 3
//! (0.01C-18.4Cr-8.3Ni, saturation stress), read. The law overshoots the table (the paper reports 15 % mean error):
//! take the table where it reaches.

use crate::steel::constants::{GAS_ROUNDED, KELVIN};
use crate::steel::laws::table::Table;

/// Saturation stress in MPa, as measured.
pub(crate) const MEASURED: Table = Table {
    temps_c: &[950.0, 1000.0, 1050.0],
    rates_per_s: &[0.1, 1.0, 10.0, 15.0],
    rows_mpa: &[
        &[136.74, 178.31, 215.25, 223.13],
        &[107.76, 146.23, 194.40, 200.81],
        &[78.42, 118.61, 150.82, 161.04],
    ],
};

/// Activation energy, J/mol. (A second paper on 304L has 392 kJ/mol, seen through a carrier.)
const ENERGY_J_PER_MOL: f64 = 467_400.0;

/// Saturation stress in MPa by the paper's law: temperature in C, rate in 1/s.
///
/// `A` is 1.865e18: the text prints the factor twice, a slip.
#[must_use]
pub(crate) fn sinh_law_mpa(temp_c: f64, rate_per_s: f64) -> f64 {
    let z = rate_per_s * (ENERGY_J_PER_MOL / (GAS_ROUNDED * (temp_c + KELVIN))).exp();
    (z / 1.865e18).powf(1.0 / 6.32).asinh() / 0.00685
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::near;

    // Obiko et al. report a mean error of 15 % of their law.
    #[test]
    fn law_misses_its_table_by_as_much_as_the_paper_says() {
        let (mut sum, mut count) = (0.0, 0.0);
        for (temp, row) in MEASURED.temps_c.iter().zip(MEASURED.rows_mpa) {
            for (rate, seen) in MEASURED.rates_per_s.iter().zip(*row) {
                sum += (sinh_law_mpa(*temp, *rate) / seen - 1.0).abs();
                count += 1.0;
            }
        }
        near(sum / count, 0.15, 0.02);
    }
}
