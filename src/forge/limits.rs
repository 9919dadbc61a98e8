//! What heat and force the steels of a plan stand.

use crate::steel::Grade;
use crate::steel::grades::window::{self, Window};
use crate::steel::laws::{flow, solidus};

/// Log strain of one pass over the bar: 15 % off the thickness, low in the 15 to 20 % of common ingot practice (from
/// memory), and half of what folds a step into the bar.
pub const PASS: f64 = 0.162_518_929_497_774_9;

/// What heat a steel stands, °C: looked up once a plan.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Where it begins to melt.
    pub solidus: f64,
    /// Between which temperatures it may be forged.
    pub window: Window,
    /// How hard it is to press.
    pub flow: flow::Ready,
}

impl Limits {
    /// Of a steel.
    #[must_use]
    pub fn of(grade: &Grade) -> Limits {
        Limits {
            solidus: solidus::of_c(&grade.composition),
            window: window::of(grade),
            flow: flow::Ready::of(grade, PASS),
        }
    }
}
