//! A square bar twisted about its length.
//!
//! The core turns like a stiff rod and only the corners are squashed: between a small circle about the middle and the
//! square at the skin lie level curves, and each is turned along itself by the same angle, so that every area stays
//! (project geometry; the Jacobian is 1, as the tests find by differences). In the square from -1 to 1, within 45 degrees of the
//! middle of a side: `r = rho (1 + e rho^2)` with `e = 1/cos phi - 1` are the level curves, and the place along one is
//! `theta = pi/4 F(rho, phi) / F(rho, pi/4)` with `F = phi + 4 rho^2 (A - phi) + 3 rho^4 (tan phi - 2 A + phi)` and
//! `A = asinh(tan phi)`: `rho F` is the integral of `r dr/drho` over `phi`, the area between two level curves.
//!
//! Left out: the length's small growth, faces that bulge, and turns that gather where the bar is hotter.

use std::f64::consts::{FRAC_2_PI, FRAC_PI_2, FRAC_PI_4, TAU};

use super::super::line::Point;

/// A twist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Twist {
    /// Turns between the grips; a right-hand thread has them above nothing: seen from the heel it goes clockwise on its way off.
    pub turns: f64,
    /// The share of the length that each grip holds, 0 up to a half: nothing turns there.
    pub grips: f64,
}

impl Twist {
    /// Where what lies at a point now lay before.
    #[inline]
    #[must_use]
    pub fn back(&self, point: Point) -> Point {
        self.turned(point, -1.0)
    }

    /// Where what lay at a point lies now.
    #[must_use]
    pub fn onward(&self, point: Point) -> Point {
        self.turned(point, 1.0)
    }

    fn turned(&self, [thick, wide, long]: Point, sign: f64) -> Point {
        let free = 1.0 - 2.0 * self.grips;
        let angle = sign * TAU * self.turns * ((long - self.grips) / free).clamp(0.0, 1.0);
        let [x, y] = around([2.0 * wide - 1.0, 2.0 * thick - 1.0], angle);
        [0.5 + 0.5 * y, 0.5 + 0.5 * x, long]
    }
}

/// A point of the square from -1 to 1, turned by an angle along its level curve. A picture asks for hundreds of thousands of points, so nothing
/// here branches on where they lie.
fn around([x, y]: [f64; 2], angle: f64) -> [f64; 2] {
    // Which side of the square, counted from the one at x = 1, and how far from its middle.
    let flat = x.abs() >= y.abs();
    let (toward, beside) = if flat { (x, y) } else { (y, -x) };
    if toward == 0.0 {
        return [x, y];
    }
    let side = f64::from(u8::from(!flat) + 2 * u8::from(toward < 0.0));
    let slope = beside / toward;
    let sec = (1.0 + slope * slope).sqrt();
    let rho = level(toward.abs() * sec, sec - 1.0);
    let curve = Curve::new(rho);
    let theta = side * FRAC_PI_2 + FRAC_PI_4 * curve.area(slope, sec) / curve.eighth + angle;
    // The nearest quarter; the steps of a twist are far too few for an `i64` to run over.
    let quarters = theta * FRAC_2_PI;
    let side = (quarters + 0.5f64.copysign(quarters)) as i64;
    let slope = curve.slope((theta - side as f64 * FRAC_PI_2) / FRAC_PI_4);
    // `far` of the new place: r cos phi, with r = rho (1 + e rho^2).
    let cos = 1.0 / (1.0 + slope * slope).sqrt();
    let far = rho * (cos + (1.0 - cos) * rho * rho);
    // The side's middle, where an odd one is turned by a quarter and the third and the fourth by two.
    let way = if side & 2 == 0 { far } else { -far };
    if side & 1 == 0 { [way, way * slope] } else { [-way * slope, way] }
}

/// The level curve through a point so far from the middle: `rho` of `r = rho + e rho^3`, by one step of Halley's from `r` times a polynomial in
/// `e r^2`, fitted to within 4.2e-4 up to a corner (project figures): what is still missing goes with its cube, and is under 1e-11.
fn level(r: f64, e: f64) -> f64 {
    let q = e * r * r;
    let start = 1.0 + q * (-0.967_61 + q * (2.172_16 + q * (-3.776_60 + q * (3.645_19 - 1.415_12 * q))));
    let rho = r * start;
    let cubic = e * rho * rho;
    let (off, rise) = (rho + cubic * rho - r, 1.0 + 3.0 * cubic);
    rho - off * rise / (rise * rise - 3.0 * off * e * rho)
}

/// A level curve, and how its eighth is measured out.
struct Curve {
    square: f64,
    four: f64,
    three: f64,
    eighth: f64,
}

impl Curve {
    fn new(rho: f64) -> Curve {
        let square = rho * rho;
        let (four, three) = (4.0 * square, 3.0 * square * square);
        // asinh(1) = ln(1 + sqrt 2).
        let a = 0.881_373_587_019_543;
        let eighth = FRAC_PI_4 + four * (a - FRAC_PI_4) + three * (1.0 - 2.0 * a + FRAC_PI_4);
        Curve { square, four, three, eighth }
    }

    /// `F` at an angle, of its tangent and its secant.
    fn area(&self, slope: f64, sec: f64) -> f64 {
        // With h = tan(phi / 2) are phi = 2 atan h and A = 2 artanh h: the series of both go through the same powers, and up to 45 degrees
        // eight terms of each leave less than 1e-13 (h^4 is 0.0295 there).
        let half = slope / (1.0 + sec);
        let square = half * half;
        let fourth = square * square;
        let two = |a, b| a + fourth * b;
        let four = |low: f64, high: f64| low + fourth * fourth * high;
        let eight = |low: f64, high: f64| low + (fourth * fourth) * (fourth * fourth) * high;
        let one = eight(
            four(two(1.0, 1.0 / 5.0), two(1.0 / 9.0, 1.0 / 13.0)),
            four(two(1.0 / 17.0, 1.0 / 21.0), two(1.0 / 25.0, 1.0 / 29.0)),
        );
        let other = eight(
            four(two(1.0 / 3.0, 1.0 / 7.0), two(1.0 / 11.0, 1.0 / 15.0)),
            four(two(1.0 / 19.0, 1.0 / 23.0), two(1.0 / 27.0, 1.0 / 31.0)),
        );
        let (phi, a) = (2.0 * half * (one - square * other), 2.0 * half * (one + square * other));
        phi + self.four * (a - phi) + self.three * (slope - 2.0 * a + phi)
    }

    /// The tangent of the angle at a share of the curve from the middle of a side, -1 to 1: one step of Halley's in the tangent `t` from a
    /// polynomial, fitted to within 2.2e-4 (project figures). dF/dt = (1 + 4 rho^2 e + 3 rho^4 e^2) / (1 + t^2), with `e` of `t`.
    fn slope(&self, share: f64) -> f64 {
        // In powers of the square of rho, and in odd ones of the share.
        let by_rho = |a, b, c, d| a + self.square * (b + self.square * (c + self.square * d));
        let (first, third) = (
            by_rho(0.785_55, 0.379_29, 0.083_64, -0.014_04),
            by_rho(0.156_41, 0.015_61, -0.575_25, -0.147_9),
        );
        let (fifth, seventh) = (
            by_rho(0.054_32, -0.370_08, 0.056_57, 0.934_41),
            by_rho(-0.002_78, -0.001_8, 0.651_75, -1.181_95),
        );
        let ninth = by_rho(0.006_52, -0.023_44, -0.215_98, 0.409_36);
        let odd = share * share;
        let start = share * (first + odd * (third + odd * (fifth + odd * (seventh + odd * ninth))));
        let square = 1.0 + start * start;
        let sec = square.sqrt();
        let e = sec - 1.0;
        let off = self.area(start, sec) - share * self.eighth;
        // The slope times 1 + t^2, and how fast the slope changes times the square of that.
        let rise = 1.0 + e * (self.four + self.three * e);
        let bend = start * (sec * (self.four + 2.0 * self.three * e) - 2.0 * rise);
        (start - 2.0 * off * square * rise / (2.0 * rise * rise - off * bend)).clamp(-1.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers from 0 to 1 without a pattern (a linear congruence).
    fn scattered(n: usize) -> Vec<[f64; 3]> {
        let mut state = 17u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        (0..n).map(|_| [next(), next(), next()]).collect()
    }

    #[test]
    fn each_place_goes_where_it_came_from_and_no_area_changes() {
        let twist = Twist { turns: 3.3, grips: 0.1 };
        let h = 1e-6;
        for point in scattered(2_000) {
            let there = twist.back(point);
            let again = twist.onward(there);
            assert!(there.iter().all(|v| (0.0..=1.0).contains(v)), "{point:?} {there:?}");
            assert!(point.iter().zip(again).all(|(a, b)| (a - b).abs() < 1e-10), "{point:?} {again:?}");
            // Jacobian in the section by differences; where two sides meet the map has a kink, and is left out.
            let [x, y] = [2.0 * point[1] - 1.0, 2.0 * point[0] - 1.0];
            let [p, q] = [2.0 * there[1] - 1.0, 2.0 * there[0] - 1.0];
            if (x.abs() - y.abs()).abs() < 1e-3
                || (p.abs() - q.abs()).abs() < 1e-3
                || x.abs().max(y.abs()) > 0.999
            {
                continue;
            }
            let at = |a: f64, b: f64| twist.back([point[0] + a, point[1] + b, point[2]]);
            let d = |p: [f64; 3], q: [f64; 3]| [(p[0] - q[0]) / (2.0 * h), (p[1] - q[1]) / (2.0 * h)];
            let (a, b) = (d(at(h, 0.0), at(-h, 0.0)), d(at(0.0, h), at(0.0, -h)));
            let jacobian = a[0] * b[1] - a[1] * b[0];
            assert!((jacobian - 1.0).abs() < 1e-6, "{point:?}: {jacobian}");
        }
    }

    #[test]
    fn the_area_under_a_level_curve_is_that_of_the_arctangent_and_the_area_sine() {
        // By the functions of the standard library; in the corner, by hand: pi / 4 + 4 (A - pi / 4) + 3 (1 - 2 A + pi / 4), A = ln(1 + sqrt 2).
        for [rho, slope, _] in scattered(2_000) {
            let curve = Curve::new(rho);
            for slope in [slope, -slope] {
                let (phi, a) = (slope.atan(), slope.asinh());
                let square = rho * rho;
                let want = phi + 4.0 * square * (a - phi) + 3.0 * square * square * (slope - 2.0 * a + phi);
                let got = curve.area(slope, (1.0 + slope * slope).sqrt());
                assert!((got - want).abs() < 1e-13, "{rho} {slope}: {got} for {want}");
            }
        }
        let corner = Curve::new(1.0);
        assert!((corner.area(1.0, 2.0f64.sqrt()) - corner.eighth).abs() < 1e-13);
    }

    #[test]
    fn one_step_finds_the_level_curve_and_the_place_along_it() {
        for [x, y, _] in scattered(20_000) {
            let slope = 2.0 * y - 1.0;
            let sec = (1.0 + slope * slope).sqrt();
            let (r, e) = (x * sec, sec - 1.0);
            let rho = level(r, e);
            assert!((rho + e * rho.powi(3) - r).abs() < 1e-10, "{x} {slope}: {rho}");
            let curve = Curve::new(rho);
            let share = curve.area(slope, sec) / curve.eighth;
            assert!((curve.slope(share) - slope).abs() < 1e-10, "{x} {slope}: {}", curve.slope(share));
        }
    }

    #[test]
    fn the_core_turns_like_a_rod_and_the_skin_stays_the_square() {
        // Near the middle the angle is the twist's own.
        let twist = Twist { turns: 1.0, grips: 0.0 };
        for eighths in 0..8 {
            let long = f64::from(eighths) / 8.0;
            let [thick, wide, _] = twist.onward([0.5, 0.505, long]);
            let angle = (thick - 0.5).atan2(wide - 0.5).rem_euclid(TAU);
            assert!((angle - TAU * long).abs() < 1e-3, "{angle} at {long}");
        }
        // What lies in a corner goes along the skin, by a quarter to the next corner, by an eighth to the middle of a side.
        for (long, [thick, wide]) in [(0.25, [1.0, 0.0]), (0.125, [1.0, 0.5]), (0.5, [0.0, 0.0])] {
            let there = twist.onward([1.0, 1.0, long]);
            assert!((there[0] - thick).abs() + (there[1] - wide).abs() < 1e-9, "{there:?}");
        }
        // A left hand goes the other way, and grips stay.
        let left = Twist { turns: -1.0, grips: 0.25 };
        assert!((left.onward([0.5, 1.0, 0.375])[0] - 0.0).abs() < 1e-9);
        assert_eq!(left.back([0.5, 0.9, 0.2]).map(|v| (v * 1e9).round()), [0.5e9, 0.9e9, 0.2e9]);
    }
}
