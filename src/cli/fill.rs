//! `heatbook fill FILE`: the values that stand for each `?`.

use clap::{Args, ValueEnum};

use super::disk::Named;
use super::output::{Done, Format, Options, Stop};
use super::progress::watched;
use super::work::{Work, read};
use crate::quantity::{CLOSE, rounded, written};
use crate::quantity::{Kind, Units};
use crate::replay::build;
use crate::report::{FillPage, Filling};
use crate::source::{Code, Diagnostic};
use crate::study::{Filled, Least as Objective, Runs, fill, judge, nearest_miss};

/// Finds the values that stand for each `?`.
#[derive(Args, Debug)]
pub struct Fill {
    /// The recipe, or `-` for standard input
    file: Named,
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
    pub fn run(&self, options: &Options) -> Done {
        let job = read(&self.file, options)?;
        if self.write && self.file.is_stream() {
            return Err("there is no file to write to: name the recipe".to_owned().into());
        }
        if !job.found.is_empty() {
            return Err(Stop::Found { files: job.files, found: job.found, behind: None });
        }
        let least = match self.least {
            Least::Steel => Objective::Steel,
            Least::Heats => Objective::Heats,
            Least::Hours => Objective::Hours,
            Least::Cost => Objective::Cost,
            Least::Length => Objective::Length,
        };
        let Some(filled) = watched("looking for figures", || fill(&job.plan, least)) else {
            let message = format!("no `?` stands in `{}`: put one where a figure is wanted", self.file);
            return Err(message.into());
        };
        let units = options.units(&job.plan);
        let mut runs = Runs::new(&job.plan, least);
        let met = filled.outcome.met();
        let set = if met { as_written(&mut runs, &filled, units) } else { filled.set() };
        let objective = met.then(|| runs.run(&set).objective);
        let asks = job.plan.asks.iter().zip(filled.unknowns.iter().zip(&set)).zip(&filled.values);
        let answers: Vec<Filling> = asks
            .filter(|_| met)
            .map(|((ask, (unknown, (_, value))), exact)| Filling {
                line: job.files.line(ask.span),
                asked: job.files.words(ask.span),
                exact: *exact,
                write: written(*value, unknown.kind, units),
            })
            .collect();
        let built = build(&job.plan, &set, units);
        let mut verdict = judge(&job.plan, &built, Vec::new(), units);
        verdict.faults.retain(|f| f.code != Code::OpenQuestion);
        if !met {
            verdict.faults = nearest_miss(&job.plan, &filled, units);
        }
        verdict.met = verdict.faults.is_empty();
        let spans: Vec<_> = job.plan.asks.iter().map(|a| a.span).collect();
        let work = Work { job, build: built, verdict, units };
        let page = FillPage { page: work.page(), filled: &filled, answers: &answers, least, objective };
        options.respond(&page)?;
        if options.format != Format::Json || !met {
            options.findings(&work.verdict.faults.iter().collect::<Vec<&Diagnostic>>(), &work.job.files);
        }
        if self.write && met {
            let edits: Vec<_> = spans.into_iter().zip(answers.iter().map(|a| a.write.clone())).collect();
            super::write::replace(&work.job.files, &self.file, &edits)?;
            options.note(&format!("written to `{}`", self.file));
        }
        Ok(work.exit(options))
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
        let better = rounded(value, CLOSE, unknown.kind, units, |tried| {
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
