//! A grid of points over the side of a blade: where what lies inside is weighed.

use crate::steel::laws::quadrature::TWO;
use smallvec::SmallVec;

use super::Blade;
use super::station::{Knot, Station};

/// Parts of the length in which layers are weighed at least (project figure: shares come out to one in ten thousand).
const PARTS: u32 = 12;
/// Parts of the width, likewise.
const ROWS: f64 = 10.0;

/// Puts further stations where a blade has few: none stand further apart than its parts are long.
pub(in crate::piece) fn refine(blade: &mut Blade) {
    let part = (blade.tip() - blade.start()) / f64::from(PARTS);
    let parts = |(a, b): (&Station, &Station)| {
        let many = ((b.x - a.x) / part - 1e-9).ceil();
        (many > 1.0).then_some((a.x, b.x, many as u32))
    };
    let long: Vec<(f64, f64, u32)> = blade.fields().filter_map(parts).collect();
    long.into_iter().for_each(|(from, to, many)| blade.stand_along(from, to, many));
}

/// Sections at points along a blade, with the length that each stands for, mm.
pub(in crate::piece) fn along(blade: &Blade) -> impl Iterator<Item = (Station, f64)> + '_ {
    blade.fields().filter(|(a, b)| b.x > a.x).flat_map(|(a, b)| {
        let long = (b.x - a.x) / 2.0;
        TWO.map(|s| (a.toward(b, s), long))
    })
}

/// Heights at points of a section that bends at `heights`, with the height that each stands for, mm.
pub(in crate::piece) fn up(mut heights: SmallVec<[f64; 32]>) -> impl Iterator<Item = (f64, f64)> {
    heights.sort_by(f64::total_cmp);
    let (Some(low), Some(high)) = (heights.first(), heights.last()) else { bug!("a section of no height") };
    let row = (high - low) / ROWS;
    let between: SmallVec<[f64; 32]> = heights
        .iter()
        .zip(heights.iter().skip(1))
        .flat_map(|(a, b)| {
            let parts = ((b - a) / row).ceil().clamp(1.0, ROWS) as u32;
            (1..parts).map(move |i| a + (b - a) * f64::from(i) / f64::from(parts))
        })
        .collect();
    heights.extend(between);
    heights.sort_by(f64::total_cmp);
    let pairs: SmallVec<[(f64, f64); 32]> =
        heights.iter().copied().zip(heights.iter().copied().skip(1)).collect();
    pairs.into_iter().flat_map(|(from, to)| TWO.map(|t| (from + (to - from) * t, (to - from) / 2.0)))
}

/// Calls `each` at points over the side of a blade, with the section there and the area that each stands for, mm2.
pub(super) fn over(blade: &Blade, mut each: impl FnMut(&Station, &Knot, f64)) {
    let mut fine = blade.clone();
    refine(&mut fine);
    for (station, long) in along(&fine) {
        for (y, tall) in up(station.knots.iter().map(|k| k.y).collect()) {
            each(&station, &Knot { y, ..station.at(y) }, long * tall);
        }
    }
}
