//! One file a verb: its arguments, doc, physics and faults together; and their table. A verb is a file here, and two lines in this one.

pub(in crate::forge) mod bevel;
pub(in crate::forge) mod cut;
pub(in crate::forge) mod draw;
pub(in crate::forge) mod drill;
pub(in crate::forge) mod edge;
pub(in crate::forge) mod etch;
pub(in crate::forge) mod expect;
pub(in crate::forge) mod flip;
pub(in crate::forge) mod fold;
mod fuller;
pub(in crate::forge) mod grind;
pub(in crate::forge) mod groove;
pub(in crate::forge) mod harden;
pub(in crate::forge) mod heat;
pub(in crate::forge) mod join;
pub(in crate::forge) mod measure;
pub(in crate::forge) mod normalise;
pub(in crate::forge) mod open;
pub(in crate::forge) mod press;
pub(in crate::forge) mod profile;
pub(in crate::forge) mod split;
pub(in crate::forge) mod spread;
pub(in crate::forge) mod stack;
pub(in crate::forge) mod stock;
pub(in crate::forge) mod tang;
pub(in crate::forge) mod taper;
pub(in crate::forge) mod temper;
pub(in crate::forge) mod tile;
pub(in crate::forge) mod tip;
pub(in crate::forge) mod turn;
pub(in crate::forge) mod twist;
pub(in crate::forge) mod upset;
pub(in crate::forge) mod weld;
pub(in crate::forge) mod wrap;

use crate::forge::{Bag, Cx, Moved, Of, Outcome, Sink, Verb, Word};
use crate::piece::LotId;
use crate::source::Span;

macro_rules! verbs {
    ($($verb:ident: $of:ty,)*) => {
        /// A bound step.
        #[derive(Debug)]
        pub enum Step { $(#[doc = stringify!($verb)] $verb($of),)* }

        /// A verb, for who writes recipes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Act { $(#[doc = stringify!($verb)] $verb,)* }

        impl Act {
            /// Its entry in the word table.
            #[must_use]
            pub fn word(self) -> &'static Word {
                match self { $(Act::$verb => &<$of>::WORD,)* }
            }

            /// A line of a recipe with this verb, its piece and its clauses.
            #[must_use]
            pub fn write(self, piece: &str, clauses: &[&str]) -> String {
                self.word().write(piece, clauses)
            }
        }

        /// Every verb, in the order that help lists them.
        pub static WORDS: &[Word] = &[$(<$of>::WORD,)*];

        impl Step {
            /// Binds the verb of a bag's word.
            pub fn bind(bag: &mut Bag) -> Option<Step> {
                $(if bag.word.word == <$of>::WORD.word {
                    return <$of>::bind(bag).map(Step::$verb);
                })*
                bug!("`{}` is a verb that nobody binds", bag.word.word)
            }

            /// Does the step's work.
            ///
            /// # Errors
            /// The finding that stops it.
            pub fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
                match self { $(Step::$verb(step) => step.run(cx),)* }
            }

            /// What may have run from one size into another behind it: `before` it, this.
            #[must_use]
            pub fn moved(&self, before: Moved) -> Moved {
                match self { $(Step::$verb(step) => step.moved(before),)* }
            }
        }
    };
}

/// The verbs that move layers about, each as one says of a piece that it was done to.
pub const PATTERNS: [(Act, &str); 8] = [
    (Act::Twist, "twisted"),
    (Act::Groove, "grooved"),
    (Act::Drill, "drilled"),
    (Act::Press, "pressed"),
    (Act::Split, "split"),
    (Act::Open, "opened"),
    (Act::Tile, "tiled"),
    (Act::Wrap, "wrapped"),
];

verbs! {
    Stock: stock::Stock, Stack: stack::Stack, Weld: Of<weld::Weld>, Draw: Of<draw::Draw>,
    Spread: Of<spread::Spread>, Edge: Of<edge::Edge>, Upset: Of<upset::Upset>, Fold: Of<fold::Fold>,
    Cut: cut::Cut, Grind: Of<grind::Grind>, Join: join::Join, Turn: Of<turn::Turn>, Flip: Of<flip::Flip>,
    Tip: Of<tip::Tip>, Twist: Of<twist::Twist>, Groove: Of<groove::Groove>, Drill: Of<drill::Drill>,
    Press: Of<press::Press>, Split: Of<split::Split>, Tile: Of<tile::Tile>, Open: Of<open::Open>,
    Wrap: Of<wrap::Wrap>, Taper: Of<taper::Taper>, Profile: Of<profile::Profile>, Tang: Of<tang::Tang>,
    Bevel: Of<bevel::Bevel>, Fuller: Of<fuller::Fuller>, Heat: Of<heat::Heat>, Normalise: Of<normalise::Normalise>,
    Harden: Of<harden::Harden>, Temper: Of<temper::Temper>, Etch: Of<etch::Etch>,
    Measure: Of<measure::Measure>, Expect: expect::Expect,
}

impl Step {
    /// What a called recipe gives: the same bars under another name.
    #[must_use]
    pub fn handed(from: LotId, to: LotId, site: Span) -> Step {
        Step::Stock(stock::Stock::handed(from, to, site))
    }
}
