//! Files on disk, and standard input for `-`.

use std::io::{Error, ErrorKind, Read};
use std::path::{Path, PathBuf};

use crate::source::Files;
use crate::workshop::{Document, Missing, Sources};

/// The disk as a workshop reads it.
pub struct Disk;

impl Disk {
    /// Reads what is asked for: a recipe, a build log, or standard input.
    ///
    /// # Errors
    /// A sentence that says what cannot be read, and why.
    pub fn document(path: &str) -> Result<Document, String> {
        if path != "-" && std::fs::metadata(path).is_ok_and(|about| about.is_dir()) {
            let sample = format!("{}/ferry-galley.heat", path.trim_end_matches('/'));
            return Err(format!("`{path}` is a folder: name the recipe in it, such as `{sample}`"));
        }
        let bytes = if path == "-" { limited(std::io::stdin().lock()) } else { read(Path::new(path)) };
        let bytes = bytes.map_err(|error| format!("cannot read `{path}`: {}", reason(&error)))?;
        let text = text(bytes).map_err(|why| format!("`{path}` is {why}"))?;
        let name = if path == "-" { "standard input" } else { path }.to_owned();
        Ok(Document { name, path: Disk::own(path), text })
    }

    /// The full path of a file that is asked for; standard input has none.
    pub fn own(path: &str) -> Option<PathBuf> {
        std::fs::canonicalize(path).ok().filter(|_| path != "-")
    }
}

impl Sources for Disk {
    fn find(&self, path: &Path) -> Result<PathBuf, Missing> {
        std::fs::canonicalize(path).map_err(|error| {
            let in_folder = || {
                let folder = std::fs::canonicalize(path.parent()?).ok()?;
                Some(folder.join(path.file_name()?))
            };
            Missing { full: in_folder().unwrap_or_else(|| path.to_path_buf()), why: reason(&error) }
        })
    }

    fn text(&self, full: &Path) -> Result<String, String> {
        let bytes = read(full).map_err(|error| reason(&error))?;
        text(bytes).map_err(|why| format!("it is {why}"))
    }
}

/// What a file says, or what else it is.
fn text(bytes: Vec<u8>) -> Result<String, &'static str> {
    if bytes.len() > Files::LARGEST {
        return Err("larger than 16 MiB, and no recipe is");
    }
    let text = String::from_utf8(bytes).ok().filter(|text| !text.contains('\0'));
    text.ok_or("no text file (recipes are UTF-8 text)")
}

fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    limited(std::fs::File::open(path)?)
}

fn limited(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(Files::LARGEST as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn reason(error: &Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        ErrorKind::PermissionDenied => "it may not be read by you".to_owned(),
        _ => error.to_string(),
    }
}
