//! How fast carbon, nickel and manganese move in austenite.
//!
//! The two laws that know the carbon content agree within about 16 %; Callister's line is the slow end, about half
//! of what they give at 0.8 % C.

use crate::steel::catalogue::inputs::{GAS, KELVIN, at, composition, eight, element, must};
use crate::steel::catalogue::law::{Input, Law, Mark};
use crate::steel::grades::composition::Composition;

fn arrhenius(d0_m2_s: f64, q_j_mol: f64, t_c: f64) -> f64 {
    d0_m2_s * (-q_j_mol / (GAS * (t_c + KELVIN))).exp()
}

/// Carbon, m2/s: `2.3e-5 exp(-148000/(R T))`, table of Callister (read through worked copies).
pub fn callister_m2_s(t_c: f64) -> f64 {
    arrhenius(2.3e-5, 148e3, t_c)
}

/// Carbon, m2/s: `0.7e-4 exp(-157000/(R T))`, Raghavan (read through worked copies).
pub fn raghavan_m2_s(t_c: f64) -> f64 {
    arrhenius(0.7e-4, 157e3, t_c)
}

/// Carbon, m2/s: `0.15e-4 exp(-135000/(R T))`, carburising page of a teaching site (read).
pub fn carburising_page_m2_s(t_c: f64) -> f64 {
    arrhenius(0.15e-4, 135e3, t_c)
}

/// Carbon, m2/s, by temperature and carbon content, %: Agren 1986, Scripta Metall. 20, 1507 (formula through a code,
/// citation from memory).
pub fn agren_m2_s(t_c: f64, carbon_percent: f64) -> f64 {
    let t = t_c + KELVIN;
    let (carbon, iron) = (carbon_percent / 12.011, (100.0 - carbon_percent) / 55.845);
    // Carbon atoms for each place between the iron atoms.
    let y = carbon / iron;
    4.53e-7 * (1.0 + y * (1.0 - y) * 8339.9 / t) * (-(1.0 / t - 2.221e-4) * (17767.0 - 26436.0 * y)).exp()
}

/// Carbon, m2/s, by temperature, composition and aluminium, %: Lee, Matlock and Van Tyne, ISIJ Int. 51 (2011) 1903
/// (formula through a code, abstract seen).
pub fn lee_m2_s(t_c: f64, s: &Composition, aluminium: f64) -> f64 {
    let d0_cm2_s = 0.146 - 0.036 * s.c * (1.0 - 1.075 * s.cr) - 0.0315 * s.mn + 0.0509 * s.si - 0.0085 * s.ni
        + 0.3031 * s.mo
        - 0.0520 * aluminium;
    let q_kj = 144.3 - 15.0 * s.c + 0.37 * s.c * s.c - 4.3663 * s.mn + 4.0507 * s.si - 1.2407 * s.ni
        + 12.1266 * s.mo
        - 6.7886 * aluminium
        + 7.7260 * s.cr;
    // The paper states its own gas constant.
    d0_cm2_s * 1e-4 * (-q_kj / (8.314e-3 * (t_c + KELVIN))).exp()
}

/// Nickel in austenite, m2/s: `exp(-86.0/R) exp(-286000/(R T))`, an open set of mobility data (carrier).
pub fn nickel_m2_s(t_c: f64) -> f64 {
    arrhenius((-86.0 / GAS).exp(), 286e3, t_c)
}

/// Manganese in austenite, m2/s: about `1.6e-5 exp(-262000/(R T))`, from memory.
pub fn manganese_m2_s(t_c: f64) -> f64 {
    arrhenius(1.6e-5, 262e3, t_c)
}

const T: Input = must("temperature", "C", "temperature", 800.0, 1250.0);

const fn simple(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    source: &'static str,
    mark: Mark,
    eval: fn(&[f64]) -> f64,
) -> Law {
    Law {
        name,
        title,
        formula,
        inputs: &[T],
        gives: "diffusivity",
        unit: "m2/s",
        validity: "austenite; the range of temperatures is the one checked here (project figure)",
        source,
        mark,
        eval,
    }
}

const LEE_INPUTS: &[Input] = &{
    let [c, mn, si, cr, ni, v, w, mo] = eight(0.0, 2.0);
    [c, mn, si, cr, ni, v, w, mo, element("al", "aluminium by weight", 2.0), T]
};

/// The laws of this file.
pub const LAWS: &[Law] = &[
    simple(
        "carbon-diffusion",
        "carbon moving in austenite",
        "2.3e-5 exp(-148000/(R T))",
        "table of Callister, through worked copies",
        Mark::Carrier,
        |x| callister_m2_s(at(x, 0)),
    ),
    simple(
        "carbon-diffusion-raghavan",
        "carbon moving in austenite, second figures",
        "0.7e-4 exp(-157000/(R T))",
        "Raghavan, through worked copies",
        Mark::Carrier,
        |x| raghavan_m2_s(at(x, 0)),
    ),
    simple(
        "carbon-diffusion-carburising",
        "carbon moving in austenite, third figures",
        "0.15e-4 exp(-135000/(R T))",
        "carburising page of a teaching site",
        Mark::Read,
        |x| carburising_page_m2_s(at(x, 0)),
    ),
    Law {
        inputs: &[T, must("c", "%", "carbon by weight", 0.0, 2.0)],
        ..simple(
            "carbon-diffusion-agren",
            "carbon moving in austenite, by its own content",
            "4.53e-7 (1 + y (1 - y) 8339.9/T) exp(-(1/T - 2.221e-4)(17767 - 26436 y)), y = x/(1 - x)",
            "Agren, Scripta Metall. 20 (1986) 1507: formula through a code, citation from memory",
            Mark::Carrier,
            |x| agren_m2_s(at(x, 0), at(x, 1)),
        )
    },
    Law {
        inputs: LEE_INPUTS,
        ..simple(
            "carbon-diffusion-lee",
            "carbon moving in austenite, by composition",
            "D0 exp(-Q/(R T)), D0 [cm2/s] = 0.146 - 0.036C(1 - 1.075Cr) - 0.0315Mn + 0.0509Si - 0.0085Ni + 0.3031Mo - 0.0520Al, \
             Q [kJ/mol] = 144.3 - 15C + 0.37C^2 - 4.3663Mn + 4.0507Si - 1.2407Ni + 12.1266Mo - 6.7886Al + 7.7260Cr",
            "Lee, Matlock and Van Tyne, ISIJ Int. 51 (2011) 1903: formula through a code, abstract seen",
            Mark::Carrier,
            |x| lee_m2_s(at(x, 9), &composition(x), at(x, 8)),
        )
    },
    simple(
        "nickel-diffusion",
        "nickel moving in austenite: hardly at all",
        "exp(-86.0/R) exp(-286000/(R T))",
        "an open set of mobility data",
        Mark::Carrier,
        |x| nickel_m2_s(at(x, 0)),
    ),
    simple(
        "manganese-diffusion",
        "manganese moving in austenite: hardly at all",
        "1.6e-5 exp(-262000/(R T))",
        "from memory",
        Mark::Memory,
        |x| manganese_m2_s(at(x, 0)),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{near, within};

    #[test]
    fn table_computed() {
        // Reference, table 4.2: Callister, Raghavan, teaching site, Agren 0.2 and 0.8 % C, Lee and others at the
        // same, nickel.
        for (t, row) in [
            (800.0, [1.439e-12, 1.597e-12, 4.029e-12, 1.931e-12, 3.914e-12, 1.836e-12, 4.146e-12, 3.87e-19]),
            (900.0, [5.918e-12, 7.158e-12, 1.463e-11, 7.720e-12, 1.456e-11, 7.081e-12, 1.471e-11, 5.94e-18]),
            (1000.0, [1.949e-11, 2.534e-11, 4.339e-11, 2.483e-11, 4.404e-11, 2.210e-11, 4.276e-11, 5.95e-17]),
            (1100.0, [5.394e-11, 7.463e-11, 1.098e-10, 6.736e-11, 1.134e-10, 5.842e-11, 1.064e-10, 4.25e-16]),
            (1150.0, [8.506e-11, 1.210e-10, 1.664e-10, 1.053e-10, 1.731e-10, 9.025e-11, 1.600e-10, 1.03e-15]),
            (1200.0, [1.300e-10, 1.898e-10, 2.451e-10, 1.596e-10, 2.567e-10, 1.354e-10, 2.340e-10, 2.33e-15]),
        ] {
            let plain = |c| Composition::plain(c, 0.0, 0.0);
            let got = [
                callister_m2_s(t),
                raghavan_m2_s(t),
                carburising_page_m2_s(t),
                agren_m2_s(t, 0.2),
                agren_m2_s(t, 0.8),
                lee_m2_s(t, &plain(0.2), 0.0),
                lee_m2_s(t, &plain(0.8), 0.0),
            ];
            for (d, want) in got.into_iter().zip(row) {
                near(d, want, 5e-4);
            }
            near(nickel_m2_s(t), row.last().copied().unwrap_or(f64::NAN), 5e-3);
            // Two independent laws by carbon content: within 16 %.
            near(agren_m2_s(t, 0.2), lee_m2_s(t, &plain(0.2), 0.0), 0.19);
            near(agren_m2_s(t, 0.8), lee_m2_s(t, &plain(0.8), 0.0), 0.16);
        }
    }

    #[test]
    fn reach_in_an_hour_computed() {
        // Reference, 4.3: 684 um for carbon, 2.9 um for nickel at 1200 C.
        within((callister_m2_s(1200.0) * 3600.0).sqrt() * 1e6, 684.0, 0.6);
        within((nickel_m2_s(1200.0) * 3600.0).sqrt() * 1e6, 2.9, 0.06);
    }

    #[test]
    fn textbook_magnesium_in_aluminium() {
        // Callister: 1.2e-4 m2/s and 131 kJ/mol at 550 C give 5.8e-13 m2/s (printed).
        within(arrhenius(1.2e-4, 131e3, 550.0), 5.8e-13, 0.06e-13);
    }

    #[test]
    fn manganese_moves_about_as_iron_does() {
        // Iron in Fe-0.4 at% Mn (Million and others, Z. Metallk. 84 (1993) 687, through a page): cm2/s.
        for (t, iron) in [(1000.0, 1.60e-12), (1100.0, 8.95e-12), (1200.0, 5.97e-11)] {
            let ratio = manganese_m2_s(t) / (iron * 1e-4);
            assert!((0.5..2.5).contains(&ratio), "{t} {ratio}");
        }
    }
}
