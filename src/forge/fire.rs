//! A step's time in the fire: heats, temperature, minutes, and the skin that each heat burns off.

use crate::piece::{Cause, Lot};
use crate::quantity::{Count, Kind, Q, Temperature, Time};
use crate::source::{Diagnostic, Span};
use crate::steel::{Grade, scale, solidus, window};

use super::shop::{Fire, Scale};
use super::{Bag, Cx, Fault, Key, Sink};

/// Minutes in the fire a heat, where nothing is said: the figure at which common practice sets the skin.
const MINUTES: f64 = 6.0;
/// Forge temperature where nothing is said, °C (common practice: the figure at which the skin is set).
const FORGE: f64 = 1200.0;
/// The most heats one step may take: beyond that the figure is a slip of the pen.
pub const MOST_HEATS: u32 = 1000;

/// The clauses that every hot verb takes.
#[derive(Clone, Copy, Debug)]
pub struct Heating {
    /// `heats N`.
    pub heats: Option<Q<Count>>,
    /// `at T`.
    pub at: Option<Q<Temperature>>,
    /// `for 6 min`, each heat.
    pub minutes: Option<Q<Time>>,
    /// `soak 10 min`: the first heat instead.
    pub soak: Option<Q<Time>>,
    /// A full coat of flux.
    pub flux: bool,
}

impl Heating {
    /// Takes the clauses.
    pub fn bind(bag: &mut Bag) -> Heating {
        Heating {
            heats: bag.opt(Key::Heats),
            at: bag.opt(Key::At),
            minutes: bag.opt(Key::For),
            soak: None,
            flux: false,
        }
    }

    /// How many heats, where the step says so.
    ///
    /// # Errors
    /// `not_whole`.
    pub fn stated<S: Sink>(&self, cx: &Cx<S>) -> Result<Option<u32>, Fault> {
        self.heats.map(|q| cx.whole(q, 1, MOST_HEATS, "`heats`")).transpose()
    }

    /// The temperature that the piece is worked from, °C.
    pub fn temperature<S: Sink>(&self, cx: &mut Cx<S>) -> f64 {
        if let Some(q) = self.at.or(cx.ground.shop.forge) {
            return cx.get(q);
        }
        let units = cx.units;
        let shown = || crate::quantity::show(FORGE, Kind::TEMPERATURE, units);
        cx.book.assume("forge temperature", shown, "common practice");
        FORGE
    }

    /// What each heat burns off, and the checks of its temperature.
    ///
    /// # Errors
    /// `burnt`: hotter than a steel of the piece stands.
    pub fn skin<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, site: Span) -> Result<Skin, Fault> {
        let at = self.temperature(cx);
        self.check(cx, lot, at, site)?;
        let shop = &cx.ground.shop;
        Ok(match shop.scale {
            Scale::None => Skin::None,
            Scale::Skin(q) => Skin::Fixed(positive(cx, q)?),
            Scale::Share(q) => Skin::Share(share(cx, q)?),
            Scale::Law => {
                let factor = match shop.fire {
                    Fire::Neutral => 1.0,
                    Fire::Oxidising => scale::OXIDISING,
                    Fire::Reducing => scale::REDUCING,
                } * if self.flux { scale::FLUXED } else { 1.0 };
                let minutes = match self.minutes {
                    Some(q) => positive(cx, q)?,
                    None => {
                        cx.book.assume(
                            "minutes in the fire",
                            || "6 min a heat".to_owned(),
                            "common practice",
                        );
                        MINUTES
                    }
                };
                let first = self.soak.map(|q| positive(cx, q)).transpose()?.unwrap_or(minutes);
                let units = cx.units;
                let (each, soaked) = (scale::skin_mm(at, minutes, factor), scale::skin_mm(at, first, factor));
                let shown = || {
                    let usual = crate::quantity::show(scale::STANDARD_MM, Kind::LENGTH, units);
                    format!("{usual} a face and heat at 1200 C and 6 min")
                };
                cx.book.assume("scale", shown, "common practice, grown by the oxidation law");
                Skin::Law { first: soaked, each }
            }
        })
    }

    fn words<S: Sink>(&self, cx: &Cx<S>, site: Span) -> Span {
        self.at.or(cx.ground.shop.forge).map_or(site, |q| cx.span(q))
    }

    fn check<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, at: f64, site: Span) -> Result<(), Fault> {
        let words = self.words(cx, site);
        let mut richest: Option<&Grade> = None;
        let ground = cx.ground;
        for id in cx.makeup.steels(lot.bar.node) {
            let Some(grade) = ground.steels.get(usize::from(id.0)) else { continue };
            let melts = solidus::of(&grade.composition).t_c;
            if at > melts {
                return Err(molten(cx, grade, at, melts, words, site));
            }
            if richest.is_none_or(|r| grade.composition.c > r.composition.c) {
                richest = Some(grade);
            }
        }
        if let (Some(grade), true) = (richest, S::KEEPS) {
            warn_hot(cx, grade, at, words);
        }
        Ok(())
    }
}

fn molten<S: Sink>(cx: &Cx<S>, grade: &Grade, at: f64, melts: f64, words: Span, site: Span) -> Fault {
    let (shown, most) = (cx.shown(at, Kind::TEMPERATURE), cx.shown(melts, Kind::TEMPERATURE));
    let name = &grade.name;
    Box::new(
        Diagnostic::fault(
            "burnt",
            format!("{name} begins to melt at this heat"),
            words,
            format!("{shown}; {name} is no longer solid above about {most}"),
        )
        .and(site, "in this step")
        .help(format!("stay well below {most}: steel burns before it melts")),
    )
}

fn warn_hot<S: Sink>(cx: &mut Cx<S>, grade: &Grade, at: f64, words: Span) {
    let Some(most) = window::of(grade).highest.map(|limit| limit.t_c).filter(|most| at > *most) else {
        return;
    };
    let (shown, most) = (cx.shown(at, Kind::TEMPERATURE), cx.shown(most, Kind::TEMPERATURE));
    let name = &grade.name;
    cx.book.warn(|| {
        Diagnostic::warning(
            "hot_for_steel",
            format!("hotter than the forging tables let {name} be worked"),
            words,
            format!("{shown}; the table ends at {most}"),
        )
        .help("usual at welding heat: keep the stay short, and watch for sparks")
    });
}

fn positive<S: Sink, K>(cx: &Cx<S>, q: Q<K>) -> Result<f64, Fault> {
    let value = cx.get(q);
    if value >= 0.0 {
        return Ok(value);
    }
    Err(Box::new(
        Diagnostic::fault("negative", "this figure cannot be below nothing", cx.span(q), "it is negative")
            .help("write it without the minus"),
    ))
}

fn share<S: Sink>(cx: &Cx<S>, q: Q<crate::quantity::Ratio>) -> Result<f64, Fault> {
    let value = cx.get(q);
    if (0.0..1.0).contains(&value) {
        return Ok(value);
    }
    Err(Box::new(
        Diagnostic::fault(
            "share_out_of_range",
            "a heat can burn off no less than nothing and not the whole bar",
            cx.span(q),
            cx.shown(value, Kind::RATIO),
        )
        .help("common practice is 1 % to 3 % a heat"),
    ))
}

/// What a heat takes off every face that sees the fire.
#[derive(Clone, Copy, Debug)]
pub enum Skin {
    /// Nothing.
    None,
    /// So many mm.
    Fixed(f64),
    /// By the law: the first heat, and each after it, mm.
    Law {
        /// The first heat.
        first: f64,
        /// Each after it.
        each: f64,
    },
    /// So much of the volume at that moment.
    Share(f64),
}

impl Skin {
    /// The skin of one heat, mm off each face of a bar of these sizes.
    #[must_use]
    pub fn of(self, [t, w, l]: [f64; 3], first_heat: bool) -> f64 {
        match self {
            Skin::None => 0.0,
            Skin::Fixed(r) => r,
            Skin::Law { first, each } => {
                if first_heat {
                    first
                } else {
                    each
                }
            }
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
    skin: f64,
    size: f64,
}

impl BurntAway {
    /// The fault, at a step.
    #[must_use]
    pub fn fault<S: Sink>(self, cx: &Cx<S>, site: Span) -> Fault {
        let (skin, size) = (cx.mm(self.skin), cx.mm(self.size));
        Box::new(
            Diagnostic::fault(
                "burnt_away",
                "the fire would eat the whole bar",
                site,
                format!("a heat takes {skin} off each face, and the bar is down to {size}"),
            )
            .help("fewer heats, or a thicker bar"),
        )
    }
}

/// The share of a bar above which one heat is worth a warning (metal.md: 5 %).
const HEAVY: f64 = 0.05;

impl Skin {
    /// Takes the skin of one heat off sizes and off what is left of each; gives the share of the volume lost.
    ///
    /// # Errors
    /// Where nothing would be left.
    pub fn take(self, sizes: &mut [f64; 3], kept: &mut [f64; 3], first_heat: bool) -> Result<f64, BurntAway> {
        let skin = self.of(*sizes, first_heat);
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
        Diagnostic::warning(
            "heavy_scale",
            "one heat burns off more than 5 % of the bar",
            site,
            format!("{lost} in one heat here"),
        )
        .help("thin steel scales fast: fewer, shorter heats, or leave it thicker and grind")
    });
}

/// Books what the fire took off the outside of a bar, and gives the makeup of what is left.
///
/// `kept` is the fraction left of each size; `volume` that of one bar before, mm3; `size` the whole bar that
/// the fractions are of, mm.
pub fn burn<S: Sink>(
    cx: &mut Cx<S>,
    to: crate::piece::LotId,
    lot: &mut Lot,
    kept: [f64; 3],
    volume: f64,
    size: [f64; 3],
) {
    let outer = super::solid::shell(kept);
    super::solid::take_off(cx, to, lot, outer, Cause::Scale, volume, size);
}
