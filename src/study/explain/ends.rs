//! What a bar's sizes hide at its ends: fishtails and laps of the forging, and the barrel of an upset bar.

use crate::piece::{Cause, LotId, Measure};
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
    build.lines.iter().filter_map(|line| barrel(build, line, units)).collect()
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
    use super::belly;

    #[test]
    fn a_barrel_holds_what_the_even_bar_does() {
        // The reference on deformation, 5.2, computed: face 60 and belly 64 hold as much as an even 62.695.
        assert!((belly(60.0, 62.695) - 64.0).abs() < 0.01);
        assert_eq!(belly(40.0, 40.0), 40.0);
    }
}
