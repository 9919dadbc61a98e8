//! How long a bare run of the first recipe takes. Run: `cargo bench --locked`.

use std::time::Instant;

use heatbook::forge::Silent;
use heatbook::language;
use heatbook::quantity::Units;
use heatbook::replay::Bench;
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
        sum += bench.lots.last().copied().flatten().map_or(0.0, |l| l.bar.mass);
    }
    let each = start.elapsed().as_secs_f64() / f64::from(runs) * 1e6;
    println!("a bare run of the first recipe: {each:.2} us ({sum:.0})");
}
