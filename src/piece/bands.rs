//! How many bands an eye can tell apart, and which steels stand in a place.

use super::axis::Axis;
use super::ids::{NodeId, SteelId};
use super::makeup::{Makeup, steels_of};
use super::walk::{Tally, Walk};

/// A number of bands, and which steels stand at the ends: equal neighbours run together.
#[derive(Clone, Copy)]
struct Bands {
    count: u64,
    ends: Option<(SteelId, SteelId)>,
}

impl Tally for Bands {
    fn nothing() -> Self {
        Bands { count: 0, ends: None }
    }
    fn steel(steel: SteelId, _: f64) -> Self {
        Bands { count: 1, ends: Some((steel, steel)) }
    }
    fn then(self, next: Self) -> Self {
        match (self.ends, next.ends) {
            (None, _) => next,
            (_, None) => self,
            (Some((first, a)), Some((b, last))) => Bands {
                count: self.count.saturating_add(next.count).saturating_sub(u64::from(a == b)),
                ends: Some((first, last)),
            },
        }
    }
    fn back(self) -> Self {
        Bands { ends: self.ends.map(|(a, b)| (b, a)), ..self }
    }
    fn scaled(self, _: f64) -> Self {
        self
    }
}

/// Bands through the middle of the section along the thickness of a bar `thick` mm thick: equal
/// neighbours run together, what fire or grinder has used up is gone.
#[must_use]
pub fn bands(makeup: &Makeup, node: NodeId, thick: f64) -> u64 {
    Walk::<Bands>::new(makeup, &|_, _, _| None).middle(node, Axis::Thickness, thick).count
}

/// Bands through a stretch of the thickness at one place across and along, `mm` being the whole thickness.
#[must_use]
pub fn bands_between(makeup: &Makeup, node: NodeId, stretch: (f64, f64), at: [f64; 2], mm: f64) -> u64 {
    Walk::<Bands>::new(makeup, &|_, _, _| None).stretch(node, stretch, at, mm).count
}

/// Steels met, a bit for each by its number.
#[derive(Clone)]
struct Steels(u64);

impl Tally for Steels {
    fn nothing() -> Self {
        Steels(0)
    }
    fn steel(steel: SteelId, _: f64) -> Self {
        Steels(1 << steel.0)
    }
    fn then(self, next: Self) -> Self {
        Steels(self.0 | next.0)
    }
    fn back(self) -> Self {
        self
    }
    fn scaled(self, _: f64) -> Self {
        self
    }
}

/// Whether a steel stands in a stretch of the thickness at one place across and along, `mm` being the whole thickness.
pub(super) fn steels_between(
    makeup: &Makeup,
    node: NodeId,
    stretch: (f64, f64),
    at: [f64; 2],
    mm: f64,
) -> impl Iterator<Item = SteelId> + use<> {
    let met = Walk::<Steels>::new(makeup, &|_, _, _| None).stretch(node, stretch, at, mm).0;
    steels_of(met)
}

/// How much of the thickness is looked at for what lies outside, as a share.
const OUTSIDE: f64 = 1e-3;

impl Makeup {
    /// The steels on the lowest and on the highest face, where the middle line meets them, of a bar so thick, mm.
    #[must_use]
    pub fn outside(&self, node: NodeId, thick: f64) -> [Option<SteelId>; 2] {
        let at = |stretch| steels_between(self, node, stretch, [0.5; 2], thick).next();
        [at((0.0, OUTSIDE)), at((1.0 - OUTSIDE, 1.0))]
    }
}
