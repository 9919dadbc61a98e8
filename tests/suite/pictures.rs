//! The field and its pictures, held against particles that are carried forward, plain counts, and the makeup's own shares.

use std::f64::consts::{FRAC_PI_4, PI};

use heatbook::piece::field::Field;
use heatbook::piece::{SteelId, warp};
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
    take(&sight, &Field::new(makeup, bar.node), &tone, dot, cores).unwrap()
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
    for steps in [STACK.to_owned(), format!("{STACK}{TWIST}")] {
        let work = check(&steps);
        assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
        let lot = last_lot(&work.plan, &work.build, "rod").unwrap();
        let bar = work.build.lot(lot).unwrap().bar;
        let (makeup, n) = (&work.build.bench.makeup, 400_000);
        let field = Field::new(makeup, bar.node);
        let bright = (0..n).filter(|i| field.steel(spread(*i)) == SteelId(1)).count();
        let share = makeup.share_of_steel(bar.node, SteelId(1));
        let of_field = bright as f64 / f64::from(n);
        assert!((of_field - share).abs() < 1e-3, "{of_field} {share}");
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
    assert_eq!((one.steels, &one.tones), (two.steels, &two.tones));
    // Under a dot lies a share of bright from none to all of it, and all that is told adds up to a share of the face.
    assert!(one.tones.iter().all(|(tone, cover)| (0.0..=1.0).contains(tone) && *cover > 0.0));
    assert!(one.tones.iter().any(|(tone, _)| *tone > 0.1 && *tone < 0.9));
    // A face of one steel is looked at five times a dot.
    let plain = check(STACK);
    let plain = seen(&plain, "rod", view(Side::Top), 0.4, 1);
    let dots = plain.dots[0] * plain.dots[1];
    assert!((dots * 5..dots * 6).contains(&plain.asked), "{} of {dots}", plain.asked);
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
    assert_eq!(answer["schema"], "heatbook-picture-1");
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

#[test]
fn a_blade_is_seen_in_its_outline_and_its_bevel_shows_what_lies_under_the_face() {
    let recipe = format!(
        "{STACK}draw rod to 6 mm thick, 26 mm wide, heats 4\ncut rod to 200 mm long\nprofile rod to 190 mm long, 25 mm wide, belly 60 mm, point 6 mm below spine\nbevel rod edge 0.5 mm, height 18 mm, ground\n"
    );
    let work = check(&recipe);
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
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
