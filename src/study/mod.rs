//! Questions over runs: why a size is what it is, where a target is missed, what would mend it.

mod explain;
mod picture;
mod propose;
mod solve;

pub use explain::place::{why_at, worst};
pub use explain::spare::spare;
pub use explain::story::{Chapter, story};
pub use explain::verdict::{Verdict, as_known, at_place, got, judge, judge_with, tested, why_untold};
pub use explain::why::{Why, WhyEntry, chain, last_lot, why};
pub use picture::sampled::{Picture, take};
pub use picture::sight::{Side, Sight, View};
pub use propose::fresh::{Wish, start};
pub use propose::grade::grade;
pub use propose::instead::{FromRack, Instead, instead};
pub use propose::mend::{Mending, Recount};
pub use propose::rack::{Kept, rack};
pub use propose::rescue::{Missing, Way, Ways, rescue};
pub use propose::shelf::{Booked, Booking, Shelved, booked, marked, shelve};
pub use solve::calibrate::{Aside, Calibration, Fitted, calibrate};
pub use solve::fill::{Filled, Looked, Unknown, fill, unknowns};
pub use solve::miss::nearest_miss;
pub use solve::nudge::{Nudge, nudge, step_of};
pub use solve::odds::{Draw, Input, LineOdds, MOST_SAMPLES, Odds, inputs, odds};
pub use solve::quote::{Day, Quote, Schedule, cents, quote, schedule};
pub use solve::runs::{Least, Outcome, Runs};
pub use solve::sweep::{Try, Vary, sweep};
