//! A bar as a heap of sheets, each with its own place in it, and what fire, press, saw and grinder do to them.
//!
//! Axes: 0 is the thickness (from the bottom), 1 the width, 2 the length (from the heel).

use super::slips::Slip;
use super::tree::{Outline, STEELS, Scale};

/// One sheet: a block of one steel at its place in the bar.
#[derive(Clone, Debug)]
pub struct Sheet {
    pub steel: usize,
    pub lo: [f64; 3],
    pub hi: [f64; 3],
    /// Whether it is the wall of a can.
    pub can: bool,
}

impl Sheet {
    fn mass(&self) -> f64 {
        (0..3).map(|a| self.hi[a] - self.lo[a]).product::<f64>() * STEELS[self.steel].1
    }
}

/// One bar. Its sizes are those of the square of equal area where it is round or octagonal.
#[derive(Clone, Debug)]
pub struct Bar {
    pub sheets: Vec<Sheet>,
    pub size: [f64; 3],
    pub outline: Outline,
    pub layers: u64,
    /// How much longer each sheet is than its steel would be: what hardening makes room for.
    pub grown: f64,
}

/// Why a step cannot be done.
#[derive(Clone, Debug, PartialEq)]
pub enum Refused {
    BurntAway,
    Thicker,
    TooNarrow,
    OutOfReach,
    Volume,
    Slender,
    Spread,
    Loose,
    Spent,
    Unequal,
    Counts,
    TooShort,
    GroundAway,
    TooHot,
    Missed,
    Impossible,
}

/// What a pressing step aims at. `down` is the axis pressed, `wide` the one that spreads.
#[derive(Clone, Copy, Debug)]
pub enum Aim {
    /// To a size in the pressed direction, and perhaps one across.
    Down { down: usize, wide: usize, to: f64, width: Option<f64> },
    /// To a width, the tool along the bar.
    Widen { to: f64 },
    /// To a length, thickness and width growing alike.
    Upset { to: f64 },
}

/// The sizes after the skin and after the press of one heat.
pub type Heat = ([f64; 3], [f64; 3]);

/// What a heat takes off every face of a block of these sizes.
pub fn skin(scale: Scale, size: [f64; 3]) -> f64 {
    match scale {
        Scale::None => 0.0,
        Scale::Each(r) => r.mm(),
        Scale::Share(percent) => {
            let keep = (1.0 - percent / 100.0) * size.iter().product::<f64>();
            let (mut low, mut high) = (0.0, size.iter().copied().fold(f64::MAX, f64::min) / 2.0);
            for _ in 0..200 {
                let r = (low + high) / 2.0;
                if size.iter().map(|s| s - 2.0 * r).product::<f64>() > keep { low = r } else { high = r }
            }
            (low + high) / 2.0
        }
    }
}

/// How the sizes go, heat by heat. Ends early where the skin alone goes below the size asked.
pub fn schedule(
    start: [f64; 3],
    aim: Aim,
    heats: u32,
    scale: Scale,
    spread: f64,
    slip: Option<Slip>,
) -> Result<Vec<Heat>, Refused> {
    let n = f64::from(heats);
    let mut size = start;
    let mut out = Vec::new();
    for i in 1..=heats {
        let share = f64::from(i) / n;
        let r = skin(scale, size);
        let faces = if slip == Some(Slip::SkinOnFiveFaces) { [1.0, 2.0, 2.0] } else { [2.0, 2.0, 2.0] };
        for (axis, faces) in faces.into_iter().enumerate() {
            size[axis] -= faces * r;
            if size[axis] <= 0.0 {
                return Err(Refused::BurntAway);
            }
        }
        let skinned = size;
        let volume: f64 = size.iter().product();
        let mut passed = false;
        // Where the skin alone goes below the size asked, nothing is pressed any more.
        match aim {
            Aim::Down { down, to, .. } if skinned[down] < to => passed = true,
            Aim::Upset { to } if skinned[2] < to => passed = true,
            Aim::Down { down, wide, to, width } => {
                let mut full = start[down] * (to / start[down]).powf(share);
                if slip == Some(Slip::EvenSteps) {
                    full = start[down] + (to - start[down]) * share;
                }
                size[down] = full.min(skinned[down]);
                let free = skinned[wide] * (spread * (skinned[down] / size[down]).ln()).exp();
                size[wide] = match width {
                    None => free,
                    Some(_) if slip == Some(Slip::EdgedLast) && i < heats => free,
                    Some(w) => w.max(start[wide] * (w / start[wide]).powf(share)).min(free),
                };
                size[2] = volume / (size[0] * size[1]);
            }
            Aim::Widen { to } => {
                size[1] = start[1] * (to / start[1]).powf(share);
                size[0] = skinned[0] * (-(size[1] / skinned[1]).ln() / spread).exp();
                size[2] = volume / (size[0] * size[1]);
            }
            Aim::Upset { to } => {
                size[2] = (start[2] * (to / start[2]).powf(share)).min(skinned[2]);
                let strain = (skinned[2] / size[2]).ln();
                let first = if slip == Some(Slip::UpsetUneven) { 0.51 } else { 0.5 };
                size[0] = skinned[0] * (strain * first).exp();
                size[1] = volume / (size[0] * size[2]);
            }
        }
        out.push((skinned, size));
        if passed {
            break;
        }
    }
    Ok(out)
}

impl Bar {
    /// A bar of one steel.
    pub fn solid(steel: usize, size: [f64; 3], outline: Outline) -> Self {
        Self {
            sheets: vec![Sheet { steel, lo: [0.0; 3], hi: size, can: false }],
            size,
            outline,
            layers: 1,
            grown: 1.0,
        }
    }

    pub fn volume(&self) -> f64 {
        self.size.iter().product()
    }

    /// Mass, g.
    pub fn mass(&self) -> f64 {
        self.sheets.iter().map(Sheet::mass).sum::<f64>() / self.grown.powi(3)
    }

    /// Thickness, width and length as a calliper reads them.
    pub fn shown(&self) -> [f64; 3] {
        let by = match self.outline {
            Outline::Square => 1.0,
            Outline::Round => 1.0 / round_side(1.0),
            Outline::Octagon => 1.0 / octagon_side(1.0),
        };
        [self.size[0] * by, self.size[1] * by, self.size[2]]
    }

    /// Takes `low` off the low face of an axis and `high` off the other; the mass that this took.
    pub fn take(&mut self, axis: usize, low: f64, high: f64) -> f64 {
        let (from, to) = (low, self.size[axis] - high);
        let mut gone = 0.0;
        for sheet in &mut self.sheets {
            let across: f64 = (0..3).filter(|a| *a != axis).map(|a| sheet.hi[a] - sheet.lo[a]).product();
            let (lo, hi) = (sheet.lo[axis].clamp(from, to), sheet.hi[axis].clamp(from, to));
            let lost = (lo - sheet.lo[axis]) + (sheet.hi[axis] - hi);
            gone += lost * across * STEELS[sheet.steel].1;
            sheet.lo[axis] = lo - from;
            sheet.hi[axis] = hi - from;
        }
        self.size[axis] = to - from;
        let size = self.size[axis];
        self.sheets.retain(|s| s.hi[axis] - s.lo[axis] > 1e-12 * size);
        gone / self.grown.powi(3)
    }

    /// Presses the bar to other sizes: every sheet follows.
    pub fn press(&mut self, to: [f64; 3]) {
        for (axis, to) in to.into_iter().enumerate() {
            let by = to / self.size[axis];
            for sheet in &mut self.sheets {
                sheet.lo[axis] *= by;
                sheet.hi[axis] *= by;
            }
        }
        self.size = to;
    }

    /// Takes the skins and presses of a schedule; the mass that burnt.
    pub fn work(&mut self, heats: &[Heat]) -> f64 {
        let mut burnt = 0.0;
        for (skinned, pressed) in heats {
            for (axis, skinned) in skinned.iter().enumerate() {
                let r = (self.size[axis] - skinned) / 2.0;
                burnt += self.take(axis, r, r);
            }
            self.press(*pressed);
        }
        burnt
    }

    /// So many heats without a press; the mass that burnt.
    pub fn burn(&mut self, heats: u32, scale: Scale) -> Result<f64, Refused> {
        let mut burnt = 0.0;
        for _ in 0..heats {
            let r = skin(scale, self.size);
            if self.size.iter().any(|s| *s <= 2.0 * r) {
                return Err(Refused::BurntAway);
            }
            for axis in 0..3 {
                burnt += self.take(axis, r, r);
            }
        }
        Ok(burnt)
    }

    /// A quarter turn about the bar's length: what was wide is thick. The edge at 0 comes to lie below.
    pub fn turn(&mut self) {
        for s in &mut self.sheets {
            (s.lo[0], s.hi[0], s.lo[1], s.hi[1]) =
                (s.lo[1], s.hi[1], self.size[0] - s.hi[0], self.size[0] - s.lo[0]);
        }
        self.size.swap(0, 1);
    }

    /// Mirrors an axis.
    pub fn mirror(&mut self, axis: usize) {
        for s in &mut self.sheets {
            (s.lo[axis], s.hi[axis]) = (self.size[axis] - s.hi[axis], self.size[axis] - s.lo[axis]);
        }
    }

    /// Half a turn about the bar's length: top to bottom, and so edge to edge.
    pub fn flip(&mut self) {
        self.mirror(0);
        self.mirror(1);
    }

    /// Lays another bar against this one, behind it along an axis. The other sizes are taken to be equal.
    pub fn lay(&mut self, other: &Self, axis: usize) {
        let base = self.size[axis];
        for sheet in &other.sheets {
            let mut sheet = sheet.clone();
            sheet.lo[axis] += base;
            sheet.hi[axis] += base;
            self.sheets.push(sheet);
        }
        self.size[axis] += other.size[axis];
        self.outline = Outline::Square;
    }

    /// Grinds the walls of a can off: the mass that this took.
    pub fn uncan(&mut self) -> f64 {
        let mut gone = 0.0;
        for axis in 0..2 {
            let half = self.size[axis] / 2.0;
            let walls = || self.sheets.iter().filter(|s| s.can);
            // A wall lies along the face, on one side of the middle.
            let low = walls().filter(|s| s.lo[axis] < 1e-9 && s.hi[axis] < half).map(|s| s.hi[axis]);
            let high =
                walls().filter(|s| s.hi[axis] > 2.0 * half - 1e-9 && s.lo[axis] > half).map(|s| s.lo[axis]);
            let (low, high) = (low.fold(0.0, f64::max), high.fold(2.0 * half, f64::min));
            gone += self.take(axis, low, 2.0 * half - high);
        }
        gone
    }

    /// The part of the bar between two places along its length.
    pub fn part(&self, from: f64, to: f64) -> Self {
        let mut part = self.clone();
        part.take(2, from, self.size[2] - to);
        part
    }

    /// The mass between two places along the length, g.
    pub fn mass_between(&self, from: f64, to: f64) -> f64 {
        let of = |s: &Sheet| {
            let long = (s.hi[2].min(to) - s.lo[2].max(from)).max(0.0);
            (s.hi[0] - s.lo[0]) * (s.hi[1] - s.lo[1]) * long * STEELS[s.steel].1
        };
        self.sheets.iter().map(of).sum::<f64>() / self.grown.powi(3)
    }

    /// Does what the bar is made of change along its length?
    pub fn changes_along(&self) -> bool {
        self.sheets.iter().any(|s| s.lo[2] > 1e-9 * self.size[2] || s.hi[2] < (1.0 - 1e-9) * self.size[2])
    }

    /// The bands that one meets through the middle of the section, on a cut half-way along.
    /// A sheet under 1e-6 mm is gone; where the middle falls on a boundary it is the part that was laid first.
    pub fn bands(&self) -> usize {
        let touches = |s: &Sheet, axis: usize| {
            let (middle, hair) = (self.size[axis] / 2.0, self.size[axis] * 1e-9);
            s.lo[axis] <= middle + hair && s.hi[axis] >= middle - hair
        };
        // Sheets stand in the order in which they were laid, however the bar was turned since.
        let met: Vec<&Sheet> = self.sheets.iter().filter(|s| touches(s, 1) && touches(s, 2)).collect();
        let mut levels: Vec<f64> = met.iter().flat_map(|s| [s.lo[0], s.hi[0]]).collect();
        levels.sort_by(f64::total_cmp);
        let mut steels: Vec<usize> = levels
            .windows(2)
            .filter(|level| level[1] - level[0] >= 1e-6)
            .filter_map(|level| {
                let middle = (level[0] + level[1]) / 2.0;
                met.iter().find(|s| s.lo[0] < middle && s.hi[0] > middle).map(|s| s.steel)
            })
            .collect();
        steels.dedup();
        steels.len()
    }
}

/// The side of the square as big as a round of this diameter.
pub fn round_side(diameter: f64) -> f64 {
    diameter * (std::f64::consts::PI / 4.0).sqrt()
}

/// The side of the square as big as an octagon so wide across its flats.
pub fn octagon_side(across: f64) -> f64 {
    across * (2.0 * (2f64.sqrt() - 1.0)).sqrt()
}

/// By how much steel at this temperature is longer than at 20 C: EN 1993-1-2, 3.4.1.1.
pub fn expansion(celsius: f64) -> f64 {
    if celsius < 750.0 {
        1.2e-5 * celsius + 0.4e-8 * celsius * celsius - 2.416e-4
    } else if celsius <= 860.0 {
        1.1e-2
    } else {
        2e-5 * celsius - 6.2e-3
    }
}

/// The size in `low..high` for which `longer` turns from true to false, or none.
pub fn solve(low: f64, high: f64, longer: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (low, high);
    if !longer(low) || longer(high) {
        return None;
    }
    for _ in 0..200 {
        let middle = (low + high) / 2.0;
        if longer(middle) { low = middle } else { high = middle }
    }
    Some((low + high) / 2.0)
}
