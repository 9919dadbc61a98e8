//! Where a size went, as a table: each change with its cause, sums by cause, the biggest givers and takers.

use std::fmt::Write as _;

use crate::piece::Measure;
use crate::quantity::{Kind, show};
use crate::study::Why;

use super::Page;
use super::table::table;

fn kind(why: &Why) -> Kind {
    if why.what == Measure::Mass { Kind::MASS } else { Kind::LENGTH }
}

fn signed(text: String, value: f64) -> String {
    if value > 0.0 { format!("+{text}") } else { text }
}

/// The story of a size as text.
#[must_use]
pub fn why_text(page: &Page, piece: &str, why: &Why) -> String {
    let kind = kind(why);
    let amount = |v: f64| show(v, kind, page.units);
    let words = |step: usize| {
        page.plan.steps.get(step).map_or(String::new(), |s| {
            let words = page.files.text(s.span).split_whitespace().collect::<Vec<_>>().join(" ");
            let short: String = words.chars().take(44).collect();
            if short.len() < words.len() { format!("{short}…") } else { short }
        })
    };
    let line = |step: usize| page.plan.steps.get(step).map_or(0, |s| page.files.line(s.span));
    let stock = page.plan.ground.lots.find(why.stock);
    let (name, at) = stock.map_or(("", 0), |s| (s.name.as_str(), page.files.line(s.site)));
    let what = why.what.word();
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{what} of {piece}: {} now, from one bar of `{name}` (line {at}) of {}\n",
        amount(why.to),
        amount(why.from)
    );
    let mut sum = why.from;
    let rows = why
        .entries
        .iter()
        .map(|e| {
            sum += e.change;
            vec![
                line(e.step).to_string(),
                words(e.step),
                e.cause.word().to_owned(),
                signed(amount(e.change), e.change),
                amount(sum),
            ]
        })
        .collect();
    text += &table(&["line", "step", "cause", "change", "then"], rows, 3);
    let mut causes: Vec<_> = why.by_cause().into_iter().collect();
    causes.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let rows =
        causes.iter().map(|(cause, sum)| vec![cause.word().to_owned(), signed(amount(*sum), *sum)]).collect();
    text += "\n";
    text += &table(&["by cause", "sum"], rows, 1);
    let mut steps: Vec<(usize, f64)> = why.by_step().into_iter().collect();
    steps.sort_by(|a, b| b.1.total_cmp(&a.1));
    let story = |steps: Vec<&(usize, f64)>| -> String {
        let told: Vec<String> = steps
            .into_iter()
            .map(|(step, sum)| {
                format!("{} at line {} ({})", signed(amount(*sum), *sum), line(*step), words(*step))
            })
            .collect();
        told.join("; ")
    };
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

/// The story of a size as CSV, mm or g.
#[must_use]
pub fn why_csv(page: &Page, why: &Why) -> String {
    let head = ["line", "verb", "cause", "change"].map(str::to_owned).to_vec();
    let rows = why.entries.iter().map(|e| {
        let planned = page.plan.steps.get(e.step);
        vec![
            planned.map_or(0, |s| page.files.line(s.span)).to_string(),
            planned.map_or(String::new(), |s| s.word.word.to_owned()),
            e.cause.word().to_owned(),
            e.change.to_string(),
        ]
    });
    super::csv::write(&std::iter::once(head).chain(rows).collect::<Vec<_>>())
}
