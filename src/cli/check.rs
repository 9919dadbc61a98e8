//! `heatbook check FILE…`: the verdict, on one screen.

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::fix::fix;
use super::folder::recipes;
use super::output::{Done, Format, Options};
use super::work::Work;
use crate::report::{CheckPage, Unanswered, rest_text, sarif};

/// Says whether recipes can make their spec.
#[derive(Args, Debug)]
pub struct Check {
    /// Recipes, folders of them, or `-` for standard input
    #[arg(required = true)]
    files: Vec<Named>,
    /// Mends what is written wrong, where the message knows how: words, units, forms; sizes and targets stay as they are
    #[arg(long)]
    fix: bool,
    /// Writes the findings into a file too, in the interchange format of analysis tools (SARIF 2.1.0)
    #[arg(long, value_name = "FILE")]
    sarif: Option<Named>,
}

impl Check {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let mut worst = Exit::Met;
        let (mut works, mut unread) = (Vec::new(), Vec::new());
        let files = recipes(&self.files)?;
        for file in &files {
            let mended = if self.fix { fix(file, options) } else { Ok(Vec::new()) };
            let read = mended.and_then(|mended| {
                mended.iter().for_each(|done| options.note(done));
                Work::read(file, options)
            });
            match read {
                Ok(work) => {
                    worst = worst.max(work.exit(options));
                    match options.format {
                        Format::Table => work.told(options, rest_text),
                        Format::Csv => work.findings(options),
                        Format::Json | Format::Svg | Format::Png => {}
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
        if let Some(path) = &self.sarif {
            let found = works.iter().map(|work| (&work.job.files, work.found(options))).collect::<Vec<_>>();
            super::write::findings(path, &sarif(&found))?;
        }
        match (options.format, files.as_slice(), works.as_slice(), unread.as_slice()) {
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
