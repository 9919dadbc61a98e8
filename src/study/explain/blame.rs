//! Which step a missed target is owed to: the one after which it could no longer be met, or where that cannot
//! be told, the one that took most.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use crate::piece::{LotId, Measure};
use crate::quantity::{Kind, Units, show, show_change, show_hours};
use crate::replay::{Build, Line, Plan};
use crate::source::Label;
use crate::spec::{Judged, What};

use crate::study::explain::place::{why_at, worst};
use crate::study::explain::why::{chain, pairs, size};

/// Grams to spare after each step, worked out where the first line asks for them: they serve all lines.
pub type Spare = OnceCell<BTreeMap<usize, f64>>;

/// The step that a missed test is owed to, where one can be found.
pub fn blame(
    plan: &Plan,
    build: &Build,
    (line, judged): (&Line, &Judged),
    spare: &Spare,
    units: Units,
) -> Option<Label> {
    if line.test.part.is_some() {
        return None;
    }
    let low = judged.low.is_some_and(|low| judged.got < low);
    match line.test.what {
        What::Layers | What::Bands if low => last_stack(plan, build, line),
        What::Mass | What::Volume if low => steel_ran_out(plan, build, line.lot, judged, units),
        What::Thickness | What::Spine | What::Width | What::Length => {
            let measure = match line.test.what {
                What::Thickness | What::Spine => Measure::Thickness,
                What::Width => Measure::Width,
                _ => Measure::Length,
            };
            if let Some(blame) = at_place(plan, build, line, measure, low, units) {
                return Some(blame);
            }
            let short = if low { ran_short(plan, build, line.lot, spare, units) } else { None };
            short.or_else(|| most(plan, build, line.lot, measure, low, units))
        }
        What::Hours if !low => slowest(plan, build),
        What::Mass => most(plan, build, line.lot, Measure::Mass, low, units),
        _ => None,
    }
}

/// On a blade the miss stands at a place: the step that took, or gave, most there since it was last put together.
fn at_place(
    plan: &Plan,
    build: &Build,
    line: &Line,
    what: Measure,
    low: bool,
    units: Units,
) -> Option<Label> {
    let bar = build.lot(line.lot)?.bar;
    bar.blade?;
    if line.test.behind.is_some() {
        return None;
    }
    let zone = line.test.zone.on(build.values(), bar.long);
    let x = worst(build, &bar, what, zone, low);
    let story = why_at(plan, build, line.lot, what, x)?;
    let makers = plan.makers();
    let steps = chain(build, line.lot).into_iter().filter_map(|lot| makers.get(&lot).copied());
    let since = steps.filter(|step| anew(plan, *step)).max().map_or(0, |s| s + 1);
    let sums = story.by_step().into_iter().filter(|(step, sum)| *step >= since && (*sum < 0.0) == low);
    let (step, sum) = sums.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let (x, by) = (show(x, Kind::LENGTH, units), show_change(sum.abs(), Kind::LENGTH, units));
    let verb = if low { "takes" } else { "gives" };
    let word = if what == Measure::Width { "width" } else { "thickness" };
    let text = format!("this step {verb} most of the {word} at {x} from the heel: {by}");
    at_step(plan, step, text)
}

/// The step that takes most of the time at the fire.
fn slowest(plan: &Plan, build: &Build) -> Option<Label> {
    let (step, most) = build.ledger.efforts.iter().max_by(|a, b| a.1.minutes.total_cmp(&b.1.minutes))?;
    let minutes = Some(most.minutes).filter(|minutes| *minutes > 0.0)?;
    at_step(plan, *step, format!("this step takes most of the time: {} at the fire", show_hours(minutes)))
}

/// Words beside a step; where its line is worked more than once, with the time that is meant.
fn at_step(plan: &Plan, step: usize, text: String) -> Option<Label> {
    let span = plan.steps.get(step)?.span;
    let times = || plan.steps.iter().enumerate().filter(|(_, s)| s.span == span);
    let (time, all) = (times().take_while(|(i, _)| *i <= step).count(), times().count());
    let text = if all > 1 { format!("{text} (pass {time} of {all})") } else { text };
    Some(Label { span, text })
}

/// Whether sizes begin anew at a step: what comes and goes by laying pieces together or turning them is nobody's fault.
fn anew(plan: &Plan, step: usize) -> bool {
    plan.steps.get(step).is_some_and(|s| s.word.makes.anew())
}

/// Layers only come from stacking: the last restack left it at what it is.
fn last_stack(plan: &Plan, build: &Build, line: &Line) -> Option<Label> {
    let chain = chain(build, line.lot);
    let layers = |lot: LotId| build.lot(lot).map(|l| build.bench.makeup.layers(l.bar.node));
    let (before, after) = pairs(&chain).rev().find(|(before, after)| layers(*after) > layers(*before))?;
    let step = *plan.makers().get(&after)?;
    let (one, all) = (layers(before)?, layers(after)?);
    let text = if one > 0 && all % one == 0 {
        format!("{} pieces of {one} make {all}; no step after this adds any", all / one)
    } else {
        format!("{all} layers come together here; no step after this adds any")
    };
    at_step(plan, step, text)
}

/// Steel is never made: after the last stack, the step that went below the weight is the one.
fn steel_ran_out(plan: &Plan, build: &Build, lot: LotId, judged: &Judged, units: Units) -> Option<Label> {
    let low = judged.low?;
    let of = |lot: LotId| build.bench.lots[lot].map(|l| l.bar);
    // In the same unit as the limit: g, or mm3 where a volume is asked. They fall together.
    let wanted = of(lot)?.mass * low / judged.got;
    let (chain, makers) = (chain(build, lot), plan.makers());
    let crosses = |(before, after)| Some(of(before)?.mass >= wanted && of(after)?.mass < wanted);
    let crossing = pairs(&chain).rev().find(|pair| crosses(*pair) == Some(true)).map(|(_, after)| after);
    let Some(after) = crossing else {
        // Never met: the most steel that ever came together in this bar.
        let grams = |lot: &LotId| of(*lot).map_or(0.0, |bar| bar.mass);
        let most = chain.iter().rev().max_by(|a, b| grams(a).total_cmp(&grams(b)))?;
        let together = show(of(*most)?.mass, Kind::MASS, units);
        let text = format!("no more than {together} ever comes together in this bar");
        return at_step(plan, *makers.get(most)?, text);
    };
    let left = show(of(after)?.mass, Kind::MASS, units);
    let text = format!("after this it could no longer be met: {left} is left, and no step adds steel");
    at_step(plan, *makers.get(&after)?, text)
}

/// All least sizes together need so much steel: the step after which there was less of it is the one.
fn ran_short(plan: &Plan, build: &Build, lot: LotId, spare: &Spare, units: Units) -> Option<Label> {
    let spare = spare.get_or_init(|| crate::study::explain::spare::spare(plan, build));
    let makers = plan.makers();
    let steps = chain(build, lot).into_iter().filter_map(|lot| makers.get(&lot).copied());
    let (step, left) =
        steps.filter_map(|step| Some((step, *spare.get(&step)?))).find(|(_, left)| *left < 0.0)?;
    let short = show(-left, Kind::MASS, units);
    let of = "short of the steel that all its least sizes need";
    let text = format!("after this it could no longer be met: {short} {of}");
    at_step(plan, step, text)
}

/// The step that took (or gave) most of a size, for its size then: log strain is how a press counts.
///
/// Only steps since its sizes last began anew count.
fn most(plan: &Plan, build: &Build, lot: LotId, what: Measure, took: bool, units: Units) -> Option<Label> {
    let (chain, makers) = (chain(build, lot), plan.makers());
    let begins = |lot: &LotId| makers.get(lot).is_some_and(|step| anew(plan, *step));
    let start = chain.iter().rposition(begins).unwrap_or(0);
    // A hair of rounding is no change: it would be told from a figure to the same one.
    let told = |mm| show(mm, what.kind(), units);
    let steps = pairs(chain.get(start..)?).filter_map(|(before, after)| {
        let (a, b) = (size(build, before, what)?, size(build, after, what)?);
        let far = if took { (a / b).ln() } else { (b / a).ln() };
        (far > 0.0 && told(a) != told(b)).then_some((far, after, a, b))
    });
    let (_, after, a, b) = steps.max_by(|x, y| x.0.total_cmp(&y.0))?;
    let step = *makers.get(&after)?;
    let verb = if took { "takes" } else { "gives" };
    let [a, b] = [a, b].map(told);
    at_step(plan, step, format!("this step {verb} most: from {a} to {b}"))
}
