//! Where steel starts to melt: four published lines that differ by up to 20 C among themselves.
//!
//! All are made for low-alloy steel, per cent by weight, and read through one collection of formulas (the
//! original papers were not seen). Burning is reported 100 to 150 C below the solidus: see [`crate::steel::grades::window`].

use crate::steel::catalogue::inputs::{at, carbon, composition, eight};
use crate::steel::catalogue::law::{Law, Mark};
use crate::steel::grades::composition::Composition;

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

/// Solidus C, C: `1534 - 2.29 (80.5C + 17.8Si + 3.75Mn)`; further terms not seen, so for plain steel only.
pub fn third_c(s: &Composition) -> f64 {
    1534.0 - 2.29 * (80.5 * s.c + 17.8 * s.si + 3.75 * s.mn)
}

/// Solidus of plain iron and carbon, C: the straight line of the diagram from 1495 C at 0.17 % to 1148 C at about 2.1 % (ends from memory).
pub fn chord_c(carbon_percent: f64) -> f64 {
    1495.0 - 178.9 * (carbon_percent - 0.17)
}

/// Liquidus, C: `1537 - (88C + 8Si + 5Mn + 4Ni + 2Mo + 2V + 1.5Cr)`; P, S and Cu taken as none.
pub fn liquidus_c(s: &Composition) -> f64 {
    1537.0 - (88.0 * s.c + 8.0 * s.si + 5.0 * s.mn + 4.0 * s.ni + 2.0 * s.mo + 2.0 * s.v + 1.5 * s.cr)
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

const SOURCE: &str =
    "a collection of liquidus and solidus formulas with its literature list; original papers not seen";
const VALIDITY: &str = "low-alloy steel; the published lines differ by up to 20 C among themselves";

const fn line(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [crate::steel::catalogue::law::Input],
    eval: fn(&[f64]) -> f64,
) -> Law {
    Law {
        name,
        title,
        formula,
        inputs,
        gives: "temperature",
        unit: "C",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval,
    }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    line(
        "solidus",
        "where steel starts to melt, line A",
        "1527 - (187.5C + 20.5Si + 6.5Mn + 2Cr + 11.5Ni)",
        &eight(0.17, 2.1),
        |x| hirai_c(&composition(x)),
    ),
    line(
        "solidus-second",
        "where steel starts to melt, line B",
        "1536 - (175C + 20Si + 30Mn + 6.5Cr + 4V + 4.75Ni)",
        &eight(0.0, 2.1),
        |x| second_c(&composition(x)),
    ),
    line(
        "solidus-third",
        "where plain steel starts to melt, line C",
        "1534 - 2.29 (80.5C + 17.8Si + 3.75Mn)",
        &eight(0.0, 2.1),
        |x| third_c(&composition(x)),
    ),
    Law {
        source: "straight line of the iron-carbon diagram; its end points from memory",
        mark: Mark::Memory,
        validity: "plain iron and carbon, 0.17 to 2.1 % C",
        ..line(
            "solidus-chord",
            "where plain iron and carbon start to melt",
            "1495 - 178.9 (C - 0.17)",
            &[carbon(0.17, 2.1)],
            |x| chord_c(at(x, 0)),
        )
    },
    line(
        "liquidus",
        "where steel is all molten",
        "1537 - (88C + 8Si + 5Mn + 4Ni + 2Mo + 2V + 1.5Cr)",
        &eight(0.0, 2.1),
        |x| liquidus_c(&composition(x)),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn table_computed() {
        // Computed table of the reference, section 10.1 (0.2 % Si throughout): C, Mn, then A, B, C, chord.
        for (c, mn, a, b, third, chord) in [
            (0.2, 0.75, 1481.0, 1474.0, 1483.0, 1490.0),
            (0.5, 0.75, 1424.0, 1422.0, 1427.0, 1436.0),
            (0.75, 0.55, 1379.0, 1384.0, 1383.0, 1391.0),
            (0.84, 0.75, 1361.0, 1362.0, 1365.0, 1375.0),
            (0.95, 0.40, 1342.0, 1354.0, 1347.0, 1355.0),
            (1.1, 0.30, 1315.0, 1330.0, 1320.0, 1329.0),
            (1.5, 0.30, 1240.0, 1260.0, 1247.0, 1257.0),
        ] {
            let s = Composition::plain(c, mn, 0.2);
            within(hirai_c(&s), a, 0.51);
            within(second_c(&s), b, 0.51);
            within(third_c(&s), third, 0.51);
            within(chord_c(c), chord, 0.51);
            assert!(liquidus_c(&s) > hirai_c(&s));
        }
    }

    #[test]
    fn diagram_ends() {
        // Iron-carbon diagram, from memory: 1495 C at 0.17 % and 1147 to 1148 C near 2.1 %.
        within(chord_c(0.17), 1495.0, 1e-9);
        within(chord_c(2.11), 1148.0, 1.0);
    }

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
