//! `heatbook rack FILE`: what a build leaves over, for the next one to draw on.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Options};
use super::work::Work;
use crate::report::RackPage;
use crate::study::rack;

/// What a build leaves over, as recipes for the next one to call. No file is changed: send the answer where you keep it.
#[derive(Args, Debug)]
pub struct Rack {
    /// A recipe, or a build log
    file: Named,
}

impl Rack {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        // A missed target leaves offcuts too; a build that cannot be worked leaves nothing to speak of.
        let work =
            work.workable("mend these first: what is left over is known only of a build that can be worked")?;
        let kept = rack(&work.job.plan, &work.build, work.job.text(), work.units);
        if kept.is_empty() {
            options.note("nothing is left over: the rack is empty");
        }
        options.respond(&RackPage { page: work.page(), kept: &kept })
    }
}
