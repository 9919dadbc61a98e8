//! The ways to meet a missed target: what to write, and what each costs.

use std::fmt::Write as _;

use crate::quantity::{Kind, show, trim_number};
use crate::study::{Way, Ways};

use super::Page;

/// The ways as text; `base` is where the recipe's text begins.
#[must_use]
pub fn rescue_text(page: &Page, ways: &Ways) -> String {
    let mut text = String::new();
    for line in page.build.lines.iter().filter(|l| l.judged.is_some_and(|j| !j.met)) {
        let [_, asked, got, margin] = super::check::row(page, &line.test, line.judged.as_ref());
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
        text += "\n";
        let broken: Vec<String> = way
            .breaks
            .iter()
            .map(|b| page.files.text(*b).split_whitespace().collect::<Vec<_>>().join(" "))
            .collect();
        let _ = match way.met {
            true => writeln!(text, "{}. {}", i + 1, way.title),
            false => writeln!(
                text,
                "{}. {}: helps, and still misses {} {}",
                i + 1,
                way.title,
                broken.len(),
                if broken.len() == 1 { "target" } else { "targets" }
            ),
        };
        for edit in &way.edits {
            let line = page.files.line(edit.span);
            if edit.span.start == edit.span.end {
                let _ = writeln!(text, "   after line {}, add:", line.saturating_sub(1).max(1));
                for added in edit.text.trim().lines() {
                    let _ = writeln!(text, "     {added}");
                }
            } else {
                let was = page.files.text(edit.span).split_whitespace().collect::<Vec<_>>().join(" ");
                let _ = writeln!(text, "   line {line}: write `{}` instead of `{was}`", edit.text);
            }
        }
        let _ = writeln!(text, "   {}", price(page, way));
    }
    text
}

fn price(page: &Page, way: &Way) -> String {
    let signed = |v: f64, shown: String| if v > 0.0 { format!("+{shown}") } else { shown };
    let names = ["thickness", "width", "length", "mass"];
    let mut parts: Vec<String> = names
        .iter()
        .zip(way.changes)
        .enumerate()
        .filter(|(_, (_, v))| v.abs() > 1e-6)
        .map(|(i, (name, v))| {
            let kind = if i == 3 { Kind::MASS } else { Kind::LENGTH };
            format!("{name} {}", signed(v, show(v, kind, page.units)))
        })
        .collect();
    if way.layers != 0.0 {
        parts.push(format!("layers {}", signed(way.layers, trim_number(way.layers, 0))));
    }
    if way.heats != 0.0 {
        parts.push(format!("heats {}", signed(way.heats, trim_number(way.heats, 0))));
    }
    if way.steel.abs() > 1e-6 {
        parts.push(format!("steel in {}", signed(way.steel, show(way.steel, Kind::MASS, page.units))));
    }
    if parts.is_empty() {
        "it changes nothing else".to_owned()
    } else {
        format!("price: {}", parts.join(", "))
    }
}
