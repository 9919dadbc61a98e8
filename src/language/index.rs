//! Every name of a recipe: where it is given, where it is used, and which of the places speak of the same thing. For
//! editors; a plan does not need it. What a line at fault would have said is not in it.

mod walk;

use crate::source::{Diagnostic, Files, Span};

use super::memo::Memo;
use super::read::{Uses, statements};

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    /// A piece, and the part that it becomes.
    Piece,
    /// What is kept on the rack under a name of its own.
    Kept,
    /// A `let`.
    Let,
    /// A recipe that is called.
    Recipe,
    /// A parameter of a recipe, with the word of its kind.
    Param(&'static str),
    /// A steel of the recipe's own.
    Steel,
}

impl Sort {
    /// What it is called in a message.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Sort::Piece => "a piece",
            Sort::Kept => "an offcut",
            Sort::Let => "a `let`",
            Sort::Recipe => "a recipe",
            Sort::Param(_) => "a parameter",
            Sort::Steel => "a steel",
        }
    }
}

/// One thing that has a name.
#[derive(Clone, Debug)]
pub struct Thing {
    /// Its name.
    pub name: String,
    /// What it is.
    pub sort: Sort,
    /// Where the name is given, in the order of the text.
    pub made: Vec<Span>,
    /// Where it is used.
    pub used: Vec<Span>,
    /// Uses of an offcut called after it, such as `billet-offcut-1`: only the front of the words is the name.
    pub offcuts: Vec<Span>,
    /// The quantity that a `let` or a default gives it.
    pub value: Option<Span>,
    /// What the comment at its head says.
    pub doc: String,
    /// The recipe whose inside it belongs to, as the number of its scope; 0 is the file.
    pub scope: usize,
    /// Whether some place may speak of this or of another thing of the same name.
    pub doubtful: bool,
}

/// What happens to a piece at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Turn {
    Made,
    Spent,
}

/// The names of a recipe, with those of the files that it uses.
#[derive(Debug, Default)]
pub struct Index {
    /// Every thing that has a name.
    pub things: Vec<Thing>,
    /// Grades of steel, as written.
    pub grades: Vec<(Span, String)>,
    /// Names of used files, as written, each with the address of the file where it was found.
    pub uses: Vec<(Span, Option<u32>)>,
    /// The insides of recipes, by the number of the scope less one: the head, and the name.
    pub recipes: Vec<(Span, String)>,
    /// The pieces that calls make: the recipe, and the piece.
    pub calls: Vec<(String, String)>,
    /// Lines that cannot be read, by file.
    pub unread: Vec<Span>,
    turns: Vec<(u32, usize, String, Turn)>,
    spots: Vec<(Span, usize)>,
}

impl Index {
    /// The name that a place stands in, and its thing.
    #[must_use]
    pub fn at(&self, at: u32) -> Option<(Span, usize, &Thing)> {
        let first = self.spots.partition_point(|(span, _)| span.end < at);
        let found = self.spots.get(first).filter(|(span, _)| span.start <= at)?;
        // Where two names touch, the second begins here.
        let next = self.spots.get(first + 1).filter(|(next, _)| next.start == at);
        let (span, thing) = *next.unwrap_or(found);
        Some((span, thing, self.things.get(thing)?))
    }

    /// Every place where a name stands, in the order of the text, with its thing.
    pub fn names(&self) -> impl Iterator<Item = (Span, &Thing)> {
        self.spots.iter().filter_map(|(span, thing)| Some((*span, self.things.get(*thing)?)))
    }

    /// The names of pieces that can be worked at a place of a scope, in order.
    #[must_use]
    pub fn live(&self, scope: usize, at: u32) -> Vec<&str> {
        let mut live: Vec<&str> = Vec::new();
        for (place, within, name, turn) in &self.turns {
            if *within != scope || *place >= at {
                continue;
            }
            live.retain(|known| known != name);
            if *turn == Turn::Made {
                live.push(name);
            }
        }
        live
    }

    /// The names of all pieces ever made, in any scope: parts go by them.
    #[must_use]
    pub fn pieces(&self) -> Vec<&str> {
        let mut all: Vec<&str> =
            self.things.iter().filter(|t| t.sort == Sort::Piece).map(|t| t.name.as_str()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The number of the scope of a recipe, by its head.
    #[must_use]
    pub fn scope_of(&self, head: Span) -> usize {
        self.recipes.iter().position(|(h, _)| *h == head).map_or(0, |at| at + 1)
    }
}

/// Indexes a file of [`Files`] with those that it uses; `base` is the address of its first byte.
/// What lines of earlier texts said is remembered.
#[must_use]
pub fn index(files: &Files, base: u32, uses: &Uses, memo: &mut Memo) -> Index {
    let (read, faults) = statements(files, base, uses, memo);
    let mut made = walk::walk(&read, uses);
    made.unread = faults.iter().map(Diagnostic::span).collect();
    made
}
