//! What a published law looks like to the rest of the program: one flat record, so that a list of laws can be
//! shown, explained and called without knowing any of them.

/// How far a figure can be trusted: the mark that the reference gives it.
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
    /// How sure a figure is, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
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

/// One input of a law, as `heatbook law NAME key=value` takes it.
pub struct Input {
    /// The word before the equals sign.
    pub key: &'static str,
    /// The unit that `low`, `high`, `default` and the value handed to the law are in; empty for a plain number.
    pub unit: &'static str,
    /// What it is, in a few words.
    pub what: &'static str,
    /// Lowest value within the law's range, in `unit`.
    pub low: f64,
    /// Highest value within the law's range, in `unit`.
    pub high: f64,
    /// The value taken where the input is left out; none where it must be given.
    pub default: Option<f64>,
}

/// One law: what it gives, from what, within which limits, and who says so.
pub struct Law {
    /// Name in lower case with hyphens.
    pub name: &'static str,
    /// One line that says what it is about.
    pub title: &'static str,
    /// The formula in plain ASCII.
    pub formula: &'static str,
    /// Its inputs, in the order in which `eval` takes them.
    pub inputs: &'static [Input],
    /// What the result is.
    pub gives: &'static str,
    /// Unit of the result; empty for a plain number.
    pub unit: &'static str,
    /// Where it holds, and how well.
    pub validity: &'static str,
    /// Where it is published, or seen, or that it is not.
    pub source: &'static str,
    /// How far it can be trusted.
    pub mark: Mark,
    /// The law itself, on inputs in the units and order of `inputs`; a missing one gives NaN, never a panic.
    pub eval: fn(&[f64]) -> f64,
}
