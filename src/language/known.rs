//! Which names stand for which figures here and now, what is set from outside, and what the place of a `?` tells.

use std::collections::BTreeMap;

use super::figures::Figures;
use crate::forge::Slot;
use crate::quantity::Kind;

/// A figure that is set from outside.
#[derive(Clone, Debug)]
pub struct Set {
    /// Where.
    pub address: String,
    /// To what, base unit.
    pub value: f64,
    /// Of what kind.
    pub kind: Kind,
    /// The kind of the figure there, once it is found.
    pub found: Option<Kind>,
}

/// The names of figures before a call: they come back after it.
pub struct Outside {
    lets: BTreeMap<String, Slot>,
    broken: Vec<String>,
    inlined: bool,
}

impl Figures {
    /// Opens the inside of a recipe: its parameters go before the file's own names.
    pub fn enter(&mut self, params: Vec<(String, Option<Slot>)>) -> Outside {
        let outside = Outside { lets: self.lets.clone(), broken: self.broken.clone(), inlined: self.inlined };
        self.inlined = true;
        for (name, slot) in params {
            self.know(name, slot);
        }
        outside
    }

    /// Leaves it again.
    pub fn leave(&mut self, outside: Outside) {
        (self.lets, self.broken, self.inlined) = (outside.lets, outside.broken, outside.inlined);
    }

    /// Overwrites a figure that is set from outside.
    pub(super) fn take_set(&mut self, made: Slot) {
        let Some(info) = self.slots.get(made.slot as usize) else { return };
        if info.address.is_empty() {
            return;
        }
        let Some(set) = self.set.iter_mut().find(|set| set.address == info.address) else { return };
        set.found = Some(made.kind);
        // A bare number is a share too, and the other way round.
        if set.kind == made.kind || (set.kind.is_plain() && made.kind.is_plain()) {
            self.values.set(made.slot, set.value);
            self.working.retain(|line| line.slot != made.slot);
            self.asks.retain(|ask| ask.slot != made.slot);
        }
    }
}
