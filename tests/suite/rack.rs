//! What a build leaves over: written as stock, taken by the next build, and used to rescue one that is too narrow.

use crate::common::{check, ways, work};
use heatbook::quantity::Units;
use heatbook::study::rack;

const BUILD: &str = "\
steel old-file = like W1, carbon 1.15 %
stock dark = 7 bars of 1084, 4 x 40 x 200 mm
stock bright = 6 bars of 15N20, 2 x 40 x 200 mm
stock spare = 2 bars of old-file, 5 x 30 x 100 mm
stock more = 1 bar of old-file, 3 x 30 x 100 mm
stock rod = 1 round of 1095, 12 x 300 mm
cut rod at 200 mm into long-end, short-end
stack billet = alternate dark, bright
weld billet at 1150 C, thinning 15 %
draw billet to 20 mm thick, heats 4
cut billet at 260 mm into blade, rest
cut blade 8 mm off each end
target blade {
  width >= 50 mm
}
";

#[test]
fn what_is_left_can_be_drawn_on() {
    let first = work(BUILD);
    let kept = rack(&first.plan, &first.build, BUILD, Units::Metric);
    let names: Vec<&str> = kept.iter().map(|k| k.name.as_str()).collect();
    assert_eq!(names, ["spare", "more", "long-end", "short-end", "rest", "blade-offcut-1"]);
    let mut next = "steel old-file = like W1, carbon 1.15 %\n".to_owned();
    for lot in &kept {
        next += &(lot.line(&format!("{}-again", lot.name)).unwrap() + "\n");
    }
    let second = work(&next);
    assert_eq!(second.faults(), Vec::<&str>::new(), "{next}");
    for lot in &kept {
        let again = format!("{}-again", lot.name);
        let is = |id: &&heatbook::piece::LotId| second.plan.ground.lot_name(**id) == again;
        let made = second.build.lot(*second.build.standing.iter().find(is).unwrap()).unwrap();
        for (was, now) in lot.bar.sizes().into_iter().zip(made.bar.sizes()) {
            assert!((was - now).abs() <= 0.005, "{again}: {was} against {now}");
        }
        // Sizes stand to 0.01 mm: the shortest is 6 mm long.
        assert!((made.bar.mass / lot.bar.mass - 1.0).abs() < 0.002, "{again}");
        let bands = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            heatbook::piece::bands(&w.build.bench.makeup, bar.node, bar.thick)
        };
        assert_eq!(bands(&first, &lot.bar), bands(&second, &made.bar), "{again}");
        let share = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            w.build.bench.makeup.mix(bar.node).map(|(_, share)| share).fold(0.0, f64::max)
        };
        assert!((share(&first, &lot.bar) - share(&second, &made.bar)).abs() < 0.02, "{again}");
        assert_eq!(made.count, lot.count, "{again}");
        let layers = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            heatbook::piece::layers_text(&w.build.bench.makeup, bar.node)
        };
        assert_eq!(layers(&first, &lot.bar), layers(&second, &made.bar), "{again}");
        let outside = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            let faces = w.build.bench.makeup.outside(bar.node, bar.thick);
            faces.map(|s| s.map(|s| w.plan.ground.steels[s].name.clone()))
        };
        assert_eq!(outside(&first, &lot.bar), outside(&second, &made.bar), "{again}");
        for (was, now) in lot.bar.past.lost.into_iter().zip(made.bar.past.lost) {
            // The deeper of both, rounded up.
            assert!(
                now >= was - 1e-9 && now <= lot.bar.past.lost[0].max(lot.bar.past.lost[1]) + 0.01,
                "{again}"
            );
        }
    }
    // It lies there: no heat, no scale, nothing that anybody explains away.
    assert_eq!(second.build.balance.lost, 0.0);
    assert_eq!(second.build.ledger.efforts.iter().map(|e| e.1.heats).sum::<u32>(), 0);
}

#[test]
fn too_many_layers_are_said_so() {
    let mut many = String::from(
        "stock a = 2 bars of 1084, 10 x 40 x 200 mm\nstock b = 1 bar of 15N20, 10 x 40 x 200 mm\nstack p = alternate a, b\nweld p at 1150 C, thinning 10 %\n",
    );
    for _ in 0..4 {
        many += "draw p to 10 mm thick\ncut p into 4\nstack p = p\nweld p at 1150 C, thinning 10 %\n";
    }
    let made = work(&many);
    assert_eq!(made.faults(), Vec::<&str>::new());
    let kept = rack(&made.plan, &made.build, &many, Units::Metric);
    assert!(kept[0].stock.as_ref().unwrap_err().contains("do not go round"), "{:?}", kept[0].stock);
}

#[test]
fn an_offcut_rescues_a_narrow_billet() {
    // Once from a piece that stands about, once from an offcut on the rack.
    for (cut, name) in
        [("cut blade at 200 mm into blade, rest", "rest"), ("cut blade to 200 mm long", "blade-offcut-1")]
    {
        rescued(cut, name);
    }
}

fn rescued(cut: &str, left: &str) {
    let narrow = format!(
        "stock blade = 1 bar of 1084, 12 x 40 x 420 mm\n{cut}\ndraw blade to 11 mm thick, heats 2\n\
         target blade {{\n  thickness >= 9 mm\n  width >= 60 mm\n  length >= 180 mm\n}}\n"
    );
    let made = work(&narrow);
    let (text, base) = (narrow.as_str(), 0);
    let ways = ways(&made, text);
    let from_rack = ways
        .ways
        .iter()
        .find(|w| w.met && w.title == format!("lay {left} at its side, from what is left over"))
        .expect("a way");
    assert!(from_rack.steel.abs() < 1e-9, "the steel is there already");
    let mended = from_rack.written_into(text, base).unwrap();
    let again = check(&mended);
    assert!(again.verdict.met, "{:?}: {mended}", again.faults());
}
