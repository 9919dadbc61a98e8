//! The full book of one run.

use std::collections::BTreeMap;

use crate::forge::{Effort, Sink};
use crate::piece::{Cause, LotId, Measure};
use crate::source::Diagnostic;
use crate::spec::{Judged, Test};

/// One change of one bar.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The step, from 0.
    pub step: usize,
    /// The lot that came out of it.
    pub lot: LotId,
    /// What changed.
    pub what: Measure,
    /// Why.
    pub cause: Cause,
    /// By how much, mm or g.
    pub change: f64,
}

/// A figure that the recipe left unsaid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumed {
    /// What it is.
    pub what: &'static str,
    /// Its value.
    pub value: String,
    /// Where it comes from.
    pub source: &'static str,
}

/// A checkpoint that was judged.
#[derive(Clone, Copy, Debug)]
pub struct Checked {
    /// The step, from 0.
    pub step: usize,
    /// The bars.
    pub lot: LotId,
    /// The test.
    pub test: Test,
    /// The verdict.
    pub judged: Judged,
}

/// A piece that was measured: thickness, width, length (mm) and mass (g) of one bar.
#[derive(Clone, Copy, Debug)]
pub struct Measured {
    /// The step, from 0.
    pub step: usize,
    /// The lot from here on.
    pub lot: LotId,
    /// As planned up to here.
    pub planned: [f64; 4],
    /// As it is taken from here on.
    pub now: [f64; 4],
    /// What was read of the four, cold; the others follow.
    pub read: [Option<f64>; 4],
}

/// The book of a run.
#[derive(Debug, Default)]
pub struct Ledger {
    step: usize,
    /// Every change, in order.
    pub entries: Vec<Entry>,
    /// What each lot was worked from.
    pub origins: BTreeMap<LotId, LotId>,
    /// Steel that left the recipe: step, cause, grams.
    pub losses: Vec<(usize, Cause, f64)>,
    /// What each step asks of smith and machine.
    pub efforts: Vec<(usize, Effort)>,
    /// The sizes of a bar behind each heat of the steps that forge, in order: step; thickness, width and length, cold, mm.
    pub heats: Vec<(usize, [f64; 3])>,
    /// Findings that do not stop the build.
    pub warnings: Vec<Diagnostic>,
    /// What was left unsaid.
    pub assumed: Vec<Assumed>,
    /// The checkpoints.
    pub checked: Vec<Checked>,
    /// What was measured.
    pub measured: Vec<Measured>,
}

impl Ledger {
    /// Opens the page of a step.
    pub fn open(&mut self, step: usize) {
        self.step = step;
    }

    /// Grams lost in a step to a cause.
    #[must_use]
    pub fn lost_in(&self, step: usize, cause: Cause) -> f64 {
        // Steps are booked in order, so those of one lie together.
        let from = self.losses.partition_point(|(s, _, _)| *s < step);
        let own = self.losses.get(from..).unwrap_or(&[]).iter().take_while(|(s, _, _)| *s == step);
        own.filter(|(_, c, _)| *c == cause).fold(0.0, |sum, (_, _, g)| sum + g)
    }

    /// Grams lost to a cause in all.
    #[must_use]
    pub fn lost(&self, cause: Cause) -> f64 {
        self.losses.iter().filter(|(_, c, _)| *c == cause).fold(0.0, |sum, (_, _, g)| sum + g)
    }

    /// What a step asked of smith and machine.
    #[must_use]
    pub fn effort_in(&self, step: usize) -> Option<&Effort> {
        let at = self.efforts.partition_point(|(s, _)| *s < step);
        self.efforts.get(at).filter(|(s, _)| *s == step).map(|(_, effort)| effort)
    }

    /// Thickness, width and length of a bar behind each heat of a step, cold, mm.
    pub fn sizes_by_heat(&self, step: usize) -> impl Iterator<Item = [f64; 3]> + '_ {
        let from = self.heats.partition_point(|(s, _)| *s < step);
        self.heats.iter().skip(from).take_while(move |(s, _)| *s == step).map(|(_, sizes)| *sizes)
    }

    /// Heats taken in a step.
    #[must_use]
    pub fn heats_in(&self, step: usize) -> u32 {
        self.effort_in(step).map_or(0, |effort| effort.heats)
    }

    /// Heats and minutes in all.
    #[must_use]
    pub fn totals(&self) -> (u32, f64) {
        let sum = |(heats, minutes): (u32, f64), (_, e): &(usize, Effort)| {
            (heats.saturating_add(e.heats), minutes + e.minutes)
        };
        self.efforts.iter().fold((0, 0.0), sum)
    }
}

impl Sink for Ledger {
    const KEEPS: bool = true;

    fn origin(&mut self, lot: LotId, from: LotId) {
        self.origins.insert(lot, from);
    }

    fn change(&mut self, lot: LotId, what: Measure, cause: Cause, amount: f64) {
        self.entries.push(Entry { step: self.step, lot, what, cause, change: amount });
    }

    fn loss(&mut self, cause: Cause, grams: f64) {
        if grams != 0.0 {
            self.losses.push((self.step, cause, grams));
        }
    }

    fn effort(&mut self, effort: &Effort) {
        self.efforts.push((self.step, *effort));
    }

    fn heat(&mut self, sizes: [f64; 3]) {
        self.heats.push((self.step, sizes));
    }

    fn measured(&mut self, lot: LotId, planned: [f64; 4], now: [f64; 4], read: [Option<f64>; 4]) {
        self.measured.push(Measured { step: self.step, lot, planned, now, read });
    }

    fn judged(&mut self, lot: LotId, test: &Test, judged: Judged) {
        self.checked.push(Checked { step: self.step, lot, test: *test, judged });
    }

    fn warn(&mut self, warning: impl FnOnce() -> Diagnostic) {
        self.warnings.push(warning());
    }

    fn assume(&mut self, what: &'static str, value: impl FnOnce() -> String, source: &'static str) {
        if self.assumed.iter().all(|a| a.what != what) {
            self.assumed.push(Assumed { what, value: value(), source });
        }
    }
}
