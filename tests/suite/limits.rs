//! What could go on for ever, and what comes to no figure: a limit counts work, and a page says why it cannot tell.

use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use crate::common::{called, work};
use heatbook::language::format;
use heatbook::piece::Makeup;
use heatbook::quantity::Units;
use heatbook::report::{
    Answer, Asked, COLUMNS, CheckPage, ComparePage, NudgePage, OddsPage, Style, json_text,
};
use heatbook::source::Code;
use heatbook::study::{Draw, odds};

/// A second in a debug build on a slow machine; what these tests forbid took twenty and more.
const SOON_S: f64 = 10.0;

/// The codes of all faults, found soon.
#[track_caller]
fn soon(source: &str) -> Vec<&'static str> {
    let start = Instant::now();
    let faults = work(source).faults();
    let spent = start.elapsed().as_secs_f64();
    assert!(spent < SOON_S, "took {spent} s");
    faults
}

fn nested(depth: usize, rounds: usize, body: &str) -> String {
    format!("repeat {rounds} {{\n").repeat(depth) + body + &"}\n".repeat(depth)
}

#[test]
fn rounds_of_nothing_are_counted_too() {
    assert_eq!(soon(&nested(20, 2, "")), ["too_many_steps"]);
    assert_eq!(soon(&nested(6, 100, "")), ["too_many_steps"]);
    assert_eq!(soon(&nested(6, 100, "let a = 3 mm\n")), ["too_many_steps"]);
    assert_eq!(soon(&nested(6, 100, "note \"a\"\n")), ["too_many_steps"]);
    // Inside a recipe, and where it is called in each round.
    let called = format!(
        "recipe r() {{\n{}stock p = 1 bar of 1084, 5 x 40 x 100 mm\ngive p\n}}\nstock a = r()\n",
        nested(20, 2, "")
    );
    assert_eq!(soon(&called), ["too_many_steps"]);
    // What a shop would write is far below.
    assert_eq!(soon(&nested(1, 10_000, "note \"a\"\n")), [""; 0]);
    assert_eq!(soon(&nested(10, 2, "")), [""; 0]);
}

#[test]
fn a_round_does_not_copy_every_name() {
    let lets: String = (0..8_000).map(|i| format!("let a{i} = 1 mm\n")).collect();
    assert_eq!(soon(&format!("{lets}{}", nested(1, 10_000, "let b = 2 mm\n"))), [""; 0]);
    // A name that a block hides means again what it meant, also where it was hidden twice.
    let hidden = "let a = 100 mm\nrepeat 2 {\nlet a = 30 mm\nrepeat 2 {\nlet a = 20 mm\nlet a = a + 1 mm\n}\n}\n\
                  stock p = 1 bar of 1084, 5 mm x 40 mm x a\n";
    assert_eq!(work(hidden).piece("p")["length_mm"], 100.0);
}

#[test]
fn a_question_that_many_figures_hang_on_is_looked_up_once_each() {
    let mut chain = "let a0 = ? in 1 .. 2 mm\n".to_owned();
    for i in 1..8_000 {
        chain += &format!("let a{i} = a{} + 1 mm\n", i - 1);
    }
    assert_eq!(soon(&chain), ["open_question"]);
}

#[test]
fn an_etch_that_eats_the_edge_is_told_soon() {
    let source = include_str!("../../examples/commissions/composite.heat");
    let deep = source.replace("etch blade faces 0.03 mm", "etch blade faces 0.09 mm");
    assert_ne!(deep, source);
    let start = Instant::now();
    let worked = crate::common::check(&deep);
    let spent = start.elapsed().as_secs_f64();
    assert!(spent < SOON_S, "took {spent} s");
    // The search for mends counts what a run of such a blade takes, and comes to its mend all the same.
    let said = called(Path::new("."), &["check", "-"], &deep).all();
    assert!(said.contains("help: write 0.062 mm instead of 0.09 mm"), "{said}");
    // Layers are held against the grinder's lines: counted, and far from the limit.
    let looked = worked.build.bench.makeup.looked();
    assert!((1_000..Makeup::MOST_LOOKED / 10).contains(&looked), "{looked}");
}

#[test]
fn the_formatter_looks_at_each_comment_once() {
    for text in ["# a\n".repeat(100_000), format!("let a = (1 mm\n{})\n", "# a\n".repeat(5_000))] {
        let start = Instant::now();
        let made = format(&text, 0).unwrap();
        let spent = start.elapsed().as_secs_f64();
        assert!(spent < SOON_S, "took {spent} s");
        assert_eq!(made.lines().count(), text.lines().count());
    }
}

/// The page and the object of a run, as text.
fn told(source: &str) -> (String, serde_json::Value) {
    let worked = work(source);
    (worked.page(Units::Metric).page(COLUMNS), worked.json())
}

/// Words that are no figure on a page.
fn no_figures(page: &str) -> Vec<&str> {
    let words = page.split(|c: char| !c.is_alphanumeric() && c != '-' && c != '.');
    words.filter(|w| matches!(w.trim_start_matches('-'), "inf" | "NaN" | "nan" | "infinity")).collect()
}

#[test]
fn a_heat_that_is_no_heat_is_told_so() {
    let weld = "stock p = 3 bars of 1084, 5 x 40 x 150 mm\nstack q = p\nweld q at 950 C\n";
    let draw = "stock p = 1 bar of 52100, 10 x 40 x 150 mm\ndraw p to 9 mm thick, at 850 C, heats 1\n";
    let taper = "stock p = 1 bar of 52100, 10 x 40 x 150 mm\ntaper p from heel to tip, to 4 mm thick, forged, at 850 C, heats 2\n";
    let shop = "shop {\n press 25 tonf, flat die 40 mm\n}\n";
    for source in [weld, draw, taper, &format!("{shop}{weld}"), &format!("{shop}{draw}")] {
        let (text, json) = told(source);
        assert_eq!(no_figures(&text), [""; 0], "{text}");
        assert!(text.contains("cannot be told: the piece leaves the fire no hotter"), "{text}");
        let steps = json["steps"].as_array().unwrap();
        let effort = &steps.last().unwrap()["effort"];
        assert!(
            effort["minutes"].as_f64().unwrap() > 0.0 && json["totals"]["minutes"].is_number(),
            "{effort}"
        );
        assert!(effort["work_s_per_heat"].is_null(), "{effort}");
        assert!(effort["work_untold"].as_str().unwrap().contains("no hotter than"), "{effort}");
        assert!(json["warnings"].to_string().contains("cold_forging"), "{json}");
    }
    let (text, json) = told(&draw.replace("850 C", "1100 C"));
    assert!(!text.contains("cannot be told"), "{text}");
    assert!(json["steps"][1]["effort"]["work_untold"].is_null());
}

/// The program: how it ends, and what it says in all.
fn said(args: &[&str], input: &str) -> (Option<i32>, String) {
    let said = called(Path::new("."), args, input);
    (Some(said.code), said.all())
}

#[test]
fn where_nothing_stands_that_is_said() {
    for nothing in ["", "\n\n", "# later\n"] {
        for command in ["check", "run", "replay", "nudge"] {
            let (code, text) = said(&[command, "-"], nothing);
            assert_eq!(code, Some(2), "{command}: {text}");
            assert!(text.contains("no line of a recipe stands in `standard input`"), "{command}: {text}");
            assert!(!text.contains("can be worked") && !text.contains("the plan"), "{command}: {text}");
        }
    }
    // What others use may well have no step.
    for shop in ["shop {\n kerf 2 mm\n}\n", "steel foo = like 1084\n", "let a = 3 mm\n"] {
        let (code, text) = said(&["check", "-"], shop);
        assert_eq!(code, Some(0), "{text}");
        assert!(text.contains("no step stands in it: there is nothing to work (0 faults"), "{text}");
        let (_, text) = said(&["run", "-"], shop);
        assert!(text.contains("no step stands in it") && !text.contains("what to do"), "{text}");
    }
    let (code, text) = said(&["check", "-"], "target p {\n mass <= 3 kg\n}\n");
    assert!(code == Some(1) && text.contains("there is no piece `p`"), "{text}");
    // A stray bracket is something, and at fault.
    assert_eq!(said(&["check", "-"], "}\n").0, Some(1));
}

#[test]
fn a_steel_of_ones_own_has_a_price() {
    let stock = "stock p = 1 bar of foo, 10 x 40 x 150 mm\n";
    let cost = |source: &str| {
        let (text, json) = told(source);
        (text, json["totals"]["cost"].as_f64().unwrap_or_else(|| panic!("{json}")))
    };
    let heat = "heat p at 1000 C for 5 min\n";
    let (_, plain) = cost(&format!(
        "shop {{\n price of 1084 6 per kg\n}}\nstock p = 1 bar of 1084, 10 x 40 x 150 mm\n{heat}"
    ));
    assert!(plain > 2.0, "{plain}");
    // By its own name, whether its line stands before the shop or behind it.
    let shop = "shop {\n price of foo 12 per kg\n price of 1084 6 per kg\n}\n";
    for source in [
        format!("steel foo = like 1084\n{shop}{stock}{heat}"),
        format!("{shop}steel foo = like bar\nsteel bar = like 1084\n{stock}{heat}"),
    ] {
        let (text, own) = cost(&source);
        assert!((own - 2.0 * plain).abs() < 1e-9 && !text.contains("no price"), "{own}: {text}");
    }
    // Else as what it is like, and that is said.
    let (text, like) = cost(&format!(
        "shop {{\n price of 1084 6 per kg\n}}\nsteel bar = like 1084\nsteel foo = like bar\n{stock}{heat}"
    ));
    assert!((like - plain).abs() < 1e-9, "{like} {plain}");
    assert!(text.contains("foo at the price of 1084, which it is like"), "{text}");
    // Like itself is like nothing, and twice is twice, as before.
    let round = "shop {\n price of foo 12 per kg\n}\nsteel foo = like foo\n";
    assert!(work(round).faults().contains(&"unknown_steel"), "{:?}", work(round).faults());
    let twice = format!("{shop}steel foo = like 1084\nsteel foo = like 1084\n{stock}");
    assert_eq!(work(&twice).faults(), ["steel_taken"]);
}

#[test]
fn nudge_only_runs_what_can_move_a_target() {
    // Four of these leads to what is judged: the others are worked in no run of their own.
    let stocks: String =
        (0..3_000).map(|i| format!("stock n{i} = 1 bar of 1084, 10 x 40 x 150 mm\n")).collect();
    let source = format!(
        "let way = 8 mm\nlet idle = 3 mm\nshop {{\n kerf 2 mm\n}}\n{stocks}draw n7 to way thick, heats 1\nturn n8\ntarget n7 {{\n length >= 150 mm\n}}\n"
    );
    let worked = work(&source);
    let moving: Vec<&str> = worked
        .plan
        .slots
        .iter()
        .zip(worked.plan.movers())
        .filter(|(slot, moves)| *moves && !slot.address.is_empty())
        .map(|(slot, _)| slot.address.as_str())
        .collect();
    assert_eq!(
        moving,
        ["way", "shop kerf", "n7 bars", "n7 thick", "n7 wide", "n7 long", "draw 1 thick", "draw 1 heats"]
    );
    let start = Instant::now();
    let (_, found) = heatbook::study::nudge(&worked.plan, Units::Metric);
    let spent = start.elapsed().as_secs_f64();
    assert!(spent < SOON_S, "took {spent} s");
    let named: Vec<&str> =
        found.iter().map(|n| worked.plan.slots[n.slot as usize].address.as_str()).collect();
    assert!(named.contains(&"way") && named.contains(&"n7 thick"), "{named:?}");
    // Without a target nothing is run at all.
    assert!(work(&stocks).plan.movers().iter().all(|moves| !moves));
}

#[test]
fn long_recipes_are_judged_as_soon_as_they_are_worked() {
    let stock = |i: usize| format!("stock n{i} = 1 bar of 1084, 10 x 40 x 150 mm\n");
    // What stands is weighed step by step, and not all of it after each.
    let stocks: String = (0..10_000).map(stock).collect();
    assert_eq!(soon(&stocks), [""; 0]);
    let worked = work(&stocks);
    assert!(worked.build.balance.error < 1e-12 && worked.build.balance.pieces > 4.7e6);
    // Lines that are missed do not each look for a mend of their own.
    let missed = "length >= 160 mm\n".repeat(4_000);
    assert_eq!(soon(&format!("{}target n0 {{\n{missed}}}\n", stock(0))).len(), 4_000);
}

#[test]
fn many_questions_are_asked_with_measure() {
    let asked: String =
        (0..300).map(|i| format!("stock q{i} = 1 bar of 1084, ? in 3 .. 9 mm x 40 mm x 150 mm\n")).collect();
    let worked = work(&format!("{asked}target q7 {{\n mass <= 250 g\n}}\n"));
    let start = Instant::now();
    let filled = heatbook::study::fill(&worked.plan, heatbook::study::Least::Steel).unwrap();
    let spent = start.elapsed().as_secs_f64();
    assert!(filled.outcome.met() && filled.values.len() == 300);
    assert!(filled.runs <= 25_000 && spent < 4.0 * SOON_S, "{} runs, {spent} s", filled.runs);
}

/// A recipe with each of its figures in a place of its own, and the extremes that each is tried with.
const EXTREMES: &[(&str, &str, &[&str])] = &[
    (
        "{at}",
        "1150 C",
        &["20 C", "100 C", "500 C", "727 C", "800 C", "850 C", "1000 C", "1500 C", "5000 C", "-300 C"],
    ),
    ("{for}", "6 min", &["0 min", "0.001 min", "1000 min", "1000000000 min"]),
    ("{heats}", "3", &["1", "1000"]),
    ("{thick}", "5 mm", &["0.001 mm", "0.1 mm", "1000 mm", "100 m", "0 mm"]),
    ("{wide}", "40 mm", &["0.001 mm", "1 mm", "100 m"]),
    ("{long}", "150 mm", &["0.001 mm", "1 mm", "100 m"]),
    ("{spread}", "0.3", &["0", "1", "0.000001", "1000"]),
    ("{thinning}", "15 %", &["0 %", "0.0001 %", "99.99 %", "100 %"]),
    ("{scale}", "0.05 mm", &["0 mm", "1 mm", "4 mm", "100 m"]),
    ("{carbon}", "0.84 %", &["0 %", "0.0001 %", "0.77 %", "2 %", "100 %"]),
    ("{quench}", "815 C", &["20 C", "727 C", "1000 C", "1400 C"]),
    ("{temper}", "200 C", &["20 C", "-273 C", "650 C", "5000 C"]),
    ("{stay}", "2 h", &["0 h", "0.001 min", "1000000 h"]),
    ("{force}", "25 tonf", &["0.0001 tonf", "1000000 tonf"]),
    ("{die}", "40 mm", &["0.001 mm", "100 m"]),
    ("{rate}", "12", &["0.0001", "1000000"]),
    ("{price}", "6", &["0", "1000000000000"]),
    ("{mass}", "2 kg", &["0 kg", "0.001 g", "1000000 kg"]),
];

const EXTREME: &[&str] = &[
    // By hand, with nothing stated of the machine.
    "shop {\n scale {scale} per heat\n}\nsteel own = like 1084, carbon {carbon}\nstock p = 3 bars of own, {thick} x {wide} x {long} +- 1 %\n\
     stack q = p\nweld q at {at}, thinning {thinning}, heats {heats}, for {for}\ndraw q to 9 mm thick, at {at}, spread {spread}\n\
     harden q from {quench} in oil\ntemper q at {temper} for {stay}\n\
     target q {\n mass <= {mass}\n length >= 100 mm\n width >= 30 mm everywhere\n hardness >= 58 HRC\n layers >= 3\n}\n",
    // By a press, as heats are counted.
    "shop {\n press {force}, flat die {die}, {rate} strokes per minute\n hot zone 120 mm\n tongs 30 mm\n forge gas, {at}\n price of own {price} per kg\n price {price} an hour\n}\n\
     steel own = like 1084, carbon {carbon}\nstock p = 1 bar of own, {thick} x {wide} x {long}\n\
     heat p at {at} for {for}\ndraw p to 4 mm thick\nnormalise p at {quench}\n\
     target p {\n mass <= {mass}\n thickness = 4 mm +- 0.1 mm\n}\n",
    // A blade.
    "stock b = 1 bar of 52100, 6 x {wide} x {long}\ntaper b from heel to tip, to 3 mm thick, forged, at {at}, heats {heats}, for {for}\n\
     bevel b edge 0.5 mm, height 20 mm, ground\netch b faces {scale}\n\
     target b {\n spine >= 2 mm at heel\n balance <= 200 mm\n mass <= {mass}\n}\n",
];

#[test]
fn no_extreme_gets_a_figure_that_is_none_onto_a_page() {
    let shapes = crate::answers::Shapes::new();
    let (mut worked, mut bad) = (0, Vec::new());
    for template in EXTREME {
        for (place, _, extremes) in EXTREMES.iter().filter(|(place, ..)| template.contains(place)) {
            for extreme in *extremes {
                let mut source = template.replace(place, extreme);
                for (place, usual, _) in EXTREMES {
                    source = source.replace(place, usual);
                }
                worked += 1;
                for (what, text, json) in answers(&source) {
                    let none = no_figures(&text);
                    if !none.is_empty() {
                        let line = text.lines().find(|line| !no_figures(line).is_empty()).unwrap_or("");
                        bad.push(format!("{what}, {place} {extreme}: {line}"));
                    }
                    if let Some(Err(error)) =
                        json.map(|json| shapes.fits(&serde_json::from_str(&json).unwrap()))
                    {
                        bad.push(format!("{what}, {place} {extreme}: {error}"));
                    }
                }
            }
        }
    }
    assert!(worked > 80, "{worked}");
    assert_eq!(
        soon("let a = -300 C\nlet b = -400 F\nlet c = 20 C - 280 C\nlet d = 20 C - 300 C\n"),
        ["no_figure"; 2]
    );
    assert!(bad.is_empty(), "{} of {worked}:\n{}", bad.len(), bad.join("\n"));
}

/// What is answered to a recipe: which question, its page, its object.
fn answers(source: &str) -> Vec<(&'static str, String, Option<String>)> {
    let worked = work(source);
    let (files, plan, units) = (&worked.files, &worked.plan, Units::Metric);
    let page = || worked.page(units);
    let check = CheckPage { pages: vec![page()], unread: &[] };
    let mut made = vec![
        ("findings", worked.findings(Style::Human { colour: false, wide: COLUMNS }), None),
        ("run", page().page(COLUMNS), Some(json_text(&page()))),
        ("check", check.page(COLUMNS), Some(json_text(&check))),
    ];
    let beside = ComparePage { a: (page(), "a"), b: (page(), "b") };
    made.push(("compare", beside.page(COLUMNS), Some(json_text(&beside))));
    // A table of figures: what is none is left out.
    made.push(("table", page().csv().unwrap().text(), None));
    let faults = &worked.verdict.faults;
    if plan.steps.is_empty()
        || faults.iter().any(|f| {
            worked.build.faults.iter().all(|b| b.message != f.message) && f.code != Code::TargetMissed
        })
    {
        return made;
    }
    let asked = || Asked { files, plan, units };
    let (tests, nudges) = heatbook::study::nudge(plan, units);
    let nudge = NudgePage { asked: asked(), tests: &tests, nudges: &nudges };
    made.push(("nudge", nudge.page(COLUMNS), Some(json_text(&nudge))));
    let (stop, progress) = (AtomicBool::new(false), |_: usize| {});
    let draw = Draw { samples: 50, seed: 1, cores: 1, stop: &stop, progress: &progress };
    let odds = odds(plan, &draw);
    let odds = OddsPage { asked: asked(), odds: &odds };
    made.push(("odds", odds.page(COLUMNS), Some(json_text(&odds))));
    made
}

/// Every skin asks what lies in it, and stacks that are turned between them have ever more to ask: work is counted, and ends.
#[test]
fn stacks_turned_between_stacks_end_where_work_does() {
    let text = "shop {\n  scale 0.001 mm per heat\n  kerf 0 mm\n}\nstock a = 5 bars of 1084, 7 x 42 x 240 mm\nstock b = 4 bars of 1018, 4 x 42 x 240 mm\nstack p = alternate a, b\nweld p\n\
                repeat 100 {\n  turn p\n  repeat 3 {\n    draw p to 26 mm thick, 44 mm wide, heats 1\n    cut p into 2\n    stack p = p\n    weld p, heats 1\n  }\n}\n";
    let worked = work(text);
    assert!(worked.faults().contains(&"too_much"), "{:?}", worked.faults());
    let looked = worked.build.bench.makeup.looked();
    assert!(looked < 2 * Makeup::MOST_LOOKED, "{looked}");
    // A bar that is thinned without end comes to no figure that is none.
    let thin = "shop {\n  scale none\n}\nstock a = 1 bar of 1084, 4 x 40 x 100 mm\nrepeat 9999 {\n  weld a at 1200 C, thinning 12 %, heats 1\n}\n";
    let faults = work(thin).faults();
    assert!(faults.contains(&"out_of_range"), "{faults:?}");
}

/// A bar of a kilometre has no 80,000 grooves: told before room is made for them.
#[test]
fn more_hollows_than_anybody_cuts_are_refused() {
    for step in ["groove b every 12 mm, 8 mm across, 1 mm deep", "drill b 6 mm holes, 1 mm deep, every 9 mm"]
    {
        let faults = soon(&format!("stock b = 1 bar of 1084, 4 x 30 x 1000000 mm\n{step}\n"));
        assert_eq!(faults, ["too_much"], "{step}");
    }
}

/// A figure that is at fault where it is set is told there, and hides nothing however often it is used; a can of such figures is no pile.
#[test]
fn a_figure_at_fault_is_told_once_and_hides_nothing() {
    let draws = "draw b to q thick\n".repeat(260);
    let bar = "let q = 3 mm + 4 C\nstock b = 1 bar of 1084, 30 x 40 x 400 mm\n";
    assert_eq!(work(&format!("{bar}{draws}turn nosuch\n")).faults(), ["unlike_kinds", "unknown_name"]);
    let can = "let q = 3 mm + 4 C\nstack p = in can q x q, wall 2 mm, powder of 1084\n";
    assert_eq!(work(can).faults(), ["unlike_kinds"]);
}

/// What looks through more than a run may is told at the step that goes beyond, and once; nothing behind it is worked. Its page comes soon too.
#[test]
fn what_goes_beyond_a_run_is_told_once() {
    let start = Instant::now();
    let worked = work(include_str!("../fuzz/found/joined-and-folded-over-and-over.heat"));
    assert_eq!(worked.faults(), ["too_many_steps", "too_much"]);
    let beyond = worked.build.faults.iter().find(|fault| fault.code == Code::TooMuch).unwrap();
    assert!(beyond.message.starts_with("stacks turned and stacked again"), "{}", beyond.message);
    // The page works the carbon of what stands.
    assert!(json_text(&worked.page(Units::Metric)).contains("carbon"));
    assert!(start.elapsed().as_secs_f64() < 3.0 * SOON_S, "{:?}", start.elapsed());
}
