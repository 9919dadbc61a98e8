//! Taking steel off the outside of a bar: what is left of its makeup, and what weight went.

use crate::piece::{Axis, Bar, Cause, Cut, Lot, LotId};

use crate::forge::{Cx, Sink};

/// The window that is left when the middle `kept` of each size stays.
#[must_use]
pub fn shell(kept: [f64; 3]) -> Cut {
    kept.map(|k| ((1.0 - k) / 2.0, (1.0 + k) / 2.0))
}

/// Cuts a bar's makeup down to a window and books the weight of what went, slab by slab.
///
/// `volume` is that of one bar before, mm3; `size` its three sizes, mm. The bar's own sizes are the caller's.
pub fn take_off<S: Sink>(
    cx: &mut Cx<S>,
    to: LotId,
    lot: &mut Lot,
    left: Cut,
    cause: Cause,
    volume: f64,
    size: [f64; 3],
) {
    if S::COUNTS {
        let grams = weight_outside(cx, lot, left, volume);
        cx.lose(to, cause, grams, lot.count);
    }
    lot.bar.node = cx.makeup.cut(lot.bar.node, left, size);
}

/// The weight of what lies outside a window, g: six slabs that do not overlap.
pub fn weight_outside<S: Sink>(cx: &mut Cx<S>, lot: &Lot, left: Cut, volume: f64) -> f64 {
    let [t, w, l] = left;
    let all = (0.0, 1.0);
    let slabs: [Cut; 6] = [
        [(0.0, t.0), all, all],
        [(t.1, 1.0), all, all],
        [t, (0.0, w.0), all],
        [t, (w.1, 1.0), all],
        [t, w, (0.0, l.0)],
        [t, w, (l.1, 1.0)],
    ];
    let mass: f64 = slabs.into_iter().map(|slab| cx.makeup.mass_within(lot.bar.node, slab, volume)).sum();
    mass * lot.bar.past.light
}

/// A length of a bar, from `from` mm behind the heel end, `long` mm of it, weighed.
pub fn segment<S: Sink>(cx: &mut Cx<S>, bar: &Bar, from: f64, long: f64) -> Bar {
    let window = (from / bar.long, ((from + long) / bar.long).min(1.0));
    let mut piece = *bar;
    // A bar that is the same along its length is the same in each of its pieces.
    if cx.makeup.placed(bar.node, Axis::Length) {
        piece.node = cx.makeup.cut(bar.node, [(0.0, 1.0), (0.0, 1.0), window], bar.sizes());
    }
    piece.long = long;
    piece.mass = piece.volume() * cx.makeup.density(piece.node) * piece.past.light;
    piece
}
