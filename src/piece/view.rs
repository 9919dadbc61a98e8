//! A smaller window of a node, or the same node turned: what grinding, burning, cutting and turning leave.

use super::axis::Axis;
use super::ids::NodeId;
use super::line::Point;

/// How much of a bar is left along each axis, as fractions of what it was: `(from, to)`.
pub type Cut = [(f64, f64); 3];

/// The whole of a bar.
pub(super) const WHOLE: Cut = [(0.0, 1.0); 3];

/// The same window, told alike for all that look alike: along an axis that makes no difference it is whole.
pub(super) fn telling(window: Cut, varies: [bool; 3]) -> Cut {
    Axis::each(|axis| if axis.of(varies) { axis.of(window) } else { (0.0, 1.0) })
}

/// A place in a node, 0 to 1, as a key: what rounding alone tells apart, having come down another way, is one place.
pub(super) fn place(x: f64) -> i64 {
    (x * (1u64 << 40) as f64).round() as i64
}

/// A size as a key: likewise.
pub(super) fn about(x: f64) -> u64 {
    x.to_bits().saturating_add(1 << 11) >> 12
}

/// A window as a key: figures that differ in any bit differ.
pub(super) fn bits([t, w, l]: Cut) -> [u64; 6] {
    [t.0.to_bits(), t.1.to_bits(), w.0.to_bits(), w.1.to_bits(), l.0.to_bits(), l.1.to_bits()]
}

/// Everything is given along the *child's* axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    pub child: NodeId,
    pub window: Cut,
    pub flipped: [bool; 3],
    /// The child's axis that lies along each axis of the view.
    pub order: [Axis; 3],
    /// How long the window was, mm, when it was cut: tells what is too thin to be a layer.
    pub size: [f64; 3],
}

impl View {
    /// The same look at a child that differs only along some of its axes.
    pub fn telling(self, varies: [bool; 3]) -> View {
        let flipped = Axis::each(|axis| axis.of(varies) && axis.of(self.flipped));
        View { window: telling(self.window, varies), flipped, ..self }
    }

    /// The child's axis that lies along this axis of the view.
    pub fn inner(&self, axis: Axis) -> Axis {
        axis.of(self.order)
    }

    /// The axis of the view along which one of the child's lies.
    pub fn outer(&self, axis: Axis) -> Axis {
        match self.order {
            [thick, ..] if thick == axis => Axis::Thickness,
            [_, wide, _] if wide == axis => Axis::Width,
            [.., long] if long == axis => Axis::Length,
            order => bug!("{axis:?} is lost in {order:?}"),
        }
    }

    /// Whether axes changed places, or ends did.
    pub fn moves(&self) -> bool {
        self.order != Axis::ALL || self.flipped != [false; 3]
    }

    /// A stretch of the view along one of the child's axes, as the view presents it.
    fn met(&self, axis: Axis, window: &Cut) -> (f64, f64) {
        let (a, b) = self.outer(axis).of(*window);
        if axis.of(self.flipped) { (1.0 - b, 1.0 - a) } else { (a, b) }
    }

    /// A window on the view, as the child sees it.
    pub fn within(&self, window: &Cut) -> Cut {
        Axis::each(|axis| {
            let ((from, to), (a, b)) = (axis.of(self.window), self.met(axis, window));
            (from + (to - from) * a, from + (to - from) * b)
        })
    }

    /// A point of the view, as the child sees it.
    #[inline]
    pub fn point(&self, point: Point) -> Point {
        let mut inside = point;
        for (axis, v) in self.order.into_iter().zip(point) {
            let (from, to) = axis.of(self.window);
            let v = if axis.of(self.flipped) { 1.0 - v } else { v };
            inside = axis.with(inside, from + (to - from) * v);
        }
        inside
    }

    /// A look at another view: the same as one view of what lies beneath that one.
    pub fn over(&self, under: &View) -> View {
        View {
            child: under.child,
            order: self.order.map(|axis| under.inner(axis)),
            window: Axis::each(|axis| {
                let ((from, to), (a, b)) = (axis.of(under.window), under.met(axis, &self.window));
                let place = |x: f64| if x >= 1.0 { to } else { from + (to - from) * x };
                (place(a), place(b))
            }),
            flipped: Axis::each(|axis| axis.of(under.flipped) != under.outer(axis).of(self.flipped)),
            size: Axis::each(|axis| under.outer(axis).of(self.size)),
        }
    }
}
