//! A plan worked once with a full book: what stood after every step, and whether every gram is accounted for.

use std::collections::BTreeSet;

use crate::forge::Form;

use crate::piece::{Cause, Lot, LotId};
use crate::quantity::{Units, Values};
use crate::source::{Code, Diagnostic, Span};
use crate::spec::{Judged, Test};

use super::bench::Bench;
use super::cost::Spent;
use super::ledger::Ledger;
use super::plan::{Plan, TargetPlan};

/// What became of a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepDone {
    /// It was done.
    Done,
    /// It failed: a fault is on record.
    Failed,
    /// The bars that it needs were never made.
    Skipped,
}

/// One line of a target, judged.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// Which target of the plan.
    pub target: usize,
    /// The bars.
    pub lot: LotId,
    /// The test.
    pub test: Test,
    /// The verdict; `None` where there is no bar to judge.
    pub judged: Option<Judged>,
}

/// Whether the grams add up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    /// Stock taken, g.
    pub taken: f64,
    /// In pieces at the end, g.
    pub pieces: f64,
    /// On the rack at the end, g.
    pub rack: f64,
    /// Booked as lost, g.
    pub lost: f64,
    /// The largest gap after any step, as a fraction of the stock taken by then.
    pub error: f64,
}

/// A recipe worked through.
#[derive(Debug)]
pub struct Build {
    /// Bars, makeup and figures.
    pub bench: Bench,
    /// The book.
    pub ledger: Ledger,
    /// What became of each step.
    pub done: Vec<StepDone>,
    /// The lots that stand at the end, in the order they were made.
    pub standing: Vec<LotId>,
    /// The lots on the rack at the end.
    pub racked: Vec<LotId>,
    /// The targets, line by line.
    pub lines: Vec<Line>,
    /// The grams.
    pub balance: Balance,
    /// What stopped a step.
    pub faults: Vec<Diagnostic>,
}

impl Balance {
    /// Holds what stands, g, against what was taken and what is gone.
    fn gap(&mut self, held: f64) {
        let gap = self.taken - held - self.lost;
        if self.taken > 0.0 {
            self.error = self.error.max((gap / self.taken).abs());
        }
    }
}

impl Build {
    /// The bars of a lot, where there are any.
    #[must_use]
    pub fn lot(&self, id: LotId) -> Option<&Lot> {
        self.bench.lot(id)
    }

    /// The figures of the run.
    #[must_use]
    pub fn values(&self) -> &Values {
        &self.bench.values
    }
}

/// Works a plan with some figures overwritten, and keeps everything.
#[must_use]
pub fn build(plan: &Plan, set: &[(u32, f64)], units: Units) -> Build {
    let mut bench = Bench::default();
    bench.lay_out(plan, set);
    let mut ledger = Ledger::default();
    let (mut done, mut faults) = (Vec::with_capacity(plan.steps.len()), Vec::new());
    let mut here: BTreeSet<LotId> = BTreeSet::new();
    let mut balance = Balance::default();
    // What stands, g: only what a step takes and gives is weighed after it, and all of it once at the end.
    let mut held = 0.0;
    let asked = plan.asks.iter().any(|ask| set.iter().all(|(slot, _)| *slot != ask.slot));
    for (index, planned) in plan.steps.iter().enumerate() {
        if asked {
            // With a `?` still open there are no figures to work with.
            done.push(StepDone::Skipped);
            continue;
        }
        ledger.open(index);
        let losses = ledger.losses.len();
        match bench.step(plan, index, units, &mut ledger) {
            None => done.push(StepDone::Skipped),
            Some(Err(fault)) => {
                let called = |fault: Diagnostic, call: &Span| fault.and(*call, "in the recipe called here");
                faults.push(planned.calls.iter().rev().fold(*fault, called));
                ledger.losses.truncate(losses);
                done.push(StepDone::Failed);
            }
            Some(Ok(())) => {
                done.push(StepDone::Done);
                let moved = planned.word.form != Form::Tests;
                for lot in planned.takes.iter().filter(|_| moved) {
                    if here.remove(lot) {
                        held -= mass(&bench, Some(*lot));
                    }
                }
                for lot in &planned.gives {
                    if here.insert(*lot) {
                        held += mass(&bench, Some(*lot));
                    }
                }
                balance.taken += planned.brings.iter().map(|lot| mass(&bench, Some(*lot))).sum::<f64>();
                balance.lost += ledger.losses.iter().skip(losses).map(|(_, _, grams)| grams).sum::<f64>();
                balance.gap(held);
            }
        }
    }
    weigh(&mut balance, &bench, &here, plan);
    let standing = |racked: bool| {
        let on = |lot: &LotId| plan.ground.lots[*lot].racked == racked;
        here.iter().copied().filter(on).filter(|lot| bench.lot(*lot).is_some()).collect::<Vec<_>>()
    };
    let (standing, racked) = (standing(false), standing(true));
    let mut lines = Vec::new();
    let spent = plan.asks_of_the_build().then(|| {
        let (_, fire) = ledger.totals();
        Spent::of(plan, &bench, fire, ledger.lost(Cause::Ground))
    });
    for (target, planned) in plan.targets.iter().enumerate() {
        let Some(lot) = planned.lot else { continue };
        let bars = bench.lot(lot);
        if let Some(bars) = bars
            && bars.bar.loose.is_some()
        {
            faults.push(loose_target(&planned.piece, planned.span, plan.ground.lots[lot].site));
            continue;
        }
        if let (Some(bars), Some((wanted, span))) = (bars, planned.count)
            && bars.count < wanted
        {
            faults.push(short_order(planned, bars.count, wanted, span, plan.ground.lots[lot].site));
        }
        for test in &planned.tests {
            if bars.is_some_and(|b| test.zone_missing(&b.bar, &bench.makeup)) {
                faults.push(test.no_zone());
                continue;
            }
            let of_the_build = spent.and_then(|spent| spent.judge(test, &bench.values));
            let of = |b: &Lot| test.judge(&bench.values, &b.bar, &bench.makeup, &plan.ground.steels);
            let judged = bars.map(|b| of_the_build.unwrap_or_else(|| of(b)));
            lines.push(Line { target, lot, test: *test, judged });
        }
    }
    Build { bench, ledger, done, standing, racked, lines, balance, faults }
}

fn mass(bench: &Bench, lot: Option<LotId>) -> f64 {
    lot.and_then(|lot| bench.lot(lot)).map_or(0.0, |l| l.mass())
}

/// Weighs everything: what was taken must be in pieces, on the rack, or booked.
fn weigh(balance: &mut Balance, bench: &Bench, here: &BTreeSet<LotId>, plan: &Plan) {
    (balance.pieces, balance.rack) = (0.0, 0.0);
    for lot in here {
        let grams = mass(bench, Some(*lot));
        if plan.ground.lots[*lot].racked {
            balance.rack += grams;
        } else {
            balance.pieces += grams;
        }
    }
    balance.gap(balance.pieces + balance.rack);
}

fn short_order(target: &TargetPlan, made: u32, wanted: u32, span: Span, site: Span) -> Diagnostic {
    let piece = &target.piece;
    let made = if made == 1 { "1 is made".to_owned() } else { format!("{made} are made") };
    Code::TooFewBars
        .says(format!("the order is for {wanted} of `{piece}`, and only {made}"))
        .at(span, "so many are asked for")
        .and(site, format!("{made} here"))
        .help(format!("make {wanted} of them, as `cut {piece} into {wanted}` does, or ask for fewer"))
}

fn loose_target(piece: &str, target: Span, made: Span) -> Diagnostic {
    let message = format!("`{piece}` is a loose stack at the end, and no piece to judge");
    Diagnostic::new(Code::TargetLoose, message, target, "this target judges it")
        .and(made, "it was stacked here and not welded since")
        .help(format!("weld it: `weld {piece} at 1230 C, thinning 15 %`"))
}

#[cfg(test)]
mod tests {
    use super::Balance;

    /// A balance that could not be off would say nothing: 100 g taken, 10 g gone and 80 g standing leave a tenth untold.
    #[test]
    fn what_is_missing_is_told_as_a_share_of_what_was_taken() {
        let mut balance = Balance { taken: 100.0, lost: 10.0, ..Balance::default() };
        balance.gap(90.0);
        assert_eq!(balance.error, 0.0);
        balance.gap(80.0);
        balance.gap(90.0);
        assert!((balance.error - 0.1).abs() < 1e-12, "the worst of it is kept");
        balance.gap(120.0);
        assert!((balance.error - 0.3).abs() < 1e-12, "too much is as wrong as too little");
    }
}
