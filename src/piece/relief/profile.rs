//! The section of a groove or a hole: how deep it is so far from its middle.

/// A section that is the same on both sides of its middle; depths below the face and distances in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Profile {
    /// A circle of radius `r` about a point `up` below the face (above it where that is below nothing). Where the point lies in the
    /// metal, straight walls stand above the half circle.
    Round {
        /// Radius.
        r: f64,
        /// How far its middle lies below the face.
        up: f64,
    },
    /// A wedge or a cone with its point `deep` below the face, falling by `slope` for each mm up to `r` from the middle.
    Sloped {
        /// Of the point.
        deep: f64,
        /// mm for each mm.
        slope: f64,
        /// How far it goes at the most.
        r: f64,
    },
    /// A flat floor between upright walls.
    Flat {
        /// Of the floor.
        deep: f64,
        /// Half its width.
        r: f64,
    },
}

impl Profile {
    /// A circle through both edges, so wide and so deep; deeper than half its width: straight walls above a half circle.
    #[must_use]
    pub fn round(across: f64, deep: f64) -> Profile {
        let half = across / 2.0;
        let r = if deep <= half { (half * half + deep * deep) / (2.0 * deep) } else { half };
        Profile::Round { r, up: deep - r }
    }

    /// Part of a ball or a rod of this size across.
    #[must_use]
    pub fn ball(across: f64, deep: f64) -> Profile {
        Profile::Round { r: across / 2.0, up: deep - across / 2.0 }
    }

    /// A wedge so wide and so deep.
    #[must_use]
    pub fn vee(across: f64, deep: f64) -> Profile {
        Profile::Sloped { deep, slope: 2.0 * deep / across, r: across / 2.0 }
    }

    /// A drill of this size across; its point has an angle of 118 degrees (common practice for steel).
    #[must_use]
    pub fn drill(across: f64, deep: f64) -> Profile {
        let slope = 1.0 / 59f64.to_radians().tan();
        Profile::Sloped { deep, slope, r: across / 2.0 }
    }

    /// How far from the middle it meets the face.
    #[must_use]
    pub fn reach(&self) -> f64 {
        match *self {
            Profile::Round { r, up } if up < 0.0 => (r * r - up * up).max(0.0).sqrt(),
            Profile::Sloped { deep, slope, r } => r.min(deep / slope),
            Profile::Round { r, .. } | Profile::Flat { r, .. } => r,
        }
    }

    /// How deep it is in its middle.
    #[must_use]
    pub fn deepest(&self) -> f64 {
        match *self {
            Profile::Round { r, up } => r + up,
            Profile::Sloped { deep, .. } | Profile::Flat { deep, .. } => deep,
        }
    }

    /// Whether straight walls stand in a round one.
    #[must_use]
    pub fn walled(&self) -> bool {
        matches!(self, Profile::Round { r, up } if *up > r * 1e-9)
    }

    /// How deep it is so far from its middle.
    #[must_use]
    pub fn depth(&self, off: f64) -> f64 {
        if off.abs() >= self.reach() {
            return 0.0;
        }
        match *self {
            Profile::Round { r, up } => up + (r * r - off * off).max(0.0).sqrt(),
            Profile::Sloped { deep, slope, .. } => deep - slope * off.abs(),
            Profile::Flat { deep, .. } => deep,
        }
    }

    /// Half of the straight line that passes its middle at a distance, as far as it lies inside.
    #[must_use]
    pub fn chord(&self, off: f64) -> f64 {
        let reach = self.reach();
        (reach * reach - off * off).max(0.0).sqrt()
    }

    /// The integral of the depth along a straight line that passes its middle at a distance, from the nearest point to `y` beyond it;
    /// below nothing on the other side. For a groove the distance is none.
    #[must_use]
    pub fn run(&self, off: f64, y: f64) -> f64 {
        let chord = self.chord(off);
        self.on_line(off, y.clamp(-chord, chord)).1
    }

    /// How deep it is at a place of such a line inside of it, and that integral so far.
    #[inline]
    #[must_use]
    pub fn on_line(&self, off: f64, y: f64) -> (f64, f64) {
        match *self {
            Profile::Round { r, up } => {
                let square = (r * r - off * off).max(0.0);
                let rest = (square - y * y).max(0.0).sqrt();
                // Where the root is none, the angle is a quarter turn.
                (up + rest, up * y + (y * rest + square * y.atan2(rest)) / 2.0)
            }
            Profile::Sloped { deep, slope, .. } => {
                let far = (off * off + y * y).sqrt();
                let bent = if off == 0.0 { 0.0 } else { off * off * (y / off.abs()).asinh() };
                (deep - slope * far, deep * y - slope * (y * far + bent) / 2.0)
            }
            Profile::Flat { deep, .. } => (deep, deep * y),
        }
    }

    /// What is left of it where the face is ground down; nothing where that takes all of it.
    #[must_use]
    pub fn ground(&self, by: f64) -> Option<Profile> {
        let left = match *self {
            Profile::Round { r, up } => Profile::Round { r, up: up - by },
            Profile::Sloped { deep, slope, r } => Profile::Sloped { deep: deep - by, slope, r },
            Profile::Flat { deep, r } => Profile::Flat { deep: deep - by, r },
        };
        (left.deepest() > 1e-9).then_some(left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_a_section_adds_up_to_its_depths() {
        let all = [
            Profile::round(8.0, 2.0),
            Profile::round(6.0, 5.0),
            Profile::ball(6.0, 2.0),
            Profile::vee(6.0, 3.0),
            Profile::drill(6.0, 1.0),
            Profile::drill(6.0, 4.0),
            Profile::Flat { deep: 2.0, r: 3.0 },
        ];
        for profile in all {
            for off in [0.0, 0.7, 1.5] {
                let (n, to) = (200_000, 2.9);
                let step = to / f64::from(n);
                let sum = |from: f64| -> f64 {
                    (0..n)
                        .map(|i| profile.depth((from + (f64::from(i) + 0.5) * step).hypot(off)) * step)
                        .sum()
                };
                // A wall is missed by a step at the most.
                let wall = step * profile.deepest();
                assert!((sum(0.0) - profile.run(off, to)).abs() < 1e-6 + wall, "{profile:?} {off}");
                assert!((profile.run(off, -to) + profile.run(off, to)).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_groove_is_as_wide_and_as_deep_as_it_is_told_and_its_circle_the_trades() {
        for (across, deep) in [(8.0, 2.0), (6.0, 3.0), (6.0, 5.0)] {
            let groove = Profile::round(across, deep);
            assert!((2.0 * groove.reach() - across).abs() < 1e-12 && (groove.deepest() - deep).abs() < 1e-12);
        }
        // The segment of a circle: r^2 acos((r - d) / r) - (r - d) sqrt(2 r d - d^2).
        let (d, r) = (2.0, 5.0);
        let exact: f64 = r * r * f64::acos((r - d) / r) - (r - d) * (2.0 * r * d - d * d).sqrt();
        assert!((2.0 * Profile::round(8.0, d).run(0.0, 4.0) - exact).abs() < 1e-12);
        // Ground down by half its depth, the same circle is met higher up.
        let ground = Profile::round(8.0, d).ground(1.0).unwrap();
        assert!((ground.reach() - 3.0).abs() < 1e-12 && Profile::round(8.0, d).ground(2.0).is_none());
    }
}
