//! The replay against a second reading of the same arithmetic, in Python, on layers written out one by one:
//! `tests/oracle/cases.json`, made by `tests/oracle/replay.py`.

use crate::common::work;

#[test]
fn replay_agrees_with_the_second_reading() {
    let cases: serde_json::Value = serde_json::from_str(include_str!("../oracle/cases.json")).unwrap();
    let mut steps = 0;
    for case in cases.as_array().unwrap() {
        let source = case["source"].as_str().unwrap();
        let worked = work(source);
        assert_eq!(worked.faults(), Vec::<&str>::new(), "{source}");
        let json = worked.json();
        let (got, want) = (json["steps"].as_array().unwrap(), case["steps"].as_array().unwrap());
        assert_eq!(got.len(), want.len(), "{source}");
        for (got, want) in got.iter().zip(want) {
            let after = &got["after"];
            let place = format!("step {} ({}) of\n{source}", got["n"], got["verb"]);
            for size in ["thickness_mm", "width_mm", "length_mm", "mass_g"] {
                let (got, want) = (after[size].as_f64().unwrap(), want[size].as_f64().unwrap());
                assert!((got - want).abs() <= 1e-9 * want, "{size} {got}, second reading {want}, {place}");
            }
            for count in ["bars", "loose", "layers", "bands", "verb"] {
                let got = if count == "verb" { &got["verb"] } else { &after[count] };
                assert_eq!(*got, want[count], "{count}, {place}");
            }
            steps += 1;
        }
    }
    assert!(steps > 1000, "{steps} steps");
}
