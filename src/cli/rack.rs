//! `heatbook rack FILE`: what a build leaves over, for the next one to draw on.

use clap::Args;

use super::exit::Exit;
use super::output::{Options, answer, warn_line};
use super::work::{Work, usage};
use crate::report::rack_text;
use crate::study::rack;

/// What a build leaves over, as recipes for the next one to call. No file is changed: send the answer where you keep it.
#[derive(Args, Debug)]
pub struct Rack {
    /// A recipe, or a build log
    file: String,
}

impl Rack {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let work = match Work::read(&self.file, options) {
            Ok(work) => work,
            Err(message) => return usage(message),
        };
        // A missed target leaves offcuts too; a build that cannot be worked leaves nothing to speak of.
        let other = work.stopped();
        if !other.is_empty() {
            options.findings(&other, &work.job.files);
            warn_line("mend these first: what is left over is known only of a build that can be worked");
            return Exit::Fault;
        }
        let kept = rack(&work.job.plan, &work.build, work.job.text(), work.units);
        if kept.is_empty() {
            warn_line("nothing is left over: the rack is empty");
        } else {
            answer(&rack_text(&work.page(), &kept));
        }
        Exit::Met
    }
}
