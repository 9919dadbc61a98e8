//! Where a run writes what happens. Runs that answer questions keep no book ([`Silent`]).

use crate::piece::{Cause, LotId, Measure};
use crate::source::Diagnostic;
use crate::spec::{Judged, Test};

use crate::forge::Effort;

/// Where a run writes what happens. Calls about one step come while that step runs.
pub trait Sink {
    /// Whether anything is kept: a step may skip work that only the book would see.
    const KEEPS: bool;
    /// Whether heats and minutes are wanted.
    const COUNTS: bool = Self::KEEPS;
    /// Whether checkpoints are to be judged.
    const JUDGES: bool = Self::KEEPS;
    /// Whether it is wanted what was measured.
    const MEASURES: bool = Self::KEEPS;
    /// `lot` is `from`, worked: entries for `lot` add up to its size less that of one bar of `from`.
    fn origin(&mut self, lot: LotId, from: LotId);
    /// One bar of `lot` changed by `amount` (mm or g).
    fn change(&mut self, lot: LotId, what: Measure, cause: Cause, amount: f64);
    /// Steel left the recipe: `grams` from all bars of the step.
    fn loss(&mut self, cause: Cause, grams: f64);
    /// What the step asks of smith and machine.
    fn effort(&mut self, effort: &Effort);
    /// A piece was measured: thickness, width, length (mm) and mass (g) of one bar as planned and as it is taken from now on,
    /// and what was read of the four, cold.
    fn measured(&mut self, lot: LotId, planned: [f64; 4], now: [f64; 4], read: [Option<f64>; 4]) {
        let _ = (lot, planned, now, read);
    }
    /// A checkpoint was judged on a lot.
    fn judged(&mut self, lot: LotId, test: &Test, judged: Judged);
    /// A finding that does not stop the build.
    fn warn(&mut self, warning: impl FnOnce() -> Diagnostic);
    /// A figure that the recipe left unsaid: what, its value, where it comes from.
    fn assume(&mut self, what: &'static str, value: impl FnOnce() -> String, source: &'static str);
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Sink for Silent {
    const KEEPS: bool = false;
    fn origin(&mut self, _: LotId, _: LotId) {}
    fn change(&mut self, _: LotId, _: Measure, _: Cause, _: f64) {}
    fn loss(&mut self, _: Cause, _: f64) {}
    fn effort(&mut self, _: &Effort) {}
    fn judged(&mut self, _: LotId, _: &Test, _: Judged) {}
    fn warn(&mut self, _: impl FnOnce() -> Diagnostic) {}
    fn assume(&mut self, _: &'static str, _: impl FnOnce() -> String, _: &'static str) {}
}
