//! What the book speaks of: measures, and the causes of every change.

use serde::Serialize;

/// What changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Measure {
    /// mm in the stacking direction.
    Thickness,
    /// mm across.
    Width,
    /// mm along.
    Length,
    /// g.
    Mass,
}

impl Measure {
    /// All four.
    pub const ALL: [Measure; 4] = [Measure::Thickness, Measure::Width, Measure::Length, Measure::Mass];

    /// The word that a recipe uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Measure::Thickness => "thickness",
            Measure::Width => "width",
            Measure::Length => "length",
            Measure::Mass => "mass",
        }
    }
}

/// Why it changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// Squeezed by the tool, and what that gives in length.
    Pressed,
    /// Gained sideways under the tool.
    Spread,
    /// Pushed back on edge.
    Edged,
    /// Shortened end to end.
    Upset,
    /// Burnt off.
    Scale,
    /// Taken by the grinder.
    Ground,
    /// Turned to swarf by the saw.
    Kerf,
    /// Trimmed off to make bars alike.
    Trimmed,
    /// Went to the other pieces of a cut.
    Divided,
    /// Went to the rack.
    Offcut,
    /// Came from the bars stacked with it.
    Stacked,
    /// Came from the piece joined to it.
    Joined,
    /// Laid on itself.
    Folded,
    /// The same steel, measured the other way.
    Turned,
    /// Went to the tang, or came from it.
    Tang,
    /// Eaten by the etch.
    Etched,
    /// Hot size against cold.
    Thermal,
    /// Measured, and explained by no model.
    Unexplained,
}

impl Cause {
    /// The word that the book uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Cause::Pressed => "pressed",
            Cause::Spread => "spread",
            Cause::Edged => "edged",
            Cause::Upset => "upset",
            Cause::Scale => "scale",
            Cause::Ground => "ground",
            Cause::Kerf => "kerf",
            Cause::Trimmed => "trimmed",
            Cause::Divided => "divided",
            Cause::Offcut => "offcut",
            Cause::Stacked => "stacked",
            Cause::Joined => "joined",
            Cause::Folded => "folded",
            Cause::Turned => "turned",
            Cause::Tang => "tang",
            Cause::Etched => "etched",
            Cause::Thermal => "thermal",
            Cause::Unexplained => "unexplained",
        }
    }

    /// The causes by which steel leaves a recipe for good; what is unexplained may also be found.
    pub const LOSSES: [Cause; 6] =
        [Cause::Scale, Cause::Kerf, Cause::Ground, Cause::Trimmed, Cause::Etched, Cause::Unexplained];
}
