//! A picture, dot by dot: the steel at each dot's middle, and the mean brightness of what lies under the dot.

use std::cell::RefCell;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::ridge::BEND;
use super::sight::{Column, Sight};
use crate::bug::caught;
use crate::piece::SteelId;
use crate::piece::field::{Field, Known, Landing};
use crate::piece::shades::Shades;

/// Samples a dot is parted into, each way, where more than one steel lies under it or near it.
const FINE: usize = 4;
/// Which fine row is looked at in each fine column at first: none twice.
const FIRST: [usize; FINE] = [1, 3, 0, 2];
/// Columns that a core works at a time; beside them it works two more on each side, to see where lines run.
const STRIP: usize = 64;
/// How far a dot's middle may lie off the middle of its corners, as a share of how far these are apart, and of a bar: a warp that bends
/// more than that under a dot is followed for each sample (project figures).
const BENT: f64 = 0.1;
const FLAT: f64 = 1e-5;
/// The most dots of a picture (project figure).
pub const MOST: f64 = 2e7;

/// What a picture shows.
pub struct Picture {
    /// The side of a dot, mm.
    pub dot: f64,
    /// Dots across and down.
    pub dots: [usize; 2],
    /// Row by row from above: the steel at each dot's middle, `None` beside the piece.
    pub steels: Vec<Option<SteelId>>,
    /// Likewise the mean brightness of what of the piece lies under a dot, 0 to 1, and how much of the dot that is.
    pub tones: Vec<(f32, f32)>,
    /// Likewise whether an outline or a bevel line is drawn there.
    pub lines: Vec<bool>,
    /// How often a point was followed down through the warps.
    pub asked: usize,
}

/// Takes a picture.
///
/// # Errors
/// Why it would be too fine.
pub fn take(
    sight: &Sight,
    field: &Field,
    shades: &Shades,
    dot: f64,
    cores: usize,
) -> Result<Picture, String> {
    let dots = sight.size.map(|mm| (mm / dot - 1e-9).ceil().max(1.0));
    let [across, down] = dots;
    if across.is_nan() || across * down > MOST {
        return Err(format!(
            "dots of {dot} mm are too fine: the picture would have more than {MOST} of them"
        ));
    }
    let [across, down] = dots.map(|n| n as usize);
    let camera = Camera { sight, field, shades, dot, dots: [across, down], asked: AtomicUsize::new(0) };
    let columns = strips(across, cores, |from, to| Strip::new(&camera, from, to.min(across)).dots());
    let all = across * down;
    let mut steels = Vec::with_capacity(all);
    let (mut tones, mut lines) = (Vec::with_capacity(all), Vec::with_capacity(all));
    for y in 0..down {
        for column in &columns {
            let Some(dot) = column.get(y) else { bug!("no row {y} of {down}") };
            steels.push(dot.steel);
            tones.push(dot.tone);
            lines.push(dot.line);
        }
    }
    Ok(Picture { dot, dots: [across, down], steels, tones, lines, asked: camera.asked.into_inner() })
}

/// What is told of a dot.
#[derive(Clone, Copy)]
struct Dot {
    steel: Option<SteelId>,
    tone: (f32, f32),
    line: bool,
}

/// A dot looked at a few times.
struct Look {
    /// The steel at its middle, and how bright it is.
    seen: Option<(SteelId, f64)>,
    /// Whether more than one steel was seen under it.
    mixed: bool,
    under: Under,
}

/// What lies under a dot.
enum Under {
    /// Plain layers, so bright in the mean.
    Layers(f64),
    /// What its samples fall on: between corners, or followed one by one.
    Samples(Option<Box<Quad>>),
}

/// A line of the picture from above to below, and what is known of its place.
struct Line<'a> {
    column: Option<Column<'a>>,
    known: Known,
}

struct Camera<'a> {
    sight: &'a Sight<'a>,
    field: &'a Field,
    shades: &'a Shades,
    dot: f64,
    dots: [usize; 2],
    asked: AtomicUsize,
}

impl<'a> Camera<'a> {
    fn column(&self, x: f64) -> Line<'a> {
        Line { column: self.sight.column(x * self.dot), known: Known::default() }
    }

    /// The place of a fine column of a dot, in dots from its left.
    #[inline]
    fn share(x: usize, i: usize) -> f64 {
        (i as f64 + scattered(x * FINE + i)) / FINE as f64
    }

    fn seen(&self, line: &mut Line, y: f64) -> Option<(SteelId, f64)> {
        self.asked.fetch_add(1, Ordering::Relaxed);
        Some(self.shades.at(self.field, &self.land(line, y)?))
    }

    /// A place inside a fine row of a dot, in dots from the top.
    fn row(x: usize, y: usize, i: usize, row: usize) -> f64 {
        y as f64 + (row as f64 + scattered(((x << 22) ^ y) * FINE * FINE + i * FINE + row)) / FINE as f64
    }

    /// Where a point of a line from above to below lands.
    fn land(&self, line: &mut Line, y: f64) -> Option<Landing> {
        let point = line.column.as_ref()?.point(y * self.dot)?;
        Some(self.field.land(point, &mut line.known))
    }

    /// Where the middles of a column of dots land.
    fn middles(&self, x: usize) -> Middles {
        let mut line = self.column(x as f64 + 0.5);
        let [_, down] = self.dots;
        let middles: Middles = (0..down).map(|y| self.land(&mut line, y as f64 + 0.5)).collect();
        self.asked.fetch_add(middles.iter().flatten().count(), Ordering::Relaxed);
        middles
    }
}

/// Where the four corners of a dot land, in a dot under which the piece bends little: its samples lie between them.
struct Quad {
    way: Landing,
    corners: [Point; 4],
}

/// A point of a makeup.
type Point = [f64; 3];

impl Quad {
    /// The point at a share of the dot from its left and from above.
    fn between(&self, x: f64, y: f64) -> Point {
        let [a, b, c, d] = self.corners;
        a.toward(b, x).toward(c.toward(d, x), y)
    }
}

/// Where something lies: a point, or what of it is asked for. Written out for each, as every dot goes through this a dozen times.
trait Place: Copy {
    /// The place so far on the way to another.
    fn toward(self, to: Self, share: f64) -> Self;
    /// The place less half of what lies between two others.
    fn less_half(self, of: Self, from: Self) -> Self;
    /// Whether what lies between corners bends so little that their mean lies about where their middle is.
    fn even(corners: [Self; 4], mean: Self, middle: Self) -> bool;
}

impl Place for f64 {
    #[inline]
    fn toward(self, to: f64, share: f64) -> f64 {
        self + (to - self) * share
    }

    #[inline]
    fn less_half(self, of: f64, from: f64) -> f64 {
        self - (of - from) / 2.0
    }

    #[inline]
    fn even([a, b, c, d]: [f64; 4], mean: f64, middle: f64) -> bool {
        let (low, high) = (a.min(b).min(c.min(d)), a.max(b).max(c.max(d)));
        (mean - middle).abs() <= BENT * (high - low) + FLAT
    }
}

impl Place for Point {
    #[inline]
    fn toward(self, to: Point, share: f64) -> Point {
        let ([a, b, c], [p, q, r]) = (self, to);
        [a.toward(p, share), b.toward(q, share), c.toward(r, share)]
    }

    #[inline]
    fn less_half(self, of: Point, from: Point) -> Point {
        let ([a, b, c], [p, q, r], [x, y, z]) = (self, of, from);
        [a.less_half(p, x), b.less_half(q, y), c.less_half(r, z)]
    }

    #[inline]
    fn even([a, b, c, d]: [Point; 4], [i, j, k]: Point, [x, y, z]: Point) -> bool {
        f64::even([a[0], b[0], c[0], d[0]], i, x)
            && f64::even([a[1], b[1], c[1], d[1]], j, y)
            && f64::even([a[2], b[2], c[2], d[2]], k, z)
    }
}

#[inline]
fn mean<P: Place>([a, b, c, d]: [P; 4]) -> P {
    a.toward(b, 0.5).toward(c.toward(d, 0.5), 0.5)
}

/// Some columns of a picture, with one more on each side where there is one.
struct Strip<'c, 'a> {
    camera: &'c Camera<'a>,
    /// The columns that are told, and the first that is looked at.
    from: usize,
    to: usize,
    first: usize,
    looks: Vec<Vec<Look>>,
    /// Likewise the lines in which points are followed one by one.
    lines: Vec<RefCell<Lines<'a>>>,
}

/// Lines under a column of dots, each from when it is asked for.
#[derive(Default)]
struct Lines<'a> {
    /// Its left and its right side.
    sides: Option<[Line<'a>; 2]>,
    /// Its fine columns. Each lies somewhere in its share of the width, so that no regular pattern comes of lines as fine as the dots.
    fine: Option<[Line<'a>; FINE]>,
}

/// Where the middles of a column of dots land.
type Middles = Vec<Option<Landing>>;

/// The middles of a column, and of those left and right of it.
#[derive(Clone, Copy)]
struct Around<'m> {
    left: Option<&'m Middles>,
    here: &'m Middles,
    right: Option<&'m Middles>,
}

impl Around<'_> {
    /// Where the corners of a dot land by what the dots around it do, if these have landed by one way. The mean of four middles
    /// lies off the corner between them by what a bend does: by half of what the mean of the corners lies off the middle.
    #[inline]
    fn corners<P: Place>(
        &self,
        y: usize,
        middle: &Landing,
        told: impl Fn(Point) -> P + Copy,
    ) -> Option<[P; 4]> {
        let above = y.checked_sub(1)?;
        let three = |column: Option<&Middles>| match column?.get(above..=y + 1)? {
            [Some(a), Some(b), Some(c)] => {
                Some([told(a.beside(middle)?), told(b.beside(middle)?), told(c.beside(middle)?)])
            }
            _ => None,
        };
        let ([a, b, c], [d, e, f]) = (three(self.left)?, three(Some(self.here))?);
        let [g, h, i] = three(self.right)?;
        let [p, q, r, s] = [mean([a, b, d, e]), mean([d, e, g, h]), mean([b, c, e, f]), mean([e, f, h, i])];
        let off = mean([p, q, r, s]);
        Some([p.less_half(off, e), q.less_half(off, e), r.less_half(off, e), s.less_half(off, e)])
    }
}

impl<'c, 'a> Strip<'c, 'a> {
    fn new(camera: &'c Camera<'a>, from: usize, to: usize) -> Strip<'c, 'a> {
        let [across, _] = camera.dots;
        let (first, last) = (from.saturating_sub(1), (to + 1).min(across));
        let lines = (first..last).map(|_| RefCell::default()).collect();
        let mut strip = Strip { camera, from, to, first, looks: Vec::new(), lines };
        let beside = first.saturating_sub(1);
        let columns: Vec<Middles> = (beside..(last + 1).min(across)).map(|x| camera.middles(x)).collect();
        let looks = (first..last).map(|x| {
            let at = x - beside;
            let Some(here) = columns.get(at) else { bug!("no middles of column {x}") };
            let left = at.checked_sub(1).and_then(|left| columns.get(left));
            strip.look(x, Around { left, here, right: columns.get(at + 1) })
        });
        strip.looks = looks.collect();
        strip
    }

    /// Where the corners of a dot land, told by what of it is asked for, if this bends little under the dot.
    #[inline]
    fn corners<P: Place>(
        &self,
        at: (usize, usize),
        (middle, around): (&Landing, Around),
        lines: &mut Lines<'a>,
        told: impl Fn(Point) -> P + Copy,
    ) -> Option<[P; 4]> {
        let even = |corners: &[P; 4]| P::even(*corners, mean(*corners), told(middle.point()));
        let between = around.corners(at.1, middle, told).filter(even);
        between.or_else(|| {
            let [a, b, c, d] = self.followed(at, middle, lines)?;
            Some([told(a), told(b), told(c), told(d)]).filter(even)
        })
    }

    /// The corners of a dot, followed each by itself.
    fn followed(
        &self,
        (x, y): (usize, usize),
        middle: &Landing,
        lines: &mut Lines<'a>,
    ) -> Option<[Point; 4]> {
        let camera = self.camera;
        let sides = lines.sides.get_or_insert_with(|| [x, x + 1].map(|x| camera.column(x as f64)));
        let mut corners = [[0.0; 3]; 4];
        let places = [(0, y), (1, y), (0, y + 1), (1, y + 1)];
        for (corner, (side, y)) in corners.iter_mut().zip(places) {
            camera.asked.fetch_add(1, Ordering::Relaxed);
            *corner = camera.land(sides.get_mut(side)?, y as f64)?.beside(middle)?;
        }
        Some(corners)
    }

    /// The steel at a sample of a dot, in a fine row of a fine column, and how bright it is.
    fn seen(
        &self,
        (x, y): (usize, usize),
        quad: Option<&Quad>,
        [i, row]: [usize; 2],
        lines: &mut Lines<'a>,
    ) -> Option<(SteelId, f64)> {
        let camera = self.camera;
        let down = Camera::row(x, y, i, row);
        if let Some(quad) = quad {
            let landing = quad.way.at(quad.between(Camera::share(x, i), down - y as f64));
            return Some(camera.shades.at(camera.field, &landing));
        }
        let fine = || std::array::from_fn(|i| camera.column(x as f64 + Camera::share(x, i)));
        let fine = lines.fine.get_or_insert_with(fine);
        camera.seen(fine.get_mut(i)?, down)
    }

    fn look(&self, x: usize, around: Around) -> Vec<Look> {
        let camera = self.camera;
        let Some(lines) = self.lines.get(x - self.first) else { bug!("no column {x}") };
        let mut lines = lines.borrow_mut();
        let shares: [f64; FINE] = std::array::from_fn(|i| Camera::share(x, i));
        let look = |(y, middle): (usize, &Option<Landing>)| {
            let seen = middle.as_ref().map(|landing| camera.shades.at(camera.field, landing));
            let beside = middle.as_ref().map(|middle| (middle, around));
            let layers = middle.as_ref().and_then(|middle| camera.field.layers(middle));
            let quad = if let (Some(beside), Some(layers)) = (beside, layers) {
                // Only where they lie along the layers tells what is seen.
                let corners = self.corners((x, y), beside, &mut lines, |point| layers.along(point));
                if let Some([a, b, c, d]) = corners {
                    if let Some(tone) = camera.shades.one(&layers, [a, b, c, d]) {
                        return Look { seen, mixed: false, under: Under::Layers(tone) };
                    }
                    let mut sum = 0.0;
                    for share in &shares {
                        sum += camera.shades.mean(&layers, a + (b - a) * share, c + (d - c) * share);
                    }
                    return Look { seen, mixed: true, under: Under::Layers(sum / FINE as f64) };
                }
                None
            } else {
                let quad = beside.and_then(|beside| {
                    let corners = self.corners((x, y), beside, &mut lines, |point| point)?;
                    Some(Quad { way: *beside.0, corners })
                });
                quad.map(Box::new)
            };
            let steel = |seen: Option<(SteelId, f64)>| seen.map(|(steel, _)| steel);
            let mut samples = FIRST.into_iter().enumerate();
            let mixed = samples.any(|(i, row)| {
                steel(self.seen((x, y), quad.as_deref(), [i, row], &mut lines)) != steel(seen)
            });
            Look { seen, mixed, under: Under::Samples(quad) }
        };
        around.here.iter().enumerate().map(look).collect()
    }

    /// Column by column: where lines run in a dot or beside it, its tone is the mean of all its samples.
    fn dots(&self) -> Vec<Vec<Dot>> {
        (self.from..self.to).map(|x| self.column(x)).collect()
    }

    fn column(&self, x: usize) -> Vec<Dot> {
        let at = x - self.first;
        let near = |v: usize| v.saturating_sub(1)..=v + 1;
        let mixed = |y: usize| {
            let mut columns = near(at).filter_map(|x| self.looks.get(x));
            columns.any(|column| near(y).filter_map(|y| column.get(y)).any(|look| look.mixed))
        };
        let Some(lines) = self.lines.get(at) else { bug!("no column {x}") };
        let (mut lines, drawn) = (lines.borrow_mut(), self.drawn(x));
        let dot = |(y, look): (usize, &Look)| {
            let (steel, line) = (look.seen.map(|(steel, _)| steel), drawn.get(y) == Some(&true));
            let even = |tone: f64| Dot { steel, tone: (tone as f32, 1.0), line };
            let quad = match &look.under {
                Under::Layers(tone) => return even(*tone),
                Under::Samples(_) if !mixed(y) => {
                    return look.seen.map_or(Dot { steel, tone: (0.0, 0.0), line }, |(_, tone)| even(tone));
                }
                Under::Samples(quad) => quad.as_deref(),
            };
            let (mut sum, mut seen) = (0.0, 0.0);
            for sample in (0..FINE).flat_map(|i| (0..FINE).map(move |row| [i, row])) {
                if let Some((_, tone)) = self.seen((x, y), quad, sample, &mut lines) {
                    sum += tone;
                    seen += 1.0;
                }
            }
            let tone = if seen == 0.0 {
                (0.0, 0.0)
            } else {
                ((sum / seen) as f32, (seen / (FINE * FINE) as f64) as f32)
            };
            Dot { steel, tone, line }
        };
        self.looks.get(at).into_iter().flatten().enumerate().map(dot).collect()
    }
}

impl Strip<'_, '_> {
    /// Where lines are drawn in a column: on the last dots of the piece, along a bend of its face, and where its section steps.
    fn drawn(&self, x: usize) -> Vec<bool> {
        let (sight, dot, [_, down]) = (self.camera.sight, self.camera.dot, self.camera.dots);
        if !sight.lined() {
            return Vec::new();
        }
        let there = |x: Option<usize>, y: Option<usize>| {
            let look = || self.looks.get(x?.checked_sub(self.first)?)?.get(y?);
            look().is_some_and(|look| look.seen.is_some())
        };
        let ends = |y: usize| {
            let beside = [(x.checked_sub(1), Some(y)), (Some(x + 1), Some(y))];
            let over = [(Some(x), y.checked_sub(1)), (Some(x), Some(y + 1))];
            there(Some(x), Some(y)) && !beside.into_iter().chain(over).all(|(x, y)| there(x, y))
        };
        let mut lines: Vec<bool> = (0..down).map(ends).collect();
        let mut draw = |from: f64, to: f64| {
            for y in from.max(0.0) as usize..=to.max(0.0) as usize {
                if let Some(line) = lines.get_mut(y) {
                    *line = true;
                }
            }
        };
        let at = |x: f64| sight.ridges(x * dot).into_iter().map(|y| y / dot).collect::<Vec<f64>>();
        let (from, middle, to) = (at(x as f64), at(x as f64 + 0.5), at(x as f64 + 1.0));
        let alike = from.len() == middle.len() && middle.len() == to.len();
        for (i, y) in middle.iter().enumerate() {
            let ends = from.get(i).zip(to.get(i)).filter(|_| alike).unwrap_or((y, y));
            // As thin as a dot: a steep line goes half a dot less far than its ends.
            let (low, high) = (ends.0.min(*ends.1) + 0.5, ends.0.max(*ends.1) - 0.5);
            if low < high { draw(low, high) } else { draw(*y, *y) }
        }
        let next = (x as f64 + 0.5) * dot;
        if sight.steps(next, next + dot) {
            let [here, there] = [next, next + dot].map(|x| sight.column(x));
            for y in 0..down {
                let slope = |column: &Option<Column>| column.as_ref()?.slope((y as f64 + 0.5) * dot);
                let steps = slope(&here).zip(slope(&there)).is_some_and(|(a, b)| (a - b).abs() > BEND);
                if steps {
                    draw(y as f64, y as f64);
                }
            }
        }
        lines
    }
}

/// A number from 0 up to 1 for a number, without a pattern: the same each time (the finisher of a published hash, splitmix64).
fn scattered(of: usize) -> f64 {
    let mut z = (of as u64).wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Works strips of columns on some cores; what comes out does not hang on how many.
fn strips<T: Send>(columns: usize, cores: usize, work: impl Fn(usize, usize) -> Vec<T> + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let worker = || {
        let mut mine = Vec::new();
        loop {
            let from = next.fetch_add(STRIP, Ordering::Relaxed);
            if from >= columns {
                return mine;
            }
            mine.push((from, work(from, from + STRIP)));
        }
    };
    let mut all: Vec<(usize, Vec<T>)> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..cores.max(1)).map(|_| scope.spawn(|| caught(worker))).collect();
        let done = threads.into_iter().flat_map(|thread| {
            let worked = thread.join().unwrap_or_else(|other| std::panic::resume_unwind(other));
            worked.unwrap_or_else(|bug| bug.again())
        });
        done.collect()
    });
    all.sort_by_key(|(from, _)| *from);
    all.into_iter().flat_map(|(_, strip)| strip).collect()
}

#[cfg(test)]
mod tests {
    use super::scattered;

    #[test]
    fn the_hash_is_the_published_one() {
        // The first two numbers of splitmix64 from the seed 0, as published with it (from memory), their upper 53 bits.
        const STEP: usize = 0x9e37_79b9_7f4a_7c15;
        for (of, word) in [(0, 0xe220_a839_7b1d_cdaf_u64), (STEP, 0x6e78_9e6a_a1b9_65f4)] {
            assert_eq!(scattered(of), (word >> 11) as f64 / 9_007_199_254_740_992.0);
        }
    }
}
