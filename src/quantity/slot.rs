//! Slots: where a plan keeps its figures, so that a run only reads them and a question only overwrites them.

use std::marker::PhantomData;

use super::{Kind, KindOf};

/// The place of one figure in [`Values`], its kind known when the program is compiled.
#[derive(Debug, PartialEq, Eq)]
pub struct Q<K> {
    slot: u32,
    kind: PhantomData<K>,
}

impl<K> Clone for Q<K> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<K> Copy for Q<K> {}

impl<K: KindOf> Q<K> {
    /// A typed slot, or `None` where the slot is of another kind. A slot of open kind fits anywhere.
    #[must_use]
    pub fn of(slot: u32, kind: Kind) -> Option<Q<K>> {
        (kind == K::KIND || kind == Kind::OPEN).then_some(Q { slot, kind: PhantomData })
    }
}

impl<K> Q<K> {
    /// The slot's number, to look up its span and address.
    #[must_use]
    pub fn slot(self) -> u32 {
        self.slot
    }
}

/// The figures of one run, in base units.
#[derive(Clone, Debug, Default)]
pub struct Values(pub Vec<f64>);

impl Values {
    /// The figure of a slot.
    #[must_use]
    pub fn at(&self, slot: u32) -> f64 {
        *self.0.get(slot as usize).unwrap_or_else(|| bug!("slot {slot} of {}", self.0.len()))
    }

    /// The figure of a typed slot.
    #[must_use]
    pub fn get<K>(&self, q: Q<K>) -> f64 {
        self.at(q.slot)
    }

    /// Overwrites a figure.
    pub fn set(&mut self, slot: u32, value: f64) {
        let all = self.0.len();
        *self.0.get_mut(slot as usize).unwrap_or_else(|| bug!("slot {slot} of {all}")) = value;
    }
}
