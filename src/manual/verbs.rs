//! The pages of verbs: from the word table, with a recipe each out of `things/verbs.txt`.

use super::clauses::{part, written};
use super::codes::{CodePage, code_of, codes};
use super::entries::{self, Entry};
use super::page::{Broken, Example, Page, Topic};
use crate::forge::{WORDS, Word};

/// A page for each verb.
pub fn pages() -> Vec<Page> {
    let examples = entries::examples();
    WORDS.iter().map(|word| page(word, examples.iter().find(|e| e.name == word.word))).collect()
}

fn page(word: &'static Word, example: Option<&Entry>) -> Page {
    let mut page = Page::new(Topic::Verb, word.word, word.doc);
    for (nth, form) in word.forms.iter().enumerate() {
        page.fact(if nth == 0 { "forms" } else { "" }, *form);
    }
    page.fact("such as", word.example);
    page.fact("smiths also say", word.said.join(", "));
    let own = example.map(|e| e.sample.text()).unwrap_or_default() + word.example;
    page.parts = word.clauses().map(|key| part(key, &written(&own, word, key))).collect();
    page.codes = codes().iter().filter(|c| c.comes_from(word)).collect();
    // What is the verb's own comes first.
    page.codes.sort_by_key(|c| c.reach());
    page.example = example.map(|e| Example::Recipe(e.sample.clone()));
    page.broken = example.and_then(slipped).or_else(|| shown(word, &page.codes).and_then(Broken::of));
    page
}

/// A slip in the verb's own example, where its entry names one.
fn slipped(entry: &Entry) -> Option<Broken> {
    let code = code_of(entry.field("code"))?;
    let (right, wrong) = entry.field("slip").split_once(" => ")?;
    let fails = entry.sample.mended(&[(right.to_owned(), wrong.to_owned())])?;
    let edits = vec![(wrong.to_owned(), right.to_owned())];
    Some(Broken { code: code.code, asked_by: code.asked_by, fails, mended: entry.sample.clone(), edits })
}

/// A code of the verb whose recipe has the verb in it.
fn shown(word: &Word, codes: &[&'static CodePage]) -> Option<&'static CodePage> {
    let says =
        |c: &&&CodePage| c.fails.text().lines().any(|l| l.split_whitespace().next() == Some(word.word));
    codes.iter().find(says).copied()
}
