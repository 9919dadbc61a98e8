//! `heatbook chart FILE --of width`: where a size went, to look at.

use clap::{Args, ValueEnum};

use super::disk::Named;
use super::output::{Done, Options};
use super::work::{Work, read};
use crate::piece::Measure;
use crate::report::{AlongPage, Answer, BurntPage, ChartPage, LayersPage, SteelPage};
use crate::source::quoted;
use crate::study::last_lot;

/// Draws where a size of a piece went, step by step, with what its target asks.
#[derive(Args, Debug)]
pub struct Chart {
    /// A recipe, or a build log; `-` for standard input
    file: Named,
    /// What is drawn
    #[arg(long, value_enum)]
    of: Of,
    /// The piece, as the recipe calls it; without it, the one that the first target judges, or the last that stands
    #[arg(long, value_name = "NAME")]
    piece: Option<String>,
    /// Draws it into this SVG file
    #[arg(long, value_name = "FILE")]
    svg: Option<Named>,
}

/// What can be drawn.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Of {
    /// After each step
    Thickness,
    /// After each step
    Width,
    /// After each step
    Length,
    /// Of one bar, after each step
    Mass,
    /// The width of a blade from heel to tip, with what is asked of it where
    Along,
    /// The layers through the thickness, as it was stacked and in the end
    Layers,
    /// All that was taken, and what became of it
    Steel,
    /// What burnt off, step by step
    Fire,
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
        let chapters = work.chapters();
        let size = |of| {
            let chart = ChartPage { page: &page, lot, of, chapters: &chapters };
            self.told(&chart, || chart.svg(), options)
        };
        match self.of {
            Of::Thickness => size(Measure::Thickness),
            Of::Width => size(Measure::Width),
            Of::Length => size(Measure::Length),
            Of::Mass => size(Measure::Mass),
            Of::Along => {
                let Some(along) = AlongPage::of(&page, lot) else {
                    let name = plan.ground.lot_name(lot);
                    let makes = "`taper`, `profile`, `bevel` or `tang` make one";
                    return Err(format!("`{name}` is no blade, and as wide all along: {makes}").into());
                };
                self.told(&along, || along.svg(), options)
            }
            Of::Layers => {
                let layers = LayersPage { page: &page, lot };
                self.told(&layers, || layers.svg(), options)
            }
            Of::Fire => {
                let burnt = BurntPage { page: &page };
                self.told(&burnt, || burnt.svg(), options)
            }
            Of::Steel => {
                let steel = SteelPage { page: &page };
                self.told(&steel, || steel.svg(), options)
            }
        }
    }

    fn told(&self, answer: &impl Answer, svg: impl Fn() -> String, options: &Options) -> Done {
        if let Some(path) = &self.svg {
            super::write::drawing(path, svg().as_bytes())?;
            options.note(&format!("drawn into `{path}`"));
        }
        options.respond(answer)
    }
}
