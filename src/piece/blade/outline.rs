//! The outline of a blade as seen from the side: an edge line and a spine line, cut out of a bar or forged to.

use super::measure::{Metal, sums};
use super::{Blade, Knot, Knots, Station};

/// A line along a blade: heights over distances from the heel, straight between its points, level beyond them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run(pub Vec<(f64, f64)>);

impl Run {
    /// The height at a place, mm.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let at = self.0.partition_point(|p| p.0 < x);
        let after = self.0.get(at).or(self.0.last());
        let before = at.checked_sub(1).and_then(|i| self.0.get(i)).or(after);
        match (before, after) {
            (Some((a, low)), Some((b, high))) if b > a && x < *b => low + (high - low) * (x - a) / (b - a),
            (_, Some((_, high))) => *high,
            _ => 0.0,
        }
    }
}

/// The outline that is wanted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// The edge, from the heel to the tip.
    pub edge: Run,
    /// The spine, likewise.
    pub spine: Run,
}

impl Outline {
    /// The places at which one of its lines bends, mm from the heel.
    fn places(&self) -> impl Iterator<Item = f64> + '_ {
        self.edge.0.iter().chain(&self.spine.0).map(|p| p.0)
    }

    /// The width at a place, mm.
    #[must_use]
    pub fn width(&self, x: f64) -> f64 {
        (self.spine.at(x) - self.edge.at(x)).max(0.0)
    }
}

/// Where a bar is too narrow for an outline: the place, and how much is missing there, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Short {
    /// From the heel.
    pub x: f64,
    /// At the edge.
    pub edge: f64,
    /// At the spine.
    pub spine: f64,
}

impl Blade {
    /// Heights are told from the lowest place of the edge, as a rule laid along it tells them: earlier steps may have
    /// moved the edge up or down.
    pub fn rest_edge(&mut self) {
        let ahead = self.stations.iter().filter(|s| s.x >= -super::SAME);
        let low = ahead.map(|s| s.edge().y).fold(f64::INFINITY, f64::min);
        if low.is_finite() {
            self.stations.iter_mut().flat_map(|s| &mut s.knots).for_each(|k| k.y -= low);
        }
    }

    /// Cuts an outline out of a blade, from the heel to the tip; tells where steel was missing most.
    pub fn cut_out(&mut self, outline: &Outline) -> Option<Short> {
        self.stand(0.0);
        let tip = self.tip();
        let places: Vec<f64> = outline.places().filter(|x| *x >= 0.0 && *x <= tip).collect();
        places.iter().for_each(|x| self.stand(*x));
        // Where the outline leaves the steel between two stations.
        let over = |s: &Station| [outline.edge.at(s.x) - s.edge().y, s.spine().y - outline.spine.at(s.x)];
        let mut crossings = Vec::new();
        for (a, b) in self.fields().filter(|(a, _)| a.x >= -super::SAME) {
            for (p, q) in over(a).into_iter().zip(over(b)) {
                if p * q < 0.0 {
                    crossings.push(a.x + (b.x - a.x) * p / (p - q));
                }
            }
        }
        crossings.into_iter().for_each(|x| self.stand(x));
        // The bar behind the heel keeps its own section up to the shoulder.
        let heel = self.stations.iter().rposition(|s| s.x <= super::SAME).unwrap_or(0);
        let first = if self.start() < -super::SAME
            && self.stations.get(heel.wrapping_sub(1)).is_none_or(|s| s.x < -super::SAME)
        {
            let shoulder = self.section(0.0);
            self.stations.insert(heel, shoulder);
            heel + 1
        } else {
            heel
        };
        let mut short: Option<Short> = None;
        for station in self.stations.iter_mut().skip(first) {
            let [edge, spine] = over(station).map(|over| (-over).max(0.0));
            if edge.max(spine) > 1e-6 && short.is_none_or(|s| edge.max(spine) > s.edge.max(s.spine)) {
                short = Some(Short { x: station.x, edge, spine });
            }
            station.narrow(outline.edge.at(station.x), outline.spine.at(station.x));
        }
        self.end_at_point();
        short
    }

    /// A section forged between two heights, its thickness held.
    pub(super) fn forged_between(station: &Station, low: f64, high: f64) -> Knots {
        let (from, wide) = (station.edge().y, station.width());
        let place = |y: f64| if wide > 0.0 { low + (y - from) / wide * (high - low) } else { low };
        station.knots.iter().map(|k| Knot { y: place(k.y), ..*k }).collect()
    }

    /// Forges the tip end to an outline of this length, mm, thickness held: the metal is taken from the tip end on, and
    /// what is left over lies behind the heel.
    ///
    /// # Errors
    /// The length in mm that there is metal for, where it is less.
    pub fn forge_out(&mut self, outline: &Outline, long: f64) -> Result<(), f64> {
        let (start, tip) = (self.start(), self.tip());
        let mut places: Vec<f64> =
            outline.places().chain([0.0, long]).filter(|x| *x >= 0.0 && *x <= long).collect();
        places.extend((1..12).map(|i| long * f64::from(i) / 12.0));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < super::SAME);
        // The metal of each place comes from as far up the bar as its volume tells; the bar is followed from the tip.
        let old = self.clone();
        let source = Metal::of(&old, start, tip);
        let all = source.all();
        let mut metal: Vec<Station> = vec![old.section(tip); places.len()];
        let mut made: Vec<Station> = Vec::new();
        for _ in 0..4 {
            made = places
                .iter()
                .zip(&metal)
                .map(|(x, old)| {
                    let (low, high) = (outline.edge.at(*x), outline.spine.at(*x));
                    let knots = Self::forged_between(old, low, high.max(low));
                    Station { x: *x, along: old.along, knots }
                })
                .collect();
            let before = sums(&made);
            let needs = before.last().copied().unwrap_or(0.0);
            if needs > all * (1.0 + 1e-12) {
                return Err(long * all / needs);
            }
            let next: Vec<Station> = before.into_iter().map(|sum| source.behind(all - needs + sum)).collect();
            let moved = metal.iter().zip(&next).map(|(a, b)| (a.x - b.x).abs()).fold(0.0, f64::max);
            metal = next;
            if moved < 1e-9 {
                break;
            }
        }
        let Some(heel) = metal.first().map(|s| s.x) else { return Ok(()) };
        let mut left = old;
        left.keep(start, heel);
        left.heel_at(heel);
        if heel - start <= super::SAME {
            left.stations.clear();
        } else if let Some(last) = left.stations.last_mut() {
            // The shoulder between the heel and the bar behind it.
            last.x = last.x.min(0.0);
        }
        let shoulder = left.stations.len();
        left.stations.extend(made);
        self.stations = left.stations;
        if shoulder > 0 {
            self.stations.dedup_by(|b, a| (b.x - a.x).abs() <= super::SAME && a.knots == b.knots);
        }
        Ok(())
    }
}
