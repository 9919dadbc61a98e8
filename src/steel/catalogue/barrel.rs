//! Volume of a barrelled cylinder: what upsetting makes of a round bar.
//!
//! Two classical approximations of geometry, **from memory**. That the profile is close to an arc of a circle is published
//! (abstract, ASME J. Eng. Mater. Technol. 107 no. 2, 138); how far a bar bellies is not predicted by any law that
//! could be found, so a bar stays a straight one here and the belly is only told.

use std::f64::consts::PI;

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Volume in mm3 with a side that is an arc of a circle: face and belly diameter and height in mm.
#[must_use]
pub fn round_volume_mm3(face_mm: f64, belly_mm: f64, height_mm: f64) -> f64 {
    PI * height_mm * (2.0 * belly_mm * belly_mm + face_mm * face_mm) / 12.0
}

/// Volume in mm3 with a side that is a parabola: face and belly diameter and height in mm.
#[must_use]
pub fn parabola_volume_mm3(face_mm: f64, belly_mm: f64, height_mm: f64) -> f64 {
    let squares = 2.0 * belly_mm * belly_mm + belly_mm * face_mm + 0.75 * face_mm * face_mm;
    PI * height_mm * squares / 15.0
}

/// Diameter in mm of the straight cylinder of the same volume and height.
#[must_use]
pub fn equal_diameter_mm(volume_mm3: f64, height_mm: f64) -> f64 {
    (4.0 * volume_mm3 / (PI * height_mm)).sqrt()
}

/// The law of this file.
pub const LAWS: &[Law] = &[Law {
    name: "barrel-volume",
    title: "volume of a barrelled cylinder",
    formula: "V = pi h (2 D^2 + d^2) / 12",
    inputs: &[
        must("face", "mm", "diameter of the ends", 0.1, 2000.0),
        must("belly", "mm", "diameter at half height", 0.1, 2000.0),
        must("height", "mm", "height", 0.1, 2000.0),
    ],
    gives: "volume",
    unit: "mm3",
    validity: "shallow bellies; within 0.05 % of the parabola's form at 64 on 60 mm",
    source: "geometry, from memory",
    mark: Mark::Memory,
    eval: |i| round_volume_mm3(at(i, 0), at(i, 1), at(i, 2)),
}];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};

    // Computed: face 60, belly 64, height 40 mm.
    #[test]
    fn two_forms_computed() {
        let round = round_volume_mm3(60.0, 64.0, 40.0);
        prints(round, 123_486.0, 0);
        prints(parabola_volume_mm3(60.0, 64.0, 40.0), 123_419.0, 0);
        prints(equal_diameter_mm(round, 40.0), 62.695, 3);
    }

    // Outside the project: the exact solid whose radius is a parabola of the height, summed in thin slices.
    #[test]
    fn parabola_by_slices() {
        let slices = 20_000;
        let sum: f64 = (0..slices)
            .map(|i| {
                let z = 2.0 * (f64::from(i) + 0.5) / f64::from(slices) - 1.0;
                let r = 32.0 - 2.0 * z * z;
                PI * r * r * 40.0 / f64::from(slices)
            })
            .sum();
        near(parabola_volume_mm3(60.0, 64.0, 40.0), sum, 1e-8);
    }
}
