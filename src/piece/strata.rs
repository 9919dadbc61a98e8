//! The layers of a piece, one by one, where they are few enough to be written down.

use super::axis::Axis;
use super::bands::bands;
use super::ids::{NodeId, SteelId};
use super::makeup::Makeup;
use super::walk::{Tally, Walk};

/// Steels and lengths, in the walked node's own units, as they were laid: equal neighbours stand apart.
#[derive(Clone)]
struct Strata(Vec<(SteelId, f64)>);

impl Tally for Strata {
    fn nothing() -> Self {
        Strata(Vec::new())
    }
    fn steel(steel: SteelId, length: f64) -> Self {
        Strata(vec![(steel, length)])
    }
    fn then(mut self, next: Self) -> Self {
        self.0.extend(next.0);
        self
    }
    fn back(mut self) -> Self {
        self.0.reverse();
        self
    }
    fn scaled(mut self, factor: f64) -> Self {
        self.0.iter_mut().for_each(|(_, length)| *length *= factor);
        self
    }
}

/// Sheets that are gone through one by one (project figure).
const MOST_SHEETS: u64 = 100_000;

/// The layers of a bar `thick` mm thick, lowest first: steel and thickness in mm, cold. Equal neighbours run together.
///
/// `None` where they are not alike across the width and along the length, or more than `most`.
#[must_use]
pub fn strata(makeup: &Makeup, node: NodeId, thick: f64, most: u64) -> Option<Vec<(SteelId, f64)>> {
    if bands(makeup, node, thick) > most {
        return None;
    }
    let mut run: Vec<(SteelId, f64)> = Vec::new();
    for (steel, mm) in sheets(makeup, node, Axis::Thickness, thick, MOST_SHEETS)? {
        match run.last_mut() {
            Some(last) if last.0 == steel => last.1 += mm,
            _ => run.push((steel, mm)),
        }
    }
    Some(run)
}

/// The sheets of a bar along an axis, `mm` long that way, the lowest first, each as it was laid.
///
/// `None` where they are not alike along the other two axes, or more than `most`.
#[must_use]
pub fn sheets(makeup: &Makeup, node: NodeId, axis: Axis, mm: f64, most: u64) -> Option<Vec<(SteelId, f64)>> {
    let uneven = Axis::ALL.into_iter().any(|other| other != axis && makeup.varies(node, other));
    if uneven || makeup.hollowed(node) || makeup.layers(node) > most {
        return None;
    }
    let strata = Walk::<Strata>::new(makeup, &|_, _, _| None).middle(node, axis, mm);
    Some(strata.0.into_iter().map(|(steel, share)| (steel, share * mm)).collect())
}
