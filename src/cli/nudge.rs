//! `heatbook nudge FILE`: how much each figure moves each target.

use clap::Args;

use super::Exit;
use super::output::{Done, Options};
use super::run::Read;
use crate::report::{Asked, NudgePage};
use crate::study::nudge;

/// How much each figure moves each target, the strongest first.
#[derive(Args, Debug)]
pub struct Nudge {
    /// The recipe, or `-` for standard input
    file: String,
}

impl Nudge {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let read = Read::ready(&self.file, options)?;
        let units = options.units(&read.plan);
        let (tests, nudges) = nudge(&read.plan, units);
        let asked = Asked { files: &read.files, plan: &read.plan, units };
        options.respond(&NudgePage { asked, tests: &tests, nudges: &nudges })?;
        Ok(Exit::Met)
    }
}
