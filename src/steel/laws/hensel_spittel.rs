//! Flow stress after Hensel and Spittel: one equation, a set of coefficients for each steel.
//!
//! `s = A exp(m1 T) e^m2 rate^m3 exp(m4/e) (1 + e)^(m5 T) exp(m7 e) rate^(m8 T)`, T in C, s in MPa.
//! Sets: M. and T. Spittel, Landolt-Boernstein VIII/2C1, Springer 2009, seen through an open rolling library (github
//! pyroll-project/pyroll-freiberg-flow-stress, commit 2d444068, and publication-weiner-variation, f2157812). The last
//! set was read in Metals 2023, 13(3), 633, where `m6` is our `m7` and `m7` our `m8`.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Input, Law, Mark};

/// Coefficients of one steel; plain numbers, for T in C and rate in 1/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Set {
    /// Name of the steel.
    pub steel: &'static str,
    /// Leading factor, MPa.
    pub a: f64,
    /// Temperature, 1/C.
    pub m1: f64,
    /// Power of strain.
    pub m2: f64,
    /// Power of rate.
    pub m3: f64,
    /// Inverse strain.
    pub m4: f64,
    /// Strain with temperature, 1/C.
    pub m5: f64,
    /// Strain.
    pub m7: f64,
    /// Rate with temperature, 1/C.
    pub m8: f64,
}

/// C15. Fitted for 820-1200 C, strain 0.04-1.5.
pub const C15: Set = Set {
    steel: "C15",
    a: 2098.29,
    m1: -0.00272,
    m2: 0.22312,
    m3: 0.0,
    m4: -0.00003,
    m5: 0.00028,
    m7: -0.58508,
    m8: 0.000137,
};
/// C20 or C22.
pub const C22: Set = Set {
    steel: "C22",
    a: 3304.39,
    m1: -0.00281,
    m2: 0.34766,
    m3: 0.0,
    m4: 0.00002,
    m5: -0.00130,
    m7: 0.07632,
    m8: 0.000148,
};
/// C45.
pub const C45: Set = Set {
    steel: "C45",
    a: 3268.49,
    m1: -0.00267855,
    m2: 0.34446,
    m3: 0.0,
    m4: 0.000551814,
    m5: -0.00132042,
    m7: 0.0166334,
    m8: 0.000149907,
};
/// S355J2, a structural steel.
pub const S355J2: Set = Set {
    steel: "S355J2",
    a: 2852.66,
    m1: -0.00244,
    m2: 0.41934,
    m3: 0.0,
    m4: 0.00088,
    m5: -0.00149,
    m7: 0.12169,
    m8: 0.000127,
};
/// 11MnS30, a free-cutting steel.
pub const MNS30: Set = Set {
    steel: "11MnS30",
    a: 1473.43,
    m1: -0.00239,
    m2: 0.22924,
    m3: 0.0,
    m4: -0.00870,
    m5: 0.00010,
    m7: -0.44065,
    m8: 0.000161,
};
/// 0.30 % carbon steel with chromium, nickel and molybdenum; 1050-1250 C, 0.001-5 /s, strain to 0.7.
pub const ALLOYED_030C: Set = Set {
    steel: "0.30C-1.9Cr-0.7Ni-0.5Mo",
    a: 5954.0,
    m1: -3.3576e-3,
    m2: 0.2641,
    m3: -0.0868,
    m4: 2.2688e-4,
    m5: -4.2163e-4,
    m7: -0.0561,
    m8: 2.264e-4,
};

/// Flow stress in MPa: temperature in C, strain a plain number above 0, rate in 1/s. Extrapolates without a word.
#[must_use]
pub fn stress_mpa(set: &Set, temp_c: f64, strain: f64, rate_per_s: f64) -> f64 {
    // One exponential of the sum of logs: this is called in every press of every run.
    let (log_strain, log_rate) = (strain.ln(), rate_per_s.ln());
    let power = set.m1 * temp_c
        + set.m2 * log_strain
        + (set.m3 + set.m8 * temp_c) * log_rate
        + set.m4 / strain
        + set.m5 * temp_c * strain.ln_1p()
        + set.m7 * strain;
    set.a * power.exp()
}

const fn inputs(
    temp_low_c: f64,
    temp_high_c: f64,
    strain_high: f64,
    rate_low: f64,
    rate_high: f64,
) -> [Input; 3] {
    [
        must("at", "C", "temperature", temp_low_c, temp_high_c),
        must("strain", "", "log strain of the squeeze", 0.04, strain_high),
        must("rate", "1/s", "rate of strain", rate_low, rate_high),
    ]
}

const FORMULA: &str = "s = A exp(m1 T) e^m2 rate^m3 exp(m4/e) (1+e)^(m5 T) exp(m7 e) rate^(m8 T), T in C";

const fn spittel(
    name: &'static str,
    title: &'static str,
    source: &'static str,
    eval: fn(&[f64]) -> f64,
) -> Law {
    Law {
        name,
        title,
        formula: FORMULA,
        inputs: &const { inputs(820.0, 1200.0, 1.5, 0.1, 100.0) },
        gives: "flow stress",
        unit: "MPa",
        validity: "820-1200 C and strain 0.04-1.5 stated for C15, taken for its neighbours; rates 0.1-100 /s a project figure",
        source,
        mark: Mark::Carrier,
        eval,
    }
}

const SPITTEL: &str = "M. and T. Spittel, Landolt-Boernstein VIII/2C1, Springer 2009, seen through an open rolling \
    library (github pyroll-project/pyroll-freiberg-flow-stress, 2d444068)";

fn run(set: &Set, i: &[f64]) -> f64 {
    stress_mpa(set, at(i, 0), at(i, 1), at(i, 2))
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    spittel("flow-stress-c15", "flow stress of C15, Hensel and Spittel", SPITTEL, |i| run(&C15, i)),
    spittel("flow-stress-c22", "flow stress of C20 and C22, Hensel and Spittel", SPITTEL, |i| run(&C22, i)),
    spittel("flow-stress-c45", "flow stress of C45, Hensel and Spittel", SPITTEL, |i| run(&C45, i)),
    spittel("flow-stress-s355", "flow stress of S355J2, Hensel and Spittel", SPITTEL, |i| run(&S355J2, i)),
    spittel("flow-stress-11mns30", "flow stress of 11MnS30, Hensel and Spittel", SPITTEL, |i| run(&MNS30, i)),
    Law {
        name: "flow-stress-alloyed",
        title: "flow stress of a 0.30 % carbon Cr-Ni-Mo steel, Hensel and Spittel",
        formula: FORMULA,
        inputs: &const { inputs(1050.0, 1250.0, 0.7, 0.001, 5.0) },
        gives: "flow stress",
        unit: "MPa",
        validity: "1050-1250 C, 0.001-5 /s, strain to 0.7",
        source: "Metals 2023, 13(3), 633, doi 10.3390/met13030633",
        mark: Mark::Read,
        eval: |i| run(&ALLOYED_030C, i),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::prints;
    use crate::steel::laws::flow_stress::shida_mpa;
    use crate::steel::laws::medium_carbon::MEASURED;
    use crate::steel::laws::misaka::misaka_mpa;

    // Computed: the reference's table at strain 0.3.
    #[test]
    fn sets_computed() {
        let at = [
            (900.0, 1.0),
            (1000.0, 1.0),
            (1000.0, 10.0),
            (1100.0, 1.0),
            (1100.0, 10.0),
            (1200.0, 1.0),
            (1200.0, 100.0),
        ];
        for (set, row) in [
            (C15, [124.3, 95.4, 130.8, 73.2, 103.6, 56.2, 119.8]),
            (C22, [130.5, 95.2, 133.9, 69.5, 101.1, 50.7, 114.9]),
            (C45, [142.8, 105.6, 149.1, 78.0, 114.0, 57.6, 132.0]),
            (S355J2, [140.2, 105.6, 141.5, 79.6, 109.8, 59.9, 120.9]),
            (MNS30, [113.4, 89.5, 129.7, 70.7, 106.3, 55.8, 135.8]),
        ] {
            for ((temp, rate), want) in at.into_iter().zip(row) {
                prints(stress_mpa(&set, temp, 0.3, rate), want, 1);
            }
        }
        prints(stress_mpa(&ALLOYED_030C, 1100.0, 0.3, 1.0), 93.9, 1);
    }

    // Metals 2023, 13(3), 633: the fit against the paper's own measurements (its data file, strain 0.3).
    #[test]
    fn fit_against_measured_table() {
        let (mut sum, mut count) = (0.0, 0.0);
        for (temp, rates) in MEASURED.temps_c.iter().zip(MEASURED.rows_mpa) {
            for (rate, seen) in MEASURED.rates_per_s.iter().zip(*rates) {
                let off = (stress_mpa(&ALLOYED_030C, *temp, 0.3, *rate) / seen - 1.0).abs();
                assert!(off < 0.12, "{temp} C, {rate} /s: off by {off}");
                sum += off;
                count += 1.0;
            }
        }
        assert!(sum / count < 0.06, "mean error {}", sum / count);
    }

    // Computed: four laws of low-carbon steel within 11 % of 132 MPa, and three of them at 1100 C.
    #[test]
    fn laws_agree_computed() {
        for (got, want) in [
            (shida_mpa(0.15, 1000.0, 0.3, 10.0), 143.0),
            (stress_mpa(&C15, 1000.0, 0.3, 10.0), 130.8),
            (stress_mpa(&C22, 1000.0, 0.3, 10.0), 133.9),
            (misaka_mpa(0.15, 1000.0, 0.3, 10.0), 118.6),
        ] {
            prints(got, want, 1);
            assert!((got / 132.0 - 1.0).abs() < 0.11);
        }
        prints(misaka_mpa(0.15, 1100.0, 0.3, 1.0), 72.9, 1);
    }
}
