//! What lies on a straight line through a piece, anywhere and in any direction.

use smallvec::SmallVec;

use super::makeup::{Form, Makeup, NodeId, PartName};

/// A point of a piece: thickness, width and length, each from 0 to 1.
pub type Point = [f64; 3];

/// Stretches of a line, from 0 at its one end to 1 at the other, in order.
pub type Stretches = SmallVec<[(f64, f64); 4]>;

/// Places that one line is followed through before it is given up: no pile of a blade has so many that can be told apart.
const MOST: u32 = 20_000;
/// Stretches with a gap narrower than this are one.
const SAME: f64 = 1e-12;

impl Makeup {
    /// The stretches of the line from `a` to `b` that lie in parts of a name. Outside of the piece its outermost part goes on.
    #[must_use]
    pub fn runs_on(&self, node: NodeId, name: PartName, a: Point, b: Point) -> Stretches {
        let mut found = Stretches::new();
        let mut left = MOST;
        self.follow(node, name, [a, b], (0.0, 1.0), &mut found, &mut left);
        found.sort_by(|x, y| x.0.total_cmp(&y.0));
        let mut joined = Stretches::new();
        for (from, to) in found {
            match joined.last_mut() {
                Some(last) if from <= last.1 + SAME => last.1 = last.1.max(to),
                _ => joined.push((from, to)),
            }
        }
        joined
    }

    fn follow(
        &self,
        node: NodeId,
        name: PartName,
        [a, b]: [Point; 2],
        (from, to): (f64, f64),
        found: &mut Stretches,
        left: &mut u32,
    ) {
        if *left == 0 {
            return;
        }
        *left -= 1;
        match self.node(node).form {
            // What is wound round the middle is told apart no more.
            Form::Solid(_) | Form::Twisted { .. } => {}
            Form::View(view) => {
                let seen = |p: Point| view.within(&p.map(|v| (v, v))).map(|(at, _)| at);
                self.follow(view.child, name, [seen(a), seen(b)], (from, to), found, left);
            }
            Form::Pile { axis, first, count } => {
                let at = |p: &Point| p.get(axis.index()).copied().unwrap_or(0.5);
                let (p, q) = (at(&a), at(&b));
                let parts = self.parts_of(first, count);
                let mut start = 0.0;
                for (i, part) in parts.iter().enumerate() {
                    let low = if i == 0 { f64::NEG_INFINITY } else { start };
                    start += part.fraction;
                    let high = if i + 1 == parts.len() { f64::INFINITY } else { start };
                    // Where along the line, 0 to 1, this part is met.
                    let (enters, leaves) = met(p, q, low, high);
                    if leaves <= enters {
                        continue;
                    }
                    let place = |s: f64| from + (to - from) * s;
                    let inside = (place(enters), place(leaves));
                    if part.name == name {
                        found.push(inside);
                        continue;
                    }
                    let begin = start - part.fraction;
                    let local = |s: f64| -> Point {
                        let mut point = a;
                        for ((v, a), b) in point.iter_mut().zip(a).zip(b) {
                            *v = a + (b - a) * s;
                        }
                        if let Some(v) = point.get_mut(axis.index()) {
                            *v = (*v - begin) / part.fraction;
                        }
                        point
                    };
                    self.follow(part.node, name, [local(enters), local(leaves)], inside, found, left);
                }
            }
        }
    }
}

impl Makeup {
    /// Mean density on a line through the thickness at one place of the width and length, g/mm3.
    ///
    /// Layers that are crossed whole are not looked into, so the cost goes with the stacks and not with the layers.
    #[must_use]
    pub fn density_through(&self, node: NodeId, (from, to): (f64, f64), across: f64, along: f64) -> f64 {
        let to = to.max(from + 1e-12);
        self.dense(node, [from, across, along], [to, across, along])
    }

    fn dense(&self, node: NodeId, a: Point, b: Point) -> f64 {
        let n = self.node(node);
        // The line runs along one axis of the node; what it crosses whole, and is alike across, has its mean.
        let whole = a
            .iter()
            .zip(&b)
            .zip(n.varies)
            .all(|((a, b), varies)| !varies || (a.min(*b) <= 0.0 && a.max(*b) >= 1.0));
        if n.even || whole {
            return n.density;
        }
        match n.form {
            Form::Solid(_) | Form::Twisted { .. } => n.density,
            Form::View(view) => {
                let seen = |p: Point| view.within(&p.map(|v| (v, v))).map(|(at, _)| at);
                self.dense(view.child, seen(a), seen(b))
            }
            Form::Pile { axis, first, count } => {
                let at = |p: &Point| p.get(axis.index()).copied().unwrap_or(0.5);
                let (p, q) = (at(&a), at(&b));
                let parts = self.parts_of(first, count);
                let (mut start, mut sum, mut share) = (0.0, 0.0, 0.0);
                for (i, part) in parts.iter().enumerate() {
                    let begin = start;
                    start += part.fraction;
                    let low = if i == 0 { f64::NEG_INFINITY } else { begin };
                    let high = if i + 1 == parts.len() { f64::INFINITY } else { start };
                    let (enters, leaves) = met(p, q, low, high);
                    if leaves <= enters {
                        continue;
                    }
                    let local = |s: f64| -> Point {
                        let mut point = a;
                        for ((v, a), b) in point.iter_mut().zip(a).zip(b) {
                            *v = a + (b - a) * s;
                        }
                        if let Some(v) = point.get_mut(axis.index()) {
                            *v = ((*v - begin) / part.fraction).clamp(0.0, 1.0);
                        }
                        point
                    };
                    sum += (leaves - enters) * self.dense(part.node, local(enters), local(leaves));
                    share += leaves - enters;
                }
                if share > 0.0 { sum / share } else { n.density }
            }
        }
    }
}

/// Where a line that runs from `p` to `q` lies between two bounds, as shares of its length. On a boundary the lower part counts.
fn met(p: f64, q: f64, low: f64, high: f64) -> (f64, f64) {
    if p == q {
        return if p > low && p <= high { (0.0, 1.0) } else { (0.0, 0.0) };
    }
    let at = |v: f64| ((v - p) / (q - p)).clamp(0.0, 1.0);
    let (a, b) = (at(low), at(high));
    (a.min(b), a.max(b))
}
