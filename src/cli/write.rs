//! Writing into a user's file: only what a command was told to, all of it or nothing.

use std::io::{Read as _, Write as _};
use std::path::Path;
use std::time::Duration;

use super::disk::Named;
use crate::report::SARIF;
use crate::source::{Files, Span, line_ends};

/// Puts texts in the place of spans of one file, and swaps the file for the new one in one go.
///
/// # Errors
/// A sentence that says what could not be done; the file is as it was then.
pub fn replace(files: &Files, path: &Named, edits: &[(Span, String)]) -> Result<(), String> {
    let mut edits: Vec<&(Span, String)> = edits.iter().collect();
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    edits.dedup_by_key(|(span, _)| *span);
    let Some((_, text, base)) = edits.first().and_then(|(span, _)| files.whole(*span)) else { return Ok(()) };
    let was = now(path)?;
    if line_ends(&was) != text {
        return Err(changed(path));
    }
    let mut made = was.clone();
    for (span, new) in edits {
        let inside = files.whole(*span).is_some_and(|(_, _, at)| at == base && at == 0);
        let (from, to) = (span.start.saturating_sub(base) as usize, span.end.saturating_sub(base) as usize);
        if !inside || !made.is_char_boundary(from) || !made.is_char_boundary(to) || from > to {
            return Err("a `?` stands in a file that is only used: name that file itself".to_owned());
        }
        made.replace_range(from..to, new);
    }
    exchange(path, &was, &made)
}

/// Swaps a file for a new one; what was read must still be what is there, to the last moment.
///
/// # Errors
/// A sentence that says what could not be done; the file is as it was then.
pub fn exchange(path: &Named, text: &str, made: &str) -> Result<(), String> {
    let same = || if now(path)? == text { Ok(()) } else { Err(changed(path)) };
    // Once before anything is written, and once behind that.
    same()?;
    swap(path, made.as_bytes(), same)
}

fn now(path: &Named) -> Result<String, String> {
    std::fs::read_to_string(path.path()).map_err(|error| format!("cannot read `{path}` again: {error}"))
}

fn changed(path: &Named) -> String {
    format!("`{path}` has changed meanwhile: nothing is written")
}

/// Writes a file beside the old one, and puts it in its place if all is well still.
///
/// # Errors
/// A sentence that says why not; the old file is as it was then.
fn swap(path: &Named, bytes: &[u8], well: impl FnOnce() -> Result<(), String>) -> Result<(), String> {
    let failed =
        |error: std::io::Error| format!("cannot write `{path}`: {}; it is as it was", reason(&error));
    // A link stays a link: what it points at is what is written.
    let real = std::fs::canonicalize(path.path()).unwrap_or_else(|_| path.path().to_path_buf());
    let mut file = beside(&real).map_err(failed)?;
    file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(failed)?;
    if let Ok(about) = std::fs::metadata(&real) {
        kept(&about, file.as_file()).map_err(|why| format!("`{path}` {why}; it is as it was"))?;
        file.as_file().set_permissions(about.permissions()).map_err(failed)?;
    }
    well()?;
    file.persist(&real).map(|_| ()).map_err(|error| failed(error.error))
}

/// Writes a drawing, over an older drawing too, and over no other file.
///
/// # Errors
/// A sentence that says why not; whatever is there is as it was.
pub fn drawing(path: &Named, bytes: &[u8]) -> Result<(), String> {
    over(path, bytes, &BEGIN, "drawing")
}

/// Writes a bench sheet, over an older sheet too, and over no other file.
///
/// # Errors
/// A sentence that says why not; whatever is there is as it was.
pub fn sheet(path: &Named, html: &str) -> Result<(), String> {
    over(path, html.as_bytes(), &[crate::report::OURS.as_bytes()], "bench sheet")
}

/// Writes a bench sheet as PDF, over an older one too, and over no other file.
///
/// # Errors
/// A sentence that says why not; whatever is there is as it was.
pub fn sheet_pdf(path: &Named, bytes: &[u8]) -> Result<(), String> {
    over(path, bytes, &[crate::report::OURS_PDF], "bench sheet")
}

/// Writes a tiled template, over an older one too, and over no other file.
///
/// # Errors
/// A sentence that says why not; whatever is there is as it was.
pub fn tiles(path: &Named, html: &str) -> Result<(), String> {
    over(path, html.as_bytes(), &[crate::report::TILES.as_bytes()], "template")
}

/// Writes a quote, over an older quote too, and over no other file.
///
/// # Errors
/// A sentence that says why not; whatever is there is as it was.
pub fn quote(path: &Named, html: &str) -> Result<(), String> {
    over(path, html.as_bytes(), &[crate::report::QUOTE.as_bytes()], "quote")
}

/// Writes a log of findings, over an older one too, and over no other file.
///
/// # Errors
/// A sentence that says why not; whatever is there is as it was.
pub fn findings(path: &Named, log: &str) -> Result<(), String> {
    over(path, log.as_bytes(), &[SARIF.as_bytes()], "log of findings")
}

/// Writes a file over one that begins in one of these ways, and over no other.
fn over(path: &Named, bytes: &[u8], begins: &[&[u8]], what: &str) -> Result<(), String> {
    let ours = match std::fs::metadata(path.path()) {
        Ok(about) => about.is_file() && (about.len() == 0 || begins_so(path, begins)),
        Err(error) => error.kind() == std::io::ErrorKind::NotFound,
    };
    if ours {
        return swap(path, bytes, || Ok(()));
    }
    Err(format!("`{path}` is there already and is no {what}: name another file"))
}

/// How drawings begin: SVG, PNG (its first bytes by its standard), and our own for programs.
const BEGIN: [&[u8]; 3] = [b"<svg", b"\x89PNG\r\n\x1a\n", b"{\n  \"schema\": \"heatbook-picture-"];

/// Whether a file begins in one of these ways; no more of it is read than that.
fn begins_so(path: &Named, begins: &[&[u8]]) -> bool {
    let longest = begins.iter().map(|b| b.len() as u64).max().unwrap_or(0);
    let mut begin = Vec::new();
    let read = std::fs::File::open(path.path()).and_then(|file| file.take(longest).read_to_end(&mut begin));
    read.is_ok() && begins.iter().any(|as_ours| begin.starts_with(as_ours))
}

/// How the names of files begin and end that are written here and not in their places yet.
const UNDER_WAY: (&str, &str) = (".heatbook-", ".part");
/// From this age on such a file is what a run that was killed left behind: writing takes a moment (project figure).
const LEFT_BEHIND: Duration = Duration::from_secs(60);

/// A file under another name in the same folder, with the rights that a new file has. What killed runs left there goes.
fn beside(path: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        if left_behind(&entry) {
            // Where it cannot be taken away, it lies there as before.
            let _ = std::fs::remove_file(entry.path());
        }
    }
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNDER_WAY.0).suffix(UNDER_WAY.1);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}

fn left_behind(entry: &std::fs::DirEntry) -> bool {
    let name = entry.file_name();
    let ours = name.to_str().is_some_and(|name| name.starts_with(UNDER_WAY.0) && name.ends_with(UNDER_WAY.1));
    let about = ours.then(|| entry.metadata().ok()).flatten().filter(std::fs::Metadata::is_file);
    let age = about.and_then(|about| about.modified().ok()?.elapsed().ok());
    age.is_some_and(|age| age > LEFT_BEHIND)
}

/// Makes sure that a file which takes the place of another loses nothing of it but the text.
fn kept(old: &std::fs::Metadata, new: &std::fs::File) -> Result<(), &'static str> {
    if old.permissions().readonly() {
        return Err("is write-protected: take the protection off, or copy it");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        if old.nlink() > 1 {
            return Err("has more than one name (hard links), and they would part: copy it first");
        }
        let ours = new.metadata().map(|new| (new.uid(), new.gid()));
        if ours.ok() != Some((old.uid(), old.gid())) && fchown(new, Some(old.uid()), Some(old.gid())).is_err()
        {
            return Err("belongs to somebody else, who would lose it: copy it first");
        }
    }
    Ok(())
}

/// Writes a new file, all of it or nothing, and never over another.
///
/// # Errors
/// A sentence that says why not.
pub fn fresh(path: &Named, text: &str) -> Result<(), String> {
    let failed = |error: std::io::Error| format!("cannot write `{path}`: {}", reason(&error));
    let mut file = beside(path.path()).map_err(failed)?;
    file.write_all(text.as_bytes()).and_then(|()| file.as_file().sync_all()).map_err(failed)?;
    file.persist_noclobber(path.path()).map(|_| ()).map_err(|error| failed(error.error))
}

/// How long a lock is waited for, and how often it is tried (project figures: a booking takes a moment).
const WAITS: (Duration, u32) = (Duration::from_millis(20), 500);

/// A file that nobody else writes with this program while it is held.
#[derive(Debug)]
pub struct Lock(std::path::PathBuf);

impl Lock {
    /// Waits until nobody else writes a file, and keeps them from it.
    ///
    /// # Errors
    /// A sentence that says who is in the way.
    pub fn of(path: &Named) -> Result<Lock, String> {
        let real = std::fs::canonicalize(path.path()).unwrap_or_else(|_| path.path().to_path_buf());
        let name = real.file_name().ok_or_else(|| format!("`{path}` names no file"))?;
        let mut own = std::ffi::OsString::from(UNDER_WAY.0);
        own.push(name);
        own.push(".lock");
        let lock = real.with_file_name(own);
        for _ in 0..WAITS.1 {
            match std::fs::OpenOptions::new().write(true).create_new(true).open(&lock) {
                Ok(_) => return Ok(Lock(lock)),
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                    std::thread::sleep(WAITS.0);
                }
                Err(error) => return Err(format!("cannot write beside `{path}`: {}", reason(&error))),
            }
        }
        let lock = lock.display();
        Err(format!(
            "another run is writing `{path}`: wait for it; where none is, one was killed, and left `{lock}` to be removed"
        ))
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Where it cannot be taken away, the next run says so.
        let _ = std::fs::remove_file(&self.0);
    }
}

/// Why a file cannot be written, without the name of the file beside it that nobody asked for.
fn reason(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => "you may not write there".to_owned(),
        std::io::ErrorKind::StorageFull | std::io::ErrorKind::FileTooLarge => {
            "there is no room for it".to_owned()
        }
        std::io::ErrorKind::AlreadyExists => "it is there already".to_owned(),
        kind => kind.to_string(),
    }
}
