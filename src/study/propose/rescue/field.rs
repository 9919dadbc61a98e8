//! One plan in which everything that can be done stands line behind line after the place where the build goes on: any of it is
//! worked on any bar by laying that bar where its first step looks for one. Nothing is read again while figures are looked for.

use std::ops::Range;

use crate::forge::Sink;
use crate::piece::{Bar, Lot, LotId};
use crate::quantity::{Kind, Units};
use crate::replay::{Bench, Mark, Plan};
use crate::source::Span;
use crate::spec::{Judged, Test, What};

use crate::study::propose::rescue::acts::{Act, Figure, Marks, Of, finest};
use crate::study::solve::runs::{judging, relative, taken};

/// The thinnest bar that is bought to be welded on, mm (project figure: 1/16 in is about the thinnest that knife steel is sold as bar).
const THINNEST: f64 = 1.5;
/// Room that is wanted on each target, as a share of its limit (project figure: what a calliper and a hand vary by).
const ROOM: f64 = 0.01;

/// An act in its place in the plan.
pub(super) struct Placed {
    pub act: Act,
    /// What it brings under its most, for those that end a build.
    pub of: Option<Of>,
    steps: Range<usize>,
    /// The slots of its figures.
    slots: Vec<u32>,
    take: LotId,
    give: LotId,
}

/// A figure of a step that is still to come.
pub(super) struct Knob {
    pub slot: u32,
    /// Where it stands in the recipe as it is.
    pub span: Span,
    pub kind: Kind,
    pub was: f64,
    pub verb: &'static str,
    /// The last word of its address.
    pub what: String,
    /// Of a step that takes off: whether it is the size that stays, and not how much goes.
    pub takes_off: Option<bool>,
    /// As multiples of what is written.
    pub within: [f64; 2],
}

/// What can be changed: an act that is put in, or a figure that is written instead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Change {
    Act(usize),
    Knob(usize),
}

/// Acts in their place: where their lines go in, and the plan with all of them there.
pub(super) struct Field<'p> {
    plan: &'p Plan,
    bench: Bench,
    pub acts: Vec<Placed>,
    pub ends: Vec<Placed>,
    pub knobs: Vec<Knob>,
    /// The first step that any figure under question touches, and what stands before it.
    first: (usize, Option<Mark>),
    /// The same where the acts begin, with every figure as written.
    hot: Option<Mark>,
    /// The steps of the acts, and of those at the end.
    acted: Range<usize>,
    ended: Range<usize>,
    /// The target whose piece is rescued.
    lot: LotId,
    /// Steps worked so far, as steps of a bar.
    pub work: usize,
    pub runs: usize,
    units: Units,
}

/// What one run comes to.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    /// The less the better; below [`MISSED`] every target is met.
    pub cost: f64,
    /// Targets that are missed.
    pub missed: usize,
    /// Where it is only one: which line of which target, and by what share.
    pub alone: Option<(usize, f64)>,
    /// The figures that were set, in the order of the changes.
    pub figures: Vec<f64>,
    /// All figures of the acts among them, those that follow from the bar too.
    pub all: Vec<f64>,
    /// What was done at the end, and to what size.
    pub ends: Vec<(usize, f64)>,
}

/// The cost from which on a target is missed.
pub(super) const MISSED: f64 = 100.0;
const STOPPED: f64 = 10_000.0;

impl Seen {
    pub fn met(&self) -> bool {
        self.cost < MISSED
    }

    fn stopped(left: usize) -> Seen {
        let cost = STOPPED + left as f64;
        Seen { cost, missed: usize::MAX, alone: None, figures: Vec::new(), all: Vec::new(), ends: Vec::new() }
    }
}

/// Judges the checkpoints of a run.
struct Checks(f64);

impl Sink for Checks {
    const KEEPS: bool = false;
    const JUDGES: bool = true;
    fn judged(&mut self, _: LotId, _: &Test, judged: Judged) {
        self.0 = self.0.min(relative(&judged));
    }
}

/// How figures are given to a run.
#[derive(Clone, Copy)]
pub(super) enum Given<'f> {
    /// As multiples of what each is a multiple of.
    Shares(&'f [f64]),
    /// As they are, base unit.
    Figures(&'f [f64]),
}

/// An act, what it brings under its most, where its lines stand in what was put in, and where its figures begin there.
pub(super) type Lines = (Act, Option<Of>, Range<usize>, Vec<usize>);

/// Lines that were put into a recipe: from this address on, so long.
#[derive(Clone, Debug)]
pub(super) struct Put {
    pub at: u32,
    pub acts: Vec<Lines>,
    pub long: usize,
}

impl Put {
    fn steps(&self, plan: &Plan) -> Range<usize> {
        let end = self.at + self.long as u32;
        let inside = |s: &crate::replay::Planned| s.span.start >= self.at && s.span.start < end;
        let first = plan.steps.iter().position(inside);
        let last = plan.steps.iter().rposition(inside);
        first.zip(last).map_or(0..0, |(first, last)| fetched(plan, first)..last + 1)
    }

    fn placed(&self, plan: &Plan, name: &str) -> Option<Vec<Placed>> {
        let at = |offset: usize| self.at + offset as u32;
        let mut made = Vec::new();
        for (act, of, lines, figures) in &self.acts {
            let inside =
                |s: &crate::replay::Planned| (at(lines.start)..at(lines.end)).contains(&s.span.start);
            let first = plan.steps.iter().position(inside)?;
            let last = plan.steps.iter().rposition(inside)?;
            let steps = plan.steps.get(first..=last)?;
            let own = |lot: &&LotId| plan.ground.lot_name(**lot) == name;
            let take = steps.iter().find_map(|s| s.takes.iter().find(own))?;
            let give = steps.iter().rev().find_map(|s| s.gives.iter().find(own))?;
            let slot = |offset: &usize| {
                let begins = |(slot, span): (u32, &Span)| (span.start == at(*offset)).then_some(slot);
                (0..).zip(&plan.ground.spans).find_map(begins)
            };
            let slots = figures.iter().map(slot).collect::<Option<Vec<u32>>>()?;
            let (act, of, steps) = (act.clone(), *of, fetched(plan, first)..last + 1);
            made.push(Placed { act, of, steps, slots, take: *take, give: *give });
        }
        Some(made)
    }
}

/// Where a step begins with what it fetches from the rack by its file, which stands before it.
fn fetched(plan: &Plan, step: usize) -> usize {
    let drawn =
        |at: usize| plan.steps.get(at).is_some_and(|s| plan.drawn.iter().any(|(_, span)| *span == s.span));
    (0..=step).rev().find(|at| at.checked_sub(1).is_none_or(|before| !drawn(before))).unwrap_or(step)
}

impl<'p> Field<'p> {
    /// The field of a plan into which acts were put, for the piece of this name there.
    pub fn new(
        plan: &'p Plan,
        (hot, hot_name): (&Put, &str),
        (end, end_name): (&Put, &str),
        (knobs, lot): (Vec<Knob>, LotId),
        units: Units,
    ) -> Option<Field<'p>> {
        let (acts, ends) = (hot.placed(plan, hot_name)?, end.placed(plan, end_name)?);
        let acted = if acts.is_empty() { 0..0 } else { hot.steps(plan) };
        let ended = if ends.is_empty() { 0..0 } else { end.steps(plan) };
        let slots: Vec<u32> = knobs.iter().map(|k| k.slot).collect();
        let begin = [&acted, &ended].into_iter().filter(|r| !r.is_empty()).map(|r| r.start).min();
        let first = plan.first_touched(&slots).min(begin.unwrap_or(plan.steps.len()));
        let bench = Bench::default();
        let (first, hot) = ((first, None), None);
        let mut field =
            Field { plan, bench, acts, ends, knobs, first, hot, acted, ended, lot, work: 0, runs: 0, units };
        field.bench.lay_out(plan, &[]);
        let start = field.first.0;
        field.steps(0..start, &mut Checks(f64::INFINITY)).ok()?;
        field.first.1 = Some(field.bench.mark());
        Some(field)
    }

    /// Lays out what stands before the first step that these figures touch, and says which that is. What stands where the acts
    /// begin is kept while no figure before them is touched: a run that begins earlier writes over it.
    fn lay_out(&mut self, set: &[(u32, f64)]) -> Result<usize, usize> {
        let (first, Some(mark)) = (self.first.0, &self.first.1) else { bug!("nothing was laid out") };
        let acts = self.acted.start;
        if !set.is_empty() || self.acted.is_empty() {
            self.bench.lay_out_from(self.plan, set, mark);
            self.hot = None;
            return Ok(first);
        }
        if let Some(hot) = &self.hot {
            self.bench.lay_out_from(self.plan, set, hot);
        } else {
            self.bench.lay_out_from(self.plan, set, mark);
            self.steps(first..acts, &mut Checks(f64::INFINITY))?;
            self.hot = Some(self.bench.mark());
        }
        Ok(acts)
    }

    /// The bar that acts begin with.
    pub fn bar(&self) -> Option<Bar> {
        let take = self.acts.first()?.take;
        self.bench.lot(take).map(|lot| lot.bar)
    }

    fn steps(&mut self, range: Range<usize>, checks: &mut Checks) -> Result<(), usize> {
        for index in range {
            let before = taken(&self.bench.makeup);
            let made = self.bench.step(self.plan, index, self.units, checks);
            self.work += 1 + taken(&self.bench.makeup) - before;
            match made {
                Some(Ok(())) => {}
                _ => return Err(index),
            }
        }
        Ok(())
    }

    /// Works one act on what stands in the place that it takes its bar from, with these figures.
    fn act(
        &mut self,
        placed: &Placed,
        lot: Lot,
        given: &mut dyn FnMut(f64, &Figure) -> f64,
        seen: &mut Seen,
    ) -> Option<Lot> {
        for (figure, slot) in placed.act.figures.iter().zip(&placed.slots) {
            let base = base(figure.of, &lot.bar);
            let value = if figure.given() {
                if figure.step > 0.0 { (base / figure.step - 1e-6).ceil() * figure.step } else { base }
            } else {
                let value = given(base, figure);
                // A strip that is thicker than wide is not to be had, nor held.
                if placed.act.marks == Marks::Strip
                    && figure.of == Of::Wide
                    && value < lot.bar.calliper_thick()
                {
                    return None;
                }
                seen.figures.push(value);
                value
            };
            // Nor is one thinner than bars are sold.
            if placed.act.marks == Marks::Strip && figure.of == Of::Thick && value < THINNEST {
                return None;
            }
            seen.all.push(value);
            self.bench.values.set(*slot, if figure.kind == Kind::NUMBER { value.round() } else { value });
        }
        self.bench.lots[placed.take] = Some(lot);
        self.steps(placed.steps.clone(), &mut Checks(f64::INFINITY)).ok()?;
        self.bench.lots[placed.give].filter(|l| l.count > 0)
    }

    /// Works changes, in order.
    pub fn run(&mut self, changes: &[Change], given: Given) -> Seen {
        self.runs += 1;
        let acts = std::mem::take(&mut self.acts);
        let ends = std::mem::take(&mut self.ends);
        let seen = self.worked(changes, given, &acts, &ends);
        (self.acts, self.ends) = (acts, ends);
        seen
    }

    fn worked(&mut self, changes: &[Change], given: Given, acts: &[Placed], ends: &[Placed]) -> Seen {
        let mut seen = Seen {
            cost: 0.0,
            missed: 0,
            alone: None,
            figures: Vec::new(),
            all: Vec::new(),
            ends: Vec::new(),
        };
        let steps = self.plan.steps.len();
        let mut at = 0;
        let mut effort = 0.05 * changes.len() as f64;
        let mut next = |base: f64, price: &dyn Fn(f64) -> f64| {
            let value = match given {
                Given::Shares(shares) => shares.get(at).map(|s| s * base),
                Given::Figures(figures) => figures.get(at).copied(),
            };
            at += 1;
            let value = value.unwrap_or_else(|| bug!("a run has no figure {at}"));
            effort += price(value);
            value
        };
        // Changes of figures stand before acts.
        let mut set = Vec::new();
        for change in changes {
            if let Change::Knob(knob) = change {
                let Some(knob) = self.knobs.get(*knob) else { bug!("no such figure") };
                let value = next(knob.was, &|value| (value / knob.was).ln().abs());
                set.push((knob.slot, value));
            }
        }
        seen.figures.extend(set.iter().map(|(_, value)| *value));
        let from = match self.lay_out(&set) {
            Ok(from) => from,
            Err(at) => return Seen::stopped(steps - at),
        };
        let mut checks = Checks(f64::INFINITY);
        let mut lot = None;
        let acted = self.acted.clone();
        if !acted.is_empty() {
            if let Err(at) = self.steps(from..acted.start, &mut checks) {
                return Seen::stopped(steps - at);
            }
            lot = acts.first().and_then(|a| self.bench.lots[a.take]);
        }
        let mut marked = 0.0;
        for change in changes {
            let Change::Act(act) = change else { continue };
            let (Some(act), Some(bar)) = (acts.get(*act), lot) else { return Seen::stopped(steps) };
            let mut given = |base: f64, figure: &Figure| {
                next(base, &|value| match (figure.kind, act.act.marks) {
                    (Kind::NUMBER, _) => 0.5 * value,
                    (_, Marks::Strip) => 2.0 * value / base,
                    _ => (value / base).ln().abs(),
                })
            };
            marked += act.act.marks.price();
            lot = self.act(act, bar, &mut given, &mut seen);
            if lot.is_none() {
                return Seen::stopped(steps);
            }
        }
        if let (Some(last), Some(lot)) = (acts.last(), lot) {
            self.bench.lots[last.give] = Some(lot);
        }
        let rest = if acted.is_empty() { from } else { acted.end };
        let ended = self.ended.clone();
        let until = if ended.is_empty() { steps } else { ended.start };
        if let Err(at) = self.steps(rest..until, &mut checks) {
            return Seen::stopped(steps - at);
        }
        if !ended.is_empty() {
            if let Err(at) = self.end(ends, changes.len(), &mut seen) {
                return Seen::stopped(steps - at);
            }
            if let Err(at) = self.steps(ended.end..steps, &mut checks) {
                return Seen::stopped(steps - at);
            }
        }
        effort += marked + 0.05 * seen.ends.len() as f64;
        self.judge(&mut seen, checks.0, effort);
        seen
    }

    /// Brings what is too thick, too wide or too long down to size, where the number of changes allows.
    fn end(&mut self, ends: &[Placed], changes: usize, seen: &mut Seen) -> Result<(), usize> {
        let (Some(first), Some(last)) = (ends.first(), ends.last()) else { return Ok(()) };
        let Some(mut lot) = self.bench.lots[first.take] else { return Err(self.ended.start) };
        for (index, end) in ends.iter().enumerate() {
            let Some(of) = end.of.filter(|_| changes + seen.ends.len() < MOST_CHANGES) else { continue };
            let Some(size) = self.size_down(of, &lot.bar) else { continue };
            let mut unused = Seen::stopped(0);
            let done = self.act(end, lot, &mut |_, _| size, &mut unused);
            lot = done.ok_or(self.ended.start)?;
            seen.ends.push((index, size));
        }
        self.bench.lots[last.give] = Some(lot);
        Ok(())
    }

    /// What a size is to be brought down to, as a smith sets it; nothing where it is not over what is asked.
    fn size_down(&self, of: Of, bar: &Bar) -> Option<f64> {
        if bar.blade.is_some() {
            return None;
        }
        let (low, high) = self.asked(of);
        let has = base(of, bar);
        let high = high.filter(|high| has > high * (1.0 + 1e-9))?;
        let low = low.unwrap_or(0.0);
        let wanted = high - (0.5 * (high - low)).min((0.01 * high).max(0.2));
        let step = finest(Kind::LENGTH, self.units);
        let set = (wanted / step).round() * step;
        Some(if set > low && set <= high { set } else { wanted })
    }

    /// The least and most of a whole size of the piece that are asked.
    fn asked(&self, of: Of) -> (Option<f64>, Option<f64>) {
        let what = match of {
            Of::Thick => What::Thickness,
            Of::Wide => What::Width,
            Of::Long => What::Length,
            Of::One => return (None, None),
        };
        let mut asked: (Option<f64>, Option<f64>) = (None, None);
        for target in self.plan.targets.iter().filter(|t| t.lot == Some(self.lot)) {
            for test in
                target.tests.iter().filter(|t| t.what == what && t.part.is_none() && t.behind.is_none())
            {
                let (low, high) = test.limits(&self.bench.values);
                asked.0 = low.map(|l| asked.0.map_or(l, |a| a.max(l))).or(asked.0);
                asked.1 = high.map(|h| asked.1.map_or(h, |a| a.min(h))).or(asked.1);
            }
        }
        asked
    }

    /// The units that figures are set in.
    pub fn units(&self) -> Units {
        self.units
    }

    /// What a hardened piece has of a size before anything more is done to it.
    pub fn hardened_as(&mut self, what: What) -> Option<f64> {
        self.bench.lay_out_from(self.plan, &[], self.first.1.as_ref()?);
        self.hot = None;
        let lot = self.bench.lots[self.ends.first()?.take];
        let lot = lot
            .or_else(|| self.plan.steps.get(self.first.0)?.takes.iter().find_map(|l| self.bench.lots[*l]))?;
        lot.bar.past.hard.as_ref()?;
        Some(match what {
            What::Thickness => lot.bar.calliper_thick(),
            What::Width => lot.bar.calliper_wide(),
            What::Length => lot.bar.long,
            What::Mass => lot.bar.mass,
            _ => return None,
        })
    }

    /// The least volume that the sizes asked for have, mm3; nothing where one of the three is free.
    pub fn volume_asked(&self) -> Option<f64> {
        let [t, w, l] = [Of::Thick, Of::Wide, Of::Long].map(|of| self.asked(of).0);
        Some(t? * w? * l?)
    }

    fn judge(&mut self, seen: &mut Seen, checkpoints: f64, effort: f64) {
        let (mut short, mut room) = (0.0, 0.0);
        if checkpoints < 0.0 {
            short -= checkpoints;
            seen.missed += 1;
        }
        let mut line = 0;
        for target in &self.plan.targets {
            let lot = target.lot.and_then(|l| self.bench.lots[l]);
            let lot = target.judged(lot);
            for test in &target.tests {
                line += 1;
                // What the whole build takes is held against its limits once a way is written out and judged.
                if test.what.of_the_build() {
                    continue;
                }
                let Some(lot) = lot else {
                    short += 10.0;
                    seen.missed += 1;
                    continue;
                };
                let judged =
                    test.judge(&self.bench.values, &lot.bar, &self.bench.makeup, &self.plan.ground.steels);
                self.work += judging(test, &lot.bar);
                let margin = relative(&judged);
                if judged.met {
                    let band = judged.low.zip(judged.high).map(|(a, b)| 0.25 * (b - a) / b.abs().max(1e-9));
                    let wanted = band.map_or(ROOM, |b| b.min(ROOM));
                    let counts = matches!(test.what, What::Layers | What::Bands | What::Hardness);
                    if wanted > 0.0 && !counts {
                        room += ((wanted - margin) / wanted).max(0.0);
                    }
                    continue;
                }
                // Layers are made by restacking alone: their want weighs more than that of sizes, which pass into each other.
                let counts = matches!(test.what, What::Layers | What::Bands);
                let want = if counts {
                    judged.low.map_or(1.0, |low| 3.0 * (low / judged.got.max(1.0)).ln().max(0.01))
                } else {
                    -margin
                };
                short += want;
                seen.missed += 1;
                seen.alone = (seen.missed == 1).then_some((line - 1, margin));
            }
        }
        if seen.missed != 1 {
            seen.alone = None;
        }
        if short > 0.0 {
            // Steel that is not there is the dearest want of all.
            let lot = self.bench.lot(self.lot).map(|l| l.bar.volume());
            let volume = self.volume_asked().zip(lot).map_or(0.0, |(asked, has)| (asked / has).ln().max(0.0));
            seen.cost = MISSED + short + 3.0 * volume + 0.01 * effort;
        } else {
            seen.cost = effort + 0.5 * room;
        }
    }
}

/// Changes in one way at the most.
pub(super) const MOST_CHANGES: usize = 4;

/// What a figure is a multiple of.
fn base(of: Of, bar: &Bar) -> f64 {
    match of {
        Of::Thick => bar.calliper_thick(),
        Of::Wide => bar.calliper_wide(),
        Of::Long => bar.long,
        Of::One => 1.0,
    }
}
