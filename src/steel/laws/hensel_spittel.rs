//! Flow stress after Hensel and Spittel: one equation, a set of coefficients for each steel.
//!
//! `s = A exp(m1 T) e^m2 rate^m3 exp(m4/e) (1 + e)^(m5 T) exp(m7 e) rate^(m8 T)`, T in C, s in MPa.
//! Sets: M. and T. Spittel, Landolt-Boernstein VIII/2C1, Springer 2009, seen through an open rolling library and
//! the sources of a paper that uses it.

/// Coefficients of one steel; plain numbers, for T in C and rate in 1/s.
pub(crate) struct Set {
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

/// C45.
pub(crate) const C45: Set = Set {
    a: 3268.49,
    m1: -0.00267855,
    m2: 0.34446,
    m3: 0.0,
    m4: 0.000551814,
    m5: -0.00132042,
    m7: 0.0166334,
    m8: 0.000149907,
};

/// Flow stress in MPa: temperature in C, strain a plain number above 0, rate in 1/s. Extrapolates without a word.
#[must_use]
pub(crate) fn stress_mpa(set: &Set, temp_c: f64, strain: f64, rate_per_s: f64) -> f64 {
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
