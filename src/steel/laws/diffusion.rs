//! How fast carbon moves in austenite.
//!
//! The two laws that know the carbon content (this one and Lee's, in the catalogue) agree within about 16 %.

use crate::steel::constants::{GAS, KELVIN};

/// `d0 exp(-q/(R T))`, m2/s, from m2/s and J/mol at `t_c` C.
pub(crate) fn arrhenius(d0_m2_s: f64, q_j_mol: f64, t_c: f64) -> f64 {
    d0_m2_s * (-q_j_mol / (GAS * (t_c + KELVIN))).exp()
}

/// Carbon, m2/s, by temperature and carbon content, %: Agren 1986, Scripta Metall. 20, 1507 (formula through a code,
/// citation from memory).
pub(crate) fn agren_m2_s(t_c: f64, carbon_percent: f64) -> f64 {
    let t = t_c + KELVIN;
    let (carbon, iron) = (carbon_percent / 12.011, (100.0 - carbon_percent) / 55.845);
    // Carbon atoms for each place between the iron atoms.
    let y = carbon / iron;
    4.53e-7 * (1.0 + y * (1.0 - y) * 8339.9 / t) * (-(1.0 / t - 2.221e-4) * (17767.0 - 26436.0 * y)).exp()
}
