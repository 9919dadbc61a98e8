//! A build, or an answer, on paper: one file a form. Nothing here works anything out.

mod blade;
mod calibrate;
mod cautions;
mod changed;
mod check;
mod compare;
mod csv;
mod diagnostics;
mod drawn;
mod explain;
mod fill;
mod fire;
mod json;
mod law;
mod metal;
mod nudge;
mod odds;
mod rack;
mod replay;
mod rescue;
mod sheet;
mod steels;
mod sweep;
mod table;
mod template;
mod why;

pub use blade::blades;
pub use calibrate::calibrate_text;
pub use changed::{changed_text, pieces_text, targets_text};
pub use check::check;
pub use compare::compare_text;
pub use csv::run_csv;
pub use diagnostics::{Style, diagnostics};
pub use explain::{explain_json, explain_text, topic_text, topics_json, topics_text};
pub use fill::{Answer, fill_json, fill_text};
pub use json::{run_json, why_json};
pub use law::{Worked, law_json, law_text, laws_text};
pub use nudge::{nudge_json, nudge_text};
pub use odds::{odds_json, odds_text};
pub use rack::rack_text;
pub use replay::{replay_json, replay_text};
pub use rescue::rescue_text;
pub use sheet::run_text;
pub use steels::{steels_csv, steels_json, steels_text};
pub use sweep::{Sweep, sweep_csv, sweep_json, sweep_svg, sweep_text};
pub use template::{CHECK_FIRST, Template};
pub use why::{why_csv, why_text};

use crate::quantity::Units;
use crate::replay::{Build, Plan};
use crate::source::Files;
use crate::study::Verdict;

/// Everything that a page is made from.
pub struct Page<'a> {
    /// The files, for line numbers.
    pub files: &'a Files,
    /// The file's name as it was given.
    pub name: &'a str,
    /// The recipe.
    pub plan: &'a Plan,
    /// What became of it.
    pub build: &'a Build,
    /// The verdict on it.
    pub verdict: &'a Verdict,
    /// The reader's units.
    pub units: Units,
}

/// Said behind every verdict.
pub const SIZES_ONLY: &str =
    "sizes only: a bad weld, a crack or an inclusion cannot be seen from here: etch and test before use";
