//! The rack after a build, as a file of recipes.

use std::fmt::Write as _;

use crate::quantity::{Kind, show, trim_number};
use crate::study::Kept;

use super::Page;

/// The rack as text in the language: a recipe for each lot, with its sizes in a comment.
#[must_use]
pub fn rack_text(page: &Page, kept: &[Kept]) -> String {
    let mut text = format!(
        "# The rack after {}: what is left over, each as a recipe that the next build can call:\n",
        page.name
    );
    text += "# `use` this file there, then write `stock spare = NAME()`. Strike out what you have taken.\n";
    text += "# What fire has done to a piece so far (coarse grain, a decarburised skin) is not written down here.\n";
    text += "# A layered piece is laid and welded once more on paper: do not count its heats, or its bars as steel to buy.\n";
    let mut steels: Vec<&String> = kept.iter().flat_map(|lot| &lot.steels).collect();
    steels.sort();
    steels.dedup();
    for (i, line) in steels.into_iter().enumerate() {
        let _ = writeln!(text, "{}{line}", if i == 0 { "\n" } else { "" });
    }
    for lot in kept {
        let [t, w, l] = [lot.bar.calliper_thick(), lot.bar.calliper_wide(), lot.bar.long]
            .map(|mm| show(mm, Kind::LENGTH, page.units));
        let mass = show(lot.bar.mass, Kind::MASS, page.units);
        let (bars, each) =
            if lot.count == 1 { ("1 bar".to_owned(), "") } else { (format!("{} bars", lot.count), " each") };
        let made = mix(page, lot);
        let _ = writeln!(text, "\n# {bars}, {t} x {w} x {l}, {mass}{each}, {made}.");
        match &lot.recipe {
            Ok(recipe) => text += recipe,
            Err(why) => {
                let _ = writeln!(text, "# {} cannot be written as a recipe of its own: {why}.", lot.name);
            }
        }
    }
    text
}

fn mix(page: &Page, lot: &Kept) -> String {
    let mut mix: Vec<_> = page.build.bench.makeup.mix(lot.bar.node).collect();
    mix.sort_by(|a, b| b.1.total_cmp(&a.1));
    let name = |id: crate::piece::SteelId| page.plan.ground.steels[id].name.as_str();
    match mix.as_slice() {
        [(only, _)] => format!("of {}", name(*only)),
        _ => {
            let parts: Vec<String> = mix
                .iter()
                .map(|(id, share)| format!("{} {} %", name(*id), trim_number(share * 100.0, 0)))
                .collect();
            format!("of {}", parts.join(" and "))
        }
    }
}
