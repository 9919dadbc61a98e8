//! `heatbook fmt FILE…`: the house style.

use clap::Args;
use similar::TextDiff;

use super::disk::{Disk, Named};
use super::exit::Exit;
use super::folder::recipes;
use super::output::{Done, Options, print, print_file};
use crate::language::{self, Unformatted, format};
use crate::source::{Diagnostic, Files};
use crate::workshop::Document;

/// Puts recipes into the house style, each file in one go: as it was, or wholly new.
///
/// Only blanks and line ends change. The result is read again, and must be the same recipe with the same comments.
#[derive(Args, Debug)]
pub struct Fmt {
    /// Recipes or build logs, or folders of them; `-` reads standard input and writes standard output
    #[arg(required = true)]
    files: Vec<Named>,
    /// Changes nothing; names the files that are not in the house style, and ends with 1 where there are any
    #[arg(long)]
    check: bool,
    /// Changes nothing; shows what would change, as `patch` reads it, and ends with 1 where anything would
    #[arg(long)]
    diff: bool,
}

impl Fmt {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let mut worst = Exit::Met;
        let (mut changed, mut other) = (Vec::new(), 0);
        let files = recipes(&self.files)?;
        for path in &files {
            match made(path, options) {
                Ok((text, made)) if self.check || self.diff => {
                    other += usize::from(text != made);
                    self.told(path, &text, &made, options, &mut worst)
                }
                Ok((_, made)) if path.is_stream() => print_file(&made),
                Ok((text, made)) if text != made => changed.push((path, text, made)),
                Ok(_) => {}
                Err(exit) => worst = worst.max(exit),
            }
        }
        if self.check && other > 0 && files.len() > 1 {
            let how = "`heatbook fmt` without `--check` brings them there";
            options.note(&format!("{other} of {} files are not in the house style: {how}", files.len()));
        }
        // Every file is read and laid out before the first is written.
        for (path, text, made) in changed {
            if let Err(message) = super::write::exchange(path, &text, &made) {
                options.fault(&message);
                worst = worst.max(Exit::Usage);
            }
        }
        Ok(worst)
    }

    /// Says what would change.
    fn told(&self, path: &Named, text: &str, made: &str, options: &Options, worst: &mut Exit) {
        if text == made {
            return;
        }
        if self.diff {
            // What patches files reads a name as far as the tab.
            let (old, new) = (path.to_string(), format!("{path}\tin the house style"));
            print(&TextDiff::from_lines(text, made).unified_diff().header(&old, &new).to_string());
        }
        if self.check {
            options.note(&format!("{path}: not in the house style"));
        }
        *worst = (*worst).max(Exit::Fault);
    }
}

/// A recipe as it is, and in the house style.
fn made(path: &Named, options: &Options) -> Result<(String, String), Exit> {
    let Document { name, text, .. } = Disk::document(path).map_err(|message| {
        options.fault(&message);
        Exit::Usage
    })?;
    match format(&text, 0) {
        Ok(made) => Ok((text, made)),
        Err(Unformatted::Faults(faults)) => {
            let mut files = Files::default();
            let base = files.add(name, text);
            // As `check` tells them: what is offered there was tried.
            let told = base.map(|base| language::read(&files, base).1).unwrap_or_default();
            let same = |a: &Diagnostic, b: &Diagnostic| {
                a.code == b.code && files.line(a.span()) == files.line(b.span())
            };
            let told = faults.iter().map(|fault| told.iter().find(|told| same(told, fault)).unwrap_or(fault));
            options.findings(&told.collect::<Vec<&Diagnostic>>(), &files);
            options.note(&format!("{path}: left as it is: mend the faults first"));
            Err(Exit::Fault)
        }
        Err(Unformatted::TooLong) => {
            let message = "in the house style a line of it would be longer than 64 KiB: part that line first";
            options.note(&format!("{path}: left as it is: {message}"));
            Err(Exit::Fault)
        }
        Err(Unformatted::Changed) => {
            let message = "the house style would have changed what it says: this is a bug of ours";
            options.note(&format!("{path}: left as it is: {message}"));
            Err(Exit::Bug)
        }
    }
}
