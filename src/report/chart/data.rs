//! Where a size of a piece went, step by step, with what its target asks.

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::{LotId, Measure};
use crate::quantity::Kind;
use crate::report::run::unit;
use crate::report::{Page, finite};
use crate::spec::What;
use crate::study::{Chapter, chain, why};

/// The story of a size as points, mm or g.
#[derive(Serialize, JsonSchema)]
pub struct ChartJson<'a> {
    pub(in crate::report) of: &'static str,
    pub(in crate::report) piece: &'a str,
    pub(in crate::report) unit: &'static str,
    /// After each step that changed it, the stock first.
    pub(in crate::report) points: Vec<PointJson>,
    pub(in crate::report) limits: Vec<LimitJson>,
    /// Of a build that was measured: what the size was by the plan alone, behind each step that was measured.
    pub(in crate::report) planned: Vec<PlannedJson>,
    #[serde(skip)]
    pub(in crate::report) kind: Kind,
}

#[derive(Serialize, JsonSchema)]
pub struct PointJson {
    pub(in crate::report) n: usize,
    pub(in crate::report) line: u32,
    pub(in crate::report) verb: &'static str,
    /// The recipe's own words.
    pub(in crate::report) words: String,
    pub(in crate::report) value: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct PlannedJson {
    /// The step that measures.
    pub(in crate::report) n: usize,
    pub(in crate::report) value: f64,
}

/// What a line of the target asks of the whole piece or of a stretch of it.
#[derive(Serialize, JsonSchema)]
pub struct LimitJson {
    pub(in crate::report) asked: String,
    pub(in crate::report) low: Option<f64>,
    pub(in crate::report) high: Option<f64>,
}

/// The chart of a size of a lot; `None` where it was never made.
pub fn chart<'a>(page: &Page<'a>, lot: LotId, of: Measure) -> Option<ChartJson<'a>> {
    let story = why(page.build, lot, of)?;
    let made = page.plan.steps.iter().position(|s| s.gives.contains(&story.stock));
    let point = |step: usize, value: f64| PointJson {
        n: step + 1,
        line: page.line(step),
        verb: page.step(step).word.word,
        words: page.files.words(page.step(step).span),
        value,
    };
    let mut points: Vec<PointJson> = made.map(|step| point(step, story.from)).into_iter().collect();
    let mut value = story.from;
    for (step, change) in story.by_step() {
        value += change;
        points.push(point(step, value));
    }
    let limits = page.plan.targets.iter().filter(|t| t.lot == Some(lot)).flat_map(|t| &t.tests);
    let limits = limits.filter(|test| test.what == asked(of) && test.part.is_none() && test.behind.is_none());
    let limits = limits.map(|test| {
        let (low, high) = test.limits(page.build.values());
        LimitJson {
            asked: page.files.words(test.span),
            low: low.and_then(finite),
            high: high.and_then(finite),
        }
    });
    let (piece, kind) = (page.plan.ground.lot_name(lot), of.kind());
    Some(ChartJson {
        of: of.word(),
        piece,
        unit: unit(kind),
        points,
        limits: limits.collect(),
        planned: Vec::new(),
        kind,
    })
}

/// What the plan alone says of a size of a lot, behind each measure of it on its way.
pub fn planned(page: &Page, lot: LotId, of: Measure, chapters: &[Chapter]) -> Vec<PlannedJson> {
    let chain = chain(page.build, lot);
    let told = chapters.iter().filter(|chapter| chain.contains(&chapter.lot)).filter_map(|chapter| {
        let step = page.plan.steps.iter().position(|s| s.span == chapter.span)?;
        let (_, value) = Measure::ALL.into_iter().zip(chapter.planned?).find(|(size, _)| *size == of)?;
        Some(PlannedJson { n: step + 1, value })
    });
    told.collect()
}

/// What a target says of a size.
fn asked(of: Measure) -> What {
    match of {
        Measure::Thickness => What::Thickness,
        Measure::Width => What::Width,
        Measure::Length => What::Length,
        Measure::Mass => What::Mass,
    }
}

/// The charts of every size that a target asks of: what a sheet shows.
pub fn charts<'a>(page: &Page<'a>) -> Vec<ChartJson<'a>> {
    let mut lots: Vec<LotId> = page.plan.targets.iter().filter_map(|t| t.lot).collect();
    lots.dedup();
    let all = lots.into_iter().flat_map(|lot| Measure::ALL.into_iter().map(move |of| (lot, of)));
    let all = all.filter_map(|(lot, of)| chart(page, lot, of));
    all.filter(|chart| !chart.limits.is_empty() && chart.points.len() > 1).collect()
}
