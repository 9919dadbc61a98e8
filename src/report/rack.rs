//! The rack after a build, as lines of stock.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{show_count, trim_number};
use crate::study::Kept;

use super::Page;
use super::answer::{Answer, Table};
use super::fold::{code, words};
use super::table::table;
use crate::piece::layers_text;

/// What a build leaves over.
pub struct RackPage<'a> {
    /// The build.
    pub page: Page<'a>,
    /// What is left.
    pub kept: &'a [Kept],
    /// The order of a list; lines of stock without one.
    pub by: Option<RackOrder>,
}

/// In what order a rack is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RackOrder {
    /// By steel, the larger lots first
    Steel,
    /// The largest bars first
    Size,
    /// The most layers first
    Layers,
}

#[derive(Serialize, JsonSchema)]
pub struct RackJson<'a> {
    file: &'a str,
    /// The lines that make the steels of their own.
    steels: Vec<&'a str>,
    lots: Vec<LeftJson<'a>>,
}

/// One bar of a lot, and how many there are.
#[derive(Serialize, JsonSchema)]
pub struct LeftJson<'a> {
    name: &'a str,
    bars: u32,
    thickness_mm: f64,
    width_mm: f64,
    length_mm: f64,
    mass_g: f64,
    /// Sheets of steel in it, as the trade counts.
    layers: u64,
    of: Vec<ShareJson<'a>>,
    /// The line of stock that brings it back.
    line: Option<String>,
    /// Why there is none.
    why_none: Option<&'a str>,
}

#[derive(Serialize, JsonSchema)]
pub struct ShareJson<'a> {
    steel: &'a str,
    share: f64,
}

impl<'a> Answer for RackPage<'a> {
    type Json = RackJson<'a>;
    const SCHEMA: &'static str = "heatbook-rack-2";

    /// In the language: a line of stock for each lot, with its weight in a comment.
    fn text(&self, wide: usize) -> String {
        let RackPage { page, kept, by } = self;
        if kept.is_empty() {
            return String::new();
        }
        if by.is_some() {
            return self.list(wide);
        }
        let mut text = format!(
            "# The rack after {}:\n# what is left over, each lot as stock for the next build.\n",
            page.name
        );
        for (i, line) in self.steels().into_iter().enumerate() {
            let _ = writeln!(text, "{}{line}", if i == 0 { "\n" } else { "" });
        }
        for lot in kept.iter() {
            let bars = show_count(u64::from(lot.count), "bar");
            let each = if lot.count == 1 { "" } else { " each" };
            let weight = page.g(lot.bar.mass);
            let told = match &lot.stock {
                Ok(_) => match lot.unkept {
                    Some(unkept) => format!("{bars}, {weight}{each}: {unkept}."),
                    None => format!("{bars}, {weight}{each}."),
                },
                Err(_) => format!("{bars}, {}{each}, {}.", page.sizes(&lot.bar), made_of(page, lot)),
            };
            text += "\n";
            text.extend(words(&told, wide, "# ", "# ").into_iter().map(|line| line + "\n"));
            match (lot.line(&lot.name), &lot.stock) {
                (Some(line), _) => text += &code(&line, "", wide),
                (None, Err(why)) => {
                    let told = format!("{} cannot be written as stock: {why}.", lot.name);
                    text.extend(words(&told, wide, "# ", "# ").into_iter().map(|line| line + "\n"));
                }
                (None, Ok(_)) => {}
            }
        }
        text
    }

    /// A line of stock is not folded as words are.
    fn page(&self, wide: usize) -> String {
        self.text(wide)
    }

    fn json(&self) -> RackJson<'a> {
        let lots = self.sorted().into_iter().map(|lot| LeftJson {
            name: &lot.name,
            bars: lot.count,
            thickness_mm: lot.bar.calliper_thick(),
            width_mm: lot.bar.calliper_wide(),
            length_mm: lot.bar.long,
            mass_g: lot.bar.mass,
            of: mix(&self.page, lot).into_iter().map(|(steel, share)| ShareJson { steel, share }).collect(),
            layers: self.page.build.bench.makeup.layers(lot.bar.node),
            line: lot.line(&lot.name),
            why_none: lot.stock.as_ref().err().map(String::as_str),
        });
        RackJson { file: self.page.name, steels: self.steels(), lots: lots.collect() }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("name bars thickness_mm width_mm length_mm mass_g", self.json().lots))
    }
}

impl<'a> RackPage<'a> {
    /// The lots in the order that is asked for.
    fn sorted(&self) -> Vec<&'a Kept> {
        let mut kept: Vec<&Kept> = self.kept.iter().collect();
        let layers = |lot: &Kept| self.page.build.bench.makeup.layers(lot.bar.node);
        kept.sort_by(|a, b| b.bar.volume().total_cmp(&a.bar.volume()));
        match self.by {
            None => return self.kept.iter().collect(),
            Some(RackOrder::Size) => {}
            Some(RackOrder::Steel) => kept.sort_by_cached_key(|lot| made_of(&self.page, lot)),
            Some(RackOrder::Layers) => kept.sort_by_key(|lot| std::cmp::Reverse(layers(lot))),
        }
        kept
    }

    fn list(&self, wide: usize) -> String {
        let page = &self.page;
        let row = |lot: &Kept| {
            vec![
                lot.name.clone(),
                show_count(u64::from(lot.count), "bar"),
                made_of(page, lot).trim_start_matches("of ").to_owned(),
                layers_text(&page.build.bench.makeup, lot.bar.node),
                page.size(&lot.bar, 1.0, true),
                page.g(lot.bar.mass),
            ]
        };
        let rows: Vec<Vec<String>> = self.sorted().into_iter().map(row).collect();
        table(["on the rack", "", "of", "layers", "each", "weight each"], rows, 3, wide)
    }

    fn steels(&self) -> Vec<&'a str> {
        let mut steels: Vec<&str> =
            self.kept.iter().flat_map(|lot| &lot.steels).map(String::as_str).collect();
        steels.sort_unstable();
        steels.dedup();
        steels
    }
}

/// The steels of a lot with their shares, the largest first.
fn mix<'a>(page: &Page<'a>, lot: &Kept) -> Vec<(&'a str, f64)> {
    let mut mix: Vec<_> = page.build.bench.makeup.mix(lot.bar.node).collect();
    mix.sort_by(|a, b| b.1.total_cmp(&a.1));
    mix.into_iter().map(|(id, share)| (page.steel(id), share)).collect()
}

/// What a lot is of, in words.
fn made_of(page: &Page, lot: &Kept) -> String {
    match mix(page, lot).as_slice() {
        [(only, _)] => format!("of {only}"),
        several => {
            let part = |(name, share): &(&str, f64)| format!("{name} {} %", trim_number(share * 100.0, 0));
            format!("of {}", several.iter().map(part).collect::<Vec<_>>().join(" and "))
        }
    }
}
