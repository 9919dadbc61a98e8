//! Where the face of a blade bends sharply: the lines that a smith sees along it.

use crate::piece::Blade;
use crate::piece::blade::{Knot, Station};

/// A face has a line where it bends by more than this (project figure: a degree).
pub const BEND: f64 = 0.0175;
/// So many bends of one way, each like the next within this factor, are a round face told in flats: nobody sees a line there
/// (project figures).
const ROUND: usize = 5;
const LIKE: f64 = 2.0;

/// A face that bends by less does not bend: rounding.
const NONE: f64 = 1e-9;

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
    // A point has no width that a line could cross: it runs on to it.
    let left = if b.width() <= 0.0 { 1.0 } else { 1.0 - s };
    let mut shares = Vec::new();
    let mut fading = |ridge: &Ridge, left: f64| {
        if ridge.bend.abs() * left > BEND {
            shares.push(ridge.share);
        }
    };
    let met = met(&near, &far);
    for (i, p) in near.iter().enumerate() {
        match met.iter().find(|(of, _)| *of == i).and_then(|(_, to)| far.get(*to)) {
            Some(q) => fading(&Ridge { share: p.share + (q.share - p.share) * s, bend: f64::INFINITY }, 1.0),
            None => fading(p, left),
        }
    }
    let alone = far.iter().enumerate().filter(|(j, _)| !met.iter().any(|(_, to)| to == j));
    alone.for_each(|(_, ridge)| fading(ridge, s));
    shares.sort_by(f64::total_cmp);
    shares.into_iter().map(height).collect()
}

/// Which lines of one station go on in which of the next: in order from the edge, each of the station that has fewer in the nearest that bends the same
/// way; what the other has more of runs out.
fn met(near: &[Ridge], far: &[Ridge]) -> Vec<(usize, usize)> {
    let turned = near.len() > far.len();
    let (few, many) = if turned { (far, near) } else { (near, far) };
    let (mut met, mut next) = (Vec::new(), 0);
    for (i, ridge) in few.iter().enumerate() {
        let room = many.len() - (few.len() - i);
        let alike = many.iter().enumerate().take(room + 1).skip(next);
        let alike = alike.filter(|(_, other)| (other.bend > 0.0) == (ridge.bend > 0.0));
        let off = |other: &Ridge| (other.share - ridge.share).abs();
        if let Some((j, _)) = alike.min_by(|a, b| off(a.1).total_cmp(&off(b.1))) {
            met.push(if turned { (j, i) } else { (i, j) });
            next = j + 1;
        }
    }
    met
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
    // What lies on a straight line is no bend, and parts no round face.
    let (shares, bends): (Vec<f64>, Vec<f64>) =
        station.shares().skip(1).zip(bends).filter(|(_, bend)| bend.abs() > NONE).unzip();
    let round = |of: usize, run: &[f64]| {
        let beside = [of.checked_sub(1), Some(of + 1)].map(|i| run.get(i?).copied());
        let bend = run.get(of).map_or(0.0, |bend| bend.abs());
        let like = |other: f64| bend <= LIKE * other.abs() && other.abs() <= LIKE * bend;
        run.len() >= ROUND && beside.into_iter().flatten().any(like)
    };
    let runs = bends.chunk_by(|a, b| a * b > 0.0);
    let told = runs.flat_map(|run| (0..run.len()).map(move |i| !round(i, run)));
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

    #[test]
    fn a_line_between_two_others_begins_where_it_does() {
        // Two bevels of a blade with two edges, and the lips of a groove between them that begins on the way.
        let plain = [(0.0, 0.5), (8.0, 3.0), (22.0, 3.0), (30.0, 0.5)];
        let lips = [(0.0, 0.5), (8.0, 3.0), (12.0, 3.0), (15.0, 2.0), (18.0, 3.0), (22.0, 3.0), (30.0, 0.5)];
        let [a, b] = [station(0.0, 30.0, &plain), station(10.0, 30.0, &lips)];
        let blade = Blade { stations: vec![a, b], off: 0.0 };
        let shown = |x| ridges(&blade, x, true).into_iter().map(f64::round).collect::<Vec<_>>();
        assert_eq!((shown(0.0), shown(5.0)), (vec![8.0, 22.0], vec![8.0, 12.0, 15.0, 18.0, 22.0]));
    }

    #[test]
    fn shoulders_beside_a_round_face_keep_their_lines() {
        // A face that bends by 0.02 at each of eight places, its shoulder at 9 mm by 0.2, and an edge of a groove at 12 mm by 0.7.
        let slopes = (0..9).map(|i| 0.4 - 0.02 * f64::from(i)).chain([0.04; 3]).chain([-0.66; 3]);
        let mut faces = vec![(0.0, 1.0)];
        for (slope, y) in slopes.zip(1..) {
            faces.push((f64::from(y), faces.last().map_or(0.0, |last: &(f64, f64)| last.1) + slope));
        }
        let blade = Blade { stations: vec![station(0.0, 15.0, &faces)], off: 0.0 };
        assert_eq!(ridges(&blade, 0.0, true), vec![9.0, 12.0]);
    }
}
