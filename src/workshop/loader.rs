//! The rules of `use`: what a file uses is looked for beside it, inside the folder of the first, each file once, none by way
//! of itself.

use std::path::{Path, PathBuf};

use super::sources::Sources;
use crate::language::{self, Uses};
use crate::source::{Code, Diagnostic, Files, Span};

/// Files that one recipe may use, also by way of others (project figure).
const MOST_FILES: usize = 64;

/// A recipe under way, with the files that it uses.
pub struct Loader<'s> {
    /// The texts read.
    pub files: Files,
    /// Where the used files stand.
    pub uses: Uses,
    /// What is wrong with a `use`.
    pub faults: Vec<Diagnostic>,
    /// The full path of each file that has one.
    pub paths: Vec<(u32, PathBuf)>,
    sources: &'s dyn Sources,
    /// Nothing outside this folder is used, unless that is allowed.
    top: Option<PathBuf>,
    /// The folder of the first file as it was named, and its full path.
    way: Option<(PathBuf, PathBuf)>,
    /// How the file under way came to be used: each file, and the words that use it.
    chain: Vec<(u32, Span)>,
}

impl<'s> Loader<'s> {
    /// A loader with nothing read; nothing outside of `top` may be used.
    pub fn new(sources: &'s dyn Sources, top: Option<PathBuf>) -> Self {
        let (files, uses) = (Files::default(), Uses::new());
        let (faults, paths, way, chain) = (Vec::new(), Vec::new(), None, Vec::new());
        Loader { files, uses, faults, paths, sources, top, way, chain }
    }

    /// Takes the first file in, and reads what it uses, or of a build log the recipe; gives the addresses of both. The second
    /// is `None` where that recipe cannot be read.
    ///
    /// # Errors
    /// A sentence that says why it cannot be held.
    pub fn begin(
        &mut self,
        name: &str,
        path: Option<PathBuf>,
        text: String,
        folder: &Path,
    ) -> Result<(u32, Option<u32>), String> {
        if text.len() > Files::LARGEST {
            return Err("this is larger than 16 MiB, and no recipe is".to_owned());
        }
        let own = self.add(name.to_owned(), text);
        let way = Path::new(name).parent().unwrap_or(Path::new("")).to_path_buf();
        let named = if way.as_os_str().is_empty() { Path::new(".") } else { &way };
        // By way of a link to the first file, nothing beside it is reached.
        self.way = self.sources.find(named).ok().filter(|full| full == folder).map(|full| (way, full));
        self.paths.extend(path.map(|path| (own, path)));
        self.chain.push((own, Span::default()));
        let recipe = match language::build_of(&self.files, own) {
            Some((name, span)) => {
                self.one(&name, span, folder).map_err(|fault| self.faults.push(*fault)).ok()
            }
            None => {
                self.follow(own, folder);
                Some(own)
            }
        };
        Ok((own, recipe))
    }

    /// Reads the `shop.heat` of a recipe's folder: it is used by no word of the recipe, and needs to lie in no folder of it.
    pub fn shop(&mut self, recipe: u32) {
        let of = |base: u32| self.paths.iter().find(|(at, _)| *at == base).map(|(_, path)| path.clone());
        if let Some(path) = of(recipe).and_then(|path| self.sources.shop(path.parent()?)) {
            self.beside(path, language::shop_of(recipe), "shop");
        }
    }

    /// Reads the file that says what lies on the rack, likewise.
    pub fn rack(&mut self, recipe: u32) {
        if let Some(path) = self.sources.rack() {
            self.beside(path, language::rack_of(recipe), "rack");
        }
    }

    /// Reads a file that no word of the recipe uses.
    fn beside(&mut self, path: PathBuf, words: Span, what: &str) {
        if self.paths.iter().any(|(_, known)| *known == path) {
            return;
        }
        match self.sources.text(&path) {
            Ok(text) if text.len() <= Files::LARGEST => {
                let base = self.add(self.shown(&path).display().to_string(), text);
                self.uses.insert(words, base);
                self.paths.push((base, path));
            }
            other => {
                let why =
                    other.err().unwrap_or_else(|| "it is larger than 16 MiB, and no recipe is".to_owned());
                let message = format!("cannot read the {what}'s `{}`", self.shown(&path).display());
                let fault = Code::UseMissing.says(message).at(words, why);
                let help = match what {
                    "shop" => "mend or remove it, or say `--shop none`",
                    _ => "mend it, or name another file",
                };
                self.faults.push(fault.help(help));
            }
        }
    }

    /// A path as it leads there from where one stands: by way of the first file's, where it lies in that folder.
    fn shown(&self, path: &Path) -> PathBuf {
        let below =
            self.way.as_ref().and_then(|(way, folder)| Some(way.join(path.strip_prefix(folder).ok()?)));
        below.unwrap_or_else(|| path.to_path_buf())
    }

    fn add(&mut self, name: String, text: String) -> u32 {
        self.files.add(name, text).unwrap_or_else(|| bug!("64 files of 16 MiB are more than can be held"))
    }

    /// Reads what a file uses.
    fn follow(&mut self, base: u32, folder: &Path) {
        for (name, span) in language::uses(&self.files, base) {
            if let Err(fault) = self.one(&name, span, folder) {
                let called = self.chain.iter().skip(1).rev();
                let fault = called.fold(*fault, |f, (_, at)| f.and(*at, "by way of this file"));
                self.faults.push(fault);
            }
        }
    }

    /// Reads one file that is used, and what that uses; gives its address.
    fn one(&mut self, name: &str, span: Span, folder: &Path) -> Result<u32, Box<Diagnostic>> {
        let wrong = |code, message: String, text: String, help: &str| {
            Box::new(Diagnostic::new(code, message, span, text).help(help))
        };
        let path = self.sources.find(&folder.join(name)).map_err(|missing| {
            let help = "the name is looked for beside the file that uses it";
            wrong(Code::UseMissing, format!("cannot use `{name}`"), missing.why, help)
        })?;
        if self.top.as_ref().is_some_and(|top| !path.starts_with(top)) {
            let help = "keep what belongs together in one folder, or say `--allow-outside`";
            let text = "outside the folder of the recipe".to_owned();
            return Err(wrong(Code::UseOutside, format!("`{name}` lies elsewhere"), text, help));
        }
        if let Some((at, _)) = self.paths.iter().find(|(_, known)| *known == path) {
            if self.chain.iter().any(|(base, _)| base == at) {
                let help = "put what both need into a third file, and use that";
                let message = format!("`{name}` uses itself, by way of others");
                return Err(wrong(Code::UseCycle, message, "it is being read already".to_owned(), help));
            }
            self.uses.insert(span, *at);
            return Ok(*at);
        }
        if self.paths.len() >= MOST_FILES {
            let text = format!("{MOST_FILES} files are read already");
            return Err(wrong(Code::TooManyFiles, "too many files are used".to_owned(), text, "use fewer"));
        }
        let text = self.sources.text(&path).and_then(|text| {
            let fits = text.len() <= Files::LARGEST;
            if fits { Ok(text) } else { Err("it is larger than 16 MiB, and no recipe is".to_owned()) }
        });
        let text = text.map_err(|why| {
            wrong(Code::UseMissing, format!("cannot use `{name}`"), why, "name a recipe file")
        })?;
        let base = self.add(self.shown(&path).display().to_string(), text);
        self.uses.insert(span, base);
        let inside = path.parent().unwrap_or(folder).to_path_buf();
        self.paths.push((base, path));
        self.chain.push((base, span));
        self.follow(base, &inside);
        self.chain.pop();
        Ok(base)
    }
}
