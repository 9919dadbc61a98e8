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
/// Points of the contour: the error of the sum is under 1e-6 whatever the time.
const POINTS: i32 = 10;

/// Means of a row of cells, each given by its size and its mean, after `spent` (diffusivity times time, in the square of the
/// sizes' unit): sealed at both ends, or going on like that for ever where it `repeats`.
///
/// Finite volumes in space. In time the exponential in one step of any size, as a sum of solutions along a Talbot contour (Trefethen,
/// Weideman and Schmelzer, BIT 46 (2006) 653; figures from memory, tried in the test below).
pub(crate) fn even_out(row: &[(f64, f64)], spent: f64, repeats: bool) -> Vec<f64> {
    let all: f64 = row.iter().map(|(size, _)| size).sum();
    let first = row.first().map_or(0.0, |(_, value)| *value);
    let mean = first + row.iter().map(|(size, value)| size * (value - first)).sum::<f64>() / all;
    if spent <= 0.0 || row.iter().all(|(_, value)| (value - first).abs() < EVEN) {
        return row.iter().map(|(_, value)| *value).collect();
    }
    let mut sum = vec![0.0; row.len()];
    for k in 0..POINTS / 2 {
        let theta = f64::from(2 * k + 1) * std::f64::consts::PI / f64::from(POINTS);
        let (cot, n) = (1.0 / (0.6407 * theta).tan(), f64::from(POINTS));
        let z = Complex(n * (0.5017 * theta * cot - 0.6122), n * 0.2645 * theta);
        let along = Complex(n * (0.5017 * cot - 0.5017 * 0.6407 * theta * (1.0 + cot * cot)), n * 0.2645);
        let (sin, cos) = z.1.sin_cos();
        let weight = along.times(Complex(2.0 / n * z.0.exp() * cos, 2.0 / n * z.0.exp() * sin));
        for (sum, x) in sum.iter_mut().zip(resolved(row, z, spent, mean, repeats)) {
            *sum += weight.times(x).1;
        }
    }
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
        (Some(a), Some(b)) => Complex(link * (a.0 - b.0), link * (a.1 - b.1)),
        _ => Complex(0.0, 0.0),
    };
    let joined = across(&by_ends);
    let share = across(&open).over(Complex(1.0 + joined.0, joined.1));
    let less = |(x, q): (Complex, Complex)| Complex(x.0 - share.times(q).0, x.1 - share.times(q).1);
    open.into_iter().zip(by_ends).map(less).collect()
}

/// Solves `(z H + spent L) x = right`, sealed at both ends.
fn solved(row: &[(f64, f64)], z: Complex, spent: f64, right: impl Iterator<Item = f64>) -> Vec<Complex> {
    struct Line {
        pivot: Complex,
        right: Complex,
        /// To the next cell.
        link: f64,
    }
    let mut lines: Vec<Line> = Vec::with_capacity(row.len());
    let links = row.iter().zip(row.iter().skip(1)).map(|((a, _), (b, _))| 2.0 * spent / (a + b));
    for (((size, _), right), link) in row.iter().zip(right).zip(links.chain([0.0])) {
        let (mut pivot, mut right) = (Complex(z.0 * size + link, z.1 * size), Complex(right, 0.0));
        if let Some(before) = lines.last() {
            let passed = Complex(before.link, 0.0).over(before.pivot);
            pivot = Complex(pivot.0 + before.link - passed.0 * before.link, pivot.1 - passed.1 * before.link);
            let more = passed.times(before.right);
            right = Complex(right.0 + more.0, right.1 + more.1);
        }
        lines.push(Line { pivot, right, link });
    }
    let (mut next, mut solved) = (Complex(0.0, 0.0), Vec::with_capacity(row.len()));
    for Line { pivot, right, link } in lines.into_iter().rev() {
        next = Complex(right.0 + link * next.0, right.1 + link * next.1).over(pivot);
        solved.push(next);
    }
    solved.reverse();
    solved
}

/// A complex number: its real and its imaginary part.
#[derive(Clone, Copy)]
struct Complex(f64, f64);

impl Complex {
    fn times(self, other: Complex) -> Complex {
        Complex(self.0 * other.0 - self.1 * other.1, self.0 * other.1 + self.1 * other.0)
    }

    fn over(self, other: Complex) -> Complex {
        let size = other.0 * other.0 + other.1 * other.1;
        let Complex(re, im) = self.times(Complex(other.0, -other.1));
        Complex(re / size, im / size)
    }
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
