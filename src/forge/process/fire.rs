//! A step's time in the fire: heats, temperature, minutes, and the skin that each heat burns off.

use crate::piece::Lot;
use crate::quantity::{Count, Kind, Q, Temperature, Time};
use crate::source::{Code, Diagnostic, Span};
use crate::steel::Grade;
use crate::steel::laws::scale;

use crate::forge::limits::Limits;
use crate::forge::process::pace::Window;
use crate::forge::process::skin::Skin;
use crate::forge::words::shop::{Fire, Scale};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink};

/// Minutes in the fire a heat, where nothing is said: the figure at which common practice sets the skin.
const MINUTES: f64 = 6.0;
/// Forge temperature where nothing is said, °C (common practice: the figure at which the skin is set).
const FORGE: f64 = 1200.0;
/// The most heats one step may take: beyond that the figure is a slip of the pen.
pub const MOST_HEATS: u32 = 1000;

/// Where a piece goes back to the fire at the latest, °C (low in the forging table of carbon steels).
const STOP: f64 = 800.0;

/// The fire of one step.
#[derive(Clone, Copy, Debug)]
pub struct Hot {
    /// Between which temperatures each heat is worked.
    pub window: Window,
    /// Minutes in the fire: the first heat, and each after it.
    pub minutes: [f64; 2],
    /// What each heat burns off.
    pub skin: Skin,
}

/// The clauses of the fire, as verbs list them.
pub const HEATING: &[Key] = &[Key::Heats, Key::At, Key::For];

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
    /// Where a heat of forging ends at the latest, °C.
    pub coldest: f64,
}

impl Heating {
    /// Takes the clauses.
    pub fn bind(bag: &mut Bag) -> Heating {
        let (heats, at, minutes) = (bag.opt(Key::Heats), bag.opt(Key::At), bag.opt(Key::For));
        Heating { heats, at, minutes, soak: None, flux: false, coldest: STOP }
    }

    /// How many heats: as the step says, else the usual ones of a verb, which the run lists.
    ///
    /// # Errors
    /// `not_whole`.
    pub fn heats<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        what: &'static str,
        usual: u32,
        note: &str,
        source: &'static str,
    ) -> Outcome<u32> {
        let stated = self.stated(cx)?;
        if stated.is_none() {
            cx.book.assume(what, || format!("{usual}{note}"), source);
        }
        Ok(stated.unwrap_or(usual))
    }

    /// How many heats, where the step says so.
    ///
    /// # Errors
    /// `not_whole`.
    pub fn stated<S: Sink>(&self, cx: &Cx<S>) -> Outcome<Option<u32>> {
        self.heats.map(|q| cx.whole(q, 1, MOST_HEATS, "`heats`")).transpose()
    }

    /// The temperature that the piece is worked from, °C.
    pub fn temperature<S: Sink>(&self, cx: &mut Cx<S>) -> f64 {
        cx.get_or(self.at.or(cx.ground.shop.forge), "forge temperature", FORGE, "common practice")
    }

    /// The fire of a step: its heat, its minutes, what each heat burns off, and until when a heat is worked.
    ///
    /// # Errors
    /// `burnt`: hotter than a steel of the piece stands.
    pub fn fire<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, site: Span, forged: bool) -> Outcome<Hot> {
        let at = self.temperature(cx);
        self.check(cx, lot, at, site)?;
        let minutes = self.minutes(cx)?;
        let skin = self.skin(cx, at, minutes)?;
        let lowest = cx
            .makeup
            .steels(lot.bar.node)
            .map(|id| cx.ground.limits[id].window.lowest.map_or(STOP, |l| l.t_c));
        let stop = lowest.fold(if forged { self.coldest } else { 0.0 }, f64::max);
        let window = Window { from_c: at, stop_c: stop };
        Ok(Hot { window, minutes, skin })
    }

    /// Minutes in the fire: the first heat, and each after it.
    ///
    /// # Errors
    /// `negative`.
    pub fn minutes<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome<[f64; 2]> {
        let each = match self.minutes {
            Some(q) => positive(cx, q)?,
            None => {
                cx.book.assume("minutes in the fire", || "6 min a heat".to_owned(), "common practice");
                MINUTES
            }
        };
        let first = self.soak.map(|q| positive(cx, q)).transpose()?.unwrap_or(each);
        Ok([first, each])
    }

    fn skin<S: Sink>(&self, cx: &mut Cx<S>, at: f64, minutes: [f64; 2]) -> Outcome<Skin> {
        if let Some(skin) = cx.habit.scale {
            return Ok(Skin::Fixed(skin.max(0.0)));
        }
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
                let [first, each] = minutes.map(|minutes| scale::skin_mm(at, minutes, factor));
                let units = cx.units;
                let shown = || {
                    let usual = crate::quantity::show(scale::STANDARD_MM, Kind::LENGTH, units);
                    format!("{usual} a face and heat at 1200 C and 6 min")
                };
                cx.book.assume("scale", shown, "common practice, grown by the oxidation law");
                Skin::Law { first, each }
            }
        })
    }

    fn words<S: Sink>(&self, cx: &Cx<S>, site: Span) -> Span {
        self.at.or(cx.ground.shop.forge).map_or(site, |q| cx.span(q))
    }

    fn check<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, at: f64, site: Span) -> Outcome {
        let words = self.words(cx, site);
        let mut richest: Option<(&Grade, Limits)> = None;
        let ground = cx.ground;
        for id in cx.makeup.steels(lot.bar.node) {
            let (grade, limits) = (&ground.steels[id], &ground.limits[id]);
            if at > limits.solidus {
                return Err(molten(cx, grade, at, limits.solidus, words, site));
            }
            if richest.is_none_or(|(r, _)| grade.composition.c > r.composition.c) {
                richest = Some((grade, *limits));
            }
        }
        if let (Some((grade, limits)), true) = (richest, S::KEEPS) {
            warn_hot(cx, grade, &limits, at, words);
        }
        Ok(())
    }

    /// Warns where a heat ends before the forging has begun.
    pub fn warn_cold<S: Sink>(&self, cx: &mut Cx<S>, window: Window, site: Span) {
        if window.from_c > window.stop_c {
            return;
        }
        let words = self.words(cx, site);
        let shown = cx.shown(window.from_c, Kind::TEMPERATURE);
        let stop = cx.shown(window.stop_c, Kind::TEMPERATURE);
        cx.book.warn(|| {
            Code::ColdForging
                .says("this is too cold to forge at")
                .at(words, format!("{shown}; a steel of this piece should go back to the fire at {stop}"))
                .and(site, "worked here")
                .help("steel that is forged too cold cracks: heat it further")
        });
    }
}

fn molten<S: Sink>(cx: &Cx<S>, grade: &Grade, at: f64, melts: f64, words: Span, site: Span) -> Fault {
    let (shown, most) = (cx.shown(at, Kind::TEMPERATURE), cx.shown(melts, Kind::TEMPERATURE));
    let name = &grade.name;
    Code::Burnt
        .says(format!("{name} begins to melt at this heat"))
        .at(words, format!("{shown}; {name} is no longer solid above about {most}"))
        .and(site, "in this step")
        .stops(format!("stay well below {most}: steel burns before it melts"))
}

fn warn_hot<S: Sink>(cx: &mut Cx<S>, grade: &Grade, limits: &Limits, at: f64, words: Span) {
    let shown = cx.shown(at, Kind::TEMPERATURE);
    let name = &grade.name;
    if let Some(burns) = limits.window.burning.map(|l| l.t_c).filter(|burns| at > *burns) {
        let burns = cx.shown(burns, Kind::TEMPERATURE);
        cx.book.warn(|| {
            Code::Burning
                .says(format!("{name} may burn at this heat"))
                .at(words, format!("{shown}; burning is reported from about {burns}"))
                .help("burnt steel crumbles and cannot be mended: weld it cooler, with flux and a clean fire")
        });
        return;
    }
    let Some(most) = limits.window.highest.map(|limit| limit.t_c).filter(|most| at > *most) else {
        return;
    };
    let most = cx.shown(most, Kind::TEMPERATURE);
    cx.book.warn(|| {
        Code::HotForSteel
            .says(format!("hotter than the forging tables let {name} be worked"))
            .at(words, format!("{shown}; the table ends at {most}"))
            .help("usual at welding heat: keep the stay short, and watch for sparks")
    });
}

/// A figure that may be nothing, but not less.
///
/// # Errors
/// `negative`.
pub fn positive<S: Sink, K>(cx: &Cx<S>, q: Q<K>) -> Outcome<f64> {
    let value = cx.get(q);
    if value >= 0.0 {
        return Ok(value);
    }
    Err(Diagnostic::new(Code::Negative, "this figure cannot be below nothing", cx.span(q), "it is negative")
        .stops("write it without the minus"))
}

fn share<S: Sink>(cx: &Cx<S>, q: Q<crate::quantity::Ratio>) -> Outcome<f64> {
    let value = cx.get(q);
    if (0.0..1.0).contains(&value) {
        return Ok(value);
    }
    Err(Code::ShareOutOfRange
        .says("a heat can burn off no less than nothing and not the whole bar")
        .at(cx.span(q), cx.shown(value, Kind::RATIO))
        .stops("common practice is 1 % to 3 % a heat"))
}
