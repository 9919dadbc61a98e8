//! `heatbook fill FILE`: the values that stand for each `?`.

use clap::{Args, ValueEnum};

use super::exit::Exit;
use super::output::{Format, Options, answer, warn_line};
use super::work::{Work, read, usage};
use crate::quantity::{Kind, Units};
use crate::replay::build;
use crate::report::{Answer, fill_json, fill_text};
use crate::source::{Code, Diagnostic};
use crate::study::{Filled, Least as Objective, Runs, fill, judge, nearest_miss, rounded, written};
use crate::workshop::Job;

/// Finds the values that stand for each `?`.
#[derive(Args, Debug)]
pub struct Fill {
    /// The recipe, or `-` for standard input
    file: String,
    /// What there should be least of
    #[arg(long, value_enum, default_value = "steel")]
    least: Least,
    /// Puts the answers into the file
    #[arg(long)]
    write: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Least {
    /// Steel taken from the store
    Steel,
    /// Trips through the fire
    Heats,
    /// Hours at the fire
    Hours,
    /// Money, by the shop's prices
    Cost,
    /// Length of bar taken from the store
    Length,
}

impl Fill {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let job = match read(&self.file, options) {
            Ok(job) => job,
            Err(message) => return usage(message),
        };
        if self.write && self.file == "-" {
            return usage("there is no file to write to: name the recipe".to_owned());
        }
        if !job.found.is_empty() {
            options.findings(&job.found.iter().collect::<Vec<_>>(), &job.files);
            return Exit::Fault;
        }
        let least = match self.least {
            Least::Steel => Objective::Steel,
            Least::Heats => Objective::Heats,
            Least::Hours => Objective::Hours,
            Least::Cost => Objective::Cost,
            Least::Length => Objective::Length,
        };
        let Some(filled) = fill(&job.plan, least) else {
            return usage(format!("no `?` stands in `{}`: put one where a figure is wanted", self.file));
        };
        let units = options.units(&job.plan);
        if !filled.outcome.met() {
            let faults = nearest_miss(&job.plan, &filled, units);
            options.findings(&faults.iter().collect::<Vec<_>>(), &job.files);
            if options.format == Format::Json {
                answer(&fill_json(&filled, &[], least, f64::NAN));
            }
            return Exit::Fault;
        }
        self.found(job, &filled, least, units, options)
    }

    fn found(&self, job: Job, filled: &Filled, least: Objective, units: Units, options: &Options) -> Exit {
        let mut runs = Runs::new(&job.plan, least);
        let set = as_written(&mut runs, filled, units);
        let at = runs.run(&set).objective;
        let answers: Vec<Answer> = job
            .plan
            .asks
            .iter()
            .zip(filled.unknowns.iter().zip(&set))
            .zip(&filled.values)
            .map(|((ask, (unknown, (_, value))), exact)| Answer {
                line: job.files.line(ask.span),
                asked: job.files.text(ask.span).split_whitespace().collect::<Vec<_>>().join(" "),
                exact: *exact,
                write: written(*value, unknown.kind, units),
            })
            .collect();
        let built = build(&job.plan, &set, units);
        let mut verdict = judge(&job.plan, &built, Vec::new(), units);
        verdict.faults.retain(|f| f.code != Code::OpenQuestion);
        verdict.met = verdict.faults.is_empty();
        let spans: Vec<_> = job.plan.asks.iter().map(|a| a.span).collect();
        let work = Work { job, build: built, verdict, units };
        let page = work.page();
        match options.format {
            Format::Json => answer(&fill_json(filled, &answers, least, at)),
            Format::Table | Format::Csv => {
                answer(&fill_text(&page, filled, &answers, least, at));
                options.findings(&work.verdict.faults.iter().collect::<Vec<&Diagnostic>>(), &work.job.files);
            }
        }
        if self.write {
            let edits: Vec<_> = spans.into_iter().zip(answers.iter().map(|a| a.write.clone())).collect();
            match super::write::replace(&work.job.files, &self.file, &edits) {
                Ok(()) => warn_line(&format!("written to `{}`", self.file)),
                Err(message) => return usage(message),
            }
        }
        work.exit()
    }
}

/// The answers rounded to what a shop can set, one after the other, as long as all is still met.
fn as_written(runs: &mut Runs, filled: &Filled, units: Units) -> Vec<(u32, f64)> {
    let mut set = filled.set();
    for (i, unknown) in filled.unknowns.iter().enumerate() {
        if unknown.whole || unknown.kind == Kind::OPEN {
            continue;
        }
        let Some((slot, value)) = set.get(i).copied() else { continue };
        let better = rounded(value, unknown.kind, units, |tried| {
            let mut tried_set = set.clone();
            if let Some(place) = tried_set.get_mut(i) {
                *place = (slot, tried);
            }
            (unknown.low..=unknown.high).contains(&tried) && runs.run(&tried_set).met()
        });
        if let Some(place) = set.get_mut(i) {
            *place = (slot, better);
        }
    }
    set
}
