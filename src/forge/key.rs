//! The clauses that steps are made of, by the word a smith would call them by.

macro_rules! keys {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $form:literal;)*) => {
        /// One kind of clause.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Key { $($(#[$doc])* $name,)* }
        impl Key {
            /// Every clause there is.
            pub const ALL: &[Key] = &[$(Key::$name,)*];
            /// The word it goes by.
            #[must_use]
            pub fn word(self) -> &'static str { match self { $(Key::$name => $word,)* } }
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
    /// A stretch of the blade.
    Zone = "from", "from heel to 30 mm from tip";
    /// The metal is moved, and none is lost.
    Forged = "forged", "forged";
    /// Steel is ground off, and none moves.
    Ground = "ground", "ground";
    /// The line of the edge, by heights above the bar's lower edge.
    EdgeLine = "edge", "edge 0 mm at heel then 3 mm at 120 mm then 40 mm at tip";
    /// The line of the spine, likewise.
    SpineLine = "spine", "spine 50 mm at heel then 40 mm at tip";
    /// Thickness left at the edge.
    EdgeLeft = "edge", "edge 0.6 mm";
    /// How far up a bevel goes.
    Tall = "height", "height 30 mm";
    /// Of a bevel's face to the middle.
    Angle = "angle", "angle 4 deg";
    /// Which faces are bevelled.
    Sides = "sides", "both sides";
    /// How far a convex bevel stands out.
    Convex = "convex", "convex 0.2 mm";
    /// The length over which a bevel runs out.
    Plunge = "plunge", "plunge 5 mm";
    /// What a forged bevel gives in length.
    Elongation = "elongation", "elongation 4 %";
    /// How much of what a profile takes comes off the edge side.
    OffEdge = "off edge", "off edge 1.5 mm";
    /// A part that lies off the middle.
    PartOff = "off", "core off 0.2 mm";
    /// The length over which the edge rises to the point.
    Belly = "belly", "belly 80 mm";
    /// How far the point lies below the spine.
    Point = "point", "point 12 mm below spine";
    /// A narrow tang.
    Stick = "stick", "stick";
    /// A tang as wide as it may be.
    Full = "full", "full";
    /// How far a bar is twisted.
    Turns = "turns", "3 turns per 100 mm";
    /// Which way it is twisted.
    Hand = "left", "left";
    /// What the tongs and the vice hold.
    Grips = "grips", "grips 30 mm";
    /// Off each bevel.
    Bevels = "bevels", "bevels 0.2 mm";
}
