//! `heatbook run FILE`: the step list.

use clap::Args;

use super::Exit;
use super::output::{Done, Format, Options, Stop};
use crate::language::{self, Plan};
use crate::quantity::Units;
use crate::replay::{Build, build};
use crate::report::Page;
use crate::source::{Code, Diagnostic, Files};
use crate::study::{Verdict, judge};

/// Prints the step list to pin up.
#[derive(Args, Debug)]
pub struct Run {
    /// The recipe, or `-` for standard input
    file: String,
}

impl Run {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        options.respond(&work.page())?;
        if options.format != Format::Json {
            work.findings(options);
        }
        Ok(work.exit())
    }
}

/// A recipe read, and not worked yet.
pub struct Read {
    /// Its files.
    pub files: Files,
    /// Its plan.
    pub plan: Plan,
    /// What is wrong with it so far.
    pub found: Vec<Diagnostic>,
}

impl Read {
    /// Reads a recipe with the files that it uses and the figures that are set.
    ///
    /// # Errors
    /// What cannot be read or set, and why.
    pub fn new(path: &str, options: &Options, set: &[String]) -> Result<Read, String> {
        Read::of(super::input::load(path, options.allow_outside)?, set)
    }
}

impl Read {
    fn of((files, loaded): (Files, super::input::Loaded), set: &[String]) -> Result<Read, String> {
        let wanted = super::set::wanted(set)?;
        let (plan, set, mut found) =
            language::read_logged(&files, loaded.base, loaded.log, &loaded.uses, wanted);
        super::set::check(&plan, &set)?;
        found.extend(loaded.faults);
        found.sort_by_key(Diagnostic::span);
        Ok(Read { files, plan, found })
    }

    /// Reads a text that was typed: files that it uses are looked for beside the recipe that it goes on from.
    ///
    /// # Errors
    /// What cannot be read or set, and why.
    pub fn typed(path: Option<&str>, options: &Options, text: &str, set: &[String]) -> Result<Read, String> {
        Read::of(super::input::load_text(path, text, options.allow_outside)?, set)
    }

    /// Reads the recipe of a log, or one with measures in it, as if nothing had been measured.
    ///
    /// # Errors
    /// What cannot be read or set, and why.
    pub fn alone(path: &str, options: &Options) -> Result<Read, String> {
        let (files, loaded) = super::input::load(path, options.allow_outside)?;
        let wanted = super::set::wanted(&options.set)?;
        let (mut plan, _, found) = language::read_with(&files, loaded.base, &loaded.uses, wanted);
        plan.unmeasured();
        Ok(Read { files, plan, found })
    }

    /// Reads a recipe that is to be asked a question: what is wrong with it is said here.
    ///
    /// # Errors
    /// How the program ends where it cannot be asked.
    pub fn ready(path: &str, options: &Options) -> Result<Read, Stop> {
        Read::ready_set(path, options, &options.set)
    }

    /// The same with figures set otherwise than the options say.
    ///
    /// # Errors
    /// How the program ends where it cannot be asked.
    pub fn ready_set(path: &str, options: &Options, set: &[String]) -> Result<Read, Stop> {
        let read = Read::new(path, options, set)?;
        let mut faults = read.found.clone();
        for ask in &read.plan.asks {
            let text = "nothing is known here";
            let fault = Diagnostic::new(
                Code::OpenQuestion,
                "a `?` stands here, and this command answers none",
                ask.span,
                text,
            );
            faults
                .push(fault.help("`heatbook fill` finds the value that meets the target; or write a figure"));
        }
        if faults.is_empty() {
            return Ok(read);
        }
        Err(Stop::Found { files: read.files, found: faults, behind: None })
    }
}

/// A recipe read, worked and judged.
pub struct Work {
    pub(super) files: Files,
    name: String,
    pub(super) plan: Plan,
    pub(super) build: Build,
    pub(super) verdict: Verdict,
    pub(super) units: Units,
}

impl Work {
    /// Reads, works and judges a recipe.
    ///
    /// # Errors
    /// What cannot be read, and why.
    pub fn read(path: &str, options: &Options) -> Result<Work, String> {
        Work::read_set(path, options, &options.set)
    }

    /// The same with figures set otherwise than the options say.
    ///
    /// # Errors
    /// What cannot be read, and why.
    pub fn read_set(path: &str, options: &Options, set: &[String]) -> Result<Work, String> {
        let Read { files, plan, found } = Read::new(path, options, set)?;
        let units = options.units(&plan);
        let build = build(&plan, &[], units);
        let verdict = judge(&plan, &build, found, units);
        let name = if path == "-" { "standard input" } else { path }.to_owned();
        Ok(Work { files, name, plan, build, verdict, units })
    }

    /// A recipe that was worked elsewhere.
    pub fn of(read: Read, build: Build, verdict: Verdict, path: &str, units: Units) -> Work {
        let name = if path == "-" { "standard input" } else { path }.to_owned();
        Work { files: read.files, name, plan: read.plan, build, verdict, units }
    }

    /// Name, text and first address of the recipe: of a log, the file that it names.
    pub fn recipe(&self) -> Option<(&str, &str, u32)> {
        let own = |s: &&crate::language::Planned| s.word.form != crate::forge::Form::Measure;
        let target = self.plan.targets.first().map(|t| t.span);
        let span = target.or_else(|| self.plan.steps.iter().find(own).map(|s| s.span))?;
        self.files.whole(span)
    }

    /// Everything that a page is made from.
    pub fn page(&self) -> Page<'_> {
        Page {
            files: &self.files,
            name: &self.name,
            plan: &self.plan,
            build: &self.build,
            verdict: &self.verdict,
            units: self.units,
        }
    }

    /// Shows faults and warnings.
    pub fn findings(&self, options: &Options) {
        let all: Vec<&Diagnostic> = self.verdict.warnings.iter().chain(&self.verdict.faults).collect();
        options.findings(&all, &self.files);
    }

    /// Itself, where it can be worked to its end; a missed target does not keep it from that.
    ///
    /// # Errors
    /// What does, with what to say behind it.
    pub fn workable(self, behind: &'static str) -> Result<Work, Stop> {
        let stops = |f: &&Diagnostic| f.code != Code::TargetMissed;
        let found: Vec<Diagnostic> = self.verdict.faults.iter().filter(stops).cloned().collect();
        if found.is_empty() {
            return Ok(self);
        }
        Err(Stop::Found { files: self.files, found, behind: Some(behind) })
    }

    /// How the program ends on it.
    pub fn exit(&self) -> Exit {
        if self.verdict.met { Exit::Met } else { Exit::Fault }
    }
}
