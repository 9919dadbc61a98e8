//! A smaller window of a node, or the same node turned: what grinding, burning, cutting and turning leave.

use super::makeup::{Axis, Form, Makeup, Node, NodeId};

/// How much of a bar is left along each axis, as fractions of what it was: `(from, to)`.
pub type Cut = [(f64, f64); 3];

/// The whole of a bar.
pub(super) const WHOLE: Cut = [(0.0, 1.0); 3];

/// Everything is given along the *child's* axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    pub child: NodeId,
    pub window: Cut,
    pub flipped: [bool; 3],
    /// Thickness and width changed places.
    pub turned: bool,
    /// How long the window was, mm, when it was cut: tells what is too thin to be a layer.
    pub size: [f64; 3],
}

impl View {
    /// The child's axis that lies along this axis of the view.
    pub fn inner(&self, axis: Axis) -> Axis {
        if self.turned { axis.turned() } else { axis }
    }
}

impl View {
    /// A window on the view, as the child sees it.
    pub fn within(&self, window: &Cut) -> Cut {
        let mut inner = WHOLE;
        for axis in Axis::ALL {
            let (i, m) = (axis.index(), self.inner(axis).index());
            let (Some(made), Some((from, to)), Some((a, b)), Some(flip)) =
                (inner.get_mut(i), self.window.get(i), window.get(m), self.flipped.get(i))
            else {
                continue;
            };
            let (a, b) = if *flip { (1.0 - b, 1.0 - a) } else { (*a, *b) };
            *made = (from + (to - from) * a, from + (to - from) * b);
        }
        inner
    }
}

impl Makeup {
    /// What is left of a node inside `cut`; `size` is the whole bar in mm before the cut.
    pub fn cut(&mut self, node: NodeId, cut: Cut, size: [f64; 3]) -> NodeId {
        let mut left = [0.0; 3];
        for ((l, (from, to)), s) in left.iter_mut().zip(cut).zip(size) {
            *l = (to - from) * s;
        }
        self.view(View { child: node, window: cut, flipped: [false; 3], turned: false, size: left })
    }

    /// A quarter turn about the length: width becomes thickness.
    pub fn turn(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        // Turning one way: what lay at the top edge of the width comes to lie on top.
        self.view(View { child: node, window: WHOLE, flipped: [true, false, false], turned: true, size })
    }

    /// Half a turn about the length: top to bottom.
    pub fn flip(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        self.view(View { child: node, window: WHOLE, flipped: [true, true, false], turned: false, size })
    }

    /// A leaf folded over: top to bottom and end for end.
    pub fn mirror(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        self.view(View { child: node, window: WHOLE, flipped: [true, false, true], turned: false, size })
    }

    /// Folds a view of a view into one, drops what makes no difference, and adds the node.
    fn view(&mut self, mut view: View) -> NodeId {
        if let Form::View(under) = self.node(view.child).form {
            view = over(&view, &under);
        }
        let child = *self.node(view.child);
        for ((varies, window), flipped) in child.varies.iter().zip(&mut view.window).zip(&mut view.flipped) {
            if !varies {
                *window = (0.0, 1.0);
                *flipped = false;
            }
        }
        let alike = |a: (f64, f64), b: (f64, f64)| a.0 == b.0 && a.1 == b.1;
        let whole = view.window.iter().zip(WHOLE).all(|(a, b)| alike(*a, b));
        let still = !view.flipped.contains(&true);
        let turn_shows =
            view.turned && (child.varies.first() != Some(&false) || child.varies.get(1) != Some(&false));
        if whole && still && !turn_shows {
            return view.child;
        }
        let density =
            if whole || child.even { child.density } else { self.mean_density(view.child, view.window) };
        let [t, w, l] = child.varies;
        let varies = if view.turned { [w, t, l] } else { [t, w, l] };
        self.push(Node { form: Form::View(view), density, varies, ..child })
    }
}

/// `outer` looks at the view `under`: the same as one view of what lies beneath.
fn over(outer: &View, under: &View) -> View {
    let mut made = View { child: under.child, turned: outer.turned != under.turned, ..*under };
    for axis in Axis::ALL {
        // `axis` is the child's; `middle` the same direction as the under view presents it.
        let (i, m) = (axis.index(), under.inner(axis).index());
        let get = |w: &Cut, i: usize| w.get(i).copied().unwrap_or((0.0, 1.0));
        let bit = |f: &[bool; 3], i: usize| f.get(i).copied().unwrap_or(false);
        let ((from, to), (a, b)) = (get(&under.window, i), get(&outer.window, m));
        let (a, b) = if bit(&under.flipped, i) { (1.0 - b, 1.0 - a) } else { (a, b) };
        let lerp = |x: f64| if x >= 1.0 { to } else { from + (to - from) * x };
        if let (Some(window), Some(flip), Some(size)) =
            (made.window.get_mut(i), made.flipped.get_mut(i), made.size.get_mut(i))
        {
            *window = (lerp(a), lerp(b));
            *flip = bit(&under.flipped, i) != bit(&outer.flipped, m);
            *size = outer.size.get(m).copied().unwrap_or(*size);
        }
    }
    made
}
