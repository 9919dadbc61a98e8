//! What each verb does: the state of a recipe, and one step after another.

use super::metal::{Aim, Bar, Heat, Refused, Sheet, expansion, octagon_side, round_side, schedule, solve};
use super::slips::Slip;
use super::tree::{Cut, Fire, Item, Len, Looked, Outline, Press, Scale, Shop, Side, Step, Unit};
use std::collections::{BTreeMap, BTreeSet};

/// What stands under a name: bars all alike.
#[derive(Clone, Debug)]
pub struct Lot {
    pub bars: Vec<Bar>,
    /// Some for a loose stack: whether it lies side by side.
    pub loose: Option<bool>,
    /// Of thickness, width and length: may hot metal have run out of it since the stock or the last reading, and has no cold step set it since?
    pub moved: [bool; 3],
    /// Some for what lies in a can or a bundle: its thickness and width outside, voids and all. The bar is what it is once they are closed.
    pub packed: Option<[f64; 2]>,
    /// Whether the can is ground off behind the first weld.
    pub uncan: bool,
}

/// The causes that mass is booked to, in the order of [`Done::booked`].
pub const CAUSES: [&str; 5] = ["scale", "kerf", "ground", "trimmed", "unexplained"];
const SCALE: usize = 0;
const KERF: usize = 1;
const GROUND: usize = 2;
const TRIMMED: usize = 3;
const UNEXPLAINED: usize = 4;

/// What a step came to.
#[derive(Clone, Debug)]
pub struct Done {
    /// The name that the step worked.
    pub name: String,
    /// The mass lost by cause, g, all bars together.
    pub booked: [f64; 5],
}

/// The whole state.
#[derive(Clone, Debug)]
pub struct Second {
    shop: Shop,
    pub lots: BTreeMap<String, Lot>,
    pub rack: Vec<(String, Lot)>,
    offcuts: BTreeMap<String, usize>,
    /// Mass taken as stock, and lost by cause, g.
    pub taken: f64,
    pub lost: [f64; 5],
    /// How much longer a bar gets by hardening or tempering, step by step: told from outside, for no page here says it.
    pub growth: Vec<f64>,
    pub steps: usize,
    /// How often rounds were laid in a can as a hexagon, nested, and one on the other.
    pub ways: [usize; 3],
    slip: Option<Slip>,
}

/// A part of a column: its metal in section, mm2, and the bar; none for powder.
type Part = (f64, Option<Bar>);

/// A column of a band, before the voids close.
struct Column {
    wide: f64,
    parts: Vec<Part>,
}

impl Column {
    fn metal(&self) -> f64 {
        self.parts.iter().map(|(area, _)| area).sum()
    }
}

/// What lies in a can or a bundle: bands from below, the columns of each from the left, their parts from below.
type Section = Vec<Vec<Column>>;

/// A row of rounds: the height of their middles, and where each stands across.
type Row = (f64, Vec<f64>);

/// The mean length per mm as written that half of the last digit stands for.
fn half_digit(len: Len) -> f64 {
    let text = len.figure.to_string();
    let digits = text.split_once('.').map_or(0, |(_, d)| d.len());
    let one = Len { figure: 1.0, unit: if len.unit == Unit::Fraction { Unit::Inch } else { len.unit } };
    0.5 * 10f64.powi(-(digits as i32)) * one.mm()
}

impl Second {
    pub fn new(shop: &Shop, slip: Option<Slip>) -> Self {
        Self {
            shop: shop.clone(),
            lots: BTreeMap::new(),
            rack: Vec::new(),
            offcuts: BTreeMap::new(),
            taken: 0.0,
            lost: [0.0; 5],
            growth: Vec::new(),
            steps: 0,
            ways: [0; 3],
            slip,
        }
    }

    fn slips(&self, slip: Slip) -> bool {
        self.slip == Some(slip)
    }

    fn lot(&self, name: &str) -> Result<Lot, Refused> {
        self.lots.get(name).cloned().ok_or(Refused::Spent)
    }

    fn firm(&self, name: &str) -> Result<Lot, Refused> {
        let lot = self.lot(name)?;
        if lot.loose.is_some() { Err(Refused::Loose) } else { Ok(lot) }
    }

    fn kerf(&self, stated: Option<Len>) -> f64 {
        stated.or(self.shop.kerf).map_or(2.0, Len::mm)
    }

    fn spread(&self, stated: Option<f64>) -> Result<f64, Refused> {
        let s = stated.or(self.shop.spread).unwrap_or(f64::NAN);
        let s = if self.slips(Slip::SpreadExponent) { s * 1.01 } else { s };
        if (0.0..=1.0).contains(&s) { Ok(s) } else { Err(Refused::Spread) }
    }

    fn hot(&self, fire: Fire) -> Result<(), Refused> {
        // No steel here melts under 1280 C, and none is solid at 1500 C: nothing between the two is asked.
        if fire.celsius > 1400.0 { Err(Refused::TooHot) } else { Ok(()) }
    }

    fn mass(lot: &Lot) -> f64 {
        lot.bars.iter().map(Bar::mass).sum()
    }

    /// The heats of a pressing step on the bars of a lot, all alike.
    fn pressed(&self, lot: &mut Lot, heats: &[Heat], booked: &mut [f64; 5]) {
        for bar in &mut lot.bars {
            booked[SCALE] += bar.work(heats);
            bar.outline = Outline::Square;
        }
        lot.loose = None;
        lot.moved = [true; 3];
    }

    fn schedule(&self, bar: &Bar, aim: Aim, fire: Fire, spread: f64) -> Result<Vec<Heat>, Refused> {
        schedule(bar.size, aim, fire.heats.unwrap_or(1), self.shop.scale, spread, self.slip)
    }

    /// Works one step. After a refusal the state is as before.
    pub fn step(&mut self, step: &Step) -> Result<Done, Refused> {
        let before = self.clone();
        let out = self.try_step(step);
        match &out {
            Ok(done) => {
                for (lost, booked) in self.lost.iter_mut().zip(done.booked) {
                    *lost += booked;
                }
                self.steps += 1;
            }
            Err(_) => *self = before,
        }
        out
    }

    fn try_step(&mut self, step: &Step) -> Result<Done, Refused> {
        let mut booked = [0.0; 5];
        let name = match step {
            Step::Stock { name, count, round, square, steel, size } => {
                let sizes: Vec<f64> = size.iter().map(|s| s.mm()).collect();
                let (size, outline) = match (round, square) {
                    (true, _) if self.slips(Slip::RoundAsSquare) => {
                        ([sizes[0], sizes[0], sizes[1]], Outline::Round)
                    }
                    (true, _) => {
                        let side = round_side(sizes[0]);
                        ([side, side, sizes[1]], Outline::Round)
                    }
                    (_, true) => ([sizes[0], sizes[0], sizes[1]], Outline::Square),
                    _ => ([sizes[0], sizes[1], sizes[2]], Outline::Square),
                };
                let steel = if self.slips(Slip::StockDensity) { 0 } else { *steel };
                let lot = Lot {
                    bars: vec![Bar::solid(steel, size, outline); *count],
                    loose: None,
                    moved: [false; 3],
                    packed: None,
                    uncan: false,
                };
                self.taken += Self::mass(&lot);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::FromRack { name, from } => {
                let at = self.rack.iter().position(|(n, _)| n == from).ok_or(Refused::Spent)?;
                let (_, lot) = self.rack.remove(at);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Stack { name, items, bundle: true, .. } => return self.bundle(name, items),
            Step::Stack { .. } => return self.stack(step),
            Step::Can { .. } => return self.can(step),
            Step::Weld { name, press, fire, spread } => {
                let mut lot = self.lot(name)?;
                self.hot(*fire)?;
                let side = lot.loose == Some(true) && !self.slips(Slip::WeldWrongWay);
                let (down, wide) = if side { (1, 0) } else { (0, 1) };
                let to = self.press_to(*press, lot.bars[0].size[down])?;
                let aim = Aim::Down { down, wide, to, width: None };
                let heats = self.schedule(&lot.bars[0], aim, *fire, self.spread(*spread)?)?;
                self.pressed(&mut lot, &heats, &mut booked);
                lot.packed = None;
                if std::mem::take(&mut lot.uncan) {
                    booked[GROUND] += lot.bars.iter_mut().map(Bar::uncan).sum::<f64>();
                }
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Draw { name, size, outline, hot, fire, spread } => {
                let mut lot = self.firm(name)?;
                self.hot(*fire)?;
                let hot = if self.slips(Slip::HotAsCold) { None } else { *hot };
                let cold = |len: Len| len.mm() / (1.0 + hot.map_or(0.0, expansion));
                let [mut t, mut w, l] = size.map(|s| s.map(cold));
                if let Some((outline, s)) = outline {
                    let s = cold(*s);
                    let side = match outline {
                        Outline::Round if self.slips(Slip::RoundDrawnSquare) => s,
                        Outline::Round => round_side(s),
                        Outline::Octagon => octagon_side(s),
                        Outline::Square => s,
                    };
                    (t, w) = (Some(side), Some(side));
                }
                let heats = self.drawn(&lot.bars[0], [t, w, l], *fire, self.spread(*spread)?)?;
                self.pressed(&mut lot, &heats, &mut booked);
                for bar in &mut lot.bars {
                    bar.outline = outline.map_or(Outline::Square, |(o, _)| o);
                }
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Spread { name, wide, fire, spread } => {
                let mut lot = self.firm(name)?;
                self.hot(*fire)?;
                if *spread <= 0.0 || *spread > 1.0 {
                    return Err(Refused::Spread);
                }
                let spread = if self.slips(Slip::PeenExponent) { spread * 0.99 } else { *spread };
                if wide.mm() <= lot.bars[0].size[1] {
                    return Err(Refused::Thicker);
                }
                let heats = self.schedule(&lot.bars[0], Aim::Widen { to: wide.mm() }, *fire, spread)?;
                self.pressed(&mut lot, &heats, &mut booked);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Edge { name, wide, fire, spread } => {
                let mut lot = self.firm(name)?;
                self.hot(*fire)?;
                let size = lot.bars[0].size;
                if wide.mm() > size[1] {
                    return Err(Refused::Thicker);
                }
                if size[1] > 10.0 * size[0] {
                    return Err(Refused::Slender);
                }
                let aim = Aim::Down { down: 1, wide: 0, to: wide.mm(), width: None };
                let spread = if self.slips(Slip::EdgeKeepsThickness) { 0.0 } else { self.spread(*spread)? };
                let heats = self.schedule(&lot.bars[0], aim, *fire, spread)?;
                self.pressed(&mut lot, &heats, &mut booked);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Upset { name, long, fire } => {
                let mut lot = self.firm(name)?;
                self.hot(*fire)?;
                let size = lot.bars[0].size;
                if long.mm() > size[2] {
                    return Err(Refused::Thicker);
                }
                if size[2] > 10.0 * size[0].min(size[1]) {
                    return Err(Refused::Slender);
                }
                let heats = self.schedule(&lot.bars[0], Aim::Upset { to: long.mm() }, *fire, 0.5)?;
                self.pressed(&mut lot, &heats, &mut booked);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Fold { name, leaves, kerf } => {
                let mut lot = self.firm(name)?;
                let n = leaves.unwrap_or(2);
                let unsaid = if self.slips(Slip::FoldKerf) { 2.0 } else { 0.0 };
                let kerf = kerf.map_or(unsaid, Len::mm);
                for bar in &mut lot.bars {
                    let (leaf, sawn) = parts(bar, n, kerf)?;
                    booked[KERF] += sawn;
                    let mut folded: Option<Bar> = None;
                    for (i, mut leaf) in leaf.into_iter().enumerate() {
                        if i % 2 == 1 && !self.slips(Slip::FoldUnmirrored) {
                            leaf.mirror(0);
                            leaf.mirror(2);
                        }
                        match &mut folded {
                            None => folded = Some(leaf),
                            Some(folded) => folded.lay(&leaf, 0),
                        }
                    }
                    let mut folded = folded.ok_or(Refused::TooShort)?;
                    folded.layers = bar.layers * n as u64;
                    folded.outline = Outline::Square;
                    *bar = folded;
                }
                lot.loose = Some(false);
                lot.moved = [true; 3];
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Cut { name, cut, kerf, keep } => {
                self.cut(name, cut, self.kerf(*kerf), keep.as_deref(), &mut booked)?;
                if let Cut::At(_, first, _) = cut {
                    first
                } else if let Cut::Named(names) = cut {
                    &names[0]
                } else {
                    name
                }
            }
            Step::Grind { name, off, to } => {
                let mut lot = self.firm(name)?;
                for axis in 0..3 {
                    let set = off.get(axis).copied().flatten().or(to.get(axis).copied().flatten()).is_some();
                    lot.moved[axis] &= !set;
                }
                for bar in &mut lot.bars {
                    for (axis, off) in off.iter().enumerate() {
                        let (mut low, mut high) = off.map_or((0.0, 0.0), |d| (d.mm(), d.mm()));
                        if self.slips(Slip::GrindHalf) {
                            (low, high) = (low / 2.0, high / 2.0);
                        }
                        if let Some(to) = to.get(axis).copied().flatten() {
                            let over = bar.size[axis] - to.mm();
                            if over < 0.0 {
                                return Err(Refused::Thicker);
                            }
                            (low, high) = if self.slips(Slip::GrindOneFace) {
                                (0.0, over)
                            } else {
                                (over / 2.0, over / 2.0)
                            };
                        }
                        if low + high >= bar.size[axis] {
                            return Err(Refused::GroundAway);
                        }
                        if low + high > 0.0 && axis < 2 {
                            bar.outline = Outline::Square;
                        }
                        booked[GROUND] += bar.take(axis, low, high);
                    }
                }
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Join { name, to, side, press, trimmed, fire, spread } => {
                let (laid, mut lot) = (self.firm(name)?, self.firm(to)?);
                self.hot(*fire)?;
                if laid.bars.len() != lot.bars.len() {
                    return Err(Refused::Counts);
                }
                let axis = match side {
                    Side::Face => 0,
                    Side::Edge => 1,
                    Side::End => 2,
                };
                for (bar, laid) in lot.bars.iter_mut().zip(&laid.bars) {
                    let mut pair = [bar.clone(), laid.clone()];
                    booked[TRIMMED] += trim(&mut pair, axis, *trimmed)?;
                    let [mut one, mut two] = pair;
                    if self.slips(Slip::JoinBelow) {
                        std::mem::swap(&mut one, &mut two);
                    }
                    let layers = if *side == Side::End && !self.slips(Slip::JoinLayers) {
                        one.layers.max(two.layers)
                    } else {
                        one.layers + two.layers
                    };
                    one.lay(&two, axis);
                    one.layers = layers;
                    *bar = one;
                }
                let size = press_to_of(self, *press, lot.bars[0].size[axis])?;
                let aim = match side {
                    Side::Face => Aim::Down { down: 0, wide: 1, to: size, width: None },
                    Side::Edge => Aim::Down { down: 1, wide: 0, to: size, width: None },
                    Side::End => Aim::Upset { to: size },
                };
                let spread = if *side == Side::End { 0.5 } else { self.spread(*spread)? };
                let heats = self.schedule(&lot.bars[0], aim, *fire, spread)?;
                self.pressed(&mut lot, &heats, &mut booked);
                self.lots.remove(name);
                self.lots.insert(to.clone(), lot);
                to
            }
            Step::Turn { name } => {
                let mut lot = self.firm(name)?;
                if !self.slips(Slip::TurnStays) {
                    lot.bars.iter_mut().for_each(Bar::turn);
                }
                lot.moved.swap(0, 1);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Flip { name } => {
                let mut lot = self.firm(name)?;
                for bar in &mut lot.bars {
                    if self.slips(Slip::FlipFacesOnly) { bar.mirror(0) } else { bar.flip() }
                }
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Heat { name, fire } | Step::Harden { name, fire } => {
                let mut lot = self.firm(name)?;
                self.hot(*fire)?;
                let stated = fire.heats.unwrap_or(1);
                let heats = match step {
                    Step::Heat { .. } if self.slips(Slip::HeatTooFew) && stated > 1 => stated - 1,
                    Step::Harden { .. } if self.slips(Slip::HardenNoSkin) => 0,
                    _ => stated,
                };
                self.burnt(&mut lot, heats, &mut booked)?;
                if matches!(step, Step::Harden { .. }) {
                    self.grow(&mut lot);
                }
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Normalise { name, times, fire } => {
                let mut lot = self.firm(name)?;
                self.hot(*fire)?;
                let times = if self.slips(Slip::NormaliseOnce) { 1 } else { *times };
                self.burnt(&mut lot, times, &mut booked)?;
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Temper { name, .. } => {
                let mut lot = self.firm(name)?;
                if self.slips(Slip::TemperSkin) {
                    self.burnt(&mut lot, 1, &mut booked)?;
                }
                self.grow(&mut lot);
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Measure { name, size } => {
                let mut lot = self.lot(name)?;
                let was = Self::mass(&lot);
                self.measure(&mut lot, *size)?;
                booked[UNEXPLAINED] += was - Self::mass(&lot);
                lot.moved = [false; 3];
                self.lots.insert(name.clone(), lot);
                name
            }
            Step::Expect { name, tests } => {
                let lot = self.lot(name)?;
                let by = if self.slips(Slip::ExpectTwice) { 0.5 } else { 1.0 };
                for bar in &lot.bars {
                    if tests.iter().any(|(looked, least)| by * look(bar, *looked) < *least) {
                        return Err(Refused::Missed);
                    }
                }
                name
            }
            Step::Repeat { .. } => unreachable!("a repeat is written out before it is worked"),
        };
        Ok(Done { name: name.clone(), booked })
    }

    fn press_to(&self, press: Press, start: f64) -> Result<f64, Refused> {
        press_to_of(self, press, start)
    }

    fn burnt(&self, lot: &mut Lot, heats: u32, booked: &mut [f64; 5]) -> Result<(), Refused> {
        for bar in &mut lot.bars {
            let before = *booked;
            booked[SCALE] += bar.burn(heats, self.shop.scale)?;
            if self.slips(Slip::SkinOnFiveFaces) {
                booked[SCALE] = before[SCALE] + (booked[SCALE] - before[SCALE]) * 0.9;
            }
        }
        Ok(())
    }

    fn grow(&self, lot: &mut Lot) {
        let by = self.growth.get(self.steps).copied().unwrap_or(1.0);
        for bar in &mut lot.bars {
            let to = bar.size.map(|s| s * by);
            bar.press(to);
            bar.grown *= by;
        }
    }

    /// The heats of a draw to one, two or three sizes. What is not asked is solved, so that it holds in the end.
    fn drawn(
        &self,
        bar: &Bar,
        [t, w, l]: [Option<f64>; 3],
        fire: Fire,
        spread: f64,
    ) -> Result<Vec<Heat>, Refused> {
        let start = bar.size;
        if t.is_some_and(|t| t > start[0]) {
            return Err(Refused::Thicker);
        }
        let go = |to: f64, width: Option<f64>| {
            self.schedule(bar, Aim::Down { down: 0, wide: 1, to, width }, fire, spread)
        };
        let length = |to: f64, width: Option<f64>| {
            go(to, width).map_or(f64::INFINITY, |h| h.last().map_or(start[2], |(_, s)| s[2]))
        };
        // A width that is asked is short or met; one that is only aimed at, for a length, is neither.
        let asked = |heats: Vec<Heat>, width: Option<f64>| {
            let met = heats.last().is_none_or(|(_, s)| width.is_none_or(|w| s[1] >= w * (1.0 - 1e-9)));
            if met { Ok(heats) } else { Err(Refused::TooNarrow) }
        };
        match (t, w, l) {
            (Some(t), w, None) => asked(go(t, w)?, w),
            (None, Some(_), None) | (None, None, None) => Err(Refused::OutOfReach),
            (None, w, Some(l)) => {
                if spread >= 1.0 {
                    return Err(Refused::Spread);
                }
                let t = solve(1e-6 * start[0], start[0], |t| length(t, w) > l).ok_or(Refused::OutOfReach)?;
                let heats = asked(go(t, w)?, w)?;
                // Where the skin goes below the thickness on the way, nothing is pressed to its width.
                let met = heats.last().is_some_and(|(_, size)| {
                    (size[2] / l - 1.0).abs() <= 1e-6 && w.is_none_or(|w| size[1] <= w * (1.0 + 1e-6))
                });
                if met { Ok(heats) } else { Err(Refused::OutOfReach) }
            }
            (Some(t), None, Some(l)) => {
                let w = solve(1e-3 * start[1], 1e3 * start[1], |w| length(t, Some(w)) > l);
                go(t, Some(w.ok_or(Refused::OutOfReach)?))
            }
            (Some(t), Some(w), Some(l)) => {
                let heats = asked(go(t, Some(w))?, Some(w))?;
                let volume = heats.last().map_or(0.0, |(_, s)| s.iter().product());
                if (t * w * l / volume - 1.0).abs() > 0.01 { Err(Refused::Volume) } else { Ok(heats) }
            }
        }
    }

    /// The bars of each item, in order, and along what axes one of them may have run; they are spent, or the rest stays.
    fn taken_for(&mut self, name: &str, items: &[Item]) -> Result<(Vec<Vec<Bar>>, [bool; 3]), Refused> {
        let mut moved = [false; 3];
        let mut heaps: Vec<Vec<Bar>> = Vec::new();
        for item in items {
            let lot = self.lots.get(&item.name).ok_or(Refused::Spent)?;
            if lot.packed.is_some() {
                return Err(Refused::Loose);
            }
            (0..3).for_each(|axis| moved[axis] |= lot.moved[axis]);
            let mentions = items.iter().filter(|i| i.name == item.name && i.count.is_none()).count();
            let counted: usize = items.iter().filter(|i| i.name == item.name).filter_map(|i| i.count).sum();
            let free = lot.bars.len().checked_sub(counted).ok_or(Refused::Counts)?;
            let take = match item.count {
                Some(n) => n,
                None if free % mentions != 0 || free == 0 => return Err(Refused::Counts),
                None => free / mentions,
            };
            let mut bars: Vec<Bar> = lot.bars.iter().take(take).cloned().collect();
            for bar in &mut bars {
                if item.turned && !self.slips(Slip::StackUnturned) {
                    bar.turn();
                }
                if item.flipped && !self.slips(Slip::StackUnflipped) {
                    bar.flip();
                }
            }
            heaps.push(bars);
        }
        let names: BTreeSet<&String> = items.iter().map(|i| &i.name).collect();
        for used in names {
            let gone: usize =
                items.iter().zip(&heaps).filter(|(i, _)| i.name == *used).map(|(_, bars)| bars.len()).sum();
            let lot = self.lots.get_mut(used).ok_or(Refused::Spent)?;
            lot.bars.drain(..gone);
            if lot.bars.is_empty() {
                self.lots.remove(used);
            } else if used == name {
                return Err(Refused::Counts);
            }
        }
        Ok((heaps, moved))
    }

    fn stack(&mut self, step: &Step) -> Result<Done, Refused> {
        let Step::Stack { name, alternate, items, side, trimmed, .. } = step else { unreachable!() };
        let mut booked = [0.0; 5];
        let (heaps, moved) = self.taken_for(name, items)?;
        let mut bars: Vec<Bar> = Vec::new();
        if *alternate {
            let counts: Vec<usize> = heaps.iter().map(Vec::len).collect();
            let least = counts.last().copied().unwrap_or(0);
            if counts.iter().any(|c| *c > least + 1 || *c < least) || counts.windows(2).any(|w| w[1] > w[0]) {
                return Err(Refused::Counts);
            }
            if self.slips(Slip::AlternateInOrder) {
                bars.extend(heaps.into_iter().flatten());
            } else {
                for round in 0..=least {
                    bars.extend(heaps.iter().filter_map(|h| h.get(round)).cloned());
                }
            }
        } else {
            bars.extend(heaps.into_iter().flatten());
        }
        let axis = usize::from(*side);
        let unbooked = self.slips(Slip::TrimmedUnbooked);
        let lost = trim(&mut bars, axis, *trimmed)?;
        booked[TRIMMED] += if unbooked { 0.0 } else { lost };
        let mut layers: u64 = bars.iter().map(|b| b.layers).sum();
        if self.slips(Slip::StackLayers) && bars.len() > 1 {
            layers -= 1;
        }
        let mut bars = bars.into_iter();
        let mut whole = bars.next().ok_or(Refused::Counts)?;
        bars.for_each(|bar| {
            whole.lay(&bar, axis);
        });
        whole.layers = layers;
        whole.outline = Outline::Square;
        self.lots.insert(
            name.clone(),
            Lot { bars: vec![whole], loose: Some(*side), moved, packed: None, uncan: false },
        );
        Ok(Done { name: name.clone(), booked })
    }

    /// Rounds alike in a hexagon. Its box shrinks to what metal there is, by as much in thickness as in width.
    fn bundle(&mut self, name: &str, items: &[Item]) -> Result<Done, Refused> {
        let (heaps, moved) = self.taken_for(name, items)?;
        let bars: Vec<Bar> = heaps.into_iter().flatten().collect();
        let d = diameter(&bars).ok_or(Refused::Unequal)?;
        let long = bars[0].size[2];
        if bars.iter().any(|bar| !equal(bar.size[2], long)) {
            return Err(Refused::Unequal);
        }
        let step = if self.slips(Slip::BundleRows) { 1.0 } else { ROW };
        let n = hexagon_side(bars.len()).ok_or(Refused::Counts)?;
        let [t, w] = hexagon_box(n, d, step);
        let section = rounds(&bars, d, &hexagon(n, d, step, [t, w]), [t, w], 0.0);
        let metal: f64 = section.iter().flatten().map(Column::metal).sum();
        let full = std::f64::consts::PI / 12f64.sqrt();
        let fill = if self.slips(Slip::BundleFill) { full } else { metal / (t * w) };
        let [t1, w1] = [t, w].map(|s| s * fill.sqrt());
        let whole = Bar {
            sheets: self.close(section, 0, [0.0, 0.0], [t1, w1], long),
            size: [t1, w1, long],
            outline: Outline::Square,
            layers: bars.iter().map(|bar| bar.layers).sum(),
            grown: 1.0,
        };
        let packed = Some([t, w]);
        let lot = Lot { bars: vec![whole], loose: Some(false), moved, packed, uncan: false };
        self.lots.insert(name.to_owned(), lot);
        Ok(Done { name: name.to_owned(), booked: [0.0; 5] })
    }

    /// Bars of one name in a can, or powder alone; powder round them. All that is void closes evenly in section: the walls first, then what
    /// is inside.
    fn can(&mut self, step: &Step) -> Result<Done, Refused> {
        let Step::Can { name, of, size, long, wall, powder, packed, ground } = step else { unreachable!() };
        let ([t, w], wall) = (size.map(Len::mm), wall.mm());
        let [high, broad] = [t - 2.0 * wall, w - 2.0 * wall];
        let (mut bars, mut moved, mut long) = (Vec::new(), [false; 3], long.mm());
        if let Some(of) = of {
            let lot = self.lots.remove(of).ok_or(Refused::Spent)?;
            if lot.packed.is_some() {
                return Err(Refused::Loose);
            }
            (bars, moved) = (lot.bars, lot.moved);
            long = bars[0].size[2];
        }
        let share = if self.slips(Slip::CanPowder) { 1.0 } else { packed / 100.0 };
        let section = match diameter(&bars) {
            Some(d) => rounds(&bars, d, &self.lie(bars.len(), d, [high, broad])?, [high, broad], share),
            None => flats(&bars, [high, broad], share)?,
        };
        let inside: f64 = section.iter().flatten().map(Column::metal).sum();
        let metal = inside + t * w - high * broad;
        let even = (metal / (t * w)).sqrt();
        let (t1, w1) = (t * even, w * even);
        let face = t1 * wall * w / metal;
        let side = w1 * wall * high / (metal - 2.0 * wall * w);
        // Mild steel is the third of the table here.
        let block = |y: [f64; 2], x: [f64; 2]| Sheet {
            steel: 2,
            lo: [y[0], x[0], 0.0],
            hi: [y[1], x[1], long],
            can: true,
        };
        let mut sheets = vec![block([0.0, face], [0.0, w1]), block([face, t1 - face], [0.0, side])];
        sheets.extend(self.close(section, *powder, [face, side], [t1 - 2.0 * face, w1 - 2.0 * side], long));
        sheets.push(block([face, t1 - face], [w1 - side, w1]));
        sheets.push(block([t1 - face, t1], [0.0, w1]));
        let layers = bars.iter().map(|bar| bar.layers).sum::<u64>().max(1);
        let whole = Bar { sheets, size: [t1, w1, long], outline: Outline::Square, layers, grown: 1.0 };
        self.taken += whole.mass() - bars.iter().map(Bar::mass).sum::<f64>();
        let (packed, uncan) = (Some([t, w]), *ground);
        self.lots.insert(name.clone(), Lot { bars: vec![whole], loose: Some(false), moved, packed, uncan });
        Ok(Done { name: name.clone(), booked: [0.0; 5] })
    }

    /// How rounds alike lie in a can: as the hexagon, nested, or row right above row, the first that holds them all.
    fn lie(&mut self, count: usize, d: f64, [high, broad]: [f64; 2]) -> Result<Vec<Row>, Refused> {
        if let Some(n) = hexagon_side(count) {
            let [t, w] = hexagon_box(n, d, ROW);
            if t <= high * (1.0 + HAIR) && w <= broad * (1.0 + HAIR) {
                self.ways[0] += 1;
                return Ok(hexagon(n, d, ROW, [high, broad]));
            }
        }
        let most = (broad / d * (1.0 + HAIR)).floor() as usize;
        let beside =
            if (most as f64 + 0.5) * d <= broad * (1.0 + HAIR) { most } else { most.saturating_sub(1) };
        let mut ways = [(1, ROW, beside, 0.5), (2, 1.0, most, 0.0)];
        if self.slips(Slip::CanUnnested) {
            ways.reverse();
        }
        for (way, step, second, aside) in ways {
            if most == 0 || second == 0 || high * (1.0 + HAIR) < d {
                continue;
            }
            let fit = ((high - d) / (step * d) + 1.0 + HAIR).floor() as usize;
            let (mut rows, mut left): (Vec<Row>, usize) = (Vec::new(), count);
            while left > 0 && rows.len() < fit {
                let odd = rows.len() % 2 == 1;
                let (places, by) = if odd { (second, aside) } else { (most, 0.0) };
                let here = left.min(places);
                let first = if self.slips(Slip::ShortRow) { 0 } else { (places - here) / 2 };
                let y = rows.len() as f64 * step * d;
                rows.push((y, (first..first + here).map(|place| (place as f64 + by) * d).collect()));
                left -= here;
            }
            if left > 0 {
                continue;
            }
            // The whole comes to the middle of the can.
            let across = || rows.iter().flat_map(|(_, xs)| xs.iter().copied());
            let (least, greatest) = (across().fold(f64::MAX, f64::min), across().fold(0.0, f64::max));
            let up = (high - rows.last().map_or(0.0, |row| row.0)) / 2.0;
            let right = (broad - least - greatest) / 2.0;
            for (y, xs) in &mut rows {
                *y += up;
                xs.iter_mut().for_each(|x| *x += right);
            }
            self.ways[way] += 1;
            return Ok(rows);
        }
        Err(Refused::Counts)
    }

    /// Closes the voids of a section: bands, columns in them and parts in those take of the closed size what share they have of the metal.
    fn close(
        &self,
        section: Section,
        powder: usize,
        corner: [f64; 2],
        [up, across]: [f64; 2],
        long: f64,
    ) -> Vec<Sheet> {
        let all: f64 = section.iter().flatten().map(Column::metal).sum();
        let mut sheets = Vec::new();
        let mut y = corner[0];
        for band in section {
            let of_band: f64 = band.iter().map(Column::metal).sum();
            let loose: f64 = band.iter().map(|column| column.wide).sum();
            let (tall, mut x) = (up * of_band / all, corner[1]);
            for column in band {
                let metal = column.metal();
                let share = if self.slips(Slip::CanColumns) { column.wide / loose } else { metal / of_band };
                let (wide, mut low) = (across * share, y);
                for (area, bar) in column.parts {
                    let high = tall * area / metal;
                    let (lo, hi) = ([low, x, 0.0], [low + high, x + wide, long]);
                    match bar {
                        None => sheets.push(Sheet { steel: powder, lo, hi, can: false }),
                        Some(mut bar) => {
                            bar.press([high, wide, long]);
                            for mut sheet in bar.sheets {
                                for corner in [&mut sheet.lo, &mut sheet.hi] {
                                    corner[0] += low;
                                    corner[1] += x;
                                }
                                sheets.push(sheet);
                            }
                        }
                    }
                    low += high;
                }
                x += wide;
            }
            y += tall;
        }
        sheets
    }

    /// The name that an offcut of a piece gets: the count of cuts of that name that may leave one.
    fn offcut_name(&mut self, name: &str, keep: Option<&str>) -> String {
        let count = self.offcuts.entry(name.to_owned()).or_insert(0);
        *count += 1;
        keep.map_or_else(|| format!("{name}-offcut-{count}"), str::to_owned)
    }

    fn cut(
        &mut self,
        name: &str,
        cut: &Cut,
        kerf: f64,
        keep: Option<&str>,
        booked: &mut [f64; 5],
    ) -> Result<(), Refused> {
        let lot = self.firm(name)?;
        let [thick, wide, _] = lot.moved;
        let like = |bars: Vec<Bar>| Lot {
            bars,
            loose: None,
            moved: [thick, wide, false],
            packed: None,
            uncan: false,
        };
        let long = lot.bars[0].size[2];
        let mut offcuts: Vec<Bar> = Vec::new();
        match cut {
            Cut::Into(n) => {
                let mut all = Vec::new();
                for bar in &lot.bars {
                    if bar.changes_along() {
                        return Err(Refused::Unequal);
                    }
                    let (pieces, sawn) = parts(bar, *n, kerf)?;
                    booked[KERF] += sawn;
                    if self.slips(Slip::CutKerfs) {
                        booked[KERF] += sawn / (*n - 1) as f64;
                    }
                    all.extend(pieces);
                }
                self.lots.insert(name.to_owned(), like(all));
            }
            Cut::Named(names) => {
                let mut all: Vec<Vec<Bar>> = vec![Vec::new(); names.len()];
                for bar in &lot.bars {
                    let (pieces, sawn) = parts(bar, names.len(), kerf)?;
                    booked[KERF] += sawn;
                    for (heap, piece) in all.iter_mut().zip(pieces) {
                        heap.push(piece);
                    }
                }
                self.lots.remove(name);
                for (name, bars) in names.iter().zip(all) {
                    self.lots.insert(name.clone(), like(bars));
                }
            }
            Cut::At(at, first, rest) => {
                let (at, kerf) = (at.mm(), if self.slips(Slip::CutNoKerf) { 0.0 } else { kerf });
                if at + kerf >= long {
                    return Err(Refused::TooShort);
                }
                let mut halves = (Vec::new(), Vec::new());
                for bar in &lot.bars {
                    halves.0.push(bar.part(0.0, at));
                    halves.1.push(bar.part(at + kerf, long));
                    booked[KERF] += bar.mass_between(at, at + kerf);
                }
                self.lots.remove(name);
                self.lots.insert(first.clone(), like(halves.0));
                self.lots.insert(rest.clone(), like(halves.1));
            }
            Cut::To(_) | Cut::Each(_) | Cut::Heel(_) | Cut::Tip(_) => {
                let (heel, tip) = match cut {
                    Cut::Each(d) => (d.mm(), d.mm()),
                    Cut::Heel(d) => (d.mm(), 0.0),
                    Cut::Tip(d) => (0.0, d.mm()),
                    Cut::To(to) => (0.0, long - to.mm()),
                    _ => (0.0, 0.0),
                };
                if tip < 0.0 || heel + tip >= long {
                    return Err(Refused::TooShort);
                }
                let to = matches!(cut, Cut::To(_));
                let kerf = if to && self.slips(Slip::CutNoKerf) { 0.0 } else { kerf };
                let on_top = if !to && self.slips(Slip::OffcutKerf) { kerf } else { 0.0 };
                let mut kept = Vec::new();
                for bar in &lot.bars {
                    kept.push(bar.part(heel, long - tip));
                    // From each end: what the saw leaves of it, and the saw's own.
                    if heel > 0.0 {
                        let left = (heel + on_top - kerf).max(0.0);
                        if left > 0.0 {
                            offcuts.push(bar.part(0.0, left));
                        }
                        booked[KERF] += bar.mass_between(left, heel);
                    }
                    if tip > 0.0 {
                        let left = (tip + on_top - kerf).max(0.0);
                        if left > 0.0 {
                            offcuts.push(bar.part(long - left, long));
                        }
                        booked[KERF] += bar.mass_between(long - tip, long - left);
                    }
                }
                let offcut = self.offcut_name(name, keep);
                if !offcuts.is_empty() {
                    self.rack.push((offcut, like(offcuts)));
                }
                self.lots.insert(name.to_owned(), like(kept));
            }
        }
        Ok(())
    }

    fn measure(&self, lot: &mut Lot, size: [Option<Len>; 3]) -> Result<(), Refused> {
        let ran = if lot.loose.is_some() || self.slips(Slip::MeasureGone) { [false; 3] } else { lot.moved };
        let moves = ran.contains(&true);
        let digit = if self.slips(Slip::MeasureToTheDigit) { 0.0 } else { 1.0 };
        for bar in &mut lot.bars {
            let told = bar.size;
            let mut new = told;
            for axis in 0..3 {
                if let Some(len) = size[axis]
                    && (len.mm() - told[axis]).abs() > digit * half_digit(len)
                {
                    new[axis] = len.mm();
                }
            }
            if new == told {
                continue;
            }
            // What honest reading cannot tell, and what is none of this piece.
            let shown = bar.shown();
            let honest = (0..3).filter_map(|axis| {
                let read = [0.3, 0.3, 1.0][axis] + half_digit(size[axis]?);
                Some((read / shown[axis]).powi(2))
            });
            let most = 1.0 + (2.0 * honest.sum::<f64>().sqrt()).max(0.08);
            let whole = bar.volume();
            // Short of what no hot metal has left: gone.
            for axis in (0..3).filter(|axis| !ran[*axis]) {
                let over = ((told[axis] - new[axis]) / 2.0).max(0.0);
                bar.take(axis, over, over);
            }
            if moves && let Some(open) = [2, 0, 1].into_iter().find(|axis| size[*axis].is_none()) {
                new[open] = bar.volume() * new[open] / new.iter().product::<f64>();
            }
            if new.iter().product::<f64>() > most * whole {
                return Err(Refused::Impossible);
            }
            bar.press(new);
        }
        Ok(())
    }
}

/// How far apart two rows of a hexagon are, in diameters.
const ROW: f64 = 0.866_025_403_784_438_6;

/// Two sizes that differ by less, relatively, are equal.
const HAIR: f64 = 1e-9;

fn equal(one: f64, two: f64) -> bool {
    (one - two).abs() <= HAIR * one.abs().max(two.abs())
}

/// The diameter of rounds that are alike; none for anything else.
fn diameter(bars: &[Bar]) -> Option<f64> {
    let d = bars.first()?.shown()[0];
    let alike = bars.iter().all(|bar| {
        bar.outline == Outline::Round && equal(bar.shown()[0], d) && equal(bar.size[0], bar.size[1])
    });
    alike.then_some(d)
}

/// How many rounds stand along a side of the hexagon of so many.
fn hexagon_side(count: usize) -> Option<usize> {
    (2..=6).find(|n| 3 * n * (n - 1) + 1 == count)
}

/// The box round a hexagon, thickness and width.
fn hexagon_box(n: usize, d: f64, step: f64) -> [f64; 2] {
    [(2.0 * step * (n - 1) as f64 + 1.0) * d, (2 * n - 1) as f64 * d]
}

/// The rows of a hexagon in the middle of a room.
fn hexagon(n: usize, d: f64, step: f64, [high, broad]: [f64; 2]) -> Vec<Row> {
    let row = |k: usize| {
        let off = k as f64 - (n - 1) as f64;
        let many = 2 * n - 1 - k.abs_diff(n - 1);
        let x = |i: usize| broad / 2.0 + (i as f64 - (many - 1) as f64 / 2.0) * d;
        (high / 2.0 + off * step * d, (0..many).map(x).collect())
    };
    (0..2 * n - 1).map(row).collect()
}

/// Powder that fills a room of this size, if it holds any.
fn powder(tall: f64, wide: f64, share: f64) -> Option<Column> {
    let area = tall * wide * share;
    (area > 1e-9 * tall.max(wide).powi(2)).then(|| Column { wide, parts: vec![(area, None)] })
}

/// Rounds alike where their rows stand. Rows that reach into each other are parted half-way.
fn rounds(bars: &[Bar], d: f64, rows: &[Row], [high, broad]: [f64; 2], share: f64) -> Section {
    let mut bars = bars.iter();
    let bottom = rows[0].0 - d / 2.0;
    let top = rows[rows.len() - 1].0 + d / 2.0;
    let mut section: Section = Vec::new();
    section.extend(powder(bottom, broad, share).map(|strip| vec![strip]));
    for (k, (y, xs)) in rows.iter().enumerate() {
        let low = if k == 0 { bottom } else { (rows[k - 1].0 + y) / 2.0 };
        let up = rows.get(k + 1).map_or(top, |next| (next.0 + y) / 2.0);
        // A round lies as a square of its area, but no taller than its row lets it.
        let half = (round_side(d) / 2.0).min(y - low).min(up - y);
        let mut band = Vec::new();
        let mut left = 0.0;
        for (x, bar) in xs.iter().zip(&mut bars) {
            let area = bar.size[0] * bar.size[1];
            let wide = area / (2.0 * half);
            band.extend(powder(up - low, x - wide / 2.0 - left, share));
            let mut parts: Vec<Part> = Vec::new();
            parts.extend(powder(y - half - low, wide, share).into_iter().flat_map(|c| c.parts));
            parts.push((area, Some(bar.clone())));
            parts.extend(powder(up - y - half, wide, share).into_iter().flat_map(|c| c.parts));
            band.push(Column { wide, parts });
            left = x + wide / 2.0;
        }
        band.extend(powder(up - low, broad - left, share));
        section.push(band);
    }
    section.extend(powder(high - top, broad, share).map(|strip| vec![strip]));
    section
}

/// Flat bars row by row from below, each row filled from left to right and in the middle.
fn flats(bars: &[Bar], [high, broad]: [f64; 2], share: f64) -> Result<Section, Refused> {
    let mut rows: Vec<Vec<Bar>> = Vec::new();
    let mut left = 0.0;
    for bar in bars.iter().cloned() {
        if bar.size[0] > high || bar.size[1] > broad {
            return Err(Refused::Counts);
        }
        if rows.is_empty() || bar.size[1] > left {
            (left, _) = (broad, rows.push(Vec::new()));
        }
        left -= bar.size[1];
        rows.last_mut().ok_or(Refused::Counts)?.push(bar);
    }
    let tall: f64 = rows.iter().map(|row| row[0].size[0]).sum();
    if tall > high {
        return Err(Refused::Counts);
    }
    let mut section: Section = Vec::new();
    section.extend(powder((high - tall) / 2.0, broad, share).map(|strip| vec![strip]));
    for row in rows {
        let (tall, wide) = (row[0].size[0], row.iter().map(|bar| bar.size[1]).sum::<f64>());
        let mut band = Vec::new();
        band.extend(powder(tall, (broad - wide) / 2.0, share));
        for bar in row {
            band.push(Column { wide: bar.size[1], parts: vec![(bar.size[0] * bar.size[1], Some(bar))] });
        }
        band.extend(powder(tall, (broad - wide) / 2.0, share));
        section.push(band);
    }
    section.extend(powder((high - tall) / 2.0, broad, share).map(|strip| vec![strip]));
    Ok(section)
}

fn press_to_of(of: &Second, press: Press, start: f64) -> Result<f64, Refused> {
    let unsaid = if of.slips(Slip::WeldThinning) { 11.0 } else { 10.0 };
    let to = match press {
        Press::Unsaid => start * (1.0 - unsaid / 100.0),
        Press::Thinning(p) if !(0.0..100.0).contains(&p) => return Err(Refused::Spread),
        Press::Thinning(p) => start * (1.0 - p / 100.0),
        Press::To(to) => to.mm(),
    };
    if to > start { Err(Refused::Thicker) } else { Ok(to) }
}

/// A bar sawn into equal parts, and the mass of the kerfs.
fn parts(bar: &Bar, n: usize, kerf: f64) -> Result<(Vec<Bar>, f64), Refused> {
    let long = bar.size[2];
    let each = (long - (n - 1) as f64 * kerf) / n as f64;
    if each <= 0.0 {
        return Err(Refused::TooShort);
    }
    let mut sawn = 0.0;
    let mut out = Vec::new();
    for i in 0..n {
        let from = i as f64 * (each + kerf);
        out.push(bar.part(from, from + each));
        if i + 1 < n && kerf > 0.0 {
            sawn += bar.mass_between(from + each, from + each + kerf);
        }
    }
    Ok((out, sawn))
}

/// Trims bars that are to be laid along an axis to the smallest of them, in the other two; the mass of it.
fn trim(bars: &mut [Bar], axis: usize, trimmed: bool) -> Result<f64, Refused> {
    let mut lost = 0.0;
    for other in (0..3).filter(|a| *a != axis) {
        let least = bars.iter().map(|b| b.size[other]).fold(f64::MAX, f64::min);
        let most = bars.iter().map(|b| b.size[other]).fold(0.0, f64::max);
        if most - least > 1.0 && !trimmed {
            return Err(Refused::Unequal);
        }
        for bar in bars.iter_mut() {
            let over = bar.size[other] - least;
            // Along the length the heel ends are level; across, both sides give alike.
            let low = if other == 2 { 0.0 } else { over / 2.0 };
            lost += bar.take(other, low, over - low);
        }
    }
    Ok(lost)
}

/// What an `expect` sees.
pub fn look(bar: &Bar, looked: Looked) -> f64 {
    let shown = bar.shown();
    match looked {
        Looked::Thickness => shown[0],
        Looked::Width => shown[1],
        Looked::Length => shown[2],
        Looked::Mass => bar.mass(),
        Looked::Layers => bar.layers as f64,
        Looked::Bands => bar.bands() as f64,
    }
}

/// What all of it weighs, and how much steel there is without a name for it.
impl Second {
    /// The mass of all that stands, and of all on the rack, g.
    pub fn weighed(&self) -> (f64, f64) {
        (self.lots.values().map(Self::mass).sum(), self.rack.iter().map(|(_, lot)| Self::mass(lot)).sum())
    }

    /// How many sheets there are.
    pub fn sheets(&self) -> usize {
        let all = self.lots.values().chain(self.rack.iter().map(|(_, lot)| lot));
        all.flat_map(|lot| &lot.bars).map(|bar| bar.sheets.len()).sum()
    }

    /// The spread that the shop states.
    pub fn shop_spread(&self) -> Option<f64> {
        self.shop.spread
    }

    /// The shop's scale.
    pub fn scale(&self) -> Scale {
        self.shop.scale
    }
}
