//! A recipe as commands take it up: read, worked and judged.

use super::disk::{Disk, Named};
use super::exit::Exit;
use super::output::{Options, Stop, columns, print};
use super::progress::watched;
use crate::language::{self, Memo};
use crate::quantity::Units;
use crate::replay::{Build, build};
use crate::report::{Page, verdict_text};
use crate::source::{Diagnostic, Span};
use crate::study::{Chapter, Mending, Verdict, judge_with, story};
use crate::workshop::{Document, Job, Workshop, wanted};

/// The workshop of a command.
pub fn workshop(options: &Options) -> Workshop<'_> {
    Workshop { sources: options, allow_outside: options.allow_outside }
}

/// Plans what was typed, with figures set.
///
/// # Errors
/// What cannot be held or set, and why.
pub fn typed(document: Document, options: &Options, set: &[String]) -> Result<Job, String> {
    options.check_shop()?;
    let job = workshop(options).plan(document, wanted(set)?, &mut Memo::default())?;
    if job.recipe.is_some() {
        job.check_set()?;
    }
    Ok(job)
}

/// Plans what was read, with figures set.
///
/// # Errors
/// What cannot be read or set, and why; of a build log, also its recipe.
pub fn planned(document: Document, options: &Options, set: &[String]) -> Result<Job, String> {
    let job = typed(document, options, set)?;
    if job.recipe.is_some() {
        if job.found.is_empty() && language::lines(job.text(), 0).lines.is_empty() {
            return Err(format!(
                "no line of a recipe stands in `{}`: one begins with what it takes, such as `stock p = 1 bar of 1084, 5 x 40 x 150 mm`",
                job.files.names().last().filter(|_| job.is_log()).unwrap_or(&job.name)
            ));
        }
        return Ok(job);
    }
    let (mut why, mut recipe) = (String::new(), "");
    if let Some(fault) = job.found.first() {
        why =
            fault.labels.first().map_or(fault.message.clone(), |l| format!("{}: {}", fault.message, l.text));
        recipe = job.files.text(fault.span()).trim_matches('"');
    }
    Err(format!("`{}` is a log of `{recipe}`, and that cannot be read: {why}", job.name))
}

/// Reads a recipe with the files that it uses and the figures that are set.
///
/// # Errors
/// What cannot be read or set, and why.
pub fn read(path: &Named, options: &Options) -> Result<Job, String> {
    planned(Disk::document(path)?, options, &options.set)
}

/// Reads a recipe that is to be asked a question: nothing may be wrong with it.
///
/// # Errors
/// What is, or why it cannot be read.
pub fn ready(path: &Named, options: &Options) -> Result<Job, Stop> {
    let job = read(path, options)?;
    let faults: Vec<Diagnostic> = job.found.iter().cloned().chain(job.plan.open_questions()).collect();
    if faults.is_empty() {
        return Ok(job);
    }
    Err(Stop::Found { files: job.files, found: faults, behind: None })
}

/// A recipe read, worked and judged.
pub struct Work {
    pub(super) job: Job,
    pub(super) build: Build,
    pub(super) verdict: Verdict,
    pub(super) units: Units,
}

impl Work {
    /// Reads, works and judges a recipe.
    ///
    /// # Errors
    /// What cannot be read or set, and why.
    pub fn read(path: &Named, options: &Options) -> Result<Work, String> {
        Ok(Work::of(read(path, options)?, options))
    }

    /// Works and judges a recipe that was read.
    pub fn of(mut job: Job, options: &Options) -> Work {
        let units = options.units(&job.plan);
        let found = std::mem::take(&mut job.found);
        let (build, verdict) = watched("working the recipe, and looking for what would mend it", || {
            let build = job.build(units);
            let recount = |count: Span, other: &str| job.recounted(count, other);
            let verdict = judge_with(&job.plan, &build, found, units, Mending::Patient(Some(&recount)));
            let Verdict { met, faults, warnings, allowed } = verdict;
            let [faults, warnings] = [faults, warnings].map(|found| job.in_units(found, units));
            (build, Verdict { met, faults, warnings, allowed })
        });
        Work { job, build, verdict, units }
    }

    /// Works and judges a recipe that was read, without looking for what would mend it: that takes a hundred times as long.
    pub fn unmended(mut job: Job, options: &Options) -> Work {
        let units = options.units(&job.plan);
        let found = std::mem::take(&mut job.found);
        let build = job.build(units);
        let verdict = judge_with(&job.plan, &build, found, units, Mending::None);
        let Verdict { met, faults, warnings, allowed } = verdict;
        let [faults, warnings] = [faults, warnings].map(|found| job.in_units(found, units));
        Work { job, build, verdict: Verdict { met, faults, warnings, allowed }, units }
    }

    /// Everything that a page is made from.
    pub fn page(&self) -> Page<'_> {
        Page {
            files: &self.job.files,
            name: &self.job.name,
            plan: &self.job.plan,
            build: &self.build,
            verdict: &self.verdict,
            units: self.units,
        }
    }

    /// Tells the verdict, what there is to change, and the rest.
    pub fn told(&self, options: &Options, rest: fn(&Page, usize) -> String) {
        let (page, wide) = (self.page(), columns(&std::io::stdout()));
        print(&verdict_text(&page, wide));
        self.findings(options);
        print(&rest(&page, wide));
    }

    /// Shows faults and warnings.
    pub fn findings(&self, options: &Options) {
        options.findings(&self.found(options), &self.job.files);
    }

    /// Faults, and the warnings that are shown.
    pub fn found(&self, options: &Options) -> Vec<&Diagnostic> {
        let shown =
            if options.quiet && !options.denies_warnings() { &[][..] } else { &self.verdict.warnings };
        self.verdict.faults.iter().chain(shown).collect()
    }

    /// Itself, where it can be worked to its end; a missed target does not keep it from that.
    ///
    /// # Errors
    /// What does, with what to say behind it.
    pub fn workable(self, behind: &'static str) -> Result<Work, Stop> {
        if self.verdict.workable() {
            return Ok(self);
        }
        let found = self.verdict.stops().cloned().collect();
        Err(Stop::Found { files: self.job.files, found, behind: Some(behind) })
    }

    /// What was measured on its way, held against the plan; nothing where nothing was.
    pub fn chapters(&self) -> Vec<Chapter> {
        if self.build.ledger.measured.is_empty() {
            return Vec::new();
        }
        let alone = self.job.unmeasured();
        let lone = build(&alone, &[], self.units);
        story(&self.job.plan, &self.build, (&alone, &lone))
    }

    /// How the program ends on it.
    pub fn exit(&self, options: &Options) -> Exit {
        let denied = options.denies_warnings() && !self.verdict.warnings.is_empty();
        if self.verdict.met && !denied { Exit::Met } else { Exit::Fault }
    }
}
