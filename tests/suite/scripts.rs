//! What scripts and build services ask: folders, findings in their forms, mends taken at once.

use std::path::PathBuf;

use serde_json::Value;

use crate::common::called;

const GOOD: &str = "stock b = 1 bar of 1084, 5 x 40 x 200 mm\ntarget b {\n  width >= 39 mm\n}\n";
const MISSED: &str = "stock b = 1 bar of 1084, 5 x 40 x 200 mm\ntarget b {\n  width >= 41 mm\n}\n";
const MISSPELT: &str =
    "stock b = 1 bar of 1084, 5 x 40 x 200 mm\ngrnid b faces 0.2 mm\ndraw b to 4 mm thik, heats 3\n";

fn folder(name: &str, files: &[(&str, &str)]) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("scripts-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    for (path, text) in files {
        let path = folder.join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    folder
}

#[test]
fn a_folder_stands_for_the_recipes_below_it() {
    let files = [
        ("order/a.heat", GOOD),
        ("order/deep/b.heat", MISSED),
        ("order/.old/c.heat", "x"),
        ("order/notes.txt", "x"),
    ];
    let at = folder("below", &files);
    let said = called(&at, &["check", "order", "--format", "json"], "");
    assert_eq!(said.code, 1, "{}", said.err);
    let json = said.json();
    let names: Vec<&str> =
        json["recipes"].as_array().unwrap().iter().map(|r| r["file"].as_str().unwrap()).collect();
    assert_eq!(names, ["order/a.heat", "order/deep/b.heat"]);
    let said = called(&at, &["fmt", "--check", "order"], "");
    assert_eq!((said.code, said.all().contains("c.heat")), (0, false), "{}", said.all());
    let said = called(&at, &["check", "order/deep/none"], "");
    assert_eq!(said.code, 2);
    std::fs::create_dir(at.join("empty")).unwrap();
    let said = called(&at, &["check", "empty"], "");
    assert!(said.code == 2 && said.err.contains("no file that ends in `.heat`"), "{}", said.err);
}

#[test]
fn what_is_written_wrong_is_mended_in_the_file_and_sizes_are_not() {
    let at = folder(
        "fix",
        &[("a.heat", MISSPELT), ("b.heat", MISSED), ("crlf.heat", &MISSPELT.replace('\n', "\r\n"))],
    );
    let said = called(&at, &["check", "--fix", "a.heat", "crlf.heat"], "");
    let mended = MISSPELT.replace("grnid", "grind").replace("thik", "thick");
    assert_eq!(std::fs::read_to_string(at.join("a.heat")).unwrap(), mended, "{}", said.err);
    assert_eq!(std::fs::read_to_string(at.join("crlf.heat")).unwrap(), mended.replace('\n', "\r\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    for told in ["a.heat:2:1: `grind` instead of `grnid`", "a.heat:3:16: `thick` instead of `thik`"] {
        assert!(said.err.contains(told), "{}", said.err);
    }
    let said = called(&at, &["check", "--fix", "b.heat"], "");
    assert_eq!((said.code, std::fs::read_to_string(at.join("b.heat")).unwrap().as_str()), (1, MISSED));
    // One that cannot be read keeps nobody from the others.
    std::fs::write(at.join("a.heat"), MISSPELT).unwrap();
    let said = called(&at, &["check", "--fix", "none.heat", "a.heat"], "");
    assert_eq!((said.code, std::fs::read_to_string(at.join("a.heat")).unwrap()), (2, mended), "{}", said.err);
    let said = called(&at, &["check", "--fix", "-"], GOOD);
    assert!(said.code == 2 && said.err.contains("name one"), "{}", said.err);
}

/// As other formatters have it: what is not in the style is named, counted, shown as a patch that `patch` takes, and ends with 1;
/// nothing is written.
#[test]
fn what_fmt_would_change_is_told_and_ends_with_1() {
    let messy = GOOD.replace("5 x 40", "5  x  40");
    let at = folder("fmt", &[("good.heat", GOOD), ("messy.heat", &messy), ("two/messy.heat", &messy)]);
    let said = called(&at, &["fmt", "--check", "."], "");
    assert_eq!(said.code, 1, "{}", said.all());
    assert!(said.err.contains("messy.heat: not in") && !said.err.contains("good.heat"), "{}", said.err);
    assert!(said.err.contains("2 of 3 files are not in the house style"), "{}", said.err);
    assert_eq!(called(&at, &["fmt", "--check", "--diff", "good.heat"], "").code, 0);
    let said = called(&at, &["fmt", "--diff", "messy.heat", "good.heat"], "");
    assert_eq!((said.code, said.err.as_str()), (1, ""), "{}", said.all());
    assert!(
        said.out.starts_with("--- messy.heat\n+++ messy.heat\t") && said.out.contains("\n-stock"),
        "{}",
        said.out
    );
    let read = |file: &str| std::fs::read_to_string(at.join(file)).unwrap();
    assert_eq!(read("messy.heat"), messy);
    std::fs::write(at.join("a.diff"), &said.out).unwrap();
    let patch =
        std::process::Command::new("patch").args(["-s", "-p0", "-i", "a.diff"]).current_dir(&at).status();
    if let Ok(status) = patch {
        assert!(status.success());
        assert_eq!(read("messy.heat"), GOOD);
    }
    assert_eq!(called(&at, &["fmt", "."], "").code, 0);
    assert_eq!((read("messy.heat").as_str(), read("two/messy.heat").as_str()), (GOOD, GOOD));
    assert_eq!(called(&at, &["fmt", "--check", "."], "").all(), "");
}

/// Workflow commands as the build service's documents have them: `::error file=…,line=…,endLine=…,col=…,endColumn=…,title=…::message`,
/// with `%`, line feed and carriage return written as `%25`, `%0A`, `%0D`, in properties also `:` and `,`.
#[test]
fn findings_stand_beside_a_change() {
    let at = folder("github", &[("a, b.heat", MISSED)]);
    let said = called(&at, &["check", "a, b.heat", "--error-format", "github"], "");
    let line =
        said.err.lines().find(|line| line.starts_with("::error ")).unwrap_or_else(|| panic!("{}", said.err));
    let (head, message) = line.trim_start_matches("::error ").split_once("::").unwrap();
    assert_eq!(
        head,
        "file=a%2C b.heat,line=3,endLine=3,col=3,endColumn=17,title=heatbook%3A%3Atarget_missed"
    );
    assert!(message.contains("40 mm") && message.contains("%0A"), "{message}");
}

/// Required properties and the meaning of places by SARIF 2.1.0 (OASIS), sections 3.13, 3.14, 3.27, 3.30 and 3.55.
#[test]
fn findings_are_written_for_analysis_tools() {
    let at = folder(
        "sarif",
        &[("ä b.heat", &format!("# é\n{MISSPELT}")), ("m.heat", MISSED), ("mine.txt", "mine")],
    );
    let said = called(&at, &["check", ".", "--sarif", "found.sarif"], "");
    assert_eq!(said.code, 1, "{}", said.err);
    let log: Value = serde_json::from_str(&std::fs::read_to_string(at.join("found.sarif")).unwrap()).unwrap();
    assert_eq!(log["version"], "2.1.0");
    let run = &log["runs"][0];
    assert_eq!(run["tool"]["driver"]["name"], "heatbook");
    let rules: Vec<&Value> =
        run["tool"]["driver"]["rules"].as_array().unwrap().iter().map(|r| &r["id"]).collect();
    let results = run["results"].as_array().unwrap();
    assert!(
        results.len() >= 3
            && results.iter().all(|r| rules.contains(&&r["ruleId"]) && r["message"]["text"].is_string())
    );
    let verb = results.iter().find(|r| r["ruleId"] == "heatbook::unknown_verb").unwrap();
    let place = &verb["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "./%C3%A4%20b.heat");
    let region = serde_json::json!({ "startLine": 3, "startColumn": 1, "endLine": 3, "endColumn": 6 });
    assert_eq!((&place["region"], &verb["level"]), (&region, &Value::from("error")));
    let change = &verb["fixes"][0]["artifactChanges"][0]["replacements"][0];
    assert_eq!(
        (&change["deletedRegion"], &change["insertedContent"]["text"]),
        (&region, &Value::from("grind"))
    );
    // Once more over its own log, and over nobody else's file.
    assert_eq!(called(&at, &["check", "m.heat", "--sarif", "found.sarif"], "").code, 1);
    let said = called(&at, &["check", "m.heat", "--sarif", "mine.txt"], "");
    assert_eq!(
        (said.code, std::fs::read_to_string(at.join("mine.txt")).unwrap().as_str()),
        (2, "mine"),
        "{}",
        said.err
    );
}

#[test]
fn a_finding_tells_its_edits_to_programs() {
    let at = folder("edits", &[("a.heat", MISSPELT)]);
    let said = called(&at, &["check", "a.heat", "--format", "json"], "");
    let json = said.json();
    let found = &json["faults"][0];
    let edit = serde_json::json!({ "file": "a.heat", "line": 2, "column": 1, "end_line": 2, "end_column": 6, "text": "grind" });
    assert_eq!(found["edits"], serde_json::json!([edit]));
}
