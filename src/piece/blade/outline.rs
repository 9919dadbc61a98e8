//! The outline of a blade as seen from the side: an edge line and a spine line.

/// A line along a blade: heights over distances from the heel, straight between its points, level beyond them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run(pub Vec<(f64, f64)>);

impl Run {
    /// The height at a place, mm.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let at = self.0.partition_point(|p| p.0 < x);
        let after = self.0.get(at).or(self.0.last());
        let before = at.checked_sub(1).and_then(|i| self.0.get(i)).or(after);
        match (before, after) {
            (Some((a, low)), Some((b, high))) if b > a && x < *b => low + (high - low) * (x - a) / (b - a),
            (_, Some((_, high))) => *high,
            _ => 0.0,
        }
    }
}

/// The outline that is wanted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// The edge, from the heel to the tip.
    pub edge: Run,
    /// The spine, likewise.
    pub spine: Run,
}

impl Outline {
    /// The places at which one of its lines bends, mm from the heel.
    pub(super) fn places(&self) -> impl Iterator<Item = f64> + '_ {
        self.edge.0.iter().chain(&self.spine.0).map(|p| p.0)
    }

    /// The width at a place, mm.
    #[must_use]
    pub fn width(&self, x: f64) -> f64 {
        (self.spine.at(x) - self.edge.at(x)).max(0.0)
    }
}

/// Where a bar is too narrow for an outline: the place, and how much is missing there, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Short {
    /// From the heel.
    pub x: f64,
    /// At the edge.
    pub edge: f64,
    /// At the spine.
    pub spine: f64,
}
