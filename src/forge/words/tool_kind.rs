//! The kinds of tool that a recipe can name.

use crate::vocabulary::worded;

worded! {
    /// What strikes the bar.
    #[derive(Clone, Copy, Debug, PartialEq, Eq)]
    pub enum ToolKind {
        /// A pair of flat dies.
        FlatDie = "flat die",
        /// A rounded tool across the bar.
        Fuller = "fuller",
        /// The narrow end of a hammer.
        Peen = "peen",
        /// The flat face of a hammer.
        Hammer = "hammer",
        /// A rolling mill.
        Rolls = "rolls",
    }
}

impl ToolKind {
    /// Its place among all of them.
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }
}
