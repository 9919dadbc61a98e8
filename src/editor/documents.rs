//! The documents that an editor has open, each with what is known of its text.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use lsp_types::{Location, Range, TextDocumentContentChangeEvent, Uri};

use crate::bug::{Bug, caught};
use crate::language::Memo;
use crate::quantity::Units;
use crate::source::Span;
use crate::workshop::{self, Missing, Over, Sources, Texts, Workshop};

use super::analysis::Analysis;
use super::text::{Encoding, Text, starts};
use super::uri;

/// An open document.
pub struct Document {
    /// As the editor names it.
    pub uri: Uri,
    /// Its file, where it is one.
    pub path: Option<PathBuf>,
    /// The editor's count of its changes.
    pub version: i32,
    text: String,
    starts: Vec<usize>,
    analysis: Option<Result<Analysis, String>>,
    /// What the lines of its last text said.
    memo: Rc<RefCell<Memo>>,
    /// Whether somebody types in it: what takes longer is left for when nobody does.
    typed: bool,
    /// Whether the editor has been told what is wrong with this text.
    pub told: bool,
}

/// A document with what is known of it.
pub struct View<'d> {
    /// The document.
    pub document: &'d Document,
    /// Its text.
    pub text: Text<'d>,
    /// What is known of it.
    pub analysis: &'d Analysis,
    open: &'d Documents,
}

/// What a text is worked with.
struct Desk {
    sources: Box<dyn Sources>,
    allow_outside: bool,
    units: Option<Units>,
}

impl Desk {
    /// Works a text through; open texts go before what the sources have.
    fn analysis(
        &self,
        path: Option<&Path>,
        text: &str,
        open: &Texts,
        memo: Rc<RefCell<Memo>>,
    ) -> Result<Analysis, String> {
        let name = path.and_then(Path::file_name).and_then(|name| name.to_str()).unwrap_or("unsaved");
        let (name, path, text) = (name.to_owned(), path.map(Path::to_path_buf), text.to_owned());
        let over = Over { texts: open, under: self.sources.as_ref() };
        let workshop = Workshop { sources: &over, allow_outside: self.allow_outside };
        Analysis::new(&workshop, workshop::Document { name, path, text }, self.units, memo)
    }
}

/// What is said of a bug.
pub fn told(bug: &Bug) -> String {
    format!("{bug}; please report it, with the recipe")
}

/// All open documents.
pub struct Documents {
    desk: Desk,
    open: BTreeMap<String, Document>,
    texts: Texts,
    /// What a column counts.
    pub encoding: Encoding,
}

impl Document {
    /// Why its text cannot be held, where it cannot.
    pub fn refused(&self) -> Option<&str> {
        self.analysis.as_ref()?.as_ref().err().map(String::as_str)
    }

    /// What is known of its text, where it was worked.
    pub fn known(&mut self) -> Option<&mut Analysis> {
        self.analysis.as_mut()?.as_mut().ok()
    }
}

impl Documents {
    /// No document yet.
    pub fn new(sources: Box<dyn Sources>, allow_outside: bool, units: Option<Units>) -> Self {
        let desk = Desk { sources, allow_outside, units };
        Documents { desk, open: BTreeMap::new(), texts: Texts::new(), encoding: Encoding::default() }
    }

    /// Takes a document in, or its text anew.
    pub fn put(&mut self, uri: Uri, version: i32, text: String) {
        let full = |path: PathBuf| self.desk.sources.find(&path).unwrap_or_else(|Missing { full, .. }| full);
        let path = uri::path_of(uri.as_str()).map(full);
        if let Some(path) = &path {
            self.texts.insert(path.clone(), text.clone());
        }
        let starts = starts(&text);
        let key = uri.as_str().to_owned();
        let known = self.open.remove(&key);
        let typed = known.is_some();
        let memo = known.map(|d| d.memo).unwrap_or_default();
        let made = Document { uri, path, version, text, starts, analysis: None, memo, typed, told: false };
        self.open.insert(key, made);
        self.stale();
    }

    /// Changes a document's text.
    pub fn change(&mut self, uri: &Uri, version: i32, changes: Vec<TextDocumentContentChangeEvent>) {
        let Some(document) = self.open.get(uri.as_str()) else { return };
        let mut text = document.text.clone();
        for change in changes {
            match change.range {
                None => text = change.text,
                // Whole texts were agreed on; a part is understood all the same.
                Some(range) => {
                    let lines = starts(&text);
                    let at = Text::new(&text, &lines, self.encoding);
                    let (start, end) = (at.offset(range.start), at.offset(range.end));
                    text.replace_range(start..end.max(start), &change.text);
                }
            }
        }
        self.put(uri.clone(), version, text);
    }

    /// Lets a document go; `true` where it was open.
    pub fn close(&mut self, uri: &Uri) -> bool {
        let Some(gone) = self.open.remove(uri.as_str()) else { return false };
        if let Some(path) = gone.path {
            self.texts.remove(&path);
        }
        self.stale();
        true
    }

    /// A text has changed: those that use others may read otherwise now.
    pub fn stale(&mut self) {
        for document in self.open.values_mut() {
            // By a `use`, or as a log by the line that names its recipe.
            let uses = ["use", "build"].into_iter().any(|word| document.text.contains(word));
            if uses || document.analysis.is_none() {
                (document.analysis, document.told) = (None, false);
            }
        }
    }

    /// The names of all open documents.
    pub fn uris(&self) -> Vec<String> {
        self.open.keys().cloned().collect()
    }

    /// A document, its text worked through.
    pub fn worked(&mut self, uri: &str) -> Option<&mut Document> {
        let document = self.open.get_mut(uri)?;
        if document.analysis.is_none() {
            let (path, text) = (document.path.as_deref(), document.text.as_str());
            let memo = std::mem::take(&mut document.memo);
            memo.borrow_mut().turn();
            memo.borrow_mut().hurry(document.typed);
            let made = caught(|| self.desk.analysis(path, text, &self.texts, memo.clone()));
            document.analysis = Some(match made {
                Ok(made) => {
                    document.memo = memo;
                    made
                }
                Err(bug) => Err(told(&bug)),
            });
        }
        Some(document)
    }

    /// Works a document once more, with all that was left for when nobody types; `true` where there was any.
    pub fn settle(&mut self, uri: &str) -> bool {
        let Some(document) = self.open.get_mut(uri).filter(|d| d.memo.borrow().owes()) else { return false };
        (document.typed, document.analysis) = (false, None);
        self.worked(uri).is_some()
    }

    /// A document and what is known of it.
    pub fn view(&mut self, uri: &str) -> Option<View<'_>> {
        self.worked(uri)?;
        self.viewed(uri)
    }

    /// The same for one that was worked before.
    pub fn viewed(&self, uri: &str) -> Option<View<'_>> {
        let document = self.open.get(uri)?;
        let analysis = document.analysis.as_ref()?.as_ref().ok()?;
        let text = analysis.files.text_from(analysis.own);
        let text = Text::new(text, &document.starts, self.encoding);
        Some(View { document, text, analysis, open: self })
    }

    /// What would be known of a document with other texts in the place of some.
    pub fn tried(&self, uri: &str, texts: &Texts) -> Option<Analysis> {
        let document = self.open.get(uri)?;
        let mut open = self.texts.clone();
        open.extend(texts.iter().map(|(path, text)| (path.clone(), text.clone())));
        let own = document.path.as_ref().and_then(|path| texts.get(path)).unwrap_or(&document.text);
        self.desk.analysis(document.path.as_deref(), own, &open, Rc::default()).ok()
    }
}

impl View<'_> {
    /// The address of an editor's place.
    pub fn address(&self, position: lsp_types::Position) -> u32 {
        self.analysis.address(self.text.offset(position))
    }

    /// The range of a span of the document itself.
    pub fn range(&self, span: Span) -> Option<Range> {
        let (start, end) = self.analysis.own_stretch(span)?;
        Some(self.text.range(start, end))
    }

    /// The full path of the file that a span stands in.
    pub fn path(&self, span: Span) -> Option<&PathBuf> {
        let (_, _, base) = self.analysis.files.whole(span)?;
        self.analysis.paths.iter().find(|(at, _)| *at == base).map(|(_, path)| path)
    }

    /// The place of a span, in whatever file it stands.
    pub fn location(&self, span: Span) -> Option<Location> {
        if let Some(range) = self.range(span) {
            return Some(Location { uri: self.document.uri.clone(), range });
        }
        let (_, text, base) = self.analysis.files.whole(span)?;
        let path = self.path(span)?;
        let lines = starts(text);
        let at = |a: u32| a.saturating_sub(base) as usize;
        let range = Text::new(text, &lines, self.open.encoding).range(at(span.start), at(span.end));
        // An open document keeps the name that its editor gave it.
        let open = self.open.open.values().find(|d| d.path.as_ref() == Some(path));
        let uri = open.map(|d| d.uri.clone()).or_else(|| uri::uri_of(path))?;
        Some(Location { uri, range })
    }
}
