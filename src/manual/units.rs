//! The pages of units: from the table of `quantity`, each with a recipe that has it in it.

use super::codes::{codes, page_of};
use super::entries::{self, Entry};
use super::page::{Broken, Example, Page, Topic};
use super::sample::Sample;
use crate::quantity::{Kind, Reading, UNITS, Unit, trim_number};
use crate::source::Code;

/// A page for each unit word, those that are refused too.
pub fn pages() -> Vec<Page> {
    let entries = entries::read(include_str!("things/units.txt"));
    UNITS.iter().map(|unit| page(unit, entries.iter().find(|e| e.name == unit.kind.name()))).collect()
}

fn page(unit: &Unit, entry: Option<&Entry>) -> Page {
    let kind = unit.kind.name();
    let base = base(unit.kind);
    let doc = match unit.reading {
        Reading::Factor(1.0) => format!("{kind}; figures are kept in it"),
        Reading::Factor(factor) => {
            format!("{kind}: 1 {} is {} {base}", unit.word, figure(factor, 10.0)).trim_end().to_owned()
        }
        Reading::Celsius => format!("{kind}; figures are kept in it"),
        Reading::Fahrenheit => format!("{kind}: 212 {} is 100 C, and 32 {} is 0 C", unit.word, unit.word),
        Reading::Refused(_) => format!("{kind}, and not read: it can be taken for something else"),
    };
    let mut page = Page::new(Topic::Unit, unit.word, doc);
    if let Reading::Refused(why) = unit.reading {
        page.fact("instead", why);
        page.broken = Broken::of(page_of(Code::RefusedUnit));
        page.codes.push(page_of(Code::RefusedUnit));
        return page;
    }
    page.fact("factor", unit.source());
    page.fact("written", unit.kind.example());
    page.codes = codes().iter().filter(|c| c.comes_from_place("units")).collect();
    page.broken = Broken::of(page_of(Code::UnknownUnit));
    page.example = entry.and_then(|entry| example(unit, entry)).map(Example::Recipe);
    page
}

/// The recipe of a kind, with a figure in this unit.
fn example(unit: &Unit, entry: &Entry) -> Option<Sample> {
    let base: f64 = entry.field("base").parse().ok()?;
    let value = match unit.reading {
        Reading::Factor(factor) => base / factor,
        Reading::Celsius => base,
        Reading::Fahrenheit => base * 9.0 / 5.0 + 32.0,
        Reading::Refused(_) => return None,
    };
    let written = format!("{} {}", figure(value, 4.0), unit.word);
    entry.sample.mended(&[("FIGURE".to_owned(), written)])
}

/// A figure with so many significant digits, no noughts behind them.
fn figure(value: f64, digits: f64) -> String {
    let size = value.abs().log10().floor();
    trim_number(value, (digits - 1.0 - size).clamp(0.0, 12.0) as usize)
}

fn base(kind: Kind) -> &'static str {
    match kind {
        Kind::LENGTH => "mm",
        Kind::AREA => "mm2",
        Kind::VOLUME => "mm3",
        Kind::MASS => "g",
        Kind::DENSITY => "g/mm3",
        Kind::TIME => "min",
        Kind::FORCE => "kN",
        _ => "",
    }
}
