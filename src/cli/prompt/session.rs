//! What stands at the prompt: the text so far, and every text before it. A state is a text, so `undo` is exact.

use std::path::Path;

use super::super::output::Options;
use super::super::run::{Read, Work};
use crate::language::Plan;
use crate::replay::build;
use crate::source::{Code, Diagnostic};
use crate::study::judge;

/// A session.
pub struct Session<'o> {
    options: &'o Options,
    states: Vec<State>,
    at: usize,
}

/// One state.
#[derive(Clone, Default)]
struct State {
    /// The recipe that was loaded; its folder is where `use` looks.
    path: Option<String>,
    text: String,
}

/// Why a line was not taken.
pub enum Refused {
    /// With what is wrong.
    Faults(Box<Work>),
    /// In a sentence.
    Message(String),
}

impl<'o> Session<'o> {
    /// A session with nothing in it.
    pub fn new(options: &'o Options) -> Self {
        Session { options, states: vec![State::default()], at: 0 }
    }

    /// The text as it stands.
    pub fn text(&self) -> &str {
        self.states.get(self.at).map_or("", |s| s.text.as_str())
    }

    fn path(&self) -> Option<&str> {
        self.states.get(self.at).and_then(|s| s.path.as_deref())
    }

    fn go_on(&mut self, path: Option<String>, text: String) {
        self.states.truncate(self.at + 1);
        self.states.push(State { path, text });
        self.at = self.states.len() - 1;
    }

    /// Works a text, with figures set.
    fn worked(&self, path: Option<&str>, text: &str, set: &[String]) -> Result<Work, String> {
        let read = Read::typed(path, self.options, text, set)?;
        let units = self.options.units(&read.plan);
        let made = build(&read.plan, &[], units);
        let verdict = judge(&read.plan, &made, read.found.clone(), units);
        Ok(Work::of(read, made, verdict, path.unwrap_or("prompt"), units))
    }

    /// What stands now.
    pub fn now(&self) -> Result<Work, String> {
        self.worked(self.path(), self.text(), &self.options.set)
    }

    /// What stands now, read and not worked: enough to know what has a name.
    pub fn plan(&self) -> Option<Plan> {
        Read::typed(self.path(), self.options, self.text(), &self.options.set).ok().map(|read| read.plan)
    }

    /// What would stand with one figure set otherwise.
    pub fn what_if(&self, figure: &str) -> Result<Work, String> {
        let mut set = self.options.set.clone();
        set.push(figure.to_owned());
        self.worked(self.path(), self.text(), &set)
    }

    /// Takes lines of the language: they stand behind what stands already, unless something is wrong with them.
    pub fn take(&mut self, lines: &str) -> Result<Work, Refused> {
        let mut text = self.text().to_owned();
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        text += lines.trim_end();
        text.push('\n');
        let work = self.worked(self.path(), &text, &self.options.set).map_err(Refused::Message)?;
        let real = |f: &&Diagnostic| !FINE.contains(&f.code);
        if work.verdict.faults.iter().any(|f| real(&f)) {
            return Err(Refused::Faults(Box::new(work)));
        }
        self.go_on(self.path().map(str::to_owned), text);
        Ok(work)
    }

    /// Goes back so many steps; says how many it went.
    pub fn undo(&mut self, steps: usize) -> usize {
        let went = steps.min(self.at);
        self.at -= went;
        went
    }

    /// Goes on again so many steps; says how many it went.
    pub fn redo(&mut self, steps: usize) -> usize {
        let went = steps.min(self.states.len() - 1 - self.at);
        self.at += went;
        went
    }

    /// Takes a recipe's text in the place of what stands.
    pub fn load(&mut self, path: &str) -> Result<Work, Refused> {
        let mut files = crate::source::Files::default();
        let base = super::super::input::read(&mut files, path).map_err(Refused::Message)?;
        let span = crate::source::Span { start: base, end: base };
        let text = files.whole(span).map_or("", |(_, text, _)| text).to_owned();
        if crate::language::build_of(&files, base).is_some() {
            let message =
                "a build log cannot be gone on with here: `heatbook replay` and `heatbook rescue` do";
            return Err(Refused::Message(message.to_owned()));
        }
        let work = self.worked(Some(path), &text, &self.options.set).map_err(Refused::Message)?;
        if work.verdict.faults.iter().any(|f| !FINE.contains(&f.code)) {
            return Err(Refused::Faults(Box::new(work)));
        }
        self.go_on(Some(path.to_owned()), text);
        Ok(work)
    }

    /// Writes the text as a recipe; never over another file.
    pub fn save(&self, path: &str) -> Result<(), String> {
        if Path::new(path).exists() {
            return Err(format!("`{path}` is there already: choose another name"));
        }
        super::super::write::fresh(path, self.text())
    }
}

/// Faults that a line may have and still be taken: the build goes on, and may meet its target later.
pub const FINE: [Code; 3] = [Code::TargetMissed, Code::OpenQuestion, Code::TargetLoose];
