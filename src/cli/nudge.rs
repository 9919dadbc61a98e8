//! `heatbook nudge FILE`: how much each figure moves each target.

use clap::Args;

use super::Exit;
use super::output::{Format, Options, answer};
use super::run::Read;
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
        let read = match Read::ready(&self.file, options) {
            Ok(read) => read,
            Err(exit) => return exit,
        };
        let units = options.units(&read.plan);
        let (tests, nudges) = nudge(&read.plan, units);
        answer(&match options.format {
            Format::Json => nudge_json(&read.files, &read.plan, &tests, &nudges),
            Format::Table | Format::Csv => nudge_text(&read.files, &read.plan, &tests, &nudges, units),
        });
        Exit::Met
    }
}
