//! The laws of the house that can be read off the sources.

use std::fs;
use std::path::{Path, PathBuf};

/// The rooms from the ground up: nobody imports from a floor above.
const FLOORS: &[&[&str]] = &[
    &["bug"],
    &["vocabulary"],
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
            assert!(matches!(room, "lib.rs" | "main.rs" | "bug.rs" | "vocabulary.rs"), "{room} has no floor");
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
fn the_core_is_pure() {
    for path in sources(Path::new("src")) {
        if path.starts_with("src/cli") || path.ends_with("main.rs") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap().to_owned();
        for word in ["std::env", "std::time", "std::fs", "println!", "eprintln!", "HashSet"] {
            assert!(!text.contains(word), "{} has {word}", path.display());
        }
    }
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
