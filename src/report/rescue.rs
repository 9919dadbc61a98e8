//! The ways to meet a missed target: what to write, and what each costs.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::Measure;
use crate::quantity::{Kind, show, show_count, trim_number};
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
    /// Whether the search stopped before it had gone through all that it would have looked at.
    cut_short: bool,
    ways: Vec<WayJson<'a>>,
    /// Where there are no ways: what to ask the customer for, the least move first.
    asks: Vec<WayJson<'a>>,
    /// Why there can be no way, where that is known.
    never: Option<&'a str>,
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
    hours: f64,
    steel_g: f64,
    /// What it does to the pattern, and what its check warns of.
    minds: Vec<&'a str>,
    /// The figure of a target to be written instead, where the customer is asked.
    ask: Option<EditJson<'a>>,
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
        if ways.ways.iter().all(|w| !w.met) {
            text.push('\n');
            text += &none_found(ways);
        }
        for (i, way) in ways.ways.iter().enumerate() {
            let _ = writeln!(text, "\n{}. {}", i + 1, way.title);
            written(&mut text, page, way, wide);
        }
        if !ways.asks.is_empty() {
            text += "\nwhat this steel comes to: ask the customer, the least move first\n";
        }
        for way in &ways.asks {
            let Some(ask) = &way.ask else { continue };
            let was = page.files.words(ask.span);
            let line = page.files.line(ask.span);
            let _ = writeln!(text, "\n- line {line}: `{}` instead of `{was}`", ask.text);
            if !way.edits.is_empty() {
                let _ = writeln!(text, "   {}", way.title);
            }
            written(&mut text, page, way, wide);
        }
        text
    }

    fn json(&self) -> RescueJson<'a> {
        let page = &self.page;
        RescueJson {
            met: page.verdict.met,
            targets: tests(page),
            tried: self.ways.tried,
            cut_short: self.ways.cut_short,
            asks: self.ways.asks.iter().map(|w| way(page, w)).collect(),
            never: self.ways.never.as_deref(),
            ways: self.ways.ways.iter().map(|w| way(page, w)).collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        let head = "title met thickness_mm width_mm length_mm mass_g layers heats hours steel_g";
        Some(Table::of(head, self.json().ways))
    }
}

/// Why nothing is offered, no surer than it is known.
fn none_found(ways: &Ways) -> String {
    if let Some(never) = &ways.never {
        return format!("there is no way: {never}\n");
    }
    let tried = show_count(ways.tried as u64, "sequence");
    let more = if ways.cut_short { "; the search stopped there, and has not gone through all" } else { "" };
    format!("no way was found among {tried} of up to four changes{more}\n")
}

/// What is written for a way, and its price.
fn written(text: &mut String, page: &Page, way: &Way, wide: usize) {
    for edit in &way.edits {
        let line = edit_line(page, edit);
        if adds(edit) {
            let _ = writeln!(text, "   after line {line}, add:");
            for added in edit.text.trim().lines() {
                *text += &code(added, "     ", wide);
            }
        } else {
            let was = page.files.words(edit.span);
            let _ = writeln!(text, "   line {line}: write `{}` instead of `{was}`", edit.text);
        }
    }
    if !way.edits.is_empty() {
        let _ = writeln!(text, "   {}", price(page, way));
    }
    if let Some((words, margin, kind)) = way.room.filter(|_| way.ask.is_none()) {
        let words = page.files.words(words);
        let room = show(margin, kind, page.units);
        let _ = if margin > 1e-6 {
            writeln!(text, "   least room: {room} on `{words}`")
        } else {
            writeln!(text, "   no room to spare on `{words}`")
        };
    }
    for mind in &way.minds {
        let _ = writeln!(text, "   mind: {mind}");
    }
}

fn way<'a>(page: &Page, w: &'a Way) -> WayJson<'a> {
    let edit = |e: &'a Fix| EditJson {
        line: edit_line(page, e),
        instead_of: (!adds(e)).then(|| page.files.words(e.span).to_owned()),
        write: &e.text,
    };
    let edits = w.edits.iter().map(edit);
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
        hours: w.hours,
        steel_g: w.steel,
        minds: w.minds.iter().map(String::as_str).collect(),
        ask: w.ask.as_ref().map(edit),
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
    let minutes = (way.hours * 60.0).round();
    if minutes != 0.0 {
        parts.push(format!("minutes {}", more(minutes)));
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
