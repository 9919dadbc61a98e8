//! Finishing a pressing step: sizes, makeup, book.

use crate::piece::{Cause, Lot, Measure, Section};
use crate::quantity::Kind;
use crate::source::{Diagnostic, Span};

use super::press::{Pressed, Way};
use super::{Cx, Fault, Sink, Work, fire};

/// Log strain a heat where the recipe and the shop leave the heats unsaid (project figure).
const STRAIN_PER_HEAT: f64 = 0.25;

/// Heats for a log strain, where nobody says: `ceil(E / 0.25)`, at least 1.
pub fn heats_for<S: Sink>(cx: &mut Cx<S>, strain: f64) -> u32 {
    // A hair of rounding above a whole number is no further heat.
    let heats = (strain / STRAIN_PER_HEAT - 1e-9).ceil().clamp(1.0, f64::from(fire::MOST_HEATS)) as u32;
    cx.book.assume("heats", || "one for each 0.25 of log strain".to_owned(), "project figure");
    heats
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
) -> Result<Lot, Fault> {
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
    fire::burn(cx, work.to, &mut lot, kept, volume, whole);
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
        cx.book.heats(pressed.heats.saturating_mul(lot.count));
        warn_short(cx, work, &lot);
        fire::warn_heavy(cx, pressed.heaviest, work.site.span);
    }
    cx.put(work.to, lot, work.site.span)?;
    Ok(lot)
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
        Diagnostic::warning(
            "short_to_hold",
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
        Diagnostic::warning(
            "skin_passed",
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
    let made = cx.ground.lots.get(work.from.0 as usize).map(|l| l.site).unwrap_or_default();
    Box::new(
        Diagnostic::fault(
            "already_smaller",
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
        let made = cx.ground.lots.get(work.from.0 as usize).map(|l| l.site).unwrap_or_default();
        let message = format!("`{name}` buckles when it is pressed this way");
        return Err(Box::new(
            Diagnostic::fault("buckles", message, site, text)
                .and(made, "it comes out of this step so slender")
                .help(format!(
                    "`{verb}` it while it is thicker: up to 3 thicknesses stand freely, 10 never do"
                )),
        ));
    }
    cx.book.warn(|| {
        let message = format!("`{name}` may buckle when it is pressed this way");
        Diagnostic::warning("may_buckle", message, site, text)
            .help("up to 3 thicknesses stand freely: guide it, or press it while it is thicker")
    });
    Ok(())
}
