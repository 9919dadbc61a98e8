//! Reading recipes: from a file, or from standard input for `-`.

use std::io::Read;

use std::path::{Path, PathBuf};

use crate::editor::{Loaded as Opened, Open};
use crate::language::{self, Uses};
use crate::source::{Code, Diagnostic, Files, Span};

/// Reads a file into the map; gives the address of its first byte.
///
/// # Errors
/// A sentence that says what cannot be read, and why.
pub fn read(files: &mut Files, path: &str) -> Result<u32, String> {
    let (name, bytes) = if path == "-" {
        ("standard input".to_owned(), limited(std::io::stdin().lock()))
    } else {
        let named = path.to_owned();
        match std::fs::metadata(path) {
            Err(error) => return Err(format!("cannot read `{path}`: {}", reason(&error))),
            Ok(about) if about.is_dir() => {
                return Err(format!(
                    "`{path}` is a folder: name the recipe in it, such as `{}`",
                    sample(path)
                ));
            }
            Ok(_) => {}
        }
        (named, std::fs::File::open(path).and_then(limited_file))
    };
    let bytes = bytes.map_err(|error| format!("cannot read `{path}`: {}", reason(&error)))?;
    if bytes.len() > Files::LARGEST {
        return Err(format!("`{path}` is larger than 16 MiB, and no recipe is"));
    }
    let text =
        String::from_utf8(bytes).map_err(|_| format!("`{path}` is no text file (recipes are UTF-8 text)"))?;
    if text.contains('\0') {
        return Err(format!("`{path}` is no text file (recipes are UTF-8 text)"));
    }
    files.add(name, text).ok_or_else(|| format!("`{path}` is one file too many to hold"))
}

/// A recipe with every file that it uses.
pub struct Loaded {
    /// The address of its first byte.
    pub base: u32,
    /// The address of the build log that named it, where it was asked for by that.
    pub log: Option<u32>,
    /// Where the used files stand.
    pub uses: Uses,
    /// What is wrong with a `use`.
    pub faults: Vec<Diagnostic>,
}

/// Files that one recipe may use, also by way of others.
const MOST_FILES: usize = 64;

struct Loader<'o> {
    files: Files,
    uses: Uses,
    faults: Vec<Diagnostic>,
    /// Nothing outside this folder is used, unless that is allowed.
    top: Option<PathBuf>,
    known: Vec<(PathBuf, u32)>,
    /// Texts that go before what is on disk.
    open: Option<&'o Open>,
    /// The text to take in the place of the next file that is read.
    instead: Option<String>,
}

/// Reads a recipe and every file that it uses. What is wrong with a `use` is a fault of the recipe.
///
/// # Errors
/// A sentence that says why the recipe itself cannot be read.
pub fn load(path: &str, allow_outside: bool) -> Result<(Files, Loaded), String> {
    load_with(path, allow_outside, None)
}

/// The same, with another text in the place of the recipe's: what would come of an edit.
///
/// # Errors
/// A sentence that says why the recipe itself cannot be read.
pub fn load_instead(path: &str, allow_outside: bool, text: &str) -> Result<(Files, Loaded), String> {
    load_with(path, allow_outside, Some(text))
}

/// Reads a text that was typed: what it uses is looked for beside a recipe, or in the current folder.
///
/// # Errors
/// A sentence that says why it cannot be held.
pub fn load_text(path: Option<&str>, text: &str, allow_outside: bool) -> Result<(Files, Loaded), String> {
    let mut files = Files::default();
    let base = files.add(path.unwrap_or("prompt"), text).ok_or("the text is too large to hold")?;
    let own = path.and_then(|p| std::fs::canonicalize(p).ok());
    let beside = path.and_then(|p| Path::new(p).parent()).filter(|p| !p.as_os_str().is_empty());
    let folder = std::fs::canonicalize(beside.unwrap_or(Path::new("."))).ok();
    let top = folder.clone().filter(|_| !allow_outside);
    let known = own.map(|own| (own, base)).into_iter().collect();
    let mut loader =
        Loader { files, uses: Uses::new(), faults: Vec::new(), top, known, open: None, instead: None };
    loader.follow(base, &folder.unwrap_or_default(), &mut vec![(base, Span::default())]);
    let Loader { files, uses, faults, .. } = loader;
    Ok((files, Loaded { base, log: None, uses, faults }))
}

/// Takes the text of an open document, of a recipe or a log, and reads what it uses beside it; other open documents go before
/// what is on disk.
///
/// # Errors
/// A sentence that says why it cannot be held.
pub fn load_open(
    path: Option<&Path>,
    text: &str,
    open: &Open,
    allow_outside: bool,
) -> Result<Opened, String> {
    if text.len() > Files::LARGEST {
        return Err("this is larger than 16 MiB, and no recipe is".to_owned());
    }
    let mut files = Files::default();
    let name = path.and_then(Path::file_name).and_then(|n| n.to_str()).unwrap_or("unsaved");
    let own = files.add(name, text).ok_or("the text is too large to hold")?;
    let beside = path.and_then(Path::parent).map(full);
    let folder = beside.or_else(|| std::fs::canonicalize(".").ok()).unwrap_or_default();
    let top = Some(folder.clone()).filter(|_| !allow_outside);
    let known = path.map(|path| (path.to_path_buf(), own)).into_iter().collect();
    let (uses, faults) = (Uses::new(), Vec::new());
    let mut loader = Loader { files, uses, faults, top, known, open: Some(open), instead: None };
    let mut recipe = Some(own);
    let mut chain = vec![(own, Span::default())];
    match language::build_of(&loader.files, own) {
        Some((name, span)) => {
            let found = loader.one(&name, span, &folder, &mut chain);
            recipe = loader.uses.get(&span).copied().filter(|_| found.is_ok());
            loader.faults.extend(found.err().map(|fault| *fault));
        }
        None => loader.follow(own, &folder, &mut chain),
    }
    let Loader { files, uses, faults, known, .. } = loader;
    let paths = known.into_iter().map(|(path, base)| (base, path)).collect();
    Ok(Opened { files, own, recipe, uses, faults, paths })
}

/// The full path of a file that need not be there: its folder's, if that is.
pub fn full(path: &Path) -> PathBuf {
    let in_folder = || {
        let folder = std::fs::canonicalize(path.parent()?).ok()?;
        Some(folder.join(path.file_name()?))
    };
    std::fs::canonicalize(path).ok().or_else(in_folder).unwrap_or_else(|| path.to_path_buf())
}

fn load_with(path: &str, allow_outside: bool, instead: Option<&str>) -> Result<(Files, Loaded), String> {
    let mut files = Files::default();
    let mut base = read(&mut files, path)?;
    let mut instead = instead.map(str::to_owned);
    if let (None, Some(text)) =
        (language::build_of(&files, base), instead.take_if(|_| language::build_of(&files, base).is_none()))
    {
        files = Files::default();
        base = files.add(path, text).ok_or("the recipe is too large to hold")?;
    }
    let own = if path == "-" { None } else { std::fs::canonicalize(path).ok() };
    let folder = match &own {
        Some(own) => own.parent().map(Path::to_path_buf),
        None => std::env::current_dir().ok().and_then(|d| std::fs::canonicalize(d).ok()),
    };
    let top = folder.clone().filter(|_| !allow_outside);
    let known = own.map(|own| (own, base)).into_iter().collect();
    let mut loader = Loader { files, uses: Uses::new(), faults: Vec::new(), top, known, open: None, instead };
    let folder = folder.unwrap_or_default();
    let (mut base, mut log) = (base, None);
    if let Some((name, span)) = language::build_of(&loader.files, base) {
        // A build log: the recipe is the file that it names.
        let at = |faults: &[Diagnostic]| {
            faults.first().map_or(String::new(), |f| {
                f.labels.first().map_or(f.message.clone(), |l| format!("{}: {}", f.message, l.text))
            })
        };
        if let Err(fault) = loader.one(&name, span, &folder, &mut vec![(base, Span::default())]) {
            return Err(format!("`{path}` is a log of `{name}`, and that cannot be read: {}", at(&[*fault])));
        }
        log = Some(base);
        base = loader.uses.get(&span).copied().unwrap_or(base);
    } else {
        loader.follow(base, &folder, &mut vec![(base, Span::default())]);
    }
    let Loader { files, uses, faults, .. } = loader;
    Ok((files, Loaded { base, log, uses, faults }))
}

impl Loader<'_> {
    /// Reads what a file uses; `chain` is how it came to be used: each file, and the words that use it.
    fn follow(&mut self, base: u32, folder: &Path, chain: &mut Vec<(u32, Span)>) {
        for (name, span) in language::uses(&self.files, base) {
            match self.one(&name, span, folder, chain) {
                Ok(()) => {}
                Err(fault) => {
                    let called = chain.iter().skip(1).rev();
                    let fault = called.fold(*fault, |f, (_, at)| f.and(*at, "by way of this file"));
                    self.faults.push(fault);
                }
            }
        }
    }

    /// The full path of a file: on disk, or open and never saved.
    fn found(&self, path: &Path) -> std::io::Result<PathBuf> {
        let full = full(path);
        if self.open.is_some_and(|open| open.contains_key(&full)) {
            return Ok(full);
        }
        std::fs::canonicalize(path)
    }

    fn one(
        &mut self,
        name: &str,
        span: Span,
        folder: &Path,
        chain: &mut Vec<(u32, Span)>,
    ) -> Result<(), Box<Diagnostic>> {
        let wrong = |code, message: String, text: String, help: &str| {
            Box::new(Diagnostic::new(code, message, span, text).help(help))
        };
        let path = self.found(&folder.join(name)).map_err(|error| {
            let help = "the name is looked for beside the file that uses it";
            wrong(Code::UseMissing, format!("cannot use `{name}`"), reason(&error), help)
        })?;
        if self.top.as_ref().is_some_and(|top| !path.starts_with(top)) {
            let help = "keep what belongs together in one folder, or say `--allow-outside`";
            let text = "outside the folder of the recipe".to_owned();
            return Err(wrong(Code::UseOutside, format!("`{name}` lies elsewhere"), text, help));
        }
        if let Some((_, at)) = self.known.iter().find(|(known, _)| *known == path) {
            if chain.iter().any(|(base, _)| base == at) {
                let help = "put what both need into a third file, and use that";
                let text = "it is being read already".to_owned();
                return Err(wrong(
                    Code::UseCycle,
                    format!("`{name}` uses itself, by way of others"),
                    text,
                    help,
                ));
            }
            self.uses.insert(span, *at);
            return Ok(());
        }
        if self.known.len() >= MOST_FILES {
            let text = format!("{MOST_FILES} files are read already");
            return Err(wrong(Code::TooManyFiles, "too many files are used".to_owned(), text, "use fewer"));
        }
        let shown = shown_path(&path, self.top.as_deref().unwrap_or(folder));
        let open = self.open.and_then(|open| open.get(&path)).cloned();
        let read = match self.instead.take().or(open) {
            Some(text) => self.files.add(shown, text).ok_or_else(|| "it is too large to hold".to_owned()),
            None => read_as(&mut self.files, &path, shown),
        };
        let base = read.map_err(|why| {
            wrong(Code::UseMissing, format!("cannot use `{name}`"), why, "name a recipe file")
        })?;
        self.uses.insert(span, base);
        self.known.push((path.clone(), base));
        chain.push((base, span));
        let inside = path.parent().unwrap_or(folder).to_path_buf();
        self.follow(base, &inside, chain);
        chain.pop();
        Ok(())
    }
}

/// A path as messages show it: from the recipe's folder on, where it lies there.
fn shown_path(path: &Path, top: &Path) -> String {
    path.strip_prefix(top).unwrap_or(path).display().to_string()
}

fn read_as(files: &mut Files, path: &Path, name: String) -> Result<u32, String> {
    let bytes = std::fs::File::open(path).and_then(limited_file).map_err(|error| reason(&error))?;
    if bytes.len() > Files::LARGEST {
        return Err("it is larger than 16 MiB, and no recipe is".to_owned());
    }
    let text = String::from_utf8(bytes).ok().filter(|t| !t.contains('\0'));
    let text = text.ok_or("it is no text file (recipes are UTF-8 text)")?;
    files.add(name, text).ok_or_else(|| "it is one file too many to hold".to_owned())
}

fn sample(folder: &str) -> String {
    format!("{}/ferry-galley.heat", folder.trim_end_matches('/'))
}

fn limited_file(file: std::fs::File) -> std::io::Result<Vec<u8>> {
    limited(file)
}

fn limited(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(Files::LARGEST as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn reason(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be read by you".to_owned(),
        _ => error.to_string(),
    }
}
