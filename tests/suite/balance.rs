//! Every gram is accounted for, after every step, on recipes made at random.

use crate::common::{told_in_full, work};
use heatbook::replay::StepDone;
use proptest::prelude::*;

const HEAD: &str = "\
stock dark = 5 bars of 1084, 3 x 40 x 200 mm
stock bright = 4 bars of 304, 1.5 x 40 x 200 mm
stack p = alternate dark, bright
weld p at 1200 C, thinning 15 %, heats 2
";

const SHOPS: [&str; 5] = [
    "shop {\n scale none\n}\n",
    "shop {\n scale 0.04 mm per heat\n kerf 1.5 mm\n}\n",
    "shop {\n scale 1.2 % per heat\n press 25 tonf, flat die 40 mm\n}\n",
    "shop {\n forge gas, 1150 C, oxidising\n spread 0.35\n}\n",
    "",
];

/// One more line for the piece `p` as it stands, its figures taken from `f` in 0..1.
fn line(op: u8, f: f64, [t, w, l]: [f64; 3], n: usize) -> String {
    let part = 0.55 + 0.4 * f;
    match op {
        0 => format!("draw p to {} mm thick, heats {}", t * part, 1 + n % 4),
        1 => format!("draw p to {} mm thick, {} mm wide, heats 3", t * part, w * (0.9 + 0.1 * f)),
        2 => format!("draw p to {} mm long, heats 2", l * (1.05 + f)),
        3 => format!("spread p to {} mm wide with peen 12 mm, heats 2", w * (1.02 + 0.5 * f)),
        4 => format!("edge p to {} mm wide", w * (0.8 + 0.15 * f)),
        5 => format!("upset p to {} mm long", l * (0.85 + 0.1 * f)),
        6 => {
            format!("cut p into {}\nstack p = p\nweld p at 1200 C, thinning {} %", 2 + n % 4, 8.0 + 10.0 * f)
        }
        7 => format!("cut p {} mm off each end", 1.0 + 4.0 * f),
        8 => format!("cut p to {} mm long", l * (0.7 + 0.29 * f)),
        9 => format!("grind p faces {} mm, edges {} mm, ends 0.5 mm", t * 0.1 * f, w * 0.05 * f),
        10 => "turn p".to_owned(),
        11 => "flip p".to_owned(),
        12 => format!("fold p in {}, kerf 1 mm\nweld p at 1200 C, thinning 12 %", 2 + n % 2),
        13 => format!("heat p for {} min at 1100 C", 2.0 + 10.0 * f),
        14 => format!(
            "stock q{n} = 1 bar of W1, {t} x {w} x {} mm\nstack p = p, q{n} turned flipped trimmed\nweld p at 1200 C",
            l * (0.9 + 0.2 * f)
        ),
        15 => format!(
            "stock e{n} = 1 bar of 304, {t} x 12 x {l} mm\njoin e{n} to p on edge, trimmed, thinning 10 %"
        ),
        16 => format!(
            "cut p at {} mm into a{n}, b{n}\nstack p = a{n}, b{n} side by side, trimmed\nweld p at 1190 C, thinning 11 %",
            l * (0.4 + 0.1 * f)
        ),
        17 => format!("draw p to {} mm square, heats 4", (t * w).sqrt().min(t) * part),
        18 => format!("draw p to {} mm round, heats 3", t * part),
        _ => format!(
            "stock t{n} = 1 bar of O1, {t} x {w} x {} mm\njoin t{n} to p on end, trimmed",
            30.0 + 50.0 * f
        ),
    }
}

/// Grows a recipe line by line, each asking for what the piece at that moment can give.
fn grow(shop: usize, ops: &[(u8, f64)]) -> String {
    let mut source = format!("{}{HEAD}", SHOPS[shop]);
    for (n, (op, f)) in ops.iter().enumerate() {
        let piece = work(&source).json()["pieces"]["p"].clone();
        let Some(t) = piece["thickness_mm"].as_f64() else { break };
        let (w, l) = (piece["width_mm"].as_f64().unwrap(), piece["length_mm"].as_f64().unwrap());
        let longer = format!("{source}{}\n", line(*op, *f, [t, w, l], n));
        // A line that asks too much of the piece is left out: what follows it would not run.
        if work(&longer).build.faults.is_empty() {
            source = longer;
        }
    }
    source
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_gram_is_accounted_for(shop in 0usize..5, ops in proptest::collection::vec((0u8..20, 0.0f64..1.0), 1..9)) {
        let source = grow(shop, &ops);
        let worked = work(&source);
        // After every step: what was taken is in pieces, on the rack, or booked.
        prop_assert!(worked.build.balance.error < 1e-9, "gap {} in\n{source}", worked.build.balance.error);
        // The book tells the whole of every size of every piece.
        prop_assert!(told_in_full(&worked).is_ok(), "{:?} in\n{source}", told_in_full(&worked));
        for lot in &worked.build.standing {
            let bar = worked.build.lot(*lot).unwrap().bar;
            prop_assert!(bar.volume() > 0.0 && bar.mass > 0.0);
        }
    }
}

/// The generator is worth something only if most of what it writes can be worked.
#[test]
fn most_generated_lines_are_worked() {
    let (mut kept, mut all) = (0, 0);
    for seed in 0..60u32 {
        let ops: Vec<(u8, f64)> = (0..8)
            .map(|i| (((seed * 7 + i * 3) % 20) as u8, f64::from((seed * 13 + i * 29) % 100) / 100.0))
            .collect();
        let worked = work(&grow(seed as usize % 5, &ops));
        all += 8;
        kept += worked.plan.steps.len().saturating_sub(4).min(8);
        assert!(worked.build.done.iter().all(|d| *d == StepDone::Done));
    }
    assert!(kept * 10 >= all * 7, "{kept} of {all}");
}
