//! Warnings that a smith answers, and how a careful shop makes the rest count.

use crate::common::{check, heatbook, told};

const HOT: &str = "\
shop {
  forge coke, 1180 C
}
stock bar = 1 bar of 1084, 12 x 40 x 200 mm
draw bar to 9 mm thick, heats 2
stock bit = 1 bar of 1084, 12 x 30 x 50 mm
draw bit to 10 mm thick, heats 1
";

fn warnings(text: &str) -> Vec<&'static str> {
    check(text).verdict.warnings.iter().map(|w| w.code.name()).collect()
}

#[test]
fn a_warning_is_answered_where_it_is_meant() {
    let both = warnings(HOT);
    assert!(both.contains(&"hot_for_steel") && both.contains(&"short_to_hold"), "{both:?}");
    // In a shop it answers for every step, behind a step for that one alone.
    let shop = HOT.replace("1180 C\n", "1180 C\n  allow hot_for_steel \"so it is\"\n");
    assert_eq!(warnings(&shop), ["short_to_hold"]);
    let behind = HOT.to_owned() + "allow short_to_hold \"own tongs\"\n";
    assert_eq!(warnings(&behind), ["hot_for_steel"]);
    let other = HOT.replace("heats 2\n", "heats 2\nallow short_to_hold \"own tongs\"\n");
    assert_eq!(warnings(&other), ["hot_for_steel", "short_to_hold", "unused_allow"]);
    let said = told(&["check", "-"], &behind).all();
    assert!(said.contains("allowed: short_to_hold, standard input line 8: own tongs"), "{said}");
    let json = told(&["run", "-", "--format", "json"], &behind).json();
    assert_eq!(json["allowed"][0]["code"], "heatbook::short_to_hold");
    assert_eq!(json["allowed"][0]["reason"], "own tongs");
}

#[test]
fn what_hurts_is_never_answered() {
    let weak = "shop {\n  press 2 tonf, flat die 40 mm\n}\nstock b = 1 bar of 1084, 20 x 60 x 200 mm\ndraw b to 12 mm thick, bite 40 mm, heats 1\n";
    assert!(warnings(weak).contains(&"weak_press"), "{:?}", warnings(weak));
    let answered = weak.replace("40 mm\n}", "40 mm\n  allow weak_press \"it will do\"\n}");
    assert!(warnings(&answered).contains(&"weak_press") && warnings(&answered).contains(&"unused_allow"));
}

#[test]
fn a_careful_shop_lets_no_warning_pass() {
    let exit = |args: &[&str], text: &str| {
        let said = told(&[&["check", "-"], args].concat(), text);
        (said.code, said.err.contains("short_to_hold"), said.out.contains("1 warning"))
    };
    let short = "stock bit = 1 bar of 1018, 12 x 30 x 50 mm\ndraw bit to 10 mm thick, heats 1\n";
    assert_eq!(exit(&[], short), (0, true, true));
    assert_eq!(exit(&["--deny", "warnings"], short), (1, true, true));
    assert_eq!(exit(&["--quiet"], short), (0, false, true));
    // What keeps a careful shop from going on is always shown.
    assert_eq!(exit(&["--quiet", "--deny", "warnings"], short), (1, true, true));
    let allowed = short.to_owned() + "allow short_to_hold \"own tongs\"\n";
    assert_eq!(exit(&["--deny", "warnings"], &allowed).0, 0);
    assert_eq!(heatbook(&["check", "recipes/square-rod.heat", "--quiet"]).code, 0);
}
