//! The bench on which a plan is worked: memory that is cleared between runs, and not freed.

use crate::forge::{Cx, Fault, Habit, Outcome, Recall, Sink, WORDS, too_much};

use super::plan::Plan;
use crate::piece::{Lot, LotId, Makeup, MakeupMark};
use crate::quantity::{Arena, Units, Values};

/// Bars, makeup and figures of one run.
#[derive(Debug)]
pub struct Bench {
    /// The figures of the run.
    pub values: Values,
    /// The bars, by lot; `None` where a step failed or did not run.
    pub lots: Arena<LotId, Option<Lot>>,
    /// What they are made up of.
    pub makeup: Makeup,
    /// A factor on the coefficients of published spread laws: 1, but where a verdict is asked for its doubts.
    pub doubt: f64,
    /// How the shop's own hands differ from the book: nothing, but where a calibration looks for it.
    pub habit: Habit,
    /// Flow stresses and heating times of earlier runs: they are kept, since they say what they hold for.
    recalls: Arena<LotId, Recall>,
}

/// What stood on a bench after some steps.
#[derive(Debug)]
pub struct Mark {
    lots: Arena<LotId, Option<Lot>>,
    makeup: MakeupMark,
}

impl Default for Bench {
    fn default() -> Self {
        Bench {
            values: Values::default(),
            lots: Arena::default(),
            makeup: Makeup::default(),
            doubt: 1.0,
            habit: Habit::default(),
            recalls: Arena::default(),
        }
    }
}

impl Bench {
    /// The bars of a lot, where any are left.
    #[must_use]
    pub fn lot(&self, id: LotId) -> Option<&Lot> {
        self.lots.find(id)?.as_ref().filter(|l| l.count > 0)
    }

    /// An empty bench that knows what this one's runs worked out.
    #[must_use]
    pub fn again(&self) -> Bench {
        Bench { recalls: self.recalls.clone(), ..Bench::default() }
    }

    /// Keeps what stands now, to come back to.
    #[must_use]
    pub fn mark(&self) -> Mark {
        Mark { lots: self.lots.clone(), makeup: self.makeup.mark() }
    }

    /// Lays out a plan's figures as [`Bench::lay_out`] does, but begins from a mark of the same plan.
    pub fn lay_out_from(&mut self, plan: &Plan, set: &[(u32, f64)], mark: &Mark) {
        self.figures(plan, set);
        self.makeup.rewind(&mark.makeup);
        self.lots.clone_from(&mark.lots);
    }

    /// Clears the bench and lays out a plan's figures, some of them overwritten.
    pub fn lay_out(&mut self, plan: &Plan, set: &[(u32, f64)]) {
        self.figures(plan, set);
        self.makeup.clear();
        self.lots.clear();
        self.lots.resize(plan.ground.lots.len(), None);
        self.recalls.resize(plan.ground.lots.len(), Recall::default());
    }

    fn figures(&mut self, plan: &Plan, set: &[(u32, f64)]) {
        self.values.0.clone_from(&plan.values.0);
        for (slot, value) in set {
            self.values.set(*slot, *value);
        }
        for line in &plan.working {
            // A figure that was set stays as set, whatever it followed from.
            if !set.iter().any(|(slot, _)| *slot == line.slot) {
                line.work(&mut self.values);
            }
        }
    }

    /// Works one step; `None` where bars that it needs are missing because an earlier step failed, or where one went beyond what a run follows:
    /// that is told once.
    pub fn step<S: Sink>(&mut self, plan: &Plan, at: usize, units: Units, book: &mut S) -> Option<Outcome> {
        let planned = plan.steps.get(at)?;
        if self.makeup.full().is_some() || planned.takes.iter().any(|lot| self.lots[*lot].is_none()) {
            return None;
        }
        let mut cx = Cx {
            values: &self.values,
            ground: &plan.ground,
            lots: &mut self.lots,
            makeup: &mut self.makeup,
            book,
            units,
            doubt: self.doubt,
            habit: self.habit,
            words: WORDS,
            recalls: &mut self.recalls,
        };
        let done = planned.step.run(&mut cx);
        let done = done.and_then(|()| match self.makeup.full() {
            Some(what) => Err(too_much(what, planned.span)),
            None => Ok(()),
        });
        if done.is_err() {
            for lot in &planned.gives {
                self.lots[*lot] = None;
            }
        }
        Some(done)
    }

    /// Works a whole plan with some figures overwritten, to the first fault.
    ///
    /// # Errors
    /// The fault; or `None` where the plan itself is at fault.
    pub fn work<S: Sink>(
        &mut self,
        plan: &Plan,
        set: &[(u32, f64)],
        units: Units,
        book: &mut S,
    ) -> Result<(), Option<Fault>> {
        self.lay_out(plan, set);
        for index in 0..plan.steps.len() {
            self.step(plan, index, units, book).ok_or(None)?.map_err(Some)?;
        }
        Ok(())
    }
}
