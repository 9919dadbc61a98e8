//! What a pattern measures: how far apart its rungs, drops and turns lie along a piece, and what shows on its faces.

use std::collections::BTreeSet;

use super::axis::Axis;
use super::bar::Bar;
use super::blade::{Blade, Station};
use super::field::{Field, Known};
use super::ids::PartName;
use super::line::Point;
use super::makeup::{Form, Makeup};
use super::relief::Layout;
use super::warp::Warp;

/// What comes again and again along a pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// What grooves, or rods pressed in, become.
    Rungs,
    /// What holes become.
    Drops,
    /// A whole turn of a twist.
    Turns,
}

/// A figure read off many places, and how far it may be off for that.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sampled {
    /// Their mean.
    pub mean: f64,
    /// Two standard errors of it.
    pub band: f64,
}

/// Groups that a sample is parted into: by how far they part, the error of the whole is told (project figure).
const GROUPS: usize = 8;
/// Places along a face and across it at which it is asked what shows (project figures).
const ALONG: usize = 96;
const ACROSS: usize = 12;
/// Patches of each face in which lines are counted, places in one each way, and how far these are apart, mm: an eye parts lines of 0.1 mm
/// (project figures).
const PATCHES: usize = 24;
const PLACES: usize = 20;
const APART: f64 = 0.04;
/// Parts that are looked into for what made a pattern.
const MOST: usize = 10_000;
/// A point of the field counts as so many parts that a line is held against (an estimate, not measured).
const POINT: usize = 8;
/// Steps of two sequences that fill a square evenly: the powers of 1 / 1.32472 (the plastic number; from memory).
const EVEN: [f64; 2] = [0.754_877_666_246_693, 0.569_840_290_998_053];

impl Makeup {
    /// The least and the most pitch of these marks along a piece, mm; `None` where no step made any, where they do not run along it, or where
    /// its makeup has more parts than are looked through.
    #[must_use]
    pub fn pitch(&self, bar: &Bar, mark: Mark) -> Option<[f64; 2]> {
        let mut found: Option<[f64; 2]> = None;
        let mut seen = BTreeSet::new();
        let mut open = vec![(bar.node, Axis::Length, 1.0_f64)];
        // Of each node: which of its axes lies along the piece, and how long it is that way, as a share of the piece.
        while let Some((node, axis, long)) = open.pop() {
            self.look(1);
            if !seen.insert((node, axis, long.to_bits())) {
                continue;
            }
            // What was not looked through is not told, rather than a part of it.
            if seen.len() > MOST {
                return None;
            }
            match self.node(node).form {
                Form::Solid(_) => {}
                Form::View(view) => {
                    let inner = view.inner(axis);
                    let (from, to) = inner.of(view.window);
                    open.push((view.child, inner, long / (to - from)));
                }
                Form::Pile(pile) => open.extend(self.parts_of(pile).iter().map(|part| {
                    let share = if pile.axis == axis { part.fraction } else { 1.0 };
                    (part.node, axis, long * share)
                })),
                Form::Warped(child, warp) => {
                    let own =
                        if axis == Axis::Length { pitches(self.warp_of(warp), mark) } else { Vec::new() };
                    for pitch in own.into_iter().map(|share| share * long) {
                        let [least, most] = found.unwrap_or([pitch; 2]);
                        found = Some([least.min(pitch), most.max(pitch)]);
                    }
                    open.push((child, axis, long));
                }
            }
        }
        let stretched = self.blade(bar).map_or(Some([bar.long; 2]), Blade::stretched);
        found.zip(stretched).map(|([least, most], [short, long])| [least * short, most * long])
    }

    /// The share of both faces that a part takes, where the piece has faces and it is known what lies there.
    #[must_use]
    pub fn share_on_face(&self, bar: &Bar, part: PartName) -> Option<Sampled> {
        let field = Field::of_part(self, bar.node, part);
        let faces = self.faces(bar)?;
        let mut groups = [[0.0; 2]; GROUPS];
        for (i, face) in faces.iter().enumerate() {
            for column in 0..ALONG {
                // A step that no pitch keeps pace with.
                let at = (column as f64 + even(0, column + i * ALONG)) / ALONG as f64;
                let along = face.along(at);
                let mut known = Known::default();
                let points = (0..ACROSS).filter_map(|row| {
                    let at = (row as f64 + even(1, column * ACROSS + row)) / ACROSS as f64;
                    face.point(&along, at * face.wide)
                });
                for point in points {
                    self.look(POINT);
                    if let Some([hits, all]) = groups.get_mut(column % GROUPS) {
                        *hits += if field.is_part(point, &mut known) { 1.0 } else { 0.0 };
                        *all += 1.0;
                    }
                }
            }
        }
        sampled(&groups)
    }

    /// Lines between steels on both faces, a mm square across them: their length on a face by its area, as the crossings of a net of four
    /// directions tell it (`pi / 2` times the crossings by length: Saltykov, from memory; for lines of one direction within 6 %).
    #[must_use]
    pub fn lines_on_face(&self, bar: &Bar) -> Option<Sampled> {
        let field = Field::new(self, bar.node);
        let faces = self.faces(bar)?;
        let mut groups = [[0.0; 2]; GROUPS];
        for (i, face) in faces.iter().enumerate() {
            for patch in 0..PATCHES {
                let side = APART * PLACES as f64;
                let place =
                    |which: usize, whole: f64| even(which, patch + i * PATCHES) * (whole - side).max(0.0);
                let (x0, y0) = (place(0, face.long), place(1, face.wide));
                let columns: Vec<Vec<_>> = (0..PLACES)
                    .map(|column| {
                        let along = face.along((x0 + column as f64 * APART) / face.long);
                        let mut known = Known::default();
                        let rows = (0..PLACES).map(|row| {
                            let point = face.point(&along, y0 + row as f64 * APART)?;
                            self.look(POINT);
                            Some(field.follow(point, &mut known))
                        });
                        rows.collect()
                    })
                    .collect();
                let at = |column: usize, row: usize| *columns.get(column)?.get(row)?;
                let Some([crossed, length]) = groups.get_mut(patch % GROUPS) else { continue };
                for (column, row) in (0..PLACES).flat_map(|c| (0..PLACES).map(move |r| (c, r))) {
                    // To the next along and across, and to the next aslant both ways.
                    let ways = [
                        (at(column, row), at(column + 1, row), 1.0),
                        (at(column, row), at(column, row + 1), 1.0),
                        (at(column, row), at(column + 1, row + 1), std::f64::consts::SQRT_2),
                        (at(column, row + 1), at(column + 1, row), std::f64::consts::SQRT_2),
                    ];
                    for (from, to, far) in ways {
                        if let (Some(from), Some(to)) = (from, to) {
                            // Each direction counts as much as the others: there are as many steps of each.
                            *crossed += if from == to { 0.0 } else { 1.0 / far };
                            *length += APART;
                        }
                    }
                }
            }
        }
        let lines = sampled(&groups)?;
        let [mean, band] = [lines.mean, lines.band].map(|v| v * std::f64::consts::FRAC_PI_2);
        Some(Sampled { mean, band: band.hypot(DIRECTIONS * mean) })
    }

    /// Both faces, of a piece that is level and whose layers lie where the recipe laid them.
    fn faces<'a>(&'a self, bar: &'a Bar) -> Option<[Face<'a>; 2]> {
        if self.relief(bar).is_some() || self.untold(bar.node) {
            return None;
        }
        let blade = self.blade(bar);
        let (low, high) = blade.map_or((0.0, bar.wide), Blade::heights);
        let long = blade.map_or(bar.long, Blade::tip);
        Some([true, false].map(|top| Face { blade, top, low, wide: high - low, long }))
    }
}

/// How far four directions are off for lines of one (by arithmetic: the mean of `|cos|` over them lies within .604 and .653, about 2 / pi).
const DIRECTIONS: f64 = 0.06;

/// A face of a piece: of a blade from the heel on, as it is ground.
struct Face<'a> {
    blade: Option<&'a Blade>,
    top: bool,
    low: f64,
    wide: f64,
    long: f64,
}

/// A place along a face.
enum Along {
    Bar(f64),
    Blade(Box<Station>),
}

impl Face<'_> {
    fn along(&self, share: f64) -> Along {
        match self.blade {
            Some(blade) => Along::Blade(Box::new(blade.section(share * self.long))),
            None => Along::Bar(share),
        }
    }

    /// The point of the makeup at a height above the lowest place of the face, mm; `None` beside the piece.
    fn point(&self, along: &Along, y: f64) -> Option<Point> {
        if !(0.0..=self.wide).contains(&y) {
            return None;
        }
        match (along, self.blade) {
            (Along::Blade(station), Some(blade)) => {
                let height = self.low + y;
                if height < station.edge().y || height > station.spine().y {
                    return None;
                }
                let knot = station.at(height);
                let z = if self.top { knot.right } else { -knot.left };
                Some([(0.5 + z / knot.full - blade.off).clamp(0.0, 1.0), knot.across, station.along])
            }
            (Along::Bar(share), _) => {
                (*share <= 1.0).then_some([if self.top { 1.0 } else { 0.0 }, y / self.wide, *share])
            }
            (Along::Blade(_), None) => bug!("a station of a plain bar"),
        }
    }
}

/// The share of a step's own length from one mark to the next, for each face that has them.
fn pitches(warp: &Warp, mark: Mark) -> Vec<f64> {
    match (warp, mark) {
        (Warp::Twist(twist), Mark::Turns) if twist.turns != 0.0 => {
            vec![(1.0 - 2.0 * twist.grips) / twist.turns.abs()]
        }
        (Warp::Level(relief) | Warp::Pressed(relief), Mark::Rungs | Mark::Drops) => {
            let [.., long] = relief.size;
            let faces = [relief.top, relief.bottom].into_iter().flatten();
            let of = |layout| match (layout, mark) {
                (Layout::Grooves { pitch, .. }, Mark::Rungs) | (Layout::Holes { pitch, .. }, Mark::Drops) => {
                    Some(pitch / long)
                }
                _ => None,
            };
            faces.filter_map(|face| of(face.layout)).collect()
        }
        _ => Vec::new(),
    }
}

/// A place of a sequence that fills a stretch evenly, 0 to 1.
fn even(which: usize, nth: usize) -> f64 {
    let [one, other] = EVEN;
    (0.5 + (nth as f64 + 1.0) * if which == 0 { one } else { other }).fract()
}

/// The mean of sums by what they are of, and its error by how far the groups part.
fn sampled(groups: &[[f64; 2]; GROUPS]) -> Option<Sampled> {
    let (sum, all) = groups.iter().fold((0.0, 0.0), |(sum, all), [s, a]| (sum + s, all + a));
    if all <= 0.0 {
        return None;
    }
    let mean = sum / all;
    let off = |[s, a]: &[f64; 2]| if *a > 0.0 { (s / a - mean) * a / all } else { 0.0 };
    let error = groups.iter().map(|group| off(group).powi(2)).sum::<f64>().sqrt();
    Some(Sampled { mean, band: 2.0 * error })
}
