//! `heatbook odds FILE`: the chance that each target is met.

use std::io::IsTerminal;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Options};
use super::work::ready;
use crate::quantity::Units;
use crate::report::{Asked, OddsPage};
use crate::study::{Draw, MOST_SAMPLES, inputs, odds};

/// The chance that each target is met, when figures are not known exactly.
#[derive(Args, Debug)]
pub struct Odds {
    /// The recipe, or `-` for standard input
    file: Named,
    /// How many samples are drawn
    #[arg(long, default_value_t = 100_000, value_name = "N")]
    samples: usize,
    /// Where the draws begin: the same seed gives the same answer
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Draws the chances as bars into this SVG file
    #[arg(long, value_name = "FILE")]
    svg: Option<Named>,
    /// How many cores work; all of them where nothing is said
    #[arg(long, value_name = "N")]
    cores: Option<usize>,
}

/// From so many samples on a bar shows how far it is.
const LONG: usize = 300_000;

impl Odds {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let job = ready(&self.file, options)?;
        if self.samples == 0 || self.samples > MOST_SAMPLES {
            return Err(format!("`--samples` takes a number from 1 to {MOST_SAMPLES}").into());
        }
        if job.plan.targets.is_empty() {
            return Err(format!("`{}` has no target: there is nothing to miss", self.file).into());
        }
        if inputs(&job.plan).is_empty() {
            let write = match options.units(&job.plan) {
                Units::Metric => "write `3 mm +- 0.1 mm`, or `scale 0.05 mm +- 40 % per heat` in the shop",
                Units::Inch => "write `1/8 in +- 0.004 in`, or `scale 0.002 in +- 40 % per heat` in the shop",
            };
            options.note(&format!("no figure here has a tolerance, so every run is the same: {write}"));
        }
        let stop = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&stop);
        // Where no handler can be set, Ctrl-C ends the program as ever.
        let _ = ctrlc::set_handler(move || told.store(true, Ordering::Relaxed));
        let bar = if self.samples >= LONG && std::io::stderr().is_terminal() {
            let bar = ProgressBar::new(self.samples as u64);
            if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos} of {len} samples, {eta} to go") {
                bar.set_style(style);
            }
            bar
        } else {
            ProgressBar::hidden()
        };
        let cores =
            self.cores.or_else(|| std::thread::available_parallelism().ok().map(Into::into)).unwrap_or(1);
        let progress = |done: usize| bar.set_position(done as u64);
        let draw = Draw { samples: self.samples, seed: self.seed, cores, stop: &stop, progress: &progress };
        let made = odds(&job.plan, &draw);
        bar.finish_and_clear();
        if made.samples == 0 {
            options.note("stopped before the first samples were done");
            return Ok(Exit::Stopped);
        }
        let units = options.units(&job.plan);
        let asked = Asked { files: &job.files, plan: &job.plan, units };
        let page = OddsPage { asked, odds: &made };
        if let Some(path) = &self.svg {
            let svg = page
                .svg()
                .ok_or_else(|| "no figure has a tolerance: there are no odds to draw".to_owned())?;
            super::write::drawing(path, svg.as_bytes())?;
            options.note(&format!("drawn into `{path}`"));
        }
        let done = options.respond(&page)?;
        if made.samples == self.samples {
            return Ok(done);
        }
        options.note(&format!("stopped: what is told is of {} samples of {}", made.samples, self.samples));
        Ok(Exit::Stopped)
    }
}
