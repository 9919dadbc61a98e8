//! The layer count as the trade writes it: a stack that was turned and restacked is a product.

use std::collections::BTreeMap;

use super::axis::Axis;
use super::ids::NodeId;
use super::makeup::{Form, Makeup};

/// Layers in runs of one direction each, the last still growing along `along`.
#[derive(Clone, Debug, PartialEq)]
struct Written {
    before: Vec<u64>,
    last: u64,
    along: Option<Axis>,
}

/// `13`, or `25 x 15` for a turned stack; the plain number where the stacks are of no one kind.
#[must_use]
pub fn layers_text(makeup: &Makeup, node: NodeId) -> String {
    let written = Count { makeup, known: BTreeMap::new() }.of(node);
    match written.filter(|w| !w.before.is_empty()) {
        Some(w) => {
            let runs: Vec<String> = w.before.iter().chain([&w.last]).map(u64::to_string).collect();
            runs.join(" x ")
        }
        None => makeup.layers(node).to_string(),
    }
}

struct Count<'a> {
    makeup: &'a Makeup,
    known: BTreeMap<NodeId, Option<Written>>,
}

impl Count<'_> {
    fn of(&mut self, id: NodeId) -> Option<Written> {
        if let Some(written) = self.known.get(&id) {
            return written.clone();
        }
        let made = match self.makeup.told(id) {
            Form::Solid(_) => Some(Written { before: Vec::new(), last: 1, along: None }),
            Form::View(view) => self.of(view.child).map(|mut w| {
                // Seen along the view's own axes.
                w.along = w.along.map(|a| view.outer(a));
                w
            }),
            Form::Warped(child, _) => self.of(child),
            Form::Pile(pile) => {
                let nodes = self.makeup.parts_of(pile).iter().map(|p| p.node);
                if pile.axis == Axis::Length {
                    nodes.filter_map(|node| self.of(node)).max_by_key(|w| w.before.len())
                } else {
                    self.pile(pile.axis, &nodes.collect::<Vec<_>>())
                }
            }
        };
        self.known.insert(id, made.clone());
        made
    }

    fn pile(&mut self, axis: Axis, nodes: &[NodeId]) -> Option<Written> {
        let first = self.of(*nodes.first()?)?;
        let (mut sum, mut crossed) = (0u64, false);
        for node in nodes {
            let one = self.of(*node)?;
            let along = one.along.is_none_or(|a| a == axis);
            if along && one.before == first.before {
                sum = sum.checked_add(one.last)?;
            } else if one == first {
                crossed = true;
            } else {
                return None;
            }
        }
        if crossed {
            let mut before = first.before;
            before.push(first.last);
            let last = u64::try_from(nodes.len()).ok()?;
            return Some(Written { before, last, along: Some(axis) });
        }
        Some(Written { before: first.before, last: sum, along: Some(axis) })
    }
}
