//! `heatbook replay LOG`: a real build against its plan.

use clap::Args;

use super::exit::Exit;
use super::output::{Format, Options, answer};
use super::work::{Work, usage};
use crate::replay::build;
use crate::report::{replay_json, replay_text};
use crate::study::story;

/// A real build against its plan, step by step.
#[derive(Args, Debug)]
pub struct Replay {
    /// Build logs, or recipes with `measure` in them
    #[arg(required = true)]
    logs: Vec<String>,
}

impl Replay {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let mut worst = Exit::Met;
        for log in &self.logs {
            worst = worst.max(self.one(log, options));
        }
        worst
    }

    fn one(&self, log: &str, options: &Options) -> Exit {
        let work = match Work::read(log, options) {
            Ok(work) => work,
            Err(message) => return usage(message),
        };
        let alone = work.job.unmeasured();
        let lone = build(&alone, &[], work.units);
        let chapters = story(&work.job.plan, &work.build, (&alone, &lone));
        let page = work.page();
        match options.format {
            Format::Json => answer(&replay_json(&page, &chapters)),
            Format::Table | Format::Csv => {
                if self.logs.len() > 1 {
                    answer(&format!("== {log}\n"));
                }
                answer(&replay_text(&page, &chapters));
                work.findings(options);
            }
        }
        work.exit()
    }
}
