//! `heatbook chart FILE --of width`: where a size went, to look at.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Options};
use super::why::{Quantity, measure};
use super::work::{Work, read};
use crate::report::ChartPage;
use crate::source::quoted;
use crate::study::last_lot;

/// Draws where a size of a piece went, step by step, with what its target asks.
#[derive(Args, Debug)]
pub struct Chart {
    /// A recipe, or a build log; `-` for standard input
    file: Named,
    /// What is drawn
    #[arg(long, value_enum)]
    of: Quantity,
    /// The piece, as the recipe calls it; without it, the one that the first target judges, or the last that stands
    #[arg(long, value_name = "NAME")]
    piece: Option<String>,
    /// Draws it into this SVG file
    #[arg(long, value_name = "FILE")]
    svg: Option<Named>,
}

impl Chart {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::unmended(read(&self.file, options)?, options);
        let work = work.workable(
            "mend these first: what a step comes to is known only of a recipe that can be worked",
        )?;
        let (plan, build) = (&work.job.plan, &work.build);
        let judged = || plan.targets.iter().find_map(|t| t.lot);
        let lot = match &self.piece {
            Some(name) => last_lot(plan, build, name),
            None => judged().or(build.standing.last().copied()),
        };
        let Some(lot) = lot else {
            let mut names: Vec<&str> = build.standing.iter().map(|l| plan.ground.lot_name(*l)).collect();
            names.dedup();
            let list = if names.is_empty() { "none was made".to_owned() } else { quoted(names) };
            let asked = self.piece.as_deref().map_or(String::new(), |name| format!(" `{name}`"));
            return Err(format!("there is no piece{asked} in this recipe; its pieces: {list}").into());
        };
        let page = work.page();
        let chart = ChartPage { page: &page, lot, of: measure(self.of) };
        if let Some(path) = &self.svg {
            super::write::drawing(path, &chart.svg())?;
            options.note(&format!("drawn into `{path}`"));
        }
        options.respond(&chart)
    }
}
