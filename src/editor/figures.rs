//! What a piece measures and what a name stands for, in a few words.

use crate::language::{Sort, Thing};
use crate::piece::{Lot, LotId};
use crate::quantity::{Kind, Units, show, show_count};

use super::analysis::Analysis;

/// Thick x wide x long, the unit behind the last: `9 x 40 x 251.3 mm`.
pub fn sizes(lot: &Lot, units: Units) -> String {
    let bar = &lot.bar;
    let size = |mm: f64| show(mm, Kind::LENGTH, units);
    let (thick, wide, long) = (size(bar.calliper_thick()), size(bar.calliper_wide()), size(bar.long));
    let unit = long.rsplit_once(' ').map_or("", |(_, unit)| unit);
    let bare = |size: &str| size.trim_end_matches(unit).trim_end().to_owned();
    format!("{} x {} x {long}", bare(&thick), bare(&wide))
}

/// All that a calliper, a scale and an eye tell of a piece.
pub fn told(analysis: &Analysis, id: LotId) -> Option<String> {
    let lot = analysis.build.lot(id)?;
    let each = if lot.count == 1 { "" } else { " each" };
    let count = if lot.count == 1 { String::new() } else { format!("{} bars, ", lot.count) };
    let layers = analysis.build.bench.makeup.layers(lot.bar.node);
    let loose = if lot.bar.loose.is_some() { ", loose" } else { "" };
    Some(format!(
        "{count}{}, {}{each}, {}{loose}",
        sizes(lot, analysis.units),
        show(lot.bar.mass, Kind::MASS, analysis.units),
        show_count(layers, "layer"),
    ))
}

/// The pieces of a name that the step at a place gives (`true`), or else takes, run by run.
pub fn pieces_at(analysis: &Analysis, at: u32, name: &str) -> Vec<(LotId, bool)> {
    let named = |id: &&LotId| analysis.plan.ground.lot_name(**id) == name;
    let steps = analysis.steps_at(at).into_iter().filter_map(|i| analysis.plan.steps.get(i));
    let of = |s: &crate::replay::Planned| {
        let given = s.gives.iter().find(named).map(|id| (*id, true));
        given.or_else(|| s.takes.iter().find(named).map(|id| (*id, false)))
    };
    steps.filter_map(of).collect()
}

/// The figures that a `let` or a parameter stands for, each as shown: several where a recipe is called more than once.
pub fn values(analysis: &Analysis, thing: &Thing) -> Vec<String> {
    let index = analysis.index();
    let recipe =
        thing.scope.checked_sub(1).and_then(|at| index.recipes.get(at)).map(|(_, name)| name.as_str());
    let called = |prefix: &str| {
        // The address of a figure in a recipe begins with the piece that the call makes.
        let piece = prefix.rsplit(' ').next().unwrap_or(prefix);
        index.calls.iter().any(|(of, made)| Some(of.as_str()) == recipe && made == piece)
    };
    let mut found: Vec<String> = Vec::new();
    for (slot, info) in (0u32..).zip(&analysis.plan.slots) {
        let whole = info.address == thing.name;
        let inside = || info.address.strip_suffix(&thing.name).and_then(|p| p.strip_suffix(' '));
        let own = match recipe {
            None => whole && thing.sort == Sort::Let,
            Some(_) => inside().is_some_and(called),
        };
        if !own {
            continue;
        }
        let value = analysis.build.values().at(slot);
        let known = value.is_finite().then(|| show(value, info.kind, analysis.units));
        let told = known.unwrap_or_else(|| "not known yet".to_owned());
        if !found.contains(&told) {
            found.push(told);
        }
    }
    found
}
