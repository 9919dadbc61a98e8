//! Every fault and warning in the sources has its page, and the page is true: its recipe raises the code, and mended it passes.
//! What is missing is named.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::common::{file, files_below};
use crate::pages::{none, untrue};
use heatbook::forge::{Key, WORDS};
use heatbook::manual::{self, Example, Origin, Page, Topic};
use heatbook::source::{Code, Diagnostic, Severity};

#[test]
fn every_code_has_one_page_under_its_subject() {
    for code in Code::ALL {
        let subject = fs::read_to_string(format!("src/manual/codes/{}.txt", code.page())).unwrap();
        assert!(subject.lines().any(|l| l == format!("# {code}")), "`{code}` has no page in {}", code.page());
    }
    assert_eq!(manual::codes().len(), Code::ALL.len(), "a page stands twice");
}

#[test]
fn every_page_of_a_code_is_whole() {
    let verbs: Vec<&str> = WORDS.iter().map(|w| w.word).collect();
    let clauses: Vec<&str> = Key::ALL.iter().map(|k| k.word()).collect();
    let mut missing = Vec::new();
    for code in manual::codes() {
        let mut lacks = |what: &str| missing.push(format!("`{}` {what}", code.code.name()));
        for (text, what) in [(code.means, "`means:`"), (code.why, "`why:`")] {
            if text.is_empty() {
                lacks(&format!("has no line {what}"));
            }
            if text.ends_with('.') || text.starts_with(char::is_uppercase) {
                lacks(&format!("has a line {what} with a capital or a full stop"));
            }
        }
        for from in &code.from {
            match from {
                Origin::Verb(verb) if !verbs.contains(verb) => {
                    lacks(&format!("names the verb `{verb}`, and there is none"))
                }
                Origin::With(clause) if !clauses.contains(clause) => {
                    lacks(&format!("names the clause `{clause}`, and there is none"));
                }
                _ => {}
            }
        }
        if code.edits.is_empty() {
            lacks("has no line `mend:`");
        }
        if code.mended().is_none() {
            lacks("has a `mend:` whose words do not stand exactly once in its recipe");
        }
    }
    none(&missing);
}

/// Of the codes from one half of the list, so that two cores share the work.
fn codes_are_true(half: usize) {
    let mut missing = Vec::new();
    for code in manual::codes().iter().skip(half).step_by(2) {
        let Some(mended) = code.mended() else { continue };
        if let Some(why) = untrue(code.code.name(), code.asked_by.unwrap_or("check"), &code.fails, &mended) {
            missing.push(format!("`{}`: {why}", code.code.name()));
        }
    }
    none(&missing);
}

#[test]
fn every_code_is_raised_by_its_recipe_and_mended() {
    codes_are_true(0);
}

#[test]
fn every_other_code_is_raised_by_its_recipe_and_mended() {
    codes_are_true(1);
}

/// The codes that a page may show for the step at fault, judged by running everything that shows faults.
#[test]
fn verbs_name_the_codes_that_they_raise() {
    let mut recipes: Vec<String> = manual::codes().iter().map(|c| c.fails.text()).collect();
    recipes.extend(files_below("tests/faults", "heat").iter().map(|path| fs::read_to_string(path).unwrap()));
    let mut missing = BTreeSet::new();
    let mut looked = 0;
    for recipe in recipes.iter().filter(|r| !r.contains("<<") && !r.contains("times)")) {
        let worked = crate::common::work(recipe);
        for finding in worked.verdict.faults.iter().chain(&worked.verdict.warnings) {
            let Some((verb, code)) = verb_at(&worked, finding) else { continue };
            let Some(page) = manual::code_of(code) else { continue };
            looked += 1;
            let placed = |o: &Origin| matches!(o, Origin::Place(_));
            if !page.comes_from(verb) && !page.from.iter().any(placed) {
                missing
                    .insert(format!("`{code}` is raised by `{}`, and its page does not say so", verb.word));
            }
        }
    }
    assert!(looked > 100, "only {looked} findings were looked at");
    none(&missing.into_iter().collect::<Vec<_>>());
}

/// The verb of the line that a finding points at first, and its code.
fn verb_at<'d>(
    worked: &crate::common::Worked,
    finding: &'d Diagnostic,
) -> Option<(&'static heatbook::forge::Word, &'d str)> {
    let (_, text, _) = worked.files.whole(finding.span())?;
    let line = text.lines().nth(worked.files.line(finding.span()) as usize - 1)?;
    let first = line.split_whitespace().next()?;
    Some((heatbook::forge::word(first)?, finding.code.name()))
}

/// What a verb's own file raises is on the verb's page.
#[test]
fn verbs_name_the_codes_of_their_own_file() {
    let mut missing = Vec::new();
    for word in WORDS {
        let own = |text: &String| text.contains(&format!("word: \"{}\",", word.word));
        let mut texts =
            files_below(Path::new("src/forge"), "rs").into_iter().map(|p| fs::read_to_string(p).unwrap());
        let text =
            texts.find(own).unwrap_or_else(|| panic!("no file of src/forge has the verb `{}`", word.word));
        for code in Code::ALL.iter().filter(|code| text.contains(&format!("Code::{code:?},"))) {
            if !manual::page_of(*code).comes_from(word) {
                missing.push(format!(
                    "`{code}` is raised in the file of `{}`, and its page does not say so",
                    word.word
                ));
            }
        }
    }
    none(&missing);
}

#[test]
fn a_page_says_fault_where_a_fault_is_raised() {
    let mut missing = Vec::new();
    for code in manual::codes().iter().filter(|c| c.asked_by.is_none() && c.fails.files.len() == 1) {
        let worked = crate::common::work(&code.fails.written()[0].1);
        let of = |all: &[Diagnostic]| all.iter().any(|d| d.code == code.code);
        let (fault, warning) = (of(&worked.verdict.faults), of(&worked.verdict.warnings));
        let said = if code.code.severity() == Severity::Fault { fault } else { warning };
        if !said && (fault || warning) {
            missing.push(format!("`{}` is the other of fault and warning", code.code.name()));
        }
    }
    none(&missing);
}

/// Every line of the tables is read as something, and every table is read.
#[test]
fn no_line_of_a_table_is_passed_over() {
    let keys = ["fault", "warning", "means", "why", "mend", "form", "base", "code", "slip", "also", "see"];
    let (mut missing, mut entries) = (Vec::new(), 0);
    for path in files_below("src/manual", "txt") {
        for (n, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
            let keyed =
                line.split_once(": ").is_some_and(|(key, text)| keys.contains(&key) && !text.is_empty());
            let mended = line.strip_prefix("mend: ").is_none_or(|edit| edit.contains(" => "));
            let known =
                line.is_empty() || ["# ", "    ", "file "].iter().any(|p| line.starts_with(p)) || keyed;
            if !known || !mended {
                missing.push(format!("{}:{}: `{line}` is read as nothing", path.display(), n + 1));
            }
            entries += usize::from(path.starts_with("src/manual/codes") && line.starts_with("# "));
        }
    }
    none(&missing);
    assert_eq!(entries, manual::codes().len(), "a table of src/manual/codes is not in TABLES of codes.rs");
}

/// A clause that cannot be, and the code that every verb with this clause must raise.
const CANNOT_BE: [(Key, &str, &str); 11] = [
    (Key::Heats, "heats 2.5", "not_whole"),
    (Key::Times, "2.5 times", "not_whole"),
    (Key::Into, "into 2.5", "not_whole"),
    (Key::For, "for 1 min - 3 min", "negative"),
    (Key::Kerf, "kerf 1 mm - 3 mm", "negative"),
    (Key::Bite, "bite 0 mm", "no_size"),
    (Key::With, "with flat die 0 mm", "no_size"),
    (Key::Spread, "spread 1.4", "spread_out_of_range"),
    (Key::Thinning, "thinning 120 %", "thinning_out_of_range"),
    (Key::From, "from 1450 C", "burnt"),
    (Key::Flux, "flux, dry", "flux_and_dry"),
];

/// What a page says of every verb with a clause is tried on every verb with it.
#[test]
fn a_clause_raises_its_code_in_every_verb_that_takes_it() {
    let mut missing = Vec::new();
    let mut tried = 0;
    for word in WORDS {
        let Some(Example::Recipe(sample)) = verb_page(word.word).and_then(|p| p.example.clone()) else {
            continue;
        };
        for (key, clause, code) in CANNOT_BE.iter().filter(|(key, ..)| word.clauses().any(|own| own == *key))
        {
            let recipe = with_clause(&sample.text(), word.word, *key, clause);
            tried += 1;
            let faults = crate::common::work(&recipe).faults();
            if !faults.contains(code) {
                missing
                    .push(format!("`{} … {clause}` says {faults:?} and not `{code}`:\n{recipe}", word.word));
            }
            assert!(manual::code_of(code).unwrap().comes_from(word), "{code} {}", word.word);
        }
    }
    assert!(tried > 40, "only {tried} were tried");
    none(&missing);
}

fn verb_page(verb: &str) -> Option<&'static Page> {
    manual::pages().iter().find(|p| p.topic == Topic::Verb && p.name == verb)
}

/// The recipe with another clause in the first line of a verb, in the place of the clauses that it would clash with.
fn with_clause(recipe: &str, verb: &str, key: Key, clause: &str) -> String {
    let (files, base) = file(recipe);
    let used = heatbook::language::clauses_of(&files, base);
    let first = used.iter().find(|u| u.word.word == verb).map(|u| u.step);
    let clash = |k: Key| {
        k == key
            || (key == Key::Flux && k == Key::Dry)
            || (key == Key::Into && (k == Key::Off || k == Key::Keep))
    };
    let kept: Vec<&str> = used
        .iter()
        .filter(|u| Some(u.step) == first && !clash(u.key))
        .filter(|u| !(key == Key::Thinning && u.key == Key::Size))
        .map(|u| files.text(u.span).trim())
        .collect();
    let step = files.text(first.unwrap());
    let head: Vec<&str> = step.split_whitespace().take(2).collect();
    let line = format!("{} {}, {clause}", head.join(" "), kept.join(", ")).replace(" ,", "");
    recipe.replacen(step.trim(), &line, 1)
}

/// The verbs that are said to work no loose stack do not.
#[test]
fn loose_stacks_are_refused_by_the_verbs_that_say_so() {
    let code = manual::code_of("loose_stack").unwrap();
    for word in WORDS.iter().filter(|w| w.form == heatbook::forge::Form::Work && w.word != "weld") {
        assert!(code.comes_from(word), "the page of `loose_stack` does not name `{}`", word.word);
        let piece = word.example.split([' ', ',']).nth(1).unwrap();
        let other = match piece {
            "blade" => "other",
            "core" => "jacket",
            _ => "blade",
        };
        let recipe = format!(
            "stock a = 4 bars of 1084, 3 x 40 x 150 mm\nstock {other} = 1 bar of 1084, 3 x 40 x 150 mm\nstack {piece} = a\n{}\n",
            word.example
        );
        assert_eq!(crate::common::work(&recipe).faults(), ["loose_stack"], "{recipe}");
    }
}
