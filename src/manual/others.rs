//! The pages of what is neither verb nor clause: other lines, words of a target, entries of a shop.

use super::codes::{CodePage, Origin, codes};
use super::entries::{self, Entry};
use super::page::{Broken, Example, Page, Topic};
use super::sample::Sample;
use crate::forge::ENTRIES;
use crate::spec::{Spot, What};
use crate::vocabulary::Term;

/// Adds the codes that come from a place, and from one word of it; the recipe of the first that `shows` something is shown.
fn with_codes(mut page: Page, place: &str, own: Option<Origin>, shows: impl Fn(&str) -> bool) -> Page {
    let from = |c: &&CodePage| c.comes_from_place(place) || own.is_some_and(|own| c.from.contains(&own));
    page.codes = codes().iter().filter(from).collect();
    // What comes from this word alone is shown before what comes from any.
    page.codes.sort_by_key(|c| own.is_some_and(|own| !c.from.contains(&own)));
    page.broken = page.codes.iter().find(|c| shows(&c.fails.text())).copied().and_then(Broken::of);
    page
}

fn begins_a_line(text: &str, words: &str) -> bool {
    text.lines().any(|line| line.trim_start().strip_prefix(words).is_some_and(|rest| rest.starts_with(' ')))
}

/// Lines that are no steps: `things/lines.txt`.
pub fn lines() -> Vec<Page> {
    let of = |entry: Entry| {
        let mut page = Page::new(Topic::Line, entry.name, entry.field("means"));
        page.fact("form", entry.field("form"));
        page.example = Some(Example::Recipe(entry.sample));
        let place = match entry.name {
            "let" => "figures",
            "steel" => "steels",
            "shop" => "shop",
            "target" => "target",
            "repeat" | "recipe" | "give" | "use" => "recipes",
            "build" | "on" | "at" => "logs",
            _ => "lines",
        };
        with_codes(page, place, None, |text| begins_a_line(text, entry.name))
    };
    entries::read(include_str!("things/lines.txt")).into_iter().map(of).collect()
}

/// What a target can ask for, and where: the doc of the first from `target`, of the rest from `things/targets.txt`.
pub fn targets() -> Vec<Page> {
    let mut entries = entries::read(include_str!("things/targets.txt"));
    let mut pages = Vec::new();
    for what in What::ALL {
        let mut page = Page::new(Topic::Target, what.word(), what.doc());
        page.fact("kind", what.kind().name());
        page.fact("forms", format!("{0} >= …, {0} <= …, {0} = … +- …, {0} … .. …", what.word()));
        let found = entries.iter().position(|e| e.name == what.word());
        page.example = found.map(|at| Example::Recipe(entries.remove(at).sample));
        pages.push(with_codes(page, "target", Some(Origin::Test(what.word())), |text| {
            begins_a_line(text, what.word())
        }));
    }
    for entry in entries {
        let spot = Spot::ALL.into_iter().find(|spot| spot.word() == entry.name);
        let mut page =
            Page::new(Topic::Target, entry.name, spot.map_or_else(|| entry.field("means"), Spot::doc));
        page.example = Some(Example::Recipe(entry.sample));
        pages.push(with_codes(page, "target", None, |text| text.split_whitespace().any(|w| w == entry.name)));
    }
    pages
}

/// What smiths call things, and where it is read here: `things/trade.txt`.
pub fn trade() -> Vec<Page> {
    let of = |entry: Entry| {
        let mut page = Page::new(Topic::Trade, entry.name, entry.field("means"));
        page.also = entry.field("also").split(';').map(|name| name.trim().to_owned()).collect();
        let see = entry.field("see").split(", ").map(|name| format!("`explain {name}`"));
        page.fact("see", see.collect::<Vec<_>>().join(", "));
        page.example = Some(Example::Recipe(entry.sample));
        page
    };
    entries::read(include_str!("things/trade.txt")).into_iter().map(of).collect()
}

/// What a shop can state.
pub fn shop() -> Vec<Page> {
    let of = |entry: &Term| {
        let (word, sample) = (entry.word, entry.form);
        let mut page = Page::new(Topic::Shop, word, entry.doc);
        page.fact("form", sample);
        page.example = Some(Example::Recipe(Sample::of(format!(
            "shop {{\n  {sample}\n}}\nstock bar = 1 bar of 1084, 12 x 40 x 200 mm\ndraw bar to 9 mm thick\n"
        ))));
        with_codes(page, "shop", Some(Origin::Entry(word)), |text| begins_a_line(text, word))
    };
    ENTRIES.iter().map(of).collect()
}
