//! The bench sheet on paper: what `run` tells in columns, as one page to pin up, with a box for every reading.

mod data;
mod html;
mod live;
mod markup;
mod offer;
mod pdf;

pub use data::{Reading, SheetJson, readings};
pub use html::OURS;
pub use live::{
    LivePage, NOW_AT as LIVE_NOW, SCRIPT as LIVE_SCRIPT, SCRIPT_AT as LIVE_SCRIPT_AT, unread_html,
};
pub use offer::{QUOTE, quote_html};
pub use pdf::BEGIN as OURS_PDF;

use super::answer::Answer;
use super::{Page, Paper, PicturePage};
use crate::piece::LotId;
use crate::study::{Side, View};

/// The bench sheet of a build as one page that needs no network, no script and no colour.
pub struct BenchSheet<'a> {
    /// The build.
    pub page: Page<'a>,
    /// How many cores draw its patterns: these are the same on any number.
    pub cores: usize,
}

/// Dots along a pattern on the sheet: more cannot be told apart at arm's length (project figure).
const DOTS: f64 = 400.0;

impl BenchSheet<'_> {
    /// The page on sheets of paper, as PDF.
    #[must_use]
    pub fn pdf(&self, paper: Paper) -> Vec<u8> {
        pdf::pdf(&self.text(0), &format!("bench sheet: {}", self.page.name), paper)
    }

    /// The pattern of each piece that a target judges and that is of several steels, or of what is left where there is no target: both
    /// faces, as SVG.
    fn patterns(&self) -> Vec<String> {
        let (plan, build) = (self.page.plan, self.page.build);
        let mut judged: Vec<LotId> = plan.targets.iter().filter_map(|target| target.lot).collect();
        if judged.is_empty() {
            judged.clone_from(&build.standing);
        }
        judged.sort_unstable();
        judged.dedup();
        let several = |lot: &LotId| {
            let bar = build.lot(*lot).map(|made| made.bar);
            bar.is_some_and(|bar| build.bench.makeup.steels(bar.node).count() > 1)
        };
        let view = View { side: Side::Blade, under: 0.0, at: 0.0 };
        let seen = |lot| PicturePage::of(&self.page, lot, view, |wide| wide / DOTS, self.cores).ok();
        judged.into_iter().filter(several).filter_map(seen).map(|page| page.svg()).collect()
    }
}

impl<'a> Answer for BenchSheet<'a> {
    type Json = SheetJson<'a>;
    const SCHEMA: &'static str = "heatbook-sheet-3";

    /// The page; every figure in it says at which place of the JSON it stands too.
    fn text(&self, _: usize) -> String {
        html::page(&self.json(), &self.patterns(), self.page.units)
    }

    /// Never folded: whoever shows it folds it.
    fn page(&self, wide: usize) -> String {
        self.text(wide)
    }

    fn json(&self) -> SheetJson<'a> {
        data::sheet(&self.page)
    }
}
