//! The margin left to the target, step by step: how much steel the piece still has above what its spec needs.
//!
//! After the last stack a piece only loses steel, so this only falls, and says early when it is running out.

use std::collections::BTreeMap;

use crate::forge::Makes;
use crate::piece::LotId;
use crate::replay::{Build, Plan};
use crate::spec::{Test, What};

use crate::study::explain::why::chain;

/// Grams to spare after each step (from 0) that works a piece with a target, from its last stack on; for several
/// targets the least. Steps of pieces without a target, or whose target sets no least, are left out.
#[must_use]
pub fn spare(plan: &Plan, build: &Build) -> BTreeMap<usize, f64> {
    let mut spare: BTreeMap<usize, f64> = BTreeMap::new();
    let makers = plan.makers();
    for target in &plan.targets {
        let Some(lot) = target.lot.filter(|lot| build.lot(*lot).is_some()) else { continue };
        let Some(needs) = needs(build, lot, &target.tests) else { continue };
        let chain = chain(build, lot);
        let step = |lot: &LotId| plan.steps.get(*makers.get(lot)?);
        let together = |lot: &LotId| step(lot).is_some_and(|s| s.word.makes == Makes::Together);
        let start = chain.iter().rposition(together).unwrap_or(0);
        for lot in chain.into_iter().skip(start) {
            let (Some(step), Some(bars)) = (makers.get(&lot), build.lot(lot)) else { continue };
            let left = bars.bar.mass - needs;
            spare.entry(*step).and_modify(|s| *s = s.min(left)).or_insert(left);
        }
    }
    spare
}

/// The least steel, g, that the tests on the whole piece let through: by its least weight or volume, or by its
/// least thickness, width and length together.
fn needs(build: &Build, lot: LotId, tests: &[Test]) -> Option<f64> {
    let bar = build.lot(lot)?.bar;
    let density = build.bench.makeup.bar_density(&bar);
    let least = |what: What| {
        let of = tests.iter().filter(|t| t.what == what && t.part.is_none());
        of.filter_map(|t| t.limits(build.values()).0).reduce(f64::max)
    };
    // The sizes of a blade hold at places: they do not make a block.
    let block = bar.blade.is_none().then_some(());
    let sizes = block
        .and(least(What::Thickness))
        .zip(least(What::Width))
        .zip(least(What::Length))
        .map(|((thick, wide), long)| thick * wide * long * density);
    let volume = least(What::Volume).map(|volume| volume * density);
    [least(What::Mass), volume, sizes].into_iter().flatten().reduce(f64::max)
}
