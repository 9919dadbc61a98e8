//! Checks of [`crate::steel::window`] against the sources of the forging table.

use crate::steel::composition::Composition;
use crate::steel::grades;
use crate::steel::law::Mark;
use crate::steel::solidus;
use crate::steel::testing::within;
use crate::steel::window::{Limit, WELD_WARNING_C, Window, by_carbon, by_composition, of, weld_lowest};

fn window(name: &str) -> Window {
    grades::find(name).map_or_else(|| by_carbon(f64::NAN), of)
}

fn t(limit: Option<Limit>) -> f64 {
    limit.map_or(f64::NAN, |l| l.t_c)
}

#[test]
fn best_supported_rows() {
    // Reference, section 10.2: highest and lowest as its sources have them.
    for (name, highest, lowest) in [
        ("1095", 1150.0, 815.0),
        ("5160", 1205.0, 870.0),
        ("52100", 1150.0, 925.0),
        ("O1", 1066.0, 843.0),
        ("L6", 1190.0, 927.0),
        ("D2", 1065.0, 926.0),
        ("C45U", 1100.0, 850.0),
        ("1018", 1250.0, 800.0),
        ("1045", 1200.0, 800.0),
        ("15N20", 1100.0, 850.0),
    ] {
        within(t(window(name).highest), highest, 0.0);
        within(t(window(name).lowest), lowest, 0.0);
    }
    within(t(window("nickel").highest), 1095.0, 0.0);
    within(t(window("304").highest), 1260.0, 0.0);
    within(t(window("wrought-iron").highest), 1371.0, 0.0);
    assert_eq!(window("nickel").lowest, None);
    let mark = |name: &str| window(name).highest.map(|l| l.mark);
    assert_eq!(mark("C45U"), Some(Mark::Read));
    assert_eq!(mark("1095"), Some(Mark::Carrier));
    assert_eq!(mark("80CrV2"), Some(Mark::Memory));
}

#[test]
fn by_carbon_between_rows_computed() {
    // Steps 0.5 % 1230 C (carrier), 0.9 % 1121 C (memory), 1.1 % 1082 C (carrier).
    within(t(by_carbon(0.7).highest), 1175.5, 1e-9);
    within(t(by_carbon(1.1).highest), 1082.0, 0.0);
    within(t(by_carbon(3.0).highest), 1049.0, 0.0);
    within(t(by_carbon(0.0).highest), 1371.0, 0.0);
    assert_eq!(by_carbon(1.1).highest.map(|l| l.mark), Some(Mark::Carrier));
    assert_eq!(by_carbon(1.0).highest.map(|l| l.mark), Some(Mark::Memory));
    assert_eq!(by_carbon(0.7).lowest.map(|l| l.mark), Some(Mark::Carrier));
    assert_eq!(by_carbon(0.45).lowest.map(|l| l.mark), Some(Mark::Read));
    assert_eq!(by_carbon(f64::NAN).highest, None);
    let eleven = t(window("1084").highest);
    assert!(eleven > 1121.0 && eleven < 1150.0);
}

#[test]
fn more_carbon_never_bears_more_heat() {
    let mut last = by_carbon(0.0);
    for i in 1..=160 {
        let next = by_carbon(f64::from(i) / 100.0);
        assert!(t(next.highest) <= t(last.highest));
        assert!(t(next.burning) <= t(last.burning));
        assert!(t(next.lowest) >= t(last.lowest));
        assert!(t(next.lowest) < t(next.highest) && t(next.highest) < t(next.burning));
        last = next;
    }
}

#[test]
fn burning_lies_below_the_solidus() {
    // Reference, 10.1: the rows for 1.1 and 1.5 % C burn 100 to 150 C under the solidus.
    for c in [1.1, 1.5] {
        let solid = solidus::of(&Composition::plain(c, 0.3, 0.2)).t_c;
        let gap = solid - t(by_carbon(c).burning);
        assert!((99.0..151.0).contains(&gap), "{c} {gap}");
    }
    within(t(window("1095").burning), t(by_carbon(0.965).burning), 0.0);
}

#[test]
fn kinds_without_a_row() {
    assert_eq!(t(window("316").highest), 1150.0);
    assert_eq!(t(window("420").highest), 1095.0);
    let mine = Composition { cr: 18.0, ni: 9.0, ..Composition::plain(0.05, 1.0, 0.5) };
    assert_eq!(t(by_composition(&mine).highest), 1150.0);
    assert_eq!(by_composition(&mine).burning, None);
}

#[test]
fn welding_heat() {
    // "Forge welding above 2000 F" on the page quoted.
    within(t(weld_lowest()), (2000.0 - 32.0) / 1.8, 0.5);
    assert!(WELD_WARNING_C < t(weld_lowest()));
}
