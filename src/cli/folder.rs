//! What is asked for where a folder is named: each recipe below it.

use std::path::Path;

use walkdir::{DirEntry, WalkDir};

use super::disk::Named;

/// Recipes that are taken from one folder at the most (project figure).
const MOST: usize = 10_000;

/// The files that were named, and in the place of each folder the `.heat` files below it, by name. Hidden folders are left
/// out, and links are not followed.
///
/// # Errors
/// A sentence that says which folder cannot be read, or holds none.
pub fn recipes(named: &[Named]) -> Result<Vec<Named>, String> {
    let mut all = Vec::new();
    for one in named {
        if one.is_stream() || !one.path().is_dir() {
            all.push(one.clone());
            continue;
        }
        let begin = all.len();
        for entry in WalkDir::new(one.path()).sort_by_file_name().into_iter().filter_entry(shown) {
            let entry = entry.map_err(|error| format!("cannot read what lies in `{one}`: {error}"))?;
            if entry.file_type().is_file()
                && entry.file_name().to_str().is_some_and(|name| name.ends_with(".heat"))
            {
                all.push(Named::from(entry.into_path()));
            }
            if all.len() - begin > MOST {
                return Err(format!("more than {MOST} recipes lie below `{one}`: name a folder in it"));
            }
        }
        if all.len() == begin {
            return Err(format!("no file that ends in `.heat` lies in the folder `{one}` or below it"));
        }
    }
    Ok(all)
}

fn shown(entry: &DirEntry) -> bool {
    entry.depth() == 0 || !Path::new(entry.file_name()).to_string_lossy().starts_with('.')
}
