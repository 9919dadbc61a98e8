//! Figures and shapes that come out by plain arithmetic, where a slip would still look likely on a page.

use heatbook::piece::blade::{Bevel, Blade, Face, Height, Knot, Knots, Sides, Station};
use heatbook::piece::shades::Shades;
use heatbook::piece::{Bar, Section, SteelCarbon, SteelId};
use heatbook::quantity::Units;
use heatbook::replay::build;
use heatbook::spec::Judged;

use crate::common::{Worked, check, close, plan, slot, told, told_in_full};

/// A blade of a bar's steel, 40 mm wide, whose thickness runs straight from point to point: place and thickness, mm.
fn bulged(worked: &mut Worked, points: &[(f64, f64)]) -> Bar {
    let mut bar = worked.bar();
    bar.long = points.last().unwrap().0;
    let station = |(x, thick): &(f64, f64)| {
        let knot = |y: f64| Knot { y, left: thick / 2.0, right: thick / 2.0, full: *thick, across: y / 40.0 };
        Station { x: *x, along: x / bar.long, knots: [knot(0.0), knot(40.0)].into_iter().collect::<Knots>() }
    };
    let shape = Blade { stations: points.iter().map(station).collect(), off: 0.0 };
    bar.thick = shape.greatest()[1];
    bar.blade = Some(worked.build.bench.makeup.keep_blade(shape));
    bar
}

/// What a recipe's first target line comes to on another bar.
fn judged(worked: &Worked, bar: &Bar) -> Judged {
    let test = &worked.plan.targets[0].tests[0];
    test.judge(&worked.plan.values, bar, &worked.build.bench.makeup, &worked.plan.ground.steels)
}

/// Neither ends nor even spaces meet a bulge at 97 mm: it counts all the same, also where it keeps steel soft.
#[test]
fn what_stands_out_between_two_places_is_read() {
    let bar = "stock b = 1 bar of 1084, 4 x 40 x 200 mm\nharden b from 815 C in oil\n";
    for (line, points, got) in [
        ("spine <= 9 mm from heel to tip", [(0.0, 4.0), (97.0, 8.0), (200.0, 4.0)], 8.0),
        ("thickness >= 3 mm everywhere", [(0.0, 8.0), (97.0, 4.0), (200.0, 8.0)], 4.0),
        // Only as far as is asked: at 50 mm it is 4 + 4 x 50/97.
        ("spine <= 9 mm from heel to 50 mm", [(0.0, 4.0), (97.0, 8.0), (200.0, 4.0)], 4.0 + 200.0 / 97.0),
    ] {
        let mut worked = check(&format!("{bar}target b {{\n  {line}\n}}\n"));
        let blade = bulged(&mut worked, &points);
        let found = judged(&worked, &blade);
        close(found.got, got, 1e-12);
        let at = if line.ends_with("50 mm") { 50.0 } else { 97.0 };
        assert_eq!(found.at, Some([at, 200.0 - at]), "{line}");
    }
    let mut worked = check(&format!("{bar}target b {{\n  hardness >= 20 HRC from heel to tip\n}}\n"));
    let (thin, bulge, thick) = (
        bulged(&mut worked, &[(0.0, 4.0), (200.0, 4.0)]),
        bulged(&mut worked, &[(0.0, 4.0), (97.0, 30.0), (200.0, 4.0)]),
        bulged(&mut worked, &[(0.0, 30.0), (200.0, 30.0)]),
    );
    let [thin, bulge, thick] = [thin, bulge, thick].map(|bar| judged(&worked, &bar).got);
    assert!(thin > bulge + 1.0, "{thin} {bulge}");
    assert_eq!(bulge, thick);
}

#[test]
fn a_station_is_put_where_there_is_none() {
    let mut bar = Bar::plain(
        [6.0, 40.0, 200.0],
        Section::Flat,
        heatbook::piece::Makeup::default().solid(SteelId(0), 0.00785),
    );
    bar.mass = 1.0;
    let mut blade = Blade::of(&bar);
    for (x, many) in
        [(50.0, 3), (50.0, 3), (120.0, 4), (50.0, 4), (120.0, 4), (0.0, 4), (200.0, 4), (300.0, 4)]
    {
        blade.stand(x);
        assert_eq!(blade.stations.len(), many, "{x}");
    }
    // A taper that ends before the tip leaves the tip as it is.
    let mut tapered = Blade::of(&bar);
    tapered.thin((50.0, 6.0), (100.0, 3.0));
    for (x, thick) in [(0.0, 6.0), (25.0, 6.0), (50.0, 6.0), (75.0, 4.5), (100.0, 3.0), (200.0, 6.0)] {
        close(tapered.section(x).thickness(), thick, 1e-12);
    }
}

/// 4 x 40 mm, forged to 1 mm at the edge and 20 mm up: the bevel holds 20 x (1 + 4)/2 = 50 mm2, the steel of 12.5 mm of the bar; the
/// other 27.5 mm are as they were.
#[test]
fn a_forged_bevel_takes_the_steel_that_it_holds() {
    let bar = Bar::plain(
        [4.0, 40.0, 200.0],
        Section::Flat,
        heatbook::piece::Makeup::default().solid(SteelId(0), 0.00785),
    );
    let mut blade = Blade::of(&bar);
    let bevel = Bevel {
        edge: 1.0,
        height: Height::Tall(20.0),
        sides: Sides::Both,
        face: Face::Flat,
        both_edges: false,
    };
    blade.forge_bevel(&bevel, 0.0, 200.0, 0.0, 0.0);
    for x in [0.0, 77.0, 200.0] {
        let section = blade.section(x);
        close(section.area(), 160.0, 1e-9);
        close(section.width(), 47.5, 1e-9);
        let edge = section.edge().y;
        for (up, thick) in [(0.0, 1.0), (10.0, 2.5), (20.0, 4.0), (30.0, 4.0), (47.5, 4.0)] {
            close(section.at(edge + up).thick(), thick, 1e-9);
        }
    }
}

/// What lies above the strip is lifted as it is: here a spine that thins from 4 to 2 mm over its last 10 mm.
#[test]
fn a_forged_bevel_lifts_what_lies_above() {
    let knot = |(y, thick): (f64, f64)| Knot {
        y,
        left: thick / 2.0,
        right: thick / 2.0,
        full: 4.0,
        across: y / 40.0,
    };
    let knots: Knots = [(0.0, 4.0), (30.0, 4.0), (40.0, 2.0)].into_iter().map(knot).collect();
    let station = |x: f64| Station { x, along: x / 200.0, knots: knots.clone() };
    let mut blade = Blade { stations: vec![station(0.0), station(200.0)], off: 0.0 };
    let bevel = Bevel {
        edge: 1.0,
        height: Height::Tall(20.0),
        sides: Sides::Both,
        face: Face::Flat,
        both_edges: false,
    };
    blade.forge_bevel(&bevel, 0.0, 200.0, 0.0, 0.0);
    let section = blade.section(100.0);
    close(section.area(), 30.0 * 4.0 + 10.0 * 3.0, 1e-9);
    close(section.width(), 47.5, 1e-9);
    for (up, thick) in [(10.0, 2.5), (20.0, 4.0), (37.5, 4.0), (42.5, 3.0), (47.5, 2.0)] {
        close(section.at(section.edge().y + up).thick(), thick, 1e-9);
    }
}

/// Where nothing burns, a bevel from the heel begins at the heel; and forging a blade ages it as that fire ages a bar.
#[test]
fn a_forged_step_begins_where_it_is_told_and_ages_the_steel() {
    let stock = "shop {\n  scale none\n}\nstock b = 1 bar of 1084, 6 x 40 x 300 mm\n";
    let after = |step: &str| {
        let worked = check(&format!("{stock}{step}\n"));
        assert!(worked.build.faults.is_empty(), "{step}: {:?}", worked.build.faults);
        worked
    };
    let bevelled = after("bevel b from heel to tip, edge 1 mm, height 20 mm, forged").shape();
    for x in [0.0, 0.5, 150.0, bevelled.tip()] {
        close(bevelled.section(x).edge().thick(), 1.0, 1e-9);
    }
    let to_150 =
        after("bevel b from heel to 150 mm, edge 1 mm, height 20 mm, forged, elongation 0 %").shape();
    close(to_150.section(149.0).edge().thick(), 1.0, 1e-9);
    close(to_150.section(150.5).edge().thick(), 6.0, 1e-9);
    let spent = |step: &str| after(step).bar().past.spent[0];
    let fire = "at 1100 C, for 10 min";
    assert_eq!(spent("taper b from heel to tip, to 4 mm thick, ground"), 0.0);
    let heated = spent("heat b at 1100 C for 10 min");
    assert!(heated > 0.0);
    close(spent(&format!("taper b from heel to tip, to 4 mm thick, forged, {fire}, heats 1")), heated, 1e-9);
    close(
        spent(&format!("taper b from heel to tip, to 4 mm thick, forged, {fire}, heats 3")),
        3.0 * heated,
        1e-9,
    );
}

/// Two of one steel, 1.8 mm each; a chisel grind over the whole width and down to the seam takes half of the left one.
#[test]
fn parts_are_weighed_as_they_are_ground_and_hardened() {
    let recipe = |steps: &str, line: &str| {
        check(&format!(
            "shop {{\n  scale none\n}}\nstock one = 1 bar of 1084, 2 x 40 x 200 mm\nstock two = 1 bar of 1084, 2 x 40 x 200 mm\n\
             stack p = one, two\nweld p at 1120 C, thinning 10 %, heats 1, spread 0\n{steps}target p {{\n  {line}\n}}\n"
        ))
    };
    let got = |steps: &str, line: &str| {
        let worked = recipe(steps, line);
        assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
        (judged(&worked, &worked.bar()).got, worked.bar().mass)
    };
    let chisel = "bevel p edge 1.8 mm, height full, left side, ground\n";
    let harden = "harden p from 815 C in oil\n";
    for (steps, least) in
        [("", 1.0 / 2.0), (harden, 1.0 / 2.0), (chisel, 1.0 / 3.0), (&format!("{chisel}{harden}"), 1.0 / 3.0)]
    {
        let [(one, all), (two, _)] = ["one", "two"].map(|part| got(steps, &format!("mass of {part} >= 1 g")));
        close(one + two, all, 1e-9);
        close(one.min(two), all * least, 1e-9);
        let volume = recipe(steps, "volume of one >= 1 mm3").bar().volume();
        let [(a, _), (b, _)] = ["one", "two"].map(|part| got(steps, &format!("volume of {part} >= 1 mm3")));
        close(a + b, volume, 1e-9);
    }
}

/// Nine layers; 2.5 of them go off each face of a blade, and five are still met.
#[test]
fn bands_of_a_blade_are_those_that_its_faces_left() {
    let recipe = |ground: &str| {
        check(&format!(
            "shop {{\n  scale none\n}}\nstock dark = 5 bars of 1084, 1 x 40 x 200 mm\nstock bright = 4 bars of 15N20, 1 x 40 x 200 mm\n\
             stack p = alternate dark, bright\nweld p at 1120 C, thinning 10 %, heats 1\n\
             profile p to 180 mm long, 36 mm wide, belly 60 mm, point 12 mm below spine, ground\n{ground}\
             target p {{\n  bands >= 1\n}}\n"
        ))
    };
    let whole = recipe("");
    assert_eq!(judged(&whole, &whole.bar()).got, 9.0);
    let ground = recipe(&format!("grind p faces {} mm\n", whole.bar().thick * 2.5 / 9.0));
    assert!(ground.build.faults.is_empty(), "{:?}", ground.build.faults);
    assert_eq!(judged(&ground, &ground.bar()).got, 5.0);
}

/// A plan is worked where every `?` of it is answered, and only there.
#[test]
fn a_plan_is_worked_once_all_its_questions_are_answered() {
    let plan = plan("stock b = 1 bar of 1084, ? in 3 .. 9 mm x 40 mm x ? in 100 .. 300 mm\n");
    let [thick, long] = ["b thick", "b long"].map(|address| slot(&plan, address));
    let standing = |set: &[(u32, f64)]| build(&plan, set, Units::Metric).standing.len();
    assert_eq!(standing(&[]), 0);
    assert_eq!(standing(&[(thick, 5.0)]), 0);
    assert_eq!(standing(&[(slot(&plan, "b wide"), 50.0)]), 0);
    assert_eq!(standing(&[(thick, 5.0), (long, 200.0)]), 1);
    let one = crate::common::plan("stock b = 1 bar of 1084, ? in 3 .. 9 mm x 40 mm x 200 mm\n");
    assert_eq!(build(&one, &[(slot(&one, "b thick"), 5.0)], Units::Metric).standing.len(), 1);
    let made = build(&plan, &[(thick, 5.0), (long, 200.0)], Units::Metric);
    close(made.lot(made.standing[0]).unwrap().bar.volume(), 5.0 * 40.0 * 200.0, 1e-12);
}

/// A blade takes on what was read of it: it is as long as it was read, and all along.
#[test]
fn a_blade_is_as_long_as_it_was_read() {
    let blade = "stock b = 1 bar of 1084, 6 x 40 x 300 mm\n\
                 profile b to 240 mm long, 36 mm wide, belly 90 mm, point 12 mm below spine, ground\n";
    let (as_planned, read) = (check(blade), check(&format!("{blade}measure b: 246 mm long\n")));
    assert!(read.build.faults.is_empty(), "{:?}", read.build.faults);
    let (planned, now) = (as_planned.shape(), read.shape());
    close(now.tip(), 246.0, 1e-9);
    close(read.bar().long, 246.0, 1e-9);
    for share in [0.1, 0.5, 0.9] {
        close(now.section(246.0 * share).width(), planned.section(240.0 * share).width(), 1e-9);
    }
}

/// Three leaves with a kerf of 2 mm out of 200 mm are (200 - 4)/3 each, and every second one lies on its face: what was below lies
/// outside on both sides, and like meets like at each seam.
#[test]
fn leaves_of_a_fold_lie_face_to_face() {
    let bar = "shop {\n  scale none\n}\nstock dark = 1 bar of 1084, 3 x 40 x 200 mm\nstock bright = 1 bar of 15N20, 3 x 40 x 200 mm\n\
               stack p = dark, bright\nweld p at 1120 C, thinning 10 %, heats 1, spread 0\n";
    let long = check(bar).bar().long;
    for (leaves, bands) in [(2, 3), (3, 4), (4, 5)] {
        let worked = check(&format!("{bar}fold p in {leaves}, kerf 2 mm\n"));
        assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
        let n = f64::from(leaves);
        close(worked.bar().long, (long - 2.0 * (n - 1.0)) / n, 1e-12);
        assert_eq!(worked.piece("p")["bands"], bands);
        told_in_full(&worked.build).unwrap();
        // The first leaf lies as it lay: dark below.
        let makeup = &worked.build.bench.makeup;
        let field = heatbook::piece::field::Field::new(makeup, worked.bar().node);
        let at = |z: f64| field.steel([z, 0.5, 0.5]);
        let [first, last] = [at(1e-3), at(1.0 - 1e-3)];
        assert_eq!(first, SteelId(0), "{leaves}");
        assert_eq!(first == last, leaves % 2 == 0, "{leaves}");
    }
}

/// Twice as tall as the blade is wide is the most that a forged bevel is trusted with, once where it is ground.
#[test]
fn a_forged_bevel_may_be_taller_than_the_bar() {
    let tall = |line: &str| {
        check(&format!("stock b = 1 bar of 1084, 6 x 40 x 300 mm\nbevel b edge 1 mm, height {line}\n"))
            .faults()
    };
    assert_eq!(tall("60 mm, forged"), [""; 0]);
    assert_eq!(tall("81 mm, forged"), ["bevel_tall"]);
    assert_eq!(tall("41 mm, ground"), ["bevel_tall"]);
}

/// A bar a tenth of a millimetre longer is a tenth longer, and a bar of 10 mm a hundredth heavier for a tenth of it.
#[test]
fn a_nudge_moves_by_what_was_nudged() {
    let plan = plan(
        "stock b = 1 bar of 1084, 10 x 40 x 200 mm\nturn b\ntarget b {\n  length >= 150 mm\n  mass >= 100 g\n}\n",
    );
    let (_, found) = heatbook::study::nudge(&plan, Units::Metric);
    let moves = |address: &str, line: usize| {
        let slot = slot(&plan, address);
        let one =
            found.iter().find(|n| n.slot == slot && n.line == line).unwrap_or_else(|| panic!("{address}"));
        (one.step, one.moves)
    };
    let grams = 10.0 * 40.0 * 200.0 * 0.00785;
    let (step, by) = moves("b long", 0);
    close(by, step, 1e-9);
    for (address, size) in [("b thick", 10.0), ("b wide", 40.0), ("b long", 200.0)] {
        let (step, by) = moves(address, 1);
        close(by, grams * step / size, 1e-9);
    }
}

/// Of a figure that is one step from nothing the step up alone is told, by hand: a bar drawn to half its thickness by a
/// coefficient of 0.01 gets 2^0.01 times as wide, and 2^0.02 times a step up.
#[test]
fn a_nudge_brings_no_figure_down_to_nothing() {
    let plan = plan(
        "shop {\n  scale none\n}\nstock b = 1 bar of 1084, 20 x 40 x 200 mm\n\
         draw b to 10 mm thick, spread 0.01, heats 1\ntarget b {\n  width >= 30 mm\n}\n",
    );
    let (_, found) = heatbook::study::nudge(&plan, Units::Metric);
    let own = found.iter().find(|n| n.slot == slot(&plan, "draw 1 spread")).unwrap();
    let hand = 40.0 * (2f64.powf(0.02) - 2f64.powf(0.01));
    assert!((own.moves - hand).abs() < 1e-9, "{} by hand {hand}", own.moves);
}

/// What an inch shop is told to begin with can be marked with a tape: quarters along, and no finer than it is divided.
#[test]
fn a_new_recipe_in_inches_is_of_tape_sizes() {
    let folder = tempfile::tempdir().unwrap();
    let wishes = [
        ["2 1/4 in", "10 in", "3/16 in", "60"],
        ["1 1/2 in", "7.5 in", ".140 in", "200"],
        ["1 in", "6 in", ".100 in", "60"],
    ];
    let mut drawn = std::collections::BTreeSet::new();
    for (i, sizes) in wishes.iter().enumerate() {
        let path = folder.path().join(format!("{i}.heat"));
        let [width, length, thick, layers] = sizes;
        let file = path.to_str().unwrap();
        let said = told(
            &["new", file, "--width", width, "--length", length, "--thick", thick, "--layers", layers],
            "",
        );
        assert_eq!(said.code, 0, "{}", said.all());
        let recipe = std::fs::read_to_string(&path).unwrap();
        let worked = check(&recipe);
        let sixty_fourths = |mm: f64, what: &str| {
            let n = mm / 25.4 * 64.0;
            assert!((n - n.round()).abs() < 1e-6, "{what}: {mm} mm\n{recipe}");
            n.round() as i64
        };
        let (mut bars, mut draws) = (0, 0);
        // Dark outside on both faces takes one bar more of it.
        let many = |address: &str| worked.plan.values.at(slot(&worked.plan, address));
        assert_eq!(many("dark bars"), many("bright bars") + 1.0, "{recipe}");
        for (info, value) in worked.plan.slots.iter().zip(&worked.plan.values.0) {
            let address = info.address.as_str();
            if address == "bar-length" {
                assert_eq!(sixty_fourths(*value, address) % 16, 0, "{address}: {value}\n{recipe}");
                bars += 1;
            }
            if address.starts_with("draw") && address.ends_with("thick") && info.copy_of.is_none() {
                // A bar is drawn thinner than the inch or two that a stack comes to.
                assert!(sixty_fourths(*value, address) <= 64, "{address}: {value}\n{recipe}");
                drawn.insert(sixty_fourths(*value, address));
                draws += 1;
            }
        }
        assert!(bars == 1 && draws > 0, "{bars} {draws}\n{recipe}");
    }
    // A thin blade comes of a billet of 3/16 in, the thinnest flat that bars are sold in by sixteenths above an eighth.
    assert!(drawn.contains(&12), "{drawn:?}");
}

/// What can be typed from a message is read with a calliper below an inch: thousandths, rounded to what can still be had.
#[test]
fn less_than_an_inch_is_told_in_thousandths() {
    let bar = "stock b = 1 bar of 1084, 1/4 x 0.7773 x 10 in\n";
    let said = check(&format!(
        "shop {{\n  scale none\n}}\n{bar}tang b stick, to 4 in long, 0.9 in wide, 1/8 in thick, ground\n"
    ));
    let told = said.verdict.faults.iter().map(|f| format!("{f:?}")).collect::<String>();
    assert!(said.faults() == ["already_smaller"], "{told}");
    let job = heatbook::workshop::Job::alone(
        "test.heat",
        &format!("{bar}tang b stick, to 4 in long, 0.9 in wide, 1/8 in thick, ground\n"),
    )
    .unwrap();
    let built = job.build(Units::Inch);
    let told = built.faults.iter().map(|f| format!("{f:?}")).collect::<String>();
    assert!(told.contains("it is 0.777 in"), "{told}");
}

/// A hardness hangs on the temper: with bounds and without, a temper is found for it.
#[test]
fn a_temper_is_found_for_a_hardness() {
    for bounds in ["?", "? in 100 C .. 400 C"] {
        let plan = plan(&format!(
            "stock b = 1 bar of 1084, 6 x 40 x 200 mm\nharden b from 815 C in oil\ntemper b at {bounds} for 2 h\n\
             target b {{\n  hardness 55 .. 59 HRC\n}}\n"
        ));
        let filled = heatbook::study::fill(&plan, heatbook::study::Least::Steel).unwrap();
        assert!(
            filled.outcome.met() && (100.0..400.0).contains(&filled.values[0]),
            "{bounds}: {:?}",
            filled.values
        );
    }
}

/// Grinding takes its time: twice as much off takes the longer, by the grams at 30 g a minute.
#[test]
fn what_is_ground_off_counts_in_hours() {
    let plan = plan(
        "shop {\n  grinding 30 g per min\n}\nstock b = 1 bar of 1084, 10 x 40 x 200 mm\ngrind b faces 0.5 mm\n\
         target b {\n  thickness <= 9 mm\n}\n",
    );
    let faces = slot(&plan, "grind 1 faces");
    let mut runs = heatbook::study::Runs::new(&plan, heatbook::study::Least::Hours);
    let [once, twice] = [0.5, 1.0].map(|mm| runs.run(&[(faces, mm)]));
    assert!(once.met() && twice.met() && once.beats(&twice));
    // A millimetre of both faces in all: 40 x 200 mm at 7.85 g/cm3 are 62.8 g.
    close(twice.objective - once.objective, 62.8 / 30.0 / 60.0, 1e-9);
}

/// The step that took what a weight would have needed is named, and not the stock.
#[test]
fn the_step_that_took_the_weight_is_named() {
    let source = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ncut b to 100 mm long\nturn b\ntarget b {\n  mass >= 500 g\n}\n";
    let said = check(source).findings(heatbook::report::Style::Human { colour: false, wide: 120 });
    assert!(said.contains("after this it could no longer be met: 314 g is left"), "{said}");
    let never = check(&source.replace("500 g", "900 g"))
        .findings(heatbook::report::Style::Human { colour: false, wide: 120 });
    assert!(never.contains("no more than 628 g ever comes together"), "{never}");
}

/// A jacket 2 mm thick on either side of the core: half a millimetre at the edge is core alone, and a spine shows all.
#[test]
fn an_edge_shows_the_core_and_a_spine_all_three() {
    let worked = check(
        "shop {\n  scale none\n}\nstock jacket = 2 bars of 1018, 2.2 x 40 x 300 mm\nstock core = 1 bar of 1095, 2.2 x 40 x 300 mm\n\
         stack b = jacket, core, jacket\nweld b at 1150 C, thinning 10 %, heats 1\nbevel b edge 0.5 mm, height 20 mm, ground\n",
    );
    assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
    let (blade, bar) = (worked.shape(), worked.bar());
    let makeup = &worked.build.bench.makeup;
    let station = blade.section(150.0);
    let steels = |knot: &Knot| -> Vec<SteelId> {
        let there = [blade.part_at(&station, knot, 0.1)];
        let met = SteelCarbon::within(makeup, bar.node, &bar.past, &|_| 0.5, (None, &there));
        met.into_iter().map(|one| one.steel).collect()
    };
    let (of_edge, of_spine) = (steels(&station.edge()), steels(&station.spine()));
    assert_eq!((of_edge.len(), of_spine.len()), (1, 2));
    let core = makeup
        .steels(bar.node)
        .find(|steel| (makeup.share_of_steel(bar.node, *steel) - 1.0 / 3.0).abs() < 1e-6);
    assert_eq!(of_edge, [core.unwrap()]);
}

/// A bevel that begins on the blade runs out over half a centimetre (project figure), where nothing else is said.
#[test]
fn a_bevel_that_begins_on_the_blade_runs_out() {
    let edge = |words: &str, x: f64| {
        let worked = check(&format!(
            "stock b = 1 bar of 1084, 6 x 40 x 300 mm\nbevel b {words}, edge 1 mm, height 20 mm, ground\n"
        ));
        assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
        worked.shape().section(x).edge().thick()
    };
    let begins = edge("from 100 mm to tip", 103.0);
    assert!(begins > 1.5 && begins < 6.0, "{begins}");
    close(edge("from 100 mm to tip", 99.0), 6.0, 1e-9);
    close(edge("from 100 mm to tip", 140.0), 1.0, 1e-9);
    close(edge("from heel to tip", 0.5), 1.0, 1e-9);
}

/// A twist to the left is the mirror image of one to the right.
#[test]
fn a_twist_to_the_left_mirrors_one_to_the_right() {
    let twisted = |hand: &str| {
        check(&format!(
            "shop {{\n  scale none\n}}\nstock dark = 3 bars of 1084, 4 x 24 x 200 mm\nstock bright = 2 bars of 15N20, 4 x 24 x 200 mm\n\
             stack rod = alternate dark, bright\nweld rod at 1230 C, thinning 10 %, heats 1\ndraw rod to 16 mm square, heats 3\n\
             draw rod to 16 mm octagon, heats 3\ntwist rod 2 turns per 100 mm, {hand}, grips 30 mm, heats 3\n"
        ))
    };
    let (left, right) = (twisted("left"), twisted("right"));
    let field = |worked: &Worked, at: [f64; 3]| {
        assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
        heatbook::piece::field::Field::new(&worked.build.bench.makeup, worked.bar().node).steel(at)
    };
    let (mut mirrored, mut other) = (0, 0);
    for i in 0..2_000 {
        let place = |by: f64| (f64::from(i) * by).fract();
        let [t, w, l] = [place(0.618_033_988_75), place(0.754_877_666_25), place(0.569_840_290_99)];
        mirrored += i32::from(field(&left, [t, w, l]) == field(&right, [1.0 - t, w, l]));
        other += i32::from(field(&left, [t, w, l]) == field(&right, [t, w, l]));
    }
    assert!(mirrored > 1_995 && other < 1_700, "{mirrored} {other}");
}

/// Two bars side by side, each of one steel: every dot of an end shows the one that lies under it, and nothing of the other.
#[test]
fn a_dot_shows_what_lies_under_it() {
    let worked = check(
        "shop {\n  scale none\n}\nstock dark = 1 bar of 1084, 10 x 20 x 100 mm\nstock bright = 1 bar of 15N20, 10 x 20 x 100 mm\n\
         stack p = dark, bright side by side\nweld p at 1120 C, thinning 10 %, heats 1\n",
    );
    assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
    let (makeup, bar) = (&worked.build.bench.makeup, worked.bar());
    let view = heatbook::study::View { side: heatbook::study::Side::End, under: 0.0, at: 50.0 };
    let sight = heatbook::study::Sight::new(makeup, &bar, view).unwrap();
    let tone = |steel: SteelId| f64::from(steel.0);
    // Twenty dots, ten to a bar, so that the seam lies between two.
    let dot = bar.wide / 20.0;
    let field = heatbook::piece::field::Field::new(makeup, bar.node);
    let picture = heatbook::study::take(&sight, &field, &Shades::plain(&field, tone), dot, 1).unwrap();
    assert_eq!(picture.dots[0], 20);
    let tones: Vec<f32> = picture.tones.iter().take(20).map(|(tone, _)| *tone).collect();
    let (first, last) = (tones[0], tones[19]);
    assert_eq!((tones[..10].to_vec(), tones[10..].to_vec()), (vec![first; 10], vec![last; 10]));
    assert_ne!(first, last);
}

/// A tolerance of nothing leaves nothing to chance.
#[test]
fn what_is_known_exactly_is_no_input_of_odds() {
    let inputs = |size: &str| {
        heatbook::study::inputs(&plan(&format!("stock b = 1 bar of 1084, {size} x 40 mm x 200 mm\n"))).len()
    };
    assert_eq!((inputs("5 mm +- 0.1 mm"), inputs("5 mm +- 0 mm"), inputs("5 mm")), (1, 0, 0));
}

/// A figure that only a hair's breadth will do for is found between the first looks, inside its bounds.
#[test]
fn a_narrow_figure_is_found_in_its_bounds() {
    let plan = plan(
        "stock b = 1 bar of 1084, ? in 3 .. 9 mm x 40 mm x 200 mm\ntarget b {\n  mass = 314.5 g +- 0.00001 g\n}\n",
    );
    let filled = heatbook::study::fill(&plan, heatbook::study::Least::Steel).unwrap();
    // 314.5 g of 62.8 g to the millimetre.
    assert!(filled.outcome.met(), "{:?}", filled.values);
    close(filled.values[0], 314.5 / 62.8, 1e-7);
    assert!(filled.runs < 1_000, "{}", filled.runs);
}

/// Drawing to a length is drawing to the thickness that it comes to: it takes about as many heats.
#[test]
fn a_length_takes_the_heats_of_its_thickness() {
    let heats = |size: &str| {
        let worked = check(&format!(
            "shop {{\n  scale none\n  press 25 tonf, flat die 40 mm, 15 strokes per minute\n  forge gas, 1150 C\n}}\n\
             stock b = 1 bar of 1084, 25 x 40 x 150 mm\ndraw b to {size}\n"
        ));
        assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
        (worked.json()["steps"][1]["effort"]["heats"].as_u64().unwrap(), worked.bar().thick)
    };
    let (by_length, thick) = heats("450 mm long");
    let (by_thickness, _) = heats(&format!("{thick} mm thick"));
    // Heats are counted from about the sizes that it ends at: within a fifth.
    assert!(by_length.abs_diff(by_thickness) * 5 <= by_thickness, "{by_length} {by_thickness}");
}

/// A heat is in the fire, and then under the hammer: where no machine is stated it is worked for as long as it stays hot.
#[test]
fn a_heat_takes_longer_than_its_time_in_the_fire() {
    let minutes = |heats: u32| {
        let worked = check(&format!(
            "stock b = 1 bar of 1084, 20 x 40 x 150 mm\ndraw b to 16 mm thick, at 1150 C, for 10 min, heats {heats}\n"
        ));
        assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
        worked.json()["steps"][1]["effort"]["minutes"].as_f64().unwrap()
    };
    for heats in [1, 3] {
        let (spent, fire) = (minutes(heats), 10.0 * f64::from(heats));
        assert!(spent > fire && spent < 1.5 * fire, "{heats}: {spent}");
    }
}
