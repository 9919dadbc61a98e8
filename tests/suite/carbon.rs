//! Carbon in random piles, against finite differences over every layer: `tests/oracle/carbon.csv`, made by
//! `tests/oracle/carbon_fd.py`.

use crate::common::{heatbook, told};
use heatbook::piece::{Axis, Makeup, NodeId, Part, PartName, Past, PastId, SteelCarbon, SteelId};

const CONTENTS: [f64; 3] = [0.95, 0.15, 0.55];

fn start(steel: SteelId) -> f64 {
    CONTENTS[usize::from(steel.0)]
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(' ').map(|n| n.parse().unwrap()).collect()
}

fn pile(makeup: &mut Makeup, parts: &[(NodeId, f64, PastId)]) -> NodeId {
    let all: f64 = parts.iter().map(|(_, mm, _)| mm).sum();
    let lay = |(node, laid, past): &(NodeId, f64, PastId)| Part {
        fraction: laid / all,
        node: *node,
        name: PartName(0),
        laid: *laid,
        past: *past,
    };
    let parts: Vec<Part> = parts.iter().map(lay).collect();
    makeup.pile(Axis::Thickness, &parts).unwrap()
}

/// The pile of a row, and its past since it was last laid.
fn built(makeup: &mut Makeup, mm: &[f64], steels: &[f64], stays: &str) -> (NodeId, Past) {
    let bars: Vec<_> = mm
        .iter()
        .zip(steels)
        .map(|(mm, steel)| (makeup.solid(SteelId(*steel as u8), 0.00785), *mm, PastId::NONE))
        .collect();
    let mut thick: f64 = mm.iter().sum();
    let (mut node, mut past) = (pile(makeup, &bars), Past::NONE);
    for stay in stays.split(';') {
        let [pieces, folded, thinner, spent] = numbers(stay)[..] else { panic!("{stay}") };
        if pieces > 1.0 {
            past.soak(0.0, [0.0; 3], [thinner, 1.0, 1.0 / thinner]);
            thick *= thinner;
            let turned = if folded == 1.0 { makeup.mirror(node, [thick, 40.0, 100.0]) } else { node };
            let kept = makeup.remember(&past);
            let leaf = |i: usize| (if i % 2 == 1 { turned } else { node }, thick, kept);
            let leaves: Vec<_> = (0..pieces as usize).map(leaf).collect();
            (node, past) = (pile(makeup, &leaves), Past::NONE);
            thick *= pieces;
        }
        past.soak(spent, [1.0; 3], [1.0; 3]);
    }
    (node, past)
}

#[test]
fn carbon_in_random_piles_agrees_with_finite_differences() {
    let (mut rows, mut worst) = (0, 0.0f64);
    for row in include_str!("../oracle/carbon.csv").lines().skip(3) {
        let [mm, steels, stays, means] = row.split(',').collect::<Vec<_>>()[..] else { panic!("{row}") };
        let mut makeup = Makeup::default();
        let (node, past) = built(&mut makeup, &numbers(mm), &numbers(steels), stays);
        for one in SteelCarbon::of(&makeup, node, &past, &start, None) {
            let (first, now) = (start(one.steel), numbers(means)[usize::from(one.steel.0)]);
            let (change, want) = (one.mean - first, now - first);
            // Within 10 % of the change (the worst of these piles: 2 %), or 0.002 % of carbon: a fifth of the last digit that is told.
            let off = (change - want).abs() / want.abs().max(0.02);
            worst = worst.max(off);
            assert!(off < 0.1, "{row}: {:?} is {} and not {now}", one.steel, one.mean);
        }
        rows += 1;
    }
    assert_eq!(rows, 100);
    println!("worst {worst}");
}

const DARK: SteelId = SteelId(0);
const BRIGHT: SteelId = SteelId(1);

fn along(makeup: &mut Makeup, axis: Axis, parts: &[NodeId], laid: f64, past: &Past) -> NodeId {
    let past = makeup.remember(past);
    let fraction = 1.0 / parts.len() as f64;
    let lay = |node: &NodeId| Part {
        fraction,
        node: *node,
        name: PartName(u32::from(past != PastId::NONE)),
        laid,
        past,
    };
    let parts: Vec<Part> = parts.iter().map(lay).collect();
    makeup.pile(axis, &parts).unwrap()
}

/// Two layers of 1 mm.
fn pair(makeup: &mut Makeup, axis: Axis) -> NodeId {
    let steels = [makeup.solid(DARK, 0.00785), makeup.solid(BRIGHT, 0.00785)];
    along(makeup, axis, &steels, 1.0, &Past::NONE)
}

fn soaked(spent: [f64; 3]) -> Past {
    let mut past = Past::NONE;
    past.soak(1.0, spent, [1.0; 3]);
    past
}

/// What is left of the step between dark and bright, as a share.
fn left(makeup: &Makeup, node: NodeId, past: &Past) -> f64 {
    let found = SteelCarbon::of(makeup, node, past, &start, None);
    let [dark, bright] = found[..] else { panic!("{found:?}") };
    assert!((dark.share - 0.5).abs() < 1e-9 && (bright.share - 0.5).abs() < 1e-9, "{found:?}");
    assert!((dark.mean + bright.mean - 1.1).abs() < 1e-9, "{found:?}");
    assert!(dark.least <= dark.mean && dark.mean <= dark.most, "{found:?}");
    (dark.mean - bright.mean) / 0.8
}

/// Contrast left in the means of equal layers, from the table of the reference (calc): by Fo.
const TABLE: [(f64, f64); 3] = [(0.01, 0.77432), (0.05, 0.49591), (0.2, 0.11260)];

#[test]
fn rows_too_long_to_follow_are_told_by_what_they_repeat() {
    for (fo, want) in TABLE {
        let mut makeup = Makeup::default();
        let two = pair(&mut makeup, Axis::Thickness);
        let past = soaked([fo, 0.0, 0.0]);
        // 6,000 layers in one pile; 4,000 in two; 12,800 in three, the row of the second repeated by the third.
        let many = along(&mut makeup, Axis::Thickness, &[two; 3000], 2.0, &Past::NONE);
        let some = along(&mut makeup, Axis::Thickness, &[two; 40], 2.0, &Past::NONE);
        let more = along(&mut makeup, Axis::Thickness, &[some; 50], 80.0, &Past::NONE);
        let most = along(&mut makeup, Axis::Thickness, &[more; 4], 4000.0, &Past::NONE);
        for (what, node, near) in [("one", many, 0.006), ("two", more, 0.03), ("three", most, 0.03)] {
            let got = left(&makeup, node, &past);
            assert!((got - want).abs() < near * (1.0 - want), "{what} at {fo}: {got} and not {want}");
        }
    }
}

#[test]
fn unlike_rows_too_long_to_follow_even_out_inside() {
    let (fo, want) = TABLE[1];
    let mut makeup = Makeup::default();
    let two = pair(&mut makeup, Axis::Thickness);
    let some = along(&mut makeup, Axis::Thickness, &[two; 40], 2.0, &Past::NONE);
    let other = along(&mut makeup, Axis::Thickness, &[two; 39], 2.0, &Past::NONE);
    let all = along(&mut makeup, Axis::Thickness, &[some, other, other, some, other], 79.0, &Past::NONE);
    let got = left(&makeup, all, &soaked([fo, 0.0, 0.0]));
    assert!((got - want).abs() < 0.05 * (1.0 - want), "{got} and not {want}");
}

#[test]
fn each_direction_has_its_own_stay() {
    for (fo, want) in TABLE {
        let mut makeup = Makeup::default();
        // Half a layer at each edge, as mirrored: two layers alone are sealed at both, a period of four.
        let two = pair(&mut makeup, Axis::Width);
        let core = along(&mut makeup, Axis::Thickness, &[two, two], 5.0, &Past::NONE);
        let turned = makeup.turn(core, [10.0, 2.0, 100.0]);
        let sealed = 4.0 * fo;
        for (node, spent) in [(core, [0.0, sealed, 0.0]), (turned, [sealed, 0.0, 0.0])] {
            let got = left(&makeup, node, &soaked(spent));
            assert!((got - want).abs() < 0.006 * (1.0 - want), "{got} and not {want}");
        }
        assert!((left(&makeup, core, &soaked([sealed, 0.0, sealed])) - 1.0).abs() < 1e-9);
        // What was forged narrower before it was laid evens out the quicker, by the square.
        let mut narrow = Past::NONE;
        narrow.soak(0.0, [0.0; 3], [2.0, 0.5, 1.0]);
        let thin = along(&mut makeup, Axis::Thickness, &[two, two], 5.0, &narrow);
        let got = left(&makeup, thin, &soaked([0.0, sealed / 4.0, 0.0]));
        assert!((got - want).abs() < 0.006 * (1.0 - want), "narrower: {got} and not {want}");
    }
}

#[test]
fn a_window_shows_its_own_part_and_a_name_what_went_in_under_it() {
    let mut makeup = Makeup::default();
    let two = pair(&mut makeup, Axis::Thickness);
    let core = along(&mut makeup, Axis::Thickness, &[two], 2.0, &soaked([0.0, 0.0, 1e-9]));
    // A quarter off the dark side, upside down or not: a third of what is left is dark.
    let ground = makeup.cut(core, [(0.25, 1.0), (0.0, 1.0), (0.0, 1.0)], [2.0, 40.0, 100.0]);
    let flipped = makeup.flip(ground, [1.5, 40.0, 100.0]);
    let bright = makeup.solid(BRIGHT, 0.00785);
    for (node, up) in [(ground, true), (flipped, false)] {
        let found = SteelCarbon::of(&makeup, node, &Past::NONE, &start, None);
        assert!(
            (found[0].share - 1.0 / 3.0).abs() < 1e-9 && (found[0].mean - 0.95).abs() < 1e-12,
            "{found:?}"
        );
        // Bright laid on it, as thick again: what lies on the dark side takes from the dark, on the bright side it waits.
        let parts = [(node, 1.5, PastId::NONE), (bright, 1.5, PastId::NONE)];
        let all = pile(&mut makeup, &parts);
        let now = SteelCarbon::of(&makeup, all, &soaked([0.02, 0.0, 0.0]), &start, None);
        // 0.5 mm of dark: one face, or both. A face alone passes the step times sqrt(s/pi).
        let face = 0.8 * (0.02f64 / std::f64::consts::PI).sqrt() / 0.5;
        let faces = if up { 1.0 } else { 2.0 };
        assert!(((0.95 - now[0].mean) / (faces * face) - 1.0).abs() < 0.02, "{up}: {now:?}");
        let inside = SteelCarbon::of(&makeup, all, &Past::NONE, &start, Some(PartName(1)));
        let share: f64 = inside.iter().map(|s| s.share).sum();
        assert!((share - 0.5).abs() < 1e-9 && inside.len() == 2, "{inside:?}");
    }
}

#[test]
fn a_buried_skin_is_missing_inside() {
    let mut makeup = Makeup::default();
    let bar = makeup.solid(DARK, 0.00785);
    let lost = Past { lost: [0.2, 0.4], ..Past::NONE };
    let (two, beside) = (
        along(&mut makeup, Axis::Thickness, &[bar, bar, bar], 8.0, &lost),
        along(&mut makeup, Axis::Width, &[bar, bar, bar], 8.0, &lost),
    );
    // Of four faces that meet each has lost what erf leaves: 1.183 d of its carbon (the whole of 1 - erf(0.477 x/d)).
    for (node, d) in [(two, 0.2), (beside, 0.4)] {
        for spent in [0.0, 3.0] {
            let found = SteelCarbon::of(&makeup, node, &soaked([spent; 3]), &start, None);
            let gone = 24.0 * (0.95 - found[0].mean) / (4.0 * d * 0.95);
            assert!((gone / 1.183 - 1.0).abs() < 0.01, "{d}, {spent}: {gone}");
        }
    }
    // The outside faces keep theirs: told apart, and still to be ground off.
    let single = along(&mut makeup, Axis::Thickness, &[bar], 8.0, &lost);
    assert!((SteelCarbon::of(&makeup, single, &Past::NONE, &start, None)[0].mean - 0.95).abs() < 1e-12);
    // Where a long row repeats, all faces meet.
    let many = along(&mut makeup, Axis::Thickness, &[bar; 1000], 8.0, &lost);
    let gone =
        8.0 * (0.95 - SteelCarbon::of(&makeup, many, &Past::NONE, &start, None)[0].mean) / (2.0 * 0.2 * 0.95);
    assert!((gone / 1.183 - 1.0).abs() < 0.01, "{gone}");
}

#[test]
fn carbon_is_told_of_every_piece() {
    // 31 piles of four inside each other, each with a skin off before it is laid again, and a little time in the fire.
    let mut makeup = Makeup::default();
    let mut node = pair(&mut makeup, Axis::Thickness);
    for _ in 0..31 {
        let ground = makeup.cut(node, [(0.01, 0.98), (0.0, 1.0), (0.0, 1.0)], [8.0, 40.0, 100.0]);
        let past = Past { lost: [0.01, 0.0], ..soaked([1e-3, 0.0, 0.0]) };
        node = along(&mut makeup, Axis::Thickness, &[ground; 4], 8.0, &past);
    }
    let found = SteelCarbon::of(&makeup, node, &soaked([1e-3, 0.0, 0.0]), &start, None);
    let share: f64 = found.iter().map(|s| s.share).sum();
    assert!((share - 1.0).abs() < 1e-9 && found.iter().all(|s| s.mean > 0.0 && s.mean < 0.96), "{found:?}");
}

#[test]
fn a_turned_pile_goes_on_in_the_row_that_it_is_laid_in() {
    let mut makeup = Makeup::default();
    let across = pair(&mut makeup, Axis::Width);
    let turned = makeup.turn(across, [2.0, 2.0, 100.0]);
    let all = along(&mut makeup, Axis::Thickness, &[turned, turned], 2.0, &Past::NONE);
    // Dark and bright by turns, four of 1 mm: three faces, each of which passes the step times sqrt(s/pi).
    let spent: f64 = 0.02;
    let want = 1.5 * (spent / std::f64::consts::PI).sqrt();
    let got = (1.0 - left(&makeup, all, &soaked([spent, 0.0, 0.0]))) / 2.0;
    assert!((got / want - 1.0).abs() < 0.02, "{got} and not {want}");
}

#[test]
fn what_lies_across_the_row_trades_by_its_mean() {
    let mut makeup = Makeup::default();
    let (across, dark) = (pair(&mut makeup, Axis::Width), makeup.solid(DARK, 0.00785));
    let all = along(&mut makeup, Axis::Thickness, &[across, dark], 1.0, &Past::NONE);
    // 0.55 % in the mean of the pair and 0.95 % in the bar come to 0.75 %: the bright half of the pair has gained 0.2 % with the dark.
    let found = SteelCarbon::of(&makeup, all, &soaked([50.0, 0.0, 0.0]), &start, None);
    assert!((found[1].mean - 0.35).abs() < 1e-5 && (found[0].most - 1.15).abs() < 1e-5, "{found:?}");
}

/// Bars of two, laid back to back by turns: dark meets dark and bright meets bright, so that the layers are twice as thick and take
/// four times as long. That is so however long the row, and whichever of two equal bars stands where.
#[test]
fn long_rows_of_pairs_back_to_back_are_rows_of_thicker_layers() {
    for (fo, want) in TABLE {
        let mut makeup = Makeup::default();
        let bars: Vec<NodeId> = (0..240)
            .map(|i| {
                let two = pair(&mut makeup, Axis::Thickness);
                if i % 2 == 0 { two } else { makeup.flip(two, [2.0, 40.0, 100.0]) }
            })
            .collect();
        for many in [4, 240] {
            let row = along(&mut makeup, Axis::Thickness, &bars[..many], 2.0, &Past::NONE);
            let got = left(&makeup, row, &soaked([4.0 * fo, 0.0, 0.0]));
            // Four alone end in a single layer at each face: mirrored, as if they went on.
            assert!((got - want).abs() < 0.02 * (1.0 - want), "{many} at {fo}: {got} and not {want}");
        }
    }
}

/// A row that is told by what it repeats is laid in short once more: each bar of it has lost the skin that it had lost, all the same.
#[test]
fn skins_are_missing_inside_however_long_the_row() {
    let mut makeup = Makeup::default();
    let bar = makeup.solid(DARK, 0.00785);
    let some = along(&mut makeup, Axis::Thickness, &[bar; 200], 1.0, &Past::NONE);
    let lost = Past { lost: [4.0, 0.0], ..Past::NONE };
    let all = along(&mut makeup, Axis::Thickness, &[some; 150], 200.0, &lost);
    let found = SteelCarbon::of(&makeup, all, &Past::NONE, &start, None);
    // As in `a_buried_skin_is_missing_inside`: of each of two faces a bar, 1.183 d of its carbon.
    let gone = 200.0 * (0.95 - found[0].mean) / (2.0 * 4.0 * 0.95);
    assert!((gone / 1.183 - 1.0).abs() < 0.03, "{gone}");
    let sound = along(&mut makeup, Axis::Thickness, &[some; 150], 200.0, &Past::NONE);
    let found = SteelCarbon::of(&makeup, sound, &Past::NONE, &start, None);
    assert!((found[0].mean - 0.95).abs() < 1e-9, "{found:?}");
}

/// `law` and a run lean on one law of how fast carbon moves: worked by hand from what `law` tells, the pile comes out as the run has it.
#[test]
fn carbon_in_a_run_is_what_the_laws_tell() {
    let law = |name: &str, figures: &[&str]| {
        let said = heatbook(&[&["law", name], figures, &["--format", "json"]].concat());
        said.json()["value"].as_f64().unwrap()
    };
    let recipe = "\
shop {
  scale none
}
stock a = 20 bars of 1084, 2 x 60 x 100 mm
stock b = 20 bars of 1018, 2 x 60 x 100 mm
stack p = alternate a, b
weld p at 1130 C, thinning 10 %, heats 1, for 1 min
heat p at 1130 C, heats 1, for 39 min
";
    let run = told(&["run", "-", "--format", "json"], recipe).json();
    let [rich, lean] = [0, 1].map(|i| {
        let steel = &run["steels"]["p"][i];
        [&steel["carbon_at_first"], &steel["carbon"]].map(|c| c.as_f64().unwrap())
    });
    let mean = (f64::midpoint(rich[0], lean[0])).to_string();
    let content = format!("c={mean}");
    let speed = law("carbon-diffusion-agren", &["temperature=1130C", &content]);
    // Layers of 1.8 mm, 40 min: the minute before the press is so short that its thicker layers do not count.
    let spent = format!("fo={}", speed * 2400.0 / 1.8e-3f64.powi(2));
    // Forty layers meet at 39 seams; the law has one for each.
    let moved = (1.0 - law("contrast-means", &[&spent])) * 39.0 / 40.0;
    let got = 1.0 - (rich[1] - lean[1]) / (rich[0] - lean[0]);
    assert!((got / moved - 1.0).abs() < 0.02, "{got} in the run, {moved} by the laws");
    // The handbook's figure, which knows no content, is half as fast: its page says so, and which one a run leans on.
    for at in ["900", "1000", "1150"] {
        let at = format!("temperature={at}C");
        let slow = law("carbon-diffusion", &[&at]);
        let ratio = law("carbon-diffusion-agren", &[&at, "c=0.8"]) / slow;
        assert!((1.8..=2.6).contains(&ratio), "{at}: {ratio}");
    }
    let page = heatbook(&["law", "carbon-diffusion", "temperature=1000C"]).all();
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("a run leans on carbon-diffusion-agren, about twice as fast at 0.8 % C"), "{page}");
}
