//! Where the carbon is: how far it has evened out between the layers of a piece.
//!
//! A piece is a row of cells along an axis, each of one steel. Every pile lays the rows of its parts end to end, as they have
//! become by then, and carbon goes on from there: so it crosses the faces that were welded, like or unlike. Where the row gets
//! too long, equal parts are told by one of them that repeats without end; and what lies across the row, or is finer than can be
//! followed, is a cell whose inside evens out by itself while its mean trades with its neighbours. Carbon is neither made nor
//! lost, but in skins that a weld has buried. By content, not by activity (see `steel::contrast`). Held against finite differences
//! over random piles (`tests/oracle/carbon_fd.py`): within 10 % of the change in each steel.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::rc::Rc;

use rustc_hash::FxHashMap;

use super::axis::Axis;
use super::ids::{NodeId, PartName, SteelId};
use super::makeup::{Form, Makeup, Part, Pile};
use super::past::Past;
use super::view::{Cut, View, WHOLE, about, bits, place, telling};
use crate::steel::laws::decarb;
use crate::steel::laws::diffusion::even_out;

/// A part of a bar: stretches of its thickness, width and length, 0 to 1.
pub type Region = [(f64, f64); 3];

/// Carbon in one steel of a piece, % by mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteelCarbon {
    /// The steel that it was.
    pub steel: SteelId,
    /// Mean over all of its layers.
    pub mean: f64,
    /// In its leanest layers.
    pub least: f64,
    /// In its richest layers.
    pub most: f64,
    /// The share of the piece that it takes, 0 to 1.
    pub share: f64,
}

/// Cells of a row that is followed as it is: a hundred layers (project figure).
const LONGEST: usize = 2400;
/// Cells from each face of a layer to its middle, and how much wider each is than the one before (project figures).
const CELLS: i32 = 12;
const WIDER: f64 = 1.25;
/// Neighbouring cells of one steel that are together smaller than this share of how far carbon has come are one (project figure).
const SMOOTH: f64 = 0.3;
/// Parts after which a pile may repeat, at most (project figure).
const PERIOD: usize = 64;
/// From so many layers on it makes no difference where a part is cut off (project figure).
const MANY: u64 = 1000;
/// Contents closer than this are one, %.
const SAME: f64 = 1e-9;

/// What a cell is made of.
#[derive(Clone, Debug)]
enum Stuff {
    /// One steel, and whether it counts.
    Steel(SteelId, bool),
    /// Something with an inside of its own, and along which axes it lies the other way round: a bar that is folded again and again is
    /// in itself both ways each time, and what it is made of is kept once.
    Fabric(Rc<Fabric>, Flips),
}

/// Along which axes something lies the other way round: thickness, width and length.
type Flips = [bool; 3];

/// One way round inside another.
fn flipped([a, b, c]: Flips, [p, q, r]: Flips) -> Flips {
    [a != p, b != q, c != r]
}

impl PartialEq for Stuff {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Stuff::Steel(a, counts), Stuff::Steel(b, other)) => a == b && counts == other,
            (Stuff::Fabric(a, way), Stuff::Fabric(b, other)) => a == b && a.ways(*way) == b.ways(*other),
            _ => false,
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
struct Cell {
    /// Along its row, mm as laid.
    mm: f64,
    /// In the mean, %.
    carbon: f64,
    stuff: Stuff,
}

/// A row of cells.
#[derive(Debug)]
struct Fabric {
    axis: Axis,
    /// Whether it goes on like that at both ends; else they are faces.
    repeats: bool,
    cells: Vec<Cell>,
    mean: f64,
    /// Whether nothing in it differs any more.
    even: bool,
    /// Whether it is the same from its other end.
    mirrored: bool,
    /// A digest of all of it, once it was asked for: fabrics inside fabrics would be gone through once for each way to them.
    digest: OnceCell<Digest>,
}

impl PartialEq for Fabric {
    /// Two that differ have one digest in 2^128 pairs.
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other) || self.digest() == other.digest()
    }
}

/// A part of a pile as far as a window shows it.
#[derive(PartialEq)]
struct Shown {
    /// How long it was laid, mm.
    laid: f64,
    carbon: f64,
    stuff: Stuff,
    /// The skin that its faces had lost by then, mm.
    lost: f64,
}

/// A digest of all that a fabric is.
type Digest = [u64; 2];

/// Fabrics by what they are: what has been done to one is done once. Not by where they are kept: each window of a pile has what lies in it aged
/// anew, so that a fold of what is told apart along its length would hold twice as many at each turn.
type Done<T> = FxHashMap<Digest, T>;

/// Fabrics as far as a part of the bar shows them.
type Clipped = FxHashMap<(Digest, [u64; 6]), Rc<Fabric>>;

/// A node with its window, what its past did to its carbon, and whether it counts.
type Seen = (NodeId, [[i64; 2]; 3], [u64; 6], bool);

struct Search<'a> {
    makeup: &'a Makeup,
    start: &'a dyn Fn(SteelId) -> f64,
    part: Option<PartName>,
    known: FxHashMap<Seen, (f64, Stuff)>,
    /// What is known as views turn it.
    turned: BTreeMap<[Axis; 3], Done<Rc<Fabric>>>,
}

impl SteelCarbon {
    /// Carbon in each steel of a bar, in the order of their numbers; `start` is what each held as stock, %.
    ///
    /// Only inside parts of a name, where one is given.
    #[must_use]
    pub fn of(
        makeup: &Makeup,
        node: NodeId,
        past: &Past,
        start: &dyn Fn(SteelId) -> f64,
        part: Option<PartName>,
    ) -> Vec<SteelCarbon> {
        SteelCarbon::within(makeup, node, past, start, (part, &[EVERYWHERE]))
    }

    /// The same in parts of a bar alone. A row that goes on like that without ends is
    /// told as a whole.
    #[must_use]
    pub fn within(
        makeup: &Makeup,
        node: NodeId,
        past: &Past,
        start: &dyn Fn(SteelId) -> f64,
        (part, places): (Option<PartName>, &[Region]),
    ) -> Vec<SteelCarbon> {
        let mut search = Search { makeup, start, part, known: FxHashMap::default(), turned: BTreeMap::new() };
        let (carbon, stuff) = search.node(node, WHOLE, past, part.is_none());
        let clip = |within: &Region| {
            let stuff = match &stuff {
                Stuff::Fabric(fabric, flips) if *within != EVERYWHERE => {
                    Stuff::Fabric(fabric.within(within, *flips, &mut Clipped::default()), *flips)
                }
                whole => whole.clone(),
            };
            Cell { mm: 1.0, carbon, stuff }
        };
        let cells: Vec<Cell> = places.iter().map(clip).collect();
        let mut found = sums(&cells, &mut Done::default());
        for one in &mut found {
            // Rounding must not leave a steel with less than no carbon.
            one.least = one.least.max(0.0);
            one.mean = one.mean.max(one.least);
        }
        found
    }
}

/// The whole of a bar.
const EVERYWHERE: Region = [(0.0, 1.0); 3];

/// Carbon in each steel of a row, in the order of their numbers.
fn sums(cells: &[Cell], done: &mut Done<Vec<SteelCarbon>>) -> Vec<SteelCarbon> {
    let all: f64 = cells.iter().map(|c| c.mm).sum();
    let mut found: BTreeMap<SteelId, SteelCarbon> = BTreeMap::new();
    let mut add = |more: SteelCarbon, shift: f64, share: f64| {
        let SteelCarbon { steel, mean, least, most, share: own } = more;
        let (mean, least, most, share) = (mean + shift, least + shift, most + shift, own * share);
        let so_far = found.entry(steel).or_insert(SteelCarbon { steel, mean, least, most, share: 0.0 });
        so_far.share += share;
        so_far.mean += (mean - so_far.mean) * share / so_far.share;
        so_far.least = so_far.least.min(least);
        so_far.most = so_far.most.max(most);
    };
    for Cell { mm, carbon, stuff } in cells {
        match stuff {
            Stuff::Steel(_, false) => {}
            Stuff::Steel(steel, true) => {
                let one =
                    SteelCarbon { steel: *steel, mean: *carbon, least: *carbon, most: *carbon, share: 1.0 };
                add(one, 0.0, mm / all);
            }
            Stuff::Fabric(fabric, _) => {
                let key = fabric.digest();
                if !done.contains_key(&key) {
                    let inside = sums(&fabric.cells, done);
                    done.insert(key, inside);
                }
                for one in done.get(&key).into_iter().flatten() {
                    add(*one, carbon - fabric.mean, mm / all);
                }
            }
        }
    }
    found.into_values().collect()
}

impl Fabric {
    fn new(axis: Axis, repeats: bool, cells: Vec<Cell>) -> Fabric {
        let (all, first) = (cells.iter().map(|c| c.mm).sum::<f64>(), cells.first().map_or(0.0, |c| c.carbon));
        // From the first: what is all alike must not come out a hair beside.
        let mean = first + cells.iter().map(|c| (c.carbon - first) * c.mm).sum::<f64>() / all;
        let even = cells.iter().all(|c| {
            (c.carbon - mean).abs() < SAME && !matches!(&c.stuff, Stuff::Fabric(fabric, _) if !fabric.even)
        });
        let half = cells.len() / 2;
        let mirrored = cells.iter().take(half).eq(cells.iter().rev().take(half));
        Fabric::of(axis, repeats, cells, mean, [even, mirrored])
    }

    fn of(axis: Axis, repeats: bool, cells: Vec<Cell>, mean: f64, [even, mirrored]: [bool; 2]) -> Fabric {
        Fabric { axis, repeats, cells, mean, even, mirrored, digest: OnceCell::new() }
    }

    fn digest(&self) -> Digest {
        let made = |which: u8| {
            let mut digest = DefaultHasher::new();
            (which, self.axis, self.repeats, self.mean.to_bits(), self.even, self.mirrored).hash(&mut digest);
            for cell in &self.cells {
                (cell.mm.to_bits(), cell.carbon.to_bits()).hash(&mut digest);
                match &cell.stuff {
                    Stuff::Steel(steel, counts) => (steel, counts).hash(&mut digest),
                    Stuff::Fabric(inside, flips) => (inside.digest(), inside.ways(*flips)).hash(&mut digest),
                }
            }
            digest.finish()
        };
        *self.digest.get_or_init(|| [1, 2].map(made))
    }

    /// Ways that it lies in, told alike where they come to one.
    fn ways(&self, flips: Flips) -> Flips {
        if self.mirrored { self.axis.with(flips, true) } else { flips }
    }

    /// Its cells in the order in which they lie.
    fn laid(&self, flips: Flips) -> impl Iterator<Item = Cell> {
        let (many, back) = (self.cells.len(), self.axis.of(flips));
        let at = move |i: usize| self.cells.get(if back { many - 1 - i } else { i });
        (0..many).filter_map(at).map(move |cell| {
            let stuff = match &cell.stuff {
                Stuff::Fabric(inside, own) => Stuff::Fabric(inside.clone(), flipped(*own, flips)),
                steel @ Stuff::Steel(..) => steel.clone(),
            };
            Cell { stuff, ..*cell }
        })
    }

    /// The same with its carbon as a past in the fire leaves it, and its sizes as forging does.
    fn aged(self: &Rc<Self>, past: &Past, done: &mut Done<Rc<Fabric>>) -> Rc<Fabric> {
        // What is even stays so, whatever its sizes.
        if self.even {
            return self.clone();
        }
        if let Some(known) = done.get(&self.digest()) {
            return known.clone();
        }
        let (spent, stretch) = (self.axis.of(past.spent), self.axis.of(past.stretch));
        let row: Vec<(f64, f64)> = self.cells.iter().map(|c| (c.mm, c.carbon)).collect();
        let after = even_out(&row, spent, self.repeats);
        // What has become smooth is told by fewer cells.
        let smooth = SMOOTH * spent.sqrt();
        let mut cells: Vec<Cell> = Vec::with_capacity(self.cells.len());
        for (cell, carbon) in self.cells.iter().zip(after) {
            let mm = cell.mm * stretch;
            if let Some(last) = cells.last_mut()
                && last.mm + mm <= smooth * stretch
                && matches!((&last.stuff, &cell.stuff), (Stuff::Steel(..), steel) if *steel == last.stuff)
            {
                last.mm += mm;
                last.carbon += (carbon - last.carbon) * mm / last.mm;
                continue;
            }
            let stuff = match &cell.stuff {
                Stuff::Fabric(inside, flips) => Stuff::Fabric(inside.aged(past, done), *flips),
                steel @ Stuff::Steel(..) => steel.clone(),
            };
            cells.push(Cell { mm, carbon, stuff });
        }
        let aged = Rc::new(Fabric::new(self.axis, self.repeats, cells));
        done.insert(self.digest(), aged.clone());
        aged
    }

    /// What of it lies in a part of the bar that sees it so. Its mean stays that of the whole: its cells are told from there.
    fn within(&self, parts: &Region, flips: Flips, done: &mut Clipped) -> Rc<Fabric> {
        let parts = Axis::each(|axis| {
            let (from, to) = axis.of(*parts);
            if axis.of(flips) { (1.0 - to, 1.0 - from) } else { (from, to) }
        });
        let key = (self.digest(), bits(parts));
        if let Some(known) = done.get(&key) {
            return known.clone();
        }
        let (from, to) = if self.repeats { (0.0, 1.0) } else { self.axis.of(parts) };
        let all: f64 = self.cells.iter().map(|c| c.mm).sum();
        let mut at = 0.0;
        let mut cells = Vec::new();
        for cell in &self.cells {
            let mm = (at + cell.mm).min(to * all) - at.max(from * all);
            at += cell.mm;
            if mm <= 0.0 {
                continue;
            }
            let stuff = match &cell.stuff {
                Stuff::Fabric(inside, own) => Stuff::Fabric(inside.within(&parts, *own, done), *own),
                steel @ Stuff::Steel(..) => steel.clone(),
            };
            cells.push(Cell { mm, carbon: cell.carbon, stuff });
        }
        let Fabric { axis, repeats, mean, even, .. } = *self;
        let clipped = Rc::new(Fabric::of(axis, repeats, cells, mean, [even, false]));
        done.insert(key, clipped.clone());
        clipped
    }

    /// The same with its axes as a view has them.
    fn turned(self: &Rc<Self>, view: &View, done: &mut Done<Rc<Fabric>>) -> Rc<Fabric> {
        if view.order == Axis::ALL {
            return self.clone();
        }
        if let Some(known) = done.get(&self.digest()) {
            return known.clone();
        }
        let mut cells = self.cells.clone();
        for cell in &mut cells {
            if let Stuff::Fabric(inside, flips) = &mut cell.stuff {
                *inside = inside.turned(view, done);
                *flips = Axis::each(|axis| view.inner(axis).of(*flips));
            }
        }
        let turned = Rc::new(Fabric::new(view.outer(self.axis), self.repeats, cells));
        done.insert(self.digest(), turned.clone());
        turned
    }
}

impl Search<'_> {
    /// The carbon of a node inside a window, in the mean, and where it is: remembered, as a fold lays one node again and again.
    fn node(&mut self, id: NodeId, window: Cut, past: &Past, inside: bool) -> (f64, Stuff) {
        let window = telling(window, self.makeup.node(id).varies);
        let ([a, b, c], [p, q, r]) = (past.spent, past.stretch);
        let places = window.map(|(from, to)| [place(from), place(to)]);
        let key = (id, places, [a, b, c, p, q, r].map(about), inside);
        if let Some(known) = self.known.get(&key) {
            return known.clone();
        }
        let found = self.found(id, window, past, inside);
        self.known.insert(key, found.clone());
        found
    }

    fn found(&mut self, id: NodeId, window: Cut, past: &Past, inside: bool) -> (f64, Stuff) {
        match self.makeup.told(id) {
            Form::Solid(steel) => ((self.start)(steel), Stuff::Steel(steel, inside)),
            Form::View(view) => {
                let past = past.along(|axis| view.outer(axis));
                match self.node(view.child, view.within(&window), &past, inside) {
                    (carbon, Stuff::Fabric(fabric, flips)) if view.moves() => {
                        // Told along the child's axes, as the view is.
                        let flips = flipped(flips, view.flipped);
                        let flips = Axis::each(|axis| view.inner(axis).of(flips));
                        (
                            carbon,
                            Stuff::Fabric(
                                fabric.turned(&view, self.turned.entry(view.order).or_default()),
                                flips,
                            ),
                        )
                    }
                    other => other,
                }
            }
            Form::Warped(child, _) => self.node(child, WHOLE, past, inside),
            Form::Pile(pile) => {
                let laid = self.laid(pile, &window, inside);
                let fabric = Rc::new(laid).aged(past, &mut Done::default());
                (fabric.mean, Stuff::Fabric(fabric, [false; 3]))
            }
        }
    }

    fn part(&mut self, part: &Part, window: Cut, inside: bool) -> (f64, Stuff) {
        let window = if self.makeup.layers(part.node) > MANY { WHOLE } else { window };
        let inside = inside || self.part == Some(part.name);
        self.node(part.node, window, &self.makeup.past(part.past), inside)
    }

    /// A pile as it was laid: the parts that lie inside a window.
    fn laid(&mut self, pile: Pile, window: &Cut, inside: bool) -> Fabric {
        let makeup = self.makeup;
        let (from, to) = pile.axis.of(*window);
        let (mut shown, mut start) = (Vec::new(), 0.0);
        for part in makeup.parts_of(pile) {
            let end = start + part.fraction;
            let (a, b) = (from.max(start), to.min(end));
            // Rounding of the fractions leaves hairs at the ends.
            if b - a > 1e-12 {
                let local = |x: f64| ((x - start) / part.fraction).clamp(0.0, 1.0);
                let (low, high) = (local(a), local(b));
                let inner = (if low < 1e-9 { 0.0 } else { low }, if high > 1.0 - 1e-9 { 1.0 } else { high });
                let (carbon, stuff) = self.part(part, pile.axis.with(*window, inner), inside);
                let [faces, edges] = makeup.past(part.past).lost;
                let lost = pile.axis.of([faces, edges, 0.0]);
                // By the window, which is whole to the last bit where all of the part is shown: equal parts are equal then.
                shown.push(Shown { laid: part.laid * (inner.1 - inner.0), carbon, stuff, lost });
            }
            start = end;
        }
        if long(&shown, pile.axis) <= LONGEST {
            return Fabric::new(pile.axis, false, row(&shown, pile.axis, false));
        }
        // Too long: the shortest stretch that all of it repeats, itself in short where it must be.
        let repeats = |period: &usize| shown.iter().zip(shown.iter().skip(*period)).all(|(a, b)| a == b);
        let period = (1..shown.len().min(PERIOD)).find(repeats);
        shown.truncate(period.unwrap_or(shown.len()));
        let shown = &mut between_ends(shown, pile.axis);
        if let [Shown { stuff: Stuff::Fabric(only, flips), lost, .. }] = &shown[..]
            && only.repeats
            && *lost == 0.0
        {
            return Fabric::new(only.axis, true, only.laid(*flips).collect());
        }
        if long(shown, pile.axis) > LONGEST {
            // Thousands of parts may be of one fabric: it is kept once.
            let mut short: Done<Rc<Fabric>> = Done::default();
            for part in shown.iter_mut() {
                if let Stuff::Fabric(fabric, flips) = &part.stuff {
                    let in_short = || Rc::new(Fabric::new(fabric.axis, true, fabric.cells.clone()));
                    let short = short.entry(fabric.digest()).or_insert_with(in_short).clone();
                    part.stuff = Stuff::Fabric(short, *flips);
                }
            }
        }
        let cells = row(shown, pile.axis, period.is_some());
        Fabric::new(pile.axis, period.is_some(), cells)
    }
}

/// Hundreds of parts of which only the outermost differ, as scale and the grinder leave them: what lies between them is told by a stretch that it
/// repeats.
fn between_ends(mut shown: Vec<Shown>, axis: Axis) -> Vec<Shown> {
    if shown.len() <= LONGEST / (2 * CELLS as usize) {
        return shown;
    }
    let Some(last) = shown.pop() else { return shown };
    let mut inner = shown.split_off(1);
    let repeats = |period: &usize| inner.iter().zip(inner.iter().skip(*period)).all(|(a, b)| a == b);
    let Some(period) = (1..PERIOD).find(repeats) else {
        shown.append(&mut inner);
        shown.push(last);
        return shown;
    };
    // What is left over of a last stretch is told by itself, so that no steel has more than its share.
    let rest = inner.split_off(inner.len() - inner.len() % period);
    let laid = inner.iter().map(|part| part.laid).sum();
    inner.truncate(period);
    let fabric = Rc::new(Fabric::new(axis, true, row(&inner, axis, true)));
    let stuff = Stuff::Fabric(fabric.clone(), [false; 3]);
    shown.push(Shown { laid, carbon: fabric.mean, stuff, lost: 0.0 });
    shown.extend(rest);
    shown.push(last);
    shown
}

impl Shown {
    /// What goes on in the row of a pile along this axis, and how it lies; what has no such row is laid in cells of its own.
    fn row(&self, axis: Axis) -> Option<(&Fabric, Flips)> {
        match &self.stuff {
            Stuff::Fabric(fabric, flips) if fabric.axis == axis && !fabric.repeats => Some((fabric, *flips)),
            _ => None,
        }
    }
}

/// Cells of parts end to end.
fn long(shown: &[Shown], axis: Axis) -> usize {
    shown.iter().map(|part| part.row(axis).map_or(2 * CELLS as usize, |(row, _)| row.cells.len())).sum()
}

/// Parts end to end, each with the skin missing that it had lost before it was laid, where another part lies on it.
fn row(shown: &[Shown], axis: Axis, repeats: bool) -> Vec<Cell> {
    let mut cells: Vec<Cell> = Vec::new();
    for (i, part) in shown.iter().enumerate() {
        let begin = cells.len();
        if let Some((row, flips)) = part.row(axis) {
            let scale = part.laid / row.cells.iter().map(|c| c.mm).sum::<f64>();
            cells.extend(row.laid(flips).map(|c| Cell { mm: c.mm * scale, ..c }));
        } else {
            let cell = |mm| Cell { mm: part.laid * mm, carbon: part.carbon, stuff: part.stuff.clone() };
            cells.extend(graded().map(cell));
        }
        let (below, above) = (repeats || i > 0, repeats || i + 1 < shown.len());
        let mut low = 0.0;
        for cell in cells.iter_mut().skip(begin).filter(|_| part.lost > 0.0) {
            let (near, far) = (low, low + cell.mm);
            low = far;
            let left = |near: f64, far: f64| decarb::carbon_left(near / part.lost, far / part.lost);
            if below {
                cell.carbon *= left(near, far);
            }
            if above {
                cell.carbon *= left(part.laid - far, part.laid - near);
            }
        }
    }
    cells
}

/// Shares of a layer that its cells take: fine at its faces, where it changes first.
fn graded() -> impl Iterator<Item = f64> {
    let whole = 2.0 * (WIDER.powi(CELLS) - 1.0) / (WIDER - 1.0);
    (0..CELLS).chain((0..CELLS).rev()).map(move |i| WIDER.powi(i) / whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::piece::{Axis, Part, PastId};

    const DARK: SteelId = SteelId(0);
    const BRIGHT: SteelId = SteelId(1);

    fn start(steel: SteelId) -> f64 {
        if steel == DARK { 0.95 } else { 0.20 }
    }

    fn laid(node: NodeId, mm: f64, all: f64, past: PastId) -> Part {
        Part { fraction: mm / all, node, name: PartName(0), laid: mm, past }
    }

    /// Eleven layers of equal thickness, dark outside with half as much: evenly repeating in the mirror of both faces.
    fn stack(makeup: &mut Makeup, a: f64) -> NodeId {
        let (dark, bright) = (makeup.solid(DARK, 0.00785), makeup.solid(BRIGHT, 0.00785));
        let mut parts = vec![laid(dark, a / 2.0, 10.0 * a, PastId::NONE)];
        for i in 0..9 {
            parts.push(laid(if i % 2 == 0 { bright } else { dark }, a, 10.0 * a, PastId::NONE));
        }
        parts.push(laid(dark, a / 2.0, 10.0 * a, PastId::NONE));
        makeup.pile(Axis::Thickness, &parts).unwrap()
    }

    fn soaked(fo: f64, a: f64) -> Past {
        let mut past = Past::NONE;
        past.soak(fo * a * a, [1.0; 3], [1.0; 3]);
        past
    }

    #[test]
    fn means_follow_the_published_table() {
        // Contrast left in layer means, from the table of the reference (calc): Fo 0.01, 0.1, 0.5.
        for (fo, left) in [(0.01, 0.77432), (0.1, 0.30212), (0.5, 0.00583)] {
            let mut makeup = Makeup::default();
            let node = stack(&mut makeup, 1.5);
            let got = SteelCarbon::of(&makeup, node, &soaked(fo, 1.5), &start, None);
            let step = got.first().unwrap().mean - got.get(1).unwrap().mean;
            // 24 cells a layer: within 0.6 % of the change.
            assert!((step / 0.75 - left).abs() < 0.006 * (1.0 - left), "{fo}: {}", step / 0.75);
        }
    }

    #[test]
    fn carbon_is_neither_made_nor_lost() {
        let mut makeup = Makeup::default();
        let inner = stack(&mut makeup, 0.4);
        let core = makeup.solid(BRIGHT, 0.00785);
        let past = makeup.remember(&soaked(0.03, 0.4));
        let parts =
            [laid(inner, 4.0, 9.5, past), laid(core, 1.5, 9.5, PastId::NONE), laid(inner, 4.0, 9.5, past)];
        let sandwich = makeup.pile(Axis::Thickness, &parts).unwrap();
        // Ground by a third on one side only.
        let ground = makeup.cut(sandwich, [(0.0, 0.67), (0.0, 1.0), (0.0, 1.0)], [9.5, 40.0, 200.0]);
        let total = |past: &Past| {
            let got = SteelCarbon::of(&makeup, ground, past, &start, None);
            got.iter().map(|s| s.mean * s.share).sum::<f64>()
        };
        let before = total(&Past::NONE);
        for fo in [1e-4, 0.01, 0.2, 3.0, 1e3] {
            assert!((total(&soaked(fo, 1.0)) - before).abs() < 1e-12, "{fo}");
        }
    }

    #[test]
    fn nothing_moves_without_time_or_without_a_step() {
        let mut makeup = Makeup::default();
        let node = stack(&mut makeup, 1.0);
        let got = SteelCarbon::of(&makeup, node, &Past::NONE, &start, None);
        assert_eq!(got.first().unwrap().mean, got.first().unwrap().least);
        assert!((got.first().unwrap().mean - 0.95).abs() < 1e-12);
        let alike = SteelCarbon::of(&makeup, node, &soaked(2.0, 1.0), &|_| 0.8, None);
        assert!(alike.iter().all(|s| (s.mean - 0.8).abs() < 1e-12 && (s.most - s.least).abs() < 1e-12));
    }

    #[test]
    fn drawing_out_between_soaks_sums_as_published() {
        // Schedule of the reference (calc): D(1150 C) 8.506e-11 m2/s, four 10 min heats at a = 3, 1.5, 0.75, 0.375 mm
        // leave 0.0070 in the means.
        let mut makeup = Makeup::default();
        let node = stack(&mut makeup, 3.0);
        let mut past = Past::NONE;
        for _ in 0..4 {
            past.soak(8.506e-5 * 600.0, [1.0; 3], [0.5, 1.0, 2.0]);
        }
        let got = SteelCarbon::of(&makeup, node, &past, &start, None);
        let step = got.first().unwrap().mean - got.get(1).unwrap().mean;
        assert!((step / 0.75 - 0.0070).abs() < 5e-4, "{}", step / 0.75);
    }

    /// Two hundred layers whose outermost are thinner come to what the whole row of their cells comes to, worked at once.
    #[test]
    fn what_lies_between_two_odd_ends_is_told_by_a_stretch_of_it() {
        let mut makeup = Makeup::default();
        let steels = [makeup.solid(DARK, 0.00785), makeup.solid(BRIGHT, 0.00785)];
        let mm = |i: usize| if i == 0 || i == 200 { 0.4 } else { 1.0 };
        let parts: Vec<Part> = (0..201).map(|i| laid(steels[i % 2], mm(i), 199.8, PastId::NONE)).collect();
        let node = makeup.pile(Axis::Thickness, &parts).unwrap();
        let cells: Vec<(f64, f64)> = (0..201)
            .flat_map(|i| graded().map(move |share| (share * mm(i), start([DARK, BRIGHT][i % 2]))))
            .collect();
        for fo in [0.003, 0.05, 0.4] {
            let after = even_out(&cells, fo, false);
            let mean = |steel: usize| {
                let own = (0..cells.len()).filter(|i| i / (2 * CELLS as usize) % 2 == steel);
                let (sum, all) =
                    own.fold((0.0, 0.0), |(sum, all), i| (sum + after[i] * cells[i].0, all + cells[i].0));
                sum / all
            };
            let got = SteelCarbon::of(&makeup, node, &soaked(fo, 1.0), &start, None);
            for (nth, one) in got.iter().enumerate() {
                let (whole, change) = (mean(nth), (mean(nth) - start([DARK, BRIGHT][nth])).abs());
                assert!((one.mean - whole).abs() < 0.01 * change, "{fo} {nth}: {} and {whole}", one.mean);
                assert!((one.share - [100.0 - 0.2, 100.0][nth] / 199.8).abs() < 1e-9, "{}", one.share);
            }
        }
    }

    /// What is counted before a row is laid is what is laid; and a row takes the room of the bar that it lies in, whatever it was.
    #[test]
    fn rows_are_as_long_as_counted_and_as_thick_as_laid() {
        let cell = |mm: f64, carbon: f64| Cell { mm, carbon, stuff: Stuff::Steel(DARK, true) };
        let fabric = Fabric::new(Axis::Thickness, false, vec![cell(1.0, 0.9), cell(3.0, 0.5)]);
        assert!((fabric.mean - 0.6).abs() < 1e-12 && !fabric.even);
        let shown = |laid: f64, stuff: Stuff| Shown { laid, carbon: 0.6, stuff, lost: 0.0 };
        let parts =
            [shown(2.0, Stuff::Fabric(Rc::new(fabric), [false; 3])), shown(5.0, Stuff::Steel(DARK, true))];
        let laid = row(&parts, Axis::Thickness, false);
        assert_eq!((long(&parts, Axis::Thickness), laid.len()), (26, 26));
        assert!((laid[0].mm - 0.5).abs() < 1e-12 && (laid[1].mm - 1.5).abs() < 1e-12);
        assert!((laid.iter().map(|c| c.mm).sum::<f64>() - 7.0).abs() < 1e-12);
        // Along another axis the fabric is a bar as any: cells of its own.
        assert_eq!((long(&parts, Axis::Width), row(&parts, Axis::Width, false).len()), (48, 48));
    }
}
