//! Area, volume, centre and thickness of a blade: exact for the shape as `blade` defines it.

use super::{Blade, Knot, Station};
use crate::quantity::halve;

/// Width and mean thickness of a section; both run straight from one station to the next.
fn wide_and_mean(station: &Station) -> (f64, f64) {
    let width = station.width();
    if width > 0.0 {
        return (width, station.area() / width);
    }
    let shares: Vec<f64> = station.shares().collect();
    let knots = station.knots.iter().zip(station.knots.iter().skip(1));
    let gaps = shares.iter().zip(shares.iter().skip(1));
    let mean: f64 = knots.zip(gaps).map(|((a, b), (u, v))| (a.thick() + b.thick()) / 2.0 * (v - u)).sum();
    // A section of one knot has no share to average over.
    (width, if station.knots.len() < 2 { station.edge().thick() } else { mean })
}

impl Station {
    /// Pairs of neighbouring knots.
    fn fields(&self) -> impl Iterator<Item = (&Knot, &Knot)> {
        self.knots.iter().zip(self.knots.iter().skip(1))
    }

    /// Area of the section, mm2.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.fields().map(|(a, b)| (b.y - a.y) * (a.thick() + b.thick()) / 2.0).sum()
    }

    /// The middle of the section's area, mm: height, and distance to the right of the middle plane.
    #[must_use]
    pub fn centre(&self) -> [f64; 2] {
        let (mut area, mut up, mut right) = (0.0, 0.0, 0.0);
        for (a, b) in self.fields() {
            let (h, t, u) = (b.y - a.y, a.thick(), b.thick());
            area += h * (t + u) / 2.0;
            // Trapezoid: the thickness runs straight over the height.
            up += h * (a.y * (t + u) / 2.0 + h * (t + 2.0 * u) / 6.0);
            // Between the faces: half the difference of their squares, each running straight.
            let square = |p: f64, q: f64| h * (p * p + p * q + q * q) / 3.0;
            right += (square(a.right, b.right) - square(a.left, b.left)) / 2.0;
        }
        [up / area, right / area]
    }

    /// The section's outline as points `(height, right of the middle plane)`, mm: up the left face, down the right one.
    #[must_use]
    pub fn outline(&self) -> Vec<[f64; 2]> {
        let left = self.knots.iter().map(|k| [k.y, -k.left]);
        let right = self.knots.iter().rev().map(|k| [k.y, k.right]);
        left.chain(right).collect()
    }
}

impl Blade {
    pub(super) fn fields(&self) -> impl Iterator<Item = (&Station, &Station)> {
        self.stations.iter().zip(self.stations.iter().skip(1))
    }

    /// Volume with the tang, mm3.
    #[must_use]
    pub fn volume(&self) -> f64 {
        self.fields().map(|(a, b)| volume_between(a, b)).sum()
    }

    /// Volume from one place to another, mm3.
    #[must_use]
    pub fn volume_within(&self, from: f64, to: f64) -> f64 {
        let mut part = self.clone();
        part.keep(from, to);
        part.volume()
    }

    /// The middle of the volume along the length, mm from the heel, the tang counted in: the balance point of one steel.
    #[must_use]
    pub fn balance(&self) -> f64 {
        let (mut volume, mut moment) = (0.0, 0.0);
        for (a, b) in self.fields() {
            let long = b.x - a.x;
            let ((w0, m0), (w1, m1)) = (wide_and_mean(a), wide_and_mean(b));
            let here = volume_between(a, b);
            volume += here;
            moment +=
                a.x * here + long * long * (w0 * m0 / 12.0 + (w0 * m1 + w1 * m0) / 12.0 + w1 * m1 / 4.0);
        }
        moment / volume
    }

    /// Area of the outline as seen from the side, tang and all, mm2.
    #[must_use]
    pub fn side_area(&self) -> f64 {
        self.fields().map(|(a, b)| (b.x - a.x) * (a.width() + b.width()) / 2.0).sum()
    }

    /// The outline as seen from the side, mm: `(from the heel, height)`, along the edge and back along the spine.
    #[must_use]
    pub fn side(&self) -> Vec<[f64; 2]> {
        let edge = self.stations.iter().map(|s| [s.x, s.edge().y]);
        let spine = self.stations.iter().rev().map(|s| [s.x, s.spine().y]);
        let mut points: Vec<[f64; 2]> = edge.chain(spine).collect();
        points.dedup();
        points
    }

    /// The greatest width and thickness from heel to tip, mm.
    #[must_use]
    pub fn greatest(&self) -> [f64; 2] {
        // Of two stations at the heel the second is the blade's.
        let heel = self.stations.iter().rposition(|s| s.x <= super::SAME).unwrap_or(0);
        let blade = self.stations.iter().skip(heel);
        blade.fold([0.0, 0.0], |[w, t], s| [f64::max(w, s.width()), f64::max(t, s.thickness())])
    }

    /// Thickness so far behind the edge, at a place, mm; the spine's where the blade is not so wide.
    #[must_use]
    pub fn behind_edge(&self, x: f64, by: f64) -> f64 {
        let section = self.section(x);
        section.at(section.edge().y + by).thick()
    }
}

/// Volume between two stations, mm3: width times mean thickness, both straight, integrated.
fn volume_between(a: &Station, b: &Station) -> f64 {
    let ((w0, m0), (w1, m1)) = (wide_and_mean(a), wide_and_mean(b));
    (b.x - a.x) * (w0 * m0 / 3.0 + (w0 * m1 + w1 * m0) / 6.0 + w1 * m1 / 3.0)
}

/// How much metal lies before each place of a blade: to follow it when it is forged.
pub(super) struct Metal {
    /// Stations, each with the volume before it, mm3.
    so_far: Vec<(Station, f64)>,
}

impl Metal {
    /// Of a stretch of a blade.
    pub fn of(blade: &Blade, from: f64, to: f64) -> Metal {
        let mut part = blade.clone();
        part.keep(from, to);
        let mut sum = 0.0;
        let mut before: Option<Station> = None;
        let so_far = part.stations.into_iter().map(|station| {
            if let Some(before) = before.replace(station.clone()) {
                sum += volume_between(&before, &station);
            }
            (station, sum)
        });
        Metal { so_far: so_far.collect() }
    }

    /// All of it, mm3.
    pub fn all(&self) -> f64 {
        self.so_far.last().map_or(0.0, |last| last.1)
    }

    /// The section behind which so much of the metal lies, mm3.
    pub fn behind(&self, volume: f64) -> Station {
        let at = self.so_far.partition_point(|s| s.1 < volume).max(1);
        let (Some((a, sum)), Some((b, _))) = (self.so_far.get(at - 1), self.so_far.get(at)) else {
            return self
                .so_far
                .last()
                .map_or_else(|| Station { x: 0.0, along: 0.0, knots: super::Knots::new() }, |s| s.0.clone());
        };
        // Between two stations the volume is a cubic of the share of the way; it only grows.
        let ((w0, m0), (w1, m1)) = (wide_and_mean(a), wide_and_mean(b));
        let (long, wider, thicker) = (b.x - a.x, w1 - w0, m1 - m0);
        let wanted = volume - sum;
        let so_far = |s: f64| {
            long * s * (w0 * m0 + s * ((w0 * thicker + m0 * wider) / 2.0 + s * wider * thicker / 3.0))
        };
        let (low, high) = halve((0.0, 1.0), 60, |share| so_far(share) < wanted);
        a.toward(b, (low + high) / 2.0)
    }
}

/// The volume of a row of stations, and before each of them, mm3.
pub(super) fn sums(stations: &[Station]) -> Vec<f64> {
    let mut sum = 0.0;
    let rest = stations.iter().zip(stations.iter().skip(1)).map(|(a, b)| {
        sum += volume_between(a, b);
        sum
    });
    std::iter::once(0.0).chain(rest.collect::<Vec<_>>()).collect()
}
