//! A plan and its run: bars, rack, book, and what stood after every step.

mod bench;
mod build;
mod cost;
mod hours;
mod ledger;
mod plan;

pub use bench::{Bench, Mark};
pub use build::{Balance, Build, Line, StepDone, build};
pub use cost::{Cost, Spent, cost};
pub use hours::{Hours, SOURCE as HOURS_SOURCE, hours, minutes_by_step};
pub use ledger::{Assumed, Checked, Entry, Ledger, Measured};
pub use plan::{Allowed, Ask, Op, OpLine, ParamDoc, Plan, Planned, RecipeDoc, SlotInfo, TargetPlan};
