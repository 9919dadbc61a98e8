//! Where the width or thickness of a blade went at one place: the same metal is followed back through every step, and each
//! step's change there is told apart by cause.

use std::collections::BTreeMap;

use crate::piece::blade::{Blade, Station};
use crate::piece::{Bar, Cause, LotId, Measure};
use crate::replay::{Build, Entry, Plan};

use crate::study::explain::why::{Why, WhyEntry, chain, pairs, size};

/// The section of a blade that holds the metal at a share of the makeup's length.
fn section_of(blade: &Blade, along: f64) -> Station {
    let stations = &blade.stations;
    let at = stations.partition_point(|s| s.along <= along);
    let (before, after) = (at.checked_sub(1).and_then(|i| stations.get(i)), stations.get(at));
    match (before, after) {
        (Some(a), Some(b)) if b.along > a.along => a.toward(b, (along - a.along) / (b.along - a.along)),
        (Some(a), _) => a.clone(),
        (None, Some(b)) => b.clone(),
        (None, None) => blade.section(0.0),
    }
}

/// Thickness or width where some metal lies, mm.
fn here(build: &Build, bar: &Bar, what: Measure, along: f64) -> f64 {
    let section = build.bench.makeup.blade(bar).map(|blade| section_of(blade, along));
    match (what, section) {
        (Measure::Thickness, Some(section)) => section.thickest().thick(),
        (Measure::Width, Some(section)) => section.width(),
        (Measure::Thickness, None) => bar.calliper_thick(),
        (_, None) => bar.calliper_wide(),
        (_, Some(_)) => bar.long,
    }
}

/// The story of thickness or width at `x` mm from the heel of a lot as it stands; `None` where it was never made, or
/// where another size is asked for.
#[must_use]
pub fn why_at(plan: &Plan, build: &Build, lot: LotId, what: Measure, x: f64) -> Option<Why> {
    if !matches!(what, Measure::Thickness | Measure::Width) {
        return None;
    }
    let bar_of = |lot: LotId| Some(build.bench.lots[lot]?.bar);
    let last = bar_of(lot)?;
    let along = build.bench.makeup.shape(&last).section(x).along;
    let chain = chain(build, lot);
    let stock = *chain.first()?;
    let makers = plan.makers();
    let mut changes: BTreeMap<LotId, Vec<&Entry>> = BTreeMap::new();
    for entry in build.ledger.entries.iter().filter(|e| e.what == what) {
        changes.entry(entry.lot).or_default().push(entry);
    }
    let mut entries: Vec<WhyEntry> = Vec::new();
    for (before, after) in pairs(&chain) {
        let (a, b) = (bar_of(before)?, bar_of(after)?);
        let step = *makers.get(&after)?;
        let own = changes.get(&after).into_iter().flatten();
        if a.blade.is_none() && b.blade.is_none() {
            entries.extend(own.map(|e| WhyEntry { step: e.step, cause: e.cause, change: e.change }));
            continue;
        }
        let all = here(build, &b, what, along) - here(build, &a, what, along);
        // What the fire took is alike everywhere; the rest is the step's own doing.
        let burnt: f64 = own.filter(|e| e.cause == Cause::Scale).map(|e| e.change).sum();
        // Near a point there is less than a heat takes elsewhere.
        let has = here(build, &a, what, along);
        let burnt = if all == 0.0 { 0.0 } else { burnt.max(-has) };
        if burnt != 0.0 {
            entries.push(WhyEntry { step, cause: Cause::Scale, change: burnt });
        }
        let rest = all - burnt;
        if rest.abs() > 1e-9 {
            entries.push(WhyEntry { step, cause: cause(build, step, what, rest), change: rest });
        }
    }
    let from = size(build, stock, what)?;
    Some(Why { what, from, stock, to: here(build, &last, what, along), entries })
}

/// What a step on a blade did at a place, by what it is booked for as a whole.
fn cause(build: &Build, step: usize, what: Measure, change: f64) -> Cause {
    let took = |cause: Cause| build.ledger.lost_in(step, cause) > 0.0;
    let taken = [Cause::Ground, Cause::Etched, Cause::Trimmed, Cause::Kerf].into_iter().find(|c| took(*c));
    if let (Some(cause), true) = (taken, change < 0.0) {
        return cause;
    }
    let booked = |cause: Cause| build.ledger.entries.iter().any(|e| e.step == step && e.cause == cause);
    if let Some(cause) = [Cause::Unexplained, Cause::Thermal].into_iter().find(|c| booked(*c)) {
        return cause;
    }
    match (what, change > 0.0) {
        (Measure::Width, true) => Cause::Spread,
        (Measure::Width, false) => Cause::Edged,
        _ => Cause::Pressed,
    }
}

/// The place in a stretch where a blade has least of a size, or most, mm from the heel.
#[must_use]
pub fn worst(build: &Build, bar: &Bar, what: Measure, [from, to]: [f64; 2], least: bool) -> f64 {
    let blade = build.bench.makeup.shape(bar);
    let size = |x: f64| {
        let section = blade.section(x);
        let size = if what == Measure::Width { section.width() } else { section.thickness() };
        if least { size } else { -size }
    };
    let own = blade.stations.iter().map(|s| s.x).filter(|x| *x > from && *x < to);
    own.chain([from, to]).min_by(|a, b| size(*a).total_cmp(&size(*b))).unwrap_or(from)
}
