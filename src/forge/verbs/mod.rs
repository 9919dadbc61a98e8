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

use crate::forge::{Bag, Cx, Outcome, Sink, Verb, Word};
use crate::piece::LotId;
use crate::source::Span;

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
            pub fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
                match self { $(Step::$verb(step) => step.run(cx),)* }
            }
        }
    };
}

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
    tip::Tip,
    twist::Twist,
    groove::Groove,
    drill::Drill,
    press::Press,
    split::Split,
    tile::Tile,
    open::Open,
    wrap::Wrap,
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
    pub fn handed(from: LotId, to: LotId, site: Span) -> Step {
        Step::Stock(stock::Stock::handed(from, to, site))
    }
}
