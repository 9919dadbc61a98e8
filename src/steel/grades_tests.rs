//! Checks of the table of steels.

use super::*;
use crate::steel::testing::within;

#[test]
fn every_row_is_read() {
    // The table has a heading and one line a steel; 34 steels in the reference, section 6.
    assert_eq!(all().len(), TABLE.trim().lines().count() - 1);
    assert_eq!(all().len(), 34);
    let mut reader = csv::Reader::from_reader(TABLE.as_bytes());
    assert!(reader.deserialize::<Row>().all(|row| row.is_ok()));
}

#[test]
fn names_smiths_type() {
    for (word, shown) in [
        ("1084", "1084"),
        ("SAE 1084", "1084"),
        ("1095", "1095"),
        ("15N20", "15N20"),
        ("75Ni8", "15N20"),
        ("1.5634", "15N20"),
        ("W1", "W1"),
        ("W2", "W2"),
        ("O1", "O1"),
        ("D2", "D2"),
        ("L6", "L6"),
        ("304", "304"),
        ("316", "316"),
        ("410", "410"),
        ("420", "420"),
        ("5160", "5160"),
        ("52100", "52100"),
        ("80CrV2", "80CrV2"),
        ("1.2235", "80CrV2"),
        ("1.2842", "1.2842"),
        ("90MnCrV8", "1.2842"),
        ("wrought-iron", "wrought-iron"),
        ("nickel", "nickel"),
        ("A203E", "A203E"),
    ] {
        assert_eq!(find(word).map(|g| g.name.as_str()), Some(shown), "{word}");
    }
    assert!(find("15n20").is_none() && find("").is_none());
}

#[test]
fn no_name_means_two_steels() {
    for g in all() {
        for name in g.names() {
            let owners = all().iter().filter(|o| o.answers_to(name)).count();
            assert_eq!(owners, 1, "{name}");
        }
        assert!(g.near.iter().all(|n| find(n).is_none()), "{}", g.name);
        assert!(!g.name.contains(' '), "{}", g.name);
    }
}

#[test]
fn suggestions() {
    assert_eq!(nearest("15n20"), Some("15N20"));
    assert_eq!(nearest("wrought iron"), Some("wrought-iron"));
    assert_eq!(nearest("nickle"), Some("nickel"));
    assert_eq!(nearest("100Cr6"), Some("52100"));
    assert_eq!(nearest("O2"), Some("1.2842"));
    assert_eq!(nearest("80crv"), Some("80CrV2"));
    assert_eq!(nearest("mystery"), None);
    assert_eq!(nearest(""), None);
    assert_eq!(nearest(&"x".repeat(100_000)), None);
}

#[test]
fn compositions() {
    let of = |word: &str| find(word).map(|g| g.composition).unwrap_or_default();
    // ASTM A576: 1084 is 0.80-0.93 C, 0.60-0.90 Mn; usual silicon 0.15-0.35.
    assert_eq!(of("1084"), Composition::plain(0.865, 0.75, 0.25));
    // EN 10132: 75Ni8 has 1.8 to 2.1 Ni (from memory) and chromium up to 0.15 only.
    within(of("15N20").ni, 1.95, 1e-12);
    within(of("15N20").cr, 0.075, 1e-12);
    // ASTM A681: O1 has tungsten 0.40-0.60; SAE J404: 52100 has chromium 1.30-1.60.
    within(of("O1").w, 0.5, 1e-12);
    within(of("52100").cr, 1.45, 1e-12);
    assert!(of("nickel").is_nickel());
    assert!(of("304").is_austenitic() && of("316").is_austenitic());
    assert!(of("410").is_stainless() && !of("410").is_austenitic());
    // ASTM A681 has no limit of vanadium for O1 below 0.30: half the most is taken.
    within(of("O1").v, 0.15, 1e-12);
}

#[test]
fn figures_are_possible() {
    for g in all() {
        let sum: f64 = g.limits.iter().map(|(_, l)| l.middle()).sum();
        assert!(sum <= 100.0, "{}", g.name);
        assert!((7600.0..=8900.0).contains(&g.density_kg_m3), "{}", g.name);
        for (symbol, l) in g.limits {
            let ordered = l.min.unwrap_or(0.0) <= l.max.unwrap_or(100.0);
            assert!(ordered, "{} {symbol}", g.name);
        }
        let text = [&g.source, &g.standard, &g.density_mark, &g.composition_mark];
        assert!(text.iter().all(|t| !t.is_empty()), "{}", g.name);
        let whole = format!("{}{}", g.source, g.note);
        assert!(!whole.contains("://") && !whole.contains("www"), "{whole}");
    }
}
