//! How thick a bar hardens through: Grossmann's ideal diameter by the factors of ASTM A255 (through a table of them
//! written out). Grain size 7 is fixed.

use crate::steel::grades::composition::Composition;

fn carbon_factor(c: f64) -> f64 {
    if c <= 0.39 {
        0.54 * c
    } else if c <= 0.55 {
        0.171 + c * (0.001 + 0.265 * c)
    } else if c <= 0.65 {
        0.115 + c * (0.268 - 0.038 * c)
    } else if c <= 0.75 {
        0.143 + 0.2 * c
    } else {
        0.062 + c * (0.409 - 0.135 * c)
    }
}

fn manganese_factor(mn: f64) -> f64 {
    if mn <= 1.20 { 3.3333 * mn + 1.0 } else { 5.10 * mn - 1.12 }
}

fn nickel_factor(ni: f64) -> f64 {
    if ni <= 1.5 { 1.0 + 0.363 * ni } else { 0.3211 + ni * (1.4501 + ni * (-0.6119 + ni * 0.1253)) }
}

/// Ideal critical diameter, mm; `copper` and `zirconium` in %.
///
/// `None` outside the factors: carbon above 0.90, manganese above 1.95, nickel above 3.5 %, or anything negative.
pub(crate) fn ideal_diameter_mm(s: &Composition, copper: f64, zirconium: f64) -> Option<f64> {
    let all = [s.c, s.mn, s.si, s.cr, s.ni, s.v, s.mo, copper, zirconium];
    let known = all.iter().all(|x| *x >= 0.0) && s.c <= 0.90 && s.mn <= 1.95 && s.ni <= 3.5;
    let inches = carbon_factor(s.c)
        * manganese_factor(s.mn)
        * (1.0 + 0.7 * s.si)
        * nickel_factor(s.ni)
        * (1.0 + 2.16 * s.cr)
        * (1.0 + 3.0 * s.mo)
        * (1.0 + 0.365 * copper)
        * (1.0 + 1.73 * s.v)
        * (1.0 + 2.5 * zirconium);
    known.then_some(25.4 * inches)
}

/// Carbon up to which the factors of ASTM A255 hold, %, and from which the rich steels' own factor stands alone.
const RICH: [f64; 2] = [0.90, 0.95];
/// Carbon factor of rich steel hardened at 790 C and at 870 C: the first is a fit to twelve heats of water-hardening tool
/// steel in brine (Tool Steels, ASM, table 7-3, through a machine-read page; own fit), the second that of ASTM A255 at
/// 0.90 %, where all carbon is dissolved. Between them a straight line (project figure).
const RICH_FACTORS: [(f64, f64); 2] = [(790.0, 0.207), (870.0, 0.3208)];

/// Ideal critical diameter, mm, of a steel quenched from a heat, rich steels too.
///
/// Above 0.90 % carbon carbide is left, which holds carbon back: the factor grows with the heat, vanadium counts for nothing.
/// Manganese above 1.95 and nickel above 3.5 % count as that much. Tungsten has no factor.
pub(crate) fn ideal_diameter_from_mm(s: &Composition, from_c: f64) -> Option<f64> {
    let [least, alone] = RICH;
    let s = Composition { mn: s.mn.min(1.95), ni: s.ni.min(3.5), ..*s };
    let poor = ideal_diameter_mm(&s.with_carbon(s.c.min(least)), 0.0, 0.0)?;
    if s.c <= least {
        return Some(poor);
    }
    let [(cool, low), (hot, high)] = RICH_FACTORS;
    let factor = low + (high - low) * ((from_c - cool) / (hot - cool)).clamp(0.0, 1.0);
    let rich = poor * factor / carbon_factor(least) / (1.0 + 1.73 * s.v);
    Some(poor + (rich - poor) * ((s.c - least) / (alone - least)).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{some_within, within};

    #[test]
    fn blade_steels_computed() {
        // Reference, section 5.3, inches. It does not state 80CrV2's composition: 0.80 C, 0.40 Mn, 0.30 Si,
        // 0.55 Cr, 0.20 V gives its figure.
        let plain = Composition::plain;
        let steels = [
            (plain(0.45, 0.75, 0.25), 0.926),
            (plain(0.75, 0.55, 0.25), 0.975),
            (plain(0.84, 0.75, 0.25), 1.276),
            (Composition { cr: 0.80, ..plain(0.60, 0.88, 0.25) }, 3.305),
            (Composition { cr: 0.55, v: 0.20, ..plain(0.80, 0.40, 0.30) }, 2.518),
            (Composition { ni: 2.0, cr: 0.1, ..plain(0.75, 0.40, 0.25) }, 1.735),
        ];
        for (s, inches) in steels {
            some_within(ideal_diameter_mm(&s, 0.0, 0.0).map(|d| d / 25.4), inches, 6e-4);
        }
        assert_eq!(ideal_diameter_mm(&plain(0.95, 0.4, 0.25), 0.0, 0.0), None);
        assert_eq!(ideal_diameter_mm(&plain(0.5, f64::NAN, 0.25), 0.0, 0.0), None);
    }

    #[test]
    fn brine_heats_of_tool_steel() {
        // Tool Steels (ASM), table 7-3, C, Mn, Si, Cr, Ni and the critical round in violent brine, mm (through a machine-read
        // page): H = 5, hardened at 790 C. The reference's own fit comes back within 2.5 mm; six of twelve heats are here.
        for (c, mn, si, cr, ni, mm) in [
            (1.02, 0.09, 0.03, 0.05, 0.02, 3.8),
            (1.07, 0.15, 0.09, 0.05, 0.10, 5.1),
            (1.00, 0.24, 0.17, 0.09, 0.07, 11.4),
            (1.04, 0.29, 0.16, 0.15, 0.14, 12.7),
            (0.97, 0.46, 0.29, 0.17, 0.05, 20.3),
            (0.98, 0.50, 0.37, 0.23, 0.12, 22.9),
        ] {
            let s = Composition { cr, ni, ..Composition::plain(c, mn, si) };
            let ideal = ideal_diameter_from_mm(&s, 790.0).unwrap() / 25.4;
            // The closed form of the reference, 3.2, inches.
            let round = ((0.8645f64 / 5.0).powi(2) + ideal * ideal).sqrt() - 0.8645 / 5.0;
            within(25.4 * round, mm, 2.6);
        }
        // 1095, 14.4 mm there against 22.3 by ASTM A255 (computed).
        some_within(ideal_diameter_from_mm(&Composition::plain(0.95, 0.40, 0.25), 790.0), 14.4, 0.1);
        some_within(ideal_diameter_from_mm(&Composition::plain(0.95, 0.40, 0.25), 870.0), 22.3, 0.1);
    }

    #[test]
    fn factors_join_computed() {
        // The parts of each factor meet within about 1 %, as a curve cut into parts should.
        for c in [0.39, 0.55, 0.65, 0.75] {
            within(carbon_factor(c), carbon_factor(c + 1e-9), 3e-3);
        }
        within(manganese_factor(1.2), manganese_factor(1.2 + 1e-9), 2e-3);
        within(nickel_factor(1.5), nickel_factor(1.5 + 1e-9), 3e-3);
    }
}
