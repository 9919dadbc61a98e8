//! The skin that a heat burns off every face, and what is left of a bar.

use crate::quantity::Kind;
use crate::source::{Code, Span};

use crate::forge::{Cx, Fault, Sink};

/// What a heat takes off every face that sees the fire.
#[derive(Clone, Copy, Debug)]
pub enum Skin {
    /// Nothing.
    None,
    /// So many mm.
    Fixed(f64),
    /// By the law: so many mm for the root of each minute.
    Law(f64),
    /// So much of the volume at that moment.
    Share(f64),
}

impl Skin {
    /// The skin of one heat of so many minutes, mm off each face of a bar of these sizes.
    #[must_use]
    pub fn of(self, [t, w, l]: [f64; 3], minutes: f64) -> f64 {
        match self {
            Skin::None => 0.0,
            Skin::Fixed(r) => r,
            Skin::Law(each) => each * minutes.sqrt(),
            Skin::Share(p) => skin_of_share(p, [t, w, l]),
        }
    }
}

/// The skin that loses a share of the volume: `(t-2r)(w-2r)(l-2r) = (1-p) t w l`.
///
/// Newton from 0: the left side falls and bends upward, so the steps come up to the root from one side.
fn skin_of_share(p: f64, [t, w, l]: [f64; 3]) -> f64 {
    let wanted = (1.0 - p) * t * w * l;
    let mut r = 0.0;
    for _ in 0..60 {
        let (a, b, c) = (t - 2.0 * r, w - 2.0 * r, l - 2.0 * r);
        let slope = -2.0 * (b * c + a * c + a * b);
        let next = r - (a * b * c - wanted) / slope;
        if !next.is_finite() || next <= r {
            break;
        }
        r = next;
    }
    r
}

/// The fire would leave nothing: the skin of a heat, and the size that it eats, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurntAway {
    /// The skin.
    pub skin: f64,
    /// The size.
    pub size: f64,
}

impl BurntAway {
    /// The fault, at a step.
    #[must_use]
    pub fn fault<S: Sink>(self, cx: &Cx<S>, site: Span) -> Fault {
        let (skin, size) = (cx.mm(self.skin), cx.mm(self.size));
        Code::BurntAway
            .says("the fire would eat the whole bar")
            .at(site, format!("a heat takes {skin} off each face, and the bar is down to {size}"))
            .stops("fewer heats, or a thicker bar")
    }
}

/// The share of a bar above which one heat is worth a warning (metal.md: 5 %).
const HEAVY: f64 = 0.05;

impl Skin {
    /// Takes the skin of one heat of so many minutes off sizes and off what is left of each; gives the share of the volume lost.
    ///
    /// # Errors
    /// Where nothing would be left.
    pub fn take(self, sizes: &mut [f64; 3], kept: &mut [f64; 3], minutes: f64) -> Result<f64, BurntAway> {
        let skin = self.of(*sizes, minutes);
        let mut share = 1.0;
        for (size, kept) in sizes.iter_mut().zip(kept.iter_mut()) {
            let left = *size - 2.0 * skin;
            if left.is_nan() || left <= 0.0 {
                return Err(BurntAway { skin, size: *size });
            }
            share *= left / *size;
            *kept *= left / *size;
            *size = left;
        }
        Ok(1.0 - share)
    }
}

/// Warns where one heat burns off more than a smith would like.
pub fn warn_heavy<S: Sink>(cx: &mut Cx<S>, lost: f64, site: Span) {
    if lost <= HEAVY {
        return;
    }
    let lost = cx.shown(lost, Kind::RATIO);
    cx.book.warn(|| {
        Code::HeavyScale
            .says("one heat burns off more than 5 % of the bar")
            .at(site, format!("{lost} in one heat here"))
            .help("thin steel scales fast: fewer, shorter heats, or leave it thicker and grind")
    });
}
