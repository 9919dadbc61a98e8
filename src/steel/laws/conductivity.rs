//! How well steel carries heat: EN 1993-1-2:2005, 3.4.1.3 (read through several codes that agree).

/// Thermal conductivity, W/mK, at `t_c` C. Held at its end values outside 20 to 1200 C.
pub(crate) fn conductivity_w_mk(t_c: f64) -> f64 {
    if t_c < 20.0 {
        54.0 - 3.33e-2 * 20.0
    } else if t_c < 800.0 {
        54.0 - 3.33e-2 * t_c
    } else if t_c.is_nan() {
        f64::NAN
    } else {
        27.3
    }
}
