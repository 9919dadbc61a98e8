//! One bar in one place at a time: which names stand for which bars, and where a bar was spent.

use std::collections::{BTreeMap, BTreeSet};

use super::ast::{Arg, Clause};
use super::syntax::nearest;
use super::vocabulary;
use crate::forge::{self, Bought, Key, LotInfo, Name, Scope, word};
use crate::piece::{LotId, PartName, SteelId};
use crate::quantity::Arena;
use crate::source::{Code, Diagnostic, Span, quoted};
use crate::spec::Steels;
use crate::steel::{self, Grade};

/// The most different steels in one recipe: what a piece remembers them in has so many places.
const MOST_STEELS: usize = 64;

#[derive(Clone, Copy, Debug)]
enum State {
    Live(LotId),
    Spent {
        made: Span,
        spent: Span,
    },
    /// The line that should have made it was at fault.
    Broken,
}

/// The names of a plan in the making.
#[derive(Default)]
pub struct Names {
    bars: BTreeMap<String, State>,
    shelf: BTreeMap<String, State>,
    crops: BTreeMap<String, u32>,
    /// The lots so far.
    pub lots: Arena<LotId, LotInfo>,
    /// The names of parts so far.
    pub parts: Arena<PartName, String>,
    /// The steels so far.
    pub steels: Steels,
    /// What is wrong.
    pub faults: Vec<Diagnostic>,
    /// Names that were asked for and whose own lines are at fault: pieces all the same.
    missed: BTreeSet<String>,
    /// The step under way.
    step: Step,
    /// Calls inside calls under way.
    inside: u32,
    /// What lies on the rack by its file, for what is wrong with a name.
    pub filed: Vec<String>,
    /// Whether what is given goes to the rack: its file says so.
    pub to_rack: bool,
}

/// The names outside a call: they come back after it.
pub struct Outside(BTreeMap<String, State>);

/// What one step takes and gives.
#[derive(Clone, Debug, Default)]
pub struct Step {
    /// The words.
    pub span: Span,
    /// The lots that it takes or looks at.
    pub takes: Vec<LotId>,
    /// The lots that it gives.
    pub gives: Vec<LotId>,
    /// What goes into them from the store besides.
    pub brings: Vec<LotId>,
}

impl Names {
    /// Begins a step.
    pub fn begin(&mut self, span: Span) {
        self.step = Step { span, ..Step::default() };
    }

    /// Ends a step.
    pub fn end(&mut self) -> Step {
        let step = std::mem::take(&mut self.step);
        for lot in &step.gives {
            self.lots[*lot].from.clone_from(&step.takes);
        }
        step
    }

    /// Opens the inside of a recipe: only the pieces that it is given are known there.
    pub fn enter(&mut self, pieces: &[(String, LotId)]) -> Outside {
        self.inside += 1;
        let inside = pieces.iter().map(|(name, lot)| (name.clone(), State::Live(*lot))).collect();
        Outside(std::mem::replace(&mut self.bars, inside))
    }

    /// Leaves it: what is left over inside goes to the rack.
    pub fn leave(&mut self, outside: Outside) {
        self.inside = self.inside.saturating_sub(1);
        let inside = std::mem::replace(&mut self.bars, outside.0);
        for (name, state) in inside {
            let State::Live(lot) = state else { continue };
            let name = self.free_on_rack(&name);
            let info = &mut self.lots[lot];
            info.racked = true;
            info.name.clone_from(&name);
            self.shelf.insert(name, State::Live(lot));
        }
    }

    /// Where something comes from that lies, or lay, on the recipe's own rack.
    pub fn racked(&self, name: &str) -> Option<Span> {
        match self.shelf.get(name)? {
            State::Live(lot) => Some(self.lots[*lot].site),
            State::Spent { made, .. } => Some(*made),
            State::Broken => None,
        }
    }

    /// A name that nothing on the rack has yet.
    fn free_on_rack(&self, name: &str) -> String {
        let taken = |n: &str| matches!(self.shelf.get(n), Some(State::Live(_)));
        if !taken(name) {
            return name.to_owned();
        }
        (2..=u32::MAX).map(|i| format!("{name}-{i}")).find(|n| !taken(n)).unwrap_or_default()
    }

    /// A name that cannot be known: its use is no second fault.
    pub fn breaks(&mut self, name: &str) {
        self.bars.insert(name.to_owned(), State::Broken);
    }

    /// What stands in a lot from that one on cannot be known.
    pub fn breaks_from(&mut self, first: usize) {
        for state in self.bars.values_mut() {
            if matches!(state, State::Live(lot) if lot.0 as usize >= first) {
                *state = State::Broken;
            }
        }
    }

    /// Whether the line that should have made a name was at fault.
    pub fn is_broken(&self, name: &str) -> bool {
        matches!(self.bars.get(name), Some(State::Broken))
    }

    /// Whether bars lie there that a step at fault may have been to take.
    pub fn is_left_over(&self, name: &str) -> bool {
        self.bars.contains_key(name) && self.bars.values().any(|state| matches!(state, State::Broken))
    }

    /// A step at fault: whatever it would have made is not to be missed.
    pub fn breaks_step(&mut self, name: &str, gives: &[LotId], clauses: &[Clause<Key>]) {
        let given = gives.iter().map(|lot| &self.lots[*lot]).filter(|lot| !lot.racked).map(|lot| &lot.name);
        let named = clauses.iter().filter(|c| matches!(c.key, Key::Into | Key::Onto)).flat_map(|c| &c.args);
        let named = named.filter_map(|arg| if let Arg::Name(name) = arg { Some(&name.text) } else { None });
        let broken = given.chain(named).map(String::as_str).chain([name]);
        self.bars.extend(broken.map(|name| (name.to_owned(), State::Broken)));
    }

    /// The lots that still stand under a name, and those on the rack, in the order they were made.
    pub fn left(&self) -> (Vec<LotId>, Vec<LotId>) {
        let live = |map: &BTreeMap<String, State>| {
            let lot = |state: &State| if let State::Live(lot) = state { Some(*lot) } else { None };
            let mut lots: Vec<LotId> = map.values().filter_map(lot).collect();
            lots.sort_unstable();
            lots
        };
        (live(&self.bars), live(&self.shelf))
    }

    /// The bars of a name as it stands, for a target or a mark.
    pub fn last(&mut self, name: &Name) -> Option<LotId> {
        self.found(name, false)
    }

    /// What a name stands for; where that is nothing, the fault is put on record.
    fn found(&mut self, name: &Name, shelf: bool) -> Option<LotId> {
        let found = self.find(name, shelf);
        if matches!(found, Err(None)) && !shelf {
            self.missed.insert(name.text.clone());
        }
        found.map_err(|fault| self.faults.extend(fault)).ok()
    }

    fn find(&self, name: &Name, shelf: bool) -> Result<LotId, Option<Diagnostic>> {
        let map = if shelf { &self.shelf } else { &self.bars };
        match map.get(&name.text) {
            Some(State::Live(lot)) => Ok(*lot),
            Some(State::Broken) => Err(None),
            Some(State::Spent { made, spent }) => {
                let message = if shelf {
                    format!("`{}` was taken from the rack already", name.text)
                } else {
                    format!("the bars of `{}` are spent", name.text)
                };
                let fault = Diagnostic::new(Code::Spent, message, name.span, "used once more here")
                    .and(*spent, "they went in here")
                    .and(*made, "made here");
                Err(Some(fault.help(self.where_now(*spent, &name.text))))
            }
            None => Err(Some(self.unknown(name, shelf))),
        }
    }

    /// What to do about a spent name: the piece that its bars went into, where that still stands.
    fn where_now(&self, spent: Span, name: &str) -> String {
        let here = |state: &State| matches!(state, State::Live(lot) if self.lots[*lot].site == spent);
        let now = self.bars.iter().find(|(_, state)| here(state));
        let now = now.map_or(String::new(), |(into, _)| format!("they are in `{into}` now; "));
        format!("{now}take more stock if `{name}` is needed again")
    }

    fn unknown(&self, name: &Name, shelf: bool) -> Diagnostic {
        let map = if shelf { &self.shelf } else { &self.bars };
        let message = if shelf {
            format!("there is no `{}` on the rack", name.text)
        } else {
            format!("there is no piece `{}`", name.text)
        };
        let known =
            map.iter().filter(|(_, state)| !matches!(state, State::Broken)).map(|(name, _)| name.as_str());
        let known = known.chain(self.filed.iter().map(String::as_str).filter(|_| shelf));
        let sound = known.clone().next().is_some();
        let known = known.chain(self.missed.iter().map(String::as_str).filter(|_| !shelf));
        let fault = Diagnostic::new(Code::UnknownName, message, name.span, "nothing has this name here");
        // `side-core-side`: bars that lie on one another.
        let parts: Vec<&str> = name.text.split('-').collect();
        if !shelf && parts.len() > 1 && parts.iter().all(|part| known.clone().any(|name| name == *part)) {
            let bars = parts.join(", ");
            return fault.help(format!("bars are parted by commas: write `{bars}`")).fix(name.span, bars);
        }
        let none = map.is_empty() && known.clone().next().is_none();
        // Words that stand among the pieces of a stack are misspelt as names are.
        let words = ["alternate", "side by side"].into_iter().filter(|_| !shelf);
        fault.meant(nearest(&name.text, known.clone().chain(words)), || match (none, shelf) {
            (true, true) => {
                "nothing lies on the rack here; `--rack FILE` names a file of what earlier builds left"
                    .to_owned()
            }
            (true, false) => {
                format!("take stock first: `stock {} = 9 bars of 1084, 4 x 40 x 150 mm`", name.text)
            }
            (false, _) if !sound => {
                "the lines above that make pieces are at fault: mend those first".to_owned()
            }
            (false, _) => format!("the names here are {}", quoted(known.take(6))),
        })
    }

    /// Whether a name may be given to a piece; the fault is put on record.
    fn may_be_called(&mut self, name: &Name) -> bool {
        let kind = if word(&name.text).is_some() {
            "a verb"
        } else if vocabulary::is_statement(&name.text) {
            "a word of the language"
        } else {
            return true;
        };
        let message = format!("`{}` is {kind}, and no name for a piece", name.text);
        let help = format!("call it something else, such as `{}-1` or `my-{}`", name.text, name.text);
        self.faults.push(Diagnostic::new(Code::VerbAsName, message, name.span, "named here").help(help));
        false
    }

    /// Puts a fault on record: nothing is made.
    fn fail<T>(&mut self, fault: Diagnostic) -> Option<T> {
        self.faults.push(fault);
        None
    }

    /// Says of what a step made which of its sizes may have run into one another since it was stock or was last measured.
    pub fn follow(&mut self, step: &forge::Step, piece: &str, takes: &[LotId], gives: &[LotId]) {
        let of = |lot: &LotId| self.lots[*lot].moved;
        let any = takes.iter().map(of).fold([false; 3], |[t, w, l], [a, b, c]| [t | a, w | b, l | c]);
        for lot in gives {
            // What a stack leaves of another name is as it was.
            let name = &self.lots[*lot].name;
            let rest = takes.iter().find(|t| name != piece && self.lots[**t].name == *name);
            let before = rest.map_or(any, |rest| self.lots[*rest].moved);
            self.lots[*lot].moved = step.moved(before);
        }
    }

    /// A steel that a step is made of; the fault is put on record.
    pub fn push_steel(&mut self, grade: Grade, span: Span) -> Option<SteelId> {
        // Two names of one grade are one steel: their layers run together.
        let known = self.steels.pairs().find(|(_, g)| g.name == grade.name).map(|(id, _)| id);
        if known.is_none() && self.steels.len() >= MOST_STEELS {
            let message = format!("a recipe holds at most {MOST_STEELS} different steels");
            return self
                .fail(Code::TooManySteels.says(message).at(span, "one too many").help("use fewer grades"));
        }
        Some(known.unwrap_or_else(|| self.steels.push(grade)))
    }

    fn bind(&mut self, name: &Name, shelf: bool) -> LotId {
        let info = LotInfo {
            name: name.text.clone(),
            site: self.step.span,
            racked: shelf,
            bought: Bought::Bars,
            from: Vec::new(),
            moved: [false; 3],
        };
        let lot = self.lots.push(info);
        let map = if shelf { &mut self.shelf } else { &mut self.bars };
        map.insert(name.text.clone(), State::Live(lot));
        self.step.gives.push(lot);
        lot
    }

    fn spend(&mut self, name: &Name, shelf: bool) -> Option<LotId> {
        let lot = self.found(name, shelf)?;
        let made = self.lots[lot].site;
        let map = if shelf { &mut self.shelf } else { &mut self.bars };
        map.insert(name.text.clone(), State::Spent { made, spent: self.step.span });
        self.step.takes.push(lot);
        Some(lot)
    }
}

impl Scope for Names {
    fn take(&mut self, name: &Name) -> Option<LotId> {
        self.spend(name, false)
    }

    fn look(&mut self, name: &Name) -> Option<LotId> {
        let lot = self.found(name, false)?;
        self.step.takes.push(lot);
        Some(lot)
    }

    fn give(&mut self, name: &Name) -> Option<LotId> {
        if !self.may_be_called(name) {
            return None;
        }
        if self.to_rack {
            return Some(self.bind(name, true));
        }
        if let Some(State::Live(lot)) = self.bars.get(&name.text) {
            let made = self.lots[*lot].site;
            let fault = if made == self.step.span {
                Code::NameTaken
                    .says(format!("`{}` would name two things after this step", name.text))
                    .at(name.span, "some of its bars keep this name already")
                    .help("give each its own name: steel is never lost in silence")
            } else {
                let message = format!("`{}` still names bars", name.text);
                Diagnostic::new(Code::NameTaken, message, name.span, "the name is given once more here")
                    .and(made, "its bars come from here, and nothing has used them")
                    .help("give one of the two another name: steel is never lost in silence")
            };
            return self.fail(fault);
        }
        Some(self.bind(name, false))
    }

    fn rack(&mut self, keep: Option<&Name>, of: &Name) -> Option<LotId> {
        let count = self.crops.entry(of.text.clone()).or_insert(0);
        *count += 1;
        let plain = Name { text: format!("{}-offcut-{count}", of.text), span: self.step.span };
        let mut kept = keep.unwrap_or(&plain).clone();
        if self.inside > 0 {
            // A recipe that is called twice keeps twice.
            kept.text = self.free_on_rack(&kept.text);
        }
        let name = &kept;
        if keep.is_some() && !self.may_be_called(name) {
            return None;
        }
        if let Some(State::Live(lot)) = self.shelf.get(&name.text) {
            let made = self.lots[*lot].site;
            let message = format!("`{}` lies on the rack already", name.text);
            let fault = Diagnostic::new(Code::NameTaken, message, name.span, "kept under this name here")
                .and(made, "and here");
            return self.fail(fault.help("keep one of the two under another name"));
        }
        let name = name.clone();
        Some(self.bind(&name, true))
    }

    fn unrack(&mut self, name: &Name) -> Option<LotId> {
        self.spend(name, true)
    }

    fn bring(&mut self, name: String, bought: Bought) -> LotId {
        let (racked, from, moved) = (false, Vec::new(), [false; 3]);
        let lot = self.lots.push(LotInfo { name, site: self.step.span, racked, bought, from, moved });
        self.step.brings.push(lot);
        lot
    }

    fn mild(&mut self) -> Option<SteelId> {
        let Some(mild) = steel::grades::find("mild") else { bug!("no mild steel in the table") };
        self.push_steel(mild.clone(), self.step.span)
    }

    fn part(&mut self, name: &str) -> PartName {
        let known = self.parts.pairs().find(|(_, p)| *p == name).map(|(id, _)| id);
        known.unwrap_or_else(|| self.parts.push(name.to_owned()))
    }

    fn grade(&self, steel: SteelId) -> &str {
        &self.steels[steel].name
    }

    fn density(&self, steel: SteelId) -> f64 {
        // kg/m3 to g/mm3.
        self.steels[steel].density_kg_m3 * 1e-6
    }
}
