//! The words of steps and shops, for the vocabulary.

use super::key::{Key, Pattern};
use super::shop::{ENTRIES, FUELS};
use super::tool_kind::ToolKind;
use crate::forge::WORDS;
use crate::vocabulary::{Sort, Term, plain, reserved};

/// Every word that a step or an entry of a shop can have in it, names and figures aside.
pub fn terms() -> impl Iterator<Item = Term> {
    let verbs = WORDS.iter().map(|w| Term::new(w.word, Sort::Verb).told(w.example, w.doc));
    let inside =
        reserved(Sort::Clause, &["alternate", "at", "from", "hot", "in", "into", "keep", "off", "on"])
            .chain(reserved(Sort::Clause, &["trimmed", "with", "both", "x"]))
            .chain(plain(
                Sort::Clause,
                &[
                    "across",
                    "below",
                    "both edges",
                    "bow",
                    "by",
                    "deep",
                    "edge",
                    "height",
                    "holes",
                    "can",
                    "hollow",
                    "in bundle",
                    "outline",
                    "over",
                    "packed",
                    "point",
                    "powder",
                    "rods",
                    "side by side",
                    "slices",
                    "spine",
                    "the",
                    "then",
                    "through",
                    "uneven",
                    "wall",
                    "wheel",
                ],
            ))
            .chain(plain(
                Sort::Clause,
                &["layered", "layers", "lost", "skin", "hardened", "tempered", "patterned", "for"],
            ))
            .chain([Term::new("times", Sort::Clause), Term::new("turns", Sort::Clause).also(&["turn"])])
            .chain(reserved(Sort::Joint, &["of", "per", "to", "off"]))
            .chain(plain(Sort::Joint, &["end", "rack"]));
    let parts = plain(Sort::Direction, &["thick", "wide", "long", "square", "round", "octagon"])
        .chain([
            Term::new("bar", Sort::Shape).also(&["bars"]),
            Term::new("plate", Sort::Shape).also(&["plates"]),
        ])
        .chain([Term::new("square", Sort::Shape).also(&["squares"])])
        .chain([
            Term::new("round", Sort::Shape).also(&["rounds"]),
            Term::new("each", Sort::WhichEnd).reserved(),
        ])
        .chain(plain(Sort::WhichEnd, &["heel", "tip"]))
        .chain(plain(Sort::Side, &["edge", "end", "face"]))
        .chain(plain(
            Sort::Medium,
            &["oil", "still oil", "moved oil", "fast oil", "water", "brine", "air", "plates"],
        ))
        .chain(plain(Sort::Faces, &["both sides", "left side", "right side"]))
        .chain(reserved(Sort::Laid, &["turned", "flipped"]))
        .chain(plain(Sort::Laid, &["mirrored", "below", "outside", "ground off", "peeled"]))
        .chain(ToolKind::ALL.into_iter().map(|tool| Term::new(tool.word(), Sort::Tool)));
    let stated = plain(Sort::Fuel, FUELS)
        .chain(plain(Sort::Fire, &["neutral", "oxidising", "reducing"]))
        .chain(plain(
            Sort::Stated,
            &["an hour", "labour", "labor", "blows", "face", "none", "opening", "strokes"],
        ))
        .chain(plain(Sort::Joint, &["heat", "min", "day"]));
    verbs.chain(keys()).chain(inside).chain(parts).chain(ENTRIES.iter().copied()).chain(stated)
}

/// The clauses whose first word is all that tells them.
fn keys() -> impl Iterator<Item = Term> {
    Key::ALL.iter().flat_map(|key| {
        let sort = match key.pattern() {
            Pattern::Figure => Some(Sort::Figured),
            Pattern::Flag => Some(Sort::Flag),
            Pattern::Own => None,
        };
        let whole = key.pattern() == Pattern::Flag;
        let words = key
            .forms()
            .iter()
            .filter_map(move |form| if whole { Some(*form) } else { form.split(' ').next() });
        words.zip(key.forms()).filter_map(move |(word, form)| {
            let term = Term::new(word, sort?).told(form, key.doc());
            Some(if key.reserved() { term.reserved() } else { term })
        })
    })
}
