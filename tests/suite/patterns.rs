//! Patterns held against particles that are carried forward: each step once more, plainly and apart from the program, from where a
//! point of steel lay before it to where it lies behind it.

use heatbook::piece::field::Field;
use heatbook::piece::warp::{Drag, Shear, Warp};
use heatbook::piece::{Axis, SteelId};

use crate::common::{Worked, check};

/// Thickness, width and length, of the whole; and in mm.
type Point = [f64; 3];
/// Where a point goes in a step that makes the one size of the other; nowhere where it is cut off.
type Carry = Box<dyn Fn(Point, [f64; 3], [f64; 3]) -> Option<Point>>;

const HEAD: &str = "shop {
  scale none
}
stock d = 8 bars of 1084, 3 x 30 x 140 mm
stock b = 7 bars of 15N20, 1.5 x 30 x 140 mm
stack p = alternate d, b
weld p at 1230 C, thinning 15 %, heats 3
";
/// What a point may miss by, mm: sums by counting are no closer.
const CELL: f64 = 0.02;

/// Numbers from 0 to 1 without a pattern (a linear congruence).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn below(&mut self, many: usize) -> usize {
        (self.next() * many as f64) as usize
    }
}

/// Sizes of every bar that `p` was, in order.
fn sizes(work: &Worked) -> Vec<[f64; 3]> {
    let lots = work.plan.ground.lots.pairs().filter(|(_, info)| info.name == "p");
    lots.filter_map(|(id, _)| Some(work.build.lot(id)?.bar.sizes())).collect()
}

fn inside(v: f64) -> bool {
    (0.0..=1.0).contains(&v)
}

fn stays() -> Carry {
    Box::new(|point, _, _| Some(point))
}

/// A slice so thick stands up where it lay, every second one the other way round if asked.
fn laid(thick: f64, gap: f64, mirrored: bool) -> Carry {
    Box::new(move |[s, v, u], [_, _, long], _| {
        let many = ((long + gap) / (thick + gap) + 1e-9).floor();
        let slice = (u * long / (thick + gap)).floor();
        let into = (u * long - slice * (thick + gap)) / thick;
        if slice >= many || into > 1.0 {
            return None;
        }
        let turned = mirrored && slice % 2.0 == 1.0;
        let (up, along) = if turned { (1.0 - into, s) } else { (into, 1.0 - s) };
        Some([up, v, (slice + along) / many])
    })
}

/// A line of the recipe, and what each bar that it gives does to a point.
fn step(op: usize, f: f64, [t, w, l]: [f64; 3]) -> (String, Vec<Carry>) {
    let weld = "weld p at 1200 C, thinning 10 %, heats 2";
    match op {
        0 => (format!("draw p to {} mm thick, heats 2", t * (0.6 + 0.3 * f)), vec![stays()]),
        1 => ("turn p".to_owned(), vec![Box::new(|[s, v, u], _, _| Some([v, 1.0 - s, u]))]),
        2 => ("flip p".to_owned(), vec![Box::new(|[s, v, u], _, _| Some([1.0 - s, 1.0 - v, u]))]),
        3 => ("tip p".to_owned(), vec![Box::new(|[s, v, u], _, _| Some([u, v, 1.0 - s]))]),
        4 => {
            let carry: Carry = Box::new(|[s, v, u], _, _| {
                let over = [1.0 - s / 2.0, v, 2.0 - 2.0 * u];
                Some(if u < 0.5 { [s / 2.0, v, 2.0 * u] } else { over })
            });
            (format!("fold p in 2\n{weld}"), vec![carry, stays()])
        }
        5 => {
            let (drag, reach) = (t * (0.1 + 0.2 * f), w * (0.1 + 0.2 * f));
            let carry: Carry = Box::new(move |[s, v, u], [t, w, _], _| {
                let y = v * w;
                let z = s * t - drag * (-(y - w / 2.0).abs() / reach).exp();
                let y = if (y - w / 2.0).abs() < 0.5 {
                    None
                } else {
                    Some(if y < w / 2.0 { y } else { y - 1.0 })
                }?;
                inside(z / (t - drag)).then(|| [z / (t - drag), y / (w - 1.0), u])
            });
            (
                format!("split p, drag {drag} mm, reach {reach} mm, dressed 0.5 mm\n{weld}"),
                vec![carry, stays()],
            )
        }
        6 => {
            let bow = w * (0.05 + 0.1 * f);
            let carry: Carry = Box::new(move |[s, v, u], _, [_, now, _]| {
                let y = v * (now + bow) - bow * (1.0 - (2.0 * s - 1.0).abs());
                inside(y / now).then(|| [s, y / now, u])
            });
            (format!("draw p to {} mm thick, bow {bow} mm, heats 2", t * 0.8), vec![carry])
        }
        7 => {
            let thick = 5.0 + 3.0 * f;
            (
                format!("tile p in {thick} mm slices, mirrored, kerf 1.5 mm\n{weld}"),
                vec![laid(thick, 1.5, true), stays()],
            )
        }
        8 => {
            let thick = 7.0 + 3.0 * f;
            (
                format!("tile p in {thick} mm slices, kerf 2 mm\n{weld}"),
                vec![laid(thick, 2.0, false), stays()],
            )
        }
        9 => {
            let (every, web) = (8.0 + 6.0 * f, t / 4.0);
            let gap = 2.0 * (t - web) / (2.0 * t);
            (format!("open p every {every} mm, web {web} mm, kerf 2 mm"), vec![laid(every - gap, gap, true)])
        }
        10 => {
            let off = t * 0.1 * f;
            let carry: Carry = Box::new(move |[s, v, u], [t, ..], [now, ..]| {
                let z = (s * t - off) / now;
                inside(z).then_some([z, v, u])
            });
            (format!("grind p faces {off} mm"), vec![carry])
        }
        11 => {
            let (pitch, across, deep) = (l / 3.4, l / 6.0, t * (0.1 + 0.1 * f));
            let groove: Carry = Box::new(move |[s, v, u], [t, _, l], _| {
                (s * t <= t - round(u * l, l, pitch, across, deep)).then_some([s, v, u])
            });
            let flat: Carry = Box::new(move |[s, v, u], [t, _, l], _| {
                let height = |x: f64| t - round(x, l, pitch, across, deep);
                let sum = |to: f64| {
                    let h = to / 6000.0;
                    (0..6000).map(|i| height((f64::from(i) + 0.5) * h) * h).sum::<f64>()
                };
                Some([s * t / height(u * l), v, sum(u * l) / sum(l)])
            });
            (
                format!(
                    "groove p every {pitch} mm, {across} mm across, {deep} mm deep\npress p flat, heats 2"
                ),
                vec![groove, flat],
            )
        }
        12 => {
            let carry: Carry = Box::new(|[s, v, u], [_, _, l], [_, _, now]| {
                let x = u * l / now;
                let rest = (u * l - (l - now)) / now;
                if x <= 1.0 {
                    return Some([s / 2.0, v, x]);
                }
                inside(rest).then(|| [1.0 - s / 2.0, v, 1.0 - rest])
            });
            (format!("cut p into a, c\nstack p = a, c mirrored\n{weld}"), vec![carry, stays()])
        }
        _ => {
            let carry: Carry = Box::new(|[s, v, u], [_, _, l], [_, _, now]| {
                let x = u * l / now;
                let rest = (u * l - (l - now)) / now;
                if x <= 1.0 {
                    return Some([s, v / 2.0, x]);
                }
                inside(rest).then(|| [1.0 - s, 1.0 - v / 2.0, rest])
            });
            (format!("cut p into a, c\nstack p = a, c flipped side by side\n{weld}"), vec![carry, stays()])
        }
    }
}

/// How deep round grooves are at a place along: circles through their edges, as many as the bar is long in pitches, about its middle.
fn round(x: f64, long: f64, pitch: f64, across: f64, deep: f64) -> f64 {
    let many = (long / pitch + 1e-9).floor();
    let first = long / 2.0 - (many - 1.0) / 2.0 * pitch;
    let off =
        (0..many as u32).map(|i| (x - first - f64::from(i) * pitch).abs()).fold(f64::INFINITY, f64::min);
    let half = across / 2.0;
    let r = (half * half + deep * deep) / (2.0 * deep);
    if off < half { (r * r - off * off).sqrt() - (r - deep) } else { 0.0 }
}

/// The steel at a point of the stack as it was laid: 3 mm of the one, 1.5 mm of the other, by turns.
fn first(s: f64) -> SteelId {
    if (s * 34.5) % 4.5 < 3.0 { SteelId(0) } else { SteelId(1) }
}

/// Works a chain of steps, carries points through it, and holds each against the field. How many were met.
fn chain(ops: &[usize], dice: &mut Dice) -> (usize, usize) {
    let (mut text, mut carries): (String, Vec<Carry>) = (HEAD.to_owned(), vec![stays()]);
    let mut work = check(&text);
    let mut worked = 0;
    for op in ops {
        let before = *sizes(&work).last().unwrap();
        let (line, more) = step(*op, dice.next(), before);
        let longer = format!("{text}{line}\n");
        let next = check(&longer);
        // A line that the bar does not bear is left out: too long, too thin, too slender.
        if !next.build.faults.is_empty() {
            continue;
        }
        (text, work) = (longer, next);
        carries.extend(more);
        worked += 1;
    }
    let sizes = sizes(&work);
    assert_eq!(sizes.len(), carries.len() + 1, "{text}");
    let bar = work.plan.ground.lots.pairs().rev().find(|(_, info)| info.name == "p").unwrap().0;
    let bar = work.build.lot(bar).unwrap().bar;
    let field = Field::new(&work.build.bench.makeup, bar.node);
    let mut met = 0;
    for _ in 0..25 {
        let start = [dice.next(), dice.next(), dice.next()];
        let carried = carries
            .iter()
            .zip(sizes.windows(2))
            .try_fold(start, |at, (carry, pair)| carry(at, pair[0], pair[1]));
        let Some(point) = carried else { continue };
        met += 1;
        let steel = first(start[0]);
        let near = |axis: usize, by: f64| {
            let mut at = point;
            at[axis] = (at[axis] + by / bar.sizes()[axis]).clamp(0.0, 1.0);
            field.steel(at) == steel
        };
        let found = near(0, 0.0) || (0..3).any(|axis| near(axis, CELL) || near(axis, -CELL));
        assert!(found, "{start:?} comes to {point:?}, where the field has another steel:\n{text}");
    }
    (worked, met)
}

#[test]
fn every_step_carries_each_particle_to_where_the_field_has_its_steel() {
    let mut dice = Dice(7);
    for op in 0..14 {
        // Upright first, so that a tip or a slice is no sliver.
        let (worked, met) = chain(&[0, op], &mut dice);
        assert!(worked == 2 && met > 5, "step {op}: {worked} worked, {met} met");
    }
}

#[test]
fn particles_go_through_200_random_chains_of_steps_as_the_field_says() {
    let mut dice = Dice(1);
    let (mut worked, mut met) = (0, 0);
    for _ in 0..200 {
        let long = 2 + dice.below(4);
        let ops: Vec<usize> = (0..long).map(|_| dice.below(14)).collect();
        let (more, points) = chain(&ops, &mut dice);
        worked += more;
        met += points;
    }
    assert!(worked > 400 && met > 2_000, "{worked} steps, {met} points");
}

#[test]
fn a_shear_keeps_every_volume_but_for_what_is_taken_off() {
    let mut dice = Dice(3);
    for (along, by, drag) in [
        (Axis::Thickness, Axis::Width, Drag::Wedge(1.0 / 6.0)),
        (Axis::Thickness, Axis::Width, Drag::Wedge(0.05)),
        (Axis::Width, Axis::Thickness, Drag::Bow),
    ] {
        let shear = Shear { along, by, far: 0.2, drag, size: 40.0 };
        let map = Warp::Shear(shear).map();
        for _ in 0..500 {
            let point = [dice.next(), dice.next(), dice.next()];
            if (by.of(point) - 0.5).abs() < 1e-3 {
                continue;
            }
            let h = 1e-5;
            let slope = |axis: usize| {
                let (mut a, mut b) = (point, point);
                a[axis] += h;
                b[axis] -= h;
                let (a, b) = (map.back(a), map.back(b));
                [0, 1, 2].map(|i| (a[i] - b[i]) / (2.0 * h))
            };
            let [a, b, c] = [0, 1, 2].map(slope);
            let jacobian = a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0]);
            // Of unit boxes: in mm over mm it is 1, of the size that is left.
            assert!((jacobian - 0.8).abs() < 1e-6, "{point:?}: {jacobian}");
            let again = map.onward(map.back(point));
            assert!(again.iter().zip(point).all(|(a, b)| (a - b).abs() < 1e-12), "{point:?} {again:?}");
        }
    }
}
