//! How fast carbon moves in austenite.
//!
//! The two laws that know the carbon content (this one and Lee's, in the catalogue) agree within about 16 %.

use crate::steel::constants::{GAS, KELVIN};

/// `d0 exp(-q/(R T))`, m2/s, from m2/s and J/mol at `t_c` C.
pub(crate) fn arrhenius(d0_m2_s: f64, q_j_mol: f64, t_c: f64) -> f64 {
    d0_m2_s * (-q_j_mol / (GAS * (t_c + KELVIN))).exp()
}

/// Carbon, m2/s, by temperature and carbon content, %: Agren 1986, Scripta Metall. 20, 1507 (formula through a code,
/// citation from memory).
pub(crate) fn agren_m2_s(t_c: f64, carbon_percent: f64) -> f64 {
    let t = t_c + KELVIN;
    let (carbon, iron) = (carbon_percent / 12.011, (100.0 - carbon_percent) / 55.845);
    // Carbon atoms for each place between the iron atoms.
    let y = carbon / iron;
    4.53e-7 * (1.0 + y * (1.0 - y) * 8339.9 / t) * (-(1.0 / t - 2.221e-4) * (17767.0 - 26436.0 * y)).exp()
}

/// Values closer than this are one.
const EVEN: f64 = 1e-9;
/// Diffusivity times time over the square of a row's length, from which on it is even: what differs longest in a row sealed at both ends falls
/// off as `exp(-pi^2 Fo)` (Crank 1975), to less than [`EVEN`] there.
const SPENT: f64 = 2.2;
/// Points of the contour, of which the half is worked: the error of the sum is under 1e-6 whatever the time.
const POINTS: i32 = 10;
const LANES: usize = 5;

/// Means of a row of cells, each given by its size and its mean, after `spent` (diffusivity times time, in the square of the
/// sizes' unit): sealed at both ends, or going on like that for ever where it `repeats`.
///
/// Finite volumes in space. In time the exponential in one step of any size, as a sum of solutions along a Talbot contour (Trefethen,
/// Weideman and Schmelzer, BIT 46 (2006) 653; figures from memory, tried in the test below). The points of the contour are
/// worked side by side: each waits for its own divisions only.
pub(crate) fn even_out(row: &[(f64, f64)], spent: f64, repeats: bool) -> Vec<f64> {
    let all: f64 = row.iter().map(|(size, _)| size).sum();
    let first = row.first().map_or(0.0, |(_, value)| *value);
    let mean = first + row.iter().map(|(size, value)| size * (value - first)).sum::<f64>() / all;
    if spent <= 0.0 || row.iter().all(|(_, value)| (value - first).abs() < EVEN) {
        return row.iter().map(|(_, value)| *value).collect();
    }
    if spent >= SPENT * all * all {
        return vec![mean; row.len()];
    }
    let n = f64::from(POINTS);
    let theta: Lanes = std::array::from_fn(|k| (2 * k + 1) as f64 * std::f64::consts::PI / n);
    let point = |theta: f64| {
        let cot = 1.0 / (0.6407 * theta).tan();
        let (re, im) = (n * (0.5017 * theta * cot - 0.6122), n * 0.2645 * theta);
        let along = [n * (0.5017 * cot - 0.5017 * 0.6407 * theta * (1.0 + cot * cot)), n * 0.2645];
        ([re, im], [along[0], along[1], 2.0 / n * re.exp() * im.cos(), 2.0 / n * re.exp() * im.sin()])
    };
    let points = theta.map(point);
    let z = Complex::of(points.map(|(z, _)| z));
    let weight = points.map(|(_, [a, b, _, _])| [a, b]);
    let grown = points.map(|(_, [_, _, a, b])| [a, b]);
    let weight = Complex::of(weight).times(Complex::of(grown));
    let sum: Vec<f64> =
        resolved(row, z, spent, mean, repeats).into_iter().map(|x| weight.times(x).im.iter().sum()).collect();
    // Nothing is made or lost, not even a rounding.
    let off = sum.iter().zip(row).map(|(x, (size, _))| x * size).sum::<f64>() / all;
    sum.into_iter().map(|x| mean + x - off).collect()
}

/// Solves `(z H + spent L) x = H (values - mean)`, H the sizes and L the conductances between middles of cells.
fn resolved(row: &[(f64, f64)], z: Complex, spent: f64, mean: f64, repeats: bool) -> Vec<Complex> {
    let right = row.iter().map(|(size, value)| size * (value - mean));
    let open = solved(row, z, spent, right);
    let [Some((a, _)), Some((b, _))] = [row.first(), row.last()] else { return open };
    if !repeats {
        return open;
    }
    // The ends are joined by one link more: a matrix of rank one (Sherman and Morrison).
    let link = 2.0 * spent / (a + b);
    let last = row.len() - 1;
    let ends = (0..=last).map(|i| f64::from(u8::from(i == 0)) - f64::from(u8::from(i == last)));
    let by_ends = solved(row, z, spent, ends);
    let across = |x: &[Complex]| match (x.first(), x.last()) {
        (Some(a), Some(b)) => a.less(*b).scaled(link),
        _ => Complex::real(0.0),
    };
    let joined = across(&by_ends);
    let share = across(&open).times(Complex::real(1.0).and(joined).inverse());
    open.into_iter().zip(by_ends).map(|(x, q)| x.less(share.times(q))).collect()
}

/// Solves `(z H + spent L) x = right`, sealed at both ends.
fn solved(row: &[(f64, f64)], z: Complex, spent: f64, right: impl Iterator<Item = f64>) -> Vec<Complex> {
    struct Line {
        /// One over the pivot.
        pivot: Complex,
        right: Complex,
        /// To the next cell.
        link: f64,
    }
    let mut lines: Vec<Line> = Vec::with_capacity(row.len());
    let links = row.iter().zip(row.iter().skip(1)).map(|((a, _), (b, _))| 2.0 * spent / (a + b));
    for (((size, _), right), link) in row.iter().zip(right).zip(links.chain([0.0])) {
        let (mut pivot, mut right) = (z.scaled(*size).and(Complex::real(link)), Complex::real(right));
        if let Some(before) = lines.last() {
            let passed = before.pivot.scaled(before.link);
            pivot = pivot.and(Complex::real(before.link).less(passed.scaled(before.link)));
            right = right.and(passed.times(before.right));
        }
        lines.push(Line { pivot: pivot.inverse(), right, link });
    }
    let mut next = Complex::real(0.0);
    let back = |Line { pivot, right, link }: Line| {
        next = right.and(next.scaled(link)).times(pivot);
        next
    };
    let mut solved: Vec<Complex> = lines.into_iter().rev().map(back).collect();
    solved.reverse();
    solved
}

/// One figure for each point of the contour.
type Lanes = [f64; LANES];

/// Complex numbers, one for each point of the contour: their real and their imaginary parts.
#[derive(Clone, Copy)]
struct Complex {
    re: Lanes,
    im: Lanes,
}

impl Complex {
    fn of(parts: [[f64; 2]; LANES]) -> Complex {
        Complex { re: parts.map(|[re, _]| re), im: parts.map(|[_, im]| im) }
    }

    fn real(x: f64) -> Complex {
        Complex { re: [x; LANES], im: [0.0; LANES] }
    }

    fn and(self, other: Complex) -> Complex {
        let add = |a, b| a + b;
        Complex { re: zip(self.re, other.re, add), im: zip(self.im, other.im, add) }
    }

    fn less(self, other: Complex) -> Complex {
        self.and(other.scaled(-1.0))
    }

    fn scaled(self, by: f64) -> Complex {
        Complex { re: self.re.map(|x| x * by), im: self.im.map(|x| x * by) }
    }

    fn times(self, other: Complex) -> Complex {
        let product = |a, b| zip(a, b, |a, b| a * b);
        let Complex { re, im } = self;
        Complex {
            re: zip(product(re, other.re), product(im, other.im), |a, b| a - b),
            im: zip(product(re, other.im), product(im, other.re), |a, b| a + b),
        }
    }

    fn inverse(self) -> Complex {
        let size = zip(self.re, self.im, |re, im| 1.0 / (re * re + im * im));
        let over = |x, by| zip(x, size, move |x, size| x * by * size);
        Complex { re: over(self.re, 1.0), im: over(self.im, -1.0) }
    }
}

fn zip(mut a: Lanes, b: Lanes, with: impl Fn(f64, f64) -> f64) -> Lanes {
    for (a, b) in a.iter_mut().zip(b) {
        *a = with(*a, b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn two_cells_even_out_as_the_exponential() {
        // Two cells of size 1 trade at the rate of twice their conductance, 1: what is left of the step is exp(-2 s).
        for spent in [1e-6, 0.01, 0.3, 1.0, 2.5, 10.0, 1e4] {
            let after = even_out(&[(1.0, 0.8), (1.0, 0.2)], spent, false);
            let (a, b, left) = (after[0], after[1], 0.3 * (-2.0 * spent).exp());
            within(a, 0.5 + left, 3e-6);
            within(a + b, 1.0, 1e-14);
        }
    }

    #[test]
    fn a_row_that_repeats_has_no_ends() {
        // A ring of two cells is joined twice.
        for spent in [0.01, 0.3, 2.5] {
            let after = even_out(&[(1.0, 0.8), (1.0, 0.2)], spent, true);
            within(after[0], 0.5 + 0.3 * (-4.0 * spent).exp(), 3e-6);
        }
    }
}
