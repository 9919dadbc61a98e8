//! How much metal lies before each place of a blade: to follow it when it is forged.

use super::station::Station;
use crate::quantity::root;

/// How much metal lies before each place of a blade: to follow it when it is forged.
pub(super) struct Metal {
    /// Stations, each with the volume before it, mm3.
    so_far: Vec<(Station, f64)>,
}

impl Metal {
    /// Of a row of stations.
    pub fn of(stations: Vec<Station>) -> Metal {
        let sums = sums(&stations);
        Metal { so_far: stations.into_iter().zip(sums).collect() }
    }

    /// All of it, mm3.
    pub fn all(&self) -> f64 {
        self.so_far.last().map_or(0.0, |last| last.1)
    }

    /// The section behind which so much of the metal lies, mm3.
    pub fn behind(&self, volume: f64) -> Station {
        let at = self.so_far.partition_point(|s| s.1 < volume).max(1);
        let (a, sum, b) = match (self.so_far.get(at - 1), self.so_far.get(at), self.so_far.last()) {
            (Some((a, sum)), Some((b, _)), _) => (a, sum, b),
            (.., Some((last, _))) => return last.clone(),
            (.., None) => bug!("metal of no stations"),
        };
        // Between two stations the volume is a cubic of the share of the way; it only grows.
        let ((w0, m0), (w1, m1)) = (a.wide_and_mean(), b.wide_and_mean());
        let (long, wider, thicker) = (b.x - a.x, w1 - w0, m1 - m0);
        let wanted = volume - sum;
        let so_far = |s: f64| {
            long * s * (w0 * m0 + s * ((w0 * thicker + m0 * wider) / 2.0 + s * wider * thicker / 3.0))
        };
        a.toward(b, root((0.0, 1.0), |share| so_far(share) - wanted))
    }
}

/// The volume of a row of stations before each of them, mm3.
pub(super) fn sums(stations: &[Station]) -> Vec<f64> {
    let mut sum = 0.0;
    let mut before: Option<&Station> = None;
    let so_far = stations.iter().map(|station| {
        sum += before.replace(station).map_or(0.0, |before| before.volume_to(station));
        sum
    });
    so_far.collect()
}

/// The last of such sums: the whole volume, mm3.
pub(super) fn total(sums: &[f64]) -> f64 {
    *sums.last().unwrap_or_else(|| bug!("the volume of no stations"))
}
