//! Published laws of hot steel: one file a law, with its source, units, limits and mark.

pub mod barrel;
pub mod bite;
pub mod bonding;
pub mod composition;
pub mod conductivity;
pub mod cooling;
pub mod cooling_laws;
pub mod draft;
pub mod ekelund;
pub mod expansion;
pub mod flow_stress;
pub mod grades;
pub mod hammer;
pub mod heat_capacity;
pub mod hensel_spittel;
mod inputs;
pub mod law;
pub mod layered;
pub mod medium_carbon;
pub mod misaka;
pub mod oxidation;
pub mod press_disc;
pub mod press_load;
pub mod press_strip;
mod quadrature;
pub mod rolls;
pub mod scale;
pub mod solidus;
pub mod spread;
pub mod stainless;
pub mod table;
#[cfg(test)]
mod testing;
pub mod tonnage;
pub mod twist;
pub mod upset_rule;
pub mod window;
pub mod work;

pub use composition::Composition;
pub use grades::Grade;

use law::Law;

/// Every law of this room, file by file.
pub fn laws() -> impl Iterator<Item = &'static Law> {
    [
        spread::LAWS,
        conductivity::LAWS,
        cooling_laws::LAWS,
        expansion::LAWS,
        heat_capacity::LAWS,
        oxidation::LAWS,
        scale::LAWS,
        solidus::LAWS,
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
    ]
    .into_iter()
    .chain(rolls::LAWS.iter().copied())
    .flatten()
}

#[cfg(test)]
mod tests {
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
        for law in laws() {
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
        for law in laws() {
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
        for law in laws() {
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
