//! Hollow and convex grinds, fullers, smooth outlines and two edges, against plane and solid geometry and another library's curves.

use crate::common::{check, close, figures, work};
use heatbook::piece::blade::{Bevel, Blade, Face, Fuller, Height, Knot, Outline, Run, Sides, smooth};
use heatbook::piece::{Bar, Makeup, Section, SteelId};

/// Places with the heights there.
type Points = Vec<(f64, f64)>;

fn slab(thick: f64, wide: f64, long: f64) -> Blade {
    let node = Makeup::default().solid(SteelId(0), 0.00785);
    Blade::of(&Bar::plain([thick, wide, long], Section::Flat, node))
}

/// Area between a circle's arc and its chord (plane geometry).
fn segment(r: f64, chord: f64) -> f64 {
    let angle = 2.0 * (chord / (2.0 * r)).asin();
    r * r / 2.0 * (angle - angle.sin())
}

/// The same where twelve even straight pieces stand in the place of the arc.
fn in_flats(r: f64, chord: f64) -> f64 {
    let angle = 2.0 * (chord / (2.0 * r)).asin();
    let flats = r * r / 2.0 * (12.0 * (angle / 12.0).sin() - angle.sin());
    // What flats leave out of a circle's segment is a 144th of it, to second order.
    assert!((flats / segment(r, chord) - 1.0 + 1.0 / 144.0).abs() < 1e-3);
    flats
}

/// How far points lie from a circle's middle: the middle lies `r` from both ends of the chord, on the side that `out` tells.
fn radii(points: &[(f64, f64)], r: f64, out: f64) -> Vec<f64> {
    let (a, b) = (points[0], points[points.len() - 1]);
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let chord = dx.hypot(dy);
    let up = out * (r * r - chord * chord / 4.0).sqrt();
    let middle = ((a.0 + b.0) / 2.0 - dy / chord * up, (a.1 + b.1) / 2.0 + dx / chord * up);
    points.iter().map(|p| (p.0 - middle.0).hypot(p.1 - middle.1)).collect()
}

const FLAT: Bevel =
    Bevel { edge: 0.6, height: Height::Tall(24.0), sides: Sides::Both, face: Face::Flat, both_edges: false };

#[test]
fn a_hollow_is_the_wheels_arc_and_takes_a_circles_segment() {
    for (wheel, tall) in [(250.0, 24.0), (150.0, 15.0), (900.0, 30.0)] {
        let bevel = Bevel { height: Height::Tall(tall), ..FLAT };
        let (mut flat, mut hollow) = (slab(5.0, 40.0, 200.0), slab(5.0, 40.0, 200.0));
        flat.bevel(&bevel, 0.0, 200.0, 0.0);
        hollow.bevel(&Bevel { face: Face::Hollow(wheel), ..bevel }, 0.0, 200.0, 0.0);
        let section = hollow.section(77.0);
        let face = |of: fn(&Knot) -> f64| -> Vec<(f64, f64)> {
            section.knots.iter().filter(|k| k.y <= tall + 1e-9).map(|k| (k.y, of(k))).collect()
        };
        for points in [face(|k| k.left), face(|k| k.right)] {
            assert_eq!(points.len(), 13);
            radii(&points, wheel / 2.0, 1.0).into_iter().for_each(|r| close(r, wheel / 2.0, 1e-9));
        }
        // Two segments less than a flat bevel.
        let chord = tall.hypot(2.5 - 0.3);
        close((flat.volume() - hollow.volume()) / 200.0, 2.0 * in_flats(wheel / 2.0, chord), 1e-9);
    }
}

#[test]
fn a_convex_face_stands_out_by_its_sagitta() {
    let (mut flat, mut convex) = (slab(5.0, 40.0, 200.0), slab(5.0, 40.0, 200.0));
    let bevel = Bevel { height: Height::Full, ..FLAT };
    flat.bevel(&bevel, 0.0, 200.0, 0.0);
    convex.bevel(&Bevel { face: Face::Convex(0.3), ..bevel }, 0.0, 200.0, 0.0);
    let chord = 40f64.hypot(2.2);
    // The radius of an arc by chord and sagitta: (c^2/4 + s^2)/2s.
    let r = (chord * chord / 4.0 + 0.09) / 0.6;
    let points: Vec<(f64, f64)> = convex.section(50.0).knots.iter().map(|k| (k.y, k.right)).collect();
    radii(&points, r, -1.0).into_iter().for_each(|found| close(found, r, 1e-9));
    close((convex.volume() - flat.volume()) / 200.0, 2.0 * in_flats(r, chord), 1e-9);
}

/// What is told of too small a wheel is tried: the next smaller one still does what is warned of.
#[test]
fn the_wheel_that_is_offered_is_the_least_that_works() {
    let recipe = |thick: f64, edge: f64, tall: f64, wheel: f64| {
        format!(
            "stock b = 1 bar of 1084, {thick} x 40 x 200 mm\nbevel b edge {edge} mm, height {tall} mm, hollow on {wheel} mm wheel, ground\n"
        )
    };
    for (thick, edge, tall, wheel, code) in
        [(4.0, 1.0, 25.0, 200.0, "thin_behind_edge"), (3.0, 0.6, 30.0, 150.0, "hollow_through")]
    {
        let told = check(&recipe(thick, edge, tall, wheel));
        let all = told.build.faults.iter().chain(&told.build.ledger.warnings);
        let found = all.clone().find(|f| f.code.name() == code).unwrap();
        let help = found.help.as_deref().unwrap();
        let offered: f64 = help.split(' ').find_map(|word| word.parse().ok()).unwrap();
        let says = |wheel: f64| {
            let told = check(&recipe(thick, edge, tall, wheel));
            told.build.faults.iter().chain(&told.build.ledger.warnings).any(|f| f.code.name() == code)
        };
        assert!(!says(offered) && says(offered * 0.95), "{help}");
    }
    // By hand: the arc leaves the edge level where the wheel's slope there is the straight face's: tan(phi) = (T - e)/2H, and a chord's angle to its
    // arc is asin(c/D), so D = c / sin(phi).
    let chord = 25f64.hypot(1.5);
    let least = chord / (1.5 / chord);
    let thin = |wheel: f64| {
        let mut blade = slab(4.0, 40.0, 200.0);
        let bevel = Bevel { edge: 1.0, height: Height::Tall(25.0), face: Face::Hollow(wheel), ..FLAT };
        blade.bevel(&bevel, 0.0, 200.0, 0.0);
        blade.thinner_inside(0.0, 200.0).is_some()
    };
    assert!(thin(least * 0.9) && !thin(least), "{least}");
}

const GROOVE: Fuller = Fuller { across: 8.0, deep: 1.0, below: Some(12.0), sides: Sides::Both };

#[test]
fn a_ground_fuller_takes_its_segment_along_its_length() {
    let r: f64 = (16.0 + 1.0) / 2.0;
    for (sides, faces) in [(Sides::Both, 2.0), (Sides::Left, 1.0), (Sides::Right, 1.0)] {
        let mut blade = slab(6.0, 30.0, 300.0);
        blade.fuller(&Fuller { sides, ..GROOVE }, [20.0, 250.0], [10.0, 30.0]);
        // Over a run-out the depth grows evenly: half of what a whole one takes.
        let long = 230.0 - 20.0;
        close(6.0 * 30.0 * 300.0 - blade.volume(), faces * in_flats(r, 8.0) * long, 1e-9);
        let middle = blade.section(150.0).at(18.0);
        close(middle.thick(), 6.0 - faces, 1e-12);
        close(blade.section(150.0).at(14.0).thick(), 6.0, 1e-12);
        close(blade.section(25.0).at(18.0).thick(), 6.0 - faces / 2.0, 1e-12);
        assert_eq!(blade.section(260.0).at(18.0).thick(), 6.0);
    }
}

/// Along a blade that gets narrower a fuller keeps its depth and its distance from the spine between the stations too.
#[test]
fn a_fuller_follows_the_spine() {
    let worked = check(
        "stock b = 1 bar of 1084, 6 x 40 x 500 mm\nprofile b edge 0 mm at heel then 18 mm at tip, spine 40 mm at heel then 38 mm at tip\n\
         fuller b from heel to 60 mm from tip, 7 mm across, 1 mm deep, 8 mm below spine, plunge 10 mm, ground\n",
    );
    assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
    let blade = worked.shape();
    for i in 1..400 {
        let section = blade.section(f64::from(i));
        let web = section.at(section.spine().y - 8.0).thick();
        // Half-way between two stations a parabola's floor lies 1/256 of its depth higher, and beside a bend of the flats 1/144.
        assert!((4.0 - 1e-9..4.0 + 2.0 / 256.0 + 2.0 / 144.0).contains(&web), "{web} at {i}");
    }
}

#[test]
fn a_forged_fuller_keeps_all_steel_and_makes_the_blade_wider() {
    let head = "shop {\n scale none\n}\nstock b = 1 bar of 1084, 6 x 30 x 300 mm\n";
    let worked = work(&format!(
        "{head}fuller b from 20 mm to 280 mm, 8 mm across, 1 mm deep, 15 mm below spine, forged, elongation 0 %\n"
    ));
    let blade = worked.shape();
    close(blade.volume(), 6.0 * 30.0 * 300.0, 1e-9);
    // Where it runs out, sections between two stations keep the volume, and the length gives way by a hair.
    assert!((blade.tip() - 300.0).abs() < 0.05, "{}", blade.tip());
    // Both segments' area goes into width, at the full thickness that stands beside them.
    let r = 8.5;
    let section = blade.section(150.0);
    close(section.width() - 30.0, 2.0 * in_flats(r, 8.0) / 6.0, 1e-6);
    close(section.area(), 180.0, 1e-9);
    let middle = section.spine().y - 15.0;
    close(section.at(middle).thick(), 4.0, 1e-9);
    close(section.at(middle).full, 4.0, 1e-9);
    // Stated, the stretch grows so much longer; less where it runs out, which no forged step tells finer than in sixteenths of its stretch.
    let longer = work(&format!(
        "{head}fuller b from 20 mm to 280 mm, 8 mm across, 1 mm deep, 15 mm below spine, forged, elongation 4 %, plunge 1 mm\n"
    ));
    let grown = longer.shape().tip() - 300.0;
    let all = 0.04 * 260.0;
    assert!((all * (1.0 - 2.0 / 16.0)..all).contains(&grown), "{grown}");
    close(longer.shape().volume(), 6.0 * 30.0 * 300.0, 1e-9);
}

/// `tests/oracle/smooth.csv`: the curves of another library through the same points.
#[test]
fn smooth_lines_are_another_librarys() {
    let mut sets: std::collections::BTreeMap<u32, (Points, Points)> = Default::default();
    for (_, [set, given, x, y]) in figures::<4>(include_str!("../oracle/smooth.csv"), 2) {
        let (points, curve) = sets.entry(set as u32).or_default();
        if given == 1.0 { points.push((x, y)) } else { curve.push((x, y)) }
    }
    let mut held = 0;
    for (points, curve) in sets.values() {
        let made = smooth(points);
        assert!(
            points.iter().all(|p| made.iter().any(|m| (m.0 - p.0).abs() < 1e-9 && (m.1 - p.1).abs() < 1e-9))
        );
        for (x, y) in curve {
            let at = made.partition_point(|p| p.0 < *x).clamp(1, made.len() - 1);
            let (a, b) = (made[at - 1], made[at]);
            let told = a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0);
            assert!((told - y).abs() <= 0.05 + 1e-9, "{told} at {x}, the library {y}");
            // The points themselves lie on the curve: those of the library that fall on one agree in full.
            if let Some(same) = made.iter().find(|m| (m.0 - x).abs() < 1e-9) {
                assert!((same.1 - y).abs() < 1e-6, "{} at {x}, the library {y}", same.1);
            }
            held += 1;
        }
        // Nowhere beyond the points on both sides (Fritsch & Carlson).
        for pair in points.windows(2) {
            let [low, high] = [pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1)];
            let inside = made.iter().filter(|m| m.0 >= pair[0].0 && m.0 <= pair[1].0);
            assert!(inside.into_iter().all(|m| m.1 >= low - 1e-9 && m.1 <= high + 1e-9));
        }
    }
    assert!(sets.len() >= 20 && held > 600, "{} {held}", sets.len());
}

#[test]
fn an_outline_by_widths_lies_about_the_middle() {
    let worked = check(
        "stock b = 1 bar of 1084, 5 x 40 x 300 mm\nprofile b to 280 mm long, outline through 30 mm at heel then 24 mm at 90 mm then 36 mm at 180 mm then 0 mm at tip\n",
    );
    assert!(worked.build.faults.is_empty(), "{:?}", worked.build.faults);
    let blade = worked.shape();
    for (x, wide) in [(0.0, 30.0), (90.0, 24.0), (180.0, 36.0), (280.0, 0.0)] {
        let section = blade.section(x);
        assert!((section.width() - wide).abs() < 1e-9, "{} at {x}", section.width());
        close(f64::midpoint(section.edge().y, section.spine().y), 20.0, 1e-9);
    }
    close(blade.tip(), 280.0, 1e-9);
}

/// A saw along a slanting line takes nothing off the faces of what it leaves (by the word): hollow and fuller keep their heights while the width changes.
#[test]
fn an_outline_leaves_the_faces_where_they_are() {
    let mut blade = slab(5.0, 40.0, 700.0);
    let bevel = Bevel { height: Height::Tall(11.0), edge: 1.0, face: Face::Hollow(680.0), ..FLAT };
    blade.bevel(&bevel, 0.0, 700.0, 0.0);
    blade.fuller(
        &Fuller { across: 8.0, deep: 0.5, below: Some(12.0), sides: Sides::Both },
        [60.0, 500.0],
        [10.0; 2],
    );
    let edge = Run(vec![(0.0, 3.0), (170.0, 6.0), (700.0, 20.0)]);
    let spine = Run(vec![(0.0, 37.0), (170.0, 34.0), (700.0, 20.0)]);
    let mut cut = blade.clone();
    assert_eq!(cut.cut_out(&Outline { edge, spine }), None);
    for i in 0..1400 {
        let x = f64::from(i) / 2.0;
        let (whole, left) = (blade.section(x), cut.section(x));
        for j in 0..=60 {
            let y = left.edge().y + left.width() * f64::from(j) / 60.0;
            let off = (whole.at(y).left - left.at(y).left).abs();
            assert!(off < 0.006, "{off} mm at {x}, {y}");
        }
    }
}

/// A diamond's and a hexagon's section, and a four-sided point (plane and solid geometry).
#[test]
fn two_edges_make_diamonds() {
    let mut diamond = slab(6.0, 30.0, 200.0);
    let bevel = Bevel { edge: 0.0, height: Height::Full, both_edges: true, ..FLAT };
    diamond.bevel(&bevel, 0.0, 200.0, 0.0);
    close(diamond.volume(), 6.0 * 30.0 / 2.0 * 200.0, 1e-12);
    let section = diamond.section(50.0);
    let [up, right] = section.centre();
    close(up, 15.0, 1e-12);
    assert!(right.abs() < 1e-12);
    close(section.thickest().y, 15.0, 1e-12);
    close(section.thickest().thick(), 6.0, 1e-12);
    let mut hexagon = slab(6.0, 30.0, 200.0);
    hexagon.bevel(&Bevel { edge: 1.0, height: Height::Tall(10.0), ..bevel }, 0.0, 200.0, 0.0);
    close(hexagon.volume(), (10.0 * 6.0 + 2.0 * 10.0 * 3.5) * 200.0, 1e-12);
    // What is ground off both bevels runs both up into the flat: by depth over slope.
    let mut ground = hexagon.clone();
    ground.skin_bevels(0.25);
    let section = ground.section(50.0);
    close(section.thickness(), 6.0, 1e-12);
    close(section.edge().thick(), 0.5, 1e-12);
    close(section.spine().thick(), 0.5, 1e-12);
    let run = 10.0 + 0.5 / 0.5;
    close(section.area(), (30.0 - 2.0 * run) * 6.0 + 2.0 * run * (0.5 + 6.0) / 2.0, 1e-12);
    // A diamond whose bevels are ground loses so much all over.
    let mut less = diamond.clone();
    less.skin_bevels(0.25);
    close(less.section(50.0).thickest().thick(), 5.5, 1e-12);
    // Ground right through, both edges stand back alike: by depth over slope.
    let width = 30.0 - 2.0 * 0.25 / (3.0 / 15.0);
    close(less.section(50.0).width(), width, 1e-12);
}

#[test]
fn both_edges_are_asked_for_and_forged() {
    let head = "shop {\n scale none\n}\nstock b = 1 bar of 1084, 6 x 30 x 200 mm\n";
    let worked = check(&format!(
        "{head}bevel b edge 0.8 mm, height full, both edges, ground\ntarget b {{\n edge = 0.8 mm +- 0.001 mm\n spine = 6 mm +- 0.001 mm\n\
         thickness 5 mm behind edge = 2.533 mm +- 0.001 mm\n}}\n"
    ));
    assert_eq!(worked.faults(), [""; 0]);
    // One edge thinner than the other: the target sees the worse.
    let uneven = check(&format!(
        "{head}bevel b edge 0.8 mm, height 15 mm, both edges, ground\nbevel b edge 0.5 mm, height 15 mm, ground\ntarget b {{\n edge = 0.8 mm +- 0.001 mm\n}}\n"
    ));
    assert_eq!(uneven.faults(), ["target_missed"]);
    let forged =
        work(&format!("{head}bevel b edge 1 mm, height 10 mm, both edges, forged, elongation 0 %\n")).shape();
    close(forged.volume(), 6.0 * 30.0 * 200.0, 1e-9);
    // As one bevel, on either side: w = w0 + 2 (T - e) H / 2T (plane geometry).
    close(forged.section(100.0).width(), 30.0 + 2.0 * 5.0 * 10.0 / 12.0, 1e-9);
    let [up, _] = forged.section(100.0).centre();
    close(up, 15.0, 1e-9);
}

/// However often such bevels are ground, their sections keep the bends that they have.
#[test]
fn grinding_without_end_adds_no_bends() {
    for more in ["hollow on 400 mm wheel", "convex 0.2 mm", "both edges"] {
        let recipe = |times: u32| {
            format!(
                "stock b = 1 bar of 1084, 6 x 40 x 200 mm\nbevel b edge 2 mm, height 15 mm, {more}, ground\nrepeat {times} {{\n  grind b bevels 0.0001 mm\n}}\n"
            )
        };
        let knots =
            |times| check(&recipe(times)).shape().stations.iter().map(|s| s.knots.len()).max().unwrap();
        assert!(knots(200) <= knots(1) + 1, "{more}: {} and {}", knots(200), knots(1));
    }
}
