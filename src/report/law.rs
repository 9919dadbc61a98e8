//! A published law, worked for given figures: the figure, its limits, its source, how sure it is.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use super::answer::{Answer, Table};
use super::finite;
use super::table::table;
use crate::quantity::significant;
use crate::steel::catalogue::law::Law;

/// A law and the figures it is worked for, each in the unit of its input.
pub struct Worked {
    /// The law.
    pub law: &'static Law,
    /// The figures, in the order of the law's inputs.
    pub inputs: Vec<f64>,
}

/// A figure as it was given, to five digits.
fn figure(value: f64) -> String {
    significant(value, 5)
}

impl Worked {
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
                let (value, low, high) = (figure(*v), figure(i.low), figure(i.high));
                format!("`{}` is {value} {}; the law holds from {low} to {high}", i.key, i.unit)
                    .replace("  ", " ")
            })
            .collect()
    }
}

/// The published laws.
pub struct LawsPage;

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
            vec![l.law.to_owned(), l.title.to_owned(), l.inputs.join(", "), l.mark.to_owned()]
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
        let unit = if result.is_finite() { law.unit } else { "" };
        let _ = writeln!(text, "{}: {}\n", law.name, law.title);
        let shown = if result.is_finite() { law.shown(result) } else { "no figure".to_owned() };
        let _ = writeln!(text, "  {} = {shown} {unit}", law.gives);
        for outside in self.outside() {
            let _ = writeln!(text, "  outside its limits: {outside}");
        }
        text += "\n";
        let rows = law.inputs.iter().zip(&self.inputs).map(|(i, v)| {
            let range = format!("{} to {}", figure(i.low), figure(i.high));
            vec![format!("  {}", i.key), format!("{} {}", figure(*v), i.unit), range, i.what.to_owned()]
        });
        text += &table(["  for", "", "holds", "what it is"], rows, 9, wide);
        let _ = writeln!(text, "\n  formula: {}", law.formula);
        let _ = writeln!(text, "  holds for: {}", law.validity);
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
