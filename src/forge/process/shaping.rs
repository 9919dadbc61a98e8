//! What the steps on a blade share: where along it they work, what the fire takes, and how the change is booked.

use crate::piece::blade::{Blade, Station};
use crate::piece::{Bar, Cause, Lot, LotId, Measure, Section};
use crate::quantity::{Kind, Length, Q, Ratio, trim_number};
use crate::source::{Code, Span};
use crate::spec::{End, Place};

use crate::forge::Effort;
use crate::forge::process::effort;
use crate::forge::process::ends;
use crate::forge::process::fire::{Heating, Hot};
use crate::forge::process::grip::{Contact, Law};
use crate::forge::process::pace;
use crate::forge::process::skin::{BurntAway, Skin, warn_heavy};
use crate::forge::words::tool::Tool;
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Work};

/// A bevel or a fuller lengthens a blade by no more than this, as a share (project figure).
const MOST_LONGER: f64 = 0.5;

/// Whether a step moves metal or grinds it off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// It is moved, and none is lost but to the fire.
    Forged,
    /// It is taken off.
    Ground,
}

impl Manner {
    /// Takes the clause; `usual` where neither is said, which the run then lists.
    pub fn bind(bag: &mut Bag, usual: Manner, heating: &Heating) -> (Manner, bool) {
        let (forged, ground) = (bag.flag(Key::Forged), bag.flag(Key::Ground));
        if let (Some(forged), Some(ground)) = (forged, ground) {
            let fault = Code::ForgedOrGround.says("a step is forged or ground, not both");
            let help = "keep one of the two: forging moves the metal, grinding takes it away";
            bag.fault(fault.at(ground, "ground").and(forged, "forged").help(help));
        }
        let manner = match (forged, ground) {
            (Some(_), _) => Manner::Forged,
            (None, Some(_)) => Manner::Ground,
            (None, None) => usual,
        };
        let hot = heating.heats.is_some() || heating.at.is_some() || heating.minutes.is_some();
        if manner == Manner::Ground && hot && !bag.faulty() {
            let site = bag.site;
            let said = ground.unwrap_or(site);
            let fault = Code::GroundCold.says("nothing is heated where steel is ground");
            let help = "write `forged`, or leave `heats`, `at` and `for` out";
            bag.fault(fault.at(site, "this states a fire").and(said, "ground").help(help));
        }
        (manner, forged.is_none() && ground.is_none())
    }
}

/// A stretch of the blade that a step works on.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    from: Place,
    to: Place,
    span: Span,
}

impl Stretch {
    /// Takes the clause; the whole blade where nothing is said.
    pub fn bind(bag: &mut Bag) -> Stretch {
        let clause = bag.take(Key::Zone);
        let mut places = clause.iter().flat_map(|c| c.places());
        let site = bag.site;
        let end = |from| Place { from, by: None, span: site };
        let from = places.next();
        Stretch {
            from: from.unwrap_or(end(End::Heel)),
            to: places.next().unwrap_or(end(End::Tip)),
            span: clause.as_ref().map_or(site, |c| c.span),
        }
    }

    /// Both places, mm from the heel; the second may lie nearer the heel where `either` is set.
    ///
    /// # Errors
    /// `beyond_bar`, `zone_backwards`.
    pub fn on<S: Sink>(&self, cx: &Cx<S>, blade: &Blade, either: bool) -> Outcome<[f64; 2]> {
        let tip = blade.tip();
        let mut places = [0.0; 2];
        for (x, place) in places.iter_mut().zip([self.from, self.to]) {
            *x = at(cx, place, tip)?;
        }
        let [a, b] = places;
        let least = 1e-6;
        if (b - a).abs() < least || (!either && b < a) {
            let long = cx.mm(tip);
            return Err(Code::ZoneBackwards
                .says(if b < a { "this stretch runs backwards" } else { "this stretch has no length" })
                .at(self.span, format!("on a blade {long} long"))
                .stops("name the place nearer the heel first, as in `from heel to 30 mm from tip`"));
        }
        Ok(places)
    }
}

/// The clauses of a step that shapes a stretch of the blade.
pub struct Shaping {
    /// The fire, where it is forged.
    pub heating: Heating,
    /// The tool, likewise.
    pub tool: Tool,
    /// Forged or ground, and whether the step leaves that to custom.
    pub manner: (Manner, bool),
    /// Where.
    pub stretch: Stretch,
}

impl Shaping {
    /// Takes the clauses; `usual` where the step says neither forged nor ground.
    pub fn bind(bag: &mut Bag, usual: Manner) -> Shaping {
        let (stretch, heating, tool) = (Stretch::bind(bag), Heating::bind(bag), Tool::bind(bag));
        let manner = Manner::bind(bag, usual, &heating);
        Shaping { heating, tool, manner, stretch }
    }
}

/// A place, mm from the heel, that must lie on the blade.
///
/// # Errors
/// `beyond_bar`.
pub fn at<S: Sink>(cx: &Cx<S>, place: Place, tip: f64) -> Outcome<f64> {
    let x = place.on(cx.values, tip);
    if (-1e-9..=tip * (1.0 + 1e-9)).contains(&x) {
        return Ok(x.clamp(0.0, tip));
    }
    let (has, asked) = (cx.mm(tip), cx.mm(x));
    Err(Code::BeyondBar
        .says("this place is not on the blade")
        .at(place.span, format!("{asked} from the heel; the blade is {has} long"))
        .stops("measure from the nearer end, as in `30 mm from tip`"))
}

/// A length of a blade above nothing, mm.
///
/// # Errors
/// `no_size`.
pub fn above_nothing<S: Sink>(cx: &Cx<S>, q: Q<Length>) -> Outcome<f64> {
    let help = "write the size that the blade is to have there";
    cx.above_nothing(q, cx.span(q), "a size must be above nothing", help)
}

/// The blade of a step, shaped before or not, and the bars that it stands for.
///
/// # Errors
/// `loose_stack`, `none_left`.
pub fn take<S: Sink>(cx: &mut Cx<S>, work: Work) -> Outcome<(Lot, Blade)> {
    let lot = cx.piece(work)?;
    cx.book.origin(work.to, work.from);
    Ok((lot, cx.makeup.shape(&lot.bar).into_owned()))
}

/// The same, and lists the manner of the step where nobody stated it.
///
/// # Errors
/// As [`take`].
pub fn begin<S: Sink>(cx: &mut Cx<S>, work: Work, (manner, unsaid): (Manner, bool)) -> Outcome<(Lot, Blade)> {
    let taken = take(cx, work)?;
    let (lot, _) = &taken;
    if S::KEEPS && lot.bar.blade.is_none() && lot.bar.past.rough {
        ends::warn(cx, work.from, work.site, "the point and the heel come out of them");
    }
    if unsaid {
        let said = if manner == Manner::Forged { "forged" } else { "ground" };
        cx.book.assume(work.word.word, || said.to_owned(), "project figure: write `forged` or `ground`");
    }
    Ok(taken)
}

/// Why a shape changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Pressed and hammered: what a size gains is spread, what a width loses is edged.
    Forged,
    /// Something took it off.
    Taken(Cause),
    /// The end behind the heel became the tang, or was cut off it.
    Tang,
    /// It grew or shrank as a whole.
    Grown,
}

/// Gives bars a new shape and books the change of each size.
pub fn reshape<S: Sink>(cx: &mut Cx<S>, to: LotId, lot: &mut Lot, shape: Blade, change: Change) {
    let before = lot.bar;
    settle(cx, &mut lot.bar, shape);
    let now = lot.bar;
    let wider = now.calliper_wide() > before.calliper_wide();
    let [thick, wide, long] = match change {
        Change::Forged => [Cause::Pressed, if wider { Cause::Spread } else { Cause::Edged }, Cause::Pressed],
        Change::Taken(cause) => [cause; 3],
        Change::Tang => [Cause::Tang; 3],
        Change::Grown => [Cause::Thermal; 3],
    };
    cx.change(to, Measure::Thickness, thick, now.calliper_thick() - before.calliper_thick());
    cx.change(to, Measure::Width, wide, now.calliper_wide() - before.calliper_wide());
    cx.change(to, Measure::Length, long, now.long - before.long);
}

/// Puts a shape into a bar, with the sizes that go by it.
fn settle<S: Sink>(cx: &mut Cx<S>, bar: &mut Bar, shape: Blade) {
    let [wide, thick] = shape.greatest();
    (bar.thick, bar.wide, bar.long) = (thick, wide, shape.tip());
    bar.section = Section::Flat;
    bar.fill = shape.volume() / (bar.thick * bar.wide * bar.long);
    bar.blade = Some(cx.makeup.keep_blade(shape));
}

/// Takes steel off a blade down to a shape inside it: weighs what went, and books it.
///
/// # Errors
/// `ground_away`, where nothing would be left.
pub fn take_down<S: Sink>(
    cx: &mut Cx<S>,
    work: Work,
    lot: &mut Lot,
    (before, mut after): (&Blade, Blade),
    cause: Cause,
) -> Outcome {
    check_left(cx, work, &after)?;
    let light = lot.bar.past.light;
    let grams = cx.makeup.ground_off(lot.bar.node, before, &after) * light;
    cx.lose(work.to, cause, grams, lot.count);
    let mass = lot.bar.mass - grams;
    after.rest_heel();
    weighed(cx, work.to, lot, after, (mass, cause));
    Ok(())
}

/// Gives bars a new shape that is known to weigh so much, g, and books the change of each size to one cause.
pub fn weighed<S: Sink>(cx: &mut Cx<S>, to: LotId, lot: &mut Lot, shape: Blade, (mass, cause): (f64, Cause)) {
    reshape(cx, to, lot, shape, Change::Taken(cause));
    let mean = lot.bar.volume() * cx.makeup.density(lot.bar.node) * lot.bar.past.light;
    // One steel keeps its density to the last bit; of several the mean has changed with what went.
    if !cx.makeup.one_density(lot.bar.node) && mean > 0.0 {
        lot.bar.heft = mass / mean;
    }
    lot.bar.mass = mass;
}

fn check_left<S: Sink>(cx: &Cx<S>, work: Work, after: &Blade) -> Outcome {
    let [wide, thick] = after.greatest();
    if after.sound() && after.tip() > 1e-6 && wide > 1e-6 && thick > 1e-6 && after.volume() > 0.0 {
        return Ok(());
    }
    let name = cx.ground.lot_name(work.from);
    Err(Code::GroundAway
        .says(format!("this would leave nothing of `{name}`"))
        .at(work.site, "all of it is taken off here")
        .and(cx.made(work.from), "it comes out of this step")
        .stops("take less, or leave more steel before"))
}

/// Takes a blade through the fire so many times: the skin goes, carbon travels, hardness goes. Gives the fire.
///
/// # Errors
/// Too hot for a steel; nothing left.
pub fn burn<S: Sink>(
    cx: &mut Cx<S>,
    work: Work,
    lot: &mut Lot,
    shape: &mut Blade,
    heating: &Heating,
    (heats, forged): (u32, bool),
) -> Outcome<Hot> {
    let site = work.site;
    let hot = heating.fire(cx, work, lot, forged)?;
    if forged && S::KEEPS {
        heating.warn_cold(cx, hot.window, site);
    }
    let before = shape.clone();
    let (mut burnt, mut heaviest) = (0.0, 0.0f64);
    // Only a share of the volume hangs on what earlier heats have left; other skins are taken off in one.
    let rounds = if matches!(hot.skin, Skin::Share(_)) { heats } else { 1 };
    for i in 0..rounds {
        let each = skin_of(&hot, shape, i == 0);
        let skin = if rounds == heats {
            each
        } else {
            each + f64::from(heats.saturating_sub(1)) * skin_of(&hot, shape, false)
        };
        let [_, thick] = shape.greatest();
        if skin * 2.0 >= thick.min(shape.tip()) {
            return Err(BurntAway { skin: each, size: thick }.fault(cx, site));
        }
        if skin > 0.0 {
            let has = shape.volume();
            shape.burn(skin);
            heaviest =
                heaviest.max((1.0 - shape.volume() / has) * f64::from(rounds) / f64::from(heats.max(1)));
            check_left(cx, work, shape)?;
        }
        burnt += skin;
    }
    let minutes = minutes(&hot, &before, heats);
    age(cx, lot, &hot, minutes, burnt);
    if S::COUNTS {
        sum_up(cx, lot, &hot, shape, (heats, minutes, forged));
    }
    if burnt > 0.0 {
        take_down(cx, work, lot, (&before, shape.clone()), Cause::Scale)?;
        *shape = cx.makeup.shape(&lot.bar).into_owned();
        if S::KEEPS {
            warn_heavy(cx, heaviest, site);
        }
    }
    Ok(hot)
}

/// The skin of one heat, mm: a share of the volume is spread over the blade's faces.
fn skin_of(hot: &Hot, shape: &Blade, first: bool) -> f64 {
    let sizes = block(shape);
    hot.skin.of(sizes, hot.stay.minutes(sizes, first))
}

/// The block that a blade is to its fire, mm: its mean sizes.
fn block(shape: &Blade) -> [f64; 3] {
    let (side, long) = (shape.side_area(), shape.tip() - shape.start());
    [shape.volume() / side, side / long, long]
}

/// Minutes in the fire in all, of a blade as it goes in.
fn minutes(hot: &Hot, shape: &Blade, heats: u32) -> f64 {
    let each = |first| hot.stay.minutes(block(shape), first);
    if heats == 0 { 0.0 } else { each(true) + each(false) * f64::from(heats - 1) }
}

fn age<S: Sink>(cx: &Cx<S>, lot: &mut Lot, hot: &Hot, minutes: f64, burnt: f64) {
    let kept = lot.bar.sizes().map(|size| 1.0 - 2.0 * burnt / size);
    // What forging stretches the layers by from here on is little, and no further weld is made: they are taken as they are.
    effort::age(cx, &mut lot.bar, hot.window.from_c, [minutes; 3], kept, [1.0; 3]);
}

fn sum_up<S: Sink>(
    cx: &mut Cx<S>,
    lot: &Lot,
    hot: &Hot,
    shape: &Blade,
    (heats, fire, forged): (u32, f64, bool),
) {
    let lasts = || pace::seconds(&pace::cooling(block(shape), None, Contact::Ends), hot.window);
    let seconds = if forged { lasts() } else { Some(0.0) };
    let work = if forged { f64::from(heats) * (seconds.unwrap_or(0.0) + pace::CARRY_S) / 60.0 } else { 0.0 };
    let effort = Effort {
        heats: heats.saturating_mul(lot.count),
        minutes: (fire + work) * f64::from(lot.count),
        from_c: hot.window.from_c,
        stop_c: forged.then_some(hot.window.stop_c),
        seconds,
        ..Effort::default()
    };
    cx.book.effort(&effort);
}

/// How much of a blade's length a strip along it gives that is forged thinner, as a share: as stated, or what the strip would stretch by the
/// spread law with the tool along it, shared by the whole section. The strip: how thick before, how thick in the mean after, how tall after, mm.
///
/// # Errors
/// `share_out_of_range`.
pub fn elongation<S: Sink>(
    cx: &mut Cx<S>,
    work: Work,
    stated: Option<Q<Ratio>>,
    law: Law,
    section: &Station,
    (thick, mean, tall): (f64, f64, f64),
) -> Outcome<f64> {
    let longer = match stated {
        Some(q) => cx.get(q),
        None => {
            let spread = law.coefficient(section.width(), 1.0, 1.0).clamp(0.0, 1.0);
            let share = (tall * mean / section.area()).min(1.0);
            let longer = share * ((thick / mean).powf(1.0 - spread) - 1.0);
            let shown = || format!("{} %", trim_number(longer * 100.0, 1));
            let source = "spread law with the tool along, shared by the section: project figure";
            let what = if work.word.word == "bevel" {
                "elongation of a forged bevel"
            } else {
                "elongation of a forged fuller"
            };
            cx.book.assume(what, shown, source);
            longer
        }
    };
    if (0.0..=MOST_LONGER).contains(&longer) {
        return Ok(longer);
    }
    let span = stated.map_or(work.site, |q| cx.span(q));
    let message = format!("no {} lengthens a blade so", work.word.word);
    Err(Code::ShareOutOfRange
        .says(message)
        .at(span, cx.shown(longer, Kind::RATIO))
        .stops("a few per cent: common practice straightens the blade over the spine"))
}
