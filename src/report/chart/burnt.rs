//! What the fire took: step by step the steel that burnt off, with the heats and minutes that it was in for.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::Cause;
use crate::quantity::{Kind, Units, show, show_count, trim_number};
use crate::report::Page;
use crate::report::answer::{Answer, Table};
use crate::report::table::table;
use crate::report::tame::markup as text;

use super::frame::{SMALL, begin, fitted};

#[derive(Serialize, JsonSchema)]
pub struct BurntJson {
    /// All steel that the recipe takes.
    taken_g: f64,
    /// What of it burnt off.
    burnt_g: f64,
    /// The steps at the fire, and those in which steel burnt off.
    steps: Vec<BurntStepJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct BurntStepJson {
    n: usize,
    line: u32,
    /// The recipe's own words.
    words: String,
    heats: u32,
    /// At the fire and at the work; absent where nothing is heated.
    minutes: Option<f64>,
    burnt_g: f64,
}

/// What the fire took, to look at.
pub struct BurntPage<'a> {
    /// The build.
    pub page: &'a Page<'a>,
}

impl BurntPage<'_> {
    /// The picture: bars one under the other, as long as what burnt off in each step is heavy, px.
    #[must_use]
    pub fn svg(&self) -> String {
        const LEFT: f64 = 250.0;
        const ROOM: f64 = 250.0;
        const ROW: f64 = 28.0;
        const TOP: f64 = 60.0;
        let (burnt, units) = (self.json(), self.page.units);
        let tall = TOP + burnt.steps.len().max(1) as f64 * ROW + 8.0;
        let mut made = begin(tall, 8.0, "what the fire took, step by step");
        let _ = writeln!(made, "<text x=\"8\" y=\"42\">{}</text>", text(&self.in_all(&burnt)));
        let most = burnt.steps.iter().map(|s| s.burnt_g).fold(0.0, f64::max);
        let per = if most > 0.0 { ROOM / most } else { 0.0 };
        for (i, step) in burnt.steps.iter().enumerate() {
            let (y, long) = (TOP + i as f64 * ROW, step.burnt_g * per);
            let short = fitted(&format!("{}. {}", step.n, step.words), LEFT - 14.0, SMALL);
            let _ = writeln!(
                made,
                "<text x=\"{}\" y=\"{}\" text-anchor=\"end\" font-size=\"{SMALL}\">{}</text>\n\
                 <rect class=\"step\" data-value=\"{}\" x=\"{LEFT}\" y=\"{y}\" width=\"{long:.3}\" height=\"20\" fill=\"#999\" stroke=\"black\"/>\n\
                 <text x=\"{:.3}\" y=\"{}\">{}</text>",
                LEFT - 6.0,
                y + 15.0,
                text(&short),
                step.burnt_g,
                LEFT + long + 6.0,
                y + 15.0,
                text(&said(step, units))
            );
        }
        made + "</svg>\n"
    }

    fn in_all(&self, burnt: &BurntJson) -> String {
        let share = if burnt.taken_g > 0.0 { 100.0 * burnt.burnt_g / burnt.taken_g } else { 0.0 };
        let heats: u32 = burnt.steps.iter().map(|step| step.heats).sum();
        format!(
            "{} burnt off of {} ({} %), in {}",
            self.page.g(burnt.burnt_g),
            self.page.g(burnt.taken_g),
            trim_number(share, 1),
            show_count(u64::from(heats), "heat")
        )
    }
}

/// What burnt off in a step, in how many heats and minutes.
fn said(step: &BurntStepJson, units: Units) -> String {
    let grams = show(step.burnt_g, Kind::MASS, units);
    match step.minutes {
        Some(minutes) => {
            format!("{grams}, {}, {} min", show_count(u64::from(step.heats), "heat"), trim_number(minutes, 0))
        }
        None => grams,
    }
}

impl Answer for BurntPage<'_> {
    type Json = BurntJson;
    const SCHEMA: &'static str = "heatbook-burnt-1";

    fn text(&self, wide: usize) -> String {
        let burnt = self.json();
        let rows = burnt.steps.iter().map(|step| {
            vec![
                step.n.to_string(),
                step.words.clone(),
                step.heats.to_string(),
                step.minutes.map_or(String::new(), |minutes| trim_number(minutes, 0)),
                self.page.g(step.burnt_g),
            ]
        });
        table(["step", "", "heats", "minutes", "burnt off"], rows, 2, wide) + &self.in_all(&burnt) + "\n"
    }

    fn json(&self) -> BurntJson {
        let ledger = &self.page.build.ledger;
        let steps = (0..self.page.plan.steps.len()).filter_map(|index| {
            let (effort, burnt_g) = (ledger.effort_in(index), ledger.lost_in(index, Cause::Scale));
            let heats = ledger.heats_in(index);
            (heats > 0 || burnt_g != 0.0).then(|| BurntStepJson {
                n: index + 1,
                line: self.page.line(index),
                words: self.page.files.words(self.page.step(index).span),
                heats,
                minutes: effort.map(|effort| effort.minutes),
                burnt_g,
            })
        });
        BurntJson {
            taken_g: self.page.build.balance.taken,
            burnt_g: ledger.lost(Cause::Scale),
            steps: steps.collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("n line words heats minutes burnt_g", self.json().steps))
    }
}
