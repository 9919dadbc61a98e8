//! Where the face of a blade bends sharply: the lines that a smith sees along it.

use crate::piece::Blade;
use crate::piece::blade::{Knot, Station};

/// A face has a line where it bends by more than this (project figure: a degree).
pub const BEND: f64 = 0.0175;
/// So many bends of one way, each like the next within this factor, are a round face told in flats: nobody sees a line there
/// (project figures).
const ROUND: usize = 5;
const LIKE: f64 = 2.0;

/// A line at a station: its share of the width, and by how much the face bends there.
struct Ridge {
    share: f64,
    bend: f64,
}

/// The heights at which the face on top or the one below has a line at a place along a blade, mm, from the edge on.
///
/// Between two stations a line runs straight at a share of the width, as all of the blade does: from the first station's to the
/// second's, where both have it; where one has none, at its own share, until it has faded.
pub fn ridges(blade: &Blade, x: f64, top: bool) -> Vec<f64> {
    let (a, b, s) = blade.around(x);
    let here = blade.section(x);
    let height = |share: f64| here.edge().y + here.width() * share;
    let (near, far) = (sharp(a, top), sharp(b, top));
    let (mut near, mut far) = (near.into_iter().peekable(), far.into_iter().peekable());
    let mut heights = Vec::new();
    let mut fading = |ridge: Ridge, left: f64| {
        if ridge.bend.abs() * left > BEND {
            heights.push(height(ridge.share));
        }
    };
    // From the edge on: what one has more of runs out over the spine.
    while let (Some(p), Some(q)) = (near.peek(), far.peek())
        && (p.bend > 0.0) == (q.bend > 0.0)
    {
        let share = p.share + (q.share - p.share) * s;
        fading(Ridge { share, bend: f64::INFINITY }, 1.0);
        near.next();
        far.next();
    }
    // A point has no width that a line could cross: it runs on to it.
    let to_a_point = b.width() <= 0.0;
    near.for_each(|ridge| fading(ridge, if to_a_point { 1.0 } else { 1.0 - s }));
    far.for_each(|ridge| fading(ridge, s));
    heights
}

/// How a face slopes between two knots, mm a mm.
pub fn slope(a: &Knot, b: &Knot, top: bool) -> f64 {
    let face = |knot: &Knot| if top { knot.right } else { knot.left };
    if b.y > a.y { (face(b) - face(a)) / (b.y - a.y) } else { 0.0 }
}

/// The lines at a station, from the edge on.
fn sharp(station: &Station, top: bool) -> Vec<Ridge> {
    if station.width() <= 0.0 {
        return Vec::new();
    }
    let slopes = station.knots.windows(2).map(|pair| match pair {
        [a, b] => slope(a, b, top),
        _ => bug!("a pair of {}", pair.len()),
    });
    let slopes: Vec<f64> = slopes.collect();
    let bends = slopes.iter().zip(slopes.iter().skip(1)).map(|(below, above)| above - below);
    let bends: Vec<f64> = bends.collect();
    let round = |of: usize, run: &[f64]| {
        let beside = [of.checked_sub(1), Some(of + 1)].map(|i| run.get(i?).copied());
        let bend = run.get(of).map_or(0.0, |bend| bend.abs());
        run.len() >= ROUND && beside.into_iter().flatten().any(|other| bend <= LIKE * other.abs())
    };
    let runs = bends.chunk_by(|a, b| a * b > 0.0);
    let told = runs.flat_map(|run| (0..run.len()).map(move |i| !round(i, run)));
    let shares = station.shares().skip(1);
    let all =
        bends.iter().zip(told).zip(shares).map(|((bend, told), share)| (Ridge { share, bend: *bend }, told));
    all.filter(|(ridge, told)| *told && ridge.bend.abs() > BEND).map(|(ridge, _)| ridge).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(x: f64, wide: f64, faces: &[(f64, f64)]) -> Station {
        let knot =
            |(y, half): &(f64, f64)| Knot { y: *y, left: *half, right: *half, full: 6.0, across: y / wide };
        Station { x, along: x, knots: faces.iter().map(knot).collect() }
    }

    #[test]
    fn a_line_runs_from_station_to_station_and_fades_where_the_next_has_none() {
        let a = station(0.0, 20.0, &[(0.0, 0.2), (10.0, 3.0), (20.0, 3.0)]);
        let b = station(10.0, 20.0, &[(0.0, 0.2), (16.0, 3.0), (20.0, 3.0)]);
        let c = station(20.0, 20.0, &[(0.0, 0.2), (20.0, 3.0)]);
        let point = station(30.0, 0.0, &[(12.0, 1.0)]);
        let blade = Blade { stations: vec![a, b, c, point], off: 0.0 };
        let at = |x| ridges(&blade, x, true);
        // One line and no second, half on its way as half so far; 16 mm up until it is gone.
        assert_eq!((at(0.0), at(5.0), at(10.0), at(12.0)), (vec![10.0], vec![13.0], vec![16.0], vec![16.0]));
        assert_eq!((at(19.9), at(25.0)), (vec![], vec![]));
    }

    #[test]
    fn a_round_face_shows_no_line_but_where_it_begins() {
        // A circle of 60 mm in flats, tangent to nothing above: its shoulder is sharp, its flats are not.
        let circle = |y: f64| (60.0f64 * 60.0 - (y - 20.0) * (y - 20.0)).sqrt() - 57.0;
        let mut faces: Vec<(f64, f64)> =
            (0..=8).map(|i| f64::from(i) * 1.5).map(|y| (y, circle(y))).collect();
        faces.push((24.0, circle(12.0)));
        let blade = Blade { stations: vec![station(0.0, 24.0, &faces)], off: 0.0 };
        assert_eq!(ridges(&blade, 0.0, false), vec![12.0]);
    }
}
