//! Laws that hold whatever the metal does: the same recipe written otherwise comes to the same, and a shop twice as big
//! to eight times the volume. On the recipes that the second interpreter's generator makes.

use crate::second::generate::recipe;
use crate::second::tree::{Cut, Len, Press, Recipe, Scale, Step, Unit};
use heatbook::language::{Memo, format};
use heatbook::quantity::Units;
use heatbook::report::{Page, json_text};
use heatbook::study::judge;
use heatbook::workshop::{Document, Texts, Workshop};
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::Value;
use std::collections::BTreeSet;

/// How many recipes each law is tried on.
fn seeds() -> std::ops::Range<u64> {
    0..if std::env::var_os("HEATBOOK_LONG").is_some() { 2_000 } else { 40 }
}

/// Works a recipe with the files that it uses, the recipe first.
fn answer(sources: &[(&str, &str)]) -> Value {
    let texts: Texts = sources.iter().map(|(name, text)| (name.into(), (*text).to_owned())).collect();
    let workshop = Workshop { sources: &texts, allow_outside: false };
    let (name, text) = sources[0];
    let document = Document { name: name.to_owned(), path: Some(name.into()), text: text.to_owned() };
    let job = workshop.plan(document, Vec::new(), &mut Memo::default()).unwrap();
    let build = job.build(Units::Metric);
    let verdict = judge(&job.plan, &build, job.found.clone(), Units::Metric);
    let page = Page {
        files: &job.files,
        name: sources[0].0,
        plan: &job.plan,
        build: &build,
        verdict: &verdict,
        units: Units::Metric,
    };
    serde_json::from_str(&json_text(&page)).unwrap()
}

fn work(text: &str) -> Value {
    answer(&[("test.heat", text)])
}

/// Powers of a length that a figure of a piece goes with.
const SIZES: [(&str, i32); 9] = [
    ("thickness_mm", 1),
    ("width_mm", 1),
    ("length_mm", 1),
    ("volume_mm3", 3),
    ("mass_g", 3),
    ("bars", 0),
    ("layers", 0),
    ("bands", 0),
    ("loose", 0),
];

fn near(one: &Value, two: &Value, by: f64, relative: f64) -> bool {
    match (one.as_f64(), two.as_f64()) {
        (Some(a), Some(b)) => (a * by - b).abs() <= relative * b.abs().max(1.0),
        _ => one == two,
    }
}

fn same_piece(what: &str, one: &Value, two: &Value, k: f64, relative: f64) -> Result<(), String> {
    for (size, power) in SIZES {
        if !near(&one[size], &two[size], k.powi(power), relative) {
            return Err(format!("{what}: {size} is {} and {}", one[size], two[size]));
        }
    }
    Ok(())
}

fn booked(what: &str, one: &Value, two: &Value, k: f64, relative: f64) -> Result<(), String> {
    for cause in ["scale", "kerf", "ground", "trimmed", "unexplained"] {
        if !near(&one[cause], &two[cause], k.powi(3), relative) {
            return Err(format!("{what} booked as {cause}: {} and {}", one[cause], two[cause]));
        }
    }
    Ok(())
}

/// Are the two answers the same in all that is left in the end, the second one's lengths `k` times the first one's?
fn same_end(one: &Value, two: &Value, k: f64, relative: f64) -> Result<(), String> {
    let faults = |of: &Value| of["faults"].as_array().map_or(0, Vec::len) > 0;
    if faults(one) != faults(two) {
        return Err(format!("faults: {} and {}", one["faults"], two["faults"]));
    }
    let (a, b) = (one["pieces"].as_object().unwrap(), two["pieces"].as_object().unwrap());
    if a.keys().ne(b.keys()) {
        return Err(format!("pieces: {:?} and {:?}", a.keys(), b.keys()));
    }
    for (name, piece) in a {
        same_piece(&format!("`{name}`"), piece, &b[name], k, relative)?;
    }
    let (a, b) = (one["rack"].as_array().unwrap(), two["rack"].as_array().unwrap());
    if a.len() != b.len() {
        return Err(format!("{} and {} on the rack", a.len(), b.len()));
    }
    for piece in a {
        let other = b.iter().find(|p| p["name"] == piece["name"]);
        let other = other.ok_or_else(|| format!("no {} on the second rack", piece["name"]))?;
        same_piece(&format!("{} on the rack", piece["name"]), piece, other, k, relative)?;
    }
    booked("in all", &one["balance"]["lost_g"], &two["balance"]["lost_g"], k, relative)
}

/// Are they the same at every step besides?
fn same(one: &Value, two: &Value, k: f64, relative: f64) -> Result<(), String> {
    let (a, b) = (one["steps"].as_array().unwrap(), two["steps"].as_array().unwrap());
    if a.len() != b.len() {
        return Err(format!("{} and {} steps", a.len(), b.len()));
    }
    for (a, b) in a.iter().zip(b) {
        let here = format!("step {} ({})", a["n"], a["verb"]);
        same_piece(&here, &a["after"], &b["after"], k, relative)?;
        booked(&here, &a["booked_g"], &b["booked_g"], k, relative)?;
    }
    same_end(one, two, k, relative)
}

/// Tries a law on every seed's recipe, as the second text to work and how far it may be off.
#[track_caller]
fn law(relative: f64, otherwise: impl Fn(&Recipe, &mut Pcg64Mcg) -> Option<(String, String)>) {
    let mut tried = 0;
    for seed in seeds() {
        let recipe = recipe(seed);
        let mut rng = Pcg64Mcg::seed_from_u64(seed);
        let Some((one, two)) = otherwise(&recipe, &mut rng) else { continue };
        tried += 1;
        if let Err(why) = same(&work(&one), &work(&two), 1.0, relative) {
            panic!("seed {seed}: {why}\n── one\n{one}\n── two\n{two}");
        }
    }
    assert!(tried * 2 > seeds().end, "tried on {tried} only");
}

/// Every length of a recipe, changed.
fn lengths(recipe: &Recipe, of: &impl Fn(Len) -> Len) -> Recipe {
    let mut out = recipe.clone();
    for len in [&mut out.shop.kerf].into_iter().flatten() {
        *len = of(*len);
    }
    if let Scale::Each(len) = &mut out.shop.scale {
        *len = of(*len);
    }
    out.steps = out.steps.iter().map(|step| step_lengths(step, of)).collect();
    out
}

fn step_lengths(step: &Step, of: &impl Fn(Len) -> Len) -> Step {
    let mut step = step.clone();
    let press_of = |press: &mut Press| {
        if let Press::To(len) = press {
            *len = of(*len);
        }
    };
    match &mut step {
        Step::Stock { size, .. } => size.iter_mut().for_each(|len| *len = of(*len)),
        Step::Can { size: [thick, wide], long, wall, .. } => {
            [thick, wide, long, wall].into_iter().for_each(|len| *len = of(*len));
        }
        Step::Weld { press, .. } | Step::Join { press, .. } => press_of(press),
        Step::Draw { size, outline, .. } => {
            size.iter_mut().flatten().for_each(|len| *len = of(*len));
            if let Some((_, len)) = outline {
                *len = of(*len);
            }
        }
        Step::Spread { wide: len, .. } | Step::Edge { wide: len, .. } | Step::Upset { long: len, .. } => {
            *len = of(*len);
        }
        Step::Fold { kerf, .. } => kerf.iter_mut().for_each(|len| *len = of(*len)),
        Step::Cut { cut, kerf, .. } => {
            match cut {
                Cut::At(len, ..) | Cut::To(len) | Cut::Each(len) | Cut::Heel(len) | Cut::Tip(len) => {
                    *len = of(*len);
                }
                Cut::Into(_) | Cut::Named(_) => {}
            }
            kerf.iter_mut().for_each(|len| *len = of(*len));
        }
        Step::Grind { off, to, .. } => {
            off.iter_mut().flatten().for_each(|len| *len = of(*len));
            to.iter_mut().flatten().for_each(|len| *len = of(*len));
        }
        Step::Measure { size, .. } => size.iter_mut().flatten().for_each(|len| *len = of(*len)),
        Step::Repeat { body, .. } => {
            *body = body.iter().map(|step| step_lengths(step, of)).collect();
        }
        Step::FromRack { .. }
        | Step::Stack { .. }
        | Step::Turn { .. }
        | Step::Flip { .. }
        | Step::Heat { .. }
        | Step::Normalise { .. }
        | Step::Harden { .. }
        | Step::Temper { .. }
        | Step::Expect { .. } => {}
    }
    step
}

/// The recipe up to the first step of a kind that a law does not hold for.
fn until(recipe: &Recipe, stop: impl Fn(&Step) -> bool) -> Recipe {
    let mut out = recipe.clone();
    if let Some(at) = out.steps.iter().position(stop) {
        out.steps.truncate(at);
    }
    out
}

/// The text with each `pN` under another name.
fn renamed(text: &str) -> String {
    let mut out = String::new();
    let mut word = String::new();
    for c in text.chars().chain(['\n']) {
        if c.is_alphanumeric() || c == '-' {
            word.push(c);
            continue;
        }
        let (head, tail) = word.split_once('-').map_or((word.as_str(), None), |(h, t)| (h, Some(t)));
        match head.strip_prefix('p').filter(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit())) {
            Some(n) => {
                out.push_str(&format!("Klinge_{n}"));
                if let Some(tail) = tail {
                    out.push_str(&format!("-{tail}"));
                }
            }
            None => out.push_str(&word),
        }
        word.clear();
        out.push(c);
    }
    out.pop();
    out
}

/// A law is worth something only if another recipe breaks it.
#[test]
fn another_recipe_is_not_the_same() {
    for seed in seeds().take(20) {
        let mut recipe = recipe(seed);
        let one = work(&recipe.text());
        let Some(Step::Stock { size, .. }) = recipe.steps.first_mut() else { continue };
        size[0].figure *= 1.0001;
        assert!(same(&one, &work(&recipe.text()), 1.0, 1e-9).is_err(), "seed {seed}\n{}", recipe.text());
    }
}

#[test]
fn names_mean_nothing() {
    for seed in seeds() {
        let text = recipe(seed).text();
        let one: Value = serde_json::from_str(&renamed(&work(&text).to_string())).unwrap();
        let two = work(&renamed(&text));
        if let Err(why) = same(&one, &two, 1.0, 0.0) {
            panic!("seed {seed}: {why}\n{text}");
        }
    }
}

#[test]
fn comments_and_blank_lines_mean_nothing() {
    law(0.0, |recipe, rng| {
        let text = recipe.text();
        let mut other = String::from("# weld twice, draw p1 to 3 mm thick\n\n");
        for line in text.lines() {
            match rng.random_range(0..4) {
                0 => other.push_str("\n  \n"),
                1 => other.push_str("    # stock p1 = 9 bars of 304\n"),
                _ => {}
            }
            other.push_str(line);
            other.push_str(if rng.random_bool(0.3) { "   # }, heats 3\n" } else { "\n" });
        }
        Some((text, other))
    });
}

#[test]
fn line_ends_mean_nothing() {
    law(0.0, |recipe, _| {
        let text = recipe.text();
        let other = text.replace('\n', "\r\n");
        Some((text, other))
    });
}

#[test]
fn the_house_style_means_nothing() {
    law(0.0, |recipe, _| {
        let text = recipe.text();
        let other = format(&text, 0).unwrap_or_else(|e| panic!("{e:?}\n{text}"));
        Some((text, other))
    });
}

#[test]
fn a_repeat_is_what_it_repeats() {
    law(0.0, |recipe, _| {
        let steps = recipe.written_out().into_iter().cloned().collect();
        Some((recipe.text(), Recipe { shop: recipe.shop.clone(), steps }.text()))
    });
}

/// A reading's last digit says how sure it is, so it is another reading in inches.
#[test]
fn inches_are_millimetres() {
    let inches = |len: Len| Len { figure: len.mm() / 25.4, unit: Unit::Inch };
    law(1e-9, |recipe, _| {
        let recipe = until(recipe, |s| matches!(s, Step::Measure { .. }));
        (recipe.steps.len() > 4).then(|| (recipe.text(), lengths(&recipe, &inches).text()))
    });
}

/// Not for readings, as above; not for what hardening and an `expect` come to, which know millimetres.
#[test]
fn a_shop_half_as_big_forges_an_eighth() {
    const K: f64 = 0.5;
    let scaled = |len: Len| Len::of_mm(len.mm() * K);
    let mut tried = 0;
    for seed in seeds() {
        let stop = |s: &Step| {
            matches!(
                s,
                Step::Measure { .. } | Step::Harden { .. } | Step::Temper { .. } | Step::Expect { .. }
            )
        };
        let mut recipe = until(&recipe(seed), stop);
        recipe.shop.kerf = Some(recipe.shop.kerf.unwrap_or(Len::of_mm(2.0)));
        let one = work(&recipe.text());
        // Bars within a millimetre are trimmed unasked: a fault there may be none at half the size.
        if recipe.steps.len() < 5 || one["faults"].as_array().is_some_and(|f| !f.is_empty()) {
            continue;
        }
        tried += 1;
        let small = lengths(&recipe, &scaled);
        if let Err(why) = same(&one, &work(&small.text()), K, 1e-9) {
            panic!("seed {seed}: {why}\n── one\n{}\n── half\n{}", recipe.text(), small.text());
        }
    }
    assert!(tried * 3 > seeds().end, "tried on {tried} only");
}

/// The names that a step reads or writes.
fn names(step: &Step) -> BTreeSet<String> {
    step.text("")
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| w.strip_prefix('p').is_some_and(|n| n.parse::<u32>().is_ok()))
        .map(str::to_owned)
        .collect()
}

/// Neighbours that share no name may change places.
#[test]
fn independent_steps_may_change_places() {
    let mut swapped = 0;
    for seed in seeds() {
        let recipe = recipe(seed);
        let one = work(&recipe.text());
        if one["faults"].as_array().is_some_and(|f| !f.is_empty()) {
            continue;
        }
        let mut rng = Pcg64Mcg::seed_from_u64(seed);
        let mut other = recipe.clone();
        let mut places: Vec<usize> = (1..other.steps.len()).collect();
        places.shuffle(&mut rng);
        for at in places {
            if names(&other.steps[at - 1]).is_disjoint(&names(&other.steps[at])) {
                other.steps.swap(at - 1, at);
                swapped += 1;
            }
        }
        if let Err(why) = same_end(&one, &work(&other.text()), 1.0, 1e-12) {
            panic!("seed {seed}: {why}\n── one\n{}\n── other\n{}", recipe.text(), other.text());
        }
    }
    assert!(swapped as u64 > 5 * seeds().end, "{swapped} swapped only");
}

/// A recipe that is called does the same whether it stands here or in a file that is used.
#[test]
fn used_is_pasted() {
    let mut tried = 0;
    for seed in seeds() {
        let recipe = recipe(seed);
        let text = recipe.text();
        let plain = work(&text);
        let Some(given) = plain["pieces"].as_object().and_then(|p| p.keys().next().cloned()) else {
            continue;
        };
        if plain["faults"].as_array().is_some_and(|f| !f.is_empty()) {
            continue;
        }
        tried += 1;
        let at = text.find("}\n").unwrap() + 2;
        let (shop, steps) = text.split_at(at);
        let called = format!("recipe all() {{\n{steps}give {given}\n}}\n");
        let pasted = work(&format!("{called}{shop}stock got = all()\n"));
        let main = format!("use \"all.heat\"\n{shop}stock got = all()\n");
        let used = answer(&[("test.heat", &main), ("all.heat", &called)]);
        if let Err(why) = same(&pasted, &used, 1.0, 0.0) {
            panic!("seed {seed}: {why}\n{called}");
        }
        // And what comes out of the call is what came out without one.
        if let Err(why) = same_piece("given", &plain["pieces"][&given], &used["pieces"]["got"], 1.0, 0.0) {
            panic!("seed {seed}: {why}\n{called}");
        }
    }
    assert!(tried * 2 > seeds().end, "tried on {tried} only");
}
