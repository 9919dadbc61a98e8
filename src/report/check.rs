//! `check`: the verdict on one screen.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::trim_number;

use super::answer::{Answer, Table};
use super::diagnostics::{Record, said_record};
use super::fold::fold;
use super::run::{HEAD, RunJson, row};
use super::verdict::verdict_text;
use super::{Page, SIZES_ONLY, cautions};

/// Recipes checked.
pub struct CheckPage<'a> {
    /// Those that could be read.
    pub pages: Vec<Page<'a>>,
    /// Why the others could not.
    pub unread: &'a [String],
}

#[derive(Serialize, JsonSchema)]
pub struct CheckJson<'a> {
    met: bool,
    recipes: Vec<RunJson<'a>>,
    /// Why the others could not be read.
    faults: Vec<Record<'a>>,
}

impl<'a> Answer for CheckPage<'a> {
    type Json = CheckJson<'a>;
    const SCHEMA: &'static str = "heatbook-check-3";

    /// The verdicts; the findings themselves are shown apart from them.
    fn text(&self, wide: usize) -> String {
        self.pages.iter().map(|page| verdict_text(page, wide) + &rest_text(page, wide)).collect()
    }

    fn json(&self) -> CheckJson<'a> {
        CheckJson {
            met: self.unread.is_empty() && self.pages.iter().all(|p| p.verdict.met),
            recipes: self.pages.iter().map(|page| page.json()).collect(),
            faults: self.unread.iter().map(|why| said_record(why, "fault")).collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        let rows = self.pages.iter().flat_map(|page| {
            let named = |i| [vec![page.name.to_owned()], row(page, i)].concat();
            (0..page.plan.steps.len()).map(named)
        });
        Some(Table::new(["file"].into_iter().chain(HEAD.split(' ')), rows))
    }
}

/// What stands behind the verdict and what there is to change.
#[must_use]
pub fn rest_text(page: &Page, wide: usize) -> String {
    let build = page.build;
    let mut text = String::new();
    let balance = build.balance;
    // Behind faults sums pretend.
    if balance.taken > 0.0 && page.worked() && page.verdict.workable() {
        let share = trim_number(100.0 * balance.pieces / balance.taken, 0);
        let all = [balance.taken, balance.pieces, balance.rack, balance.lost];
        let [taken, pieces, rack, lost] = all.map(|g| page.g(g));
        let left = format!("{pieces} in pieces ({share} %), {rack} on the rack");
        let _ = writeln!(text, "steel: {taken} in; {left}, {lost} gone");
    }
    if !build.ledger.assumed.is_empty() {
        let list: Vec<&str> = build.ledger.assumed.iter().map(|a| a.what).collect();
        let _ = writeln!(text, "assumed: {} (`heatbook run` gives figures and sources)", list.join(", "));
    }
    text += &from_shop(page);
    text += &cautions::allowed(page);
    if !page.plan.steps.is_empty() {
        for line in cautions::in_short(page.plan) {
            let _ = writeln!(text, "caution: {line}");
        }
    }
    let _ = writeln!(text, "{SIZES_ONLY}");
    fold(&text, wide)
}

/// What comes from the shop's own `shop.heat`.
fn from_shop(page: &Page) -> String {
    let from = &page.plan.from_shop;
    let Some((_, first)) = from.first() else { return String::new() };
    let what: Vec<&str> = from.iter().map(|(what, _)| what.as_str()).collect();
    format!("shop: {} from {}\n", what.join(", "), page.files.place(*first).file)
}
