//! Named parts inside a piece: how thick, how wide, how many layers each is where the middle meets it.

use super::axis::Axis;
use super::ids::{NodeId, PartName, SteelId};
use super::makeup::Makeup;
use super::walk::{Tally, Walk};

/// The runs of one named part along the middle of a piece, in mm. Touching bars of the name are one run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartRuns {
    /// The thinnest run, mm.
    pub least: f64,
    /// The thickest run, mm.
    pub most: f64,
    /// Layers in the run that has fewest.
    pub least_layers: u64,
    /// Layers in the run that has most.
    pub most_layers: u64,
}

#[derive(Clone, Copy)]
struct Run {
    length: f64,
    layers: u64,
}

/// Runs met on a stretch: the ones that touch its ends are still open.
#[derive(Clone, Copy)]
enum Runs {
    Nothing,
    Other,
    /// The whole stretch is the part.
    All(Run),
    Some {
        head: Option<Run>,
        inside: Option<PartRuns>,
        tail: Option<Run>,
    },
}

fn add(a: Run, b: Run) -> Run {
    Run { length: a.length + b.length, layers: a.layers.saturating_add(b.layers) }
}

fn close(inside: Option<PartRuns>, run: Option<Run>) -> Option<PartRuns> {
    let Some(run) = run else { return inside };
    let one =
        PartRuns { least: run.length, most: run.length, least_layers: run.layers, most_layers: run.layers };
    Some(merge(inside, one))
}

fn merge(a: Option<PartRuns>, b: PartRuns) -> PartRuns {
    a.map_or(b, |a| PartRuns {
        least: a.least.min(b.least),
        most: a.most.max(b.most),
        least_layers: a.least_layers.min(b.least_layers),
        most_layers: a.most_layers.max(b.most_layers),
    })
}

impl Tally for Runs {
    fn nothing() -> Self {
        Runs::Nothing
    }

    fn steel(_: SteelId, _: f64) -> Self {
        Runs::Other
    }

    fn then(self, next: Self) -> Self {
        let open = |runs: Runs| match runs {
            Runs::Some { head, inside, tail } => (head, inside, tail),
            _ => (None, None, None),
        };
        match (self, next) {
            (Runs::Nothing, x) | (x, Runs::Nothing) => x,
            (Runs::All(a), Runs::All(b)) => Runs::All(add(a, b)),
            (Runs::All(a), x) => {
                let (head, inside, tail) = open(x);
                Runs::Some { head: Some(head.map_or(a, |h| add(a, h))), inside, tail }
            }
            (x, Runs::All(b)) => {
                let (head, inside, tail) = open(x);
                Runs::Some { head, inside, tail: Some(tail.map_or(b, |t| add(t, b))) }
            }
            (a, b) => {
                let ((head, one, end), (start, two, tail)) = (open(a), open(b));
                let joint = match (end, start) {
                    (Some(x), Some(y)) => Some(add(x, y)),
                    (x, y) => x.or(y),
                };
                let inside = close(one, joint);
                let inside = two.map_or(inside, |two| Some(merge(inside, two)));
                Runs::Some { head, inside, tail }
            }
        }
    }

    fn back(self) -> Self {
        match self {
            Runs::Some { head, inside, tail } => Runs::Some { head: tail, inside, tail: head },
            same => same,
        }
    }

    fn scaled(self, factor: f64) -> Self {
        let run = |r: Run| Run { length: r.length * factor, ..r };
        match self {
            Runs::All(r) => Runs::All(run(r)),
            Runs::Some { head, inside, tail } => Runs::Some {
                head: head.map(run),
                inside: inside.map(|i| PartRuns { least: i.least * factor, most: i.most * factor, ..i }),
                tail: tail.map(run),
            },
            same => same,
        }
    }
}

impl PartRuns {
    /// The runs of a named part along the middle of a piece that is `mm` long that way; `None` where the
    /// middle meets none.
    #[must_use]
    pub fn of(makeup: &Makeup, node: NodeId, name: PartName, axis: Axis, mm: f64) -> Option<PartRuns> {
        let part = |other: PartName, node: NodeId, length: f64| {
            (other == name).then(|| Runs::All(Run { length, layers: makeup.layers(node) }))
        };
        match Walk::new(makeup, &part).middle(node, axis, mm).scaled(mm) {
            Runs::Nothing | Runs::Other => None,
            Runs::All(run) => close(None, Some(run)),
            Runs::Some { head, inside, tail } => close(close(inside, head), tail),
        }
    }
}
