//! What is cut or pressed into one face: grooves or holes, all of one section.

use super::profile::Profile;

/// Where they lie. All in mm, from the heel end and from the edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Layout {
    /// Grooves across the face.
    Grooves {
        /// Where the middle line of the first crosses the middle of the width.
        first: f64,
        /// From one to the next, along the bar.
        pitch: f64,
        /// How many.
        many: u32,
        /// How far they are turned on the face from straight across, radians.
        slant: f64,
    },
    /// Holes on a square lattice that has no end.
    Holes {
        /// Where the middle of one lies: along and across.
        first: [f64; 2],
        /// From one to the next, either way.
        pitch: f64,
        /// Whether every second row along is moved by half of that.
        by_turns: bool,
    },
}

/// What is cut or pressed into one face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// The section of each.
    pub profile: Profile,
    /// Where they lie.
    pub layout: Layout,
}

/// The place next to `x` of those that stand a pitch apart.
fn nearest(x: f64, first: f64, pitch: f64) -> f64 {
    first + ((x - first) / pitch).round() * pitch
}

impl Face {
    /// Whether it is alike across the width.
    #[must_use]
    pub fn straight(&self) -> bool {
        matches!(self.layout, Layout::Grooves { slant, .. } if slant == 0.0)
    }

    /// How many hollows a face so long and wide has, grooves aslant each as often as others lie beside it.
    #[must_use]
    pub fn hollows(&self, long: f64, wide: f64) -> f64 {
        match self.layout {
            Layout::Grooves { pitch, many, slant, .. } => {
                f64::from(many) * (1.0 + wide * slant.tan().abs() / pitch)
            }
            Layout::Holes { pitch, .. } => (1.0 + long / pitch) * (1.0 + wide / pitch),
        }
    }

    /// Moved along and across by so much.
    #[must_use]
    pub fn moved(mut self, [along, across]: [f64; 2]) -> Face {
        match &mut self.layout {
            Layout::Grooves { first, .. } => *first += along,
            Layout::Holes { first: [x, y], .. } => (*x, *y) = (*x + along, *y + across),
        }
        self
    }

    /// How deep it is at a place of a face so wide.
    #[must_use]
    pub fn depth(&self, x: f64, y: f64, wide: f64) -> f64 {
        match self.layout {
            Layout::Grooves { first, pitch, many, slant } => {
                let at = x - (y - wide / 2.0) * slant.tan();
                let i = ((at - first) / pitch).round().clamp(0.0, f64::from(many.saturating_sub(1)));
                self.profile.depth((at - first - i * pitch) * slant.cos())
            }
            Layout::Holes { first: [x0, y0], pitch, by_turns } => {
                let row = nearest(y, y0, pitch);
                let x0 = x0 + shift(row, y0, pitch, by_turns);
                let (off, far) = (x - nearest(x, x0, pitch), y - row);
                if far.abs() < self.profile.chord(off) { self.profile.on_line(off, far).0 } else { 0.0 }
            }
        }
    }

    /// The integral of the depth across the face, from the edge to `y`.
    #[must_use]
    pub fn across(&self, x: f64, y: f64, wide: f64) -> f64 {
        match self.layout {
            Layout::Grooves { .. } if self.straight() => self.depth(x, y, wide) * y,
            Layout::Grooves { first, pitch, many, slant } => {
                let (sin, cos) = slant.sin_cos();
                let off = |y: f64| x - (y - wide / 2.0) * slant.tan();
                let (a, b) = (off(0.0), off(wide));
                let reach = self.profile.reach() / cos;
                let i = |x: f64| ((x - first) / pitch).clamp(-1.0, f64::from(many)).floor();
                let (from, to) = (i(a.min(b) - reach).max(0.0), i(a.max(b) + reach));
                (from as i64..=(to as i64).min(i64::from(many) - 1))
                    .map(|i| {
                        let middle = first + i as f64 * pitch;
                        let run = |y: f64| self.profile.run(0.0, (off(y) - middle) * cos);
                        (run(0.0) - run(y)) / sin
                    })
                    .sum()
            }
            Layout::Holes { first: [x0, y0], pitch, by_turns } => {
                let (from, to) = (((0.0 - y0) / pitch).round(), ((y - y0) / pitch).round());
                (from as i64..=to as i64)
                    .map(|row| {
                        let row = y0 + row as f64 * pitch;
                        let x0 = x0 + shift(row, y0, pitch, by_turns);
                        let off = x - nearest(x, x0, pitch);
                        if off.abs() >= self.profile.reach() {
                            return 0.0;
                        }
                        let chord = self.profile.chord(off);
                        if -row <= -chord && chord <= y - row {
                            // The whole of it, whose halves are alike.
                            return 2.0 * self.profile.run(off, chord);
                        }
                        self.profile.run(off, y - row) - self.profile.run(off, -row)
                    })
                    .sum()
            }
        }
    }

    /// What lies across a face at one place along it.
    pub(super) fn line(&self, x: f64, wide: f64) -> FaceLine {
        let &Face { profile, layout } = self;
        match layout {
            Layout::Grooves { .. } if self.straight() => FaceLine::Level(self.depth(x, 0.0, wide)),
            Layout::Grooves { .. } => FaceLine::Slanted(*self, x, wide),
            Layout::Holes { first: [x0, y0], pitch, by_turns } => {
                let (from, to) = (((0.0 - y0) / pitch).round(), ((wide - y0) / pitch).round());
                let mut before = 0.0;
                let rows = (from as i64..=to as i64).map(|row| {
                    let middle = y0 + row as f64 * pitch;
                    let off = x - nearest(x, x0 + shift(middle, y0, pitch, by_turns), pitch);
                    let cut = off.abs() < profile.reach();
                    let chord = if cut { profile.chord(off) } else { 0.0 };
                    let half = if cut { profile.run(off, chord) } else { 0.0 };
                    let begun = if cut { profile.run(off, -middle) } else { 0.0 };
                    let row = Row { middle, off, chord, half, begun, before };
                    before += half - begun;
                    row
                });
                FaceLine::Rows { profile, from, first: y0, pitch, rows: rows.collect() }
            }
        }
    }

    /// Places along a bar at which what lies across it begins, ends or has an edge.
    pub(super) fn along(&self, long: f64, wide: f64) -> Vec<f64> {
        let reach = self.profile.reach();
        let mut all = Vec::new();
        match self.layout {
            Layout::Grooves { first, pitch, many, slant } => {
                let lean = wide / 2.0 * slant.tan();
                let ends: &[f64] = if slant == 0.0 { &[0.0] } else { &[-1.0, 1.0] };
                for middle in (0..many).map(|i| first + f64::from(i) * pitch) {
                    for (side, end) in
                        [-1.0, 0.0, 1.0].into_iter().flat_map(|s| ends.iter().map(move |e| (s, e)))
                    {
                        all.push(middle + side * reach / slant.cos() + end * lean);
                    }
                }
            }
            Layout::Holes { first: [x0, y0], pitch, by_turns } => {
                let rows =
                    ((-reach - y0) / pitch).floor() as i64..=((wide + reach - y0) / pitch).ceil() as i64;
                let cut = |row: i64| {
                    let row = y0 + row as f64 * pitch;
                    [row.abs(), (wide - row).abs()].map(|off| self.profile.chord(off))
                };
                for row in rows {
                    let x0 = x0 + if by_turns && row % 2 != 0 { pitch / 2.0 } else { 0.0 };
                    let (from, to) = (((-reach - x0) / pitch).floor(), ((long + reach - x0) / pitch).ceil());
                    for middle in (from as i64..=to as i64).map(|i| x0 + i as f64 * pitch) {
                        all.extend([-reach, 0.0, reach].map(|side| middle + side));
                        all.extend(cut(row).into_iter().flat_map(|half| [middle - half, middle + half]));
                    }
                }
            }
        }
        all
    }

    /// Likewise across the width at one place along.
    pub(super) fn over(&self, x: f64, wide: f64) -> Vec<f64> {
        let reach = self.profile.reach();
        match self.layout {
            Layout::Grooves { .. } if self.straight() => Vec::new(),
            Layout::Grooves { first, pitch, many, slant } => {
                // Those that cross the bar here.
                let far = wide / 2.0 * slant.tan().abs() + reach / slant.cos();
                let at = |x: f64| ((x - first) / pitch).clamp(-1.0, f64::from(many));
                let crossing = (at(x - far).floor().max(0.0) as u32)..many.min(at(x + far).ceil() as u32 + 1);
                crossing
                    .map(|i| first + f64::from(i) * pitch)
                    .flat_map(|middle| {
                        let at =
                            move |off: f64| wide / 2.0 + ((x - middle) * slant.cos() - off) / slant.sin();
                        [-reach, 0.0, reach].map(at)
                    })
                    .collect()
            }
            Layout::Holes { first: [x0, y0], pitch, by_turns } => {
                let rows =
                    ((-reach - y0) / pitch).floor() as i64..=((wide + reach - y0) / pitch).ceil() as i64;
                rows.map(|row| y0 + row as f64 * pitch)
                    .flat_map(|row| {
                        let x0 = x0 + shift(row, y0, pitch, by_turns);
                        let half = self.profile.chord(x - nearest(x, x0, pitch));
                        [row - half, row, row + half]
                    })
                    .collect()
            }
        }
    }
}

/// What lies across a face at one place along it: many depths are asked for there.
pub(super) enum FaceLine {
    /// The same depth all across.
    Level(f64),
    /// Grooves that cross it at a slant.
    Slanted(Face, f64, f64),
    /// Rows of holes, from the one next to the edge on.
    Rows { profile: Profile, from: f64, first: f64, pitch: f64, rows: Vec<Row> },
}

/// A row of holes where a line meets it.
pub(super) struct Row {
    /// Where its middle lies, and how far off that of a hole the line passes.
    middle: f64,
    off: f64,
    /// How far the hole reaches on the line, and the integral of its depth from its middle so far.
    chord: f64,
    half: f64,
    /// That integral from its middle to the edge of the face, and of all rows before this one from there on.
    begun: f64,
    before: f64,
}

impl FaceLine {
    #[inline]
    fn row(rows: &[Row], at: f64) -> &Row {
        let last = rows.len().saturating_sub(1);
        rows.get((at as usize).min(last)).unwrap_or_else(|| bug!("a face without a row of holes"))
    }

    /// The depth at a place, and the integral of it from the edge so far, as [`Face::depth`] and [`Face::across`] have them.
    #[inline]
    pub fn at(&self, y: f64) -> (f64, f64) {
        match self {
            FaceLine::Level(deep) => (*deep, deep * y),
            FaceLine::Slanted(face, x, wide) => (face.depth(*x, y, *wide), face.across(*x, y, *wide)),
            FaceLine::Rows { profile, from, first, pitch, rows } => {
                let row = FaceLine::row(rows, (y - first) / pitch - from + 0.5);
                let far = y - row.middle;
                if far.abs() < row.chord {
                    let (deep, run) = profile.on_line(row.off, far);
                    (deep, row.before + (run - row.begun))
                } else {
                    (0.0, row.before + (row.half.copysign(far) - row.begun))
                }
            }
        }
    }
}

/// How far a row of holes is moved along.
fn shift(row: f64, first: f64, pitch: f64, by_turns: bool) -> f64 {
    let second = ((row - first) / pitch).round() as i64 % 2 != 0;
    if by_turns && second { pitch / 2.0 } else { 0.0 }
}
