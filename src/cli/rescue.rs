//! `heatbook rescue LOG|FILE`: ways to meet a missed target.

use clap::Args;

use super::Exit;
use super::output::{Done, Options};
use super::run::Work;
use crate::language;
use crate::report::RescuePage;
use crate::study::{Missing, Ways, rescue};

/// Ways to meet a missed target, each run, the cheapest first.
#[derive(Args, Debug)]
pub struct Rescue {
    /// A build log, or a recipe
    file: String,
}

impl Rescue {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        if work.verdict.met {
            options.respond(&RescuePage { page: work.page(), ways: &Ways::default() })?;
            return Ok(Exit::Met);
        }
        let work =
            work.workable("mend these first: nothing can be worked out from a build that cannot be worked")?;
        let Some((_, text, base)) = work.recipe() else { return Ok(Exit::Fault) };
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
        options.respond(&RescuePage { page: work.page(), ways: &ways })?;
        Ok(if ways.ways.iter().any(|w| w.met) { Exit::Met } else { Exit::Fault })
    }
}
