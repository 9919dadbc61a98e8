//! What a published law looks like to the rest of the program: one flat record, so that a list of laws can be
//! shown, explained and called without knowing any of them.

use crate::quantity::{significant, trim_number};
use crate::steel::mark::Mark;

/// A law's formula, on inputs in the units and order of the law; a missing one gives NaN, never a panic.
pub(crate) type Formula = fn(&[f64]) -> f64;

/// One input of a law, as `heatbook law NAME key=value` takes it.
#[derive(Clone, Copy)]
pub struct Input {
    /// The word before the equals sign.
    pub key: &'static str,
    /// The unit that `low`, `high`, `default` and the value handed to the law are in; empty for a plain number.
    pub unit: &'static str,
    /// What it is, in a few words.
    pub what: &'static str,
    /// Lowest value within the law's range, in `unit`.
    pub low: f64,
    /// Highest value within the law's range, in `unit`.
    pub high: f64,
    /// The value taken where the input is left out; none where it must be given.
    pub default: Option<f64>,
}

/// One law: what it gives, from what, within which limits, and who says so.
pub struct Law {
    /// Name in lower case with hyphens.
    pub name: &'static str,
    /// One line that says what it is about.
    pub title: &'static str,
    /// The formula in plain ASCII.
    pub formula: &'static str,
    /// Its inputs, in the order in which its formula takes them.
    pub inputs: Vec<Input>,
    /// What the result is.
    pub gives: &'static str,
    /// Unit of the result; empty for a plain number.
    pub unit: &'static str,
    /// Where it holds, and how well.
    pub validity: &'static str,
    /// Where it is published, or seen, or that it is not.
    pub source: &'static str,
    /// How far it can be trusted.
    pub mark: Mark,
    /// Digits that a result is worth; three where its table does not say, and whole HRC.
    pub(crate) digits: Option<i32>,
    /// The law itself.
    pub(crate) eval: Formula,
}

/// Digits of a result where the table of a law does not say: what is told to a part in a hundred or worse (project figure).
const DIGITS: i32 = 3;

impl Law {
    /// What the law gives for these inputs, in its unit; NaN where one is missing, or where it holds no figure.
    #[must_use]
    pub fn of(&self, inputs: &[f64]) -> f64 {
        if inputs.len() < self.inputs.len() { f64::NAN } else { (self.eval)(inputs) }
    }

    /// A result with no more digits than it is worth.
    #[must_use]
    pub(crate) fn shown(&self, value: f64) -> String {
        if self.unit == "HRC" && self.digits.is_none() {
            return trim_number(value, 0);
        }
        significant(value, self.digits.unwrap_or(DIGITS))
    }
}
