//! Laying bars on each other: the pile that they make.

use crate::piece::{Axis, Bar, Part, PartName, Past, Section};
use crate::source::Span;

use super::cx::too_much;
use super::{Cx, Fault, Sink};

/// Lays bars, lowest first, along an axis. They must be alike across it.
///
/// # Errors
/// More layers or stacks than can be counted.
pub fn pile<S: Sink>(cx: &mut Cx<S>, axis: Axis, bars: &[(Bar, PartName)], site: Span) -> Result<Bar, Fault> {
    let total: f64 = bars.iter().map(|(b, _)| b.along(axis)).sum();
    let parts: Vec<Part> = bars
        .iter()
        .map(|(b, name)| {
            let laid = b.along(axis);
            Part { fraction: laid / total, node: b.node, name: *name, laid, past: b.past }
        })
        .collect();
    let node = cx.makeup.pile(axis, &parts).map_err(|e| too_much(e, site))?;
    let lowest = bars.first().map_or([0.0; 3], |(b, _)| b.sizes());
    let [mut thick, mut wide, mut long] = lowest;
    match axis {
        Axis::Thickness => thick = total,
        Axis::Width => wide = total,
        Axis::Length => long = total,
    }
    // The pile starts a past of its own; what the outer skins lost of their carbon stays where it is.
    let decarb = bars.iter().map(|(b, _)| b.past.decarb).fold(0.0, f64::max);
    // Hardened parts keep their looser packing: no gram may come or go with the laying.
    let grams = |b: &Bar| b.along(axis) * cx.makeup.density(b.node);
    let soft: f64 = bars.iter().map(|(b, _)| grams(b)).sum();
    let light = bars.iter().map(|(b, _)| grams(b) * b.past.light).sum::<f64>() / soft;
    let past = Past { decarb, light: if light.is_finite() { light } else { 1.0 }, ..Past::NONE };
    Ok(Bar { thick, wide, long, section: Section::Flat, node, mass: 0.0, loose: Some(axis), past })
}
