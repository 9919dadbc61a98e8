//! `heatbook nudge FILE`: how much each figure moves each target.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Options};
use super::progress::watched;
use super::work::ready;
use crate::report::{Asked, NudgePage};
use crate::study::nudge;

/// How much each figure moves each target, the strongest first.
#[derive(Args, Debug)]
pub struct Nudge {
    /// The recipe, or `-` for standard input
    file: Named,
}

impl Nudge {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let job = ready(&self.file, options)?;
        let units = options.units(&job.plan);
        let (tests, nudges) = watched("trying each figure", || nudge(&job.plan, units));
        let asked = Asked { files: &job.files, plan: &job.plan, units };
        options.respond(&NudgePage { asked, tests: &tests, nudges: &nudges })
    }
}
