//! How much a blade grows when it is hardened.
//!
//! Mass stays; density falls by the change of volume. About 0.2 % in length is right for 0.4 % C or a tempered blade, not for
//! 0.95 % C as quenched. Die steel of D2's kind can even shrink a little (carrier).

/// Change of volume, %, from annealed to hardened: form credited to Krauss and Thelning, from memory.
///
/// `carbon_percent` is what is dissolved in the martensite, `carbide` and `austenite` are shares of the volume, %, left over.
pub(crate) fn hardened_percent(carbon_percent: f64, carbide: f64, austenite: f64) -> f64 {
    let c = carbon_percent;
    (100.0 - carbide - austenite) / 100.0 * 1.68 * c + austenite / 100.0 * (-4.64 + 2.21 * c)
}

/// Change of length, %, that goes with a change of volume, %.
pub(crate) fn linear_percent(volume_percent: f64) -> f64 {
    100.0 * ((1.0 + volume_percent / 100.0).cbrt() - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
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
        within(4.64 - 0.53, lattice, 0.05);
        // All austenite left: the law from annealed is the step to austenite alone.
        within(hardened_percent(0.8, 0.0, 100.0) + (4.64 - 0.53 * 0.8), 1.68 * 0.8, 1e-12);
    }
}
