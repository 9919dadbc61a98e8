//! What fresh eyes found fault with in what the program tells: each is told as it is meant.

use crate::common::{check, work};
use crate::mends::applied;

fn help_of(text: &str, code: &str) -> String {
    let worked = work(text);
    let mut all = worked.verdict.faults.iter().chain(&worked.verdict.warnings);
    let found = all.find(|f| f.code.name() == code).unwrap_or_else(|| panic!("no {code} of\n{text}"));
    found.help.clone().unwrap_or_default()
}

/// Mends that are told for several lines, none for all of them, hold beside one another, or say that they do not.
#[test]
fn mends_for_several_lines_hold_beside_one_another() {
    let text = "stock c = 1 bar of 1084, 10 x 40 x 300 mm\ncut c to 200 mm long\n\
        stock d = 1 bar of 1084, 10 x 40 x 300 mm\ncut d to 100 mm long\nstock e = 1 bar of 1084, 10 x 40 x 100 mm\n\
        target c {\n  length >= 210 mm\n}\ntarget d {\n  length >= 120 mm\n  mass <= 300 g\n}\n\
        target e {\n  mass >= 9 kg\n}\n";
    let worked = work(text);
    let missed = |w: &crate::common::Worked| w.build.lines.iter().filter(|l| !l.judged.unwrap().met).count();
    assert_eq!(missed(&worked), 4);
    let mut mends: Vec<_> = worked.verdict.faults.iter().filter(|f| f.fix.is_some()).collect();
    assert!(mends.len() >= 3, "{:?}", worked.verdict.faults);
    mends.retain(|f| !f.help.as_deref().unwrap().contains("does not hold beside"));
    mends.sort_by_key(|f| std::cmp::Reverse(f.fix.as_ref().unwrap().span.start));
    let all = mends.iter().fold(text.to_owned(), |text, mend| applied(&text, mend).unwrap());
    assert_eq!(missed(&check(&all)), 4 - mends.len(), "{all}");
}

/// Nothing is to be tapered less where nothing tapers.
#[test]
fn nothing_is_tapered_less_where_nothing_tapers() {
    let spine = "stock b = 1 bar of 1084, 5 x 40 x 200 mm\nbevel b edge 0.6 mm, height 30 mm, ground\n\
        target b {\n  spine >= 50 mm at heel\n}\n";
    let help = help_of(spine, "target_missed");
    assert!(help.contains("leave it thicker") && !help.contains("taper"), "{help}");
}

/// Of the pieces that are there none is left out for a slip in its own line.
#[test]
fn a_piece_whose_own_line_is_broken_is_among_the_names() {
    let text = "stock dark = 7 bars of 1084, 3 x 40 furlongs\nstock bright = 6 bars of 15N20, 2 x 40 x 150 mm\n\
        stack billet = alternate dark, bright\nturn flugelhorn\n";
    let help = help_of(text, "unknown_name");
    assert!(help.contains("`bright`") && help.contains("`dark`"), "{help}");
}

/// A warning that hangs on a figure which nobody stated says so.
#[test]
fn what_hangs_on_assumed_strokes_says_so() {
    let text = |rate: &str| {
        format!(
            "shop {{\n  press 25 tonf, flat die 40 mm{rate}\n}}\nstock b = 1 bar of 1084, 40 x 40 x 300 mm\ndraw b to 10 mm thick, heats 1\n"
        )
    };
    let help = help_of(&text(""), "few_heats");
    assert!(help.contains("15 strokes a minute, which are assumed: state yours"), "{help}");
    assert!(!help_of(&text(", 12 strokes per min"), "few_heats").contains("assumed"));
}

/// A normalising heat that nobody stated is the fire's own: that is told, with one that suits.
#[test]
fn a_normalising_heat_that_nobody_stated_is_told() {
    let text = |at: &str| format!("stock b = 1 bar of 1084, 5 x 40 x 200 mm\nnormalise b {at}3 times\n");
    let help = help_of(&text(""), "overheated");
    assert!(help.starts_with("no heat is stated, so it is the fire's own: say `at` which, "), "{help}");
    let least = help.rsplit_once("which, ").unwrap().1.split(" to ").next().unwrap().to_owned();
    let stated = check(&text(&format!("at {least}, ")));
    assert!(stated.verdict.warnings.iter().all(|w| w.code.name() != "overheated"), "{least}");
}

/// A finished blade is measured by nobody while it is hot; a bar is.
#[test]
fn only_what_is_hot_is_measured_hot() {
    let warned = |steps: &str| {
        let text = format!(
            "stock b = 1 bar of 1084, 10 x 39.8 x 200 mm\n{steps}target b {{\n  length >= 201 mm\n}}\n"
        );
        check(&text).verdict.warnings.iter().any(|w| w.code.name() == "passes_hot")
    };
    assert!(warned(""));
    assert!(!warned("harden b from 815 C in oil\n"));
}

/// Sums that pretend do not stand behind faults.
#[test]
fn no_sums_stand_behind_faults() {
    let said = |text: &str| crate::common::told(&["check", "-"], text).out;
    let sound = "stock b = 1 bar of 1084, 5 x 40 x 200 mm\n";
    assert!(said(sound).contains("in pieces"));
    assert!(!said(&format!("{sound}frobnicate b\n")).contains("in pieces"));
}

/// Fuel may be priced by its weight, where the shop says what an hour burns.
#[test]
fn fuel_is_priced_by_the_hour_or_by_its_weight() {
    let cost = |fuel: &str| {
        let text = format!(
            "shop {{\n  forge coal, 1200 C\n  price of 1084 9 per kg\n  price of labour 40\n{fuel}}}\n\
             stock b = 1 bar of 1084, 20 x 40 x 200 mm\ndraw b to 10 mm thick, heats 3\ntarget b {{\n  cost <= 9000\n}}\n"
        );
        let run = crate::common::told(&["run", "-", "--format", "json"], &text).json();
        run["targets"][0]["got"].as_f64()
    };
    // 2 kg an hour at 3 a kilogram are 6 an hour; 3 a kilogram are 1.3608 a pound.
    let hour = cost("  price of coal 6 per hour\n").unwrap();
    let weight = cost("  fuel 2 kg per hour\n  price of coal 3 per kg\n").unwrap();
    let pound = cost("  fuel 2 kg per hour\n  price of coal 1.360777 per lb\n").unwrap();
    assert!((hour - weight).abs() < 1e-9 && (hour - pound).abs() < 1e-3, "{hour} {weight} {pound}");
    // What an hour burns is asked for where it is not stated.
    let text = "shop {\n  price of coal 3 per kg\n  price of 1084 9 per kg\n  price of labour 40\n}\n\
        stock b = 1 bar of 1084, 20 x 40 x 200 mm\ndraw b to 10 mm thick, heats 3\ntarget b {\n  cost <= 9000\n}\n";
    assert_eq!(help_of(text, "target_missed"), "write in the shop `fuel 0.7 kg per hour`");
}

/// What a bar asks of its strays is said once: the same again, with what is other.
#[test]
fn the_same_again_is_offered_whole() {
    let text = "stock rod = 1 square of 1084, 12 x 200 mm\nstock other = 1 square of 1084, 12 x 200 mm\n\
        twist rod 3 turns, right, heats 2\n";
    let help = |line: &str| help_of(&format!("{text}{line}\n"), "unknown_verb");
    assert_eq!(help("same but anticlockwise"), "write `twist rod 3 turns, heats 2, left`");
    assert_eq!(help("same on other"), "write `twist other 3 turns, right, heats 2`");
    assert_eq!(help("ditto other, 4 turns"), "write `twist other right, heats 2, 4 turns`");
}

/// A cut along the bar, offered as steps, makes what is meant: half the width, the whole length.
#[test]
fn a_cut_along_the_bar_is_offered_as_steps_that_do_it() {
    let text = "stock b = 1 bar of 1084, 10 x 42 x 200 mm\ncut b lengthways into 2\n\
        expect b: width = 20 mm\nexpect b: length = 200 mm\nexpect b: thickness = 10 mm\n";
    let worked = work(text);
    let fault = &worked.verdict.faults[0];
    let mended = check(&applied(text, fault).unwrap());
    assert_eq!(mended.faults(), Vec::<&str>::new(), "{:?}", fault.help);
}

/// A line of the shop or of a target among the steps is offered in its block.
#[test]
fn lines_out_of_their_block_are_offered_in_it() {
    let bar = "stock blade = 1 bar of 1084, 5 x 40 x 200 mm\n";
    for (line, block) in [
        ("blade should not weigh more than 350 g", "target blade {\n  mass <= 350 g\n}"),
        ("width at least 38 mm all over", "target blade {\n  width >= 38 mm everywhere\n}"),
        ("press of 16 tonnes, flat dies 50 mm", "shop {\n  press 16 tonf, flat die 50 mm\n}"),
        ("the bandsaw takes 1.2 mm", "shop {\n  kerf 1.2 mm\n}"),
    ] {
        let text = format!("{bar}{line}\n");
        let worked = work(&text);
        let mended = applied(&text, &worked.verdict.faults[0])
            .unwrap_or_else(|| panic!("{line}: {:?}", worked.verdict.faults));
        let lines = |text: &str| text.lines().map(str::trim).map(str::to_owned).collect::<Vec<_>>();
        assert_eq!(lines(&mended), lines(&format!("{bar}{block}\n")), "{line}");
        assert_eq!(check(&mended).faults(), Vec::<&str>::new(), "{line}");
    }
    // A recipe has one shop.
    let help = help_of(&format!("shop {{\n  kerf 2 mm\n}}\n{bar}hand hammer of 1.5 kg\n"), "unknown_verb");
    assert_eq!(help, "write it inside the `shop {` of this recipe: `hammer 1.5 kg`");
}
