//! A shop's own figures from its measured builds: least squares with uncertainties.
//!
//! Each reading is held against what the recipe alone foretells under the figures tried: then what is left over is the reading's
//! own error, and no reading's error leaks into the next. (Foretold from the measure before, the errors would hang together, and
//! the intervals come out too narrow: tried, and found so.) A slip of the hand early on does run through the rest.
//! Gauss-Newton on the readings' residuals in units of what a calliper or scale can tell; the covariance is `s^2 (J^T J)^-1` with `s^2` the residuals' own variance, and the 95 % half width takes Student's t (JCGM 100, annexes G and H.3).

use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::forge::{Effort, Habit, Sink, ToolKind};
use crate::piece::LotId;
use crate::quantity::Units;
use crate::replay::{Bench, Plan};
use crate::source::Span;

/// What a reading can tell, mm for thickness, width, length and a share for mass: only their ratios matter (project figures).
const WEIGHTS: [f64; 4] = [0.1, 0.2, 0.5, 0.005];
/// Fewest readings beyond the figures fitted for which anything is said.
const SPARE: usize = 3;
/// The least singular value of the readings' slopes, each of length one, at which figures still count as told apart.
const LEAST_APART: f64 = 1e-3;

/// The least factor on a published law of spread that is looked at (project figure).
const LEAST_FACTOR: f64 = 0.2;
/// A reading this many times as far off as half of them are (made a standard deviation: 1.4826, of a normal law) is an outlier (project figure).
const FAR: f64 = 8.0;
/// And further than so much more or less of spread and scale would put it: days differ by less (project figure).
const DAY: f64 = 0.1;
/// At most this share of the readings is set aside (project figure).
const MOST_ASIDE: f64 = 0.1;
/// A factor is known where its half width is under this share of it: the published laws differ by as much.
const KNOWN: f64 = 0.3;

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

/// What a shop's builds tell of it: what the spread of each tool is of the published law's, in the order of [`ToolKind::ALL`], scale (mm a face and heat), welds
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
    /// How far readings of a build lie from what the others foretell, of thickness, width, length and mass.
    bands: [Option<Band>; 4],
    /// Half of the band that holds a size at the end of a next build like these with 95 %: of thickness (mm), and of width, length and
    /// mass (share).
    pub next: [Option<f64>; 4],
    /// Whether one scale for all heats was left out, as each build is foretold no nearer with it.
    pub scale_no_better: bool,
    /// The least and the most of the heats that were measured: °C out of the fire, and minutes, in it and at the work.
    pub heats: Option<[(f64, f64); 2]>,
    /// Readings that were set aside.
    pub aside: Vec<Aside>,
    /// Whether nothing is told, as the readings say too little.
    pub too_little: bool,
    /// The build, from 0, that cannot be worked with any figures that the search begins with: nothing is told for that.
    pub unworked: Option<usize>,
}

/// A reading that was set aside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aside {
    /// Of which build, from 0.
    pub build: usize,
    /// Where it stands.
    pub site: Span,
    /// What was read, by the order of a piece's sizes: thickness, width, length, mass.
    pub what: usize,
    /// What the figures foretell, mm or g.
    pub foretold: f64,
    /// What was read.
    pub read: f64,
}

/// Gathers what was foretold and what was read.
#[derive(Default)]
struct Readings(Vec<Reading>);

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
    fn measured(&mut self, lot: LotId, planned: [f64; 4], _: [f64; 4], read: [Option<f64>; 4]) {
        for (i, (planned, read)) in planned.into_iter().zip(read).enumerate() {
            if let Some(read) = read {
                self.0.push((lot, i, planned, read));
            }
        }
    }
}

/// The readings of one build beside what some habit foretells; nothing where it cannot be worked.
fn readings(plan: &Plan, habit: Habit) -> Option<Vec<Reading>> {
    let mut bench = Bench::default();
    bench.habit = habit;
    let mut readings = Readings::default();
    bench.work(plan, &[], Units::Metric, &mut readings).ok()?;
    Some(readings.0)
}

/// Gathers how hot each heat was, °C, and how long it took, min.
#[derive(Default)]
struct Heats(Vec<[f64; 2]>);

impl Sink for Heats {
    const KEEPS: bool = false;
    const COUNTS: bool = true;
    fn effort(&mut self, effort: &Effort) {
        if effort.heats > 0 {
            self.0.push([effort.from_c, effort.minutes / f64::from(effort.heats)]);
        }
    }
}

/// The least and the most of the heats of some builds: °C, and minutes each.
fn heats(builds: &[Build]) -> Option<[(f64, f64); 2]> {
    let mut all = Heats::default();
    for build in builds {
        let mut bench = Bench::default();
        bench.habit = Habit { deaf: true, ..Habit::default() };
        // What cannot be worked as it stands tells of the heats before that.
        let _ = bench.work(build.plan, &[], Units::Metric, &mut all);
    }
    let range = |of: fn(&[f64; 2]) -> f64| {
        let figures = || all.0.iter().map(of);
        (figures().fold(f64::INFINITY, f64::min), figures().fold(0.0, f64::max))
    };
    (!all.0.is_empty()).then(|| [range(|[c, _]| *c), range(|[_, min]| *min)])
}

/// How far a reading lies from what was foretold, in units of what it can tell.
fn off(&(_, what, planned, read): &Reading) -> f64 {
    let weight = at(&WEIGHTS, what);
    (read - planned) / if what == 3 { weight * planned } else { weight }
}

/// The residuals of one build, without those that are set aside.
fn residuals(build: &Build, habit: Habit) -> Option<Vec<f64>> {
    let all = readings(build.plan, habit)?;
    Some(all.iter().enumerate().filter(|(i, _)| !build.aside.contains(i)).map(|(_, r)| off(r)).collect())
}

/// A measured build, and which of its readings are set aside.
struct Build<'p> {
    plan: &'p Plan,
    aside: Vec<usize>,
}

/// Where a search begins, and how far a figure is moved to see what it does.
// With the tool along the bar the law runs against its limit at 1, and no slope would be seen there.
const START: [f64; FIGURES] = [1.0, 1.0, 1.2, 1.0, 1.0, 0.05, 0.0, 0.0];
/// Factors of the published spread to begin with elsewhere, where a width that is asked is out of reach of the law (project figure).
const BEGIN_AT: [f64; 4] = [1.0, 1.4, 0.7, 2.0];
const STEP: [f64; FIGURES] = [1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-5, 1e-5, 1e-5];

fn habit(x: &[f64; FIGURES], used: &[bool; FIGURES]) -> Habit {
    let on = |i: usize| at(used, i).then(|| at(x, i));
    Habit {
        factor: std::array::from_fn(on),
        scale: on(SCALE),
        thinning: on(THINNING).unwrap_or(0.0),
        grinding: on(GRINDING).unwrap_or(0.0),
        deaf: true,
        ..Habit::default()
    }
}

/// The item of a figure.
fn at<T: Copy>(items: &[T], i: usize) -> T {
    *items.get(i).unwrap_or_else(|| bug!("the figure {i} of {}", items.len()))
}

fn all_residuals(plans: &[&Build], habit: Habit) -> Option<Vec<f64>> {
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

/// Where the search begins, and the residuals there; nothing where the builds cannot be worked.
fn begin(plans: &[&Build]) -> Option<([f64; FIGURES], Vec<f64>)> {
    BEGIN_AT.into_iter().find_map(|factor| {
        let mut x = START;
        x.iter_mut().take(TOOLS).for_each(|spread| *spread *= factor);
        Some((x, all_residuals(plans, habit(&x, &[true; FIGURES]))?))
    })
}

/// The first build that keeps the search from beginning.
fn unworked(builds: &[Build]) -> Option<usize> {
    let all: Vec<&Build> = builds.iter().collect();
    if begin(&all).is_some() {
        return None;
    }
    let alone = builds.iter().position(|build| begin(&[build]).is_none());
    // Each can be worked, but with no figures all of them: the first that does not go with those before it.
    alone.or_else(|| (1..=all.len()).position(|n| begin(all.get(..n).unwrap_or(&all)).is_none()))
}

/// Gauss-Newton over some of the figures; `None` where the builds cannot be worked or say too little.
fn fit(plans: &[&Build], mut used: [bool; FIGURES]) -> Option<Fit> {
    let (mut x, _) = begin(plans)?;
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
                    *t = t.clamp(LEAST_FACTOR, 1.0 / LEAST_FACTOR);
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
    plans: &[&Build],
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
    let mut builds: Vec<Build> = plans.iter().map(|plan| Build { plan, aside: Vec::new() }).collect();
    let plain = Habit { deaf: true, ..Habit::default() };
    made.unworked = unworked(&builds);
    made.too_little = made.unworked.is_none();
    let Some(all) = all_residuals(&builds.iter().collect::<Vec<_>>(), plain) else { return made };
    made.readings = all.len();
    if made.unworked.is_some() {
        return made;
    }
    let mut fitted = fit(&builds.iter().collect::<Vec<_>>(), [true; FIGURES]);
    // One by one, the furthest first: a slip drags the fit, and others with it.
    while (made.aside.len() + 1) as f64 <= MOST_ASIDE * all.len() as f64 {
        let Some(aside) = fitted.as_ref().and_then(|fit| furthest(&builds, fit)) else { break };
        let (build, reading, aside) = aside;
        if let Some(build) = builds.get_mut(build) {
            build.aside.push(reading);
        }
        made.aside.push(aside);
        fitted = fit(&builds.iter().collect::<Vec<_>>(), [true; FIGURES]);
    }
    made.before = all_residuals(&builds.iter().collect::<Vec<_>>(), plain).map(|r| rms(&r));
    let Some(mut fitted) = fitted else { return made };
    made.too_little = false;
    made.heats = heats(&builds);
    let mut left = left_out(&builds, [true; FIGURES]);
    if let (Some(with), true) = (&left, at(&fitted.used, SCALE)) {
        // One scale for every heat must earn its place: the recipes' own follow heat and minutes.
        let mut used = [true; FIGURES];
        used.iter_mut().skip(SCALE).take(1).for_each(|used| *used = false);
        let without = fit(&builds.iter().collect::<Vec<_>>(), used).zip(left_out(&builds, used));
        if let Some((fit, without)) = without
            && rms(&without.squares) <= rms(&with.squares)
        {
            (fitted, left, made.scale_no_better) = (fit, Some(without), true);
        }
    }
    made.after = Some(rms(&fitted.residuals));
    let told = made.figures.iter_mut().zip(fitted.x).zip(fitted.half).zip(fitted.used);
    for (((figure, value), half), used) in told {
        *figure = (used && half.is_finite()).then_some(Fitted { value, half });
    }
    if let Some(left) = left {
        made.left_out = Some(rms(&left.squares));
        made.bands = left.of_each.map(|points| Band::of(&points, builds.len()));
        made.next = ends(&builds, &fitted, &made.bands);
    }
    made
}

/// How far the readings of each build lie from what the other builds foretell.
struct LeftOut {
    /// In units of what a reading can tell.
    squares: Vec<f64>,
    /// The same of thickness, width, length and mass, each with how far it hangs on the figures.
    of_each: [Vec<(f64, f64)>; 4],
}

/// Each build foretold from the others; nothing for a single one, and where the others cannot be worked.
fn left_out(builds: &[Build], used: [bool; FIGURES]) -> Option<LeftOut> {
    if builds.len() < 2 {
        return None;
    }
    let (mut squares, mut of_each) = (Vec::new(), [const { Vec::new() }; 4]);
    for (out, one) in builds.iter().enumerate() {
        let others: Vec<&Build> =
            builds.iter().enumerate().filter(|(i, _)| *i != out).map(|(_, b)| b).collect();
        let fit = fit(&others, used)?;
        for (reading, hangs) in hanging(one, &fit.x, &fit.used)? {
            squares.push(off(&reading));
            if let Some(of) = of_each.get_mut(reading.1) {
                of.push((off(&reading), hangs));
            }
        }
    }
    Some(LeftOut { squares, of_each })
}

/// A reading: of which piece, of which size, foretold, read.
type Reading = (LotId, usize, f64, f64);

/// The readings of a build that are not set aside, each with how far it hangs on the figures: by how much it moves, in units of what a
/// reading can tell, where each of them is twice as much (welds a hundredth thinner, 0.1 mm more ground), as the root of the squares' sum.
fn hanging(build: &Build, x: &[f64; FIGURES], used: &[bool; FIGURES]) -> Option<Vec<(Reading, f64)>> {
    let read = readings(build.plan, habit(x, used))?;
    let read: Vec<Reading> =
        read.into_iter().enumerate().filter(|(i, _)| !build.aside.contains(i)).map(|(_, r)| r).collect();
    let here: Vec<f64> = read.iter().map(off).collect();
    let mut squares = vec![0.0; read.len()];
    for (i, column) in jacobian(&[build], x, used, &here)?.iter().enumerate() {
        let by = match i {
            THINNING => 0.01,
            GRINDING => 0.1,
            _ => at(x, i),
        };
        squares.iter_mut().zip(column).for_each(|(sum, slope)| *sum += (slope * by).powi(2));
    }
    Some(read.into_iter().zip(squares).map(|(read, squares)| (read, squares.sqrt())).collect())
}

/// How far readings lie from what other builds foretell, in units of what a reading can tell: a part of their own, and one that grows with
/// how far they hang on the figures, as a build is one draw of what all its readings have in common.
#[derive(Clone, Copy, Debug)]
struct Band {
    own: f64,
    common: f64,
    /// How many standard deviations of each hold 95 %.
    wide: [f64; 2],
}

impl Band {
    /// From how far readings were off, each with how far it hangs on the figures: two variances that add, the likeliest of a normal
    /// law, by scoring.
    fn of(points: &[(f64, f64)], builds: usize) -> Option<Band> {
        if points.is_empty() {
            return None;
        }
        let mean = points.iter().map(|(off, _)| off * off).sum::<f64>() / points.len() as f64;
        // As near as a calliper is read at the best, so that no variance is nothing.
        let least = 1e-4;
        let [mut own, mut common] = [mean.max(least), 0.0f64];
        for _ in 0..60 {
            let [mut one, mut cross, mut two, mut first, mut second] = [0.0; 5];
            for (off, hangs) in points {
                let (square, grows) = (off * off, hangs * hangs);
                let weight = (own + common * grows).powi(-2);
                one += weight;
                cross += weight * grows;
                two += weight * grows * grows;
                first += weight * square;
                second += weight * square * grows;
            }
            let det = one * two - cross * cross;
            let apart = det > 1e-12 * one * two;
            [own, common] = if apart {
                [(first * two - second * cross) / det, (second * one - first * cross) / det]
            } else {
                [mean, 0.0]
            };
            if common < 0.0 {
                [own, common] = [first / one, 0.0];
            }
            if own < least {
                [own, common] =
                    [least, if two > 0.0 { (second - least * cross).max(0.0) / two } else { 0.0 }];
            }
        }
        // As many readings as tell of their own part; one build is one draw of the common one, and the builds' own mean is taken out
        // of it.
        let alone: f64 = points.iter().map(|(_, hangs)| own / (own + common * hangs * hangs)).sum();
        let wide = [student_t(alone as usize), student_t(builds - 1)];
        Some(Band { own: own.sqrt(), common: common.sqrt(), wide })
    }

    /// Half of what holds a reading with 95 % that hangs so far on the figures, in units of what a reading can tell.
    fn half(&self, hangs: f64) -> f64 {
        let [own, common] = self.wide;
        (own * self.own).hypot(common * self.common * hangs)
    }
}

/// What a reading can tell, mm or g.
fn unit(&(_, what, foretold, _): &Reading) -> f64 {
    at(&WEIGHTS, what) * if what == 3 { foretold } else { 1.0 }
}

/// Half of the band at the end of builds like these: the widest of the last readings of each size.
fn ends(builds: &[Build], fit: &Fit, bands: &[Option<Band>; 4]) -> [Option<f64>; 4] {
    let mut widest = [None; 4];
    for build in builds {
        let mut last = [None; 4];
        for (reading, hangs) in hanging(build, &fit.x, &fit.used).unwrap_or_default() {
            let (_, what, foretold, _) = reading;
            if let (Some(last), Some(band)) = (last.get_mut(what), at(bands, what)) {
                let half = band.half(hangs) * unit(&reading);
                *last = Some(if what == 0 { half } else { half / foretold });
            }
        }
        for (widest, last) in widest.iter_mut().zip(last) {
            *widest = last.into_iter().chain(*widest).reduce(f64::max);
        }
    }
    widest
}

/// The reading that lies furthest off, where that is too far for the others' law, and for what one day and the next may differ.
fn furthest(builds: &[Build], fit: &Fit) -> Option<(usize, usize, Aside)> {
    let mut all = Vec::new();
    for (build, of) in builds.iter().enumerate() {
        let places = (0..).filter(|i| !of.aside.contains(i));
        let read = places.zip(hanging(of, &fit.x, &fit.used)?);
        all.extend(read.map(|(i, (reading, hangs))| (build, i, reading, hangs)));
    }
    let mut sizes: Vec<f64> = all.iter().map(|(_, _, reading, _)| off(reading).abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = 1.4826 * at(&sizes, sizes.len() / 2);
    let far = |reading: &Reading, hangs: f64| off(reading).abs() / (FAR * usual.max(1.0) + DAY * hangs);
    let (build, i, reading, hangs) =
        all.into_iter().max_by(|a, b| far(&a.2, a.3).total_cmp(&far(&b.2, b.3)))?;
    if far(&reading, hangs) <= 1.0 {
        return None;
    }
    let (lot, what, foretold, read) = reading;
    let site = builds.get(build)?.plan.ground.lots[lot].site;
    Some((build, i, Aside { build, site, what, foretold, read }))
}

impl Calibration {
    /// Whether the next build is foretold better by these figures than by those as they are; nothing where it cannot be shown.
    #[must_use]
    pub fn better(&self) -> Option<bool> {
        Some(self.left_out? < self.before?)
    }

    /// What these figures foretell of the readings of another build, beside what was read: of which size (thickness, width, length, mass),
    /// foretold, read, and half of the band that holds it with 95 %; nothing where it cannot be worked.
    #[must_use]
    pub fn foretold(&self, plan: &Plan) -> Option<Vec<(usize, f64, f64, f64)>> {
        let x = self.figures.map(|figure| figure.map_or(0.0, |f| f.value));
        let build = Build { plan, aside: Vec::new() };
        let all = hanging(&build, &x, &self.figures.map(|figure| figure.is_some()))?;
        let told = all.into_iter().map(|(reading, hangs)| {
            let (_, what, foretold, read) = reading;
            Some((what, foretold, read, at(&self.bands, what)?.half(hangs) * unit(&reading)))
        });
        told.collect()
    }

    /// The factors on the law that the readings tell closer than published laws lie to each other.
    pub fn known_spreads(&self) -> impl Iterator<Item = (ToolKind, Fitted)> + '_ {
        self.spreads().filter(|(_, f)| f.half <= KNOWN * f.value)
    }

    /// The scale, where the readings tell that there is any.
    #[must_use]
    pub fn known_scale(&self) -> Option<Fitted> {
        at(&self.figures, SCALE).filter(|f| f.half < f.value)
    }
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
