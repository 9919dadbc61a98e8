//! All that is known of one text of a document: read and planned, worked, judged.

use std::cell::RefCell;
use std::ops::Deref;
use std::rc::Rc;

use crate::language::Memo;
use crate::quantity::Units;
use crate::replay::Build;
use crate::source::{Code, Diagnostic, Span};
use crate::study::{Mending, judge_with};
use crate::workshop::{Document, Workshop, in_units, recounted};

use super::reading::Reading;

/// One text of a document, worked through.
pub struct Analysis {
    /// What reading and planning tell.
    pub reading: Reading,
    /// The plan worked once.
    pub build: Build,
    /// The reader's units.
    pub units: Units,
    /// Faults and warnings.
    pub findings: Vec<Diagnostic>,
    /// Whether mends of missed targets were looked for, or are not wanted.
    pub mended: bool,
}

impl Deref for Analysis {
    type Target = Reading;

    fn deref(&self) -> &Reading {
        &self.reading
    }
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
        let reading = Reading::of(job, memo);
        let mut made = Analysis { reading, build, units, findings: Vec::new(), mended: true };
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
            recounted(&self.files, self.recipe()?, self.log(), &self.uses, Vec::new(), (count, other))
        };
        let found = self.judged(Mending::While(&mut asked, Some(&recount)));
        self.mended = whole;
        if whole {
            self.findings = found;
        }
        whole
    }
}
