//! The three directions of a bar.

/// A layer left thinner than this by fire or grinder is gone, mm (project figure).
pub(super) const SLIVER: f64 = 1e-6;

/// A direction; sizes stand in the order `[thickness, width, length]`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Axis {
    /// The stacking direction.
    Thickness,
    /// Across the face.
    Width,
    /// Heel to tip.
    Length,
}

impl Axis {
    /// All three, in the order that sizes are written.
    pub const ALL: [Axis; 3] = [Axis::Thickness, Axis::Width, Axis::Length];

    /// What is so along each axis.
    #[inline]
    #[must_use]
    pub fn each<T>(mut one: impl FnMut(Axis) -> T) -> [T; 3] {
        [one(Axis::Thickness), one(Axis::Width), one(Axis::Length)]
    }

    /// What stands along this axis.
    #[inline]
    #[must_use]
    pub fn of<T>(self, [thick, wide, long]: [T; 3]) -> T {
        match self {
            Axis::Thickness => thick,
            Axis::Width => wide,
            Axis::Length => long,
        }
    }

    /// The same with something else along this axis.
    #[inline]
    #[must_use]
    pub fn with<T>(self, [thick, wide, long]: [T; 3], other: T) -> [T; 3] {
        match self {
            Axis::Thickness => [other, wide, long],
            Axis::Width => [thick, other, long],
            Axis::Length => [thick, wide, other],
        }
    }

    /// What stands along the two others.
    #[must_use]
    pub fn others<T>(self, [thick, wide, long]: [T; 3]) -> [T; 2] {
        match self {
            Axis::Thickness => [wide, long],
            Axis::Width => [thick, long],
            Axis::Length => [thick, wide],
        }
    }

    /// The axis after a quarter turn about the length.
    #[must_use]
    pub fn turned(self) -> Axis {
        match self {
            Axis::Thickness => Axis::Width,
            Axis::Width => Axis::Thickness,
            Axis::Length => Axis::Length,
        }
    }

    /// The axis after a piece was stood on end.
    #[must_use]
    pub fn tipped(self) -> Axis {
        match self {
            Axis::Thickness => Axis::Length,
            Axis::Width => Axis::Width,
            Axis::Length => Axis::Thickness,
        }
    }
}
