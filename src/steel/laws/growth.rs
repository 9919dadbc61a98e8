//! How much a blade grows when it is hardened.
//!
//! Mass stays; density falls by the change of volume. About 0.2 % in length is right for 0.4 % C or a tempered blade, not for
//! 0.95 % C as quenched. Die steel of D2's kind can even shrink a little (carrier).

use crate::steel::grades::composition::Composition;

/// Change of volume, %, from annealed to hardened: form credited to Krauss and Thelning, from memory.
///
/// `carbon_percent` is what is dissolved in the martensite, `carbide` and `austenite` are shares of the volume, %, left over.
pub(crate) fn hardened_percent(carbon_percent: f64, carbide: f64, austenite: f64) -> f64 {
    let c = carbon_percent;
    (100.0 - carbide - austenite) / 100.0 * 1.68 * c + austenite / 100.0 * (-4.64 + 2.21 * c)
}

/// Where martensite starts to form, C: van Bohemen, Mater. Sci. Technol. 28 (2012) 487-495, through a library.
pub(crate) fn martensite_start_c(s: &Composition) -> f64 {
    565.0
        - (31.0 * s.mn + 13.0 * s.si + 10.0 * s.cr + 18.0 * s.ni + 12.0 * s.mo)
        - 600.0 * (1.0 - (-0.96 * s.c).exp())
}

/// Austenite left at a temperature after a fast quench, %: Koistinen and Marburger, through several carriers.
pub(crate) fn austenite_left_percent(start_c: f64, t_c: f64, rate: f64) -> f64 {
    100.0 * if t_c >= start_c { 1.0 } else { (-rate * (start_c - t_c)).exp() }
}

/// The rate of that law in common use, 1/C (carrier).
const RATE: f64 = 0.011;
/// The quench is taken down to, C.
const COLD: f64 = 20.0;
/// Between these the first stage of tempering is taken to come in, C: it is over by about 200 (project figure).
const FIRST_STAGE: [f64; 2] = [80.0, 200.0];

/// Change of volume, %, of a steel quenched to the room, all its carbon dissolved, less what stays austenite.
pub(crate) fn quenched_percent(s: &Composition) -> f64 {
    hardened_percent(s.c, 0.0, austenite_left_percent(martensite_start_c(s), COLD, RATE))
}

/// How far the first stage of tempering has come at a heat, 0 to 1.
pub(crate) fn first_stage(t_c: f64) -> f64 {
    let [from, to] = FIRST_STAGE;
    ((t_c - from) / (to - from)).clamp(0.0, 1.0)
}

/// Change of volume, %, of a hardened steel by the first stage of tempering, whole: +0.022 - 0.88 C of what is martensite, from
/// memory. The later stages do not close with the first and are left out: less comes back than in truth above 250 C.
pub(crate) fn given_back_percent(s: &Composition) -> f64 {
    let martensite = 1.0 - austenite_left_percent(martensite_start_c(s), COLD, RATE) / 100.0;
    martensite * (0.022 - 0.88 * s.c).min(0.0)
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
    fn austenite_and_temper_take_from_it() {
        // The reference, table 5.2, computed: 12.9 % left in 0.84 C, 0.75 Mn, 0.25 Si; section 8: stage 1 at 0.6 % C
        // dissolved -0.51 % in volume, -0.17 % in length.
        let s = Composition::plain(0.84, 0.75, 0.25);
        let left = austenite_left_percent(martensite_start_c(&s), 20.0, 0.011);
        within(left, 12.9, 0.05);
        within(quenched_percent(&s), 0.871 * 1.68 * 0.84 + 0.129 * (-4.64 + 2.21 * 0.84), 2e-3);
        within(0.022 - 0.88 * 0.6, -0.51, 5e-3);
        within(linear_percent(given_back_percent(&Composition::plain(0.6, 0.0, 0.0))), -0.17, 0.02);
        // It never comes back whole.
        assert!([0.5, 0.8, 1.0].iter().all(|c| {
            let s = Composition::plain(*c, 0.6, 0.2);
            quenched_percent(&s) + given_back_percent(&s) > 0.0
        }));
        assert_eq!([20.0, 140.0, 300.0].map(first_stage), [0.0, 0.5, 1.0]);
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
