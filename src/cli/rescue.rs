//! `heatbook rescue LOG|FILE`: ways to meet a missed target.

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Options};
use super::progress::watched;
use super::work::{Work, workshop};
use crate::piece::Lot;
use crate::report::RescuePage;
use crate::study::{Missing, Ways, rescue};
use crate::workshop::Job;

/// Ways to meet a missed target, each run, the cheapest first. With `--rack`, what lies there may be used.
#[derive(Args, Debug)]
pub struct Rescue {
    /// A build log, or a recipe
    file: Named,
    /// Writes the first way into the recipe; nothing is written where there is none
    #[arg(long)]
    write: bool,
}

impl Rescue {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        if self.write && (self.file.is_stream() || work.job.is_log()) {
            return Err("only into a recipe is a way written: name the recipe itself".to_owned().into());
        }
        if work.verdict.met {
            return options.respond(&RescuePage { page: work.page(), ways: &Ways::default() });
        }
        let work =
            work.workable("mend these first: nothing can be worked out from a build that cannot be worked")?;
        let Work { job, build, units, .. } = &work;
        let base = job.recipe.unwrap_or_else(|| bug!("a recipe that was worked is not there"));
        let shelf = shelf(job);
        let missing =
            Missing { plan: &job.plan, build, text: job.text(), base, shelf: &shelf, units: *units };
        let replan = |text: &str| {
            let tried = workshop(options).instead(job, text).ok()?;
            Some((tried.plan, tried.found))
        };
        let ways = watched("trying each way", || rescue(&missing, &replan));
        options.respond(&RescuePage { page: work.page(), ways: &ways })?;
        if let Some(way) = ways.ways.first().filter(|way| self.write && way.met) {
            let edits: Vec<_> = way.edits.iter().map(|e| (e.span, e.text.clone())).collect();
            super::write::replace(&job.files, &self.file, &edits)?;
            options.note(&format!("the first way is written to `{}`", self.file));
        }
        Ok(if ways.ways.iter().any(|w| w.met) { Exit::Met } else { Exit::Fault })
    }
}

/// What lies on the rack by its file and is not drawn on; nothing where it cannot be worked: what is wrong with it is said where it is read.
fn shelf(job: &Job) -> Vec<(String, Lot)> {
    let Some(rack) = job.rack().map(|base| job.files.text_from(base)) else { return Vec::new() };
    let Ok(rack) = Job::alone("the rack", rack) else { return Vec::new() };
    let made = rack.build(rack.plan.units());
    let lots = made.standing.iter().filter_map(|id| {
        let name = rack.plan.ground.lot_name(*id);
        let drawn = job.plan.drawn.iter().any(|(other, _)| other == name);
        // What shows on a patterned bar is not known: none is laid on.
        let flat = |lot: &&Lot| !made.bench.makeup.patterned(lot.bar.node);
        made.lot(*id).filter(flat).filter(|_| !drawn).map(|lot| (name.to_owned(), lot))
    });
    lots.map(|(name, lot)| (name, *lot)).collect()
}
