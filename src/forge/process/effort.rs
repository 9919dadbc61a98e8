//! What a step asks of smith and machine: heats, minutes, strokes, force, work. All of it follows from the sizes that
//! the step went through; none of it changes them.

use crate::piece::{Bar, Lot};
use crate::quantity::show_count;
use crate::source::{Code, Span};
use crate::steel::laws::decarb;
use crate::steel::laws::diffusion::agren_m2_s;
use crate::steel::laws::work::ideal_work_j;

use crate::forge::process::fire::Hot;
use crate::forge::process::grip::{Contact, Grip};
use crate::forge::process::load;
use crate::forge::process::pace;
use crate::forge::process::press::{Pressed, Schedule, Way};
use crate::forge::process::rig::Rig;
use crate::forge::words::shop::MachineKind;
use crate::forge::{Cx, Effort, Sink};

/// How many times the heats stated the heats counted may be before it is worth a warning (project figure: the seconds of
/// a heat and of its strokes are not known better).
const OVER: f64 = 2.0;
/// A bar with a Biot number above this is not of one heat throughout (textbook limit of the lumped model).
const BIOT: f64 = 0.1;
/// How much longer a heat lasts than that of a body of one heat, as a share over the Biot number: flats of 12 to 40 mm in air by finite differences
/// (tests/oracle, anvil.csv).
const LONGER_BY_BIOT: f64 = 0.55;

/// How a step is worked: its fire, its grip, and what each of its heats is counted as.
#[derive(Clone, Copy, Debug)]
pub struct Shift<'a> {
    /// The fire.
    pub hot: Hot,
    /// The grip; none where nothing is forged.
    pub grip: Option<Grip<'a>>,
    /// Trips that each heat takes.
    pub trips: u32,
    /// Whether the press moves no more than a part of the bite that was asked.
    pub shortened: bool,
    /// Whether the heats were counted.
    pub counted: bool,
    /// Heats that the machine needs, trips and all, where anybody asks.
    pub needs: Option<u32>,
}

/// What the fire does to a bar besides burning it: carbon travels, the skin loses some, hardness goes.
///
/// `seen` are minutes in the fire along each axis, over the square of how far it had been forged by then; `kept` is what the fire
/// left of each size, `stretch` how far each was forged. Diffusivities are those of the mean carbon of the bar; in the skin of the faces, of
/// the layers that lie there.
pub fn age<S: Sink>(cx: &Cx<S>, bar: &mut Bar, at_c: f64, seen: [f64; 3], kept: [f64; 3], stretch: [f64; 3]) {
    bar.past.hard = None;
    if !S::KEEPS && !cx.ground.hardens {
        return;
    }
    let steels = &cx.ground.steels;
    let mean: f64 = cx.makeup.mix(bar.node).map(|(id, share)| share * steels[id].composition.c).sum();
    let [low, high] =
        cx.makeup.outside(bar.node, bar.thick).map(|id| id.map_or(mean, |id| steels[id].composition.c));
    let outer = f64::midpoint(low, high);
    // m2/s to mm2 a minute.
    let minute = 1e6 * 60.0;
    let sizes = bar.sizes();
    let past = &mut bar.past;
    past.soak(minute * agren_m2_s(at_c, mean), seen, stretch);
    let skins = [outer, mean].map(|carbon| minute * decarb::skin_m2_s(at_c, carbon));
    let axes = sizes.into_iter().zip(kept).zip(seen.into_iter().zip(stretch));
    for ((lost, skin), ((size, kept), (seen, stretch))) in past.lost.iter_mut().zip(skins).zip(axes) {
        // In the sizes that the step began with: pressing squeezes a skin as it does the bar.
        let grown = decarb::grown_mm(*lost, skin * seen, 0.5 * size * (1.0 - kept));
        *lost = stretch * grown.min(0.5 * size * kept);
    }
}

/// Sums up a step and writes it into the book; `lot` is the bars before it.
pub fn book<S: Sink>(
    cx: &mut Cx<S>,
    lot: &Lot,
    (schedule, pressed): (Schedule, &Pressed),
    way: Way,
    shift: &Shift,
    site: Span,
) {
    if !S::COUNTS {
        return;
    }
    let window = shift.hot.window;
    let trips = shift.trips;
    let grip = shift.grip;
    let rig = grip.and_then(|g| g.rig);
    let contact = grip.map(|g| g.contact);
    let [end, ..] = way.order(pressed.sizes);
    let rate = rig.map_or(1.0, |r| r.strain_rate(end));
    let stress = rig.map(|_| load::stress(cx, lot.bar.node, window.middle(), rate));
    // A piece is hardest to press where its heat ends.
    let peak = rig.map(|_| load::stress(cx, lot.bar.node, window.stop_c.min(window.from_c), rate));
    let [mut minutes, mut seconds, mut strokes, mut work, mut biot] = [0.0f64; 5];
    let (mut has, mut lasting, mut force) = (0.0, true, None::<f64>);
    // The same heats once more, under the eyes of whoever counts: the sizes are known to be sound.
    let _ = schedule.watch(pressed.of.1, |beat| {
        minutes += beat.minutes;
        if S::KEEPS && grip.is_some() {
            cx.book.heat(way.order(beat.pressed));
        }
        let Some(contact) = contact else { return };
        let hot = way.order(beat.hot);
        let cooling = pace::cooling(hot, rig.as_ref(), contact);
        biot = biot.max(cooling.biot(window.from_c));
        let lasts = pace::seconds(&cooling, window);
        lasting &= lasts.is_some();
        // Too cold to forge at: such a heat counts as nothing.
        let lasts = lasts.unwrap_or(0.0);
        has += lasts;
        if let (Some(rig), Some(stress), Some(peak)) = (&rig, stress, peak) {
            let [thick, wide, _] = way.order(beat.pressed);
            let strain = beat.worked.ln();
            let ideal = ideal_work_j(hot.iter().product(), stress, strain);
            let takes = pace::strokes(rig, contact, hot, strain, ideal);
            strokes += takes;
            work += ideal;
            seconds += (takes * rig.seconds()).min(lasts);
            let [thick, wide] = if way == Way::OnEdge { [wide, thick] } else { [thick, wide] };
            if let Some(kn) = load::force_kn(contact, peak, wide, thick) {
                force = Some(force.map_or(kn, |most| most.max(kn)));
            }
        } else {
            seconds += lasts;
        }
    });
    let all = f64::from(lot.count);
    let heats = pressed.heats.saturating_mul(trips).saturating_mul(lot.count);
    let spent_s = seconds + f64::from(pressed.heats) * if grip.is_some() { pace::CARRY_S } else { 0.0 };
    let press = rig.is_some_and(|r| r.machine.kind == MachineKind::Press);
    let effort = Effort {
        heats,
        each: pressed.heats,
        minutes: (minutes * f64::from(trips) + spent_s / 60.0) * all,
        from_c: window.from_c,
        stop_c: grip.map(|_| window.stop_c),
        seconds: lasting.then_some(seconds / f64::from(pressed.heats.max(1))),
        strokes: rig.map(|_| strokes * all),
        bite: contact.and_then(|c| match c {
            Contact::Across { bite } => Some(bite),
            Contact::Along { long, .. } => Some(long),
            Contact::Rolls { .. } | Contact::Ends => None,
        }),
        shortened: shift.shortened,
        // A press stalls at its rating.
        force_kn: force
            .filter(|_| press)
            .map(|kn| rig.and_then(|r| r.force_kn).map_or(kn, |rated| kn.min(rated))),
        energy_kj: rig.map(|_| work / pace::EFFICIENCY / 1000.0 * all),
        counted: shift.counted,
    };
    cx.book.effort(&effort);
    if !S::KEEPS || grip.is_none() {
        return;
    }
    let shown = || "one body by radiation and still air, less what the dies take".to_owned();
    let source =
        "Stefan-Boltzmann with emissivity 0.8; heat capacity by EN 1993-1-2; die contact from memory";
    cx.book.assume("cooling between heats", shown, source);
    if biot > BIOT {
        let longer = (LONGER_BY_BIOT * biot * 100.0).round();
        let shown = || {
            format!(
                "colder outside than inside (Biot number {biot:.2}): a heat lasts about {longer} % longer than told"
            )
        };
        cx.book.assume("one heat throughout", shown, "finite differences of flats; textbook limit 0.1");
    }
    if rig.is_some() {
        let pass = "15 % off the thickness, by a press 20 %; back to the fire where its steels should stop, welds at 1000 C";
        let source = "ingot practice, from memory; presses by common practice; stop by the forging tables";
        cx.book.assume("a pass over the bar", || pass.to_owned(), source);
    }
    let stated = show_count(u64::from(pressed.heats), "heat");
    let heats = f64::from(pressed.heats);
    // Where the heats last longer than told, fewer do.
    let lasts = if biot > BIOT { 1.0 + LONGER_BY_BIOT * biot } else { 1.0 };
    let Some(fewest) = shift.needs.filter(|fewest| f64::from(*fewest) > OVER * heats * lasts) else { return };
    let help = "state as many as it takes, or leave `heats` out; more of them also mean more scale";
    // What hangs on a figure that nobody stated is told so.
    let assumed = |rig: &Rig| match rig.machine.rate {
        Some(_) => String::new(),
        None => format!("; it goes by {}, which are assumed: state yours in the shop", rig.paced()),
    };
    match rig {
        Some(rig) if lasting => {
            let lasts = (has / heats).round();
            let each = rig.strokes((strokes / heats).ceil() as u64);
            cx.book.warn(|| {
                Code::FewHeats
                    .says(format!("this {} hardly gets so much done in so few heats", rig.word()))
                    .at(
                        site,
                        format!(
                            "{stated} would need {each} in each, which lasts some {lasts} s here; it would take about {fewest}"
                        ),
                    )
                    .and(rig.machine.span, "by this machine")
                    .help(format!("{help}{}", assumed(&rig)))
            });
        }
        // More than steel bears is told in its own words.
        None if pressed.squeezed.ln() <= pace::MOST_STRAIN * heats => cx.book.warn(|| {
            Code::FewHeats
                .says("so much in so few heats asks for a strong machine, and the shop states none")
                .at(
                    site,
                    format!("{stated}; {fewest} are usual, one for each 0.25 of log strain (project figure)"),
                )
                .help("state the machine in the shop, and its own count stands; or leave `heats` out")
        }),
        _ => {}
    }
}
