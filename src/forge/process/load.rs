//! How hard a piece is to press: flow stress of its layers, force of a bite, and the bite that a press can take.

use crate::piece::{Lot, LotId, NodeId};
use crate::quantity::{Kind, TONF, US_TONF, Units, two_digit_step};
use crate::source::{Code, Span};
use crate::steel::laws::cooling::Cooling;
use crate::steel::laws::flow;
use crate::steel::laws::layered;
use crate::steel::laws::press_load;

use crate::forge::process::beyond;
use crate::forge::process::fire::Window;
use crate::forge::process::grip::Contact;
use crate::forge::process::rig::Rig;
use crate::forge::{Cx, Flow, Sink, Work};

/// A heat that stops sooner may be so much shorter than a bite would be, as heats are whole (project figure).
const NO_DEARER: f64 = 0.9;
/// From here on heat capacity falls as steel gets hotter, °C (EN 1993-1-2, 3.4.1.2).
const PEAK_C: f64 = 735.0;

/// Mean flow stress of a piece's layers, MPa, at a temperature, °C.
pub fn stress<S: Sink>(cx: &mut Cx<S>, node: NodeId, temp_c: f64, rate_per_s: f64) -> f64 {
    let limits = &cx.ground.limits;
    let mut plain = true;
    let pairs = cx.makeup.mix(node).map(|(id, share)| {
        let flow = limits[id].flow;
        plain &= flow.law() != flow::From::AsCarbonSteel;
        (share, flow.stress(temp_c, rate_per_s))
    });
    let mean = layered::mean_of_pairs(pairs);
    if S::KEEPS {
        let source = "Shida 1969, through a secondary carrier; own data where a steel has any";
        let shown = || "by carbon, heat and rate; layers by their shares".to_owned();
        cx.book.assume("flow stress", shown, source);
        if !plain {
            let shown = || "treated as carbon steel under the press".to_owned();
            cx.book.assume("nickel and chromium steels", shown, "no data");
        }
    }
    mean
}

/// The same, recalled from an earlier run where that one asked exactly this of the same lot.
///
/// `place`: at the end of a heat, or in its middle.
fn recalled<S: Sink>(
    cx: &mut Cx<S>,
    (lot, place): (LotId, usize),
    node: NodeId,
    temp_c: f64,
    rate_per_s: f64,
) -> f64 {
    let mut mix = cx.makeup.mix(node);
    let (first, second, more) = (mix.next(), mix.next(), mix.next().is_some());
    drop(mix);
    let Some((one, share)) = first.filter(|_| !S::KEEPS && !more) else {
        return stress(cx, node, temp_c, rate_per_s);
    };
    let (of, steels) = ([temp_c, rate_per_s, share], [one.0, second.map_or(one.0, |(id, _)| id.0)]);
    if let Some(known) = cx.recalls[lot].flow.get(place).copied().flatten()
        && known.of.iter().zip(of).all(|(a, b)| a.to_bits() == b.to_bits())
        && known.steels == steels
    {
        return known.stress;
    }
    let stress = stress(cx, node, temp_c, rate_per_s);
    if let Some(known) = cx.recalls[lot].flow.get_mut(place) {
        *known = Some(Flow { of, steels, stress });
    }
    stress
}

/// Force of one stroke, kN, on a bar of this width and thickness, mm.
pub fn force_kn(contact: Contact, stress_mpa: f64, wide: f64, thick: f64) -> Option<f64> {
    match contact {
        Contact::Across { bite } => Some(press_load::bite_force_kn(stress_mpa, wide, bite, thick)),
        Contact::Along { tool, long } => Some(press_load::along_force_kn(stress_mpa, tool, long, thick)),
        Contact::Rolls { .. } | Contact::Ends => None,
    }
}

/// Makes a bite one that a press can push until its heat ends, where the steel is hardest. One that it moves in the middle of the heat stays, and the heat stops
/// where it still moves, if that costs no more heats than a shorter bite; else the bite is shortened, and the run says so. Gives the bite, and where the heat stops, °C.
///
/// `thick` and `wide` are the bar's at the end of the step, mm.
pub fn fit<S: Sink>(
    cx: &mut Cx<S>,
    (work, lot): (Work, &Lot),
    rig: Option<&Rig>,
    contact: Contact,
    [thick, wide]: [f64; 2],
    window: Window,
    welds: bool,
) -> (Contact, f64) {
    let (of, stop_c) = (work.from, window.stop_c.min(window.from_c));
    let as_it_is = (contact, window.stop_c);
    let Some((rig, rated)) = rig.and_then(|r| Some((r, r.force_kn?))) else { return as_it_is };
    let rate = rig.strain_rate(thick);
    let hardest = recalled(cx, (of, 0), lot.bar.node, stop_c, rate);
    let Some(needs) = force_kn(contact, hardest, wide, thick) else { return as_it_is };
    if !needs.is_finite() || needs <= rated {
        return as_it_is;
    }
    let Some((made, asked, can)) = shorter(contact, rated, hardest, [thick, wide]) else { return as_it_is };
    let softer = recalled(cx, (of, 1), lot.bar.node, window.middle(), rate);
    // The force goes with the flow stress, whose logarithm is about straight over temperature on so short a way.
    let share = (needs / rated).ln() / (hardest / softer).ln();
    if (0.0..=1.0).contains(&share) {
        let sooner = stop_c + share * (window.middle() - stop_c);
        let air = Cooling::in_still_air(1.0);
        let mut enough = || {
            let heat = [window.from_c, stop_c];
            let known = cx.recalls[of].lasts.filter(|(of, _)| *of == heat);
            let (_, [whole, slowest]) = known
                .unwrap_or_else(|| (heat, [air.time_s(window.from_c, stop_c), air.seconds_per_k(stop_c)]));
            cx.recalls[of].lasts = Some((heat, [whole, slowest]));
            let least = NO_DEARER * can / asked * whole;
            // Above its peak of heat capacity a bar cools slowest where it is coldest: often that tells without an integral.
            (stop_c >= PEAK_C && whole - (sooner - stop_c) * slowest >= least)
                || air.time_s(window.from_c, sooner) >= least
        };
        // A weld is set by the first strokes of a heat.
        if welds || enough() {
            let shown = || "sooner, where the press no longer moves the bite".to_owned();
            cx.book.assume("stop of a heat", shown, "flow stress at the end of the heat, computed");
            return (contact, sooner);
        }
    }
    let slips = asked > beyond::FLATTEST_BITE * thick;
    warn_weak(cx, rig, [asked, can, needs, rated], (stop_c, slips), work.site);
    (made, window.stop_c)
}

fn warn_weak<S: Sink>(
    cx: &mut Cx<S>,
    rig: &Rig,
    [asked, can, needs, rated]: [f64; 4],
    (temp_c, slips): (f64, bool),
    words: Span,
) {
    if !S::KEEPS {
        return;
    }
    // Two digits: no more is known of a force, nor of what it moves; to the safe side.
    let two = |value: f64, unit: f64, round: fn(f64) -> f64| {
        let step = unit * two_digit_step(value / unit);
        round(value / step) * step
    };
    let force = if cx.units == Units::Inch { US_TONF } else { TONF };
    // A tape tells a 32nd, and no more is known.
    const MARK: f64 = 25.4 / 32.0;
    let can = match cx.units {
        Units::Inch if can >= MARK => (can / MARK).floor() * MARK,
        Units::Inch => two(can, 25.4, f64::floor),
        Units::Metric => two(can, 1.0, f64::floor),
    };
    let (asked, can) = (cx.mm(asked), cx.mm(can));
    let (at, rated) = (cx.shown(temp_c, Kind::TEMPERATURE), tonnes(rated, cx.units));
    let needed = tonnes(two(needs, force, f64::ceil), cx.units);
    let machine = rig.machine.span;
    // Outside the force law: see the limits of a flat bite.
    let less = if slips { ", up to a quarter less where it slips" } else { "" };
    cx.book.warn(|| {
        Code::WeakPress
            .says("the press is too weak for this bite")
            .at(words, format!("{asked} of bar under the tool at {at}, where the heat ends, needs about {needed}{less}; at its rating it presses about {can} of bar"))
            .and(machine, format!("rated {rated}"))
            .help(
                "the run takes so much at a time, and it spreads less (`bite` in the line says how much): never push a press past its rating",
            )
    });
}

/// The bite that a force moves at a flow stress, and its length before and then, mm.
fn shorter(contact: Contact, kn: f64, stress: f64, [thick, wide]: [f64; 2]) -> Option<(Contact, f64, f64)> {
    match contact {
        Contact::Across { bite } => {
            let can = press_load::largest_bite_mm(kn, stress, wide, thick).min(bite);
            Some((Contact::Across { bite: can }, bite, can))
        }
        Contact::Along { tool, long } => {
            let can = long * kn / force_kn(contact, stress, wide, thick)?;
            Some((Contact::Along { tool, long: can }, long, can))
        }
        Contact::Rolls { .. } | Contact::Ends => None,
    }
}

/// A force as presses are rated: metric or US tons of force.
fn tonnes(kn: f64, units: Units) -> String {
    let (unit, word) = match units {
        Units::Metric => (TONF, "tonf"),
        Units::Inch => (US_TONF, "US tonf"),
    };
    format!("{} {word}", crate::quantity::trim_number(kn / unit, 1))
}
