//! The clauses that steps are made of, by the word a smith would call them by.

macro_rules! keys {
    ($(#[doc = $doc:literal] $name:ident = $word:literal, $form:literal;)*) => {
        /// One kind of clause.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Key { $(#[doc = $doc] $name,)* }
        impl Key {
            /// Every clause there is.
            pub const ALL: &[Key] = &[$(Key::$name,)*];
            /// The word it goes by.
            #[must_use]
            pub fn word(self) -> &'static str { match self { $(Key::$name => $word,)* } }
            /// What it says, in one line.
            #[must_use]
            pub fn doc(self) -> &'static str { match self { $(Key::$name => $doc,)* } }
            /// The clause as one would write it.
            #[must_use]
            pub fn form(self) -> &'static str { match self { $(Key::$name => $form,)* } }
        }
    };
}

keys! {
    /// How many trips through the fire.
    Heats = "heats", "heats 3";
    /// A temperature, or a place.
    At = "at", "at 1230 C";
    /// Minutes in the fire, each heat.
    For = "for", "for 6 min";
    /// The tool.
    With = "with", "with flat die 40 mm";
    /// Length of bar under the tool in one bite.
    Bite = "bite", "bite 20 mm";
    /// The spread coefficient, outright.
    Spread = "spread", "spread 0.45";
    /// How much a weld is pressed.
    Thinning = "thinning", "thinning 15 %";
    /// Minutes in the fire before the first press of a weld.
    Soak = "soak", "soak 10 min";
    /// Fluxed.
    Flux = "flux", "flux";
    /// Welded without flux.
    Dry = "dry", "dry";
    /// A size asked for.
    Size = "to", "to 12 mm thick";
    /// Pieces of a cut.
    Into = "into", "into 4";
    /// A crop.
    Off = "off", "8 mm off each end";
    /// What the saw takes.
    Kerf = "kerf", "kerf 2 mm";
    /// The name of an offcut.
    Keep = "keep", "keep NAME";
    /// Off each broad face.
    Faces = "faces", "faces 0.4 mm";
    /// Off each edge.
    Edges = "edges", "edges 1 mm";
    /// Off each end.
    Ends = "ends", "ends 2 mm";
    /// The piece that another is joined to.
    Onto = "to", "to NAME";
    /// Where it is joined.
    On = "on", "on edge";
    /// Leaves of a fold.
    In = "in", "in 3";
    /// The heat that a piece is quenched from.
    From = "from", "from 815 C";
    /// What it is quenched in.
    InMedium = "in", "in oil";
    /// How often.
    Times = "times", "2 times";
    /// Unequal bars are cut to the smallest.
    Trimmed = "trimmed", "trimmed";
    /// Bars laid across the width.
    SideBySide = "side by side", "side by side";
    /// Bars laid by turns.
    Alternate = "alternate", "alternate A, B";
    /// A bar of a stack.
    Item = "a bar", "A";
    /// Bars of stock.
    Bars = "bars", "9 bars of 1084, 3 x 40 x 120 mm";
    /// An offcut taken from the rack.
    FromRack = "from rack", "NAME from rack";
    /// Measured hot.
    Hot = "hot", "hot at 950 C";
    /// Where along the bar it was measured.
    Place = "at", "at 30 mm from tip";
    /// A weight that the scale said.
    Weight = "a weight", "3.62 kg";
    /// A test on a piece.
    Test = "a test", "width >= 60 mm";
}
