//! A starting recipe from a few figures: one pattern of steps, its stock and its last draw solved for.

use crate::forge::Act;
use crate::quantity::{CLOSE, Kind, Units, rounded, written};
use crate::replay::build;
use crate::workshop::Job;

use crate::study::solve::fill::fill;
use crate::study::solve::runs::Least;

/// What the blade should come to.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Width, mm, and as the smith wrote it.
    pub width: (f64, String),
    /// Length, likewise.
    pub length: (f64, String),
    /// Thickness, likewise.
    pub thick: (f64, String),
    /// Fewest layers.
    pub layers: u32,
    /// The steel that etches dark, as it stands in a recipe.
    pub dark: String,
    /// The steel that stays bright.
    pub bright: String,
    /// In what the recipe is written.
    pub units: Units,
}

/// How the layers come about: bars of the dark steel (one bright less), pieces a cut, restacks.
fn pattern(layers: u32) -> Option<(u32, u32, u32)> {
    let mut found = Vec::new();
    for restacks in 0..=2u32 {
        for pieces in if restacks == 0 { 1..=1 } else { 2..=5u32 } {
            let sheets = layers.div_ceil(pieces.pow(restacks));
            let bars = sheets.div_ceil(2) + u32::from(sheets % 2 == 0);
            // Two to twelve bars go into a stack that one can hold (common practice).
            if bars <= 12 {
                found.push((restacks, pieces, bars.max(2)));
            }
        }
    }
    found.into_iter().min().map(|(restacks, pieces, bars)| (bars, pieces, restacks))
}

fn text(wish: &Wish, [bar_length, last]: [&str; 2], tight: bool) -> Option<String> {
    // Bar thicknesses, margins, clean-up, tolerances: round figures in either unit.
    let either = |metric: &'static str, inch: &'static str| match wish.units {
        Units::Metric => metric,
        Units::Inch => inch,
    };
    let dark = either("3 mm", "1/8 in");
    let bright = either("1.5 mm", "1/16 in");
    let spare = either("4 mm", "3/16 in");
    let face = either("0.4 mm", "1/64 in");
    let edge = either("1 mm", "1/32 in");
    let crop = either("8 mm", "5/16 in");
    let kerf = either("2 mm", "3/32 in");
    let die = either("40 mm", "1 1/2 in");
    let peen = either("12 mm", "1/2 in");
    let between = either("9 mm", "3/8 in");
    let long = either("1 mm", "1/32 in");
    let fire = either("1130 C", "2060 F");
    let tolerance = if tight { either("0.03 mm", "0.001 in") } else { either("0.3 mm", "1/64 in") };
    let (bars, pieces, restacks) = pattern(wish.layers)?;
    // Bars come in widths of 5 mm or 1/8 in; about two thirds of the blade's width leaves some for the spreading.
    let (step, widest) = if wish.units == Units::Inch { (25.4 / 8.0, 38.1) } else { (5.0, 40.0) };
    let across = ((0.65 * wish.width.0).clamp(15.0, widest) / step).round() * step;
    let across = written(across, Kind::LENGTH, wish.units);
    let welded = [&format!("at {fire}"), "thinning 15 %", "heats 3"];
    let weld = Act::Weld.write("blade", &welded);
    let drawn = |to: &str| Act::Draw.write("blade", &[&format!("to {to} thick"), "across wide"]);
    let stock = |name: &str, bars: u32, steel: &str, thick: &str| {
        Act::Stock
            .write(name, &[&format!("{bars} bars of {steel}"), &format!("{thick} x across x bar-length")])
    };
    let mut made = format!(
        "# A blade blank of {bars} dark and {} bright bars{}. A starting point: change what you like, and\n\
         # ask `heatbook check` whether it still makes its spec, or `heatbook why width blade` where the width goes.\n\n\
         # What the blade should come to.\n\
         let blade-width  = {}\nlet blade-length = {}\nlet blade-thick  = {}\n\n\
         # What it is made from. Put `?` in the place of a figure, and `heatbook fill` finds the one that will do.\n\
         let across     = {across}\nlet bar-length = {bar_length}\nlet last-draw  = {last}\n\n\
         # Your own shop: what stands here goes into every figure.\n\
         shop {{\n  forge gas, {fire}\n  press 25 tonf, flat die {die}\n  kerf  {kerf}  # what the saw eats\n}}\n\n",
        bars - 1,
        match restacks {
            0 => String::new(),
            1 => format!(", cut into {pieces} and restacked"),
            _ => format!(", cut into {pieces} and restacked twice"),
        },
        wish.width.1,
        wish.length.1,
        wish.thick.1,
    );
    made += &stock("dark  ", bars, &wish.dark, dark);
    made += &stock("bright", bars - 1, &wish.bright, bright);
    made += "\n# The stack, and its weld. Flux spatters and loose strips fly at the first press: face shield on.\n";
    made += &(Act::Stack.write("blade", &["alternate dark", "bright"]) + &weld);
    for n in 1..=restacks {
        made += &format!("\n# Restack {n}: {pieces} times the layers.\n");
        made += &drawn(between);
        made += &Act::Cut.write("blade", &[&format!("{crop} off each end")]);
        made += &Act::Grind.write("blade", &[&format!("faces {face}")]);
        made += &Act::Cut.write("blade", &[&format!("into {pieces}")]);
        made += &(Act::Stack.write("blade", &["blade"]) + &weld);
    }
    made += "\n# To the blade's sizes: spreading gives width, drawing hardly any.\n";
    made += &drawn("last-draw");
    made += &Act::Spread.write("blade", &[&format!("to blade-width + {spare} wide with peen {peen}")]);
    made += &Act::Grind.write("blade", &[&format!("faces {face}"), &format!("edges {edge}")]);
    made += &Act::Cut.write("blade", &["to blade-length long"]);
    made += &format!(
        "\ntarget blade {{\n  width     >= blade-width everywhere\n  length    = blade-length +- {long}\n  \
         thickness = blade-thick +- {tolerance}\n  layers    >= {}\n}}\n",
        wish.layers
    );
    Some(made)
}

/// A recipe that meets the wish; `None` where this pattern of steps cannot.
#[must_use]
pub fn start(wish: &Wish) -> Option<String> {
    // Bars shorter than 80 mm are no good to hold (common practice: three inches and more).
    let asked = ["? in 80 .. 1500 mm", "? in 1.1 * blade-thick .. 9 * blade-thick"];
    let plan = |source: &str| {
        let Job { plan, found, .. } = Job::alone("new", source).ok()?;
        found.is_empty().then_some(plan)
    };
    // Solved for close to the middle of what is allowed, so that the smith has the rest to spare.
    let question = plan(&text(wish, asked, true)?)?;
    let filled = fill(&question, Least::Steel)?;
    if !filled.outcome.met() {
        return None;
    }
    let ready = |bar_length: f64, last: f64| {
        let words = |v: f64| written(v, Kind::LENGTH, wish.units);
        let made = text(wish, [&words(bar_length), &words(last)], false)?;
        let plan = plan(&made)?;
        let build = build(&plan, &[], wish.units);
        let met = build.faults.is_empty() && build.lines.iter().all(|l| l.judged.is_some_and(|j| j.met));
        met.then_some(made)
    };
    let [bar_length, last] = <[f64; 2]>::try_from(filled.values).ok()?;
    // A little more bar than it takes, to what one marks on a bar.
    let step = if wish.units == Units::Inch { 25.4 / 4.0 } else { 5.0 };
    let bar_length = (bar_length * 1.03 / step).ceil() * step;
    let last = rounded(last, CLOSE, Kind::LENGTH, wish.units, |v| ready(bar_length, v).is_some());
    ready(bar_length, last)
}

#[cfg(test)]
mod tests {
    use super::pattern;

    #[test]
    fn as_many_layers_as_wanted_and_no_stack_too_high() {
        for layers in 1..=575 {
            let (bars, pieces, restacks) = pattern(layers).unwrap();
            assert!((2 * bars - 1) * pieces.pow(restacks) >= layers && bars <= 12, "{layers}");
        }
        // 23 sheets of 12 and 11 bars, cut in five and restacked twice, are the most.
        assert!(pattern(576).is_none());
    }
}
