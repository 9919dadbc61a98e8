//! Where a name is given, and every place that speaks of the same thing: in the document, the files that it uses, the other
//! open documents, and the recipes of the folders that are not open.

use std::collections::BTreeSet;

use lsp_types::{GotoDefinitionParams, GotoDefinitionResponse, Location, Position};

use crate::language::{self, Index, Sort, Thing};
use crate::source::Span;

use super::documents::{Documents, Known, View};
use super::logged;
use super::text::{Text, starts};

/// Where the name at a place is given.
pub fn definition(view: &View, asked: &GotoDefinitionParams) -> Option<GotoDefinitionResponse> {
    let at = view.address(asked.text_document_position_params.position);
    let index = view.analysis.index();
    if let Some((_, base)) = index.uses.iter().find(|(span, _)| span.start <= at && at <= span.end) {
        // The name of a used file leads to its first line.
        let base = (*base)?;
        let location = view.location(Span { start: base, end: base })?;
        return Some(GotoDefinitionResponse::Array(vec![location]));
    }
    if view.analysis.is_log() {
        let offset = view.text.offset(asked.text_document_position_params.position);
        let spans: Vec<Span> = match logged::at(view, offset) {
            Some((_, steps)) => steps.iter().map(|step| step.span).collect(),
            // The name of the recipe leads to its first line.
            None => {
                let (_, words) = language::build_of(&view.analysis.files, view.analysis.own)?;
                let start = view.analysis.recipe().filter(|_| words.start <= at && at <= words.end)?;
                vec![Span { start, end: start }]
            }
        };
        let locations: Vec<Location> = spans.iter().filter_map(|span| view.location(*span)).collect();
        return (!locations.is_empty()).then_some(GotoDefinitionResponse::Array(locations));
    }
    let (words, _, thing) = index.at(at)?;
    // In `stack p = p` the second is what stood before the line.
    let line = view.analysis.lines().line_at(words.start).map_or(words.start, |line| line.start);
    let made = given(thing, words, line);
    let locations: Vec<Location> = made.iter().filter_map(|span| view.location(*span)).collect();
    (!locations.is_empty()).then_some(GotoDefinitionResponse::Array(locations))
}

/// Where the name of a thing is given, as far as a use of it goes. A piece may be given its name again and again: a use means
/// the last before it, a part any.
fn given(thing: &Thing, at: Span, line: u32) -> Vec<Span> {
    if !matches!(thing.sort, Sort::Piece | Sort::Kept) {
        return thing.made.clone();
    }
    if thing.made.contains(&at) {
        return vec![at];
    }
    let before = thing.made.iter().rev().find(|made| made.end <= line);
    before.or(thing.made.first()).map(|span| vec![*span]).unwrap_or_default()
}

/// A place in a file, however it was reached: the file's name, and the bytes.
type Spot = (String, usize, usize);

/// Every place that speaks of a thing.
#[derive(Default)]
pub struct Places {
    /// Where its name is given.
    pub made: BTreeSet<Spot>,
    /// Those, and where it is used.
    pub all: BTreeSet<Spot>,
    /// Whether some place may mean another thing.
    pub doubtful: bool,
}

/// A span as a place in a file.
fn spot(known: &Known, span: Span) -> Option<Spot> {
    let (_, _, base) = known.reading.files.whole(span)?;
    let file = match known.reading.path(span) {
        Some(path) => path.display().to_string(),
        None => known.uri?.as_str().to_owned(),
    };
    Some((file, span.start.checked_sub(base)? as usize, span.end.checked_sub(base)? as usize))
}

/// All places of a thing of a view, over all open documents, the recipes of the folders, and the files that they use.
pub fn places(documents: &Documents, view: &View, thing: &Thing) -> Places {
    let mut places = Places::default();
    let take = |places: &mut Places, known: &Known, thing: &Thing| {
        let before = places.all.len();
        places.doubtful |= thing.doubtful;
        places.made.extend(thing.made.iter().filter_map(|s| spot(known, *s)));
        let all = thing.made.iter().chain(&thing.used).chain(&thing.offcuts);
        places.all.extend(all.filter_map(|s| spot(known, *s)));
        places.all.len() > before
    };
    take(&mut places, &view.known(), thing);
    // Each round may bring a place by which the next finds more: until none does.
    loop {
        let mut more = false;
        for known in documents.known() {
            let indexes: Vec<&Index> =
                std::iter::once(known.reading.index()).chain(known.reading.others()).collect();
            for other in indexes.into_iter().flat_map(|index| &index.things).filter(|t| t.name == thing.name)
            {
                let same = |s: &Span| spot(&known, *s).is_some_and(|s| places.made.contains(&s));
                if other.made.iter().any(same) {
                    more |= take(&mut places, &known, other);
                }
            }
        }
        if !more {
            return places;
        }
    }
}

/// Every place that speaks of what the name at a place means.
pub fn references(
    documents: &mut Documents,
    uri: &str,
    position: Position,
    with_own: bool,
) -> Option<Vec<Location>> {
    let name = documents.viewed(uri).and_then(|view| {
        let (_, _, thing) = view.analysis.index().at(view.address(position))?;
        Some(thing.name.clone())
    })?;
    documents.plan_closed(&name);
    let view = documents.viewed(uri)?;
    let (_, _, thing) = view.analysis.index().at(view.address(position))?;
    let places = places(documents, &view, thing);
    let wanted = places.all.iter().filter(|spot| with_own || !places.made.contains(*spot));
    let located = wanted.filter_map(|(file, start, end)| {
        let target = documents.target(file)?;
        let lines = starts(target.text);
        let range = Text::new(target.text, &lines, documents.encoding).range(*start, *end);
        Some(Location { uri: target.uri, range })
    });
    Some(located.collect())
}
