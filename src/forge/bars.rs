//! Laying bars on each other: the pile that they make.

use crate::piece::{Axis, Bar, Part, PartName, Section};
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
        .map(|(b, name)| Part { fraction: b.along(axis) / total, node: b.node, name: *name })
        .collect();
    let node = cx.makeup.pile(axis, &parts).map_err(|e| too_much(e, site))?;
    let lowest = bars.first().map_or([0.0; 3], |(b, _)| b.sizes());
    let [mut thick, mut wide, mut long] = lowest;
    match axis {
        Axis::Thickness => thick = total,
        Axis::Width => wide = total,
        Axis::Length => long = total,
    }
    Ok(Bar { thick, wide, long, section: Section::Flat, node, mass: 0.0, loose: Some(axis) })
}
