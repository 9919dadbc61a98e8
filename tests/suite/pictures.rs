//! The field and its pictures, held against particles that are carried forward, plain counts, and the makeup's own shares.

use std::f64::consts::{FRAC_PI_4, PI};

use heatbook::piece::field::Field;
use heatbook::piece::relief::{Face, Layout, Profile};
use heatbook::piece::shades::Shades;
use heatbook::piece::{Relief, SteelId, warp};
use heatbook::study::{Picture, Side, Sight, View, last_lot, take};
use serde_json::Value;

use crate::common::{Worked, check, told};

const STACK: &str = "shop {
  scale 0 mm per heat
}
stock dark = 8 bars of 1084, 3 x 26 x 200 mm
stock bright = 7 bars of 15N20, 1.5 x 26 x 200 mm
stack rod = alternate dark, bright
weld rod at 1230 C, thinning 15 %, heats 3
draw rod to 16 mm square, heats 8
";
const TWIST: &str =
    "draw rod to 16 mm octagon, heats 3\ntwist rod 4 turns per 100 mm, right, grips 30 mm, heats 3\n";

fn seen(work: &Worked, piece: &str, view: View, dot: f64, cores: usize) -> Picture {
    let lot = last_lot(&work.plan, &work.build, piece).unwrap();
    let makeup = &work.build.bench.makeup;
    let bar = work.build.lot(lot).unwrap().bar;
    let sight = Sight::new(makeup, &bar, view).unwrap();
    let tone = |steel: SteelId| f64::from(steel.0);
    let field = Field::new(makeup, bar.node);
    take(&sight, &field, &Shades::plain(&field, tone), dot, cores).unwrap()
}

fn view(side: Side) -> View {
    View { side, under: 0.0, at: 50.0 }
}

/// Runs of one steel down a column of a picture.
fn runs(picture: &Picture, x: usize) -> usize {
    let [wide, tall] = picture.dots;
    let column: Vec<_> = (0..tall).map(|y| picture.steels[y * wide + x]).collect();
    1 + column.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

#[test]
fn an_end_shows_each_layer_and_a_face_the_outermost() {
    let work = check(STACK);
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    let end = seen(&work, "rod", view(Side::End), 0.05, 1);
    assert_eq!((runs(&end, 0), runs(&end, 160)), (15, 15));
    for side in [Side::Top, Side::Bottom] {
        assert!(seen(&work, "rod", view(side), 1.0, 1).steels.iter().all(|s| *s == Some(SteelId(0))));
    }
    // A cut under the face, just behind the first layer's end: 1.5 of 34.5 parts of bright lie under 3 of dark.
    let under = |share: f64| View { under: 16.0 * share, ..view(Side::Top) };
    assert_eq!(seen(&work, "rod", under(3.05 / 34.5), 1.0, 1).steels[0], Some(SteelId(1)));
    assert_eq!(seen(&work, "rod", under(2.95 / 34.5), 1.0, 1).steels[0], Some(SteelId(0)));
    // Beside the piece there is nothing: the last dot's middle lies outside.
    let coarse = seen(&work, "rod", view(Side::End), 11.0, 1);
    assert_eq!((coarse.dots, coarse.steels[1], coarse.steels[0].is_some()), ([2, 2], None, true));
}

/// Points that fill the box evenly: multiples of the powers of the root of `x^4 = x + 1`, less their whole numbers.
fn spread(i: u32) -> [f64; 3] {
    let root: f64 = 1.220_744_084_605_759_5;
    [1, 2, 3].map(|power| (f64::from(i) * root.powi(-power)).fract())
}

#[test]
fn shares_of_the_field_are_those_of_the_makeup_before_a_twist_and_behind_it() {
    let grooved = "groove rod every 20 mm, 12 mm across, 4 mm deep, both faces, staggered\n";
    let drilled = "drill rod 8 mm holes, 3 mm deep, every 9 mm\npress rod flat, heats 2\n";
    let rods = "press rod with rods 10 mm, every 14 mm, 3 mm deep, both faces, staggered\ngrind rod to 11 mm thick\n";
    for steps in [
        STACK.to_owned(),
        format!("{STACK}{TWIST}"),
        format!("{STACK}{grooved}press rod flat, heats 2\n"),
        format!("{STACK}{drilled}"),
        format!("{STACK}press rod with rods 10 mm, every 14 mm, 3 mm deep\npress rod flat, heats 2\n"),
        format!(
            "{STACK}{rods}groove rod every 20 mm, 6 mm across, 2 mm deep, vee, slant 30 deg\npress rod flat\n"
        ),
        format!(
            "{STACK}split rod, drag 3 mm, reach 3 mm\nweld rod at 1200 C, thinning 10 %, heats 3\ntip rod\n"
        ),
        format!("{STACK}turn rod\ndraw rod to 14 mm thick, bow 3 mm, heats 2\n"),
        format!(
            "{STACK}split rod\nweld rod\ntile rod in 8 mm slices, mirrored\nweld rod\ngrind rod faces 1 mm\n"
        ),
        format!("{STACK}open rod every 9 mm\nsplit rod, drag 2 mm, reach 2 mm\nweld rod\n"),
    ] {
        let work = check(&steps);
        assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
        let lot = last_lot(&work.plan, &work.build, "rod").unwrap();
        let bar = work.build.lot(lot).unwrap().bar;
        let (makeup, n) = (&work.build.bench.makeup, 100_000);
        let field = Field::new(makeup, bar.node);
        let bright = (0..n).filter(|i| field.steel(spread(*i)) == SteelId(1)).count();
        let share = makeup.share_of_steel(bar.node, SteelId(1));
        let of_field = bright as f64 / f64::from(n);
        assert!((of_field - share).abs() < 1e-3, "{steps}: {of_field} {share}");
    }
}

#[test]
fn a_twist_winds_to_the_right_by_half_its_pitch_a_line_and_its_grips_stay() {
    let work = check(&format!("{STACK}{TWIST}"));
    let lot = last_lot(&work.plan, &work.build, "rod").unwrap();
    let long = work.build.lot(lot).unwrap().bar.long;
    let dot = 0.25;
    let top = seen(&work, "rod", view(Side::Top), dot, 2);
    let [wide, tall] = top.dots;
    let at = |x: f64, y: usize| top.steels[y * wide + (x / dot) as usize];
    // In the grip the outermost layer is dark all over; between the grips the pattern comes back each half pitch.
    assert!((0..100).all(|i| at(0.29 * f64::from(i), tall / 2) == Some(SteelId(0))));
    let pitch = 25.0;
    let (mut same, mut apart, mut all) = (0, 0, 0);
    for i in 0..400 {
        let x = 60.0 + f64::from(i) * 0.4;
        all += 1;
        same += usize::from(at(x, tall / 2) == at(x + pitch / 2.0, tall / 2));
        apart += usize::from(at(x, tall / 2) == at(x + pitch / 4.0, tall / 2));
    }
    assert!(same * 100 >= all * 95 && apart * 100 < all * 75, "{same} {apart} of {all}; {long} mm long");
    // A right-hand thread that lies along the page leans from the upper left to the lower right.
    let leans = |to: f64| {
        let pairs = (0..400).map(|i| 60.0 + f64::from(i) * 0.4);
        pairs.filter(|x| at(*x, tall / 2) == at(x + to, tall / 2 + tall / 4)).count()
    };
    assert!(leans(1.3) > leans(-1.3) + 40, "{} {}", leans(1.3), leans(-1.3));
}

/// The area inside a level curve of the twist over two pi, by its own formula: particles go along it at one speed.
fn action(x: f64, y: f64) -> f64 {
    let (near, far) = (x.abs().min(y.abs()), x.abs().max(y.abs()));
    let r = near.hypot(far);
    let e = r / far - 1.0;
    // rho of r = rho (1 + e rho^2), by halving.
    let (mut low, mut high) = (0.0, 1.5);
    for _ in 0..60 {
        let rho = (low + high) / 2.0;
        if rho * (1.0 + e * rho * rho) < r { low = rho } else { high = rho }
    }
    let (s, a) = (low * low, 1f64.asinh());
    let eighth =
        FRAC_PI_4 * s / 2.0 + (a - FRAC_PI_4) * s * s + (1.0 - 2.0 * a + FRAC_PI_4) * s * s * s / 2.0;
    8.0 * eighth / (2.0 * PI)
}

#[test]
fn particles_carried_along_the_level_curves_come_to_where_the_twist_says() {
    let h = 1e-5;
    let speed = |[x, y]: [f64; 2]| {
        let by_x = (action(x + h, y) - action(x - h, y)) / (2.0 * h);
        let by_y = (action(x, y + h) - action(x, y - h)) / (2.0 * h);
        [-by_y, by_x]
    };
    let twist = warp::Twist { turns: 0.4, grips: 0.0 };
    for (x0, y0) in [(0.2, 0.1), (-0.5, 0.3), (0.6, -0.7), (0.9, 0.15), (-0.35, -0.88), (0.05, 0.6)] {
        let (mut at, steps) = ([x0, y0], 4000);
        let angle = 2.0 * PI * 0.4 / f64::from(steps);
        for _ in 0..steps {
            let [a, b] = speed(at);
            let middle = speed([at[0] + a * angle / 2.0, at[1] + b * angle / 2.0]);
            at = [at[0] + middle[0] * angle, at[1] + middle[1] * angle];
        }
        let [thick, wide, _] = twist.onward([0.5 + 0.5 * y0, 0.5 + 0.5 * x0, 1.0]);
        let (x, y) = (2.0 * wide - 1.0, 2.0 * thick - 1.0);
        assert!((x - at[0]).hypot(y - at[1]) < 2e-3, "({x0}, {y0}): {at:?}, the map says {x} {y}");
    }
}

#[test]
fn a_picture_is_the_same_on_any_number_of_cores_and_looks_twice_only_at_lines() {
    let work = check(&format!("{STACK}{TWIST}grind rod to 7 mm thick\n"));
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    let [one, two] = [1, 2].map(|cores| seen(&work, "rod", view(Side::Top), 0.4, cores));
    assert_eq!((&one.steels, &one.tones), (&two.steels, &two.tones));
    // Under a dot lies a share of bright from none to all of it, and all that is told adds up to a share of the face.
    assert!(one.tones.iter().all(|(tone, cover)| (0.0..=1.0).contains(tone) && *cover > 0.0));
    assert!(one.tones.iter().any(|(tone, _)| *tone > 0.1 && *tone < 0.9));
    // A point is followed through the warps for each dot's middle, those on the border of a strip once more: corners and samples lie
    // between these. Only where the piece ends or bends much are corners followed too, and in the end each sample.
    let plain = check(STACK);
    let plain = seen(&plain, "rod", view(Side::Top), 0.4, 1);
    for (picture, most) in [(&plain, 1.5), (&two, 2.5)] {
        let dots = (picture.dots[0] * picture.dots[1]) as f64;
        let each = picture.asked as f64 / dots;
        assert!((1.0..most).contains(&each), "{each}");
    }
}

/// Samples under a dot lie between its corners: held against many points, each followed down all of its own way.
#[test]
fn the_tone_of_a_dot_is_the_mean_of_what_lies_under_it() {
    let drops = "drill rod 8 mm holes, 3 mm deep, every 9 mm, ball\npress rod flat, heats 2\ngrind rod faces 0.5 mm\n";
    for steps in [format!("{TWIST}grind rod to 7 mm thick\n"), drops.to_owned()] {
        let work = check(&format!("{STACK}{steps}"));
        assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
        let (dot, many) = (0.4, 8);
        let picture = seen(&work, "rod", view(Side::Top), dot, 2);
        let [wide, tall] = picture.dots;
        let lot = last_lot(&work.plan, &work.build, "rod").unwrap();
        let bar = work.build.lot(lot).unwrap().bar;
        let makeup = &work.build.bench.makeup;
        let (sight, field) =
            (Sight::new(makeup, &bar, view(Side::Top)).unwrap(), Field::new(makeup, bar.node));
        let (mut bias, mut off, mut all) = (0.0, 0.0, 0.0);
        for (x, y) in (100..130).flat_map(|x| (0..tall - 1).map(move |y| (x, y))) {
            let place = |at: usize, i: usize| (at as f64 + (i as f64 + 0.5) / many as f64) * dot;
            let points = (0..many).flat_map(|i| {
                let column = sight.column(place(x, i)).unwrap();
                (0..many).filter_map(move |j| column.point(place(y, j))).collect::<Vec<_>>()
            });
            let steels: Vec<f64> = points.map(|point| f64::from(field.steel(point).0)).collect();
            let mean = steels.iter().sum::<f64>() / steels.len() as f64;
            let tone = f64::from(picture.tones[y * wide + x].0);
            (bias, off, all) = (bias + tone - mean, off + (tone - mean).abs(), all + 1.0);
        }
        // 16 samples, each somewhere in its part of the dot, leave some hundredths where a line crosses, and no bias.
        assert!((bias / all).abs() < 3e-3 && off / all < 0.03, "{steps}: {} {}", bias / all, off / all);
    }
}

#[test]
fn the_command_writes_each_form_and_over_no_recipe() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let recipe = at("rod.heat");
    std::fs::write(&recipe, format!("{STACK}{TWIST}")).unwrap();
    let json = told(
        &["picture", &recipe, "rod", "--view", "across", "--at", "100 mm", "--px", "1", "--format", "json"],
        "",
    );
    let answer: Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(answer["schema"], "heatbook-picture-2");
    assert_eq!(answer["axes"], serde_json::json!(["+width", "-thickness"]));
    assert_eq!((answer["mm_per_px"].as_f64(), answer["steels"].as_array().unwrap().len()), (Some(1.0), 2));
    for (name, begins) in [("a.png", b"\x89PNG".as_slice()), ("a.svg", b"<svg"), ("a.json", b"{\n")] {
        // Twice: over what it drew itself.
        for _ in 0..2 {
            let said = told(&["picture", &recipe, "--out", &at(name)], "");
            assert_eq!(said.code, 0, "{name}: {}", said.err);
            assert!(std::fs::read(at(name)).unwrap().starts_with(begins), "{name}");
        }
    }
    let (bytes, text) = (std::fs::read(at("a.png")).unwrap(), std::fs::read_to_string(at("a.svg")).unwrap());
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut greys = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut greys).unwrap();
    assert!(
        info.width > 1200 && greys.iter().any(|g| *g < 70) && greys.iter().any(|g| (150..200).contains(g))
    );
    assert!(text.contains("geometry, ideal hand") && text.contains("data:image/png;base64,"));
    let over = told(&["picture", &recipe, "--out", &recipe, "--format", "png"], "");
    assert_eq!((over.code, over.err.contains("is no drawing")), (2, true), "{}", over.err);
    assert!(std::fs::read_to_string(&recipe).unwrap().starts_with("shop {"));
    // In a pipe, plain characters; with colours asked for, half blocks where the terminal has them is a matter of its variables.
    let plain = told(&["picture", &recipe, "--view", "end"], "");
    assert!(
        plain.out.starts_with("rod, end, ") && !plain.out.contains('\u{1b}') && plain.out.lines().count() > 3
    );
    for (wrong, part) in [
        (vec!["--under", "40 mm"], "is not in the piece"),
        (vec!["--view", "across", "--at", "9 m"], "is not on the piece"),
        (vec!["--px", "0"], "a dot has some size"),
        (vec!["--px", "0.001"], "too fine"),
        (vec!["--px", "2 kg"], "is no length"),
        (vec!["--out", "picture.txt"], "does not tell the form"),
        (vec!["--format", "csv"], "a picture is no table"),
    ] {
        let said = told(&[vec!["picture", recipe.as_str(), "rod"], wrong.clone()].concat(), "");
        assert_eq!((said.code, said.err.contains(part)), (2, true), "{wrong:?}: {}", said.err);
    }
    let none = told(&["picture", &recipe, "billet"], "");
    assert!(none.code == 2 && none.err.contains("its pieces: `rod`"), "{}", none.err);
    let other = told(&["check", &recipe, "--format", "png"], "");
    assert!(other.code == 2 && other.err.contains("only `picture` draws"), "{}", other.err);
}

/// A blade with its outline and one bevel.
fn profiled() -> Worked {
    let recipe = format!(
        "{STACK}draw rod to 6 mm thick, 26 mm wide, heats 4\ncut rod to 200 mm long\nprofile rod to 190 mm long, 25 mm wide, belly 60 mm, point 6 mm below spine\nbevel rod edge 0.5 mm, height 18 mm, ground\n"
    );
    let work = check(&recipe);
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    work
}

#[test]
fn a_blade_is_seen_in_its_outline_and_its_bevel_shows_what_lies_under_the_face() {
    let work = profiled();
    let lot = last_lot(&work.plan, &work.build, "rod").unwrap();
    let bar = work.build.lot(lot).unwrap().bar;
    let blade = work.build.bench.makeup.blade(&bar).unwrap();
    for side in [Side::Top, Side::Bottom] {
        let picture = seen(&work, "rod", view(side), 0.5, 2);
        let covered: f64 = picture.tones.iter().map(|(_, cover)| f64::from(*cover) * 0.25).sum();
        // The outline's area, in steps of a quarter dot.
        assert!((covered / blade.side_area() - 1.0).abs() < 0.01, "{covered} {}", blade.side_area());
        let bright = picture.steels.iter().filter(|s| **s == Some(SteelId(1))).count();
        assert!(bright > 200, "{bright}");
    }
    // A cut across it runs from edge to spine through all of the layers.
    let cut = seen(&work, "rod", view(Side::Across), 0.05, 1);
    let [wide, _] = cut.dots;
    assert_eq!((runs(&cut, 9 * wide / 10), runs(&cut, wide - 5)), (15, 15));
    assert!(Sight::new(&work.build.bench.makeup, &bar, view(Side::Edge)).is_err());
}

#[test]
fn a_whole_blade_is_seen_from_both_sides_with_its_outline_and_its_bevel_line() {
    let work = profiled();
    let dot = 0.25;
    let [both, top, bottom] =
        [Side::Blade, Side::Top, Side::Bottom].map(|side| seen(&work, "rod", view(side), dot, 2));
    let ([wide, tall], [_, one]) = (both.dots, top.dots);
    let lot = last_lot(&work.plan, &work.build, "rod").unwrap();
    let bar = work.build.lot(lot).unwrap().bar;
    let blade = work.build.bench.makeup.blade(&bar).unwrap();
    let high = blade.stations.iter().map(|s| s.spine().y).fold(f64::NEG_INFINITY, f64::max);
    let low = blade.stations.iter().map(|s| s.edge().y).fold(f64::INFINITY, f64::min);
    assert_eq!((wide, tall), (top.dots[0], ((high - low) * 2.125 / dot).ceil() as usize));
    assert_eq!(both.steels[..one * wide], top.steels[..]);
    // The lower half begins within a dot, and shows what the bottom does.
    let lower = &both.steels[(tall - one) * wide..];
    let alike = lower.iter().zip(&bottom.steels).filter(|(a, b)| a == b).count();
    assert!(alike * 100 > lower.len() * 90, "{alike} of {}", lower.len());
    let gap = (one + 2..tall - one - 1).flat_map(|y| &both.steels[y * wide..(y + 1) * wide]);
    assert!(gap.clone().count() > 8 * wide && gap.into_iter().all(Option::is_none));
    // Down the picture at 60 mm: spine, bevel line 18 mm above the edge, edge; then the same from the edge on.
    let x = (60.0 / dot) as usize;
    let section = blade.section(blade.start() + 60.0);
    let (edge, spine) = (section.edge().y, section.spine().y);
    let lines: Vec<f64> =
        (0..tall).filter(|y| both.lines[y * wide + x]).map(|y| (y as f64 + 0.5) * dot).collect();
    let below = (high - low) * 1.125 - low;
    let told =
        [high - spine, high - edge - 18.0, high - edge, below + edge, below + edge + 18.0, below + spine];
    assert_eq!(lines.len(), told.len(), "{lines:?} {told:?}");
    assert!(lines.iter().zip(told).all(|(a, b)| (a - b).abs() < 2.0 * dot), "{lines:?} {told:?}");
    // Others have no lines.
    assert!(!top.lines.contains(&true));
}

#[test]
fn a_strip_shows_the_steps_that_change_the_pattern_and_the_end() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let recipe = at("rod.heat");
    std::fs::write(
        &recipe,
        format!("{STACK}{TWIST}draw rod to 14 mm square, heats 3\ngrind rod to 8 mm thick\n"),
    )
    .unwrap();
    let strip: Value = serde_json::from_str(
        &told(&["picture", &recipe, "--steps", "--px", "0.4", "--format", "json"], "").out,
    )
    .unwrap();
    let words: Vec<&str> =
        strip["pictures"].as_array().unwrap().iter().map(|s| s["words"].as_str().unwrap()).collect();
    // Neither the weld nor what is drawn shows another face than before.
    assert_eq!(words.len(), 3, "{words:?}");
    assert!(words[0].starts_with("stack") && words[1].starts_with("twist") && words[2].starts_with("grind"));
    // All at one scale: the stack is 200 mm long.
    let row = |i: usize| strip["pictures"][i]["picture"]["grid"][0].as_array().unwrap().len();
    assert_eq!(row(0), 500);
    assert!(row(2) > row(1) && row(1) > row(0));
    // The last is the picture that is taken without a strip.
    let alone = told(&["picture", &recipe, "--px", "0.4", "--format", "json"], "").out;
    let alone: Value = serde_json::from_str(&alone).unwrap();
    assert_eq!(strip["pictures"][2]["picture"]["grid"], alone["grid"]);
    for name in ["a.png", "a.svg"] {
        let said = told(&["picture", &recipe, "--steps", "--out", &at(name)], "");
        assert_eq!(said.code, 0, "{}", said.err);
    }
    assert_eq!(std::fs::read_to_string(at("a.svg")).unwrap().matches("<image").count(), 3);
    assert!(told(&["picture", &recipe, "--steps"], "").out.contains(". grind rod"));
    std::fs::write(&recipe, "stock b = 1 bar of 1084, 10 x 40 x 200 mm\n").unwrap();
    let none = told(&["picture", &recipe, "--steps"], "");
    assert!(none.code == 2 && none.err.contains("it has no pattern"), "{}", none.err);
}

#[test]
fn a_strip_of_a_figure_shows_what_each_would_make() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let recipe = at("rod.heat");
    std::fs::write(&recipe, format!("{STACK}groove rod every 20 mm, 6 mm across, 2 mm deep\n")).unwrap();
    let vary =
        ["picture", &recipe, "--px", "0.5", "--format", "json", "--vary", "groove 1 deep = 1 mm .. 3 mm / 3"];
    let strip: Value = serde_json::from_str(&told(&vary, "").out).unwrap();
    let pictures = strip["pictures"].as_array().unwrap();
    let words: Vec<&str> = pictures.iter().map(|p| p["words"].as_str().unwrap()).collect();
    assert_eq!(words, ["groove 1 deep = 1 mm", "groove 1 deep = 2 mm", "groove 1 deep = 3 mm"]);
    // Each is the picture that the figure makes by itself, and the deepest cuts the most layers.
    for (picture, deep) in pictures.iter().zip(["1 mm", "2 mm", "3 mm"]) {
        let set = format!("groove 1 deep = {deep}");
        let alone = told(&["picture", &recipe, "--px", "0.5", "--format", "json", "--set", &set], "").out;
        let alone: Value = serde_json::from_str(&alone).unwrap();
        assert_eq!(picture["picture"]["grid"], alone["grid"], "{deep}");
    }
    assert_ne!(pictures[0]["picture"]["grid"], pictures[2]["picture"]["grid"]);
    // What cannot be worked is left out, and said.
    let gap = told(&["picture", &recipe, "--px", "1", "--vary", "groove 1 deep = 2 mm .. 40 mm / 2"], "");
    assert!(gap.code == 0 && gap.err.contains("`groove 1 deep = 40 mm` is left out: "), "{}", gap.err);
    let none = told(&["picture", &recipe, "--vary", "groove 1 deep = 39 mm .. 40 mm / 2"], "");
    assert!(none.code == 2 && none.err.contains("with none of these"), "{}", none.err);
    let many = told(&["picture", &recipe, "--vary", "groove 1 deep = 1 mm .. 2 mm / 90"], "");
    assert!(many.code == 2 && many.err.contains("up to 24 pictures"), "{}", many.err);
}

#[test]
fn two_recipes_are_shown_beside_each_other_at_one_scale() {
    let both = ["picture", "recipes/ladder.heat", "--beside", "recipes/twist.heat", "--px", "1"];
    let json = told(&[both.as_slice(), &["--format", "json"]].concat(), "").json();
    let pictures = json["pictures"].as_array().unwrap();
    let words: Vec<&str> = pictures.iter().map(|p| p["words"].as_str().unwrap()).collect();
    assert_eq!(words, ["ladder of recipes/ladder.heat", "twisted of recipes/twist.heat"]);
    for (picture, recipe) in pictures.iter().zip(["recipes/ladder.heat", "recipes/twist.heat"]) {
        let alone = told(&["picture", recipe, "--px", "1", "--format", "json"], "").json();
        assert_eq!(picture["picture"]["grid"], alone["grid"], "{recipe}");
    }
    // A piece of that name is taken where there is one; else the one that is left.
    let named = ["picture", "recipes/ladder.heat", "ladder", "--beside", "recipes/twist.heat", "--px", "2"];
    assert_eq!(told(&named, "").code, 0);
    let broken = told(&["picture", "recipes/ladder.heat", "--beside", "nowhere.heat"], "");
    assert_eq!(broken.code, 2, "{}", broken.all());
}

/// Runs of one steel along the first row of a picture.
fn runs_along(picture: &Picture) -> usize {
    let row = &picture.steels[..picture.dots[0]];
    1 + row.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

/// Reliefs of every kind on a bar 12 x 31 x 90 mm.
fn reliefs() -> Vec<Relief> {
    let grooves = |first: f64, slant: f64| Layout::Grooves { first, pitch: 14.0, many: 6, slant };
    let holes = |first: [f64; 2], by_turns: bool| Layout::Holes { first, pitch: 9.0, by_turns };
    let of = |top: Option<Face>, bottom: Option<Face>| Relief::new([12.0, 31.0, 90.0], top, bottom);
    let face = |profile: Profile, layout: Layout| Some(Face { profile, layout });
    let (round, vee) = (Profile::round(8.0, 3.0), Profile::vee(7.0, 4.0));
    vec![
        of(face(round, grooves(10.0, 0.0)), face(round, grooves(17.0, 0.0))),
        of(face(vee, grooves(10.0, 0.0)), face(Profile::Flat { deep: 2.0, r: 3.0 }, grooves(13.0, 0.0))),
        of(face(Profile::round(6.0, 4.0), grooves(10.0, 0.4)), face(vee, grooves(17.0, -0.7))),
        of(
            face(Profile::ball(8.0, 2.5), holes([4.0, 2.0], true)),
            face(Profile::drill(7.0, 4.0), holes([8.5, 6.5], false)),
        ),
        of(
            face(Profile::round(8.0, 3.0), grooves(10.0, 0.2)),
            face(Profile::ball(6.0, 4.0), holes([4.0, 2.0], false)),
        ),
    ]
}

#[test]
fn levelling_keeps_every_volume_and_comes_back() {
    for relief in reliefs() {
        let level = warp::Level::new(&relief);
        let [thick, wide, long] = relief.size;
        let mean: f64 = (0..200_000)
            .map(|i| {
                let [_, v, u] = spread(i);
                relief.height(u * long, v * wide)
            })
            .sum::<f64>()
            / 200_000.0;
        let (mut tried, mut same, h) = (0, None, 1e-6);
        for point in (0..600).map(spread) {
            let there = level.raise(point);
            let again = level.flatten(there);
            assert!(point.iter().zip(again).all(|(a, b)| (a - b).abs() < 1e-9), "{point:?} {again:?}");
            let moved = |axis: usize, by: f64| {
                let mut point = point;
                point[axis] += by;
                level.raise(point)
            };
            let slopes: Vec<[f64; 3]> = (0..3)
                .map(|axis| {
                    let (a, b) = (moved(axis, h), moved(axis, -h));
                    [0, 1, 2].map(|i| (a[i] - b[i]) / (2.0 * h))
                })
                .collect();
            // At the edge of a hollow the map has a kink, or a step.
            let steep = |axis: usize| {
                let (a, b, c) = (moved(axis, 20.0 * h), moved(axis, 0.0), moved(axis, -20.0 * h));
                (0..3).any(|i| (a[i] - 2.0 * b[i] + c[i]).abs() > 3e-7)
            };
            if steep(1) || steep(2) {
                continue;
            }
            tried += 1;
            let [a, b, c] = [slopes[0], slopes[1], slopes[2]];
            let jacobian = a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0]);
            // Of unit boxes: the mean height over the thickness.
            assert!((jacobian / (mean / thick) - 1.0).abs() < 2e-3, "{point:?}: {jacobian} {}", mean / thick);
            let first = *same.get_or_insert(jacobian);
            assert!((jacobian - first).abs() < 1e-6 * first, "{relief:?} {point:?}: {jacobian} {first}");
        }
        assert!(tried > 300, "{tried}");
    }
}

/// Depths of hollows as a smith would lay them out, written apart from the program: how deep the faces of a bar so thick, wide and
/// long are at a place, by a plain look at each hollow.
struct Laid {
    size: [f64; 3],
    top: Box<dyn Fn(f64, f64) -> f64>,
    bottom: Box<dyn Fn(f64, f64) -> f64>,
}

/// Carries a point forward by counting: what lies before it along the bar, then across it, then beneath it.
fn carried(laid: &Laid, x: f64, y: f64, z: f64) -> [f64; 3] {
    let [thick, wide, long] = laid.size;
    let height = |x: f64, y: f64| thick - (laid.top)(x, y) - (laid.bottom)(x, y);
    let nx = 450;
    let mean = |x: f64, to: f64, ny: i32| -> f64 {
        let step = to / f64::from(ny);
        (0..ny).map(|j| height(x, (f64::from(j) + 0.5) * step) * step).sum()
    };
    let before = |to: f64| -> f64 {
        let step = to / f64::from(nx);
        (0..nx).map(|i| mean((f64::from(i) + 0.5) * step, wide, 80) * step).sum()
    };
    let along = before(x) / before(long);
    let across = mean(x, y, 9_000) / mean(x, wide, 9_000);
    [(z - (laid.bottom)(x, y)) / height(x, y), across, along]
}

#[test]
fn hollows_brought_level_by_counting_go_where_the_map_says() {
    // Round grooves 8 across and 3 deep, every 14 mm, the bottom staggered: a circle of radius 25/6 about 7/6 above the face.
    let groove = |x: f64, first: f64| {
        let off = (0..6).map(|i| (x - first - 14.0 * f64::from(i)).abs()).fold(f64::INFINITY, f64::min);
        let r: f64 = 25.0 / 6.0;
        if off < 4.0 { (r * r - off * off).sqrt() - 7.0 / 6.0 } else { 0.0 }
    };
    // A ball of 8 mm, 2.5 mm deep, every 9 mm from (4, 2), every second row half-way between; and a drill's point of 118 degrees.
    let ball = |x: f64, y: f64| {
        let mut deep: f64 = 0.0;
        for row in -1..5 {
            let moved = if row % 2 == 0 { 0.0 } else { 4.5 };
            for i in -2..11 {
                let far = (x - 4.0 - moved - 9.0 * f64::from(i)).hypot(y - 2.0 - 9.0 * f64::from(row));
                deep = deep.max(if far < 4.0 { (16.0 - far * far).sqrt() - 1.5 } else { 0.0 });
            }
        }
        deep
    };
    let drill = |x: f64, y: f64| {
        let mut deep: f64 = 0.0;
        for (row, i) in (-1..4).flat_map(|row| (-1..11).map(move |i| (row, i))) {
            let far = (x - 8.5 - 9.0 * f64::from(i)).hypot(y - 6.5 - 9.0 * f64::from(row));
            deep = deep.max(if far < 3.5 { 4.0 - far / (59.0 * PI / 180.0).tan() } else { 0.0 });
        }
        deep
    };
    let size = [12.0, 31.0, 90.0];
    let laid = [
        (
            0,
            Laid {
                size,
                top: Box::new(move |x, _| groove(x, 10.0)),
                bottom: Box::new(move |x, _| groove(x, 17.0)),
            },
        ),
        (3, Laid { size, top: Box::new(ball), bottom: Box::new(drill) }),
    ];
    for (which, laid) in laid {
        let relief = reliefs().swap_remove(which);
        let level = warp::Level::new(&relief);
        for [s, v, u] in (3..6).map(spread) {
            let (x, y) = (u * 90.0, v * 31.0);
            let z = (laid.bottom)(x, y) + s * (12.0 - (laid.top)(x, y) - (laid.bottom)(x, y));
            let (there, says) = (carried(&laid, x, y, z), level.flatten([z / 12.0, v, u]));
            assert!(
                there.iter().zip(says).all(|(a, b)| (a - b).abs() < 1e-3),
                "{there:?}, the map says {says:?}"
            );
        }
    }
}

#[test]
fn a_ladder_has_its_rungs_straight_across_where_its_grooves_went_with_the_length() {
    let ladder = "stock d = 6 bars of 1084, 2 x 30 x 120 mm
stock b = 6 bars of 15N20, 2 x 30 x 120 mm
shop {
  scale 0 mm per heat
}
stack bar = alternate d, b
weld bar at 1230 C, to 12 mm thick, heats 3
groove bar every 15 mm, 10 mm across, 1.9 mm deep, both faces, staggered
";
    let open = check(ladder);
    let lot = last_lot(&open.plan, &open.build, "bar").unwrap();
    let bar = open.build.lot(lot).unwrap().bar;
    // Circle segments of 10 across and 1.9 deep. Grooves as many as the bar is long in pitches; those below that are staggered
    // end with the bar.
    let (deep, many) = (1.9f64, (bar.long / 15.0).floor());
    let r = (25.0 + deep * deep) / (2.0 * deep);
    let segment = r * r * f64::acos((r - deep) / r) - (r - deep) * (2.0 * r * deep - deep * deep).sqrt();
    let off = bar.long - (bar.long / 2.0 + (many - 1.0) / 2.0 * 15.0 + 7.5 + 5.0);
    let cut = segment * bar.wide * if off >= 0.0 { 2.0 * many } else { 2.0 * many - 1.0 };
    let left = 1.0 - cut / (bar.thick * bar.wide * bar.long);
    assert!(
        (bar.fill - left).abs() < segment * bar.wide / (bar.thick * bar.wide * bar.long),
        "{} {left}",
        bar.fill
    );
    // An open groove shows the steels of its walls; beside it nothing is cut.
    let top = seen(&open, "bar", view(Side::Top), 0.5, 2);
    assert!(runs_along(&top) > 2 * many as usize, "{} in {many}", runs_along(&top));
    let edge = seen(&open, "bar", view(Side::Edge), 0.25, 2);
    assert!(edge.steels.iter().any(Option::is_none));
    let flat = check(&format!("{ladder}press bar flat, heats 2\n"));
    assert!(flat.build.faults.is_empty(), "{:?}", flat.build.faults);
    let lot = last_lot(&flat.plan, &flat.build, "bar").unwrap();
    let now = flat.build.lot(lot).unwrap().bar;
    assert!((now.thick - 8.2).abs() < 1e-9 && (now.volume() - bar.volume()).abs() < 1e-6 * bar.volume());
    let top = seen(&flat, "bar", view(Side::Top), 0.25, 2);
    let [wide, tall] = top.dots;
    // Straight across: each column is of one steel.
    assert!((0..wide).all(|x| (0..tall - 1).all(|y| top.steels[y * wide + x] == top.steels[x])));
    // From rung to rung: the pitch times the stretch of the length.
    let pitch = 15.0 * now.long / bar.long;
    let row = &top.steels[..wide];
    let same = |by: f64| {
        let by = (by / 0.25).round() as usize;
        let pairs = (wide / 5..wide * 3 / 5).map(|x| (row[x], row[x + by]));
        pairs.filter(|(a, b)| a == b).count() as f64 / (wide * 3 / 5 - wide / 5) as f64
    };
    assert!(same(pitch) > 0.93 && same(pitch / 2.0) < 0.5, "{} {}", same(pitch), same(pitch / 2.0));
    // Cut through one layer of twelve into the next: a rung has two sides.
    let changes = row.windows(2).filter(|p| p[0] != p[1]).count() as f64;
    assert!((changes / many - 2.0).abs() < 0.2, "{changes} in {many}");
}
