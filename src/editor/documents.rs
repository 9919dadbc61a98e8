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
use super::folder::Folder;
use super::reading::Reading;
use super::text::{Encoding, Text, starts};
use super::uri;

/// Files that are offered behind `use` (project figure).
const BESIDE: usize = 200;

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

/// What is known of a file by its names, open or not.
#[derive(Clone, Copy)]
pub struct Known<'d> {
    /// Its file, where it is one.
    pub path: Option<&'d Path>,
    /// As the editor names it, where it is open.
    pub uri: Option<&'d Uri>,
    /// What is known.
    pub reading: &'d Reading,
}

/// A file that an editor can be led to.
pub struct Target<'d> {
    /// As the editor names it.
    pub uri: Uri,
    /// The editor's count of its changes, where it is open.
    pub version: Option<i32>,
    /// Its text.
    pub text: &'d str,
}

impl Desk {
    /// Reads a text and plans it, likewise.
    fn reading(&self, path: &Path, text: &str, open: &Texts) -> Result<Reading, String> {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or("unsaved").to_owned();
        let over = Over { texts: open, under: self.sources.as_ref() };
        let workshop = Workshop { sources: &over, allow_outside: self.allow_outside };
        let document = workshop::Document { name, path: Some(path.to_path_buf()), text: text.to_owned() };
        let memo = Rc::new(RefCell::new(Memo::default()));
        let job = workshop.plan(document, Vec::new(), &mut memo.borrow_mut())?;
        Ok(Reading::of(job, memo))
    }

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
    folder: Folder,
    /// Whether an open text is another than when the folder was read.
    moved: bool,
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
        let (open, texts, folder) = (BTreeMap::new(), Texts::new(), Folder::default());
        Documents { desk, open, texts, folder, moved: true, encoding: Encoding::default() }
    }

    /// Takes in folders that the editor works in, and lets others go.
    pub fn folders(&mut self, come: &[PathBuf], gone: &[PathBuf]) {
        self.folder.change(self.desk.sources.as_ref(), come, gone);
    }

    /// Reads what lies in the folders and is not open, and works through what is; gives a sentence for each thing that is
    /// left out.
    pub fn gather(&mut self) -> Vec<String> {
        for uri in self.uris() {
            self.worked(&uri);
        }
        let same = !std::mem::replace(&mut self.moved, false);
        self.folder.read(self.desk.sources.as_ref(), self.texts.keys().map(PathBuf::as_path), same)
    }

    /// Plans the recipes that are not open, but for those that can speak of nothing outside themselves: they use no file and
    /// do not have the word.
    pub fn plan_closed(&mut self, word: &str) {
        for (path, closed) in self.folder.closed_mut() {
            if closed.reading.is_none() && [word, "use"].iter().any(|word| closed.text.contains(word)) {
                let made = caught(|| self.desk.reading(path, &closed.text, &self.texts));
                closed.reading = Some(made.unwrap_or_else(|bug| Err(told(&bug))));
            }
        }
    }

    /// All files of which names are known: those that are open, and those of the folders that were planned.
    pub fn known(&self) -> impl Iterator<Item = Known<'_>> {
        let open = self.open.values().filter_map(|document| {
            let reading = &document.analysis.as_ref()?.as_ref().ok()?.reading;
            Some(Known { path: document.path.as_deref(), uri: Some(&document.uri), reading })
        });
        let closed = self.folder.closed().filter_map(|(path, closed)| {
            let reading = closed.reading.as_ref()?.as_ref().ok()?;
            Some(Known { path: Some(path), uri: None, reading })
        });
        open.chain(closed)
    }

    /// A file by its full path, or by its editor's name where it has none.
    pub fn target(&self, name: &str) -> Option<Target<'_>> {
        let is = |path: &Path| path.display().to_string() == name;
        let named = |d: &&Document| d.path.as_deref().map_or(d.uri.as_str() == name, is);
        if let Some(document) = self.open.values().find(named) {
            let (uri, version) = (document.uri.clone(), Some(document.version));
            return Some(Target { uri, version, text: &document.text });
        }
        let closed = self.folder.closed().find(|(path, _)| is(path)).map(|(p, c)| (p, c.text.as_str()));
        let used = || {
            self.known().find_map(|known| {
                let (base, path) = known.reading.paths.iter().find(|(_, path)| is(path))?;
                Some((path.as_path(), known.reading.files.text_from(*base)))
            })
        };
        let (path, text) = closed.or_else(used)?;
        Some(Target { uri: uri::uri_of(path)?, version: None, text })
    }

    /// Every recipe and build log that is open or lies in the folders: its editor's name, and its text.
    pub fn all(&self) -> impl Iterator<Item = (Uri, &str)> {
        let open = self.open.values().map(|d| (d.uri.clone(), d.text.as_str()));
        let closed = self.folder.closed();
        open.chain(closed.filter_map(|(path, closed)| Some((uri::uri_of(path)?, closed.text.as_str()))))
    }

    /// What reading would tell of a file with other texts in the place of some.
    pub fn tried_reading(&self, path: &Path, texts: &Texts) -> Option<Reading> {
        let mut open = self.texts.clone();
        open.extend(texts.iter().map(|(path, text)| (path.clone(), text.clone())));
        let own = open.get(path).map(String::as_str).or_else(|| self.folder.text(path))?;
        self.desk.reading(path, own, &open).ok()
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
        self.moved = true;
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
    /// What is known of it by its names.
    pub fn known(&self) -> Known<'_> {
        let Document { path, uri, .. } = self.document;
        Known { path: path.as_deref(), uri: Some(uri), reading: &self.analysis.reading }
    }

    /// The address of an editor's place.
    pub fn address(&self, position: lsp_types::Position) -> u32 {
        self.analysis.address(self.text.offset(position))
    }

    /// The other recipes of its folder and of those beneath, as a `use` in it names them.
    pub fn beside(&self) -> Vec<String> {
        let Some(own) = self.document.path.as_deref() else { return Vec::new() };
        let Some(folder) = own.parent() else { return Vec::new() };
        let found = self.open.desk.sources.recipes(folder, true, BESIDE).files;
        let mut all: Vec<PathBuf> = found.into_iter().chain(self.open.texts.keys().cloned()).collect();
        all.sort();
        all.dedup();
        let name = |path: &PathBuf| Some(path.strip_prefix(folder).ok()?.to_str()?.replace('\\', "/"));
        all.iter().filter(|path| *path != own).filter_map(name).collect()
    }

    /// The range of a span of the document itself.
    pub fn range(&self, span: Span) -> Option<Range> {
        let (start, end) = self.analysis.own_stretch(span)?;
        Some(self.text.range(start, end))
    }

    /// The full path of the file that a span stands in.
    pub fn path(&self, span: Span) -> Option<&PathBuf> {
        self.analysis.path(span)
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
