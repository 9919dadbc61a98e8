//! The stop-watch: how long a bare run of the first recipe takes, a question, a key, a long log. Tests count work instead, so
//! that they say the same on a busy machine. Run: `cargo bench --locked`.
#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "this is what a clock is for")]

use std::time::Instant;

use heatbook::forge::Silent;
use heatbook::language::{self, Memo, Uses};
use heatbook::quantity::Units;
use heatbook::replay::{Bench, Plan, build};
use heatbook::source::Files;
use heatbook::study::{Mending, judge_with};

fn main() {
    let mut files = Files::default();
    let base = files.add("ferry-galley.heat", include_str!("../../examples/ferry-galley.heat")).unwrap_or(0);
    let (plan, faults) = language::read(&files, base);
    assert!(faults.is_empty());
    let mut bench = Bench::default();
    let slot = plan.slots.iter().position(|s| s.address == "dark thick").unwrap_or(0) as u32;
    let runs = 300_000;
    let start = Instant::now();
    let mut sum = 0.0;
    for i in 0..runs {
        let value = 3.0 + f64::from(i % 100) * 1e-3;
        let done = bench.work(&plan, &[(slot, value)], Units::Metric, &mut Silent);
        assert!(done.is_ok());
        sum += bench.lots.iter().flatten().last().map_or(0.0, |l| l.bar.mass);
    }
    let each = start.elapsed().as_secs_f64() / f64::from(runs) * 1e6;
    million();
    asked();
    key();
    log();
    reading();
    println!("a bare run of the first recipe: {each:.2} us ({sum:.0})");
}

fn read(source: &str) -> Plan {
    let mut files = Files::default();
    let base = files.add("test.heat", source).unwrap_or(0);
    language::read(&files, base).0
}

/// A million samples of the first recipe, its scale not known better than 40 %: under 2 s on two cores is asked.
fn million() {
    let first = include_str!("../../examples/ferry-galley.heat");
    let plan = read(&first.replace("scale 0.05 mm per heat", "scale 0.05 mm +- 40 % per heat"));
    let stop = std::sync::atomic::AtomicBool::new(false);
    let start = Instant::now();
    let draw =
        heatbook::study::Draw { samples: 1_000_000, seed: 1, cores: 2, stop: &stop, progress: &|_| {} };
    let made = heatbook::study::odds(&plan, &draw);
    println!("a million samples on two cores: {:.2} s ({:.4})", start.elapsed().as_secs_f64(), made.all);
}

/// One `?` in the first recipe: under 10 ms is asked.
fn asked() {
    let first = include_str!("../../examples/ferry-galley.heat");
    let plan = read(&first.replace("62 mm wide", "? wide"));
    let start = Instant::now();
    let made = heatbook::study::fill(&plan, heatbook::study::Least::Steel);
    println!("one question: {:.2} ms ({:?} runs)", start.elapsed().as_secs_f64() * 1e3, made.map(|m| m.runs));
}

/// A key in a figure of a thousand sound lines, to its findings: under 20 ms is asked.
fn key() {
    let mut text = String::from("shop {\n  forge gas, 1200 C\n  press 25 tonf, flat die 40 mm\n}\n");
    for i in 0..90 {
        text += &format!(
            "stock dark{i} = 4 bars of 1084, 3 x 40 x 120 mm\nstock bright{i} = 3 bars of 15N20, 1.5 x 40 x 120 mm\n\
             stack p{i} = alternate dark{i}, bright{i}\nweld p{i} at 1230 C, thinning 15 %, heats 3\n\
             draw p{i} to 9 mm thick, 40 mm wide, heats 4\ncut p{i} 8 mm off each end\ngrind p{i} faces 0.4 mm\n\
             target p{i} {{\n  width >= 36 mm everywhere\n  layers = 7\n}}\n"
        );
    }
    let mut memo = Memo::default();
    let mut typed = |text: &str| {
        let start = Instant::now();
        let mut files = Files::default();
        let base = files.add("long.heat", text).unwrap_or(0);
        memo.turn();
        let (plan, _, found) = language::read_with(&files, base, None, &Uses::new(), Vec::new(), &mut memo);
        let made = build(&plan, &[], Units::Metric);
        assert!(judge_with(&plan, &made, found, Units::Metric, Mending::None).met);
        start.elapsed().as_secs_f64() * 1e3
    };
    let first = typed(&text);
    let mut keys: Vec<f64> =
        (0..15).map(|i| typed(&text.replacen("to 9 mm thick", &format!("to 9.{i} mm thick"), 1))).collect();
    keys.sort_by(f64::total_cmp);
    println!(
        "a thousand lines: {first:.1} ms at first, {:.1} ms a key, {:.1} ms at worst",
        keys[7], keys[14]
    );
}

/// Ten thousand readings of a log: under a second is asked.
fn log() {
    let mut recipe = String::from("stock b = 1 bar of 1018, 30 x 40 x 200 mm\n");
    let mut log = String::from("build of \"long.heat\"\n");
    for i in 1..=2500 {
        recipe += "heat b for 1 min at 900 C\n";
        for j in 0..4 {
            log += &format!("at heat {i}: {}.{} mm thick\n", 29 - j % 2, (i + j) % 10);
        }
    }
    let start = Instant::now();
    let mut files = Files::default();
    let log = files.add("build.heat", log.as_str()).unwrap_or(0);
    let base = files.add("long.heat", recipe.as_str()).unwrap_or(0);
    let (plan, _, faults) =
        language::read_with(&files, base, Some(log), &Uses::new(), Vec::new(), &mut Memo::default());
    assert!(faults.is_empty());
    let made = build(&plan, &[], Units::Metric);
    println!("{} readings: {:.2} s", made.ledger.measured.len(), start.elapsed().as_secs_f64());
}

/// A recipe of 10,000 unlike lines, from text to plan: 4 MB/s is asked.
fn reading() {
    let text: String = (0..10_000 / 12)
        .map(|i| {
            let (a, b, c) = (i % 97, i % 89, i % 83);
            let (bars, off, ten, fifty) = (4 + i % 5, i % 9, i % 10, i % 50);
            format!(
                "let t{i} = 3.{a} mm + {b} thou * 2\n\
                 stock d{i} = {bars} bars of 1084, t{i} x 4{ten} x 12{ten} mm\n\
                 stock b{i} = 3 bars of 15N20, 1.{b} x 40 x 120.{c} mm\n\
                 stack p{i} = alternate d{i}, b{i}, trimmed\n\
                 weld p{i} at 12{fifty:02} C, thinning 15.{a} %, soak 1{ten} min, heats 3, flux\n\
                 draw p{i} to 1{ten}.{c} mm thick, 42.{b} mm wide, at 11{fifty:02} C, for 5.{a} min, with flat die 40 mm, bite 20 mm\n\
                 cut p{i} {off}.{b} mm off each end, kerf 2.{c} mm\n\
                 grind p{i} faces 0.{a} mm, edges 1.{b} mm\n\
                 turn p{i}\n\
                 normalise p{i} at 83{ten}.{c} C, 3 times\n\
                 harden p{i} from 81{ten}.{b} C in oil\n\
                 temper p{i} at 20{ten}.{a} C for 2.{c} h, 2 times\n"
            )
        })
        .collect();
    let mut files = Files::default();
    let base = files.add("long.heat", text.as_str()).unwrap_or(0);
    let each: Vec<f64> = (0..7)
        .map(|_| {
            let start = Instant::now();
            let (plan, faults) = language::read(&files, base);
            assert!(faults.is_empty() && plan.steps.len() > 9000, "{faults:?}");
            start.elapsed().as_secs_f64()
        })
        .collect();
    let best = each.into_iter().fold(f64::INFINITY, f64::min);
    println!("{} lines to a plan: {:.2} MB/s", text.lines().count(), text.len() as f64 / best / 1e6);
}
