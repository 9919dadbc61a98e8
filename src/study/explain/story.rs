//! A real build against its plan: what was foretold, what the calliper said, and where the build left its plan.

use crate::piece::LotId;
use crate::replay::{Build, Measured, Plan};
use crate::source::Span;

/// How far a figure may be off before the build counts as having left its plan: mm for thickness and width, shares for length and
/// mass (project figures: what a smith would not run after).
const THICK_WIDE: f64 = 0.5;
const LENGTH: f64 = 0.02;
const MASS: f64 = 0.02;

/// One measured step.
#[derive(Clone, Copy, Debug)]
pub struct Chapter {
    /// The words that measure.
    pub span: Span,
    /// The step that was measured after.
    pub after: usize,
    /// The piece.
    pub lot: LotId,
    /// Thickness, width, length (mm), mass (g) by the plan alone; nothing where the plan has no such step.
    pub planned: Option<[f64; 4]>,
    /// The same, foretold from the measure before.
    pub foretold: [f64; 4],
    /// As it is taken from here on.
    pub now: [f64; 4],
    /// What was read of the four, cold: a weight stays what the scale said where the sizes say another.
    pub read: [Option<f64>; 4],
    /// Which of them lie beyond what may be off.
    pub beyond: [bool; 4],
}

/// The chapters of a build, in order; `alone` is the same recipe without any measure.
#[must_use]
pub fn story(plan: &Plan, build: &Build, alone: (&Plan, &Build)) -> Vec<Chapter> {
    build.ledger.measured.iter().filter_map(|m| chapter(plan, m, alone)).collect()
}

fn chapter(plan: &Plan, m: &Measured, (lone_plan, lone): (&Plan, &Build)) -> Option<Chapter> {
    let step = plan.steps.get(m.step)?;
    // The same step of the lone plan: measures apart, both have the same steps in the same order.
    let is_measure = |s: &crate::replay::Planned| s.word.form == crate::forge::Form::Measure;
    let before = plan.steps.iter().take(m.step).filter(|s| !is_measure(s)).count();
    let of = lone_plan.steps.iter().filter(|s| !is_measure(s)).nth(before.checked_sub(1)?)?;
    let name = plan.ground.lot_name(m.lot);
    let lot = of.gives.iter().find(|l| lone_plan.ground.lot_name(**l) == name).or(of.gives.first());
    let bar = lot.and_then(|l| lone.bench.lots[*l]).map(|l| l.bar);
    let planned = bar.map(|b| [b.calliper_thick(), b.calliper_wide(), b.long, b.mass]);
    let mut beyond = [false; 4];
    let room = |i: usize, of: f64| match i {
        0 | 1 => THICK_WIDE,
        2 => LENGTH * of,
        _ => MASS * of,
    };
    for (i, (((beyond, read), now), foretold)) in
        beyond.iter_mut().zip(m.read).zip(m.now).zip(m.planned).enumerate()
    {
        // Sizes within their last digit are as foretold.
        let came = if i == 3 { read.unwrap_or(now) } else { now };
        *beyond = read.is_some() && (came - foretold).abs() > room(i, foretold);
    }
    Some(Chapter {
        span: step.span,
        after: plan.steps.iter().take(m.step).rposition(|s| !is_measure(s))?,
        lot: m.lot,
        planned,
        foretold: m.planned,
        now: m.now,
        read: m.read,
        beyond,
    })
}
