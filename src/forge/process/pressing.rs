//! The skeleton of every step that presses: fire and grip, heats, the schedule, and the book.

use crate::piece::{Cause, Lot, Measure, Section};
use crate::source::{Code, Diagnostic, Span};
use crate::steel::laws::upset_rule::FREE_LENGTH;

use crate::forge::process::beyond;
use crate::forge::process::effort::{self, Shift};
use crate::forge::process::fire::{self, Heating, Hot, Window};
use crate::forge::process::grip::{Grip, Law};
use crate::forge::process::load;
use crate::forge::process::pace;
use crate::forge::process::press::{Aim, Pressed, Schedule, Way};
use crate::forge::process::skin;
use crate::forge::process::solid::{shell, take_off};
use crate::forge::words::sizes::{Only, Size, Sizes};
use crate::forge::words::tool::Tool;
use crate::forge::{Bag, Cx, Outcome, Sink, Work};

/// Log strain a heat where neither recipe nor machine says (project figure).
pub const STRAIN_PER_HEAT: f64 = 0.25;

/// Share of a bar that the fire may take in one step before it is warned of (project figure).
const EATEN: f64 = 0.25;

/// What a verb takes that presses a bar to one size.
#[derive(Debug)]
pub struct ToSize {
    /// The fire.
    pub heating: Heating,
    /// The tool.
    pub tool: Tool,
    /// The size.
    pub to: Size,
}

impl ToSize {
    /// Takes the clauses; `size` picks the one size.
    pub fn bind(bag: &mut Bag, size: fn(&Sizes) -> Option<Size>, only: &Only) -> Option<ToSize> {
        let sizes = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        let tool = Tool::bind(bag);
        let to = sizes.only(bag, size(&sizes), only);
        Some(ToSize { heating, tool, to: to? })
    }
}

/// A step that presses, its fire lit and its grip taken.
#[derive(Debug)]
pub struct Pressing<'a> {
    work: Work,
    lot: Lot,
    way: Way,
    shift: Shift<'a>,
    /// The spread law, with the bite that the machine can push.
    pub law: Law,
    /// Heats, where the step says so.
    pub stated: Option<u32>,
}

impl<'a> Pressing<'a> {
    /// Lights the fire of a step and takes its grip, with the bite that the machine can push.
    ///
    /// `end` is about the thickness and width that the step ends at, in the order in which it presses, mm.
    ///
    /// # Errors
    /// Too hot for a steel; `not_whole`.
    pub fn begin<S: Sink>(
        cx: &mut Cx<'a, S>,
        (work, lot): (Work, Lot),
        heating: &Heating,
        grip: Grip<'a>,
        way: Way,
        end: [f64; 2],
    ) -> Outcome<Self> {
        let site = work.site;
        can_be_held(cx, work, &lot)?;
        let hot = heating.fire(cx, work, &lot, true)?;
        if S::KEEPS {
            heating.warn_cold(cx, hot.window, site);
            warn_opening(cx, work, &lot, &grip);
        }
        let (rig, window) = (grip.rig.as_ref(), hot.window);
        let (contact, stop_c) = load::fit(cx, (work, &lot), rig, grip.contact, end, window, heating.welds);
        let hot = Hot { window: Window { stop_c, ..window }, ..hot };
        let shortened = contact != grip.contact;
        let grip = Grip { contact, ..grip };
        if S::KEEPS {
            let [thick, wide, _] = way.order(lot.bar.sizes());
            let grip = Grip { stated: grip.stated && !shortened, ..grip };
            beyond::tell(cx, work, &grip, heating.welds, [thick, wide], end);
        }
        let shift = Shift { hot, grip: Some(grip), trips: 1, shortened, counted: false, needs: None };
        Ok(Pressing { work, lot, way, shift, law: grip.law(), stated: heating.stated(cx)? })
    }

    /// A stay in the fire without forging.
    #[must_use]
    pub fn rest(work: Work, lot: Lot, hot: Hot) -> Self {
        let shift = Shift { hot, grip: None, trips: 1, shortened: false, counted: false, needs: None };
        Pressing { work, lot, way: Way::Flat, shift, law: Law::Fixed(0.0), stated: None }
    }

    /// Heats of the step: as stated, else counted from its machine, else (and where no heat lasts) one for each
    /// quarter of log strain.
    ///
    /// `way` gives about the sizes that the step ends at, mm, and the log strain until then; at least `least` heats.
    pub fn heats<S: Sink>(&mut self, cx: &mut Cx<S>, way: impl Fn() -> ([f64; 3], f64), least: u32) -> u32 {
        let rig = self.shift.grip.and_then(|g| Some((g.rig?, g.contact)));
        let mut counts = || {
            let ((rig, contact), (end, strain)) = (rig?, way());
            let heats = pace::heats(cx, &self.lot, &rig, contact, end, strain, &self.shift.hot)?;
            let trips = pace::trips(cx, self.lot.bar.long.max(end[2]));
            Some((heats / f64::from(trips), trips))
        };
        let whole = |heats: f64| {
            // A hair of rounding above a whole number is no further heat.
            (heats - 1e-9).ceil().clamp(f64::from(least.max(1)), f64::from(fire::MOST_HEATS)) as u32
        };
        if let Some(heats) = self.stated {
            if S::KEEPS {
                self.shift.needs = match rig {
                    Some(_) => counts().map(|(heats, trips)| whole(heats).saturating_mul(trips)),
                    None => {
                        let heats = (way().1 / STRAIN_PER_HEAT - 1e-9).ceil();
                        Some(heats.min(f64::from(fire::MOST_HEATS)) as u32)
                    }
                };
            }
            return heats;
        }
        self.shift.counted = true;
        let worked = counts().map(|(heats, trips)| {
            self.shift.trips = trips;
            let shown = || "as many as its strokes need before the steel is cold".to_owned();
            cx.book.assume("heats", shown, "counted from the shop's machine");
            // A part of the bar at a time: each part is in the fire as often as its share of the work asks.
            heats
        });
        let heats = worked.unwrap_or_else(|| {
            cx.book.assume("heats", || "one for each 0.25 of log strain".to_owned(), "project figure");
            way().1 / STRAIN_PER_HEAT
        });
        whole(heats)
    }

    /// So many heats where neither the step nor its machine says.
    pub fn usual<S: Sink>(&mut self, cx: &mut Cx<S>, what: &'static str, heats: u32) -> Option<u32> {
        if self.stated.is_some() || self.shift.grip.is_some_and(|g| g.rig.is_some()) {
            return None;
        }
        cx.book.assume(what, || heats.to_string(), "project figure");
        self.shift.counted = true;
        Some(heats)
    }

    /// The sizes that it starts from, in the order in which it presses, mm.
    #[must_use]
    pub fn sizes(&self) -> [f64; 3] {
        self.way.order(self.lot.bar.sizes())
    }

    /// The schedule of so many heats.
    #[must_use]
    pub fn schedule<S: Sink>(&self, _: &Cx<S>, heats: u32) -> Schedule {
        let (start, Hot { skin, stay, .. }) = (self.sizes(), self.shift.hot);
        Schedule { start, law: self.law, skin, heats, stay, books: S::KEEPS }
    }

    /// Works the schedule.
    ///
    /// # Errors
    /// Where the fire leaves nothing.
    pub fn press<S: Sink>(&self, cx: &Cx<S>, heats: u32, aim: Aim) -> Outcome<Pressed> {
        self.schedule(cx, heats).run(aim).map_err(|burnt| burnt.fault(cx, self.work.site))
    }

    /// Books the step and puts the bars down.
    ///
    /// # Errors
    /// `out_of_range`.
    pub fn finish<S: Sink>(&self, cx: &mut Cx<S>, pressed: &Pressed, section: Section) -> Outcome<Lot> {
        let Pressing { work, lot, way, shift, .. } = self;
        let mut lot = *lot;
        let schedule = self.schedule(cx, pressed.of.0);
        effort::book(cx, &lot, (schedule, pressed), *way, shift, work.site);
        let volume = lot.bar.volume();
        let (t0, w0) = (lot.bar.calliper_thick(), lot.bar.calliper_wide());
        let (side_t, side_w) = (lot.bar.thick, lot.bar.wide);
        let sizes = way.order(pressed.sizes);
        let kept = way.order(pressed.kept);
        cx.book.origin(work.to, work.from);
        // What the whole bar would measure now, had nothing been burnt: tells what is too thin to be a layer.
        let mut whole = sizes;
        for (size, kept) in whole.iter_mut().zip(kept) {
            *size /= kept;
        }
        let mut stretch = whole;
        for (stretch, start) in stretch.iter_mut().zip(lot.bar.sizes()) {
            *stretch /= start;
        }
        let seen = way.order(pressed.seen);
        effort::age(cx, &mut lot.bar, shift.hot.window.from_c, seen, kept, stretch);
        // Only a warning hangs on it.
        lot.bar.past.rough |= S::KEEPS && shift.grip.is_some();
        take_off(cx, work.to, &mut lot, shell(kept), Cause::Scale, volume, whole);
        [lot.bar.thick, lot.bar.wide, lot.bar.long] = sizes;
        lot.bar.section = section;
        lot.bar.loose = None;
        if S::KEEPS {
            let m = &pressed.moves;
            let by_cause = [
                (Cause::Scale, m.scale),
                (Cause::Pressed, m.pressed),
                (Cause::Spread, m.spread),
                (Cause::Edged, m.edged),
                (Cause::Upset, m.upset),
            ];
            for (cause, sums) in by_cause {
                let sums = way.order(sums);
                for (what, sum) in Measure::ALL.into_iter().zip(sums) {
                    cx.change(work.to, what, cause, sum);
                }
            }
            // Between round, octagon and flat the calliper meets another outline of the same steel.
            let (t1, w1) = (lot.bar.calliper_thick(), lot.bar.calliper_wide());
            cx.change(work.to, Measure::Thickness, Cause::Pressed, (t1 - t0) - (lot.bar.thick - side_t));
            cx.change(work.to, Measure::Width, Cause::Pressed, (w1 - w0) - (lot.bar.wide - side_w));
            warn_short(cx, *work, &lot);
            skin::warn_heavy(cx, pressed.heaviest, work.site);
            self.warn_eaten(cx, pressed);
            self.warn_much(cx, pressed, [self.lot.bar.sizes(), lot.bar.sizes()]);
        }
        cx.put(work.to, lot, work.site)?;
        Ok(lot)
    }

    /// Warns where the heats of a step take more of a bar than anyone would plan for.
    fn warn_eaten<S: Sink>(&self, cx: &mut Cx<S>, pressed: &Pressed) {
        let lost = 1.0 - pressed.kept.iter().product::<f64>();
        if lost <= EATEN || pressed.heats < 2 {
            return;
        }
        let heats = crate::quantity::show_count(u64::from(pressed.heats), "heat");
        let lost = crate::quantity::trim_number(lost * 100.0, 0);
        let site = self.work.site;
        cx.book.warn(|| {
            Code::FireEats
                .says("the fire eats this piece while it is forged")
                .at(site, format!("{heats}, {lost} % of it to scale"))
                .help("start thinner, with shorter stock, or on a faster machine")
        });
    }

    /// Warns where more is pressed in a heat than hot steel is known to bear.
    fn warn_much<S: Sink>(&self, cx: &mut Cx<S>, pressed: &Pressed, sizes: [[f64; 3]; 2]) {
        let each = pressed.squeezed.ln() / f64::from(pressed.heats.max(1));
        if each <= pace::MOST_STRAIN {
            return;
        }
        let [from, to] = sizes.map(|sizes| cx.mm(self.way.order(sizes)[0]));
        let heats = crate::quantity::show_count(u64::from(pressed.heats), "heat");
        let fewest = (pressed.squeezed.ln() / STRAIN_PER_HEAT).ceil();
        let each = crate::quantity::trim_number(each, 1);
        let site = self.work.site;
        cx.book.warn(|| {
            Code::MuchAtOnce
                .says("more in one heat than hot steel is known to bear")
                .at(site, format!("{from} to {to} in {heats}: log strain {each} in each; usual are {fewest}, one for each 0.25"))
                .help("hot torsion tests run to about 3 (Metals 2025, 15(2), 219); half of that, and 0.25, are project figures")
        });
    }

    /// Warns where the skin alone went below the size asked.
    pub fn warn_skin<S: Sink>(&self, cx: &mut Cx<S>, pressed: &Pressed, asked: f64, words: Span) {
        if !pressed.skin_passed {
            return;
        }
        let [thick, ..] = pressed.sizes;
        let [took, ..] = pressed.moves.scale;
        let (asked, got, took) = (cx.mm(asked), cx.mm(thick), cx.mm(-took));
        let size = if self.way == Way::OnEdge { "width" } else { "thickness" };
        let heats = crate::quantity::show_count(u64::from(pressed.heats), "heat");
        let site = self.work.site;
        cx.book.warn(|| {
            Code::SkinPassed
                .says(format!("the fire alone takes the {size} below what is asked"))
                .at(words, format!("asked {asked}; after {heats} it is {got}, of which the skin took {took}"))
                .and(site, "the step ends there")
                .help("fewer heats, or ask for a little less")
        });
    }
}

/// Warns of a piece that does not go under its press.
fn warn_opening<S: Sink>(cx: &mut Cx<S>, work: Work, lot: &Lot, grip: &Grip) {
    let Some((rig, opening)) = grip.rig.and_then(|r| Some((r, r.machine.opening?))) else { return };
    let room = cx.get(opening);
    if lot.bar.thick <= room {
        return;
    }
    let (tall, room) = (cx.mm(lot.bar.thick), cx.mm(room));
    let name = cx.ground.lot_name(work.from).to_owned();
    let site = work.site;
    cx.book.warn(|| {
        Code::TooTall
            .says(format!("`{name}` does not go under the press"))
            .at(site, format!("{tall} tall"))
            .and(rig.machine.span, format!("it opens {room}"))
            .help("stack fewer or thinner bars")
    });
}

/// A piece shorter than this is hard to hold, mm (common practice).
const SHORT: f64 = 60.0;

/// A piece shorter than this lies under a die as a crumb does, mm (project figure: less than any strip of shim stock is wide).
const CRUMB: f64 = 1.0;

/// Makes sure that a piece is long enough to be a piece.
///
/// # Errors
/// `too_short_to_hold`.
fn can_be_held<S: Sink>(cx: &Cx<S>, work: Work, lot: &Lot) -> Outcome {
    if lot.bar.long >= CRUMB {
        return Ok(());
    }
    let (long, least) = (cx.mm(lot.bar.long), cx.mm(CRUMB));
    let name = cx.ground.lot_name(work.from);
    Err(Code::TooShortToHold
        .says(format!("`{name}` is too short to forge"))
        .at(work.site, format!("it comes {long} long to this step; under {least} there is nothing to hold"))
        .stops("draw it out before it is cut or folded again, or cut and fold it less often"))
}

/// Warns of a piece too short for the tongs.
pub fn warn_short<S: Sink>(cx: &mut Cx<S>, work: Work, lot: &Lot) {
    if lot.bar.long >= SHORT {
        return;
    }
    let (long, short) = (cx.mm(lot.bar.long), cx.mm(SHORT));
    let name = cx.ground.lot_name(work.to).to_owned();
    cx.book.warn(|| {
        Code::ShortToHold
            .says(format!("`{name}` is short to hold"))
            .at(work.site, format!("{long} long; under {short} the tongs have little grip"))
            .help("weld a handle on, or work it longer and cut later")
    });
}

/// Makes sure that a step that only makes a bar smaller is not asked for more than there is, mm.
///
/// # Errors
/// `already_smaller`.
pub fn no_bigger<S: Sink>(
    cx: &Cx<S>,
    work: Work,
    (asked, words): (f64, Span),
    has: f64,
    what: &str,
    way_out: &str,
) -> Outcome {
    if asked <= has * (1.0 + 1e-12) {
        return Ok(());
    }
    let (asked, has) = (cx.mm(asked), cx.mm(has));
    let name = cx.ground.lot_name(work.from);
    Err(Code::AlreadySmaller
        .says(format!("`{name}` is already smaller than the {what} asked"))
        .at(words, format!("asked {asked}; it is {has}"))
        .and(cx.made(work.from), format!("it comes out of this step at {has}"))
        .stops(way_out.to_owned()))
}

/// Slenderness from which on a bar buckles for sure; from [`FREE_LENGTH`] on it may (project figure).
const BUCKLES: f64 = 10.0;

/// Warns of a bar slender in the direction it is pressed; a very slender one is a fault.
///
/// # Errors
/// `buckles`.
pub fn slender<S: Sink>(cx: &mut Cx<S>, work: Work, size: f64, thick: f64, word: &str) -> Outcome {
    let ratio = size / thick;
    if ratio <= FREE_LENGTH {
        return Ok(());
    }
    let site = work.site;
    let name = cx.ground.lot_name(work.from).to_owned();
    let times = crate::quantity::trim_number(ratio, 1);
    let (size, thick) = (cx.mm(size), cx.mm(thick));
    let text = format!("{size} {word} on {thick}: {times} thicknesses");
    if ratio > BUCKLES {
        let verb = work.word.word;
        let message = format!("`{name}` buckles when it is pressed this way");
        return Err(Diagnostic::new(Code::Buckles, message, site, text)
            .and(cx.made(work.from), "it comes out of this step so slender")
            .stops(format!(
                "`{verb}` it while it is thicker: up to 3 thicknesses stand freely, 10 never do"
            )));
    }
    cx.book.warn(|| {
        let message = format!("`{name}` may buckle when it is pressed this way");
        Diagnostic::new(Code::MayBuckle, message, site, text)
            .help("up to 3 thicknesses stand freely: guide it, or press it while it is thicker")
    });
    Ok(())
}
