//! The table of steels.

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{Units, trim_number};
use crate::steel::Grade;

use super::answer::{Answer, Table};
use super::law::in_inches;
use super::table::table;

fn percent(v: f64) -> String {
    if v == 0.0 { String::new() } else { trim_number(v, 3) }
}

/// Steels of the table.
pub struct SteelsPage<'a>(pub &'a [&'a Grade], pub Units);

#[derive(Serialize, JsonSchema)]
pub struct SteelsJson<'a> {
    steels: Vec<SteelJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct SteelJson<'a> {
    name: &'a str,
    also: &'a [String],
    standard: &'a str,
    carbon: f64,
    manganese: f64,
    silicon: f64,
    chromium: f64,
    nickel: f64,
    vanadium: f64,
    tungsten: f64,
    molybdenum: f64,
    density_kg_m3: f64,
    composition_mark: &'a str,
    density_mark: &'a str,
    source: &'a str,
    note: &'a str,
}

impl<'a> Answer for SteelsPage<'a> {
    type Json = SteelsJson<'a>;
    const SCHEMA: &'static str = "heatbook-steels-1";

    fn text(&self, wide: usize) -> String {
        let rows = self.0.iter().map(|g| {
            let mut row = vec![g.name.clone(), g.aliases.first().cloned().unwrap_or_default()];
            row.extend(g.composition.contents().map(percent));
            let sure = format!("{}; density: {}", g.composition_mark, g.density_mark);
            let density = match self.1 {
                Units::Metric => trim_number(g.density_kg_m3, 0),
                Units::Inch => trim_number(in_inches(g.density_kg_m3, "kg/m3").0, 4),
            };
            row.extend([density, g.standard.clone(), sure]);
            row
        });
        let dense = if self.1 == Units::Inch { "lb/in3" } else { "kg/m3" };
        let head = format!("steel|also|C|Mn|Si|Cr|Ni|V|W|Mo|{dense}|standard|how sure");
        table(head.split('|'), rows, 99, wide)
            + "\nnominal contents, weight per cent; a mill's own sheet comes before this table\n"
    }

    fn json(&self) -> SteelsJson<'a> {
        let steels = self.0.iter().map(|g| SteelJson {
            name: &g.name,
            also: &g.aliases,
            standard: &g.standard,
            carbon: g.composition.c,
            manganese: g.composition.mn,
            silicon: g.composition.si,
            chromium: g.composition.cr,
            nickel: g.composition.ni,
            vanadium: g.composition.v,
            tungsten: g.composition.w,
            molybdenum: g.composition.mo,
            density_kg_m3: g.density_kg_m3,
            composition_mark: &g.composition_mark,
            density_mark: &g.density_mark,
            source: &g.source,
            note: &g.note,
        });
        SteelsJson { steels: steels.collect() }
    }

    fn csv(&self) -> Option<Table> {
        let head =
            "name standard c mn si cr ni v w mo density_kg_m3 composition_mark density_mark source note";
        let rows = self.0.iter().map(|g| {
            let mut row = vec![g.name.clone(), g.standard.clone()];
            row.extend(g.composition.contents().map(|v| v.to_string()));
            row.push(g.density_kg_m3.to_string());
            row.extend([&g.composition_mark, &g.density_mark, &g.source, &g.note].map(Clone::clone));
            row
        });
        Some(Table::new(head.split(' '), rows))
    }
}
