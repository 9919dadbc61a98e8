//! How much longer hot steel is than cold: EN 1993-1-2:2005, 3.4.1.1 (read through several codes that agree).
//!
//! Made for structural steel: with 0.8 to 1 % C the flat part from 750 to 860 C is not there in truth
//! (from memory), but above about 860 C the line is adequate. The standard ends at 1200 C; the last line is
//! carried on above that, which is this project's choice, and held at 0 below 20 C.

/// Relative elongation against 20 C (mm per mm) at `t_c` C. Below 20 C it is 0; above 1200 C extrapolated.
pub(crate) fn elongation(t_c: f64) -> f64 {
    if t_c < 20.0 {
        0.0
    } else if t_c < 750.0 {
        1.2e-5 * t_c + 0.4e-8 * t_c * t_c - 2.416e-4
    } else if t_c <= 860.0 {
        1.1e-2
    } else {
        2e-5 * t_c - 6.2e-3
    }
}
