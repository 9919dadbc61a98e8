//! `heatbook rescue LOG|FILE`: ways to meet a missed target.

use clap::Args;

use super::exit::Exit;
use super::output::{Options, answer, warn_line};
use super::work::{Work, usage, workshop};
use crate::report::rescue_text;
use crate::study::{Missing, rescue};

/// Ways to meet a missed target, each run, the cheapest first.
#[derive(Args, Debug)]
pub struct Rescue {
    /// A build log, or a recipe
    file: String,
}

impl Rescue {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let work = match Work::read(&self.file, options) {
            Ok(work) => work,
            Err(message) => return usage(message),
        };
        if work.verdict.met {
            answer("every target is met: there is nothing to rescue\n");
            return Exit::Met;
        }
        let other = work.stopped();
        if !other.is_empty() {
            options.findings(&other, &work.job.files);
            warn_line("mend these first: nothing can be worked out from a build that cannot be worked");
            return Exit::Fault;
        }
        let Work { job, build, units, .. } = &work;
        let base = job.recipe.unwrap_or_else(|| bug!("a recipe that was worked is not there"));
        let missing = Missing { plan: &job.plan, build, text: job.text(), base, units: *units };
        let replan = |text: &str| {
            let tried = workshop(options).instead(job, text).ok()?;
            Some((tried.plan, tried.found))
        };
        let ways = rescue(&missing, &replan);
        answer(&rescue_text(&work.page(), &ways));
        if ways.ways.iter().any(|w| w.met) { Exit::Met } else { Exit::Fault }
    }
}
