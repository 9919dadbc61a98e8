//! Where a size went: each change with its cause, sums by cause, the biggest givers and takers.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{Units, show};
use crate::study::Why;

use super::answer::{Answer, Table};
use super::run::unit;
use super::table::table;
use super::{Page, signed};

/// Where a size went.
pub struct WhyPage<'a> {
    /// The build.
    pub page: &'a Page<'a>,
    /// The piece.
    pub piece: &'a str,
    /// Where on it, where that was asked.
    pub at: Option<&'a str>,
    /// The story.
    pub why: &'a Why,
}

/// Where a size went, mm or g.
#[derive(Serialize, JsonSchema)]
pub struct WhyJson<'a> {
    quantity: &'a str,
    piece: &'a str,
    at: Option<&'a str>,
    unit: &'static str,
    from: f64,
    from_text: String,
    stock_line: u32,
    to: f64,
    entries: Vec<ChangeJson<'a>>,
    by_cause: BTreeMap<&'a str, f64>,
}

#[derive(Serialize, JsonSchema)]
pub struct ChangeJson<'a> {
    n: usize,
    line: u32,
    verb: &'a str,
    cause: &'a str,
    change: f64,
}

impl<'a> Answer for WhyPage<'a> {
    type Json = WhyJson<'a>;
    const SCHEMA: &'static str = "heatbook-why-1";

    fn text(&self, wide: usize) -> String {
        let piece = self.at.map_or(self.piece.to_owned(), |at| format!("{} at {at}", self.piece));
        why_text(self.page, &piece, self.why, wide)
    }

    fn json(&self) -> WhyJson<'a> {
        let (page, why) = (self.page, self.why);
        let entries = why.entries.iter().map(|e| ChangeJson {
            n: e.step + 1,
            line: page.line(e.step),
            verb: page.step(e.step).word.word,
            cause: e.cause.word(),
            change: e.change,
        });
        WhyJson {
            quantity: why.what.word(),
            piece: self.piece,
            at: self.at,
            unit: unit(why.what.kind()),
            from: why.from,
            from_text: show(why.from, why.what.kind(), Units::Metric),
            stock_line: page.files.line(page.lot(why.stock).site),
            to: why.to,
            entries: entries.collect(),
            by_cause: why.by_cause().into_iter().map(|(cause, sum)| (cause.word(), sum)).collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("line verb cause change", self.json().entries))
    }
}

/// The story of a size as text.
fn why_text(page: &Page, piece: &str, why: &Why, wide: usize) -> String {
    let kind = why.what.kind();
    let amount = |v: f64| show(v, kind, page.units);
    let words = |step: usize| page.files.words(page.step(step).span);
    let line = |step: usize| page.at_line(page.step(step).span);
    let stock = page.lot(why.stock);
    let (name, at) = (&stock.name, page.at_line(stock.site));
    let what = why.what.word();
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{what} of {piece}: {} now, from one bar of `{name}` ({at}) of {}\n",
        amount(why.to),
        amount(why.from)
    );
    let change = |v: f64| signed(v, kind, page.units);
    let mut sum = why.from;
    let rows = why.entries.iter().map(|e| {
        sum += e.change;
        let cause = e.cause.word().to_owned();
        vec![line(e.step), words(e.step), cause, change(e.change), amount(sum)]
    });
    text += &table(["", "step", "cause", "change", "then"], rows, 3, wide);
    let mut causes: Vec<_> = why.by_cause().into_iter().collect();
    causes.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let rows = causes.iter().map(|(cause, sum)| vec![cause.word().to_owned(), change(*sum)]);
    text += "\n";
    text += &table(["by cause", "sum"], rows, 1, wide);
    let mut steps: Vec<(usize, f64)> = why.by_step().into_iter().collect();
    steps.sort_by(|a, b| b.1.total_cmp(&a.1));
    let told = |(step, sum): &(usize, f64)| format!("{} at {} ({})", change(*sum), line(*step), words(*step));
    let story = |steps: Vec<_>| steps.into_iter().map(told).collect::<Vec<_>>().join("; ");
    let gave: Vec<_> = steps.iter().filter(|s| s.1 > 0.0).take(3).collect();
    let took: Vec<_> = steps.iter().rev().filter(|s| s.1 < 0.0).take(3).collect();
    if !gave.is_empty() {
        let _ = writeln!(text, "\nbiggest givers: {}", story(gave));
    }
    if !took.is_empty() {
        let _ = writeln!(text, "biggest takers: {}", story(took));
    }
    text
}
