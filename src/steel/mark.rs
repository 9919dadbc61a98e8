//! How far a published figure can be trusted.

/// The mark that the reference gives a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Read in the named source itself (V).
    Read,
    /// Seen through a secondary carrier, which the source line names (V*).
    Carrier,
    /// From memory, not verified (M).
    Memory,
    /// Common practice: shop custom without one source.
    Practice,
    /// Project figure: ours, with no source.
    Project,
    /// Own fit to published data, not published itself.
    OwnFit,
}

impl Mark {
    /// The mark that a table has by this word.
    pub(crate) fn named(word: &str) -> Self {
        match word {
            "read" => Mark::Read,
            "carrier" => Mark::Carrier,
            "memory" => Mark::Memory,
            "practice" => Mark::Practice,
            "project" => Mark::Project,
            "own fit" => Mark::OwnFit,
            _ => bug!("`{word}` is no mark of a figure"),
        }
    }

    /// How sure a figure is, in words.
    #[must_use]
    pub(crate) fn words(self) -> &'static str {
        match self {
            Mark::Read => "read in the source",
            Mark::Carrier => "read through a secondary carrier",
            Mark::Memory => "from memory, unverified",
            Mark::Practice => "common practice",
            Mark::Project => "project figure, no source",
            Mark::OwnFit => "own fit to measured data, not published",
        }
    }
}
