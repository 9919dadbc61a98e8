//! The words of the language, as rows of one type. Each room declares its own; `language` gathers them, and whatever lists,
//! colours, checks or suggests words reads that one table.

/// What a word is. A word may be several things, with a row for each: `edge` is a verb, a side, a clause and a test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    /// Begins a step.
    Verb,
    /// Begins another line.
    Statement,
    /// A clause of this word and a figure.
    Figured,
    /// A clause of this word alone.
    Flag,
    /// Begins a clause, or stands inside one.
    Clause,
    /// Stands between the parts of a line, and is named where it is missing.
    Joint,
    /// An entry of a shop.
    Entry,
    /// Stands inside an entry of a shop.
    Stated,
    /// Presses the bar.
    Tool,
    /// What burns.
    Fuel,
    /// How it burns.
    Fire,
    /// What a blade is quenched in.
    Medium,
    /// Where a piece is joined.
    Side,
    /// An end of a bar, or each.
    WhichEnd,
    /// An end that places are measured from.
    End,
    /// A size of a bar.
    Direction,
    /// What stock is.
    Shape,
    /// How a bar of a stack is laid.
    Laid,
    /// The faces that are bevelled.
    Faces,
    /// What a target tests.
    Test,
    /// Stands inside a test.
    Tested,
    /// Where in a section a hardness is tested.
    Spot,
    /// What a steel has in it.
    Element,
    /// The kind of a parameter.
    Kind,
    /// A unit.
    Unit,
    /// Taken for a unit, and refused.
    Refused,
}

impl Sort {
    /// What a message says could stand there; nothing where that would not help.
    #[must_use]
    pub fn asked(self) -> Option<&'static str> {
        Some(match self {
            Sort::Tool => "a tool",
            Sort::Side => "`edge`, `end` or `face`",
            Sort::Direction => "`thick`, `wide` or `long`",
            Sort::WhichEnd => "`each`, `heel` or `tip`",
            Sort::End => "a place along the bar",
            Sort::Element => "an element",
            Sort::Shape => "`bars`, `square`, `round` or `plate`",
            Sort::Fuel | Sort::Fire => "what burns",
            Sort::Test => "what is tested",
            _ => return None,
        })
    }

    /// Whether it may follow in the line of a step.
    #[must_use]
    pub fn follows(self) -> bool {
        use Sort::*;
        !matches!(self, Verb | Statement | Entry | Test | Element | Kind | Unit | Refused)
    }
}

/// A word, and what is known of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Term {
    /// The word as it is known inside: in the singular, one blank between its parts.
    pub word: &'static str,
    /// What it is.
    pub sort: Sort,
    /// Other spellings of it.
    pub also: &'static [&'static str],
    /// Whether no name may be it.
    pub reserved: bool,
    /// A line, clause or entry with it, as one would write it; empty where it makes none alone.
    pub form: &'static str,
    /// What it means, in one line; empty where another page says so.
    pub doc: &'static str,
}

impl Term {
    /// A word of a sort that may be a name too.
    #[must_use]
    pub const fn new(word: &'static str, sort: Sort) -> Term {
        Term { word, sort, also: &[], reserved: false, form: "", doc: "" }
    }

    /// The same with a form and a doc.
    #[must_use]
    pub const fn told(self, form: &'static str, doc: &'static str) -> Term {
        Term { form, doc, ..self }
    }

    /// The same with other spellings.
    #[must_use]
    pub const fn also(self, also: &'static [&'static str]) -> Term {
        Term { also, ..self }
    }

    /// The same where no name may be it.
    #[must_use]
    pub const fn reserved(self) -> Term {
        Term { reserved: true, ..self }
    }

    /// Every spelling, the usual one first.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> + use<> {
        std::iter::once(self.word).chain(self.also.iter().copied())
    }
}

/// Words of one sort of which nothing else is to be said.
pub fn plain(sort: Sort, words: &'static [&'static str]) -> impl Iterator<Item = Term> {
    words.iter().map(move |word| Term::new(word, sort))
}

/// The same, where no name may be one of them.
pub fn reserved(sort: Sort, words: &'static [&'static str]) -> impl Iterator<Item = Term> {
    plain(sort, words).map(Term::reserved)
}

/// An enum of things that each go by a word, with the list of them all.
macro_rules! worded {
    ($(#[$about:meta])* pub enum $name:ident { $($(#[$doc:meta])* $one:ident = $word:literal,)* }) => {
        $(#[$about])*
        pub enum $name { $($(#[$doc])* $one,)* }

        impl $name {
            /// All of them.
            pub const ALL: [$name; [$($word),*].len()] = [$($name::$one,)*];

            /// The word that it goes by.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $($name::$one => $word,)* }
            }
        }
    };
}
pub(crate) use worded;
