//! Where a size went: the changes of one bar from its stock to where it stands, by step and cause.

use std::collections::BTreeMap;

use crate::piece::{Cause, LotId, Measure};
use crate::replay::{Build, Plan};

/// One change on the way.
#[derive(Clone, Copy, Debug)]
pub struct WhyEntry {
    /// The step, from 0.
    pub step: usize,
    /// The cause.
    pub cause: Cause,
    /// mm or g.
    pub change: f64,
}

/// The story of one size of one bar.
#[derive(Clone, Debug)]
pub struct Why {
    /// What it is the story of.
    pub what: Measure,
    /// The size of one bar of the stock at the bottom, mm or g.
    pub from: f64,
    /// That stock.
    pub stock: LotId,
    /// The size in the end.
    pub to: f64,
    /// The changes, in order; they add up to `to - from`.
    pub entries: Vec<WhyEntry>,
}

impl Why {
    /// Sums by cause, in the order of the book.
    #[must_use]
    pub fn by_cause(&self) -> BTreeMap<Cause, f64> {
        let mut sums = BTreeMap::new();
        for entry in &self.entries {
            *sums.entry(entry.cause).or_insert(0.0) += entry.change;
        }
        sums
    }

    /// Sums by step, in order.
    #[must_use]
    pub fn by_step(&self) -> BTreeMap<usize, f64> {
        let mut sums = BTreeMap::new();
        for entry in &self.entries {
            *sums.entry(entry.step).or_insert(0.0) += entry.change;
        }
        sums
    }
}

/// The lots of a bar from its stock to `lot`, always by the lowest bar of a stack.
#[must_use]
pub fn chain(build: &Build, lot: LotId) -> Vec<LotId> {
    // Lots are numbered as they are made: an origin is always older, so this ends.
    let older = |at: &LotId| build.ledger.origins.get(at).copied().filter(|from| from < at);
    let mut chain: Vec<LotId> = std::iter::successors(Some(lot), older).collect();
    chain.reverse();
    chain
}

/// Each two lots of a chain that follow each other.
pub fn pairs(chain: &[LotId]) -> impl DoubleEndedIterator<Item = (LotId, LotId)> + '_ {
    let next = chain.get(1..).unwrap_or_default();
    chain.iter().copied().zip(next.iter().copied())
}

/// A size of one bar of a lot as a calliper or scale gives it.
#[must_use]
pub fn size(build: &Build, lot: LotId, what: Measure) -> Option<f64> {
    let bar = build.bench.lots[lot]?.bar;
    Some(match what {
        Measure::Thickness => bar.calliper_thick(),
        Measure::Width => bar.calliper_wide(),
        Measure::Length => bar.long,
        Measure::Mass => bar.mass,
    })
}

/// The story of a size of a lot; `None` where it was never made.
#[must_use]
pub fn why(build: &Build, lot: LotId, what: Measure) -> Option<Why> {
    let chain = chain(build, lot);
    let stock = *chain.first()?;
    let (from, to) = (size(build, stock, what)?, size(build, lot, what)?);
    // The stock's own lot has no changes; every later lot on the chain has its own.
    let on_chain: std::collections::BTreeSet<LotId> = chain.into_iter().skip(1).collect();
    let own = build.ledger.entries.iter().filter(|e| e.what == what && on_chain.contains(&e.lot));
    let entries = own.map(|e| WhyEntry { step: e.step, cause: e.cause, change: e.change }).collect();
    Some(Why { what, from, stock, to, entries })
}

/// The last bars of a name, standing or not.
#[must_use]
pub fn last_lot(plan: &Plan, build: &Build, name: &str) -> Option<LotId> {
    let lots = plan.ground.lots.iter().enumerate().rev();
    lots.filter(|(_, info)| info.name == name)
        .filter_map(|(i, _)| u32::try_from(i).ok().map(LotId))
        .find(|lot| build.lot(*lot).is_some())
}
