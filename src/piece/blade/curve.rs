//! Curves of a blade, told as points on them: faces and lines run straight between these.

/// Straight pieces that an arc is told in: none lies further off it than 1/144 of its sagitta (geometry: 1/n^2).
const CHORDS: u32 = 12;
/// An arc that stands out no further is a straight line, mm: far below what the balance can tell.
const STRAIGHT: f64 = 1e-12;
/// A line through points is told in pieces that lie no further off it than this, mm (project figure: a tenth of what a rule tells).
const FINE_MM: f64 = 0.05;

/// How far a circle stands out from the middle of a chord, mm; `None` where the chord is longer than the circle is wide.
pub(super) fn sagitta(chord: f64, diameter: f64) -> Option<f64> {
    let (r, half) = (diameter / 2.0, chord / 2.0);
    (half <= r).then(|| half * half / (r + (r * r - half * half).sqrt()))
}

/// Points of a circle's arc from one point to another, which stands out from the straight line between them by `sagitta` in its middle,
/// or below it where that is less than nothing; `None` where the arc turns back.
pub(super) fn arc([a, b]: [(f64, f64); 2], sagitta: f64) -> Option<impl Iterator<Item = (f64, f64)>> {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let chord = dx.hypot(dy);
    let turn = 2.0 * (2.0 * sagitta.abs()).atan2(chord);
    if dx <= 0.0 || dy.abs().atan2(dx) + turn >= std::f64::consts::FRAC_PI_2 {
        return None;
    }
    let straight = sagitta.abs() < STRAIGHT;
    let chords = if straight { 1 } else { CHORDS };
    let r = if straight { 0.0 } else { (chord * chord / 4.0 / sagitta.abs() + sagitta.abs()) / 2.0 };
    Some((0..=chords).map(move |i| {
        // Both ends are met to the last bit.
        if i == 0 {
            return a;
        }
        if i == chords {
            return b;
        }
        let angle = turn * (2.0 * f64::from(i) / f64::from(chords) - 1.0);
        let along = chord / 2.0 + r * angle.sin();
        // 1 - cos of a small angle, without the loss of its digits.
        let fallen = 2.0 * r * (angle / 2.0).sin().powi(2);
        let out = (sagitta.abs() - fallen).copysign(sagitta);
        (a.0 + (along * dx - out * dy) / chord, a.1 + (along * dy + out * dx) / chord)
    }))
}

/// Points of a smooth line through points that go along a blade, each beyond the one before it: a cubic from each to the next that
/// runs nowhere higher or lower than both, and has one slope where two meet.
///
/// Slopes by Fritsch & Butland (SIAM J. Sci. Stat. Comput. 5, 1984), who hold to the limits of Fritsch & Carlson (SIAM J. Numer. Anal. 17, 1980); at
/// the ends by three points, held to the same limits (from memory, all three).
pub fn smooth(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let steps: Vec<(f64, f64)> = points
        .iter()
        .zip(points.iter().skip(1))
        .map(|(a, b)| (b.0 - a.0, (b.1 - a.1) / (b.0 - a.0)))
        .collect();
    let (Some(first), Some(last), Some(start)) = (steps.first(), steps.last(), points.first()) else {
        return points.to_vec();
    };
    let inner = steps.iter().zip(steps.iter().skip(1)).map(|((h, d), (k, e))| {
        if d * e <= 0.0 {
            return 0.0;
        }
        let (near, far) = (2.0 * k + h, k + 2.0 * h);
        (near + far) / (near / d + far / e)
    });
    let end = |(h, d): (f64, f64), next: Option<&(f64, f64)>| {
        let Some((k, e)) = next else { return d };
        let slope = ((2.0 * h + k) * d - h * e) / (h + k);
        if slope * d <= 0.0 {
            0.0
        } else if d * e <= 0.0 && slope.abs() > 3.0 * d.abs() {
            3.0 * d
        } else {
            slope
        }
    };
    let before = steps.len().checked_sub(2).and_then(|i| steps.get(i));
    let slopes: Vec<f64> =
        std::iter::once(end(*first, steps.get(1))).chain(inner).chain([end(*last, before)]).collect();
    let mut made = vec![*start];
    let slopes = slopes.iter().zip(slopes.iter().skip(1));
    for (((x, y), (h, d)), (near, far)) in points.iter().zip(&steps).zip(slopes) {
        // y + x (near + x (b + c x)) over the piece, and the most that it bends.
        let (b, c) = ((3.0 * d - 2.0 * near - far) / h, (near + far - 2.0 * d) / (h * h));
        let bend = (2.0 * b).abs().max((2.0 * b + 6.0 * c * h).abs());
        let pieces = (h * (bend / (8.0 * FINE_MM)).sqrt()).ceil().clamp(1.0, 100.0) as u32;
        made.extend((1..=pieces).map(|i| {
            let at = h * f64::from(i) / f64::from(pieces);
            (x + at, y + at * (near + at * (b + c * at)))
        }));
    }
    made
}
