//! The recipes that lie in the editor's folders and are not open. They are read when something is asked that concerns all of
//! them; what is known of them is kept as long as no text is another.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::workshop::{Recipes, Sources};

use super::reading::Reading;

/// The most files that are looked into, and the most that they may say together (project figures).
const MOST_FILES: usize = 1000;
const MOST_BYTES: usize = 32 << 20;

/// A recipe that is not open.
pub struct Closed {
    /// Its text.
    pub text: String,
    /// What is known of it, where that was asked for; why it cannot be held, where it cannot.
    pub reading: Option<Result<Reading, String>>,
}

/// The folders of an editor, and the recipes in them that are not open.
#[derive(Default)]
pub struct Folder {
    /// The folders that the editor works in.
    tops: Vec<PathBuf>,
    closed: BTreeMap<PathBuf, Closed>,
}

impl Folder {
    /// Takes folders in, and lets others go.
    pub fn change(&mut self, sources: &dyn Sources, come: &[PathBuf], gone: &[PathBuf]) {
        let full = |path: &PathBuf| sources.find(path).ok();
        let gone: Vec<PathBuf> = gone.iter().filter_map(full).collect();
        self.tops.retain(|top| !gone.contains(top));
        for top in come.iter().filter_map(full) {
            if !self.tops.contains(&top) {
                self.tops.push(top);
            }
        }
    }

    /// Reads what lies there now, but for what is `open`; gives a sentence for each thing that is left out. What is known of
    /// the files is let go where one says something else than before, or where the open ones are not the `same` as then.
    pub fn read<'p>(
        &mut self,
        sources: &dyn Sources,
        open: impl Iterator<Item = &'p Path> + Clone,
        same: bool,
    ) -> Vec<String> {
        let mut left = Vec::new();
        let mut was = std::mem::take(&mut self.closed);
        let (files, whole) = self.listed(sources, open.clone());
        if !whole {
            left.push(format!("not every recipe of the folder was looked into: at most {MOST_FILES} are"));
        }
        let (mut bytes, mut same) = (0, same);
        for path in files.into_iter().filter(|path| !open.clone().any(|open| open == path)) {
            match sources.text(&path) {
                Ok(text) if bytes + text.len() > MOST_BYTES => {
                    left.push(format!("`{}` and what comes behind it was not looked into: together the recipes of the folder are larger than {} MiB", path.display(), MOST_BYTES >> 20));
                    break;
                }
                Ok(text) => {
                    bytes += text.len();
                    let known = was.remove(&path).filter(|known| known.text == text);
                    same &= known.is_some();
                    self.closed.insert(path, known.unwrap_or(Closed { text, reading: None }));
                }
                Err(why) => left.push(format!("`{}` cannot be read: {why}", path.display())),
            }
        }
        if !same || !was.is_empty() {
            self.closed.values_mut().for_each(|closed| closed.reading = None);
        }
        left
    }

    /// The recipes of the folders, and of those that open documents lie in; whether those are all.
    fn listed<'p>(
        &self,
        sources: &dyn Sources,
        open: impl Iterator<Item = &'p Path>,
    ) -> (Vec<PathBuf>, bool) {
        let tops = self.tops.iter().map(|top| (top.as_path(), true));
        let beside = open.filter_map(Path::parent).filter(|p| !self.tops.iter().any(|t| p.starts_with(t)));
        let mut beside: Vec<&Path> = beside.collect();
        beside.dedup();
        let (mut files, mut all) = (Vec::new(), true);
        for (folder, deep) in tops.chain(beside.into_iter().map(|folder| (folder, false))) {
            let Recipes { files: found, whole } = sources.recipes(folder, deep, MOST_FILES);
            all &= whole;
            files.extend(found);
        }
        files.sort();
        files.dedup();
        all &= files.len() <= MOST_FILES;
        files.truncate(MOST_FILES);
        (files, all)
    }

    /// The recipes that are not open, by their full paths.
    pub fn closed(&self) -> impl Iterator<Item = (&Path, &Closed)> {
        self.closed.iter().map(|(path, closed)| (path.as_path(), closed))
    }

    /// The same, to put down what is known of them.
    pub fn closed_mut(&mut self) -> impl Iterator<Item = (&Path, &mut Closed)> {
        self.closed.iter_mut().map(|(path, closed)| (path.as_path(), closed))
    }

    /// The text of one of them.
    pub fn text(&self, path: &Path) -> Option<&str> {
        self.closed.get(path).map(|closed| closed.text.as_str())
    }
}
