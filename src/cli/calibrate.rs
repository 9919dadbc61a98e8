//! `heatbook calibrate LOG…`: the shop's own figures from its measured builds.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Options};
use super::progress::watched;
use super::work::ready;
use crate::report::CalibratePage;
use crate::study::{Aside, calibrate};

/// The shop's own figures from its measured builds. No file is changed.
#[derive(Args, Debug)]
pub struct Calibrate {
    /// Build logs, or recipes with `measure` in them
    #[arg(required = true)]
    logs: Vec<Named>,
}

impl Calibrate {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let jobs = self.logs.iter().map(|log| ready(log, options)).collect::<Result<Vec<_>, _>>()?;
        let plans: Vec<_> = jobs.iter().map(|job| &job.plan).collect();
        let units = plans.first().map_or(crate::quantity::Units::Metric, |p| options.units(p));
        let made = watched("fitting the shop's figures", || calibrate(&plans));
        let place = |aside: &Aside| {
            let job = jobs.get(aside.build).unwrap_or_else(|| bug!("a reading of no build"));
            let place = job.files.place(aside.site);
            format!("{} line {}", place.file, place.line)
        };
        let aside: Vec<String> = made.aside.iter().map(place).collect();
        let unworked = made.unworked.and_then(|build| self.logs.get(build)).map(ToString::to_string);
        let unworked = unworked.as_deref();
        options.respond(&CalibratePage { made: &made, builds: plans.len(), aside: &aside, unworked, units })
    }
}
