//! What a bar's sizes hide at its ends: fishtails and laps of the forging, and the barrel of an upset bar.

use crate::piece::{Cause, LotId, Measure, Section};
use crate::quantity::{Kind, Units, show};
use crate::replay::{Build, Line, Plan};
use crate::source::{Code, Diagnostic};
use crate::spec::{What, Zone};

/// What is cropped off both ends at the most, mm: 1 in each (common practice).
const CROPS_MM: f64 = 50.0;

/// Warns of a length that is asked of bars whose ends nobody planned to crop, and that leaves no room for it.
pub(super) fn rough(plan: &Plan, build: &Build) -> Vec<Diagnostic> {
    let lines = build.lines.iter().filter(|line| line.test.what == What::Length);
    let rough = lines.filter_map(|line| {
        let bar = &build.lot(line.lot)?.bar;
        let name = plan.ground.lot_name(line.lot);
        let judged = line.judged?;
        let room = judged.low.map_or(0.0, |low| judged.got - low);
        (bar.past.rough && bar.blade.is_none() && room < CROPS_MM).then(|| {
            Code::RoughEnds
                .says(format!("the ends of `{name}` were forged, and are not cropped"))
                .at(line.test.wanted, "this length hangs on them")
                .help(format!(
                    "crop them last, as in `cut {name} 8 mm off each end`: 6 to 25 mm are common practice"
                ))
        })
    });
    rough.collect()
}

/// Warns of sizes that are met by an upset bar told as even, and might not be by its ends or its belly.
pub(super) fn barrelled(build: &Build, units: Units) -> Vec<Diagnostic> {
    build
        .lines
        .iter()
        .filter_map(|line| barrel(build, line, units).or_else(|| bulge(build, line, units)))
        .collect()
}

/// A size that the last heat of a step left to spread freely: metal that sticks to the die stays behind that half-way between its faces.
fn bulge(build: &Build, line: &Line, units: Units) -> Option<Diagnostic> {
    let (what, across) = match line.test.what {
        What::Width => (Measure::Width, Measure::Thickness),
        What::Thickness => (Measure::Thickness, Measure::Width),
        _ => return None,
    };
    let bar = &build.lot(line.lot)?.bar;
    let plain = line.test.part.is_none() && bar.blade.is_none() && bar.section == Section::Flat;
    let judged = line.judged.filter(|j| j.met && plain)?;
    let freed = freed(build, line.lot, [what, across])?;
    let [own, faces] = freed.ground;
    let out = bulges_by(
        &freed,
        judged.got + own,
        faces + if what == Measure::Width { bar.thick } else { bar.wide },
    );
    let under = (2.0 * FILL * out - own).max(0.0);
    let over = if own > 0.0 { 0.0 } else { 2.0 * (1.0 - FILL) * out };
    let short = judged.low.is_some_and(|low| judged.got - under < low);
    let wide = judged.high.is_some_and(|high| judged.got + over > high);
    (short || wide).then(|| {
        let [under, over] = [under, over].map(|mm| show((10.0 * mm).ceil() / 10.0, Kind::LENGTH, units));
        let belly = if own > 0.0 { String::new() } else { format!(", {over} more half-way between them") };
        let got = show(judged.got, Kind::LENGTH, units);
        let size = what.word();
        Code::Barrelled
            .says("a bar that spreads freely bulges, and its sizes are told as if its sides were flat")
            .at(line.test.span, format!("{got} on the average: up to {under} less beside the faces{belly}"))
            .help(format!("ask for the {size} too in the last step, so that its sides are pressed flat, or leave so much room to grind them flat (geometry of faces that stick in the last heat; no law of bulging was found)"))
    })
}

fn barrel(build: &Build, line: &Line, units: Units) -> Option<Diagnostic> {
    let what = match line.test.what {
        What::Width => Measure::Width,
        What::Thickness => Measure::Thickness,
        _ => return None,
    };
    let bar = &build.lot(line.lot)?.bar;
    let judged = line.judged.filter(|j| j.met && line.test.part.is_none() && bar.blade.is_none())?;
    let [from, to] = line.test.zone.on(build.values(), bar.long);
    let grown = upset(build, line.lot, what)?;
    let under =
        if matches!(line.test.zone, Zone::Everywhere) || from <= 0.0 || to >= bar.long { grown } else { 0.0 };
    let over = belly(judged.got - grown, judged.got) - judged.got;
    let short = judged.low.is_some_and(|low| judged.got - under < low);
    let wide = judged.high.is_some_and(|high| judged.got + over > high);
    (short || wide).then(|| {
        let [under, over] = [grown, over].map(|mm| show((10.0 * mm).ceil() / 10.0, Kind::LENGTH, units));
        let got = show(judged.got, Kind::LENGTH, units);
        Code::Barrelled
            .says("an upset bar is barrelled, and its sizes are told as if it were even")
            .at(line.test.span, format!("{got} on the average: its ends may stay up to {under} under that, its middle get up to {over} over it"))
            .help("flatten its sides after it, with `draw` or `edge`, or leave so much room: ends that do not slip are the farthest that it goes (geometry, from memory; no law of barrelling was found)")
    })
}

/// What of the room between its ends and its top a bulge fills: a parabola (geometry).
const FILL: f64 = 2.0 / 3.0;

/// A size that was let spread, and what was ground off since.
struct Freed {
    /// What the step gained of it, mm.
    gained: f64,
    /// In how many heats.
    heats: u32,
    /// What was ground off it and off the size across it since, mm.
    ground: [f64; 2],
}

/// How far each side of a bar stands out half-way between its faces at the most, mm: the faces stick for all of the last heat, and no side gets rounder than
/// a half round. `size` and the one across it are as they came out of the step, mm.
fn bulges_by(freed: &Freed, size: f64, across: f64) -> f64 {
    let last = size * (1.0 - (1.0 - freed.gained / size).max(0.0).powf(1.0 / f64::from(freed.heats.max(1))));
    (0.5 * last / FILL).min(0.5 * across)
}

/// What the last step that pressed a bar gained of a size, where nothing has pressed its sides flat since.
fn freed(build: &Build, lot: LotId, [what, across]: [Measure; 2]) -> Option<Freed> {
    let (mut lot, mut ground) = (lot, [0.0; 2]);
    loop {
        let (mut gained, mut heats) = (0.0, 1);
        for entry in build.ledger.entries.iter().filter(|e| e.lot == lot && e.change.abs() > 1e-9) {
            match entry.cause {
                Cause::Ground if entry.what == what => ground[0] -= entry.change,
                Cause::Ground if entry.what == across => ground[1] -= entry.change,
                Cause::Spread if entry.what == what => {
                    gained += entry.change;
                    heats = build.ledger.effort_in(entry.step).map_or(1, |effort| effort.each);
                }
                Cause::Pressed | Cause::Edged | Cause::Upset if entry.what == what => return None,
                Cause::Turned | Cause::Stacked | Cause::Joined | Cause::Folded | Cause::Unexplained => {
                    return None;
                }
                _ => {}
            }
        }
        if gained > 0.0 {
            return Some(Freed { gained, heats, ground });
        }
        lot = *build.ledger.origins.get(&lot)?;
    }
}

/// Widest size of a barrel whose ends are `face` wide and that holds as much as an even bar, mm: `V = pi h (2 D^2 + d^2)/12` (from
/// memory; the law barrel-volume).
fn belly(face: f64, even: f64) -> f64 {
    ((3.0 * even * even - face * face) / 2.0).max(0.0).sqrt()
}

/// How much of a size was gained by upsetting, mm, where nothing flattened the bar or took its ends since.
fn upset(build: &Build, lot: LotId, what: Measure) -> Option<f64> {
    let mut lot = lot;
    loop {
        let mut gained = 0.0;
        for entry in build.ledger.entries.iter().filter(|e| e.lot == lot && e.change.abs() > 1e-9) {
            match entry.cause {
                Cause::Upset if entry.what == what => gained += entry.change,
                Cause::Pressed | Cause::Spread | Cause::Edged => return None,
                Cause::Kerf | Cause::Divided | Cause::Offcut if entry.what == Measure::Length => return None,
                _ => {}
            }
        }
        if gained > 0.0 {
            return Some(gained);
        }
        lot = *build.ledger.origins.get(&lot)?;
    }
}

#[cfg(test)]
mod tests {
    use super::{FILL, Freed, belly, bulges_by};

    #[test]
    fn a_barrel_holds_what_the_even_bar_does() {
        // The reference on deformation, 5.2, computed: face 60 and belly 64 hold as much as an even 62.695.
        assert!((belly(60.0, 62.695) - 64.0).abs() < 0.01);
        assert_eq!(belly(40.0, 40.0), 40.0);
    }

    #[test]
    fn a_bulge_holds_what_the_flat_side_does() {
        // 40 to 44 mm in one heat: the faces stay at 40, and a parabola of 3 mm on each side fills 2 mm of the mean.
        let freed = |gained, heats| Freed { gained, heats, ground: [0.0; 2] };
        let out = bulges_by(&freed(4.0, 1), 44.0, 20.0);
        assert!((out - 3.0).abs() < 1e-12 && (40.0 + 2.0 * FILL * out - 44.0).abs() < 1e-12, "{out}");
        // The last of two heats gains less than half of it or so; a thin bar gets no rounder than half round.
        let last = bulges_by(&freed(4.0, 2), 44.0, 20.0);
        assert!((last - 0.75 * 44.0 * (1.0 - (40.0f64 / 44.0).sqrt())).abs() < 1e-12, "{last}");
        assert_eq!(bulges_by(&freed(4.0, 1), 44.0, 3.0), 1.5);
    }
}
