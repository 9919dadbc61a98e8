//! Carbon lost from the surface: the error-function profile, its depth, and an estimate of what scale leaves of it.
//!
//! Worked examples of Raghavan and Callister (read through worked copies). A surface held at no carbon is the worst case.

use crate::quantity::halve;
use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::laws::diffusion::callister_m2_s;
use crate::steel::laws::oxidation::{recession_um, thickness_um};

/// Carbon, %, at `depth_um` below the surface after diffusion `d_m2_s` times `seconds`, from `bulk` with the surface held at `surface`.
pub fn carbon_at_percent(bulk: f64, surface: f64, depth_um: f64, d_m2_s: f64, seconds: f64) -> f64 {
    let reach_um = 2.0 * (d_m2_s * seconds).sqrt() * 1e6;
    if reach_um == 0.0 && depth_um == 0.0 {
        return surface;
    }
    surface + (bulk - surface) * libm::erf(depth_um / reach_um)
}

/// Depth, um, at which a surface held at no carbon leaves `fraction` (0 to 1) of the bulk carbon. NaN outside 0 to 1.
pub fn depth_um(fraction: f64, d_m2_s: f64, seconds: f64) -> f64 {
    2.0 * inverse_erf(fraction) * (d_m2_s * seconds).sqrt() * 1e6
}

/// What is left of that depth, um, under free-air scale: `max(0, depth - recession)`. An estimate (project figure):
/// the exact answer with a moving front needs more than a difference.
pub fn depth_under_scale_um(depth_um: f64, recession_um: f64) -> f64 {
    let left = depth_um - recession_um;
    if left < 0.0 { 0.0 } else { left }
}

/// Depth of the skin that has lost half of its carbon, mm, after a further stay in the fire that spends `spent_mm2`
/// (diffusivity times time) and burns `burnt_mm` off the face: `sqrt(depth^2 + step^2) - burnt`, not below 0.
///
/// An estimate (project figure): depths grow with the root of time, and scale eats from outside.
#[must_use]
pub fn grown_mm(depth_mm: f64, spent_mm2: f64, burnt_mm: f64) -> f64 {
    // 2 erfinv(0.5) = 0.953873 (computed).
    let step = 0.953_872_552_408_939_6 * spent_mm2.max(0.0).sqrt();
    let left = (depth_mm * depth_mm + step * step).sqrt() - burnt_mm;
    if left < 0.0 { 0.0 } else { left }
}

/// The number whose error function is `y`; NaN outside -1 to 1 and infinite at the ends.
pub fn inverse_erf(y: f64) -> f64 {
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

const SOURCE: &str =
    "worked examples of Raghavan and Callister (worked copies), carbon diffusion of Callister";
const VALIDITY: &str =
    "austenite, surface held at one carbon content; the worst case is none; no scale eating into it";

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "decarb-carbon",
        title: "carbon at a depth below a decarburising surface",
        formula: "Cs + (C0 - Cs) erf(x/(2 sqrt(D t)))",
        inputs: &[
            must("c", "%", "carbon of the steel", 0.0, 2.1),
            must("depth", "um", "depth below the surface", 0.0, 20000.0),
            must("temperature", "C", "temperature", 900.0, 1250.0),
            must("time", "min", "time", 0.0, 6000.0),
            or("surface", "%", "carbon held at the surface", 0.0, 2.1, 0.0),
        ],
        gives: "carbon",
        unit: "%",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| {
            let d = callister_m2_s(at(x, 2));
            carbon_at_percent(at(x, 0), at(x, 4), at(x, 1), d, at(x, 3) * 60.0)
        },
    },
    Law {
        name: "decarb-depth",
        title: "depth to which carbon is lost",
        formula: "x where erf(x/(2 sqrt(D t))) is the fraction",
        inputs: &[
            must("temperature", "C", "temperature", 900.0, 1250.0),
            must("time", "min", "time", 0.0, 6000.0),
            or("fraction", "", "share of the carbon left", 0.0, 0.999, 0.9),
        ],
        gives: "depth",
        unit: "um",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| depth_um(at(x, 2), callister_m2_s(at(x, 0)), at(x, 1) * 60.0),
    },
    Law {
        name: "decarb-under-scale",
        title: "what free-air scale leaves of that depth",
        formula: "max(0, decarb-depth - scale-recession)",
        inputs: &[
            must("temperature", "C", "temperature", 900.0, 1250.0),
            must("time", "min", "time", 0.0, 6000.0),
            or("fraction", "", "share of the carbon left", 0.0, 0.999, 0.9),
        ],
        gives: "depth, an estimate",
        unit: "um",
        validity: "an estimate: the front of the scale moves, which this only subtracts",
        source: "difference of decarb-depth and scale-recession",
        mark: Mark::Project,
        eval: |x| {
            let depth = depth_um(at(x, 2), callister_m2_s(at(x, 0)), at(x, 1) * 60.0);
            depth_under_scale_um(depth, recession_um(thickness_um(at(x, 0), at(x, 1))))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn depths_computed() {
        // Reference, section 1.5: depth to 0.9 and 0.5 of the carbon, and recession, um.
        for (t, minutes, nine, five, eaten) in [
            (1000.0, 10.0, 252.0, 103.0, 110.0),
            (1100.0, 10.0, 418.0, 172.0, 196.0),
            (1200.0, 10.0, 650.0, 266.0, 325.0),
            (1200.0, 60.0, 1592.0, 653.0, 795.0),
        ] {
            let d = callister_m2_s(t);
            within(depth_um(0.9, d, minutes * 60.0), nine, 0.6);
            within(depth_um(0.5, d, minutes * 60.0), five, 0.6);
            let recession = recession_um(thickness_um(t, minutes));
            within(recession, eaten, 0.6);
            within(depth_under_scale_um(nine, recession), nine - eaten, 0.6);
            assert_eq!(depth_under_scale_um(five, recession), 0.0);
        }
    }

    #[test]
    fn textbook_carburising() {
        // Callister: 0.25 % C held at 1.20 %, 0.80 % wanted at 0.5 mm, D 1.6e-11: z 0.392 and 7.1 h (printed),
        // z 0.3923 and 25377 s (computed).
        // The printed way rounds the share to 0.4210 first.
        let z = inverse_erf(0.4210);
        within(z, 0.392, 5e-4);
        within(inverse_erf((1.20 - 0.80) / (1.20 - 0.25)), z, 1e-4);
        let seconds = (0.5e-3 / (2.0 * z)).powi(2) / 1.6e-11;
        within(seconds, 25377.0, 2.0);
        within(seconds / 3600.0, 7.1, 0.06);
        within(carbon_at_percent(0.25, 1.20, 500.0, 1.6e-11, seconds), 0.80, 1e-4);
    }

    #[test]
    fn inverse_computed() {
        for x in [-2.5, -0.3, 0.0, 1e-3, 0.4769, 1.1631, 3.0] {
            within(inverse_erf(libm::erf(x)), x, 1e-9);
        }
        // Standard tables: erf(0.4769363) is one half.
        within(inverse_erf(0.5), 0.476_936_276, 1e-9);
        assert!(inverse_erf(1.5).is_nan() && inverse_erf(1.0).is_infinite());
        assert_eq!(carbon_at_percent(0.8, 0.0, 0.0, 1e-11, 0.0), 0.0);
        assert_eq!(carbon_at_percent(0.8, 0.0, 5.0, 1e-11, 0.0), 0.8);
    }
}
