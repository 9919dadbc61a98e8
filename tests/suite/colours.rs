//! The vocabulary holds the grammar that reads recipes, and the colours of editors are written from it:
//! `HEATBOOK_COLOURS=write cargo test colours` puts new words into the file.

use std::collections::BTreeSet;

use heatbook::forge::{Key, Pattern};
use heatbook::language::vocabulary;
use heatbook::vocabulary::{Sort, Term};
use serde_json::Value;

const COLOURS: &str = "grammar/heatbook.tmLanguage.json";

/// The single words that a choice of terms is spelt with.
fn spelt(of: impl Fn(&Term) -> bool) -> BTreeSet<&'static str> {
    let terms = vocabulary().iter().filter(|t| of(t));
    terms.flat_map(|t| t.spellings()).flat_map(|word| word.split(' ')).collect()
}

/// The words of each rule of the colours, as they are spelt.
fn lists() -> Vec<(&'static str, Vec<String>)> {
    let of = |sort: Sort| -> BTreeSet<&str> {
        vocabulary().iter().filter(|t| t.sort == sort).flat_map(|t| t.spellings()).collect()
    };
    let reserved = spelt(|t| t.reserved);
    let fires: BTreeSet<&str> = [Sort::Fuel, Sort::Fire, Sort::Medium].into_iter().flat_map(of).collect();
    let small = spelt(|t| t.sort.follows() || t.sort == Sort::Entry);
    let small = small.iter().filter(|w| !reserved.contains(*w) && !fires.contains(*w)).copied();
    let small = small.filter(|w| !of(Sort::Unit).contains(w) && !of(Sort::Verb).contains(w)).collect();
    let units = of(Sort::Unit).into_iter().filter(|w| w.chars().any(char::is_alphabetic)).collect();
    let rules = [
        ("verbs", of(Sort::Verb)),
        ("statements", of(Sort::Statement)),
        ("entries", of(Sort::Entry)),
        ("tests", of(Sort::Test)),
        ("kinds", of(Sort::Kind)),
        ("elements", of(Sort::Element)),
        ("reserved", reserved),
        ("fires", fires),
        ("small", small),
        ("units", units),
    ];
    let longest_first = |words: BTreeSet<&str>| {
        let mut words: Vec<String> = words.into_iter().map(|w| w.replace(' ', "\\\\s+")).collect();
        words.sort_by_key(|w| std::cmp::Reverse(w.chars().count()));
        words
    };
    rules.into_iter().map(|(rule, words)| (rule, longest_first(words))).collect()
}

#[test]
fn the_colours_are_written_from_the_vocabulary() {
    let was = std::fs::read_to_string(COLOURS).unwrap();
    let mut made = was.clone();
    for (rule, words) in lists() {
        let from = made.find(&format!("    \"{rule}\": {{")).unwrap_or_else(|| panic!("no rule {rule}"));
        let from = from + made[from..].find("\"match\"").unwrap();
        let rule = &made[from..from + made[from..].find('\n').unwrap()];
        // The longest row of alternatives is the list.
        let rows = rule.match_indices("(?:").map(|(at, mark)| at + mark.len());
        let row = |at: usize| at + rule[at..].find(')').unwrap();
        let open = rows.max_by_key(|at| rule[*at..row(*at)].matches('|').count()).unwrap();
        let (open, close) = (from + open, from + row(open));
        made.replace_range(open..close, &words.join("|"));
    }
    if std::env::var("HEATBOOK_COLOURS").is_ok() {
        // In one go: the test beside this one reads the file.
        let fresh = tempfile::NamedTempFile::new_in("grammar").unwrap();
        std::fs::write(&fresh, &made).unwrap();
        fresh.persist(COLOURS).unwrap();
    }
    assert_eq!(was, made, "write the colours anew: HEATBOOK_COLOURS=write cargo test colours");
    serde_json::from_str::<Value>(&made).unwrap();
}

/// The rules of the grammar: name, and what stands behind its `=`.
fn rules() -> Vec<(String, String)> {
    let text = std::fs::read_to_string("grammar/heatbook.pest").unwrap();
    let mut rules: Vec<(String, String)> = Vec::new();
    for line in text.lines().filter(|l| !l.trim_start().starts_with("//")) {
        match line.split_once(" = ").filter(|_| !line.starts_with(' ')) {
            Some((name, body)) => rules.push((name.trim().to_owned(), body.to_owned())),
            None => rules.last_mut().into_iter().for_each(|(_, body)| *body += line),
        }
    }
    rules
}

/// The words in quotes.
fn quoted(body: &str) -> BTreeSet<String> {
    // A quote behind a stroke does not end a text.
    let body = body.replace("\\\"", "");
    body.split('"')
        .skip(1)
        .step_by(2)
        .filter(|w| w.chars().any(char::is_alphabetic) && !w.starts_with('\\'))
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_grammar_reads_the_words_of_the_vocabulary_and_no_others() {
    let rules = rules();
    let read: BTreeSet<String> = rules.iter().flat_map(|(_, body)| quoted(body)).collect();
    let owned =
        |words: BTreeSet<&str>| -> BTreeSet<String> { words.into_iter().map(str::to_owned).collect() };
    // Verbs are read by the rule of any word.
    let mut known = owned(spelt(|t| t.sort != Sort::Verb));
    known.retain(|w| w.chars().any(char::is_alphabetic));
    let apart: Vec<_> = read.symmetric_difference(&known).collect();
    assert_eq!(apart, Vec::<&String>::new(), "in the grammar or in the vocabulary, not in both");
    assert!(read.len() > 150, "only {} words are read", read.len());
    let rule = |name: &str| {
        let found = rules.iter().find(|(rule, _)| rule == name).unwrap_or_else(|| panic!("no rule {name}"));
        quoted(&found.1)
    };
    assert_eq!(rule("reserved"), owned(spelt(|t| t.reserved)));
    // Whether `side` follows is looked at, and not read.
    let flags = &rule("flag") - &["side".to_owned()].into();
    for (name, sort) in heatbook::language::WORD_RULES {
        let name = format!("{name:?}");
        let words = if name == "flag" { flags.clone() } else { rule(&name) };
        let all = owned(spelt(|t| t.sort == *sort));
        assert!(words.is_subset(&all), "{name} reads {words:?}, and the vocabulary has {all:?}");
    }
    let both = &rule("figured_word") | &rule("shared_word");
    assert_eq!(both, owned(spelt(|t| t.sort == Sort::Figured)));
    assert_eq!(flags, owned(spelt(|t| t.sort == Sort::Flag)));
}

/// A word of a clause that stands alone, or before a figure, tells which clause it is.
#[test]
fn a_first_word_chooses_one_clause() {
    for key in Key::ALL.iter().filter(|k| k.pattern() != Pattern::Own) {
        for form in key.forms() {
            let word = form.split(' ').next().unwrap();
            assert_eq!(Key::of(key.pattern(), word), Some(*key), "{form}");
        }
    }
}

/// Which words are reserved is told to smiths in the reference: no more and no fewer.
#[test]
fn the_reserved_words_are_these() {
    let all = "alternate at both dry each every everywhere flipped flux from grips heats hot in into keep kerf of off on per soak \
               spread thinning to trimmed turned with x";
    assert_eq!(spelt(|t| t.reserved), all.split_whitespace().collect());
}

#[test]
fn the_extension_names_files_that_are_there() {
    let read = |name: &str| std::fs::read_to_string(format!("grammar/{name}")).unwrap();
    let package: Value = serde_json::from_str(&read("package.json")).unwrap();
    let language = &package["contributes"]["languages"][0];
    let coloured = &package["contributes"]["grammars"][0];
    let colours: Value = serde_json::from_str(&std::fs::read_to_string(COLOURS).unwrap()).unwrap();
    assert_eq!(coloured["scopeName"], colours["scopeName"]);
    assert_eq!(coloured["language"], language["id"]);
    for file in [&language["configuration"], &coloured["path"]] {
        let named = file.as_str().unwrap().trim_start_matches("./");
        serde_json::from_str::<Value>(&read(named)).unwrap();
    }
    assert!(read(package["main"].as_str().unwrap().trim_start_matches("./")).contains("\"lsp\""));
    let page = read("EDITORS.md");
    assert!(page.contains("heatbook.program") && page.contains("\"lsp\""));
}
