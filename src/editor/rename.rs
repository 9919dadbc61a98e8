//! A thing called otherwise, in every place that speaks of it; or why it cannot be.

use std::collections::BTreeMap;
use std::path::PathBuf;

use lsp_server::ErrorCode;
use lsp_types::{Position, PrepareRenameResponse, TextEdit};
use serde_json::{Value, json};

use crate::language::{self, Sort, Thing};
use crate::piece::LotId;
use crate::replay::Bench;
use crate::source::{Severity, Span};
use crate::workshop::Texts;

use super::analysis::Analysis;
use super::documents::{Documents, Known, View};
use super::names::{Places, places};
use super::reading::Reading;
use super::text::{Text, starts};
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

/// The edits that rename what stands at a place; `versioned` where the editor takes them with the versions of what is open.
///
/// # Errors
/// Why it cannot be renamed: the name is no name, or taken, or some place is in doubt.
pub fn rename(
    documents: &mut Documents,
    uri: &str,
    position: Position,
    new: &str,
    versioned: bool,
) -> Result<Value, Refused> {
    let Some(view) = documents.viewed(uri) else { return Ok(Value::Null) };
    let (_, thing) = named(&view, position)?;
    may_be_called(&view, thing, new)?;
    if !view.analysis.index().unread.is_empty() {
        return Err(refused("some lines cannot be read, and a name may stand in them: mend those first"));
    }
    let name = thing.name.clone();
    documents.plan_closed(&name);
    let Some(view) = documents.viewed(uri) else { return Ok(Value::Null) };
    let (_, thing) = named(&view, position)?;
    let places = places(documents, &view, thing);
    if places.doubtful {
        let message = format!("several pieces are called `{name}`, and a part is asked for by that name");
        return Err(refused(format!("{message}: it cannot be told which is meant")));
    }
    all_read(documents, &places, &name)?;
    proved(documents, &view, &places, new)?;
    edits(documents, &places, new, versioned)
}

/// The edits, file by file.
fn edits(documents: &Documents, places: &Places, new: &str, versioned: bool) -> Result<Value, Refused> {
    let mut files: BTreeMap<&str, Vec<(usize, usize)>> = BTreeMap::new();
    for (file, start, end) in &places.all {
        files.entry(file).or_default().push((*start, *end));
    }
    let (mut changes, mut all) = (BTreeMap::new(), Vec::new());
    for (file, stretches) in files {
        let target =
            documents.target(file).ok_or_else(|| refused(format!("`{file}` cannot be found again")))?;
        let lines = starts(target.text);
        let text = Text::new(target.text, &lines, documents.encoding);
        let edit = |(start, end): &(usize, usize)| TextEdit {
            range: text.range(*start, *end),
            new_text: new.to_owned(),
        };
        let edits: Vec<TextEdit> = stretches.iter().map(edit).collect();
        all.push(json!({ "textDocument": { "uri": target.uri, "version": target.version }, "edits": edits }));
        changes.insert(target.uri.as_str().to_owned(), edits);
    }
    Ok(if versioned { json!({ "documentChanges": all }) } else { json!({ "changes": changes }) })
}

/// Whether some line cannot be read, in a file that speaks of the thing, in which its name stands too.
fn all_read(documents: &Documents, places: &Places, name: &str) -> Result<(), Refused> {
    let part = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
    for known in documents.known().filter(|known| touched(known, places)) {
        let files = &known.reading.files;
        let indexes = std::iter::once(known.reading.index()).chain(known.reading.others());
        for span in indexes.flat_map(|index| &index.unread) {
            let Some((file, text, base)) = files.whole(*span) else { continue };
            let line = language::lines(text, base).line_at(span.start).unwrap_or(*span);
            if files.text(line).split(|c| !part(c)).any(|word| word == name) {
                let (row, why) =
                    (files.line(line), "cannot be read, and the name stands in it: mend that first");
                return Err(refused(format!("line {row} of `{file}` {why}")));
            }
        }
    }
    Ok(())
}

/// Whether a file, or one that it uses, would be edited.
fn touched(known: &Known, places: &Places) -> bool {
    let paths = known.reading.paths.iter().map(|(_, path)| path.display().to_string());
    paths.into_iter().any(|path| places.all.iter().any(|(file, _, _)| *file == path))
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

/// Tries the edits: a rename changes no finding and no step, in the document or in any other file that it touches.
fn proved(documents: &Documents, view: &View, places: &Places, new: &str) -> Result<(), Refused> {
    let mut texts: Texts = Texts::new();
    for known in documents.known() {
        for (base, path) in &known.reading.paths {
            let own = path.display().to_string();
            let mut edits = places.all.iter().rev().filter(|(file, _, _)| *file == own).peekable();
            if edits.peek().is_none() || texts.contains_key(path) {
                continue;
            }
            let mut made = known.reading.files.text_from(*base).to_owned();
            // From the end on, so that the places before an edit stay where they are.
            for (_, start, end) in edits {
                if made.get(*start..*end).is_some() {
                    made.replace_range(*start..*end, new);
                }
            }
            texts.insert(PathBuf::from(path), made);
        }
    }
    let not_the_same = |what: String| {
        Err(refused(format!("with `{new}` there {what} would not be the same: choose another name")))
    };
    if view.document.path.is_some()
        && let Some(tried) = documents.tried(view.document.uri.as_str(), &texts)
        && judged(&tried) != judged(view.analysis)
    {
        return not_the_same("the recipe".to_owned());
    }
    for known in documents.known().filter(|known| touched(known, places)) {
        let Some(path) = known.path else { continue };
        let tried = documents.tried_reading(path, &texts);
        if tried.is_none_or(|tried| standing(&tried) != standing(known.reading)) {
            return not_the_same(format!("`{}`", path.display()));
        }
    }
    Ok(())
}

/// What a rename leaves as it is, of a text that was worked.
fn judged(analysis: &Analysis) -> (usize, Vec<&'static str>) {
    let faults = analysis.findings.iter().filter(|f| f.severity() == Severity::Fault).map(|f| f.code.name());
    (analysis.plan.steps.len(), faults.collect())
}

/// And of one that was planned.
#[derive(PartialEq, Eq)]
struct Standing {
    faults: Vec<&'static str>,
    /// The bars that each step takes and gives.
    steps: Vec<(Vec<LotId>, Vec<LotId>)>,
    figures: Vec<u64>,
}

fn standing(reading: &Reading) -> Standing {
    let plan = &reading.plan;
    let mut bench = Bench::default();
    bench.lay_out(plan, &[]);
    // In which order figures are kept may hang on what they are called.
    let mut figures: Vec<u64> = bench.values.0.iter().map(|value| value.to_bits()).collect();
    figures.sort_unstable();
    Standing {
        faults: reading.found.iter().map(|f| f.code.name()).collect(),
        steps: plan.steps.iter().map(|s| (s.takes.clone(), s.gives.clone())).collect(),
        figures,
    }
}
