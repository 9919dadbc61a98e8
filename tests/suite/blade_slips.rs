//! What a tired smith writes about a blade: steps that end in its middle, outlines of what was forged before, slips.

use crate::common::{check, close, work};
use heatbook::report::Style;

const BAR: &str = "shop {\n scale none\n}\nstock b = 1 bar of 1084, 6 x 40 x 300 mm\n";
const OUTLINE: &str = "profile b to 240 mm long, 36 mm wide, belly 90 mm, point 12 mm below spine, ground\n";

#[test]
fn what_is_forged_in_the_middle_of_a_blade_keeps_all_its_steel() {
    for step in [
        "taper b from 100 mm to 150 mm, to 1 mm thick, forged",
        "taper b from 150 mm to 100 mm, to 1 mm thick, forged",
        "taper b from heel to 100 mm, to 20 mm wide, forged",
        "bevel b from 20 mm to 120 mm, edge 1 mm, height 20 mm, forged",
        "tang b full, to 60 mm long, 40 mm wide\ntaper b from tip to heel, to 2 mm thick, forged",
    ] {
        let worked = work(&format!("{BAR}{step}\n"));
        assert!(worked.build.faults.is_empty(), "{step}: {:?}", worked.faults());
        assert!(worked.build.balance.error < 1e-9, "{step}: {}", worked.build.balance.error);
        close(worked.piece("b")["mass_g"].as_f64().unwrap(), 565.2, 1e-9);
    }
}

/// An outline is laid on the blade as it is, not on the bar that it was.
#[test]
fn an_outline_lies_on_what_earlier_steps_left() {
    for (before, wide, off) in [
        ("bevel b edge 2 mm, height 30 mm, forged\n", 42, ""),
        (
            "grind b faces 0.1 mm\nbevel b edge 2 mm, height 30 mm\ngrind b edges 3 mm\n",
            34,
            ", off edge 0 mm",
        ),
    ] {
        let source =
            format!("{BAR}{before}profile b to 240 mm long, {wide} mm wide, belly 90 mm{off}, ground\n");
        let worked = work(&source);
        let said = worked.findings(Style::Plain);
        assert!(!said.contains("outline_beyond_steel"), "{said}");
        close(worked.piece("b")["width_mm"].as_f64().unwrap(), f64::from(wide), 1e-9);
    }
}

#[test]
fn slips_are_told() {
    for (line, code) in [
        ("profile b to 240 mm long, 36 mm wide, point 12 mm below spine", "profile_how"),
        (
            "profile b edge 30 mm at heel then 30 mm at tip, spine 9 mm at heel then 9 mm at tip, forged",
            "profile_point",
        ),
        ("mark b tip at 40 mm", "reserved_name"),
        (&format!("{OUTLINE}measure b: 20 mm wide, at tip"), "beyond_bar"),
        (&format!("{OUTLINE}measure b: 36.5 mm wide, at 310 mm from tip"), "beyond_bar"),
        (&format!("{OUTLINE}cut b 20 mm off each end"), "shaped"),
        ("target b {\n spine >= 3 mm at heel, allowing -1 mm\n}", "negative"),
        ("taper b from heel to tip, to 0.01 mm thick, forged", "too_steep"),
        ("bevel b edge 0.6 mm, height 300 mm, ground", "bevel_tall"),
        ("bevel b edge 0.6 mm, angle 0.1 deg, ground", "bevel_tall"),
        ("bevel b edge 1 mm, height 20 mm, forged, elongation 500 %", "share_out_of_range"),
        ("target b {\n balance >= 30 mm at heel\n}", "of_the_whole"),
        ("target b {\n lenght >= 3 mm\n}", "syntax"),
        ("target b {\n thickness -1 mm behind edge <= 9 mm at heel\n}", "negative"),
    ] {
        let said = work(&format!("{BAR}{line}\n")).findings(Style::Plain);
        assert!(said.contains(&format!("heatbook::{code}")), "{line}: {said}");
    }
}

/// A misspelt word of a target is guessed at; a place beyond the blade is one fault and no second.
#[test]
fn slips_in_targets_are_guessed_and_told_once() {
    let said = work(&format!("{BAR}target b {{\n lenght >= 3 mm\n}}\n")).findings(Style::Plain);
    assert!(said.contains("did you mean `length`"), "{said}");
    let said =
        work(&format!("{BAR}{OUTLINE}target b {{\n width >= 3 mm at 500 mm\n}}\n")).findings(Style::Plain);
    assert!(said.contains("beyond_bar") && !said.contains("target_missed"), "{said}");
}

/// Figures in places go by an address, and a `?` in one is a length.
#[test]
fn figures_in_places_have_addresses() {
    let worked = work(&format!(
        "{BAR}taper b from 40 mm to 30 mm from tip, to 2 mm thick, ground\n\
         profile b edge 0 mm at heel then 3 mm at 120 mm then 30 mm at tip, spine 40 mm at heel then 30 mm at tip\n"
    ));
    let known: Vec<&str> = worked.plan.slots.iter().map(|s| s.address.as_str()).collect();
    for address in
        ["taper 1 from", "taper 1 to", "profile 1 edge 2", "profile 1 edge 2 at", "profile 1 spine 1"]
    {
        assert!(known.contains(&address), "{address}: {known:?}");
    }
    let asked = work(&format!("{BAR}taper b from ? in 10 .. 100 mm to tip, to 2 mm thick, ground\n"));
    let kinds: Vec<_> = asked.plan.asks.iter().map(|a| asked.plan.slots[a.slot as usize].kind).collect();
    assert_eq!(kinds, [heatbook::quantity::Kind::LENGTH]);
}

/// On a blade what the calliper does not tell follows in thickness: its length and width were cut to an outline.
#[test]
fn what_was_not_measured_on_a_blade_follows_in_thickness() {
    let worked = work(&format!("{BAR}{OUTLINE}measure b: 260 g\n"));
    let piece = worked.piece("b");
    assert_eq!(piece["length_mm"].as_f64().unwrap(), 240.0);
    close(piece["mass_g"].as_f64().unwrap(), 260.0, 1e-9);
}

/// What the arithmetic rounds off does not put the tang's width where the blade's is read.
#[test]
fn the_heel_is_read_on_the_blade_and_not_on_its_tang() {
    for thick in [1.0, 1.7, 2.3, 3.1, 3.9] {
        let source = format!(
            "stock core = 1 bar of 1095, 3 x 40 x 300 mm\nstock side = 2 bars of 1018, 3 x 40 x 300 mm\n\
             stack b = side, core, side\nweld b at 1180 C, to 6 mm thick, heats 3\n\
             taper b from 60 mm to tip, to {thick} mm thick, forged, heats 3\n{OUTLINE}\
             tang b stick, to 90 mm long, 12 mm wide, 2 mm thick, forged, heats 4\n\
             expect b: width >= 35 mm from heel to 100 mm\n"
        );
        let worked = work(&source);
        assert!(worked.build.faults.is_empty(), "{thick}: {}", worked.findings(Style::Plain));
    }
}

#[test]
fn no_face_passes_the_other_where_a_chisel_grind_is_thinned() {
    for step in ["taper b from heel to tip, to 2 mm thick, ground", "grind b to 2 mm thick"] {
        let worked = work(&format!("{BAR}bevel b edge 0.3 mm, height full, left side, ground\n{step}\n"));
        assert_eq!(worked.build.standing.len(), 1);
        let stations = worked.shape().stations;
        assert!(stations.iter().flat_map(|s| &s.knots).all(|k| k.thick() >= -1e-9), "{step}");
        assert!(worked.build.balance.error < 1e-9);
    }
}

/// However often a bevel is ground, its section keeps the bends that it has; and a recipe that shapes without end is stopped.
#[test]
fn shaping_without_end_is_bounded() {
    // A step costs what its blade costs, and that has grown by nothing, however many went before.
    for lines in ["300 {\n", "5000 {\n  heat b at 800 C for 1 min\n"] {
        let ground = format!("repeat {lines}  grind b bevels 0.00001 mm\n}}\n");
        let worked = check(&format!("{BAR}bevel b edge 2 mm, height 20 mm, ground\n{ground}"));
        let stations = worked.shape().stations;
        let knots: Vec<usize> = stations.iter().map(|s| s.knots.len()).collect();
        assert!(knots.len() <= 4 && knots.iter().all(|n| *n <= 4), "{knots:?}");
        assert!(worked.build.faults.is_empty() && worked.build.balance.error < 1e-9);
    }
}

/// An outline of a thousand points, and a blade with a bend at every hair, are refused and not drawn roughly.
#[test]
fn more_shape_than_can_be_followed_is_a_fault() {
    let points: Vec<String> =
        (0..500).map(|i| format!("{} mm at {} mm", 3 + i % 2, f64::from(i) * 0.5)).collect();
    let line = format!("profile b edge {}, spine 30 mm at heel then 20 mm at tip", points.join(" then "));
    let said = work(&format!("{BAR}{line}\n")).findings(Style::Plain);
    assert!(said.contains("at most 400 points"), "{said}");
    let bevels: String = (1..500)
        .map(|i| {
            let (from, edge) = (f64::from(i) * 0.5, 2.0 - f64::from(i) * 0.001);
            format!("bevel b from {from} mm to tip, edge {edge} mm, height 20 mm, plunge 0.2 mm, ground\n")
        })
        .collect();
    let said = work(&format!("{BAR}{bevels}")).findings(Style::Plain);
    assert!(said.contains("more shaping than this book can keep"), "{said}");
}
