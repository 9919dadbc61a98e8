//! One caution for each kind of work that a recipe meets. They never replace what comes first.

use super::page::{Page, Topic};
use crate::forge::Hazard;

/// What comes before anything that is said here.
pub const FIRST: &str =
    "local codes, the steel's data sheet, the machine's manual; gas, pressure, electrics: licensed hands";

/// The kinds of work.
const ALL: [Hazard; 15] = [
    Hazard::Stock,
    Hazard::Fire,
    Hazard::Weld,
    Hazard::Fluoride,
    Hazard::Sealed,
    Hazard::Press,
    Hazard::Saw,
    Hazard::Drill,
    Hazard::Grind,
    Hazard::Quench,
    Hazard::Bath,
    Hazard::Black,
    Hazard::Oven,
    Hazard::Twist,
    Hazard::Etch,
];

/// A caution: the work, and what to mind.
#[must_use]
pub fn caution(hazard: Hazard) -> (&'static str, &'static str) {
    match hazard {
        Hazard::Stock => ("stock", "never heat galvanised, plated or unknown scrap: its fumes poison"),
        Hazard::Fire => (
            "fire",
            "carbon monoxide has no smell: doors open, alarm on; extinguisher by, watch for an hour after",
        ),
        Hazard::Weld => (
            "first press of a stack",
            "flux spatters, loose strips fly: face shield, out of line with its ends",
        ),
        Hazard::Fluoride => (
            "fluoride flux",
            "its fumes hold hydrogen fluoride, which burns lungs and skin: draw them off, gloves, nothing to eat near it",
        ),
        Hazard::Sealed => (
            "sealed stack or can",
            "a vent of 2 mm, all dry: oil or water shut in bursts it; no galvanised or coated tube; mask (P100) where powder flies or a can is ground",
        ),
        Hazard::Press => (
            "press, hammer",
            "no hands in the dies, stop blocks tied, never past the rating; tall or short stacks fly",
        ),
        Hazard::Saw => ("saw", "clamp the work, guard on, eyes and ears covered"),
        Hazard::Drill => (
            "drill",
            "clamp it well, eyes covered, no gloves or sleeves near: a drill that bites throws the work",
        ),
        Hazard::Grind => {
            ("grinder", "eyes, ears, lungs: dust with nickel or chromium needs a mask and extraction")
        }
        Hazard::Quench => (
            "quench",
            "oil flares and burns: deep steel tank, tight lid, fit extinguisher, no water near it, oil not too hot",
        ),
        Hazard::Bath => (
            "quench in water",
            "steam and scalding splashes: gloves, long tongs, face shield; a blade may crack in it, at once or hours later",
        ),
        Hazard::Black => (
            "quench in air",
            "steel that no longer glows still burns for minutes: set it where nobody reaches, nothing near that catches fire",
        ),
        Hazard::Twist => {
            ("twist", "a sheared bar whips: stand aside, heat it evenly, stop at the first crack")
        }
        Hazard::Etch => (
            "etch",
            "acid into water, gloves and goggles, air; neutralise with bicarbonate; the spent bath is no drain water",
        ),
        Hazard::Oven => {
            ("oven", "blades come out hot enough to burn and look cold; no oil or fumes where food is cooked")
        }
    }
}

/// Whether it is told in full each time: what maims or burns down a shop is not left to memory.
#[must_use]
pub fn told_each_time(hazard: Hazard) -> bool {
    matches!(hazard, Hazard::Quench | Hazard::Bath | Hazard::Sealed | Hazard::Fluoride)
}

/// The page of all of them.
pub fn page() -> Page {
    let mut page = Page::new(Topic::Caution, "cautions", "what to mind at each kind of work");
    page.fact("before all", FIRST);
    for (work, mind) in ALL.map(caution) {
        page.fact(work, mind);
    }
    page
}
