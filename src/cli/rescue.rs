//! `heatbook rescue LOG|FILE`: ways to meet a missed target.

use clap::Args;

use super::Exit;
use super::output::{Options, answer, warn_line};
use super::run::Work;
use crate::language;
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
            Err(message) => {
                warn_line(&message);
                return Exit::Usage;
            }
        };
        if work.verdict.met {
            answer("every target is met: there is nothing to rescue\n");
            return Exit::Met;
        }
        let other = work.stopped();
        if !other.is_empty() {
            options.findings(&other, &work.files);
            warn_line("mend these first: nothing can be worked out from a build that cannot be worked");
            return Exit::Fault;
        }
        let Some((_, text, base)) = work.recipe() else { return Exit::Fault };
        let missing = Missing { plan: &work.plan, build: &work.build, text, base, units: work.units };
        let replan = |text: &str| {
            let (files, loaded) = super::input::load_instead(&self.file, options.allow_outside, text).ok()?;
            let set = super::set::wanted(&options.set).ok()?;
            let (plan, _, mut found) =
                language::read_logged(&files, loaded.base, loaded.log, &loaded.uses, set);
            found.extend(loaded.faults);
            Some((plan, found))
        };
        let ways = rescue(&missing, &replan);
        answer(&rescue_text(&work.page(), &ways));
        if ways.ways.iter().any(|w| w.met) { Exit::Met } else { Exit::Fault }
    }
}
