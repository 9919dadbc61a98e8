//! Questions over runs: why a size is what it is, where a target is missed, what would mend it.

mod blame;
mod calibrate;
mod cost;
mod doubt;
mod fill;
mod mend;
mod miss;
mod nudge;
mod odds;
mod rack;
mod rescue;
mod runs;
mod spare;
mod start;
mod story;
mod sweep;
mod verdict;
mod why;
mod written;

pub use calibrate::{Calibration, Fitted, calibrate};
pub use cost::{Cost, cost};
pub use fill::{Filled, Unknown, fill, unknowns};
pub use miss::nearest_miss;
pub use nudge::{Nudge, nudge, step_of};
pub use odds::{Draw, Input, LineOdds, MOST_SAMPLES, Odds, inputs, odds};
pub use rack::{Kept, rack};
pub use rescue::{Edit, Missing, Way, Ways, rescue};
pub use runs::{Least, Outcome, Runs};
pub use spare::spare;
pub use start::{Wish, start};
pub use story::{Chapter, story};
pub use sweep::{Try, Vary, sweep};
pub use verdict::{Mending, Verdict, got, judge, judge_with};
pub use why::{Why, WhyEntry, last_lot, why};
pub use written::{rounded, written};
