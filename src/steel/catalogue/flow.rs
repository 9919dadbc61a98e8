//! Flow stress of hot steel after laws that no run leans on.

use crate::steel::constants::{KELVIN, MPA_PER_KGF_MM2};
use crate::steel::laws::hensel_spittel::Set;
use crate::steel::laws::table::Table;

const fn set(a: f64, m1: f64, m2_to_5: [f64; 4], m7: f64, m8: f64) -> Set {
    let [m2, m3, m4, m5] = m2_to_5;
    Set { a, m1, m2, m3, m4, m5, m7, m8 }
}

/// C15. Fitted for 820-1200 C, strain 0.04-1.5.
pub(crate) const C15: Set = set(2098.29, -0.00272, [0.22312, 0.0, -0.00003, 0.00028], -0.58508, 0.000137);
/// C20 or C22.
pub(crate) const C22: Set = set(3304.39, -0.00281, [0.34766, 0.0, 0.00002, -0.00130], 0.07632, 0.000148);
/// S355J2, a structural steel.
pub(crate) const S355J2: Set = set(2852.66, -0.00244, [0.41934, 0.0, 0.00088, -0.00149], 0.12169, 0.000127);
/// 11MnS30, a free-cutting steel.
pub(crate) const MNS30: Set = set(1473.43, -0.00239, [0.22924, 0.0, -0.00870, 0.00010], -0.44065, 0.000161);
/// 0.30 % carbon steel with chromium, nickel and molybdenum; 1050-1250 C, 0.001-5 /s, strain to 0.7. Read in Metals 2023,
/// 13(3), 633, where `m6` is our `m7` and `m7` our `m8`.
pub(crate) const ALLOYED_030C: Set =
    set(5954.0, -3.3576e-3, [0.2641, -0.0868, 2.2688e-4, -4.2163e-4], -0.0561, 2.264e-4);

/// The same kind of steel (0.30C-0.89Mn-1.86Cr-0.68Ni-0.52Mo-0.34Si) as measured, MPa at strain 0.3: the data file that goes
/// with that paper.
pub(crate) const MEDIUM_CARBON: Table = Table {
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

/// Mean flow stress in MPa of a rolling pass after Misaka and Yoshimoto 1967: carbon in % by mass, temperature in C, strain
/// a plain number, rate in 1/s. **From memory**: the formula was nowhere printed in what could be opened.
pub(crate) fn misaka_mpa(carbon_pct: f64, temp_c: f64, strain: f64, rate_per_s: f64) -> f64 {
    let c = carbon_pct;
    let heat = (2851.0 + 2968.0 * c - 1120.0 * c * c) / (temp_c + KELVIN);
    let kgf_mm2 = (0.126 - 1.75 * c + 0.594 * c * c + heat).exp() * strain.powf(0.21) * rate_per_s.powf(0.13);
    kgf_mm2 * MPA_PER_KGF_MM2
}

/// Static flow stress in MPa after Ekelund: temperature in C, contents in % by mass. **From memory**.
///
/// The alloy bracket was seen in an open program of hot rolling that has another
/// temperature factor, half as high again: the factor is not confirmed. It comes to nothing at 1400 C, so it is too low
/// above about 1200 C.
pub(crate) fn ekelund_mpa(temp_c: f64, carbon_pct: f64, manganese_pct: f64, chromium_pct: f64) -> f64 {
    let alloy = 1.4 + carbon_pct + manganese_pct + 0.3 * chromium_pct;
    (14.0 - 0.01 * temp_c) * alloy * MPA_PER_KGF_MM2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::flow_stress::shida_mpa;
    use crate::steel::laws::hensel_spittel::stress_mpa;
    use crate::steel::laws::stainless;
    use crate::steel::testing::prints;

    // Metals 2023, 13(3), 633: the fit against the paper's own measurements (its data file, strain 0.3).
    #[test]
    fn fit_against_measured_table() {
        let (mut sum, mut count) = (0.0, 0.0);
        for (temp, rates) in MEDIUM_CARBON.temps_c.iter().zip(MEDIUM_CARBON.rows_mpa) {
            for (rate, seen) in MEDIUM_CARBON.rates_per_s.iter().zip(*rates) {
                let off = (stress_mpa(&ALLOYED_030C, *temp, 0.3, *rate) / seen - 1.0).abs();
                assert!(off < 0.12, "{temp} C, {rate} /s: off by {off}");
                sum += off;
                count += 1.0;
            }
        }
        assert!(sum / count < 0.06, "mean error {}", sum / count);
    }

    // The reference: four laws of low-carbon steel within 11 % of 132 MPa.
    #[test]
    fn laws_agree() {
        for got in [
            shida_mpa(0.15, 1000.0, 0.3, 10.0),
            stress_mpa(&C15, 1000.0, 0.3, 10.0),
            stress_mpa(&C22, 1000.0, 0.3, 10.0),
            misaka_mpa(0.15, 1000.0, 0.3, 10.0),
        ] {
            assert!((got / 132.0 - 1.0).abs() < 0.11, "{got}");
        }
    }

    // The reference: the ratio of 304 to low-carbon steel at 1000 C, 1/s, strain 0.5.
    #[test]
    fn stainless_to_low_carbon() {
        let measured = stainless::MEASURED.at_mpa(1000.0, 1.0);
        prints(measured / shida_mpa(0.15, 1000.0, 0.5, 1.0), 1.29, 2);
        prints(measured / stress_mpa(&C15, 1000.0, 0.5, 1.0), 1.48, 2);
    }
}
