//! What a target asks of a pattern, held against the arithmetic of how it was made, and against plain counts in its pictures.

use heatbook::piece::field::Field;
use heatbook::piece::shades::Shades;
use heatbook::piece::{Bar, SteelId};
use heatbook::spec::Judged;
use heatbook::study::{Picture, Side, Sight, View, last_lot, take};

use crate::common::{Worked, check, close};

const STACK: &str = "shop {
  scale 0 mm per heat
}
stock dark = 8 bars of 1084, 3 x 26 x 200 mm
stock bright = 7 bars of 15N20, 1.5 x 26 x 200 mm
stack p = alternate dark, bright
weld p at 1230 C, thinning 15 %, heats 3
";

/// What lines of a target get of `p` behind some steps.
fn got(steps: &str, lines: &str) -> (Worked, Vec<Judged>) {
    let work = check(&format!("{STACK}{steps}\ntarget p {{\n{lines}\n}}\n"));
    let told = work.build.lines.iter().map(|line| line.judged.unwrap()).collect();
    (work, told)
}

fn one(steps: &str, line: &str) -> (Worked, Judged) {
    let (work, told) = got(steps, line);
    let judged = told.first().copied().unwrap_or_else(|| panic!("{:?}", work.faults()));
    (work, judged)
}

fn bar(work: &Worked) -> Bar {
    work.build.lot(last_lot(&work.plan, &work.build, "p").unwrap()).unwrap().bar
}

fn seen(work: &Worked, side: Side, dot: f64) -> Picture {
    let (makeup, bar) = (&work.build.bench.makeup, bar(work));
    let sight = Sight::new(makeup, &bar, View { side, under: 0.0, at: 0.0 }).unwrap();
    let tone = |steel: SteelId| f64::from(steel.0);
    let field = Field::new(makeup, bar.node);
    take(&sight, &field, &Shades::plain(&field, tone), dot, 1).unwrap()
}

const LADDER: &str = "draw p to 12 mm thick, 26 mm wide, heats 5\ngroove p every 12 mm, 8 mm across, 3 mm deep, both faces, staggered";

#[test]
fn rungs_and_drops_lie_as_far_apart_as_they_were_cut_times_how_much_longer_the_bar_got() {
    for (marks, cut, pitch) in [
        ("rungs", LADDER.to_owned(), 12.0),
        (
            "drops",
            "draw p to 12 mm thick, 26 mm wide, heats 5\ndrill p 8 mm holes, 2 mm deep, every 13 mm, ball"
                .to_owned(),
            13.0,
        ),
    ] {
        let before = bar(&check(&format!("{STACK}{cut}\n"))).long;
        for more in ["", "\ndraw p to 5 mm thick, heats 4", "\nturn p\nflip p\ngrind p faces 0.2 mm"] {
            let (work, judged) =
                one(&format!("{cut}\npress p flat{more}"), &format!("pitch of {marks} >= 1 mm"));
            close(judged.got, pitch * bar(&work).long / before, 1e-9);
        }
        // What is cropped leaves the others where they were.
        let whole = one(&format!("{cut}\npress p flat"), &format!("pitch of {marks} >= 1 mm")).1.got;
        let half = one(
            &format!("{cut}\npress p flat\ncut p 30 mm off each end"),
            &format!("pitch of {marks} >= 1 mm"),
        );
        close(half.1.got, whole, 1e-9);
    }
}

#[test]
fn turns_lie_as_far_apart_as_they_were_made_and_what_was_not_made_has_no_pitch() {
    let twist = "draw p to 16 mm octagon, heats 8\ntwist p 1 turns per 40 mm, right, grips 30 mm, heats 3";
    let (work, judged) = one(twist, "pitch of twist = 40 mm +- 0.1 mm");
    close(judged.got, 40.0, 1e-9);
    let before = bar(&work).long;
    let (work, judged) = one(&format!("{twist}\ndraw p to 8 mm thick, heats 4"), "pitch of twist >= 1 mm");
    close(judged.got, 40.0 * bar(&work).long / before, 1e-9);
    // Cut in two and laid on each other, it has two twists of one pitch.
    let (work, judged) = one(
        &format!("{twist}\ncut p into 2\nstack p = p\nweld p at 1200 C, thinning 10 %, heats 2"),
        "pitch of twist >= 1 mm",
    );
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    assert!(judged.got > 39.0 && judged.got < 46.0, "{judged:?}");
    // On end, nothing of it runs along the piece.
    for (steps, line) in [
        (format!("{twist}\ntip p"), "pitch of twist >= 1 mm"),
        (twist.to_owned(), "pitch of rungs >= 1 mm"),
        (String::new(), "pitch of drops >= 1 mm"),
    ] {
        let (work, judged) = one(&steps, line);
        assert!(judged.got.is_nan() && !judged.met);
        assert!(work.faults().contains(&"target_missed"), "{:?}", work.faults());
    }
}

#[test]
fn a_share_on_the_faces_is_that_of_the_layers_that_come_out_there() {
    // Flat on each other the outermost alone show; on edge each shows as much as there is of it.
    let (_, told) = got("", "share of dark >= 1 % on face\nshare of bright <= 99 % on face");
    assert_eq!((told[0].got, told[1].got), (1.0, 0.0));
    let (_, on_edge) = one("turn p", "share of bright >= 1 % on face");
    let bright = 7.0 * 1.5 / (7.0 * 1.5 + 8.0 * 3.0);
    assert!((on_edge.got - bright).abs() <= on_edge.band.max(0.01), "{on_edge:?} {bright}");
    assert!(on_edge.band > 0.0 && on_edge.band < 0.04, "{on_edge:?}");
}

#[test]
fn what_shows_is_what_the_pictures_show() {
    let cases = [
        format!("{LADDER}\npress p flat\ngrind p faces 0.5 mm"),
        "draw p to 12 mm thick, 26 mm wide, heats 5\ndrill p 8 mm holes, 2 mm deep, every 13 mm, both faces, staggered, ball, by turns\npress p flat\ngrind p faces 0.6 mm".to_owned(),
        "draw p to 16 mm octagon, heats 8\ntwist p 3 turns per 100 mm, right, grips 30 mm, heats 3\ngrind p to 9 mm thick".to_owned(),
        "draw p to 8 mm thick, 26 mm wide, heats 6\ncut p to 200 mm\nbevel p edge 0.6 mm, height 20 mm, ground".to_owned(),
    ];
    for steps in cases {
        let (work, told) = got(&steps, "share of bright >= 0 % on face\nlayers per mm >= 0 on face");
        assert!(work.build.faults.is_empty(), "{steps}: {:?}", work.build.faults);
        let dot = 0.1;
        let (mut bright, mut all, mut crossed, mut length) = (0.0, 0.0, 0.0, 0.0);
        for side in [Side::Top, Side::Bottom] {
            let picture = seen(&work, side, dot);
            let [wide, tall] = picture.dots;
            let at = |x: f64, y: f64| {
                let (x, y) = (x.round(), y.round());
                let inside = (0.0..wide as f64).contains(&x) && (0.0..tall as f64).contains(&y);
                inside.then(|| picture.steels[y as usize * wide + x as usize]).flatten()
            };
            bright += picture.steels.iter().filter(|s| **s == Some(SteelId(1))).count() as f64;
            all += picture.steels.iter().flatten().count() as f64;
            // Straight lines in 24 directions from places all over the picture, each 3 mm long.
            for turn in 0..24 {
                let (sin, cos) = (f64::from(turn) * std::f64::consts::PI / 24.0).sin_cos();
                for start in 0..120 {
                    let (x, y) = (
                        f64::from(start * 37 % 120) / 120.0 * wide as f64,
                        f64::from(start * 71 % 113) / 113.0 * tall as f64,
                    );
                    for i in 0..30 {
                        let (i, j) = (f64::from(i), f64::from(i + 1));
                        if let (Some(a), Some(b)) =
                            (at(x + i * cos, y + i * sin), at(x + j * cos, y + j * sin))
                        {
                            crossed += if a == b { 0.0 } else { 1.0 };
                            length += dot;
                        }
                    }
                }
            }
        }
        let share = bright / all;
        assert!(
            (told[0].got - share).abs() <= 1.5 * told[0].band + 0.005,
            "{steps}: {:?}, {share} in the picture",
            told[0]
        );
        let lines = std::f64::consts::FRAC_PI_2 * crossed / length;
        assert!(
            (told[1].got - lines).abs() <= 1.5 * told[1].band + 0.05 * lines,
            "{steps}: {:?}, {lines} in the picture",
            told[1]
        );
    }
}

#[test]
fn layers_on_edge_lie_as_close_as_they_are_thick() {
    let (work, judged) = one("turn p", "layers per mm >= 0 on face");
    let real = 14.0 / bar(&work).wide;
    assert!((judged.got - real).abs() <= judged.band + 0.05 * real, "{judged:?} {real}");
    let (_, inches) = one("turn p", "layers per in >= 0 on face");
    close(inches.got, 25.4 * judged.got, 1e-12);
    // A face of one steel has no line.
    assert_eq!(one("", "layers per mm >= 0 on face").1.got, 0.0);
}

#[test]
fn what_is_not_level_or_not_known_is_not_told() {
    let (work, judged) = one(LADDER, "share of bright >= 0 % on face");
    assert!(judged.got.is_nan(), "{judged:?}");
    assert!(work.faults().contains(&"target_missed"), "{:?}", work.faults());
}
