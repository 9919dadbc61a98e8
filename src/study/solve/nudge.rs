//! How much each figure moves each target: a small step of one figure at a time, both ways.

use crate::quantity::{Kind, TONF, Units};
use crate::replay::Plan;
use crate::spec::Test;

use crate::study::solve::runs::{Least, Runs};

/// What one step of one figure does to one target line.
#[derive(Clone, Debug)]
pub struct Nudge {
    /// The figure's slot.
    pub slot: u32,
    /// The step, base unit.
    pub step: f64,
    /// Which target line, from 0.
    pub line: usize,
    /// By how much what is got moves, for that step up.
    pub moves: f64,
    /// The same as a share of what is got: to rank lines of unlike kinds.
    pub share: f64,
}

/// A step that a shop can take: 0.1 mm (or 1/64 in), a percentage point, 10 C, a minute, one.
#[must_use]
pub fn step_of(kind: Kind, whole: bool, units: Units) -> f64 {
    match kind {
        Kind::LENGTH if units == Units::Inch => 25.4 / 64.0,
        Kind::LENGTH => 0.1,
        Kind::RATIO => 0.01,
        Kind::TEMPERATURE => 10.0,
        Kind::TIME => 1.0,
        Kind::MASS => 10.0,
        Kind::FORCE => TONF,
        Kind::NUMBER if whole => 1.0,
        _ => 0.01,
    }
}

/// Every figure's step, by target line, the strongest first; lines that nothing moves are left out.
#[must_use]
pub fn nudge(plan: &Plan, units: Units) -> (Vec<Test>, Vec<Nudge>) {
    let tests: Vec<Test> = plan.targets.iter().flat_map(|t| t.tests.iter().copied()).collect();
    let bounds: Vec<u32> = tests.iter().flat_map(|t| t.bounds.slots()).collect();
    let readings = plan.readings();
    let mut runs = Runs::new(plan, Least::Steel);
    let mut found = Vec::new();
    let movers = plan.movers();
    let Some(middle) = got(&mut runs, &[]) else { return (tests, found) };
    for (i, info) in plan.slots.iter().enumerate() {
        let Ok(slot) = u32::try_from(i) else { continue };
        let own = (!info.address.is_empty() && info.copy_of.is_none()) || info.leaf;
        let moves = movers.get(i) == Some(&true) && !readings.contains(&slot);
        if !own || info.shapes || bounds.contains(&slot) || !moves {
            continue;
        }
        let value = plan.values.at(slot);
        let whole = info.kind == Kind::NUMBER && value.fract() == 0.0 && value >= 1.0;
        let step = step_of(info.kind, whole, units);
        runs.only(&[slot]);
        let up = got(&mut runs, &[(slot, value + step)]);
        let down = if value - step > 0.0 || info.kind == Kind::TEMPERATURE {
            got(&mut runs, &[(slot, value - step)])
        } else {
            None
        };
        for (line, middle) in middle.iter().enumerate() {
            let at = |v: &Option<Vec<f64>>| v.as_ref().and_then(|v| v.get(line).copied());
            let moves = match (at(&up), at(&down)) {
                (Some(up), Some(down)) => (up - down) / 2.0,
                (Some(up), None) => up - middle,
                (None, Some(down)) => middle - down,
                (None, None) => continue,
            };
            let share = (moves / middle).abs();
            if share.is_finite() && share > 1e-7 {
                found.push(Nudge { slot, step, line, moves, share });
            }
        }
    }
    found.sort_by(|a, b| a.line.cmp(&b.line).then(b.share.total_cmp(&a.share)).then(a.slot.cmp(&b.slot)));
    (tests, found)
}

fn got(runs: &mut Runs, set: &[(u32, f64)]) -> Option<Vec<f64>> {
    runs.work(set).ok()?;
    Some(runs.lines().map(|(_, j)| j.map_or(f64::NAN, |j| j.got)).collect())
}
