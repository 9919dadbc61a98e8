//! Files on disk, and standard input for `-`.

use std::ffi::OsString;
use std::io::{Error, ErrorKind, Read};
use std::path::{Path, PathBuf};

use crate::source::Files;
use crate::workshop::{Document, Missing, Recipes, Sources, is_recipe};

/// A file as it was named, in whatever letters the system has; `-` for standard input or output.
#[derive(Clone, Debug)]
pub struct Named(OsString);

impl Named {
    /// Whether it is standard input or output.
    pub fn is_stream(&self) -> bool {
        self.0 == "-"
    }

    /// Where the file is.
    pub fn path(&self) -> &Path {
        Path::new(&self.0)
    }
}

impl std::fmt::Display for Named {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.display().fmt(f)
    }
}

impl<T: Into<OsString>> From<T> for Named {
    fn from(name: T) -> Named {
        Named(name.into())
    }
}

/// The disk as a workshop reads it.
pub struct Disk;

impl Disk {
    /// Reads what is asked for: a recipe, a build log, or standard input.
    ///
    /// # Errors
    /// A sentence that says what cannot be read, and why.
    pub fn document(name: &Named) -> Result<Document, String> {
        let path = name.path();
        if name.is_stream() {
            let bytes = limited(std::io::stdin().lock());
            let bytes = bytes.map_err(|error| format!("cannot read standard input: {}", reason(&error)))?;
            let text = text(bytes).map_err(|why| format!("standard input is {why}"))?;
            return Ok(Document { name: "standard input".to_owned(), path: None, text });
        }
        if path.is_dir() {
            let sample = path.join("ferry-galley.heat");
            return Err(format!(
                "`{name}` is a folder: name the recipe in it, such as `{}`",
                sample.display()
            ));
        }
        let bytes = read(path).map_err(|error| format!("cannot read `{name}`: {}", reason(&error)))?;
        let text = text(bytes).map_err(|why| format!("`{name}` is {why}"))?;
        Ok(Document { name: name.to_string(), path: Disk::own(path), text })
    }

    /// The full path of a file, where it is there.
    pub fn own(path: &Path) -> Option<PathBuf> {
        std::fs::canonicalize(path).ok()
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

    fn recipes(&self, folder: &Path, deep: bool, most: usize) -> Recipes {
        recipes(folder, deep, most)
    }

    /// From the folder upward, to the first that holds `.git`, the home folder, or one that is somebody else's.
    fn shop(&self, folder: &Path) -> Option<PathBuf> {
        let owner = owner(folder)?;
        let home = std::env::var_os("HOME").and_then(|home| Disk::own(Path::new(&home)));
        for above in folder.ancestors() {
            if self::owner(above)? != owner {
                return None;
            }
            let shop = above.join("shop.heat");
            if shop.is_file() {
                return Some(shop);
            }
            if above.join(".git").exists() || home.as_deref() == Some(above) {
                return None;
            }
        }
        None
    }
}

/// Folders inside folders that are looked into for recipes, and entries that are looked at (project figures).
const DEEPEST: usize = 16;
const MOST_ENTRIES: usize = 50_000;

/// The recipes of a folder, as [`Sources::recipes`] tells them. What begins with a point is hidden; what is built or
/// installed from elsewhere is nobody's own.
fn recipes(folder: &Path, deep: bool, most: usize) -> Recipes {
    let (mut files, mut whole, mut seen) = (Vec::new(), true, 0);
    let mut open = vec![(folder.to_path_buf(), 0)];
    while let Some((folder, depth)) = open.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else {
            whole = false;
            continue;
        };
        for entry in entries {
            seen += 1;
            if seen > MOST_ENTRIES {
                return Recipes { files: sorted(files, most), whole: false };
            }
            // A link is neither a file nor a folder here: nothing is read twice, and nothing from outside.
            let Some((entry, about)) = entry.ok().and_then(|e| e.file_type().ok().map(|about| (e, about)))
            else {
                whole = false;
                continue;
            };
            let path = entry.path();
            let name = entry.file_name();
            let passed =
                name.to_string_lossy().starts_with('.') || name == "target" || name == "node_modules";
            if about.is_file() && is_recipe(&path) {
                files.push(path);
            } else if about.is_dir() && deep && !passed {
                if depth < DEEPEST { open.push((path, depth + 1)) } else { whole = false }
            }
        }
    }
    whole &= files.len() <= most;
    Recipes { files: sorted(files, most), whole }
}

fn sorted(mut files: Vec<PathBuf>, most: usize) -> Vec<PathBuf> {
    files.sort();
    files.truncate(most);
    files
}

/// Whose a folder is; where nobody owns folders, they are all the same one's.
fn owner(folder: &Path) -> Option<u32> {
    let about = std::fs::metadata(folder).ok()?;
    #[cfg(unix)]
    return Some(std::os::unix::fs::MetadataExt::uid(&about));
    #[cfg(not(unix))]
    return Some(u32::from(about.is_dir()));
}

/// What a file says, or what else it is.
fn text(bytes: Vec<u8>) -> Result<String, &'static str> {
    if bytes.len() > Files::LARGEST {
        return Err("larger than 16 MiB, and no recipe is");
    }
    let text = String::from_utf8(bytes).ok().filter(|text| !text.contains('\0'));
    text.ok_or("no text file (recipes are UTF-8 text)")
}

/// What a file holds. A pipe or a device is not opened: whoever writes into it may never come.
fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    let about = std::fs::metadata(path)?;
    if !about.is_file() && !about.is_dir() {
        return Err(Error::other(
            "it is a pipe or a device, and only files are read (`-` is standard input)",
        ));
    }
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
