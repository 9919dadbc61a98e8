//! Every fault and warning, as a smith sees it: the recipe and what is said of it stand side by side in one
//! snapshot. Each file of `tests/faults` was read aloud: what, where, why, and what would work.

mod common;

use std::collections::BTreeSet;
use std::fs;

use common::work;
use heatbook::report::Style;

fn fixtures() -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = fs::read_dir("tests/faults")
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "heat"))
        .map(|p| (p.file_stem().unwrap().to_str().unwrap().to_owned(), fs::read_to_string(p).unwrap()))
        .collect();
    found.sort();
    found
}

#[test]
fn as_a_smith_sees_them() {
    for (name, source) in fixtures() {
        let worked = work(&source);
        let shown = format!("{source}────\n{}", worked.findings(Style::Human { colour: false }));
        insta::with_settings!({ snapshot_path => "faults", prepend_module_to_snapshot => false, omit_expression => true }, {
            insta::assert_snapshot!(name, shown);
        });
    }
}

/// The rules of messages: lower case, no full stop, a help, and no words of ours.
#[test]
fn messages_keep_their_rules() {
    let mut codes = BTreeSet::new();
    for (name, source) in fixtures() {
        let worked = work(&source);
        let all: Vec<_> = worked.verdict.faults.iter().chain(&worked.verdict.warnings).collect();
        assert!(!all.is_empty(), "{name} has no finding");
        for finding in all {
            codes.insert(finding.code);
            let first = finding.message.chars().next().unwrap();
            assert!(
                !first.is_uppercase() || finding.message.starts_with("W2"),
                "{name}: {}",
                finding.message
            );
            let help =
                finding.help.as_deref().unwrap_or_else(|| panic!("{name}: no help for {}", finding.message));
            for text in std::iter::once(finding.message.as_str())
                .chain([help])
                .chain(finding.labels.iter().map(|l| l.text.as_str()))
            {
                assert!(!text.ends_with('.'), "{name}: full stop in {text}");
                for ours in ["LotId", "Slot", "Kind", "NaN", "Option", "Rule::", "node", "token", "parse"] {
                    assert!(!text.contains(ours), "{name}: {ours} in {text}");
                }
            }
            assert!(finding.labels.iter().all(|l| l.span.start <= l.span.end));
        }
    }
    assert!(codes.len() >= 50, "only {} codes have a sample", codes.len());
}

/// What is independent is all told in one go.
#[test]
fn all_faults_in_one_go() {
    let source = fs::read_to_string("tests/faults/several_faults.heat").unwrap();
    let faults = work(&source).faults();
    for code in [
        "unknown_entry",
        "unknown_steel",
        "decimal_comma",
        "wrong_kind",
        "already_smaller",
        "unfinished",
        "unknown_name",
    ] {
        assert!(faults.contains(&code), "{code} is not among {faults:?}");
    }
    assert_eq!(faults.len(), 7, "{faults:?}");
}
