//! The clauses that steps are made of, by the word a smith would call them by.

macro_rules! keys {
    ($($(#[doc = $doc:literal])* $name:ident = $word:literal, $form:literal $(, also $($also:literal),+)?;)*) => {
        /// One kind of clause.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Key { $($(#[doc = $doc])* $name,)* }
        impl Key {
            /// Every clause there is.
            pub const ALL: &[Key] = &[$(Key::$name,)*];
            /// The word it goes by.
            #[must_use]
            pub fn word(self) -> &'static str { match self { $(Key::$name => $word,)* } }
            /// The clause as one would write it.
            #[must_use]
            pub fn form(self) -> &'static str { match self { $(Key::$name => $form,)* } }
            /// Every way to write it, the usual one first.
            #[must_use]
            pub fn forms(self) -> &'static [&'static str] {
                match self { $(Key::$name => &[$form $($(, $also)+)?],)* }
            }
            /// What it means: the doc comment beside its name.
            #[must_use]
            pub fn doc(self) -> &'static str { match self { $(Key::$name => concat!($($doc),*).trim_ascii(),)* } }
        }
    };
}

keys! {
    /// How many trips through the fire.
    Heats = "heats", "heats 3";
    /// The fire's temperature; for a cut, the place.
    At = "at", "at 1230 C", also "at 120 mm";
    /// Time in the fire, each heat; for a temper, in the oven.
    For = "for", "for 6 min";
    /// The tool that presses, and its size along the bar.
    With = "with", "with flat die 40 mm", also "with fuller 15 mm", "with peen 12 mm", "with hammer 30 mm", "with rolls 120 mm";
    /// Length of bar under the tool in one bite.
    Bite = "bite", "bite 20 mm";
    /// The spread coefficient, outright.
    Spread = "spread", "spread 0.45";
    /// How much a weld is pressed.
    Thinning = "thinning", "thinning 15 %";
    /// Minutes in the fire before the first press of a weld.
    Soak = "soak", "soak 10 min";
    /// The weld is fluxed: the fire takes half the scale.
    Flux = "flux", "flux";
    /// Welded without flux.
    Dry = "dry", "dry";
    /// A size asked for; `hot` stands in it where it is measured hot.
    Size = "to", "to 12 mm thick", also "to 40 mm wide", "to 400 mm long", "to 12 mm square", "to 12 mm round", "to 12 mm octagon", "to 12 mm hot thick";
    /// Pieces of a cut.
    Into = "into", "into 4", also "into low, mid, top";
    /// A crop of one end or both.
    Off = "off", "8 mm off each end", also "8 mm off the heel end", "8 mm off the tip end";
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
    On = "on", "on edge", also "on end", "on face";
    /// Leaves of a fold.
    In = "in", "in 3";
    /// The heat that a piece is quenched from.
    From = "from", "from 815 C";
    /// What it is quenched in.
    InMedium = "in", "in oil", also "in water", "in brine", "in air", "in plates";
    /// How often.
    Times = "times", "2 times";
    /// Unequal bars are cut to the smallest.
    Trimmed = "trimmed", "trimmed";
    /// Bars laid across the width.
    SideBySide = "side by side", "side by side";
    /// Bars laid by turns.
    Alternate = "alternate", "alternate A, B";
    /// A bar of a stack.
    Item = "a bar", "A", also "2 of A", "A turned", "A flipped";
    /// Bars of stock.
    Bars = "bars", "9 bars of 1084, 3 x 40 x 120 mm", also "1 square of 1084, 25 x 150 mm", "1 round of 1084, 25 x 150 mm", "1 plate of 1084, 3 x 40 x 120 mm";
    /// An offcut taken from the rack.
    FromRack = "from rack", "NAME from rack";
    /// Measured hot.
    Hot = "hot", "hot at 950 C", also "hot";
    /// Where along the bar it was measured.
    Place = "at", "at 30 mm from tip", also "at 30 mm", "at heel";
    /// A weight that the scale said.
    Weight = "a weight", "3.62 kg";
    /// A test on a piece.
    Test = "a test", "width >= 60 mm", also "layers = 50", "thickness 4 .. 6 mm", "mass <= 700 g", "width >= 60 mm everywhere";
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
    Tall = "height", "height 30 mm", also "height full";
    /// Of a bevel's face to the middle.
    Angle = "angle", "angle 4 deg";
    /// Which faces are bevelled.
    Sides = "sides", "both sides", also "left side", "right side";
    /// How far a convex bevel stands out.
    Convex = "convex", "convex 0.2 mm";
    /// The length over which a bevel runs out.
    Plunge = "plunge", "plunge 5 mm";
    /// What a forged bevel gives in length.
    Elongation = "elongation", "elongation 4 %";
    /// How much of what a profile takes comes off the edge side.
    OffEdge = "off edge", "off edge 1.5 mm";
    /// A part that lies off the middle, to the right; of several bevels, the sum.
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
    Turns = "turns", "3 turns per 100 mm", also "14 turns";
    /// Which way it is twisted.
    Hand = "left", "left", also "right";
    /// What the tongs and the vice hold.
    Grips = "grips", "grips 30 mm";
    /// Off each bevel.
    Bevels = "bevels", "bevels 0.2 mm";
}
