//! Where the carbon is: how far it has evened out between the layers of a piece.
//!
//! Each pile of the tree is a level of its own: its parts trade carbon with each other over their own thickness, and
//! what a part gains or loses in the mean is shared by all that lies inside it. At each level the layers are taken
//! as evenly repeating; two kinds of layer follow the exact series of two unequal layers, more kinds the series of
//! equal ones. Carbon is neither made nor lost. By content, not by activity (see `steel::contrast`).

use std::collections::BTreeMap;

use super::ids::{NodeId, PartName, SteelId};
use super::makeup::{Form, Makeup, Pile};
use super::past::Past;
use super::view::{Cut, WHOLE, bits, telling};
use crate::steel::laws::contrast::{self, Pair};

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

/// Places looked at before giving up: no pile of a real billet has so many unlike ones.
const MOST: usize = 20_000;
/// Contents closer than this are one, %.
const SAME: f64 = 1e-9;

struct Search<'a> {
    makeup: &'a Makeup,
    start: &'a dyn Fn(SteelId) -> f64,
    part: Option<PartName>,
    means: BTreeMap<(NodeId, [u64; 6]), f64>,
    found: Vec<SteelCarbon>,
    looked: usize,
}

/// One node of the tree under way, as far as it is looked at.
#[derive(Clone, Copy)]
struct Visit {
    node: NodeId,
    window: Cut,
    past: Past,
    /// What diffusion has added here in the mean, %.
    shift: f64,
    share: f64,
    inside: bool,
}

/// A part of a pile as far as a window shows it.
#[derive(Clone, Copy, PartialEq)]
struct Shown {
    node: NodeId,
    name: PartName,
    window: Cut,
    past: Past,
    /// Thickness as it was laid, mm.
    laid: f64,
    mean: f64,
}

impl SteelCarbon {
    /// Carbon in each steel of a bar, in the order of their numbers; `start` is what each held as stock, %.
    ///
    /// Only inside parts of a name, where one is given. `None` where the piece has too many unlike places.
    #[must_use]
    pub fn of(
        makeup: &Makeup,
        node: NodeId,
        past: &Past,
        start: &dyn Fn(SteelId) -> f64,
        part: Option<PartName>,
    ) -> Option<Vec<SteelCarbon>> {
        let mut search = Search { makeup, start, part, means: BTreeMap::new(), found: Vec::new(), looked: 0 };
        let all = Visit { node, window: WHOLE, past: *past, shift: 0.0, share: 1.0, inside: part.is_none() };
        search.visit(all)?;
        let mut found = search.found;
        for one in &mut found {
            one.mean /= one.share;
        }
        found.sort_by_key(|one| one.steel);
        Some(found)
    }
}

impl Search<'_> {
    fn visit(&mut self, visit: Visit) -> Option<()> {
        self.looked += 1;
        if self.looked > MOST {
            return None;
        }
        match self.makeup.node(visit.node).form {
            Form::Solid(steel) => {
                if visit.inside {
                    self.add(steel, (self.start)(steel) + visit.shift, visit.share);
                }
            }
            Form::View(view) => {
                let past = if view.turned { visit.past.turned() } else { visit.past };
                let window = view.within(&visit.window);
                self.visit(Visit { node: view.child, window, past, ..visit })?;
            }
            Form::Twisted(child) => self.visit(Visit { node: child, window: WHOLE, ..visit })?,
            Form::Pile(pile) => {
                let shown = self.shown(pile, &visit.window)?;
                let after = exchanged(&shown, pile.axis.of(visit.past.spent));
                let all: f64 = shown.iter().map(|s| s.laid).sum();
                let mut done: Vec<(Shown, f64, f64)> = Vec::new();
                for (part, after) in shown.iter().zip(after) {
                    let share = visit.share * part.laid / all;
                    let like =
                        |(s, a, _): &&mut (Shown, f64, f64)| s == part && (a.to_bits() == after.to_bits());
                    if let Some((.., sum)) = done.iter_mut().rev().take(16).find(like) {
                        *sum += share;
                    } else {
                        done.push((*part, after, share));
                    }
                }
                for (part, after, share) in done {
                    let inside = visit.inside || self.part == Some(part.name);
                    let mut past = part.past;
                    past.soak(1.0, visit.past.spent, visit.past.stretch);
                    let shift = visit.shift + after - part.mean;
                    let window = part.window;
                    self.visit(Visit { node: part.node, window, past, shift, share, inside })?;
                }
            }
        }
        Some(())
    }

    fn add(&mut self, steel: SteelId, carbon: f64, share: f64) {
        // Rounding of the exchange must not leave a steel with less than no carbon.
        let carbon = carbon.max(0.0);
        if let Some(one) = self.found.iter_mut().find(|one| one.steel == steel) {
            one.mean += carbon * share;
            one.share += share;
            one.least = one.least.min(carbon);
            one.most = one.most.max(carbon);
        } else {
            self.found.push(SteelCarbon { steel, mean: carbon * share, least: carbon, most: carbon, share });
        }
    }

    /// The parts of a pile that lie inside a window.
    fn shown(&mut self, pile: Pile, window: &Cut) -> Option<Vec<Shown>> {
        let makeup = self.makeup;
        let (from, to) = pile.axis.of(*window);
        let mut shown: Vec<Shown> = Vec::new();
        let mut start = 0.0;
        for part in makeup.parts_of(pile) {
            let end = start + part.fraction;
            let (a, b) = (from.max(start), to.min(end));
            // Rounding of the fractions leaves hairs at the ends.
            if b - a > 1e-12 {
                let local = |x: f64| ((x - start) / part.fraction).clamp(0.0, 1.0);
                let (low, high) = (local(a), local(b));
                let inner = (if low < 1e-9 { 0.0 } else { low }, if high > 1.0 - 1e-9 { 1.0 } else { high });
                let window = pile.axis.with(*window, inner);
                shown.push(Shown {
                    node: part.node,
                    name: part.name,
                    window,
                    past: makeup.past(part.past),
                    laid: part.laid * (b - a) / part.fraction,
                    mean: self.mean(part.node, window)?,
                });
            }
            start = end;
        }
        Some(shown)
    }

    /// Mean carbon of a node inside a window, % by volume; no diffusion inside changes it.
    fn mean(&mut self, id: NodeId, window: Cut) -> Option<f64> {
        let makeup = self.makeup;
        let node = makeup.node(id);
        let window = telling(window, node.varies);
        let key = (id, bits(window));
        if let Some(known) = self.means.get(&key) {
            return Some(*known);
        }
        if self.means.len() > MOST {
            return None;
        }
        let mean = match node.form {
            Form::Solid(steel) => (self.start)(steel),
            Form::View(view) => self.mean(view.child, view.within(&window))?,
            Form::Twisted(child) => self.mean(child, WHOLE)?,
            Form::Pile(pile) => {
                let shown = self.shown(pile, &window)?;
                let all: f64 = shown.iter().map(|s| s.laid).sum();
                shown.iter().map(|s| s.mean * s.laid / all).sum()
            }
        };
        self.means.insert(key, mean);
        Some(mean)
    }
}

/// Mean carbon of each part after a pile has spent so much, mm2.
fn exchanged(shown: &[Shown], spent: f64) -> Vec<f64> {
    let before: Vec<f64> = shown.iter().map(|s| s.mean).collect();
    let differ = |a: &f64, b: &f64| (a - b).abs() > SAME;
    let borders = before.windows(2).filter(|w| matches!(w, [a, b] if differ(a, b))).count();
    let Some(first) = before.first().copied().filter(|_| borders > 0 && spent > 0.0) else { return before };
    let all: f64 = shown.iter().map(|s| s.laid).sum();
    let layer = all / borders as f64;
    let even = shown.iter().map(|s| s.mean * s.laid).sum::<f64>() / all;
    let second = before.iter().copied().find(|c| differ(c, &first)).unwrap_or(first);
    if before.iter().all(|c| !differ(c, &first) || !differ(c, &second)) {
        let is_first = |c: &f64| !differ(c, &first);
        let share = shown.iter().filter(|s| is_first(&s.mean)).map(|s| s.laid).sum::<f64>() / all;
        let period = 2.0 * layer;
        let pair = contrast::layer_means(Pair { first, second }, share, spent / (period * period));
        return before.iter().map(|c| if is_first(c) { pair.first } else { pair.second }).collect();
    }
    let left = contrast::means(spent / (layer * layer));
    before.iter().map(|c| even + (c - even) * left).collect()
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
            let got = SteelCarbon::of(&makeup, node, &soaked(fo, 1.5), &start, None).unwrap();
            let step = got.first().unwrap().mean - got.get(1).unwrap().mean;
            assert!((step / 0.75 - left).abs() < 1e-5, "{fo}: {}", step / 0.75);
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
            let got = SteelCarbon::of(&makeup, ground, past, &start, None).unwrap();
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
        let got = SteelCarbon::of(&makeup, node, &Past::NONE, &start, None).unwrap();
        assert_eq!(got.first().unwrap().mean, got.first().unwrap().least);
        assert!((got.first().unwrap().mean - 0.95).abs() < 1e-12);
        let alike = SteelCarbon::of(&makeup, node, &soaked(2.0, 1.0), &|_| 0.8, None).unwrap();
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
        let got = SteelCarbon::of(&makeup, node, &past, &start, None).unwrap();
        let step = got.first().unwrap().mean - got.get(1).unwrap().mean;
        assert!((step / 0.75 - 0.0070).abs() < 5e-5, "{}", step / 0.75);
    }
}
