//! A recipe on the bench: read with all that it uses, and planned.

use std::path::{Path, PathBuf};

use super::loader::Loader;
use super::set;
use super::sources::{Missing, Over, Sources, Texts};
use crate::language::{self, Memo, Set, Uses};
use crate::quantity::{Units, turned};
use crate::replay::{Build, Plan, build};
use crate::source::{Code, Diagnostic, Files, Span};

/// What is asked for: a recipe, or a build log.
#[derive(Clone, Debug)]
pub struct Document {
    /// What it is called in answers.
    pub name: String,
    /// Its full path, where it is a file; what it uses is looked for beside it, or else where one works.
    pub path: Option<PathBuf>,
    /// Its text.
    pub text: String,
}

/// Where recipes are planned.
pub struct Workshop<'s> {
    /// Where files come from.
    pub sources: &'s dyn Sources,
    /// Whether `use` may bring files from outside the folder of the recipe.
    pub allow_outside: bool,
}

/// A recipe, or a build log with its recipe: read, planned, and not worked yet.
pub struct Job {
    /// What it is called in answers.
    pub name: String,
    /// Its files.
    pub files: Files,
    /// The address of its first byte.
    pub own: u32,
    /// That of the recipe: of a build log, the file that it names; `None` where that cannot be read.
    pub recipe: Option<u32>,
    /// Where the used files stand.
    pub uses: Uses,
    /// The full path of each file that has one.
    pub paths: Vec<(u32, PathBuf)>,
    /// Its plan; an empty one where there is no recipe.
    pub plan: Plan,
    /// What is wrong with it so far.
    pub found: Vec<Diagnostic>,
    set: Vec<Set>,
}

impl Workshop<'_> {
    /// Reads a document with all that it uses, and plans it with some figures set.
    ///
    /// # Errors
    /// A sentence that says why it cannot be held.
    pub fn plan(&self, document: Document, set: Vec<Set>, memo: &mut Memo) -> Result<Job, String> {
        let Document { name, path, text } = document;
        let beside = path.as_ref().and_then(|path| path.parent()).map(Path::to_path_buf);
        let here = || self.sources.find(Path::new(".")).unwrap_or_else(|Missing { full, .. }| full);
        let folder = beside.unwrap_or_else(here);
        let mut loader = Loader::new(self.sources, (!self.allow_outside).then(|| folder.clone()));
        let (own, recipe) = loader.begin(&name, path, text, &folder)?;
        if let Some(recipe) = recipe {
            loader.shop(recipe);
            loader.rack(recipe);
        }
        let Loader { files, uses, faults, paths, .. } = loader;
        let (plan, set, mut found) = match recipe {
            Some(recipe) => {
                let log = Some(own).filter(|own| *own != recipe);
                language::read_with(&files, recipe, log, &uses, set, memo)
            }
            // A log whose recipe is not there: nothing but that can be said of it.
            None => (Plan::default(), set, Vec::new()),
        };
        found.extend(faults);
        found.sort_by_key(Diagnostic::span);
        let mut job = Job { name, files, own, recipe, uses, paths, plan, found: Vec::new(), set };
        job.found = job.in_units(found, job.plan.units());
        Ok(job)
    }

    /// Plans another text of the same recipe, with the same figures set: what would come of an edit.
    ///
    /// # Errors
    /// A sentence that says why it cannot be held.
    pub fn instead(&self, job: &Job, text: &str) -> Result<Job, String> {
        let path = |base: u32| job.paths.iter().find(|(at, _)| *at == base).map(|(_, path)| path.clone());
        let mut document = job.document();
        let mut texts = Texts::new();
        match job.recipe.filter(|recipe| *recipe != job.own).and_then(path) {
            Some(recipe) => {
                texts.insert(recipe, text.to_owned());
            }
            None => text.clone_into(&mut document.text),
        }
        let over = Over { texts: &texts, under: self.sources };
        let workshop = Workshop { sources: &over, ..*self };
        workshop.plan(document, job.set.clone(), &mut Memo::default())
    }
}

impl Job {
    /// Plans a text that stands alone.
    ///
    /// # Errors
    /// A sentence that says why it cannot be held.
    pub fn alone(name: &str, text: &str) -> Result<Job, String> {
        let document = Document { name: name.to_owned(), path: None, text: text.to_owned() };
        let workshop = Workshop { sources: &Texts::new(), allow_outside: false };
        workshop.plan(document, Vec::new(), &mut Memo::default())
    }

    /// The document that it was made from.
    fn document(&self) -> Document {
        let path = self.paths.iter().find(|(base, _)| *base == self.own).map(|(_, path)| path.clone());
        Document { name: self.name.clone(), path, text: self.files.text_from(self.own).to_owned() }
    }

    /// Findings in the reader's units.
    #[must_use]
    pub fn in_units(&self, found: Vec<Diagnostic>, units: Units) -> Vec<Diagnostic> {
        in_units(&self.files, found, units)
    }

    /// Whether it is a build log.
    #[must_use]
    pub fn is_log(&self) -> bool {
        self.recipe != Some(self.own)
    }

    /// The text of the recipe: of a log, of the file that it names.
    #[must_use]
    pub fn text(&self) -> &str {
        self.recipe.map_or("", |recipe| self.files.text_from(recipe))
    }

    /// Whether all that was to be set was found, and is of its kind.
    ///
    /// # Errors
    /// A sentence about the first that was not.
    pub fn check_set(&self) -> Result<(), String> {
        set::check(&self.plan, &self.set)
    }

    /// Works it once, and keeps everything.
    #[must_use]
    pub fn build(&self, units: Units) -> Build {
        build(&self.plan, &[], units)
    }

    /// Its plan with another count in the place of one that is written out, every other word at its address.
    #[must_use]
    pub fn recounted(&self, count: Span, other: &str) -> Option<Plan> {
        recounted(&self.files, self.recipe?, self.log(), &self.uses, self.set.clone(), (count, other))
    }

    /// The address of the file that says what lies on the rack, where one is read.
    #[must_use]
    pub fn rack(&self) -> Option<u32> {
        self.uses.get(&language::rack_of(self.recipe?)).copied()
    }

    /// The texts that make the build what it is: the recipe, its log, what they use; neither the shop's file nor the rack's.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        let shop = self.recipe.and_then(|recipe| self.uses.get(&language::shop_of(recipe)).copied());
        let (own, used) = (self.own, self.uses.values().copied());
        let mut bases: Vec<u32> = used.chain([own]).chain(self.recipe).collect();
        bases.sort_unstable();
        bases.dedup();
        let rack = self.rack();
        let ours = bases.into_iter().filter(move |base| Some(*base) != shop && Some(*base) != rack);
        ours.map(|base| self.files.text_from(base))
    }

    fn log(&self) -> Option<u32> {
        Some(self.own).filter(|own| Some(*own) != self.recipe)
    }

    /// Its plan as if nothing had been measured.
    #[must_use]
    pub fn unmeasured(&self) -> Plan {
        let Some(recipe) = self.recipe else { return Plan::default() };
        let memo = &mut Memo::default();
        let (mut plan, ..) =
            language::read_with(&self.files, recipe, None, &self.uses, self.set.clone(), memo);
        plan.unmeasured();
        plan
    }
}

/// A plan with another count in the place of one that is written out; `None` where something is wrong with it.
pub fn recounted(
    files: &Files,
    recipe: u32,
    log: Option<u32>,
    uses: &Uses,
    set: Vec<Set>,
    (count, other): (Span, &str),
) -> Option<Plan> {
    if !files.text(count).bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let files = files.rewritten(count, other)?;
    let (plan, _, found) = language::read_with(&files, recipe, log, uses, set, &mut Memo::default());
    found.is_empty().then_some(plan)
}

/// Findings in the reader's units: samples and rules of thumb in them are turned, words of the files are not.
#[must_use]
pub fn in_units(files: &Files, mut found: Vec<Diagnostic>, units: Units) -> Vec<Diagnostic> {
    if units == Units::Inch {
        for finding in &mut found {
            // Also what is written without the blank, and what an edit puts in as it stands.
            let edit = finding.fix.as_ref().map(|fix| fix.text.clone()).unwrap_or_default();
            let line = files.line_of(finding.span()).map_or("", |line| files.text(line));
            let figures = |text: &str| -> Vec<String> {
                let parts = text.split(|c: char| !c.is_ascii_digit() && c != '.');
                parts.map(|part| part.trim_matches('.').to_owned()).filter(|part| !part.is_empty()).collect()
            };
            let written = figures(line);
            // `between 4 and 6 mm` is `4 .. 6 mm` in other words.
            let said = |words: &str| {
                let unit = words.rsplit(|c: char| !c.is_alphabetic()).next().unwrap_or_default();
                line.contains(unit) && figures(words).iter().all(|figure| written.contains(figure))
            };
            let own = |words: &str| {
                files.holds(words)
                    || files.holds(&words.replace(' ', ""))
                    || edit.contains(words)
                    || said(words)
            };
            // What a test came to is told in the units of its own line.
            if !matches!(finding.code, Code::TargetMissed | Code::Unexpected) {
                finding.message = turned(&finding.message, own);
                for label in &mut finding.labels {
                    label.text = turned(&label.text, own);
                }
            }
            finding.help = finding.help.take().map(|help| turned(&help, own));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const BAR: &str =
        "recipe bar(long: length = 100 mm) {\n  stock b = 1 bar of 1084, 4 mm x 40 mm x long\n  give b\n}\n";

    fn document(path: &str, text: &str) -> Document {
        Document { name: path.to_owned(), path: Some(PathBuf::from(path)), text: text.to_owned() }
    }

    fn planned(texts: &[(&str, &str)], allow_outside: bool) -> Job {
        let all: Texts = texts.iter().map(|(path, text)| (PathBuf::from(path), (*text).to_owned())).collect();
        let (path, text) = texts[0];
        let workshop = Workshop { sources: &all, allow_outside };
        workshop.plan(document(path, text), Vec::new(), &mut Memo::default()).unwrap()
    }

    fn codes(job: &Job) -> Vec<&'static str> {
        job.found.iter().map(|fault| fault.code.name()).collect()
    }

    #[test]
    fn files_are_used_from_beside_and_only_from_inside() {
        let first = "use \"parts/bars.heat\"\nstock b = bar()\n";
        let good = planned(&[("shop/a.heat", first), ("shop/parts/bars.heat", BAR)], false);
        assert_eq!((codes(&good), good.plan.steps.len()), (vec![], 2));
        assert_eq!(good.files.names().collect::<Vec<_>>(), ["shop/a.heat", "shop/parts/bars.heat"]);
        let out = "use \"../bars.heat\"\nstock b = bar()\n";
        let texts = [("shop/a.heat", out), ("bars.heat", BAR)];
        assert_eq!(codes(&planned(&texts, false)), ["use_outside", "unknown_recipe"]);
        assert_eq!(codes(&planned(&texts, true)), [""; 0]);
        assert_eq!(codes(&planned(&texts[..1], true)), ["use_missing", "unknown_recipe"]);
        let round = [("a.heat", "use \"b.heat\"\n"), ("b.heat", "use \"a.heat\"\n")];
        assert_eq!(codes(&planned(&round, false)), ["use_cycle"]);
        let many: Vec<(String, String)> =
            (0..66).map(|i| (format!("{i}.heat"), format!("use \"{}.heat\"\n", i + 1))).collect();
        let many: Vec<(&str, &str)> = many.iter().map(|(p, t)| (p.as_str(), t.as_str())).collect();
        let job = planned(&many, false);
        assert_eq!((codes(&job), job.paths.len()), (vec!["too_many_files"], 64));
    }

    #[test]
    fn a_log_is_planned_with_its_recipe_and_another_text_in_its_place() {
        let recipe = "stock b = 1 bar of 1084, 4 x 40 x 100 mm\nheat b at 1100 C for 2 min\n";
        let log = "build of \"r.heat\"\nat heat 1: 3.9 mm thick\n";
        let texts = [("log.heat", log), ("r.heat", recipe)];
        let job = planned(&texts, false);
        assert!(job.is_log() && job.text() == recipe);
        assert_eq!((codes(&job), job.plan.steps.len(), job.unmeasured().steps.len()), (vec![], 3, 2));
        let all: Texts = texts.iter().map(|(path, text)| (PathBuf::from(path), (*text).to_owned())).collect();
        let workshop = Workshop { sources: &all, allow_outside: false };
        let more = workshop.instead(&job, &format!("{recipe}cut b into 2\n")).unwrap();
        assert_eq!((codes(&more), more.plan.steps.len()), (vec![], 4));
        let gone = planned(&texts[..1], false);
        assert_eq!((gone.recipe, codes(&gone)), (None, vec!["use_missing"]));
        let plain = workshop.plan(document("r.heat", recipe), Vec::new(), &mut Memo::default()).unwrap();
        let edited = workshop.instead(&plain, "stock b = 1 bar of 1084, 4 x 40 x 100 mm\n").unwrap();
        assert_eq!((plain.is_log(), edited.plan.steps.len(), edited.paths), (false, 1, plain.paths));
    }
}
