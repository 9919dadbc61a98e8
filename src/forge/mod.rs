//! What a step *does*: one file a verb, with its arguments, doc, physics and faults together; the word table.

mod process;
mod verbs;
mod words;

mod book;
mod cx;

use crate::piece::LotId;

pub use book::{Silent, Sink};
pub use cx::{Cx, Fault, Ground, Habit, Limits, LotInfo, Recall};
pub use process::effort::Effort;
pub use words::args::{
    Arg, Bag, Blades, Clause, Fire, Form, Hazard, Makes, Name, Scope, Site, Slot, Word, Work, wrong_kind,
};
pub use words::key::{Key, Pattern};
pub use words::shop::{ENTRIES, Entry, Shop};
pub use words::sizes::MEASURED_HOT;
pub use words::terms::terms;
pub use words::tool::{SPREAD_LAW, ToolKind};

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
    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault>;
}

macro_rules! verbs {
    ($($room:ident :: $verb:ident,)*) => {
        /// A bound step.
        #[derive(Debug)]
        pub enum Step { $(#[doc = stringify!($room)] $verb($room::$verb),)* }

        /// A verb, for who writes recipes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Act { $(#[doc = stringify!($room)] $verb,)* }

        impl Act {
            /// Its entry in the word table.
            #[must_use]
            pub fn word(self) -> &'static Word {
                match self { $(Act::$verb => &$room::$verb::WORD,)* }
            }

            /// A line of a recipe with this verb, its piece and its clauses.
            #[must_use]
            pub fn write(self, piece: &str, clauses: &[&str]) -> String {
                self.word().write(piece, clauses)
            }
        }

        /// Every verb, in the order that help lists them.
        pub static WORDS: &[Word] = &[$($room::$verb::WORD,)*];

        impl Step {
            /// Binds the verb of a bag's word.
            pub fn bind(bag: &mut Bag) -> Option<Step> {
                $(if bag.word.word == $room::$verb::WORD.word {
                    return $room::$verb::bind(bag).map(Step::$verb);
                })*
                bug!("`{}` is a verb that nobody binds", bag.word.word)
            }

            /// Does the step's work.
            ///
            /// # Errors
            /// The finding that stops it.
            pub fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
                match self { $(Step::$verb(step) => step.run(cx),)* }
            }
        }
    };
}

use verbs::*;

verbs! {
    stock::Stock,
    stack::Stack,
    weld::Weld,
    draw::Draw,
    spread::Spread,
    edge::Edge,
    upset::Upset,
    fold::Fold,
    cut::Cut,
    grind::Grind,
    join::Join,
    turn::Turn,
    flip::Flip,
    twist::Twist,
    taper::Taper,
    profile::Profile,
    tang::Tang,
    bevel::Bevel,
    heat::Heat,
    normalise::Normalise,
    harden::Harden,
    temper::Temper,
    etch::Etch,
    measure::Measure,
    expect::Expect,
}

impl Step {
    /// What a called recipe gives: the same bars under another name.
    #[must_use]
    pub fn handed(from: LotId, to: LotId, site: Site) -> Step {
        Step::Stock(stock::Stock::handed(from, to, site))
    }
}

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
