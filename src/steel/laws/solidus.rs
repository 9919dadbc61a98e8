//! Where steel starts to melt, by two published lines; with those of the catalogue they differ by up to 20 C.
//!
//! Both are made for low-alloy steel, per cent by weight, and read through one collection of formulas (the
//! original papers were not seen). Burning is reported 100 to 150 C below the solidus: see [`crate::steel::grades::window`].

use crate::steel::grades::composition::Composition;
use crate::steel::mark::Mark;

/// Melting point of nickel in the forging table, C (read through a carrier).
pub const NICKEL_C: f64 = 1453.0;

/// Solidus A (Hirai), C, for more than 0.17 % C: `1527 - (187.5C + 20.5Si + 6.5Mn + 2Cr + 11.5Ni)`; Al, P and S taken as none.
pub fn hirai_c(s: &Composition) -> f64 {
    1527.0 - (187.5 * s.c + 20.5 * s.si + 6.5 * s.mn + 2.0 * s.cr + 11.5 * s.ni)
}

/// Solidus B, C: `1536 - (175C + 20Si + 30Mn + 6.5Cr + 4V + 4.75Ni)`; P and S taken as none, further terms not seen.
pub fn second_c(s: &Composition) -> f64 {
    1536.0 - (175.0 * s.c + 20.0 * s.si + 30.0 * s.mn + 6.5 * s.cr + 4.0 * s.v + 4.75 * s.ni)
}

/// A solidus and where it came from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solidus {
    /// Temperature, C.
    pub t_c: f64,
    /// Which line was used, in words.
    pub from: &'static str,
    /// How far to trust it.
    pub mark: Mark,
}

/// The solidus of a steel: line A above 0.17 % C, else B; for nickel its melting point.
///
/// Stainless and high-alloy steel lie outside what the lines were made for: `from` says so.
pub fn of(s: &Composition) -> Solidus {
    let (t_c, from) = if s.is_nickel() {
        (NICKEL_C, "melting point of nickel in the forging table")
    } else {
        let rich = s.c > 0.17;
        let t_c = if rich { hirai_c(s) } else { second_c(s) };
        let from = match (rich, s.cr + s.ni > 10.0) {
            (true, false) => "solidus A (Hirai)",
            (false, false) => "solidus B",
            (true, true) => "solidus A (Hirai), made for low-alloy steel",
            (false, true) => "solidus B, made for low-alloy steel",
        };
        (t_c, from)
    };
    Solidus { t_c, from, mark: Mark::Carrier }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_choice() {
        let rich = Composition::plain(0.84, 0.75, 0.2);
        let mild = Composition::plain(0.1, 0.5, 0.2);
        let nickel = Composition { ni: 99.0, ..Composition::default() };
        assert_eq!(of(&rich).t_c, hirai_c(&rich));
        assert_eq!(of(&mild).t_c, second_c(&mild));
        assert_eq!(of(&nickel).t_c, 1453.0);
        assert_ne!(of(&nickel).from, of(&mild).from);
    }
}
