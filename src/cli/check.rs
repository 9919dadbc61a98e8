//! `heatbook check FILE…`: the verdict, on one screen.

use clap::Args;

use super::exit::Exit;
use super::output::{Format, Options, answer};
use super::work::{Work, usage};

/// Says whether recipes can make their spec.
#[derive(Args, Debug)]
pub struct Check {
    /// Recipes, or `-` for standard input
    #[arg(required = true)]
    files: Vec<String>,
}

impl Check {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let mut worst = Exit::Met;
        let mut pages = Vec::new();
        for file in &self.files {
            let work = match Work::read(file, options) {
                Ok(work) => work,
                Err(message) => {
                    worst = worst.max(usage(message));
                    continue;
                }
            };
            worst = worst.max(work.exit());
            match options.format {
                Format::Table => {
                    work.findings(options);
                    answer(&crate::report::check(&work.page()));
                }
                Format::Json => pages.push(crate::report::run_json(&work.page())),
                Format::Csv => {
                    work.findings(options);
                    answer(&crate::report::run_csv(&work.page()));
                }
            }
        }
        match pages.as_slice() {
            [] => {}
            [one] if self.files.len() == 1 => answer(one),
            many => {
                let list: Vec<&str> = many.iter().map(|p| p.trim_end()).collect();
                answer(&format!("[\n{}\n]\n", list.join(",\n")));
            }
        }
        worst
    }
}
