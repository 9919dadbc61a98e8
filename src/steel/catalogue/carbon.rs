//! Carbon in austenite: figures for how fast it moves, and what a decarburising surface leaves of it.

use crate::quantity::halve;
use crate::steel::constants::KELVIN;
use crate::steel::grades::Composition;
use crate::steel::laws::diffusion::arrhenius;

/// Carbon, m2/s: `2.3e-5 exp(-148000/(R T))`, table of Callister (read through worked copies). The slow end of the laws:
/// about half of what those that know the carbon content give at 0.8 % C.
pub(crate) fn callister_m2_s(t_c: f64) -> f64 {
    arrhenius(2.3e-5, 148e3, t_c)
}

/// Carbon, m2/s, by temperature, composition and aluminium, %: Lee, Matlock and Van Tyne, ISIJ Int. 51 (2011) 1903
/// (formula through a code, abstract seen).
pub(crate) fn lee_m2_s(t_c: f64, s: &Composition, aluminium: f64) -> f64 {
    let d0_cm2_s = 0.146 - 0.036 * s.c * (1.0 - 1.075 * s.cr) - 0.0315 * s.mn + 0.0509 * s.si - 0.0085 * s.ni
        + 0.3031 * s.mo
        - 0.0520 * aluminium;
    let q_kj = 144.3 - 15.0 * s.c + 0.37 * s.c * s.c - 4.3663 * s.mn + 4.0507 * s.si - 1.2407 * s.ni
        + 12.1266 * s.mo
        - 6.7886 * aluminium
        + 7.7260 * s.cr;
    // The paper states its own gas constant.
    d0_cm2_s * 1e-4 * (-q_kj / (8.314e-3 * (t_c + KELVIN))).exp()
}

/// Carbon, %, at `depth_um` below the surface after diffusion `d_m2_s` times `seconds`, from `bulk` with the surface held at `surface`.
pub(crate) fn at_depth_percent(bulk: f64, surface: f64, depth_um: f64, d_m2_s: f64, seconds: f64) -> f64 {
    let reach_um = 2.0 * (d_m2_s * seconds).sqrt() * 1e6;
    if reach_um == 0.0 && depth_um == 0.0 {
        return surface;
    }
    surface + (bulk - surface) * libm::erf(depth_um / reach_um)
}

/// Depth, um, at which a surface held at no carbon leaves `fraction` (0 to 1) of the bulk carbon. NaN outside 0 to 1.
pub(crate) fn depth_um(fraction: f64, d_m2_s: f64, seconds: f64) -> f64 {
    2.0 * inverse_erf(fraction) * (d_m2_s * seconds).sqrt() * 1e6
}

/// The number whose error function is `y`; NaN outside -1 to 1 and infinite at the ends.
fn inverse_erf(y: f64) -> f64 {
    if y.is_nan() || y.abs() > 1.0 {
        return f64::NAN;
    }
    if y.abs() == 1.0 {
        return y * f64::INFINITY;
    }
    // The error function rises steadily and is 1 to the last figure at 6: halving cannot go astray.
    let (low, high) = halve((0.0, 6.0), 60, |x| libm::erf(x) < y.abs());
    (0.5 * (low + high)).copysign(y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::contrast::{centres, means};
    use crate::steel::testing::{near, within};

    #[test]
    fn textbook_carburising() {
        // Callister: 0.25 % C held at 1.20 %, 0.80 % wanted at 0.5 mm, D 1.6e-11: z 0.392 and 7.1 h (printed),
        // z 0.3923 and 25377 s (computed).
        // The printed way rounds the share to 0.4210 first.
        let z = inverse_erf(0.4210);
        within(z, 0.392, 5e-4);
        let seconds = (0.5e-3 / (2.0 * z)).powi(2) / 1.6e-11;
        within(seconds, 25377.0, 2.0);
        within(seconds / 3600.0, 7.1, 0.06);
        within(at_depth_percent(0.25, 1.20, 500.0, 1.6e-11, seconds), 0.80, 1e-4);
    }

    #[test]
    fn inverse_of_the_error_function() {
        for x in [-2.5, -0.3, 0.0, 1e-3, 0.4769, 1.1631, 3.0] {
            within(inverse_erf(libm::erf(x)), x, 1e-9);
        }
        // Standard tables: erf(0.4769363) is one half.
        within(inverse_erf(0.5), 0.476_936_276, 1e-9);
        assert!(inverse_erf(1.5).is_nan() && inverse_erf(1.0).is_infinite());
        assert_eq!(at_depth_percent(0.8, 0.0, 0.0, 1e-11, 0.0), 0.0);
        assert_eq!(at_depth_percent(0.8, 0.0, 5.0, 1e-11, 0.0), 0.8);
    }

    #[test]
    fn time_to_one_per_cent_computed() {
        let time = 779.0 * (400.0 / std::f64::consts::PI).ln();
        near(time, 3780.0, 2e-3);
        within(centres(callister_m2_s(1200.0) * time / 1e-6), 0.01, 1e-4);
    }

    #[test]
    fn profile_computed() {
        // 0.95 and 0.20 % C at 1200 C: layer mm, seconds, contrast, carbon at the two centres.
        for (mm, s, left, rich, poor) in [
            (1.0, 60.0, 0.99987, 0.9500, 0.2000),
            (1.0, 300.0, 0.85310, 0.8949, 0.2551),
            (1.0, 600.0, 0.58907, 0.7959, 0.3541),
            (1.0, 1800.0, 0.12636, 0.6224, 0.5276),
            (0.5, 300.0, 0.27292, 0.6773, 0.4727),
        ] {
            let fo: f64 = callister_m2_s(1200.0) * s / (mm * mm * 1e-6);
            within(centres(fo), left, 1e-5);
            let even = 0.575;
            within(even + 0.375 * centres(fo), rich, 6e-5);
            within(even - 0.375 * centres(fo), poor, 6e-5);
        }
    }

    #[test]
    fn four_heats_computed() {
        // D(1150 C) 8.506e-11, 10 min each at 3, 1.5, 0.75, 0.375 mm.
        let mut fo = 0.0;
        for (mm, sum, centre, mean) in [
            (3.0, 0.00567, 1.0, 0.8301),
            (1.5, 0.02835, 0.9285, 0.6200),
            (0.75, 0.11908, 0.3931, 0.2503),
            (0.375, 0.48199, 0.0109, 0.0070),
        ] {
            fo += callister_m2_s(1150.0) * 600.0 / (mm * mm * 1e-6);
            within(fo, sum, 2e-5);
            within(centres(fo), centre, 6e-5);
            within(means(fo), mean, 6e-5);
        }
    }

    #[test]
    fn published_billet() {
        // Abstract of the study of a layered billet of plain and nickel steel: carbon ended even at about 150 um,
        // nickel hardly moved. The model at 1200 C for one minute: 4 % of the contrast (Fo 0.347, computed).
        let fo = callister_m2_s(1200.0) * 60.0 / (0.15e-3 * 0.15e-3);
        within(fo, 0.347, 5e-4);
        within(centres(fo), 0.04, 5e-3);
        assert!(means(2.33e-15 * 60.0 / (0.15e-3 * 0.15e-3)) > 0.98);
    }

    #[test]
    fn textbook_magnesium_in_aluminium() {
        // Callister: 1.2e-4 m2/s and 131 kJ/mol at 550 C give 5.8e-13 m2/s (printed).
        within(arrhenius(1.2e-4, 131e3, 550.0), 5.8e-13, 0.06e-13);
    }
}
