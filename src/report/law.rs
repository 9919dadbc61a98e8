//! A published law, worked for given figures: the figure, its limits, its source, how sure it is.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use super::answer::{Answer, Table};
use super::finite;
use super::table::table;
use crate::quantity::{LB, US_TONF, Units, significant, turned};
use crate::steel::catalogue::law::{Input, Law};

/// A law and the figures it is worked for, each in the unit of its input.
pub struct Worked {
    /// The law.
    pub law: &'static Law,
    /// The figures, in the order of the law's inputs.
    pub inputs: Vec<f64>,
    /// The units to show them in.
    pub units: Units,
}

/// Cubic inches of a pound at a kilogram a cubic metre: (25.4e-3 m)^3 against 0.45359237 kg, both exact (1959).
const KG_M3_OF_LB_IN3: f64 = LB / 1000.0 / (25.4e-3 * 25.4e-3 * 25.4e-3);

/// A figure of a law's own unit, as an inch shop has it: the figure, and its unit.
pub(crate) fn in_inches(value: f64, unit: &'static str) -> (f64, &'static str) {
    match unit {
        "mm" => (value / 25.4, "in"),
        "mm2" => (value / (25.4 * 25.4), "in2"),
        "mm3" => (value / (25.4 * 25.4 * 25.4), "in3"),
        "g" => (value / LB, "lb"),
        "kg" => (value * 1000.0 / LB, "lb"),
        "C" => (value * 1.8 + 32.0, "F"),
        "kN" => (value / US_TONF, "US tonf"),
        "kg/m3" => (value / KG_M3_OF_LB_IN3, "lb/in3"),
        _ => (value, unit),
    }
}

/// A figure as it was given, to five digits.
fn figure(value: f64) -> String {
    significant(value, 5)
}

impl Worked {
    /// A figure with its unit, as they are to be shown.
    fn told(&self, value: f64, unit: &'static str) -> String {
        let (value, unit) = if self.units == Units::Inch { in_inches(value, unit) } else { (value, unit) };
        format!("{} {unit}", figure(value)).trim_end().to_owned()
    }

    /// Words about a law, as they are to be shown.
    fn said(&self, words: &str) -> String {
        if self.units == Units::Inch { turned(words, |_| false) } else { words.to_owned() }
    }

    /// From where to where an input may be, in the units to be shown, without the unit.
    fn range(&self, input: &Input) -> String {
        let of = |v: f64| figure(if self.units == Units::Inch { in_inches(v, input.unit).0 } else { v });
        format!("{} to {}", of(input.low), of(input.high))
    }

    /// What the law gives.
    #[must_use]
    pub fn result(&self) -> f64 {
        self.law.of(&self.inputs)
    }

    /// The inputs that lie outside what the law was made for, as sentences.
    #[must_use]
    pub fn outside(&self) -> Vec<String> {
        let inputs = self.law.inputs.iter().zip(&self.inputs);
        inputs
            .filter(|(i, v)| !(i.low..=i.high).contains(*v))
            .map(|(i, v)| {
                format!("`{}` is {}; the law holds from {}", i.key, self.told(*v, i.unit), self.range(i))
            })
            .collect()
    }
}

/// The published laws.
pub struct LawsPage(pub Units);

#[derive(Serialize, JsonSchema)]
pub struct LawsJson {
    laws: Vec<ListedJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct ListedJson {
    law: &'static str,
    title: &'static str,
    inputs: Vec<&'static str>,
    unit: &'static str,
    mark: &'static str,
}

impl Answer for LawsPage {
    type Json = LawsJson;
    const SCHEMA: &'static str = "heatbook-laws-1";

    fn text(&self, wide: usize) -> String {
        let row = |l: ListedJson| {
            let title = if self.0 == Units::Inch { turned(l.title, |_| false) } else { l.title.to_owned() };
            vec![l.law.to_owned(), title, l.inputs.join(", "), l.mark.to_owned()]
        };
        let head = ["law", "what it gives", "from", "how sure"];
        table(head, self.json().laws.into_iter().map(row), 9, wide)
    }

    fn json(&self) -> LawsJson {
        let listed = |law: &'static Law| ListedJson {
            law: law.name,
            title: law.title,
            inputs: law.inputs.iter().map(|i| i.key).collect(),
            unit: law.unit,
            mark: law.mark.words(),
        };
        LawsJson { laws: crate::steel::laws().map(listed).collect() }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("law title inputs unit mark", self.json().laws))
    }
}

/// One law, worked: inputs and value in the law's own units.
#[derive(Serialize, JsonSchema)]
pub struct LawJson<'a> {
    law: &'a str,
    title: &'a str,
    gives: &'a str,
    value: Option<f64>,
    unit: &'a str,
    inputs: std::collections::BTreeMap<&'a str, f64>,
    outside: Vec<String>,
    formula: &'a str,
    validity: &'a str,
    source: &'a str,
    mark: &'static str,
}

impl Answer for Worked {
    type Json = LawJson<'static>;
    const SCHEMA: &'static str = "heatbook-law-1";

    fn text(&self, wide: usize) -> String {
        let law = self.law;
        let result = self.result();
        let mut text = String::new();
        let _ = writeln!(text, "{}: {}\n", law.name, self.said(law.title));
        let (value, unit) =
            if self.units == Units::Inch { in_inches(result, law.unit) } else { (result, law.unit) };
        let shown =
            if result.is_finite() { format!("{} {unit}", law.shown(value)) } else { "no figure ".to_owned() };
        let _ = writeln!(text, "  {} = {shown}", law.gives);
        for outside in self.outside() {
            let _ = writeln!(text, "  outside its limits: {outside}");
        }
        text += "\n";
        let rows = law.inputs.iter().zip(&self.inputs).map(|(i, v)| {
            vec![format!("  {}", i.key), self.told(*v, i.unit), self.range(i), self.said(i.what)]
        });
        text += &table(["  for", "", "holds", "what it is"], rows, 9, wide);
        let _ = writeln!(text, "\n  formula: {}", law.formula);
        let _ = writeln!(text, "  holds for: {}", self.said(law.validity));
        let _ = writeln!(text, "  source: {} ({})", law.source, law.mark.words());
        text
    }

    fn json(&self) -> LawJson<'static> {
        let law = self.law;
        LawJson {
            law: law.name,
            title: law.title,
            gives: law.gives,
            value: finite(self.result()),
            unit: law.unit,
            inputs: law.inputs.iter().map(|i| i.key).zip(self.inputs.iter().copied()).collect(),
            outside: self.outside(),
            formula: law.formula,
            validity: law.validity,
            source: law.source,
            mark: law.mark.words(),
        }
    }
}
