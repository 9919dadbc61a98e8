//! Builds that miss and can be saved, by the way they were made; builds that cannot.

use std::fmt::Write as _;

use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;

use crate::common::{Worked, check, ways};
use heatbook::study::Ways;

/// Steps worked for one build at the most, as steps of a bar: about two seconds on a slow core.
const WORK: usize = 600_000;

/// A recipe in pieces: the lines that one changes, and those that stay.
struct Recipe {
    head: String,
    steps: Vec<String>,
}

impl Recipe {
    fn text(&self, targets: &str) -> String {
        format!("{}{}{targets}", self.head, self.steps.concat())
    }
}

/// A knife's billet as many a shop makes it: stack, weld, draw, perhaps restack, draw, spread, grind, cut.
fn sound(rng: &mut Pcg64Mcg) -> Recipe {
    let mut pick = |of: u64| rng.random_range(0..of);
    let (bars, wide, long) = (4 + pick(4), 26 + 2 * pick(6), 130 + 10 * pick(7));
    let head = format!(
        "shop {{\n  press 80 tonf, flat die 40 mm\n  kerf 2 mm\n  scale 0.05 mm per heat\n}}\n\
         stock dark = {bars} bars of 1084, 3 x {wide} x {long} mm\n\
         stock bright = {} bars of 15N20, 1.5 x {wide} x {long} mm\n\
         stack blade = alternate dark, bright\nweld blade at 1130 C, thinning 15 %\n",
        bars - 1
    );
    let mut steps = vec![format!("draw blade to {} mm thick\n", 9 + pick(4))];
    let restacked = pick(2) == 0;
    if restacked {
        steps.push("cut blade 8 mm off each end\n".to_owned());
        steps.push(format!(
            "cut blade into {}\nstack blade = blade\nweld blade at 1130 C, thinning 12 %\n",
            2 + pick(3)
        ));
        steps.push(format!("draw blade to {} mm thick\n", 7 + pick(3)));
    }
    steps.push(format!("draw blade to {}.{} mm thick\n", 5 + pick(2), pick(10)));
    steps.push(format!(
        "spread blade to {} mm wide with peen 12 mm\n",
        wide + if restacked { 24 } else { 12 } + pick(10)
    ));
    steps.push("grind blade faces 0.3 mm, edges 1 mm\n".to_owned());
    Recipe { head, steps }
}

/// What the sound recipe comes to with some room, as a target.
fn targets(made: &Worked, room: f64) -> String {
    let bar = made.bar_of("blade");
    let layers = made.build.bench.makeup.layers(bar.node);
    format!(
        "target blade {{\n  width >= {:.1} mm everywhere\n  thickness {:.2} .. {:.2} mm\n  length >= {:.1} mm\n  layers >= {layers}\n}}\n",
        bar.wide * (1.0 - room),
        bar.thick * (1.0 - room),
        bar.thick * (1.0 + room),
        bar.long * (1.0 - room),
    )
}

/// The same with up to three steps left out or done to another figure; `measured`: left out only, and all before them is done.
fn spoilt(recipe: &Recipe, rng: &mut Pcg64Mcg, measured: bool) -> Recipe {
    let mut pick = |of: usize| rng.random_range(0..of as u64) as usize;
    let mut steps = recipe.steps.clone();
    if measured {
        // Either the restack, and perhaps what follows it, or up to three of the last steps.
        let restack = steps.iter().position(|s| s.starts_with("cut blade into")).filter(|_| pick(2) == 0);
        let count = if restack.is_some() { 1 + pick(2) } else { 1 + pick(3) }.min(steps.len() - 2);
        let at = restack.unwrap_or(steps.len() - 1 - count);
        steps.drain(at..at + count);
        let made = check(&format!("{}{}", recipe.head, steps[..at].concat()));
        let bar = made.bar_of("blade");
        let reading = format!(
            "measure blade: {:.2} mm thick, {:.1} mm wide, {:.0} mm long\n",
            bar.thick, bar.wide, bar.long
        );
        steps.insert(at, reading);
    } else {
        for _ in 0..=pick(3) {
            let at = pick(steps.len());
            let spoilt = steps[at].clone();
            steps[at] = match pick(3) {
                0 if !spoilt.starts_with("grind") => String::new(),
                1 if spoilt.starts_with("grind") => "grind blade faces 0.9 mm, edges 3 mm\n".to_owned(),
                1 if spoilt.starts_with("cut blade 8") => "cut blade 25 mm off each end\n".to_owned(),
                _ => spoilt,
            };
        }
    }
    Recipe { head: recipe.head.clone(), steps }
}

/// How many of how many: all of them where it may take long.
fn so_many(all: usize, usual: usize) -> usize {
    if std::env::var_os("HEATBOOK_LONG").is_some() { all } else { usual }
}

/// A recipe that misses its targets and has no other fault, and the ways out of it, found soon.
fn missed(text: &str) -> Option<(Worked, Ways)> {
    let worked = check(text);
    let faults = worked.faults();
    if faults.is_empty() || faults.iter().any(|code| *code != "target_missed") {
        return None;
    }
    let found = ways(&worked, text);
    assert!(found.work <= WORK, "{} steps: {text}", found.work);
    Some((worked, found))
}

#[test]
fn builds_that_can_be_saved_are_saved() {
    let wanted = so_many(60, 6);
    let mut rng = Pcg64Mcg::seed_from_u64(16);
    let (mut tried, mut saved, mut lost) = (0, 0, String::new());
    for turn in 0..2_000 {
        if tried == wanted {
            break;
        }
        let recipe = sound(&mut rng);
        let good = check(&recipe.text(""));
        if !good.faults().is_empty() {
            continue;
        }
        let targets = targets(&good, 0.04);
        let text = spoilt(&recipe, &mut rng, turn % 2 == 0).text(&targets);
        let Some((worked, found)) = missed(&text) else { continue };
        tried += 1;
        for way in &found.ways {
            let rescued = way.written_into(&text, 0).unwrap();
            let again = check(&rescued);
            assert!(way.met && again.verdict.met, "{}: {:?}\n{rescued}", way.title, again.faults());
            let (heats, _) = again.build.ledger.totals();
            let (before, _) = worked.build.ledger.totals();
            assert_eq!(way.heats, f64::from(heats) - f64::from(before), "{}", way.title);
        }
        if found.ways.is_empty() {
            let _ = writeln!(
                lost,
                "--- {} tried, {} steps\n{text}{:?}",
                found.tried,
                found.work,
                worked.build.lines.iter().map(|l| l.judged.map(|j| (j.got, j.margin))).collect::<Vec<_>>()
            );
        } else {
            saved += 1;
        }
        if std::env::var_os("HEATBOOK_LONG").is_some() {
            println!(
                "{turn}: {} tried, {} steps, {:?}",
                found.tried,
                found.work,
                found.ways.iter().map(|w| (&w.title, w.hours)).collect::<Vec<_>>()
            );
        }
    }
    assert_eq!(tried, wanted);
    assert!(saved * 10 >= tried * 9, "{saved} of {tried}\n{lost}");
}

/// A build that cannot be saved, and why, by the way it is made.
fn hopeless(rng: &mut Pcg64Mcg, kind: usize) -> (String, &'static str) {
    let recipe = sound(rng);
    let made = check(&recipe.text(""));
    let bar = made.bar_of("blade");
    let layers = made.build.bench.makeup.layers(bar.node);
    let more = 1.0 + 0.01 * f64::from(rng.random_range(6..20_u32));
    let (lines, why) = match kind {
        // Nothing is forged or welded on a hardened piece, and grinding makes none wider.
        0 => {
            let mut hard = recipe.steps.concat();
            let _ = write!(
                hard,
                "harden blade from 815 C in oil\nmeasure blade: {:.2} mm thick, {:.1} mm wide, {:.0} mm long\n",
                bar.thick, bar.wide, bar.long
            );
            let target = format!("target blade {{\n  width >= {:.1} mm everywhere\n}}\n", bar.wide * more);
            return (format!("{}{hard}{target}", recipe.head), "hardened");
        }
        1 => (format!("layers <= {}", layers - 1), "layers never fall"),
        2 => (
            format!(
                "width >= {:.1} mm everywhere\n  width <= {:.1} mm everywhere",
                bar.wide * more,
                bar.wide * 1.02
            ),
            "the same width",
        ),
        // 7.8 g in a cm3 is what any steel here weighs at the least.
        _ => (
            format!(
                "thickness >= {0:.2} mm\n  width >= {1:.1} mm everywhere\n  length >= {2:.1} mm\n  mass <= {3:.0} g",
                bar.thick * more,
                bar.wide,
                bar.long,
                bar.thick * bar.wide * bar.long * more * 7.2e-3
            ),
            "of steel at the least",
        ),
    };
    (recipe.text(&format!("target blade {{\n  {lines}\n}}\n")), why)
}

#[test]
fn of_builds_that_cannot_be_saved_none_is() {
    let wanted = so_many(20, 4);
    let mut rng = Pcg64Mcg::seed_from_u64(17);
    let mut tried = 0;
    for _ in 0..500 {
        if tried == wanted {
            break;
        }
        let (text, why) = hopeless(&mut rng, tried % 4);
        let Some((_, found)) = missed(&text) else { continue };
        tried += 1;
        assert!(found.ways.is_empty(), "{:?}\n{text}", found.ways);
        assert!(found.never.as_ref().is_some_and(|n| n.contains(why)), "{why}: {:?}\n{text}", found.never);
    }
    assert_eq!(tried, wanted);
}

/// Where no way is found, what the steel does come to is asked for: with the target moved, the recipe passes a plain check.
#[test]
fn the_customer_is_asked_for_what_the_steel_comes_to() {
    let text = "stock b = 1 bar of 1084, 5 x 40 x 200 mm\nharden b from 815 C in oil\nmeasure b: 5 mm thick, 40 mm wide, 200 mm long\n\
                grind b faces 0.2 mm\ntarget b {\n  width >= 42 mm everywhere\n  thickness 4 .. 5 mm\n}\n";
    let worked = check(text);
    let found = ways(&worked, text);
    assert!(found.ways.is_empty(), "{:?}", found.ways);
    let [ask] = found.asks.as_slice() else { panic!("{:?}", found.asks) };
    let moved = ask.ask.as_ref().unwrap();
    assert_eq!(worked.files.words(moved.span), "42 mm");
    let mut asked = ask.clone();
    asked.edits.push(moved.clone());
    let again = check(&asked.written_into(text, 0).unwrap());
    assert!(again.verdict.met, "{:?}", again.faults());
}

/// Bands, a share, layers and a hardness are targets as sizes are: what a way writes passes a plain check.
#[test]
fn bands_shares_and_hardness_are_met_too() {
    let shop = "shop {\n  forge gas, 1130 C\n  press 60 tonf, flat die 40 mm\n}\n";
    let layered = "stock dark = 4 bars of 1084, 4 x 40 x 200 mm\nstock bright = 3 bars of 15N20, 2 x 40 x 200 mm\n\
        stack blade = alternate dark, bright\nweld blade at 1150 C, thinning 15 %, heats 3\ndraw blade to 8 mm thick, heats 3\n";
    let cored = "stock core = 1 bar of 1084, 8 x 40 x 200 mm\nstock side = 2 bars of 15N20, 3 x 40 x 200 mm\nstack blade = side, core, side\n\
        weld blade at 1150 C, thinning 15 %, heats 3\ndraw blade to 8 mm thick, heats 3\n";
    let hard = "stock blade = 1 bar of 1084, 6 x 40 x 200 mm\nharden blade from 815 C in fast oil\ntemper blade at 300 C for 2 h, 2 times\n";
    for (steps, asked) in [
        (layered, "thickness 4 .. 8 mm\n  bands >= 12"),
        (layered, "thickness 4 .. 8 mm\n  layers >= 20"),
        (cored, "thickness 4 .. 8 mm\n  share of core <= 55 %"),
        (hard, "hardness 57 .. 62 HRC"),
    ] {
        let text = format!("{shop}{steps}target blade {{\n  {asked}\n}}\n");
        let (_, found) = missed(&text).unwrap_or_else(|| panic!("{asked} is met"));
        let way = found.ways.first().unwrap_or_else(|| panic!("no way to {asked}"));
        let again = check(&way.written_into(&text, 0).unwrap());
        assert!(way.met && again.verdict.met, "{asked}: {}: {:?}", way.title, again.faults());
    }
}

/// Whatever made a pattern, each way says what it does to it.
#[test]
fn ways_say_what_they_do_to_a_pattern() {
    let layered = "shop {\n  forge gas, 1130 C\n  press 60 tonf, flat die 40 mm\n}\n\
        stock dark = 4 bars of 1084, 4 x 40 x 200 mm\nstock bright = 3 bars of 15N20, 2 x 40 x 200 mm\n\
        stack blade = alternate dark, bright\nweld blade at 1150 C, thinning 15 %, heats 3\ndraw blade to 14 mm thick, heats 3\n";
    for (steps, done) in [
        ("groove blade every 12 mm, 6 mm across, 2 mm deep\npress blade flat\n", "it was grooved: "),
        ("drill blade 6 mm holes, 2 mm deep, every 15 mm\npress blade flat\n", "it was drilled: "),
        ("draw blade to 13 mm square, heats 8\ntwist blade 2 turns, grips 20 mm\n", "it was twisted: "),
        ("", ""),
    ] {
        let made = check(&format!("{layered}{steps}"));
        assert_eq!(made.faults(), Vec::<&str>::new(), "{steps}");
        let wide = made.bar_of("blade").wide + 3.0;
        let text = format!("{layered}{steps}target blade {{\n  width >= {wide:.1} mm everywhere\n}}\n");
        let (_, found) = missed(&text).unwrap_or_else(|| panic!("{steps}: met"));
        assert!(!found.ways.is_empty(), "{steps}");
        // What only changes a figure before it leaves the pattern as it was asked.
        let put_in =
            |way: &&heatbook::study::Way| way.edits.iter().any(|edit| edit.span.start == edit.span.end);
        for way in found.ways.iter().filter(put_in) {
            let told = way
                .minds
                .iter()
                .any(|mind| mind.starts_with(done) || mind.contains("seam") || mind.contains("strip"));
            assert!(told || done.is_empty(), "{}: {:?}", way.title, way.minds);
            assert!(
                !done.is_empty() || way.minds.iter().all(|mind| !mind.starts_with("it was ")),
                "{:?}",
                way.minds
            );
        }
    }
}

/// What is bought to be welded on is a bar that is sold, and no sheet.
#[test]
fn no_way_buys_a_bar_thinner_than_bars_are_sold() {
    let text = "stock b = 1 bar of 1084, 12 x 40 x 200 mm\ndraw b to 11 mm thick, heats 2\n\
                target b {\n  thickness >= 9 mm\n  width >= 60 mm\n  length >= 180 mm\n}\n";
    let (_, found) = missed(text).unwrap();
    let mut bought = 0;
    for way in &found.ways {
        let made = check(&way.written_into(text, 0).unwrap());
        for (_, lot) in made.plan.bought() {
            let thick = made.build.lot(lot).unwrap().bar.thick;
            assert!(thick >= 1.5, "{}: {thick} mm", way.title);
            bought += 1;
        }
    }
    assert!(bought > found.ways.len(), "none buys a bar: {:?}", found.ways);
}
