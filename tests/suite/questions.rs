//! Questions over many runs: the same figures as plain runs, whatever the order or the number of cores; answers held
//! against brute force, closed forms and general packages.

use std::sync::atomic::AtomicBool;

use crate::common::{FIRST, bits, cases, check, figures, file, in_full, plan, slot};
use heatbook::forge::Silent;
use heatbook::language::{self, Memo, Set, Uses};
use heatbook::quantity::{Kind, Units};
use heatbook::replay::{Bench, Plan};
use heatbook::study::{Draw, Least, Odds, Runs, Vary, fill, odds, sweep};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

fn sizes(bench: &Bench) -> Vec<[u64; 4]> {
    bench.lots.iter().flatten().map(|l| bits(&l.bar)).collect()
}

proptest! {
    #![proptest_config(cases(60))]

    /// A run with figures overwritten is, to the last bit, a plain run of the recipe with those figures written in it; and
    /// beginning after the steps that they cannot touch changes nothing.
    #[test]
    fn overwritten_figures_are_written_figures(thick in 2.6f64..3.4, wide in 56.0f64..70.0, share in 12.0f64..18.0) {
        let first = plan(FIRST);
        let set = [
            (slot(&first, "dark thick"), thick),
            (slot(&first, "spread 1 wide"), wide),
            (slot(&first, "weld 2 thinning"), share * 0.01),
        ];
        let text = FIRST
            .replace("1084, 3 x 40 x 120 mm", &format!("1084, {thick} mm x 40 mm x 120 mm"))
            .replace("to 62 mm wide", &format!("to {wide} mm wide"));
        let mut welds = 0;
        let lines: Vec<String> = text.lines().map(|line| {
            welds += usize::from(line.starts_with("weld"));
            if line.starts_with("weld") && welds == 2 { line.replace("15 %", &format!("{share} %")) } else { line.to_owned() }
        }).collect();
        let written = plan(&(lines.join("\n") + "\n"));
        let (mut one, mut other) = (Bench::default(), Bench::default());
        let a = one.work(&first, &set, Units::Metric, &mut Silent);
        let b = other.work(&written, &[], Units::Metric, &mut Silent);
        prop_assert_eq!(a.is_ok(), b.is_ok());
        if a.is_ok() {
            prop_assert_eq!(sizes(&one), sizes(&other));
        }
        let mut runs = Runs::new(&first, Least::Steel);
        runs.only(&set.map(|s| s.0)[1..]);
        let fewer = [set[1], set[2]];
        let _ = runs.run(&fewer);
        let _ = one.work(&first, &fewer, Units::Metric, &mut Silent);
        prop_assert_eq!(sizes(&runs.bench), sizes(&one));
    }
}

/// Steps before the first that a figure under question touches are worked once; not so where their heats are counted in
/// every run, nor where a checkpoint among them is judged in every run.
#[test]
fn what_no_question_touches_is_worked_once() {
    let head = "shop {\n  scale none\n}\nstock b = 1 bar of 1084, 20 x 40 x 200 mm\n";
    let tail = "draw b to 10 mm thick, heats 2, spread 0.3\n";
    let once = |before: &str, least: Least| {
        let plan = plan(&format!("{head}{before}{tail}"));
        let mut runs = Runs::new(&plan, least);
        runs.only(&[slot(&plan, "draw 1 thick")]);
        let once = runs.once();
        runs.any();
        assert_eq!(runs.once(), 0);
        once
    };
    assert_eq!([Least::Steel, Least::Heats].map(|l| once("grind b faces 1 mm\n", l)), [2, 2]);
    assert_eq!([Least::Steel, Least::Heats].map(|l| once("heat b, heats 1\n", l)), [2, 0]);
    assert_eq!([Least::Steel, Least::Heats].map(|l| once("expect b: width >= 30 mm\n", l)), [0, 0]);
}

/// Of two counts whose product is asked, only a look over all pairs finds the factors: 93 is 3 x 31, and on the way from
/// counts that are alike nearer misses lie on every side (7 x 13 is 91).
#[test]
fn two_counts_are_looked_for_in_all_pairs() {
    let plan = plan(
        "shop {\n  scale none\n  kerf 0 mm\n}\nstock b = ? in 2 .. 40 bars of 1084, 2 x 40 x 4000 mm\n\
         stack p = b\nweld p, heats 1, spread 0.3\ncut p into ? in 2 .. 40\nstack q = p\nweld q, heats 1, spread 0.3\n\
         target q {\n  layers = 93\n}\n",
    );
    let filled = fill(&plan, Least::Steel).unwrap();
    assert!(filled.outcome.met(), "{:?}", filled.values);
    assert_eq!(filled.values, [3.0, 31.0]);
}

fn draws(plan: &Plan, samples: usize, seed: u64, cores: usize) -> Odds {
    let stop = AtomicBool::new(false);
    odds(plan, &Draw { samples, seed, cores, stop: &stop, progress: &|_| {} })
}

const LOOSE: &str = "scale 0.05 mm +- 40 % per heat";

#[test]
fn any_number_of_cores_gives_the_same_bytes() {
    let plan =
        plan(&FIRST.replace("scale 0.05 mm per heat", LOOSE).replace("62 mm wide", "62 mm +- 3 mm wide"));
    let text = |cores| format!("{:?}", draws(&plan, 9000, 7, cores));
    assert_eq!(text(1), text(2));
    assert_eq!(text(1), text(7));
    assert_ne!(text(1), format!("{:?}", draws(&plan, 9000, 8, 1)));
}

#[test]
fn a_sample_is_a_plain_run() {
    // One sample, drawn from the seed: its figure is what a plain run with the drawn value gives.
    let plan = plan(&FIRST.replace("scale 0.05 mm per heat", LOOSE));
    let one = draws(&plan, 1, 3, 1);
    let got = one.lines[2].quantiles[1].unwrap();
    let mut low = (0.0, f64::INFINITY);
    let mut bench = Bench::default();
    let scale = slot(&plan, "shop scale");
    for i in 0..20_001 {
        let value = 0.01 + 0.08 * f64::from(i) / 20_000.0;
        if bench.work(&plan, &[(scale, value)], Units::Metric, &mut Silent).is_err() {
            continue;
        }
        let thick = bench.lots[plan.targets[0].lot.unwrap()].unwrap().bar.thick;
        if (thick - got).abs() < low.1 {
            low = (value, (thick - got).abs());
        }
    }
    assert!(low.1 < 1e-3, "{low:?}");
}

#[test]
fn odds_of_a_sum_and_of_a_product_follow_closed_forms() {
    // Length of two bars end to end: a normal distribution, its variance the sum (probability theory). Phi(1) = 0.841345.
    let sum = plan(
        "stock a = 1 bar of 1018, 10 x 40 mm x 100 mm +- 3 mm\nstock b = 1 bar of 1018, 10 x 40 mm x 100 mm +- 4 mm\n\
         join b to a on end, at 1200 C, heats 1, thinning 0.001 %\n\
         target a {\n  length <= 202.498 mm\n}\n",
    );
    let got = draws(&sum, 200_000, 11, 2);
    let line = &got.lines[0];
    // The weld's skin and thinning move the mean a little: the standard deviation is what is held to.
    let deviation = (line.quantiles[2].unwrap() - line.quantiles[0].unwrap()) / (2.0 * 1.644_853_6);
    assert!((deviation - 2.5).abs() < 0.02, "{deviation}");
    let first_order = line.first_order.unwrap();
    assert!((first_order - 2.5).abs() < 0.001, "{first_order}");
    let shares: f64 = line.drivers.iter().map(|d| d.1).sum();
    assert!((shares - 1.0).abs() < 0.01, "{:?}", line.drivers);
    assert!((line.drivers[0].1 - 16.0 / 25.0).abs() < 0.01, "{:?}", line.drivers);
}

#[test]
fn odds_agree_with_general_packages() {
    // tests/oracle/odds.csv, made by tests/oracle/odds.py with numpy (JCGM 101) and uncertainties (JCGM 100).
    let mut looked = 0;
    for (row, f) in figures::<13>(include_str!("../oracle/odds.csv"), 2) {
        let recipe = format!(
            "stock b = 1 bar of 1018, {} mm +- {} mm x {} mm +- {} mm x {} mm +- {} mm\ntarget b {{\n  mass <= {} g\n}}\n",
            f[0], f[1], f[2], f[3], f[4], f[5], f[6]
        );
        let got = draws(&plan(&recipe), 400_000, 5, 2);
        let line = &got.lines[0];
        assert!((line.nominal.unwrap() - f[7]).abs() < 1e-6 * f[7], "{row}");
        let first_order = line.first_order.unwrap();
        assert!((first_order - f[8]).abs() < 2e-4 * f[8], "{row}: {first_order}");
        for (mine, theirs) in line.quantiles.iter().zip(&f[9..12]) {
            // Five standard errors of a quantile of 400,000 samples are below 0.02 deviations.
            let mine = mine.unwrap();
            assert!((mine - theirs).abs() < 0.02 * f[8], "{row}: {mine}");
        }
        assert!((line.chance - f[12]).abs() < 5.0 * line.error + 0.001, "{row}: {}", line.chance);
        looked += 1;
    }
    assert_eq!(looked, 4);
}

/// A small recipe with one `?`, its targets set from a run that is known to be possible.
fn asked(rng: &mut Pcg64Mcg) -> (String, &'static str, f64, f64, bool) {
    let mut pick = |of: u64| rng.random_range(0..of);
    let wide = 36 + pick(10);
    let bars = 3 + pick(6);
    let thick = 8 + pick(5);
    let (what, low, high, whole) = match pick(5) {
        0 => ("bars", 1.0, 30.0, true),
        1 => ("thick", 3.0, 25.0, false),
        2 => ("spread", 30.0, 120.0, false),
        3 => ("long", 60.0, 400.0, false),
        _ => ("pieces", 1.0, 12.0, true),
    };
    let ask = |name: &str, plain: String| -> String {
        match (name == what, whole) {
            (false, _) => plain,
            (true, true) => format!("? in {low} .. {high}"),
            (true, false) => format!("? in {low} .. {high} mm"),
        }
    };
    let mm = |v: u64| format!("{v} mm");
    let text = format!(
        "shop {{\n  press 60 tonf, flat die 40 mm\n  scale 0.04 mm per heat\n}}\n\
         stock b = {} bars of 1084, 4 mm x {wide} mm x {}\nstack p = b\nweld p at 1150 C, thinning 14 %, heats 2\n\
         draw p to {} thick, heats 3\ncut p into {}\nstack p = p\nweld p at 1150 C, thinning 12 %, heats 2\n\
         draw p to 7 mm thick, heats 3\nspread p to {} wide with peen 12 mm, heats 4\ngrind p faces 0.3 mm\n\
         target p {{\n  width >= {} mm everywhere\n  thickness {} .. {} mm\n  layers >= {}\n  length >= {} mm\n  mass <= {} g\n}}\n",
        ask("bars", bars.to_string()),
        ask("long", mm(120 + 10 * pick(9))),
        ask("thick", mm(thick)),
        ask("pieces", "2".to_owned()),
        ask("spread", mm(wide + 20 + pick(15))),
        wide + 4 + pick(14),
        1 + pick(2),
        4 + pick(4),
        bars / 2 + pick(2 * bars),
        50 + 12 * pick(10),
        500 + 120 * pick(12),
    );
    (text, what, low, high, whole)
}

#[test]
fn fill_agrees_with_brute_force() {
    let (mut found, mut nothing) = (0, 0);
    let mut rng = Pcg64Mcg::seed_from_u64(21);
    for seed in 0..200u64 {
        let (text, what, low, high, whole) = asked(&mut rng);
        let plan = plan(&text);
        let filled = fill(&plan, Least::Steel).unwrap();
        let mut runs = Runs::new(&plan, Least::Steel);
        runs.only(&[plan.asks[0].slot]);
        let scanned = if in_full() { 2500 } else { 500 };
        let points = if whole { (high - low) as usize } else { scanned };
        let mut best: Option<(f64, f64)> = None;
        for i in 0..=points {
            let value = low + (high - low) * i as f64 / points as f64;
            let outcome = runs.run(&[(plan.asks[0].slot, value)]);
            if outcome.met() && best.is_none_or(|(_, o)| outcome.objective < o) {
                best = Some((value, outcome.objective));
            }
        }
        match best {
            None => {
                nothing += 1;
                // A finer search may find a window that a scan has missed: then a plain run must bear it out.
                if filled.outcome.met() {
                    assert!(!whole, "{seed} {what}");
                    assert!(runs.run(&filled.set()).met(), "{seed} {what}");
                }
            }
            Some((value, objective)) => {
                found += 1;
                assert!(filled.outcome.met(), "{seed} {what}: a scan finds {value}\n{text}");
                assert!(
                    filled.outcome.objective <= objective * (1.0 + 1e-9),
                    "{seed} {what}: {filled:?} against {value}"
                );
                assert!(runs.run(&filled.set()).met(), "{seed} {what}");
                assert!(filled.values[0] >= low && filled.values[0] <= high);
            }
        }
    }
    assert!(found >= 60 && nothing >= 20, "{found} found, {nothing} not: the recipes say too little");
}

#[test]
fn fill_takes_several_at_once_and_least_of_other_things() {
    let text = FIRST
        .replace("62 mm wide", "? wide")
        .replace("to 12 mm thick", "to ? thick")
        .replace("= 7 bars", "= ? bars");
    let plan = plan(&text);
    let filled = fill(&plan, Least::Steel).unwrap();
    assert!(filled.outcome.met());
    assert_eq!(filled.values[0], 7.0);
    let mut runs = Runs::new(&plan, Least::Steel);
    assert!(runs.run(&filled.set()).met());
    let priced = FIRST
        .replace("kerf  2 mm", "kerf 2 mm\n  price of 1084 9 per kg\n  price of 15N20 14 per kg\n  price of an hour 40\n  price of gas 6 per hour")
        .replace("heats 8", "heats ? in 4 .. 12");
    let plan = crate::common::plan(&priced);
    for least in [Least::Heats, Least::Hours, Least::Cost] {
        let filled = fill(&plan, least).unwrap();
        assert!(filled.outcome.met());
        assert_eq!(filled.values[0], 4.0, "{least:?}");
    }
}

#[test]
fn cost_is_steel_and_hours() {
    // By hand: 7 bars 3 x 40 x 120 mm and 6 bars 1.5 x 40 x 120 mm at 7850 kg/m3 are 791.28 g and 339.12 g.
    let priced = FIRST
        .replace("kerf  2 mm", "price of 1084 10 per kg\n  price of 15N20 2 per lb\n  price of an hour 30");
    let worked = check(&priced);
    let (_, minutes) = worked.build.ledger.totals();
    let ground = worked.build.ledger.lost(heatbook::piece::Cause::Ground);
    let hours = heatbook::replay::hours(&worked.plan, worked.build.values(), minutes, ground, Units::Metric);
    let cost = heatbook::replay::cost(&worked.plan, &worked.build.bench, &hours);
    let steel = 0.791_28 * 10.0 + 339.12 / 453.592_37 * 2.0;
    assert!((cost.steel - steel).abs() < 1e-9, "{}", cost.steel);
    // Set up 40 min; two stacks, three cuts, twice at the grinder, 5 min each; 30 g a minute.
    let bench = 40.0 + 7.0 * 5.0 + ground / 30.0;
    assert!((hours.bench() - bench).abs() < 1e-9, "{hours:?}");
    assert!((cost.total() - steel - 30.0 * (minutes + bench) / 60.0).abs() < 1e-9);
    assert_eq!((cost.fuel, cost.unpriced.len()), (None, 0));
}

/// What a shop states goes before what is common; a quote has its sign, and a bar may have a price.
#[test]
fn a_quote_counts_the_whole_job() {
    let shop = "shop {
  set up 1 h
  handling 10 min
  heat treatment 45 min
  grinding 15 g per min
  price of 1084 $12.50 per bar
  price of labor $60
}
";
    let recipe = "stock b = 2 bars of 1084, 5 x 40 x 150 mm\ncut b 5 mm off each end\ngrind b faces 0.5 mm\nharden b from 815 C in oil\ntemper b at 200 C for 2 h\n";
    let worked = check(&format!("{shop}{recipe}"));
    assert_eq!(worked.faults(), Vec::<&str>::new(), "{:?}", worked.verdict.faults);
    let minutes = worked.build.ledger.totals().1;
    // Two bars of 140 x 40 mm lose 0.5 mm on both faces at 7850 kg/m3: 87.9 g.
    let ground = 2.0 * 140.0 * 40.0 * 1.0 * 0.007_85;
    let json = worked.json();
    let totals = &json["totals"];
    let close = |name: &str, want: f64| {
        let got = totals[name].as_f64().unwrap();
        assert!((got - want).abs() < 0.02 * want, "{name}: {got} against {want}");
    };
    close("grinding_minutes", ground / 15.0);
    close("set_up_minutes", 60.0);
    close("handling_minutes", 20.0);
    close("treatment_minutes", 90.0);
    close("job_minutes", minutes + 60.0 + 20.0 + 90.0 + ground / 15.0);
    close("cost", 25.0 + (minutes + 170.0 + ground / 15.0));
    let said = crate::common::told(&["run", "-"], &format!("{shop}{recipe}")).out;
    assert!(said.contains("cost: about $") && said.contains("at the bench"), "{said}");
    assert!(!said.contains("no rates of your own"), "{said}");
    let euro =
        crate::common::told(&["run", "-"], &format!("shop {{\n  price of 1084 9 € per kg\n}}\n{recipe}")).out;
    assert!(euro.contains(" €)") && euro.contains("no rates of your own for set up 40 min"), "{euro}");
}

#[test]
fn a_sweep_is_a_row_of_plain_runs() {
    let plan = plan(FIRST);
    let vary = Vary {
        address: "spread 1 wide".to_owned(),
        slots: vec![slot(&plan, "spread 1 wide")],
        kind: Kind::LENGTH,
        low: 55.0,
        high: 75.0,
        points: 11,
    };
    let (tests, tries) = sweep(&plan, &[vary]);
    assert_eq!((tests.len(), tries.len()), (5, 11));
    for one in tries {
        let text = FIRST.replace("62 mm wide", &format!("{} mm wide", one.values[0]));
        let worked = check(&text);
        for ((got, met), line) in one.got.unwrap().iter().zip(&worked.build.lines) {
            let judged = line.judged.unwrap();
            assert_eq!((got.unwrap().to_bits(), *met), (judged.got.to_bits(), judged.met));
        }
    }
}

#[test]
fn a_set_figure_is_as_if_written() {
    let (files, base) = file(FIRST);
    let set = Set { address: "cut 2 into".to_owned(), value: 3.0, kind: Kind::NUMBER, found: None };
    let (plan, set, faults) =
        language::read_with(&files, base, None, &Uses::new(), vec![set], &mut Memo::default());
    assert!(faults.is_empty() && set[0].found == Some(Kind::NUMBER));
    let mut bench = Bench::default();
    bench.work(&plan, &[], Units::Metric, &mut Silent).unwrap();
    let written = crate::common::plan(&FIRST.replace("into 4", "into 3"));
    let mut other = Bench::default();
    other.work(&written, &[], Units::Metric, &mut Silent).unwrap();
    assert_eq!(sizes(&bench), sizes(&other));
}

/// One `?` costs a few hundred runs of the recipe: far more than this and something is wrong.
#[test]
fn a_question_costs_a_few_hundred_runs() {
    let filled = fill(&plan(&FIRST.replace("62 mm wide", "? wide")), Least::Steel).unwrap();
    assert!(filled.outcome.met() && filled.runs < 1000, "{} runs", filled.runs);
}
