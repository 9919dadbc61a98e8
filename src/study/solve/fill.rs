//! `?`: the values that meet every target with least of something. Each answer is held against a plain run.
//!
//! Targets may be flat, stepped or not monotone in what is asked for, so nothing is taken for granted: the whole range is
//! looked over first, the edges of what will do are narrowed down, and where nothing does, the hills of the worst margin
//! are climbed for a window that the grid has missed.

use crate::quantity::{Kind, halve};
use crate::replay::{Ask, Plan};

use crate::study::solve::runs::{Least, Outcome, Runs};

/// What is asked for, and between which values it is looked for.
#[derive(Clone, Debug)]
pub struct Unknown {
    /// Its slot.
    pub slot: u32,
    /// Its kind.
    pub kind: Kind,
    /// The lowest value looked at, base unit.
    pub low: f64,
    /// The highest.
    pub high: f64,
    /// Whether only whole numbers will do.
    pub whole: bool,
    /// Whether the bounds are the recipe's own.
    pub bounded: bool,
}

/// What came of it.
#[derive(Clone, Debug)]
pub struct Filled {
    /// The unknowns, in the order of the recipe.
    pub unknowns: Vec<Unknown>,
    /// The best values found, base unit.
    pub values: Vec<f64>,
    /// What they come to.
    pub outcome: Outcome,
    /// Where there is one unknown: the stretch around it within which every target is met.
    pub stretch: Option<(f64, f64)>,
    /// Runs that were made.
    pub runs: usize,
    /// How thoroughly it was looked for.
    pub looked: Looked,
}

/// How thoroughly something was looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looked {
    /// Every value that there is between the bounds was tried.
    AtAll,
    /// Over the whole range, step by step, and more closely where it seemed worth it.
    AllOver,
    /// The same, till patience was used up.
    CutShort,
}

impl Filled {
    /// A recipe in which nothing is asked for, as it stands.
    #[must_use]
    pub fn as_it_stands(plan: &Plan, least: Least) -> Filled {
        let outcome = Runs::new(plan, least).run(&[]);
        let looked = Looked::AtAll;
        Filled { unknowns: Vec::new(), values: Vec::new(), outcome, stretch: None, runs: 1, looked }
    }

    /// The values as figures to set.
    #[must_use]
    pub fn set(&self) -> Vec<(u32, f64)> {
        self.unknowns.iter().zip(&self.values).map(|(u, v)| (u.slot, *v)).collect()
    }
}

/// Points of the first look over one unknown.
const GRID: usize = 240;
/// Each so many-th point is looked at, then those between: where patience ends before, it was looked all over.
const STRIDES: [usize; 5] = [16, 8, 4, 2, 1];
/// Runs in all while several unknowns are looked for, and what they may cost, as steps of a bar: about a second.
const PATIENCE: usize = 60_000;
const WORK: usize = 600_000;

/// Where a `?` without bounds is looked for, by its kind: far beyond anything that a shop holds.
fn usual(kind: Kind, whole: bool) -> (f64, f64) {
    match kind {
        Kind::LENGTH => (0.1, 2000.0),
        Kind::MASS => (1.0, 100_000.0),
        Kind::TEMPERATURE => (100.0, 1300.0),
        Kind::TIME => (0.1, 1440.0),
        Kind::RATIO => (0.001, 0.99),
        Kind::FORCE => (1.0, 5000.0),
        Kind::HARDNESS => (20.0, 68.0),
        Kind::NUMBER if whole => (1.0, 200.0),
        _ => (0.01, 100.0),
    }
}

/// The unknowns of a plan.
#[must_use]
pub fn unknowns(plan: &Plan) -> Vec<Unknown> {
    plan.asks.iter().map(|ask| unknown(plan, ask)).collect()
}

fn unknown(plan: &Plan, ask: &Ask) -> Unknown {
    let kind = plan.figure(ask.slot).0.kind;
    let within = ask.within.map(|(a, b)| (plan.values.at(a), plan.values.at(b)));
    let (low, high) = within.map_or_else(|| usual(kind, ask.whole), |(a, b)| (a.min(b), a.max(b)));
    let (low, high) = if ask.whole { (low.ceil().max(1.0), high.floor()) } else { (low, high) };
    // A range that holds no whole number is a fault of the reading, and a recipe with one is not asked.
    if low > high {
        bug!("a range from {low} to {high}");
    }
    Unknown { slot: ask.slot, kind, low, high, whole: ask.whole, bounded: within.is_some() }
}

/// Looks for the values of every `?`; `None` where there is none.
#[must_use]
pub fn fill(plan: &Plan, least: Least) -> Option<Filled> {
    let (mut hunt, mut filled) = hunted(plan, least)?;
    if filled.outcome.met() && filled.unknowns.len() == 1 {
        filled.stretch = hunt.stretch(&filled);
        hunt.centre(&mut filled);
    }
    filled.runs = hunt.runs.made;
    Some(filled)
}

/// The first of some values of the only unknown at which every target is met, brought toward the one before it as far as they still
/// are; `None` where none of them will do, or more than one figure is asked for.
#[must_use]
pub fn first(plan: &Plan, values: &[f64]) -> Option<f64> {
    let mut hunt = Hunt::new(plan, Least::Steel);
    let [_] = hunt.unknowns.as_slice() else { return None };
    let good = values.iter().position(|value| hunt.at(&[*value]).met())?;
    let value = *values.get(good)?;
    let before = good.checked_sub(1).and_then(|i| values.get(i));
    Some(before.map_or(value, |before| hunt.edge(&[value], 0, value, *before)))
}

fn hunted(plan: &Plan, least: Least) -> Option<(Hunt<'_>, Filled)> {
    let mut hunt = Hunt::new(plan, least);
    if hunt.unknowns.is_empty() {
        return None;
    }
    let (values, outcome) =
        if hunt.unknowns.len() == 1 { hunt.one(&[f64::NAN], 0, true) } else { hunt.several() };
    let looked = match hunt.unknowns.as_slice() {
        _ if hunt.spent() => Looked::CutShort,
        [one] if one.whole && one.each_one() => Looked::AtAll,
        _ => Looked::AllOver,
    };
    let unknowns = hunt.unknowns.clone();
    let filled = Filled { unknowns, values, outcome, stretch: None, runs: hunt.runs.made, looked };
    Some((hunt, filled))
}

struct Hunt<'p> {
    runs: Runs<'p>,
    unknowns: Vec<Unknown>,
}

impl<'p> Hunt<'p> {
    fn new(plan: &'p Plan, least: Least) -> Self {
        let mut hunt = Hunt { runs: Runs::new(plan, least), unknowns: unknowns(plan) };
        let slots: Vec<u32> = hunt.unknowns.iter().map(|u| u.slot).collect();
        hunt.runs.only(&slots);
        hunt
    }

    fn unknown(&self, i: usize) -> &Unknown {
        self.unknowns.get(i).unwrap_or_else(|| bug!("the unknown {i} of {}", self.unknowns.len()))
    }

    /// Whether patience is used up: what was found so far is what there is.
    fn spent(&self) -> bool {
        self.runs.made > PATIENCE || self.runs.spent > WORK
    }

    fn at(&mut self, values: &[f64]) -> Outcome {
        let set: Vec<_> = self.unknowns.iter().zip(values).map(|(u, v)| (u.slot, *v)).collect();
        self.runs.run(&set)
    }

    /// With one of the values changed.
    fn with(&mut self, values: &[f64], i: usize, value: f64) -> Outcome {
        self.at(&with(values, i, value))
    }

    /// The best value of one unknown while the others stay.
    fn one(&mut self, values: &[f64], i: usize, whole_range: bool) -> (Vec<f64>, Outcome) {
        let unknown = self.unknown(i).clone();
        let grid = grid(&unknown, if whole_range { GRID } else { GRID / 6 });
        let mut seen: Vec<Option<Outcome>> = vec![None; grid.len()];
        for stride in STRIDES {
            for (value, seen) in grid.iter().zip(&mut seen).step_by(stride) {
                if seen.is_none() && (self.runs.made == 0 || !self.spent()) {
                    *seen = Some(self.with(values, i, *value));
                }
            }
        }
        let (grid, looks): (Vec<f64>, Vec<Outcome>) =
            grid.into_iter().zip(seen).filter_map(|(value, seen)| Some((value, seen?))).unzip();
        let mut best: Option<(f64, Outcome)> = None;
        let mut keep = |value: f64, outcome: Outcome| {
            if best.as_ref().is_none_or(|(_, b)| outcome.beats(b)) {
                best = Some((value, outcome));
            }
        };
        grid.iter().zip(&looks).for_each(|(v, o)| keep(*v, *o));
        if !unknown.whole && !self.spent() {
            for (pair, seen) in grid.windows(2).zip(looks.windows(2)) {
                let ([a, b], [one, other]) = (pair, seen) else { continue };
                if one.met() != other.met() {
                    let (good, bad) = if one.met() { (*a, *b) } else { (*b, *a) };
                    let edge = self.edge(values, i, good, bad);
                    keep(edge, self.with(values, i, edge));
                }
            }
            for (triple, seen) in grid.windows(3).zip(looks.windows(3)) {
                let ([a, _, b], [left, middle, right]) = (triple, seen) else { continue };
                let hill = !left.met() && !middle.met() && !right.met();
                let top = middle.worst >= left.worst && middle.worst >= right.worst && middle.worst > -1e5;
                let steep = left.worst < middle.worst || right.worst < middle.worst;
                if hill && top && steep {
                    self.climb(values, i, (*a, *b), &mut keep);
                }
                let valley = left.met() && middle.met() && right.met();
                if valley && middle.objective < left.objective && middle.objective < right.objective {
                    let value = self.lowest(values, i, *a, *b);
                    keep(value, self.with(values, i, value));
                }
            }
        }
        let (value, outcome) = best.unwrap_or_else(|| bug!("no value was looked at"));
        (with(values, i, value), outcome)
    }

    /// Narrows down where what will do begins; gives the side that does.
    fn edge(&mut self, values: &[f64], i: usize, good: f64, bad: f64) -> f64 {
        halve((good, bad), 60, |value| !self.spent() && self.with(values, i, value).met()).0
    }

    /// Climbs the worst margin between two values; where it gets above nothing, both edges of the window are kept.
    fn climb(
        &mut self,
        values: &[f64],
        i: usize,
        (mut a, mut b): (f64, f64),
        keep: &mut impl FnMut(f64, Outcome),
    ) {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let (left, right) = (a, b);
        for _ in 0..48 {
            if self.spent() {
                return;
            }
            let (x, y) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
            let (one, other) = (self.with(values, i, x), self.with(values, i, y));
            for (value, outcome) in [(x, one), (y, other)] {
                keep(value, outcome);
                if outcome.met() {
                    let (low, high) = (self.edge(values, i, value, left), self.edge(values, i, value, right));
                    keep(low, self.with(values, i, low));
                    keep(high, self.with(values, i, high));
                    return;
                }
            }
            if one.worst > other.worst {
                b = y;
            } else {
                a = x;
            }
            if (b - a) <= 1e-12 * b.abs().max(1e-12) {
                return;
            }
        }
    }

    /// Where least of what there should be least of is, between two values that will do.
    fn lowest(&mut self, values: &[f64], i: usize, mut a: f64, mut b: f64) -> f64 {
        for _ in 0..40 {
            let (x, y) = (a + (b - a) / 3.0, b - (b - a) / 3.0);
            if self.with(values, i, x).beats(&self.with(values, i, y)) {
                b = y;
            } else {
                a = x;
            }
        }
        f64::midpoint(a, b)
    }

    /// Several unknowns: a coarse look everywhere, then each in turn, and small steps together.
    fn several(&mut self) -> (Vec<f64>, Outcome) {
        let n = self.unknowns.len();
        let per_axis = match n {
            2 => 32,
            3 => 12,
            4 => 6,
            5 => 4,
            _ => 3,
        };
        let axes: Vec<Vec<f64>> = self.unknowns.iter().map(|u| grid(u, per_axis)).collect();
        let mut seeds: Vec<(Vec<f64>, Outcome)> = Vec::new();
        let total: usize =
            axes.iter().map(Vec::len).try_fold(1usize, usize::checked_mul).unwrap_or(usize::MAX);
        let stride = (total / 4096).max(1);
        let mut index = 0;
        while index < total && !self.spent() {
            let mut rest = index;
            let mut values = Vec::with_capacity(n);
            for axis in &axes {
                values.extend(axis.get(rest % axis.len()));
                rest /= axis.len();
            }
            let outcome = self.at(&values);
            let place = seeds.iter().position(|(_, o)| outcome.beats(o)).unwrap_or(seeds.len());
            if place < SEEDS {
                seeds.insert(place, (values, outcome));
                seeds.truncate(SEEDS);
            }
            let Some(next) = index.checked_add(stride) else { break };
            index = next;
        }
        let mut best: Option<(Vec<f64>, Outcome)> = None;
        for (values, outcome) in seeds {
            let found = self.refine(values, outcome);
            if best.as_ref().is_none_or(|(_, b)| found.1.beats(b)) {
                best = Some(found);
            }
            if self.spent() {
                break;
            }
        }
        best.unwrap_or_else(|| bug!("no seed was kept"))
    }

    fn refine(&mut self, mut values: Vec<f64>, mut outcome: Outcome) -> (Vec<f64>, Outcome) {
        for _ in 0..3 {
            let before = outcome;
            for i in 0..values.len() {
                if self.spent() {
                    return (values, outcome);
                }
                let (tried, found) = self.one(&values, i, false);
                if found.beats(&outcome) {
                    (values, outcome) = (tried, found);
                }
            }
            (values, outcome) = self.step_about(values, outcome);
            if !outcome.beats(&before) {
                break;
            }
        }
        (values, outcome)
    }

    /// Small steps of all unknowns, alone and in pairs: along a slanting edge no single one gets any further.
    fn step_about(&mut self, mut values: Vec<f64>, mut outcome: Outcome) -> (Vec<f64>, Outcome) {
        let n = values.len();
        let mut size = 0.08;
        while size > 1e-7 && !self.spent() {
            let mut moved = false;
            for i in 0..n {
                for j in 0..n {
                    if self.spent() {
                        return (values, outcome);
                    }
                    for (a, b) in
                        [(1.0, 0.0), (-1.0, 0.0), (1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
                    {
                        if (i == j) != (b == 0.0) {
                            continue;
                        }
                        let mut tried = values.clone();
                        self.nudge(&mut tried, i, a * size);
                        if b != 0.0 {
                            self.nudge(&mut tried, j, b * size);
                        }
                        if tried == values {
                            continue;
                        }
                        let found = self.at(&tried);
                        if found.beats(&outcome) {
                            (values, outcome, moved) = (tried, found, true);
                        }
                    }
                }
            }
            if !moved {
                size *= 0.5;
            }
        }
        (values, outcome)
    }

    fn nudge(&self, values: &mut [f64], i: usize, by: f64) {
        let (Some(v), u) = (values.get_mut(i), self.unknown(i)) else { bug!("no value of the unknown {i}") };
        let far =
            if u.whole { by.signum() * (by.abs() * *v).round().max(1.0) } else { by * v.abs().max(1e-6) };
        *v = (*v + far).clamp(u.low, u.high);
    }

    /// Where it makes no difference to what there should be least of, the middle of the stretch has most room either way.
    fn centre(&mut self, filled: &mut Filled) {
        let (Some((low, high)), [unknown], [value]) =
            (filled.stretch, filled.unknowns.as_slice(), filled.values.as_mut_slice())
        else {
            return;
        };
        let same = |o: &Outcome, best: &Outcome| {
            o.met() && (o.objective - best.objective).abs() <= 1e-9 * best.objective.abs().max(1e-12)
        };
        let middle = if unknown.whole { f64::midpoint(low, high).round() } else { f64::midpoint(low, high) };
        let best = filled.outcome;
        let flat = [low, middle, high].into_iter().all(|v| same(&self.with(&[*value], 0, v), &best));
        if flat && !unknown.whole {
            *value = middle;
            filled.outcome = self.with(&[middle], 0, middle);
        }
    }

    /// The stretch around an answer within which every target is met.
    fn stretch(&mut self, filled: &Filled) -> Option<(f64, f64)> {
        let (unknown, value) = (filled.unknowns.first()?.clone(), *filled.values.first()?);
        let grid = grid(&unknown, GRID);
        let mut ends = [value, value];
        for (end, up) in ends.iter_mut().zip([false, true]) {
            let next = grid.iter().copied().filter(|v| if up { *v > value } else { *v < value });
            let mut row: Vec<f64> = next.collect();
            if !up {
                row.reverse();
            }
            for v in row {
                if self.spent() {
                    break;
                }
                if self.with(&[value], 0, v).met() {
                    *end = v;
                    continue;
                }
                if !unknown.whole {
                    *end = self.edge(&[value], 0, *end, v);
                }
                break;
            }
        }
        let [low, high] = ends;
        Some((low, high))
    }
}

impl Unknown {
    /// Whether it is a count, and each count is a point of the first look.
    fn each_one(&self) -> bool {
        self.whole && self.high - self.low < GRID.max(200) as f64
    }
}

/// The values with one of them changed.
fn with(values: &[f64], i: usize, value: f64) -> Vec<f64> {
    values.iter().enumerate().map(|(j, old)| if i == j { value } else { *old }).collect()
}

/// Places where the search goes on from.
const SEEDS: usize = 6;

/// Values to look at: whole numbers one by one as far as that goes, else evenly by ratio, or by difference where a
/// ratio makes no sense.
fn grid(u: &Unknown, points: usize) -> Vec<f64> {
    let counts = (u.high - u.low + 1.0).max(1.0);
    if u.whole && counts <= points.max(200) as f64 {
        return (0..counts as usize).map(|i| u.low + i as f64).collect();
    }
    let by_ratio = u.low > 0.0 && u.kind != Kind::TEMPERATURE && u.kind != Kind::HARDNESS;
    let last = points.max(2) - 1;
    let mut values: Vec<f64> = (0..=last)
        .map(|i| {
            let x = i as f64 / last as f64;
            let v = if by_ratio { u.low * (u.high / u.low).powf(x) } else { u.low + x * (u.high - u.low) };
            if u.whole { v.round() } else { v }
        })
        .collect();
    values.dedup();
    values
}
