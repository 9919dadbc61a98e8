//! Whether a step can be worked on a batch of samples at once with a pay-off: the chain weld, draw, cut, grind.
//! Run: `cargo bench --locked --bench batch`.
//!
//! Three ways to the same figures, bit for bit: the bench of a run, sample by sample; the arithmetic of the steps alone,
//! sample by sample; the same arithmetic over slices, step by step and heat by heat.

#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "this is what a clock is for")]

use std::time::Instant;

use heatbook::forge::Silent;
use heatbook::language;
use heatbook::quantity::Units;
use heatbook::replay::Bench;
use heatbook::source::Files;

const RECIPE: &str = "shop {
  scale 0.05 mm per heat
  spread 0.30
  kerf 2 mm
}

stock dark = 7 bars of 1084, 3 x 40 x 120 mm
stock bright = 6 bars of 1095, 1.5 x 40 x 120 mm
stack billet = alternate dark, bright
weld billet at 1150 C, thinning 15 %, heats 3
draw billet to 9 mm thick, 40 mm wide, heats 5
cut billet 8 mm off each end
grind billet faces 0.4 mm
";
const SPREAD: f64 = 0.30;

/// The figures that are not known exactly: bar thickness, scale, thinning, thickness and width drawn to, crop, grinding.
const INPUTS: [(&str, f64); 7] = [
    ("dark thick", 3.0),
    ("shop scale", 0.05),
    ("weld 1 thinning", 0.15),
    ("draw 1 thick", 9.0),
    ("draw 1 wide", 40.0),
    ("cut 1 off", 8.0),
    ("grind 1 faces", 0.4),
];

type Sample = [f64; 7];

/// One bar on its way: its sizes, mm, where they should be after this heat, and by what factor that moves.
#[derive(Clone, Copy)]
struct Lane {
    sizes: [f64; 3],
    now: [f64; 2],
    step: [f64; 2],
    stopped: bool,
    burnt: bool,
}

/// Begins a press towards a thickness, and a width where one is held.
fn begin(lane: &mut Lane, thick: f64, wide: Option<f64>, heats: u32) {
    let [t, w, _] = lane.sizes;
    let toward = |from: f64, to: f64| if from == to { 1.0 } else { (to / from).powf(1.0 / f64::from(heats)) };
    lane.now = [t, w];
    lane.step = [toward(t, thick), wide.map_or(1.0, |wide| toward(w, wide))];
    lane.stopped = false;
}

/// One heat: the skin, then the press.
fn heat(lane: &mut Lane, skin: f64, (thick, wide): (f64, Option<f64>), last: bool) {
    if lane.stopped {
        return;
    }
    for size in &mut lane.sizes {
        *size -= 2.0 * skin;
        lane.burnt |= size.is_nan() || *size <= 0.0;
    }
    let [t, w, l] = lane.sizes;
    if t < thick {
        lane.stopped = true;
        return;
    }
    lane.now = match (last, lane.now, lane.step) {
        (true, [_, w], _) => [thick, wide.unwrap_or(w)],
        (false, [t, w], [by, over]) => [t * by, w * over],
    };
    let [thick, wide_now] = lane.now;
    // What is to get wider spreads freely until it is as wide as asked.
    let wide_now = wide.map_or(wide_now, |asked| asked.max(wide_now));
    let thick = thick.min(t);
    let volume = t * w * l;
    let free = match wide {
        Some(_) if wide_now <= w => w,
        _ => w * (t / thick).powf(SPREAD),
    };
    let wide = if wide.is_some() { wide_now.min(free) } else { free };
    lane.sizes = [thick, wide, volume / (thick * wide)];
}

/// Welded to this thickness.
fn welded(sample: &Sample, start: f64) -> f64 {
    (1.0 - sample[2].clamp(0.0, 0.99)) * start
}

fn stacked(sample: &Sample) -> Lane {
    let mut thick = 0.0;
    for i in 0..13 {
        thick += if i % 2 == 0 { sample[0] } else { 1.5 };
    }
    let sizes = [thick, 40.0, 120.0];
    Lane { sizes, now: [0.0; 2], step: [1.0; 2], stopped: false, burnt: false }
}

fn finish(lane: &mut Lane, sample: &Sample) {
    let [t, w, l] = lane.sizes;
    lane.sizes = [t - 2.0 * sample[6].max(0.0), w, l - sample[5] - sample[5]];
}

/// One sample from beginning to end.
fn alone(sample: &Sample) -> Lane {
    let mut lane = stacked(sample);
    let thick = welded(sample, lane.sizes[0]);
    begin(&mut lane, thick, None, 3);
    (1..=3).for_each(|i| heat(&mut lane, sample[1], (thick, None), i == 3));
    begin(&mut lane, sample[3], Some(sample[4]), 5);
    (1..=5).for_each(|i| heat(&mut lane, sample[1], (sample[3], Some(sample[4])), i == 5));
    finish(&mut lane, sample);
    lane
}

/// A batch as slices of one figure each.
#[derive(Default)]
struct Batch {
    inputs: [Vec<f64>; 7],
    thick: Vec<f64>,
    wide: Vec<f64>,
    long: Vec<f64>,
    asked: Vec<f64>,
    now: [Vec<f64>; 2],
    step: [Vec<f64>; 2],
    burnt: Vec<f64>,
}

impl Batch {
    fn load(&mut self, samples: &[Sample]) {
        let n = samples.len();
        for (i, input) in self.inputs.iter_mut().enumerate() {
            input.clear();
            input.extend(samples.iter().map(|s| s[i]));
        }
        let [dark, ..] = &self.inputs;
        self.thick.clear();
        self.thick.resize(n, 0.0);
        for i in 0..13 {
            let bright = i % 2 == 1;
            self.thick.iter_mut().zip(dark).for_each(|(t, dark)| *t += if bright { 1.5 } else { *dark });
        }
        for (slice, value) in [(&mut self.wide, 40.0), (&mut self.long, 120.0), (&mut self.burnt, 0.0)] {
            slice.clear();
            slice.resize(n, value);
        }
        let [now, step] = [&mut self.now, &mut self.step];
        now.iter_mut().chain(step).for_each(|slice| slice.resize(n, 1.0));
    }

    /// A press of so many heats towards the thickness asked, and a width where one is held.
    fn press(&mut self, held: bool, heats: u32) {
        let each = 1.0 / f64::from(heats);
        let toward = |from: f64, to: f64| if from == to { 1.0 } else { (to / from).powf(each) };
        let n = self.thick.len();
        // Slices of one length: no bounds are checked in the loops, so that lanes can be worked side by side.
        let [(t, w), (l, burnt)] = [(&mut self.thick, &mut self.wide), (&mut self.long, &mut self.burnt)]
            .map(|(a, b)| (&mut a[..n], &mut b[..n]));
        let [(now_t, now_w), (step_t, step_w)] =
            [&mut self.now, &mut self.step].map(|[a, b]| (&mut a[..n], &mut b[..n]));
        let [_, scale, _, _, asked_w, ..] = &self.inputs;
        let (scale, asked_w, asked) = (&scale[..n], &asked_w[..n], &self.asked[..n]);
        for i in 0..n {
            (now_t[i], step_t[i]) = (t[i], toward(t[i], asked[i]));
            (now_w[i], step_w[i]) = (w[i], if held { toward(w[i], asked_w[i]) } else { 1.0 });
        }
        for heat in 1..=heats {
            let last = heat == heats;
            for i in 0..n {
                // A lane whose skin alone has passed below what is asked takes no further heat.
                let skin = if t[i] < asked[i] { 0.0 } else { 2.0 * scale[i] };
                (t[i], w[i], l[i]) = (t[i] - skin, w[i] - skin, l[i] - skin);
                let sound = (t[i] > 0.0) & (w[i] > 0.0) & (l[i] > 0.0);
                burnt[i] = if sound { burnt[i] } else { 1.0 };
                now_t[i] = if last { asked[i] } else { now_t[i] * step_t[i] };
                now_w[i] = if last & held { asked_w[i] } else { now_w[i] * step_w[i] };
            }
            // What is to get wider spreads freely until it is as wide as asked.
            let to = |now_w: f64, asked_w: f64| if held { now_w.max(asked_w) } else { now_w };
            // A width that is held below what it was needs no power: mostly that is so in all lanes.
            if held && (0..n).all(|i| (to(now_w[i], asked_w[i]) <= w[i]) | (t[i] < asked[i])) {
                for i in 0..n {
                    let (thick, wide) = (now_t[i].min(t[i]), to(now_w[i], asked_w[i]).min(w[i]));
                    let long = t[i] * w[i] * l[i] / (thick * wide);
                    let passed = t[i] < asked[i];
                    t[i] = if passed { t[i] } else { thick };
                    w[i] = if passed { w[i] } else { wide };
                    l[i] = if passed { l[i] } else { long };
                }
                continue;
            }
            for i in 0..n {
                if t[i] < asked[i] {
                    continue;
                }
                let thick = now_t[i].min(t[i]);
                let wide = to(now_w[i], asked_w[i]);
                let free = if held && wide <= w[i] { w[i] } else { w[i] * (t[i] / thick).powf(SPREAD) };
                let wide = if held { wide.min(free) } else { free };
                (t[i], w[i], l[i]) = (thick, wide, t[i] * w[i] * l[i] / (thick * wide));
            }
        }
    }

    fn work(&mut self, samples: &[Sample]) {
        self.load(samples);
        let [_, _, thinning, ..] = &self.inputs;
        self.asked.clear();
        self.asked.extend(self.thick.iter().zip(thinning).map(|(t, p)| (1.0 - p.clamp(0.0, 0.99)) * t));
        self.press(false, 3);
        let [_, _, _, drawn, ..] = &self.inputs;
        self.asked.clone_from(drawn);
        self.press(true, 5);
        let [.., off, faces] = &self.inputs;
        self.long.iter_mut().zip(off).for_each(|(l, off)| *l = *l - *off - *off);
        self.thick.iter_mut().zip(faces).for_each(|(t, off)| *t -= 2.0 * off.max(0.0));
    }
}

fn samples(count: usize) -> Vec<Sample> {
    // Even and without a pattern: multiples of irrational numbers.
    let roots = [2.0f64, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0].map(f64::sqrt);
    let sample = |i: usize| {
        let mut sample = INPUTS.map(|(_, mean)| mean);
        for (value, root) in sample.iter_mut().zip(roots) {
            *value *= 0.95 + 0.1 * (i as f64 * root).fract();
        }
        // Now and then the fire alone takes more than is asked.
        if i.is_multiple_of(50) {
            (sample[1], sample[4]) = (sample[1] * 25.0, sample[4] * 0.4);
        }
        sample
    };
    (0..count).map(sample).collect()
}

/// The middle one of nine.
fn timed(what: &str, count: usize, mut work: impl FnMut() -> f64) {
    let (mut took, mut sum) = ([0.0; 9], 0.0);
    for took in &mut took {
        let start = Instant::now();
        sum = std::hint::black_box(work());
        *took = start.elapsed().as_secs_f64();
    }
    took.sort_by(f64::total_cmp);
    println!("{what}: {:.0} ns a sample ({sum:.3}; {took:.3?} s)", took[4] * 1e9 / count as f64);
}

fn main() {
    // `cargo test` only asks whether all come to the same.
    let timing = std::env::args().any(|arg| arg == "--bench");
    let count = if timing { 100_000 } else { 2_000 };
    let samples = samples(count);
    let mut files = Files::default();
    let base = files.add("batch.heat", RECIPE).unwrap_or(0);
    let (plan, faults) = language::read(&files, base);
    assert!(faults.is_empty(), "{faults:?}");
    let slots = INPUTS.map(|(address, _)| {
        let at = plan.slots.iter().position(|s| s.address == address);
        let known: Vec<_> = plan.slots.iter().map(|s| &s.address).collect();
        at.unwrap_or_else(|| panic!("no {address} among {known:?}")) as u32
    });
    let mut bench = Bench::default();
    let mut run = |sample: &Sample| -> [f64; 3] {
        let set: [(u32, f64); 7] = std::array::from_fn(|i| (slots[i], sample[i]));
        let done = bench.work(&plan, &set, Units::Metric, &mut Silent);
        assert!(done.is_ok(), "{done:?}");
        let last = *plan.pieces.last().expect("a piece");
        bench.lots[last].expect("bars").bar.sizes()
    };
    let mut batch = Batch::default();
    for part in samples.chunks(1000) {
        batch.work(part);
        for (i, sample) in part.iter().enumerate() {
            let lane = alone(sample);
            let bits = |sizes: [f64; 3]| sizes.map(f64::to_bits);
            assert_eq!(bits(run(sample)), bits(lane.sizes), "{sample:?}");
            assert_eq!(bits([batch.thick[i], batch.wide[i], batch.long[i]]), bits(lane.sizes), "{sample:?}");
            assert!(!lane.burnt && batch.burnt[i] == 0.0);
        }
    }
    println!("all three come to the same bits in {count} samples");
    if !timing {
        return;
    }
    timed("one by one on the bench of a run", count, || samples.iter().map(|s| run(s)[2]).sum());
    timed("one by one, the arithmetic alone", count, || samples.iter().map(|s| alone(s).sizes[2]).sum());
    for size in [64, 512, 4096, count] {
        timed(&format!("in batches of {size}"), count, || {
            let parts = samples.chunks(size).map(|part| {
                batch.work(part);
                batch.long.iter().sum::<f64>()
            });
            parts.sum()
        });
    }
}
