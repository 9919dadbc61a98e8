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
            let (pitch, across) = (l / 3.4, l / 6.0);
            // No deeper than a round floor goes.
            let deep = (t * (0.1 + 0.1 * f)).min(across * 0.45);
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

/// Where a point of a jacket lies round its core: depth from the outer side, and along from the back under the core, up the edge, to the
/// back above it, by counting areas in thin rings.
fn bent(depth: f64, along: f64, [thick, wide]: [f64; 2], jacket: f64) -> [f64; 2] {
    let ring = |d: f64| 2.0 * (wide - d) + thick - 2.0 * d;
    let n = 200_000;
    let step = jacket / f64::from(n);
    let whole: f64 = (0..n).map(|i| ring((f64::from(i) + 0.5) * step)).sum();
    let (mut sum, mut deep) = (0.0, 0.0);
    while sum < depth * whole {
        sum += ring(deep + step / 2.0);
        deep += step;
    }
    let way = along * ring(deep);
    if way < wide - deep {
        [deep, wide - way]
    } else if way < wide - deep + thick - 2.0 * deep {
        [deep + way - (wide - deep), deep]
    } else {
        [thick - deep, deep + way - (wide - deep) - (thick - 2.0 * deep)]
    }
}

#[test]
fn a_jacket_goes_round_its_core_and_both_keep_their_area() {
    let text = "shop {
  scale none
}
stock d = 3 bars of 1084, 1 x 90 x 120 mm
stock b = 2 bars of 15N20, 1 x 90 x 120 mm
stack sheet = alternate d, b
weld sheet at 1230 C, to 4 mm thick, heats 2
stock p = 1 bar of 1018, 8 x 30 x 120 mm
wrap p with sheet, trimmed
weld p at 1200 C, thinning 12 %, heats 2
";
    let work = check(text);
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    let sizes = sizes(&work);
    let (core, whole) = (sizes[0], sizes[1]);
    assert!((whole[0] - core[0] - 8.0).abs() < 1e-9 && (whole[1] - core[1] - 4.0).abs() < 1e-9, "{sizes:?}");
    let lot = heatbook::study::last_lot(&work.plan, &work.build, "p").unwrap();
    let node = work.build.lot(lot).unwrap().bar.node;
    let makeup = &work.build.bench.makeup;
    let field = Field::new(makeup, node);
    let size = [whole[0], whole[1]];
    // Five layers, the lowest against the core.
    let mut dice = Dice(5);
    for _ in 0..300 {
        let (depth, along) = (dice.next(), dice.next());
        let layer = (1.0 - depth) * 5.0;
        if (layer - layer.round()).abs() < 0.02 {
            continue;
        }
        let [z, y] = bent(depth, along, size, 4.0);
        let steel = field.steel([z / size[0], y / size[1], 0.4]);
        assert_eq!(steel, SteelId(u8::from(layer as u32 % 2 == 1)), "{depth} {along}: {z} {y}");
    }
    assert_eq!(field.steel([0.5, 0.9, 0.2]), SteelId(2));
    // Shares by a grid of points, against those of the makeup and against the areas.
    let n = 400;
    let points =
        (0..n).flat_map(|i| (0..n).map(move |j| [i, j].map(|k| (f64::from(k) + 0.5) / f64::from(n))));
    let inside = points.filter(|[s, v]| field.steel([*s, *v, 0.4]) == SteelId(2)).count();
    let share = inside as f64 / f64::from(n * n);
    let area = core[0] * core[1] / (whole[0] * whole[1]);
    assert!((share - area).abs() < 2e-3, "{share} {area}");
    assert!((makeup.share_of_steel(node, SteelId(2)) - area).abs() < 1e-9);
    // What is asked of the tree goes by the straight pieces: jacket, core, jacket through the middle.
    assert_eq!(heatbook::piece::bands(makeup, node, whole[0]), 11);
}

#[test]
fn a_bend_keeps_every_area_and_comes_back() {
    let map = Warp::Mitre(heatbook::piece::warp::Mitre { size: [16.0, 34.0], jacket: 4.0 }).map();
    let (mut dice, h, mut tried) = (Dice(9), 1e-6, 0);
    for _ in 0..2_000 {
        let point = [dice.next(), dice.next(), 0.3];
        let there = map.back(point);
        let again = map.onward(there);
        assert!(again.iter().zip(point).all(|(a, b)| (a - b).abs() < 1e-9), "{point:?} {there:?} {again:?}");
        let at = |a: f64, b: f64| map.back([point[0] + a, point[1] + b, 0.3]);
        let slope = |p: Point, q: Point| [(p[0] - q[0]) / (2.0 * h), (p[1] - q[1]) / (2.0 * h)];
        let (a, b) = (slope(at(h, 0.0), at(-h, 0.0)), slope(at(0.0, h), at(0.0, -h)));
        // Where pieces meet the map has a kink: the slopes to the two sides differ there, and it is left out.
        let side = |p: Point, q: Point| [(p[0] - q[0]) / h, (p[1] - q[1]) / h];
        let smooth = [(h, 0.0), (0.0, h)].iter().all(|(x, y)| {
            let (up, down) = (side(at(*x, *y), there), side(there, at(-x, -y)));
            up.iter().zip(down).all(|(p, q)| (p - q).abs() < 1e-4)
        });
        let jacobian = a[0] * b[1] - a[1] * b[0];
        if smooth {
            tried += 1;
            assert!((jacobian - 1.0).abs() < 1e-6, "{point:?}: {jacobian}");
        }
    }
    assert!(tried > 1_500, "{tried}");
}

#[test]
fn an_uneven_hand_shows_layers_on_the_face_and_books_what_is_ground_off() {
    let text = |hand: &str| format!("{HEAD}draw p to 10 mm thick, {hand}heats 2\n");
    let (even, uneven) = (check(&text("")), check(&text("uneven 0.5 mm over 12 mm, seed 7, ")));
    assert!(uneven.build.faults.is_empty(), "{:?}", uneven.build.faults);
    let (before, after) = (*sizes(&even).last().unwrap(), *sizes(&uneven).last().unwrap());
    assert!((before[0] - after[0] - 1.0).abs() < 1e-9, "{before:?} {after:?}");
    let lot = heatbook::study::last_lot(&uneven.plan, &uneven.build, "p").unwrap();
    let bar = uneven.build.lot(lot).unwrap().bar;
    let makeup = &uneven.build.bench.makeup;
    let field = Field::new(makeup, bar.node);
    let mut dice = Dice(2);
    let n = 40_000;
    let bright = |thick: Option<f64>, dice: &mut Dice| {
        let point = |dice: &mut Dice| [thick.unwrap_or_else(|| dice.next()), dice.next(), dice.next()];
        (0..n).filter(|_| field.steel(point(dice)) == SteelId(1)).count() as f64 / f64::from(n)
    };
    // Even, the face is dark all over.
    let face = bright(Some(1.0), &mut dice);
    assert!((0.05..0.7).contains(&face), "{face}");
    assert_eq!(makeup.hands(bar.node).into_iter().collect::<Vec<_>>(), [7]);
    // Up and down together: what lies at a place before lies at one place behind.
    let map =
        Warp::Uneven(heatbook::piece::warp::Uneven { far: 0.1, over: 12.0, seed: 7, size: before }).map();
    for _ in 0..200 {
        let point = [dice.next(), dice.next(), dice.next()];
        let again = map.onward(map.back(point));
        assert!(again.iter().zip(point).all(|(a, b)| (a - b).abs() < 1e-12), "{point:?} {again:?}");
    }
}

/// The makeup's shares, which are sums over heights, against a plain count of points; of a bar, and of a thinner one, which is many hills long.
/// On the face the points lie on a lattice; in the thickness each column of them is moved by the golden section, so that layers and points
/// do not beat (counts by this lattice are within 0.0007 of one a hundred times as dense, tried for 24 hands).
#[test]
fn an_uneven_hand_keeps_the_shares_that_a_count_finds() {
    for (text, seed) in
        [("10 mm thick, uneven 0.5 mm over 12 mm", 7), ("6 mm thick, uneven 1.2 mm over 10 mm", 10)]
    {
        let work = check(&format!("{HEAD}draw p to {text}, seed {seed}, heats 2\n"));
        assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
        let bar =
            work.build.lot(heatbook::study::last_lot(&work.plan, &work.build, "p").unwrap()).unwrap().bar;
        let makeup = &work.build.bench.makeup;
        let field = Field::new(makeup, bar.node);
        let n: [u32; 3] = [60, 48, 160];
        let at = |i: u32, n: u32| (f64::from(i) + 0.5) / f64::from(n);
        let mut bright = 0;
        for i in 0..n[0] * n[1] * n[2] {
            let moved = (f64::from(i / n[0]) * 0.618_033_988_75).fract();
            let thick = (f64::from(i % n[0]) + moved) / f64::from(n[0]);
            let point = [thick, at(i / n[0] % n[1], n[1]), at(i / n[0] / n[1], n[2])];
            bright += u32::from(field.steel(point) == SteelId(1));
        }
        let counted = f64::from(bright) / f64::from(n.iter().product::<u32>());
        let share = makeup.share_of_steel(bar.node, SteelId(1));
        assert!((counted - share).abs() < 1e-3, "{text}: {counted} {share}");
    }
}

#[test]
fn rounds_in_a_bundle_fill_their_hexagon_and_lie_in_rows() {
    let text = "shop {
  scale none
}
stock d = 7 rounds of 1084, 8 x 120 mm
stock b = 12 rounds of 15N20, 8 x 120 mm
stack p = 7 of d, 12 of b in bundle
";
    let work = check(text);
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    let lot = heatbook::study::last_lot(&work.plan, &work.build, "p").unwrap();
    let bar = work.build.lot(lot).unwrap().bar;
    // 19 rods of pi/4 8^2; five rows, the widest of five, each sqrt 3 / 2 of a rod above the one before.
    let solid = 19.0 * std::f64::consts::PI / 4.0 * 64.0;
    assert!((bar.volume() / solid / 120.0 - 1.0).abs() < 1e-9, "{} {}", bar.thick, bar.wide);
    assert!((bar.wide - 40.0).abs() < 1e-9 && (bar.thick - 8.0 - 16.0 * 3f64.sqrt()).abs() < 1e-9);
    // Voids close in the weld, evenly in section: what is pressed is as much smaller.
    let welded = check(&format!("{text}weld p at 1200 C, thinning 20 %, heats 1, spread 0\n"));
    let lot = heatbook::study::last_lot(&welded.plan, &welded.build, "p").unwrap();
    let closed = welded.build.lot(lot).unwrap().bar;
    let even = (solid / (bar.thick * bar.wide)).sqrt();
    assert!(
        (closed.thick - 0.8 * even * bar.thick).abs() < 1e-9 && (closed.wide - even * bar.wide).abs() < 1e-9
    );
    assert!((closed.mass / bar.mass - 1.0).abs() < 1e-9);
    // Each name keeps its own share.
    let part = |name: &str| work.plan.ground.parts.pairs().find(|(_, n)| *n == name).unwrap().0;
    for (name, rods) in [("d", 7.0), ("b", 12.0)] {
        let share = work.build.bench.makeup.share_of(bar.node, part(name)).unwrap();
        assert!((share - rods / 19.0).abs() < 1e-9, "{name} {share}");
    }
    let field = Field::new(&work.build.bench.makeup, bar.node);
    let mut s = 0.0;
    let mut met = 0;
    for row in [3, 4, 5, 4, 3] {
        let middle = s + f64::from(row) / 38.0;
        s += f64::from(row) / 19.0;
        for i in 0..row {
            let steel = field.steel([middle, (f64::from(i) + 0.5) / f64::from(row), 0.5]);
            assert_eq!(steel, SteelId(u8::from(met >= 7)), "rod {met}");
            met += 1;
        }
    }
}

/// A can of 50 by 46 with a wall of 3 mm, seven rods of 9 mm in a hexagon, powder that fills 60 %: a raster of its section as it is
/// packed, with the metal that each cell holds; the rest of this page is counted on it.
struct Raster {
    /// Metal below and to the left of each corner, mm2.
    sums: Vec<Vec<f64>>,
}

const CAN: [f64; 2] = [50.0, 46.0];
const WALL: f64 = 3.0;
const ROD: f64 = 9.0;
const PACKED: f64 = 0.6;
/// A cell's side, mm.
const FINE: f64 = 0.02;

/// A rod's middle, from the middle of the can, and its half sizes: the square of equal area, no taller than its row.
fn rods() -> Vec<([f64; 2], [f64; 2])> {
    let up = ROD * 3f64.sqrt() / 2.0;
    let half = up / 2.0;
    let area = std::f64::consts::PI / 4.0 * ROD * ROD;
    let at = [[-up, -0.5], [-up, 0.5], [0.0, -1.0], [0.0, 0.0], [0.0, 1.0], [up, -0.5], [up, 0.5]];
    at.into_iter().map(|[y, x]| ([y, x * ROD], [half, area / (4.0 * half)])).collect()
}

/// What lies at a place of the packed section: can, rod or powder.
fn packed_at(y: f64, x: f64) -> &'static str {
    let [tall, wide] = CAN;
    if y < WALL || x < WALL || y > tall - WALL || x > wide - WALL {
        return "1018";
    }
    let within = |([a, b], [high, broad]): &([f64; 2], [f64; 2])| {
        (y - tall / 2.0 - a).abs() < *high && (x - wide / 2.0 - b).abs() < *broad
    };
    if rods().iter().any(within) { "15N20" } else { "1084" }
}

impl Raster {
    fn new() -> Raster {
        let [rows, columns] = CAN.map(|mm| (mm / FINE).round() as usize);
        let mut sums = vec![vec![0.0; columns + 1]; rows + 1];
        for i in 0..rows {
            let mut row = 0.0;
            for j in 0..columns {
                let at = [i, j].map(|k| (k as f64 + 0.5) * FINE);
                row += FINE * FINE * if packed_at(at[0], at[1]) == "1084" { PACKED } else { 1.0 };
                sums[i + 1][j + 1] = sums[i][j + 1] + row;
            }
        }
        Raster { sums }
    }

    fn metal(&self, [low, high]: [f64; 2], [left, right]: [f64; 2]) -> f64 {
        let at = |y: f64, x: f64| self.sums[(y / FINE).round() as usize][(x / FINE).round() as usize];
        at(high, right) - at(low, right) - at(high, left) + at(low, left)
    }

    /// Blocks one after the other along an axis, each as large a share as it has of the metal: where those end that a place lies in.
    fn share(&self, axis: usize, within: [[f64; 2]; 2], ends: &[f64], at: f64) -> ([f64; 2], [f64; 2]) {
        let of = |block: [f64; 2]| {
            if axis == 0 { self.metal(block, within[1]) } else { self.metal(within[0], block) }
        };
        let all: f64 = ends.windows(2).map(|w| of([w[0], w[1]])).sum();
        let i = ends.windows(2).position(|w| at <= w[1]).unwrap();
        let below: f64 = ends[..=i].windows(2).map(|w| of([w[0], w[1]])).sum();
        let block = [ends[i], ends[i + 1]];
        (block, [below / all, (below + of(block)) / all])
    }

    /// Where a place of the packed section lies once all is closed: wall by wall, then row by row, in a row from rod to rod, and by a rod from
    /// below it to above it.
    fn closed(&self, at: [f64; 2]) -> [f64; 2] {
        let [tall, wide] = CAN;
        let whole = [[0.0, tall], [0.0, wide]];
        let (mut within, mut there) = (whole, [[0.0, 1.0]; 2]);
        let mut go = |axis: usize, ends: &[f64], within: &mut [[f64; 2]; 2]| {
            let (block, [a, b]) = self.share(axis, *within, ends, at[axis]);
            let [low, high] = there[axis];
            there[axis] = [low + (high - low) * a, low + (high - low) * b];
            within[axis] = block;
        };
        go(0, &[0.0, WALL, tall - WALL, tall], &mut within);
        if within[0][0] == WALL {
            go(1, &[0.0, WALL, wide - WALL, wide], &mut within);
        }
        if within == [[WALL, tall - WALL], [WALL, wide - WALL]] {
            let up = ROD * 3f64.sqrt() / 2.0;
            let (middle, rim) = (tall / 2.0, up + ROD / 2.0);
            let rows = [WALL, middle - rim, middle - up / 2.0, middle + up / 2.0, middle + rim, tall - WALL];
            go(0, &rows, &mut within);
            let row = (within[0][0] + within[0][1]) / 2.0 - middle;
            let of_row: Vec<_> =
                rods().into_iter().filter(|([y, _], [half, _])| (y - row).abs() < *half).collect();
            let mut ends = vec![WALL];
            ends.extend(
                of_row.iter().flat_map(|([_, x], [_, half])| [x - half, x + half].map(|x| x + wide / 2.0)),
            );
            ends.push(wide - WALL);
            go(1, &ends, &mut within);
            let x = (within[1][0] + within[1][1]) / 2.0 - wide / 2.0;
            if let Some(([y, _], [half, _])) =
                of_row.iter().find(|([_, of], [_, half])| (x - of).abs() < *half)
            {
                let ends = [within[0][0], middle + y - half, middle + y + half, within[0][1]];
                go(0, &ends, &mut within);
            }
        }
        [0, 1].map(|axis| {
            let ([low, high], [a, b]) = (within[axis], there[axis]);
            a + (b - a) * (at[axis] - low) / (high - low)
        })
    }
}

#[test]
fn what_is_packed_in_a_can_lies_where_a_count_of_its_metal_carries_it() {
    let text = "shop {
  scale none
}
stock pin = 7 rounds of 15N20, 9 x 120 mm
stack p = pin in can 50 x 46 mm, wall 3 mm, powder of 1084, packed 60 %";
    let weld = "weld p at 1180 C, thinning 10 %, heats 1, spread 0\n";
    let work = check(&format!("{text}\n{weld}"));
    assert!(work.build.faults.is_empty(), "{:?}", work.build.faults);
    let bar = work.build.lot(heatbook::study::last_lot(&work.plan, &work.build, "p").unwrap()).unwrap().bar;
    let makeup = &work.build.bench.makeup;
    let steels = &work.plan.ground.steels;
    let field = Field::new(makeup, bar.node);
    let raster = Raster::new();
    // Sizes: all metal, evenly smaller each way, pressed by a tenth.
    let metal = raster.metal([0.0, CAN[0]], [0.0, CAN[1]]);
    let even = (metal / (CAN[0] * CAN[1])).sqrt();
    assert!(
        (bar.thick - 0.9 * even * CAN[0]).abs() < CELL && (bar.wide - even * CAN[1]).abs() < CELL,
        "{bar:?}"
    );
    // Points carried forward.
    let (mut dice, mut met) = (Dice(5), std::collections::BTreeMap::new());
    for _ in 0..20_000 {
        let at = [dice.next() * CAN[0], dice.next() * CAN[1]];
        let lies = packed_at(at[0], at[1]);
        let round = [-CELL, CELL].into_iter().flat_map(|a| [[at[0] + a, at[1]], [at[0], at[1] + a]]);
        if round.clone().any(|[y, x]| packed_at(y.clamp(0.0, CAN[0]), x.clamp(0.0, CAN[1])) != lies) {
            continue;
        }
        let [s, v] = raster.closed(at);
        let found = &steels[field.steel([s, v, 0.5])].name;
        assert_eq!(found, lies, "{at:?} {s} {v}");
        *met.entry(lies).or_insert(0) += 1;
    }
    assert!(met.len() == 3 && met.values().all(|n| *n > 2_000), "{met:?}");
    // Shares: by counting on the packed section, by counting points of the field, and as the makeup has them.
    let n = 1_600;
    let at = |i: usize| (i as f64 + 0.5) / n as f64;
    let mut counted = [0; 3];
    (0..n * n).for_each(|i| counted[usize::from(field.steel([at(i / n), at(i % n), 0.5]).0)] += 1);
    let rod = 7.0 * std::f64::consts::PI / 4.0 * ROD * ROD;
    let can = CAN[0] * CAN[1] - (CAN[0] - 2.0 * WALL) * (CAN[1] - 2.0 * WALL);
    for (name, area) in [("15N20", rod), ("1018", can), ("1084", metal - rod - can)] {
        let id = steels.pairs().find(|(_, grade)| grade.name == name).unwrap().0;
        let of_field = f64::from(counted[usize::from(id.0)]) / (n * n) as f64;
        let share = makeup.share_of_steel(bar.node, id);
        assert!((of_field - share).abs() < 1e-3, "{name} {of_field} {share}");
        assert!((share - area / metal).abs() < 1e-3, "{name} {share} {}", area / metal);
    }
    // What is bought: tube, and powder by weight; ground off behind the weld, the tube is what the grinder takes, and its steel is gone.
    for (word, cause) in
        [("ground off", heatbook::piece::Cause::Ground), ("peeled", heatbook::piece::Cause::Peeled)]
    {
        let off = check(&format!("{text}, {word}\n{weld}"));
        let lot = heatbook::study::last_lot(&off.plan, &off.build, "p").unwrap();
        let bar = off.build.lot(lot).unwrap().bar;
        let bought: Vec<f64> = off.plan.bought().map(|(_, lot)| off.build.lot(lot).unwrap().mass()).collect();
        let density = 7.85e-3 * 120.0;
        assert!(
            (bought[0] - rod * density).abs() < 1e-6 && (bought[1] - can * density).abs() < 1e-6,
            "{bought:?}"
        );
        assert!((bought[2] / ((metal - rod - can) * density) - 1.0).abs() < 1e-3, "{bought:?}");
        assert!((off.build.ledger.lost(cause) - bought[1]).abs() < 1e-6);
        assert!((bar.mass - bought[0] - bought[2]).abs() < 1e-6 && off.build.balance.error < 1e-9);
        let left: Vec<&str> = off
            .build
            .bench
            .makeup
            .steels(bar.node)
            .map(|id| off.plan.ground.steels[id].name.as_str())
            .collect();
        assert_eq!(left, ["15N20", "1084"]);
    }
}
