//! The laws as their tables have them, read once.
//!
//! An entry begins with `# name`. `as NAME` stands for what an earlier law of the same table says there; an input is
//! `key [unit] low to high, else default: what it is`, or `as NAME`, `key as NAME`, `key to key as NAME`. A `check` is
//! `who says it | inputs => figure; …`, which the tests try to half its last digit, or `figure within so much`. `digits: n` is what a result
//! is worth where that is more than three. Lines that begin with `;` are remarks.

use std::sync::OnceLock;

use crate::steel::catalogue::formulas::FORMULAS;
use crate::steel::catalogue::law::{Input, Law};
use crate::steel::mark::Mark;

const TABLES: [&str; 7] = [
    include_str!("heat.txt"),
    include_str!("fire.txt"),
    include_str!("hardening.txt"),
    include_str!("spread.txt"),
    include_str!("flow.txt"),
    include_str!("press.txt"),
    include_str!("rolls.txt"),
];

/// Every law, by subject.
pub fn laws() -> impl Iterator<Item = &'static Law> {
    static LAWS: OnceLock<Vec<Law>> = OnceLock::new();
    LAWS.get_or_init(|| TABLES.iter().flat_map(|table| read(table)).collect()).iter()
}

fn read(table: &'static str) -> Vec<Law> {
    let mut laws = Vec::new();
    for (name, lines) in entries(table) {
        let law = law(name, &lines, &laws);
        laws.push(law);
    }
    laws
}

/// The entries of a table: the name of each, and its lines as key and value.
fn entries(table: &'static str) -> impl Iterator<Item = (&'static str, Vec<(&'static str, &'static str)>)> {
    table.split("\n# ").skip(1).map(|entry| {
        let (name, rest) = halves(entry, "\n");
        let lines = rest.lines().filter(|line| !line.is_empty() && !line.starts_with(';'));
        (name, lines.map(|line| halves(line, ": ")).collect())
    })
}

fn law(name: &'static str, lines: &[(&'static str, &'static str)], before: &[Law]) -> Law {
    let line = |key: &str| match lines.iter().find(|(k, _)| *k == key) {
        Some((_, value)) => *value,
        None => bug!("the law `{name}` has no `{key}`"),
    };
    let text = |key: &str, of: fn(&Law) -> &'static str| {
        let own = line(key);
        own.strip_prefix("as ").and_then(|n| before.iter().find(|l| l.name == n)).map_or(own, of)
    };
    let gives = line("gives");
    let (gives, unit) = gives.strip_suffix(']').map_or((gives, ""), |g| halves(g, " ["));
    let inputs = lines.iter().filter(|(key, _)| *key == "input");
    let Some((_, eval)) = FORMULAS.iter().find(|(n, _)| *n == name) else {
        bug!("the law `{name}` has no formula")
    };
    Law {
        name,
        title: line("title"),
        formula: text("formula", |l| l.formula),
        inputs: inputs.flat_map(|(_, value)| inputs_of(value, before)).collect(),
        gives,
        unit,
        validity: text("holds", |l| l.validity),
        source: text("source", |l| l.source),
        mark: Mark::named(line("mark")),
        digits: lines.iter().find(|(key, _)| *key == "digits").map(|(_, n)| number(n) as i32),
        eval: *eval,
    }
}

/// The inputs that one line tells of: those of an earlier law, or one of its own.
fn inputs_of(text: &'static str, before: &[Law]) -> Vec<Input> {
    let (keys, name) = text.rsplit_once("as ").unwrap_or(("", ""));
    if let Some(law) = before.iter().find(|l| l.name == name) {
        let keys = keys.trim_end();
        let (first, last) = keys.split_once(" to ").unwrap_or((keys, keys));
        let place = |key| match law.inputs.iter().position(|i| i.key == key) {
            Some(place) => place,
            None => bug!("the law `{name}` has no input `{key}`"),
        };
        let (first, last) =
            if keys.is_empty() { (0, law.inputs.len()) } else { (place(first), place(last) + 1) };
        return law.inputs.iter().take(last).skip(first).copied().collect();
    }
    let (range, what) = halves(text, ": ");
    let (range, default) =
        range.split_once(", else ").map_or((range, None), |(range, d)| (range, Some(number(d))));
    let (key, range) = halves(range, " ");
    let (unit, range) = range.strip_prefix('[').map_or(("", range), |r| halves(r, "] "));
    let (low, high) = halves(range, " to ");
    vec![Input { key, unit, what, low: number(low), high: number(high), default }]
}

fn halves(text: &'static str, mark: &str) -> (&'static str, &'static str) {
    text.split_once(mark).unwrap_or_else(|| bug!("`{text}` of a table of laws has no `{mark}`"))
}

fn number(text: &str) -> f64 {
    text.trim().parse().unwrap_or_else(|_| bug!("`{text}` of a table of laws is no number"))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::steel::laws::flow_stress::range;
    use crate::steel::laws::scale;

    const UNITS: &[&str] = &[
        "mm", "um", "C", "K", "s", "min", "h", "%", "MPa", "kN", "J", "1/s", "m2/s", "J/kgK", "W/mK",
        "W/m2K", "kg/m3", "HRC", "g", "kg", "mm2", "mm3", "deg", "m/s", "N m", "",
    ];

    #[test]
    fn every_law_says_what_it_must() {
        let mut seen = BTreeSet::new();
        for law in laws() {
            let sound = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(seen.insert(law.name) && law.name.chars().all(sound), "{}", law.name);
            for text in [law.title, law.formula, law.gives, law.validity, law.source] {
                assert!(!text.is_empty() && text == text.trim(), "{}: {text}", law.name);
                assert!(!text.contains("  ") && !text.contains("://"), "{}: {text}", law.name);
                assert!(!text.starts_with("as ") || text.contains(','), "{}: {text}", law.name);
            }
            // A book or a standard is cited, never where it was carried.
            let address = ["github", "://", ".com", ".edu", ".org", "exchange"];
            assert!(!address.iter().any(|mark| law.source.contains(mark)), "{}: {}", law.name, law.source);
            assert!(law.formula.is_ascii() && UNITS.contains(&law.unit), "{}", law.name);
            let mut keys = BTreeSet::new();
            for input in &law.inputs {
                assert!(keys.insert(input.key) && UNITS.contains(&input.unit), "{} {}", law.name, input.key);
                assert!(input.low < input.high, "{} {}", law.name, input.key);
                let held = input.default.is_none_or(|d| input.low <= d && d <= input.high);
                assert!(held, "{} {}", law.name, input.key);
            }
        }
        assert!(FORMULAS.iter().all(|(name, _)| seen.contains(name)) && FORMULAS.len() == seen.len());
    }

    #[test]
    fn marks_match_their_sources() {
        for law in laws() {
            let says = |words: &str| law.source.contains(words);
            match law.mark {
                Mark::Memory => assert!(says("memory"), "{}", law.name),
                Mark::Project => assert!(says("project") || says("difference of"), "{}", law.name),
                Mark::Read => assert!(!says("memory") && !says("seen through"), "{}", law.name),
                Mark::Practice => assert!(says("common practice"), "{}", law.name),
                Mark::OwnFit => assert!(says("own fit"), "{}", law.name),
                Mark::Carrier => {}
            }
        }
    }

    #[test]
    fn every_law_answers_within_its_limits_and_never_stops_the_program() {
        for law in laws() {
            let mut values: Vec<f64> =
                law.inputs.iter().map(|i| i.default.unwrap_or(0.5 * (i.low + i.high))).collect();
            // A bar cannot cool to where it starts from, a pass cannot thicken: let the end lie below the start.
            if let Some(to) = law.inputs.iter().position(|i| i.key == "to") {
                values[to] = 0.8 * values[to - 1];
            }
            assert!(law.of(&values).is_finite(), "{} at {values:?}", law.name);
            for short in 0..values.len() {
                assert!(law.of(&values[..short]).is_nan(), "{} with {short} inputs", law.name);
            }
            for odd in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, 1e-300] {
                let _ = law.of(&vec![odd; values.len()]);
                for place in 0..values.len() {
                    let mut one = values.clone();
                    one[place] = odd;
                    let _ = law.of(&one);
                }
            }
        }
    }

    #[test]
    fn tables_and_runs_go_by_the_same_figures() {
        let input = |law: &str, key: &str| {
            let law = laws().find(|l| l.name == law).unwrap();
            *law.inputs.iter().find(|i| i.key == key).unwrap()
        };
        for (key, range) in [
            ("carbon", range::CARBON_PCT),
            ("at", range::TEMP_C),
            ("strain", range::STRAIN),
            ("rate", range::RATE_PER_S),
        ] {
            let input = input("flow-stress-shida", key);
            assert_eq!((input.low, input.high), range, "{key}");
        }
        assert_eq!(input("skin", "temperature").default, Some(scale::STANDARD_C));
        assert_eq!(input("skin", "time").default, Some(scale::STANDARD_MIN));
    }

    /// Half of the last digit that a figure is printed with.
    fn half_digit(text: &str) -> f64 {
        let (digits, power) = text.split_once('e').map_or((text, 0), |(d, p)| (d, p.parse().unwrap()));
        let decimals = digits.split_once('.').map_or(0, |(_, d)| i32::try_from(d.len()).unwrap());
        0.5 * 10f64.powi(power - decimals)
    }

    #[test]
    fn published_and_reckoned_figures_come_out() {
        let (mut tried, mut missed) = (0, Vec::new());
        for (name, lines) in TABLES.iter().flat_map(|t| entries(t)) {
            let law = laws().find(|l| l.name == name).unwrap();
            for (_, check) in lines.iter().filter(|(key, _)| *key == "check") {
                for row in halves(check, " | ").1.split("; ") {
                    let (given, want) = row.split_once("=> ").unwrap();
                    let given = given.split(',').map(str::trim).filter(|g| !g.is_empty()).map(number);
                    let left = law.inputs.iter().map(|i| i.default.unwrap_or(f64::NAN));
                    let inputs: Vec<f64> = given.clone().chain(left.skip(given.count())).collect();
                    let (want, within) =
                        want.split_once(" within ").map_or((want, half_digit(want)), |(w, t)| (w, number(t)));
                    let got = law.of(&inputs);
                    if (got - number(want)).abs() > 1.002 * within {
                        missed.push(format!("{name}: {row}: got {got}"));
                    }
                    tried += 1;
                }
            }
        }
        assert!(missed.is_empty() && tried > 500, "{tried}, {missed:#?}");
    }
}
