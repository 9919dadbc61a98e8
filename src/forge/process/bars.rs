//! Laying bars on each other: the pile that they make.

use crate::piece::{Axis, Bar, Part, PartName, Past, Section};
use crate::source::Span;

use crate::forge::cx::too_much;
use crate::forge::{Cx, Outcome, Sink};

/// Lays bars, lowest first, along an axis. They must be alike across it.
///
/// # Errors
/// More layers or stacks than can be counted.
pub fn pile<'b, S: Sink>(
    cx: &mut Cx<S>,
    axis: Axis,
    bars: impl Iterator<Item = (&'b Bar, PartName)> + Clone,
    site: Span,
) -> Outcome<Bar> {
    let total: f64 = bars.clone().map(|(b, _)| b.along(axis)).sum();
    cx.makeup.begin_pile();
    for (bar, name) in bars.clone() {
        let laid = bar.along(axis);
        let past = cx.makeup.remember(&bar.past);
        cx.makeup.lay(Part { fraction: laid / total, node: bar.node, name, laid, past });
    }
    let node = cx.makeup.end_pile(axis).map_err(|e| too_much(e, site))?;
    let sizes = axis.with(bars.clone().next().map_or([0.0; 3], |(b, _)| b.sizes()), total);
    // The pile starts a past of its own. Faces that meet have no skin any more: what they lost is missing inside (`piece::carbon`).
    // Those that stay outside keep theirs.
    let mut past = Past::NONE;
    let last = bars.clone().count().saturating_sub(1);
    // Hardened parts keep their looser packing: no gram may come or go with the laying.
    let (mut soft, mut light) = (0.0, 0.0);
    for (i, (bar, _)) in bars.enumerate() {
        let outermost = i == 0 || i == last;
        let outside = [outermost || axis != Axis::Thickness, outermost || axis != Axis::Width];
        for ((mine, theirs), outside) in past.lost.iter_mut().zip(bar.past.lost).zip(outside) {
            *mine = if outside { mine.max(theirs) } else { *mine };
        }
        let grams = bar.along(axis) * cx.makeup.density(bar.node);
        soft += grams;
        light += grams * bar.past.light;
    }
    if light != soft && light.is_finite() {
        past.light = light / soft;
    }
    Ok(Bar { loose: Some(axis), past, ..Bar::plain(sizes, Section::Flat, node) })
}
