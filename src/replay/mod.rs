//! Runs a plan: bars, rack, book, and what stood after every step.

mod bench;
mod build;
mod ledger;

pub use bench::{Bench, Mark};
pub use build::{Balance, Build, Line, StepDone, build};
pub use ledger::{Assumed, Checked, Entry, Ledger, Measured};
