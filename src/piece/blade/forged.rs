//! Forging a blade: the metal of a stretch goes elsewhere in it, and none is lost. Each section tells its new form; the
//! stretch grows so long that its volume stays.

use super::measure::{Metal, sums};
use super::{Bevel, Blade, Height, Knot, Knots, Station};
use crate::quantity::halve;

/// Stations that a forged stretch is told in.
const PARTS: u32 = 16;

/// A taper to forge.
#[derive(Clone, Copy, Debug)]
pub struct Draft {
    /// Thickness at the far end, mm; the near end keeps its own.
    pub thick: Option<f64>,
    /// Width at the far end, mm; likewise.
    pub wide: Option<f64>,
    /// Spread: how much of what is pressed off one size the other gains, where only one is asked.
    pub spread: f64,
}

impl Blade {
    /// Forges a stretch: `form` gives the new section at a share of the new length from the old one of the same metal.
    ///
    /// Gives the stretch's new length, mm.
    fn reforge(&mut self, from: f64, to: f64, form: impl Fn(f64, &Station) -> Knots) -> f64 {
        self.stand(from);
        self.stand(to);
        let old = self.clone();
        let source = Metal::of(&old, from, to);
        let volume = source.all();
        let shares: Vec<f64> = (0..=PARTS).map(|i| f64::from(i) / f64::from(PARTS)).collect();
        let mut metal = shares.clone();
        let mut made: Vec<Station> = Vec::new();
        let mut unit = 1.0;
        for _ in 0..6 {
            made = shares
                .iter()
                .zip(&metal)
                .map(|(s, m)| {
                    let old = source.behind(volume * m);
                    Station { x: *s, along: old.along, knots: form(*s, &old) }
                })
                .collect();
            let before = sums(&made);
            unit = before.last().copied().unwrap_or(1.0);
            let next: Vec<f64> = before.into_iter().map(|sum| sum / unit).collect();
            let moved = metal.iter().zip(&next).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            metal = next;
            // An even stretch is told at once.
            if moved < 1e-12 {
                break;
            }
        }
        let long = volume / unit;
        let grown = long - (to - from);
        for station in &mut made {
            station.x = from + long * station.x;
        }
        // A shoulder right at an end keeps its outer section; where the form steps off what lies beyond, there is one now.
        let outer = |at: f64, first: bool, inner: Option<&Station>| {
            let there: Vec<&Station> =
                old.stations.iter().filter(|s| (s.x - at).abs() <= super::SAME).collect();
            let outside = if first { old.start() < at - super::SAME } else { old.tip() > at + super::SAME };
            let own = *(if first { there.first() } else { there.last() })?;
            let steps = outside && inner.is_some_and(|inner| !alike(own, inner));
            (there.len() > 1 || steps).then(|| own.clone())
        };
        let before: Vec<Station> = old
            .stations
            .iter()
            .filter(|s| s.x < from - super::SAME)
            .cloned()
            .chain(outer(from, true, made.first()))
            .collect();
        let beyond = old.stations.iter().filter(|s| s.x > to + super::SAME).cloned();
        let behind = outer(to, false, made.last()).into_iter().chain(beyond).map(|mut s| {
            s.x += grown;
            s
        });
        self.stations = before.into_iter().chain(made).chain(behind).collect();
        long
    }

    /// Forges a taper from one place to another; the second may lie nearer the heel. Gives the stretch's new length, mm.
    pub fn draft(&mut self, from: f64, to: f64, draft: &Draft) -> f64 {
        let (a, b) = (from.min(to), from.max(to));
        let near = self.section(from);
        let (thick, wide) = (near.spine().thick(), near.width());
        self.reforge(a, b, |s, old| {
            let s = if from <= to { s } else { 1.0 - s };
            let toward = |from: f64, to: f64| from + (to - from) * s;
            let (has_t, has_w) = (old.spine().thick(), old.width());
            let thin = draft.thick.map(|t| (toward(thick, t) / has_t).min(1.0));
            let narrow =
                draft.wide.map(|w| if has_w > 0.0 { (toward(wide, w) / has_w).min(1.0) } else { 1.0 });
            let (f, g) = match (thin, narrow) {
                (Some(f), Some(g)) => (f, g),
                (Some(f), None) => (f, f.powf(-draft.spread)),
                (None, Some(g)) => (g.powf(-draft.spread), g),
                (None, None) => (1.0, 1.0),
            };
            scaled(old, f, g)
        })
    }

    /// Forges a bevel: the strip above the edge is thinned and pushed down; what it does not gain in height goes into length,
    /// `elongation` of it, as a share. Gives the stretch's new length, mm.
    pub fn forge_bevel(&mut self, bevel: &Bevel, from: f64, to: f64, plunge: f64, elongation: f64) -> f64 {
        let old_long = to - from;
        self.reforge(from, to, |s, old| {
            let share = if plunge > 0.0 { (s * old_long / plunge).min(1.0) } else { 1.0 };
            bevelled(old, bevel, share, elongation)
        })
    }
}

/// Whether two sections are one and the same, to the last digits of the arithmetic.
fn alike(a: &Station, b: &Station) -> bool {
    let size = |k: &Knot| [k.y, k.left, k.right];
    let same = |(a, b): (&Knot, &Knot)| size(a).iter().zip(size(b)).all(|(a, b)| (a - b).abs() <= 1e-9);
    a.knots.len() == b.knots.len() && a.knots.iter().zip(&b.knots).all(same)
}

/// A section made thinner and wider by factors, about its middle.
fn scaled(old: &Station, thick: f64, wide: f64) -> Knots {
    let middle = (old.edge().y + old.spine().y) / 2.0;
    let one = |k: &Knot| Knot {
        y: middle + (k.y - middle) * wide,
        left: k.left * thick,
        right: k.right * thick,
        full: k.full * thick,
        across: k.across,
    };
    old.knots.iter().map(one).collect()
}

/// A section with its strip above the edge forged to a bevel; `share` is how far: 0 before the plunge, 1 behind it.
fn bevelled(old: &Station, bevel: &Bevel, share: f64, elongation: f64) -> Knots {
    let area = old.area() / (1.0 + elongation);
    if area <= 0.0 || share <= 0.0 {
        return old.knots.clone();
    }
    let (edge, spine, wide) = (old.edge(), old.spine(), old.width());
    let thick = edge.thick();
    let left_at_edge = thick + (bevel.edge.min(thick) - thick) * share;
    let squeeze = left_at_edge / thick;
    let area_of = |knots: &Knots| Station { x: 0.0, along: 0.0, knots: knots.clone() }.area();
    // The whole width as one bevel: its width follows from its area.
    let whole = |wide_new: f64| strip(old, wide, wide_new, squeeze);
    let full = || {
        let unit = area_of(&whole(1.0));
        whole(area / unit)
    };
    let tall = match bevel.height {
        Height::Full => return settle(full(), spine),
        Height::Tall(_) | Height::Slope(_) => bevel.tall(wide, spine.thick()) * share,
    };
    if area_of(&strip(old, wide, tall, squeeze)) >= area {
        return settle(full(), spine);
    }
    // The old strip that makes a bevel so tall: the more of it goes in, the less is left above.
    let (low, high) = halve((0.0, wide), 70, |took| area_of(&strip(old, took, tall, squeeze)) > area);
    settle(strip(old, (low + high) / 2.0, tall, squeeze), spine)
}

/// The lowest `took` mm of a section pushed into `tall` mm, squeezed at the edge and not at the top of the strip.
fn strip(old: &Station, took: f64, tall: f64, squeeze: f64) -> Knots {
    let edge = old.edge();
    let top = old.at(edge.y + took);
    let inside = old.knots.iter().filter(|k| k.y < top.y - 1e-10).copied();
    let above = old.knots.iter().filter(|k| k.y > top.y + 1e-10).copied();
    let pushed = |k: Knot| {
        let s = if took > 0.0 { (k.y - edge.y) / took } else { 1.0 };
        let by = squeeze + (1.0 - squeeze) * s;
        Knot {
            y: edge.y + s * tall,
            left: k.left * by,
            right: k.right * by,
            full: k.full * by,
            across: k.across,
        }
    };
    let lifted = |k: Knot| Knot { y: k.y - took + tall, ..k };
    let shoulder = pushed(Knot { y: edge.y + took, ..top });
    inside.map(pushed).chain(std::iter::once(shoulder)).chain(above.map(lifted)).collect()
}

/// The spine stays where it was: the edge moves down.
fn settle(mut knots: Knots, spine: Knot) -> Knots {
    let lower = knots.last().map_or(0.0, |k| k.y) - spine.y;
    knots.iter_mut().for_each(|k| k.y -= lower);
    knots
}
