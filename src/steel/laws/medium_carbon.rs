//! Measured flow stress of a medium-carbon alloy steel.
//!
//! 0.30C-0.89Mn-1.86Cr-0.68Ni-0.52Mo-0.34Si, hot compression; read in the data file of Metals 2023, 13(3), 633 (doi
//! 10.3390/met13030633; github pantale/mdpi-metals-2023, commit e9153fdd), at strain 0.3.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::table::Table;

/// Flow stress in MPa at strain 0.3, as measured.
pub const MEASURED: Table = Table {
    temps_c: &[1050.0, 1100.0, 1150.0, 1200.0, 1250.0],
    rates_per_s: &[0.01, 0.1, 1.0, 5.0],
    rows_mpa: &[
        &[57.8, 87.2, 113.6, 137.2],
        &[45.0, 71.0, 96.7, 118.6],
        &[36.0, 57.4, 82.4, 100.9],
        &[27.9, 48.2, 69.6, 86.6],
        &[20.9, 39.9, 60.0, 73.7],
    ],
};

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "flow-stress-alloyed-measured",
    title: "measured flow stress of a 0.30 % carbon Cr-Ni-Mo steel at strain 0.3",
    formula: "a table, straight between temperatures and logarithms of the rate",
    inputs: &[
        must("at", "C", "temperature", 1050.0, 1250.0),
        must("rate", "1/s", "rate of strain", 0.01, 5.0),
    ],
    gives: "flow stress",
    unit: "MPa",
    validity: "1050-1250 C, 0.01-5 /s, strain 0.3; nothing outside",
    source: "data of Metals 2023, 13(3), 633, doi 10.3390/met13030633",
    mark: Mark::Read,
    eval: |i| MEASURED.at_mpa(at(i, 0), at(i, 1)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::near;

    // Metals 2023, 13(3), 633, its data file: two corners and an inner entry.
    #[test]
    fn entries_as_measured() {
        near(MEASURED.at_mpa(1050.0, 0.01), 57.8, 1e-12);
        near(MEASURED.at_mpa(1100.0, 1.0), 96.7, 1e-12);
        near(MEASURED.at_mpa(1250.0, 5.0), 73.7, 1e-12);
    }
}
