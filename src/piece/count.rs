//! The layer count as the trade writes it: a stack that was turned and restacked is a product.

use std::collections::HashMap;

use super::makeup::{Axis, Form, Makeup, NodeId};

/// Layers in runs of one direction each, the last still growing along `along`.
#[derive(Clone, Debug, PartialEq)]
struct Written {
    before: Vec<u64>,
    last: u64,
    along: Option<Axis>,
}

impl Makeup {
    /// `13`, or `25 x 15` for a turned stack; the plain number where the stacks are of no one kind.
    #[must_use]
    pub fn layers_text(&self, node: NodeId) -> String {
        let written = self.written(node, &mut HashMap::new());
        match written.filter(|w| !w.before.is_empty()) {
            Some(w) => {
                let runs: Vec<String> = w.before.iter().chain([&w.last]).map(u64::to_string).collect();
                runs.join(" x ")
            }
            None => self.layers(node).to_string(),
        }
    }

    fn written(&self, id: NodeId, known: &mut HashMap<NodeId, Option<Written>>) -> Option<Written> {
        if let Some(written) = known.get(&id) {
            return written.clone();
        }
        let made = match self.node(id).form {
            Form::Solid(_) => Some(Written { before: Vec::new(), last: 1, along: None }),
            Form::View(view) => self.written(view.child, known).map(|mut w| {
                // Seen along the view's own axes.
                w.along = w.along.map(|a| if view.turned { a.turned() } else { a });
                w
            }),
            Form::Twisted { child } => self.written(child, known),
            Form::Pile { axis: Axis::Length, first, count } => {
                let parts: Vec<NodeId> = self.parts_of(first, count).iter().map(|p| p.node).collect();
                parts.into_iter().filter_map(|p| self.written(p, known)).max_by_key(|w| w.before.len())
            }
            Form::Pile { axis, first, count } => {
                let nodes: Vec<NodeId> = self.parts_of(first, count).iter().map(|p| p.node).collect();
                self.pile_written(axis, &nodes, known)
            }
        };
        known.insert(id, made.clone());
        made
    }

    fn pile_written(
        &self,
        axis: Axis,
        nodes: &[NodeId],
        known: &mut HashMap<NodeId, Option<Written>>,
    ) -> Option<Written> {
        let first = self.written(*nodes.first()?, known)?;
        let (mut sum, mut crossed) = (0u64, false);
        for node in nodes {
            let one = self.written(*node, known)?;
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
