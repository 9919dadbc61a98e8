//! One or two figures varied over a range: what each target comes to on the way.

use crate::quantity::Kind;
use crate::replay::Plan;
use crate::spec::Test;

use crate::study::solve::runs::{Least, Runs};

/// A figure to vary, in so many even steps.
#[derive(Clone, Debug)]
pub struct Vary {
    /// Its address.
    pub address: String,
    /// Every slot that goes by it.
    pub slots: Vec<u32>,
    /// Its kind.
    pub kind: Kind,
    /// From, base unit.
    pub low: f64,
    /// To.
    pub high: f64,
    /// Values looked at, both ends among them.
    pub points: usize,
}

impl Vary {
    /// The values.
    pub fn values(&self) -> impl Iterator<Item = f64> + '_ {
        let last = self.points.max(2) - 1;
        (0..=last).map(move |i| {
            if i == last { self.high } else { self.low + (self.high - self.low) * i as f64 / last as f64 }
        })
    }
}

/// One try.
#[derive(Clone, Debug)]
pub struct Try {
    /// The value of each varied figure.
    pub values: Vec<f64>,
    /// What each target line got, where there is such a figure, and whether it is met; nothing where the recipe could not be
    /// worked.
    pub got: Option<Vec<(Option<f64>, bool)>>,
    /// Whether all is met.
    pub met: bool,
    /// Why it could not be worked.
    pub fault: Option<String>,
}

/// The tries, the last figure varied fastest; and the lines that they are judged by.
#[must_use]
pub fn sweep(plan: &Plan, vary: &[Vary]) -> (Vec<Test>, Vec<Try>) {
    let tests: Vec<Test> = plan.targets.iter().flat_map(|t| t.tests.iter().copied()).collect();
    let mut runs = Runs::new(plan, Least::Steel);
    runs.only(&vary.iter().flat_map(|v| v.slots.iter().copied()).collect::<Vec<_>>());
    let mut tries = Vec::new();
    let mut rows: Vec<Vec<f64>> = vec![Vec::new()];
    for one in vary {
        rows = rows
            .into_iter()
            .flat_map(|row| one.values().map(move |v| [row.as_slice(), &[v]].concat()))
            .collect();
    }
    for values in rows {
        let pairs = vary.iter().zip(&values).flat_map(|(one, v)| one.slots.iter().map(|s| (*s, *v)));
        let set: Vec<(u32, f64)> = pairs.collect();
        let made = match runs.run_or_fault(&set) {
            Ok(outcome) => {
                let got = runs.lines().map(|(_, judged)| {
                    let got = judged.map(|j| j.got).filter(|got| got.is_finite());
                    (got, judged.is_some_and(|j| j.met))
                });
                Try { values, got: Some(got.collect()), met: outcome.met(), fault: None }
            }
            Err((_, fault)) => Try { values, got: None, met: false, fault: fault.map(|f| f.message.clone()) },
        };
        tries.push(made);
    }
    (tests, tries)
}
