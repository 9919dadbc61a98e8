//! Every fault and warning, as a smith sees it: the recipe and what is said of it stand side by side in one
//! snapshot. Each file of `tests/faults` was read aloud: what, where, why, and what would work.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use crate::common::{files_below, work};
use heatbook::report::Style;

fn fixtures() -> Vec<(String, String)> {
    let read =
        |p: PathBuf| (p.file_stem().unwrap().to_str().unwrap().to_owned(), fs::read_to_string(p).unwrap());
    files_below("tests/faults", "heat").into_iter().map(read).collect()
}

#[test]
fn as_a_smith_sees_them() {
    for (name, source) in fixtures() {
        let worked = work(&source);
        let shown = format!("{source}────\n{}", worked.findings(Style::Human { colour: false }));
        insta::with_settings!({ snapshot_path => "../faults", prepend_module_to_snapshot => false, omit_expression => true }, {
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
            codes.insert(finding.code.name());
            let first = finding.message.chars().next().unwrap();
            // Names of steels begin a message as they are written.
            let steel = ["W2", "D2"].iter().any(|s| finding.message.starts_with(s));
            assert!(!first.is_uppercase() || steel, "{name}: {}", finding.message);
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

/// A width that is offered instead can be had, in both units.
#[test]
fn an_offered_width_is_within_reach() {
    for (recipe, unit) in [
        ("stock b = 1 bar of 1018, 10 x 40 x 200 mm\ndraw b to 6 mm thick, WIDE wide, heats 3\n", "60 mm"),
        ("stock b = 1 bar of 1018, 3/8 x 2 x 8 in\ndraw b to 1/4 in thick, WIDE wide, heats 2\n", "4 in"),
        ("stock b = 1 bar of 1018, 12 x 120 x 300 mm\ndraw b to 7 mm thick, WIDE wide, heats 3\n", "200 mm"),
    ] {
        let worked = work(&recipe.replace("WIDE", unit));
        let help = worked.verdict.faults[0].help.clone().unwrap();
        let offered = help.strip_prefix("ask for ").and_then(|h| h.split(',').next()).unwrap().to_owned();
        assert_eq!(work(&recipe.replace("WIDE", &offered)).faults(), Vec::<&str>::new(), "{help}");
    }
}

/// Other figures that a help offers do what it says.
#[test]
fn offered_figures_work() {
    let steel = fs::read_to_string("tests/faults/not_enough_steel.heat").unwrap();
    let help = work(&steel).verdict.faults[0].help.clone().unwrap();
    let wide = help.strip_prefix("at that thickness and length it comes to ").unwrap();
    let mended = steel.replace("60 mm wide", wide);
    assert_eq!(work(&mended).faults(), Vec::<&str>::new(), "{help}");

    let cut = fs::read_to_string("tests/faults/cut_too_many.heat").unwrap();
    let help = work(&cut).verdict.faults[0].help.clone().unwrap();
    let most: u32 = help.split_whitespace().nth(2).unwrap().parse().unwrap();
    assert_eq!(work(&cut.replace("90", &most.to_string())).faults(), Vec::<&str>::new(), "{help}");
    assert_eq!(work(&cut.replace("90", &(most + 1).to_string())).faults(), ["too_short_to_cut"]);
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
