//! The bench sheet on paper: what `run` tells in columns, as one page to pin up, with a box for every reading.

mod data;
mod html;
mod markup;
mod offer;

pub use data::{Reading, SheetJson, readings};
pub use html::OURS;
pub use offer::{QUOTE, quote_html};

use super::Page;
use super::answer::Answer;

/// The bench sheet of a build as one page that needs no network, no script and no colour.
pub struct BenchSheet<'a> {
    /// The build.
    pub page: Page<'a>,
}

impl<'a> Answer for BenchSheet<'a> {
    type Json = SheetJson<'a>;
    const SCHEMA: &'static str = "heatbook-sheet-2";

    /// The page; every figure in it says at which place of the JSON it stands too.
    fn text(&self, _: usize) -> String {
        html::page(&self.json(), self.page.units)
    }

    /// Never folded: whoever shows it folds it.
    fn page(&self, wide: usize) -> String {
        self.text(wide)
    }

    fn json(&self) -> SheetJson<'a> {
        data::sheet(&self.page)
    }
}
