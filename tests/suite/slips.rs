//! What people write who have not read the reference, and what is made of it: `tests/slips.txt`.

use crate::common::check;
use heatbook::language::format;

/// What stands around a row: before it, and behind it.
fn around(place: &str) -> (&'static str, &'static str) {
    const BARS: &str = "stock b = 1 bar of 1084, 1 x 2 x 12 in\n\
        stock dark = 4 bars of 1084, 1/8 x 1-1/2 x 6 in\nstock bright = 4 bars of 15N20, 1/8 x 1-1/2 x 6 in\n";
    const STRIPS: &str =
        "stock dark = 4 bars of 1084, 3 x 40 x 120 mm\nstock bright = 4 bars of 15N20, 1.5 x 40 x 120 mm\n";
    const BENCH: &str = "stock billet = 1 bar of 1084, 1 x 2 x 12 in\nstock blade = 1 bar of 1084, 1/4 x 2 x 12 in\n\
        stock dark = 4 bars of 1084, 3 x 40 x 120 mm\nstock bright = 4 bars of 15N20, 1.5 x 40 x 120 mm\n";
    const INCH: &str = "stock dark = 7 bars of 1084, 1/8 x 1 1/2 x 6 in\n\
        stock bright = 6 bars of 15N20, 1/16 x 1 1/2 x 6 in\n\
        stock core = 1 bar of 52100, 3/16 x 1 1/2 x 6 in\n\
        stock side = 2 bars of mild, 1/8 x 1 1/2 x 6 in\n\
        stock billet = 1 bar of 1084, 1 x 1 1/2 x 12 in\n\
        stock blade = 1 bar of 1084, 1/4 x 2 1/2 x 10 in\n\
        stock bar = 1 bar of 1084, 1/2 x 1/2 x 10 in\n\
        stock bar-a = 1 bar of 1084, 1/2 x 1/2 x 10 in\n\
        stock bar-b = 1 bar of 1084, 1/2 x 1/2 x 10 in\n";
    const METRIC: &str = "stock dark = 6 bars of 1084, 3 x 40 x 120 mm\n\
        stock bright = 5 bars of 15N20, 1.5 x 40 x 120 mm\n\
        stock core = 1 bar of 1084, 4 x 40 x 120 mm\n\
        stock side = 2 bars of 15N20, 3 x 40 x 120 mm\n\
        stock billet = 1 bar of 1084, 32 x 40 x 300 mm\n\
        stock blade = 1 bar of 1084, 13 x 41 x 270 mm\n\
        stock rod = 1 bar of 1084, 20 x 20 x 200 mm\n\
        stock bar = 1 bar of 1084, 12 x 12 x 200 mm\n\
        stock bars = 3 bars of 1084, 12 x 12 x 200 mm\n";
    const NAMED: &str = "let normal = 815 C\nlet crop = 6 mm\nlet skin = 0.2 mm\n\
        stock core-bar = 1 bar of 1084, 4 x 40 x 120 mm\nstock blade = 1 bar of 1084, 13 x 41 x 270 mm\n";
    const RECIPE: &str = "recipe made(\n  bars: count = 5,\n  dark: steel = 1084,\n  bright: steel = 15N20,\n  \
        size: length = 20 mm,\n  wide: length = 40 mm,\n  clean: length = 0.5 mm,\n  along: length = 120 mm\n) {\n  \
        stock bar = bars bars of dark, 6 mm x wide x along\n  stack bar = bar\n  weld bar at 1230 C\n";
    const CALL: &str = "recipe made(dark: steel = 1084, size: length = 20 mm) {\n  \
        stock bar = 1 bar of dark, size x 40 mm x 120 mm\n  give bar\n}\n";
    const PARAMETER: &str = "\n  along: length = 120 mm\n) {\n  stock bar = 1 bar of 1084, 30 mm x 40 mm x along\n  \
        draw bar to size-of square\n  give bar\n}\nstock bar = made()\n";
    match place {
        "recipe" => (RECIPE, "\n  give bar\n}\nstock bar = made()\n"),
        "call" => (CALL, "\n"),
        "parameter" => ("recipe made(\n", PARAMETER),
        "named" => (NAMED, "\n"),
        "inch" => (INCH, "\n"),
        "metric" => (METRIC, "\n"),
        "" => ("", "\n"),
        "bars" => (BARS, "\n"),
        "strips" => (STRIPS, "\n"),
        "bench" => (BENCH, "\n"),
        "shop" => ("shop {\n", "\n}\nlet one = 1\n"),
        "target" => (BARS, "\n"),
        "head" => ("stock b = 1 bar of 1084, 1 x 2 x 12 in\n", " {\nturn b\n}\n"),
        _ => panic!("no place `{place}`"),
    }
}

/// A recipe of a row, and the address of the row in it.
pub fn recipe(place: &str, row: &str) -> String {
    let (before, behind) = around(place);
    match place {
        // A fresh piece for each target: whether it is met is no matter here.
        "target" => format!("{before}target b {{\n{row}\n}}\n"),
        _ => format!("{before}{row}{behind}"),
    }
}

#[test]
fn slips_are_read_or_answered() {
    let (mut read, mut answered, mut wrong) = (0, 0, Vec::new());
    let mut place = "";
    for row in include_str!("../slips.txt").lines().filter(|row| !row.is_empty() && !row.starts_with('#')) {
        if let Some(named) = row.strip_prefix('@') {
            place = named.trim();
            continue;
        }
        // Whether a target is met, and what the fire does, is no matter here.
        let said = |w: &crate::common::Worked| {
            let faults = w.verdict.faults.iter().filter(|f| f.code.name() != "target_missed");
            faults
                .map(|f| (f.code.name(), f.message.clone(), f.help.clone().unwrap_or_default()))
                .collect::<Vec<_>>()
        };
        if let Some((written, house)) = row.split_once(" => ") {
            read += 1;
            let (got, want) = (check(&recipe(place, written)), check(&recipe(place, house)));
            let figures =
                |w: &crate::common::Worked| w.plan.values.0.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
            let styled = format(&recipe(place, written), 0);
            let line = styled
                .as_ref()
                .ok()
                .and_then(|s| s.lines().find(|l| l.trim().trim_end_matches(" {") == house));
            if said(&got) != said(&want) || figures(&got) != figures(&want) || figures(&got).is_empty() {
                wrong.push(format!("{row}: {:?}", said(&got)));
            } else if got.plan.steps.len() != want.plan.steps.len()
                || got.verdict.faults.iter().any(|f| unread(f.code.name()))
            {
                wrong.push(format!("{row}: not read: {:?}", said(&got)));
            } else if line.is_none() {
                wrong.push(format!("{row}: written as {styled:?}"));
            }
        } else if let Some((written, help)) = row.split_once(" =! ") {
            answered += 1;
            let got = said(&check(&recipe(place, written)));
            if got.len() != 1 || !got[0].2.contains(help) {
                wrong.push(format!("{row}: {got:?}"));
            }
        } else {
            wrong.push(format!("{row}: neither"));
        }
    }
    assert!(wrong.is_empty(), "{} of {} are wrong\n{}", wrong.len(), read + answered, wrong.join("\n"));
    assert!(read + answered >= 800 && read > 300 && answered > 450, "{read} {answered}");
}

/// Whether a fault says that something could not be read.
fn unread(code: &str) -> bool {
    matches!(
        code,
        "syntax"
            | "unfinished"
            | "unknown_verb"
            | "unknown_unit"
            | "unknown_name"
            | "unknown_figure"
            | "wrong_kind"
            | "unknown_steel"
    )
}

/// Several mistakes on a line are told in one round, each with what is offered for it, where the whole line cannot be made of it.
#[test]
fn all_mistakes_of_a_line_are_told_at_once() {
    let written = "stock b = 1 bar of 1084, 30 x 40 x 150 mm\nweld b at 1230 C, thinnig 15 %, gribble 7 furlongs, haets 3\n";
    let worked = check(written);
    let told: Vec<(String, Option<String>)> = worked
        .verdict
        .faults
        .iter()
        .map(|f| (worked.files.text(f.span()).to_owned(), f.help.clone()))
        .collect();
    let (words, helps): (Vec<_>, Vec<_>) = told.into_iter().map(|(w, h)| (w, h.unwrap_or_default())).unzip();
    assert_eq!(words, ["thinnig", "gribble", "haets"], "{helps:?}");
    assert!(helps[0].contains("`thinning`") && helps[2].contains("`heats`"), "{helps:?}");
}

/// What is shown off a tape is read by a recipe as the same length, to half a thousandth of an inch.
#[test]
fn a_tape_reading_is_read() {
    use heatbook::quantity::{Kind, Units, show};
    for thousandths in (130..3900).step_by(37) {
        let mm = 25.4 * f64::from(thousandths) / 1000.0;
        let shown = show(mm, Kind::LENGTH, Units::Inch);
        let worked = check(&format!("let t = {shown}\n"));
        let (slot, _) = worked.plan.slots.iter().enumerate().find(|(_, s)| s.address == "t").unwrap();
        let got = worked.plan.values.at(slot as u32);
        assert!(
            worked.faults().is_empty() && (got - mm).abs() <= 25.4 * 0.000_5 + 1e-9,
            "{shown}: {got} is not {mm}"
        );
    }
}

/// The unit that is offered for sizes before feet mends the line.
#[test]
fn a_unit_offered_before_feet_mends() {
    let written = "stock b = 1 bar of 1084, 1/4 x 1-1/2 x 4 ft\n";
    let worked = check(written);
    let (span, words) = worked.verdict.faults[0].fix.clone().map(|f| (f.span, f.text)).unwrap();
    assert_eq!(span.start, span.end);
    let mended = written.replace("1-1/2 x", &format!("1-1/2{words} x"));
    assert_eq!(check(&mended).faults(), Vec::<&str>::new());
}

/// What a recipe says that it is shown in goes before what its figures are in.
#[test]
fn units_are_as_the_recipe_says() {
    use heatbook::quantity::Units;
    let bar = "stock b = 1 bar of 1084, 6 x 40 x 150 mm\n";
    assert_eq!(check(bar).plan.units(), Units::Metric);
    assert_eq!(check(&format!("units in\n{bar}")).plan.units(), Units::Inch);
    assert_eq!(check(&format!("{}units mm\n", bar.replace("mm", "in"))).plan.units(), Units::Metric);
    let twice = check(&format!("units in\nunits mm\n{bar}"));
    assert_eq!(twice.faults(), ["entry_twice"]);
}

/// A figure that a word stands right behind is a figure: no line is offered without it.
#[test]
fn no_figure_is_lost_in_a_word() {
    let stock = "stock b = 1 bar of 1084, 4 x 40 x 200 mm\n";
    for line in ["harden b from 815edge 0", "harden b from 815edge 20 C"] {
        let worked = check(&format!("{stock}{line}\n"));
        let helps: Vec<String> = worked.verdict.faults.iter().filter_map(|f| f.help.clone()).collect();
        assert!(!helps.is_empty() && helps.iter().all(|help| !help.contains("harden b from 0")), "{helps:?}");
        assert!(helps.iter().all(|help| !help.contains("harden b from 20 C")), "{helps:?}");
    }
}

/// One mistake in a sound recipe is told by one fault: what only follows from it is not told.
#[test]
fn one_mistake_gives_one_fault() {
    let sound = "shop {\n  forge gas, 1130 C\n  press 25 tonf, flat die 40 mm\n  kerf 2 mm\n}\n\
        stock dark   = 7 bars of 1084, 3 x 40 x 120 mm\nstock bright = 6 bars of 15N20, 1.5 x 40 x 120 mm\n\
        stack billet = alternate dark, bright\nweld billet at 1230 C, thinning 15 %, heats 3\n\
        draw billet to 9 mm thick, 40 mm wide, heats 5\ncut billet into 4\nstack blade = billet\n\
        weld blade at 1230 C, thinning 15 %, heats 3\ntarget blade {\n  width >= 30 mm everywhere\n  layers >= 50\n  \
        share of bright >= 20 %\n}\n";
    assert_eq!(check(sound).faults(), Vec::<&str>::new());
    let mut wrong = Vec::new();
    for (was, is, code) in [
        ("of 1084", "of 1048", "unknown_steel"),
        ("of 15N20", "of 15N200", "unknown_steel"),
        ("stock dark ", "stock drak ", "unknown_name"),
        ("alternate dark, bright", "alternate dark, brigth", "unknown_name"),
        ("stack billet =", "stak billet =", "unknown_verb"),
        ("weld billet", "wel billet", "unknown_verb"),
        ("weld billet at 1230 C, thinning 15 %, heats 3\n", "", "loose_stack"),
        ("draw billet to 9 mm thick, 40 mm wide", "draw billet to 9 thick, 40 wide", "wrong_kind"),
        ("cut billet into 4", "cut billet in 4 peices", "syntax"),
        ("stack blade = billet\n", "", "unknown_name"),
        ("target blade {", "target blade", "no_block"),
        ("shop {", "shop", "no_block"),
        ("kerf 2 mm\n}\n", "kerf 2 mm\n", "open_block"),
        ("3 x 40 x 120 mm", "3 x 40 x 120", "bare_size"),
        ("share of bright", "share of brite", "unknown_part"),
        ("weld blade at 1230 C", "weld blade at 1230", "wrong_kind"),
    ] {
        assert!(sound.contains(was), "{was}");
        let worked = check(&sound.replacen(was, is, 1));
        if worked.faults() != [code] {
            wrong.push(format!("{was} -> {is}: {:?}", worked.faults()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// So is one in a recipe that is called, and one in what is handed to it.
#[test]
fn one_mistake_in_a_call_gives_one_fault() {
    let sound = "recipe thinned(p: piece) {\n  draw p to 4 mm thick, heats 2\n  give p\n}\n\
        stock bar = 1 bar of 1084, 5 x 45 x 220 mm\nstock blade = thinned(p = bar)\ntarget blade {\n  width >= 30 mm\n}\n";
    assert_eq!(check(sound).faults(), Vec::<&str>::new());
    for (was, is, code) in [
        ("give p", "hand p", "unknown_verb"),
        ("1 bar of 1084, 5 x 45 x 220 mm", "one length of 1084 flat, 5 x 45 x 220 mm", "syntax"),
        ("5 x 45 x 220 mm", "5mm x 45 x 220", "bare_size"),
        ("draw p to 4 mm thick", "draw p to 4 thick", "wrong_kind"),
    ] {
        assert_eq!(check(&sound.replacen(was, is, 1)).faults(), [code], "{was} -> {is}");
    }
}
