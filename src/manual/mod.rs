//! What every word means: a page for each verb, clause, other line, unit, steel, law, word of a target, entry of a shop, and
//! code. `explain`, the prompt's `help` and whoever shows words while one types read these pages.
//!
//! Docs stand where the thing is (`Word::doc`, `Key::doc`, `What::doc` …) and are put together here, with the recipes that
//! show them: `things/*.txt` and `codes/*.txt`, a short entry each. All of them are run by `tests/suite/explain.rs`. The
//! pages to read from the top are `guide/*.md`; `tests/suite/guide.rs` runs what they show.

mod cautions;
mod clauses;
mod codes;
mod entries;
mod guide;
mod others;
mod page;
mod sample;
mod steels;
mod units;
mod verbs;

pub use cautions::{FIRST, caution, told_each_time};
pub use clauses::doc as clause_doc;
pub use codes::{CodePage, Origin, PLACES, code_of, codes, page_of};
pub use page::{Broken, Example, Page, Part, Topic};
pub use sample::{File, Sample};

use std::sync::OnceLock;

/// Every page, by topic, in the order of the tables.
pub fn pages() -> &'static [Page] {
    static PAGES: OnceLock<Vec<Page>> = OnceLock::new();
    PAGES.get_or_init(|| {
        let mut all = verbs::pages();
        all.extend(clauses::pages());
        all.extend(others::lines());
        all.extend(units::pages());
        all.extend(steels::grades());
        all.extend(steels::laws());
        all.extend(others::targets());
        all.extend(others::shop());
        all.extend(others::trade());
        all.push(cautions::page());
        all.extend(guide::pages());
        all.extend(codes().iter().map(Page::of_code));
        all
    })
}

/// The pages of a name: several where a word has several meanings. A topic before it, as in `clause spread`, asks for one.
#[must_use]
pub fn find(asked: &str) -> Vec<&'static Page> {
    let asked = asked.split_whitespace().collect::<Vec<_>>().join(" ");
    let named = |topic: Option<Topic>, name: &str| -> Vec<&'static Page> {
        pages().iter().filter(|p| topic.is_none_or(|t| t == p.topic) && p.answers_to(name)).collect()
    };
    let found = named(None, &asked);
    if !found.is_empty() {
        return found;
    }
    // In any case, and in the plural.
    let lower = asked.to_lowercase();
    let found = named(None, &lower);
    if !found.is_empty() {
        return found;
    }
    if let Some((topic, name)) =
        asked.split_once(' ').and_then(|(first, name)| Some((Topic::of(first)?, name)))
    {
        return named(Some(topic), name);
    }
    // What smiths say for a verb.
    crate::forge::usual(&asked).map_or_else(Vec::new, |verb| named(Some(Topic::Verb), verb))
}

/// The name most like one that has no page; nothing where none is close.
#[must_use]
pub fn nearest(asked: &str) -> Option<&'static str> {
    let plain = |word: &str| word.chars().take(40).flat_map(char::to_lowercase).collect::<String>();
    let asked = plain(asked.trim());
    let length = asked.chars().count();
    let most = (length / 3).clamp(1, 3);
    // One sign is like any other: nothing is meant by that.
    let names = pages().iter().flat_map(Page::names).filter(|name| length > 1 && name.chars().count() > 1);
    let near = names.map(|name| (strsim::damerau_levenshtein(&plain(name), &asked), name)).min()?;
    if near.0 <= most { Some(near.1) } else { crate::steel::grades::nearest(&asked) }
}
