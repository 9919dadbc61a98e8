//! A published law, worked for given figures: the figure, its limits, its source, how sure it is.

use std::fmt::Write as _;

use serde::Serialize;

use super::table::table;
use crate::quantity::trim_number;
use crate::steel::catalogue::law::Law;

/// A law and the figures it is worked for, each in the unit of its input.
pub struct Worked {
    /// The law.
    pub law: &'static Law,
    /// The figures, in the order of the law's inputs.
    pub inputs: Vec<f64>,
}

/// Five significant digits: more than any of these laws is worth.
fn figure(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { "no figure".to_owned() };
    }
    let size = value.abs().log10().floor();
    if !(-5.0..7.0).contains(&size) {
        return format!("{value:.4e}");
    }
    trim_number(value, (4.0 - size).clamp(0.0, 9.0) as usize)
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

/// Every law, a line each.
#[must_use]
pub fn laws_text() -> String {
    let rows = crate::steel::laws()
        .map(|law| {
            let keys: Vec<&str> = law.inputs.iter().map(|i| i.key).collect();
            vec![law.name.to_owned(), law.title.to_owned(), keys.join(", "), law.mark.words().to_owned()]
        })
        .collect();
    table(&["law", "what it gives", "from", "how sure"], rows, 9)
}

/// One law, worked.
#[must_use]
pub fn law_text(worked: &Worked) -> String {
    let law = worked.law;
    let result = worked.result();
    let mut text = String::new();
    let unit = if result.is_finite() { law.unit } else { "" };
    let _ = writeln!(text, "{}: {}\n", law.name, law.title);
    let _ = writeln!(text, "  {} = {} {unit}", law.gives, figure(result));
    for outside in worked.outside() {
        let _ = writeln!(text, "  outside its limits: {outside}");
    }
    text += "\n";
    let rows = law
        .inputs
        .iter()
        .zip(&worked.inputs)
        .map(|(i, v)| {
            let range = format!("{} to {}", figure(i.low), figure(i.high));
            vec![format!("  {}", i.key), format!("{} {}", figure(*v), i.unit), range, i.what.to_owned()]
        })
        .collect();
    text += &table(&["  for", "", "holds", "what it is"], rows, 9);
    let _ = writeln!(text, "\n  formula: {}", law.formula);
    let _ = writeln!(text, "  holds for: {}", law.validity);
    let _ = writeln!(text, "  source: {} ({})", law.source, law.mark.words());
    text
}

#[derive(Serialize)]
struct LawJson<'a> {
    schema: &'static str,
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

/// One law, worked, as JSON: inputs and value in the law's own units.
#[must_use]
pub fn law_json(worked: &Worked) -> String {
    let law = worked.law;
    let json = LawJson {
        schema: "heatbook-law-1",
        law: law.name,
        title: law.title,
        gives: law.gives,
        value: Some(worked.result()).filter(|v| v.is_finite()),
        unit: law.unit,
        inputs: law.inputs.iter().map(|i| i.key).zip(worked.inputs.iter().copied()).collect(),
        outside: worked.outside(),
        formula: law.formula,
        validity: law.validity,
        source: law.source,
        mark: law.mark.words(),
    };
    serde_json::to_string_pretty(&json).unwrap_or_default() + "\n"
}
