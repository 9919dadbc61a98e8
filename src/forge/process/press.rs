//! Pressing: the schedule of a step of `n` heats. Take the skin, then press one n-th of the way, n times.
//!
//! Everything here is arithmetic on three sizes in mm; `metal.md` fixes it. The pressed direction is called
//! thickness; a caller that presses the width hands the sizes over changed round.

use crate::forge::process::fire::Stay;
use crate::forge::process::grip::Law;
use crate::forge::process::skin::{BurntAway, Skin};

/// What is pressed towards, mm.
#[derive(Clone, Copy, Debug)]
pub enum Aim {
    /// A thickness; the width follows.
    Thick(f64),
    /// A thickness and a width; the width is held by edging.
    Both(f64, f64),
    /// A width, with the tool along the bar, by this coefficient.
    Wide(f64, f64),
    /// A length, end to end; thickness and width grow alike.
    Short(f64),
    /// Nothing: the fire alone.
    Rest,
}

/// A step of so many heats, all but what it presses towards. Sizes in working order, mm.
#[derive(Clone, Copy, Debug)]
pub struct Schedule {
    /// The sizes that it starts from.
    pub start: [f64; 3],
    /// The spread law.
    pub law: Law,
    /// What each heat burns off.
    pub skin: Skin,
    /// How many heats.
    pub heats: u32,
    /// How long each heat stays in the fire.
    pub stay: Stay,
    /// Whether anybody asks where each mm went.
    pub books: bool,
}

/// One heat of a step.
#[derive(Clone, Copy, Debug)]
pub struct Beat {
    /// Sizes out of the fire, skin off, mm.
    pub hot: [f64; 3],
    /// Sizes after the presses of this heat, mm.
    pub pressed: [f64; 3],
    /// How far this heat's work shapes the bar, as a factor: thinning and edging, or widening, or shortening.
    pub worked: f64,
    /// Minutes in the fire.
    pub minutes: f64,
}

/// Sums of one cause over a step, mm, for thickness, width and length.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moves {
    /// Burnt off.
    pub scale: [f64; 3],
    /// Squeezed, and the length that gives.
    pub pressed: [f64; 3],
    /// Gained sideways.
    pub spread: [f64; 3],
    /// Pushed back on edge.
    pub edged: [f64; 3],
    /// Upset.
    pub upset: [f64; 3],
}

/// What a step of pressing comes to.
#[derive(Clone, Copy, Debug)]
pub struct Pressed {
    /// The sizes after it, mm.
    pub sizes: [f64; 3],
    /// What the fire left of each size, as a fraction.
    pub kept: [f64; 3],
    /// Where each mm went.
    pub moves: Moves,
    /// Heats used: fewer than planned where the skin alone passed below the size asked.
    pub heats: u32,
    /// Whether that was so.
    pub skin_passed: bool,
    /// The thickness less skins over the thickness, of the presses alone, as a factor.
    pub squeezed: f64,
    /// The largest share of the width pushed back on edge in one heat, and width over thickness then.
    pub edging: (f64, f64),
    /// The largest share of the volume that one heat burnt off.
    pub heaviest: f64,
    /// What the heats burnt off each face in all, mm.
    pub burnt: f64,
    /// Minutes in the fire, along each axis over the square of how far it had been forged by then; where they were timed.
    pub seen: [f64; 3],
    /// Heats planned, and what was pressed towards.
    pub of: (u32, Aim),
}

impl Pressed {
    /// The same press, booked as edging: what was pressed went back on edge.
    #[must_use]
    pub fn on_edge(mut self) -> Pressed {
        add(&mut self.moves.edged, self.moves.pressed);
        self.moves.pressed = [0.0; 3];
        self
    }
}

/// The order of sizes while a step presses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The thickness is pressed.
    Flat,
    /// The width is pressed.
    OnEdge,
}

impl Way {
    /// Sizes or sums in the order that the schedule works in, and back again.
    #[must_use]
    pub fn order<T: Copy>(self, [t, w, l]: [T; 3]) -> [T; 3] {
        if self == Way::OnEdge { [w, t, l] } else { [t, w, l] }
    }
}

impl Schedule {
    /// Runs it.
    ///
    /// # Errors
    /// Where the fire leaves nothing.
    pub fn run(self, aim: Aim) -> Result<Pressed, BurntAway> {
        self.watch(aim, |_| {})
    }

    /// Runs it under someone's eyes, heat by heat.
    ///
    /// # Errors
    /// Where the fire leaves nothing.
    pub fn watch(self, aim: Aim, mut each: impl FnMut(&Beat)) -> Result<Pressed, BurntAway> {
        let mut p = Pressed {
            sizes: self.start,
            kept: [1.0; 3],
            moves: Moves::default(),
            heats: self.heats,
            skin_passed: false,
            squeezed: 1.0,
            edging: (0.0, 0.0),
            heaviest: 0.0,
            burnt: 0.0,
            seen: [0.0; 3],
            of: (self.heats, aim),
        };
        let mut way = OnTheWay::new(self.start, aim, self.heats);
        for i in 1..=self.heats {
            let before = p.sizes;
            let minutes = self.stay.minutes(before, i == 1);
            if minutes > 0.0 {
                for (((seen, size), kept), start) in p.seen.iter_mut().zip(before).zip(p.kept).zip(self.start)
                {
                    let unforged = start * kept / size;
                    *seen += minutes * unforged * unforged;
                }
            }
            let lost = self.skin.take(&mut p.sizes, &mut p.kept, minutes)?;
            p.heaviest = p.heaviest.max(lost);
            p.burnt += (before[0] - p.sizes[0]) / 2.0;
            if self.books {
                for ((sum, after), before) in p.moves.scale.iter_mut().zip(p.sizes).zip(before) {
                    *sum += after - before;
                }
            }
            let hot = p.sizes;
            if passed(aim, p.sizes) {
                (p.heats, p.skin_passed) = (i, true);
                each(&Beat { hot, pressed: hot, worked: 1.0, minutes });
                break;
            }
            way.step(i == self.heats);
            let worked = press(&mut p, aim, self.law, &way, self.books);
            each(&Beat { hot, pressed: p.sizes, worked, minutes });
        }
        Ok(p)
    }
}

fn passed(aim: Aim, [t, _, l]: [f64; 3]) -> bool {
    match aim {
        Aim::Thick(wanted) | Aim::Both(wanted, _) => t < wanted,
        Aim::Short(wanted) => l < wanted,
        Aim::Wide(..) | Aim::Rest => false,
    }
}

/// Where thickness, width and length should be after each heat: from start to end in equal log strain; the last heat
/// lands on the end exactly.
struct OnTheWay {
    now: [f64; 3],
    step: [f64; 3],
    end: [f64; 3],
}

impl OnTheWay {
    fn new(start: [f64; 3], aim: Aim, heats: u32) -> OnTheWay {
        let mut end = start;
        match aim {
            Aim::Thick(t) => end[0] = t,
            Aim::Both(t, w) => (end[0], end[1]) = (t, w),
            Aim::Wide(w, _) => end[1] = w,
            Aim::Short(l) => end[2] = l,
            Aim::Rest => {}
        }
        let mut step = [1.0; 3];
        for ((step, start), end) in step.iter_mut().zip(start).zip(end) {
            if start != end {
                *step = (end / start).powf(1.0 / f64::from(heats));
            }
        }
        OnTheWay { now: start, step, end }
    }

    fn step(&mut self, last: bool) {
        if last {
            self.now = self.end;
            return;
        }
        for (now, step) in self.now.iter_mut().zip(self.step) {
            *now *= step;
        }
    }
}

/// Presses one heat; gives how far its work shaped the bar, as a factor.
fn press(p: &mut Pressed, aim: Aim, law: Law, way: &OnTheWay, books: bool) -> f64 {
    let [t, w, l] = p.sizes;
    let [thick_now, wide_now, long_now] = way.now;
    let volume = t * w * l;
    let m = &mut p.moves;
    match aim {
        Aim::Thick(_) | Aim::Both(..) => {
            let thick = thick_now.min(t);
            let squeeze = t / thick;
            // A bar that is to get narrower is edged a share in each heat; one that is to get wider is edged back only
            // from where it is as wide as asked.
            let most = if let Aim::Both(_, asked) = aim { wide_now.max(asked) } else { f64::INFINITY };
            // A width that is held below what it was needs no spread law, unless somebody asks how much was edged.
            let held = !books && most <= w;
            let free = if held { w } else { w * squeeze.powf(law.coefficient(w, t, thick)) };
            let wide = most.min(free);
            let long = volume / (thick * wide);
            let long_free = if books { volume / (thick * free) } else { long };
            p.squeezed *= squeeze;
            let edging = 1.0 - wide / free;
            if edging > p.edging.0 {
                p.edging = (edging, free / thick);
            }
            if books {
                add(&mut m.pressed, [thick - t, 0.0, long_free - l]);
                add(&mut m.spread, [0.0, free - w, 0.0]);
                add(&mut m.edged, [0.0, wide - free, long - long_free]);
            }
            p.sizes = [thick, wide, long];
            squeeze * (free / wide)
        }
        Aim::Wide(_, s) => {
            let wide = wide_now.max(w);
            let thick = t / (wide / w).powf(1.0 / s);
            let long = volume / (thick * wide);
            p.squeezed *= t / thick;
            if books {
                add(&mut m.pressed, [thick - t, 0.0, long - l]);
                add(&mut m.spread, [0.0, wide - w, 0.0]);
            }
            p.sizes = [thick, wide, long];
            t / thick
        }
        Aim::Short(_) => {
            let long = long_now.min(l);
            let grow = (l / long).sqrt();
            p.squeezed *= l / long;
            if books {
                add(&mut m.upset, [t * grow - t, w * grow - w, long - l]);
            }
            p.sizes = [t * grow, w * grow, long];
            l / long
        }
        Aim::Rest => 1.0,
    }
}

fn add(sums: &mut [f64; 3], more: [f64; 3]) {
    for (sum, more) in sums.iter_mut().zip(more) {
        *sum += more;
    }
}
