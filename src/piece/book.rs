//! What the book speaks of: measures, and the causes of every change.

use serde::Serialize;

use crate::quantity::Kind;
use crate::vocabulary::worded;

worded! {
    /// What changed.
    #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
    pub enum Measure {
        /// mm in the stacking direction.
        Thickness = "thickness",
        /// mm across.
        Width = "width",
        /// mm along.
        Length = "length",
        /// g.
        Mass = "mass",
    }
}

impl Measure {
    /// The kind of its figure.
    pub(crate) fn kind(self) -> Kind {
        if self == Measure::Mass { Kind::MASS } else { Kind::LENGTH }
    }
}

worded! {
    /// Why it changed.
    #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Cause {
        /// Squeezed by the tool, and what that gives in length.
        Pressed = "pressed",
        /// Gained sideways under the tool.
        Spread = "spread",
        /// Pushed back on edge.
        Edged = "edged",
        /// Shortened end to end.
        Upset = "upset",
        /// Burnt off.
        Scale = "scale",
        /// Taken by the grinder.
        Ground = "ground",
        /// Turned to swarf by the saw.
        Kerf = "kerf",
        /// Trimmed off to make bars alike.
        Trimmed = "trimmed",
        /// Went to the other pieces of a cut.
        Divided = "divided",
        /// Went to the rack.
        Offcut = "offcut",
        /// Came from the bars stacked with it.
        Stacked = "stacked",
        /// Came from the piece joined to it.
        Joined = "joined",
        /// Laid on itself.
        Folded = "folded",
        /// The same steel, measured the other way.
        Turned = "turned",
        /// Went to the tang, or came from it.
        Tang = "tang",
        /// Came off with the can that it was welded in.
        Peeled = "peeled",
        /// Eaten by the etch.
        Etched = "etched",
        /// Hot size against cold.
        Thermal = "thermal",
        /// Measured, and explained by no model.
        Unexplained = "unexplained",
    }
}

impl Cause {
    /// The causes by which steel leaves a recipe for good; what is unexplained may also be found.
    pub const LOSSES: [Cause; 7] = [
        Cause::Scale,
        Cause::Kerf,
        Cause::Ground,
        Cause::Trimmed,
        Cause::Peeled,
        Cause::Etched,
        Cause::Unexplained,
    ];
}
