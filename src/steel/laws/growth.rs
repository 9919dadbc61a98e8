//! How much a blade grows when it is hardened.
//!
//! Mass stays; density falls by the change of volume. About 0.2 % in length is right for 0.4 % C or a tempered blade, not for
//! 0.95 % C as quenched. Die steel of D2's kind can even shrink a little (carrier).

use crate::steel::catalogue::inputs::{at, carbon, element, must};
use crate::steel::catalogue::law::{Law, Mark};

/// Change of volume, %, from hot austenite to martensite at the same temperature: `4.64 - 0.53 C` (carrier).
pub fn from_austenite_percent(carbon_percent: f64) -> f64 {
    4.64 - 0.53 * carbon_percent
}

/// Change of volume, %, from annealed to hardened: form credited to Krauss and Thelning, from memory.
///
/// `carbon_percent` is what is dissolved in the martensite, `carbide` and `austenite` are shares of the volume, %, left over.
pub fn hardened_percent(carbon_percent: f64, carbide: f64, austenite: f64) -> f64 {
    let c = carbon_percent;
    (100.0 - carbide - austenite) / 100.0 * 1.68 * c + austenite / 100.0 * (-4.64 + 2.21 * c)
}

/// Change of length, %, that goes with a change of volume, %.
pub fn linear_percent(volume_percent: f64) -> f64 {
    100.0 * ((1.0 + volume_percent / 100.0).cbrt() - 1.0)
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "growth-on-hardening",
        title: "growth in length from annealed to hardened",
        formula: "dV = (100 - Vc - Va)/100 1.68C + Va/100 (-4.64 + 2.21C); length 100 ((1 + dV/100)^(1/3) - 1)",
        inputs: &[
            carbon(0.1, 1.2),
            element("carbide", "carbide not dissolved, by volume", 30.0),
            element("austenite", "austenite left, by volume", 50.0),
        ],
        gives: "change of length",
        unit: "%",
        validity: "as quenched, carbon and low-alloy steel; carbon is what is dissolved",
        source: "form credited to Krauss and Thelning, from memory; its algebra closes with growth-from-austenite",
        mark: Mark::Memory,
        eval: |x| linear_percent(hardened_percent(at(x, 0), at(x, 1), at(x, 2))),
    },
    Law {
        name: "growth-from-austenite",
        title: "growth in volume from austenite to martensite",
        formula: "4.64 - 0.53C",
        inputs: &[must("c", "%", "carbon in the martensite", 0.0, 1.5)],
        gives: "change of volume",
        unit: "%",
        validity: "at the same temperature",
        source: "heat-treating handbook, through two pages",
        mark: Mark::Carrier,
        eval: |x| from_austenite_percent(at(x, 0)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::expansion::hot_mm;
    use crate::steel::testing::within;

    #[test]
    fn table_computed() {
        // Reference, section 9: C, carbide, austenite; volume %, length %, 100 mm becomes.
        for (c, carbide, austenite, volume, length, becomes) in [
            (0.40, 0.0, 0.0, 0.672, 0.2235, 100.2235),
            (0.80, 0.0, 0.0, 1.344, 0.446, 100.446),
            (0.95, 0.0, 0.0, 1.596, 0.529, 100.529),
            (0.95, 4.0, 8.0, 1.201, 0.399, 100.399),
            (1.00, 8.0, 10.0, 1.135, 0.377, 100.377),
        ] {
            let dv = hardened_percent(c, carbide, austenite);
            within(dv, volume, 6e-4);
            within(linear_percent(dv), length, 6e-4);
            within(100.0 + linear_percent(dv), becomes, 6e-4);
        }
    }

    #[test]
    fn lattices() {
        // Lattice of 1 % C (austenite 0.3599 nm, martensite 0.2853 by 0.2982 nm, through a page): four iron
        // atoms in the first cell and two in the second give 4.13 %, the law 4.11 %.
        let austenite = 0.3599_f64.powi(3) / 4.0;
        let martensite = 0.2853 * 0.2853 * 0.2982 / 2.0;
        let lattice = 100.0 * (martensite / austenite - 1.0);
        within(lattice, 4.13, 0.01);
        within(from_austenite_percent(1.0), lattice, 0.05);
        // All austenite left: the law from annealed is the step to austenite alone.
        within(hardened_percent(0.8, 0.0, 100.0) + from_austenite_percent(0.8), 1.68 * 0.8, 1e-12);
        // Small against what heat does.
        assert!(linear_percent(1.596) < hot_mm(100.0, 800.0) - 100.0);
    }
}
