//! The program as it is called: exit codes, standard input, formats, and what cannot be read.

use crate::common::{heatbook, told};

fn code(args: &[&str]) -> i32 {
    heatbook(args).code
}

const FIRST: &str = "examples/ferry-galley.heat";

#[test]
fn exit_codes_are_as_documented() {
    assert_eq!(code(&["check", FIRST]), 0);
    assert_eq!(code(&["run", FIRST]), 0);
    assert_eq!(code(&["why", "width", "blade", FIRST]), 0);
    assert_eq!(code(&["steels"]), 0);
    assert_eq!(code(&["check", "examples/too-narrow-ferryman.heat"]), 1);
    assert_eq!(told(&["check", "-"], "drawe b").code, 1);
    assert_eq!(code(&["check", "no-such-file.heat"]), 2);
    assert_eq!(code(&["run", "examples"]), 2);
    assert_eq!(code(&["check"]), 2);
    assert_eq!(code(&["forge", FIRST]), 2);
    assert_eq!(code(&["why", "width", "bladde", FIRST]), 2);
    assert_eq!(code(&["steels", "marzipan"]), 2);
    assert_eq!(code(&["--help"]), 0);
    assert_eq!(code(&["--version"]), 0);
    // The worst of several counts, and the others are judged all the same.
    assert_eq!(code(&["check", FIRST, "examples/too-narrow-ferryman.heat"]), 1);
    assert_eq!(code(&["check", "no-such-file.heat", FIRST]), 2);
    // Whoever asks is told the same numbers in three places. (3 itself is tried in `cli/guard.rs`, 130 in `outside.rs`.)
    let help = heatbook(&["--help"]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    let guide = std::fs::read_to_string("src/manual/guide/at-the-keyboard.md").unwrap();
    let readme = std::fs::read_to_string("README.md").unwrap();
    for code in ["0", "1", "2", "3", "130"] {
        assert!(help.contains(&format!(" {code} ")), "{help}");
        assert!(guide.contains(&format!(" {code} ")) || guide.contains(&format!("\n{code} ")), "{code}");
        assert!(readme.contains(&format!("| {code} | ")), "{code}");
    }
}

#[test]
fn what_cannot_be_read_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let binary = folder.join("binary.heat");
    std::fs::write(&binary, [0u8, 159, 146, 150, 0, 255]).unwrap();
    let out = heatbook(&["check", binary.to_str().unwrap()]);
    assert_eq!(out.code, 2);
    assert!(out.err.contains("no text file"));
    let out = heatbook(&["run", folder.to_str().unwrap()]);
    assert!(out.err.contains("is a folder"));
    let large = folder.join("large.heat");
    std::fs::write(&large, "# \n".repeat(6 << 20)).unwrap();
    let out = heatbook(&["check", large.to_str().unwrap()]);
    assert_eq!(out.code, 2);
    assert!(out.err.contains("16 MiB"));
}

#[test]
fn json_is_json_at_every_exit() {
    for (args, input) in [
        (["run", FIRST, "--format", "json"], ""),
        (["run", "examples/too-narrow-ferryman.heat", "--format", "json"], ""),
        (["run", "-", "--format", "json"], "stock b = 1 bar of 1084, 1,5 x 40 x\n\u{1}\""),
    ] {
        let out = told(&args, input);
        let json = out.json();
        let met = json["met"].as_bool().unwrap();
        assert_eq!(met, out.code == 0);
        assert_eq!(met, json["faults"].as_array().unwrap().is_empty());
    }
    let out = told(&["check", "-", "--format", "json"], "");
    assert_eq!((out.code, out.json()["faults"].as_array().unwrap().len()), (2, 1));
    let out = heatbook(&["check", FIRST, "examples/pilot-house-sandwich.heat", "--format", "json"]);
    assert_eq!(out.json()["recipes"].as_array().unwrap().len(), 2);
}

#[test]
fn findings_come_in_four_forms() {
    let recipe = "stock b = 1 bar of 1085, 10 x 40 x 200 mm";
    let shown = |form: &str| told(&["check", "-", "--error-format", form, "--color", "never"], recipe).err;
    assert!(shown("human").contains("╰── no such grade"));
    assert!(shown("plain").contains("fault: there is no steel `1085` in the table"));
    assert!(shown("short").starts_with("standard input:1:20: fault: there is no steel `1085`"));
    let line: serde_json::Value = serde_json::from_str(shown("json").lines().next().unwrap()).unwrap();
    assert_eq!(line["code"], "heatbook::unknown_steel");
    let coloured = told(&["check", "-", "--color", "always"], recipe);
    assert!(coloured.err.contains("\u{1b}["));
    assert!(!shown("human").contains('\u{1b}'));
}

#[test]
fn units_are_the_readers() {
    let text = |units: &str| heatbook(&["check", FIRST, "--units", units]).out;
    assert!(text("in").contains("2 23/64 in"));
    assert!(text("mm").contains("60 mm"));
    // Without the option, those that the recipe is written in.
    let own = heatbook(&["check", "examples/harbour-chopper.heat"]).out;
    assert!(own.contains("2 9/16 in"));
}

#[test]
fn same_input_same_bytes() {
    let once = heatbook(&["run", FIRST]);
    assert_eq!(once.out, heatbook(&["run", FIRST]).out);
    let json = heatbook(&["run", FIRST, "--format", "json"]);
    assert_eq!(json.out, heatbook(&["run", FIRST, "--format", "json"]).out);
}

#[test]
fn csv_has_a_row_a_step() {
    let out = heatbook(&["run", FIRST, "--format", "csv"]);
    let text = out.out;
    assert_eq!(text.lines().count(), 15);
    assert!(text.lines().all(|l| l.split(',').count() == 17));
}

/// A law asked as a smith would ask it, against the figure that its source prints.
#[test]
fn laws_are_worked_with_units() {
    let value = |args: &[&str]| {
        heatbook(&[&["law", "--format", "json"], args].concat()).json()["value"].as_f64().unwrap()
    };
    // EN 1993-1-2, 3.4.1.1: dl/l at 1000 C is 1.38e-2 (computed): 100 mm gauged hot are 98.639 mm cold.
    let cold = value(&["cold-size", "hot=100mm", "temperature=1832F"]);
    assert!((cold - 98.639).abs() < 5e-4, "{cold}");
    // Tomlinson and Stringer, bite equal to width: S = 0.446 (computed), whatever the unit.
    let s = value(&["spread-open-die", "bite=1 1/2 in", "width=38.1mm"]);
    assert!((s - 0.446).abs() < 1e-9, "{s}");
    // ASTM E140: 60 HRC is 697 HV.
    assert!((value(&["hv-of-hrc", "hrc=60"]) - 697.0).abs() < 1e-9);
    assert_eq!(code(&["law"]), 0);
    assert_eq!(code(&["law", "spread-open-die"]), 2);
    assert_eq!(code(&["law", "spread-open-die", "bite=12C", "width=3mm"]), 2);
    assert_eq!(code(&["law", "marzipan"]), 2);
    let out = heatbook(&["law", "skin", "temperature=1500C"]);
    assert!(out.out.contains("outside its limits: `temperature` is 1500 C"));
}

/// A full disk behind `>` must not look like success: what went there would be taken for the recipe.
#[cfg(target_os = "linux")]
#[test]
fn what_cannot_be_written_is_said() {
    for args in [&["fmt", "-"][..], &["run", FIRST], &["check", FIRST, "--format", "json"], &["man"]] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let recipe = std::fs::File::open(FIRST).unwrap();
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_heatbook"));
        let out = command.args(args).stdin(recipe).stdout(full).output().unwrap();
        let said = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{args:?}: {said}");
        assert!(said.contains("the answer could not be written"), "{args:?}: {said}");
    }
}

/// What is there already is written over only where it is of the same kind, and keeps its rights, owner and other names.
#[cfg(unix)]
#[test]
fn no_file_is_written_over_but_by_its_kind() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (recipe, svg) = (path("victim.heat"), path("a.svg"));
    let loose = "stock   b = 1 bar of 1084, 10 x 40 x 200 mm\n";
    std::fs::write(&recipe, loose).unwrap();
    let sweep =
        |to: &str| heatbook(&["sweep", FIRST, "--vary", "spread 1 wide = 55 mm .. 80 mm / 3", "--svg", to]);
    let out = sweep(&recipe);
    assert_eq!(out.code, 2, "{}", out.err);
    assert!(out.err.contains("is no drawing: name another file"), "{}", out.err);
    assert_eq!(std::fs::read_to_string(&recipe).unwrap(), loose);
    for _ in 0..2 {
        assert_eq!(sweep(&svg).code, 0);
    }
    let mode = |file: &str| std::fs::metadata(file).unwrap().permissions().mode() & 0o777;
    let plain = path("plain");
    std::fs::write(&plain, "").unwrap();
    assert_eq!(mode(&svg), mode(&plain));

    let fmt = || heatbook(&["fmt", &recipe]);
    std::fs::hard_link(&recipe, path("other.heat")).unwrap();
    assert!(fmt().err.contains("has more than one name"), "{}", fmt().err);
    std::fs::remove_file(path("other.heat")).unwrap();
    std::fs::set_permissions(&recipe, PermissionsExt::from_mode(0o444)).unwrap();
    assert!(fmt().err.contains("is write-protected"), "{}", fmt().err);
    assert_eq!(std::fs::read_to_string(&recipe).unwrap(), loose);
    std::fs::set_permissions(&recipe, PermissionsExt::from_mode(0o640)).unwrap();
    assert_eq!(fmt().code, 0, "{}", fmt().err);
    assert_eq!(mode(&recipe), 0o640);
    assert_ne!(std::fs::read_to_string(&recipe).unwrap(), loose);
    // Nothing of ours is left behind.
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3);
}
