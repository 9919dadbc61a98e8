//! Means over a window of a node: density, and the share of a named part.

use std::collections::HashMap;

use super::makeup::{Form, Makeup, NodeId, PartName};
use super::view::{Cut, WHOLE};

/// What the mean is taken of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Of {
    /// Density, g/mm3.
    Density,
    /// 1 inside a named part, 0 outside.
    Share(PartName),
    /// Density inside a named part, 0 outside.
    Inside(PartName),
}

type Key = (NodeId, [u64; 6], Of);

/// Means already taken, by node and window.
#[derive(Debug, Default)]
pub(super) struct Memo(HashMap<Key, f64>);

impl Makeup {
    /// Mean density inside a window, g/mm3.
    pub(super) fn mean_density(&mut self, node: NodeId, window: Cut) -> f64 {
        let mut memo = std::mem::take(&mut self.memo);
        memo.0.clear();
        let mean = self.mean(node, window, Of::Density, &mut memo);
        self.memo = memo;
        mean
    }

    /// Mass in g inside a window of a node that as a whole fills `volume` mm3.
    #[must_use]
    pub fn mass_within(&mut self, node: NodeId, window: Cut, volume: f64) -> f64 {
        let share: f64 = window.iter().map(|(from, to)| to - from).product();
        if share <= 0.0 {
            return 0.0;
        }
        let n = self.node(node);
        let density = if n.even { n.density } else { self.mean_density(node, window) };
        volume * share * density
    }

    /// The share of the volume that went in under a name, 0 to 1; `None` where no such part is inside.
    #[must_use]
    pub fn share_of(&self, node: NodeId, name: PartName) -> Option<f64> {
        let share = self.mean(node, WHOLE, Of::Share(name), &mut Memo::default());
        (share > 0.0).then_some(share)
    }

    /// Mass in g of what went in under a name, in a piece of this volume, mm3.
    #[must_use]
    pub fn mass_of(&self, node: NodeId, name: PartName, volume: f64) -> f64 {
        volume * self.mean(node, WHOLE, Of::Inside(name), &mut Memo::default())
    }

    fn mean(&self, id: NodeId, mut window: Cut, of: Of, memo: &mut Memo) -> f64 {
        let node = self.node(id);
        if of == Of::Density && node.even {
            return node.density;
        }
        for (varies, w) in node.varies.iter().zip(&mut window) {
            if !varies {
                *w = (0.0, 1.0);
            }
        }
        let whole = window.iter().all(|w| w.0 <= 0.0 && w.1 >= 1.0);
        if of == Of::Density && whole {
            return node.density;
        }
        let [t, w, l] = window;
        let bits = [t.0, t.1, w.0, w.1, l.0, l.1].map(f64::to_bits);
        if let Some(known) = memo.0.get(&(id, bits, of)) {
            return *known;
        }
        let mean = match node.form {
            Form::Solid(_) if of == Of::Density => node.density,
            Form::Solid(_) => 0.0,
            Form::View(view) => self.mean(view.child, view.within(&window), of, memo),
            Form::Twisted { child } => self.mean(child, WHOLE, of, memo),
            Form::Pile { axis, first, count } => {
                let (from, to) = window.get(axis.index()).copied().unwrap_or((0.0, 1.0));
                let (mut sum, mut start) = (0.0, 0.0);
                for part in self.parts_of(first, count) {
                    let end = start + part.fraction;
                    let (a, b) = (from.max(start), to.min(end));
                    if b > a {
                        let here = if of == Of::Share(part.name) {
                            1.0
                        } else {
                            let of = if of == Of::Inside(part.name) { Of::Density } else { of };
                            let mut inside = window;
                            if let Some(w) = inside.get_mut(axis.index()) {
                                let local = |x: f64| ((x - start) / part.fraction).clamp(0.0, 1.0);
                                *w = (local(a), local(b));
                            }
                            self.mean(part.node, inside, of, memo)
                        };
                        sum += (b - a) * here;
                    }
                    start = end;
                }
                sum / (to - from)
            }
        };
        memo.0.insert((id, bits, of), mean);
        mean
    }
}
