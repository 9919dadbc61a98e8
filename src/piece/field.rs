//! The field: which steel lies at a point of a piece. Every picture asks it.
//!
//! The tree of a makeup is laid out flat once: then a point is followed down through piles, views and warps to a solid bar,
//! in as many steps as there are stacks inside stacks.

use std::collections::BTreeMap;

use super::axis::Axis;
use super::ids::{NodeId, PartName, SteelId};
use super::line::Point;
use super::makeup::{Form, Makeup};
use super::relief::Line;
use super::view::View;
use super::warp::Map;

/// One node, with its children by their places in the list.
enum Step {
    Solid(SteelId),
    /// Where each part ends along the axis, and what it is.
    Pile(Axis, Vec<f64>, Vec<usize>),
    /// The same where each part is of one steel.
    Layers(Axis, Vec<f64>, Vec<SteelId>),
    View(View, usize),
    Warp(Map, usize),
    /// The part that was asked for: it is not looked into.
    Part,
}

/// A piece's makeup, laid out to be asked of many points.
pub struct Field {
    steps: Vec<Step>,
    /// Whether a step and all below it bend nothing: no warp is met from there on.
    straight: Vec<bool>,
    /// The step of each node.
    known: BTreeMap<NodeId, usize>,
    root: usize,
}

/// Where a point comes out behind the last warp on its way down.
#[derive(Clone, Copy, Debug)]
pub struct Landing {
    step: usize,
    /// The parts that were entered on the way, folded into a number.
    way: u64,
    point: Point,
}

impl Landing {
    /// Its point, where the other landed by the same way: between such points the way is the same too, and their places run evenly.
    #[inline]
    #[must_use]
    pub fn beside(&self, other: &Landing) -> Option<Point> {
        (self.step == other.step && self.way == other.way).then_some(self.point)
    }

    /// The same way, to another point.
    #[inline]
    #[must_use]
    pub fn at(&self, point: Point) -> Landing {
        Landing { point, ..*self }
    }

    /// The point.
    #[inline]
    #[must_use]
    pub fn point(&self) -> Point {
        self.point
    }
}

/// Layers along an axis, each of one steel.
#[derive(Clone, Copy)]
pub struct Layers {
    step: usize,
    axis: Axis,
}

impl Layers {
    /// Where a point lies along them.
    #[inline]
    #[must_use]
    pub fn along(&self, point: Point) -> f64 {
        self.axis.of(point)
    }

    #[inline]
    pub(super) fn step(&self) -> usize {
        self.step
    }
}

impl Field {
    /// Lays out a node.
    #[must_use]
    pub fn new(makeup: &Makeup, node: NodeId) -> Field {
        Field::lay(makeup, node, None)
    }

    /// Lays out a node to be asked what of it is a part that went in under this name.
    #[must_use]
    pub fn of_part(makeup: &Makeup, node: NodeId, part: PartName) -> Field {
        Field::lay(makeup, node, Some(part))
    }

    fn lay(makeup: &Makeup, node: NodeId, part: Option<PartName>) -> Field {
        let mut layout = Layout { makeup, part, steps: Vec::new(), known: BTreeMap::new() };
        let root = layout.lay(node);
        let mut straight: Vec<bool> = Vec::new();
        for step in &layout.steps {
            // Children are laid out before what they are in.
            let is = |child: &usize| straight.get(*child).copied().unwrap_or(false);
            straight.push(match step {
                Step::Solid(_) | Step::Layers(..) | Step::Part => true,
                Step::Pile(_, _, children) => children.iter().all(is),
                Step::View(_, child) => is(child),
                Step::Warp(..) => false,
            });
        }
        Field { steps: layout.steps, straight, known: layout.known, root }
    }

    /// The steel at a point: thickness, width and length, each from 0 to 1. On a boundary the lower part counts.
    #[must_use]
    pub fn steel(&self, point: Point) -> SteelId {
        self.follow(point, &mut Known::default())
    }

    /// The same for one of many points that lie across a piece at one place along it: what is found on the way down for that place is
    /// not looked for again.
    pub fn follow(&self, point: Point, known: &mut Known) -> SteelId {
        self.under(&self.land(point, known))
    }

    /// Whether the part that was asked for lies at a point.
    pub fn is_part(&self, point: Point, known: &mut Known) -> bool {
        let mut down = Landing { step: self.root, way: 0, point };
        loop {
            match self.steps.get(down.step) {
                Some(Step::Part) => return true,
                Some(Step::Solid(_) | Step::Layers(..)) => return false,
                _ => down = self.deeper(down, known),
            }
        }
    }

    /// Follows a point down through the last warp on its way, and through windows behind that.
    pub fn land(&self, point: Point, known: &mut Known) -> Landing {
        let mut down = Landing { step: self.root, way: 0, point };
        while self.straight.get(down.step) == Some(&false)
            || matches!(self.steps.get(down.step), Some(Step::View(..)))
        {
            down = self.deeper(down, known);
        }
        down
    }

    /// The ends and the steels of the layers of each step: of a solid one, one; of all that are looked into, none.
    pub(super) fn rows(&self) -> impl Iterator<Item = (&[f64], &[SteelId])> {
        self.steps.iter().map(|step| match step {
            Step::Solid(steel) => (&[1.0][..], std::slice::from_ref(steel)),
            Step::Layers(_, ends, steels) => (&ends[..], &steels[..]),
            _ => (&[][..], &[][..]),
        })
    }

    /// The step of a node that it was laid out with.
    pub(super) fn step_of(&self, node: NodeId) -> Option<usize> {
        self.known.get(&node).copied()
    }

    /// What a point has landed in, where that is plain layers.
    #[inline]
    #[must_use]
    pub fn layers(&self, landing: &Landing) -> Option<Layers> {
        match self.steps.get(landing.step) {
            Some(Step::Layers(axis, ..)) => Some(Layers { step: landing.step, axis: *axis }),
            _ => None,
        }
    }

    /// The steel at a point that has landed.
    #[must_use]
    #[inline]
    pub fn under(&self, landing: &Landing) -> SteelId {
        let (step, along) = self.end_of(landing);
        match self.steps.get(step) {
            Some(Step::Solid(steel)) => *steel,
            Some(Step::Layers(_, ends, steels)) => {
                let layer = place(ends, along);
                *steels.get(layer).unwrap_or_else(|| bug!("layer {layer} of {}", steels.len()))
            }
            _ => bug!("step {step} of {} is looked into", self.steps.len()),
        }
    }

    /// The step of layers, or of one steel, in which a point that has landed lies, and where along them.
    #[inline]
    pub(super) fn end_of(&self, landing: &Landing) -> (usize, f64) {
        let Landing { mut step, mut point, .. } = *landing;
        loop {
            match self.steps.get(step) {
                Some(Step::Solid(_)) => return (step, 0.5),
                Some(Step::Layers(axis, ..)) => return (step, axis.of(point)),
                Some(Step::View(view, child)) => (step, point) = (*child, view.point(point)),
                Some(Step::Pile(axis, ends, children)) => {
                    let (_, child, within) = part(ends, children, axis.of(point));
                    (step, point) = (child, axis.with(point, within));
                }
                None | Some(Step::Warp(..) | Step::Part) => {
                    bug!("step {step} of a field of {} is not straight", self.steps.len())
                }
            }
        }
    }

    /// One step down.
    fn deeper(&self, Landing { step: at, way, point }: Landing, known: &mut Known) -> Landing {
        let down = |point: Point, step: &usize| Landing { step: *step, way, point };
        match self.steps.get(at) {
            None | Some(Step::Solid(_) | Step::Layers(..) | Step::Part) => {
                bug!("step {at} of a field of {}", self.steps.len())
            }
            Some(Step::View(view, child)) => down(view.point(point), child),
            Some(Step::Warp(Map::Level(level), child)) => {
                let [.., along] = point;
                down(level.raise_on(point, known.line(at, along, || level.line(along))), child)
            }
            Some(Step::Warp(map, child)) => down(map.back(point), child),
            Some(Step::Pile(axis, ends, children)) => {
                let (i, child, within) = part(ends, children, axis.of(point));
                // Multiplied by an odd number (of splitmix64), so that the order of the parts counts too.
                let way = way.wrapping_add(i as u64 + 1).wrapping_mul(0xbf58_476d_1ce4_e5b9);
                Landing { step: child, way, point: axis.with(point, within) }
            }
        }
    }
}

/// What stands across the hollows that steps of a field were asked for last, and the place along that it is of.
#[derive(Default)]
pub struct Known(Vec<(usize, f64, Line)>);

impl Known {
    fn line(&mut self, step: usize, of: f64, find: impl FnOnce() -> Line) -> &Line {
        let at = self.0.iter().position(|(known, ..)| *known == step).unwrap_or(self.0.len());
        if self.0.get(at).is_none_or(|(_, place, _)| *place != of) {
            self.0.truncate(at);
            self.0.push((step, of, find()));
        }
        match self.0.get(at) {
            Some((.., line)) => line,
            None => bug!("no line {at} of {}", self.0.len()),
        }
    }
}

/// The part of a pile that lies at a place along it: which it is, its step, and where in it the place lies.
#[inline]
fn part(ends: &[f64], children: &[usize], x: f64) -> (usize, usize, f64) {
    let i = place(ends, x);
    let start = if i == 0 { 0.0 } else { ends.get(i - 1).copied().unwrap_or(0.0) };
    let (Some(end), Some(child)) = (ends.get(i), children.get(i)) else { bug!("part {i} of {}", ends.len()) };
    let within = if end > &start { ((x - start) / (end - start)).clamp(0.0, 1.0) } else { 0.5 };
    (i, *child, within)
}

/// The first end that is not below `x`; the last where none is.
#[inline]
pub(super) fn place(ends: &[f64], x: f64) -> usize {
    let last = ends.len().saturating_sub(1);
    // Most piles are of parts alike: the guess is then right at once.
    let guess = ((x * ends.len() as f64) as usize).min(last);
    let ends_at = |i: usize| ends.get(i).is_none_or(|end| *end >= x);
    if ends_at(guess) && (guess == 0 || !ends_at(guess - 1)) {
        return guess;
    }
    ends.partition_point(|end| *end < x).min(last)
}

struct Layout<'a> {
    makeup: &'a Makeup,
    /// What is not looked into.
    part: Option<PartName>,
    steps: Vec<Step>,
    known: BTreeMap<NodeId, usize>,
}

impl Layout<'_> {
    fn lay(&mut self, node: NodeId) -> usize {
        if let Some(known) = self.known.get(&node) {
            return *known;
        }
        let step = match self.makeup.node(node).form {
            Form::Solid(steel) => Step::Solid(steel),
            Form::View(view) => Step::View(view, self.lay(view.child)),
            Form::Warped(child, warp) => Step::Warp(self.makeup.warp_of(warp).map(), self.lay(child)),
            Form::Pile(pile) => {
                let parts = self.makeup.parts_of(pile);
                let mut end = 0.0;
                let ends = parts.iter().map(|part| {
                    end += part.fraction;
                    end
                });
                let ends = ends.collect();
                let children = parts.iter().map(|part| {
                    if Some(part.name) == self.part {
                        self.steps.push(Step::Part);
                        return self.steps.len() - 1;
                    }
                    self.lay(part.node)
                });
                let children: Vec<usize> = children.collect();
                let steel = |child: &usize| match self.steps.get(*child) {
                    Some(Step::Solid(steel)) => Some(*steel),
                    _ => None,
                };
                match children.iter().map(steel).collect() {
                    Some(steels) => Step::Layers(pile.axis, ends, steels),
                    None => Step::Pile(pile.axis, ends, children),
                }
            }
        };
        self.steps.push(step);
        let at = self.steps.len() - 1;
        self.known.insert(node, at);
        at
    }
}
