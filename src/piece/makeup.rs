//! What a piece is made up of: a small tree, shared and never copied layer by layer.
//!
//! A node fills the unit cube of its own axes (thickness, width, length). Forging scales the cube, so nothing
//! in the tree changes; grinding and burning look at a smaller window of it; folding shares it. A pile of a
//! trillion layers is a few dozen nodes. Questions that follow a line or a past through it are files of their own.

use std::borrow::Cow;
use std::cell::Cell;
use std::collections::BTreeSet;

use rustc_hash::{FxHashMap, FxHashSet};
use smallvec::SmallVec;

use super::axis::{Axis, SLIVER};
use super::bar::Bar;
use super::blade::{Blade, grid};
use super::ids::{BladeId, NodeId, PartName, PastId, ReliefId, SteelId, WarpId};
use super::line::{Line, Point};
use super::past::Past;
use super::relief::{Column, Relief};
use super::view::{Cut, View, WHOLE, bits, telling};
use super::warp::{Mitre, Shear, Uneven, Warp, Wavy};
use crate::quantity::{Arena, Id};

/// One item of a pile.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// The share of the pile's axis that it takes, 0 to 1.
    pub fraction: f64,
    /// What it is made up of.
    pub node: NodeId,
    /// The name it went in under.
    pub name: PartName,
    /// How long it was along that axis when it was laid, mm.
    pub laid: f64,
    /// Its past before it was laid, as [`Makeup::remember`] keeps it.
    pub past: PastId,
}

/// The pile is beyond what the book can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooMuch {
    /// More than 2^64 layers.
    Layers,
    /// More stacks inside stacks than [`Makeup::DEEPEST`].
    Stacks,
    /// More parts held lines and windows against than [`Makeup::MOST_LOOKED`].
    Looked,
    /// More stations of blades than [`Makeup::MOST_STATIONS`], or than any real blade has.
    Shaping,
}

/// Parts on each other along an axis, lowest first.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pile {
    pub axis: Axis,
    first: u32,
    count: u32,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Form {
    Solid(SteelId),
    Pile(Pile),
    View(View),
    /// Its points moved about: by place it is told apart in the field, and elsewhere by its middle alone.
    Warped(NodeId, WarpId),
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub form: Form,
    /// Mean density, g/mm3.
    density: f64,
    /// Whether every steel inside has that same density.
    even: bool,
    /// Sheets of steel, as the trade counts.
    layers: u64,
    /// Whether the makeup differs along each axis.
    pub varies: [bool; 3],
    /// Whether it differs along each axis for the field alone.
    warped: [bool; 3],
    /// One bit for each steel inside.
    steels: u64,
    /// Whether hollows were cut or pressed in and brought level somewhere inside.
    hollowed: bool,
    /// Stacks inside stacks.
    depth: u32,
    /// Where its shares begin: one for each bit of `steels`, lowest first.
    mix: usize,
}

impl Node {
    /// Whether it differs along each axis for the field.
    fn placed(&self) -> [bool; 3] {
        Axis::each(|axis| axis.of(self.varies) || axis.of(self.warped))
    }
}

/// A part of a pile that a line meets.
pub(super) struct OnLine {
    pub part: Part,
    /// Where it is met, as shares of the line.
    pub met: (f64, f64),
    /// That stretch of the line as the part sees it; outside of a pile its outermost part goes on.
    pub line: Line,
}

/// What a mean over a window is taken of.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
enum Of {
    /// Density, g/mm3.
    Density,
    /// 1 inside a named part, 0 outside.
    Share(PartName),
    /// Density inside a named part, 0 outside.
    Inside(PartName),
    /// 1 inside a steel, 0 outside.
    Steel(SteelId),
}

/// Nodes, with windows of them in which no seam was found.
type Seamless = FxHashSet<(NodeId, [u64; 6])>;

/// A mean over a window that is kept takes as long as so many parts that a line is held against (measured).
const MEAN: usize = 8;
/// A place of a relief that a sum goes through counts as so many of those (measured).
const PLACE: usize = 5;

/// Means already taken, by node and window.
type Means = FxHashMap<(NodeId, [u64; 6], Of), f64>;

/// How far a makeup goes: to forget what comes after.
#[derive(Clone, Copy, Debug)]
pub struct MakeupMark {
    lengths: [usize; 8],
    looked: usize,
}

/// What stands of a relief, as shares of its block.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    /// Of the volume.
    pub volume: f64,
    /// Of the weight.
    pub weight: f64,
}

/// The arena of all nodes of one run. Cleared, not freed, between runs.
#[derive(Debug, Default)]
pub struct Makeup {
    nodes: Arena<NodeId, Node>,
    parts: Vec<Part>,
    /// Where the pile that was begun begins.
    laid_from: usize,
    mixes: Vec<f64>,
    pasts: Arena<PastId, Past>,
    blades: Arena<BladeId, Blade>,
    warps: Arena<WarpId, Warp>,
    reliefs: Arena<ReliefId, Relief>,
    /// The heights of uneven hands, by the node of each.
    heights: Vec<(NodeId, Vec<f64>)>,
    /// Stations of all blades that are kept.
    stations: usize,
    /// Parts that lines and windows were held against.
    looked: Cell<usize>,
}

impl Makeup {
    /// Stacks inside stacks that are followed: every question about a piece walks this deep.
    pub const DEEPEST: u32 = 500;
    /// Parts of piles that a run holds its lines and windows against (project figure: a `run` that ends there took 0.83 s in all; the
    /// shipped recipes stay under a fifth of it). What a skin off the face of a piece asks goes with the cube of the stacks in it that were turned between each other.
    pub const MOST_LOOKED: usize = 4_000_000;
    /// Stations of all blades that a run keeps (project figure).
    pub const MOST_STATIONS: usize = 1_000_000;

    /// Forgets all nodes and keeps the memory.
    pub fn clear(&mut self) {
        self.rewind(&MakeupMark { lengths: [0; 8], looked: 0 });
    }

    /// How far it goes now.
    #[must_use]
    pub fn mark(&self) -> MakeupMark {
        let [nodes, parts, mixes] = [self.nodes.len(), self.parts.len(), self.mixes.len()];
        let [pasts, blades] = [self.pasts.len(), self.blades.len()];
        let [warps, reliefs] = [self.warps.len(), self.reliefs.len()];
        let (heights, looked) = (self.heights.len(), self.looked.get());
        MakeupMark { lengths: [nodes, parts, mixes, pasts, blades, warps, reliefs, heights], looked }
    }

    /// Forgets all that came after a mark; what came before it stays as it was.
    pub fn rewind(&mut self, mark: &MakeupMark) {
        let [nodes, parts, mixes, pasts, blades, warps, reliefs, heights] = mark.lengths;
        self.nodes.truncate(nodes);
        self.parts.truncate(parts);
        self.mixes.truncate(mixes);
        self.pasts.truncate(pasts);
        self.blades.truncate(blades);
        self.warps.truncate(warps);
        self.reliefs.truncate(reliefs);
        self.heights.truncate(heights);
        self.looked.set(mark.looked);
        self.stations = self.blades.iter().map(Blade::room).sum();
    }

    /// A solid bar of one steel of this density, g/mm3.
    pub fn solid(&mut self, steel: SteelId, density: f64) -> NodeId {
        let Some(steels) = 1u64.checked_shl(u32::from(steel.0)) else { bug!("a makeup of {steel:?}") };
        let mix = self.mixes.len();
        self.mixes.push(1.0);
        let form = Form::Solid(steel);
        let varies = [false; 3];
        let warped = varies;
        let (even, hollowed) = (true, false);
        self.nodes.push(Node {
            form,
            density,
            even,
            layers: 1,
            varies,
            warped,
            steels,
            hollowed,
            depth: 0,
            mix,
        })
    }

    /// What fills the room round bars, of one steel of this density, g/mm3: no sheet, as the trade counts.
    pub fn fill(&mut self, steel: SteelId, density: f64) -> NodeId {
        let solid = self.solid(steel, density);
        self.nodes[solid].layers = 0;
        solid
    }

    /// A pile along an axis; the fractions should add up to 1.
    ///
    /// # Errors
    /// More layers or stacks than can be counted.
    pub fn pile(&mut self, axis: Axis, parts: &[Part]) -> Result<NodeId, TooMuch> {
        self.begin_pile();
        parts.iter().for_each(|part| self.lay(*part));
        self.end_pile(axis)
    }

    /// Begins a pile: parts are laid one by one.
    pub fn begin_pile(&mut self) {
        self.laid_from = self.parts.len();
    }

    /// Lays the next part of the pile that was begun.
    pub fn lay(&mut self, part: Part) {
        self.parts.push(part);
    }

    /// Ends the pile that was begun.
    ///
    /// # Errors
    /// More layers or stacks than can be counted.
    pub fn end_pile(&mut self, axis: Axis) -> Result<NodeId, TooMuch> {
        let Some(count) = self.parts.len().checked_sub(self.laid_from) else {
            bug!("a pile that nobody began")
        };
        let first = u32::try_from(self.laid_from).map_err(|_| TooMuch::Layers)?;
        let count = u32::try_from(count).map_err(|_| TooMuch::Layers)?;
        let pile = Pile { axis, first, count };
        let mut node = Node {
            form: Form::Pile(pile),
            density: 0.0,
            even: true,
            layers: 0,
            varies: Axis::each(|other| other == axis && count > 1),
            warped: [false; 3],
            steels: 0,
            hollowed: false,
            depth: 0,
            mix: self.mixes.len(),
        };
        let mut density = None;
        for part in self.parts_of(pile) {
            let child = self.node(part.node);
            node.density += part.fraction * child.density;
            node.even &= child.even && density.is_none_or(|d: f64| d.to_bits() == child.density.to_bits());
            density = Some(child.density);
            node.layers = match axis {
                // Laid end to end, a bar has no more sheets than its richest part.
                Axis::Length => node.layers.max(child.layers),
                _ => node.layers.checked_add(child.layers).ok_or(TooMuch::Layers)?,
            };
            let (mine, theirs) = ([&mut node.varies, &mut node.warped], [child.varies, child.warped]);
            for (mine, theirs) in mine.into_iter().flatten().zip(theirs.into_iter().flatten()) {
                *mine |= theirs;
            }
            node.steels |= child.steels;
            node.hollowed |= child.hollowed;
            node.depth = node.depth.max(child.depth + 1);
        }
        if node.depth > Self::DEEPEST {
            return Err(TooMuch::Stacks);
        }
        // Rounding of the fractions must not make a pile of like steels a hair lighter or heavier.
        if let (true, Some(d)) = (node.even, density) {
            node.density = d;
        }
        for steel in steels_of(node.steels) {
            let shares = self.parts_of(pile).iter().map(|p| p.fraction * self.share_of_steel(p.node, steel));
            let share = shares.sum();
            self.mixes.push(share);
        }
        Ok(self.nodes.push(node))
    }

    /// The same makeup with its points moved about. But for the field, a window of it holds what the whole does: off the
    /// middle line every layer may have come to every place.
    pub fn warp(&mut self, child: NodeId, warp: Warp) -> NodeId {
        let node = *self.node(child);
        let form = Form::Warped(child, self.warps.push(warp));
        let (varies, warped) = ([false; 3], [true; 3]);
        self.nodes.push(Node { form, varies, warped, depth: node.depth + 1, ..node })
    }

    /// The same makeup behind a warp of its hollows, the metal so dense, g/mm3. Windows of its thickness are told apart, by sums over all
    /// of the face, but where a pattern lies in a pattern: that would be sums of sums without end. A line through its thickness meets
    /// what stands in the middle.
    pub fn warp_hollows(&mut self, child: NodeId, warp: Warp, density: f64) -> NodeId {
        let node = *self.node(child);
        let form = Form::Warped(child, self.warps.push(warp));
        let [varies, ..] = node.varies;
        let (varies, warped) = ([varies && !node.hollowed, false, false], [true; 3]);
        let hollowed = true;
        let mix = self.mixes.len();
        let made = Node { form, density, varies, warped, hollowed, depth: node.depth + 1, mix, ..node };
        let id = self.nodes.push(made);
        let shares: SmallVec<[f64; 4]> = steels_of(node.steels)
            .map(|s| self.mean(id, WHOLE, Of::Steel(s), &mut Means::default()))
            .collect();
        self.mixes.extend(shares);
        id
    }

    /// The same makeup behind a shear. Windows along it and across it are told apart, by sums over stretches in which it is one, but where
    /// a pattern lies in a pattern.
    pub fn shear(&mut self, child: NodeId, shear: Shear) -> NodeId {
        let told = shear.along.of(self.node(child).varies);
        let more = Axis::each(|axis| told && (axis == shear.along || axis == shear.by));
        let mean =
            |makeup: &Makeup, of: Of| makeup.mean_of_shear(child, &shear, WHOLE, of, &mut Means::default());
        self.dragged(child, Warp::Shear(shear), more, mean)
    }

    /// The same makeup behind an uneven hand. Windows of its thickness are told apart, by sums over the heights of its layers, but where a
    /// pattern lies in a pattern.
    pub fn uneven(&mut self, child: NodeId, uneven: Uneven) -> NodeId {
        let wavy = Wavy::new(uneven);
        self.look(PLACE * wavy.work());
        let heights = wavy.heights();
        let mean = |makeup: &Makeup, of: Of| {
            makeup.mean_of_hand(child, (&uneven, &heights), WHOLE, of, &mut Means::default())
        };
        let made = self.dragged(child, Warp::Uneven(uneven), [false; 3], mean);
        self.heights.push((made, heights));
        made
    }

    /// A makeup behind a warp that drags its layers, which makes it differ along more axes.
    fn dragged(
        &mut self,
        child: NodeId,
        warp: Warp,
        more: [bool; 3],
        mean: impl Fn(&Makeup, Of) -> f64,
    ) -> NodeId {
        let node = *self.node(child);
        let form = Form::Warped(child, self.warps.push(warp));
        let varies = Axis::each(|axis| !node.hollowed && (axis.of(node.varies) || axis.of(more)));
        let density = if node.even { node.density } else { mean(self, Of::Density) };
        let shares: SmallVec<[f64; 4]> = steels_of(node.steels).map(|s| mean(self, Of::Steel(s))).collect();
        let mix = self.mixes.len();
        let (hollowed, depth) = (true, node.depth + 1);
        let made = Node { form, density, varies, warped: [true; 3], hollowed, depth, mix, ..node };
        self.mixes.extend(shares);
        self.nodes.push(made)
    }

    /// A jacket's straight pieces round a core, bent at their corners: all but the field goes by the straight ones.
    pub fn bend(&mut self, child: NodeId, mitre: Mitre) -> NodeId {
        let node = *self.node(child);
        let form = Form::Warped(child, self.warps.push(Warp::Mitre(mitre)));
        let [_, _, along] = node.warped;
        let warped = [true, true, along];
        self.nodes.push(Node { form, warped, depth: node.depth + 1, ..node })
    }

    /// Whether hollows were pressed flat in all of it, and not only in parts of it.
    #[must_use]
    pub fn levelled(&self, node: NodeId) -> bool {
        match self.node(node).form {
            Form::Solid(_) | Form::Pile(_) => false,
            Form::View(view) => self.levelled(view.child),
            Form::Warped(child, warp) => matches!(self.warp_of(warp), Warp::Level(_)) || self.levelled(child),
        }
    }

    /// Which hands made it uneven, by their seeds.
    #[must_use]
    pub fn hands(&self, node: NodeId) -> BTreeSet<u64> {
        let seed = |warp: &Warp| if let Warp::Uneven(uneven) = warp { Some(uneven.seed) } else { None };
        self.warps_in(node).filter_map(seed).collect()
    }

    /// Whether some of it is patterned stock, of which nobody says where the layers lie.
    #[must_use]
    pub fn untold(&self, node: NodeId) -> bool {
        self.warps_in(node).any(|warp| matches!(warp, Warp::Untold))
    }

    /// What moved its points about, wherever in it.
    fn warps_in(&self, node: NodeId) -> impl Iterator<Item = &Warp> {
        let (mut seen, mut open) = (BTreeSet::new(), vec![node]);
        std::iter::from_fn(move || {
            loop {
                let id = open.pop()?;
                if !seen.insert(id) {
                    continue;
                }
                match self.node(id).form {
                    Form::Solid(_) => {}
                    Form::View(view) => open.push(view.child),
                    Form::Pile(pile) => open.extend(self.parts_of(pile).iter().map(|part| part.node)),
                    Form::Warped(child, warp) => {
                        open.push(child);
                        return Some(self.warp_of(warp));
                    }
                }
            }
        })
    }

    /// A mean over a window of what lies behind an uneven hand.
    fn mean_of_hand(
        &self,
        child: NodeId,
        (hand, heights): (&Uneven, &[f64]),
        window: Cut,
        of: Of,
        known: &mut Means,
    ) -> f64 {
        let (low, high) = Axis::Thickness.of(window);
        let each = |height: &f64| {
            let inner = (hand.was(low, *height), hand.was(high, *height));
            self.mean(child, Axis::Thickness.with(window, inner), of, known)
        };
        let many = heights.len() as f64;
        heights.iter().map(each).sum::<f64>() / many
    }

    /// A mean over a window of what lies behind a shear.
    fn mean_of_shear(&self, child: NodeId, shear: &Shear, window: Cut, of: Of, known: &mut Means) -> f64 {
        let (along, (low, high)) = (shear.along.of(window), shear.by.of(window));
        let mut mean = |drag: f64, by: (f64, f64)| {
            let inner = (shear.was(along.0, drag), shear.was(along.1, drag));
            self.mean(child, shear.along.with(shear.by.with(window, by), inner), of, known)
        };
        if high <= low {
            return mean(shear.drag.at(low), (low, low));
        }
        let (mut sum, mut wide) = (0.0, 0.0);
        for (from, to, drag) in shear.drag.cells() {
            let (a, b) = (from.max(low), to.min(high));
            if b > a {
                sum += (b - a) * mean(drag, (a, b));
                wide += b - a;
            }
        }
        sum / wide
    }

    /// Whether a step has moved its layers about, so that they lie flat no more.
    #[must_use]
    pub fn patterned(&self, node: NodeId) -> bool {
        Axis::ALL.into_iter().any(|axis| self.placed(node, axis) && !self.varies(node, axis))
    }

    /// Whether hollows were brought level somewhere inside: its layers are of no one thickness.
    #[must_use]
    pub fn hollowed(&self, node: NodeId) -> bool {
        self.node(node).hollowed
    }

    /// What hollows were pressed into, where nothing was done to them since: pressed flat it is that again.
    #[must_use]
    pub fn unpressed(&self, node: NodeId, relief: &Relief) -> Option<NodeId> {
        let Form::Warped(child, warp) = self.node(node).form else { return None };
        matches!(self.warp_of(warp), Warp::Pressed(pressed) if pressed.same(relief)).then_some(child)
    }

    /// Keeps hollows.
    pub fn keep_relief(&mut self, relief: Relief) -> ReliefId {
        self.look(PLACE * relief.places());
        self.reliefs.push(relief)
    }

    /// The hollows of a bar that are not level yet.
    #[must_use]
    pub fn relief(&self, bar: &Bar) -> Option<&Relief> {
        bar.relief.map(|id| &self.reliefs[id])
    }

    /// The columns that sums over a relief of this makeup are taken of.
    fn columns<'a>(&self, node: NodeId, relief: &'a Relief) -> Cow<'a, [Column]> {
        let [_, across, along] = self.node(node).varies;
        let columns = relief.columns([across, along]);
        self.look(PLACE * columns.len());
        columns
    }

    /// What stands of a relief, as a share of the volume and of the weight of its block. The block is metal where the hollows were cut
    /// out of it, and not where they were pressed into it.
    #[must_use]
    pub fn standing(&self, node: NodeId, relief: &Relief) -> Standing {
        let columns = self.columns(node, relief);
        let volume = columns.iter().map(|c| c.weight * (c.high - c.low)).sum();
        if self.node(node).even || self.pressed_in(node) {
            return Standing { volume, weight: volume };
        }
        let mut known = Means::default();
        let mut weight = |c: &Column, (a, b): (f64, f64)| {
            c.weight * (b - a) * self.mean_of_column(node, c, (a, b), Of::Density, &mut known)
        };
        let (mut stands, mut whole) = (0.0, 0.0);
        for c in columns.iter() {
            whole += weight(c, (0.0, 1.0));
            stands += weight(c, (c.low, c.high));
        }
        Standing { volume, weight: stands / whole }
    }

    /// Whether hollows were pressed into a makeup that are not ground off yet, as far as windows tell.
    #[must_use]
    pub fn pressed_in(&self, node: NodeId) -> bool {
        match self.node(node).form {
            Form::Warped(_, warp) => matches!(self.warp_of(warp), Warp::Pressed(_)),
            Form::View(view) => self.pressed_in(view.child),
            Form::Solid(_) | Form::Pile(_) => false,
        }
    }

    fn mean_of_column(&self, node: NodeId, c: &Column, (a, b): (f64, f64), of: Of, known: &mut Means) -> f64 {
        self.mean(node, [(a, b), (c.across, c.across), (c.along, c.along)], of, known)
    }

    /// A mean over a window of the thickness of what lies behind a warp of hollows.
    fn mean_of_relief(&self, id: NodeId, child: NodeId, window: (f64, f64), of: Of) -> f64 {
        let Form::Warped(_, warp) = self.node(id).form else { bug!("{id:?} is no warp") };
        let (relief, pressed) = match self.warp_of(warp) {
            Warp::Level(relief) => (relief, false),
            Warp::Pressed(relief) => (relief, true),
            Warp::Twist(_) | Warp::Shear(_) | Warp::Mitre(_) | Warp::Uneven(_) | Warp::Untold => {
                bug!("a warp without hollows")
            }
        };
        let columns = self.columns(child, relief);
        let mut known = Means::default();
        let mut mean = |(from, to): (f64, f64), of: Of| {
            let (mut sum, mut volume) = (0.0, 0.0);
            for c in columns.iter() {
                let tall = c.high - c.low;
                let (a, b, weight) = if pressed {
                    let at = |s: f64| ((s - c.low) / tall).clamp(0.0, 1.0);
                    (at(from), at(to), c.weight * tall)
                } else {
                    (c.low + tall * from, c.low + tall * to, c.weight)
                };
                // A window of no size is met once in each column.
                let share = weight * if to > from { b - a } else { tall };
                if share > 0.0 {
                    sum += share * self.mean_of_column(child, c, (a, b), of, &mut known);
                    volume += share;
                }
            }
            if volume > 0.0 { sum / volume } else { 0.0 }
        };
        let seen = mean(window, of);
        match of {
            // What the columns miss, they miss in each part alike.
            Of::Density => seen * self.node(id).density / mean((0.0, 1.0), of),
            _ => seen,
        }
    }

    pub(super) fn warp_of(&self, id: WarpId) -> &Warp {
        &self.warps[id]
    }

    /// What is left of a node inside `cut`; `size` is the whole bar in mm before the cut.
    pub fn cut(&mut self, node: NodeId, cut: Cut, size: [f64; 3]) -> NodeId {
        let left = Axis::each(|axis| {
            let (from, to) = axis.of(cut);
            (to - from) * axis.of(size)
        });
        self.view(View { child: node, window: cut, flipped: [false; 3], order: Axis::ALL, size: left })
    }

    /// A quarter turn about the length: width becomes thickness.
    pub fn turn(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        // Turning one way: what lay at the top edge of the width comes to lie on top.
        self.view(View {
            child: node,
            window: WHOLE,
            flipped: [true, false, false],
            order: Axis::each(Axis::turned),
            size,
        })
    }

    /// Stood on end: the heel end lies lowest, and what was the top face is the heel end.
    pub fn tip(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        let order = Axis::each(Axis::tipped);
        self.view(View { child: node, window: WHOLE, flipped: [true, false, false], order, size })
    }

    /// Half a turn about the length: top to bottom.
    pub fn flip(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        self.view(View { child: node, window: WHOLE, flipped: [true, true, false], order: Axis::ALL, size })
    }

    /// A leaf folded over: top to bottom and end for end.
    pub fn mirror(&mut self, node: NodeId, size: [f64; 3]) -> NodeId {
        self.view(View { child: node, window: WHOLE, flipped: [true, false, true], order: Axis::ALL, size })
    }

    /// Folds a view of a view into one, drops what makes no difference, and adds the node.
    fn view(&mut self, mut view: View) -> NodeId {
        if let Form::View(under) = self.node(view.child).form {
            view = view.over(&under);
        }
        let child = *self.node(view.child);
        view = view.telling(child.placed());
        let whole = view.window == WHOLE;
        let tells = |axis: Axis| view.inner(axis) != axis && view.inner(axis).of(child.placed());
        if whole && view.flipped == [false; 3] && !Axis::ALL.into_iter().any(tells) {
            return view.child;
        }
        let density = if whole { child.density } else { self.density_in(view.child, view.window) };
        let [t, w, l] = child.varies;
        // Cut back behind a seam, or to layers that have none, a bar is of one piece along its length again.
        let l = l && (whole || self.seam(view.child, view.window, view.size, &mut Seamless::default()));
        let seen = |along: [bool; 3]| view.order.map(|axis| axis.of(along));
        let (varies, warped) = (seen([t, w, l]), seen(child.warped));
        // Behind hollows and shears no window holds what the whole does.
        let mut mix = child.mix;
        if child.hollowed && !whole && child.steels.count_ones() > 1 {
            let mut known = Means::default();
            let share = |s| self.mean(view.child, view.window, Of::Steel(s), &mut known);
            let shares: SmallVec<[f64; 4]> = steels_of(child.steels).map(share).collect();
            mix = self.mixes.len();
            self.mixes.extend(shares);
        }
        self.nodes.push(Node { form: Form::View(view), density, varies, warped, mix, ..child })
    }

    /// Whether the makeup still differs along the length inside a window, `left` mm of which are left; `none` are windows
    /// in which no seam was found.
    fn seam(&self, id: NodeId, window: Cut, left: [f64; 3], none: &mut Seamless) -> bool {
        let node = self.node(id);
        let key = (id, bits(window));
        if !Axis::Length.of(node.varies) || none.contains(&key) {
            return false;
        }
        let found = match self.told(id) {
            Form::Solid(_) => false,
            // Stood on end, its length is another's: what differs along it is not looked through.
            Form::View(view) if view.inner(Axis::Length) != Axis::Length => true,
            // Across it, nobody can tell what lies in the window.
            Form::Warped(child, _) => {
                let long = Axis::Length.of(window);
                let mm = Axis::Length.with([f64::INFINITY; 3], Axis::Length.of(left));
                self.seam(child, Axis::Length.with(WHOLE, long), mm, none)
            }
            Form::View(view) => {
                let inner = Axis::each(|axis| view.outer(axis).of(left));
                self.seam(view.child, view.within(&window), inner, none)
            }
            Form::Pile(pile) => {
                let (axis, mut start) = (pile.axis, 0.0);
                let (from, to) = axis.of(window);
                let inside = |part: &Part| {
                    let begin = start;
                    start += part.fraction;
                    let (a, b) = (from.max(begin), to.min(start));
                    let local = |x: f64| ((x - begin) / part.fraction).clamp(0.0, 1.0);
                    let covered = a <= begin && b >= start;
                    let within = if covered { (0.0, 1.0) } else { (local(a), local(b)) };
                    let mm = if b > a { (b - a) / (to - from) * axis.of(left) } else { 0.0 };
                    // A hair of the next part is none of it; a layer that was welded so thin is one.
                    let stays = mm >= SLIVER || (covered && axis != Axis::Length);
                    stays.then(|| (part.node, axis.with(window, within), axis.with(left, mm)))
                };
                let parts: SmallVec<[_; 2]> = self.parts_of(pile).iter().filter_map(inside).collect();
                (axis == Axis::Length && parts.len() > 1)
                    || parts.into_iter().any(|(node, window, left)| self.seam(node, window, left, none))
            }
        };
        if !found {
            none.insert(key);
        }
        found
    }

    /// Tells its steels and their shares anew: a cut may have taken all that there was of one.
    pub fn retell(&mut self, id: NodeId) {
        let mut known = Means::default();
        let share = |steel| (steel, self.mean(id, WHOLE, Of::Steel(steel), &mut known));
        let all = steels_of(self.node(id).steels).map(share);
        // What rounding leaves of a steel is none.
        let left: SmallVec<[(SteelId, f64); 4]> = all.filter(|(_, share)| *share > 1e-9).collect();
        let mix = self.mixes.len();
        self.mixes.extend(left.iter().map(|(_, share)| *share));
        let node = &mut self.nodes[id];
        (node.mix, node.steels) = (mix, left.iter().fold(0, |set, (steel, _)| set | 1 << steel.0));
    }

    /// Keeps the past of a part.
    pub fn remember(&mut self, past: &Past) -> PastId {
        if *past == Past::NONE {
            return PastId::NONE;
        }
        // Like parts lie next to each other: the last ones are looked through first.
        let known = self.pasts.pairs().rev().take(4).find(|(_, p)| *p == past).map(|(id, _)| id);
        known.unwrap_or_else(|| self.pasts.push(*past))
    }

    /// A past that was kept.
    #[must_use]
    pub fn past(&self, id: PastId) -> Past {
        if id == PastId::NONE { Past::NONE } else { self.pasts[id] }
    }

    /// Keeps a blade's shape.
    pub fn keep_blade(&mut self, blade: Blade) -> BladeId {
        self.stations += blade.room();
        self.blades.push(blade)
    }

    /// What the run has more of than it has room for: nothing behind that is worked.
    #[must_use]
    pub fn full(&self) -> Option<TooMuch> {
        let looked = (self.looked.get() > Self::MOST_LOOKED).then_some(TooMuch::Looked);
        looked.or((self.stations > Self::MOST_STATIONS).then_some(TooMuch::Shaping))
    }

    /// How many parts the run has held lines and windows against: work that goes with what the pieces are made of, not with the steps.
    #[must_use]
    pub fn looked(&self) -> usize {
        self.looked.get()
    }

    /// How many stations its blades have in all.
    #[must_use]
    pub fn stations(&self) -> usize {
        self.stations
    }

    /// Counts work that takes as long as to hold a line against so many parts.
    pub fn look(&self, parts: usize) {
        self.looked.set(self.looked.get() + parts);
    }

    /// The shape of a bar, where it is no plain bar any more.
    #[must_use]
    pub fn blade(&self, bar: &Bar) -> Option<&Blade> {
        bar.blade.map(|id| &self.blades[id])
    }

    /// The shape of a bar, shaped or not.
    #[must_use]
    pub fn shape(&self, bar: &Bar) -> Cow<'_, Blade> {
        self.blade(bar).map_or_else(|| Cow::Owned(Blade::of(bar)), Cow::Borrowed)
    }

    /// The steels that went into a node, each with the share of the volume that it took when the last pile was laid:
    /// what was burnt or ground off since is not told apart.
    pub fn mix(&self, node: NodeId) -> impl Iterator<Item = (SteelId, f64)> + '_ {
        let node = self.node(node);
        steels_of(node.steels).zip(self.mixes.iter().skip(node.mix).copied())
    }

    /// The share of the volume that one steel takes, 0 to 1.
    #[must_use]
    pub fn share_of_steel(&self, node: NodeId, steel: SteelId) -> f64 {
        self.mix(node).find(|(other, _)| *other == steel).map_or(0.0, |(_, share)| share)
    }

    /// The steels that went into it.
    pub fn steels(&self, node: NodeId) -> impl Iterator<Item = SteelId> + use<> {
        steels_of(self.node(node).steels)
    }

    /// Mean density of a node, g/mm3.
    #[must_use]
    pub fn density(&self, node: NodeId) -> f64 {
        self.node(node).density
    }

    /// Mean density of a bar as it is, g/mm3.
    #[must_use]
    pub fn bar_density(&self, bar: &Bar) -> f64 {
        self.density(bar.node) * bar.past.light * bar.heft
    }

    /// Whether all steels in it are of one density.
    #[must_use]
    pub fn one_density(&self, node: NodeId) -> bool {
        self.node(node).even
    }

    /// Sheets of steel in it, as the trade counts.
    #[must_use]
    pub fn layers(&self, node: NodeId) -> u64 {
        self.node(node).layers
    }

    /// Whether the makeup differs along an axis for the field, where points that were moved about are told apart too.
    #[must_use]
    pub fn placed(&self, node: NodeId, axis: Axis) -> bool {
        axis.of(self.node(node).placed())
    }

    /// Whether the makeup differs along an axis.
    #[must_use]
    pub fn varies(&self, node: NodeId, axis: Axis) -> bool {
        axis.of(self.node(node).varies)
    }

    pub(super) fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id]
    }

    /// A node's form as all but the field have it: a window on what is told apart by its middle alone is no window.
    pub(super) fn told(&self, id: NodeId) -> Form {
        match self.node(id).form {
            Form::View(view) => Form::View(view.telling(self.node(view.child).varies)),
            Form::Warped(child, warp) if matches!(self.warp_of(warp), Warp::Mitre(_)) => self.told(child),
            form => form,
        }
    }

    pub(super) fn parts_of(&self, pile: Pile) -> &[Part] {
        let first = pile.first as usize;
        let parts = self.parts.get(first..first + pile.count as usize);
        parts.unwrap_or_else(|| bug!("{pile:?} among {} parts", self.parts.len()))
    }

    /// The parts of a pile that a line meets, lowest first.
    pub(super) fn parts_on(&self, pile: Pile, line: Line) -> impl Iterator<Item = OnLine> + '_ {
        let (axis, mut end) = (pile.axis, 0.0);
        let parts = self.parts_of(pile);
        parts.iter().enumerate().filter_map(move |(i, part)| {
            let start = end;
            end += part.fraction;
            let low = if i == 0 { f64::NEG_INFINITY } else { start };
            let high = if i + 1 == parts.len() { f64::INFINITY } else { end };
            let (enters, leaves) = line.between(axis, low, high);
            let local = |share: f64| {
                let point = line.at(share);
                axis.with(point, (axis.of(point) - start) / part.fraction)
            };
            (leaves > enters).then(|| OnLine {
                part: *part,
                met: (enters, leaves),
                line: Line { from: local(enters), to: local(leaves) },
            })
        })
    }

    /// Mass in g inside a window of a node that as a whole fills `volume` mm3.
    #[must_use]
    pub fn mass_within(&self, node: NodeId, window: Cut, volume: f64) -> f64 {
        let share: f64 = window.iter().map(|(from, to)| to - from).product();
        if share <= 0.0 { 0.0 } else { volume * share * self.density_in(node, window) }
    }

    /// The share of the volume that went in under a name, 0 to 1; `None` where no such part is inside.
    #[must_use]
    pub fn share_of(&self, node: NodeId, name: PartName) -> Option<f64> {
        let share = self.mean(node, WHOLE, Of::Share(name), &mut Means::default());
        (share > 0.0).then_some(share)
    }

    /// Mass in g of what went in under a name, in a piece of this volume, mm3.
    #[must_use]
    pub fn mass_of(&self, node: NodeId, name: PartName, volume: f64) -> f64 {
        volume * self.mean(node, WHOLE, Of::Inside(name), &mut Means::default())
    }

    /// Mean density inside a window, g/mm3.
    fn density_in(&self, node: NodeId, window: Cut) -> f64 {
        self.mean(node, window, Of::Density, &mut Means::default())
    }

    fn mean(&self, id: NodeId, window: Cut, of: Of, known: &mut Means) -> f64 {
        let node = self.node(id);
        let window = telling(window, node.varies);
        let whole = window.iter().all(|w| w.0 <= 0.0 && w.1 >= 1.0);
        if of == Of::Density && (node.even || whole) {
            return node.density;
        }
        if let Of::Steel(steel) = of
            && (node.steels >> steel.0 & 1 == 0 || node.steels.count_ones() == 1)
        {
            return f64::from(u8::from(node.steels >> steel.0 & 1 == 1));
        }
        let form = self.told(id);
        let key = (id, bits(window), of);
        if !matches!(form, Form::View(_))
            && let Some(mean) = known.get(&key)
        {
            return *mean;
        }
        let mean = match form {
            Form::Solid(_) => 0.0,
            // What a view shows is kept with what it is a view of.
            Form::View(view) => return self.mean(view.child, view.within(&window), of, known),
            Form::Warped(child, warp) => match (self.warp_of(warp), of) {
                (Warp::Twist(_) | Warp::Mitre(_) | Warp::Untold, _) => self.mean(child, WHOLE, of, known),
                (Warp::Level(_) | Warp::Pressed(_), _) => {
                    self.mean_of_relief(id, child, Axis::Thickness.of(window), of)
                }
                // Of the whole it was taken when it was made.
                (Warp::Shear(_) | Warp::Uneven(_), Of::Steel(steel)) if whole => {
                    self.share_of_steel(id, steel)
                }
                (Warp::Shear(shear), _) => self.mean_of_shear(child, shear, window, of, known),
                (Warp::Uneven(uneven), _) => {
                    // Nodes are made in order.
                    let at = self.heights.partition_point(|(node, _)| *node < id);
                    let Some((_, heights)) = self.heights.get(at) else { bug!("{id:?} has no heights") };
                    self.mean_of_hand(child, (uneven, heights), window, of, known)
                }
            },
            Form::Pile(pile) => {
                let (from, to) = pile.axis.of(window);
                let mut here = |part: &Part, inside: (f64, f64)| {
                    let inner = pile.axis.with(window, inside);
                    match of {
                        Of::Share(name) if name == part.name => 1.0,
                        Of::Inside(name) if name == part.name => {
                            self.mean(part.node, inner, Of::Density, known)
                        }
                        of => self.mean(part.node, inner, of, known),
                    }
                };
                let (mut sum, mut start) = (0.0, 0.0);
                let parts = self.parts_of(pile);
                for (i, part) in parts.iter().enumerate() {
                    let end = start + part.fraction;
                    let local = |x: f64| ((x - start) / part.fraction).clamp(0.0, 1.0);
                    // The last part ends at the end, whatever the fractions' rounding adds up to.
                    let last = i + 1 == parts.len();
                    if to <= from && (from <= end || last) {
                        // A window of no size this way has nothing to share out: it is what it lies in, on a boundary the lower part.
                        return here(part, (local(from), local(from)));
                    }
                    let (a, b) = (from.max(start), if last { to } else { to.min(end) });
                    if b > a {
                        sum += (b - a) * here(part, (local(a), local(b)));
                    }
                    start = end;
                }
                sum / (to - from)
            }
        };
        known.insert(key, mean);
        self.look(MEAN);
        mean
    }

    /// Mean density on a line through the thickness at one place of the width and length, g/mm3.
    ///
    /// Layers that are crossed whole are not looked into, so the cost goes with the stacks and not with the layers.
    fn density_through(&self, node: NodeId, (from, to): (f64, f64), across: f64, along: f64) -> f64 {
        let to = to.max(from + 1e-12);
        self.density_on(node, Line { from: [from, across, along], to: [to, across, along] })
    }

    fn density_on(&self, node: NodeId, line: Line) -> f64 {
        let n = self.node(node);
        // The line runs along one axis of the node; what it crosses whole, and is alike across, has its mean.
        let whole = Axis::ALL.iter().all(|axis| {
            let (a, b) = (axis.of(line.from), axis.of(line.to));
            !axis.of(n.varies) || (a.min(b) <= 0.0 && a.max(b) >= 1.0)
        });
        if n.even || whole {
            return n.density;
        }
        match self.told(node) {
            Form::Solid(_) | Form::Warped(..) => n.density,
            Form::View(view) => {
                self.look(1);
                self.density_on(view.child, Line { from: view.point(line.from), to: view.point(line.to) })
            }
            Form::Pile(pile) => {
                let (mut sum, mut share) = (0.0, 0.0);
                self.look(pile.count as usize);
                for OnLine { part, met: (enters, leaves), line } in self.parts_on(pile, line) {
                    let inside = |point: Point| pile.axis.with(point, pile.axis.of(point).clamp(0.0, 1.0));
                    let line = Line { from: inside(line.from), to: inside(line.to) };
                    sum += (leaves - enters) * self.density_on(part.node, line);
                    share += leaves - enters;
                }
                if share > 0.0 { sum / share } else { n.density }
            }
        }
    }

    /// Weight in g of what a blade has lost from one shape to another that lies inside it, no metal having moved.
    ///
    /// Exact where all steels are of one density; else their layers are weighed at two points a field.
    #[must_use]
    pub fn ground_off(&self, node: NodeId, before: &Blade, after: &Blade) -> f64 {
        let n = self.node(node);
        if n.even {
            return n.density * (before.volume() - after.volume());
        }
        // Both shapes told at the same stations.
        let mut fine = before.clone();
        after.stations.iter().for_each(|s| fine.stand(s.x));
        grid::refine(&mut fine);
        let (start, tip, off) = (after.start(), after.tip(), before.off);
        let mut grams = 0.0;
        for (station, long) in grid::along(&fine) {
            let inner = (start..=tip).contains(&station.x).then(|| after.section(station.x));
            let (low, high) = (station.edge().y, station.spine().y);
            let mut heights: SmallVec<[f64; 32]> = station.knots.iter().map(|k| k.y).collect();
            if let Some(inner) = &inner {
                heights.extend(inner.knots.iter().map(|k| k.y).filter(|y| *y > low && *y < high));
            }
            for (y, tall) in grid::up(heights) {
                let knot = station.at(y);
                // Between stations a face may lie a hair outside where it was: as its volume does, its weight counts back.
                let mut slab = |from: f64, to: f64| {
                    if (to - from).abs() > 1e-12 {
                        let through = |z: f64| (0.5 + z / knot.full - off).clamp(0.0, 1.0);
                        let stretch = (through(from.min(to)), through(from.max(to)));
                        let density = self.density_through(node, stretch, knot.across, station.along);
                        grams += long * tall * (to - from) * density;
                    }
                };
                let stays = inner.as_ref().filter(|i| y >= i.edge().y && y <= i.spine().y).map(|i| i.at(y));
                match stays {
                    None => slab(-knot.left, knot.right),
                    Some(stays) => {
                        slab(-knot.left, -stays.left);
                        slab(stays.right, knot.right);
                    }
                }
            }
        }
        grams
    }
}

/// The steels of a set of bits, lowest first.
pub(super) fn steels_of(mut set: u64) -> impl Iterator<Item = SteelId> {
    std::iter::from_fn(move || {
        let low = set.trailing_zeros();
        set &= set.wrapping_sub(1);
        (low < 64).then(|| SteelId::of(low as usize))
    })
}
