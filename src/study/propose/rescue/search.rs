//! The search: sequences of changes, the shortest first. Of each length those go on that come nearest, a few of each kind; their
//! figures are solved together.

use crate::quantity::{Kind, Units};

use crate::study::propose::rescue::acts::finest;
use crate::study::propose::rescue::field::{Change, Field, Given, MOST_CHANGES, Seen};

/// Steps worked from one place before no further sequence is begun, as steps of a bar (project figure: a fraction of a second; with what the last sequences and the
/// writing out cost, three places stay under 600 000, about two seconds on a slow core).
const PATIENCE: usize = 190_000;
/// Sequences of one length that go on.
const WIDTH: usize = 10;
/// Ways with nothing welded on after which longer ones are not looked for.
const ENOUGH: usize = 2;
/// Places of a new figure that are looked at first.
const LOOKS: u32 = 8;
/// Runs for the figures of one sequence at the most.
const RUNS: usize = 60;

/// A sequence of changes, with its figures as multiples of what each is one of.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub changes: Vec<Change>,
    pub shares: Vec<f64>,
    pub seen: Seen,
}

/// What the search came to.
pub(super) struct Searched {
    /// Sequences that meet every target, the cheapest first.
    pub met: Vec<Node>,
    /// Of those that miss one line alone: the nearest, for each line.
    pub nearest: Vec<(usize, Node)>,
    /// Sequences tried.
    pub tried: usize,
    /// Whether it stopped for want of patience.
    pub cut_short: bool,
}

impl Field<'_> {
    /// Looks for sequences that meet every target.
    pub fn search(&mut self) -> Searched {
        let mut found = Searched { met: Vec::new(), nearest: Vec::new(), tried: 0, cut_short: false };
        let seen = self.run(&[], Given::Shares(&[]));
        let mut front = vec![Node { changes: Vec::new(), shares: Vec::new(), seen }];
        if let Some(first) = front.first() {
            found.keep(first);
        }
        let all = (0..self.knobs.len()).map(Change::Knob).chain((0..self.acts.len()).map(Change::Act));
        let all: Vec<Change> = all.collect();
        for _ in 0..MOST_CHANGES {
            let mut made: Vec<Node> = Vec::new();
            for node in &front {
                for change in &all {
                    if self.work > PATIENCE {
                        found.cut_short = true;
                        return found;
                    }
                    if !self.follows(node, *change) {
                        continue;
                    }
                    found.tried += 1;
                    if let Some(next) = self.extended(node, *change) {
                        found.keep(&next);
                        made.push(next);
                    }
                }
            }
            let clean = found.met.iter().filter(|n| self.clean(n)).count();
            if clean >= ENOUGH || (!found.met.is_empty() && self.work > PATIENCE / 2) {
                return found;
            }
            made.retain(|n| !n.seen.met());
            made.sort_by(|a, b| a.seen.cost.total_cmp(&b.seen.cost));
            front = some_of_each(made);
        }
        found
    }

    /// Whether nothing is welded on, and no seam made.
    pub fn clean(&self, node: &Node) -> bool {
        let mut acts = node.changes.iter().filter_map(|c| match c {
            Change::Act(act) => self.acts.get(*act),
            Change::Knob(_) => None,
        });
        acts.all(|a| a.act.marks.price() == 0.0)
    }

    /// Whether a change may come behind others: no figure twice, no press that only goes on with the one before it, no two
    /// orders of the same figures.
    fn follows(&self, node: &Node, change: Change) -> bool {
        match change {
            Change::Knob(knob) => {
                let last = node.changes.iter().rev().find_map(|c| match c {
                    Change::Knob(k) => Some(*k),
                    Change::Act(_) => None,
                });
                last.is_none_or(|last| last < knob)
            }
            Change::Act(act) => match node.changes.last() {
                Some(Change::Act(last)) => {
                    let folds = self.acts.get(act).is_some_and(|a| a.act.figures.is_empty());
                    *last != act || folds
                }
                _ => true,
            },
        }
    }

    fn within(&self, change: Change) -> Option<([f64; 2], Kind)> {
        match change {
            Change::Knob(knob) => self.knobs.get(knob).map(|k| (k.within, k.kind)),
            Change::Act(act) => {
                let mut open = self.acts.get(act)?.act.figures.iter().filter(|f| !f.given());
                open.next().map(|f| (f.within, f.kind))
            }
        }
    }

    /// The bounds of all figures of a sequence.
    fn bounds(&self, changes: &[Change]) -> Vec<([f64; 2], Kind)> {
        changes.iter().filter_map(|c| self.within(*c)).collect()
    }

    fn extended(&mut self, node: &Node, change: Change) -> Option<Node> {
        let mut changes = node.changes.clone();
        // Figures of steps stand before acts.
        let knobs = changes.iter().filter(|c| matches!(c, Change::Knob(_))).count();
        let at = if matches!(change, Change::Knob(_)) { knobs } else { changes.len() };
        changes.insert(at, change);
        let bounds = self.bounds(&changes);
        let Some((within, kind)) = self.within(change) else {
            let seen = self.run(&changes, Given::Shares(&node.shares));
            let node = Node { changes, shares: node.shares.clone(), seen };
            return Some(self.solved(node, &bounds))
                .filter(|n| !n.seen.figures.is_empty() || n.seen.cost < 5_000.0);
        };
        let place = if matches!(change, Change::Knob(_)) { knobs } else { node.shares.len() };
        let mut looked: Vec<Node> = Vec::new();
        for share in looks(within, kind) {
            let mut shares = node.shares.clone();
            shares.insert(place, share);
            let seen = self.run(&changes, Given::Shares(&shares));
            looked.push(Node { changes: changes.clone(), shares, seen });
        }
        looked.sort_by(|a, b| a.seen.cost.total_cmp(&b.seen.cost));
        looked.truncate(2);
        let solved = looked.into_iter().filter(|n| n.seen.cost < 5_000.0).collect::<Vec<_>>();
        let solved = solved.into_iter().map(|n| self.solved(n, &bounds));
        solved.min_by(|a, b| a.seen.cost.total_cmp(&b.seen.cost))
    }

    /// Steps of all figures, alone and in pairs, ever smaller, towards less cost.
    fn solved(&mut self, mut node: Node, bounds: &[([f64; 2], Kind)]) -> Node {
        let n = node.shares.len();
        let mut size = 0.12;
        let until = self.runs + RUNS;
        while size > 1e-3 && self.runs < until && n > 0 {
            let mut moved = false;
            for i in 0..n {
                for j in i..n {
                    let ways: &[(f64, f64)] = if i == j {
                        &[(1.0, 0.0), (-1.0, 0.0)]
                    } else {
                        &[(1.0, -1.0), (-1.0, 1.0), (1.0, 1.0), (-1.0, -1.0)]
                    };
                    for (a, b) in ways {
                        let mut shares = node.shares.clone();
                        step(&mut shares, bounds, i, a * size);
                        if i != j {
                            step(&mut shares, bounds, j, b * size);
                        }
                        if shares == node.shares || self.runs >= until {
                            continue;
                        }
                        let seen = self.run(&node.changes, Given::Shares(&shares));
                        if seen.cost < node.seen.cost {
                            node = Node { shares, seen, ..node };
                            moved = true;
                        }
                    }
                }
            }
            if !moved {
                size *= 0.5;
            }
        }
        node
    }

    /// The same with figures that a smith can set, the coarsest that still meet every target with about as much room.
    pub fn set(&mut self, node: &Node) -> Option<Seen> {
        self.settable(node, &|seen| seen.met())
    }

    /// The same where one line alone is missed.
    pub fn set_alone(&mut self, node: &Node, line: usize) -> Option<Seen> {
        self.settable(node, &|seen| seen.alone.is_some_and(|(alone, _)| alone == line))
    }

    fn settable(&mut self, node: &Node, will_do: &dyn Fn(&Seen) -> bool) -> Option<Seen> {
        let kinds: Vec<Kind> = self.bounds(&node.changes).iter().map(|b| b.1).collect();
        let exact = &node.seen.figures;
        let units = self.units();
        let mut best: Option<Seen> = None;
        // 1, 0.5 and 0.1 mm; an eighth, a 16th and a 64th of an inch.
        let steps = if units == Units::Inch { [8.0, 4.0, 1.0] } else { [10.0, 5.0, 1.0] };
        for coarse in steps {
            let sides = 3usize.checked_pow(u32::try_from(exact.len()).ok()?)?;
            for side in 0..sides {
                let mut rest = side;
                let figures = exact.iter().zip(&kinds).map(|(value, kind)| {
                    // The nearest, the next below, the next above.
                    let by =
                        [0.0, -1.0, 1.0].get(rest % 3).copied().unwrap_or_else(|| bug!("a third of three"));
                    rest /= 3;
                    let step = (if *kind == Kind::LENGTH { coarse } else { 1.0 }) * finest(*kind, units);
                    // Fahrenheit is even at 32.
                    let fahrenheit = *kind == Kind::TEMPERATURE && units == Units::Inch;
                    let origin = if fahrenheit { -160.0 / 9.0 } else { 0.0 };
                    (((value - origin) / step).round() + by) * step + origin
                });
                let figures: Vec<f64> = figures.collect();
                if figures.iter().any(|f| *f <= 0.0) {
                    continue;
                }
                let seen = self.run(&node.changes, Given::Figures(&figures));
                if will_do(&seen) && best.as_ref().is_none_or(|b| seen.cost < b.cost) {
                    best = Some(seen);
                }
            }
            // Round figures are worth a little more work, and no room.
            if best.as_ref().is_some_and(|b| b.cost <= node.seen.cost + ROUND) {
                break;
            }
        }
        best
    }
}

/// What round figures may cost more.
const ROUND: f64 = 0.15;

impl Searched {
    fn keep(&mut self, node: &Node) {
        if node.seen.met() {
            let at = self.met.iter().position(|n| node.seen.cost < n.seen.cost).unwrap_or(self.met.len());
            self.met.insert(at, node.clone());
        } else if let Some((line, margin)) = node.seen.alone {
            match self.nearest.iter_mut().find(|(l, _)| *l == line) {
                Some((_, best)) => {
                    if best.seen.alone.is_none_or(|(_, m)| margin > m) {
                        *best = node.clone();
                    }
                }
                None => self.nearest.push((line, node.clone())),
            }
        }
    }
}

fn step(shares: &mut [f64], bounds: &[([f64; 2], Kind)], i: usize, by: f64) {
    let (Some(share), Some(([low, high], kind))) = (shares.get_mut(i), bounds.get(i)) else {
        bug!("no figure {i}")
    };
    if *kind == Kind::NUMBER {
        *share = (*share + by.signum()).clamp(*low, *high);
    } else {
        // Near what there is, steps are as small as what is changed.
        *share = (*share * by.exp()).clamp(*low, *high);
    }
}

fn looks([low, high]: [f64; 2], kind: Kind) -> Vec<f64> {
    if kind == Kind::NUMBER {
        let count = (high - low).max(0.0) as u32;
        return (0..=count).map(|i| low + f64::from(i)).collect();
    }
    if low < 1.0 && high > 1.0 {
        let both = [0.05, 0.15, 0.35, 0.65, 1.0].into_iter().flat_map(|by| [low.powf(by), high.powf(by)]);
        return both.collect();
    }
    // Closer together near what there is: little is oftener wanted than much.
    let from = if high <= 1.0 { (high, low) } else { (low, high) };
    let span = (from.1 / from.0).ln();
    (0..LOOKS).map(|i| from.0 * (span * (f64::from(i) / f64::from(LOOKS - 1)).powf(1.6)).exp()).collect()
}

/// The first of them, no more than a few of each kind.
fn some_of_each(made: Vec<Node>) -> Vec<Node> {
    let mut kept: Vec<Node> = Vec::new();
    for node in made {
        let same = |n: &&Node| n.changes.first() == node.changes.first();
        if kept.iter().filter(same).count() < WIDTH / 3 + 1 && kept.len() < WIDTH {
            kept.push(node);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::super::{Missing, Setting};
    use super::{Change, Field, Given, Kind, Node, looks};
    use crate::quantity::Units;
    use crate::workshop::Job;

    /// The field of a recipe that misses its target.
    fn field<T>(text: &str, look: impl FnOnce(&mut Field) -> T) -> T {
        let job = Job::alone("test.heat", text).unwrap();
        let (made, base) = (job.build(Units::Metric), 0);
        let missing = Missing { plan: &job.plan, build: &made, text, base, shelf: &[], units: Units::Metric };
        let line = made.lines.iter().find(|l| l.judged.is_some_and(|j| !j.met)).unwrap();
        let setting = Setting::of(&missing, line, 0).unwrap();
        let read = |text: &str| Job::alone("test.heat", text).ok().map(|job| (job.plan, job.found));
        let (text, puts) = setting.text(&missing, &read).unwrap();
        let (plan, _) = read(&text).unwrap();
        let lot = plan.targets[line.target].lot.unwrap();
        look(&mut setting.field(&missing, &plan, &puts, lot).unwrap())
    }

    const DRAWN: &str = "shop {\n  scale none\n}\nstock b = 1 bar of 1084, 10 x 40 x 200 mm\n\
                         draw b to 8 mm thick, 41 mm wide, spread 0.3, heats 1\n";

    /// Two presses that are the same are one; only what has no figure, as a fold, is worth doing again. Figures of steps are
    /// taken in their order, each once.
    #[test]
    fn nothing_is_tried_in_two_orders_nor_a_press_twice_over() {
        let all = field(&format!("{DRAWN}target b {{\n  length <= 200 mm\n}}\n"), |field| {
            let seen = field.run(&[], Given::Shares(&[]));
            let behind = |last: Change, next: Change| {
                let node = Node { changes: vec![last], shares: Vec::new(), seen: seen.clone() };
                field.follows(&node, next)
            };
            let mut again = Vec::new();
            for act in 0..field.acts.len() {
                if behind(Change::Act(act), Change::Act(act)) {
                    again.push(field.acts[act].act.title.clone());
                }
                assert!((0..field.acts.len()).all(|o| o == act || behind(Change::Act(act), Change::Act(o))));
            }
            assert!(field.knobs.len() >= 2);
            assert!(behind(Change::Knob(0), Change::Knob(1)));
            assert!(!behind(Change::Knob(0), Change::Knob(0)) && !behind(Change::Knob(1), Change::Knob(0)));
            again
        });
        assert_eq!(all, ["fold it", "cut it in two and lay the halves side by side"]);
    }

    /// A size that is brought down at the end costs as much as any other change.
    #[test]
    fn a_size_brought_down_at_the_end_costs_as_much_as_a_change() {
        let sizes = ["length <= 400 mm", "length <= 150 mm", "length <= 150 mm\n  thickness <= 6 mm"];
        // The width is missed whatever is taken off.
        let tried = sizes.map(|asked| {
            field(&format!("{DRAWN}target b {{\n  width >= 100 mm\n  {asked}\n}}\n"), |field| {
                let seen = field.run(&[], Given::Shares(&[]));
                // A figure that is written as it was.
                let changed = field.run(&[Change::Knob(0)], Given::Shares(&[1.0]));
                (seen.ends.len(), seen.cost, changed.cost - seen.cost)
            })
        });
        let [none, one, two] = tried;
        assert_eq!([none.0, one.0, two.0], [0, 1, 2]);
        let a_change = none.2;
        assert!(a_change > 0.0);
        for (fewer, more) in [(none, one), (one, two)] {
            assert!((more.1 - fewer.1 - a_change).abs() < 1e-9, "{tried:?}");
        }
    }

    #[test]
    fn looks_go_over_all_that_is_allowed_and_are_closest_near_what_there_is() {
        assert_eq!(looks([2.0, 5.0], Kind::NUMBER), [2.0, 3.0, 4.0, 5.0]);
        // Shares of what there is: both ways where both are allowed.
        let both = looks([0.5, 2.0], Kind::LENGTH);
        assert!(both.contains(&0.5) && both.contains(&2.0), "{both:?}");
        assert!(both.iter().filter(|v| **v < 1.0).count() == both.iter().filter(|v| **v > 1.0).count());
        for ([low, high], first, last) in [([1.2, 3.0], 1.2, 3.0), ([0.2, 0.8], 0.8, 0.2)] {
            let one_way = looks([low, high], Kind::LENGTH);
            let ends = [one_way[0], one_way[one_way.len() - 1]];
            assert!((ends[0] - first).abs() < 1e-12 && (ends[1] - last).abs() < 1e-12, "{one_way:?}");
            let steps: Vec<f64> = one_way.windows(2).map(|w| (w[1] / w[0]).ln().abs()).collect();
            assert!(steps.windows(2).all(|w| w[1] > w[0]), "{steps:?}");
        }
    }
}
