//! A shop's own figures from its measured builds: least squares with uncertainties.
//!
//! Each reading is held against what the recipe alone foretells under the figures tried: then what is left over is the reading's
//! own error, and no reading's error leaks into the next. (Foretold from the measure before, the errors would hang together, and
//! the intervals come out too narrow: tried, and found so.) A slip of the hand early on does run through the rest.
//! Gauss-Newton on the readings' residuals in units of what a calliper or scale can tell; the covariance is `s^2 (J^T J)^-1` with `s^2` the residuals' own variance, and the 95 % half width takes Student's t (JCGM 100, annexes G and H.3).

use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::forge::{Habit, Sink, ToolKind};
use crate::piece::LotId;
use crate::quantity::Units;
use crate::replay::{Bench, Plan};

/// What a reading can tell, mm for thickness, width, length and a share for mass: only their ratios matter (project figures).
const WEIGHTS: [f64; 4] = [0.1, 0.2, 0.5, 0.005];
/// Fewest readings beyond the figures fitted for which anything is said.
const SPARE: usize = 3;
/// The least singular value of the readings' slopes, each of length one, at which figures still count as told apart.
const LEAST_APART: f64 = 1e-3;

/// Tools, each with a spread of its own.
const TOOLS: usize = ToolKind::ALL.len();
/// The figures that are looked for: the spread of each tool, then scale, thinning, grinding.
pub const FIGURES: usize = TOOLS + 3;
const SCALE: usize = TOOLS;
const THINNING: usize = TOOLS + 1;
const GRINDING: usize = TOOLS + 2;

/// One figure of the shop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// Its value.
    pub value: f64,
    /// Half of the interval that holds it with 95 %.
    pub half: f64,
}

/// What a shop's builds tell of it: spread of each tool in the order of [`ToolKind::ALL`], scale (mm a face and heat), welds
/// thinner than asked (share), grinding more than asked (mm a face); nothing where the readings cannot tell.
#[derive(Clone, Debug, Default)]
pub struct Calibration {
    /// The figures.
    pub figures: [Option<Fitted>; FIGURES],
    /// Readings used.
    pub readings: usize,
    /// Root mean square of the residuals with the recipe's own figures, in units of what a reading can tell; nothing where there
    /// are none.
    pub before: Option<f64>,
    /// The same with the fitted ones.
    pub after: Option<f64>,
    /// The same, each build foretold from the others; nothing for a single build.
    pub left_out: Option<f64>,
    /// Why nothing is told, where that is so.
    pub too_little: bool,
}

/// Gathers what was foretold and what was read.
#[derive(Default)]
struct Readings(Vec<(usize, f64, f64)>);

impl Calibration {
    /// The spread of each tool that the readings tell.
    pub fn spreads(&self) -> impl Iterator<Item = (ToolKind, Fitted)> + '_ {
        ToolKind::ALL.into_iter().zip(self.figures).filter_map(|(tool, figure)| Some((tool, figure?)))
    }

    /// Scale, thinning and grinding.
    #[must_use]
    pub fn others(&self) -> [Option<Fitted>; 3] {
        [SCALE, THINNING, GRINDING].map(|i| at(&self.figures, i))
    }
}

impl Sink for Readings {
    const KEEPS: bool = false;
    const MEASURES: bool = true;
    fn measured(&mut self, _: LotId, planned: [f64; 4], _: [f64; 4], read: [Option<f64>; 4]) {
        for (i, (planned, read)) in planned.into_iter().zip(read).enumerate() {
            if let Some(read) = read {
                self.0.push((i, planned, read));
            }
        }
    }
}

/// The residuals of one build under some habit; nothing where it cannot be worked.
fn residuals(plan: &Plan, habit: Habit) -> Option<Vec<f64>> {
    let mut bench = Bench::default();
    bench.habit = habit;
    let mut readings = Readings::default();
    bench.work(plan, &[], Units::Metric, &mut readings).ok()?;
    let of = |(i, planned, read): (usize, f64, f64)| {
        let weight = at(&WEIGHTS, i);
        (read - planned) / if i == 3 { weight * planned } else { weight }
    };
    Some(readings.0.into_iter().map(of).collect())
}

/// Where a search begins, and how far a figure is moved to see what it does.
const START: [f64; FIGURES] = [0.35, 0.35, 0.6, 0.35, 0.35, 0.05, 0.0, 0.0];
const STEP: [f64; FIGURES] = [1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-5, 1e-5, 1e-5];

fn habit(x: &[f64; FIGURES], used: &[bool; FIGURES]) -> Habit {
    let on = |i: usize| at(used, i).then(|| at(x, i));
    Habit {
        spread: std::array::from_fn(on),
        scale: on(SCALE),
        thinning: on(THINNING).unwrap_or(0.0),
        grinding: on(GRINDING).unwrap_or(0.0),
        deaf: true,
    }
}

/// The item of a figure.
fn at<T: Copy>(items: &[T], i: usize) -> T {
    *items.get(i).unwrap_or_else(|| bug!("the figure {i} of {}", items.len()))
}

fn all_residuals(plans: &[&Plan], habit: Habit) -> Option<Vec<f64>> {
    let mut all = Vec::new();
    for plan in plans {
        all.extend(residuals(plan, habit)?);
    }
    Some(all)
}

fn rms(r: &[f64]) -> f64 {
    (r.iter().map(|x| x * x).sum::<f64>() / (r.len().max(1)) as f64).sqrt()
}

struct Fit {
    x: [f64; FIGURES],
    used: [bool; FIGURES],
    half: [f64; FIGURES],
    residuals: Vec<f64>,
}

/// Gauss-Newton; `None` where the builds cannot be worked or say too little.
fn fit(plans: &[&Plan]) -> Option<Fit> {
    let mut used = [true; FIGURES];
    let mut x = START;
    let mut r = all_residuals(plans, habit(&x, &used))?;
    for _ in 0..40 {
        let jacobian = jacobian(plans, &x, &used, &r)?;
        // A figure that moves no reading cannot be told; neither can one that moves them as another does.
        for (used, column) in used.iter_mut().zip(&jacobian) {
            *used &= column.iter().map(|v| v * v).sum::<f64>() > 1e-6;
        }
        let step = loop {
            let count = used.iter().filter(|u| **u).count();
            if count == 0 || r.len() < count + SPARE {
                return None;
            }
            match solve(&jacobian, &used, &r) {
                Some(step) => break step,
                None => {
                    // The last of them is given up first: spread and scale say most.
                    let last = used.iter().rposition(|u| *u)?;
                    used.iter_mut().skip(last).take(1).for_each(|u| *u = false);
                }
            }
        };
        // A step that makes it worse is halved.
        let before = rms(&r);
        let (mut factor, mut moved) = (1.0, 0.0f64);
        for _ in 0..12 {
            let mut tried = x;
            for (i, (t, s)) in tried.iter_mut().zip(step).enumerate() {
                *t += factor * s;
                if i < TOOLS {
                    *t = t.clamp(0.01, 0.95);
                }
                if i == SCALE {
                    *t = t.clamp(0.0, 1.0);
                }
            }
            if let Some(next) = all_residuals(plans, habit(&tried, &used))
                && rms(&next) <= before * (1.0 + 1e-12)
            {
                moved = x.iter().zip(tried).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                (x, r) = (tried, next);
                break;
            }
            factor *= 0.5;
        }
        if moved < 1e-9 {
            break;
        }
    }
    let jacobian = jacobian(plans, &x, &used, &r)?;
    let count = used.iter().filter(|u| **u).count();
    let freedom = r.len().checked_sub(count)?;
    let s2 = r.iter().map(|v| v * v).sum::<f64>() / freedom.max(1) as f64;
    let cov = covariance(&columns(&jacobian, &used))?;
    let mut half = [f64::NAN; FIGURES];
    let mut variances = cov.iter().enumerate().map(|(i, row)| at(row, i));
    for (half, used) in half.iter_mut().zip(used) {
        if used {
            let variance = variances.next().unwrap_or_else(|| bug!("a figure in use without a variance"));
            *half = student_t(freedom) * (s2 * variance).sqrt();
        }
    }
    Some(Fit { x, used, half, residuals: r })
}

fn jacobian(
    plans: &[&Plan],
    x: &[f64; FIGURES],
    used: &[bool; FIGURES],
    here: &[f64],
) -> Option<Vec<Vec<f64>>> {
    let mut columns = Vec::new();
    for i in 0..FIGURES {
        if !at(used, i) {
            columns.push(vec![0.0; here.len()]);
            continue;
        }
        let mut moved = *x;
        let step = at(&STEP, i);
        if let Some(v) = moved.get_mut(i) {
            *v += step;
        }
        let up = all_residuals(plans, habit(&moved, used))?;
        if up.len() != here.len() {
            return None;
        }
        columns.push(up.iter().zip(here).map(|(u, h)| (u - h) / step).collect());
    }
    Some(columns)
}

/// The columns of the figures in use, side by side.
fn columns(jacobian: &[Vec<f64>], used: &[bool; FIGURES]) -> DMatrix<f64> {
    let columns: Vec<DVector<f64>> =
        jacobian.iter().zip(used).filter(|(_, u)| **u).map(|(c, _)| DVector::from_column_slice(c)).collect();
    DMatrix::from_columns(&columns)
}

/// The Gauss-Newton step; `None` where the figures cannot be told apart.
fn solve(jacobian: &[Vec<f64>], used: &[bool; FIGURES], r: &[f64]) -> Option<[f64; FIGURES]> {
    let j = columns(jacobian, used);
    let right = j.tr_mul(&DVector::from_column_slice(r));
    let mut found = covariance(&j)?.into_iter();
    let mut step = [0.0; FIGURES];
    for (step, used) in step.iter_mut().zip(used) {
        if *used {
            *step = -found.next()?.iter().zip(&right).map(|(a, b)| a * b).sum::<f64>();
        }
    }
    step.iter().all(|s| s.is_finite()).then_some(step)
}

/// `(J^T J)^-1` by rows; `None` where two of the columns are nearly alike once each is of length one.
fn covariance(j: &DMatrix<f64>) -> Option<Vec<Vec<f64>>> {
    let length: Vec<f64> = j.column_iter().map(|c| c.norm()).collect();
    let mut unit = j.clone();
    unit.column_iter_mut().zip(&length).for_each(|(mut c, l)| c /= *l);
    let values = unit.clone().svd(false, false).singular_values;
    if !values.iter().all(|v| v.is_finite() && *v > LEAST_APART) {
        return None;
    }
    let inverse = unit.tr_mul(&unit).cholesky()?.inverse();
    let rows = inverse.row_iter().zip(&length);
    Some(rows.map(|(row, a)| row.iter().zip(&length).map(|(v, b)| v / (a * b)).collect()).collect())
}

/// Student's t for 95 % between two sides.
fn student_t(freedom: usize) -> f64 {
    StudentsT::new(0.0, 1.0, freedom.max(1) as f64).map_or(f64::INFINITY, |t| t.inverse_cdf(0.975))
}

/// Fits the shop's own figures to measured builds.
#[must_use]
pub fn calibrate(plans: &[&Plan]) -> Calibration {
    let mut made = Calibration { too_little: true, ..Calibration::default() };
    let Some(plain) = all_residuals(plans, Habit { deaf: true, ..Habit::default() }) else { return made };
    (made.readings, made.before) = (plain.len(), Some(rms(&plain)));
    let Some(fit) = fit(plans) else { return made };
    made.too_little = false;
    made.after = Some(rms(&fit.residuals));
    let told = made.figures.iter_mut().zip(fit.x).zip(fit.half).zip(fit.used);
    for (((figure, value), half), used) in told {
        *figure = (used && half.is_finite()).then_some(Fitted { value, half });
    }
    if plans.len() > 1 {
        let mut squares = Vec::new();
        for out in 0..plans.len() {
            let others: Vec<&Plan> =
                plans.iter().enumerate().filter(|(i, _)| *i != out).map(|(_, p)| *p).collect();
            let (Some(fit), Some(one)) = (self::fit(&others), plans.get(out)) else { return made };
            let Some(r) = residuals(one, habit(&fit.x, &fit.used)) else { return made };
            squares.extend(r);
        }
        made.left_out = Some(rms(&squares));
    }
    made
}

#[cfg(test)]
mod tests {
    use super::{covariance, student_t};
    use nalgebra::DMatrix;

    #[test]
    fn students_t_is_that_of_the_table() {
        // JCGM 100, table G.2, 95 %: 3, 5, 10, 20, 50 degrees of freedom.
        for (n, t) in [(1, 12.71), (2, 4.30), (3, 3.18), (5, 2.57), (10, 2.23), (20, 2.09), (50, 2.01)] {
            assert!((student_t(n) - t).abs() < 0.006, "{n}: {}", student_t(n));
        }
    }

    #[test]
    fn figures_are_told_apart_or_not() {
        // J = [[2, 1], [0, sqrt 2]]: J^T J = [[4, 2], [2, 3]], whose inverse is [[3, -2], [-2, 4]] / 8.
        let got = covariance(&DMatrix::from_row_slice(2, 2, &[2.0, 1.0, 0.0, 2f64.sqrt()])).unwrap();
        for (row, want) in got.iter().zip([[0.375, -0.25], [-0.25, 0.5]]) {
            assert!(row.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12), "{got:?}");
        }
        assert!(covariance(&DMatrix::from_row_slice(2, 2, &[1.0, 1.0, 1.0, 1.0])).is_none());
    }
}
