//! Scale growing on clean iron in plenty of dry air: the parabolic law.
//!
//! The law was fitted to pure iron at about 700 to 1250 C. In a forge fire steel loses less, since there is
//! little free oxygen, carbon gas lifts the scale off and silicon hinders it (from memory): take it as an
//! upper bound. What a heat takes off in the shop is [`crate::steel::laws::scale`].

use crate::steel::laws::scale::growth_m2_s;

/// Atomic masses, g/mol, and densities, kg/m3, that the conversions below use.
const IRON: f64 = 55.845;
const OXYGEN: f64 = 15.999;
const DENSITY_IRON: f64 = 7874.0;
const DENSITY_WUSTITE: f64 = 5745.0;

/// How much room wustite takes against the iron that it came from (1.763): computed from the atomic masses.
const SWELLING: f64 = (IRON + OXYGEN) / DENSITY_WUSTITE / (IRON / DENSITY_IRON);

/// Thickness of wustite, um, that clean iron gets in `minutes` at `t_c` C: `X^2 = 2 k t`.
pub(crate) fn thickness_um(t_c: f64, minutes: f64) -> f64 {
    (2e12 * growth_m2_s(t_c) * (minutes * 60.0)).sqrt()
}

/// Depth of metal, um, that went into it: 0.567 of it.
pub(crate) fn recession_um(t_c: f64, minutes: f64) -> f64 {
    thickness_um(t_c, minutes) / SWELLING
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::laws::scale::skin_mm;
    use crate::steel::testing::within;

    #[test]
    fn conversions() {
        // Reference, section 1.2, and a public forum page, which gives 1.77 for the swelling.
        within(SWELLING, 1.763, 5e-4);
        within(SWELLING, 1.77, 0.01);
    }

    #[test]
    fn free_air_takes_five_times_what_a_heat_in_the_shop_does() {
        within(recession_um(1200.0, 6.0) / 1000.0 / skin_mm(1200.0, 6.0, 1.0), 5.0, 0.1);
    }
}
