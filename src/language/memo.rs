//! Lines that were read before, so that a text of which one line has changed is not read anew as a whole. What a line says depends
//! on nothing but its words; where it says it moves along with the line.

use std::collections::HashMap;

use super::ast::{
    Allow, Arg, Call, Clause, Expr, Figure, Given, Logged, Place, Quantity, Recipe, Statement, Steel, Step,
    Test, Wanted, Zone,
};
use super::meaning::Meaning;
use crate::forge::Name;
use crate::replay::Op;
use crate::source::Span;

/// What lines said that were read without fault, by their words: those of the last text, and those of the one before it.
#[derive(Debug, Default)]
pub struct Memo {
    /// Of lines of a recipe.
    pub(super) statements: Kept<Statement>,
    /// Of lines of a target.
    pub(super) tests: Kept<Test>,
    /// What other words were found for lines that no form reads, by those lines and what stood around them.
    pub(super) worded: Worded,
    /// Whether somebody types: offers are not read again with the text around them.
    hurried: bool,
    /// Whether any was left for when nobody types.
    owed: bool,
}

/// Other words for lines, those of the last text and of the one before it.
#[derive(Debug, Default)]
pub(super) struct Worded {
    now: HashMap<String, Meaning>,
    before: HashMap<String, Meaning>,
    /// How often a line was tried in other words.
    pub tries: usize,
}

impl Worded {
    /// What is known of a line.
    pub(super) fn of(&mut self, line: &str) -> Option<Meaning> {
        if let Some((line, known)) = self.before.remove_entry(line) {
            self.now.insert(line, known);
        }
        self.now.get(line).cloned()
    }

    /// Keeps what was found for it, and how many tries that took.
    pub(super) fn keep(&mut self, line: String, found: &Meaning, tries: usize) {
        self.tries += tries;
        self.now.insert(line, found.clone());
    }
}

/// What lines of one sort said.
#[derive(Debug)]
pub(super) struct Kept<T> {
    /// Whether nothing is kept: a text that is read once is not worth it.
    off: bool,
    now: HashMap<String, T>,
    before: HashMap<String, T>,
    read: usize,
}

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Kept { off: false, now: HashMap::new(), before: HashMap::new(), read: 0 }
    }
}

impl<T: Shift + Clone> Kept<T> {
    /// What a line of these words says that begins at an address.
    pub(super) fn of(&mut self, words: &str, at: u32) -> Option<T> {
        if let Some((words, known)) = self.before.remove_entry(words) {
            self.now.insert(words, known);
        }
        let mut known = self.now.get(words).cloned();
        known.shift(&|span| moved(span, at));
        self.read += usize::from(known.is_none());
        known
    }

    /// Keeps what a line says.
    pub(super) fn keep(&mut self, words: &str, at: u32, made: &T) {
        if !self.off {
            let mut made = made.clone();
            made.shift(&|span| moved(span, 0u32.wrapping_sub(at)));
            self.now.insert(words.to_owned(), made);
        }
    }
}

impl Memo {
    /// A memo that keeps nothing, for a text that is read once.
    pub(super) fn none() -> Memo {
        let mut memo = Memo::default();
        (memo.statements.off, memo.tests.off) = (true, true);
        memo
    }

    /// A new text begins: what neither it nor the one before it says is forgotten.
    pub fn turn(&mut self) {
        self.statements.before = std::mem::take(&mut self.statements.now);
        self.tests.before = std::mem::take(&mut self.tests.now);
        self.worded.before = std::mem::take(&mut self.worded.now);
    }

    /// How often lines that no form reads were tried in other words, since it was made.
    #[must_use]
    pub fn tries(&self) -> usize {
        self.worded.tries
    }

    /// Says whether somebody types now: then offers are told as they are found, and what else they need is left for later.
    pub fn hurry(&mut self, hurried: bool) {
        self.hurried = hurried;
        self.owed &= hurried;
    }

    /// Whether offers are to be told as they are found; that they were is noted.
    pub(super) fn leaves_offers(&mut self) -> bool {
        self.owed |= self.hurried;
        self.hurried
    }

    /// Whether a text of offers that were left for later was the last that was read.
    #[must_use]
    pub fn owes(&self) -> bool {
        self.owed
    }

    /// How many statements and lines of targets were not remembered, and were read, since it was made.
    #[must_use]
    pub fn read(&self) -> usize {
        self.statements.read + self.tests.read
    }
}

/// A span moved along; addresses wrap, so that a move back is one forth.
fn moved(span: Span, by: u32) -> Span {
    Span { start: span.start.wrapping_add(by), end: span.end.wrapping_add(by) }
}

/// Gives all spans another place.
pub(super) trait Shift {
    fn shift(&mut self, to: &impl Fn(Span) -> Span);
}

impl Shift for Span {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        *self = to(*self);
    }
}

impl<T: Shift + ?Sized> Shift for Box<T> {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        self.as_mut().shift(to);
    }
}

impl<T: Shift> Shift for [T] {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        self.iter_mut().for_each(|t| t.shift(to));
    }
}

impl<T: Shift> Shift for Vec<T> {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        self.as_mut_slice().shift(to);
    }
}

impl<T: Shift> Shift for Option<T> {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        self.as_mut_slice().shift(to);
    }
}

impl<A: Shift, B: Shift> Shift for (A, B) {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        self.0.shift(to);
        self.1.shift(to);
    }
}

/// What holds no span has nowhere to go.
macro_rules! stays {
    ($($kind:ty)*) => { $(impl Shift for $kind { fn shift(&mut self, _: &impl Fn(Span) -> Span) {} })* };
}

/// Of a struct, the fields that hold spans move along.
macro_rules! moves {
    ($($kind:ident { $($field:ident)* })*) => {
        $(impl Shift for $kind { fn shift(&mut self, to: &impl Fn(Span) -> Span) { $(self.$field.shift(to);)* } })*
    };
}

/// Of an enum, all that a variant holds moves along.
macro_rules! moves_each {
    ($($kind:ident { $($variant:ident $(($($held:ident)*))?)* })*) => {
        $(impl Shift for $kind {
            fn shift(&mut self, to: &impl Fn(Span) -> Span) {
                match self { $($kind::$variant $(($($held),*))? => { $($($held.shift(to);)*)? })* }
            }
        })*
    };
}

// The head of a recipe reads the comments around it: it is never kept.
stays! { bool f64 String &'static str Op Recipe }

moves! {
    Name { span }
    Figure { unit more span }
    Quantity { expr tolerance span }
    Place { by span }
    Test { part behind allowing zone second_zone wanted wanted_span span }
    Step { name clauses span }
    Call { name recipe given span }
    Logged { label_span readings span }
    Steel { name like contents span }
    Allow { name span }
}

impl<K> Shift for Clause<K> {
    fn shift(&mut self, to: &impl Fn(Span) -> Span) {
        self.span.shift(to);
        self.args.shift(to);
    }
}

moves_each! {
    Expr { Figure(figure) Name(name) Ask(span within) Minus(inner span) Row(first rest span) }
    Arg { Quantity(q) Sizes(sizes span) Name(name) Word(word span) Grade(name) Text(name) Test(test) Place(place) }
    Zone { Everywhere OnFace At(place) Between(ends) }
    Wanted { AtLeast(q) AtMost(q) Equal(q) Within(a b) }
    Given { Quantity(q) Grade(grade) }
    Statement {
        Let(name quantity) Mark(piece name quantity) Steel(steel) Note(text span) Units(inches span) Allow(allow) Shop(entries span)
        Target(name count tests span) Step(step) Repeat(count body span) Recipe(recipe) Call(call) Give(name span)
        Use(file span) BuildOf(file span) When(day span) At(logged) Broken(name)
    }
}

#[cfg(test)]
mod tests {
    use super::super::parse::{parse, parse_with};
    use super::*;

    const TEXT: &str = "\
let w = (40 mm + 1/2 in) * 2 +- 1 mm # ±
steel file = like W1, carbon 1.15 %
note \"a\"
stock d = 2 bars of file, 3 x w x 120 mm
stock q = slab(bars = ? in 2 .. 9, kind = W1)
stack p = alternate d, 2 of q turned, d
weld p at 1230 C, thinning 15 %
cut p into low, top
expect low: width of d >= 2 lb 3 oz from heel to 30 mm from tip
mark low near at 12 mm
bevel low from near to tip, edge 0.6 mm, height 30 mm, ground, d off 0.1 mm
profile low edge 0 mm at heel then 3 mm at near, spine 40 mm at heel then w at tip
target low {
  thickness 1 mm behind edge <= 0.5 mm at near
  spine >= 3 mm at near, allowing 0.2 mm
  width 1 .. -2 mm everywhere
  thickness = 3 mm +- 1 mm at 20 mm from heel
}
";

    /// With a memo of the text as it was, or of none, the same comes out: with lines put in, taken out and moved about.
    #[test]
    fn what_is_remembered_is_what_would_be_read() {
        let mut memo = Memo::default();
        let lines: Vec<&str> = TEXT.lines().collect();
        for round in 0..lines.len() * 2 {
            let mut moved: Vec<String> = lines.iter().map(|l| (*l).to_owned()).collect();
            let at = round % lines.len();
            if round < lines.len() {
                moved.insert(at, "  let é = 1 mm, oops # 🔥".to_owned());
            } else {
                moved.remove(at);
            }
            let (text, base) = (moved.join("\n"), u32::try_from(round * 7).unwrap());
            memo.turn();
            let known = parse_with(&text, base, &mut memo);
            assert_eq!(format!("{known:?}"), format!("{:?}", parse(&text, base)));
        }
    }

    #[test]
    fn what_no_text_says_any_more_is_forgotten() {
        let mut memo = Memo::default();
        for i in 0..10 {
            memo.turn();
            parse_with(&format!("note \"{i}\"\n"), 0, &mut memo);
            assert!(memo.statements.now.len() + memo.statements.before.len() <= 2);
        }
        assert!(memo.statements.of("note \"9\"", 5).is_some());
        assert!(memo.statements.of("note \"0\"", 5).is_none());
    }
}
