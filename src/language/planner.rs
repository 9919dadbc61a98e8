//! From statements to a plan: names and kinds are looked up here, once.

use std::collections::BTreeMap;

use super::ast::{self, Clause, Quantity, Recipe, Statement};
use super::expand::Inside;
use super::figures::Figures;
use super::known::Set;
use super::log::{Entry, Log};
use super::names::Names;
use super::plan::{Plan, Planned, TargetPlan};
use crate::forge::{self, Bag, Key, Name, Shop, Slot, wrong_kind};
use crate::forge::{Arg, Site};
use crate::piece::SteelId;
use crate::quantity::Kind;
use crate::source::{Code, Diagnostic, Span};
use crate::steel::{self, Grade};

/// What a plan is made from: a file, the files that it uses, and figures set from outside.
pub struct Sources<'s> {
    /// The file's own statements.
    pub own: &'s [Statement],
    /// Those of each file that it uses, also by way of others.
    pub used: &'s [Vec<Statement>],
    /// Figures set from outside.
    pub set: Vec<Set>,
    /// What a log says was measured.
    pub log: Vec<Entry<'s>>,
}

/// Plans a recipe.
pub fn plan(mut sources: Sources) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    let mut planner = Planner::default();
    planner.figures.set.clone_from(&sources.set);
    planner.log = Log::new(std::mem::take(&mut sources.log));
    planner.learn(sources.own, true);
    for used in sources.used {
        planner.learn(used, false);
    }
    planner.shop(sources.own, sources.used);
    planner.used_steels(sources.own, sources.used);
    for statement in sources.own {
        if planner.found() >= super::parse::MOST_FAULTS {
            break;
        }
        planner.statement(statement);
    }
    planner.unmet();
    let tried = planner.tried(&sources);
    planner.faults.extend(tried);
    planner.end()
}

impl<'s> Planner<'s> {
    /// Faults inside the file's own recipes that nothing calls: each is tried with what its parameters have by default.
    fn tried(&self, sources: &Sources<'s>) -> Vec<Diagnostic> {
        let mut faults = Vec::new();
        if self.found() > 0 {
            return faults;
        }
        for name in &self.own_recipes {
            let Some(recipe) = self.recipes.get(name).filter(|r| !self.called.contains(&r.span)) else {
                continue;
            };
            if recipe.params.iter().any(|p| p.default.is_none()) {
                continue;
            }
            let name = recipe.name.clone();
            let Some(word) = forge::WORDS.iter().find(|w| w.form == forge::Form::Stock) else { continue };
            let call =
                ast::Call { word, name: name.clone(), recipe: name, given: Vec::new(), span: recipe.span };
            let mut trial = Planner::default();
            trial.learn(sources.own, true);
            sources.used.iter().for_each(|used| trial.learn(used, false));
            trial.shop(sources.own, sources.used);
            trial.used_steels(sources.own, sources.used);
            for statement in sources.own {
                if matches!(statement, Statement::Steel { .. }) {
                    trial.statement(statement);
                }
            }
            let _ = trial.called(&call);
            faults.extend(trial.end().2);
        }
        faults
    }
}

/// A plan in the making.
#[derive(Default)]
pub struct Planner<'s> {
    pub(super) figures: Figures,
    pub(super) names: Names,
    pub(super) shop: Shop,
    pub(super) plan: Plan,
    pub(super) faults: Vec<Diagnostic>,
    pub(super) verbs: BTreeMap<&'static str, u32>,
    pub(super) log: Log<'s>,
    pub(super) grades: BTreeMap<String, SteelId>,
    targets: Vec<(&'s Name, &'s [ast::Test], Span)>,
    pub(super) recipes: BTreeMap<&'s str, &'s Recipe>,
    pub(super) own_recipes: Vec<&'s str>,
    pub(super) called: Vec<Span>,
    pub(super) inside: Vec<Inside>,
    pub(super) repeats: u32,
    pub(super) overgrown: bool,
    /// Rounds of repeats so far in which no step was planned.
    pub(super) idle: usize,
}

/// The most different steels in one recipe: what a piece remembers them in has so many places.
const MOST_STEELS: usize = 64;

impl<'s> Planner<'s> {
    /// A line of a log in a recipe.
    fn log_outside(&mut self, statement: &Statement) {
        let (Statement::BuildOf(_, span)
        | Statement::When(_, span)
        | Statement::At(ast::Logged { span, .. })) = statement
        else {
            return;
        };
        let message = "this is a line of a build log, and this file is a recipe";
        let fault = Diagnostic::new(Code::LogInRecipe, message, *span, "it stands here");
        self.faults.push(fault.help("a log is a file of its own that begins with `build of \"file.heat\"`; in a recipe, write `measure blade: 31.5 mm thick`"));
    }

    /// Faults found so far.
    pub(super) fn found(&self) -> usize {
        self.faults.len() + self.figures.faults.len() + self.names.faults.len()
    }

    pub(super) fn statement(&mut self, statement: &'s Statement) {
        match statement {
            Statement::Let(..) | Statement::Shop(..) | Statement::Recipe(_) | Statement::Use(..) => {}
            Statement::BuildOf(..) | Statement::When(..) | Statement::At(_) => self.log_outside(statement),
            Statement::Mark(piece, place, at) => {
                let _ = self.names.marked(piece);
                if let Some(slot) = self
                    .figures
                    .lets
                    .get(&place.text)
                    .copied()
                    .filter(|s| s.kind != Kind::LENGTH && s.kind != Kind::OPEN)
                {
                    self.faults.push(wrong_kind(Slot { span: at.span, ..slot }, Kind::LENGTH, "mark"));
                }
            }
            Statement::Note(text, span) => self.plan.notes.push((text.clone(), *span, self.plan.steps.len())),
            Statement::Steel { name, like, contents, span } => self.steel(name, like, contents, *span),
            Statement::Target(name, tests, span) => self.targets.push((name, tests, *span)),
            Statement::Step(step) => self.step(step),
            Statement::Repeat(count, body, span) => self.repeat(count, body, *span),
            Statement::Call(call) => self.call(call),
            Statement::Give(name, span) => self.give(name, *span),
            Statement::Broken(Some(name)) => self.names.breaks(&name.text),
            Statement::Broken(None) => {}
        }
    }

    fn end(mut self) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
        for (name, tests, span) in std::mem::take(&mut self.targets) {
            let lot = self.names.last(name);
            let tests = tests.iter().filter_map(|t| self.test(t)).collect();
            self.plan.targets.push(TargetPlan { piece: name.text.clone(), lot, span, tests });
        }
        let recipes = self.docs();
        let mut plan = self.plan;
        plan.recipes = recipes;
        (plan.pieces, plan.rack) = self.names.left();
        plan.ground.shop = self.shop;
        plan.ground.limits = self.names.steels.iter().map(forge::Limits::of).collect();
        plan.ground.steels = self.names.steels;
        plan.ground.lots = self.names.lots;
        plan.ground.parts = self.names.parts;
        plan.inches = self.figures.inches > 0;
        plan.ground.spans = self.figures.spans;
        plan.values = self.figures.values;
        plan.slots = self.figures.slots;
        plan.working = self.figures.working;
        plan.asks = self.figures.asks;
        let mut faults = self.faults;
        faults.extend(self.figures.faults);
        faults.extend(self.names.faults);
        (plan, self.figures.set, faults)
    }

    pub(super) fn steel(
        &mut self,
        name: &Name,
        like: &Name,
        contents: &[(&'static str, Quantity)],
        span: Span,
    ) {
        let Some(base) = self.grade(like) else {
            self.grades.remove(&name.text);
            return;
        };
        if self.grades.contains_key(&name.text) || steel::grades::find(&name.text).is_some() {
            let message = format!("there is a steel `{}` already", name.text);
            let fault = Diagnostic::new(Code::SteelTaken, message, name.span, "named once more here");
            self.faults.push(fault.help(format!("give this one another name, such as `my-{}`", name.text)));
            return;
        }
        let Some(mut grade) = self.names.steels.get(usize::from(base.0)).cloned() else { return };
        for (element, quantity) in contents {
            let wanted = if *element == "density" { Kind::DENSITY } else { Kind::RATIO };
            let Some(slot) = self.figures.slot(quantity, &format!("{} {element}", name.text)) else {
                continue;
            };
            if slot.kind != wanted {
                self.faults.push(wrong_kind(slot, wanted, element));
                continue;
            }
            let value = self.figures.value(slot);
            let sound = if *element == "density" { value > 0.0 } else { (0.0..=1.0).contains(&value) };
            if !sound {
                let fault = Diagnostic::new(
                    Code::Content,
                    "no steel has such a content",
                    slot.span,
                    format!("of {element}"),
                );
                self.faults.push(fault.help("contents run from `0 %` to `100 %`, as in `carbon 1.15 %`"));
                continue;
            }
            grade.set(element, value);
        }
        grade.name.clone_from(&name.text);
        grade.source = format!("the recipe's own, like {}", like.text);
        let id = self.push_steel(grade, span);
        self.grades.extend(id.map(|id| (name.text.clone(), id)));
    }

    pub(super) fn grade(&mut self, name: &Name) -> Option<SteelId> {
        if let Some(id) = self.grades.get(&name.text) {
            return Some(*id);
        }
        let Some(grade) = steel::grades::find(&name.text) else {
            let own = self.grades.keys().map(String::as_str);
            let meant =
                super::syntax::nearest(&name.text, own).or_else(|| steel::grades::nearest(&name.text));
            let help = match meant {
                Some(meant) => format!("did you mean `{meant}`; `heatbook steels` lists them all"),
                None => format!(
                    "`heatbook steels` lists them all; or say what it is like: `steel {} = like W1`",
                    name.text
                ),
            };
            let message = format!("there is no steel `{}` in the table", name.text);
            let fault = Diagnostic::new(Code::UnknownSteel, message, name.span, "no such grade").help(help);
            let quoted = meant.map(|m| if m.contains(' ') { format!("\"{m}\"") } else { m.to_owned() });
            let fault = fault.fix_if(name.span, quoted.as_deref());
            self.faults.push(fault);
            return None;
        };
        let id = self.push_steel(grade.clone(), name.span)?;
        self.grades.insert(name.text.clone(), id);
        Some(id)
    }

    fn push_steel(&mut self, grade: Grade, span: Span) -> Option<SteelId> {
        let at = self.names.steels.len();
        if at >= MOST_STEELS {
            let message = format!("a recipe holds at most {MOST_STEELS} different steels");
            self.faults.push(
                Diagnostic::new(Code::TooManySteels, message, span, "one too many").help("use fewer grades"),
            );
            return None;
        }
        // Two names of one grade are one steel: their layers run together.
        if let Some(known) = self.names.steels.iter().position(|g| g.name == grade.name) {
            return u8::try_from(known).ok().map(SteelId);
        }
        self.names.steels.push(grade);
        u8::try_from(at).ok().map(SteelId)
    }

    pub(super) fn step(&mut self, step: &ast::Step) {
        if !self.may_grow(step.span) {
            return;
        }
        let inside = self.inside_prefix();
        let count = self.verbs.entry(step.word.word).or_insert(0);
        *count += 1;
        let count = *count;
        let prefix = match step.word.form {
            forge::Form::Stock => format!("{inside}{}", step.name.text),
            _ => format!("{} {count}", step.word.word),
        };
        self.names.begin(step.span);
        let before = self.found();
        let clauses: Vec<forge::Clause> = step.clauses.iter().map(|c| self.clause(c, &prefix)).collect();
        let sound = before == self.found();
        let site = Site { span: step.span };
        let mut bag = Bag::new(step.word, site, step.name.clone(), clauses, &mut self.names);
        let bound = forge::Step::bind(&mut bag);
        let settled = bag.settled();
        let left = if sound { bag.done() } else { Vec::new() };
        let failed = !left.is_empty();
        self.faults.extend(left);
        settled.into_iter().for_each(|(slot, kind, whole)| self.figures.settle(slot, kind, whole));
        let made = self.names.end();
        match bound {
            Some(bound) if sound && !failed => {
                let shelf =
                    |l: &&crate::piece::LotId| self.names.lots.get(l.0 as usize).is_some_and(|i| !i.racked);
                let made_name = made
                    .gives
                    .iter()
                    .find(shelf)
                    .and_then(|l| self.names.lots.get(l.0 as usize))
                    .map(|l| l.name.clone());
                self.plan.steps.push(Planned {
                    step: bound,
                    word: step.word,
                    span: step.span,
                    piece: step.name.text.clone(),
                    takes: made.takes,
                    gives: made.gives,
                    calls: self.inside.iter().map(|i| i.call).collect(),
                });
                let piece =
                    Name { text: made_name.unwrap_or_else(|| step.name.text.clone()), span: step.name.span };
                self.measured_after(step.word.word, count, step.span, &piece);
            }
            _ => self.names.breaks_step(&step.name.text, &made.gives, &step.clauses),
        }
    }

    fn clause(&mut self, clause: &Clause<Key>, prefix: &str) -> forge::Clause {
        let word = clause.key.word();
        let address = format!("{prefix} {word}");
        forge::Clause { key: clause.key, span: clause.span, args: self.args(&clause.args, &address) }
    }

    pub(super) fn args(&mut self, args: &[ast::Arg], address: &str) -> Vec<Arg> {
        let mut made = Vec::new();
        // A size goes by its own word: `draw 1 thick`.
        let direction = args.iter().find_map(|a| match a {
            ast::Arg::Word(w @ ("thick" | "wide" | "long" | "square" | "round" | "octagon"), _) => Some(*w),
            _ => None,
        });
        let address = match direction {
            Some(word) if address.ends_with(" to") => format!("{} {word}", address.trim_end_matches(" to")),
            _ => address.to_owned(),
        };
        // The points of a line are told apart by their number, the ends of a stretch by `from` and `to`.
        let places = args.iter().filter(|a| matches!(a, ast::Arg::Place(_))).count();
        let heights = args.iter().filter(|a| matches!(a, ast::Arg::Quantity(_))).count();
        let (mut place_n, mut height_n) = (0, 0);
        for arg in args {
            match arg {
                ast::Arg::Quantity(q) if places > 0 && heights > 1 => {
                    height_n += 1;
                    let address = format!("{address} {height_n}");
                    made.extend(self.figures.slot(q, &address).map(Arg::Slot));
                }
                ast::Arg::Quantity(q) => made.extend(self.figures.slot(q, &address).map(Arg::Slot)),
                ast::Arg::Sizes(sizes, span) => {
                    let stem = address.trim_end_matches(" bars");
                    let names = ["thick", "wide", "long"].map(|w| format!("{stem} {w}"));
                    made.extend(self.figures.sizes(sizes, &names).map(|slots| Arg::Dims(slots, *span)));
                }
                ast::Arg::Name(name) => made.push(Arg::Name(name.clone())),
                ast::Arg::Word(word, span) => made.push(Arg::Word(word, *span)),
                ast::Arg::Grade(name) => made.extend(self.grade(name).map(Arg::Steel)),
                ast::Arg::Test(test) => made.extend(self.test(test).map(Arg::Test)),
                ast::Arg::Place(place) => {
                    place_n += 1;
                    let address = match (heights, place_n) {
                        (0, 1) => address.clone(),
                        (0, _) => format!("{} to", address.trim_end_matches(" from")),
                        _ => format!("{address} {place_n} at"),
                    };
                    made.extend(self.place(place, &address).map(Arg::Place));
                }
            }
        }
        made
    }
}

impl Names {
    /// A step at fault: whatever it would have made is not to be missed.
    fn breaks_step(&mut self, name: &str, gives: &[crate::piece::LotId], clauses: &[Clause<Key>]) {
        let given: Vec<String> = gives
            .iter()
            .filter_map(|l| self.lots.get(l.0 as usize))
            .filter(|l| !l.racked)
            .map(|l| l.name.clone())
            .collect();
        for given in given {
            self.breaks(&given);
        }
        self.breaks(name);
        for clause in clauses.iter().filter(|c| matches!(c.key, Key::Into | Key::Onto)) {
            for arg in &clause.args {
                if let ast::Arg::Name(name) = arg {
                    self.breaks(&name.text);
                }
            }
        }
    }
}
