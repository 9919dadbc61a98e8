//! A thing called otherwise, in every place that speaks of it; or why it cannot be.

use std::collections::BTreeMap;
use std::path::PathBuf;

use lsp_server::ErrorCode;
use lsp_types::{Position, PrepareRenameResponse, TextEdit};
use serde_json::{Value, json};

use crate::language::{self, Sort, Thing};
use crate::source::{Severity, Span};
use crate::workshop::Texts;

use super::analysis::Analysis;
use super::documents::{Documents, View};
use super::names::{Places, located, places};
use super::wire::Refused;

fn refused(message: impl Into<String>) -> Refused {
    (ErrorCode::RequestFailed, message.into())
}

/// The words that would be renamed.
///
/// # Errors
/// Why nothing can be renamed there.
pub fn prepare(view: &View, position: Position) -> Result<PrepareRenameResponse, Refused> {
    let (words, thing) = named(view, position)?;
    let range = view.range(words).ok_or_else(|| refused("the name stands in another file"))?;
    Ok(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: thing.name.clone() })
}

fn named<'v>(view: &'v View, position: Position) -> Result<(Span, &'v Thing), Refused> {
    let index = view.analysis.index();
    let found = index.at(view.address(position));
    let none =
        "no name of yours stands here: pieces, `let`s, recipes, parameters and own steels can be renamed";
    let (words, _, thing) = found.ok_or_else(|| refused(none))?;
    if thing.made.is_empty() {
        return Err(refused(format!("nothing is called `{}` here: mend that first", thing.name)));
    }
    Ok((words, thing))
}

/// The edits that rename what stands at a place.
///
/// # Errors
/// Why it cannot be renamed: the name is no name, or taken, or some place is in doubt.
pub fn rename(documents: &Documents, uri: &str, position: Position, new: &str) -> Result<Value, Refused> {
    let Some(view) = documents.viewed(uri) else { return Ok(Value::Null) };
    let (_, thing) = named(&view, position)?;
    may_be_called(&view, thing, new)?;
    if !view.analysis.index().unread.is_empty() {
        return Err(refused("some lines cannot be read, and a name may stand in them: mend those first"));
    }
    let places = places(documents, &view, thing);
    if places.doubtful {
        let message =
            format!("several pieces are called `{}`, and a part is asked for by that name", thing.name);
        return Err(refused(format!("{message}: it cannot be told which is meant")));
    }
    let mut edits: BTreeMap<String, Vec<TextEdit>> = BTreeMap::new();
    for spot in &places.all {
        let place =
            located(documents, spot).ok_or_else(|| refused(format!("`{}` cannot be found again", spot.0)))?;
        let edit = TextEdit { range: place.range, new_text: new.to_owned() };
        edits.entry(place.uri.as_str().to_owned()).or_default().push(edit);
    }
    proved(documents, &view, &places, new)?;
    Ok(json!({ "changes": edits }))
}

/// Whether a name may be given to a thing: the language's own words and those taken already are refused.
fn may_be_called(view: &View, thing: &Thing, new: &str) -> Result<(), Refused> {
    if let Some(why) = language::no_name(new, thing.sort == Sort::Steel) {
        return Err(refused(why));
    }
    if new == thing.name {
        return Ok(());
    }
    let figure = |sort: Sort| match sort {
        Sort::Let => true,
        Sort::Param(kind) => !matches!(kind, "piece" | "steel"),
        _ => false,
    };
    let piece = |sort: Sort| matches!(sort, Sort::Piece | Sort::Kept | Sort::Param("piece"));
    let steel = |sort: Sort| matches!(sort, Sort::Steel | Sort::Param("steel"));
    let like = |a: Sort, b: Sort| {
        figure(a) && figure(b) || piece(a) && piece(b) || steel(a) && steel(b) || a == b && a == Sort::Recipe
    };
    // A figure or steel of the file is known inside recipes too.
    let meets = |other: &Thing| {
        other.scope == thing.scope || !piece(thing.sort) && (other.scope == 0 || thing.scope == 0)
    };
    let params = |other: &Thing| {
        matches!((thing.sort, other.sort), (Sort::Param(_), Sort::Param(_))) && other.scope == thing.scope
    };
    let clash = |other: &Thing| like(thing.sort, other.sort) && meets(other) || params(other);
    match view.analysis.index().things.iter().find(|other| other.name == new && clash(other)) {
        Some(other) => Err(refused(format!("`{new}` is {} already: choose another name", other.sort.word()))),
        None => Ok(()),
    }
}

/// Tries the edits: a rename changes no finding and no step.
fn proved(documents: &Documents, view: &View, places: &Places, new: &str) -> Result<(), Refused> {
    if view.document.path.is_none() {
        return Ok(());
    }
    let mut texts: Texts = Texts::new();
    for (base, path) in &view.analysis.paths {
        let own = path.display().to_string();
        let Some((_, text, _)) = view.analysis.files.whole(Span { start: *base, end: *base }) else {
            continue;
        };
        let mut made = text.to_owned();
        // From the end on, so that the places before an edit stay where they are.
        for (_, start, end) in places.all.iter().rev().filter(|(file, _, _)| *file == own) {
            if made.get(*start..*end).is_some() {
                made.replace_range(*start..*end, new);
            }
        }
        texts.insert(PathBuf::from(path), made);
    }
    let Some(tried) = documents.tried(view.document.uri.as_str(), &texts) else { return Ok(()) };
    if standing(&tried) == standing(view.analysis) {
        return Ok(());
    }
    Err(refused(format!("with `{new}` there the recipe would not be the same: choose another name")))
}

/// What a rename leaves as it is.
fn standing(analysis: &Analysis) -> (usize, Vec<&'static str>) {
    let faults = analysis.findings.iter().filter(|f| f.severity() == Severity::Fault).map(|f| f.code.name());
    (analysis.plan.steps.len(), faults.collect())
}
