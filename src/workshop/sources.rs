//! Where files come from.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

/// A file that is not there.
#[derive(Debug)]
pub struct Missing {
    /// The full path that it would have.
    pub full: PathBuf,
    /// Why it cannot be had, in a few words.
    pub why: String,
}

/// Files, wherever they are kept.
pub trait Sources {
    /// The full path of a file: however it is named, it has this one. The path `.` is the folder where one works.
    ///
    /// # Errors
    /// That it is not there.
    fn find(&self, path: &Path) -> Result<PathBuf, Missing>;

    /// The text of a file, by its full path.
    ///
    /// # Errors
    /// Why it cannot be read, in a few words about `it`.
    fn text(&self, full: &Path) -> Result<String, String>;

    /// The full path of the `shop.heat` that serves the recipes of a folder, where there is one.
    fn shop(&self, _folder: &Path) -> Option<PathBuf> {
        None
    }

    /// The full path of the file that says what lies on the rack, where one is named.
    fn rack(&self) -> Option<PathBuf> {
        None
    }

    /// The full paths of the recipes that lie in a folder, and where it is looked into `deep`ly in the folders beneath, in
    /// order: so many and no more. Links are not followed.
    fn recipes(&self, _folder: &Path, _deep: bool, _most: usize) -> Recipes {
        Recipes { files: Vec::new(), whole: true }
    }
}

/// The recipes of a folder.
#[derive(Debug, PartialEq, Eq)]
pub struct Recipes {
    /// Their full paths, in order.
    pub files: Vec<PathBuf>,
    /// Whether those are all.
    pub whole: bool,
}

/// Whether a file's name says that it is a recipe, or a build log.
#[must_use]
pub fn is_recipe(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().ends_with(".heat"))
}

/// Texts by the full paths of their files: sources that are kept in memory, rooted at nothing.
pub type Texts = BTreeMap<PathBuf, String>;

impl Sources for Texts {
    fn find(&self, path: &Path) -> Result<PathBuf, Missing> {
        let mut full = PathBuf::new();
        for part in path.components() {
            match part {
                Component::CurDir => {}
                Component::ParentDir if full.file_name().is_some() => {
                    full.pop();
                }
                part => full.push(part),
            }
        }
        let there = self.contains_key(&full) || full.as_os_str().is_empty();
        if there { Ok(full) } else { Err(Missing { full, why: "there is no such file".to_owned() }) }
    }

    fn text(&self, full: &Path) -> Result<String, String> {
        self.get(full).cloned().ok_or_else(|| "there is no such file".to_owned())
    }

    fn recipes(&self, folder: &Path, deep: bool, most: usize) -> Recipes {
        let lies =
            |path: &&PathBuf| if deep { path.starts_with(folder) } else { path.parent() == Some(folder) };
        let found: Vec<PathBuf> = self.keys().filter(|path| is_recipe(path)).filter(lies).cloned().collect();
        let whole = found.len() <= most;
        Recipes { files: found.into_iter().take(most).collect(), whole }
    }
}

/// Texts that go before those of other sources: what an editor has open, or what would come of an edit.
pub struct Over<'s> {
    /// Those that go before.
    pub texts: &'s Texts,
    /// The others.
    pub under: &'s dyn Sources,
}

impl Sources for Over<'_> {
    fn find(&self, path: &Path) -> Result<PathBuf, Missing> {
        match self.under.find(path) {
            Err(missing) if self.texts.contains_key(&missing.full) => Ok(missing.full),
            found => found,
        }
    }

    fn text(&self, full: &Path) -> Result<String, String> {
        self.texts.get(full).map_or_else(|| self.under.text(full), |text| Ok(text.clone()))
    }

    fn shop(&self, folder: &Path) -> Option<PathBuf> {
        self.under.shop(folder)
    }

    fn rack(&self) -> Option<PathBuf> {
        self.under.rack()
    }

    fn recipes(&self, folder: &Path, deep: bool, most: usize) -> Recipes {
        self.under.recipes(folder, deep, most)
    }
}
