//! `heatbook quote FILE`: what a blade costs whoever orders it, and when it can be ready.

use std::sync::atomic::AtomicBool;

use chrono::NaiveDate;
use clap::Args;

use super::disk::Named;
use super::output::{Done, Format, Options};
use super::work::{Work, read};
use crate::report::{Order, QuotePage, quote_html};
use crate::study::{Draw, inputs, odds, quote, schedule};

/// What a blade costs: steel, hours, fuel, lines of your own, re-makes by the odds, margin, tax, deposit; and its days.
#[derive(Args, Debug)]
pub struct Quote {
    /// The recipe, or `-` for standard input
    file: Named,
    /// The number of the order
    #[arg(long, value_name = "NUMBER")]
    order: Option<String>,
    /// What the customer asks for, in words of their own
    #[arg(long, value_name = "TEXT")]
    words: Option<String>,
    /// The date of the order: year-month-day
    #[arg(long, value_name = "DATE", value_parser = date)]
    date: Option<NaiveDate>,
    /// The date of delivery: year-month-day; the work is done the day before
    #[arg(long, value_name = "DATE", value_parser = date)]
    deliver: Option<NaiveDate>,
    /// The page that the customer gets: without how the price comes about
    #[arg(long)]
    customer: bool,
    /// Writes it as a page into this HTML file, over an older quote too
    #[arg(long, value_name = "FILE")]
    out: Option<Named>,
}

fn date(text: &str) -> Result<NaiveDate, String> {
    text.parse().map_err(|_| "write a day of the calendar as year-month-day, such as 2026-11-27".to_owned())
}

/// Builds that are drawn for the odds of a re-make: a standard error of at most half a percent (project figure).
const SAMPLES: usize = 10_000;

impl Quote {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::unmended(read(&self.file, options)?, options);
        let work = work.workable("mend these first: what cannot be worked has no price")?;
        let (plan, build, page) = (&work.job.plan, &work.build, work.page());
        if !plan.ground.shop.prices_any() {
            let example = "price of 1084 9 per kg` or `price of labour 40";
            return Err(format!("the shop states no price: write `{example}` into it").into());
        }
        let drawn = (!inputs(plan).is_empty() && !plan.targets.is_empty()).then(|| {
            let (stop, progress) = (AtomicBool::new(false), |_| {});
            let cores = std::thread::available_parallelism().map_or(1, Into::into);
            odds(plan, &Draw { samples: SAMPLES, seed: 1, cores, stop: &stop, progress: &progress })
        });
        let Some(made) = quote(plan, build, &page.hours(), drawn.as_ref()) else {
            let drawn = "builds with its figures drawn within their tolerances";
            let told = format!(
                "of {SAMPLES} {drawn} hardly any meets its targets: see `heatbook odds {}`",
                self.file
            );
            return Err(format!("re-makes cannot be priced: {told}").into());
        };
        let days = schedule(plan, build, self.date, self.deliver);
        let written = |date: Option<NaiveDate>| date.map(|date| date.to_string());
        let order = Order {
            number: self.order.clone(),
            words: self.words.clone(),
            date: written(self.date),
            deliver: written(self.deliver),
        };
        let answer = QuotePage {
            page,
            quote: &made,
            schedule: days.as_ref(),
            order: &order,
            samples: SAMPLES,
            customer: self.customer,
        };
        let exit = work.exit(options);
        if let Some(path) = &self.out {
            super::write::quote(path, &quote_html(&answer))?;
            options.note(&format!("written into `{path}`"));
        }
        if self.out.is_none() || options.format == Format::Json {
            options.respond(&answer)?;
        }
        work.findings(options);
        Ok(exit)
    }
}
