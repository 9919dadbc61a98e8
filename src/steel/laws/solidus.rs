//! Where steel starts to melt, by two published lines; with those of the catalogue they differ by up to 20 C.
//!
//! Both are made for low-alloy steel, per cent by weight, and read through one collection of formulas (the
//! original papers were not seen). Burning is reported 100 to 150 C below the solidus: see [`crate::steel::grades::window`].

use crate::steel::grades::composition::Composition;

/// Melting point of nickel in the forging table, C (read through a carrier).
pub(crate) const NICKEL_C: f64 = 1453.0;

/// Solidus A (Hirai), C, for more than 0.17 % C: `1527 - (187.5C + 20.5Si + 6.5Mn + 2Cr + 11.5Ni)`; Al, P and S taken as none.
pub(crate) fn hirai_c(s: &Composition) -> f64 {
    1527.0 - (187.5 * s.c + 20.5 * s.si + 6.5 * s.mn + 2.0 * s.cr + 11.5 * s.ni)
}

/// Solidus B, C: `1536 - (175C + 20Si + 30Mn + 6.5Cr + 4V + 4.75Ni)`; P and S taken as none, further terms not seen.
pub(crate) fn second_c(s: &Composition) -> f64 {
    1536.0 - (175.0 * s.c + 20.0 * s.si + 30.0 * s.mn + 6.5 * s.cr + 4.0 * s.v + 4.75 * s.ni)
}

/// The solidus of a steel, C: line A above 0.17 % C, else B; for nickel its melting point. Stainless and high-alloy steel lie
/// outside what the lines were made for.
pub(crate) fn of_c(s: &Composition) -> f64 {
    if s.is_nickel() {
        NICKEL_C
    } else if s.c > 0.17 {
        hirai_c(s)
    } else {
        second_c(s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_choice() {
        let rich = Composition::plain(0.84, 0.75, 0.2);
        let mild = Composition::plain(0.1, 0.5, 0.2);
        let nickel = Composition { ni: 99.0, ..Composition::default() };
        assert_eq!(of_c(&rich), hirai_c(&rich));
        assert_eq!(of_c(&mild), second_c(&mild));
        assert_eq!(of_c(&nickel), 1453.0);
    }
}
