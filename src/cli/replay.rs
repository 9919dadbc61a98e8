//! `heatbook replay LOG`: a real build against its plan.

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Format, Options};
use super::work::Work;
use crate::report::ReplayPage;
use crate::study::Chapter;

/// A real build against its plan, step by step.
#[derive(Args, Debug)]
pub struct Replay {
    /// Build logs, or recipes with `measure` in them
    #[arg(required = true)]
    logs: Vec<Named>,
}

impl Replay {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let (mut builds, mut unread) = (Vec::new(), Vec::new());
        for log in &self.logs {
            match told(log, options) {
                Ok(told) => builds.push(told),
                Err(message) => {
                    options.fault(&message);
                    unread.push(message);
                }
            }
        }
        let pages = builds.iter().map(|(work, chapters)| (work.page(), chapters.as_slice())).collect();
        options.respond(&ReplayPage { builds: pages, unread: &unread })?;
        let mut worst = if unread.is_empty() { Exit::Met } else { Exit::Usage };
        for (work, _) in &builds {
            if options.format != Format::Json {
                work.findings(options);
            }
            worst = worst.max(work.exit(options));
        }
        Ok(worst)
    }
}

/// A build and its story.
fn told(log: &Named, options: &Options) -> Result<(Work, Vec<Chapter>), String> {
    let work = Work::read(log, options)?;
    let chapters = work.chapters();
    Ok((work, chapters))
}
