//! Finishing a pressing step: sizes, makeup, book.

use crate::piece::{Cause, Lot, Measure, Section};
use crate::quantity::Kind;
use crate::source::{Code, Diagnostic, Span};
use crate::steel::laws::decarb;

use crate::forge::process::effort::{self, Shift};
use crate::forge::process::fire::{self, Heating};
use crate::forge::process::grip::Grip;
use crate::forge::process::load;
use crate::forge::process::pace;
use crate::forge::process::press::{Pressed, Way};
use crate::forge::process::skin;
use crate::forge::{Cx, Fault, Sink, Work};

/// Log strain a heat where neither recipe nor machine says (project figure).
const STRAIN_PER_HEAT: f64 = 0.25;
/// A bar that is forged is worked at least down to here, °C (low in the forging table).
const COLDEST: f64 = 800.0;

/// Lights the fire of a step and takes its grip, with the bite that the machine can push.
///
/// `end` is about the thickness and width that the step ends at, mm; `coldest` where a heat ends at the latest, °C.
///
/// # Errors
/// Too hot for a steel.
pub fn begin<'a, S: Sink>(
    cx: &mut Cx<'a, S>,
    work: Work,
    lot: &Lot,
    heating: &Heating,
    grip: Grip<'a>,
    end: [f64; 2],
    coldest: Option<f64>,
) -> Result<Shift<'a>, Fault> {
    let site = work.site.span;
    let hot = heating.fire(cx, lot, site, coldest.unwrap_or(COLDEST))?;
    if S::KEEPS {
        heating.warn_cold(cx, hot.window, site);
        warn_opening(cx, work, lot, &grip);
    }
    let contact =
        load::fit(cx, (work.from, lot), grip.rig.as_ref(), grip.contact, end, hot.window.middle(), site);
    Ok(Shift { hot, grip: Some(grip.with(contact)), trips: 1, counted: false })
}

/// Heats of a step that states none: counted from its machine, else one for each quarter of log strain.
///
/// `end` is about the sizes that the step ends at, mm; at least `least` heats.
pub fn heats_for<S: Sink>(
    cx: &mut Cx<S>,
    lot: &Lot,
    shift: &mut Shift,
    end: [f64; 3],
    strain: f64,
    least: u32,
) -> u32 {
    shift.counted = true;
    let rig = shift.grip.and_then(|g| Some((g.rig?, g.contact)));
    let heats = if let Some((rig, contact)) = rig {
        shift.trips = pace::trips(cx, lot.bar.long.max(end[2]));
        let shown = || "as many as its strokes need before the steel is cold".to_owned();
        cx.book.assume("heats", shown, "counted from the shop's machine");
        // A part of the bar at a time: each part is in the fire as often as its share of the work asks.
        pace::heats(cx, lot, &rig, contact, end, strain, shift.hot.window) / f64::from(shift.trips)
    } else {
        cx.book.assume("heats", || "one for each 0.25 of log strain".to_owned(), "project figure");
        strain / STRAIN_PER_HEAT
    };
    // A hair of rounding above a whole number is no further heat.
    (heats - 1e-9).ceil().clamp(f64::from(least.max(1)), f64::from(fire::MOST_HEATS)) as u32
}

/// Books a pressing step and puts the bars down.
///
/// # Errors
/// `out_of_range`.
pub fn finish<S: Sink>(
    cx: &mut Cx<S>,
    work: Work,
    lot: Lot,
    pressed: &Pressed,
    way: Way,
    section: Section,
    shift: &Shift,
) -> Result<Lot, Fault> {
    effort::book(cx, &lot, pressed, way, shift, work.site.span);
    let mut lot = lot;
    let volume = lot.bar.volume();
    let [t0, w0, _] = [lot.bar.calliper_thick(), lot.bar.calliper_wide(), 0.0];
    let (side_t, side_w) = (lot.bar.thick, lot.bar.wide);
    let sizes = way.order(pressed.sizes);
    let kept = way.order(pressed.kept);
    cx.book.origin(work.to, work.from);
    // What the whole bar would measure now, had nothing been burnt: tells what is too thin to be a layer.
    let mut whole = sizes;
    for (size, kept) in whole.iter_mut().zip(kept) {
        *size /= kept;
    }
    age(cx, &mut lot, pressed, way, whole, shift);
    skin::burn(cx, work.to, &mut lot, kept, volume, whole);
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
        warn_short(cx, work, &lot);
        skin::warn_heavy(cx, pressed.heaviest, work.site.span);
    }
    cx.put(work.to, lot, work.site.span)?;
    Ok(lot)
}

/// What the fire does to a bar besides burning it: carbon travels, the skin loses some, hardness goes.
fn age<S: Sink>(cx: &Cx<S>, lot: &mut Lot, pressed: &Pressed, way: Way, whole: [f64; 3], shift: &Shift) {
    let d_min = effort::diffusion_mm2_min(cx, lot.bar.node, shift.hot.window.from_c);
    let mut stretch = whole;
    for (stretch, start) in stretch.iter_mut().zip(lot.bar.sizes()) {
        *stretch /= start;
    }
    let past = &mut lot.bar.past;
    past.soak(d_min, way.order(pressed.seen), stretch);
    past.hard = None;
    let [first, each] = shift.hot.minutes;
    let minutes = first + each * f64::from(pressed.heats.saturating_sub(1));
    past.decarb = decarb::grown_mm(past.decarb, d_min * minutes, pressed.burnt);
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
    let site = work.site.span;
    cx.book.warn(|| {
        Diagnostic::new(
            Code::TooTall,
            format!("`{name}` does not go under the press"),
            site,
            format!("{tall} tall"),
        )
        .and(rig.machine.span, format!("it opens {room}"))
        .help("stack fewer or thinner bars")
    });
}

/// A piece shorter than this is hard to hold, mm (common practice).
const SHORT: f64 = 60.0;

/// Warns of a piece too short for the tongs.
pub fn warn_short<S: Sink>(cx: &mut Cx<S>, work: Work, lot: &Lot) {
    if lot.bar.long >= SHORT {
        return;
    }
    let (long, short) = (cx.mm(lot.bar.long), cx.mm(SHORT));
    let name = cx.ground.lot_name(work.to).to_owned();
    cx.book.warn(|| {
        Diagnostic::new(
            Code::ShortToHold,
            format!("`{name}` is short to hold"),
            work.site.span,
            format!("{long} long; under {short} the tongs have little grip"),
        )
        .help("weld a handle on, or work it longer and cut later")
    });
}

/// Warns where the skin alone went below the size asked.
pub fn warn_skin<S: Sink>(cx: &mut Cx<S>, work: Work, pressed: &Pressed, way: Way, asked: f64, words: Span) {
    if !pressed.skin_passed {
        return;
    }
    let [thick, ..] = pressed.sizes;
    let [took, ..] = pressed.moves.scale;
    let (asked, got, took) = (cx.mm(asked), cx.mm(thick), cx.mm(-took));
    let size = if way == Way::OnEdge { "width" } else { "thickness" };
    let heats = crate::quantity::show_count(u64::from(pressed.heats), "heat");
    let site = work.site.span;
    cx.book.warn(|| {
        Diagnostic::new(
            Code::SkinPassed,
            format!("the fire alone takes the {size} below what is asked"),
            words,
            format!("asked {asked}; after {heats} it is {got}, of which the skin took {took}"),
        )
        .and(site, "the step ends there")
        .help("fewer heats, or ask for a little less")
    });
}

/// The fault of a step that would have to make a bar bigger than it is.
pub fn not_smaller<S: Sink>(
    cx: &Cx<S>,
    asked: f64,
    has: f64,
    words: Span,
    work: Work,
    what: &str,
    way_out: &str,
) -> Fault {
    let (asked, has) = (cx.shown(asked, Kind::LENGTH), cx.shown(has, Kind::LENGTH));
    let name = cx.ground.lot_name(work.from);
    let made = cx.made(work.from);
    Box::new(
        Diagnostic::new(
            Code::AlreadySmaller,
            format!("`{name}` is already smaller than the {what} asked"),
            words,
            format!("asked {asked}; it is {has}"),
        )
        .and(made, format!("it comes out of this step at {has}"))
        .help(way_out.to_owned()),
    )
}

/// Width (or length) over thickness from which on a bar pressed that way may buckle: the upset rule of the
/// Forging Industry Association, 3 bar diameters free length; for a flat bar the smaller side stands for the
/// diameter (from memory).
const MAY_BUCKLE: f64 = 3.0;
/// And from which on it will (project figure).
const BUCKLES: f64 = 10.0;

/// Warns of a bar slender in the direction it is pressed; a very slender one is a fault.
///
/// # Errors
/// `buckles`.
pub fn slender<S: Sink>(
    cx: &mut Cx<S>,
    work: Work,
    verb: &str,
    size: f64,
    thick: f64,
    word: &str,
) -> Result<(), Fault> {
    let ratio = size / thick;
    if ratio <= MAY_BUCKLE {
        return Ok(());
    }
    let site = work.site.span;
    let name = cx.ground.lot_name(work.from).to_owned();
    let times = crate::quantity::trim_number(ratio, 1);
    let (size, thick) = (cx.mm(size), cx.mm(thick));
    let text = format!("{size} {word} on {thick}: {times} thicknesses");
    if ratio > BUCKLES {
        let made = cx.made(work.from);
        let message = format!("`{name}` buckles when it is pressed this way");
        return Err(Box::new(
            Diagnostic::new(Code::Buckles, message, site, text)
                .and(made, "it comes out of this step so slender")
                .help(format!(
                    "`{verb}` it while it is thicker: up to 3 thicknesses stand freely, 10 never do"
                )),
        ));
    }
    cx.book.warn(|| {
        let message = format!("`{name}` may buckle when it is pressed this way");
        Diagnostic::new(Code::MayBuckle, message, site, text)
            .help("up to 3 thicknesses stand freely: guide it, or press it while it is thicker")
    });
    Ok(())
}
