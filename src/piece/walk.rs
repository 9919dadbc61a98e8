//! Walking a straight line through a piece, layer by layer, without ever listing the layers.
//!
//! What is met is summed up by something that can be joined end to end ([`Tally`]); like stretches are
//! summed once and remembered, so a walk costs the tree's size and not the number of layers.

use rustc_hash::FxHashMap;

use super::axis::{Axis, SLIVER};
use super::ids::{NodeId, PartName, SteelId};
use super::line::Point;
use super::makeup::{Form, Makeup, Pile};
use super::relief::Relief;
use super::view::{View, about, place};
use super::warp::{Warp, Wavy};

/// Where a boundary and a point count as the same place, as a fraction of the pile.
const SAME: f64 = 1e-9;

/// Stretches that one line is told by, place for place; what it meets beyond them is met in its middle. Bundles in bundles have twice as many
/// places with each weld, and nobody counts so many (project figure).
const PLACES: usize = 5000;

/// A summary of a stretch of the line.
pub(super) trait Tally: Clone {
    /// Nothing met.
    fn nothing() -> Self;
    /// A stretch of one steel, `length` of the walked node's own units.
    fn steel(steel: SteelId, length: f64) -> Self;
    /// This stretch, then that one.
    fn then(self, next: Self) -> Self;
    /// The same stretch walked from the other end.
    fn back(self) -> Self;
    /// The same stretch in units `factor` times as long.
    fn scaled(self, factor: f64) -> Self;
}

type Key = (NodeId, Axis, [i64; 2], [i64; 2], u64);

/// Asked at each part of a pile, with its length: `Some` sums the part up, and it is not walked into.
pub(super) type Look<'a, T> = &'a dyn Fn(PartName, NodeId, f64) -> Option<T>;

pub(super) struct Walk<'a, T> {
    makeup: &'a Makeup,
    look: Look<'a, T>,
    memo: FxHashMap<Key, T>,
}

/// A stretch to walk: along `axis`, from `from` to `to`, at `at` in the other two directions.
#[derive(Clone, Copy)]
struct Stretch {
    axis: Axis,
    at: Point,
    from: f64,
    to: f64,
    /// mm to one unit of the node, where the ends were cut.
    mm: f64,
}

impl Stretch {
    fn whole(&self) -> bool {
        self.from <= 0.0 && self.to >= 1.0
    }
}

/// Where metal begins and ends in the middle of a relief, as shares of its thickness, and that thickness, mm.
fn middle(relief: &Relief) -> ([f64; 2], f64) {
    let [thick, wide, long] = relief.size;
    let [top, bottom] = relief.depths(long / 2.0, wide / 2.0);
    ([bottom / thick, 1.0 - top / thick], thick)
}

impl<'a, T: Tally> Walk<'a, T> {
    pub fn new(makeup: &'a Makeup, look: Look<'a, T>) -> Self {
        Walk { makeup, look, memo: FxHashMap::default() }
    }

    /// Walks the middle of a node from end to end along an axis; `mm` is its size that way.
    pub fn middle(&mut self, node: NodeId, axis: Axis, mm: f64) -> T {
        self.walk(node, Stretch { axis, at: [0.5; 3], from: 0.0, to: 1.0, mm })
    }

    /// Walks a stretch of the thickness at a place of the width and length; `mm` is the whole thickness.
    pub fn stretch(&mut self, node: NodeId, (from, to): (f64, f64), [across, along]: [f64; 2], mm: f64) -> T {
        self.walk(node, Stretch { axis: Axis::Thickness, at: [0.5, across, along], from, to, mm })
    }

    fn walk(&mut self, id: NodeId, mut line: Stretch) -> T {
        let node = self.makeup.node(id);
        if let Form::Solid(steel) = node.form {
            let length = line.to - line.from;
            let gone = length <= 0.0 || (!line.whole() && length * line.mm < SLIVER);
            return if gone { T::nothing() } else { T::steel(steel, length) };
        }
        let few = self.memo.len() < PLACES;
        let tells = |axis: Axis| few && axis != line.axis && axis.of(node.varies);
        line.at = Axis::each(|axis| if tells(axis) { axis.of(line.at) } else { 0.5 });
        if line.whole() {
            line.mm = 0.0;
        }
        let across = line.axis.others(line.at).map(place);
        let key = (id, line.axis, across, [line.from, line.to].map(place), about(line.mm));
        if let Some(known) = self.memo.get(&key) {
            return known.clone();
        }
        let sum = match self.makeup.told(id) {
            Form::Solid(steel) => bug!("a solid of {steel:?} is not remembered"),
            Form::View(view) => self.through(&view, line),
            // The middle line alone is told: it meets the layers where it did, and of hollows what stands there.
            Form::Warped(child, warp) => match self.makeup.warp_of(warp) {
                Warp::Level(relief) if line.axis == Axis::Thickness => {
                    let ([low, high], mm) = middle(relief);
                    let at = |s: f64| low + (high - low) * s;
                    let line = Stretch { at: [0.5; 3], from: at(line.from), to: at(line.to), mm, ..line };
                    self.walk(child, line).scaled(1.0 / (high - low))
                }
                Warp::Pressed(relief) if line.axis == Axis::Thickness => {
                    let ([low, high], mm) = middle(relief);
                    let at = |s: f64| ((s - low) / (high - low)).clamp(0.0, 1.0);
                    let mm = mm * (high - low);
                    let line = Stretch { at: [0.5; 3], from: at(line.from), to: at(line.to), mm, ..line };
                    self.walk(child, line).scaled(high - low)
                }
                Warp::Shear(shear) => {
                    let drag = if line.axis == shear.by { 0.5 } else { shear.drag.at(shear.by.of(line.at)) };
                    if line.axis != shear.along {
                        let at = shear.was(shear.along.of(line.at), drag);
                        return self.walk(child, Stretch { at: shear.along.with(line.at, at), ..line });
                    }
                    let (from, to) = (shear.was(line.from, drag), shear.was(line.to, drag));
                    self.walk(child, Stretch { from, to, mm: shear.size, ..line })
                        .scaled(1.0 / (1.0 - shear.far))
                }
                Warp::Uneven(uneven) => {
                    let wavy = Wavy::new(*uneven);
                    let was = |now: f64| wavy.was(now, wavy.middle());
                    if line.axis != Axis::Thickness {
                        let at = was(Axis::Thickness.of(line.at));
                        return self.walk(child, Stretch { at: Axis::Thickness.with(line.at, at), ..line });
                    }
                    let [mm, ..] = uneven.size;
                    self.walk(child, Stretch { from: was(line.from), to: was(line.to), mm, ..line })
                        .scaled(1.0 / (1.0 - uneven.far))
                }
                Warp::Twist(_) | Warp::Level(_) | Warp::Pressed(_) | Warp::Mitre(_) | Warp::Untold => {
                    self.walk(child, Stretch { at: [0.5; 3], ..line })
                }
            },
            Form::Pile(pile) if pile.axis == line.axis => self.along(line, pile),
            Form::Pile(pile) => self.across(line, pile),
        };
        self.memo.insert(key, sum.clone());
        sum
    }

    fn through(&mut self, view: &View, line: Stretch) -> T {
        let own = view.inner(line.axis);
        let ((low, high), back) = (own.of(view.window), own.of(view.flipped));
        let inside = |axis: Axis, x: f64| {
            let (from, to) = axis.of(view.window);
            from + (to - from) * if axis.of(view.flipped) { 1.0 - x } else { x }
        };
        // At the very end of a window the line lies in what the window shows, and not in what was cut off there.
        let within = |axis: Axis, x: f64| {
            let (from, to) = axis.of(view.window);
            let hair = (4.0 * SAME / (to - from)).min(0.25);
            inside(axis, x.clamp(hair, 1.0 - hair))
        };
        let (a, b) = (inside(own, line.from), inside(own, line.to));
        let inner = Stretch {
            axis: own,
            at: Axis::each(|axis| {
                let at = view.outer(axis).of(line.at);
                if axis == own { at } else { within(axis, at) }
            }),
            from: a.min(b),
            to: a.max(b),
            mm: if line.whole() { own.of(view.size) } else { line.mm } / (high - low),
        };
        let stretch = inner.to - inner.from;
        let sum = self.walk(view.child, inner);
        let sum = if stretch > 0.0 { sum.scaled((line.to - line.from) / stretch) } else { sum };
        if back { sum.back() } else { sum }
    }

    fn along(&mut self, line: Stretch, pile: Pile) -> T {
        let (mut sum, mut start) = (T::nothing(), 0.0);
        let parts = self.makeup.parts_of(pile);
        for (i, part) in parts.iter().enumerate() {
            // The last part ends at the end, whatever the fractions' rounding adds up to.
            let end = if i + 1 == parts.len() { 1.0 } else { start + part.fraction };
            let (a, b) = (line.from.max(start), line.to.min(end));
            if b > a {
                let covered = a <= start && b >= end;
                let local = |x: f64| ((x - start) / (end - start)).clamp(0.0, 1.0);
                let (from, to) = if covered { (0.0, 1.0) } else { (local(a), local(b)) };
                let mm = line.mm * (end - start);
                let stays = covered || (b - a) * line.mm >= SLIVER;
                let seen = if stays { (self.look)(part.name, part.node, b - a) } else { None };
                sum = sum.then(match seen {
                    Some(seen) => seen,
                    None => self.walk(part.node, Stretch { from, to, mm, ..line }).scaled(end - start),
                });
            }
            start = end;
        }
        sum
    }

    fn across(&mut self, line: Stretch, pile: Pile) -> T {
        let at = pile.axis.of(line.at);
        let parts = self.makeup.parts_of(pile);
        let mut start = 0.0;
        for (i, part) in parts.iter().enumerate() {
            let end = start + part.fraction;
            // On a boundary the lower part counts.
            if at <= end + SAME || i + 1 == parts.len() {
                return (self.look)(part.name, part.node, line.to - line.from).unwrap_or_else(|| {
                    let local = ((at - start) / part.fraction).clamp(0.0, 1.0);
                    self.walk(part.node, Stretch { at: pile.axis.with(line.at, local), ..line })
                });
            }
            start = end;
        }
        T::nothing()
    }
}
