//! Where the program and its pages parted once, and must agree.

use super::compare::compare;
use super::tree::{Cut, Fire, Item, Len, Press, Recipe, Scale, Shop, Side, Step};
use crate::common::work;

fn recipe(scale: Scale, kerf: f64, steps: Vec<Step>) -> Recipe {
    Recipe { shop: Shop { kerf: Some(Len::of_mm(kerf)), scale, spread: Some(0.3) }, steps }
}

fn bars(name: &str, count: usize, steel: usize, size: [f64; 3]) -> Step {
    let size = size.map(Len::of_mm).to_vec();
    Step::Stock { name: name.to_owned(), count, round: false, square: false, steel, size }
}

fn fire(heats: u32) -> Fire {
    Fire { heats: Some(heats), celsius: 1100.0, minutes: 5.0 }
}

fn draw(size: [Option<f64>; 3], heats: u32) -> Step {
    let size = size.map(|s| s.map(Len::of_mm));
    Step::Draw { name: "bar".to_owned(), size, outline: None, hot: None, fire: fire(heats), spread: None }
}

fn item(name: &str) -> Item {
    Item { count: None, name: name.to_owned(), turned: false, flipped: false }
}

fn stack(name: &str, of: &[&str]) -> Step {
    let items = of.iter().map(|n| item(n)).collect();
    Step::Stack { name: name.to_owned(), alternate: false, items, side: false, trimmed: true, bundle: false }
}

fn joined() -> Vec<Step> {
    vec![
        bars("bar", 1, 0, [10.0, 40.0, 200.0]),
        bars("end", 1, 4, [10.0, 40.0, 100.0]),
        Step::Join {
            name: "end".to_owned(),
            to: "bar".to_owned(),
            side: Side::End,
            press: Press::Unsaid,
            trimmed: false,
            fire: fire(2),
            spread: None,
        },
    ]
}

fn joined_on_face() -> Vec<Step> {
    let mut steps = joined();
    for step in &mut steps {
        match step {
            Step::Stock { size, .. } => size[2] = Len::of_mm(200.0),
            Step::Join { side, .. } => *side = Side::Face,
            _ => {}
        }
    }
    steps
}

fn cut(cut: Cut) -> Step {
    Step::Cut { name: "bar".to_owned(), cut, kerf: None, keep: None }
}

#[track_caller]
fn agree(recipe: &Recipe) {
    if let Err(why) = compare(recipe, None) {
        panic!("{why}\n{}", recipe.text());
    }
}

/// The page of the metal, "thickness and width asked": a bar that is to get wider spreads freely until it is as wide
/// as asked, and is edged back only from there.
#[test]
fn a_bar_that_is_to_get_wider_spreads_freely() {
    for (wide, heats) in [(42.0, 2), (42.0, 5), (40.5, 3), (38.0, 3)] {
        let steps = vec![bars("bar", 1, 2, [20.0, 40.0, 200.0]), draw([Some(12.0), Some(wide), None], heats)];
        agree(&recipe(Scale::Each(Len::of_mm(0.5)), 2.0, steps));
    }
}

/// A draw to a length with the thickness or the width open is solved: on the way the search tries sizes that burn away.
#[test]
fn a_draw_to_a_length_is_solved_past_sizes_that_burn_away() {
    let sizes = [
        [None, None, Some(300.0)],
        [None, Some(36.0), Some(300.0)],
        [None, Some(42.0), Some(300.0)],
        [Some(8.0), None, Some(300.0)],
    ];
    for size in sizes {
        for heats in [1, 2, 5] {
            let steps = vec![bars("bar", 1, 2, [10.0, 40.0, 200.0]), draw(size, heats)];
            agree(&recipe(Scale::Each(Len::of_mm(0.05)), 2.0, steps));
        }
    }
}

/// A width that is left open is only aimed at, for the length: here the skin of the last heat, which passes below the
/// thickness, leaves the bar narrower than the aim, and the length asked is met all the same.
#[test]
fn a_width_aimed_at_for_a_length_may_be_missed() {
    let thou = Len { figure: 295.0, unit: super::tree::Unit::Thou };
    let mut stock = bars("bar", 1, 2, [7.0, 30.2, 155.73]);
    if let Step::Stock { size, .. } = &mut stock {
        size[0] = thou;
    }
    let mut to = draw([Some(6.68), None, Some(155.0)], 5);
    if let Step::Draw { spread, .. } = &mut to {
        *spread = Some(0.483);
    }
    let told = recipe(Scale::Each(Len::of_mm(0.083)), 1.94, vec![stock, to]);
    agree(&told);
    let after = work(&told.text()).json()["steps"][1]["after"].clone();
    assert!((after["length_mm"].as_f64().unwrap() - 155.0).abs() < 1e-9, "{after}");
}

/// "All three asked": they hold as much as there is after the last heat, within 1 %, also where the skin alone passed
/// below the thickness. By hand: two skins of 0.05 mm leave 1.3 mm; 80 mm less 0.1 is edged to 80 x sqrt(74.72/80) =
/// 77.316 and comes to 77.216 mm; 500 - 0.1 mm grows by 79.9/77.316 to 516.6 and comes to 516.5 mm.
#[test]
fn three_sizes_hold_what_there_is_where_the_skin_passed() {
    for (wide, long, faults) in [
        (74.72, 516.5, &["too_much_steel"][..]),
        (74.72, 521.0, &[]),
        (74.72, 519.0, &["too_much_steel"]),
        (74.72, 529.0, &[]),
        (74.72, 532.0, &["not_enough_steel"]),
    ] {
        let to = draw([Some(1.32), Some(wide), Some(long)], 2);
        let steps = vec![bars("bar", 1, 2, [1.5, 80.0, 500.0]), to];
        let told = recipe(Scale::Each(Len::of_mm(0.05)), 2.0, steps);
        agree(&told);
        assert_eq!(work(&told.text()).faults(), faults, "{}", told.text());
    }
}

/// After a cold step, and of the stock itself, a size that is short is steel that is gone; after a hot one it has gone
/// into another size, until the next reading.
#[test]
fn a_cold_reading_takes_steel_and_stretches_nothing() {
    let read =
        |thick: f64| Step::Measure { name: "bar".to_owned(), size: [Some(Len::of_mm(thick)), None, None] };
    let steps = vec![bars("bar", 1, 2, [10.0, 40.0, 200.0]), read(9.8)];
    let told = recipe(Scale::None, 2.0, steps.clone());
    agree(&told);
    let json = work(&told.text()).json();
    assert_eq!(json["steps"][1]["after"]["length_mm"], 200.0);
    assert!(json["balance"]["lost_g"]["unexplained"].as_f64().unwrap() > 10.0);
    let hot = draw([Some(9.0), None, None], 1);
    let drawn = [steps.clone(), vec![hot.clone(), read(8.9), read(8.7)]].concat();
    agree(&recipe(Scale::None, 2.0, drawn));
    let cut = Step::Cut { name: "bar".to_owned(), cut: Cut::Into(2), kerf: None, keep: None };
    agree(&recipe(Scale::None, 2.0, [steps.clone(), vec![hot, cut.clone(), read(8.8)]].concat()));
    agree(&recipe(
        Scale::None,
        2.0,
        [steps, vec![cut, read(9.7), Step::Turn { name: "bar".to_owned() }]].concat(),
    ));
    // Of unlike layers those that lie outside are gone.
    let layered = joined_on_face();
    agree(&recipe(Scale::None, 2.0, [layered, vec![read(17.5), read(14.0)]].concat()));
    let loose = vec![
        bars("low", 1, 0, [5.0, 40.0, 200.0]),
        bars("high", 1, 4, [5.0, 40.0, 200.0]),
        stack("bar", &["low", "high"]),
        read(9.5),
    ];
    agree(&recipe(Scale::None, 2.0, loose));
}

/// A reading makes no steel: a little more than there is passes with a warning, four times of it is no reading.
#[test]
fn a_reading_makes_no_steel() {
    for (size, faults) in [
        ([20.0, 80.0, 200.0], &["impossible_measure"][..]),
        ([10.0, 48.0, 200.0], &["impossible_measure"]),
        ([10.1, 41.8, 200.5], &[]),
        ([10.2, 40.2, 200.5], &[]),
    ] {
        let size = size.map(|s| Some(Len::of_mm(s)));
        let steps =
            vec![bars("bar", 1, 2, [10.0, 40.0, 200.0]), Step::Measure { name: "bar".to_owned(), size }];
        let told = recipe(Scale::None, 2.0, steps);
        agree(&told);
        let worked = work(&told.text());
        assert_eq!(worked.faults(), faults);
        let warned = worked.verdict.warnings.iter().any(|w| w.code.name() == "more_steel");
        assert_eq!(warned, size[1] == Some(Len::of_mm(41.8)), "{}", told.text());
    }
}

/// Sawing or folding a bar that was laid end to end, without kerf: the kerf weighs nothing.
#[test]
fn no_kerf_through_a_bar_laid_end_to_end_weighs_nothing() {
    let at = Cut::At(Len::of_mm(40.0), "one".to_owned(), "two".to_owned());
    let named = Cut::Named(vec!["low".to_owned(), "mid".to_owned(), "high".to_owned()]);
    for how in [at, named] {
        let mut steps = joined();
        steps.push(cut(how));
        agree(&recipe(Scale::None, 0.0, steps));
    }
    let mut steps = joined();
    steps.push(Step::Fold { name: "bar".to_owned(), leaves: Some(3), kerf: Some(Len::of_mm(0.0)) });
    agree(&recipe(Scale::None, 0.0, steps));
}

/// Cut back behind the seam, such a bar is of one piece again, and so are its pieces; cut back short of it, it is not.
#[test]
fn a_bar_cut_back_behind_its_seam_is_of_one_piece() {
    // The seam stands at 180 mm: 200 of 300, a tenth shorter by the weld. Two hundredths of the other bar are no rounding.
    for (long, alike) in [(100.0, true), (180.0, true), (180.02, false), (250.0, false)] {
        let mut steps = joined();
        steps.push(cut(Cut::To(Len::of_mm(long))));
        steps.push(cut(Cut::Into(2)));
        let recipe = recipe(Scale::None, 2.0, steps);
        if alike { agree(&recipe) } else { assert_eq!(work(&recipe.text()).faults(), ["unlike_pieces"]) }
    }
}

/// A layer with a seam that the grinder or the fire has taken is gone, and the seam with it.
#[test]
fn a_seam_goes_with_its_layer() {
    let weld =
        |name: &str| Step::Weld { name: name.to_owned(), press: Press::Unsaid, fire: fire(1), spread: None };
    let grind = |mm: f64| Step::Grind {
        name: "bar".to_owned(),
        off: [Some(Len::of_mm(mm)), None, None],
        to: [None; 2],
    };
    // Laid end to end the bar is 10 / sqrt(0.9) = 10.541 mm thick, and 9.487 of that after the second weld.
    for (off, side, alike) in [(9.48, false, false), (9.49, false, true), (9.49, true, true)] {
        let mut steps = joined();
        steps.push(bars("cover", 1, 2, [20.0, 40.0, 270.0]));
        steps.push(stack("bar", &["bar", "cover"]));
        steps.push(weld("bar"));
        if side {
            let turn = Step::Turn { name: "bar".to_owned() };
            steps.extend([turn.clone(), turn]);
        }
        if side {
            // It lies on top now, and its neighbour without a seam below.
            steps.push(bars("under", 1, 1, [10.0, 50.0, 310.0]));
            steps.push(stack("bar", &["under", "bar"]));
            steps.push(weld("bar"));
        }
        steps.push(grind(off));
        steps.push(cut(Cut::Into(2)));
        let recipe = recipe(Scale::None, 2.0, steps);
        agree(&recipe);
        assert_eq!(work(&recipe.text()).faults().is_empty(), alike, "{}", recipe.text());
    }
}

/// Two widths that differ by a rounding are trimmed by a rounding, which weighs next to nothing also across a pile turned
/// on edge.
#[test]
fn trimming_by_a_rounding_weighs_next_to_nothing() {
    let weld =
        Step::Weld { name: "bar".to_owned(), press: Press::To(Len::of_mm(5.9)), fire: fire(1), spread: None };
    let mut near = bars("near", 1, 4, [3.0, 5.9, 200.0]);
    if let Step::Stock { size, .. } = &mut near {
        // 0.59 cm is a hair under 5.9 mm.
        size[1] = Len { figure: 0.59, unit: super::tree::Unit::Cm };
    }
    let steps = vec![
        bars("low", 2, 0, [5.9, 20.0, 100.0]),
        bars("high", 1, 4, [3.0, 20.0, 100.0]),
        stack("bar", &["low", "high"]),
        weld,
        Step::Turn { name: "bar".to_owned() },
        near,
        stack("block", &["bar", "near"]),
    ];
    agree(&recipe(Scale::None, 2.0, steps));
}
