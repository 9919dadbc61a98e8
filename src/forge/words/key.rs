//! The clauses that steps are made of, by the word a smith would call them by.

/// What tells a clause from others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pattern {
    /// Its first word, and a figure behind it.
    Figure,
    /// Its word, which stands alone.
    Flag,
    /// A rule of its own in the grammar.
    Own,
}

macro_rules! keys {
    ($($(#[doc = $doc:literal])* $name:ident: $pattern:ident $($reserved:ident)? = $word:literal, $form:literal $(, also $($also:literal),+)?;)*) => {
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
            /// What tells it from others.
            #[must_use]
            pub fn pattern(self) -> Pattern { match self { $(Key::$name => Pattern::$pattern,)* } }
            /// Whether its word is no name.
            #[must_use]
            pub fn reserved(self) -> bool { match self { $(Key::$name => false $(|| stringify!($reserved) == "reserved")?,)* } }
            /// What it means: the doc comment beside its name.
            #[must_use]
            pub fn doc(self) -> &'static str { match self { $(Key::$name => concat!($($doc),*).trim_ascii(),)* } }
        }
    };
}

impl Key {
    /// The clause of a pattern that begins with a word.
    #[must_use]
    pub fn of(pattern: Pattern, word: &str) -> Option<Key> {
        let begins = |key: &&Key| key.forms().iter().any(|form| form.split(' ').next() == Some(word));
        Key::ALL.iter().filter(|key| key.pattern() == pattern).find(begins).copied()
    }
}

keys! {
    /// How many trips through the fire.
    Heats: Figure reserved = "heats", "heats 3";
    /// The fire's temperature; for a cut, the place.
    At: Figure reserved = "at", "at 1230 C", also "at 120 mm";
    /// Time in the fire, each heat; for a temper, in the oven.
    For: Figure = "for", "for 6 min";
    /// The tool that presses, and its size along the bar.
    With: Own = "with", "with flat die 40 mm", also "with fuller 15 mm", "with peen 12 mm", "with hammer 30 mm", "with rolls 120 mm";
    /// Length of bar under the tool in one bite.
    Bite: Figure = "bite", "bite 20 mm";
    /// The spread coefficient, outright.
    Spread: Figure reserved = "spread", "spread 0.45";
    /// How much a weld is pressed.
    Thinning: Figure reserved = "thinning", "thinning 15 %";
    /// Minutes more in the fire before the first press of a weld, once it is hot.
    Soak: Figure reserved = "soak", "soak 10 min";
    /// The weld is fluxed: the fire takes half the scale.
    Flux: Flag reserved = "flux", "flux";
    /// The weld is fluxed with what has fluoride in it, which takes the oxide of chromium.
    Fluoride: Flag = "fluoride flux", "fluoride flux";
    /// Welded without flux.
    Dry: Flag reserved = "dry", "dry";
    /// No air comes to the joints of a weld: its edges are welded shut with a vent left, or it lies in a can.
    Sealed: Flag = "sealed", "sealed";
    /// A size asked for; `hot` stands in it where it is measured hot.
    Size: Own = "to", "to 12 mm thick", also "to 40 mm wide", "to 400 mm long", "to 12 mm square", "to 12 mm round", "to 12 mm octagon", "to 12 mm hot thick";
    /// Pieces of a cut.
    Into: Own = "into", "into 4", also "into low, mid, top";
    /// A crop of one end or both.
    Off: Own = "off", "8 mm off each end", also "8 mm off the heel end", "8 mm off the tip end";
    /// What the saw takes.
    Kerf: Figure reserved = "kerf", "kerf 2 mm";
    /// The name of an offcut.
    Keep: Own = "keep", "keep NAME";
    /// Off each broad face.
    Faces: Figure = "faces", "faces 0.4 mm";
    /// Off each edge.
    Edges: Figure = "edges", "edges 1 mm";
    /// Off each end.
    Ends: Figure = "ends", "ends 2 mm";
    /// The piece that another is joined to.
    Onto: Own = "to", "to NAME";
    /// Where it is joined.
    On: Own = "on", "on edge", also "on end", "on face";
    /// Leaves of a fold.
    In: Figure reserved = "in", "in 3";
    /// The heat that a piece is quenched from.
    From: Figure reserved = "from", "from 815 C";
    /// What it is quenched in.
    InMedium: Own = "in", "in oil", also "in moved oil", "in fast oil", "in water", "in brine", "in air", "in plates";
    /// How often.
    Times: Own = "times", "2 times";
    /// Unequal bars are cut to the smallest.
    Trimmed: Own = "trimmed", "trimmed";
    /// Bars laid across the width.
    SideBySide: Own = "side by side", "side by side";
    /// Rounds laid in a hexagon, each between its neighbours.
    InBundle: Own = "in bundle", "in bundle";
    /// Bars that lie in a can, row by row: its sizes outside; it is as long as they are. What belongs to the can follows; with powder alone in it
    /// its length is told too.
    InCan: Own = "in can", "in can 50 x 50 mm", also "in can 50 x 50 x 150 mm";
    /// How thick a can's wall is, and of what steel: of mild steel where nobody says.
    Wall: Own = "wall", "wall 3 mm", also "wall 2 mm of 304";
    /// What fills a can between its bars.
    Powder: Own = "powder", "powder of 1084";
    /// How much of that room the powder's metal fills.
    Packed: Own = "packed", "packed 60 %";
    /// The can comes off behind its first weld: ground off, or peeled where it is stainless or coated inside and does not weld.
    CanOff: Own = "ground off", "ground off", also "peeled";
    /// Bars laid by turns.
    Alternate: Own = "alternate", "alternate A, B";
    /// A bar of a stack.
    Item: Own = "a bar", "A", also "2 of A", "A turned", "A flipped", "A mirrored";
    /// Bars of stock.
    Bars: Own = "bars", "9 bars of 1084, 3 x 40 x 120 mm", also "1 square of 1084, 25 x 150 mm", "1 round of 1084, 25 x 150 mm", "1 plate of 1084, 3 x 40 x 120 mm";
    /// Bars whose layers are welded already: a bought billet, or what an earlier build left. The steels go round from the lowest, or each layer
    /// is told with its share of the thickness.
    Layered: Own = "bars", "1 bar of layered 1084, 15N20", also "1 bar of layered 1084 20 %, 15N20 60 %, 1084 20 %";
    /// How many layers it has.
    Layers: Own = "layers", "52 layers";
    /// How often a stack of so many layers lies on itself.
    OnItself: Own = "on itself", "4 times";
    /// The share of one steel in it, by volume.
    ShareOf: Own = "share", "66 % of 1084";
    /// The steel that lies lowest; `outside` where both faces are of it.
    Lies: Own = "below", "1084 below", also "1084 outside";
    /// The sizes of a bar, where they stand alone.
    BarSizes: Own = "sizes", "9 x 40 x 120 mm";
    /// How deep its outside has lost half of its carbon.
    LostSkin: Own = "lost skin", "lost skin 0.2 mm";
    /// It is hard: from what heat, and in what it was quenched.
    Hardened: Own = "hardened", "hardened from 815 C in oil";
    /// And tempered since.
    Tempered: Own = "tempered", "tempered at 200 C for 4 h";
    /// Its layers were moved about: in words, since no line of stock can tell where they lie.
    Patterned: Own = "patterned", "patterned \"a twist\"";
    /// An offcut taken from the rack.
    FromRack: Own = "from rack", "NAME from rack";
    /// Measured hot.
    Hot: Own = "hot", "hot at 950 C", also "hot";
    /// Where along the bar it was measured.
    Place: Own = "at", "at 30 mm from tip", also "at 30 mm", "at heel";
    /// A weight that the scale said.
    Weight: Own = "a weight", "3.62 kg";
    /// A test on a piece.
    Test: Own = "a test", "width >= 60 mm", also "layers = 50", "thickness 4 .. 6 mm", "mass <= 700 g", "width >= 60 mm everywhere";
    /// A stretch of the blade.
    Zone: Own = "from", "from heel to 30 mm from tip";
    /// The metal is moved, and none is lost.
    Forged: Flag = "forged", "forged";
    /// Steel is ground off, and none moves.
    Ground: Flag = "ground", "ground";
    /// The line of the edge, by heights above the bar's lower edge.
    EdgeLine: Own = "edge", "edge 0 mm at heel then 3 mm at 120 mm then 40 mm at tip", also "edge through 0 mm at heel then 3 mm at 120 mm then 40 mm at tip";
    /// The line of the spine, likewise.
    SpineLine: Own = "spine", "spine 50 mm at heel then 40 mm at tip", also "spine through 50 mm at heel then 48 mm at 120 mm then 40 mm at tip";
    /// How wide a blade is along it, in a smooth line, as far above its middle as below.
    OutlineLine: Own = "outline", "outline through 40 mm at heel then 34 mm at 150 mm then 0 mm at tip";
    /// Thickness left at the edge.
    EdgeLeft: Figure = "edge", "edge 0.6 mm";
    /// How far up a bevel goes.
    Tall: Own = "height", "height 30 mm", also "height full";
    /// Of a bevel's face to the middle.
    Angle: Figure = "angle", "angle 4 deg";
    /// Which faces are bevelled.
    Sides: Own = "sides", "both sides", also "left side", "right side";
    /// How far a convex bevel stands out.
    Convex: Figure = "convex", "convex 0.2 mm";
    /// The wheel that a bevel is ground hollow on, by its diameter.
    Hollow: Own = "hollow", "hollow on 250 mm wheel";
    /// The back is bevelled as the edge is: a dagger's two edges.
    BothEdges: Own = "both edges", "both edges";
    /// The length over which a bevel or a fuller runs out.
    Plunge: Figure = "plunge", "plunge 5 mm";
    /// What a forged bevel or fuller gives in length.
    Elongation: Figure = "elongation", "elongation 4 %";
    /// How much of what a profile takes comes off the edge side.
    OffEdge: Own = "off edge", "off edge 1.5 mm";
    /// A part that lies off the middle, to the right; of several bevels, the sum.
    PartOff: Own = "off", "core off 0.2 mm";
    /// The length over which the edge rises to the point.
    Belly: Figure = "belly", "belly 80 mm";
    /// How far the point lies below the spine.
    Point: Own = "point", "point 12 mm below spine";
    /// A narrow tang.
    Stick: Flag = "stick", "stick";
    /// A tang as wide as it may be.
    Full: Flag = "full", "full";
    /// How far a bar is twisted.
    Turns: Own = "turns", "3 turns per 100 mm", also "14 turns";
    /// Which way it is twisted.
    Hand: Flag = "left", "left", also "right";
    /// What the tongs and the vice hold.
    Grips: Figure reserved = "grips", "grips 30 mm";
    /// From the middle of one groove, hole or rod to that of the next.
    Every: Figure reserved = "every", "every 12 mm";
    /// How far the middle of a fuller lies below the spine.
    Below: Own = "below", "12 mm below spine";
    /// How wide a groove is on the face.
    Across: Own = "across", "6 mm across";
    /// How deep a groove, a hole or a rod goes below the face.
    Deep: Own = "deep", "2 mm deep";
    /// Both faces are worked, the one below as the one above.
    BothFaces: Flag = "both faces", "both faces";
    /// What is in the face below lies half-way between what is in the face above.
    Staggered: Flag = "staggered", "staggered";
    /// The floor of a groove; of a press, that all is level behind it.
    Floor: Flag = "flat", "flat", also "round", "vee";
    /// How far grooves are turned on the face from straight across.
    Slant: Figure = "slant", "slant 20 deg";
    /// Rods that are laid on the face and pressed in, so thick.
    Rods: Own = "with rods", "with rods 6 mm";
    /// Holes of a drill so wide.
    Holes: Own = "holes", "6 mm holes";
    /// The hole's floor is part of a ball.
    Ball: Flag = "ball", "ball";
    /// Every second row of holes along the bar is moved by half of the distance.
    ByTurns: Flag = "by turns", "by turns";
    /// How far a wedge takes the layers down in the middle.
    Drag: Figure = "drag", "drag 10 mm";
    /// How far beside a wedge a third of that is met still.
    Reach: Figure = "reach", "reach 8 mm";
    /// Off each of the two faces of a split before they are welded.
    Dressed: Figure = "dressed", "dressed 1 mm";
    /// How far the middle goes before the faces when a turned stack is drawn; as much comes off the edges behind it.
    Bow: Own = "bow", "bow 4 mm", also "bow";
    /// Slices of a bar, so thick.
    Slices: Own = "in", "in 10 mm slices";
    /// Every second slice is turned end for end, so that like meets like.
    Mirrored: Flag = "mirrored", "mirrored";
    /// The flat bar that is bent round a core.
    Jacket: Own = "with", "with NAME";
    /// The hand: how far the bar comes out wavy, and from hill to hill; it is ground flat behind that.
    Uneven: Own = "uneven", "uneven 0.3 mm over 15 mm";
    /// Which hand: the same number gives the same hand.
    Seed: Figure = "seed", "seed 7";
    /// What a cut leaves at the other face.
    Web: Figure = "web", "web 6 mm";
    /// Off each bevel.
    Bevels: Figure = "bevels", "bevels 0.2 mm";
}
