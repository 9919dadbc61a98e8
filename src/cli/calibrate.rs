//! `heatbook calibrate LOG…`: the shop's own figures from its measured builds.

use clap::Args;

use super::exit::Exit;
use super::output::{Options, answer};
use super::work::ready;
use crate::report::calibrate_text;
use crate::study::calibrate;

/// The shop's own figures from its measured builds. No file is changed.
#[derive(Args, Debug)]
pub struct Calibrate {
    /// Build logs, or recipes with `measure` in them
    #[arg(required = true)]
    logs: Vec<String>,
}

impl Calibrate {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let jobs: Vec<_> = match self.logs.iter().map(|log| ready(log, options)).collect() {
            Ok(jobs) => jobs,
            Err(exit) => return exit,
        };
        let plans: Vec<_> = jobs.iter().map(|job| &job.plan).collect();
        let units = plans.first().map_or(crate::quantity::Units::Metric, |p| options.units(p));
        answer(&calibrate_text(&calibrate(&plans), plans.len(), units));
        Exit::Met
    }
}
