//! A real build told against its plan.

use std::fmt::Write as _;

use serde::Serialize;

use crate::quantity::{Kind, show};
use crate::study::Chapter;

use super::Page;
use super::check::row;
use super::table::table;

const NAMES: [&str; 4] = ["thickness", "width", "length", "mass"];

fn kind(i: usize) -> Kind {
    if i == 3 { Kind::MASS } else { Kind::LENGTH }
}

fn signed(value: f64, kind: Kind, units: crate::quantity::Units) -> String {
    let shown = show(value, kind, units);
    if value > 0.0 { format!("+{shown}") } else { shown }
}

/// The story as text.
#[must_use]
pub fn replay_text(page: &Page, chapters: &[Chapter]) -> String {
    let mut text = String::new();
    for (note, ..) in &page.plan.notes {
        let _ = writeln!(text, "{}", super::diagnostics::tame(note));
    }
    if chapters.is_empty() {
        return text + "nothing was measured: there is only the plan\n";
    }
    let mut rows = Vec::new();
    for chapter in chapters {
        let step = page.plan.steps.get(chapter.after);
        let label = step.map_or(String::new(), |s| {
            format!(
                "{} {}, line {}",
                s.word.word,
                page.plan.ground.lot_name(chapter.lot),
                page.files.line(s.span)
            )
        });
        let mut first = true;
        for (i, name) in NAMES.iter().enumerate() {
            let at = |v: [f64; 4]| v.get(i).copied().unwrap_or(f64::NAN);
            let read = chapter.read.get(i) == Some(&true);
            let off = at(chapter.now) - at(chapter.foretold);
            if !read && off.abs() < 1e-9 {
                continue;
            }
            let figure = |v: f64| show(v, kind(i), page.units);
            let mark = match (read, chapter.beyond.get(i)) {
                (false, _) => "follows",
                (true, Some(true)) => "BEYOND",
                (true, _) => "",
            };
            rows.push(vec![
                if first { label.clone() } else { String::new() },
                (*name).to_owned(),
                chapter.planned.map_or(String::new(), |p| figure(at(p))),
                figure(at(chapter.foretold)),
                figure(at(chapter.now)),
                if off == 0.0 { "as foretold".to_owned() } else { signed(off, kind(i), page.units) },
                mark.to_owned(),
            ]);
            first = false;
        }
    }
    let head = ["after", "", "by the plan", "foretold", "measured", "unexplained", ""];
    text += &table(&head, rows, 2);
    text += "by the plan: nothing measured; foretold: from the measure before; follows: not read, worked out from what was\n\n";
    match chapters.iter().find(|c| c.beyond.contains(&true)) {
        Some(chapter) => {
            let step = page.plan.steps.get(chapter.after);
            let line = step.map_or(0, |s| page.files.line(s.span));
            let which: Vec<&str> =
                NAMES.iter().zip(chapter.beyond).filter(|(_, b)| *b).map(|(n, _)| *n).collect();
            let _ = writeln!(
                text,
                "the build left its plan at line {line} ({}): {}",
                step.map_or("", |s| s.word.word),
                which.join(", ")
            );
        }
        None => text += "the build kept to its plan\n",
    }
    text += "\nfrom here on:\n";
    for line in &page.build.lines {
        let [mark, asked, got, margin] = row(page, &line.test, line.judged.as_ref());
        let _ = writeln!(text, "  {mark}  {asked}  {got}  {margin}");
    }
    let _ = match (page.verdict.met, page.build.lines.is_empty()) {
        (_, true) => writeln!(text, "there is no target to meet"),
        (true, _) => writeln!(text, "the target can be met from here, by the steps that are left"),
        (false, _) => writeln!(
            text,
            "the steps that are left do not meet the target: `heatbook rescue` looks for a way"
        ),
    };
    text
}

#[derive(Serialize)]
struct ChapterJson {
    after_line: u32,
    piece: String,
    planned: Option<[f64; 4]>,
    foretold: [f64; 4],
    now: [f64; 4],
    read: [bool; 4],
    beyond: [bool; 4],
}

/// The story as JSON: thickness, width, length in mm, mass in g.
#[must_use]
pub fn replay_json(page: &Page, chapters: &[Chapter]) -> String {
    let of = |c: &Chapter| ChapterJson {
        after_line: page.plan.steps.get(c.after).map_or(0, |s| page.files.line(s.span)),
        piece: page.plan.ground.lot_name(c.lot).to_owned(),
        planned: c.planned,
        foretold: c.foretold,
        now: c.now,
        read: c.read,
        beyond: c.beyond,
    };
    super::json::print(&chapters.iter().map(of).collect::<Vec<_>>())
}
