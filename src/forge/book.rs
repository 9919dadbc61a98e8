//! Where a run writes what happens. Runs that answer questions keep no book ([`Silent`]).

use crate::piece::{Cause, LotId, Measure};
use crate::source::Diagnostic;
use crate::spec::{Judged, Test};

/// What a step asks, for all of its bars.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Effort {
    /// Trips through the fire.
    pub heats: u32,
    /// Heats that each part of a bar is forged in.
    pub each: u32,
    /// Minutes, in the fire and at the work.
    pub minutes: f64,
    /// Out of the fire at, °C.
    pub from_c: f64,
    /// Back into it at, °C; nothing where nothing is forged.
    pub stop_c: Option<f64>,
    /// Seconds of work in a heat, in the mean; nothing where the piece is no hotter than where it should go back to the
    /// fire: how long such a heat lasts cannot be told, and no minutes are counted for it.
    pub seconds: Option<f64>,
    /// Strokes, blows or passes; nothing where no machine is known.
    pub strokes: Option<f64>,
    /// The bite, mm; nothing where none is taken.
    pub bite: Option<f64>,
    /// Whether the bite is less than asked, as the press moves no more.
    pub shortened: bool,
    /// The largest force of a stroke, kN; nothing but for presses.
    pub force_kn: Option<f64>,
    /// Work that the machine puts into the steel and its own losses, kJ; nothing where no machine is known.
    pub energy_kj: Option<f64>,
    /// Whether the heats were counted, and not stated.
    pub counted: bool,
}

/// Where a run writes what happens; what a sink does not take up is not kept. Calls about one step come while that step runs.
pub trait Sink {
    /// Whether anything is kept: a step may skip work that only the book would see.
    const KEEPS: bool;
    /// Whether heats, minutes and what is lost are wanted.
    const COUNTS: bool = Self::KEEPS;
    /// Whether checkpoints are to be judged.
    const JUDGES: bool = Self::KEEPS;
    /// Whether it is wanted what was measured.
    const MEASURES: bool = Self::KEEPS;
    /// `lot` is `from`, worked: entries for `lot` add up to its size less that of one bar of `from`.
    fn origin(&mut self, _lot: LotId, _from: LotId) {}
    /// One bar of `lot` changed by `amount` (mm or g).
    fn change(&mut self, _lot: LotId, _what: Measure, _cause: Cause, _amount: f64) {}
    /// Steel left the recipe: `grams` from all bars of the step.
    fn loss(&mut self, _cause: Cause, _grams: f64) {}
    /// What the step asks of smith and machine.
    fn effort(&mut self, _effort: &Effort) {}
    /// Thickness, width and length of a bar behind one heat of the step, cold, mm.
    fn heat(&mut self, _sizes: [f64; 3]) {}
    /// A piece was measured: thickness, width, length (mm) and mass (g) of one bar as planned and as it is taken from now on,
    /// and what was read of the four, cold.
    fn measured(&mut self, _lot: LotId, _planned: [f64; 4], _now: [f64; 4], _read: [Option<f64>; 4]) {}
    /// A checkpoint was judged on a lot.
    fn judged(&mut self, _lot: LotId, _test: &Test, _judged: Judged) {}
    /// A finding that does not stop the build.
    fn warn(&mut self, _warning: impl FnOnce() -> Diagnostic) {}
    /// A figure that the recipe left unsaid: what, its value, where it comes from.
    fn assume(&mut self, _what: &'static str, _value: impl FnOnce() -> String, _source: &'static str) {}
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Sink for Silent {
    const KEEPS: bool = false;
}
