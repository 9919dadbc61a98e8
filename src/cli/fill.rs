//! `heatbook fill FILE`: the values that stand for each `?`.

use clap::{Args, ValueEnum};

use super::disk::Named;
use super::output::{Done, Format, Options, Stop};
use super::progress::watched;
use super::work::{Work, read, workshop};
use crate::quantity::{CLOSE, rounded, written};
use crate::quantity::{Kind, Units};
use crate::replay::{Ask, build};
use crate::report::{FillPage, Filling, Racked};
use crate::source::{Code, Diagnostic, Span};
use crate::study::{Filled, FromRack, Instead, Least as Objective, Runs, fill, instead, judge, nearest_miss};
use crate::workshop::Job;

/// Finds the values that stand for each `?`. With `--rack`, bars that lie there go before bought ones where they serve.
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
        let units = options.units(&job.plan);
        let filled = watched("looking for figures", || fill(&job.plan, least));
        let asked = options.rack_file().is_some();
        let from_rack =
            if asked { first_the_rack(&job, filled.as_ref(), least, options) } else { FromRack::default() };
        let racked: Vec<Racked> = from_rack.lines.iter().map(|line| racked(&job, line)).collect();
        let mut edits: Vec<(Span, String)> =
            from_rack.lines.iter().map(|line| (line.fix.span, line.fix.text.clone())).collect();
        // What is asked for in a line that takes from the rack now is asked for no more.
        let gone = |ask: &&Ask| {
            edits.iter().any(|(line, _)| line.start <= ask.span.start && ask.span.end <= line.end)
        };
        let spans: Vec<Span> = job.plan.asks.iter().filter(|ask| !gone(ask)).map(|ask| ask.span).collect();
        let (job, before, filled) = match from_rack.job {
            Some((changed, filled)) => {
                let filled = filled.unwrap_or_else(|| Filled::as_it_stands(&changed.plan, least));
                (changed, Some(job.files), Some(filled))
            }
            None => (job, None, filled),
        };
        let Some(filled) = filled else {
            let rack = if asked {
                ", and nothing on the rack was found to serve in the place of what it buys"
            } else {
                ""
            };
            let message = format!("no `?` stands in `{}`{rack}: put one where a figure is wanted", self.file);
            return Err(message.into());
        };
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
        let work = Work { job, build: built, verdict, units };
        let racked = asked.then_some((racked.as_slice(), !from_rack.cut_short));
        let page =
            FillPage { page: work.page(), filled: &filled, answers: &answers, least, objective, racked };
        options.respond(&page)?;
        if options.format != Format::Json || !met {
            options.findings(&work.verdict.faults.iter().collect::<Vec<&Diagnostic>>(), &work.job.files);
        }
        if self.write && met {
            edits.extend(spans.into_iter().zip(answers.iter().map(|a| a.write.clone())));
            super::write::replace(before.as_ref().unwrap_or(&work.job.files), &self.file, &edits)?;
            options.note(&format!("written to `{}`", self.file));
        }
        Ok(work.exit(options))
    }
}

/// What lies on the rack, tried before anything is bought.
fn first_the_rack(job: &Job, filled: Option<&Filled>, least: Objective, options: &Options) -> FromRack {
    let figures = filled.map(Filled::set).unwrap_or_default();
    let replan = |text: &str| workshop(options).instead(job, text).ok();
    let units = options.units(&job.plan);
    watched("trying what lies on the rack", || instead(job, &figures, least, units, &replan))
}

fn racked(job: &Job, line: &Instead) -> Racked {
    Racked {
        line: job.files.line(line.fix.span),
        bought: job.files.words(line.fix.span),
        write: line.fix.text.clone(),
        name: line.name.clone(),
        bars: line.bars.clone(),
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
