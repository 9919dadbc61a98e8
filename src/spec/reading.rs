//! A figure read off a piece.

/// What a piece has of something: where a part comes more than once, its least and its most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The least, base unit.
    pub least: f64,
    /// The most, base unit.
    pub most: f64,
    /// Where along a blade it has the least and the most, mm from the heel; nothing where it is read off the whole.
    pub at: Option<[f64; 2]>,
}

impl Reading {
    /// The same least and most.
    pub(super) fn one(value: f64) -> Reading {
        Reading { least: value, most: value, at: None }
    }

    /// What was read so far, and one more place with its least and most; `x`, mm from the heel, where it matters which.
    pub(super) fn and(so_far: Option<Reading>, x: Option<f64>, (least, most): (f64, f64)) -> Option<Reading> {
        let Some(known) = so_far else { return Some(Reading { least, most, at: x.map(|x| [x; 2]) }) };
        let at = known.at.zip(x).map(|([low, high], x)| {
            [if least < known.least { x } else { low }, if most > known.most { x } else { high }]
        });
        Some(Reading { least: known.least.min(least), most: known.most.max(most), at })
    }
}
