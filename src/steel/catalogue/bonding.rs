//! How much fresh metal a press lays bare between two surfaces that are to weld.
//!
//! N. Bay, "Mechanisms Producing Metallic Bonds in Cold Welding", Welding Journal (first page read): surface expansion
//! `X = (A1 - A0)/A0`, exposure `Y = (A1 - A0)/A1`; pressing a stack or rolling sheets makes `Y` the reduction.
//!
//! Published about hot steel: a threshold exists (Li, Nagai, Yin, Sci. Technol. Adv. Mater. 9 (2008) 023001, abstract)
//! and is said to fall with temperature (for aluminium); 316L on carbon-manganese steel reached the strength of the base
//! above 900 C with enough reduction (T. Fukuda, Tetsu-to-Hagane 76 (1990) 254-261, abstract); 50 % a pass is used at
//! 500 C (Int. J. Mod. Phys. B 2008, abstract). **No least reduction for welding hot steel was found**: ours is a project
//! figure, and a bond cannot be judged by it; etch and test.

use crate::steel::catalogue::inputs::{at, must};
use crate::steel::catalogue::law::{Input, Law, Mark};

/// Least reduction of a weld before a warning, as a share. Project parameter, no source; 0.10 to 0.30 may be set.
pub const LEAST_REDUCTION: f64 = 0.10;
/// Range in which a shop may set the least reduction, as shares. Project parameter, no source.
pub const LEAST_REDUCTION_RANGE: (f64, f64) = (0.10, 0.30);

/// Reduction of a stack, a share 0 .. 1, from its heights in mm.
#[must_use]
pub fn reduction(before_mm: f64, after_mm: f64) -> f64 {
    (before_mm - after_mm) / before_mm
}

/// Surface exposure, a share 0 .. 1: the reduction itself.
#[must_use]
pub fn exposure(reduction: f64) -> f64 {
    reduction
}

/// Surface expansion, plain number; infinite at a reduction of 1.
#[must_use]
pub fn expansion(reduction: f64) -> f64 {
    reduction / (1.0 - reduction)
}

/// Area after over area before, plain number; infinite at a reduction of 1.
#[must_use]
pub fn area_ratio(reduction: f64) -> f64 {
    1.0 / (1.0 - reduction)
}

/// Log strain of a reduction, plain number.
#[must_use]
pub fn strain(reduction: f64) -> f64 {
    -(-reduction).ln_1p()
}

/// Strength of a cold bond over that of the metal after Vaidyanath, Nicholas and Milner. From memory.
#[must_use]
pub fn vaidyanath(reduction: f64) -> f64 {
    reduction * (2.0 - reduction)
}

/// Strength of a cold bond over that of the metal after Wright, Snow and Tay; `threshold` a reduction, `hardening` a
/// plain number. 0 below the threshold. From memory.
#[must_use]
pub fn wright(reduction: f64, threshold: f64, hardening: f64) -> f64 {
    if reduction < threshold {
        return 0.0;
    }
    let left = (1.0 - reduction) / (1.0 - threshold);
    hardening * (1.0 - left * left)
}

/// What Bay's model of a cold bond takes: shares as plain numbers, pressures over the flow stress of the metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bay {
    /// Share of the surface under a contaminant film, 0 .. 1.
    pub film: f64,
    /// Exposure at which the film breaks, 0 .. 1.
    pub threshold: f64,
    /// Pressure over flow stress.
    pub pressure: f64,
    /// Pressure over flow stress that forces metal through the cracks.
    pub extrusion: f64,
}

impl Bay {
    /// Strength of the bond over that of the metal at an exposure, plain number. From memory; neither part is below 0.
    #[must_use]
    pub fn strength(self, exposure: f64) -> f64 {
        let above = |x: f64| if x < 0.0 { 0.0 } else { x };
        let cracked = exposure * above(self.pressure - self.extrusion);
        let opened = above((exposure - self.threshold) / (1.0 - self.threshold)) * self.pressure;
        (1.0 - self.film) * cracked + self.film * opened
    }
}

const REDUCTION: Input = must("reduction", "%", "reduction of the stack in height", 0.0, 99.0);

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "weld-exposure",
        title: "fresh surface in a weld",
        formula: "Y = (A1 - A0)/A1 = R",
        inputs: &[
            must("from", "mm", "height of the stack before", 0.1, 1000.0),
            must("to", "mm", "height after", 0.1, 1000.0),
        ],
        gives: "surface exposure",
        unit: "%",
        validity: "stacks pressed flat and sheets rolled; it says how much metal is fresh, not that it is welded",
        source: "N. Bay, Mechanisms Producing Metallic Bonds in Cold Welding, Welding Journal, first page",
        mark: Mark::Read,
        eval: |i| 100.0 * exposure(reduction(at(i, 0), at(i, 1))),
    },
    Law {
        name: "weld-expansion",
        title: "growth of the surface in a weld",
        formula: "X = (A1 - A0)/A0 = R/(1 - R)",
        inputs: &[REDUCTION],
        gives: "surface expansion",
        unit: "%",
        validity: "stacks pressed flat and sheets rolled",
        source: "N. Bay, Mechanisms Producing Metallic Bonds in Cold Welding, Welding Journal, first page",
        mark: Mark::Read,
        eval: |i| 100.0 * expansion(at(i, 0) / 100.0),
    },
    Law {
        name: "weld-strength-cold",
        title: "strength of a cold bond over the metal's, Vaidyanath, Nicholas and Milner",
        formula: "R (2 - R)",
        inputs: &[REDUCTION],
        gives: "strength of the bond",
        unit: "%",
        validity: "cold roll bonding of clean sheets; not for hot steel",
        source: "Vaidyanath, Nicholas, Milner: from memory, not verified",
        mark: Mark::Memory,
        eval: |i| 100.0 * vaidyanath(at(i, 0) / 100.0),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::catalogue::inputs::{near, prints};
    use std::f64::consts::LN_2;

    // Computed: the reference's table.
    #[test]
    fn surfaces_computed() {
        for (r, x, ratio, e) in [
            (0.10, 0.1111, 1.111, 0.1054),
            (0.20, 0.2500, 1.250, 0.2231),
            (0.30, 0.4286, 1.429, 0.3567),
            (0.40, 0.6667, 1.667, 0.5108),
            (0.50, 1.0000, 2.000, (LN_2 * 1e4).round() * 1e-4),
        ] {
            prints(expansion(r), x, 4);
            prints(area_ratio(r), ratio, 3);
            prints(strain(r), e, 4);
        }
        prints(expansion(0.667), 2.003, 3);
        prints(area_ratio(0.667), 3.003, 3);
        prints(strain(0.667), 1.0996, 4);
    }

    // N. Bay, first page: exposure equals reduction when a stack keeps its volume.
    #[test]
    fn exposure_is_reduction() {
        let (before, after) = (40.0, 30.0);
        let (a0, a1) = (1.0 / before, 1.0 / after);
        near(exposure(reduction(before, after)), (a1 - a0) / a1, 1e-12);
    }

    // Computed: the reference's two checks, and Bay's two ends.
    #[test]
    fn cold_bonds_computed() {
        prints(wright(0.5, 0.3, 1.0), 0.4898, 4);
        prints(vaidyanath(0.5), 0.75, 2);
        near(wright(0.2, 0.3, 1.0) + 1.0, 1.0, 1e-15);
        let bay = Bay { film: 0.0, threshold: 0.3, pressure: 3.0, extrusion: 1.0 };
        near(bay.strength(0.4), 0.8, 1e-12);
        near(Bay { film: 1.0, ..bay }.strength(0.65), 1.5, 1e-12);
        near(Bay { film: 1.0, ..bay }.strength(0.2) + 1.0, 1.0, 1e-15);
    }
}
