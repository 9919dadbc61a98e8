//! An order of several pieces alike: judged one by one and as an order, with odds for each and for all.

use std::fs;

use heatbook::quantity::Units;
use heatbook::study::rack;

use crate::common::{called, check};

fn order(wanted: &str) -> String {
    format!(
        "shop {{\n  kerf 2 mm +- 1 mm\n}}\nstock blade = 1 bar of 1084, 5 x 40 x 806.4 mm\ncut blade into 4\n\
         target {wanted}blade {{\n  length >= 200 mm\n}}\n"
    )
}

#[test]
fn an_order_is_met_by_as_many_bars() {
    for (wanted, met, left) in
        [("", true, None), ("3 of ", true, Some(1)), ("4 of ", true, None), ("5 of ", false, None)]
    {
        let text = order(wanted);
        let made = check(&text);
        assert_eq!(made.verdict.met, met, "{wanted}: {:?}", made.faults());
        let kept = rack(&made.plan, &made.build, &text, Units::Metric);
        assert_eq!(kept.first().map(|lot| lot.count), left, "{wanted}");
    }
    assert!(order("5 of ").lines().count() > 5 && check(&order("5 of ")).faults() == ["too_few_bars"]);
}

#[test]
fn sheet_and_quote_say_how_many_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("o.heat"), order("3 of ").replace("kerf", "price of 1084 9 per kg\n  kerf"))
        .unwrap();
    let ask = |args: &[&str]| called(folder.path(), args, "");
    let sheet = ask(&["sheet", "o.heat"]).out;
    assert!(sheet.contains("<bdi>3 of blade</bdi>"), "{sheet}");
    assert_eq!(ask(&["sheet", "o.heat", "--format", "json"]).json()["targets"][0]["wanted"], 3);
    for more in [&[][..], &["--customer"]] {
        let said = ask(&[&["quote", "o.heat"], more].concat());
        assert!(said.out.contains("3 of blade  length >= 200 mm"), "{}", said.all());
    }
    assert_eq!(ask(&["quote", "o.heat", "--format", "json"]).json()["spec"][0]["wanted"], 3);
}

#[test]
fn an_order_has_odds_for_each_and_for_all() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("o.heat"), order("3 of ")).unwrap();
    let ask = |more: &[&str]| called(folder.path(), &[&["odds", "o.heat"], more].concat(), "");
    let said = ask(&["--format", "json"]).json();
    let of = said["orders"][0].clone();
    let figure = |name: &str| of[name].as_f64().unwrap();
    assert_eq!((of["wanted"].as_u64(), of["made"].as_u64()), (Some(3), Some(4)));
    // 806.4 mm less three kerfs is four times 200 mm where a kerf is 2.133 mm: 0.267 standard deviations over.
    let each = figure("each");
    assert!((each - 0.605).abs() < 0.01, "{each}");
    assert_eq!(figure("alike"), each);
    // Three or four good of four, by the binomial law.
    let apart = 4.0 * each.powi(3) * (1.0 - each) + each.powi(4);
    assert!((figure("apart") - apart).abs() < 1e-9, "{apart}");
    let told = ask(&[]).out;
    assert!(told.contains("at least 3 good of 4"), "{told}");
    let verdict = called(folder.path(), &["check", "o.heat"], "").out;
    assert!(verdict.contains("3 of blade, each alike: 1 more is made, and is left over; "), "{verdict}");
    assert_eq!(called(folder.path(), &["fmt", "--check", "o.heat"], "").code, 0);
}

#[test]
fn where_nothing_is_unsure_no_odds_are_told() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("o.heat"), order("").replace(" +- 1 mm", "")).unwrap();
    let said = called(folder.path(), &["odds", "o.heat"], "");
    assert!(said.out.contains("no figure here has a tolerance") && !said.out.contains('%'), "{}", said.all());
    let json = called(folder.path(), &["odds", "o.heat", "--format", "json"], "").json();
    assert!(
        json["all"].is_null() && json["lines"][0]["chance"].is_null() && json["lines"][0]["met"] == true,
        "{json}"
    );
}

#[test]
fn samples_that_stop_say_what_to_write() {
    let folder = tempfile::tempdir().unwrap();
    let stacked = "stock a = 4 bars of 1084, 3 mm x 40 mm x 120 mm +- 1 mm\nstock b = 3 bars of 15N20, 1.5 x 40 x 120 mm\n\
                   stack p = alternate a, b\nweld p at 1200 C, thinning 15 %, heats 3\ntarget p {\n  layers >= 7\n}\n";
    fs::write(folder.path().join("o.heat"), stacked).unwrap();
    let said = called(folder.path(), &["odds", "o.heat", "--samples", "20000"], "").out;
    assert!(said.contains("`trimmed`"), "{said}");
    assert!(said.contains("of the samples that could be worked, all targets are met in 100"), "{said}");
}
