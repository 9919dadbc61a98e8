//! `heatbook fmt FILE…`: the house style.

use std::path::Path;

use clap::Args;
use similar::TextDiff;

use super::Exit;
use super::output::{Done, Options, print};
use crate::language::{Unformatted, format};
use crate::source::{Diagnostic, Files, Span};

/// Puts recipes into the house style, each file in one go: as it was, or wholly new.
///
/// Only blanks and line ends change. The result is read again, and must be the same recipe with the same comments.
#[derive(Args, Debug)]
pub struct Fmt {
    /// Recipes or build logs; `-` reads standard input and writes standard output
    #[arg(required = true)]
    files: Vec<String>,
    /// Changes nothing; says which files are not in the house style, and exits with 1 where there are any
    #[arg(long)]
    check: bool,
    /// Changes nothing; shows what would change
    #[arg(long)]
    diff: bool,
}

impl Fmt {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let (mut worst, mut other) = (Exit::Met, 0);
        for path in &self.files {
            match self.one(path, options) {
                Ok(false) => {}
                Ok(true) => other += 1,
                Err(exit) => worst = worst.max(exit),
            }
        }
        Ok(if other > 0 && self.check { worst.max(Exit::Fault) } else { worst })
    }

    /// Whether the file was not in the house style.
    fn one(&self, path: &str, options: &Options) -> Result<bool, Exit> {
        let mut files = Files::default();
        let usage = |message: String| {
            options.fault(&message);
            Exit::Usage
        };
        let base = super::input::read(&mut files, path).map_err(usage)?;
        let text = files.whole(Span { start: base, end: base }).map_or("", |(_, text, _)| text);
        let made = match format(text, base) {
            Ok(made) => made,
            Err(Unformatted::Faults(faults)) => {
                options.findings(&faults.iter().collect::<Vec<&Diagnostic>>(), &files);
                options.note(&format!("{path}: left as it is: mend the faults first"));
                return Err(Exit::Fault);
            }
            Err(Unformatted::Changed) => {
                let message = "the house style would have changed what it says: this is a bug of ours";
                options.note(&format!("{path}: left as it is: {message}"));
                return Err(Exit::Bug);
            }
        };
        let differs = made != text;
        if self.diff && differs {
            let (was, new) = (path.to_owned(), format!("{path} in the house style"));
            print(&TextDiff::from_lines(text, &made).unified_diff().header(&was, &new).to_string());
        }
        if self.check && differs {
            options.note(&format!("{path}: not in the house style"));
        }
        if path == "-" {
            if !self.check && !self.diff {
                print(&made);
            }
        } else if differs && !self.check && !self.diff {
            // What was read must still be what is there.
            match std::fs::read_to_string(path) {
                Ok(now) if now == text => {
                    super::write::swap(Path::new(path), made.as_bytes()).map_err(usage)?
                }
                Ok(_) => return Err(usage(format!("`{path}` has changed meanwhile: nothing is written"))),
                Err(error) => return Err(usage(format!("cannot read `{path}` again: {error}"))),
            }
        }
        Ok(differs)
    }
}
