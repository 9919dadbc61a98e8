//! All that is known of one text of a document: read, planned, worked, judged, and its names indexed.

use std::cell::{OnceCell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use crate::language::{self, Index, Lines, Memo, Uses};
use crate::quantity::Units;
use crate::replay::{Build, Plan, Planned};
use crate::source::{Code, Diagnostic, Files, Span};
use crate::study::{Mending, judge_with};
use crate::workshop::{Document, Job, Workshop, in_units, recounted};

/// One text of a document, worked through.
pub struct Analysis {
    /// The text and those of the files it uses.
    pub files: Files,
    /// The address of the document's first byte.
    pub own: u32,
    /// The full path of each file that has one.
    pub paths: Vec<(u32, PathBuf)>,
    /// The plan.
    pub plan: Plan,
    /// The plan worked once.
    pub build: Build,
    /// The reader's units.
    pub units: Units,
    uses: Uses,
    /// What the lines of the document's last texts said.
    memo: Rc<RefCell<Memo>>,
    recipe: Option<u32>,
    log: Option<u32>,
    // What only questions need is made when the first is asked: a keystroke does not wait for it.
    lines: OnceCell<Lines>,
    index: OnceCell<Index>,
    others: OnceCell<Vec<Index>>,
    /// Faults and warnings.
    pub findings: Vec<Diagnostic>,
    /// What reading found.
    found: Vec<Diagnostic>,
    /// Whether mends of missed targets were looked for, or are not wanted.
    pub mended: bool,
}

impl Analysis {
    /// Works a text through, all but the search for mends: that is for when nobody types.
    ///
    /// # Errors
    /// A sentence that says why the text cannot be held.
    pub fn new(
        workshop: &Workshop,
        document: Document,
        units: Option<Units>,
        memo: Rc<RefCell<Memo>>,
    ) -> Result<Analysis, String> {
        let job = workshop.plan(document, Vec::new(), &mut memo.borrow_mut())?;
        let units = units.unwrap_or(job.plan.units());
        let build = job.build(units);
        let (recipe, log) = (job.recipe, job.is_log().then_some(job.own));
        let Job { files, own, uses, paths, plan, found, .. } = job;
        let mut made = Analysis {
            files,
            own,
            paths,
            plan,
            build,
            units,
            uses,
            memo,
            recipe,
            log,
            lines: OnceCell::new(),
            index: OnceCell::new(),
            others: OnceCell::new(),
            findings: Vec::new(),
            found,
            mended: true,
        };
        made.findings = made.judged(Mending::None);
        // Where something is at fault there is no use in looking for a figure.
        let missed = |f: &Diagnostic| f.code == Code::TargetMissed;
        let broken = !made.found.is_empty() || !made.build.faults.is_empty();
        made.mended = broken || !made.findings.iter().any(missed);
        Ok(made)
    }

    fn judged(&self, mending: Mending) -> Vec<Diagnostic> {
        let verdict = judge_with(&self.plan, &self.build, self.found.clone(), self.units, mending);
        let found = verdict.faults.into_iter().chain(verdict.warnings).collect();
        in_units(&self.files, found, self.units)
    }

    /// Looks for what would mend the missed targets, as long as `goes_on` says so; `true` where that was to the end.
    pub fn mend(&mut self, goes_on: &mut dyn FnMut() -> bool) -> bool {
        // What comes upon a bug is not looked for again.
        if std::mem::replace(&mut self.mended, true) {
            return false;
        }
        let mut whole = true;
        let mut asked = || {
            whole = whole && goes_on();
            whole
        };
        let recount = |count: Span, other: &str| {
            recounted(&self.files, self.recipe?, self.log, &self.uses, Vec::new(), (count, other))
        };
        let found = self.judged(Mending::While(&mut asked, Some(&recount)));
        self.mended = whole;
        if whole {
            self.findings = found;
        }
        whole
    }

    /// Whether it is a build log.
    pub fn is_log(&self) -> bool {
        self.log.is_some()
    }

    /// The address of the recipe that a log speaks of.
    pub fn recipe(&self) -> Option<u32> {
        self.recipe
    }

    /// The document's lines and blocks.
    pub fn lines(&self) -> &Lines {
        self.lines.get_or_init(|| language::lines(self.files.text_from(self.own), self.own))
    }

    /// Its names, and those of the files that it uses.
    pub fn index(&self) -> &Index {
        self.index.get_or_init(|| self.indexed(self.own))
    }

    /// The index of each used file for itself.
    pub fn others(&self) -> &[Index] {
        let bases = || self.paths.iter().map(|(base, _)| *base).filter(|base| *base != self.own);
        self.others.get_or_init(|| bases().map(|base| self.indexed(base)).collect())
    }

    fn indexed(&self, base: u32) -> Index {
        language::index(&self.files, base, &self.uses, &mut self.memo.borrow_mut())
    }

    /// The stretch of the document itself, for a span of it; `None` where the span lies in another file.
    pub fn own_stretch(&self, span: Span) -> Option<(usize, usize)> {
        let (_, text, base) = self.files.whole(span)?;
        let start = (span.start.checked_sub(base)? as usize).min(text.len());
        let end = (span.end.checked_sub(base)? as usize).clamp(start, text.len());
        (base == self.own).then_some((start, end))
    }

    /// The address of a byte of the document.
    pub fn address(&self, at: usize) -> u32 {
        let at = u32::try_from(at).unwrap_or_else(|_| bug!("byte {at} lies behind what can be held"));
        self.own.saturating_add(at)
    }

    /// The scope that a place lies in: of a recipe, or 0 for the file.
    pub fn scope_at(&self, at: u32) -> usize {
        let outer = self.lines().blocks.iter().filter(|b| b.head.end < at && at < b.whole.end);
        let recipe = outer.filter(|b| b.word == "recipe").map(|b| b.head).next();
        recipe.map_or(0, |head| self.index().scope_of(head))
    }

    /// The steps of the plan that a place of the text stands in, by their number: several where the line is worked more
    /// than once.
    pub fn steps_at(&self, at: u32) -> Vec<usize> {
        let inside = |s: &Planned| s.span.start <= at && at <= s.span.end;
        let steps = self.plan.steps.iter().enumerate().filter(|(_, s)| inside(s));
        steps.map(|(i, _)| i).collect()
    }
}
