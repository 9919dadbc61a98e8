//! Rules that a sample of mutants had shown nobody to watch: each told here by what a smith would see of it.

use crate::common::{check, plan, slot, told};
use heatbook::forge::Hazard;

/// An edge is where a bevel runs down to it: the ricasso above the plunge, twelve millimetres of it, hardens less in oil and is none.
/// Common practice: a thin edge of 1084 hardens through in fast oil, half an inch of it does not.
#[test]
fn a_ricasso_is_no_edge() {
    let made = check(
        "stock b = 1 bar of 1084, 12 x 40 x 250 mm\nprofile b to 240 mm long, 38 mm wide\n\
         bevel b edge 0.8 mm, height 30 mm, plunge 10 mm, ground\nharden b from 815 C in fast oil\n\
         target b {\nhardness of edge >= 60 HRC\n}\n",
    );
    assert!(made.faults().is_empty(), "{:?}", made.faults());
}

/// Of two edges both count: one of mild steel stays soft, whatever the other does.
#[test]
fn the_softer_of_two_edges_is_told() {
    let blade = |back: &str| {
        check(&format!(
            "stock hard = 1 bar of 1084, 6 x 20 x 250 mm\nstock back = 1 bar of {back}, 6 x 20 x 250 mm\n\
             stack b = hard, back side by side\nweld b at 1180 C, thinning 10 %, heats 1\n\
             profile b to 240 mm long, outline through 38 mm at heel then 34 mm at 0.8 * 240 mm then 0 mm at tip\n\
             bevel b edge 0.8 mm, height 12 mm, both edges, ground\nharden b from 815 C in fast oil\n\
             target b {{\nhardness of edge >= 50 HRC\n}}\n"
        ))
        .faults()
        .len()
    };
    assert_eq!([blade("1084"), blade("1018")], [0, 1]);
}

/// A blade that cools in air or between plates burns no oil: the caution is another.
#[test]
fn air_and_plates_burn_no_oil() {
    for (bath, hazard, other) in [
        ("in air", Hazard::Black, Hazard::Quench),
        ("in plates", Hazard::Black, Hazard::Quench),
        ("in fast oil", Hazard::Quench, Hazard::Black),
    ] {
        let made = check(&format!("stock b = 1 bar of 1084, 3 x 40 x 250 mm\nharden b from 815 C {bath}\n"));
        let all: Vec<Hazard> = made.plan.steps.iter().flat_map(|step| step.hazards.clone()).collect();
        assert!(all.contains(&hazard) && !all.contains(&other), "{bath}: {all:?}");
    }
}

/// Round a core 6 mm thick and 30 mm wide go 2 (30 + 2) + 6 = 70 mm of a jacket of 2 mm, by hand: just that much is enough.
#[test]
fn a_jacket_that_just_goes_round_goes_round() {
    let wrapped = |wide: &str| {
        let text = format!(
            "shop {{\nscale 0 mm per heat\nforge gas, 1130 C\n}}\nstock core = 1 bar of 1084, 6 x 30 x 100 mm\n\
             stock sheet = 1 bar of 1018, 2 x {wide} x 100 mm\nwrap core with sheet\n"
        );
        check(&text).faults()
    };
    assert!(wrapped("70").is_empty());
    assert_eq!(wrapped("69.99"), ["wrap_how"]);
}

/// Where a build takes fewer hours than are asked, no step is to blame for it.
#[test]
fn no_step_is_to_blame_for_hours_that_are_spared() {
    let labels = |line: &str| {
        let text = format!(
            "stock b = 1 bar of 1084, 10 x 40 x 100 mm\ndraw b to 9 mm thick, heats 2\ntarget b {{\n{line}\n}}\n"
        );
        let made = check(&text);
        made.verdict.faults.first().map_or(0, |fault| fault.labels.len())
    };
    assert_eq!([labels("hours >= 100 h"), labels("hours <= 0.1 h")], [1, 2]);
}

/// A steel of one's own goes at the price of the one that it is like, and that is said.
#[test]
fn a_price_that_is_another_steels_is_told() {
    let recipe = "shop {\nprice of 1084 €10 per kg\n}\nsteel mine = like 1084\n\
                  stock a = 1 bar of mine, 6 x 30 x 100 mm\nstock b = 1 bar of mine, 6 x 30 x 100 mm\n";
    let said = told(&["quote", "-"], recipe).out;
    assert_eq!(said.matches("mine at the price of 1084").count(), 1, "{said}");
}

/// What a reading is worked out from was read too: nothing proposes another figure for it.
#[test]
fn what_a_reading_follows_from_is_a_reading() {
    let plan = plan(
        "let shim = 0.2 mm\nlet other = 3 mm\nstock b = 1 bar of 1084, 10 x 40 x 100 mm\n\
         draw b to 9 mm thick, heats 2\nmeasure b: 9.2 mm - shim thick\n",
    );
    let readings = plan.readings();
    assert_eq!(["shim", "other"].map(|name| readings.contains(&slot(&plan, name))), [true, false]);
}
