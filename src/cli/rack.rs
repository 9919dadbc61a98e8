//! `heatbook rack FILE`: what a build leaves over, for the next one to draw on; and the file that says what lies on the rack.

use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use chrono::{DateTime, NaiveDate};
use clap::{Args, ValueEnum};

use super::disk::{Disk, Named};
use super::exit::Exit;
use super::output::{Done, Format, Options};
use super::work::{Work, read};
use super::write::{Lock, exchange, fresh};
use crate::quantity::Kind;
use crate::report::{RackOrder, RackPage};
use crate::study::{Booked, Booking, Kept, booked, marked, rack, shelve};
use crate::workshop::figure;

/// What a build leaves over, as lines of stock for the next one. With `--into`, a rack's file takes them in, and what the build took from it
/// goes out; no other command changes a file of yours here.
#[derive(Args, Debug)]
pub struct Rack {
    /// A recipe, a build log, or a rack's file to list
    file: Named,
    /// Books the build in this rack's file: what it took goes out, what it has left goes in, once
    #[arg(long, value_name = "FILE")]
    into: Option<Named>,
    /// What is shorter than this is scrap, such as `20 mm`
    #[arg(long, value_name = "SIZE")]
    scrap: Option<String>,
    /// The day that it is booked under, as `2026-03-02`; without it, today (UTC)
    #[arg(long, value_name = "DATE", requires = "into")]
    on: Option<String>,
    /// Books a build once more whose recipe or log has changed since
    #[arg(long, requires = "into")]
    again: bool,
    /// Lists what there is in this order, in place of lines of stock
    #[arg(long, value_enum, conflicts_with = "into")]
    by: Option<By>,
    /// Lists only what has this steel in it
    #[arg(long, value_name = "STEEL", conflicts_with = "into")]
    steel: Option<String>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum By {
    /// By steel, the larger bars first
    Steel,
    /// The largest bars first
    Size,
    /// The most layers first
    Layers,
}

impl Rack {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        if let Some(into) = &self.into {
            return self.book(into, options);
        }
        let work = self.worked(Work::unmended(read(&self.file, options)?, options))?;
        let (mut kept, scrap) = self.kept(&work)?;
        if let Some(steel) = &self.steel {
            let steels = &work.job.plan.ground.steels;
            let makeup = &work.build.bench.makeup;
            kept.retain(|lot| {
                makeup.steels(lot.bar.node).any(|id| steels[id].name.eq_ignore_ascii_case(steel))
            });
        }
        if kept.is_empty() {
            options.note(if scrap.is_empty() {
                "nothing is left over: the rack is empty"
            } else {
                "nothing is left over that is worth keeping"
            });
        }
        let by = match (self.by, &self.steel) {
            (Some(By::Steel), _) => Some(RackOrder::Steel),
            (Some(By::Layers), _) => Some(RackOrder::Layers),
            (Some(By::Size), _) | (None, Some(_)) => Some(RackOrder::Size),
            (None, None) => None,
        };
        options.respond(&RackPage { page: work.page(), kept: &kept, by })
    }

    fn worked(&self, work: Work) -> Result<Work, super::output::Stop> {
        // A missed target leaves offcuts too; a build that cannot be worked leaves nothing to speak of.
        work.workable("mend these first: what is left over is known only of a build that can be worked")
    }

    /// What is left over, and what of it is scrap.
    fn kept(&self, work: &Work) -> Result<(Vec<Kept>, Vec<Kept>), String> {
        let all = rack(&work.job.plan, &work.build, work.job.text(), work.units);
        let Some(scrap) = &self.scrap else { return Ok((all, Vec::new())) };
        let (limit, kind) = figure(scrap)?;
        if kind != Kind::LENGTH {
            return Err(format!("`--scrap {scrap}` is no size: write it like `20 mm` or `3/4 in`"));
        }
        Ok(all.into_iter().partition(|lot| lot.bar.long >= limit))
    }

    /// Books the build in a rack's file, while nobody else does.
    fn book(&self, into: &Named, options: &Options) -> Done {
        if options.rack_file().is_some() {
            let message = "`--into` names the rack that the build draws on: leave `--rack` out";
            return Err(message.to_owned().into());
        }
        if into.is_stream() || self.file.is_stream() {
            return Err("a build is booked from its file into another: name both".to_owned().into());
        }
        let date = match &self.on {
            Some(date) if !is_date(date) => {
                return Err(format!("`{date}` is no day: write it like `2026-03-02`").into());
            }
            Some(date) => date.clone(),
            None => today()?,
        };
        let lock = Lock::of(into)?;
        let there = into.path().exists();
        let was = if there { Disk::document(into)?.text } else { String::new() };
        let job = read(&self.file, &options.with_rack(there.then(|| into.clone())))?;
        let (source, mark) = (self.source(into), marked(job.texts()));
        match booked(&was, &source, &mark) {
            Booked::Same(day) => {
                options.note(&format!("`{source}` was booked on {day}: nothing is changed"));
                return Ok(Exit::Met);
            }
            Booked::Other(day) if !self.again => {
                return Err(format!(
                    "`{source}` was booked on {day} with another text: where it was forged once more, say `--again`; \
                     where only its text has changed, mend the lines of `{into}` by hand"
                )
                .into());
            }
            Booked::Other(_) | Booked::No => {}
        }
        let base = job.rack().unwrap_or(0);
        let work = self.worked(Work::unmended(job, options))?;
        let (kept, scrap) = self.kept(&work)?;
        let taken = &work.job.plan.drawn;
        let booking = Booking {
            date: &date,
            source: &source,
            mark: &mark,
            taken,
            kept: &kept,
            scrap: &scrap,
            units: work.units,
        };
        let made = shelve(&was, base, &booking)?;
        if there {
            exchange(into, &was, &made.text)?;
        } else {
            fresh(into, &made.text)?;
        }
        drop(lock);
        for (lot, added) in kept.iter().zip(&made.added) {
            match added {
                Some(name) => options.note(&format!("`{name}` lies on the rack")),
                None => options.note(&format!(
                    "`{}` cannot be written as stock, and stands in the file as a comment: {}",
                    lot.name,
                    lot.stock.as_ref().err().map_or("", String::as_str)
                )),
            }
        }
        taken.iter().for_each(|(name, _)| options.note(&format!("`{name}` was used, and is off the rack")));
        scrap.iter().for_each(|lot| options.note(&format!("`{}` is scrap", lot.name)));
        if options.format != Format::Table {
            return options.respond(&RackPage { page: work.page(), kept: &kept, by: None });
        }
        Ok(Exit::Met)
    }

    /// What the build is called on the rack: by the way from there, where it lies below.
    fn source(&self, into: &Named) -> String {
        let full = |path: &Path| std::fs::canonicalize(path).ok();
        let folder = into.path().parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let below = full(self.file.path()).zip(full(folder));
        let below =
            below.and_then(|(file, folder)| Some(file.strip_prefix(folder).ok()?.display().to_string()));
        below.unwrap_or_else(|| self.file.to_string())
    }
}

/// Whether this is a day of the calendar, written as year-month-day.
fn is_date(text: &str) -> bool {
    text.len() == "2026-11-27".len() && text.parse::<NaiveDate>().is_ok()
}

/// Today in the calendar, UTC.
fn today() -> Result<String, String> {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).ok();
    let now = now.and_then(|since| DateTime::from_timestamp(i64::try_from(since.as_secs()).ok()?, 0));
    let told = now.map(|now| now.date_naive().to_string()).filter(|day| is_date(day));
    told.ok_or_else(|| "this machine's clock stands outside the calendar: say the day with `--on`".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_those_of_the_calendar() {
        assert!(is_date("2026-03-02"));
        for wrong in ["2026-13-01", "2026-3-2", "11/14/2026", "2026-13-45", "2026-00-10", "2026-02-30"] {
            assert!(!is_date(wrong), "{wrong}");
        }
    }
}
