//! What stands at the prompt: the text so far, and every text before it. A state is a text, so `undo` is exact.

use super::super::disk::{Disk, Named};
use super::super::output::Options;
use super::super::work::{Work, typed};
use crate::quantity::Kind;
use crate::replay::Plan;
use crate::source::{Code, Diagnostic};
use crate::workshop::{Document, Job};

/// A session.
pub struct Session<'o> {
    options: &'o Options,
    states: Vec<State>,
    at: usize,
    /// What stands in a file as well: what was loaded or saved last.
    kept: String,
}

/// One state.
#[derive(Clone, Default)]
pub struct State {
    /// The recipe that was loaded; its folder is where `use` looks.
    path: Option<Named>,
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
        Session { options, states: vec![State::default()], at: 0, kept: String::new() }
    }

    fn state(&self) -> &State {
        self.states.get(self.at).unwrap_or_else(|| bug!("the prompt has no state {}", self.at))
    }

    /// The text as it stands.
    pub fn text(&self) -> &str {
        &self.state().text
    }

    /// Whether what stands would be lost.
    pub fn unsaved(&self) -> bool {
        !self.text().trim().is_empty() && self.text() != self.kept
    }

    /// How many states lie before what stands.
    pub fn at(&self) -> usize {
        self.at
    }

    /// Goes to a state that was.
    pub fn go_to(&mut self, at: usize) {
        self.at = at.min(self.states.len() - 1);
    }

    /// Goes on to a new state: those that `redo` could have gone to are no more.
    pub fn go_on(&mut self, state: State) {
        self.states.truncate(self.at + 1);
        self.states.push(state);
        self.at += 1;
    }

    fn planned(&self, state: &State, set: &[String]) -> Result<Job, String> {
        let path = state.path.as_ref().and_then(|path| Disk::own(path.path()));
        let name = state.path.as_ref().map_or_else(|| "prompt".to_owned(), ToString::to_string);
        typed(Document { name, path, text: state.text.clone() }, self.options, set)
    }

    /// Works a text, with figures set. What would mend a missed target is told nowhere here, and not looked for: the smith tries it.
    fn worked(&self, state: &State, set: &[String]) -> Result<Work, String> {
        Ok(Work::unmended(self.planned(state, set)?, self.options))
    }

    /// What stands now.
    pub fn now(&self) -> Result<Work, String> {
        self.worked(self.state(), &self.options.set)
    }

    /// What stands now, read and not worked: enough to know what has a name.
    pub fn plan(&self) -> Option<Plan> {
        self.planned(self.state(), &self.options.set).ok().map(|job| job.plan)
    }

    /// The names of the `let`s that stand here.
    pub fn lets(&self) -> Vec<String> {
        let slots = self.plan().map(|plan| plan.slots).unwrap_or_default();
        slots
            .into_iter()
            .map(|slot| slot.address)
            .filter(|name| !name.is_empty() && !name.contains(' '))
            .collect()
    }

    /// What a sum comes to, with the `let`s that stand here.
    pub fn summed(&self, sum: &str) -> Result<(f64, Kind), String> {
        let State { path, mut text } = self.state().clone();
        let mut name = "the-sum".to_owned();
        while text.contains(&name) {
            name.push_str("-s");
        }
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        text += &format!("let {name} = {sum}\n");
        let job = self.planned(&State { path, text }, &self.options.set)?;
        if let Some(fault) = job.found.first() {
            let help = fault.help.as_ref().map_or(String::new(), |help| format!(" ({help})"));
            return Err(format!("`{sum}` comes to no figure: {}{help}", fault.message));
        }
        let slots = job.plan.slots.iter().zip(&job.plan.values.0);
        let found =
            slots.filter(|(slot, _)| slot.address == name).map(|(slot, value)| (*value, slot.kind)).next();
        // A sum of figures alone hangs on nothing that is open.
        let apart = |c: char| c.is_whitespace() || "+*/()".contains(c);
        let mut words = sum.split(apart).filter(|word| !word.is_empty());
        let named = words.any(|word| job.plan.slots.iter().any(|slot| slot.address == word));
        let known = found.filter(|(value, _)| value.is_finite() && (!named || job.plan.asks.is_empty()));
        known.ok_or_else(|| format!("`{sum}` may hang on a `?` of the recipe: fill that first"))
    }

    /// What would stand with one figure set otherwise.
    pub fn what_if(&self, figure: &str) -> Result<Work, String> {
        let mut set = self.options.set.clone();
        set.push(figure.to_owned());
        self.worked(self.state(), &set)
    }

    /// What would stand with lines of the language behind what stands already, unless something is wrong with them.
    pub fn with(&self, lines: &str) -> Result<(State, Work), Refused> {
        let State { path, mut text } = self.state().clone();
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        text += lines.trim_end();
        text.push('\n');
        self.sound(State { path, text })
    }

    /// What would stand with a recipe's text in the place of what stands.
    pub fn loaded(&self, path: &Named) -> Result<(State, Work), Refused> {
        let text = Disk::document(path).map_err(Refused::Message)?.text;
        self.sound(State { path: Some(path.clone()), text })
    }

    fn sound(&self, state: State) -> Result<(State, Work), Refused> {
        let work = self.worked(&state, &self.options.set).map_err(Refused::Message)?;
        if work.job.is_log() {
            let message =
                "a build log cannot be gone on with here: `heatbook replay` and `heatbook rescue` do";
            return Err(Refused::Message(message.to_owned()));
        }
        if work.verdict.faults.iter().any(real) {
            return Err(Refused::Faults(Box::new(work)));
        }
        Ok((state, work))
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

    /// Goes on to a recipe that was loaded.
    pub fn go_on_with_file(&mut self, state: State) {
        self.kept.clone_from(&state.text);
        self.go_on(state);
    }

    /// Writes the text as a recipe; never over another file.
    pub fn save(&mut self, path: &Named) -> Result<(), String> {
        if path.path().exists() {
            return Err(format!("`{path}` is there already: choose another name"));
        }
        super::super::write::fresh(path, self.text())?;
        self.kept = self.text().to_owned();
        Ok(())
    }
}

/// Whether a fault keeps a line from being taken. With others the build goes on, and may meet its target later.
pub fn real(fault: &Diagnostic) -> bool {
    !matches!(fault.code, Code::TargetMissed | Code::OpenQuestion | Code::TargetLoose)
}
