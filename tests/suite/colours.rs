//! The TextMate grammar: its words are those of the language, all of them and no others.

use std::collections::BTreeSet;

use heatbook::forge::WORDS;
use heatbook::language::{RESERVED, STATEMENTS};
use heatbook::quantity::{Reading, UNITS};
use heatbook::spec::What;
use serde_json::Value;

fn grammar() -> Value {
    serde_json::from_str(&std::fs::read_to_string("grammar/heatbook.tmLanguage.json").unwrap()).unwrap()
}

/// The words of the first alternatives in brackets that a rule matches.
fn words(grammar: &Value, rule: &str) -> BTreeSet<String> {
    let pattern = grammar["repository"][rule]["match"].as_str().unwrap_or_else(|| panic!("no rule {rule}"));
    let list =
        pattern.split("(?:").map(|p| p.split([')']).next().unwrap()).max_by_key(|p| p.matches('|').count());
    list.unwrap().split('|').map(|w| w.replace("\\s+", " ").replace('\\', "")).collect()
}

fn owned<'a>(words: impl IntoIterator<Item = &'a str>) -> BTreeSet<String> {
    words.into_iter().map(str::to_owned).collect()
}

#[test]
fn each_list_is_the_languages_own() {
    let grammar = grammar();
    assert_eq!(words(&grammar, "verbs"), owned(WORDS.iter().map(|w| w.word)));
    assert_eq!(words(&grammar, "statements"), owned(STATEMENTS.iter().copied()));
    assert_eq!(words(&grammar, "reserved"), owned(RESERVED.iter().copied()));
    assert_eq!(words(&grammar, "tests"), owned(What::ALL.map(What::word)));
    let read = |u: &&heatbook::quantity::Unit| !matches!(u.reading, Reading::Refused(_));
    let units = UNITS.iter().filter(read).map(|u| u.word).filter(|u| !matches!(*u, "%" | "°"));
    assert_eq!(words(&grammar, "units"), owned(units));
    let kinds = [
        "count",
        "number",
        "length",
        "mass",
        "temperature",
        "time",
        "share",
        "force",
        "hardness",
        "piece",
        "steel",
    ];
    assert_eq!(words(&grammar, "kinds"), owned(kinds));
}

/// Every word in quotes of the grammar that reads recipes, comments aside.
fn read_words() -> BTreeSet<String> {
    let text = std::fs::read_to_string("grammar/heatbook.pest").unwrap();
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim_start().starts_with("//")).collect();
    let mut found = BTreeSet::new();
    for line in lines {
        // A quote behind a stroke does not end a text.
        let line = line.replace("\\\"", "");
        found.extend(line.split('"').skip(1).step_by(2).map(str::to_owned));
    }
    let letter = |w: &String| w.trim_start_matches('°').starts_with(char::is_alphabetic);
    found.into_iter().filter(letter).collect()
}

#[test]
fn no_word_that_is_read_lacks_a_colour_and_none_has_one_for_nothing() {
    let grammar = grammar();
    let rules = ["verbs", "statements", "tests", "kinds", "elements", "reserved", "fires", "small", "units"];
    let coloured: BTreeSet<String> = rules
        .iter()
        .flat_map(|rule| words(&grammar, rule))
        .flat_map(|w| w.split(' ').map(str::to_owned).collect::<Vec<_>>())
        .collect();
    let refused: BTreeSet<String> =
        owned(UNITS.iter().filter(|u| matches!(u.reading, Reading::Refused(_))).map(|u| u.word));
    let mut known: BTreeSet<String> = read_words().difference(&refused).cloned().collect();
    assert!(known.len() > 100, "only {} words are read", known.len());
    known.extend(owned(WORDS.iter().map(|w| w.word)));
    known.extend(owned(STATEMENTS.iter().copied()));
    known.extend(owned(RESERVED.iter().copied()));
    let lack: Vec<&String> = known.difference(&coloured).collect();
    let idle: Vec<&String> = coloured.difference(&known).collect();
    assert!(lack.is_empty(), "no colour: {lack:?}");
    assert!(idle.is_empty(), "coloured, and no word of the language: {idle:?}");
}

#[test]
fn the_extension_names_files_that_are_there() {
    let read = |name: &str| std::fs::read_to_string(format!("grammar/{name}")).unwrap();
    let package: Value = serde_json::from_str(&read("package.json")).unwrap();
    let language = &package["contributes"]["languages"][0];
    let coloured = &package["contributes"]["grammars"][0];
    assert_eq!(coloured["scopeName"], grammar()["scopeName"]);
    assert_eq!(coloured["language"], language["id"]);
    for file in [&language["configuration"], &coloured["path"]] {
        let named = file.as_str().unwrap().trim_start_matches("./");
        serde_json::from_str::<Value>(&read(named)).unwrap();
    }
    assert!(read(package["main"].as_str().unwrap().trim_start_matches("./")).contains("\"lsp\""));
    let page = read("EDITORS.md");
    assert!(page.contains("heatbook.program") && page.contains("\"lsp\""));
}
