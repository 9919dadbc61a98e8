//! The nearest change that would meet every target: one figure of the recipe at a time, each tried by a run.

use crate::forge::{Blades, Key, Silent};
use crate::quantity::{Kind, Units, halve, show, trim_number};
use crate::replay::{Bench, Plan};
use crate::spec::What;

/// Whether what would mend a missed target is looked for.
pub enum Mending<'a> {
    /// As long as there is patience.
    Patient,
    /// As long as this says to go on: between two runs of the recipe it is asked.
    While(&'a mut dyn FnMut() -> bool),
    /// Not at all, and nothing is said of it.
    None,
}

/// A figure, and the value that would do.
#[derive(Clone, Debug)]
pub struct Mend {
    /// The figure's slot.
    pub slot: u32,
    /// The value that would do, base unit.
    pub value: f64,
    /// How far that is from what is written: the size of the ratio's logarithm.
    pub far: f64,
}

/// How far a length is tried from what is written, as a factor, and in how many steps.
const REACH: f64 = 2.0;
const TRIES: i32 = 24;
/// How far a count is tried.
const COUNTS: i32 = 12;
/// How far a heat is tried, in steps of 5 C.
const HEATS: i32 = 30;

/// Steps worked in all while a mend is looked for: a fraction of a second, however long the recipe.
const PATIENCE: usize = 1_000_000;

/// A step on a blade costs as much as so many on a bar (measured, rounded up).
const BLADE: usize = 40;

/// Looks for mends, and stops when its patience is used up.
pub struct Search<'a, 'm> {
    plan: &'a Plan,
    bench: Bench,
    runs_left: usize,
    mending: Mending<'m>,
}

impl<'a, 'm> Search<'a, 'm> {
    /// A search over the figures of a plan.
    pub fn new(plan: &'a Plan, mending: Mending<'m>) -> Self {
        // From the first step that shapes a blade on, a step costs as much as some of a bar.
        let shapes = |s: &crate::replay::Planned| s.word.blades == Blades::Makes;
        let bars = plan.steps.iter().position(shapes).unwrap_or(plan.steps.len());
        let steps = bars + (plan.steps.len() - bars) * BLADE;
        // Figures are laid out and lines are judged in every run too (each against a step of a bar, measured, rounded up).
        let tests: usize = plan.targets.iter().map(|t| t.tests.len()).sum();
        let cost = steps + tests / 4 + plan.working.len() / 64 + plan.slots.len() / 512;
        Search { plan, bench: Bench::default(), runs_left: PATIENCE / cost.max(1), mending }
    }

    /// The nearest change of one figure among `slots` that meets every target.
    pub fn nearest(&mut self, slots: &[u32]) -> Option<Mend> {
        if self.spent() {
            return None;
        }
        slots.iter().filter_map(|slot| self.one(*slot)).min_by(|a, b| a.far.total_cmp(&b.far))
    }

    /// Whether patience is used up: nothing more will be found.
    #[must_use]
    pub fn spent(&self) -> bool {
        self.runs_left == 0
    }

    fn one(&mut self, slot: u32) -> Option<Mend> {
        if self.spent() {
            return None;
        }
        let plan = self.plan;
        let (info, _) = plan.figure(slot);
        let now = plan.values.at(slot);
        if !now.is_finite() || now <= 0.0 {
            return None;
        }
        if info.kind == Kind::NUMBER {
            let given = [Key::Spread, Key::Heats].iter().any(|key| info.address.ends_with(key.word()));
            if now.fract() != 0.0 || given {
                return None;
            }
            let mut tries = (1..=COUNTS).flat_map(|d| [now + f64::from(d), now - f64::from(d)]);
            let value = tries.find(|v| *v >= 1.0 && self.met(slot, *v))?;
            return Some(Mend { slot, value, far: (value / now).ln().abs() });
        }
        if info.kind == Kind::TEMPERATURE {
            return self.heat(slot, now);
        }
        if info.kind != Kind::LENGTH {
            return None;
        }
        let factor = |i: i32| REACH.powf(f64::from(i) / f64::from(TRIES));
        let (mut bad, mut good) = (now, None);
        for i in 1..=TRIES {
            let found = [i, -i].into_iter().find(|i| self.met(slot, now * factor(*i)));
            if let Some(i) = found {
                bad = now * factor(i - i.signum());
                good = Some(now * factor(i));
                break;
            }
        }
        let (good, bad) = halve((good?, bad), 40, |value| self.met(slot, value));
        let value = rounded(good, bad, |v| self.met(slot, v));
        Some(Mend { slot, value, far: (value / now).ln().abs() })
    }

    /// A heat that would do, in steps of 5 C: looked for only where a hardness is asked.
    fn heat(&mut self, slot: u32, now: f64) -> Option<Mend> {
        let asks = |t: &crate::replay::TargetPlan| t.tests.iter().any(|t| t.what == What::Hardness);
        if !self.plan.targets.iter().any(asks) {
            return None;
        }
        let mut tries = (1..=HEATS).flat_map(|d| [5.0 * f64::from(d), -5.0 * f64::from(d)]);
        let by = tries.find(|by| self.met(slot, ((now + by) / 5.0).round() * 5.0))?;
        Some(Mend { slot, value: ((now + by) / 5.0).round() * 5.0, far: by.abs() / 100.0 })
    }

    /// Whether a run with this value meets every target; no more once patience is used up.
    fn met(&mut self, slot: u32, value: f64) -> bool {
        let goes_on = match &mut self.mending {
            Mending::Patient => true,
            Mending::While(goes_on) => goes_on(),
            Mending::None => false,
        };
        if self.runs_left == 0 || !goes_on {
            self.runs_left = 0;
            return false;
        }
        self.runs_left -= 1;
        if self.bench.work(self.plan, &[(slot, value)], Units::Metric, &mut Silent).is_err() {
            return false;
        }
        let bench = &self.bench;
        self.plan.targets.iter().all(|target| {
            let lot = target.lot.and_then(|l| bench.lot(l));
            lot.is_some_and(|lot| {
                lot.bar.loose.is_none()
                    && target.tests.iter().all(|t| {
                        t.judge(&bench.values, &lot.bar, &bench.makeup, &self.plan.ground.steels).met
                    })
            })
        })
    }
}

/// A figure that a smith would write, on the good side: whole, half or tenth millimetres.
fn rounded(good: f64, bad: f64, mut met: impl FnMut(f64) -> bool) -> f64 {
    for step in [1.0, 0.5, 0.1, 0.01] {
        let value = if good > bad { (good / step).ceil() * step } else { (good / step).floor() * step };
        if value > 0.0 && (value - good).abs() <= 0.02 * good && met(value) {
            return value;
        }
    }
    good
}

/// The value as one would write it.
pub fn written(plan: &Plan, mend: &Mend, units: Units) -> String {
    match plan.figure(mend.slot).0.kind {
        Kind::NUMBER => trim_number(mend.value, 0),
        kind => show(mend.value, kind, units),
    }
}

/// The value as it stands in a recipe, so that reading it gives back the value that was tried.
pub fn exact(plan: &Plan, mend: &Mend, units: Units) -> String {
    crate::study::propose::written::written(mend.value, plan.figure(mend.slot).0.kind, units)
}
