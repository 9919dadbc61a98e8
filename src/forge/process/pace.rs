//! How long a heat lasts, and how much forging goes into it: from these come the heats of a step.
//!
//! A bar cools as one body, by radiation and still air, and by what the dies take at each touch. Between leaving the
//! fire and its stop temperature there are so many seconds; a pass over the bar takes so many strokes of so long.

use crate::piece::Lot;
use crate::steel::laws::cooling::Cooling;
use crate::steel::laws::quadrature;
use crate::steel::laws::work::ideal_work_j;

use crate::forge::process::fire::{Hot, Window};
use crate::forge::process::grip::Contact;
use crate::forge::process::load;
use crate::forge::process::rig::Rig;
use crate::forge::words::shop::MachineKind;
use crate::forge::{Cx, Sink};

/// Log strain in one heat that is warned of: half of what hot torsion tests ran to with sound specimens, an equivalent strain of about 3 (Metals 2025, 15(2), 219,
/// abstract); the half is a project figure.
pub const MOST_STRAIN: f64 = 1.5;
/// From the fire to the first stroke, s (project figure).
pub const CARRY_S: f64 = 5.0;
/// Heat that passes between steel and a die that touches it, W/(m2 K): scale between them (from memory).
const TOUCH_W_M2K: f64 = 3000.0;
/// Length of a bar that an anvil's face carries, mm (project figure).
const ANVIL_MM: f64 = 100.0;
/// Share of the work that a press or mill spends on the steel: the overall 0.5 of the reference's worked example.
pub const EFFICIENCY: f64 = 0.5;
/// The least seconds that any heat is worth, s: a bar thinner than that would never be done (project figure).
const LEAST_S: f64 = 1.0;

/// How a bar of these sizes, mm, cools while a machine works it.
pub fn cooling(sizes: [f64; 3], rig: Option<&Rig>, contact: Contact) -> Cooling {
    let [t, w, l] = sizes;
    let surface = 2.0 * (t * w + t * l + w * l);
    let mut cooling = Cooling::in_still_air(t * w * l / surface);
    if let Some(rig) = rig {
        let touched = 2.0 * contact.area(w).min(t.max(w) * l);
        let share = (rig.touch_s() / rig.seconds()).min(1.0);
        cooling.convection_w_m2k += TOUCH_W_M2K * touched / surface * share;
        if rig.machine.kind == MachineKind::Hammer {
            cooling = cooling.on_anvil(w * l.min(ANVIL_MM) / surface);
        }
    }
    cooling
}

/// Seconds of work in one heat; nothing where the piece leaves the fire no hotter than where it should go back.
pub fn seconds(cooling: &Cooling, window: Window) -> Option<f64> {
    let lasts = (window.from_c > window.stop_c).then(|| cooling.time_s(window.from_c, window.stop_c));
    lasts.map(|lasts| (lasts - CARRY_S).max(LEAST_S)).filter(|lasts| lasts.is_finite())
}

/// Strokes that so much log strain takes on a bar of these sizes, mm: by passes over it, or by the work in it.
pub fn strokes(rig: &Rig, contact: Contact, [_, w, l]: [f64; 3], strain: f64, work_j: f64) -> f64 {
    let passes = strain / rig.pass() * contact.bites(w, l);
    rig.blow_j.map_or(passes, |blow| passes.max(work_j / blow))
}

/// Heats that a step takes, before any is counted twice for a bar longer than the fire; nothing where no heat lasts. What the skin of each heat takes need not be
/// forged.
pub fn heats<S: Sink>(
    cx: &mut Cx<S>,
    lot: &Lot,
    rig: &Rig,
    contact: Contact,
    end: [f64; 3],
    strain: f64,
    hot: &Hot,
) -> Option<f64> {
    let window = hot.window;
    let start = lot.bar.sizes();
    let mut sum = 0.0;
    for (x, weight) in quadrature::THREE {
        let mut sizes = start;
        for (size, end) in sizes.iter_mut().zip(end) {
            *size *= (end / *size).powf(x);
        }
        let [t, w, l] = sizes;
        let stress = load::stress(cx, lot.bar.node, window.middle(), rig.strain_rate(t));
        let work_j = ideal_work_j(t * w * l, stress, strain);
        let takes = strokes(rig, contact, sizes, strain, work_j) * rig.seconds();
        let heats = takes / seconds(&cooling(sizes, Some(rig), contact), window)?;
        let burnt = 2.0 * hot.skin.of(sizes, hot.stay.minutes(sizes, false)) / t;
        sum += weight * heats / (1.0 + heats * burnt / strain);
    }
    Some(sum)
}

/// How many trips each heat is, for a bar longer than the fire's hot zone or held in tongs.
pub fn trips<S: Sink>(cx: &Cx<S>, long: f64) -> u32 {
    let shop = &cx.ground.shop;
    let zone = shop.hot_zone.map_or(f64::INFINITY, |q| cx.get(q));
    let held = shop.tongs.map_or(0.0, |q| cx.get(q)).max(0.0);
    let reach = zone.min(if held > 0.0 { (long - held).max(0.25 * long) } else { long });
    if reach.is_nan() || reach <= 0.0 {
        return 1;
    }
    (long / reach - 1e-9).ceil().clamp(1.0, 20.0) as u32
}
