//! What is published about steel: grades, and laws with their sources. One file a law.
//!
//! Temperatures in C, sizes in mm or um, shares in % unless a name says otherwise. Nothing here knows of pieces, steps or
//! recipes. Every law of a file stands in its `LAWS`, so that it can be asked for by name; the plain functions beside it
//! are what a replay calls. Outside its limits a law gives NaN or `None`, or is held at its end: each says which.

pub mod catalogue;
pub mod grades;
pub mod laws;

#[cfg(test)]
mod testing;

pub use grades::{Composition, Grade};

use catalogue::law::Law;
use catalogue::*;
use grades::*;
use laws::*;

use crate::vocabulary::{Sort, Term};

/// Laws of heat, scale, carbon and the steels themselves.
const HEAT: &[&[Law]] = &[
    weight::LAWS,
    expansion::LAWS,
    heat_capacity::LAWS,
    conductivity::LAWS,
    cooling_laws::LAWS,
    scale::LAWS,
    oxidation::LAWS,
    decarb::LAWS,
    diffusion::LAWS,
    contrast::LAWS,
    solidus::LAWS,
    window::LAWS,
    grain::LAWS,
    critical::LAWS,
    martensite::LAWS,
    hardness::LAWS,
    tempering::LAWS,
    conversion::LAWS,
    hardenability::LAWS,
    growth::LAWS,
];

/// Laws of shaping: spread, flow stress, load, work.
const FORMING: &[&[Law]] = &[
    spread::LAWS,
    bite::LAWS,
    draft::LAWS,
    flow_stress::LAWS,
    hensel_spittel::LAWS,
    medium_carbon::LAWS,
    stainless::LAWS,
    misaka::LAWS,
    ekelund::LAWS,
    press_load::LAWS,
    press_strip::LAWS,
    press_disc::LAWS,
    tonnage::LAWS,
    work::LAWS,
    hammer::LAWS,
    upset_rule::LAWS,
    barrel::LAWS,
    bonding::LAWS,
    twist::LAWS,
];

fn forming_laws() -> impl Iterator<Item = &'static Law> {
    FORMING.iter().chain(rolls::LAWS).copied().flatten()
}

/// Every law, by subject.
pub fn laws() -> impl Iterator<Item = &'static Law> {
    HEAT.iter().copied().flatten().chain(forming_laws())
}

/// The words of what a steel has in it, for the vocabulary.
pub fn terms() -> impl Iterator<Item = Term> {
    let of_iron = [
        "carbon",
        "manganese",
        "silicon",
        "chromium",
        "nickel",
        "vanadium",
        "tungsten",
        "molybdenum",
        "density",
    ];
    of_iron.into_iter().map(|word| Term::new(word, Sort::Element))
}

#[cfg(test)]
mod tests {
    use super::laws;
    use std::collections::BTreeSet;

    const UNITS: &[&str] = &[
        "mm", "um", "C", "K", "s", "min", "h", "%", "MPa", "kN", "J", "1/s", "m2/s", "J/kgK", "W/mK",
        "W/m2K", "kg/m3", "HRC", "HV", "HBW", "g", "kg", "mm2", "mm3", "deg", "1/min", "m/s", "N m", "W",
        "kg/m", "lb/ft", "in", "in2", "",
    ];

    #[test]
    fn names_are_words_and_no_two_alike() {
        let mut seen = BTreeSet::new();
        for law in laws() {
            assert!(seen.insert(law.name), "{}", law.name);
            let sound = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(law.name.chars().all(sound), "{}", law.name);
            let mut keys = BTreeSet::new();
            assert!(law.inputs.iter().all(|i| keys.insert(i.key)), "{}", law.name);
        }
    }

    #[test]
    fn every_law_says_what_it_must() {
        for law in laws() {
            for text in [law.title, law.formula, law.gives, law.validity, law.source] {
                assert!(!text.is_empty() && !text.contains("  "), "{}: {text}", law.name);
                assert!(!text.contains("://"), "{}", law.name);
            }
            assert!(UNITS.contains(&law.unit), "{}", law.name);
            for input in law.inputs {
                assert!(UNITS.contains(&input.unit), "{} {}", law.name, input.key);
                assert!(input.low < input.high, "{} {}", law.name, input.key);
                let held = input.default.is_none_or(|d| input.low <= d && d <= input.high);
                assert!(held, "{} {}", law.name, input.key);
            }
        }
    }

    #[test]
    fn every_law_answers_within_its_limits_and_never_stops_the_program() {
        for law in laws() {
            let middle = |i: &super::law::Input| i.default.unwrap_or(0.5 * (i.low + i.high));
            let mut values: Vec<f64> = law.inputs.iter().map(middle).collect();
            // A bar cannot cool to where it starts from: let the end lie below the start.
            for (value, input) in values.iter_mut().zip(law.inputs) {
                if input.key == "to" {
                    *value -= 100.0;
                }
            }
            assert!((law.eval)(&values).is_finite(), "{} at {values:?}", law.name);
            assert!((law.eval)(&[]).is_nan(), "{}", law.name);
            for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -1.0, 1e300, 1e-300] {
                let all: Vec<f64> = law.inputs.iter().map(|_| odd).collect();
                let _ = (law.eval)(&all);
                for place in 0..values.len() {
                    let mut one = values.clone();
                    if let Some(value) = one.get_mut(place) {
                        *value = odd;
                    }
                    let _ = (law.eval)(&one);
                }
            }
        }
    }
}

#[cfg(test)]
mod forming_tests {
    use super::*;
    use std::collections::BTreeSet;

    /// A value inside each range, its default where it has one.
    fn usual(law: &Law) -> Vec<f64> {
        let inside = |low: f64, high: f64| {
            // The geometric middle where it exists: ranges often span several powers of ten.
            if low > 0.0 { (low * high).sqrt() } else { 0.3 * high }
        };
        law.inputs.iter().map(|i| i.default.unwrap_or_else(|| inside(i.low, i.high))).collect()
    }

    // Computed: what every law must keep, whatever it says.
    #[test]
    fn every_law_is_whole_computed() {
        let mut names = BTreeSet::new();
        for law in forming_laws() {
            assert!(names.insert(law.name), "{} twice", law.name);
            assert!(law.name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'));
            assert!(law.formula.is_ascii(), "{}", law.name);
            for text in [law.title, law.formula, law.gives, law.validity, law.source] {
                assert!(!text.is_empty() && !text.contains("  "), "{}: {text}", law.name);
            }
            let keys: BTreeSet<_> = law.inputs.iter().map(|i| i.key).collect();
            assert_eq!(keys.len(), law.inputs.len(), "{}", law.name);
            for i in law.inputs {
                assert!(i.low < i.high, "{} {}", law.name, i.key);
                assert!(i.default.is_none_or(|d| (i.low..=i.high).contains(&d)), "{} {}", law.name, i.key);
            }
        }
        assert!(names.len() > 50);
    }

    // Computed: the mark and the source's words say the same.
    #[test]
    fn marks_match_their_sources_computed() {
        for law in forming_laws() {
            let says = |words: &str| law.source.contains(words);
            match law.mark {
                law::Mark::Memory => assert!(says("memory"), "{}", law.name),
                law::Mark::Carrier => {
                    assert!(says("seen through") || says("companion"), "{}", law.name)
                }
                law::Mark::Project => assert!(says("project"), "{}", law.name),
                law::Mark::Read => {
                    assert!(!says("memory") && !says("seen through"), "{}", law.name)
                }
                law::Mark::Practice | law::Mark::OwnFit => {}
            }
        }
    }

    // Computed: enough inputs give a figure, too few give NaN, and none panics.
    #[test]
    fn too_few_inputs_give_nan_computed() {
        for law in forming_laws() {
            let mut values = usual(law);
            // A pass or a stack must get thinner to give a figure.
            if let Some(to) = law.inputs.iter().position(|i| i.key == "to") {
                values[to] = 0.8 * values[to - 1];
            }
            let whole = (law.eval)(&values);
            assert!(whole.is_finite(), "{} gives {whole} from {values:?}", law.name);
            for short in 0..values.len() {
                assert!((law.eval)(&values[..short]).is_nan(), "{} with {short} inputs", law.name);
            }
            for odd in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, 1e-300] {
                let _ = (law.eval)(&vec![odd; values.len()]);
                for place in 0..values.len() {
                    let mut one = values.clone();
                    one[place] = odd;
                    let got = (law.eval)(&one);
                    assert!(!odd.is_nan() || got.is_nan(), "{} hides a NaN", law.name);
                }
            }
        }
    }
}
