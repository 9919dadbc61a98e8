//! What could stand where the cursor is.

use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionParams, CompletionResponse, CompletionTextEdit,
    Documentation, InsertTextFormat, MarkupContent, MarkupKind, TextEdit,
};

use crate::forge::{self, ENTRIES, Form, Key, WORDS, Word};
use crate::language::{Sort, Thing, beginnings, clauses_of, words_of};
use crate::manual::{Topic, clause_doc};
use crate::quantity::{Kind, Reading, UNITS, Unit, find_unit};
use crate::replay::RecipeDoc;
use crate::source::Files;
use crate::spec::{Spot, What};
use crate::steel::grades;
use crate::vocabulary::Sort as Words;

use super::context::{Context, context};
use super::documents::View;
use super::hover;
use super::logged;
use super::signature::{self, Called};

/// One thing that could stand there.
struct Offer {
    label: String,
    detail: String,
    doc: String,
    kind: CompletionItemKind,
    /// What is put in, where that is not the label; `$1` is where the cursor goes.
    insert: Option<String>,
}

fn offer(label: &str, kind: CompletionItemKind, detail: impl Into<String>) -> Offer {
    Offer { label: label.to_owned(), detail: detail.into(), doc: String::new(), kind, insert: None }
}

fn word(label: &str) -> Offer {
    offer(label, CompletionItemKind::KEYWORD, "")
}

/// All words of a sort.
fn words(sort: Words) -> impl Iterator<Item = Offer> {
    words_of(sort).map(|term| word(term.word))
}

/// The offers at a place.
pub fn complete(view: &View, asked: &CompletionParams, snippets: bool) -> Option<CompletionResponse> {
    let offset = view.text.offset(asked.text_document_position.position);
    if let Some((start, behind)) = used(view, offset) {
        return Some(CompletionResponse::Array(files(view, start, offset, behind)));
    }
    let context = context(view, offset)?;
    let offers = offers(view, &context);
    let range = view.text.range(context.start, offset);
    let item = |(order, offer): (usize, Offer)| {
        let insert = offer.insert.as_deref().unwrap_or(&offer.label);
        let new_text = if snippets { insert.to_owned() } else { insert.replace("$1", "") };
        let snippet = snippets && insert.contains("$1");
        CompletionItem {
            label: offer.label,
            kind: Some(offer.kind),
            detail: (!offer.detail.is_empty()).then_some(offer.detail),
            documentation: (!offer.doc.is_empty()).then_some(Documentation::MarkupContent(MarkupContent {
                kind: MarkupKind::Markdown,
                value: offer.doc,
            })),
            // The order in which they are thought of: what fits best comes first.
            sort_text: Some(format!("{order:04}")),
            insert_text_format: snippet.then_some(InsertTextFormat::SNIPPET),
            text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text })),
            ..CompletionItem::default()
        }
    };
    Some(CompletionResponse::Array(offers.into_iter().enumerate().map(item).collect()))
}

/// Where the name of a file begins that is being written behind `use` or `build of`, and whether its second quote is there.
fn used(view: &View, offset: usize) -> Option<(usize, bool)> {
    let text = view.text.text;
    let row = text.get(..offset)?.rfind('\n').map_or(0, |at| at + 1);
    let ahead = text.get(row..offset)?;
    let words = ahead.trim_start();
    let named = ["use", "build of"].iter().find_map(|word| words.strip_prefix(word));
    let named = named.filter(|rest| rest.starts_with([' ', '\t', '"']))?.trim_start();
    if named.strip_prefix('"').unwrap_or(named).contains(['"', '#']) {
        return None;
    }
    let row = text.get(offset..).and_then(|rest| rest.lines().next()).unwrap_or("");
    Some((offset - named.len(), row.contains('"')))
}

/// The recipes that lie in the folder of the document, as one names them there, in quotes.
fn files(view: &View, start: usize, offset: usize, closed: bool) -> Vec<CompletionItem> {
    let range = view.text.range(start, offset);
    let item = |(order, name): (usize, String)| CompletionItem {
        kind: Some(CompletionItemKind::FILE),
        sort_text: Some(format!("{order:04}")),
        filter_text: Some(format!("\"{name}")),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit {
            range,
            new_text: if closed { format!("\"{name}") } else { format!("\"{name}\"") },
        })),
        label: name,
        ..CompletionItem::default()
    };
    view.beside().into_iter().enumerate().map(item).collect()
}

fn offers(view: &View, at: &Context) -> Vec<Offer> {
    if view.analysis.is_log() {
        return logged_offers(view, at);
    }
    let Some(first) = at.words.first().copied() else { return begins(at) };
    let last = at.words.last().copied().unwrap_or(first);
    match at.block {
        Some("shop") => return entry(at, last),
        Some("target") => return test(view, at, last),
        _ => {}
    }
    match first {
        "let" | "repeat" if at.words.len() > 2 || first == "repeat" => {
            if figure(last) {
                units(None)
            } else {
                figures(view, at)
            }
        }
        "steel" if last == "like" => steels(view, at),
        "steel" if last == "=" => vec![word("like")],
        "steel" if at.comma => words(Words::Element).collect(),
        "steel" if figure(last) => units(Some(Kind::RATIO)),
        "target" if at.words.len() == 1 => pieces(view, at, u32::MAX),
        "give" if at.words.len() == 1 => pieces(view, at, view.analysis.address(at.line)),
        "price" => steels(view, at),
        _ => forge::word(first).map_or(Vec::new(), |verb| step(view, at, verb, last)),
    }
}

/// In a build log: its lines, the steps that can be measured behind `at`, and what is read of them.
fn logged_offers(view: &View, at: &Context) -> Vec<Offer> {
    match (at.words.as_slice(), at.words.last()) {
        ([], _) => ["at", "on", "note"].map(word).into(),
        (["at"], _) => {
            let step = |(name, words): (String, String)| {
                let insert = Some(format!("{name}: $1"));
                Offer { insert, ..offer(&name, CompletionItemKind::EVENT, words) }
            };
            logged::unread(view).into_iter().map(step).collect()
        }
        (["at", verb], _) => {
            let of = |(name, words): (String, String)| {
                let number = name.strip_prefix(verb)?.strip_prefix(' ')?;
                let insert = Some(format!("{number}: $1"));
                Some(Offer { insert, ..offer(number, CompletionItemKind::EVENT, words) })
            };
            logged::unread(view).into_iter().filter_map(of).collect()
        }
        (["at", _, _, ":", ..], Some(last)) => {
            forge::word("measure").map_or(Vec::new(), |measure| clauses(view, at, measure, last))
        }
        _ => Vec::new(),
    }
}

fn figure(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit() || c == '.')
        && word.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | '-'))
}

/// The words that a line can begin with.
fn begins(at: &Context) -> Vec<Offer> {
    match at.block {
        Some("shop") => ENTRIES
            .iter()
            .map(|e| offer(e.word, CompletionItemKind::PROPERTY, format!("such as `{}`", e.form)))
            .collect(),
        Some("target") => whats(),
        block => {
            let kind = CompletionItemKind::FUNCTION;
            let verbs = WORDS.iter().map(|w| Offer {
                doc: hover::page(Topic::Verb, w.word).unwrap_or_default(),
                ..offer(w.word, kind, w.doc)
            });
            verbs.chain(beginnings(block.unwrap_or("")).iter().map(|w| word(w))).collect()
        }
    }
}

fn whats() -> Vec<Offer> {
    let what = |w: What| {
        let kind = w.kind();
        offer(w.word(), CompletionItemKind::PROPERTY, format!("{}, such as {}", kind.name(), kind.example()))
    };
    What::ALL.into_iter().map(what).collect()
}

/// Units of a kind, or all of them.
fn units(kind: Option<Kind>) -> Vec<Offer> {
    let read = |u: &&Unit| !matches!(u.reading, Reading::Refused(_)) && kind.is_none_or(|k| k == u.kind);
    UNITS.iter().filter(read).map(|u| offer(u.word, CompletionItemKind::UNIT, u.kind.name())).collect()
}

fn entry(at: &Context, last: &str) -> Vec<Offer> {
    if figure(last) {
        return units(None);
    }
    let line = at.words.join(" ");
    let Some(entry) = ENTRIES.iter().find(|e| line.starts_with(e.word)) else {
        // `hot` of `hot zone` is there already.
        let rest = ENTRIES.iter().filter_map(|e| e.word.strip_prefix(&format!("{line} ")));
        return rest.map(word).collect();
    };
    if entry.word == "forge" {
        return words(Words::Fuel).chain(words(Words::Fire)).collect();
    }
    if last == "of" {
        let steels =
            grades::all().iter().map(|g| offer(&g.name, CompletionItemKind::CONSTANT, &g.designation));
        return [word("an hour")].into_iter().chain(words(Words::Fuel)).chain(steels).collect();
    }
    // The other words of its sample.
    let small =
        |w: &&str| w.chars().all(char::is_alphabetic) && !entry.word.contains(w) && find_unit(w).is_none();
    entry.form.split([' ', ',']).filter(|w| !w.is_empty()).filter(small).map(word).collect()
}

fn test(view: &View, at: &Context, last: &str) -> Vec<Offer> {
    let tested = at.words.iter().rev().find_map(|w| What::ALL.into_iter().find(|what| what.word() == *w));
    let place = matches!(at.words.iter().rev().nth(1), Some(&"from" | &"to" | &"at"));
    if last == "of" {
        let all = view.analysis.index().pieces();
        let parts = all.into_iter().map(|p| offer(p, CompletionItemKind::VARIABLE, "a part"));
        let asked =
            |spot: &Spot| tested == Some(if spot.mark().is_some() { What::Pitch } else { What::Hardness });
        let spots = Spot::ALL.into_iter().filter(asked);
        let spot = |s: Spot| offer(s.word(), CompletionItemKind::KEYWORD, s.doc());
        return parts.chain(spots.map(spot)).collect();
    }
    if figure(last) && !at.comma {
        return units(if place { Some(Kind::LENGTH) } else { tested.map(What::kind) });
    }
    match last {
        "from" | "to" | "at" => words(Words::End).collect(),
        ">" | "<" | "=" | "." | "+" | "-" | "*" => figures(view, at),
        _ if tested.is_none() => whats(),
        _ => ["everywhere", "on face", "of", ">=", "<=", "=", "from", "to", "at"].map(word).into(),
    }
}

/// Pieces that can be worked before an address.
fn pieces(view: &View, at: &Context, before: u32) -> Vec<Offer> {
    let scope = view.analysis.scope_at(view.analysis.address(at.line));
    let live = view.analysis.index().live(scope, before);
    live.into_iter().map(|p| offer(p, CompletionItemKind::VARIABLE, "a piece")).collect()
}

/// Names that stand for figures where the line is.
fn figures(view: &View, at: &Context) -> Vec<Offer> {
    let scope = view.analysis.scope_at(view.analysis.address(at.line));
    let known = view.analysis.index().things.iter().filter(|t| match t.sort {
        Sort::Let => t.scope == 0 || t.scope == scope,
        Sort::Param(kind) => t.scope == scope && scope > 0 && !matches!(kind, "piece" | "steel"),
        _ => false,
    });
    known.map(|t| offer(&t.name, CompletionItemKind::CONSTANT, t.sort.word())).collect()
}

fn steels(view: &View, at: &Context) -> Vec<Offer> {
    let scope = view.analysis.scope_at(view.analysis.address(at.line));
    let param = |t: &Thing| t.sort == Sort::Param("steel") && t.scope == scope && scope > 0;
    let own = view.analysis.index().things.iter().filter(|t| t.sort == Sort::Steel || param(t));
    let own = own.map(|t| offer(&t.name, CompletionItemKind::CONSTANT, t.sort.word()));
    let table = grades::all().iter().map(|g| Offer {
        doc: hover::steel(g),
        insert: g.name.contains(' ').then(|| format!("\"{}\"", g.name)),
        ..offer(&g.name, CompletionItemKind::CONSTANT, &g.designation)
    });
    own.chain(table).collect()
}

fn step(view: &View, at: &Context, verb: &'static Word, last: &str) -> Vec<Offer> {
    let here = view.analysis.address(at.line);
    match verb.form {
        Form::Work | Form::Tests | Form::Measure if at.words.len() == 1 => pieces(view, at, here),
        Form::Tests => test(view, at, last),
        Form::Stock => stock(view, at, last),
        Form::Stack => stack(view, at, last),
        Form::Work | Form::Measure => clauses(view, at, verb, last),
    }
}

fn stock(view: &View, at: &Context, last: &str) -> Vec<Offer> {
    if let Some(call) = signature::called(at) {
        return arguments(view, at, &call, last);
    }
    match last {
        "=" => view.analysis.plan.recipes.iter().map(recipe).collect(),
        "from" => vec![word("rack")],
        _ if figure(last) && !at.comma => {
            let shapes = ["bars", "bar", "square", "round", "plate"].map(word);
            let sized = at.words.contains(&"of");
            if sized { units(Some(Kind::LENGTH)) } else { shapes.into_iter().chain(units(None)).collect() }
        }
        "bars" | "bar" | "square" | "round" | "plate" => vec![word("of")],
        "of" => steels(view, at).into_iter().chain([word("layered")]).collect(),
        "layered" => steels(view, at),
        "x" | "+" | "-" | "*" => figures(view, at),
        _ if at.comma
            && at.words.contains(&"of")
            && !at.words.contains(&"layered")
            && !at.words.contains(&"x") =>
        {
            figures(view, at)
        }
        _ if at.comma && at.words.contains(&"of") => {
            let layered = at.words.contains(&"layered");
            let told = [Key::LostSkin, Key::Hardened, Key::Tempered].into_iter();
            let layers =
                [Key::Layers, Key::OnItself, Key::ShareOf, Key::Lies, Key::BarSizes, Key::On, Key::Patterned];
            let keys = told.chain(layers.into_iter().filter(|_| layered));
            let offers = keys.map(|key| Offer { doc: clause_doc(key), ..word(key.form()) });
            offers.chain(if layered { steels(view, at) } else { Vec::new() }).collect()
        }
        _ => Vec::new(),
    }
}

fn recipe(recipe: &RecipeDoc) -> Offer {
    let params: Vec<String> = recipe.params.iter().map(|p| format!("{}: {}", p.name, p.kind)).collect();
    Offer {
        doc: recipe.doc.clone(),
        insert: Some(format!("{}($1)", recipe.name)),
        ..offer(&recipe.name, CompletionItemKind::FUNCTION, format!("({})", params.join(", ")))
    }
}

/// Inside the brackets of a call.
fn arguments(view: &View, at: &Context, call: &Called, last: &str) -> Vec<Offer> {
    let recipe = view.analysis.plan.recipes.iter().find(|r| r.name == call.name);
    let params = recipe.map(|r| r.params.as_slice()).unwrap_or(&[]);
    if last == "=" {
        let to = at.words.iter().rev().nth(1).copied().unwrap_or("");
        return match params.iter().find(|p| p.name == to).map(|p| p.kind) {
            Some("steel") => steels(view, at),
            Some("piece") => pieces(view, at, view.analysis.address(at.line)),
            _ => figures(view, at),
        };
    }
    if figure(last) && !at.comma {
        return units(None);
    }
    let left = params.iter().filter(|p| !call.given.contains(&p.name.as_str()));
    left.map(|p| Offer {
        insert: Some(format!("{} = ", p.name)),
        doc: p.doc.clone(),
        ..offer(&p.name, CompletionItemKind::PROPERTY, p.kind)
    })
    .collect()
}

fn stack(view: &View, at: &Context, last: &str) -> Vec<Offer> {
    let here = view.analysis.address(at.line);
    if at.words.len() < 3 {
        return Vec::new();
    }
    if matches!(last, "=" | "alternate" | "of") || at.comma {
        let turns = (last == "=").then(|| word("alternate"));
        return turns.into_iter().chain(pieces(view, at, here)).collect();
    }
    if figure(last) {
        return vec![word("of")];
    }
    let canned = view.text.text.get(at.line..at.start).unwrap_or("").contains(" in can ");
    let keys: &[Key] = if canned {
        &[Key::Wall, Key::Powder, Key::Packed, Key::CanOff]
    } else {
        &[Key::InBundle, Key::InCan]
    };
    let laid = ["turned", "flipped", "mirrored", "trimmed", "side by side"].map(word);
    laid.into_iter().filter(|_| !canned).chain(keys.iter().map(|key| word(key.form()))).collect()
}

/// The clauses of the line so far of which a step takes no second one.
fn there(view: &View, at: &Context) -> Vec<Key> {
    let several = |key: &Key| matches!(key, Key::Size | Key::Item | Key::Test | Key::ShareOf);
    let words = view.text.text.get(at.line..at.start).unwrap_or("").trim_end().trim_end_matches(',');
    let mut files = Files::default();
    let read = files.add(String::new(), words.to_owned()).map(|base| clauses_of(&files, base));
    let keys = read.unwrap_or_default().into_iter().map(|used| used.key);
    keys.filter(|key| !several(key)).collect()
}

/// The words of the clauses that a verb takes and that do not stand there yet.
fn clauses(view: &View, at: &Context, verb: &Word, last: &str) -> Vec<Offer> {
    let takes = |key: Key| verb.clauses().any(|own| own == key);
    if figure(last) && !at.comma {
        // The clause that the figure stands in says which units fit.
        let before = at.words.iter().rev().nth(1).copied().unwrap_or("");
        let clause = verb.clauses().find(|k| k.word() == before);
        let kind = clause.and_then(|k| k.form().split_whitespace().find_map(find_unit)).map(|u| u.kind);
        let times = (takes(Key::Times)).then(|| word("times"));
        return times.into_iter().chain(units(kind)).collect();
    }
    let sized = find_unit(last).is_some() && at.words.iter().rev().nth(1).is_some_and(|w| figure(w));
    let mut made: Vec<Offer> = Vec::new();
    if sized && !at.comma {
        made.extend(words(Words::Direction).filter(|_| takes(Key::Size)));
        made.extend(takes(Key::Off).then(|| word("off")));
        made.extend(verb.form.eq(&Form::Measure).then(|| word("hot")));
    }
    match last {
        "with" => return words(Words::Tool).collect(),
        "on" if takes(Key::On) => return words(Words::Side).collect(),
        "in" if takes(Key::InMedium) => return words(Words::Medium).collect(),
        "off" => return ["each end", "the heel end", "the tip end"].map(word).into(),
        "to" if takes(Key::Onto) => return pieces(view, at, view.analysis.address(at.line)),
        "to" | "x" | "+" | "-" | "*" => return figures(view, at),
        "keep" => return Vec::new(),
        _ => {}
    }
    if verb.clauses().any(|k| k.word() == last && k.form().split_whitespace().any(figure)) {
        return figures(view, at);
    }
    let there = there(view, at);
    for key in verb.clauses().filter(|key| !there.contains(key)) {
        let form = key.form();
        // A clause that begins with a figure has no word to begin with: its form is shown, and put in.
        let label = if form.starts_with(key.word()) { key.word() } else { form };
        made.push(Offer {
            doc: clause_doc(key),
            ..offer(label, CompletionItemKind::KEYWORD, format!("`{form}`"))
        });
    }
    made
}
