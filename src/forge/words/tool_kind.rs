//! The kinds of tool that a recipe can name.

/// What strikes the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToolKind {
    /// A pair of flat dies.
    FlatDie,
    /// A rounded tool across the bar.
    Fuller,
    /// The narrow end of a hammer.
    Peen,
    /// The flat face of a hammer.
    Hammer,
    /// A rolling mill.
    Rolls,
}

impl ToolKind {
    /// All of them.
    pub const ALL: [ToolKind; 5] =
        [ToolKind::FlatDie, ToolKind::Fuller, ToolKind::Peen, ToolKind::Hammer, ToolKind::Rolls];

    /// The word that a recipe uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ToolKind::FlatDie => "flat die",
            ToolKind::Fuller => "fuller",
            ToolKind::Peen => "peen",
            ToolKind::Hammer => "hammer",
            ToolKind::Rolls => "rolls",
        }
    }

    /// Its place among all of them.
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }
}
