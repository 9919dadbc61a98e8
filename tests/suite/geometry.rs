//! The shapes of blades against a geometry library and against closed forms.

use crate::common::{check, close, part, work};
use geo::{Area, Centroid, Coord, LineString, Polygon};
use heatbook::piece::blade::{Bevel, Blade, Face, Fuller, Height, Met, Outline, Run, Side, Sides};
use heatbook::piece::{Axis, Bar, Makeup, PartName, Section, SteelId};
use rand::{RngExt, SeedableRng};

/// A plain bar of one steel.
fn bar(thick: f64, wide: f64, long: f64) -> Bar {
    let node = Makeup::default().solid(SteelId(0), 0.00785);
    Bar::plain([thick, wide, long], Section::Flat, node)
}

fn polygon(points: &[[f64; 2]]) -> Polygon {
    let ring = points.iter().map(|[x, y]| Coord { x: *x, y: *y }).collect();
    Polygon::new(LineString::new(ring), Vec::new())
}

/// Area of the section at a place, by the geometry library.
fn area_at(blade: &Blade, x: f64) -> f64 {
    polygon(&blade.section(x).outline()).unsigned_area()
}

/// Volume, and its moment about the heel: areas of the library at three places between each two stations. A section's
/// area runs as a square of the place there, its moment as a cube, and Simpson's rule is exact for both.
fn summed(blade: &Blade) -> [f64; 2] {
    let mut sums = [0.0; 2];
    for pair in blade.stations.windows(2) {
        let [a, b] = [&pair[0], &pair[1]];
        let long = b.x - a.x;
        if long <= 0.0 {
            continue;
        }
        let area = |outline: Vec<[f64; 2]>| polygon(&outline).unsigned_area();
        let ends = [area(a.outline()), area(a.toward(b, 0.5).outline()), area(b.outline())];
        let places = [a.x, a.x + long / 2.0, b.x];
        for (weight, (area, x)) in [1.0, 4.0, 1.0].into_iter().zip(ends.into_iter().zip(places)) {
            sums[0] += long / 6.0 * weight * area;
            sums[1] += long / 6.0 * weight * area * x;
        }
    }
    sums
}

/// A blade made at random: outline point by point, tapers and bevels of every kind.
fn random_blade(rng: &mut rand_pcg::Pcg64Mcg) -> Blade {
    let mut draw = |low: f64, high: f64| rng.random_range(low..high);
    let (thick, wide, long) = (draw(2.0, 8.0), draw(25.0, 70.0), draw(120.0, 400.0));
    let mut blade = Blade::of(&bar(thick, wide, long));
    blade.heel_at(draw(0.0, 0.2 * long));
    let tip = blade.tip();
    let line = |from: f64, to: f64, draw: &mut dyn FnMut(f64, f64) -> f64| {
        let mut places: Vec<f64> = (0..5).map(|_| draw(0.05, 0.95) * tip).collect();
        places.sort_by(f64::total_cmp);
        let mut run = vec![(0.0, from)];
        run.extend(places.into_iter().map(|x| (x, from + (to - from) * (x / tip).powi(2))));
        run.push((tip, to));
        Run(run)
    };
    let point = draw(0.4, 0.9) * wide;
    let outline = Outline {
        edge: line(draw(0.0, 0.1) * wide, point, &mut draw),
        spine: line(draw(0.85, 1.0) * wide, point, &mut draw),
    };
    blade.cut_out(&outline);
    if draw(0.0, 1.0) < 0.7 {
        blade.thin((0.0, thick), (tip, thick * draw(0.3, 0.9)));
    }
    for _ in 0..2 {
        let height = match draw(0.0, 3.0) as u32 {
            0 => Height::Tall(draw(0.2, 0.9) * wide),
            1 => Height::Full,
            _ => Height::Slope(draw(0.02, 0.2)),
        };
        let sides = match draw(0.0, 3.0) as u32 {
            0 => Sides::Left,
            1 => Sides::Right,
            _ => Sides::Both,
        };
        let face = match draw(0.0, 3.0) as u32 {
            0 => Face::Flat,
            1 => Face::Convex(draw(0.0, 0.2)),
            _ => Face::Hollow(draw(1000.0, 3000.0)),
        };
        let both_edges = draw(0.0, 1.0) < 0.3;
        let bevel = Bevel { edge: draw(0.05, 0.3) * thick, height, sides, face, both_edges };
        let from = draw(0.0, 0.2) * tip;
        let before = blade.clone();
        blade.bevel(&bevel, from, tip, draw(1.0, 10.0));
        blade = unless_through(blade, before);
    }
    let below = if draw(0.0, 1.0) < 0.5 { None } else { Some(draw(0.2, 0.4) * wide) };
    let fuller = Fuller { across: 0.15 * wide, deep: draw(0.02, 0.1) * thick, below, sides: Sides::Both };
    let before = blade.clone();
    blade.fuller(&fuller, [0.1 * tip, draw(0.3, 0.8) * tip], [5.0, 10.0]);
    unless_through(blade, before)
}

/// A blade that was ground, or what it was before where that goes through it: such a step is refused.
fn unless_through(ground: Blade, before: Blade) -> Blade {
    let through = ground.stations.iter().flat_map(|s| &s.knots).any(|k| k.thick() < 0.0);
    if through { before } else { ground }
}

#[test]
fn areas_and_centres_agree_with_a_geometry_library() {
    let mut rng = rand_pcg::Pcg64Mcg::seed_from_u64(7);
    for _ in 0..200 {
        let blade = random_blade(&mut rng);
        assert!(blade.sound());
        close(blade.side_area(), polygon(&blade.side()).unsigned_area(), 1e-9);
        for _ in 0..5 {
            let section = blade.section(rng.random_range(0.05..0.9) * blade.tip());
            let outline = polygon(&section.outline());
            close(section.area(), outline.unsigned_area(), 1e-6);
            let middle = outline.centroid().unwrap();
            let [up, right] = section.centre();
            close(up, middle.x(), 1e-6);
            assert!((right - middle.y()).abs() < 1e-6, "{right} against {}", middle.y());
        }
        let [volume, moment] = summed(&blade);
        close(blade.volume(), volume, 1e-6);
        assert!((blade.balance() - moment / volume).abs() < 1e-6 * blade.tip());
    }
}

/// An even slab balances where its outline's middle is.
#[test]
fn a_slab_balances_at_the_middle_of_its_outline() {
    let mut rng = rand_pcg::Pcg64Mcg::seed_from_u64(11);
    for _ in 0..50 {
        let mut blade = Blade::of(&bar(4.0, 50.0, 300.0));
        let height = rng.random_range(20.0..50.0);
        let edge = Run(vec![(0.0, 0.0), (rng.random_range(50.0..200.0), 3.0), (300.0, height)]);
        let spine = Run(vec![(0.0, 50.0), (rng.random_range(50.0..200.0), 50.0), (300.0, height)]);
        blade.cut_out(&Outline { edge, spine });
        let middle = polygon(&blade.side()).centroid().unwrap().x();
        close(blade.balance(), middle, 1e-9);
        close(blade.volume(), 4.0 * polygon(&blade.side()).unsigned_area(), 1e-9);
    }
}

/// Slab, wedge, prism and frustum: solid geometry.
#[test]
fn simple_solids_have_their_closed_forms() {
    let slab = Blade::of(&bar(4.0, 50.0, 200.0));
    close(slab.volume(), 4.0 * 50.0 * 200.0, 1e-12);
    close(slab.balance(), 100.0, 1e-12);
    // A bevel to nothing over the whole width makes a wedge: half of the slab.
    let mut wedge = slab.clone();
    let bevel =
        Bevel { edge: 0.0, height: Height::Full, sides: Sides::Both, face: Face::Flat, both_edges: false };
    wedge.bevel(&bevel, 0.0, 200.0, 0.0);
    close(wedge.volume(), 4.0 * 50.0 * 200.0 / 2.0, 1e-12);
    let [up, _] = wedge.section(100.0).centre();
    close(up, 50.0 * 2.0 / 3.0, 1e-12);
    // A bevel of a height leaves a prism of that section: flat above, trapezoid below.
    let mut prism = slab.clone();
    prism.bevel(&Bevel { edge: 1.0, height: Height::Tall(30.0), ..bevel }, 0.0, 200.0, 0.0);
    close(prism.volume(), (4.0 * 20.0 + 30.0 * (1.0 + 4.0) / 2.0) * 200.0, 1e-12);
    // Thickness and width both falling: a frustum, h/3 (A + B + sqrt(A B)) where they fall alike.
    let mut frustum = slab;
    frustum.thin((0.0, 4.0), (200.0, 2.0));
    let edge = Run(vec![(0.0, 0.0), (200.0, 12.5)]);
    frustum.cut_out(&Outline { edge, spine: Run(vec![(0.0, 50.0), (200.0, 37.5)]) });
    let (a, b): (f64, f64) = (200.0, 50.0);
    close(frustum.volume(), 200.0 / 3.0 * (a + b + (a * b).sqrt()), 1e-12);
    // A full taper to nothing in both: a pyramid, balanced at a quarter of its height.
    let mut pyramid = Blade::of(&bar(4.0, 50.0, 200.0));
    pyramid.thin((0.0, 4.0), (200.0, 0.0));
    let edge = Run(vec![(0.0, 0.0), (200.0, 25.0)]);
    pyramid.cut_out(&Outline { edge, spine: Run(vec![(0.0, 50.0), (200.0, 25.0)]) });
    close(pyramid.volume(), 4.0 * 50.0 * 200.0 / 3.0, 1e-12);
    close(pyramid.balance(), 50.0, 1e-12);
}

/// The core line of a straight bevel, `y = (c +- 2d - e) H / (T - e)` (plane geometry).
#[test]
fn the_core_line_stands_where_geometry_says() {
    let mut rng = rand_pcg::Pcg64Mcg::seed_from_u64(3);
    for _ in 0..200 {
        let thick = rng.random_range(2.5..6.0);
        let core = thick * rng.random_range(0.2..0.5);
        let edge = core * rng.random_range(0.05..0.6);
        let tall = rng.random_range(20.0..49.0);
        // The core stays in the edge on both sides.
        let off = rng.random_range(-0.5..0.5) * (core - edge);
        let mut makeup = Makeup::default();
        let jacket = makeup.solid(SteelId(0), 0.00785);
        let middle = makeup.solid(SteelId(1), 0.00781);
        let (outer, inner) = ((1.0 - core / thick) / 2.0, core / thick);
        let side = part(jacket, 0, outer, outer * thick);
        let parts = [side, part(middle, 1, inner, inner * thick), side];
        let node = makeup.pile(Axis::Thickness, &parts).unwrap();
        let mut blade = Blade::of(&bar(thick, 50.0, 200.0));
        blade.off = off / thick;
        let bevel = Bevel {
            edge,
            height: Height::Tall(tall),
            sides: Sides::Both,
            face: Face::Flat,
            both_edges: false,
        };
        blade.bevel(&bevel, 0.0, 200.0, 0.0);
        let met = Met { makeup: &makeup, node, part: PartName(1) };
        let station = blade.section(rng.random_range(1.0..199.0));
        let line = |d: f64| (core + 2.0 * d - edge) * tall / (thick - edge);
        let shows = [Side::Left, Side::Right].map(|side| met.shows(&blade, &station, side));
        assert!((shows[0] - line(-off)).abs() < 1e-6, "{shows:?}, {} expected left", line(-off));
        assert!((shows[1] - line(off)).abs() < 1e-6, "{shows:?}, {} expected right", line(off));
    }
}

/// 2^64 layers that all have the same seam are a hundred-odd nodes: a bar cut back behind it is known to be of one piece
/// in as many looks.
#[test]
fn a_seam_is_looked_for_once_in_what_is_shared() {
    let mut makeup = Makeup::default();
    let (heel, tip) = (makeup.solid(SteelId(0), 0.00785), makeup.solid(SteelId(1), 0.00781));
    let mut node = makeup.pile(Axis::Length, &[part(heel, 0, 0.6, 60.0), part(tip, 1, 0.4, 40.0)]).unwrap();
    for _ in 0..63 {
        node = makeup.pile(Axis::Thickness, &[part(node, 0, 0.5, 5.0), part(node, 0, 0.5, 5.0)]).unwrap();
    }
    for (to, varies) in [(1.0, true), (0.59, false), (0.61, true)] {
        let cut = makeup.cut(node, [(0.0, 1.0), (0.0, 1.0), (0.0, to)], [10.0, 40.0, 100.0]);
        assert_eq!(makeup.varies(cut, Axis::Length), varies, "{to}");
    }
}

/// The page's own figures, in inches (`trade.md`, 10, worked from that formula).
#[test]
fn the_core_lines_of_the_reference_come_out() {
    let line = |off: f64, side: f64| {
        let recipe = format!(
            "stock jacket = 2 bars of 15N20, 1/16 in x 2 in x 8 in\nstock core = 1 bar of 1095, 1/16 in x 2 in x 8 in\n\
             shop {{\n scale none\n}}\nstack b = jacket, core, jacket\nweld b at 1150 C, to 3/16 in thick, heats 1\n\
             bevel b edge .020 in, height 1.5 in, ground, core off {off} in\n"
        );
        let worked = work(&recipe);
        let makeup = &worked.build.bench.makeup;
        let core = worked.plan.ground.parts.iter().position(|p| p == "core").unwrap();
        let met = Met { makeup, node: worked.bar().node, part: PartName(u32::try_from(core).unwrap()) };
        let blade = worked.shape();
        let station = blade.section(100.0);
        met.shows(&blade, &station, if side < 0.0 { Side::Left } else { Side::Right }) / 25.4
    };
    for (off, up, down) in [(0.0, 0.38, 0.38), (0.005, 0.47, 0.29), (0.010, 0.56, 0.20), (0.015, 0.65, 0.11)]
    {
        assert!((line(off, 1.0) - up).abs() < 0.006, "{off}: {}", line(off, 1.0));
        assert!((line(off, -1.0) - down).abs() < 0.006, "{off}: {}", line(off, -1.0));
    }
    // From .021 in off the core leaves one side of the edge altogether.
    assert!(line(0.0215, -1.0) <= 0.0);
}

/// A forged bevel keeps the section's area but for the stated elongation; a ground one keeps the width.
#[test]
fn a_forged_bevel_grows_wider_and_a_ground_one_does_not() {
    let head = "shop {\n scale none\n}\nstock b = 1 bar of 1084, 5 x 40 x 200 mm\n";
    let ground = work(&format!("{head}bevel b edge 1 mm, height 25 mm, ground\n"));
    assert_eq!(ground.piece("b")["width_mm"].as_f64().unwrap(), 40.0);
    assert_eq!(ground.piece("b")["length_mm"].as_f64().unwrap(), 200.0);
    let forged = work(&format!("{head}bevel b edge 1 mm, height 25 mm, forged, elongation 4 %\n"));
    let (w, l) =
        (forged.piece("b")["width_mm"].as_f64().unwrap(), forged.piece("b")["length_mm"].as_f64().unwrap());
    close(l, 208.0, 1e-9);
    // Area: T (w - H) + (T + e)/2 H = T w0 / 1.04, so w = w0/1.04 + (T - e) H / (2 T) (plane geometry).
    close(w, 40.0 / 1.04 + 4.0 * 25.0 / 10.0, 1e-9);
    close(forged.piece("b")["volume_mm3"].as_f64().unwrap(), 5.0 * 40.0 * 200.0, 1e-9);
    close(area_at(&forged.shape(), 100.0), 200.0 / 1.04, 1e-9);
    let book = heatbook::study::why(&forged.build, forged.build.standing[0], heatbook::piece::Measure::Width)
        .unwrap();
    close(book.by_cause()[&heatbook::piece::Cause::Spread], w - 40.0, 1e-9);
}

/// What is told of one place adds up to what it has, step by step: half-way along a taper from 6 to 3 mm half of the 3 mm is
/// ground off, and at its tip all of it.
#[test]
fn the_story_of_a_place_adds_up() {
    let worked = check(
        "shop {\n scale none\n}\nstock b = 1 bar of 1084, 6 x 30 x 200 mm\n\
         taper b from heel to tip, to 3 mm thick, ground\ngrind b faces 0.5 mm\n",
    );
    assert!(worked.faults().is_empty(), "{:?}", worked.faults());
    for (x, off) in [(0.0, 0.0), (100.0, 1.5), (200.0, 3.0)] {
        let what = heatbook::piece::Measure::Thickness;
        let story = heatbook::study::why_at(&worked.plan, &worked.build, worked.build.standing[0], what, x);
        let story = story.unwrap();
        close(story.from, 6.0, 1e-9);
        close(story.to, 6.0 - off - 1.0, 1e-9);
        let by_step: Vec<(usize, f64)> = story.by_step().into_iter().collect();
        let hand: Vec<(usize, f64)> = [(1, -off), (2, -1.0)].into_iter().filter(|s| s.1 != 0.0).collect();
        assert_eq!(by_step.len(), hand.len(), "{by_step:?}");
        for (told, hand) in by_step.iter().zip(hand) {
            assert_eq!(told.0, hand.0);
            close(told.1, hand.1, 1e-9);
        }
    }
}

/// A forged taper keeps its volume: with the width held, `L' = L 2 T / (T + t)` (solid geometry: the mean thickness).
#[test]
fn a_forged_taper_lengthens() {
    let head = "shop {\n scale none\n}\nstock b = 1 bar of 1084, 6 x 30 x 200 mm\n";
    let tapered = work(&format!("{head}taper b from heel to tip, to 3 mm thick, 30 mm wide, forged\n"));
    close(tapered.piece("b")["length_mm"].as_f64().unwrap(), 200.0 * 2.0 * 6.0 / 9.0, 1e-9);
    let ground = work(&format!("{head}taper b from heel to tip, to 3 mm thick, ground\n"));
    assert_eq!(ground.piece("b")["length_mm"].as_f64().unwrap(), 200.0);
    close(ground.piece("b")["volume_mm3"].as_f64().unwrap(), 30.0 * 200.0 * 4.5, 1e-12);
}

/// Two like sheets on each other: the middle plane parts them, whatever is ground off both faces alike.
#[test]
fn a_part_is_weighed_in_a_bar_and_in_a_blade() {
    let made = |line: &str, half: f64| {
        let grams = half * 0.00785;
        work(&format!(
            "shop {{\n scale none\n}}\nstock dark = 1 bar of 1084, 2 x 40 x 200 mm\nstock bright = 1 bar of 15N20, 2 x 40 x 200 mm\n\
             stack p = dark, bright\nweld p at 1120 C, thinning 10 %, heats 1\n{line}target p {{\n volume of dark = {half} mm3 +- 0.01 mm3\n \
             mass of dark = {grams} g +- 0.001 g\n length of dark >= 200 mm\n share of dark = 50 % +- 0.001 %\n \
             thickness <= 3.601 mm\n bands = 2\n}}\n"
        ))
    };
    assert_eq!(made("", 16_000.0).faults(), [""; 0]);
    assert_eq!(made("", 16_100.0).faults(), ["target_missed"; 2]);
    let ground = "bevel p edge 1 mm, height 20 mm, ground\n";
    let whole = made(ground, 1.0).piece("p")["volume_mm3"].as_f64().unwrap();
    assert!(whole < 30_000.0);
    assert_eq!(made(ground, whole / 2.0).faults(), [""; 0]);
    assert_eq!(made(ground, whole / 2.0 + 1.0).faults(), ["target_missed"; 2]);
}
