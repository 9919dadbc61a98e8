//! `check`: the verdict on one screen.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{show, show_count, trim_number};
use crate::spec::{Judged, Test};
use crate::study::got;

use super::answer::{Answer, Table};
use super::diagnostics::{Record, said_record};
use super::run::{HEAD, RunJson, row};
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
    const SCHEMA: &'static str = "heatbook-check-2";

    /// The verdicts; the findings themselves are shown apart from them.
    fn text(&self) -> String {
        self.pages.iter().map(check).collect()
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

fn check(page: &Page) -> String {
    let mut text = String::new();
    let build = page.build;
    for (index, target) in page.plan.targets.iter().enumerate() {
        let lines: Vec<_> = build.lines.iter().filter(|l| l.target == index).collect();
        if lines.is_empty() {
            continue;
        }
        let _ = writeln!(text, "{}: {}", page.name, target.piece);
        let rows: Vec<_> = lines.iter().map(|l| verdict(page, &l.test, l.judged.as_ref())).collect();
        let wide =
            |i: usize| rows.iter().filter_map(|r| r.get(i)).map(|c| c.chars().count()).max().unwrap_or(0);
        let (a, b, c) = (wide(0), wide(1), wide(2));
        for [mark, asked, got, margin] in rows {
            let _ = writeln!(text, "  {mark:a$}  {asked:b$}  {got:>c$}  {margin}");
        }
        for line in &lines {
            text += &both_counts(page, line);
        }
    }
    for checked in &build.ledger.checked {
        let [mark, asked, got, margin] = verdict(page, &checked.test, Some(&checked.judged));
        let line = page.files.line(checked.test.span);
        let name = page.plan.ground.lot_name(checked.lot);
        let _ = writeln!(text, "  {mark}  expect {name}, line {line}: {asked}  {got}  {margin}");
    }
    text += &summary(page);
    text
}

/// Met or missed, what was asked, what was got, by how much.
pub(super) fn verdict(page: &Page, test: &Test, judged: Option<&Judged>) -> [String; 4] {
    let asked = page.files.words(test.span);
    let Some(judged) = judged else {
        return ["not made".to_owned(), asked, String::new(), String::new()];
    };
    let kind = test.what.kind();
    let margin = match (judged.met, judged.margin.is_finite()) {
        (true, true) => format!("{} to spare", show(judged.margin, kind, page.units)),
        (false, true) if judged.low.is_some_and(|low| judged.got < low) => {
            format!("{} short", show(-judged.margin, kind, page.units))
        }
        (false, true) => format!("{} over", show(-judged.margin, kind, page.units)),
        _ => String::new(),
    };
    let mark = if judged.met { "met" } else { "MISSED" };
    [mark.to_owned(), asked, got(test, judged, page.units), margin]
}

/// Every line of the targets with its verdict.
pub(super) fn verdicts(page: &Page) -> String {
    let line = |l: &crate::replay::Line| {
        let [mark, asked, got, margin] = verdict(page, &l.test, l.judged.as_ref());
        format!("  {mark}  {asked}  {got}  {margin}\n")
    };
    page.build.lines.iter().map(line).collect()
}

/// Where a layer count is met and fewer bands can be seen, both are said.
fn both_counts(page: &Page, line: &crate::replay::Line) -> String {
    let (Some(judged), Some(lot)) = (line.judged, page.build.lot(line.lot)) else { return String::new() };
    if line.test.what != crate::spec::What::Layers || line.test.part.is_some() || !judged.met {
        return String::new();
    }
    let bands = crate::piece::bands(&page.build.bench.makeup, lot.bar.node, lot.bar.thick);
    let Some(low) = judged.low.filter(|low| (bands as f64) < *low) else { return String::new() };
    let layers = page.build.bench.makeup.layers(lot.bar.node);
    format!(
        "  note: {layers} layers by the trade's count, but {bands} bands can be told apart, under the {} asked: like faces run together\n",
        trim_number(low, 0)
    )
}

/// What comes from the shop's own `shop.heat`.
fn from_shop(page: &Page) -> String {
    let from = &page.plan.from_shop;
    let Some((_, first)) = from.first() else { return String::new() };
    let what: Vec<&str> = from.iter().map(|(what, _)| what.as_str()).collect();
    format!("  shop: {} from {}\n", what.join(", "), page.files.place(*first).file)
}

fn summary(page: &Page) -> String {
    let (build, verdict) = (page.build, page.verdict);
    let mut text = String::new();
    let balance = build.balance;
    if balance.taken > 0.0 {
        let share = trim_number(100.0 * balance.pieces / balance.taken, 0);
        let all = [balance.taken, balance.pieces, balance.rack, balance.lost];
        let [taken, pieces, rack, lost] = all.map(|g| page.g(g));
        let left = format!("{pieces} in pieces ({share} %), {rack} on the rack");
        let _ = writeln!(text, "  steel: {taken} in; {left}, {lost} gone");
    }
    if !build.ledger.assumed.is_empty() {
        let list: Vec<&str> = build.ledger.assumed.iter().map(|a| a.what).collect();
        let _ = writeln!(text, "  assumed: {} (`heatbook run` gives figures and sources)", list.join(", "));
    }
    text += &from_shop(page);
    text += &cautions::allowed(page);
    for line in cautions::lines(page.plan) {
        let _ = writeln!(text, "  caution: {line}");
    }
    let faults = show_count(verdict.faults.len() as u64, "fault");
    let warnings = show_count(verdict.warnings.len() as u64, "warning");
    let word = match (verdict.met, build.lines.is_empty()) {
        (true, true) if page.plan.steps.is_empty() => super::NO_STEP,
        (true, true) => "it can be worked, and there is no target to meet",
        (true, false) => "the recipe makes its spec",
        (false, _) => "the recipe does not make its spec as written",
    };
    let _ = writeln!(text, "{}: {word} ({faults}, {warnings})", page.name);
    let _ = writeln!(text, "{SIZES_ONLY}");
    text
}
