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

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, TAU};

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

/// A point of the square from -1 to 1, turned by an angle along its level curve.
fn around([x, y]: [f64; 2], angle: f64) -> [f64; 2] {
    let (near, far) = (x.abs().min(y.abs()), x.abs().max(y.abs()));
    if far <= 0.0 {
        return [x, y];
    }
    // Which side of the square, counted from the one at x = 1, and how far from its middle.
    let (side, slope) = if x.abs() >= y.abs() {
        (if x > 0.0 { 0.0 } else { 2.0 }, if (x > 0.0) == (y > 0.0) { near / far } else { -near / far })
    } else {
        (if y > 0.0 { 1.0 } else { 3.0 }, if (x > 0.0) == (y > 0.0) { -near / far } else { near / far })
    };
    let rho = level(far, slope);
    let curve = Curve::new(rho);
    let theta = side * FRAC_PI_2 + curve.theta(slope) + angle;
    // The nearest quarter; the steps of a twist are far too few for an `i64` to run over.
    let quarters = theta / FRAC_PI_2;
    let side = (quarters + 0.5f64.copysign(quarters)) as i64;
    let slope = curve.slope(theta - side as f64 * FRAC_PI_2);
    // `far` of the new place: r cos phi, with r = rho (1 + e rho^2).
    let cos = 1.0 / (1.0 + slope * slope).sqrt();
    let far = rho * (cos + (1.0 - cos) * rho * rho);
    match side.rem_euclid(4) {
        0 => [far, far * slope],
        1 => [-far * slope, far],
        2 => [-far, -far * slope],
        _ => [far * slope, -far],
    }
}

/// A step of Halley's so small is the last: what is still missing goes with its cube, and is under 1e-11.
const SURE: f64 = 5e-4;

/// A step of Halley's toward a root: of the value, its slope, and the share by which the slope changes.
fn halley(value: f64, slope: f64, bend: f64) -> f64 {
    let newton = value / slope;
    newton / (1.0 - newton * bend / 2.0)
}

/// The level curve through a point: `rho` of `far / cos phi = rho + e rho^3`.
fn level(far: f64, slope: f64) -> f64 {
    let sec = (1.0 + slope * slope).sqrt();
    let (e, r) = (sec - 1.0, far * sec);
    // The right side is convex and rises by 1 at least.
    let mut rho = r.min(1.0);
    for _ in 0..8 {
        let cubic = e * rho * rho;
        let slope = 1.0 + 3.0 * cubic;
        let step = halley(rho + cubic * rho - r, slope, 6.0 * e * rho / slope);
        rho -= step;
        if step.abs() < SURE {
            break;
        }
    }
    rho
}

/// A level curve, and how its eighth is measured out.
struct Curve {
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
        Curve { four, three, eighth }
    }

    /// `F` at an angle, of its tangent and its secant.
    fn area(&self, phi: f64, slope: f64, sec: f64) -> f64 {
        let a = (slope.abs() + sec).ln().copysign(slope);
        phi + self.four * (a - phi) + self.three * (slope - 2.0 * a + phi)
    }

    fn theta(&self, slope: f64) -> f64 {
        FRAC_PI_4 * self.area(slope.atan(), slope, (1.0 + slope * slope).sqrt()) / self.eighth
    }

    /// The tangent of the angle at a place along the curve, -45 to 45 degrees of it.
    fn slope(&self, theta: f64) -> f64 {
        let share = theta / FRAC_PI_4;
        let asked = share * self.eighth;
        // By Halley in the tangent `t`: dF/dt = (1 + 4 rho^2 e + 3 rho^4 e^2) / (1 + t^2), from the polynomial in odd powers up to the fifth
        // that rises like it at 0, and at 1 ends where it does and rises like it.
        let last = std::f64::consts::SQRT_2 - 1.0;
        let rises = 2.0 * self.eighth / (1.0 + last * (self.four + self.three * last));
        let fifth = (rises + 2.0 * self.eighth - 3.0) / 2.0;
        let (third, square) = (1.0 - self.eighth - fifth, share * share);
        let mut slope = (share * (self.eighth + square * (third + square * fifth))).clamp(-1.0, 1.0);
        for _ in 0..12 {
            let square = 1.0 + slope * slope;
            let sec = square.sqrt();
            let e = sec - 1.0;
            let by_angle = 1.0 + e * (self.four + self.three * e);
            let bend = slope * ((self.four + 2.0 * self.three * e) / (sec * by_angle) - 2.0 / square);
            let step = halley(self.area(slope.atan(), slope, sec) - asked, by_angle / square, bend);
            slope = (slope - step).clamp(-1.0, 1.0);
            if step.abs() < SURE {
                break;
            }
        }
        slope
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
