//! How long a bare run of the first recipe takes. Run: `cargo bench --locked`.

use std::time::Instant;

use heatbook::forge::Silent;
use heatbook::language;
use heatbook::quantity::Units;
use heatbook::replay::{Bench, Plan};
use heatbook::source::Files;

fn main() {
    let mut files = Files::default();
    let base = files.add("ferry-galley.heat", include_str!("../../examples/ferry-galley.heat")).unwrap_or(0);
    let (plan, faults) = language::read(&files, base);
    assert!(faults.is_empty());
    let mut bench = Bench::default();
    let slot = plan.slots.iter().position(|s| s.address == "dark thick").unwrap_or(0) as u32;
    let runs = 300_000 / if std::env::var_os("SHORT").is_some() { 60 } else { 1 };
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
