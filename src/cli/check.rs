//! `heatbook check FILE…`: the verdict, on one screen.

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Format, Options};
use super::work::Work;
use crate::report::{CheckPage, Unanswered, rest_text};

/// Says whether recipes can make their spec.
#[derive(Args, Debug)]
pub struct Check {
    /// Recipes, or `-` for standard input
    #[arg(required = true)]
    files: Vec<Named>,
}

impl Check {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let mut worst = Exit::Met;
        let (mut works, mut unread) = (Vec::new(), Vec::new());
        for file in &self.files {
            match Work::read(file, options) {
                Ok(work) => {
                    worst = worst.max(work.exit(options));
                    match options.format {
                        Format::Table => work.told(options, rest_text),
                        Format::Csv => work.findings(options),
                        Format::Json => {}
                    }
                    works.push(work);
                }
                Err(message) => {
                    worst = worst.max(Exit::Usage);
                    options.fault(&message);
                    unread.push(message);
                }
            }
        }
        match (options.format, self.files.as_slice(), works.as_slice(), unread.as_slice()) {
            (Format::Table, ..) => return Ok(worst),
            (Format::Json, [_], [work], _) => options.respond(&work.page()),
            (Format::Json, [_], _, [message]) => options.respond(&Unanswered::Said(message)),
            (_, _, works, unread) => {
                options.respond(&CheckPage { pages: works.iter().map(Work::page).collect(), unread })
            }
        }
        .map(|_| worst)
    }
}
