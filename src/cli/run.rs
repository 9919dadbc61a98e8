//! `heatbook run FILE`: the step list.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Format, Options};
use super::work::Work;
use crate::report::sheet_text;

/// Prints the step list to pin up.
#[derive(Args, Debug)]
pub struct Run {
    /// The recipe, or `-` for standard input
    file: Named,
}

impl Run {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        if options.format == Format::Table {
            work.told(options, sheet_text);
            return Ok(work.exit(options));
        }
        options.respond(&work.page())?;
        if options.format != Format::Json {
            work.findings(options);
        }
        Ok(work.exit(options))
    }
}
