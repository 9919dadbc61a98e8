//! Where a line through a piece lies in its named parts.

use smallvec::SmallVec;

use super::ids::{NodeId, PartName};
use super::line::Line;
use super::makeup::{Form, Makeup, OnLine};

/// Stretches of a line, from 0 at its one end to 1 at the other, in order.
pub(super) type Stretches = SmallVec<[(f64, f64); 4]>;

/// Places that one line is followed through before it is given up: no pile of a blade has so many that can be told apart.
const MOST: u32 = 20_000;
/// Stretches with a gap narrower than this are one.
const SAME: f64 = 1e-12;

/// The stretches of a line that lie in parts of a name. Outside of the piece its outermost part goes on.
pub(super) fn runs_on(makeup: &Makeup, node: NodeId, name: PartName, line: Line) -> Stretches {
    let mut search = Search { makeup, name, found: Stretches::new(), left: MOST };
    search.follow(node, line, (0.0, 1.0));
    search.found.sort_by(|x, y| x.0.total_cmp(&y.0));
    let mut joined = Stretches::new();
    for (from, to) in search.found {
        match joined.last_mut() {
            Some(last) if from <= last.1 + SAME => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

struct Search<'a> {
    makeup: &'a Makeup,
    name: PartName,
    found: Stretches,
    left: u32,
}

impl Search<'_> {
    /// Follows a line through a node: `from` to `to` of the whole line are what lies in it.
    fn follow(&mut self, node: NodeId, line: Line, (from, to): (f64, f64)) {
        if self.left == 0 {
            return;
        }
        self.left -= 1;
        let makeup = self.makeup;
        match makeup.told(node) {
            // What was moved about is told apart no more along a line.
            Form::Solid(_) | Form::Warped(..) => {}
            Form::View(view) => {
                let inner = Line { from: view.point(line.from), to: view.point(line.to) };
                self.follow(view.child, inner, (from, to));
            }
            Form::Pile(pile) => {
                for OnLine { part, met: (enters, leaves), line } in makeup.parts_on(pile, line) {
                    let place = |s: f64| from + (to - from) * s;
                    let inside = (place(enters), place(leaves));
                    if part.name == self.name {
                        self.found.push(inside);
                    } else {
                        self.follow(part.node, line, inside);
                    }
                }
            }
        }
    }
}
