//! `heatbook run FILE`: the step list.

use clap::Args;

use super::exit::Exit;
use super::output::{Format, Options, answer};
use super::work::{Work, usage};

/// Prints the step list to pin up.
#[derive(Args, Debug)]
pub struct Run {
    /// The recipe, or `-` for standard input
    file: String,
}

impl Run {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let work = match Work::read(&self.file, options) {
            Ok(work) => work,
            Err(message) => return usage(message),
        };
        match options.format {
            Format::Table => {
                answer(&crate::report::run_text(&work.page()));
                work.findings(options);
            }
            Format::Json => answer(&crate::report::run_json(&work.page())),
            Format::Csv => {
                answer(&crate::report::run_csv(&work.page()));
                work.findings(options);
            }
        }
        work.exit()
    }
}
