//! Recipes at random: well typed, long, each step aimed at what the piece at that moment can give.

use super::metal::Bar;
use super::run::{Lot, Second, look};
use super::tree::{
    Cut, Fire, Item, Len, Looked, Outline, Press, Recipe, STEELS, Scale, Shop, Side, Step, Unit,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Sheets that a recipe may come to; beyond this nothing is stacked or folded any more.
const SHEETS: usize = 1200;

/// Makes recipes.
pub struct Maker {
    rng: Pcg64Mcg,
    second: Second,
    names: usize,
    /// Pieces that were hardened: they go into no fire again.
    hard: Vec<String>,
}

/// The recipe of a seed: 10 to 60 steps; about a fifth end in a step that cannot be done.
pub fn recipe(seed: u64) -> Recipe {
    let mut rng = Pcg64Mcg::seed_from_u64(seed);
    let shop = shop(&mut rng);
    let second = Second::new(&shop, None);
    let mut maker = Maker { rng, second, names: 0, hard: Vec::new() };
    let many = maker.rng.random_range(10..=60);
    let mut steps: Vec<Step> = Vec::new();
    let mut count = 0;
    for _ in 0..20 * many {
        if count >= many {
            break;
        }
        for step in maker.propose() {
            // A `repeat` counts as what it is written out.
            let flat = Recipe { shop: shop.clone(), steps: vec![step.clone()] };
            let flat = flat.written_out();
            let before = (maker.second.clone(), maker.hard.clone());
            let sane = flat.iter().all(|s| maker.second.step(s).is_ok()) && maker.sane();
            if !sane {
                (maker.second, maker.hard) = before;
                break;
            }
            count += flat.len();
            if let Step::Harden { name, .. } = &step {
                maker.hard.push(name.clone());
            }
            steps.push(step);
        }
    }
    if maker.rng.random_bool(0.2) {
        for _ in 0..30 {
            let Some(step) = maker.faulty() else { continue };
            if maker.second.clone().step(&step).is_err() {
                steps.push(step);
                break;
            }
        }
    }
    Recipe { shop, steps }
}

fn round_to(x: f64, digits: i32) -> f64 {
    let by = 10f64.powi(digits);
    (x * by).round() / by
}

/// A length near so many mm, in some unit.
fn len(rng: &mut Pcg64Mcg, mm: f64) -> Len {
    let small = i32::from(mm < 3.0);
    match rng.random_range(0..20) {
        0..=11 => {
            let digits = rng.random_range(1..=3) + small;
            Len { figure: round_to(mm, digits), unit: Unit::Mm }
        }
        12..=13 => Len { figure: round_to(mm / 10.0, 3 + small), unit: Unit::Cm },
        14..=16 => Len { figure: round_to(mm / 25.4, 3 + small), unit: Unit::Inch },
        17..=18 if mm > 6.0 => Len { figure: (mm / 25.4 * 64.0).round() / 64.0, unit: Unit::Fraction },
        _ => Len { figure: (mm / 0.0254).round(), unit: Unit::Thou },
    }
}

fn shop(rng: &mut Pcg64Mcg) -> Shop {
    Shop {
        kerf: match rng.random_range(0..4) {
            0 => None,
            1 => Some(Len::of_mm(0.0)),
            _ => {
                let mm = rng.random_range(0.5..3.0);
                Some(len(rng, mm))
            }
        },
        scale: match rng.random_range(0..5) {
            0 => Scale::None,
            1..=2 => {
                let mm = rng.random_range(0.01..0.12);
                Scale::Each(len(rng, mm))
            }
            3 => Scale::Each(Len::of_mm(0.05)),
            _ => Scale::Share(round_to(rng.random_range(0.2..2.5), 2)),
        },
        spread: rng.random_bool(0.3).then(|| round_to(rng.random_range(0.1..0.6), 3)),
    }
}

impl Maker {
    fn sane(&self) -> bool {
        self.second.sheets() <= 2 * SHEETS
            && self.second.lots.values().all(|lot| {
                let [t, w, l] = lot.bars[0].size;
                t > 1.2 && w > 4.0 && l > 12.0 && t < 400.0 && w < 500.0 && l < 4000.0
            })
    }

    fn name(&mut self) -> String {
        self.names += 1;
        format!("p{}", self.names)
    }

    fn len(&mut self, mm: f64) -> Len {
        len(&mut self.rng, mm)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.rng.random_range(low..high)
    }

    fn fire(&mut self) -> Fire {
        Fire {
            heats: Some(self.rng.random_range(1..=5)),
            celsius: f64::from(self.rng.random_range(105..=120) * 10),
            minutes: f64::from(self.rng.random_range(3..=12)),
        }
    }

    fn spread(&mut self) -> Option<f64> {
        let stated = round_to(self.between(0.05, 0.7), 3);
        (!self.has_spread() || self.rng.random_bool(0.6)).then_some(stated)
    }

    fn has_spread(&self) -> bool {
        self.second.shop_spread().is_some()
    }

    fn press(&mut self, size: f64) -> Press {
        match self.rng.random_range(0..4) {
            0 => Press::Unsaid,
            1..=2 => Press::Thinning(round_to(self.between(6.0, 25.0), 1)),
            _ => {
                let to = size * self.between(0.75, 0.92);
                Press::To(self.len(to))
            }
        }
    }

    fn stock(&mut self, count: usize, size: [f64; 3]) -> (String, Step) {
        let name = self.name();
        let steel = self.rng.random_range(0..STEELS.len());
        let size = size.map(|mm| self.len(mm)).to_vec();
        (name.clone(), Step::Stock { name, count, round: false, square: false, steel, size })
    }

    /// A piece that is solid and not hard, and what it is.
    fn some(&mut self, ok: impl Fn(&Lot) -> bool) -> Option<(String, Lot)> {
        let names: Vec<&String> = self
            .second
            .lots
            .iter()
            .filter(|(n, lot)| !self.hard.contains(n) && ok(lot))
            .map(|(n, _)| n)
            .collect();
        if names.is_empty() {
            return None;
        }
        let name = names[self.rng.random_range(0..names.len())].clone();
        let lot = self.second.lots[&name].clone();
        Some((name, lot))
    }

    fn after(&self, step: &Step, name: &str) -> Option<Bar> {
        let mut second = self.second.clone();
        second.step(step).ok()?;
        second.lots.get(name).map(|lot| lot.bars[0].clone())
    }

    /// Some steps that belong together.
    fn propose(&mut self) -> Vec<Step> {
        let lots = self.second.lots.len();
        if lots == 0 || lots < 6 && self.rng.random_bool(0.08) {
            return self.fresh();
        }
        if let Some((name, lot)) = self.some(|lot| lot.loose.is_some())
            && self.rng.random_bool(0.8)
        {
            return self.on_loose(name, &lot);
        }
        let Some((name, lot)) = self.some(|lot| lot.loose.is_none()) else { return self.fresh() };
        let bar = lot.bars[0].clone();
        let [t, w, l] = bar.size;
        let stacking = self.second.sheets() < SHEETS;
        match self.rng.random_range(0..102) {
            0..=27 => self.draw(name, &bar).into_iter().collect(),
            28..=32 => {
                let wide = w * self.between(1.05, 1.5);
                let (wide, fire) = (self.len(wide), self.fire());
                let spread = round_to(self.between(0.3, 0.95), 3);
                vec![Step::Spread { name, wide, fire, spread }]
            }
            33..=36 if w < 9.0 * t => {
                let wide = w * self.between(0.7, 0.97);
                let (wide, fire, spread) = (self.len(wide), self.fire(), self.spread());
                vec![Step::Edge { name, wide, fire, spread }]
            }
            37..=40 if l < 9.0 * t => {
                let long = l * self.between(0.75, 0.96);
                let (long, fire) = (self.len(long), self.fire());
                vec![Step::Upset { name, long, fire }]
            }
            41..=43 if l > 150.0 && t < 20.0 && stacking => {
                let leaves = self.rng.random_bool(0.6).then(|| self.rng.random_range(2..=4));
                let kerf = self.rng.random_bool(0.3).then(|| Len::of_mm(1.5));
                vec![Step::Fold { name, leaves, kerf }]
            }
            44..=55 => self.cut(name, &lot).into_iter().collect(),
            56..=62 => vec![self.grind(name, &bar)],
            63..=68 if stacking => self.join(name, &lot),
            69..=71 => vec![Step::Turn { name }],
            72..=74 => vec![Step::Flip { name }],
            75..=77 => {
                let mut fire = self.fire();
                if self.rng.random_bool(0.4) {
                    fire.heats = None;
                }
                vec![Step::Heat { name, fire }]
            }
            78..=79 => {
                let fire = Fire { heats: None, celsius: 830.0, minutes: 5.0 };
                let times = self.rng.random_range(1..=3);
                vec![Step::Normalise { name, times, fire }]
            }
            80 if bar.outline == Outline::Square && lots > 2 => self.harden(name),
            81..=84 if bar.outline == Outline::Square => self.measure(name, &lot).into_iter().collect(),
            85..=86 => vec![self.expect(name, &bar)],
            87..=90 => self.repeated(name, &bar),
            91..=96 if stacking => self.stack(name, &lot),
            99 if stacking && many_alike(&lot) => self.can(name, &lot),
            100..=101 if 7 * bar.sheets.len() < SHEETS && bar.grown == 1.0 => self.bundle_of(name, &lot),
            97 => {
                let Some((from, _)) = self.second.rack.last().cloned() else { return vec![] };
                let name = self.name();
                vec![Step::FromRack { name, from }]
            }
            98 => {
                // What is one piece already may be welded again.
                let (press, fire, spread) = (self.press(t), self.fire(), self.spread());
                vec![Step::Weld { name, press, fire, spread }]
            }
            _ => vec![],
        }
    }

    fn fresh(&mut self) -> Vec<Step> {
        let many = self.rng.random_range(1..=6);
        let size = [self.between(2.0, 14.0), self.between(16.0, 50.0), self.between(80.0, 260.0)];
        if self.rng.random_bool(0.2) {
            let name = self.name();
            let round = self.rng.random_bool(0.5);
            let across = self.between(10.0, 30.0);
            let size = vec![self.len(across), self.len(size[2])];
            let steel = self.rng.random_range(0..STEELS.len());
            return vec![Step::Stock { name, count: many, round, square: !round, steel, size }];
        }
        if self.second.sheets() < SHEETS / 2 && self.rng.random_bool(0.2) {
            return if self.rng.random_bool(0.5) { self.bundle() } else { self.rounds_in_can() };
        }
        if self.second.sheets() >= SHEETS || self.rng.random_bool(0.3) {
            return vec![self.stock(many, size).1];
        }
        // Two steels by turns.
        let more = self.rng.random_range(0..=1);
        let (a, one) = self.stock(many + more, size);
        let Step::Stock { size: sizes, .. } = &one else { return vec![] };
        let sizes = sizes.clone();
        let thin = self.between(1.2, 4.0);
        let (b, mut two) = self.stock(many, [thin, size[1], size[2]]);
        if let Step::Stock { size, .. } = &mut two
            && self.rng.random_bool(0.6)
        {
            size[1..].copy_from_slice(&sizes[1..]);
        }
        let name = self.name();
        let items = [a, b].map(|name| Item { count: None, name, turned: false, flipped: false });
        let trimmed = self.rng.random_bool(0.2);
        vec![
            one,
            two,
            Step::Stack { name, alternate: true, items: items.to_vec(), side: false, trimmed, bundle: false },
        ]
    }

    /// New rods: their count, diameter and length.
    fn rods(&mut self, count: usize, across: Len, long: Len) -> (String, Step) {
        let name = self.name();
        let steel = self.rng.random_range(0..STEELS.len());
        let size = vec![across, long];
        (name.clone(), Step::Stock { name, count, round: true, square: false, steel, size })
    }

    /// New rods in a bundle, of one steel or of two.
    fn bundle(&mut self) -> Vec<Step> {
        let count = [7, 7, 7, 7, 19, 19, 37, 61, 91][self.rng.random_range(0..9)];
        let (across, long) = (self.between(5.5, 12.0), self.between(80.0, 200.0));
        let (across, long) = (self.len(across), self.len(long));
        let item = |count, name: &str| Item { count, name: name.to_owned(), turned: false, flipped: false };
        let name = self.name();
        let (mut steps, items) = if self.rng.random_bool(0.4) {
            // Some may stay.
            let over = self.rng.random_range(0..=2);
            let (rod, stock) = self.rods(count + over, across, long);
            (vec![stock], vec![item((over > 0).then_some(count), &rod)])
        } else {
            let first = self.rng.random_range(1..count - 1);
            let middle = self.rng.random_range(1..count - first);
            let (a, one) = self.rods(count - middle, across, long);
            let (b, two) = self.rods(middle, across, long);
            (vec![one, two], vec![item(Some(first), &a), item(None, &b), item(None, &a)])
        };
        steps.push(in_bundle(name, items));
        steps
    }

    /// Rounds that there are in a bundle, or a piece drawn round, cut in seven and put together again.
    fn bundle_of(&mut self, name: String, lot: &Lot) -> Vec<Step> {
        let bar = &lot.bars[0];
        let [t, w, l] = bar.size;
        let mut item = Item { count: None, name: name.clone(), turned: false, flipped: false };
        item.turned = self.rng.random_bool(0.2);
        item.flipped = self.rng.random_bool(0.2);
        let to = if self.rng.random_bool(0.5) { name.clone() } else { self.name() };
        let round = bar.outline == Outline::Round;
        if round && lot.bars.len() >= 7 {
            item.count = (lot.bars.len() > 7).then_some(7);
            return vec![in_bundle(to, vec![item])];
        }
        let side = (t * w * l / self.between(320.0, 900.0)).sqrt().min(0.9 * t.min(w));
        if lot.bars.len() > 1 || side < 5.0 {
            return vec![];
        }
        let (across, fire, spread) =
            (self.len(side / super::metal::round_side(1.0)), self.fire(), self.spread());
        let outline = Some((Outline::Round, across));
        vec![
            Step::Draw { name: name.clone(), size: [None; 3], outline, hot: None, fire, spread },
            Step::Cut { name, cut: Cut::Into(7), kerf: None, keep: None },
            in_bundle(to, vec![item]),
        ]
    }

    /// A can's inside for so many rounds: for the hexagon, for nested rows or for one row on the other.
    fn room_for(&mut self, count: usize, d: f64) -> [f64; 2] {
        let most = self.rng.random_range(1..=5_usize).min(count);
        let broad = d * (most as f64 + self.between(0.02, 0.98));
        // Rows of `most` hold them any way; nested, one row more makes good for the short ones.
        let rows = count.div_ceil(most) as f64;
        let slack = self.between(1.005, 1.25);
        match self.rng.random_range(0..3) {
            0 => [d * (1.0 + 0.866_03 * rows) * slack, broad],
            1 => [d * rows * slack, broad],
            _ => {
                let n = (2..=6).find(|n| 3 * n * (n - 1) + 1 >= count).unwrap_or(6) as f64;
                let looser = self.between(1.005, 1.25);
                [d * (3f64.sqrt() * (n - 1.0) + 1.0) * slack, d * (2.0 * n - 1.0) * looser]
            }
        }
    }

    /// New rods in a can.
    fn rounds_in_can(&mut self) -> Vec<Step> {
        let count = match self.rng.random_range(0..4) {
            0 => [7, 7, 19, 37][self.rng.random_range(0..4)],
            _ => self.rng.random_range(1..=14),
        };
        let (across, long) = (self.between(5.5, 14.0), self.between(80.0, 200.0));
        let (across, long) = (self.len(across), self.len(long));
        let (rod, stock) = self.rods(count, across, long);
        let room = self.room_for(count, across.mm());
        let can = self.can_round(rod, room, long.mm(), false);
        vec![stock, can]
    }

    /// Bars in a can with room round them, or powder alone.
    fn can(&mut self, of: String, lot: &Lot) -> Vec<Step> {
        let [t, w, l] = lot.bars[0].size;
        let alone = self.rng.random_bool(0.3);
        let rows = if alone { 1 } else { lot.bars.len() };
        // One on the other with room for no second beside it, but now and then for two.
        let broad =
            w * if self.rng.random_bool(0.3) { self.between(2.02, 2.6) } else { self.between(1.02, 1.9) };
        let high = (t * rows as f64 * self.between(1.02, 1.8)).max(8.0);
        let room = if lot.bars[0].outline == Outline::Round && !alone {
            self.room_for(lot.bars.len(), lot.bars[0].shown()[0])
        } else {
            [high, broad]
        };
        vec![self.can_round(of, room, l, alone)]
    }

    /// A can with so much room, its powder and its wall.
    fn can_round(&mut self, of: String, room: [f64; 2], l: f64, alone: bool) -> Step {
        let wall = self.between(1.5, 4.0);
        let size = room.map(|mm| self.len(mm + 2.0 * wall));
        let (wall, long) = (self.len(wall), self.len(l));
        let name = if alone || self.rng.random_bool(0.5) { self.name() } else { of.clone() };
        let powder = self.rng.random_range(0..STEELS.len());
        let packed = round_to(self.between(40.0, 75.0), 1);
        let (of, ground) = ((!alone).then_some(of), self.rng.random_bool(0.5));
        Step::Can { name, of, size, long, wall, powder, packed, ground }
    }

    fn on_loose(&mut self, name: String, lot: &Lot) -> Vec<Step> {
        let [t, _, _] = lot.bars[0].size;
        if lot.packed.is_some() {
            // A size asked counts from what it is once the voids are closed.
            let press = match self.press(t) {
                Press::To(to) => Press::To(to),
                _ => Press::Thinning(round_to(self.between(8.0, 30.0), 1)),
            };
            let (fire, spread) = (self.fire(), self.spread());
            return vec![Step::Weld { name, press, fire, spread }];
        }
        let side = lot.loose == Some(true);
        if self.rng.random_bool(0.05) {
            return vec![self.expect(name, &lot.bars[0])];
        }
        // A loose stack may go into another one.
        if !side && self.rng.random_bool(0.1) && self.second.sheets() < SHEETS {
            return self.stack(name, lot);
        }
        let (fire, spread) = (self.fire(), self.spread());
        let press = match self.press(t) {
            Press::To(_) if side => Press::Unsaid,
            press => press,
        };
        vec![Step::Weld { name, press, fire, spread }]
    }

    fn draw(&mut self, name: String, bar: &Bar) -> Option<Step> {
        let [t, w, l] = bar.size;
        let (fire, spread) = (self.fire(), self.spread());
        let kind = self.rng.random_range(0..16);
        let hot = (self.rng.random_bool(0.2)).then(|| f64::from(self.rng.random_range(82..=115) * 10));
        let grow = 1.0 + hot.map_or(0.0, super::metal::expansion);
        let down = t * self.between(0.5, 0.93);
        let thick = self.len(down);
        let hot_len = |len: Len| {
            if hot.is_some() { Len::of_mm(round_to(len.mm() * grow, 3)) } else { len }
        };
        let step = |size: [Option<Len>; 3], outline: Option<(Outline, Len)>| Step::Draw {
            name: name.clone(),
            size: size.map(|s| s.map(hot_len)),
            outline: outline.map(|(o, s)| (o, hot_len(s))),
            hot,
            fire,
            spread,
        };
        if kind < 3 {
            return Some(step([Some(thick), None, None], None));
        }
        if kind < 5 {
            let long = l * self.between(1.15, 1.9);
            let long = self.len(long);
            return Some(step([None, None, Some(long)], None));
        }
        if kind < 8 {
            let side = t.min(w) * self.between(0.5, 0.9);
            let outline = [Outline::Square, Outline::Round, Outline::Octagon][self.rng.random_range(0..3)];
            let side = self.len(side);
            return Some(step([None; 3], Some((outline, side))));
        }
        let free = self.after(&step([Some(thick), None, None], None), &name)?;
        let wide = match self.rng.random_range(0..4) {
            0 => free.size[1] * self.between(0.85, 0.99),
            1 => w,
            2 => w * self.between(0.85, 1.0),
            _ => w + (free.size[1] - w) * self.between(0.05, 0.95),
        };
        let wide = self.len(wide.min(free.size[1] * 0.9995));
        let both = step([Some(thick), Some(wide), None], None);
        if kind < 11 {
            return Some(both);
        }
        let long = self.after(&both, &name)?.size[2];
        let off = if kind == 15 { self.between(0.994, 1.006) } else { 1.0 };
        let long = self.len(long * off);
        Some(match kind {
            11..=12 => step([Some(thick), None, Some(long)], None),
            13..=14 => step([None, Some(wide), Some(long)], None),
            _ => step([Some(thick), Some(wide), Some(long)], None),
        })
    }

    fn cut(&mut self, name: String, lot: &Lot) -> Option<Step> {
        let bar = &lot.bars[0];
        let l = bar.size[2];
        let kerf = self.rng.random_bool(0.2).then(|| Len::of_mm(1.0));
        let keep = self.rng.random_bool(0.3).then(|| self.name());
        let off = self.between(1.0, 8.0_f64.min(l / 5.0));
        let (cut, keeps) = match self.rng.random_range(0..8) {
            0..=1 if lot.bars.len() < 5 && l > 100.0 => (Cut::Into(self.rng.random_range(2..=4)), false),
            2 if l > 100.0 => {
                let n = self.rng.random_range(2..=3);
                (Cut::Named((0..n).map(|_| self.name()).collect()), false)
            }
            3 if l > 80.0 => {
                let at = l * self.between(0.3, 0.7);
                (Cut::At(self.len(at), self.name(), self.name()), false)
            }
            4 => {
                let to = l * self.between(0.6, 0.999);
                (Cut::To(self.len(to)), true)
            }
            // Ends that are unlike would need two names.
            5 if !bar.changes_along() => (Cut::Each(self.len(off)), true),
            6 => (Cut::Heel(self.len(off)), true),
            7 => (Cut::Tip(self.len(off)), true),
            _ => return None,
        };
        let step = Step::Cut { name, cut, kerf, keep: if keeps { keep } else { None } };
        // Keeping what there is not is another fault.
        if let Step::Cut { keep: Some(_), .. } = &step {
            let mut second = self.second.clone();
            let before = second.rack.len();
            second.step(&step).ok()?;
            if second.rack.len() == before {
                return None;
            }
        }
        Some(step)
    }

    fn grind(&mut self, name: String, bar: &Bar) -> Step {
        let [t, w, l] = bar.size;
        let mut off = [None; 3];
        let mut to = [None; 2];
        if bar.outline != Outline::Square && self.rng.random_bool(0.6) {
            off[2] = Some(Len::of_mm(0.5));
            return Step::Grind { name, off, to };
        }
        let faces = t * self.between(0.01, 0.08);
        let edges = w * self.between(0.01, 0.05);
        let ends = (l * self.between(0.002, 0.02)).max(0.1);
        match self.rng.random_range(0..6) {
            0 => off[0] = Some(self.len(faces)),
            1 => off = [Some(self.len(faces)), Some(self.len(edges)), None],
            2 => off = [Some(self.len(faces)), Some(self.len(edges)), Some(self.len(ends))],
            3 => to[0] = Some(self.len(t - faces)),
            4 => to[1] = Some(self.len(w - edges)),
            _ => {
                to[0] = Some(self.len(t - faces));
                off[1] = Some(self.len(edges));
            }
        }
        Step::Grind { name, off, to }
    }

    fn join(&mut self, name: String, lot: &Lot) -> Vec<Step> {
        let [t, w, l] = lot.bars[0].size;
        let side = [Side::Edge, Side::End, Side::Face][self.rng.random_range(0..3)];
        let trimmed = self.rng.random_bool(0.4);
        let more = if trimmed { 1.05 } else { 1.0 };
        let size = match side {
            Side::Edge => [t * more, self.between(6.0, 25.0), l * more],
            Side::End => [t, w * more, self.between(30.0, 120.0)],
            Side::Face => [self.between(2.0, 10.0), w * more, l * more],
        };
        let (other, stock) = self.stock(lot.bars.len(), size);
        let across = match side {
            Side::Edge => w + size[1],
            Side::End => l + size[2],
            Side::Face => t + size[0],
        };
        let (press, fire, spread) = (self.press(across), self.fire(), self.spread());
        vec![stock, Step::Join { name: other, to: name, side, press, trimmed, fire, spread }]
    }

    fn harden(&mut self, name: String) -> Vec<Step> {
        let fire = Fire { heats: None, celsius: 815.0, minutes: 5.0 };
        let mut steps = vec![Step::Harden { name: name.clone(), fire }];
        if self.rng.random_bool(0.7) {
            let times = self.rng.random_range(1..=2);
            steps.push(Step::Temper { name: name.clone(), celsius: 200.0, hours: 2.0, times });
        }
        let off = [Some(Len::of_mm(0.1)), None, Some(Len::of_mm(0.3))];
        steps.push(Step::Grind { name: name.clone(), off, to: [None; 2] });
        let kerf = self.rng.random_bool(0.5).then(|| Len::of_mm(1.0));
        steps.push(Step::Cut { name, cut: Cut::Tip(Len::of_mm(4.0)), kerf, keep: None });
        steps
    }

    fn measure(&mut self, name: String, lot: &Lot) -> Option<Step> {
        let size = lot.bars[0].size;
        let digits = self.rng.random_range(1..=2);
        let read = |mm: f64| Some(Len::of_mm(round_to(mm, digits)));
        let mut out = [None; 3];
        if lot.moved == [true; 3] {
            let by = [self.between(0.97, 1.03), self.between(0.97, 1.03)];
            match self.rng.random_range(0..5) {
                0 => out[0] = read(size[0] * by[0]),
                1 => out = [read(size[0] * by[0]), read(size[1] * by[1]), None],
                2 => out[2] = read(size[2] * by[0]),
                3 => out = [None, read(size[1] * by[0]), read(size[2] * by[1])],
                _ => {
                    let gone = self.between(0.97, 0.995);
                    let long = size[2] * gone / (by[0] * by[1]);
                    out = [read(size[0] * by[0]), read(size[1] * by[1]), read(long)];
                }
            }
        } else {
            for (axis, out) in out.iter_mut().enumerate() {
                if self.rng.random_bool(0.5) {
                    let gone = self.rng.random_range(0.0..0.25);
                    // What hot metal has moved may read long too.
                    let longer = lot.moved[axis] && self.rng.random_bool(0.3);
                    *out = read(if longer { size[axis] + gone } else { size[axis] - gone });
                }
            }
            if out.iter().all(Option::is_none) {
                return None;
            }
        }
        // Too near to half a digit, and a hair decides.
        let near = |axis: usize| {
            out[axis].is_some_and(|len: Len| {
                let off = (len.mm() - size[axis]).abs() / (0.5 * 10f64.powi(-digits));
                (off - 1.0).abs() < 0.05
            })
        };
        // A figure that ends in a nought is written shorter, and so says less.
        let short = |len: &Option<Len>| {
            len.is_some_and(|len| {
                len.figure.to_string().split_once('.').map_or(0, |(_, d)| d.len()) < digits as usize
            })
        };
        if (0..3).any(near) || out.iter().any(short) {
            return None;
        }
        // A cold reading above the book is another matter.
        if (0..3).any(|a| !lot.moved[a] && out[a].is_some_and(|len: Len| len.mm() > size[a])) {
            return None;
        }
        Some(Step::Measure { name, size: out })
    }

    fn expect(&mut self, name: String, bar: &Bar) -> Step {
        let all =
            [Looked::Thickness, Looked::Width, Looked::Length, Looked::Mass, Looked::Layers, Looked::Bands];
        let mut tests = Vec::new();
        for looked in all {
            if self.rng.random_bool(0.5) {
                let by = self.between(0.6, 0.99);
                let least = look(bar, looked) * by;
                let whole = matches!(looked, Looked::Layers | Looked::Bands);
                tests.push((looked, if whole { least.ceil() } else { round_to(least, 2) }));
            }
        }
        if tests.is_empty() {
            tests.push((Looked::Thickness, 1.0));
        }
        Step::Expect { name, tests }
    }

    fn repeated(&mut self, name: String, bar: &Bar) -> Vec<Step> {
        let times = self.rng.random_range(2..=3);
        let [t, w, l] = bar.size;
        if l > 160.0 && self.second.sheets() < SHEETS / 4 && self.rng.random_bool(0.6) {
            let (fire, spread) = (self.fire(), self.spread());
            let down = (t * self.between(0.5, 0.8)).max(3.0);
            let wide = w * self.between(0.9, 0.98);
            let size = [Some(self.len(down)), Some(self.len(wide)), None];
            let item = Item { count: None, name: name.clone(), turned: false, flipped: false };
            let body = vec![
                Step::Draw { name: name.clone(), size, outline: None, hot: None, fire, spread },
                Step::Cut { name: name.clone(), cut: Cut::Into(2), kerf: None, keep: None },
                Step::Stack {
                    name: name.clone(),
                    alternate: false,
                    items: vec![item],
                    side: false,
                    trimmed: false,
                    bundle: false,
                },
                Step::Weld { name, press: Press::Thinning(12.0), fire, spread },
            ];
            return vec![Step::Repeat { times, body }];
        }
        let mut body = Vec::new();
        for _ in 0..self.rng.random_range(1..=3) {
            let name = name.clone();
            let fire = Fire { heats: None, celsius: 1000.0, minutes: 4.0 };
            body.push(match self.rng.random_range(0..6) {
                0 => Step::Heat { name, fire },
                1 => Step::Turn { name },
                2 => Step::Flip { name },
                3 => {
                    let mut off = [None; 3];
                    off[2] = Some(Len::of_mm(0.4));
                    Step::Grind { name, off, to: [None; 2] }
                }
                4 => Step::Normalise { name, times: 1, fire: Fire { celsius: 840.0, ..fire } },
                _ => Step::Cut { name, cut: Cut::Heel(Len::of_mm(3.0)), kerf: None, keep: None },
            });
        }
        if self.rng.random_bool(0.2) {
            let name = name.clone();
            body.push(Step::Repeat { times: 2, body: vec![Step::Flip { name }] });
        }
        vec![Step::Repeat { times, body }]
    }

    fn stack(&mut self, name: String, lot: &Lot) -> Vec<Step> {
        let [t, w, l] = lot.bars[0].size;
        let many = lot.bars.len();
        let item = |name: &str, count| Item { count, name: name.to_owned(), turned: false, flipped: false };
        let mut steps = Vec::new();
        let side = self.rng.random_bool(0.4);
        let trimmed = self.rng.random_bool(0.3);
        let mut items = vec![item(&name, None)];
        if many == 1 || self.rng.random_bool(0.6) {
            let more = if trimmed { 1.04 } else { 1.0 };
            let size = if side {
                [t * more, self.between(6.0, 20.0), l * more]
            } else {
                [self.between(2.0, 9.0), w * more, l * more]
            };
            let count = self.rng.random_range(1..=3);
            // A bar that is laid turned is thick where the others are wide.
            let turned = !side && self.rng.random_bool(0.25);
            let size = if turned { [size[1], size[0].max(3.0), size[2]] } else { size };
            let (other, stock) = self.stock(2 * count, size);
            steps.push(stock);
            let mut more = item(&other, None);
            more.turned = turned;
            match self.rng.random_range(0..4) {
                0 => items.push(more),
                // In two equal shares, around the others.
                1 => {
                    items.insert(0, more.clone());
                    items.push(more);
                }
                2 => items.insert(0, more),
                // Some of them, the rest stays.
                _ => {
                    more.count = Some(count);
                    items.push(more);
                }
            }
        }
        for item in &mut items {
            if self.rng.random_bool(0.3) {
                item.flipped = true;
            }
        }
        let name = if self.rng.random_bool(0.5) { name } else { self.name() };
        steps.push(Step::Stack { name, alternate: false, items, side, trimmed, bundle: false });
        steps
    }

    /// Rounds that make no hexagon or find no room, or what is not round.
    fn faulty_rounds(&mut self, kind: u32) -> Option<Step> {
        let (name, lot) =
            self.some(|lot| lot.loose.is_none() && (kind == 30) == (lot.bars[0].outline == Outline::Square))?;
        let (count, bar) = (lot.bars.len(), &lot.bars[0]);
        if kind == 32 {
            let d = bar.shown()[0];
            let [high, broad] = [d * 0.98, d * (count as f64 + 1.0)];
            return Some(self.can_round(name, [high, broad], bar.size[2], false));
        }
        let items = vec![Item { count: None, name, turned: false, flipped: false }];
        let name = self.name();
        Some(in_bundle(name, items))
    }

    /// A step that cannot be done.
    fn faulty(&mut self) -> Option<Step> {
        let loose = self.some(|lot| lot.loose.is_some());
        let (fire, spread) = (self.fire(), self.spread());
        let kind = self.rng.random_range(0..33);
        if let (Some((name, _)), 0) = (&loose, kind % 4) {
            let name = name.clone();
            return Some(match self.rng.random_range(0..4) {
                0 => Step::Heat { name, fire },
                1 => Step::Turn { name },
                2 => Step::Cut { name, cut: Cut::Into(2), kerf: None, keep: None },
                _ => Step::Upset { name, long: Len::of_mm(50.0), fire },
            });
        }
        if kind >= 30 {
            return self.faulty_rounds(kind);
        }
        let (name, lot) = self.some(|lot| lot.loose.is_none() && lot.bars[0].outline == Outline::Square)?;
        let bar = lot.bars[0].clone();
        let [t, w, l] = bar.size;
        let mm = Len::of_mm;
        let draw = |size: [Option<Len>; 3]| Step::Draw {
            name: name.clone(),
            size,
            outline: None,
            hot: None,
            fire,
            spread,
        };
        let thick = mm(round_to(t * 0.8, 2));
        let cut = |cut: Cut| Step::Cut { name: name.clone(), cut, kerf: None, keep: None };
        Some(match kind {
            0 => draw([Some(mm(round_to(t * 1.1, 1) + 0.1)), None, None]),
            1 => {
                let free = self.after(&draw([Some(thick), None, None]), &name)?.size[1];
                draw([Some(thick), Some(mm(round_to(free * 1.05, 1))), None])
            }
            2 => draw([Some(thick), None, Some(mm(round_to(l * 0.8, 1)))]),
            3 => {
                let both = draw([Some(thick), Some(mm(round_to(w * 0.95, 2))), None]);
                let long = self.after(&both, &name)?.size[2];
                let by = if self.rng.random_bool(0.5) { 1.05 } else { 0.95 };
                draw([Some(thick), Some(mm(round_to(w * 0.95, 2))), Some(mm(round_to(long * by, 2)))])
            }
            4 => draw([None, Some(mm(round_to(w * 0.9, 1))), None]),
            5..=6 => {
                let r = super::metal::skin(self.second.scale(), bar.size);
                if r < 1e-3 {
                    return None;
                }
                let heats = ((t / (2.0 * r)) as u32 + 2) * 2;
                if heats > 1000 {
                    return None;
                }
                Step::Heat { name, fire: Fire { heats: Some(heats), ..fire } }
            }
            7 => Step::Heat { name, fire: Fire { celsius: 1500.0, ..fire } },
            8 => Step::Spread { name, wide: mm(round_to(w * 0.9, 1)), fire, spread: 0.5 },
            9 => Step::Spread { name, wide: mm(round_to(w * 1.2, 1)), fire, spread: 0.0 },
            10 => Step::Spread { name, wide: mm(round_to(w * 1.2, 1)), fire, spread: 1.4 },
            11 => Step::Edge { name, wide: mm(round_to(w * 1.1, 1)), fire, spread },
            12 if w > 10.2 * t => Step::Edge { name, wide: mm(round_to(w * 0.9, 1)), fire, spread },
            13 => Step::Upset { name, long: mm(round_to(l * 1.1, 1)), fire },
            14 if l > 10.2 * t => Step::Upset { name, long: mm(round_to(l * 0.9, 1)), fire },
            15 => cut(Cut::To(mm(round_to(l * 1.1, 1)))),
            16 => Step::Cut { name, cut: Cut::Into(30), kerf: Some(mm(round_to(l / 25.0, 1))), keep: None },
            17 => cut(Cut::At(mm(round_to(l * 1.01, 1)), self.name(), self.name())),
            18 => cut(Cut::Each(mm(round_to(l * 0.55, 1)))),
            19 => Step::Grind { name, off: [Some(mm(round_to(t * 0.55, 2))), None, None], to: [None; 2] },
            20 => Step::Grind { name, off: [None; 3], to: [Some(mm(round_to(t * 1.1, 2))), None] },
            21 => Step::Weld { name, press: Press::To(mm(round_to(t * 1.2, 1))), fire, spread },
            22 => Step::Weld { name, press: Press::Thinning(120.0), fire, spread },
            23 => Step::Measure {
                name,
                size: [
                    Some(mm(round_to(t * 2.0, 1))),
                    Some(mm(round_to(w * 2.0, 1))),
                    Some(mm(round_to(l, 1))),
                ],
            },
            24 => Step::Expect { name, tests: vec![(Looked::Mass, round_to(bar.mass() * 1.2, 1))] },
            25 => Step::Turn { name: "nothing".to_owned() },
            26 => {
                let (other, _) = self.some(|o| o.loose.is_none() && (o.bars[0].size[2] - l).abs() > 2.0)?;
                let items = [name.clone(), other]
                    .map(|name| Item { count: None, name, turned: false, flipped: false })
                    .to_vec();
                let name = self.name();
                Step::Stack { name, alternate: false, items, side: false, trimmed: false, bundle: false }
            }
            27 => {
                let items = vec![Item {
                    count: Some(lot.bars.len() + 1),
                    name: name.clone(),
                    turned: false,
                    flipped: false,
                }];
                let name = self.name();
                Step::Stack { name, alternate: false, items, side: false, trimmed: false, bundle: false }
            }
            28 => Step::Fold { name, leaves: Some(3), kerf: Some(mm(round_to(l * 0.6, 1))) },
            _ => draw([None, None, Some(mm(round_to(l * 0.7, 1)))]),
        })
    }
}

fn in_bundle(name: String, items: Vec<Item>) -> Step {
    Step::Stack { name, alternate: false, items, side: false, trimmed: false, bundle: true }
}

/// Whether the bars of a lot are flats or rounds, and few.
fn many_alike(lot: &Lot) -> bool {
    let bar = &lot.bars[0];
    let round = bar.outline == Outline::Round && (bar.size[0] / bar.size[1] - 1.0).abs() < 1e-12;
    lot.bars.len() <= 7 && (round || bar.outline == Outline::Square) && bar.grown == 1.0
}
