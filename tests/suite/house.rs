//! The laws of the house that can be read off the sources.

use std::fs;
use std::path::{Path, PathBuf};

/// The rooms from the ground up: nobody imports from a floor above.
const FLOORS: &[&[&str]] = &[
    &["bug"],
    &["quantity"],
    &["source"],
    &["steel"],
    &["piece"],
    &["spec"],
    &["forge"],
    &["language"],
    &["replay"],
    &["study"],
    &["manual"],
    &["report"],
    &["cli", "editor"],
];

fn sources(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

fn floor(room: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&room))
}

#[test]
fn no_floor_imports_from_one_above() {
    let mut looked = 0;
    for path in sources(Path::new("src")) {
        let inside = path.strip_prefix("src").unwrap();
        let room = inside.components().next().unwrap().as_os_str().to_str().unwrap();
        let Some(own) = floor(room) else {
            assert!(matches!(room, "lib.rs" | "main.rs" | "bug.rs"), "{room} has no floor");
            continue;
        };
        for (n, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
            for part in line.split("crate::").skip(1) {
                let other: String = part.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let Some(theirs) = floor(&other) else { continue };
                looked += 1;
                assert!(theirs <= own, "{}:{}: {room} imports from {other}", path.display(), n + 1);
            }
        }
    }
    assert!(looked > 100, "only {looked} imports were looked at");
}

#[test]
fn the_language_knows_no_verb_by_name() {
    let verbs: Vec<&str> = heatbook::forge::WORDS.iter().map(|w| w.word).collect();
    for path in sources(Path::new("src/language")) {
        let text = fs::read_to_string(&path).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap();
        for verb in ["weld", "draw", "upset", "fold", "grind", "join", "flip"] {
            assert!(verbs.contains(&verb));
            assert!(!text.contains(&format!("\"{verb}\"")), "{} names the verb {verb}", path.display());
        }
    }
}

#[test]
fn grammar_and_table_have_the_same_units() {
    let grammar = fs::read_to_string("grammar/heatbook.pest").unwrap();
    for unit in heatbook::quantity::UNITS {
        let written = match unit.word {
            "US tonf" => "\"US\" ~ blank+ ~ \"tonf\"".to_owned(),
            "\"" => r#""\"""#.to_owned(),
            word => format!("\"{word}\""),
        };
        assert!(grammar.contains(&written), "the grammar lacks the unit {}", unit.word);
    }
}

/// What `Cargo.toml` promises is what the packages need that it builds on: the newest of their minimum Rust versions.
#[test]
fn the_minimum_rust_version_is_the_true_one() {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    // Only what this machine builds with is at hand offline.
    let rustc = std::process::Command::new("rustc").arg("-vV").output().unwrap();
    let rustc = String::from_utf8(rustc.stdout).unwrap();
    let host = rustc.lines().find_map(|l| l.strip_prefix("host: ")).unwrap();
    let args = ["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform", host];
    let out = std::process::Command::new(cargo).args(args).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let all: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let version = |of: &serde_json::Value| -> Option<Vec<u32>> {
        of["rust_version"]
            .as_str()
            .map(|v| v.split('.').chain(["0"]).take(3).map(|n| n.parse().unwrap()).collect())
    };
    let packages = all["packages"].as_array().unwrap();
    let [own] = packages.iter().filter(|p| p["source"].is_null()).collect::<Vec<_>>()[..] else {
        panic!("one package is ours")
    };
    // What only tests are built with counts too: they are run on that version as well.
    let newest = packages.iter().filter(|p| !p["source"].is_null()).filter_map(version).max().unwrap();
    let who: Vec<&str> = packages
        .iter()
        .filter(|p| version(p).as_ref() == Some(&newest))
        .filter_map(|p| p["name"].as_str())
        .collect();
    assert_eq!(version(own).unwrap(), newest, "{who:?}");
}

#[test]
fn every_verb_has_an_example_that_parses() {
    for word in heatbook::forge::WORDS {
        assert!(word.example.starts_with(word.word), "{}", word.example);
        let mut files = heatbook::source::Files::default();
        let base = files.add("example", word.example).unwrap();
        let (_, faults) = heatbook::language::read(&files, base);
        let syntax: Vec<_> = faults
            .iter()
            .filter(|f| matches!(f.code.name(), "syntax" | "unfinished" | "unknown_verb"))
            .collect();
        assert!(syntax.is_empty(), "{}: {syntax:?}", word.example);
    }
}
