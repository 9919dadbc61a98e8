//! The layers of a piece, one by one, where they are few enough to be written down.

use super::axis::Axis;
use super::bands::bands;
use super::ids::{NodeId, SteelId};
use super::makeup::Makeup;
use super::walk::{Tally, Walk};

/// Steels and lengths, in the walked node's own units; equal neighbours run together.
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
        for (steel, length) in next.0 {
            match self.0.last_mut() {
                Some(last) if last.0 == steel => last.1 += length,
                _ => self.0.push((steel, length)),
            }
        }
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

/// The layers of a bar `thick` mm thick, lowest first: steel and thickness in mm, cold.
///
/// `None` where they are not alike across the width and along the length, or more than `most`.
#[must_use]
pub fn strata(makeup: &Makeup, node: NodeId, thick: f64, most: u64) -> Option<Vec<(SteelId, f64)>> {
    let uneven = makeup.placed(node, Axis::Width) || makeup.placed(node, Axis::Length);
    if uneven || bands(makeup, node, thick) > most {
        return None;
    }
    let strata = Walk::<Strata>::new(makeup, &|_, _, _| None).middle(node, Axis::Thickness, thick);
    Some(strata.0.into_iter().map(|(steel, share)| (steel, share * thick)).collect())
}
