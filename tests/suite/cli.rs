//! The program as it is called: exit codes, standard input, formats, and what cannot be read.

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn heatbook(args: &[&str], input: Option<&str>) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_heatbook"))
        .args(args)
        .stdin(if input.is_some() { Stdio::piped() } else { Stdio::null() })
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    if let Some(input) = input {
        child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    }
    child.wait_with_output().unwrap()
}

fn code(args: &[&str], input: Option<&str>) -> i32 {
    heatbook(args, input).status.code().unwrap()
}

const FIRST: &str = "examples/ferry-galley.heat";

#[test]
fn exit_codes_are_as_documented() {
    assert_eq!(code(&["check", FIRST], None), 0);
    assert_eq!(code(&["run", FIRST], None), 0);
    assert_eq!(code(&["why", "width", "blade", FIRST], None), 0);
    assert_eq!(code(&["steels"], None), 0);
    assert_eq!(code(&["check", "examples/too-narrow-ferryman.heat"], None), 1);
    assert_eq!(code(&["check", "-"], Some("drawe b")), 1);
    assert_eq!(code(&["check", "no-such-file.heat"], None), 2);
    assert_eq!(code(&["check", "examples"], None), 2);
    assert_eq!(code(&["check"], None), 2);
    assert_eq!(code(&["forge", FIRST], None), 2);
    assert_eq!(code(&["why", "width", "bladde", FIRST], None), 2);
    assert_eq!(code(&["steels", "marzipan"], None), 2);
    assert_eq!(code(&["--help"], None), 0);
    assert_eq!(code(&["--version"], None), 0);
    // The worst of several counts, and the others are judged all the same.
    assert_eq!(code(&["check", FIRST, "examples/too-narrow-ferryman.heat"], None), 1);
    assert_eq!(code(&["check", "no-such-file.heat", FIRST], None), 2);
}

#[test]
fn what_cannot_be_read_is_said() {
    let folder = std::env::temp_dir().join(format!("heatbook-cli-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let binary = folder.join("binary.heat");
    std::fs::write(&binary, [0u8, 159, 146, 150, 0, 255]).unwrap();
    let out = heatbook(&["check", binary.to_str().unwrap()], None);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("no text file"));
    let out = heatbook(&["check", folder.to_str().unwrap()], None);
    assert!(String::from_utf8_lossy(&out.stderr).contains("is a folder"));
    let large = folder.join("large.heat");
    std::fs::write(&large, "# \n".repeat(6 << 20)).unwrap();
    let out = heatbook(&["check", large.to_str().unwrap()], None);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("16 MiB"));
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn json_is_json_at_every_exit() {
    for (args, input) in [
        (["run", FIRST, "--format", "json"], None),
        (["run", "examples/too-narrow-ferryman.heat", "--format", "json"], None),
        (["run", "-", "--format", "json"], Some("stock b = 1 bar of 1084, 1,5 x 40 x\n\u{1}\"")),
        (["check", "-", "--format", "json"], Some("")),
    ] {
        let out = heatbook(&args, input);
        let json: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        let met = json["met"].as_bool().unwrap();
        assert_eq!(met, out.status.code() == Some(0));
        assert_eq!(met, json["faults"].as_array().unwrap().is_empty());
    }
    let out = heatbook(&["check", FIRST, "examples/pilot-house-sandwich.heat", "--format", "json"], None);
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(json["recipes"].as_array().unwrap().len(), 2);
}

#[test]
fn findings_come_in_four_forms() {
    let recipe = "stock b = 1 bar of 1085, 10 x 40 x 200 mm";
    let shown = |form: &str| {
        let out = heatbook(&["check", "-", "--error-format", form, "--color", "never"], Some(recipe));
        String::from_utf8(out.stderr).unwrap()
    };
    assert!(shown("human").contains("╰── no such grade"));
    assert!(shown("plain").contains("fault: there is no steel `1085` in the table"));
    assert!(shown("short").starts_with("standard input:1:20: fault: there is no steel `1085`"));
    let line: serde_json::Value = serde_json::from_str(shown("json").lines().next().unwrap()).unwrap();
    assert_eq!(line["code"], "heatbook::unknown_steel");
    let coloured = heatbook(&["check", "-", "--color", "always"], Some(recipe));
    assert!(String::from_utf8_lossy(&coloured.stderr).contains("\u{1b}["));
    assert!(!shown("human").contains('\u{1b}'));
}

#[test]
fn units_are_the_readers() {
    let text =
        |units: &str| String::from_utf8(heatbook(&["check", FIRST, "--units", units], None).stdout).unwrap();
    assert!(text("in").contains("2.362 in"));
    assert!(text("mm").contains("60 mm"));
    // Without the option, those that the recipe is written in.
    let own = String::from_utf8(heatbook(&["check", "examples/harbour-chopper.heat"], None).stdout).unwrap();
    assert!(own.contains("2.562 in"));
}

#[test]
fn same_input_same_bytes() {
    let once = heatbook(&["run", FIRST], None);
    assert_eq!(once.stdout, heatbook(&["run", FIRST], None).stdout);
    let json = heatbook(&["run", FIRST, "--format", "json"], None);
    assert_eq!(json.stdout, heatbook(&["run", FIRST, "--format", "json"], None).stdout);
}

#[test]
fn csv_has_a_row_a_step() {
    let out = heatbook(&["run", FIRST, "--format", "csv"], None);
    let text = String::from_utf8(out.stdout).unwrap();
    assert_eq!(text.lines().count(), 15);
    assert!(text.lines().all(|l| l.split(',').count() == 17));
}

/// A law asked as a smith would ask it, against the figure that its source prints.
#[test]
fn laws_are_worked_with_units() {
    let value = |args: &[&str]| {
        let out = heatbook(&[&["law", "--format", "json"], args].concat(), None);
        let json: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        json["value"].as_f64().unwrap()
    };
    // EN 1993-1-2, 3.4.1.1: dl/l at 1000 C is 1.38e-2 (computed): 100 mm gauged hot are 98.639 mm cold.
    let cold = value(&["cold-size", "hot=100mm", "temperature=1832F"]);
    assert!((cold - 98.639).abs() < 5e-4, "{cold}");
    // Tomlinson and Stringer, bite equal to width: S = 0.446 (computed), whatever the unit.
    let s = value(&["spread-open-die", "bite=1 1/2 in", "width=38.1mm"]);
    assert!((s - 0.446).abs() < 1e-9, "{s}");
    // ASTM E140: 60 HRC is 697 HV.
    assert!((value(&["hv-of-hrc", "hrc=60"]) - 697.0).abs() < 1e-9);
    assert_eq!(code(&["law"], None), 0);
    assert_eq!(code(&["law", "spread-open-die"], None), 2);
    assert_eq!(code(&["law", "spread-open-die", "bite=12C", "width=3mm"], None), 2);
    assert_eq!(code(&["law", "marzipan"], None), 2);
    let out = heatbook(&["law", "skin", "temperature=1500C"], None);
    assert!(String::from_utf8_lossy(&out.stdout).contains("outside its limits: `temperature` is 1500 C"));
}
