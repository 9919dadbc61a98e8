//! Wrong formulas that the second interpreter can be told to use, one at a time: the comparison must find each.

/// One wrong formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slip {
    /// stock: the density of every steel is that of plain steel.
    StockDensity,
    /// stock: a round is as big as the square around it.
    RoundAsSquare,
    /// stack: the last bar is forgotten in the count of layers.
    StackLayers,
    /// stack: bars are trimmed to the smallest and nothing is booked.
    TrimmedUnbooked,
    /// stack: by turns is read as one after the other.
    AlternateInOrder,
    /// stack: a turned bar keeps its sizes.
    StackUnturned,
    /// stack: a flipped bar lies as it was.
    StackUnflipped,
    /// weld: the thinning left out is 11 %.
    WeldThinning,
    /// weld: side by side, thickness is pressed all the same.
    WeldWrongWay,
    /// all that is pressed: the exponent of the spread is 1 % too big.
    SpreadExponent,
    /// all that goes into the fire: one broad face loses no skin.
    SkinOnFiveFaces,
    /// all that is pressed: equal steps of size instead of equal strains.
    EvenSteps,
    /// draw: all the edging is left to the last heat.
    EdgedLast,
    /// draw: hot sizes are taken as cold.
    HotAsCold,
    /// draw: a round is drawn to the square of its diameter.
    RoundDrawnSquare,
    /// spread: the strain's sign is right and its exponent 1 % off.
    PeenExponent,
    /// edge: thickness and width are not exchanged back.
    EdgeKeepsThickness,
    /// upset: thickness takes 51 % of the strain.
    UpsetUneven,
    /// fold: a kerf is sawn where none is stated.
    FoldKerf,
    /// fold: no leaf is mirrored.
    FoldUnmirrored,
    /// cut into n: n kerfs instead of n - 1.
    CutKerfs,
    /// cut to a length, at a place: the kerf is forgotten.
    CutNoKerf,
    /// cut off an end: the kerf comes on top.
    OffcutKerf,
    /// grind: the amount is for both sides together.
    GrindHalf,
    /// grind: a size is ground to from the top alone.
    GrindOneFace,
    /// join: the joined bar lies below.
    JoinBelow,
    /// join on end: layers add up.
    JoinLayers,
    /// can: powder fills all of its room.
    CanPowder,
    /// can: a column keeps its share of the width, whatever metal it holds.
    CanColumns,
    /// can: rounds are laid row right above row where that holds them, before they are nested.
    CanUnnested,
    /// can: a short row of rounds begins at its first place.
    ShortRow,
    /// bundle: the box shrinks by what rounds fill of a plane.
    BundleFill,
    /// bundle: rows are a diameter above each other.
    BundleRows,
    /// turn: sizes stay.
    TurnStays,
    /// flip: only the faces change places, not the edges.
    FlipFacesOnly,
    /// heat: one heat too few where several are stated.
    HeatTooFew,
    /// normalise: once, however often it is asked.
    NormaliseOnce,
    /// harden: no skin.
    HardenNoSkin,
    /// temper: takes a skin.
    TemperSkin,
    /// measure: after a hot step, what is missing is gone.
    MeasureGone,
    /// measure: a reading within half of its last digit moves the bar.
    MeasureToTheDigit,
    /// expect: at least is taken as more than twice.
    ExpectTwice,
}

/// All of them.
pub const SLIPS: [Slip; 42] = [
    Slip::StockDensity,
    Slip::RoundAsSquare,
    Slip::StackLayers,
    Slip::TrimmedUnbooked,
    Slip::AlternateInOrder,
    Slip::StackUnturned,
    Slip::StackUnflipped,
    Slip::WeldThinning,
    Slip::WeldWrongWay,
    Slip::SpreadExponent,
    Slip::SkinOnFiveFaces,
    Slip::EvenSteps,
    Slip::EdgedLast,
    Slip::HotAsCold,
    Slip::RoundDrawnSquare,
    Slip::PeenExponent,
    Slip::EdgeKeepsThickness,
    Slip::UpsetUneven,
    Slip::FoldKerf,
    Slip::FoldUnmirrored,
    Slip::CutKerfs,
    Slip::CutNoKerf,
    Slip::OffcutKerf,
    Slip::GrindHalf,
    Slip::GrindOneFace,
    Slip::JoinBelow,
    Slip::JoinLayers,
    Slip::CanPowder,
    Slip::CanColumns,
    Slip::CanUnnested,
    Slip::ShortRow,
    Slip::BundleFill,
    Slip::BundleRows,
    Slip::TurnStays,
    Slip::FlipFacesOnly,
    Slip::HeatTooFew,
    Slip::NormaliseOnce,
    Slip::HardenNoSkin,
    Slip::TemperSkin,
    Slip::MeasureGone,
    Slip::MeasureToTheDigit,
    Slip::ExpectTwice,
];
