//! `heatbook why QUANTITY PIECE FILE`: where a size went.

use clap::{Args, ValueEnum};

use super::Exit;
use super::output::{Format, Options, answer, warn_line};
use super::run::Work;
use crate::piece::Measure;
use crate::study::{last_lot, why};

/// Says which step took or gave each millimetre or gram.
#[derive(Args, Debug)]
pub struct Why {
    /// What is asked about
    #[arg(value_enum)]
    quantity: Quantity,
    /// The piece, as the recipe calls it
    piece: String,
    /// The recipe, or `-` for standard input
    file: String,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Quantity {
    Thickness,
    Width,
    Length,
    Mass,
}

impl Why {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let work = match Work::read(&self.file, options) {
            Ok(work) => work,
            Err(message) => {
                warn_line(&message);
                return Exit::Usage;
            }
        };
        let what = match self.quantity {
            Quantity::Thickness => Measure::Thickness,
            Quantity::Width => Measure::Width,
            Quantity::Length => Measure::Length,
            Quantity::Mass => Measure::Mass,
        };
        let story =
            last_lot(&work.plan, &work.build, &self.piece).and_then(|lot| why(&work.build, lot, what));
        let Some(story) = story else {
            work.findings(options);
            let mut names: Vec<&str> =
                work.build.standing.iter().map(|l| work.plan.ground.lot_name(*l)).collect();
            names.dedup();
            let list = if names.is_empty() { "none was made".to_owned() } else { names.join(", ") };
            warn_line(&format!("there is no piece `{}` in this recipe; its pieces: {list}", self.piece));
            return Exit::Usage;
        };
        let page = work.page();
        match options.format {
            Format::Table => answer(&crate::report::why_text(&page, &self.piece, &story)),
            Format::Json => answer(&crate::report::why_json(&page, &self.piece, &story)),
            Format::Csv => answer(&crate::report::why_csv(&page, &story)),
        }
        Exit::Met
    }
}
