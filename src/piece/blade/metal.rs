//! How much metal lies before each place of a blade: to follow it when it is forged.

use super::station::{Slice, Station};
use crate::quantity::root;

/// How much metal lies before each place of a blade: to follow it when it is forged.
pub(super) struct Metal {
    /// Stations, each with what its volume hangs on and the volume before it, mm3.
    so_far: Vec<(Station, Slice, f64)>,
}

impl Metal {
    /// Of a row of stations.
    pub fn of(stations: Vec<Station>) -> Metal {
        let sums = sums(&stations);
        let with = |(station, sum): (Station, f64)| {
            let slice = station.slice();
            (station, slice, sum)
        };
        Metal { so_far: stations.into_iter().zip(sums).map(with).collect() }
    }

    /// All of it, mm3.
    pub fn all(&self) -> f64 {
        self.so_far.last().map_or(0.0, |last| last.2)
    }

    /// The section behind which so much of the metal lies, mm3.
    pub fn behind(&self, volume: f64) -> Station {
        let at = self.so_far.partition_point(|s| s.2 < volume).max(1);
        let ((a, from, sum), (b, to)) =
            match (self.so_far.get(at - 1), self.so_far.get(at), self.so_far.last()) {
                (Some((a, from, sum)), Some((b, to, _)), _) => ((a, from, sum), (b, to)),
                (.., Some((last, ..))) => return last.clone(),
                (.., None) => bug!("metal of no stations"),
            };
        // Between two stations the volume is a cubic of the share of the way; it only grows.
        let (w0, m0) = (from.wide, from.mean);
        let (long, wider, thicker) = (to.x - from.x, to.wide - w0, to.mean - m0);
        let wanted = volume - sum;
        let so_far = |s: f64| {
            long * s * (w0 * m0 + s * ((w0 * thicker + m0 * wider) / 2.0 + s * wider * thicker / 3.0))
        };
        a.toward(b, root((0.0, 1.0), |share| so_far(share) - wanted))
    }
}

/// The volume of a row of stations before each of them, mm3.
pub(super) fn running(stations: &[Station]) -> impl Iterator<Item = f64> + '_ {
    let mut before: Option<Slice> = None;
    stations.iter().map(Station::slice).scan(0.0, move |sum, slice| {
        *sum += before.replace(slice).map_or(0.0, |before| before.volume_to(slice));
        Some(*sum)
    })
}

/// The same, all of them.
pub(super) fn sums(stations: &[Station]) -> Vec<f64> {
    running(stations).collect()
}

/// The last of such sums: the whole volume, mm3.
pub(super) fn total(sums: &[f64]) -> f64 {
    *sums.last().unwrap_or_else(|| bug!("the volume of no stations"))
}
