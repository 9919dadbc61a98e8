//! A real build told against its plan.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::Measure;
use crate::quantity::{Kind, show};
use crate::study::Chapter;

use super::answer::{Answer, Table, cell};
use super::diagnostics::{Record, records, said_record};
use super::fold::fold;
use super::table::table;
use super::verdict::verdicts;
use super::{Page, signed};

/// One size of a measured piece.
struct Told {
    name: &'static str,
    kind: Kind,
    planned: Option<f64>,
    foretold: f64,
    now: f64,
    read: Option<f64>,
    beyond: bool,
}

fn sizes(chapter: &Chapter) -> impl Iterator<Item = Told> {
    let planned = chapter.planned.map_or([None; 4], |p| p.map(Some));
    let figures = Measure::ALL.into_iter().zip(planned).zip(chapter.foretold).zip(chapter.now);
    let told = figures.zip(chapter.read).zip(chapter.beyond);
    told.map(|(((((size, planned), foretold), now), read), beyond)| {
        let (name, kind) = (size.word(), size.kind());
        Told { name, kind, planned, foretold, now, read, beyond }
    })
}

/// Real builds against their plans.
pub struct ReplayPage<'a> {
    /// The builds, each with its story.
    pub builds: Vec<(Page<'a>, &'a [Chapter])>,
    /// Why others could not be read.
    pub unread: &'a [String],
}

#[derive(Serialize, JsonSchema)]
pub struct ReplayJson<'a> {
    builds: Vec<BuildJson<'a>>,
    /// Why others could not be read.
    faults: Vec<Record<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct BuildJson<'a> {
    file: &'a str,
    met: bool,
    chapters: Vec<ChapterJson<'a>>,
    faults: Vec<Record<'a>>,
    warnings: Vec<Record<'a>>,
}

/// Thickness, width, length in mm, mass in g.
#[derive(Serialize, JsonSchema)]
pub struct ChapterJson<'a> {
    after_line: u32,
    piece: &'a str,
    planned: Option<[f64; 4]>,
    foretold: [f64; 4],
    now: [f64; 4],
    /// What was read of the four, cold.
    measured: [Option<f64>; 4],
    beyond: [bool; 4],
}

impl<'a> Answer for ReplayPage<'a> {
    type Json = ReplayJson<'a>;
    const SCHEMA: &'static str = "heatbook-replay-3";

    fn text(&self, wide: usize) -> String {
        let several = self.builds.len() + self.unread.len() > 1;
        let named = |page: &Page| if several { format!("== {}\n", page.name) } else { String::new() };
        self.builds.iter().map(|(page, chapters)| named(page) + &story(page, chapters, wide)).collect()
    }

    fn json(&self) -> ReplayJson<'a> {
        let builds = self.builds.iter().map(|(page, chapters)| BuildJson {
            file: page.name,
            met: page.verdict.met,
            chapters: chapters.iter().map(|c| chapter(page, c)).collect(),
            faults: records(&page.verdict.faults, page.files),
            warnings: records(&page.verdict.warnings, page.files),
        });
        ReplayJson {
            builds: builds.collect(),
            faults: self.unread.iter().map(|why| said_record(why, "fault")).collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        let head =
            ["file", "after_line", "piece", "size", "planned", "foretold", "now", "measured", "beyond"];
        let all = self.builds.iter().flat_map(|(page, chapters)| chapters.iter().map(move |c| (page, c)));
        let rows = all.flat_map(|(page, chapter)| {
            sizes(chapter).map(|size| {
                vec![
                    page.name.to_owned(),
                    page.line(chapter.after).to_string(),
                    page.plan.ground.lot_name(chapter.lot).to_owned(),
                    size.name.to_owned(),
                    cell(size.planned),
                    size.foretold.to_string(),
                    size.now.to_string(),
                    cell(size.read),
                    u8::from(size.beyond).to_string(),
                ]
            })
        });
        Some(Table::new(head, rows))
    }
}

fn chapter<'a>(page: &Page<'a>, c: &Chapter) -> ChapterJson<'a> {
    ChapterJson {
        after_line: page.line(c.after),
        piece: page.plan.ground.lot_name(c.lot),
        planned: c.planned,
        foretold: c.foretold,
        now: c.now,
        measured: c.read,
        beyond: c.beyond,
    }
}

fn story(page: &Page, chapters: &[Chapter], wide: usize) -> String {
    let mut text = String::new();
    for (note, ..) in &page.plan.notes {
        let _ = writeln!(text, "{}", super::tame::tame(note));
    }
    if chapters.is_empty() {
        return text + "nothing was measured: there is only the plan\n";
    }
    let (mut rows, mut contradicted) = (Vec::new(), Vec::new());
    for chapter in chapters {
        let (verb, piece) = (page.step(chapter.after).word.word, page.plan.ground.lot_name(chapter.lot));
        let label = format!("{verb} {piece}, {}", page.at_line(page.step(chapter.after).span));
        let mut first = true;
        for size in sizes(chapter) {
            // Sizes go before a weight that they contradict: what the scale said is shown all the same.
            let scale = size.read.filter(|read| {
                size.kind == Kind::MASS && (read / size.now - 1.0).abs() > crate::forge::SCALE_AGREES
            });
            let figure = |v: f64| show(v, size.kind, page.units);
            if scale.is_some() {
                let goes_on =
                    format!("{label}: its sizes weigh {}, and the run goes on from them", figure(size.now));
                contradicted.push(goes_on);
            }
            let off = scale.unwrap_or(size.now) - size.foretold;
            if size.read.is_none() && off.abs() < 1e-9 {
                continue;
            }
            let mark = match (size.read, size.beyond) {
                (None, _) => "follows",
                (Some(_), true) => "BEYOND",
                (Some(_), false) => "",
            };
            rows.push(vec![
                if first { label.clone() } else { String::new() },
                size.name.to_owned(),
                size.planned.map_or(String::new(), figure),
                figure(size.foretold),
                figure(scale.unwrap_or(size.now)),
                if off == 0.0 { "as foretold".to_owned() } else { signed(off, size.kind, page.units) },
                mark.to_owned(),
            ]);
            first = false;
        }
    }
    let head = ["after", "", "by the plan", "foretold", "measured", "unexplained", ""];
    text += &table(head, rows, 2, wide);
    text += "by the plan: nothing measured; foretold: from the measure before; follows: not read, worked out from what was\n";
    for goes_on in contradicted {
        text += &fold(&goes_on, wide);
    }
    text += "\n";
    match chapters.iter().find(|c| c.beyond.contains(&true)) {
        Some(chapter) => {
            let step = page.step(chapter.after);
            let (line, verb) = (page.at_line(step.span), step.word.word);
            let which: Vec<&str> = sizes(chapter).filter(|s| s.beyond).map(|s| s.name).collect();
            let _ = writeln!(text, "the build left its plan at {line} ({verb}): {}", which.join(", "));
        }
        None => text += "the build kept to its plan\n",
    }
    text += "\nfrom here on:\n";
    text += &verdicts(page, wide);
    text += match (page.verdict.met, page.build.lines.is_empty()) {
        (_, true) => "there is no target to meet\n",
        (true, _) => "the target can be met from here, by the steps that are left\n",
        (false, _) => "the steps that are left do not meet the target: `heatbook rescue` looks for a way\n",
    };
    text
}
