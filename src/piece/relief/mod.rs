//! Hollows in the faces of a bar: how deep each place of its top and of its bottom lies below them.

mod face;
mod profile;

use face::FaceLine;
pub use face::{Face, Layout};
pub use profile::Profile;

use std::borrow::Cow;
use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::steel::laws::quadrature;

/// A bar with hollows, and what stands between them.
#[derive(Clone, Debug)]
pub struct Relief {
    /// Thickness over the hills, width and length, mm.
    pub size: [f64; 3],
    /// What lies in the top face.
    pub top: Option<Face>,
    /// What lies in the bottom face.
    pub bottom: Option<Face>,
    /// Columns that stand for the whole, once somebody asks, and how many places they are the means of.
    columns: OnceLock<(Vec<Column>, usize)>,
}

/// What stands at a place of a relief, for sums over all of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Column {
    /// Where along, as a share of the length.
    pub along: f64,
    /// Where across, as a share of the width.
    pub across: f64,
    /// Where metal begins, as a share of the thickness.
    pub low: f64,
    /// Where it ends.
    pub high: f64,
    /// How much of the face it stands for; all of them add up to 1.
    pub weight: f64,
}

/// A stretch of a bar along which nothing bends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch {
    /// Where it begins and ends, mm.
    pub from: f64,
    pub to: f64,
    /// The first of all stretches that has the same in it: itself, or one of a period before.
    pub like: usize,
}

/// Stretches that differ by less than this share of a period are alike (project figure, above rounding).
const HAIR: f64 = 1e-9;
/// Into how many stretches sums are parted at the least where the bar's own makeup changes.
const FINE: usize = 48;
/// Columns that differ by less than this share of the thickness are one: their mean.
const SAME: f64 = 1.0 / 256.0;

impl Relief {
    /// Hollows in a bar of this thickness over the hills, width and length, mm.
    #[must_use]
    pub fn new(size: [f64; 3], top: Option<Face>, bottom: Option<Face>) -> Relief {
        Relief { size, top, bottom, columns: OnceLock::new() }
    }

    /// Whether another has the same hollows in the same block.
    #[must_use]
    pub fn same(&self, other: &Relief) -> bool {
        (self.size, self.top, self.bottom) == (other.size, other.top, other.bottom)
    }

    /// How deep the top and the bottom lie at a place, mm from the heel end and from the edge.
    #[must_use]
    pub fn depths(&self, x: f64, y: f64) -> [f64; 2] {
        let [_, wide, _] = self.size;
        let on = |face: Option<Face>| face.map_or(0.0, |face| face.depth(x, y, wide));
        [on(self.top), on(self.bottom)]
    }

    /// How deep they lie where they are deepest, mm.
    #[must_use]
    pub fn deepest(&self) -> [f64; 2] {
        [self.top, self.bottom].map(|face| face.map_or(0.0, |face| face.profile.deepest()))
    }

    /// What stands at a place, mm.
    #[must_use]
    pub fn height(&self, x: f64, y: f64) -> f64 {
        let [thick, ..] = self.size;
        thick - self.depths(x, y).iter().sum::<f64>()
    }

    /// The area that stands across a place, from the edge to `y`, mm2.
    #[must_use]
    pub fn area(&self, x: f64, y: f64) -> f64 {
        let [thick, wide, _] = self.size;
        let on = |face: Option<Face>| face.map_or(0.0, |face| face.across(x, y, wide));
        thick * y - (on(self.top) + on(self.bottom))
    }

    /// What stands across it at one place along, mm.
    pub(super) fn line(&self, x: f64) -> Line {
        let [thick, wide, _] = self.size;
        let faces = [self.top, self.bottom].map(|face| face.map(|face| face.line(x, wide)));
        let mut line = Line { x, thick, faces, area: 0.0, last: Cell::new(None) };
        (_, line.area) = line.at(wide);
        line
    }

    /// Whether it is alike across the width.
    #[must_use]
    pub fn straight(&self) -> bool {
        self.faces().all(|face| face.straight())
    }

    fn faces(&self) -> impl Iterator<Item = Face> {
        [self.top, self.bottom].into_iter().flatten()
    }

    /// The thinnest that is left, mm: exact where its hollows lie beneath each other or on one face, else of many places.
    #[must_use]
    pub fn thinnest(&self) -> f64 {
        let [thick, ..] = self.size;
        let least = self.columns([false; 2]).iter().map(|c| (c.high - c.low) * thick).fold(thick, f64::min);
        let middles = self.middles().map(|(x, y)| self.height(x, y));
        middles.fold(least, f64::min)
    }

    /// Hollows on the face that has most, each as often as it has others beside it across the bar.
    #[must_use]
    pub fn hollows(&self) -> f64 {
        let [_, wide, long] = self.size;
        self.faces().map(|face| face.hollows(long, wide)).fold(0.0, f64::max)
    }

    /// Middles of hollows near the middle of the bar.
    fn middles(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let [_, wide, long] = self.size;
        self.faces().flat_map(move |face| match face.layout {
            Layout::Grooves { first, pitch, many, .. } => {
                let i =
                    (((long / 2.0 - first) / pitch).round()).clamp(0.0, f64::from(many.saturating_sub(1)));
                [(first + i * pitch, wide / 2.0)]
            }
            Layout::Holes { first: [x, y], .. } => [(x.clamp(0.0, long), y.clamp(0.0, wide))],
        })
    }

    /// The same with its faces ground down, so much off the top and off the bottom; nothing where no hollow is left.
    #[must_use]
    pub fn ground(&self, [top, bottom]: [f64; 2]) -> Option<Relief> {
        let [thick, wide, long] = self.size;
        let left = |face: Option<Face>, by: f64| {
            face.and_then(|face| Some(Face { profile: face.profile.ground(by)?, ..face }))
        };
        let (above, below) = (left(self.top, top), left(self.bottom, bottom));
        let size = [thick - top - bottom, wide, long];
        (above.is_some() || below.is_some()).then_some(Relief::new(size, above, below))
    }

    /// Stretches from heel to tip in which nothing bends along the bar, at least so many.
    pub(super) fn stretches(&self, many: usize) -> Vec<Stretch> {
        let [_, wide, long] = self.size;
        let edges = parted(self.faces().flat_map(|face| face.along(long, wide)), long, many);
        let mut seen = BTreeMap::new();
        let stretch = |(nth, pair): (usize, &[f64])| {
            let &[from, to] = pair else { bug!("two edges are {}", pair.len()) };
            // Where it begins in its period, and how long it is.
            let key = self.period().map(|[first, pitch]| {
                let whole = |share: f64| (share / HAIR).round() as i64;
                [whole(((from - first) / pitch).rem_euclid(1.0)), whole((to - from) / pitch)]
            });
            let like = key.map_or(nth, |key| *seen.entry(key).or_insert(nth));
            Stretch { from, to, like }
        };
        edges.windows(2).enumerate().map(stretch).collect()
    }

    /// After how much along the bar all of it comes again, from a place of one hole on, mm: a lattice has no end.
    fn period(&self) -> Option<[f64; 2]> {
        let mut lattices = self.faces().map(|face| match face.layout {
            Layout::Holes { first: [x, _], pitch, .. } => Some([x, pitch]),
            Layout::Grooves { .. } => None,
        });
        let [first, pitch] = lattices.next()??;
        lattices.all(|other| other.is_some_and(|[_, p]| p == pitch)).then_some([first, pitch])
    }

    /// How many places were looked at for its sums.
    pub(super) fn places(&self) -> usize {
        self.whole().1
    }

    /// Columns whose sum stands for the whole; where the makeup changes across or along (`fine`), enough for that.
    pub(crate) fn columns(&self, fine: [bool; 2]) -> Cow<'_, [Column]> {
        if fine == [false; 2] {
            return Cow::Borrowed(&self.whole().0);
        }
        let mut columns = Vec::new();
        self.each_place(fine, |column| columns.push(column));
        Cow::Owned(in_all(columns))
    }

    /// Columns alike made one, as heavy as all of them: few are left, and their volume stays.
    fn whole(&self) -> &(Vec<Column>, usize) {
        self.columns.get_or_init(|| {
            let (mut alike, mut places) = (BTreeMap::<[i64; 2], Column>::new(), 0);
            self.each_place([false; 2], |c| {
                places += 1;
                let key = [c.low, c.high].map(|v| (v / SAME).round() as i64);
                let kept = alike.entry(key).or_insert(Column { weight: 0.0, ..c });
                let (was, now) = (kept.weight, kept.weight + c.weight);
                if now > 0.0 {
                    let mean = |a: f64, b: f64| (a * was + b * c.weight) / now;
                    (kept.low, kept.high) = (mean(kept.low, c.low), mean(kept.high, c.high));
                }
                kept.weight = now;
            });
            (in_all(alike.into_values().collect()), places)
        })
    }

    fn each_place(&self, [fine_across, fine_along]: [bool; 2], mut put: impl FnMut(Column)) {
        let [thick, wide, long] = self.size;
        let many = |fine: bool| if fine { FINE } else { 1 };
        // What is alike across is looked at once; so is what comes again along the bar, where its place says nothing.
        let once = self.straight() && !fine_across;
        let stretches = self.stretches(many(fine_along));
        let mut times = vec![0.0; stretches.len()];
        for (nth, stretch) in stretches.iter().enumerate() {
            if let Some(times) = times.get_mut(if fine_along { nth } else { stretch.like }) {
                *times += 1.0;
            }
        }
        let looked = stretches.iter().zip(times).filter(|(_, times)| *times > 0.0);
        for ((x, share), times) in looked.flat_map(|(s, times)| points(s.from, s.to).map(move |p| (p, times)))
        {
            let mut across = |(y, part): (f64, f64)| {
                let [top, bottom] = self.depths(x, y);
                let (low, high) = (bottom / thick, 1.0 - top / thick);
                let weight = times * share * part / (long * wide);
                put(Column { along: x / long, across: y / wide, low, high, weight });
            };
            if once {
                across((wide / 2.0, wide));
            } else {
                let bends = self.faces().flat_map(|face| face.over(x, wide));
                for pair in parted(bends, wide, many(fine_across)).windows(2) {
                    let &[from, to] = pair else { bug!("two edges are {}", pair.len()) };
                    points(from, to).for_each(&mut across);
                }
            }
        }
    }
}

/// Columns that all together are as heavy as the whole.
fn in_all(mut columns: Vec<Column>) -> Vec<Column> {
    let sum: f64 = columns.iter().map(|c| c.weight).sum();
    columns.iter_mut().for_each(|c| c.weight /= sum);
    columns
}

/// What stands across a bar with hollows at one place along it.
pub(super) struct Line {
    /// The place, mm.
    pub x: f64,
    thick: f64,
    faces: [Option<FaceLine>; 2],
    /// All of the area that stands there, mm2.
    pub area: f64,
    /// A place across that was come to last, its area and what stands there: the next one is most often close by.
    pub last: Cell<Option<[f64; 3]>>,
}

impl Line {
    /// At a place so far from the edge, mm: how deep the top and the bottom lie, and the area that stands up to there, mm2.
    #[inline]
    pub fn at(&self, y: f64) -> ([f64; 2], f64) {
        let on = |face: &Option<FaceLine>| face.as_ref().map_or((0.0, 0.0), |face| face.at(y));
        let [top, bottom] = &self.faces;
        let ((a, above), (b, below)) = (on(top), on(bottom));
        ([a, b], self.thick * y - (above + below))
    }

    /// What stands where its faces lie so deep, mm.
    pub fn height(&self, [top, bottom]: [f64; 2]) -> f64 {
        self.thick - (top + bottom)
    }
}

/// Edges in order, with the ends of the whole, and at least so many stretches.
fn parted(edges: impl Iterator<Item = f64>, whole: f64, many: usize) -> Vec<f64> {
    let mut all: Vec<f64> = edges.filter(|x| *x > 0.0 && *x < whole).collect();
    all.extend((0..=many).map(|i| whole * i as f64 / many as f64));
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b - *a < whole * 1e-12);
    if let Some(last) = all.last_mut() {
        *last = whole;
    }
    all
}

/// Places for sums between two edges, with what each stands for: close to the edges, where circles stand upright.
fn points(from: f64, to: f64) -> impl Iterator<Item = (f64, f64)> {
    quadrature::SIX.iter().map(move |(at, weight)| {
        let angle = std::f64::consts::PI * at;
        let place = from + (to - from) * (1.0 - angle.cos()) / 2.0;
        (place, (to - from) * std::f64::consts::PI / 2.0 * angle.sin() * weight)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_across_a_bar_says_what_the_bar_does_to_the_last_bit() {
        let holes = |by_turns| Layout::Holes { first: [7.3, 5.1], pitch: 13.0, by_turns };
        let grooves = |slant| Layout::Grooves { first: 6.0, pitch: 11.0, many: 9, slant };
        let faces = [
            (Profile::ball(9.0, 2.5), holes(true)),
            (Profile::drill(6.0, 3.0), holes(false)),
            (Profile::round(8.0, 2.0), grooves(0.0)),
            (Profile::vee(6.0, 2.0), grooves(0.3)),
        ];
        let faces = faces.map(|(profile, layout)| Some(Face { profile, layout }));
        for (top, bottom) in faces.into_iter().flat_map(|top| faces.map(|bottom| (top, bottom))) {
            let relief = Relief::new([12.0, 40.0, 120.0], top, bottom);
            for x in (0..240).map(|i| f64::from(i) * 0.503) {
                let line = relief.line(x);
                assert_eq!(line.area, relief.area(x, 40.0));
                for y in (0..=80).map(|i| f64::from(i) * 0.5) {
                    assert_eq!(line.at(y), (relief.depths(x, y), relief.area(x, y)), "{relief:?} {x} {y}");
                }
            }
        }
    }
}
