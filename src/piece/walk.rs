//! Walking a straight line through a piece, layer by layer, without ever listing the layers.
//!
//! What is met is summed up by something that can be joined end to end ([`Tally`]); like stretches are
//! summed once and remembered, so a walk costs the tree's size and not the number of layers.

use std::collections::HashMap;

use super::makeup::{Axis, Form, Makeup, NodeId, PartName, SteelId};

/// A layer left thinner than this by fire or grinder is gone, mm (project figure).
const SLIVER: f64 = 1e-6;

/// Where a boundary and a point count as the same place, as a fraction of the pile.
const SAME: f64 = 1e-9;

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

/// What a walk looks for.
pub(super) trait Look<T> {
    /// Called at each part of a pile; `Some` sums the part up without walking into it.
    fn part(&self, name: PartName, node: NodeId, length: f64) -> Option<T>;
}

type Key = (NodeId, Axis, [u64; 5]);

pub(super) struct Walk<'a, T, L> {
    makeup: &'a Makeup,
    look: L,
    memo: HashMap<Key, T>,
}

/// A stretch of a line: along `axis`, from `from` to `to`, at `at` in the other two directions.
#[derive(Clone, Copy)]
struct Line {
    axis: Axis,
    at: [f64; 3],
    from: f64,
    to: f64,
    /// mm to one unit of the node, where the ends were cut.
    mm: f64,
}

impl Line {
    fn whole(&self) -> bool {
        self.from <= 0.0 && self.to >= 1.0
    }
}

impl<'a, T: Tally, L: Look<T>> Walk<'a, T, L> {
    pub fn new(makeup: &'a Makeup, look: L) -> Self {
        Walk { makeup, look, memo: HashMap::new() }
    }

    /// Walks the middle of a node from end to end along an axis; `mm` is its size that way.
    pub fn middle(&mut self, node: NodeId, axis: Axis, mm: f64) -> T {
        self.line(node, Line { axis, at: [0.5; 3], from: 0.0, to: 1.0, mm })
    }

    /// Walks a stretch of the thickness at a place of the width and length; `mm` is the whole thickness.
    pub fn stretch(&mut self, node: NodeId, (from, to): (f64, f64), across: f64, along: f64, mm: f64) -> T {
        self.line(node, Line { axis: Axis::Thickness, at: [0.5, across, along], from, to, mm })
    }

    fn line(&mut self, id: NodeId, mut line: Line) -> T {
        let node = self.makeup.node(id);
        if let Form::Solid(steel) = node.form {
            let length = line.to - line.from;
            let gone = length <= 0.0 || (!line.whole() && length * line.mm < SLIVER);
            return if gone { T::nothing() } else { T::steel(steel, length) };
        }
        for (axis, (at, varies)) in Axis::ALL.into_iter().zip(line.at.iter_mut().zip(node.varies)) {
            if axis == line.axis || !varies {
                *at = 0.5;
            }
        }
        if line.whole() {
            line.mm = 0.0;
        }
        let across: Vec<u64> = Axis::ALL
            .iter()
            .zip(line.at)
            .filter(|(a, _)| **a != line.axis)
            .map(|(_, at)| at.to_bits())
            .collect();
        let [a, b] = <[u64; 2]>::try_from(across).unwrap_or_default();
        let key = (id, line.axis, [a, b, line.from.to_bits(), line.to.to_bits(), line.mm.to_bits()]);
        if let Some(known) = self.memo.get(&key) {
            return known.clone();
        }
        let sum = match node.form {
            Form::Solid(_) => T::nothing(),
            Form::View(view) => self.through(&view, line),
            // The middle line alone is told: it meets the layers where it did.
            Form::Twisted { child } => self.line(child, Line { at: [0.5; 3], ..line }),
            Form::Pile { axis, first, count } if axis == line.axis => self.along(line, first, count),
            Form::Pile { axis, first, count } => self.across(axis, line, first, count),
        };
        self.memo.insert(key, sum.clone());
        sum
    }

    fn through(&mut self, view: &super::view::View, line: Line) -> T {
        let mut inner = Line { axis: view.inner(line.axis), ..line };
        let mut back = false;
        for axis in Axis::ALL {
            let (i, m) = (axis.index(), view.inner(axis).index());
            let (Some((from, to)), Some(flip), Some(at), Some(size)) =
                (view.window.get(i), view.flipped.get(i), line.at.get(m), view.size.get(i))
            else {
                continue;
            };
            let place = |x: f64| from + (to - from) * if *flip { 1.0 - x } else { x };
            if axis == inner.axis {
                let (a, b) = (place(line.from), place(line.to));
                (inner.from, inner.to) = (a.min(b), a.max(b));
                inner.mm = if line.whole() { *size } else { line.mm } / (to - from);
                back = *flip;
            } else if let Some(made) = inner.at.get_mut(i) {
                *made = place(*at);
            }
        }
        let stretch = inner.to - inner.from;
        let sum = self.line(view.child, inner);
        let sum = if stretch > 0.0 { sum.scaled((line.to - line.from) / stretch) } else { sum };
        if back { sum.back() } else { sum }
    }

    fn along(&mut self, line: Line, first: u32, count: u32) -> T {
        let (mut sum, mut start) = (T::nothing(), 0.0);
        let makeup = self.makeup;
        for (i, part) in makeup.parts_of(first, count).iter().enumerate() {
            // The last part ends at the end, whatever the fractions' rounding adds up to.
            let end = if i + 1 == count as usize { 1.0 } else { start + part.fraction };
            let (a, b) = (line.from.max(start), line.to.min(end));
            if b > a {
                let covered = a <= start && b >= end;
                let local = |x: f64| ((x - start) / (end - start)).clamp(0.0, 1.0);
                let (from, to) = if covered { (0.0, 1.0) } else { (local(a), local(b)) };
                let mm = line.mm * (end - start);
                let seen = if covered || (b - a) * line.mm >= SLIVER {
                    self.look.part(part.name, part.node, b - a)
                } else {
                    None
                };
                sum = sum.then(match seen {
                    Some(seen) => seen,
                    None => self.line(part.node, Line { from, to, mm, ..line }).scaled(end - start),
                });
            }
            start = end;
        }
        sum
    }

    fn across(&mut self, axis: Axis, line: Line, first: u32, count: u32) -> T {
        let at = line.at.get(axis.index()).copied().unwrap_or(0.5);
        let makeup = self.makeup;
        let parts = makeup.parts_of(first, count);
        let mut start = 0.0;
        for (i, part) in parts.iter().enumerate() {
            let end = start + part.fraction;
            // On a boundary the lower part counts.
            if at <= end + SAME || i + 1 == parts.len() {
                if let Some(seen) = self.look.part(part.name, part.node, line.to - line.from) {
                    return seen;
                }
                let mut inner = line;
                if let Some(made) = inner.at.get_mut(axis.index()) {
                    *made = ((at - start) / part.fraction).clamp(0.0, 1.0);
                }
                return self.line(part.node, inner);
            }
            start = end;
        }
        T::nothing()
    }
}

/// How many bands an eye can tell apart, and which steels stand at the ends.
#[derive(Clone, Copy, Debug)]
struct Bands {
    count: u64,
    ends: Option<(SteelId, SteelId)>,
}

impl Tally for Bands {
    fn nothing() -> Self {
        Bands { count: 0, ends: None }
    }
    fn steel(steel: SteelId, _: f64) -> Self {
        Bands { count: 1, ends: Some((steel, steel)) }
    }
    fn then(self, next: Self) -> Self {
        match (self.ends, next.ends) {
            (None, _) => next,
            (_, None) => self,
            (Some((first, a)), Some((b, last))) => Bands {
                count: self.count.saturating_add(next.count).saturating_sub(u64::from(a == b)),
                ends: Some((first, last)),
            },
        }
    }
    fn back(self) -> Self {
        Bands { ends: self.ends.map(|(a, b)| (b, a)), ..self }
    }
    fn scaled(self, _: f64) -> Self {
        self
    }
}

struct Anything;

impl<T> Look<T> for Anything {
    fn part(&self, _: PartName, _: NodeId, _: f64) -> Option<T> {
        None
    }
}

impl Makeup {
    /// Bands through the middle of the section along the thickness of a bar `thick` mm thick: equal
    /// neighbours run together, what fire or grinder has used up is gone.
    #[must_use]
    pub fn bands(&self, node: NodeId, thick: f64) -> u64 {
        Walk::<Bands, _>::new(self, Anything).middle(node, Axis::Thickness, thick).count
    }

    /// Bands through a stretch of the thickness at one place of the section, `mm` being the whole thickness.
    #[must_use]
    pub fn bands_between(&self, node: NodeId, stretch: (f64, f64), across: f64, along: f64, mm: f64) -> u64 {
        Walk::<Bands, _>::new(self, Anything).stretch(node, stretch, across, along, mm).count
    }
}
