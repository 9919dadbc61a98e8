//! Questions over runs: why a size is what it is, where a target is missed, what would mend it.

mod blame;
mod doubt;
mod mend;
mod spare;
mod verdict;
mod why;

pub use spare::spare;
pub use verdict::{Verdict, got, judge};
pub use why::{Why, WhyEntry, last_lot, why};
