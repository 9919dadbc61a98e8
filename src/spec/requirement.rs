//! The tests that `target` and `expect` make.

use crate::piece::{Mark, PartName};
use crate::quantity::{Kind, Length, Q, Units, Values};
use crate::source::Span;
use crate::vocabulary::{Sort, Term, plain, reserved, worded};

worded! {
    /// What is tested.
    #[derive(Clone, Copy, Debug, PartialEq, Eq)]
    pub enum What {
        /// mm, as a calliper reads it.
        Thickness = "thickness",
        /// mm.
        Width = "width",
        /// mm.
        Length = "length",
        /// g, of one bar.
        Mass = "mass",
        /// mm3, of one bar.
        Volume = "volume",
        /// Sheets, as the trade counts.
        Layers = "layers",
        /// What an eye can tell apart.
        Bands = "bands",
        /// The part of the volume that a named part takes, as a fraction.
        Share = "share",
        /// HRC at the surface, of the layers that harden.
        Hardness = "hardness",
        /// mm, the thickness at the spine.
        Spine = "spine",
        /// mm, the thickness at the edge.
        Edge = "edge",
        /// mm from the heel: where the piece balances.
        Balance = "balance",
        /// mm, from the heel to the end of the tang.
        Tang = "tang",
        /// mm above the edge: how far up a part shows on each side.
        Shows = "shows",
        /// min, of the whole build: at the fire and at the bench.
        Hours = "hours",
        /// In the shop's own currency, of the whole build.
        Cost = "cost",
        /// mm from one mark of the pattern to the next, along the piece.
        Pitch = "pitch",
        /// Lines between steels on the faces, to a mm square across them.
        LayersPerMm = "layers per mm",
        /// The same to an inch.
        LayersPerIn = "layers per in",
    }
}

worded! {
    /// Where in a section a hardness is asked, and of what of a pattern a pitch.
    #[derive(Clone, Copy, Debug, PartialEq, Eq)]
    pub enum Spot {
        /// On its faces, under any skin that lost its carbon.
        Surface = "surface",
        /// Furthest from its faces.
        Middle = "middle",
        /// On the faces of the spine.
        Spine = "spine",
        /// On the faces of the edge.
        Edge = "edge",
        /// What grooves or rods became.
        Rungs = "rungs",
        /// What holes became.
        Drops = "drops",
        /// A whole turn of a twist.
        Twist = "twist",
    }
}

impl Spot {
    /// As one says it behind the word of the test.
    #[must_use]
    pub fn said(self) -> &'static str {
        match self {
            Spot::Surface => "at the surface",
            Spot::Middle => "in the middle",
            Spot::Spine => "at the spine",
            Spot::Edge => "at the edge",
            Spot::Rungs => "of the rungs",
            Spot::Drops => "of the drops",
            Spot::Twist => "of the twist",
        }
    }

    /// What it means, in one line.
    #[must_use]
    pub fn doc(self) -> &'static str {
        match self {
            Spot::Surface => "at the faces, under any skin that lost its carbon",
            Spot::Middle => "in the middle of the section, the softest place of a thick one",
            Spot::Spine => "at the faces of the spine, of the steels that stand there",
            Spot::Edge => "at the faces of the edge, of the steels that stand there",
            Spot::Rungs => "the rungs of a ladder: what grooves, or rods pressed in, became",
            Spot::Drops => "the drops of a raindrop pattern: what holes became",
            Spot::Twist => "a whole turn of a twist",
        }
    }

    /// What of a pattern it names; of a section otherwise.
    #[must_use]
    pub fn mark(self) -> Option<Mark> {
        match self {
            Spot::Rungs => Some(Mark::Rungs),
            Spot::Drops => Some(Mark::Drops),
            Spot::Twist => Some(Mark::Turns),
            Spot::Surface | Spot::Middle | Spot::Spine | Spot::Edge => None,
        }
    }
}

/// The words of tests for the vocabulary.
pub fn terms() -> impl Iterator<Item = Term> {
    let also = |what: What| -> &[&str] { if what == What::LayersPerIn { &["layers per inch"] } else { &[] } };
    let tests = What::ALL
        .into_iter()
        .map(move |what| Term::new(what.word(), Sort::Test).told(what.form(), what.doc()).also(also(what)));
    let inside = ["heel", "tip"].map(|word| Term::new(word, Sort::End));
    tests
        .chain(reserved(Sort::Tested, &["everywhere", "from", "to", "at"]))
        .chain(inside)
        .chain(reserved(Sort::Tested, &["of"]))
        .chain(plain(Sort::Tested, &["behind", "allowing", "shows"]))
        .chain(Spot::ALL.into_iter().map(|spot| Term::new(spot.word(), Sort::Spot).told("", spot.doc())))
}

impl What {
    /// A test of it, as one would write it.
    #[must_use]
    pub fn form(self) -> &'static str {
        match self {
            What::Thickness => "thickness 3.5 mm .. 5.5 mm",
            What::Width => "width >= 58 mm everywhere",
            What::Length => "length = 240 mm +- 2 mm",
            What::Mass => "mass <= 700 g",
            What::Volume => "volume >= 90 cm3",
            What::Layers => "layers >= 100",
            What::Bands => "bands >= 50",
            What::Share => "share of core <= 35 %",
            What::Hardness => "hardness 58 HRC .. 62 HRC",
            What::Spine => "spine >= 4 mm at heel",
            What::Edge => "edge <= 0.6 mm",
            What::Balance => "balance 40 mm .. 75 mm",
            What::Tang => "tang >= 90 mm",
            What::Shows => "core shows 6 mm .. 20 mm",
            What::Hours => "hours <= 8 h",
            What::Cost => "cost <= 400",
            What::Pitch => "pitch of twist 28 mm .. 32 mm",
            What::LayersPerMm => "layers per mm >= 2",
            What::LayersPerIn => "layers per in >= 50",
        }
    }

    /// What it means, in one line.
    #[must_use]
    pub fn doc(self) -> &'static str {
        match self {
            What::Thickness => {
                "the size in the direction in which it was stacked, as a calliper reads it, cold"
            }
            What::Width => "the size across the bar, as a calliper reads it, cold",
            What::Length => "the size along the bar, cold",
            What::Mass => "the weight of one bar",
            What::Volume => "the room that one bar takes",
            What::Layers => "sheets as the trade counts them: times n at each restack, never less",
            What::Bands => {
                "what an eye tells apart through the middle: like faces run together, and what is burnt or ground off is gone"
            }
            What::Share => "the part of the volume that a named part takes",
            What::Hardness => {
                "the hardness of the layers that harden, where a law tells it: at the surface, unless `of middle`, `of spine` or `of edge` says where"
            }
            What::Spine => "the thickness at the spine of a blade; of a part, what of it stands there",
            What::Edge => "the thickness at the edge of a blade; of a part, what of it stands there",
            What::Balance => {
                "where the piece balances, from the heel towards the tip, its tang counted in; below nothing in the tang"
            }
            What::Tang => "the length of the tang, from the heel back to its end",
            What::Shows => {
                "how far above the edge a part shows, on the side where it is least and where it is most"
            }
            What::Hours => "the time that the whole build takes, at the fire and at the bench",
            What::Pitch => {
                "how far apart, along the piece, the rungs of a ladder lie, the drops of a raindrop pattern or the turns of a twist"
            }
            What::LayersPerMm => {
                "how many lines between steels lie beside each other on a millimetre of the faces, as far as an eye parts them"
            }
            What::LayersPerIn => {
                "how many lines between steels lie beside each other on an inch of the faces, as far as an eye parts them"
            }
            What::Cost => {
                "what the whole build costs by the shop's prices: steel, hours, fuel, and what stands there on lines of its own"
            }
        }
    }

    /// Whether it is of the whole build, and not of a piece.
    #[must_use]
    pub fn of_the_build(self) -> bool {
        matches!(self, What::Hours | What::Cost)
    }

    /// The kind of quantity that it is.
    #[must_use]
    pub fn kind(self) -> Kind {
        match self {
            What::Thickness
            | What::Width
            | What::Length
            | What::Spine
            | What::Edge
            | What::Balance
            | What::Tang
            | What::Shows
            | What::Pitch => Kind::LENGTH,
            What::Mass => Kind::MASS,
            What::Volume => Kind::VOLUME,
            What::Layers | What::Bands | What::Cost | What::LayersPerMm | What::LayersPerIn => Kind::NUMBER,
            What::Hours => Kind::TIME,
            What::Share => Kind::RATIO,
            What::Hardness => Kind::HARDNESS,
        }
    }
}

/// An end of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The end you hold.
    Heel,
    /// The far end.
    Tip,
}

/// A place along a bar.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Measured from this end.
    pub from: End,
    /// By so much; at the end itself where there is nothing.
    pub by: Option<Q<Length>>,
    /// The words.
    pub span: Span,
}

impl Place {
    /// Distance from the heel, mm, on a bar of this length.
    #[must_use]
    pub fn on(&self, values: &Values, long: f64) -> f64 {
        let by = self.by.map_or(0.0, |q| values.get(q));
        match self.from {
            End::Heel => by,
            End::Tip => long - by,
        }
    }
}

impl Zone {
    /// From where to where it holds, mm from the heel, on a bar of this length.
    #[must_use]
    pub fn on(&self, values: &Values, long: f64) -> [f64; 2] {
        match self {
            Zone::Everywhere => [0.0, long],
            Zone::At(place) => [place.on(values, long); 2],
            Zone::Between(a, b) => [a.on(values, long), b.on(values, long)],
        }
    }
}

/// Where along the bar a test holds.
#[derive(Clone, Copy, Debug)]
pub enum Zone {
    /// The whole bar.
    Everywhere,
    /// One place.
    At(Place),
    /// A stretch.
    Between(Place, Place),
}

/// What is wanted; slots are of the kind of [`What`].
#[derive(Clone, Copy, Debug)]
pub enum Bounds {
    /// `>=`.
    AtLeast(u32),
    /// `<=`.
    AtMost(u32),
    /// `=`, with a tolerance or to the last digit shown.
    Equal(u32, Option<u32>),
    /// `a .. b`.
    Within(u32, u32),
}

impl Bounds {
    /// The slots that it reads.
    pub fn slots(&self) -> impl Iterator<Item = u32> + use<> {
        let (a, b) = match *self {
            Bounds::AtLeast(a) | Bounds::AtMost(a) => (a, None),
            Bounds::Equal(a, tolerance) => (a, tolerance),
            Bounds::Within(a, b) => (a, Some(b)),
        };
        std::iter::once(a).chain(b)
    }

    /// Lowest and highest value that will do, in the base unit.
    #[must_use]
    pub fn limits(&self, values: &Values) -> (Option<f64>, Option<f64>) {
        match *self {
            Bounds::AtLeast(a) => (Some(values.at(a)), None),
            Bounds::AtMost(b) => (None, Some(values.at(b))),
            Bounds::Within(a, b) => (Some(values.at(a)), Some(values.at(b))),
            Bounds::Equal(a, tolerance) => {
                let (a, t) = (values.at(a), tolerance.map_or(0.0, |t| values.at(t).abs()));
                (Some(a - t), Some(a + t))
            }
        }
    }
}

/// One line of a target.
#[derive(Clone, Copy, Debug)]
pub struct Test {
    /// What is tested.
    pub what: What,
    /// Of which part, where one is named.
    pub part: Option<PartName>,
    /// Where in the section a hardness is asked; at the surface where it is not said.
    pub spot: Option<Spot>,
    /// So much more than the least: stock to straighten and clean up in.
    pub allowing: Option<Q<Length>>,
    /// So far behind the edge, where it is the thickness there.
    pub behind: Option<Q<Length>>,
    /// Whether it is of what shows on the faces.
    pub on_face: bool,
    /// Where along the bar.
    pub zone: Zone,
    /// What is wanted.
    pub bounds: Bounds,
    /// The whole test.
    pub span: Span,
    /// The words of what is wanted.
    pub wanted: Span,
    /// The words of the zone, where one is stated.
    pub zone_span: Option<Span>,
    /// What its own figures are in, where they say so.
    pub units: Option<Units>,
}

impl Test {
    /// Whether it is of what shows on the faces.
    #[must_use]
    pub fn of_the_faces(&self) -> bool {
        self.on_face || matches!(self.what, What::LayersPerMm | What::LayersPerIn)
    }

    /// What it is answered in: its own units, unless the reader asks for others than the recipe's.
    #[must_use]
    pub fn told_in(&self, reader: Units, recipe: Units) -> Units {
        if reader == recipe { self.units.unwrap_or(reader) } else { reader }
    }

    /// Lowest and highest value that will do, base unit, with what it allows for.
    #[must_use]
    pub fn limits(&self, values: &Values) -> (Option<f64>, Option<f64>) {
        let (low, high) = self.bounds.limits(values);
        let more = self.allowing.map_or(0.0, |q| values.get(q));
        (low.map(|low| low + more), high)
    }
}

/// A test, judged.
#[derive(Clone, Copy, Debug)]
pub struct Judged {
    /// Lowest value that will do, base unit.
    pub low: Option<f64>,
    /// Highest value that will do.
    pub high: Option<f64>,
    /// What the piece has; NaN where it has no such part.
    pub got: f64,
    /// To the nearer limit: positive is room, negative is missing.
    pub margin: f64,
    /// Whether the test is met.
    pub met: bool,
    /// How far the figure itself may be off, where its law says.
    pub band: f64,
    /// A hardness in the middle at its least, where it was asked for elsewhere and can be told.
    pub inside: Option<f64>,
    /// Where along a blade it has that, mm from the heel and from the tip; nothing where it is read off the whole, or at one
    /// place that is named.
    pub at: Option<[f64; 2]>,
}
