//! How hard a piece is to press: flow stress of its layers, force of a bite, and the bite that a press can take.

use crate::piece::{Lot, LotId, NodeId};
use crate::quantity::{Kind, TONF, US_TONF, Units};
use crate::source::{Code, Span};
use crate::steel::laws::flow;
use crate::steel::laws::layered;
use crate::steel::laws::press_load;

use crate::forge::process::grip::Contact;
use crate::forge::process::rig::Rig;
use crate::forge::{Cx, Recall, Sink};

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
fn recalled<S: Sink>(cx: &mut Cx<S>, lot: LotId, node: NodeId, temp_c: f64, rate_per_s: f64) -> f64 {
    let mut mix = cx.makeup.mix(node);
    let (first, second, more) = (mix.next(), mix.next(), mix.next().is_some());
    drop(mix);
    let Some((one, share)) = first.filter(|_| !S::KEEPS && !more) else {
        return stress(cx, node, temp_c, rate_per_s);
    };
    let (of, steels) = ([temp_c, rate_per_s, share], [one.0, second.map_or(one.0, |(id, _)| id.0)]);
    if let Some(known) = cx.recalls[lot]
        && known.of.iter().zip(of).all(|(a, b)| a.to_bits() == b.to_bits())
        && known.steels == steels
    {
        return known.stress;
    }
    let stress = stress(cx, node, temp_c, rate_per_s);
    cx.recalls[lot] = Some(Recall { of, steels, stress });
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

/// Shortens a bite to what a press can push at the end of the step, and says so.
///
/// `end` is thickness and width then, mm; `temp_c` the heat at which it is judged.
pub fn fit<S: Sink>(
    cx: &mut Cx<S>,
    (of, lot): (LotId, &Lot),
    rig: Option<&Rig>,
    contact: Contact,
    [thick, wide]: [f64; 2],
    temp_c: f64,
    words: Span,
) -> Contact {
    let Some((rig, force)) = rig.and_then(|r| Some((r, r.force_kn?))) else { return contact };
    let stress = recalled(cx, of, lot.bar.node, temp_c, rig.strain_rate(thick));
    let Some(needs) = force_kn(contact, stress, wide, thick) else { return contact };
    if !needs.is_finite() || needs <= force {
        return contact;
    }
    let (made, asked, can) = match contact {
        Contact::Across { bite } => {
            let can = press_load::largest_bite_mm(force, stress, wide, thick).min(bite);
            (Contact::Across { bite: can }, bite, can)
        }
        Contact::Along { tool, long } => {
            let can = long * force / needs;
            (Contact::Along { tool, long: can }, long, can)
        }
        Contact::Rolls { .. } | Contact::Ends => return contact,
    };
    if S::KEEPS {
        let (asked, can) = (cx.mm(asked), cx.mm_within(can));
        let (at, rated) = (cx.shown(temp_c, Kind::TEMPERATURE), tonnes(force, cx.units));
        let needed = tonnes(needs * 1.005, cx.units);
        let machine = rig.machine.span;
        cx.book.warn(|| {
            Code::WeakPress
                .says("the press is too weak for this bite")
                .at(words, format!("{asked} of bar under the tool at {at} needs {needed}"))
                .and(machine, format!("rated {rated}"))
                .help(format!(
                "the run takes {can} at a time, so it spreads less; or work it hotter. Never push a press past its rating"
            ))
        });
    }
    made
}

/// A force as presses are rated: metric or US tons of force.
fn tonnes(kn: f64, units: Units) -> String {
    let (unit, word) = match units {
        Units::Metric => (TONF, "tonf"),
        Units::Inch => (US_TONF, "US tonf"),
    };
    format!("{} {word}", crate::quantity::trim_number(kn / unit, 1))
}
