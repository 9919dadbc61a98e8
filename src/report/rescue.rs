//! The ways to meet a missed target: what to write, and what each costs.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::Measure;
use crate::quantity::{Kind, show_count, trim_number};
use crate::source::Fix;
use crate::study::{Way, Ways};

use super::answer::{Answer, Table};
use super::fold::code;
use super::run::{TestJson, tests};
use super::verdict::verdict;
use super::{Page, signed};

/// The ways to meet what a build misses.
pub struct RescuePage<'a> {
    /// The build.
    pub page: Page<'a>,
    /// The ways.
    pub ways: &'a Ways,
}

#[derive(Serialize, JsonSchema)]
pub struct RescueJson<'a> {
    /// Whether there is nothing to rescue.
    met: bool,
    targets: Vec<TestJson<'a>>,
    tried: usize,
    ways: Vec<WayJson<'a>>,
}

/// A way, and what it changes: mm and g.
#[derive(Serialize, JsonSchema)]
pub struct WayJson<'a> {
    title: &'a str,
    met: bool,
    still_missed: Vec<String>,
    edits: Vec<EditJson<'a>>,
    thickness_mm: f64,
    width_mm: f64,
    length_mm: f64,
    mass_g: f64,
    layers: f64,
    heats: f64,
    steel_g: f64,
}

/// Words to write instead of others, or, where `instead_of` is nothing, lines to add after this one.
#[derive(Serialize, JsonSchema)]
pub struct EditJson<'a> {
    line: u32,
    instead_of: Option<String>,
    write: &'a str,
}

impl<'a> Answer for RescuePage<'a> {
    type Json = RescueJson<'a>;
    const SCHEMA: &'static str = "heatbook-rescue-1";

    fn text(&self, wide: usize) -> String {
        let RescuePage { page, ways } = self;
        if page.verdict.met {
            return "every target is met: there is nothing to rescue\n".to_owned();
        }
        let mut text = String::new();
        for line in page.build.lines.iter().filter(|l| l.judged.is_some_and(|j| !j.met)) {
            let [_, asked, got, margin] = verdict(page, &line.test, line.judged.as_ref());
            let _ = writeln!(text, "missed: {asked}: {got}, {margin}");
        }
        let good = ways.ways.iter().filter(|w| w.met).count();
        if good == 0 {
            let _ = writeln!(
                text,
                "\nnone of {} ways tried meets every target from here: the steel that is left cannot be brought into all these sizes at once",
                ways.tried
            );
        }
        for (i, way) in ways.ways.iter().enumerate() {
            let missed = show_count(way.breaks.len() as u64, "target");
            let but = if way.met { String::new() } else { format!(": helps, and still misses {missed}") };
            let _ = writeln!(text, "\n{}. {}{but}", i + 1, way.title);
            for edit in &way.edits {
                let line = edit_line(page, edit);
                if adds(edit) {
                    let _ = writeln!(text, "   after line {}, add:", line);
                    for added in edit.text.trim().lines() {
                        text += &code(added, "     ", wide);
                    }
                } else {
                    let was = page.files.words(edit.span);
                    let _ = writeln!(text, "   line {line}: write `{}` instead of `{was}`", edit.text);
                }
            }
            let _ = writeln!(text, "   {}", price(page, way));
        }
        text
    }

    fn json(&self) -> RescueJson<'a> {
        let page = &self.page;
        RescueJson {
            met: page.verdict.met,
            targets: tests(page),
            tried: self.ways.tried,
            ways: self.ways.ways.iter().map(|w| way(page, w)).collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        let head = "title met thickness_mm width_mm length_mm mass_g layers heats steel_g";
        Some(Table::of(head, self.json().ways))
    }
}

fn way<'a>(page: &Page, w: &'a Way) -> WayJson<'a> {
    let edits = w.edits.iter().map(|e| EditJson {
        line: edit_line(page, e),
        instead_of: (!adds(e)).then(|| page.files.words(e.span)),
        write: &e.text,
    });
    let [thickness_mm, width_mm, length_mm, mass_g] = w.changes;
    WayJson {
        title: &w.title,
        met: w.met,
        still_missed: w.breaks.iter().map(|b| page.files.words(*b)).collect(),
        edits: edits.collect(),
        thickness_mm,
        width_mm,
        length_mm,
        mass_g,
        layers: w.layers,
        heats: w.heats,
        steel_g: w.steel,
    }
}

/// Whether an edit only adds lines.
fn adds(edit: &Fix) -> bool {
    edit.span.start == edit.span.end
}

/// The line that an edit changes, or adds after.
fn edit_line(page: &Page, edit: &Fix) -> u32 {
    let line = page.files.line(edit.span);
    if adds(edit) { line.saturating_sub(1).max(1) } else { line }
}

fn price(page: &Page, way: &Way) -> String {
    let more = |v: f64| format!("{}{}", if v > 0.0 { "+" } else { "" }, trim_number(v, 0));
    let changes = Measure::ALL.into_iter().zip(way.changes).filter(|(_, v)| v.abs() > 1e-6);
    let change =
        |(size, v): (Measure, f64)| format!("{} {}", size.word(), signed(v, size.kind(), page.units));
    let mut parts: Vec<String> = changes.map(change).collect();
    if way.layers != 0.0 {
        parts.push(format!("layers {}", more(way.layers)));
    }
    if way.heats != 0.0 {
        parts.push(format!("heats {}", more(way.heats)));
    }
    if way.steel.abs() > 1e-6 {
        parts.push(format!("steel in {}", signed(way.steel, Kind::MASS, page.units)));
    }
    if parts.is_empty() {
        "it changes nothing else".to_owned()
    } else {
        format!("price: {}", parts.join(", "))
    }
}
