//! A page for each fault and warning: what it means, why it matters, a recipe that shows it, and what mends it.
//!
//! The tables are `codes/*.txt`, by subject; a new code is a short entry in one of them. `tests/suite/explain.rs` looks for every code
//! in the sources, runs what is written here, and says which page is missing or untrue.

use std::sync::OnceLock;

use super::entries;
use super::sample::Sample;
use crate::forge::{Blades, Form, Word};
use crate::source::Code;

/// Where a code comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// This verb.
    Verb(&'static str),
    /// Every verb that takes the clause of this word.
    With(&'static str),
    /// Every verb that takes any clause.
    WithClauses,
    /// Every verb with a figure in one of its clauses.
    WithFigures,
    /// Every verb.
    Verbs,
    /// Every verb that works plain bars alone, or a blade in some ways alone.
    PlainBars,
    /// Every verb that works no loose stack.
    SolidPieces,
    /// This entry of a shop.
    Entry(&'static str),
    /// This word of a test.
    Test(&'static str),
    /// Another place of a recipe: one of [`PLACES`].
    Place(&'static str),
}

/// What else than verbs a code can come from.
pub const PLACES: [&str; 9] =
    ["lines", "figures", "units", "names", "steels", "recipes", "logs", "shop", "target"];

/// The page of one code.
#[derive(Debug)]
pub struct CodePage {
    /// The code.
    pub code: Code,
    /// What raises it.
    pub from: Vec<Origin>,
    /// The command that says it, where `check` does not.
    pub asked_by: Option<&'static str>,
    /// What it means, in one line.
    pub means: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// A recipe that shows it.
    pub fails: Sample,
    /// What mends that: words, and what to write instead.
    pub edits: Vec<(String, String)>,
}

impl CodePage {
    /// The recipe that shows it, mended; `None` where its edits do not fit it.
    #[must_use]
    pub fn mended(&self) -> Option<Sample> {
        self.fails.mended(&self.edits)
    }

    /// Whether a verb can raise it.
    #[must_use]
    pub fn comes_from(&self, word: &Word) -> bool {
        self.from.iter().any(|from| match from {
            Origin::Verb(verb) => *verb == word.word,
            Origin::With(clause) => word.clauses().any(|k| k.word() == *clause),
            Origin::WithClauses => !word.clauses.is_empty(),
            Origin::WithFigures => word.clauses().any(|k| k.form().contains(|c: char| c.is_ascii_digit())),
            Origin::Verbs => true,
            Origin::PlainBars => {
                matches!(word.form, Form::Work | Form::Stack)
                    && matches!(word.blades, Blades::Never | Blades::Some(_))
            }
            Origin::SolidPieces => word.form == Form::Work && !word.loose,
            Origin::Entry(_) | Origin::Test(_) | Origin::Place(_) => false,
        })
    }

    /// How many verbs can raise it.
    #[must_use]
    pub fn reach(&self) -> usize {
        crate::forge::WORDS.iter().filter(|w| self.comes_from(w)).count()
    }

    /// Whether it is a verb's own, and not one that most verbs share.
    #[must_use]
    pub fn is_own(&self) -> bool {
        !self.from.iter().any(|f| matches!(f, Origin::Verbs | Origin::WithClauses | Origin::WithFigures))
    }

    /// Whether a place can raise it.
    #[must_use]
    pub fn comes_from_place(&self, place: &str) -> bool {
        self.from.iter().any(|from| matches!(from, Origin::Place(p) if *p == place))
    }
}

const TABLES: [&str; 18] = [
    include_str!("codes/lines.txt"),
    include_str!("codes/figures.txt"),
    include_str!("codes/names.txt"),
    include_str!("codes/steels.txt"),
    include_str!("codes/recipes.txt"),
    include_str!("codes/clauses.txt"),
    include_str!("codes/stock.txt"),
    include_str!("codes/weld.txt"),
    include_str!("codes/shape.txt"),
    include_str!("codes/blade.txt"),
    include_str!("codes/pattern.txt"),
    include_str!("codes/fire.txt"),
    include_str!("codes/machine.txt"),
    include_str!("codes/cut.txt"),
    include_str!("codes/hardness.txt"),
    include_str!("codes/measure.txt"),
    include_str!("codes/targets.txt"),
    include_str!("codes/shop.txt"),
];

/// Every code that has a page, by subject.
pub fn codes() -> &'static [CodePage] {
    static CODES: OnceLock<Vec<CodePage>> = OnceLock::new();
    CODES.get_or_init(|| {
        TABLES.into_iter().flat_map(|table| entries::read(table).into_iter().map(code)).collect()
    })
}

/// The page of a code, by its name, perhaps with the `heatbook::` that messages show before it.
#[must_use]
pub fn code_of(name: &str) -> Option<&'static CodePage> {
    Code::of(name).map(page_of)
}

/// The page of a code.
#[must_use]
pub fn page_of(code: Code) -> &'static CodePage {
    codes().iter().find(|c| c.code == code).unwrap_or_else(|| bug!("no page for {code}"))
}

fn code(entry: entries::Entry) -> CodePage {
    let from = match entry.field("warning") {
        "" => entry.field("fault"),
        from => from,
    };
    let asked_by = from.split(", ").find_map(|w| w.strip_prefix("asked by "));
    let from = from.split(", ").filter(|w| !w.starts_with("asked by ")).map(origin).collect();
    let edit = |text: &str| {
        let (old, new) = text.split_once(" => ").unwrap_or_else(|| bug!("`mend: {text}` has no ` => `"));
        (old.replace("\\n", "\n"), new.replace("\\n", "\n"))
    };
    let code = Code::of(entry.name).unwrap_or_else(|| bug!("a page for an unknown code {}", entry.name));
    CodePage {
        code,
        from,
        asked_by,
        means: entry.field("means"),
        why: entry.field("why"),
        edits: entry.all("mend").map(edit).collect(),
        fails: entry.sample,
    }
}

fn origin(word: &'static str) -> Origin {
    let (first, rest) = word.split_once(' ').unwrap_or((word, ""));
    match (first, rest) {
        ("verbs", "") => Origin::Verbs,
        ("plain", "bars") => Origin::PlainBars,
        ("solid", "pieces") => Origin::SolidPieces,
        ("with", "clauses") => Origin::WithClauses,
        ("with", "figures") => Origin::WithFigures,
        ("with", clause) => Origin::With(clause),
        ("entry", entry) => Origin::Entry(entry),
        ("test", what) => Origin::Test(what),
        _ if PLACES.contains(&word) => Origin::Place(word),
        _ => Origin::Verb(word),
    }
}
