//! `heatbook nudge FILE`: how much each figure moves each target.

use clap::Args;

use super::exit::Exit;
use super::output::{Format, Options, answer};
use super::work::ready;
use crate::report::{nudge_json, nudge_text};
use crate::study::nudge;

/// How much each figure moves each target, the strongest first.
#[derive(Args, Debug)]
pub struct Nudge {
    /// The recipe, or `-` for standard input
    file: String,
}

impl Nudge {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let job = match ready(&self.file, options) {
            Ok(job) => job,
            Err(exit) => return exit,
        };
        let units = options.units(&job.plan);
        let (tests, nudges) = nudge(&job.plan, units);
        answer(&match options.format {
            Format::Json => nudge_json(&job.files, &job.plan, &tests, &nudges),
            Format::Table | Format::Csv => nudge_text(&job.files, &job.plan, &tests, &nudges, units),
        });
        Exit::Met
    }
}
