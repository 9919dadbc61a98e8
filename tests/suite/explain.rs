//! `explain`: every word has its page, and whatever a page shows is run: examples pass, what should fail fails with the very code
//! that the page says, and mended it passes. What is missing is named. (The pages of codes: `explain_codes.rs`.)

use std::collections::BTreeSet;

use crate::common::{file, heatbook};
use crate::pages::{cut, none, run, untrue};
use heatbook::forge::{Key, WORDS};
use heatbook::manual::{self, Example, Page, Sample, Topic};

fn of(topic: Topic) -> impl Iterator<Item = &'static Page> {
    manual::pages().iter().filter(move |p| p.topic == topic)
}

/// What is untrue of a page's example.
fn example_is_true(page: &Page, missing: &mut Vec<String>) {
    let name = format!("{} `{}`", page.topic.word(), page.name);
    match &page.example {
        Some(Example::Recipe(sample)) => {
            let told = run(sample, "check", &[]);
            if told.exit != 0 {
                missing.push(format!("the example of {name} does not pass: {}", cut(&told.words)));
            }
        }
        Some(Example::Command(line)) => {
            let args: Vec<&str> = line.split(' ').skip(1).chain(["--format", "json"]).collect();
            let said = heatbook(&args);
            let json: Result<serde_json::Value, _> = serde_json::from_str(&said.out);
            if said.code != 0 || !json.is_ok_and(|v| v["value"].is_number()) {
                missing.push(format!("the example of {name} gives no figure: {line}"));
            }
        }
        None => missing.push(format!("{name} has no example")),
    }
    if page.doc.is_empty() {
        missing.push(format!("{name} has no doc"));
    }
}

#[test]
fn every_verb_has_an_example_and_a_fault() {
    let mut missing = Vec::new();
    for word in WORDS {
        let Some(page) = of(Topic::Verb).find(|p| p.name == word.word) else {
            missing.push(format!("the verb `{}` has no page", word.word));
            continue;
        };
        if page.example.is_none() {
            missing.push(format!("`{}` has no recipe in src/manual/things/verbs.txt", word.word));
            continue;
        }
        example_is_true(page, &mut missing);
        let says = |s: &Sample| s.text().lines().any(|l| l.split_whitespace().next() == Some(word.word));
        if !matches!(&page.example, Some(Example::Recipe(s)) if says(s)) {
            missing.push(format!("the example of `{}` has no `{0}` in it", word.word));
        }
        let Some(broken) = &page.broken else {
            missing.push(format!(
                "`{}` shows no fault: give a code a recipe with it, or its entry in verbs.txt `code:` and `slip:`",
                word.word
            ));
            continue;
        };
        assert!(
            manual::code_of(broken.code.name()).is_some_and(|c| c.comes_from(word)),
            "{} {}",
            word.word,
            broken.code.name()
        );
        if let Some(why) =
            untrue(broken.code.name(), broken.asked_by.unwrap_or("check"), &broken.fails, &broken.mended)
        {
            missing.push(format!("`{}`: {why}", word.word));
        }
    }
    none(&missing);
}

#[test]
fn every_clause_has_a_line_out_of_an_example() {
    let mut missing = Vec::new();
    assert_eq!(of(Topic::Clause).count(), Key::ALL.len());
    for (page, key) in of(Topic::Clause).zip(Key::ALL) {
        if page.example.is_none() {
            missing.push(format!("no recipe in src/manual/things/verbs.txt has the clause `{}`", key.form()));
        }
        if !WORDS.iter().any(|w| w.clauses().any(|own| own == *key)) {
            missing.push(format!("no verb takes the clause `{}`", key.form()));
        }
        for form in key.forms() {
            if !WORDS.iter().filter(|w| w.clauses().any(|own| own == *key)).any(|w| reads_as(w, form, *key)) {
                missing.push(format!("`{form}` is not read as the clause `{}`", key.form()));
            }
        }
    }
    none(&missing);
}

/// Whether a form is read as its clause behind this verb.
fn reads_as(word: &heatbook::forge::Word, form: &str, key: Key) -> bool {
    use heatbook::forge::Form;
    let line = match (word.form, key) {
        (Form::Stack, Key::InBundle) => format!("{} b = 7 of A {form}", word.word),
        (Form::Stack, Key::InCan) => format!("{} b = {form}", word.word),
        (Form::Stack, Key::Wall | Key::Powder | Key::Packed | Key::CanOff) => {
            format!("{} b = A in can 50 x 50 mm, {form}", word.word)
        }
        (Form::Stack, Key::SideBySide | Key::Trimmed) => format!("{} b = A, B {form}", word.word),
        (Form::Stock, Key::Bars | Key::Layered | Key::FromRack) | (Form::Stack, _) => {
            format!("{} b = {form}", word.word)
        }
        (Form::Stock, _) => format!("{} b = 1 bar of layered 1084, 15N20, {form}", word.word),
        (Form::Tests | Form::Measure, _) => format!("{} b: {form}", word.word),
        _ => format!("{} b {form}", word.word),
    };
    let (files, base) = file(line);
    heatbook::language::clauses_of(&files, base).iter().any(|used| used.key == key)
}

fn all_true(topics: &[Topic]) {
    let mut missing = Vec::new();
    for page in topics.iter().flat_map(|t| of(*t)) {
        // A unit that is refused says what to write instead, and needs to be a refused one in the table too.
        if page.is_refused() {
            let unit = heatbook::quantity::find_unit(&page.name).unwrap();
            assert!(matches!(unit.reading, heatbook::quantity::Reading::Refused(_)), "{}", page.name);
            assert!(
                page.broken.is_some() && page.facts.iter().any(|(word, _)| *word == "instead"),
                "{}",
                page.name
            );
        } else {
            example_is_true(page, &mut missing);
        }
    }
    none(&missing);
}

#[test]
fn every_unit_line_target_and_entry_has_an_example_that_passes() {
    all_true(&[Topic::Unit, Topic::Line, Topic::Target, Topic::Shop, Topic::Trade]);
    assert_eq!(of(Topic::Unit).count(), heatbook::quantity::UNITS.len());
    assert_eq!(of(Topic::Shop).count(), heatbook::forge::ENTRIES.len());
}

/// What the trade says leads to pages that there are, and no two pages answer to one name.
#[test]
fn words_of_the_trade_lead_on() {
    let mut names = std::collections::BTreeSet::new();
    for page in of(Topic::Trade) {
        assert!(page.names().all(|name| names.insert(name.to_owned())), "{:?}", page.also);
        let (_, see) = page.facts.iter().find(|(word, _)| *word == "see").unwrap();
        for asked in see.split("`explain ").skip(1).map(|s| s.split('`').next().unwrap()) {
            let found = heatbook::manual::find(asked);
            assert!(found.iter().any(|p| p.topic != Topic::Trade), "{}: {asked}", page.name);
        }
    }
    for word in ["san mai", "random", "ladder", "billet", "cable", "Damascus", "raindrop", "canister"] {
        assert!(!heatbook::manual::find(word).is_empty(), "{word}");
    }
}

#[test]
fn every_unit_stands_in_its_example() {
    for page in of(Topic::Unit) {
        if let Some(Example::Recipe(sample)) = &page.example {
            assert!(sample.text().contains(&format!(" {}", page.name)), "{}", page.name);
        }
    }
}

#[test]
fn every_steel_can_be_bought() {
    assert_eq!(of(Topic::Steel).count(), heatbook::steel::grades::all().len());
    for page in of(Topic::Steel) {
        let Some(Example::Recipe(sample)) = &page.example else { panic!("{} has no example", page.name) };
        let worked = crate::common::work(&sample.text());
        assert_eq!(worked.faults(), Vec::<&str>::new(), "{}", page.name);
        for fact in ["nominal", "density", "source"] {
            assert!(page.facts.iter().any(|(word, _)| *word == fact), "{} has no {fact}", page.name);
        }
    }
}

/// What the last digit of a figure counts, noughts at its end aside: 0.1 of `2.5`, 10 of `450`, 1e-6 of `2.5e-5`.
fn last_digit(shown: &str) -> f64 {
    let (digits, power) =
        shown.split_once('e').map_or((shown, 0), |(digits, e)| (digits, e.parse().unwrap()));
    let behind = digits.split_once('.').map_or(0, |(_, behind)| behind.len() as i32);
    let noughts = if behind > 0 { 0 } else { digits.len() - digits.trim_end_matches('0').len() };
    10f64.powi(power - behind + noughts as i32)
}

#[test]
fn every_law_gives_a_figure() {
    assert_eq!(of(Topic::Law).count(), heatbook::steel::laws().count());
    all_true(&[Topic::Law]);
    // The figure that the page names is the one that the command gives.
    for page in of(Topic::Law) {
        let Some(Example::Command(line)) = &page.example else { panic!("{} has no example", page.name) };
        let args: Vec<&str> = line.split(' ').skip(1).collect();
        let said = heatbook(&args).out;
        let (_, fact) = page.facts.iter().find(|(word, _)| *word == "the example").unwrap();
        assert!(said.lines().any(|line| line.trim() == fact), "{line}: {fact}\n{said}");
        let json = heatbook(&[&args[..], &["--format", "json"]].concat()).json();
        // Unrounded, the command gives what the law does for the figures that the page names.
        let law = heatbook::steel::laws().find(|law| law.name == page.name).unwrap();
        let named =
            args.iter().filter_map(|arg| arg.split_once('=')).map(|(_, figure)| figure.parse().unwrap());
        let value = json["value"].as_f64().unwrap();
        crate::common::close(value, law.of(&named.collect::<Vec<_>>()), 1e-3);
        // Shown, it is right to its last digit.
        let shown = fact.split(" = ").last().unwrap().split(' ').next().unwrap();
        let (figure, half): (f64, f64) = (shown.parse().unwrap(), 0.5 * last_digit(shown));
        assert!((figure - value).abs() <= half * (1.0 + 1e-9), "{line}: {fact}, and not {value}");
        assert_eq!(json["outside"].as_array().unwrap().len(), 0, "{line}: {}", json["outside"]);
    }
}

// ── The command ──────────────────────────────────────────────────────────────────────────────────────────

fn explain(args: &[&str]) -> (String, String, i32) {
    let said = heatbook(&[&["explain"], args].concat());
    (said.out, said.err, said.code)
}

#[test]
fn every_page_is_found_by_its_name_alone_and_with_its_topic() {
    for page in manual::pages() {
        let found = manual::find(&page.name);
        assert!(found.iter().any(|p| std::ptr::eq(*p, page)), "{}", page.name);
        let found = manual::find(&format!("{} {}", page.topic.word(), page.name));
        assert!(found.iter().all(|p| p.topic == page.topic) && !found.is_empty(), "{}", page.name);
    }
}

#[test]
fn a_word_of_several_meanings_has_all_of_them() {
    let (text, _, exit) = explain(&["spread"]);
    assert_eq!(exit, 0);
    for head in ["spread (verb)", "spread (clause)", "spread (shop)"] {
        assert!(text.contains(head), "{text}");
    }
    let (text, ..) = explain(&["clause", "spread"]);
    assert!(text.contains("spread (clause)") && !text.contains("spread (verb)"), "{text}");
    assert!(explain(&["hot", "zone"]).0.contains("hot zone (shop)"));
    assert!(explain(&["heatbook::spent"]).0.contains("spent (code)"));
}

#[test]
fn topics_are_listed_and_a_slip_is_met_with_the_nearest() {
    let (text, _, exit) = explain(&[]);
    assert_eq!(exit, 0);
    for word in ["draw", "side by side", "US tonf", "15N20", "kerf", "hardness", "target_missed"] {
        assert!(text.contains(word), "{word} is not listed");
    }
    let (text, error, exit) = explain(&["draww"]);
    assert_eq!((text.as_str(), exit), ("", 2));
    assert!(error.contains("did you mean `draw`"), "{error}");
    assert_eq!(explain(&[" "]), explain(&[]));
    let (_, error, exit) = explain(&["λ"]);
    assert!(exit == 2 && !error.contains("did you mean"), "{error}");
    let (_, error, _) = explain(&[&"x".repeat(10_000)]);
    assert!(error.len() < 200, "{error}");
    let (_, error, exit) = explain(&["none.heat"]);
    assert_eq!(exit, 2);
    assert!(error.contains("cannot read `none.heat`"), "{error}");
}

#[test]
fn json_has_the_recipes_as_they_run() {
    let (text, _, exit) = explain(&["target_missed", "--format", "json"]);
    assert_eq!(exit, 0);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let broken = &json["pages"][0]["broken"];
    assert_eq!(broken["code"], "target_missed");
    let recipe = broken["files"][0]["text"].as_str().unwrap();
    assert_eq!(crate::common::work(recipe).faults(), ["target_missed"]);
    let (text, ..) = explain(&["--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["topics"]["verb"].as_array().unwrap().len(), WORDS.len());
}

#[test]
fn a_topic_alone_lists_its_names_and_other_words_lead_to_verbs() {
    let (text, _, exit) = explain(&["verb"]);
    assert!(exit == 0 && text.contains("normalise") && !text.contains("kerf"), "{text}");
    assert!(explain(&["quench"]).0.contains("harden (verb)"));
}

#[test]
fn docs_are_small_and_have_no_full_stop() {
    let own = [Topic::Verb, Topic::Clause, Topic::Line, Topic::Unit, Topic::Target, Topic::Shop, Topic::Code];
    for page in own.into_iter().flat_map(of) {
        let (name, doc) = (&page.name, &page.doc);
        assert!(
            !doc.is_empty() && !doc.ends_with('.') && !doc.starts_with(char::is_uppercase),
            "{name}: {doc}"
        );
    }
}

/// What a smith copies out of a page needs no `fmt` any more. (What is made by a rule is no sample of style.)
#[test]
fn recipes_are_in_the_house_style() {
    let mut missing = BTreeSet::new();
    let mut looked = 0;
    for page in manual::pages() {
        let example = match &page.example {
            Some(Example::Recipe(sample)) => Some(sample),
            _ => None,
        };
        for sample in example.into_iter().chain(page.broken.as_ref().map(|b| &b.mended)) {
            for file in sample.files.iter().filter(|f| f.copies < 2 && !f.text.contains("<<")) {
                looked += 1;
                if heatbook::language::format(&file.text, 0).ok().as_deref() != Some(&file.text) {
                    missing.insert(format!(
                        "{} `{}`: {} is not as `fmt` writes it",
                        page.topic.word(),
                        page.name,
                        file.name
                    ));
                }
            }
        }
    }
    assert!(looked > 300, "only {looked} were looked at");
    none(&missing.into_iter().collect::<Vec<_>>());
}
