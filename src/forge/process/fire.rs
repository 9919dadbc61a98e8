//! A step's time in the fire: heats, temperature, minutes, and the skin that each heat burns off.

use crate::piece::Lot;
use crate::quantity::{Count, Kind, Q, Temperature, Time};
use crate::source::{Code, Diagnostic, Span};
use crate::steel::Grade;
use crate::steel::grades::window::{WELD_STOP_C, WELD_WARNING_C};
use crate::steel::laws::heating::{Through, middle_c};
use crate::steel::laws::scale;

use crate::forge::limits::Limits;
use crate::forge::process::skin::Skin;
use crate::forge::words::shop::{Fire, Scale};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Work};

/// Within this of the heat asked for, a middle counts as through, °C (project figure).
const THROUGH: f64 = 25.0;
/// A stated time is surely too short under this share of what the section needs: the law's own band (metal.md).
const SURELY: f64 = 0.85;
/// A weld is warned of from so far above where burning is reported, and so far under the solidus, K (project figures).
const WELDS_OVER_BURNING: f64 = 30.0;
const WELDS_UNDER_SOLIDUS: f64 = 60.0;
/// How much longer a small forge takes that is pulled down by its steel: low in 1.5 to 2 (project figure).
const PULLED_DOWN: f64 = 1.5;
/// What is left to a heat besides, min (project figure).
const MORE_MIN: f64 = 1.0;
/// How much longer the first heat of a loose stack takes, for its gaps (project figure).
const GAPS: f64 = 2.0;
/// Forge temperature where nothing is said, °C (common practice: the figure at which the skin is set).
const FORGE: f64 = 1200.0;
/// The most heats one step may take: beyond that the figure is a slip of the pen.
pub const MOST_HEATS: u32 = 1000;

/// Where a piece goes back to the fire at the latest, °C (low in the forging table of carbon steels).
const STOP: f64 = 800.0;
/// A cold bar, °C.
const COLD: f64 = 20.0;

/// Between which temperatures a heat is worked, °C.
#[derive(Clone, Copy, Debug)]
pub struct Window {
    /// Out of the fire.
    pub from_c: f64,
    /// Back into it.
    pub stop_c: f64,
}

impl Window {
    /// Half-way: the heat at which bites are chosen, °C (project figure).
    pub fn middle(self) -> f64 {
        f64::midpoint(self.from_c, self.stop_c)
    }
}

/// The fire of one step.
#[derive(Clone, Copy, Debug)]
pub struct Hot {
    /// Between which temperatures each heat is worked.
    pub window: Window,
    /// How long each heat stays in the fire.
    pub stay: Stay,
    /// What each heat burns off.
    pub skin: Skin,
}

/// How long the heats of a step stay in the fire.
#[derive(Clone, Copy, Debug)]
pub enum Stay {
    /// Nobody asks.
    Untimed,
    /// As the step says: the first heat, and each after it, min.
    Stated([f64; 2]),
    /// As long as the section needs.
    Section {
        /// From cold, and from where the heat before it stopped.
        through: [Through; 2],
        /// A factor on the first heat, for the gaps of a loose stack.
        gaps: f64,
        /// And what it is left at its heat then, min.
        soak: f64,
    },
}

impl Stay {
    /// Minutes of one heat, 0 where nobody asks, for a bar that goes in with these sizes, mm.
    #[must_use]
    pub fn minutes(&self, sizes: [f64; 3], first: bool) -> f64 {
        match self {
            Stay::Untimed => 0.0,
            Stay::Stated([minutes, _]) if first => *minutes,
            Stay::Stated([_, minutes]) => *minutes,
            Stay::Section { through: [cold, _], gaps, soak } if first => {
                (cold.minutes(section(sizes)) * PULLED_DOWN + MORE_MIN) * gaps + soak
            }
            Stay::Section { through: [_, warm], .. } => warm.minutes(section(sizes)) * PULLED_DOWN + MORE_MIN,
        }
    }
}

/// The two sizes that a bar is heated through by: all but its longest.
fn section([t, w, l]: [f64; 3]) -> [f64; 2] {
    if l >= t.max(w) { [t, w] } else { [t.min(w), l] }
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
    /// `soak 10 min`: so much longer in the first heat.
    pub soak: Option<Q<Time>>,
    /// A full coat of flux.
    pub flux: bool,
    /// Whether it welds: such heats are hotter by custom, and end sooner.
    pub welds: bool,
}

impl Heating {
    /// Takes the clauses.
    pub fn bind(bag: &mut Bag) -> Heating {
        let (heats, at, minutes) = (bag.opt(Key::Heats), bag.opt(Key::At), bag.opt(Key::For));
        Heating { heats, at, minutes, soak: None, flux: false, welds: false }
    }

    /// How many heats: as the step says, else the usual ones of a verb, which the run lists.
    ///
    /// # Errors
    /// `not_whole`.
    pub fn heats<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome<u32> {
        let Some(usual) = work.word.heats else { bug!("`{}` has no usual heats", work.word.word) };
        if let Some(stated) = self.stated(cx)? {
            return Ok(stated);
        }
        cx.book.assume(usual.what, || format!("{}{}", usual.heats, usual.note), usual.source);
        Ok(usual.heats)
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
    pub fn fire<S: Sink>(&self, cx: &mut Cx<S>, work: Work, lot: &Lot, forged: bool) -> Outcome<Hot> {
        let at = self.temperature(cx);
        self.check(cx, lot, at, work.site)?;
        let lowest = cx
            .makeup
            .steels(lot.bar.node)
            .map(|id| cx.ground.limits[id].window.lowest.map_or(STOP, |l| l.t_c));
        let stop = lowest.fold(
            if !forged {
                0.0
            } else if self.welds {
                WELD_STOP_C
            } else {
                STOP
            },
            f64::max,
        );
        let window = Window { from_c: at, stop_c: stop };
        let stay = self.stay(cx, (work, lot), window, forged)?;
        Ok(Hot { window, stay, skin: self.skin(cx, at)? })
    }

    /// How long each heat stays in the fire: as the step says, else until its middle is hot.
    ///
    /// # Errors
    /// `negative`.
    fn stay<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot): (Work, &Lot),
        window: Window,
        forged: bool,
    ) -> Outcome<Stay> {
        let of = work.from;
        let soak = self.soak.map(|q| positive(cx, q)).transpose()?.unwrap_or(0.0);
        if let Some(q) = self.minutes {
            let each = positive(cx, q)?;
            let stated = [each + soak, each];
            if S::KEEPS {
                self.warn_middle(cx, (work, lot), window, forged, stated, cx.span(q));
            }
            return Ok(Stay::Stated(stated));
        }
        let burns_by_law = cx.habit.scale.is_none() && matches!(cx.ground.shop.scale, Scale::Law);
        if !(S::COUNTS || cx.ground.hardens || burns_by_law) {
            return Ok(Stay::Untimed);
        }
        let shown = || "until the middle is hot, half as long again, and 1 min".to_owned();
        let source = "emissivity 0.8 and gas of 30 W/m2K, from memory; what is added is a project figure";
        cx.book.assume("minutes in the fire", shown, source);
        let fire = self.fire_c(cx, window.from_c);
        // Where nothing is forged, each heat begins cold.
        let again = if forged { window.stop_c } else { COLD };
        let for_what = [fire, window.from_c, again];
        let known = cx.recalls[of].fire.filter(|(of, _)| *of == for_what);
        let through = known.map_or_else(
            || [COLD, again].map(|from| Through::of(fire, from, window.from_c - THROUGH)),
            |(_, through)| through,
        );
        cx.recalls[of].fire = Some((for_what, through));
        Ok(Stay::Section { through, gaps: if lot.bar.loose.is_some() { GAPS } else { 1.0 }, soak })
    }

    /// How hot the fire is that a piece is brought to a heat by, °C.
    fn fire_c<S: Sink>(&self, cx: &mut Cx<S>, at: f64) -> f64 {
        match cx.ground.shop.forge {
            None if at >= FORGE => at,
            forge => cx.get_or(forge, "forge temperature", FORGE, "common practice").max(at),
        }
    }

    fn skin<S: Sink>(&self, cx: &mut Cx<S>, at: f64) -> Outcome<Skin> {
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
                let units = cx.units;
                let shown = || {
                    let usual = crate::quantity::show(scale::STANDARD_MM, Kind::LENGTH, units);
                    format!("{usual} a face and heat at 1200 C and 6 min")
                };
                cx.book.assume("scale", shown, "common practice, grown by the oxidation law");
                Skin::Law(scale::skin_mm(at, 1.0, factor))
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
            let stated = self.at.or(cx.ground.shop.forge).is_some();
            warn_hot(cx, grade, &limits, at, words, (self.welds, stated));
        }
        Ok(())
    }

    /// Warns where the stated minutes leave the middle colder than the heat asked for, at best.
    fn warn_middle<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot): (Work, &Lot),
        window: Window,
        forged: bool,
        stated: [f64; 2],
        words: Span,
    ) {
        let at = window.from_c;
        let fire = cx.ground.shop.forge.map_or(FORGE, |q| cx.get(q)).max(at);
        let sizes = section(lot.bar.sizes());
        let one = self.heats.is_none_or(|q| cx.get(q) < 2.0);
        let again = (forged && !one).then_some(window.stop_c);
        let heats = [(Some(COLD), "first heat"), (again, "further heat")].into_iter().zip(stated);
        let short = heats.filter_map(|((from, which), minutes)| {
            let from = from?;
            let needs = Through::of(fire, from, at - THROUGH).minutes(sizes);
            (minutes < needs * SURELY).then(|| (which, minutes, needs, middle_c(fire, from, minutes, sizes)))
        });
        let Some((which, minutes, needs, middle)) = short.min_by(|a, b| a.3.total_cmp(&b.3)) else { return };
        let least = least_c(cx, lot).from_c;
        if self.welds && middle >= least {
            return;
        }
        let time = |minutes: f64| crate::quantity::trim_number(minutes, 1);
        let (minutes, needs, shown) = (time(minutes), needs.ceil(), cx.about_c(middle));
        let [thick, wide] = sizes.map(|size| cx.mm(size));
        let least = cx.shown(least, Kind::TEMPERATURE);
        let (what, weld) = if self.welds {
            ("the middle of this stack is too cold to take", format!("; under {least} it hardly takes"))
        } else {
            ("the middle is colder than this in so short a heat", String::new())
        };
        cx.book.warn(|| {
            Code::ColdMiddle
                .says(what)
                .at(words, format!("at about {shown} after {minutes} min of its {which}, at best{weld}; it needs {needs} min"))
                .and(work.site, format!("{thick} by {wide} in the fire"))
                .help("leave `for` out, and it stays as long as a fire that keeps its heat takes, and half as long again")
        });
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

/// How cold a stack may be welded, °C.
pub struct LeastHeat<'a> {
    /// The least.
    pub from_c: f64,
    /// The richest steel, where its own row of the forging table says so.
    pub of: Option<&'a Grade>,
    /// A milder steel whose row begins higher, and where.
    pub milder: Option<(&'a Grade, f64)>,
}

/// How cold a stack may be welded: 1093 C, or where the forging table begins its richest steel.
pub fn least_c<'a, S: Sink>(cx: &Cx<'a, S>, lot: &Lot) -> LeastHeat<'a> {
    let ground = cx.ground;
    let starts = |id| Some((&ground.steels[id], ground.limits[id].window.starts?.t_c));
    let steels = || cx.makeup.steels(lot.bar.node);
    let carbon = |id: &crate::piece::SteelId| ground.steels[*id].composition.c;
    let richest = steels().max_by(|a, b| carbon(a).total_cmp(&carbon(b)));
    let own = richest.and_then(starts).filter(|(_, from)| *from > WELD_WARNING_C);
    let from_c = own.map_or(WELD_WARNING_C, |(_, from)| from);
    let others = steels().filter(|id| Some(*id) != richest).filter_map(starts);
    let milder = others.filter(|(_, from)| *from > from_c).max_by(|a, b| a.1.total_cmp(&b.1));
    LeastHeat { from_c, of: own.map(|(grade, _)| grade), milder }
}

fn molten<S: Sink>(cx: &Cx<S>, grade: &Grade, at: f64, melts: f64, words: Span, site: Span) -> Fault {
    let (shown, most) = (cx.shown(at, Kind::TEMPERATURE), cx.about_c(melts));
    let name = &grade.name;
    Code::Burnt
        .says(format!("{name} begins to melt at this heat"))
        .at(words, format!("{shown}; {name} is no longer solid above about {most}"))
        .and(site, "in this step")
        .stops(format!("stay well below {most}: steel burns before it melts"))
}

fn warn_hot<S: Sink>(
    cx: &mut Cx<S>,
    grade: &Grade,
    limits: &Limits,
    at: f64,
    words: Span,
    (welds, stated): (bool, bool),
) {
    let shown = cx.shown(at, Kind::TEMPERATURE);
    let name = &grade.name;
    let burns = limits.window.burning.map(|l| l.t_c);
    // Welds are hotter than forging by custom.
    let from = if welds {
        burns.map_or(f64::INFINITY, |b| b + WELDS_OVER_BURNING).min(limits.solidus - WELDS_UNDER_SOLIDUS)
    } else {
        burns.unwrap_or(f64::INFINITY)
    };
    if at > from {
        let burns = burns.unwrap_or(from);
        let burns = cx.about_c(burns);
        let highest = limits.window.highest.map(|limit| cx.about_c(limit.t_c));
        cx.book.warn(|| {
            let table = highest.map_or(String::new(), |most| format!("; the forging table ends at {most}"));
            let cooler = if welds { "weld it cooler, with flux and a clean fire" } else { "work it cooler" };
            let table = if welds { "" } else { &table };
            Code::Burning
                .says(format!("{name} may burn at this heat"))
                .at(words, format!("{shown}; burning is reported from about {burns}"))
                .help(format!("burnt steel crumbles and cannot be mended: {cooler}{table}"))
        });
        return;
    }
    let Some(most) = limits.window.highest.map(|limit| limit.t_c).filter(|most| at > *most) else {
        return;
    };
    if welds {
        let shown = || "hotter than the forging tables let the richest steel be worked".to_owned();
        cx.book.assume("heat of a weld", shown, "common practice: keep the stay short, and watch for sparks");
        return;
    }
    if !stated {
        return;
    }
    // Each steel's own figure: what suits one of them may still be too hot for another.
    let most = crate::quantity::show_below_c(most, cx.units);
    cx.book.warn(|| {
        Code::HotForSteel
            .says(format!("hotter than the forging tables let {name} be worked"))
            .at(words, format!("{shown}; the table ends at {most}"))
            .help(format!(
                "forge {name} at {most} or less: so hot its grain grows coarse, and its skin loses carbon"
            ))
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
