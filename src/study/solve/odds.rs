//! The chance that each target is met, when figures are not known exactly.
//!
//! Propagation of distributions by JCGM 101:2008 (Monte Carlo): every figure with a tolerance is drawn from a normal
//! distribution whose standard deviation is half the tolerance (95 % coverage, k = 2), all of them independent of each
//! other; one draw holds for a whole run. Beside it stands the first-order figure of JCGM 100:2008. Samples are drawn in
//! blocks, each from a generator of its own, so that any number of cores gives the same bytes.

use std::collections::BTreeMap;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread::ScopedJoinHandle;

use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

use crate::bug::caught;
use statrs::distribution::{Binomial, DiscreteCDF};

use crate::replay::{Plan, TargetPlan};
use crate::source::Diagnostic;
use crate::spec::{Bounds, Judged, Test};

use crate::study::solve::runs::{Least, Runs};

/// Samples of one block.
const BLOCK: usize = 2048;
/// The most samples: their figures are kept until the end.
pub const MOST_SAMPLES: usize = 4_000_000;

/// A figure that is not known exactly.
#[derive(Clone, Debug)]
pub struct Input {
    /// Its slot.
    pub slot: u32,
    /// What is written, base unit.
    pub mean: f64,
    /// Standard deviation: half the tolerance.
    pub deviation: f64,
}

/// What became of one target line.
#[derive(Clone, Debug)]
pub struct LineOdds {
    /// The test.
    pub test: Test,
    /// The chance that it is met.
    pub chance: f64,
    /// Standard error of that chance: `sqrt(p (1 - p) / n)`, with one success and one failure added (Agresti and Coull).
    pub error: f64,
    /// 5, 50 and 95 % of what is got; nothing where it is never got.
    pub quantiles: [Option<f64>; 3],
    /// Whether it is met with every figure as written; nothing where that cannot be worked.
    pub met: Option<bool>,
    /// What is got with every figure as written; nothing where it is not got.
    pub nominal: Option<f64>,
    /// Standard uncertainty to first order (JCGM 100); nothing where it is not got as written, or a standard deviation off.
    pub first_order: Option<f64>,
    /// Each input's share of the variance, by correlation: input, share; largest first.
    pub drivers: Vec<(usize, f64)>,
}

/// The odds of a recipe.
#[derive(Clone, Debug)]
pub struct Odds {
    /// The inputs, in the order of the recipe.
    pub inputs: Vec<Input>,
    /// Each line of each target.
    pub lines: Vec<LineOdds>,
    /// Each target that is an order.
    pub orders: Vec<OrderOdds>,
    /// The chance that all are met at once.
    pub all: f64,
    /// Its standard error.
    pub all_error: f64,
    /// What drives the risk as a whole: input, share by correlation with whether all was met; largest first.
    pub risk: Vec<(usize, f64)>,
    /// What stops the recipe with every figure as written, where it cannot be worked so.
    pub unworked: Option<Box<Diagnostic>>,
    /// The fault that stopped most of the runs that could not be worked to their end, and how many.
    pub worst_fail: Option<(usize, Diagnostic)>,
    /// Runs that could not be worked to their end.
    pub failed: usize,
    /// Samples drawn.
    pub samples: usize,
    /// Whether it was stopped early.
    pub stopped: bool,
    /// The seed.
    pub seed: u64,
}

/// What becomes of an order of several pieces alike.
#[derive(Clone, Debug)]
pub struct OrderOdds {
    /// The piece.
    pub piece: String,
    /// How many are asked for.
    pub wanted: u32,
    /// How many are made.
    pub made: u32,
    /// The chance that one of them meets every line.
    pub each: f64,
    /// The chance that enough of them do, where what is off is off for all of them alike.
    pub alike: f64,
    /// The same where each has its own luck (binomial).
    pub apart: f64,
}

/// Which samples, and who is told.
pub struct Draw<'a> {
    /// How many.
    pub samples: usize,
    /// From which seed.
    pub seed: u64,
    /// On how many cores.
    pub cores: usize,
    /// Set from outside to stop early.
    pub stop: &'a AtomicBool,
    /// Told the samples done so far.
    pub progress: &'a (dyn Fn(usize) + Sync),
}

/// The figures of a plan that are not known exactly: those with a tolerance, limits of targets apart.
#[must_use]
pub fn inputs(plan: &Plan) -> Vec<Input> {
    let limits: Vec<u32> = plan
        .targets
        .iter()
        .flat_map(|t| &t.tests)
        .flat_map(|t| match t.bounds {
            Bounds::AtLeast(a) | Bounds::AtMost(a) | Bounds::Equal(a, _) => [a, a],
            Bounds::Within(a, b) => [a, b],
        })
        .collect();
    let slots = plan.slots.iter().enumerate().filter_map(|(i, info)| {
        let slot = u32::try_from(i).ok()?;
        let deviation = plan.values.at(info.tolerance?).abs() / 2.0;
        let known = deviation > 0.0 && deviation.is_finite() && !limits.contains(&slot);
        known.then(|| Input { slot, mean: plan.values.at(slot), deviation })
    });
    slots.collect()
}

/// What one block of samples comes to.
#[derive(Clone, Default)]
struct Block {
    done: usize,
    failed: usize,
    all: usize,
    met: Vec<usize>,
    /// Runs in which a piece meets every line of each target.
    good: Vec<usize>,
    got: Vec<Vec<f64>>,
    /// For each line and input: sums of the got figure, its square, and its product with the input's draw.
    sums: Vec<Sums>,
    /// The same for whether all was met.
    risk: Sums,
    /// Where runs stopped: how often, and the first fault.
    fails: BTreeMap<usize, (usize, Option<Diagnostic>)>,
}

#[derive(Clone, Default)]
struct Sums {
    n: f64,
    y: f64,
    yy: f64,
    x: Vec<f64>,
    xx: Vec<f64>,
    xy: Vec<f64>,
}

impl Sums {
    fn new(inputs: usize) -> Sums {
        Sums { x: vec![0.0; inputs], xx: vec![0.0; inputs], xy: vec![0.0; inputs], ..Sums::default() }
    }

    fn add(&mut self, y: f64, draws: &[f64]) {
        self.n += 1.0;
        self.y += y;
        self.yy += y * y;
        for (((sx, sxx), sxy), x) in self.x.iter_mut().zip(&mut self.xx).zip(&mut self.xy).zip(draws) {
            *sx += x;
            *sxx += x * x;
            *sxy += x * y;
        }
    }

    fn join(&mut self, other: &Sums) {
        self.n += other.n;
        self.y += other.y;
        self.yy += other.yy;
        let add = |a: &mut [f64], b: &[f64]| a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
        add(&mut self.x, &other.x);
        add(&mut self.xx, &other.xx);
        add(&mut self.xy, &other.xy);
    }

    /// Squared correlation with each input.
    fn shares(&self) -> Vec<f64> {
        let n = self.n.max(1.0);
        let vy = self.yy / n - (self.y / n) * (self.y / n);
        let of = |((x, xx), xy): ((&f64, &f64), &f64)| {
            let (mx, my) = (x / n, self.y / n);
            let vx = xx / n - mx * mx;
            let cov = xy / n - mx * my;
            let r2 = cov * cov / (vx * vy);
            // A figure that does not move at all has no driver.
            if r2.is_finite() && vy > 1e-18 * my * my { r2.min(1.0) } else { 0.0 }
        };
        self.x.iter().zip(&self.xx).zip(&self.xy).map(of).collect()
    }
}

/// Draws samples and judges each.
#[must_use]
pub fn odds(plan: &Plan, draw: &Draw) -> Odds {
    let inputs = inputs(plan);
    let slots: Vec<u32> = inputs.iter().map(|i| i.slot).collect();
    let samples = draw.samples.clamp(1, MOST_SAMPLES);
    let count = samples.div_ceil(BLOCK);
    let blocks: Mutex<Vec<Option<Block>>> = Mutex::new(vec![None; count]);
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let work = || {
        let mut runs = Runs::new(plan, Least::Steel);
        runs.only(&slots);
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            if index >= count || draw.stop.load(Ordering::Relaxed) {
                return;
            }
            let size = BLOCK.min(samples - index * BLOCK);
            let block = block(&mut runs, &inputs, draw.seed, index, size);
            if let Ok(mut all) = blocks.lock()
                && let Some(place) = all.get_mut(index)
            {
                *place = Some(block);
            }
            (draw.progress)(done.fetch_add(size, Ordering::Relaxed) + size);
        }
    };
    // A bug that one thread comes upon ends the work of all.
    let safely = || caught(work).inspect_err(|_| next.store(count, Ordering::Relaxed));
    let stopped = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..draw.cores.clamp(1, 64).min(count)).map(|_| scope.spawn(safely)).collect();
        let ended = |thread: ScopedJoinHandle<_>| thread.join().unwrap_or_else(|other| resume_unwind(other));
        threads.into_iter().find_map(|thread| ended(thread).err())
    });
    if let Some(bug) = stopped {
        bug.again();
    }
    let blocks = blocks.into_inner().unwrap_or_else(PoisonError::into_inner);
    // Stopped early, only the blocks before the first gap count: which ones were done does not hang on luck then.
    let whole: Vec<Block> = blocks.into_iter().map_while(|b| b).collect();
    gather(plan, inputs, &whole, draw.seed, whole.len() < count)
}

fn block(runs: &mut Runs, inputs: &[Input], seed: u64, index: usize, size: usize) -> Block {
    // Blocks draw from generators far apart: the golden ratio spreads their seeds.
    let mut rng = Pcg64Mcg::seed_from_u64(seed ^ (index as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let targets = &runs.plan.targets;
    let lines: usize = targets.iter().map(|t| t.tests.len()).sum();
    // Which target each line is of.
    let of: Vec<usize> =
        targets.iter().enumerate().flat_map(|(i, t)| t.tests.iter().map(move |_| i)).collect();
    let mut block = Block {
        met: vec![0; lines],
        good: vec![0; targets.len()],
        got: vec![Vec::with_capacity(size); lines],
        sums: vec![Sums::new(inputs.len()); lines],
        risk: Sums::new(inputs.len()),
        ..Block::default()
    };
    let mut set: Vec<(u32, f64)> = inputs.iter().map(|i| (i.slot, i.mean)).collect();
    let mut draws = vec![0.0; inputs.len()];
    for _ in 0..size {
        for (((_, value), draw), input) in set.iter_mut().zip(&mut draws).zip(inputs) {
            *draw = StandardNormal.sample(&mut rng);
            *value = input.mean + input.deviation * *draw;
        }
        block.done += 1;
        let mut all = match runs.work(&set) {
            Ok(expected) => expected,
            Err((step, fault)) => {
                block.failed += 1;
                block.risk.add(0.0, &draws);
                let fail = block.fails.entry(step).or_insert_with(|| (0, fault.map(|f| *f)));
                fail.0 += 1;
                continue;
            }
        };
        let per_line = block.met.iter_mut().zip(&mut block.got).zip(&mut block.sums);
        let mut good = vec![true; block.good.len()];
        for (((_, judged), ((met, got), sums)), of) in runs.lines().zip(per_line).zip(&of) {
            let met_here = judged.is_some_and(|judged| judged.met);
            good.iter_mut().skip(*of).take(1).for_each(|good| *good &= met_here);
            let Some(judged) = judged else {
                all = false;
                continue;
            };
            all &= judged.met;
            *met += usize::from(judged.met);
            if judged.got.is_finite() {
                got.push(judged.got);
                sums.add(judged.got, &draws);
            }
        }
        block.good.iter_mut().zip(good).for_each(|(sum, good)| *sum += usize::from(good));
        block.all += usize::from(all);
        block.risk.add(f64::from(u8::from(all)), &draws);
    }
    block
}

fn gather(plan: &Plan, inputs: Vec<Input>, blocks: &[Block], seed: u64, stopped: bool) -> Odds {
    let samples: usize = blocks.iter().map(|b| b.done).sum();
    let n = samples.max(1) as f64;
    let error = |met: usize| {
        let p = (met as f64 + 1.0) / (n + 2.0);
        (p * (1.0 - p) / n).sqrt()
    };
    let tests: Vec<Test> = plan.targets.iter().flat_map(|t| t.tests.iter().copied()).collect();
    let (first, unworked) = match first_order(plan, &inputs) {
        Ok(first) => (first, None),
        Err(fault) => (vec![(None, None); tests.len()], fault),
    };
    let mut lines = Vec::new();
    for (i, (test, (nominal, first_order))) in tests.iter().zip(first).enumerate() {
        let met: usize = blocks.iter().filter_map(|b| b.met.get(i)).sum();
        let mut got: Vec<f64> = blocks.iter().filter_map(|b| b.got.get(i)).flatten().copied().collect();
        got.retain(|v| v.is_finite());
        let mut sums = Sums::new(inputs.len());
        blocks.iter().filter_map(|b| b.sums.get(i)).for_each(|s| sums.join(s));
        let drivers = ranked(&sums);
        lines.push(LineOdds {
            test: *test,
            chance: met as f64 / n,
            error: error(met),
            quantiles: [0.05, 0.5, 0.95].map(|q| quantile(&mut got, q)),
            met: nominal.map(|judged| judged.met),
            nominal: figure(nominal),
            first_order,
            drivers,
        });
    }
    let orders = orders(plan, |target| {
        let good: usize = blocks.iter().filter_map(|b| b.good.get(target)).sum();
        good as f64 / n
    });
    let all: usize = blocks.iter().map(|b| b.all).sum();
    let mut risk = Sums::new(inputs.len());
    blocks.iter().for_each(|b| risk.join(&b.risk));
    let mut fails: BTreeMap<usize, (usize, Option<Diagnostic>)> = BTreeMap::new();
    for (step, (count, fault)) in blocks.iter().flat_map(|b| &b.fails) {
        let fail = fails.entry(*step).or_insert_with(|| (0, fault.clone()));
        fail.0 += count;
    }
    let worst = fails.into_iter().max_by_key(|(step, (count, _))| (*count, usize::MAX - step));
    Odds {
        risk: ranked(&risk),
        unworked,
        worst_fail: worst.and_then(|(_, (count, fault))| Some((count, fault?))),
        inputs,
        lines,
        orders,
        all: all as f64 / n,
        all_error: error(all),
        failed: blocks.iter().map(|b| b.failed).sum(),
        samples,
        stopped,
        seed,
    }
}

/// The orders among the targets, each with the chance of one piece.
fn orders(plan: &Plan, each: impl Fn(usize) -> f64) -> Vec<OrderOdds> {
    let mut runs = Runs::new(plan, Least::Steel);
    // As many as there are with every figure as written.
    let worked = runs.work(&[]).is_ok();
    let order = |(i, target): (usize, &TargetPlan)| {
        let (wanted, _) = target.count?;
        let lot = target.lot.and_then(|lot| runs.bench.lots[lot]).filter(|_| worked);
        let made = lot.map_or(0, |lot| lot.count);
        let each = each(i);
        let enough = |made: u64| {
            Binomial::new(each.clamp(0.0, 1.0), made).map_or(0.0, |b| b.sf(u64::from(wanted) - 1))
        };
        let (alike, apart) = if made < wanted { (0.0, 0.0) } else { (each, enough(u64::from(made))) };
        Some(OrderOdds { piece: target.piece.clone(), wanted, made, each, alike, apart })
    };
    plan.targets.iter().enumerate().filter_map(order).collect()
}

/// Inputs by their share, largest first.
fn ranked(sums: &Sums) -> Vec<(usize, f64)> {
    let mut drivers: Vec<(usize, f64)> = sums.shares().into_iter().enumerate().collect();
    drivers.retain(|(_, share)| *share > 0.0);
    drivers.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    drivers
}

/// A quantile of figures, between neighbours (JCGM 101, 7.7: linear between ordered values).
fn quantile(figures: &mut [f64], q: f64) -> Option<f64> {
    let at = q * figures.len().checked_sub(1)? as f64;
    let low = at.floor() as usize;
    let (_, one, above) = figures.select_nth_unstable_by(low, f64::total_cmp);
    let one = *one;
    let next = above.iter().copied().min_by(f64::total_cmp).unwrap_or(one);
    Some(one + (next - one) * (at - low as f64))
}

/// What a line comes to, and its standard uncertainty.
type FirstOrder = (Option<Judged>, Option<f64>);

/// What each line comes to as written, and its standard uncertainty to first order (JCGM 100, 5.1.2): central
/// differences over one standard deviation each way; nothing where the recipe cannot be worked so.
///
/// # Errors
/// What stops the recipe as written, where that is told.
fn first_order(plan: &Plan, inputs: &[Input]) -> Result<Vec<FirstOrder>, Option<Box<Diagnostic>>> {
    let mut runs = Runs::new(plan, Least::Steel);
    let mut judged = |set: &[(u32, f64)]| -> Result<Vec<Option<Judged>>, Option<Box<Diagnostic>>> {
        runs.run_or_fault(set).map_err(|(_, fault)| fault)?;
        Ok(runs.lines().map(|(_, judged)| judged).collect())
    };
    let middle = judged(&[])?;
    let mut sums = vec![Some(0.0); middle.len()];
    for input in inputs {
        let [up, down] =
            [1.0, -1.0].map(|way| judged(&[(input.slot, input.mean + way * input.deviation)]).ok());
        let none = || vec![None; middle.len()];
        let (up, down) = (up.unwrap_or_else(none), down.unwrap_or_else(none));
        for ((sum, up), down) in sums.iter_mut().zip(up).zip(down) {
            let half = figure(up).zip(figure(down)).map(|(up, down)| (up - down) / 2.0);
            *sum = sum.zip(half).map(|(sum, half): (f64, f64)| sum + half * half);
        }
    }
    Ok(middle.into_iter().zip(sums).map(|(m, s)| (m, figure(m).and(s).map(f64::sqrt))).collect())
}

/// The figure of what was judged, where it is one.
fn figure(judged: Option<Judged>) -> Option<f64> {
    judged.map(|judged| judged.got).filter(|got| got.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workshop::Job;

    #[test]
    fn a_bug_in_one_thread_ends_them_all_and_is_told() {
        let text = "stock b = 1 bar of 1084, 4 mm +- 0.1 mm x 40 x 100 mm\ntarget b {\n  width >= 30 mm everywhere\n}\n";
        let Job { plan, found, .. } = Job::alone("test.heat", text).unwrap();
        assert_eq!(found, []);
        let stop = AtomicBool::new(false);
        let told = |done: usize| {
            if done > 3 * BLOCK {
                bug!("{done} samples are too many");
            }
        };
        let draw = Draw { samples: MOST_SAMPLES, seed: 1, cores: 3, stop: &stop, progress: &told };
        let bug = caught(|| odds(&plan, &draw)).unwrap_err();
        assert!(bug.what.ends_with("samples are too many") && bug.place.contains("odds.rs"), "{bug}");
    }
}
