//! What lies at one point of a piece.

use super::makeup::{Form, Makeup, NodeId, PartName};

/// A point of a piece: thickness, width and length, each from 0 to 1.
pub type Point = [f64; 3];

impl Makeup {
    /// Whether a point lies in a part of a name. On a boundary the lower part counts.
    #[must_use]
    pub fn inside(&self, node: NodeId, name: PartName, point: Point) -> bool {
        let (mut node, mut point) = (node, point);
        loop {
            match self.node(node).form {
                Form::Solid(_) => return false,
                Form::View(view) => {
                    let window = point.map(|p| (p, p));
                    point = view.within(&window).map(|(from, _)| from);
                    node = view.child;
                }
                Form::Twisted { child } => node = child,
                Form::Pile { axis, first, count } => {
                    let at = point.get(axis.index()).copied().unwrap_or(0.5);
                    let parts = self.parts_of(first, count);
                    let mut start = 0.0;
                    let mut found = None;
                    for (i, part) in parts.iter().enumerate() {
                        let end = start + part.fraction;
                        if at <= end || i + 1 == parts.len() {
                            found = Some((*part, ((at - start) / part.fraction).clamp(0.0, 1.0)));
                            break;
                        }
                        start = end;
                    }
                    let Some((part, inner)) = found else { return false };
                    if part.name == name {
                        return true;
                    }
                    if let Some(p) = point.get_mut(axis.index()) {
                        *p = inner;
                    }
                    node = part.node;
                }
            }
        }
    }
}
