//! What a step *does*: one file a verb, with its arguments, doc, physics and faults together; the word table.

mod process;
mod verbs;
mod words;

mod book;
mod cx;
mod limits;

pub use book::{Effort, Silent, Sink};
pub use cx::{Cx, Fault, Flow, Ground, Habit, LotInfo, Outcome, Recall, too_much};
pub use limits::Limits;
pub use verbs::measure::SCALE_AGREES;
pub use verbs::{Act, PATTERNS, Step, WORDS};
pub use words::args::{
    Arg, Bag, Blades, Bought, Clause, Fire, Form, Hazard, Makes, Name, Scope, Slot, Word, Work, wrong_kind,
};
pub use words::key::{Key, Pattern};
pub use words::shop::{CURRENCIES, ENTRIES, Entry, Per, Shop};
pub use words::sizes::MEASURED_HOT;
pub use words::terms::terms;
pub use words::tool::SPREAD_LAW;
pub use words::tool_kind::ToolKind;

/// A verb of the language: how it is bound from its clauses, and what it does to the bars.
pub trait Verb: Sized {
    /// Its entry in the word table.
    const WORD: Word;
    /// Takes its clauses; `None` where the bag has a fault on record.
    fn bind(bag: &mut Bag) -> Option<Self>;
    /// Does its work.
    ///
    /// # Errors
    /// One finding that says where, why, and what would work.
    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome;
    /// What may have run from one size into another behind it: `before` it, this.
    fn moved(&self, before: Moved) -> Moved {
        if Self::WORD.moves { [true; 3] } else { before }
    }
}

/// A verb that works one piece, which keeps its name.
pub trait Works: Sized {
    /// Its entry in the word table.
    const WORD: Word;
    /// Takes its clauses; `None` where the bag has a fault on record.
    fn bind(bag: &mut Bag) -> Option<Self>;
    /// Does its work.
    ///
    /// # Errors
    /// One finding that says where, why, and what would work.
    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome;
    /// What may have run from one size into another behind it: `before` it, this.
    fn moved(&self, before: Moved) -> Moved {
        if Self::WORD.moves { [true; 3] } else { before }
    }
}

/// Of thickness, width and length each, whether hot metal may have run out of it into another since the piece was stock or was last
/// measured, and no cold step has brought it to size since.
pub type Moved = [bool; 3];

/// Such a verb with its piece.
pub struct Of<V>(Work, V);

impl<V: Works> std::fmt::Debug for Of<V> {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        f.debug_tuple(V::WORD.word).field(&self.0.site).finish()
    }
}

impl<V: Works> Verb for Of<V> {
    const WORD: Word = V::WORD;

    fn bind(bag: &mut Bag) -> Option<Self> {
        bag.work(V::bind).map(|(work, verb)| Of(work, verb))
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        self.1.run(cx, self.0)
    }

    fn moved(&self, before: Moved) -> Moved {
        self.1.moved(before)
    }
}

/// What smiths say in other words than the language's, form by form.
pub const WORDINGS: &str = include_str!("words/wordings.txt");

/// What a line comes to that no form reads, verb by verb.
pub const GISTS: &str = include_str!("words/gists.txt");

/// The entry of a verb.
#[must_use]
pub fn word(verb: &str) -> Option<&'static Word> {
    WORDS.iter().find(|w| w.word == verb)
}

/// The verb of a word that smiths say for it.
#[must_use]
pub fn usual(word: &str) -> Option<&'static str> {
    WORDS.iter().find(|w| w.said.contains(&word)).map(|w| w.word)
}
