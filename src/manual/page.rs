//! One page, of whatever it tells.

use super::codes::{CodePage, Origin};
use super::sample::Sample;
use crate::forge::WORDS;
use crate::source::{Code, Severity};

/// What a page is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic {
    /// A verb.
    Verb,
    /// A clause of a step.
    Clause,
    /// A line that is no step, or a block.
    Line,
    /// A unit.
    Unit,
    /// A steel of the table.
    Steel,
    /// A published law.
    Law,
    /// A word of a target's test.
    Target,
    /// An entry of a shop.
    Shop,
    /// What the trade says, and what leads to it here.
    Trade,
    /// What to mind at work.
    Caution,
    /// A page of the guide.
    Guide,
    /// A fault or a warning.
    Code,
}

impl Topic {
    /// All of them, in the order of lists.
    pub const ALL: [Topic; 12] = [
        Topic::Verb,
        Topic::Clause,
        Topic::Line,
        Topic::Unit,
        Topic::Steel,
        Topic::Law,
        Topic::Target,
        Topic::Shop,
        Topic::Trade,
        Topic::Caution,
        Topic::Guide,
        Topic::Code,
    ];

    /// The word that asks for it: `verb`, `clause` …
    #[must_use]
    pub fn word(self) -> &'static str {
        self.words().0
    }

    /// What a list of them is headed by.
    #[must_use]
    pub fn many(self) -> &'static str {
        self.words().1
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Topic::Verb => ("verb", "verbs"),
            Topic::Clause => ("clause", "clauses"),
            Topic::Line => ("line", "other lines"),
            Topic::Unit => ("unit", "units"),
            Topic::Steel => ("steel", "steels"),
            Topic::Law => ("law", "laws"),
            Topic::Target => ("target", "words of a target"),
            Topic::Shop => ("shop", "entries of a shop"),
            Topic::Trade => ("trade", "words of the trade"),
            Topic::Caution => ("caution", "cautions"),
            Topic::Guide => ("guide", "the guide, to be read from the top"),
            Topic::Code => ("code", "faults and warnings"),
        }
    }

    /// The topic of a word.
    #[must_use]
    pub fn of(word: &str) -> Option<Topic> {
        Topic::ALL.into_iter().find(|t| t.word() == word)
    }
}

/// A clause that a verb takes, or another part of what the page tells.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its word.
    pub word: &'static str,
    /// How it is written, the usual way first.
    pub forms: Vec<String>,
    /// What kinds of figure or name it takes.
    pub takes: String,
    /// What it means.
    pub doc: String,
}

/// Something to try.
#[derive(Clone, Debug)]
pub enum Example {
    /// A recipe, which passes.
    Recipe(Sample),
    /// A command to type.
    Command(String),
}

/// A recipe that shows a fault or a warning, and the same mended.
#[derive(Clone, Debug)]
pub struct Broken {
    /// The code that it shows.
    pub code: Code,
    /// The command that says it, where `check` does not.
    pub asked_by: Option<&'static str>,
    /// The recipe.
    pub fails: Sample,
    /// The recipe, mended.
    pub mended: Sample,
    /// What to write instead of what.
    pub edits: Vec<(String, String)>,
}

impl Broken {
    /// What the page of a code shows.
    #[must_use]
    pub fn of(code: &'static CodePage) -> Option<Broken> {
        let mended = code.mended()?;
        let (fails, edits) = (code.fails.clone(), code.edits.clone());
        Some(Broken { code: code.code, asked_by: code.asked_by, fails, mended, edits })
    }
}

/// One page.
#[derive(Clone, Debug)]
pub struct Page {
    /// What it is about.
    pub topic: Topic,
    /// The name that it goes by.
    pub name: String,
    /// Other names for the same.
    pub also: Vec<String>,
    /// What it is or does, in one line.
    pub doc: String,
    /// What else there is to say: a word, and what stands behind it.
    pub facts: Vec<(&'static str, String)>,
    /// Clauses of a verb, forms of a clause, figures of a law.
    pub parts: Vec<Part>,
    /// The faults and warnings that come from it.
    pub codes: Vec<&'static CodePage>,
    /// Something that runs.
    pub example: Option<Example>,
    /// Something that does not, and how it is mended.
    pub broken: Option<Broken>,
}

impl Page {
    /// A page with nothing on it but what it is about.
    #[must_use]
    pub fn new(topic: Topic, name: impl Into<String>, doc: impl Into<String>) -> Page {
        Page {
            topic,
            name: name.into(),
            also: Vec::new(),
            doc: doc.into(),
            facts: Vec::new(),
            parts: Vec::new(),
            codes: Vec::new(),
            example: None,
            broken: None,
        }
    }

    /// Adds a fact, unless there is nothing to say.
    pub fn fact(&mut self, word: &'static str, text: impl Into<String>) {
        let text = text.into();
        if !text.is_empty() {
            self.facts.push((word, text));
        }
    }

    /// All names that it goes by.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.also.iter().map(String::as_str))
    }

    /// Whether this is one of its names.
    #[must_use]
    pub fn answers_to(&self, name: &str) -> bool {
        let code = name.strip_prefix("heatbook::").filter(|_| self.topic == Topic::Code);
        self.names().any(|n| n == code.unwrap_or(name))
    }

    /// Whether it is of a unit that is not read.
    #[must_use]
    pub fn is_refused(&self) -> bool {
        self.topic == Topic::Unit && self.example.is_none()
    }

    /// The page of a code.
    #[must_use]
    pub fn of_code(code: &'static CodePage) -> Page {
        let mut page = Page::new(Topic::Code, code.code.name(), code.means);
        let kind = match code.code.severity() {
            Severity::Fault => "a fault: the recipe cannot be worked so, or misses its target",
            Severity::Warning => "a warning: the build goes on, and a smith should know",
        };
        page.fact("kind", kind);
        page.fact("why", code.why);
        page.fact("verbs", verbs_of(code));
        page.fact("where else", places_of(code));
        page.fact("said by", code.asked_by.map_or(String::new(), |command| format!("`heatbook {command}`")));
        page.broken = Broken::of(code);
        page
    }
}

/// What else than verbs can raise a code, in words.
fn places_of(code: &CodePage) -> String {
    let words = code.from.iter().filter_map(|from| match from {
        Origin::Entry(entry) => Some(format!("`{entry}` of a shop")),
        Origin::Test(what) => Some(format!("a test of {what}")),
        Origin::Place("lines") => Some("how a line or block is written".to_owned()),
        Origin::Place("figures") => Some("any figure".to_owned()),
        Origin::Place("names") => Some("any name".to_owned()),
        Origin::Place("steels") => Some("where a steel is named".to_owned()),
        Origin::Place("recipes") => Some("recipes that are called, and files that are used".to_owned()),
        Origin::Place("logs") => Some("build logs".to_owned()),
        Origin::Place("shop") => Some("the shop".to_owned()),
        Origin::Place("target") => Some("targets".to_owned()),
        // Units are figures too.
        _ => None,
    });
    words.collect::<Vec<_>>().join(", ")
}

/// The verbs that can raise a code.
fn verbs_of(code: &CodePage) -> String {
    let verbs: Vec<&str> = WORDS.iter().filter(|w| code.comes_from(w)).map(|w| w.word).collect();
    if verbs.len() == WORDS.len() { "every verb".to_owned() } else { verbs.join(", ") }
}
