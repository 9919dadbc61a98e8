//! One caution for each kind of work that a recipe meets. They never replace what comes first.

use crate::forge::Hazard;
use crate::replay::{Allowed, Plan};

use super::Page;

/// What comes before anything that is printed here.
pub const FIRST: &str = "before all: local codes, the steel's data sheet, the machine's manual; gas, pressure, electrics: licensed hands";

fn text(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::Stock => "stock: never heat galvanised, plated or unknown scrap: its fumes poison",
        Hazard::Fire => {
            "fire: carbon monoxide has no smell: doors open, alarm on; extinguisher by, watch for an hour after"
        }
        Hazard::Weld => {
            "first press of a stack: flux spatters, loose strips fly: face shield, out of line with its ends"
        }
        Hazard::Press => {
            "press, hammer: no hands in the dies, stop blocks tied, never past the rating; tall or short stacks fly"
        }
        Hazard::Saw => "saw: clamp the work, guard on, eyes and ears covered",
        Hazard::Grind => {
            "grinder: eyes, ears, lungs: dust with nickel or chromium needs a mask and extraction"
        }
        Hazard::Quench => {
            "quench: oil flares and burns: deep steel tank, tight lid, fit extinguisher, no water near it, oil not too hot"
        }
        Hazard::Twist => "twist: a sheared bar whips: stand aside, heat it evenly, stop at the first crack",
        Hazard::Etch => {
            "etch: acid into water, gloves and goggles, air; neutralise with bicarbonate; the spent bath is no drain water"
        }
        Hazard::Oven => {
            "oven: blades come out hot enough to burn and look cold; no oil or fumes where food is cooked"
        }
    }
}

/// The cautions of a recipe, one line each.
pub fn lines(plan: &Plan) -> Vec<String> {
    let mut lines: Vec<String> = plan.hazards().into_iter().map(|h| text(h).to_owned()).collect();
    lines.push(FIRST.to_owned());
    lines
}

/// The warnings that the recipe answers, a line each.
pub fn allowed(page: &Page) -> String {
    let line = |allowed: &Allowed| {
        let place = page.files.place(allowed.span);
        format!("  allowed: {}, {} line {}: {}\n", allowed.name, place.file, place.line, allowed.reason)
    };
    page.verdict.allowed.iter().map(line).collect()
}
