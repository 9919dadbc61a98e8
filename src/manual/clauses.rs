//! The pages of clauses: from the keys of `forge`, each with a line out of a recipe that runs.

use super::codes::{Origin, codes};
use super::entries::examples;
use super::page::{Broken, Example, Page, Part, Topic};
use super::sample::Sample;
use crate::forge::{Key, WORDS, Word};
use crate::language::{Used, clauses_of};
use crate::quantity::{Kind, find_unit};
use crate::source::Files;
use crate::steel::grades;

/// A page for each clause. Two clauses may go by one word, as `to 12 mm thick` and `to NAME` do.
pub fn pages() -> Vec<Page> {
    let samples: Vec<Sample> = examples().into_iter().map(|e| e.sample).collect();
    Key::ALL.iter().map(|key| page(*key, &samples)).collect()
}

/// A clause as the page of a verb shows it: as the verb's own recipe writes it, else in its usual form.
pub fn part(key: Key, own: &[String]) -> Part {
    let usual = [key.form().to_owned()];
    let forms = if own.is_empty() { usual.to_vec() } else { own.to_vec() };
    // Names and words are told apart by the usual forms only.
    let figures = forms.iter().any(|f| f.contains(|c: char| c.is_ascii_digit()));
    let takes =
        if figures { takes(forms.iter().map(String::as_str)) } else { takes(key.forms().iter().copied()) };
    Part { word: key.word(), takes, forms, doc: doc(key) }
}

/// How a verb's clause is written in a recipe, each size of it once.
pub fn written(recipe: &str, word: &Word, key: Key) -> Vec<String> {
    let (files, used) = clauses(recipe);
    let mut forms: Vec<String> = Vec::new();
    for used in used.iter().filter(|u| u.key == key && u.word.word == word.word) {
        let form = files.text(used.span).trim().to_owned();
        if !forms.iter().any(|other| ending(other) == ending(&form)) {
            forms.push(form);
        }
    }
    forms
}

/// The word that a form ends in, where it is none of its figures: `9 mm thick` and `8 mm thick` are one form.
fn ending(form: &str) -> Option<&str> {
    form.split(' ').next_back().filter(|word| word.parse::<f64>().is_err())
}

/// A key's doc comment as other docs are written: small, no full stop.
pub fn doc(key: Key) -> String {
    let text = key.doc().trim_end_matches('.');
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_lowercase().chain(chars).collect())
}

fn page(key: Key, samples: &[Sample]) -> Page {
    let mut page = Page::new(Topic::Clause, key.word(), doc(key));
    let verbs: Vec<&str> =
        WORDS.iter().filter(|w| w.clauses().any(|own| own == key)).map(|w| w.word).collect();
    page.fact("forms", key.forms().join(" · "));
    page.fact("takes", takes(key.forms().iter().copied()));
    page.fact("verbs", verbs.join(", "));
    if let Some((line, sample)) = used(key, samples) {
        page.fact("such as", line);
        page.example = Some(Example::Recipe(sample));
    }
    page.codes = codes().iter().filter(|c| c.from.contains(&Origin::With(key.word()))).collect();
    let mut own = page.codes.iter();
    page.broken = own.find(|c| says(&c.fails, key)).copied().and_then(Broken::of);
    page
}

/// The clauses of a recipe.
fn clauses(recipe: &str) -> (Files, Vec<Used>) {
    let mut files = Files::default();
    let base = files.add("example", recipe).unwrap_or_else(|| bug!("an example has no address"));
    let used = clauses_of(&files, base);
    (files, used)
}

fn says(sample: &Sample, key: Key) -> bool {
    clauses(&sample.text()).1.iter().any(|used| used.key == key)
}

/// The first line of the examples that has a clause in it, and its recipe.
fn used(key: Key, samples: &[Sample]) -> Option<(String, Sample)> {
    samples.iter().find_map(|sample| {
        let (files, used) = clauses(&sample.text());
        let found = used.iter().find(|used| used.key == key)?;
        Some((files.text(found.step).trim().to_owned(), sample.clone()))
    })
}

/// The kinds of figure and name that a clause takes, read off its forms.
fn takes<'f>(forms: impl Iterator<Item = &'f str>) -> String {
    let mut found: Vec<&str> = Vec::new();
    for form in forms {
        for kind in kinds(form) {
            if !found.contains(&kind) {
                found.push(kind);
            }
        }
    }
    if found.is_empty() { "the word alone".to_owned() } else { found.join(", ") }
}

fn kinds(form: &str) -> Vec<&'static str> {
    let words: Vec<&str> = form.split([' ', ',']).filter(|w| !w.is_empty()).collect();
    let mut found = Vec::new();
    for (i, word) in words.iter().enumerate() {
        let next = words.get(i + 1).copied().unwrap_or("");
        let name = word.chars().all(|c| c.is_ascii_uppercase());
        if word.parse::<f64>().is_ok() {
            match find_unit(next) {
                _ if grades::find(word).is_some() => found.push("a steel"),
                Some(unit) => found.push(unit.kind.name()),
                // `3 x 40 x 120 mm`: the last unit serves all.
                None if next == "x" => found.push(Kind::LENGTH.name()),
                None if word.contains('.') => found.push("a bare number"),
                None => found.push("a count"),
            }
        } else if name && (i == 0 || words.get(i - 1).is_none_or(|w| w.parse::<f64>().is_err())) {
            found.push("a name");
        }
    }
    if found.is_empty() && form.split(' ').count() > 1 {
        // `on edge`, `in oil`, `into low, mid, top`: the words behind the first.
        found.push(if form.contains(',') { "names" } else { "a word" });
    }
    found
}
