//! The nearest change that would meet every target: one figure of the recipe, else two together, else one for each miss. Each
//! is tried by a run.

use crate::forge::Key;
use crate::quantity::{Kind, Units, halve, rounded, trim_number, written};
use crate::replay::Plan;
use crate::source::Span;
use crate::spec::What;

use crate::study::solve::runs::{Least, Runs};

/// Plans the recipe anew with another count in the place of some words, every other word where it was: the count of a `repeat`
/// gives the plan its shape.
pub type Recount<'a> = &'a dyn Fn(Span, &str) -> Option<Plan>;

/// Whether what would mend a missed target is looked for.
pub enum Mending<'a> {
    /// As long as there is patience.
    Patient(Option<Recount<'a>>),
    /// As long as this says to go on: between two runs of the recipe it is asked.
    While(&'a mut dyn FnMut() -> bool, Option<Recount<'a>>),
    /// Not at all, and nothing is said of it.
    None,
}

/// A figure of the recipe, and what to write instead.
#[derive(Clone, Debug)]
pub struct Change {
    /// Where it stands.
    pub span: Span,
    /// What stands there now.
    pub now: String,
    /// What would do, as it stands in a recipe.
    pub text: String,
    /// How far that is from what is written: the size of the ratio's logarithm.
    far: f64,
}

/// Changes that do together.
pub type Mend = Vec<Change>;

/// What came of looking.
#[derive(Debug, Default)]
pub struct Mends {
    /// What meets every target.
    pub all: Option<Mend>,
    /// Where nothing meets all: what meets a line of the targets and loses none, by the line's number among all of them.
    pub each: Vec<(usize, Mend)>,
    /// The lines whose mends do not hold beside those offered for the lines before them.
    pub alone: Vec<usize>,
    /// How many figures were tried.
    pub figures: usize,
    /// Whether patience was used up before all was tried.
    pub cut_short: bool,
}

/// How far a figure is tried from what is written, as a factor, and in how many steps.
const REACH: f64 = 2.0;
const TRIES: i32 = 24;
/// How far a count is tried, and that of a `repeat`.
const COUNTS: i32 = 12;
const REPEATS: i32 = 3;
/// How far a heat is tried, in steps of 5 C or 10 F.
const HEATS: i32 = 30;
/// Times that the room between a value that will not do and one that will is halved: less than is ever written.
const HALVINGS: u32 = 24;

/// How far a figure may be rounded: a shop has no stock of 5.52 mm.
const ROUNDING: f64 = 0.02;

/// Steps worked in all while one figure is looked for, and while two are: half a second and one and a half, however long the recipe.
const PATIENCE: [usize; 2] = [300_000, 1_000_000];
/// Steps after which the nearest of what was found so far is offered, rather than to go on for one that is nearer: 50 ms.
const FIRST: usize = 33_000;
/// Values of two figures that are tried together for each two, and pairs of figures that are tried all over.
const FORETOLD: usize = 4;
const ALL_OVER: usize = 12;
/// Pairs that will do which are held against each other.
const PAIRS: usize = 6;

/// Two figures, each with another value.
type Two = [(u32, f64); 2];

/// A figure with the values that were tried: to each the margin of every line, or nothing where the recipe stops.
struct Tried {
    slot: u32,
    now: f64,
    values: Vec<(f64, Option<Vec<f64>>)>,
}

/// Looks for what would meet every target; figures in the steps that the misses are owed to come first.
pub fn mends(plan: &Plan, owed: &[Span], units: Units, mending: &mut Mending) -> Mends {
    let recount = match mending {
        Mending::Patient(recount) | Mending::While(_, recount) => *recount,
        Mending::None => return Mends::default(),
    };
    let (own, mut others): (Vec<u32>, Vec<u32>) = figures(plan).into_iter().partition(|slot| {
        let (_, span) = plan.figure(*slot);
        owed.iter().any(|step| span.start >= step.start && span.end <= step.end)
    });
    let counts = repeats(plan);
    let mut search = Search::new(plan, units, mending, PATIENCE[0]);
    // Where the layers of a blade take long to run, what was done to it last comes first: it has the least to run again.
    search.run(&[]);
    if search.runs.looks_most() {
        others.reverse();
    }
    let mut found = Mends { figures: own.len() + others.len() + counts.len(), ..Mends::default() };
    let mut tried = Vec::new();
    for slots in [own, others] {
        found.all = search.nearest(&slots, &mut tried);
        if found.all.is_some() {
            return found;
        }
    }
    let recounted: Vec<(Change, Plan)> =
        recount.map(|recount| recounted(plan, &counts, recount)).unwrap_or_default();
    for (change, plan) in &recounted {
        if search.of(plan).met(&[]) {
            found.all = Some(vec![change.clone()]);
            return found;
        }
    }
    // One figure at a time may have been cut short, and two at a time not.
    let cut_short = search.left == 0;
    search.left += PATIENCE[1] - PATIENCE[0];
    found.all = search.two(&tried);
    for (change, plan) in &recounted {
        if found.all.is_some() {
            return found;
        }
        let mut other = search.of(plan);
        let more = other.nearest(&figures(plan), &mut Vec::new());
        search.left = other.left;
        found.all = more.map(|more| [vec![change.clone()], more].concat());
    }
    if found.all.is_none() {
        (found.each, found.alone) = search.each(&tried);
    }
    found.cut_short = cut_short || search.left == 0;
    found
}

/// The figures that may be changed: sizes, counts, heats of steps and lets; not what the shop has, was read off a piece, or is
/// asked for.
fn figures(plan: &Plan) -> Vec<u32> {
    let (readings, asked) = (plan.readings(), plan.asked_by());
    let free = |slot: &u32| {
        let (info, span) = plan.figure(*slot);
        let own = !info.address.is_empty() && info.copy_of.is_none() && !info.address.starts_with("shop ");
        (own || info.leaf)
            && !info.shapes
            && span.end > span.start
            && !readings.contains(slot)
            && !asked.contains(slot)
    };
    let slots = 0..u32::try_from(plan.slots.len()).unwrap_or_else(|_| bug!("more figures than can be held"));
    slots.filter(free).filter(|slot| !values(plan, *slot, Units::Metric).is_empty()).collect()
}

/// The figures that are the count of a `repeat`.
fn repeats(plan: &Plan) -> Vec<u32> {
    (0u32..)
        .zip(&plan.slots)
        .filter(|(_, info)| info.shapes && info.copy_of.is_none())
        .map(|(slot, _)| slot)
        .collect()
}

/// The recipe with every other count of a `repeat`, the nearest first.
fn recounted(plan: &Plan, counts: &[u32], recount: Recount) -> Vec<(Change, Plan)> {
    let mut found = Vec::new();
    for by in (1..=REPEATS).flat_map(|by| [by, -by]) {
        for slot in counts {
            let value = plan.values.at(*slot) + f64::from(by);
            let change = Change::of(plan, *slot, value, Units::Metric);
            if value >= 1.0
                && let Some(made) = recount(change.span, &change.text)
            {
                found.push((change, made));
            }
        }
    }
    found
}

/// The values of a figure that are tried, the nearest first; none where another value is nobody's choice.
fn values(plan: &Plan, slot: u32, units: Units) -> Vec<f64> {
    let (info, _) = plan.figure(slot);
    let now = plan.values.at(slot);
    let hardness = || plan.targets.iter().flat_map(|t| &t.tests).any(|t| t.what == What::Hardness);
    if !now.is_finite() || now <= 0.0 {
        return Vec::new();
    }
    let ladder = |most: f64| {
        let rungs = (1..=TRIES).flat_map(|i| [i, -i]);
        rungs.map(|i| now * REACH.powf(f64::from(i) / f64::from(TRIES))).filter(|v| *v < most).collect()
    };
    match info.kind {
        Kind::NUMBER => {
            // Heats are as many as the work takes, and a spread coefficient is what it is.
            let given = [Key::Spread, Key::Heats].iter().any(|key| info.address.ends_with(key.word()));
            if now.fract() != 0.0 || given {
                return Vec::new();
            }
            let counts = (1..=COUNTS).flat_map(|d| [now + f64::from(d), now - f64::from(d)]);
            counts.filter(|v| *v >= 1.0).collect()
        }
        Kind::TEMPERATURE if hardness() => {
            let (step, origin) = if units == Units::Inch { (50.0 / 9.0, -160.0 / 9.0) } else { (5.0, 0.0) };
            let at = |by: f64| ((now - origin) / step + by).round() * step + origin;
            (1..=HEATS).flat_map(|d| [at(f64::from(d)), at(f64::from(-d))]).collect()
        }
        Kind::TIME if hardness() => ladder(f64::INFINITY),
        Kind::RATIO if info.address.ends_with(Key::Thinning.word()) => ladder(0.6),
        Kind::LENGTH | Kind::ANGLE => ladder(f64::INFINITY),
        _ => Vec::new(),
    }
}

impl Change {
    fn of(plan: &Plan, slot: u32, value: f64, units: Units) -> Change {
        let (info, span) = plan.figure(slot);
        let was = plan.values.at(slot);
        let (now, text) = match info.kind {
            Kind::NUMBER => (trim_number(was, 2), trim_number(value, 0)),
            kind => (written(was, kind, units), written(value, kind, units)),
        };
        Change { span, now, text, far: far(info.kind, was, value) }
    }
}

/// How far a value is from what is written: the size of the ratio's logarithm; of a heat, in hundreds of degrees.
fn far(kind: Kind, was: f64, value: f64) -> f64 {
    if kind == Kind::TEMPERATURE { (value - was).abs() / 100.0 } else { (value / was).ln().abs() }
}

struct Search<'a, 'm, 'g> {
    plan: &'a Plan,
    runs: Runs<'a>,
    units: Units,
    /// The patience that is left, as steps of a bar.
    left: usize,
    mending: &'m mut Mending<'g>,
}

impl<'a, 'm, 'g> Search<'a, 'm, 'g> {
    fn new(plan: &'a Plan, units: Units, mending: &'m mut Mending<'g>, left: usize) -> Self {
        Search { plan, runs: Runs::new(plan, Least::Steel), units, left, mending }
    }

    /// The same search on the recipe with another count: it uses up the same patience.
    fn of<'b>(&mut self, plan: &'b Plan) -> Search<'b, '_, 'g> {
        Search::new(plan, self.units, &mut *self.mending, self.left)
    }

    /// The margin of every line of a run, checkpoints the last; nothing where it stops, or where patience is used up.
    fn run(&mut self, set: &[(u32, f64)]) -> Option<Vec<f64>> {
        if self.left == 0 {
            return None;
        }
        let goes_on = match self.mending {
            Mending::Patient(_) => true,
            Mending::While(goes_on, _) => goes_on(),
            Mending::None => false,
        };
        if !goes_on {
            (self.left, *self.mending) = (0, Mending::None);
            return None;
        }
        let before = self.runs.spent;
        let margins = self.runs.margins(set);
        self.left = self.left.saturating_sub(self.runs.spent - before);
        margins
    }

    fn met(&mut self, set: &[(u32, f64)]) -> bool {
        self.run(set).is_some_and(|margins| all_met(&margins))
    }

    fn kind(&self, slot: u32) -> Kind {
        self.plan.figure(slot).0.kind
    }

    /// The nearest change of one figure that meets every target; what was tried is kept.
    fn nearest(&mut self, slots: &[u32], tried: &mut Vec<Tried>) -> Option<Mend> {
        let first = self.left.saturating_sub(FIRST);
        let mut nearest: Option<Change> = None;
        for slot in slots {
            let found = self.one(*slot, tried);
            nearest = nearest.into_iter().chain(found).min_by(|a, b| a.far.total_cmp(&b.far));
            if nearest.is_some() && self.left <= first {
                break;
            }
        }
        nearest.map(|change| vec![change])
    }

    fn one(&mut self, slot: u32, tried: &mut Vec<Tried>) -> Option<Change> {
        self.runs.only(&[slot]);
        let now = self.plan.values.at(slot);
        let mut made = Tried { slot, now, values: Vec::new() };
        for value in values(self.plan, slot, self.units) {
            let margins = self.run(&[(slot, value)]);
            if margins.as_deref().is_some_and(all_met) {
                let nearest = self.rounded(slot, value, |search, v| search.met(&[(slot, v)]));
                return Some(Change::of(self.plan, slot, nearest, self.units));
            }
            made.values.push((value, margins));
            if self.left == 0 {
                return None;
            }
        }
        for value in between(&made.values) {
            let value = marked(value, self.kind(slot), self.units);
            let margins = self.run(&[(slot, value)]);
            if margins.as_deref().is_some_and(all_met) {
                let nearest = self.rounded(slot, value, |search, v| search.met(&[(slot, v)]));
                return Some(Change::of(self.plan, slot, nearest, self.units));
            }
            made.values.push((value, margins));
        }
        tried.push(made);
        None
    }

    /// From a value that will do, the nearest one to what is written, as a smith would write it.
    fn rounded(&mut self, slot: u32, value: f64, mut will_do: impl FnMut(&mut Self, f64) -> bool) -> f64 {
        let (kind, now, units) = (self.kind(slot), self.plan.values.at(slot), self.units);
        if kind == Kind::NUMBER || kind == Kind::TEMPERATURE {
            return value;
        }
        let (good, _) = halve((value, now), HALVINGS, |v| will_do(self, v));
        rounded(good, ROUNDING, kind, units, |v| will_do(self, v))
    }

    /// The nearest change of two figures that meets every target. Which values may do is foretold from what each does alone, as if
    /// both added up; a run says whether they do.
    fn two(&mut self, tried: &[Tried]) -> Option<Mend> {
        self.runs.any();
        let base = self.run(&[])?;
        // A figure that moves nothing alone moves nothing beside another, as a rule.
        let moves = |t: &&Tried| {
            let other = |m: &Vec<f64>| m.iter().zip(&base).any(|(a, b)| (a - b).abs() > 1e-9);
            t.values.iter().any(|(_, margins)| margins.as_ref().is_some_and(other))
        };
        let movers: Vec<&Tried> = tried.iter().filter(moves).collect();
        let mut foretold: Vec<(f64, Two)> = Vec::new();
        let mut hopes: Vec<(f64, &Tried, &Tried)> = Vec::new();
        for (i, a) in movers.iter().enumerate() {
            for b in movers.iter().skip(i + 1) {
                let (mut near, best) = self.foretold(a, b, &base);
                near.sort_by(|a, b| a.0.total_cmp(&b.0));
                foretold.extend(near.into_iter().take(FORETOLD));
                hopes.push((best, a, b));
            }
        }
        foretold.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut found: Vec<Mend> = Vec::new();
        for (_, set) in foretold {
            if found.len() >= PAIRS || self.left == 0 {
                break;
            }
            if self.met(&set) {
                found.push(self.nearer(set));
            }
        }
        hopes.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, a, b) in hopes.into_iter().take(ALL_OVER) {
            if !found.is_empty() || self.left == 0 {
                break;
            }
            let of = |t: &Tried| t.values.iter().map(|(v, _)| *v).step_by(3).collect::<Vec<_>>();
            let (of_a, of_b) = (of(a), of(b));
            let mut all = of_a.iter().flat_map(|x| of_b.iter().map(|y| [(a.slot, *x), (b.slot, *y)]));
            found.extend(all.find(|set| self.met(set)).map(|set| self.nearer(set)));
        }
        let far = |mend: &Mend| mend.iter().map(|change| change.far * change.far).sum::<f64>();
        found.into_iter().min_by(|a, b| far(a).total_cmp(&far(b)))
    }

    /// Values of two figures that together should meet every target, each with how far it is; and the best that they come to.
    fn foretold(&self, a: &Tried, b: &Tried, base: &[f64]) -> (Vec<(f64, Two)>, f64) {
        let (mut near, mut best) = (Vec::new(), f64::NEG_INFINITY);
        for (x, with_x) in &a.values {
            let Some(with_x) = with_x else { continue };
            for (y, with_y) in &b.values {
                let Some(with_y) = with_y else { continue };
                let sums = with_x.iter().zip(with_y).zip(base).map(|((x, y), base)| x + y - base);
                let worst = sums.fold(
                    f64::INFINITY,
                    |worst, margin| if margin.is_nan() { -1.0 } else { worst.min(margin) },
                );
                best = best.max(worst);
                if worst >= 0.0 {
                    let far = far(self.kind(a.slot), a.now, *x).hypot(far(self.kind(b.slot), b.now, *y));
                    near.push((far, [(a.slot, *x), (b.slot, *y)]));
                }
            }
        }
        (near, best)
    }

    /// Of two figures that will do, each brought as near to what is written as the other lets it, and rounded.
    fn nearer(&mut self, set: Two) -> Mend {
        let [(a, x), (b, y)] = set;
        let x = self.rounded(a, x, |search, x| search.met(&[(a, x), (b, y)]));
        let y = self.rounded(b, y, |search, y| search.met(&[(a, x), (b, y)]));
        [(a, x), (b, y)].map(|(slot, value)| Change::of(self.plan, slot, value, self.units)).into()
    }

    /// For each missed line the nearest figure that meets it and loses no line that is met, and where one is there, that also does beside those of
    /// the lines before it: one is mended after the other. And the lines for which none is there.
    fn each(&mut self, tried: &[Tried]) -> (Vec<(usize, Mend)>, Vec<usize>) {
        self.runs.any();
        let Some(base) = self.run(&[]) else { return (Vec::new(), Vec::new()) };
        let missed = (0..base.len()).filter(|i| base.get(*i).is_some_and(|m| *m < 0.0));
        let (mut found, mut alone) = (Vec::new(), Vec::new());
        let mut done: Vec<(usize, u32, f64)> = Vec::new();
        for line in missed {
            let meets = |margins: &[f64]| {
                let kept = margins.iter().zip(&base).all(|(margin, before)| *margin >= 0.0 || *before < 0.0);
                kept && margins.get(line).is_some_and(|m| *m >= 0.0)
            };
            let of = |t: &Tried| {
                let will_do = |m: &Option<Vec<f64>>| m.as_deref().is_some_and(meets);
                let value = t.values.iter().find(|(_, margins)| will_do(margins))?.0;
                Some((far(self.kind(t.slot), t.now, value), t.slot, value))
            };
            let mut near: Vec<(f64, u32, f64)> = tried.iter().filter_map(of).collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0));
            // Beside those before it the line is met too, and theirs stay met.
            let beside = |search: &mut Self, slot: u32, value: f64| {
                let set: Vec<(u32, f64)> =
                    done.iter().map(|(_, slot, value)| (*slot, *value)).chain([(slot, value)]).collect();
                let met = |margins: &[f64], line: usize| margins.get(line).is_some_and(|m| *m >= 0.0);
                let free = done.iter().all(|(_, other, _)| *other != slot);
                let all =
                    |margins: Vec<f64>| meets(&margins) && done.iter().all(|(line, ..)| met(&margins, *line));
                done.is_empty() || free && search.run(&set).is_some_and(all)
            };
            let fits =
                near.iter().take(ALL_OVER).find(|(_, slot, value)| beside(self, *slot, *value)).copied();
            let Some((_, slot, value)) = fits.or(near.first().copied()) else { continue };
            let value = self.rounded(slot, value, |search, v| {
                let own = search.run(&[(slot, v)]).is_some_and(|margins| meets(&margins));
                own && (fits.is_none() || beside(search, slot, v))
            });
            if fits.is_none() {
                alone.push(line);
            } else {
                done.push((line, slot, value));
            }
            found.push((line, vec![Change::of(self.plan, slot, value, self.units)]));
        }
        (found, alone)
    }
}

/// A length as fine as a shop can mark it: a thousandth of an inch, or a twentieth of a millimetre (project figures).
fn marked(value: f64, kind: Kind, units: Units) -> f64 {
    let step = if units == Units::Inch { 0.0254 } else { 0.05 };
    if kind == Kind::LENGTH { (value / step).round() * step } else { value }
}

/// Values between neighbours of those that were tried, where a line may be met that both of them miss, each to its own side: a size that
/// may be off by little is jumped over from one to the other. Where its margin, rising toward the gap and falling behind it, would
/// come together.
fn between(tried: &[(f64, Option<Vec<f64>>)]) -> Vec<f64> {
    let mut all: Vec<(f64, &[f64])> = tried.iter().filter_map(|(v, m)| Some((*v, m.as_deref()?))).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = Vec::new();
    for four in all.windows(4) {
        let [(x0, before), (x1, low), (x2, high), (x3, behind)] = *four else { continue };
        for ((y0, y1), (y2, y3)) in before.iter().zip(low).zip(high.iter().zip(behind)) {
            let (rise, fall) = ((y1 - y0) / (x1 - x0), (y3 - y2) / (x3 - x2));
            if *y1 < 0.0 && *y2 < 0.0 && rise > 0.0 && fall < 0.0 {
                let top = (y2 - y1 + rise * x1 - fall * x2) / (rise - fall);
                found.extend(Some(top).filter(|top| (x1..x2).contains(top)));
            }
        }
    }
    found
}

fn all_met(margins: &[f64]) -> bool {
    margins.iter().all(|margin| *margin >= 0.0)
}
