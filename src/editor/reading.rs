//! One text with all that it uses, read and planned, and its names indexed: what can be known without working it.

use std::cell::{OnceCell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use crate::language::{self, Index, Lines, Memo, Uses};
use crate::replay::{Plan, Planned};
use crate::source::{Diagnostic, Files, Span};
use crate::workshop::Job;

/// One text, read and planned.
pub struct Reading {
    /// The text and those of the files it uses.
    pub files: Files,
    /// The address of the text's first byte.
    pub own: u32,
    /// The full path of each file that has one.
    pub paths: Vec<(u32, PathBuf)>,
    /// The plan.
    pub plan: Plan,
    /// What reading found.
    pub found: Vec<Diagnostic>,
    /// Where the used files stand.
    pub uses: Uses,
    recipe: Option<u32>,
    log: Option<u32>,
    /// What the lines of the document's last texts said.
    memo: Rc<RefCell<Memo>>,
    // What only questions need is made when the first is asked: a keystroke does not wait for it.
    lines: OnceCell<Lines>,
    index: OnceCell<Index>,
    others: OnceCell<Vec<Index>>,
}

impl Reading {
    /// What a job holds, with what its lines said.
    pub fn of(job: Job, memo: Rc<RefCell<Memo>>) -> Reading {
        let (recipe, log) = (job.recipe, job.is_log().then_some(job.own));
        let Job { files, own, uses, paths, plan, found, .. } = job;
        let (lines, index, others) = (OnceCell::new(), OnceCell::new(), OnceCell::new());
        Reading { files, own, paths, plan, found, uses, recipe, log, memo, lines, index, others }
    }

    /// The address of a build log's first byte; `None` where it is a recipe.
    pub fn log(&self) -> Option<u32> {
        self.log
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

    /// The full path of the file that a span stands in.
    pub fn path(&self, span: Span) -> Option<&PathBuf> {
        let (_, _, base) = self.files.whole(span)?;
        self.paths.iter().find(|(at, _)| *at == base).map(|(_, path)| path)
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
