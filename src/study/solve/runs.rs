//! Many runs of one plan: what each comes to, as a few figures.

use crate::forge::{Effort, Fault, Sink};
use crate::piece::{Bar, Cause, LotId, Makeup};
use crate::quantity::Units;
use crate::replay::{Bench, Hours, Mark, Plan, Spent, cost, hours};
use crate::spec::{Judged, Test, What};

/// What a question would have little of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Least {
    /// Steel taken from the store, g.
    #[default]
    Steel,
    /// Trips through the fire.
    Heats,
    /// Hours, at the fire and at the bench.
    Hours,
    /// Money, in the shop's own prices.
    Cost,
    /// Length of bar taken from the store, mm.
    Length,
}

impl Least {
    /// In a smith's words.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Least::Steel => "steel bought",
            Least::Heats => "heats",
            Least::Hours => "hours",
            Least::Cost => "cost",
            Least::Length => "length of bar bought",
        }
    }

    fn counts(self) -> bool {
        matches!(self, Least::Heats | Least::Hours | Least::Cost)
    }
}

/// So many stations of a blade cost the step that makes them as much as a step on a bar (estimated from whole runs of plain blades).
const STATIONS: usize = 6;
/// What a makeup has taken so far beside the steps that made it, as steps of a bar.
pub(in crate::study) fn taken(makeup: &Makeup) -> usize {
    makeup.looked() / LOOKED + makeup.stations() / STATIONS
}

/// A hardness counts as so many steps on a bar: the carbon and the quench of each section (estimated from the search of mends of one blade).
const HARDNESS: usize = 150;
/// The same on a bar, of one section (estimated from the profile of one search: some 65 us, where a step takes one and a half).
const HARDNESS_OF_BAR: usize = 45;
/// What it takes to hold a bar against a test, beside the run that made it, as steps of a bar.
pub(in crate::study) fn judging(test: &Test, bar: &Bar) -> usize {
    match (test.what == What::Hardness, bar.blade.is_some()) {
        (true, true) => HARDNESS,
        (true, false) => HARDNESS_OF_BAR,
        (false, _) => 0,
    }
}
/// So many parts of a makeup that a line is held against cost as much as a step on a bar (measured).
const LOOKED: usize = 16;

/// What a run of a plan costs but for what it looks at and for blades, as steps of a bar.
fn one_run(plan: &Plan) -> usize {
    // Figures are laid out and lines are judged in every run too (each against a step of a bar, measured, rounded up).
    let tests = || plan.targets.iter().flat_map(|t| &t.tests);
    let hard = tests().filter(|test| test.what == What::Hardness).count() * HARDNESS;
    (plan.steps.len() + hard + tests().count() / 4 + plan.working.len() / 64 + plan.slots.len() / 512).max(1)
}

/// Counts heats and minutes, and judges checkpoints; keeps no book.
#[derive(Clone, Copy, Debug)]
struct Tally<const COUNTS: bool> {
    heats: f64,
    minutes: f64,
    ground: f64,
    worst: f64,
}

impl<const COUNTS: bool> Tally<COUNTS> {
    fn new() -> Self {
        Tally { heats: 0.0, minutes: 0.0, ground: 0.0, worst: f64::INFINITY }
    }
}

impl<const COUNTS: bool> Sink for Tally<COUNTS> {
    const KEEPS: bool = false;
    const COUNTS: bool = COUNTS;
    const JUDGES: bool = true;
    fn effort(&mut self, effort: &Effort) {
        self.heats += f64::from(effort.heats);
        self.minutes += effort.minutes;
    }
    fn loss(&mut self, cause: Cause, grams: f64) {
        if cause == Cause::Ground {
            self.ground += grams;
        }
    }
    fn judged(&mut self, _: LotId, _: &Test, judged: Judged) {
        self.worst = self.worst.min(relative(&judged));
    }
}

/// A margin as a share of its limit: figures of unlike kinds can be held against each other.
pub(in crate::study) fn relative(judged: &Judged) -> f64 {
    if judged.got.is_nan() {
        return -1.0;
    }
    if judged.met {
        // Met to the rounding of the arithmetic counts as met.
        return (judged.margin / scale(judged)).max(0.0);
    }
    (judged.margin / scale(judged)).min(-1e-12)
}

fn scale(judged: &Judged) -> f64 {
    let near =
        |limit: Option<f64>| limit.filter(|l| (judged.got - l).abs() <= judged.margin.abs() * (1.0 + 1e-9));
    near(judged.low).or(near(judged.high)).or(judged.low).or(judged.high).map_or(1.0, |l| l.abs().max(1e-9))
}

/// What one run comes to.
#[derive(Clone, Copy, Debug)]
pub struct Outcome {
    /// The least margin of all targets and checkpoints, as a share of its limit; below nothing where one is missed.
    pub worst: f64,
    /// What there should be least of.
    pub objective: f64,
}

impl Outcome {
    /// Whether all is met.
    #[must_use]
    pub fn met(&self) -> bool {
        self.worst >= 0.0
    }

    /// Whether this one is better: met before missed, then less of what there should be least of, then more room.
    #[must_use]
    pub fn beats(&self, other: &Outcome) -> bool {
        match (self.met(), other.met()) {
            (true, false) => true,
            (false, true) => false,
            (false, false) => self.worst > other.worst,
            (true, true) => {
                let same =
                    (self.objective - other.objective).abs() <= 1e-9 * other.objective.abs().max(1e-12);
                if same { self.worst > other.worst } else { self.objective < other.objective }
            }
        }
    }
}

/// A plan at work.
pub struct Runs<'p> {
    /// The plan.
    pub plan: &'p Plan,
    /// Its bench: what stands after the last run.
    pub bench: Bench,
    /// How many runs were made.
    pub made: usize,
    /// What all runs so far cost, as steps of a bar: about a microsecond and a half each (measured). Whoever has only so much
    /// patience counts this, and not runs.
    pub spent: usize,
    /// What a run costs but for what it looks at and for blades.
    each: usize,
    least: Least,
    stock: Vec<LotId>,
    /// What stands after the steps that none of the figures under question touches.
    start: Option<(usize, Mark)>,
    /// Whether heats and minutes are asked for, by the question or by a target.
    counts: bool,
    /// Heats, minutes at the fire, and grams ground off in the last run, where they are asked for.
    took: [f64; 3],
}

impl<'p> Runs<'p> {
    /// A plan, and what there should be least of.
    #[must_use]
    pub fn new(plan: &'p Plan, least: Least) -> Runs<'p> {
        let stock = plan.bought().map(|(_, lot)| lot).collect();
        let counts = least.counts() || plan.asks_of_the_build();
        let each = one_run(plan);
        let (bench, start, took) = (Bench::default(), None, [0.0; 3]);
        Runs { plan, bench, made: 0, spent: 0, each, least, stock, start, counts, took }
    }

    /// Whether the last run cost more by what it looked at than by its steps.
    #[must_use]
    pub fn looks_most(&self) -> bool {
        self.looked() / LOOKED > self.each
    }

    /// Says that only these figures will be overwritten from now on: steps before the first that any of them touches are
    /// worked once and for all. Which one that is, is read off the words: where figures stand, and what follows from them.
    pub fn only(&mut self, slots: &[u32]) {
        let first = self.plan.first_touched(slots);
        self.start = None;
        self.bench.lay_out(self.plan, &[]);
        let mut sink = Tally::<true>::new();
        for index in 0..first {
            if !matches!(self.bench.step(self.plan, index, Units::Metric, &mut sink), Some(Ok(()))) {
                return;
            }
        }
        // Checkpoints count in every run, and heats and what is ground off where they are asked for.
        let grinds = self.least != Least::Heats || self.plan.asks_of_the_build();
        let took = sink.heats > 0.0 || (grinds && sink.ground > 0.0);
        if first > 0 && sink.worst.is_infinite() && !(took && self.counts) {
            self.start = Some((first, self.bench.mark()));
        }
    }

    /// How many steps, from the first on, are worked once and for all.
    #[must_use]
    pub fn once(&self) -> usize {
        self.start.as_ref().map_or(0, |(first, _)| *first)
    }

    /// Says that any figure may be overwritten again.
    pub fn any(&mut self) {
        self.start = None;
    }

    fn lay_out(&mut self, set: &[(u32, f64)]) -> usize {
        self.made += 1;
        match &self.start {
            Some((first, mark)) => {
                self.bench.lay_out_from(self.plan, set, mark);
                *first
            }
            None => {
                self.bench.lay_out(self.plan, set);
                0
            }
        }
    }

    /// Runs with some figures overwritten.
    pub fn run(&mut self, set: &[(u32, f64)]) -> Outcome {
        self.run_or_fault(set).unwrap_or_else(|(step, _)| {
            // A recipe that stops further on is nearer to one that does not stop at all.
            let left = self.plan.steps.len().saturating_sub(step) as f64;
            Outcome { worst: -1e6 - left, objective: f64::INFINITY }
        })
    }

    /// The same, and what stopped it where it stopped: the step, and its fault.
    ///
    /// # Errors
    /// The step from 0, and its fault.
    pub fn run_or_fault(&mut self, set: &[(u32, f64)]) -> Result<Outcome, (usize, Option<Fault>)> {
        self.counted(|runs| runs.outcome(set))
    }

    /// Counts what a run costs.
    fn counted<T>(&mut self, run: impl FnOnce(&mut Self) -> T) -> T {
        let made = run(self);
        self.spent += self.each + taken(&self.bench.makeup);
        made
    }

    fn outcome(&mut self, set: &[(u32, f64)]) -> Result<Outcome, (usize, Option<Fault>)> {
        let from = self.lay_out(set);
        let mut worst = self.worked(from)?;
        for target in &self.plan.targets {
            let lot = target.lot.and_then(|l| self.bench.lots[l]);
            if target.judged(lot).is_none() {
                worst = worst.min(-1e3);
            }
        }
        for judged in self.lines().filter_map(|(_, judged)| judged) {
            worst = worst.min(relative(&judged));
        }
        let [heats, minutes, ground] = self.took;
        let objective = match self.least {
            Least::Steel => self.steel_g(),
            Least::Length => self.length_mm(),
            Least::Heats => heats,
            Least::Hours => self.hours(minutes, ground).total() / 60.0,
            Least::Cost => cost(self.plan, &self.bench, &self.hours(minutes, ground)).total(),
        };
        Ok(Outcome { worst: if worst.is_finite() { worst } else { 1.0 }, objective })
    }

    /// The margin of every line of each target, then the least of all checkpoints, each as a share of its limit and below nothing where
    /// it is missed; `None` where the recipe stops on the way.
    pub fn margins(&mut self, set: &[(u32, f64)]) -> Option<Vec<f64>> {
        self.counted(|runs| runs.every_margin(set))
    }

    fn every_margin(&mut self, set: &[(u32, f64)]) -> Option<Vec<f64>> {
        let from = self.lay_out(set);
        let expected = self.worked(from).ok()?;
        // A line of bars that are not there is missed by more than any other.
        let lines = self.lines().map(|(_, judged)| judged.map_or(-1e3, |judged| relative(&judged)));
        // Where nothing is asked, a whole limit is to spare.
        let told = |margin: f64| if margin.is_finite() { margin } else { 1.0 };
        Some(lines.chain([expected]).map(told).collect())
    }

    /// Parts of makeups that the last run has held lines and windows against.
    fn looked(&self) -> usize {
        self.bench.makeup.looked()
    }

    /// Only works the steps, and says whether every checkpoint was met: targets are the caller's to judge.
    ///
    /// # Errors
    /// The step from 0, and its fault.
    pub fn work(&mut self, set: &[(u32, f64)]) -> Result<bool, (usize, Option<Fault>)> {
        let worked = self.counted(|runs| {
            let from = runs.lay_out(set);
            runs.worked(from)
        });
        Ok(worked? >= 0.0)
    }

    /// Works the steps from one on; gives the least margin of all checkpoints.
    fn worked(&mut self, from: usize) -> Result<f64, (usize, Option<Fault>)> {
        if !self.counts {
            return Ok(self.steps(from, Tally::<false>::new())?.worst);
        }
        let tally = self.steps(from, Tally::<true>::new())?;
        self.took = [tally.heats, tally.minutes, tally.ground];
        Ok(tally.worst)
    }

    fn steps<S: Sink>(&mut self, from: usize, mut sink: S) -> Result<S, (usize, Option<Fault>)> {
        for index in from..self.plan.steps.len() {
            match self.bench.step(self.plan, index, Units::Metric, &mut sink) {
                Some(Ok(())) => {}
                Some(Err(fault)) => return Err((index, Some(fault))),
                None => return Err((index, None)),
            }
        }
        Ok(sink)
    }

    /// Each line of each target after the last run; nothing where there is no bar to judge.
    pub fn lines(&self) -> impl Iterator<Item = (&'p Test, Option<Judged>)> + '_ {
        let plan = self.plan;
        let spent = plan.asks_of_the_build().then(|| {
            let [_, minutes, ground] = self.took;
            Spent::of(plan, &self.bench, minutes, ground)
        });
        plan.targets.iter().flat_map(move |target| {
            let lot = target.lot.and_then(|l| self.bench.lots[l]);
            let lot = target.judged(lot);
            target.tests.iter().map(move |test| {
                let of_the_build = spent.and_then(|spent| spent.judge(test, &self.bench.values));
                let judged = lot.map(|lot| {
                    of_the_build.unwrap_or_else(|| {
                        test.judge(&self.bench.values, &lot.bar, &self.bench.makeup, &plan.ground.steels)
                    })
                });
                (test, judged)
            })
        })
    }

    fn taken(&self) -> impl Iterator<Item = crate::piece::Lot> + '_ {
        self.stock.iter().filter_map(|lot| self.bench.lots[*lot])
    }

    fn hours(&self, minutes: f64, ground: f64) -> Hours {
        hours(self.plan, &self.bench.values, minutes, ground, Units::Metric)
    }

    /// Steel taken from the store, g.
    #[must_use]
    pub fn steel_g(&self) -> f64 {
        // A sum of nothing is `-0` where it is left to itself.
        self.taken().fold(0.0, |sum, lot| sum + lot.mass())
    }

    fn length_mm(&self) -> f64 {
        self.taken().fold(0.0, |sum, lot| sum + lot.bar.long * f64::from(lot.count))
    }
}
