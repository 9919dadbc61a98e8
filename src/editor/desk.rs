//! What the server asks of the world outside: files.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::language::Uses;
use crate::source::{Diagnostic, Files};

/// The texts of open documents, by the full path of their files: they go before what is on disk.
pub type Open = BTreeMap<PathBuf, String>;

/// A document with every file that it uses.
pub struct Loaded {
    /// The texts.
    pub files: Files,
    /// The address of the document's first byte.
    pub own: u32,
    /// That of the recipe: of a build log, the file that it names; `None` where that cannot be read.
    pub recipe: Option<u32>,
    /// Where the used files stand.
    pub uses: Uses,
    /// What is wrong with a `use`.
    pub faults: Vec<Diagnostic>,
    /// The full path of each file that has one.
    pub paths: Vec<(u32, PathBuf)>,
}

/// Reads files for the server.
pub trait Desk {
    /// Takes a document's text, and reads what it uses: beside its file, or in the current folder where it has none.
    ///
    /// # Errors
    /// A sentence that says why it cannot be held.
    fn load(&self, path: Option<&Path>, text: &str, open: &Open) -> Result<Loaded, String>;

    /// The full path of a file, as [`Desk::load`] tells it; the file need not be there.
    fn full(&self, path: &Path) -> PathBuf;
}
