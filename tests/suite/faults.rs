//! Every fault and warning, as a smith sees it: the recipe and what is said of it stand side by side in one
//! snapshot. Each file of `tests/faults` was read aloud: what, where, why, and what would work.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use crate::common::{check, files_below, work};
use heatbook::report::{COLUMNS, Style};
use rand::{RngExt, SeedableRng};

fn fixtures() -> Vec<(String, String)> {
    let read =
        |p: PathBuf| (p.file_stem().unwrap().to_str().unwrap().to_owned(), fs::read_to_string(p).unwrap());
    files_below("tests/faults", "heat").into_iter().map(read).collect()
}

#[test]
fn as_a_smith_sees_them() {
    for (name, source) in fixtures() {
        let worked = work(&source);
        let shown =
            format!("{source}────\n{}", worked.findings(Style::Human { colour: false, wide: COLUMNS }));
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
            let labels = finding.labels.iter().map(|l| l.text.as_str());
            for text in [finding.message.as_str(), help].into_iter().chain(labels) {
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
        let offered =
            help.strip_prefix("ask for ").and_then(|h| h.split([',', ';']).next()).unwrap().to_owned();
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
    let codes =
        "unknown_entry unknown_steel decimal_comma wrong_kind already_smaller unfinished unknown_name";
    for code in codes.split(' ') {
        assert!(faults.contains(&code), "{code} is not among {faults:?}");
    }
    assert_eq!(faults.len(), 7, "{faults:?}");
}

/// What the help of `too_narrow` says to ask for can be had: put into the recipe as it is said, it works at the first go.
#[test]
fn the_width_that_a_help_names_can_be_had() {
    let mut rng = rand_pcg::Pcg64Mcg::seed_from_u64(31);
    let (mut narrow, mut none, mut seen) = (0, 0, BTreeSet::new());
    for _ in 0..4000 {
        if narrow == 200 {
            break;
        }
        let mut within = |low: f64, high: f64| low + (high - low) * rng.random_range(0.0..1.0);
        let (t, w, l) = (within(8.0, 30.0), within(30.0, 60.0), within(100.0, 300.0));
        let (to, wider) = (t * within(0.4, 0.95), w * within(0.98, 1.6));
        let inch = within(0.0, 1.0) < 0.5;
        let size = |mm: f64| if inch { format!("{:.3} in", mm / 25.4) } else { format!("{mm:.2} mm") };
        let scale = ["scale none", "scale 0.05 mm per heat", "scale 0.4 mm per heat", "scale 1.5 %"];
        let scale = scale[(within(0.0, 4.0)) as usize];
        let press = if within(0.0, 1.0) < 0.3 { "\n  press 25 tonf, flat die 40 mm" } else { "" };
        let heats = ["", ", heats 1", ", heats 3", ", heats 6"][within(0.0, 4.0) as usize];
        let how = ["", ", spread 0.3", ", bite 15 mm"][within(0.0, 3.0) as usize];
        let hot = if within(0.0, 1.0) < 0.2 { " hot" } else { "" };
        let form = within(0.0, 4.0) as usize;
        let (word, figure) = match form {
            0 => ("square", size(wider.min(t * 0.99))),
            1 => ("round", size((t * 1.1).min(t * 0.9 + wider * 0.1))),
            _ => ("wide", size(wider)),
        };
        let other = match form {
            0 | 1 => String::new(),
            2 => format!(", {} thick", size(to)),
            _ => format!(", {} long", size(l * within(1.1, 2.0))),
        };
        // Standing bars spread into a square or a round.
        let (a, b) = if form < 2 { (t, t * 0.7) } else { (t, w) };
        let stock = [a, b, l].map(size).join(" x ");
        let recipe = |figure: &str| {
            format!(
                "shop {{\n  {scale}{press}\n}}\nstock b = 1 bar of 1018, {stock}\ndraw b to {figure}{hot} {word}{other}{heats}{how}\n"
            )
        };
        let made = check(&recipe(&figure));
        let Some(fault) = made.verdict.faults.iter().find(|f| f.code.name() == "too_narrow") else {
            continue;
        };
        let help = fault.help.clone().unwrap_or_default();
        // Where no width does, none is named: the fire takes more in each heat than the bar can spread.
        let said = help.strip_prefix("ask for ").and_then(|h| h.split_once("; to widen"));
        let Some((said, _)) = said else {
            none += 1;
            continue;
        };
        narrow += 1;
        seen.insert((inch, word, form, heats, hot));
        let again = check(&recipe(said));
        assert!(!again.faults().contains(&"too_narrow"), "{help}\n{}", recipe(&figure));
    }
    println!("{narrow} draws of {} kinds, {none} without a width that would do", seen.len());
    assert!(narrow == 200 && none < 20, "{narrow}, {none}");
    assert!([true, false].iter().all(|i| seen.iter().any(|s| s.0 == *i)));
    assert!(
        seen.iter().any(|s| s.2 == 3)
            && seen.iter().any(|s| s.4 == " hot")
            && seen.iter().any(|s| s.3.is_empty())
    );
}
