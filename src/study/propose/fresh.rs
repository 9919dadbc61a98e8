//! A starting recipe from a few figures: one pattern of steps, its stock and its last draw solved for.

use crate::forge::Act;
use crate::quantity::{Kind, Units, written};
use crate::workshop::Job;

use crate::study::explain::verdict::judge_with;
use crate::study::propose::mend::Mending;
use crate::study::solve::fill::first;

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

/// A way to the blade: what bars, how often restacked, drawn to what in between.
#[derive(Clone, Debug)]
struct Way {
    /// Width of the bars, mm.
    across: f64,
    /// Bars of the dark steel; one bright less.
    bars: u32,
    /// Pieces a cut, and how often.
    pieces: u32,
    restacks: u32,
    /// How thick the billet is drawn before it is cut, mm.
    between: f64,
    /// How thick the blade is drawn before it is widened and ground, mm: a round figure.
    last: f64,
}

/// Round figures in either unit.
struct Shelf {
    dark: f64,
    bright: f64,
    /// Widths of bars: from, to, step.
    wide: [f64; 3],
    /// Thicknesses that a billet is drawn to before a cut.
    between: [f64; 5],
}

impl Shelf {
    fn of(units: Units) -> Shelf {
        const IN: f64 = 25.4;
        match units {
            Units::Metric => {
                Shelf { dark: 3.0, bright: 1.5, wide: [20.0, 75.0, 5.0], between: [12.0, 9.0, 7.0, 6.0, 5.0] }
            }
            Units::Inch => Shelf {
                dark: IN / 8.0,
                bright: IN / 16.0,
                wide: [0.75 * IN, 3.0 * IN, IN / 8.0],
                between: [IN / 2.0, 3.0 * IN / 8.0, 5.0 * IN / 16.0, IN / 4.0, 3.0 * IN / 16.0],
            },
        }
    }
}

/// Every way that gives the layers from stacks that stand: no taller than wide. The fewest restacks first, then the fewest bars.
fn ways(wish: &Wish) -> Vec<Way> {
    let shelf = Shelf::of(wish.units);
    let [least, most, step] = shelf.wide;
    // About seven tenths of the blade's width leaves some for the spreading; a wide blade begins with wide bars.
    let mut widths: Vec<f64> =
        (0..).map(|n| least + f64::from(n) * step).take_while(|w| *w <= most).collect();
    let near = (0.7 * wish.width.0).clamp(least, most);
    widths.retain(|w| *w <= (1.15 * wish.width.0).max(least + 2.0 * step));
    widths.sort_by(|a, b| (a - near).abs().total_cmp(&(b - near).abs()));
    let rounding = if wish.units == Units::Inch { 25.4 / 64.0 } else { 0.1 };
    let mut found = Vec::new();
    for across in widths.into_iter().take(WIDTHS) {
        for restacks in 0..=3u32 {
            for pieces in if restacks == 0 { 1..=1 } else { 2..=4u32 } {
                let sheets = wish.layers.div_ceil(pieces.pow(restacks));
                let fewest = (sheets.div_ceil(2) + u32::from(sheets % 2 == 0)).max(2);
                let before = found.len();
                // Two to twelve bars go into a stack that one can hold (common practice): the fewest that are thick enough.
                for bars in fewest..=12 {
                    let tall = f64::from(bars) * shelf.dark + f64::from(bars - 1) * shelf.bright;
                    let fits =
                        |between: &&f64| f64::from(pieces) * **between <= across && **between <= 0.6 * tall;
                    let between = if restacks == 0 { Some(&0.0) } else { shelf.between.iter().find(fits) };
                    let Some(between) = between.filter(|_| tall <= across) else { continue };
                    // What the last stack comes to, pressed by 15 %: nothing is drawn thicker than that.
                    let stands = 0.85 * if restacks == 0 { tall } else { f64::from(pieces) * between };
                    let thin = |last: &f64| last * wish.thick.0 <= 0.95 * stands;
                    let round = |last: f64| (last * wish.thick.0 / rounding).ceil() * rounding;
                    // Of a thin blade several come to the same figure: each is one way.
                    let mut lasts: Vec<f64> = LAST.into_iter().filter(thin).map(round).collect();
                    lasts.dedup();
                    let way = |last| Way { across, bars, pieces, restacks, between: *between, last };
                    found.extend(lasts.into_iter().map(way));
                    if found.len() > before {
                        break;
                    }
                }
            }
        }
    }
    found.sort_by_key(|way| (way.restacks, way.bars));
    found
}

/// Widths of bars that are tried, and thicknesses before the last widening, as factors on the blade's.
const WIDTHS: usize = 6;
const LAST: [f64; 7] = [1.25, 1.4, 1.6, 1.9, 2.3, 2.8, 3.5];

fn text(wish: &Wish, way: &Way, press: &str, bar_length: &str) -> String {
    // Clean-up, margins, tolerances: round figures in either unit.
    let either = |metric: &'static str, inch: &'static str| match wish.units {
        Units::Metric => metric,
        Units::Inch => inch,
    };
    let size = |mm: f64| written(mm, Kind::LENGTH, wish.units);
    let shelf = Shelf::of(wish.units);
    let (dark, bright) = (size(shelf.dark), size(shelf.bright));
    let spare = either("4 mm", "3/16 in");
    let face = either("0.4 mm", "1/64 in");
    let crop = either("8 mm", "5/16 in");
    let kerf = either("2 mm", "3/32 in");
    let die = either("40 mm", "1 1/2 in");
    let peen = either("12 mm", "1/2 in");
    let long = either("1 mm", "1/32 in");
    let fire = either("1130 C", "2060 F");
    let tolerance = either("0.3 mm", "1/64 in");
    let Way { across, bars, pieces, restacks, between, last } = *way;
    let (across_mm, across) = (across, size(across));
    let last = size(last);
    let welded = [&format!("at {fire}"), "thinning 15 %", "heats 3"];
    let weld = Act::Weld.write("blade", &welded);
    let drawn = |to: &str, wide: &str| Act::Draw.write("blade", &[&format!("to {to} thick"), wide]);
    let stock = |name: &str, bars: u32, steel: &str, thick: &str| {
        let bars = crate::quantity::show_count(u64::from(bars), "bar");
        Act::Stock.write(name, &[&format!("{bars} of {steel}"), &format!("{thick} x across x bar-length")])
    };
    let mut made = format!(
        "# A blade blank of {bars} dark and {} bright bars{}. A starting point: change what you like, and\n\
         # ask `heatbook check` whether it still makes its spec, or `heatbook why width blade` where the width goes.\n\n\
         # What the blade should come to.\n\
         let blade-width  = {}\nlet blade-length = {}\nlet blade-thick  = {}\n\n\
         # What it is made from. Put `?` in the place of a figure, and `heatbook fill` finds the one that will do.\n\
         let across     = {across}\nlet bar-length = {bar_length}\nlet last-draw  = {last}\n\n\
         # Your own shop: what stands here goes into every figure.\n\
         shop {{\n  forge gas, {fire}\n  {press}, flat die {die}\n  kerf  {kerf}  # what the saw eats\n}}\n\n",
        bars - 1,
        match restacks {
            0 => String::new(),
            1 => format!(", cut into {pieces} and restacked"),
            2 => format!(", cut into {pieces} and restacked twice"),
            _ => format!(", cut into {pieces} and restacked three times"),
        },
        wish.width.1,
        wish.length.1,
        wish.thick.1,
    );
    made += &stock("dark  ", bars, &wish.dark, &dark);
    made += &stock("bright", bars - 1, &wish.bright, &bright);
    made += "\n# The stack, and its weld. Flux spatters and loose strips fly at the first press: face shield on.\n";
    made += &(Act::Stack.write("blade", &["alternate dark", "bright"]) + &weld);
    for n in 1..=restacks {
        made += &format!("\n# Restack {n}: {pieces} times the layers.\n");
        made += &drawn(&size(between), "across wide");
        made += &Act::Cut.write("blade", &[&format!("{crop} off each end")]);
        made += &Act::Grind.write("blade", &[&format!("faces {face}")]);
        made += &Act::Cut.write("blade", &[&format!("into {pieces}")]);
        made += &(Act::Stack.write("blade", &["blade"]) + &weld);
    }
    // A bar that is wide enough is drawn to its width, and a narrower one is widened behind that.
    let spare_mm = if wish.units == Units::Inch { 3.0 * 25.4 / 16.0 } else { 4.0 };
    if across_mm < wish.width.0 + spare_mm {
        made += "\n# To the blade's sizes: spreading gives width, drawing hardly any; what is over is ground off.\n";
        made += &drawn("last-draw", "across wide");
        made += &Act::Spread.write("blade", &[&format!("to blade-width + {spare} wide with peen {peen}")]);
    } else {
        made += "\n# To the blade's sizes; what is over is ground off.\n";
        made += &drawn("last-draw", &format!("blade-width + {spare} wide"));
    }
    made += &Act::Cut.write("blade", &[&format!("{crop} off each end")]);
    made += &Act::Grind.write("blade", &["to blade-thick thick", "to blade-width wide"]);
    made += &Act::Cut.write("blade", &["to blade-length long"]);
    made += &format!(
        "\ntarget blade {{\n  width     >= blade-width everywhere\n  length    = blade-length +- {long}\n  \
         thickness = blade-thick +- {tolerance}\n  layers    >= {}\n}}\n",
        wish.layers
    );
    made
}

/// Ways that are tried (project figure): each takes a search for the length of its bars.
const TRIES: usize = 240;

/// Presses of the shop that it begins with: that of many small shops, and one for wide blades (common practice).
const PRESSES: [&str; 2] = ["press 25 tonf", "press 50 tonf"];

/// Bars shorter than that are no good to hold (common practice: three inches and more), nor any longer than a man is tall, mm.
const BARS: [f64; 2] = [80.0, 1500.0];

/// A recipe that meets the wish, without a warning where one is found; `None` where this pattern of steps cannot.
#[must_use]
pub fn start(wish: &Wish) -> Option<String> {
    let mut second = None;
    let ways = ways(wish);
    let mut left: Vec<&Way> = ways.iter().take(TRIES).collect();
    for press in PRESSES {
        // What does not meet the wish with one press does not with another.
        let mut meet = Vec::new();
        for way in left {
            let Some((made, warnings)) = tried(wish, way, press) else { continue };
            if warnings == 0 {
                return Some(made);
            }
            meet.push(way);
            if second.as_ref().is_none_or(|(_, fewest)| warnings < *fewest) {
                second = Some((made, warnings));
            }
        }
        left = meet;
    }
    second.map(|(made, _)| made)
}

/// A way with the length of its bars, and how many warnings it has; `None` where it does not meet the wish.
fn tried(wish: &Wish, way: &Way, press: &str) -> Option<(String, usize)> {
    let [shortest, longest] = BARS;
    let asked = format!("? in {shortest} .. {longest} mm");
    let job = Job::alone("new", &text(wish, way, press, &asked)).ok().filter(|job| job.found.is_empty())?;
    let longer = |mm: &f64| Some((mm * 1.1).min(longest)).filter(|next| next > mm);
    let lengths: Vec<f64> = std::iter::successors(Some(shortest), longer).collect();
    let bar_length = first(&job.plan, &lengths)?;
    // More bar than it takes, to what one marks on a bar: spread laws are not that sure.
    let step = if wish.units == Units::Inch { 25.4 / 4.0 } else { 5.0 };
    let bar_length = (bar_length * 1.12 / step).ceil() * step;
    let made = text(wish, way, press, &written(bar_length, Kind::LENGTH, wish.units));
    let job = Job::alone("new", &made).ok().filter(|job| job.found.is_empty())?;
    let build = job.build(wish.units);
    let verdict = judge_with(&job.plan, &build, Vec::new(), wish.units, Mending::None);
    verdict.met.then_some((made, verdict.warnings.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_layers_as_wanted_and_no_stack_too_high() {
        for layers in 1..=300 {
            let size = |mm: f64| (mm, format!("{mm} mm"));
            let (dark, bright, units) = ("1084".to_owned(), "15N20".to_owned(), Units::Metric);
            let wish = Wish {
                width: size(58.0),
                length: size(250.0),
                thick: size(5.0),
                layers,
                dark,
                bright,
                units,
            };
            let all = ways(&wish);
            assert!(!all.is_empty(), "{layers}");
            for way in all {
                let tall = 3.0 * f64::from(way.bars) + 1.5 * f64::from(way.bars - 1);
                assert!((2 * way.bars - 1) * way.pieces.pow(way.restacks) >= layers, "{way:?}");
                assert!(
                    way.bars <= 12 && tall <= way.across && f64::from(way.pieces) * way.between <= way.across
                );
            }
        }
    }

    /// A blade as thin as paper: each way to it is tried once.
    #[test]
    fn no_way_is_tried_twice() {
        for (units, thick) in [(Units::Metric, 1e-9), (Units::Metric, 0.3), (Units::Inch, 5.0)] {
            let size = |mm: f64| (mm, format!("{mm} mm"));
            let (width, length, thick) = (size(58.0), size(250.0), size(thick));
            let (dark, bright) = ("1084".to_owned(), "15N20".to_owned());
            let wish = Wish { width, length, thick, layers: 50, dark, bright, units };
            let all: Vec<String> = ways(&wish).iter().map(|way| format!("{way:?}")).collect();
            let each: std::collections::BTreeSet<&String> = all.iter().collect();
            assert!(!all.is_empty() && all.len() == each.len(), "{} of {}", each.len(), all.len());
        }
    }

    /// Each thickness that a billet may be drawn to is less than the one before, and a shop sets it: whole mm, or sixteenths.
    #[test]
    fn billets_are_drawn_to_round_sizes_one_thinner_than_the_other() {
        for (units, round, thickest) in [(Units::Metric, 1.0, 12.0), (Units::Inch, 25.4 / 16.0, 12.7)] {
            let between = Shelf::of(units).between;
            assert!(
                between.windows(2).all(|pair| pair[0] > pair[1] && pair[1] > 0.3 * pair[0]),
                "{between:?}"
            );
            assert!(
                between.iter().all(|mm| (mm / round - (mm / round).round()).abs() < 1e-9 && *mm <= thickest)
            );
        }
    }
}
