//! Every unit against the `pint` package: `tests/oracle/units.csv`, made by `tests/oracle/pint_units.py`.

use crate::common::{slot, work};

#[test]
fn units_agree_with_pint() {
    let table = include_str!("../oracle/units.csv");
    let mut looked = 0;
    for row in table.lines().skip(2) {
        let (text, base) = row.rsplit_once(',').unwrap();
        let want: f64 = base.parse().unwrap();
        let worked = work(&format!("let a = {text}"));
        assert_eq!(worked.faults(), Vec::<&str>::new(), "{text}");
        let got = worked.plan.values.at(slot(&worked.plan, "a"));
        assert!((got - want).abs() <= 1e-13 * want.abs().max(1.0), "{text}: {got}, pint has {want}");
        looked += 1;
    }
    assert!(looked > 120, "{looked} rows");
}

/// Every unit that is not refused has a row; HRC is a scale of its own and has nothing to be held against.
#[test]
fn no_unit_is_left_out() {
    let table = include_str!("../oracle/units.csv");
    for unit in heatbook::quantity::UNITS {
        let other_spelling = ["inches", "lbs", "sec", "hour", "hours", "°", "°C", "HRC"].contains(&unit.word);
        let refused = matches!(unit.reading, heatbook::quantity::Reading::Refused(_));
        let has_row = table
            .lines()
            .any(|r| r.rsplit_once(',').is_some_and(|(t, _)| t.ends_with(&format!(" {}", unit.word))));
        assert!(has_row || refused || other_spelling, "{} has no row", unit.word);
    }
}

#[test]
fn arithmetic_keeps_its_kinds() {
    for (text, want) in [
        ("40 mm * 30 mm", 1200.0),
        ("1200 mm2 / 30 mm", 40.0),
        ("2 * (3 mm + 1 mm) - 1 mm", 7.0),
        ("1 - 15 %", 0.85),
        ("15 % + 2 %", 0.17),
        ("40 mm * 15 %", 6.0),
        ("80 mm / 40 mm", 2.0),
        ("-3 mm + 5 mm", 2.0),
        ("1/2 in + 1 mm", 13.7),
        ("2 kg / 2 cm3", 1.0),
    ] {
        let worked = work(&format!("let a = {text}"));
        assert_eq!(worked.faults(), Vec::<&str>::new(), "{text}");
        let got = worked.plan.values.at(slot(&worked.plan, "a"));
        assert!((got - want).abs() < 1e-12, "{text}");
    }
    for (text, code) in [
        ("40 mm + 2 kg", "unlike_kinds"),
        ("40 mm - 3", "unlike_kinds"),
        ("1200 C * 2", "temperature_product"),
        ("40 mm +- 2 kg", "unlike_kinds"),
        ("1 mm / 0 mm", "no_figure"),
    ] {
        assert_eq!(work(&format!("let a = {text}")).faults(), [code], "{text}");
    }
}
