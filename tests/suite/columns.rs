//! Pages as they are read: no wider than the terminal, in the reader's units.

use std::fs;
use std::path::Path;

use heatbook::manual::{self, Example, Page, Sample, Topic};
use heatbook::quantity::{Units, turned};
use heatbook::report::{Answer as _, ExplainPage, FINE, TopicsPage};
use textwrap::core::display_width;

use crate::common::{Worked, called_at, check};

const WIDE: usize = 80;

/// Every shipped recipe, and what is asked of it, with a piece of it that stands at the end.
fn shipped() -> Vec<String> {
    let files =
        ["examples", "examples/commissions", "recipes"].into_iter().flat_map(|d| fs::read_dir(d).unwrap());
    let mut found: Vec<String> = files.map(|e| e.unwrap().path().to_str().unwrap().to_owned()).collect();
    found.retain(|path| path.ends_with(".heat"));
    found.sort();
    found
}

/// What a command says at 80 columns, both streams.
fn said(args: &[&str]) -> String {
    let said = called_at(Some(WIDE), Path::new("."), &[args, &["--color", "never"]].concat(), "");
    assert!(said.code < 3, "{args:?}: {}", said.err);
    said.out + &said.err
}

/// Lines that are too wide: but for a recipe's own lines in a drawing, and words that cannot be broken.
fn too_wide(page: &str, own: &str) -> Vec<String> {
    let wide = |line: &&str| {
        let drawn = line.split_once("│ ").is_some_and(|(_, words)| own.lines().any(|l| l == words));
        let unbreakable = line.split_whitespace().any(|word| display_width(word) > WIDE - 20);
        display_width(line) > WIDE && !drawn && !unbreakable
    };
    page.lines().filter(wide).map(str::to_owned).collect()
}

#[test]
fn no_page_is_wider_than_the_terminal() {
    let mut looked = 0;
    for path in shipped() {
        let own = fs::read_to_string(&path).unwrap();
        let piece = own.lines().find_map(|l| l.strip_prefix("target ")?.split(' ').next()).unwrap_or("blade");
        let mut asked: Vec<Vec<&str>> =
            vec![vec!["check", &path], vec!["run", &path], vec!["why", &path, piece, "mass"]];
        if path.starts_with("examples/") && !path.contains("commissions") {
            asked.extend([
                vec!["odds", &path, "--samples", "100"],
                vec!["nudge", &path],
                vec!["rack", &path],
            ]);
            asked.extend([
                vec!["fill", &path],
                vec!["rescue", &path],
                vec!["compare", &path, "recipes/spine-bar.heat"],
            ]);
            asked.push(vec!["explain", &path]);
        }
        for args in asked {
            let page = said(&args);
            looked += page.lines().count();
            assert_eq!(too_wide(&page, &own), Vec::<String>::new(), "{args:?}");
        }
    }
    for args in [
        vec!["steels"],
        vec!["law"],
        vec!["law", "shida"],
        vec!["sweep", "examples/harbour-chopper.heat", "--vary", "bright thick = .05 in .. .1 in"],
    ] {
        assert_eq!(too_wide(&said(&args), ""), Vec::<String>::new(), "{args:?}");
    }
    assert!(looked > 800, "{looked}");
}

#[test]
fn no_page_of_the_manual_is_wider_than_the_terminal() {
    for page in manual::pages() {
        let text = ExplainPage { pages: &[page], units: Units::Metric }.page(WIDE);
        assert_eq!(too_wide(&text, ""), Vec::<String>::new(), "{}", page.name);
    }
    assert_eq!(too_wide(&TopicsPage(None).page(WIDE), ""), Vec::<String>::new());
}

/// What `explain --units in` shows is as true as what it shows in mm: turned to inches, samples still pass, and still fail as they say.
#[test]
fn turned_samples_say_what_they_said() {
    let mut untrue = Vec::new();
    let mut tried = 0;
    let own = |page: &Page| matches!(page.topic, Topic::Unit | Topic::Law | Topic::Steel);
    for page in manual::pages().iter().filter(|p| !own(p) && !FINE.contains(&p.name.as_str())) {
        let run = |sample: &Sample| {
            let [(_, text)] = sample.written().try_into().ok()?;
            Some(check(&turned(&text, |_| false)))
        };
        if let Some(Example::Recipe(sample)) = &page.example
            && let Some(worked) = run(sample)
        {
            tried += 1;
            if !worked.verdict.met {
                untrue.push(format!("{} passes: {:?}", page.name, worked.faults()));
            }
        }
        if let Some(broken) =
            page.broken.as_ref().filter(|b| b.asked_by.is_none() && page.topic == Topic::Code)
            && let (Some(fails), Some(mended)) = (run(&broken.fails), run(&broken.mended))
        {
            tried += 1;
            let says = |w: &Worked| {
                w.verdict.faults.iter().chain(&w.verdict.warnings).any(|f| f.code == broken.code)
            };
            if !says(&fails) || says(&mended) || !mended.verdict.met {
                untrue.push(format!(
                    "{}: {} {} {:?}",
                    page.name,
                    says(&fails),
                    says(&mended),
                    mended.faults()
                ));
            }
        }
    }
    assert!(untrue.is_empty(), "{} of {tried}:\n{}", untrue.len(), untrue.join("\n"));
}

/// Metric units behind a figure: what an inch shop is not to be told.
fn metric(page: &str) -> Vec<&str> {
    let units = ["mm", "cm", "C", "°C", "kg", "g", "kN", "kJ"];
    let told = |line: &&str| {
        let words: Vec<&str> = line
            .split(|c: char| c.is_whitespace() || "()`,;:".contains(c))
            .filter(|w| !w.is_empty())
            .collect();
        let digit = |word: &str| word.ends_with(|c: char| c.is_ascii_digit());
        words.windows(2).any(|pair| digit(pair[0]) && units.contains(&pair[1]))
            || words.iter().any(|word| word.ends_with("mm") && word.starts_with(|c: char| c.is_ascii_digit()))
    };
    page.lines().filter(told).collect()
}

#[test]
fn an_inch_recipe_is_answered_in_inches() {
    let chopper = fs::read_to_string("examples/harbour-chopper.heat").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let of = |name: &str, text: &str| {
        fs::write(folder.path().join(name), text).unwrap();
        name.to_owned()
    };
    let bad = [
        of("sound.heat", &chopper),
        of("narrow.heat", &chopper.replace("2 1/2 .. 2 3/4 in", "3 .. 3 1/4 in")),
        of("cold.heat", &chopper.replace("2200 F", "1500 F").replace("2250 F", "1900 F")),
        of("thick.heat", &chopper.replace("to 5/8 in thick, 2 in wide", "to 2 in thick, 4 in wide")),
        of("rough.heat", &chopper.replace("cut billet crop off each end", "# no crop")),
        of("no-size.heat", "stock a = 1 bar of 1084\ndraw a to 1/4 in thick\nharden a\n"),
        of(
            "hard.heat",
            "stock a = 1 bar of 1084, 1/4 x 1 x 6 in\nharden a from 1500 F in oil\ntarget a {\n  hardness >= 66 HRC\n  width >= 1/2 in everywhere\n}\n",
        ),
        of("soft.heat", "stock a = 1 bar of 1084, 1/4 x 1 x 6 in\ntemper a at 400 F for 2 h\ntwist a\n"),
    ];
    for name in &bad {
        for command in ["check", "run", "rack", "rescue", "nudge"] {
            let page = called_at(Some(WIDE), folder.path(), &[command, name], "");
            let page = page.out + &page.err;
            assert_eq!(metric(&page), Vec::<&str>::new(), "{command} {name}");
        }
    }
    let page = called_at(Some(WIDE), folder.path(), &["run", "sound.heat"], "").out;
    for read in [
        "1/8 x 2 x 7 in",
        "1/16 in to spare",
        "19/64 in - 5 thou",
        "19/64 x 2 9/16 x 14 in (thick 0.292)",
        "0.07 x 2 x 7 in",
    ] {
        assert!(page.contains(read), "{read}\n{page}");
    }
    assert!(!page.contains("0.062") && !page.contains("0.063"), "{page}");
}

/// A line that is asked in other units than the rest is answered in its own; a reader who names units gets those.
#[test]
fn a_line_is_answered_in_its_own_units() {
    let folder = tempfile::tempdir().unwrap();
    let text = "stock a = 1 bar of 1084, 1/4 x 1 x 6 in\ntarget a {\n  width >= 25 mm everywhere\n  length >= 6 in\n}\n";
    fs::write(folder.path().join("two.heat"), text).unwrap();
    let of = |args: &[&str]| called_at(Some(WIDE), folder.path(), args, "").out;
    let own = of(&["check", "two.heat"]);
    // 1 in is 25.4 mm.
    assert!(own.contains("25.4 mm  0.4 mm to spare") && own.contains(" 6 in "), "{own}");
    let asked = of(&["check", "two.heat", "--units", "in"]);
    assert!(asked.contains(" 6 in "), "{asked}");
    let asked = of(&["check", "two.heat", "--units", "mm"]);
    assert!(asked.contains("152.4 mm"), "{asked}");
}

/// A miss on a blade says where it is, and where the same line is met, if it is.
#[test]
fn a_miss_names_its_place_and_a_stretch_that_will_do() {
    let recipe = |zone: &str| {
        format!(
            "stock b = 1 bar of 1084, 4 x 40 x 200 mm\ntaper b from heel to tip, to 1 mm thick, ground\n\
             target b {{\n  thickness >= 1.6 mm {zone}\n}}\n"
        )
    };
    let worked = check(&recipe("everywhere"));
    let fault = &worked.verdict.faults[0];
    assert!(fault.message.contains("1 mm at the tip, 0.6 mm short"), "{}", fault.message);
    let worked = crate::common::work(&recipe("from heel to tip"));
    let help = worked.verdict.faults[0].help.clone().unwrap();
    let zone = help.split("ask for it `").nth(1).and_then(|t| t.split('`').next());
    // Where another figure mends it, that is told instead.
    match zone {
        // 3 mm of taper over 200 mm: 1.6 mm is reached 40 mm from the tip.
        Some(zone) => {
            assert_eq!(zone, "from heel to 40 mm from tip");
            assert!(check(&recipe(zone)).verdict.met);
        }
        None => assert!(help.contains("instead of"), "{help}"),
    }
}

/// A missed line in mm is told in mm in a recipe of inches, to the digit; the blame names the pass of a `repeat`.
#[test]
fn a_miss_keeps_its_units_and_names_the_pass() {
    let folder = tempfile::tempdir().unwrap();
    let text = "stock a = 1 bar of 1084, 1/2 x 1 x 6 in\nrepeat 3 {\n  grind a edges 1/32 in\n}\n\
                target a {\n  width >= 23.37 mm everywhere\n  length >= 6 in\n}\n";
    fs::write(folder.path().join("pass.heat"), text).unwrap();
    let said = called_at(Some(WIDE), folder.path(), &["check", "pass.heat", "--error-format", "plain"], "");
    // 1 in less 6/32 in is 20.64 mm; the last pass takes the largest share of what is there.
    assert!(said.err.contains("misses its width: 20.64 mm, 2.73 mm short"), "{}", said.err);
    assert!(said.err.contains("(pass 3 of 3)"), "{}", said.err);
}

/// A tapered bar shows the sizes of both ends, an octagon what a calliper reads across its flats.
#[test]
fn tapers_show_both_ends_and_octagons_their_flats() {
    let folder = tempfile::tempdir().unwrap();
    let text = "stock r = 1 square of W1, 3/4 x 8 in\ndraw r to 9/16 in octagon, heats 3\n\
        stock b = 1 bar of 1084, 1/4 x 1-1/2 x 10 in\ntaper b from heel to tip, to 1/8 in thick, forged\n";
    fs::write(folder.path().join("ends.heat"), text).unwrap();
    let page = called_at(Some(WIDE), folder.path(), &["run", "ends.heat"], "").out;
    assert!(page.contains("cold 9/16 in octagon across flats x "), "{page}");
    // The skin of its heats goes off the heel end before it is tapered.
    assert!(page.contains("cold 15/64 to 1/8 x "), "{page}");
}

/// Laws and steels are told in inches where these are asked for, and the figures are the same.
#[test]
fn laws_and_steels_are_told_in_inches() {
    let bar = ["bar-mass", "thickness=1/4in", "width=1.5in", "length=10in"];
    let of = |args: &[&str]| said(&[args, &["--units", "in"]].concat());
    let page = of(&[&["law"], bar.as_slice()].concat());
    // 3.75 cubic inches of steel of 0.2836 lb each.
    assert!(
        page.contains("mass = 1.0635 lb") && page.contains("0.25 in") && page.contains("0.2836 lb/in3"),
        "{page}"
    );
    let heat = of(&["law", "heat-content", "mass=2lb", "temperature=2250F"]);
    assert!(heat.contains("is 2250 F; the law holds from 68 to 2192"), "{heat}");
    let steels = of(&["steels", "1084"]);
    assert!(steels.contains("lb/in3") && steels.contains("0.2836"), "{steels}");
    for page in [page, heat, steels, of(&["law"])] {
        // A formula is in the units of its law.
        let told: Vec<&str> = metric(&page).into_iter().filter(|l| !l.contains("formula:")).collect();
        assert_eq!(told, Vec::<&str>::new());
    }
}
