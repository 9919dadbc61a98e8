//! What a piece is made up of: a small tree, shared and never copied layer by layer.
//!
//! A node fills the unit cube of its own axes (thickness, width, length). Forging scales the cube, so nothing
//! in the tree changes; grinding and burning look at a smaller window of it; folding shares it. A pile of a
//! trillion layers is a few dozen nodes.

use super::past::Past;
use super::view::View;
use crate::quantity::{Arena, id};

/// A steel of the plan's table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SteelId(pub u8);
id!(SteelId, u8);

/// The name under which a part went into a stack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PartName(pub u32);
id!(PartName, u32);

/// A node of the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(u32);
id!(NodeId, u32);

/// The three directions of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Axis {
    /// The stacking direction.
    Thickness,
    /// Across the face.
    Width,
    /// Heel to tip.
    Length,
}

impl Axis {
    /// All three, in the order that sizes are written.
    pub const ALL: [Axis; 3] = [Axis::Thickness, Axis::Width, Axis::Length];

    /// The place of this axis in `[thickness, width, length]`.
    #[must_use]
    pub fn index(self) -> usize {
        match self {
            Axis::Thickness => 0,
            Axis::Width => 1,
            Axis::Length => 2,
        }
    }

    /// The axis after a quarter turn about the length.
    #[must_use]
    pub fn turned(self) -> Axis {
        match self {
            Axis::Thickness => Axis::Width,
            Axis::Width => Axis::Thickness,
            Axis::Length => Axis::Length,
        }
    }
}

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

/// A past that a makeup remembers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PastId(u32);

impl PastId {
    /// No past: fresh stock.
    pub const NONE: PastId = PastId(0);
}

/// The pile is beyond what the book can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooMuch {
    /// More than 2^64 layers.
    Layers,
    /// More stacks inside stacks than [`Makeup::DEEPEST`].
    Stacks,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Form {
    Solid(SteelId),
    Pile {
        axis: Axis,
        first: u32,
        count: u32,
    },
    View(View),
    /// Twisted about its length: told apart no more by place, but for its middle.
    Twisted {
        child: NodeId,
    },
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub form: Form,
    /// Mean density, g/mm3.
    pub density: f64,
    /// Whether every steel inside has that same density.
    pub even: bool,
    /// Sheets of steel, as the trade counts.
    pub layers: u64,
    /// Whether the makeup differs along each axis.
    pub varies: [bool; 3],
    /// One bit for each steel inside.
    pub steels: u64,
    /// Stacks inside stacks.
    pub depth: u32,
    /// Where its shares begin: one for each bit of `steels`, lowest first.
    pub mix: u32,
}

/// How far a makeup goes: to forget what comes after.
#[derive(Clone, Copy, Debug)]
pub struct MakeupMark {
    lengths: [usize; 5],
}

/// The arena of all nodes of one run. Cleared, not freed, between runs.
#[derive(Debug, Default)]
pub struct Makeup {
    nodes: Arena<NodeId, Node>,
    pub(super) parts: Vec<Part>,
    laid_from: usize,
    mixes: Vec<f64>,
    pasts: Vec<Past>,
    pub(super) blades: Arena<super::BladeId, super::Blade>,
    /// Stations of all blades that are kept.
    pub(super) stations: usize,
    pub(super) memo: super::share::Memo,
}

impl Makeup {
    /// Stacks inside stacks that are followed: every question about a piece walks this deep.
    pub const DEEPEST: u32 = 500;

    /// Forgets all nodes and keeps the memory.
    pub fn clear(&mut self) {
        self.nodes.clear();
        self.parts.clear();
        self.mixes.clear();
        self.pasts.clear();
        self.blades.clear();
        self.stations = 0;
    }

    /// How far it goes now.
    #[must_use]
    pub fn mark(&self) -> MakeupMark {
        let lengths =
            [self.nodes.len(), self.parts.len(), self.mixes.len(), self.pasts.len(), self.blades.len()];
        MakeupMark { lengths }
    }

    /// Forgets all that came after a mark; what came before it stays as it was.
    pub fn rewind(&mut self, mark: &MakeupMark) {
        let [nodes, parts, mixes, pasts, blades] = mark.lengths;
        self.nodes.truncate(nodes);
        self.parts.truncate(parts);
        self.mixes.truncate(mixes);
        self.pasts.truncate(pasts);
        self.blades.truncate(blades);
        self.stations = self.blades.iter().map(super::Blade::room).sum();
    }

    /// A solid bar of one steel of this density, g/mm3.
    pub fn solid(&mut self, steel: SteelId, density: f64) -> NodeId {
        let mix = self.next_mix();
        self.mixes.push(1.0);
        self.push(Node {
            mix,
            form: Form::Solid(steel),
            density,
            even: true,
            layers: 1,
            varies: [false; 3],
            steels: 1u64.checked_shl(u32::from(steel.0)).unwrap_or(0),
            depth: 0,
        })
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
        let from = self.laid_from.min(self.parts.len());
        let first = u32::try_from(from).map_err(|_| TooMuch::Layers)?;
        let count = u32::try_from(self.parts.len() - from).map_err(|_| TooMuch::Layers)?;
        let mut node = Node {
            form: Form::Pile { axis, first, count },
            density: 0.0,
            even: true,
            layers: 0,
            varies: [false; 3],
            steels: 0,
            depth: 0,
            mix: self.next_mix(),
        };
        let mut density = None;
        for part in self.parts.get(from..).unwrap_or(&[]) {
            let child = self.node(part.node);
            node.density += part.fraction * child.density;
            node.even &= child.even && density.is_none_or(|d: f64| d.to_bits() == child.density.to_bits());
            density = Some(child.density);
            node.layers = match axis {
                // Laid end to end, a bar has no more sheets than its richest part.
                Axis::Length => node.layers.max(child.layers),
                _ => node.layers.checked_add(child.layers).ok_or(TooMuch::Layers)?,
            };
            for (mine, theirs) in node.varies.iter_mut().zip(child.varies) {
                *mine |= theirs;
            }
            node.steels |= child.steels;
            node.depth = node.depth.max(child.depth + 1);
        }
        if let Some(v) = node.varies.get_mut(axis.index()) {
            *v |= count > 1;
        }
        if node.depth > Self::DEEPEST {
            return Err(TooMuch::Stacks);
        }
        // Rounding of the fractions must not make a pile of like steels a hair lighter or heavier.
        if let (true, Some(d)) = (node.even, density) {
            node.density = d;
        }
        for steel in bits(node.steels) {
            let parts = self.parts.get(from..).unwrap_or(&[]).iter();
            let share = parts.map(|p| p.fraction * self.share_of_steel(p.node, steel)).sum();
            self.mixes.push(share);
        }
        Ok(self.push(node))
    }

    /// The same makeup twisted about the length: off the middle line every layer comes round to every side, so a
    /// window of it holds what the whole does.
    pub fn twist(&mut self, child: NodeId) -> NodeId {
        let node = *self.node(child);
        self.push(Node { form: Form::Twisted { child }, varies: [false; 3], depth: node.depth + 1, ..node })
    }

    /// Keeps the past of a part.
    pub fn remember(&mut self, past: &Past) -> PastId {
        if *past == Past::NONE {
            return PastId::NONE;
        }
        // Like parts lie next to each other: the last ones are looked through first.
        let known = self.pasts.iter().rev().take(4).position(|p| p == past);
        let at = match known {
            Some(back) => self.pasts.len() - back,
            None => {
                self.pasts.push(*past);
                self.pasts.len()
            }
        };
        PastId(u32::try_from(at).unwrap_or(u32::MAX))
    }

    /// A past that was kept.
    #[must_use]
    pub fn past(&self, id: PastId) -> Past {
        let at = (id.0 as usize).checked_sub(1);
        at.and_then(|at| self.pasts.get(at)).copied().unwrap_or(Past::NONE)
    }

    fn next_mix(&self) -> u32 {
        u32::try_from(self.mixes.len()).unwrap_or(u32::MAX)
    }

    /// The share of the volume that one steel takes, 0 to 1.
    #[must_use]
    pub fn share_of_steel(&self, node: NodeId, steel: SteelId) -> f64 {
        let node = self.node(node);
        let bit = 1u64.checked_shl(u32::from(steel.0)).unwrap_or(0);
        if node.steels & bit == 0 {
            return 0.0;
        }
        let before = (node.steels & (bit - 1)).count_ones();
        self.mixes.get(node.mix as usize + before as usize).copied().unwrap_or(0.0)
    }

    /// The steels that went into a node, each with the share of the volume that it took when the last pile was laid:
    /// what was burnt or ground off since is not told apart.
    pub fn mix(&self, node: NodeId) -> impl Iterator<Item = (SteelId, f64)> + '_ {
        let node = self.node(node);
        let shares = self.mixes.get(node.mix as usize..).unwrap_or(&[]);
        bits(node.steels).zip(shares.iter().copied())
    }

    /// Mean density of a node, g/mm3.
    #[must_use]
    pub fn density(&self, node: NodeId) -> f64 {
        self.node(node).density
    }

    /// Mean density of a bar as it is, g/mm3.
    #[must_use]
    pub fn bar_density(&self, bar: &super::Bar) -> f64 {
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

    /// The steels that went into it.
    pub fn steels(&self, node: NodeId) -> impl Iterator<Item = SteelId> + use<> {
        bits(self.node(node).steels)
    }

    /// Whether the makeup differs along an axis.
    #[must_use]
    pub fn varies(&self, node: NodeId, axis: Axis) -> bool {
        self.node(node).varies.get(axis.index()).copied().unwrap_or(false)
    }

    pub(super) fn push(&mut self, node: Node) -> NodeId {
        self.nodes.push(node)
    }

    pub(super) fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id]
    }

    pub(super) fn parts_of(&self, first: u32, count: u32) -> &[Part] {
        self.parts.get(first as usize..(first as usize).saturating_add(count as usize)).unwrap_or(&[])
    }
}

/// The steels of a set of bits, lowest first.
fn bits(mut set: u64) -> impl Iterator<Item = SteelId> {
    std::iter::from_fn(move || {
        let low = set.trailing_zeros();
        set &= set.wrapping_sub(1);
        (low < 64).then(|| SteelId(u8::try_from(low).unwrap_or(u8::MAX)))
    })
}
