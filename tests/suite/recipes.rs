//! Every shipped recipe, with its expected output as a fixture; the first one held to what it must do.

use std::fs;

use crate::common::{called, check, heatbook, in_full, work};

fn shipped() -> Vec<String> {
    let mut found: Vec<String> = ["examples", "recipes"]
        .iter()
        .flat_map(|dir| fs::read_dir(dir).unwrap())
        .map(|e| e.unwrap().path().to_str().unwrap().to_owned())
        .filter(|p| p.ends_with(".heat"))
        .collect();
    found.sort();
    found
}

fn output(args: &[&str]) -> String {
    let said = heatbook(&[args, &["--color", "never"]].concat());
    format!("exit {}\n{}", said.code, said.all())
}

#[test]
fn shipped_recipes_say_what_they_said() {
    assert!(shipped().len() >= 7);
    for path in shipped() {
        let name = path.replace('/', "-").replace(".heat", "");
        let shown = format!("{}────\n{}", output(&["check", &path]), output(&["run", &path]));
        insta::with_settings!({ snapshot_path => "../shipped", prepend_module_to_snapshot => false, omit_expression => true }, {
            insta::assert_snapshot!(name, shown);
        });
    }
}

#[test]
fn shipped_recipes_balance() {
    for path in shipped() {
        let worked = check(&fs::read_to_string(&path).unwrap());
        assert!(worked.build.balance.error < 1e-9, "{path}: {}", worked.build.balance.error);
        let fails = path.contains("too-narrow") || path.contains("asked");
        assert_eq!(worked.verdict.met, !fails, "{path}: {:?}", worked.faults());
    }
}

/// The first recipe, changed as a customer might: it must fail in the right place, and say what would mend it.
#[test]
fn the_first_recipe_and_what_breaks_it() {
    let first = fs::read_to_string("examples/ferry-galley.heat").unwrap();
    assert!(check(&first).verdict.met);

    let wide = work(&first.replace("to 62 mm wide", "to 76 mm wide"));
    let missed: Vec<_> =
        wide.json()["targets"].as_array().unwrap().iter().filter(|t| t["met"] == false).cloned().collect();
    assert_eq!(missed.len(), 1);
    assert_eq!(missed[0]["what"], "thickness");
    let fault = &wide.verdict.faults[0];
    let words: Vec<&str> = fault.labels.iter().map(|l| wide.files.text(l.span)).collect();
    assert!(words.contains(&"thickness 4 .. 6 mm"), "{words:?}");
    assert!(words.iter().any(|w| w.starts_with("spread blade to 76 mm wide")), "{words:?}");

    let few = work(&first.replace("cut billet into 4", "cut billet into 3"));
    let json = few.json();
    let missed: Vec<_> = json["targets"].as_array().unwrap().iter().filter(|t| t["met"] == false).collect();
    assert_eq!((missed.len(), &missed[0]["what"], &missed[0]["got"]), (1, &"layers".into(), &39.0.into()));
    let fault = &few.verdict.faults[0];
    let words: Vec<&str> = fault.labels.iter().map(|l| few.files.text(l.span)).collect();
    assert!(words.contains(&"stack blade = billet") && words.contains(&"3"), "{words:?}");
    assert_eq!(fault.help.as_deref(), Some("write 4 instead of 3"));
}

/// What a miss advises is tried: the recipe so changed meets its target.
#[test]
fn advice_is_good_advice() {
    let first = fs::read_to_string("examples/ferry-galley.heat").unwrap();
    let mut tried = 0;
    for (from, to) in [
        ("to 62 mm wide", "to 76 mm wide"),
        ("to 62 mm wide", "to 55 mm wide"),
        ("cut billet into 4", "cut billet into 3"),
        ("cut blade to 250 mm long", "cut blade to 240 mm long"),
        ("faces 0.4 mm, edges 1 mm", "faces 1.2 mm, edges 1 mm"),
        ("faces 0.4 mm, edges 1 mm", "faces 0.4 mm, edges 3 mm"),
    ] {
        let broken = first.replace(from, to);
        let worked = work(&broken);
        let fault = worked.verdict.faults.iter().find(|f| f.code.name() == "target_missed").unwrap();
        let help = fault.help.as_deref().unwrap();
        let Some((value, _)) = help.strip_prefix("write ").and_then(|h| h.split_once(" instead of ")) else {
            continue;
        };
        assert!(fault.fix.as_ref().unwrap().text == value, "{help}");
        let mended = crate::mends::applied(&broken, fault).unwrap();
        assert!(check(&mended).verdict.met, "{help}:\n{mended}");
        tried += 1;
    }
    assert!(tried >= 5, "only {tried} were tried");
}

/// The story of each size adds up, as JSON too.
#[test]
fn why_adds_up() {
    for quantity in ["width", "thickness", "length", "mass"] {
        let out = output(&["why", quantity, "blade", "examples/ferry-galley.heat", "--format", "json"]);
        let json: serde_json::Value = serde_json::from_str(out.strip_prefix("exit 0\n").unwrap()).unwrap();
        let sum: f64 =
            json["entries"].as_array().unwrap().iter().map(|e| e["change"].as_f64().unwrap()).sum();
        let whole = json["to"].as_f64().unwrap() - json["from"].as_f64().unwrap();
        assert!((sum - whole).abs() < 1e-9, "{quantity}: {sum} against {whole}");
        let by: f64 = json["by_cause"].as_object().unwrap().values().map(|v| v.as_f64().unwrap()).sum();
        assert!((by - whole).abs() < 1e-9);
    }
}

/// Where a figure of a step stands in a recipe: from, to.
fn figures_of_steps(text: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut from = 0;
    for line in text.split_inclusive('\n') {
        let word = line.split_whitespace().next().unwrap_or("");
        if ["draw", "spread", "weld", "grind", "taper", "profile"].contains(&word) {
            for (at, unit) in line.match_indices(" mm").chain(line.match_indices(" in ")) {
                let digits =
                    line[..at].bytes().rev().take_while(|b| b.is_ascii_digit() || *b == b'.').count();
                let alone = line[..at - digits].ends_with(' ') && !line[..at - digits].ends_with("x ");
                if digits > 0 && alone {
                    found.push((from + at - digits, from + at + unit.trim_end().len()));
                }
            }
        }
        from += line.len();
    }
    found
}

// An answer is rounded so that it can be set, and still meets: typed in, the recipe passes.
#[test]
fn what_fill_writes_passes() {
    let folder = tempfile::tempdir().unwrap();
    let mut filled = 0;
    for recipe in shipped() {
        let text = fs::read_to_string(&recipe).unwrap();
        // A pattern is followed point by point in each run: that takes its time.
        let patterned = ["twist", "groove", "drill", "split", "tile", "wrap", "stack", "join"];
        let mut verbs = text.lines().filter_map(|line| line.split_whitespace().next());
        let slow = recipe.starts_with("recipes") && verbs.any(|verb| patterned.contains(&verb));
        if text.contains('?') || !text.contains("target ") || slow && !in_full() {
            continue;
        }
        let all = figures_of_steps(&text);
        // A figure of each; in full all of them.
        let every = if in_full() { 1 } else { all.len().max(1) };
        for (from, to) in all.into_iter().step_by(every) {
            let asked = format!("{}?{}", &text[..from], &text[to..]);
            fs::write(folder.path().join("r.heat"), &asked).unwrap();
            let said = called(folder.path(), &["fill", "r.heat", "--write"], "");
            if said.code == 0 {
                filled += 1;
                let now = called(folder.path(), &["check", "r.heat"], "");
                assert_eq!(now.code, 0, "{recipe}: {} as {}\n{}", &text[from..to], said.out, now.all());
            }
        }
    }
    assert!(filled >= 6, "{filled}");
}

fn under(folder: &std::path::Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            under(&path, found);
        } else if path.extension().is_some_and(|e| e == "heat") {
            found.push(path.to_str().unwrap().to_owned());
        }
    }
}

/// A warning is for what a smith would want to stop for. Each that a shipped recipe or log has is here with its reason; any other fails, and
/// so does one that is no longer said.
const REASONS: &str = "\
examples/coal-wharf/build.heat | rough_ends | the log ends with the spread bar, before its crop
examples/commissions/chopper.heat | outline_beyond_steel | the order fails for want of this width
examples/commissions/chopper.heat | tall_stack | thirteen bars as they are bought: tied, and pressed low first
examples/commissions/chopper.heat | tang_waste | a full tang out of a bar that was drawn too long
examples/commissions/sandwich.heat | hangs_on_spread | the outline is forged: its width hangs on the hand
examples/lock-keeper/build.heat | sizes_against_weight | its sizes and its weight were read 2 % apart
examples/lock-keeper/recipe.heat | barrelled | the last spread is free, 1 mm over the width asked
examples/lock-keeper/rescued-build.heat | hangs_on_spread | the rescue has little room left
examples/lock-keeper/rescued-build.heat | sizes_against_weight | the same reading
examples/pilot-house-sandwich.heat | hangs_on_hardness | 58 to 63 HRC is asked, and known to 3 only
examples/too-narrow-ferryman.heat | rough_ends | one of the faults of a recipe that fails
recipes/feather.heat | outside_law | the block stands on end: a third of it is more than its press bites
recipes/hard-blade.heat | hangs_on_hardness | a hardness is asked within the band of what is known
";

#[test]
fn every_warning_of_what_is_shipped_has_its_reason() {
    let mut files = Vec::new();
    for folder in ["examples", "recipes"] {
        under(std::path::Path::new(folder), &mut files);
    }
    assert!(files.len() > 30, "{files:?}");
    let mut said = std::collections::BTreeSet::new();
    for path in &files {
        let judged = heatbook(&["check", path, "--format", "json"]).json();
        let warnings = judged["warnings"].as_array().unwrap();
        said.extend(warnings.iter().map(|w| (path.clone(), w["code"].as_str().unwrap().to_owned())));
    }
    let row = |line: &str| {
        let [path, code, _] = line.split(" | ").collect::<Vec<_>>()[..] else { panic!("{line}") };
        (path.to_owned(), format!("heatbook::{code}"))
    };
    let listed: std::collections::BTreeSet<_> = REASONS.lines().map(row).collect();
    let new: Vec<_> = said.difference(&listed).collect();
    let gone: Vec<_> = listed.difference(&said).collect();
    assert!(new.is_empty() && gone.is_empty(), "no reason is given for {new:?}; no longer said: {gone:?}");
}
