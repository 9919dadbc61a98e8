//! The tables of this room: texts of short entries, read once. An entry is `# name`, then lines `key: text`, then the files of
//! its recipe, each line of them four blanks in; `file NAME` names the file that follows, and the first is asked about.

use super::sample::{File, Sample};

/// One entry of a table.
#[derive(Debug)]
pub struct Entry {
    /// Its name.
    pub name: &'static str,
    /// What is said of it, in order.
    pub fields: Vec<(&'static str, &'static str)>,
    /// Its recipe.
    pub sample: Sample,
}

impl Entry {
    /// What is said under a key; nothing where the key is missing.
    pub fn field(&self, key: &str) -> &'static str {
        self.fields.iter().find(|(k, _)| *k == key).map_or("", |(_, text)| *text)
    }

    /// Everything that is said under a key.
    pub fn all(&self, key: &'static str) -> impl Iterator<Item = &'static str> + '_ {
        self.fields.iter().filter(move |(k, _)| *k == key).map(|(_, text)| *text)
    }
}

/// The name of a recipe that stands alone.
const ALONE: &str = "recipe.heat";

/// Reads a table.
pub fn read(table: &'static str) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    for line in table.lines() {
        if let Some(name) = line.strip_prefix("# ") {
            entries.push(Entry { name, fields: Vec::new(), sample: Sample::default() });
            continue;
        }
        let Some(entry) = entries.last_mut() else { continue };
        let files = &mut entry.sample.files;
        if let Some(text) = line.strip_prefix("    ") {
            if files.is_empty() {
                files.push(File { name: ALONE, copies: 1, text: String::new() });
            }
            if let Some(file) = files.last_mut() {
                file.text += text;
                file.text.push('\n');
            }
        } else if let Some(name) = line.strip_prefix("file ") {
            let (name, copies) = name
                .split_once(" x ")
                .map_or((name, 1), |(n, c)| (n, c.parse().unwrap_or_else(|_| bug!("{line}"))));
            files.push(File { name, copies, text: String::new() });
        } else if let Some((key, text)) = line.split_once(": ") {
            entry.fields.push((key, text));
        }
    }
    entries
}

/// The recipes that show verbs.
pub fn examples() -> Vec<Entry> {
    read(include_str!("things/verbs.txt"))
}
