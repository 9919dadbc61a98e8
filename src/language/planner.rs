//! From statements to a plan: names and kinds are looked up here, once.

use std::collections::{BTreeMap, BTreeSet};

use super::ast::{self, Call, Clause, Expr, Given, Param, ParamKind, Quantity, Recipe, Statement, Wanted};
use super::figures::Figures;
use super::log::{Entry, Log};
use super::names::{self, Names};
use super::set::Set;
use super::syntax::nearest;
use crate::forge::{self, Arg, Bag, Key, Name, Scope, Shop, Slot, wrong_kind};
use crate::piece::{LotId, PartName, SteelId};
use crate::quantity::{Kind, Length, Q, Units, trim_number};
use crate::replay::{Allowed, ParamDoc, Plan, Planned, RecipeDoc, TargetPlan};
use crate::source::{Code, Diagnostic, Label, Span, quoted};
use crate::spec::{Bounds, Place, Spot, Test, What, Zone};
use crate::steel;

/// Plans a recipe from its own statements, those of each file that it uses (also by way of others), what lies on the rack by its file,
/// figures set from outside, and what a log says was measured.
pub fn plan<'s>(
    own: &'s [Statement],
    used: &'s [Vec<Statement>],
    rack: &'s [Statement],
    set: Vec<Set>,
    log: Vec<Entry<'s>>,
) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
    let mut planner = Planner::begun(own, used, set, log);
    planner.lay_by(rack);
    for statement in own {
        if planner.told() >= super::parse::MOST_FAULTS {
            break;
        }
        planner.statement(statement);
    }
    planner.unmet();
    let tried = planner.tried(own, used, rack);
    planner.faults.extend(tried);
    planner.end()
}

/// A line of a rack's file, and the notes behind it.
type Shelved<'s> = (&'s ast::Step, Vec<(&'s String, Span)>);

/// A plan in the making.
#[derive(Default)]
pub struct Planner<'s> {
    figures: Figures,
    names: Names,
    shop: Shop,
    plan: Plan,
    faults: Vec<Diagnostic>,
    verbs: BTreeMap<&'static str, u32>,
    log: Log<'s>,
    grades: BTreeMap<String, SteelId>,
    targets: Vec<(&'s Name, &'s Option<Quantity>, &'s [ast::Test], Span)>,
    recipes: BTreeMap<&'s str, &'s Recipe>,
    own_recipes: Vec<&'s str>,
    called: Vec<Span>,
    inside: Vec<Inside>,
    repeats: u32,
    /// Steels of the recipe's own that were not come to yet.
    unmade: BTreeMap<&'s str, &'s ast::Steel>,
    /// Those that the shop asked for before their line: where they stand.
    early: BTreeSet<Span>,
    /// What lies on the rack by its file, and is not taken yet: each line of stock with the notes behind it.
    shelf: BTreeMap<&'s str, Shelved<'s>>,
    /// Lines of blocks that were gone through, those of empty rounds and of calls too.
    visited: usize,
    /// Lines gone through that could not be read.
    unread: usize,
    /// Whether a recipe at fault was called: what it would have made is not known.
    lost_call: bool,
    overgrown: bool,
    /// What the recipe says that it is shown in, inches or not, and where.
    shown_in: Option<(bool, Span)>,
}

/// Steps in one plan: what is unrolled to more is a slip of the pen.
const MOST_STEPS: usize = 20_000;
/// Lines of blocks that are gone through, round by round: notes and figures make no steps, and take their time too.
const MOST_VISITS: usize = 100_000;
/// The most rounds of one `repeat`.
const MOST_TIMES: f64 = 10_000.0;
/// Calls inside calls.
const DEEPEST: usize = 32;

/// A call under way.
#[derive(Clone)]
struct Inside {
    /// The line that calls.
    call: Span,
    /// The piece that it makes.
    piece: String,
    /// The recipe.
    recipe: Span,
    /// What is given back so far.
    give: Option<(Name, Span)>,
}

/// What a call hands over.
#[derive(Default)]
struct Handed {
    figures: Vec<(String, Option<Slot>)>,
    pieces: Vec<(String, LotId)>,
    steels: Vec<(String, SteelId)>,
    broken: bool,
}

/// What an entry states: its word, and the tool that a spread is of, or what a cost is for.
pub(super) fn stated<'a>(entry: &'a Clause<&'static str>) -> (&'static str, &'a str) {
    let tool = entry.args.iter().find_map(|a| match a {
        ast::Arg::Word(word, _) if entry.key == Key::Spread.word() => Some(*word),
        ast::Arg::Text(of) => Some(of.text.as_str()),
        _ => None,
    });
    (entry.key, tool.unwrap_or(""))
}

impl<'s> Planner<'s> {
    /// All that holds for the whole recipe is known: recipes to be called, the shop, the steels of used files.
    fn begun(own: &'s [Statement], used: &'s [Vec<Statement>], set: Vec<Set>, log: Vec<Entry<'s>>) -> Self {
        let mut planner = Planner { log: Log::new(log), ..Planner::default() };
        planner.figures.set = set;
        for statement in own.iter().chain(used.iter().flatten()) {
            if let Statement::Steel(steel) = statement {
                planner.unmade.entry(steel.name.text.as_str()).or_insert(steel);
            }
        }
        planner.learn(own, true);
        used.iter().for_each(|used| planner.learn(used, false));
        planner.shop(own, used);
        for statement in used.iter().flatten() {
            if let Statement::Allow(allow) = statement
                && allow.everywhere
            {
                planner.allow(allow);
            }
        }
        planner.used_steels(own, used);
        planner
    }

    /// A line of a log in a recipe.
    fn log_outside(&mut self, span: Span) {
        let message = "this is a line of a build log, and this file is a recipe";
        let fault = Diagnostic::new(Code::LogInRecipe, message, span, "it stands here");
        self.faults.push(fault.help("a log is a file of its own that begins with `build of \"file.heat\"`; in a recipe, write `measure blade: 31.5 mm thick`"));
    }

    /// Puts a fault on record: nothing is made.
    fn fail<T>(&mut self, fault: Diagnostic) -> Option<T> {
        self.faults.push(fault);
        None
    }

    /// Faults found so far, and figures that are not there for a fault that was told where they are set.
    fn found(&self) -> usize {
        self.told() + self.figures.lost
    }

    /// Faults found so far.
    fn told(&self) -> usize {
        self.faults.len() + self.figures.faults.len() + self.names.faults.len()
    }

    fn statement(&mut self, statement: &'s Statement) {
        match statement {
            Statement::Let(..) | Statement::Shop(..) | Statement::Recipe(_) | Statement::Use(..) => {}
            Statement::BuildOf(_, span)
            | Statement::When(_, span)
            | Statement::At(ast::Logged { span, .. }) => self.log_outside(*span),
            Statement::Mark(piece, place, at) => {
                let _ = self.names.last(piece);
                let set = self.figures.lets.get(&place.text).copied();
                if let Some(slot) = set.filter(|s| s.kind != Kind::LENGTH && s.kind != Kind::OPEN) {
                    self.faults.push(wrong_kind(Slot { span: at.span, ..slot }, Kind::LENGTH, "mark"));
                    self.figures.forget(&place.text);
                }
            }
            Statement::Units(inches, span) => match self.shown_in {
                Some((_, first)) => {
                    let fault = Code::EntryTwice
                        .says("the units are stated twice")
                        .at(*span, "stated once more here");
                    self.faults.push(fault.and(first, "first stated here").help("keep one of the two"));
                }
                None => self.shown_in = Some((*inches, *span)),
            },
            Statement::Note(text, span) => self.plan.notes.push((text.clone(), *span, self.plan.steps.len())),
            Statement::Allow(allow) => self.allow(allow),
            Statement::Steel(steel) => self.steel(steel),
            Statement::Target(name, count, tests, span) => {
                self.targets.push((name, count, tests, *span));
            }
            Statement::Step(step) => self.step(step),
            Statement::Repeat(count, body, span) => self.repeat(count, body, *span),
            Statement::Call(call) => self.call(call),
            Statement::Give(name, span) => self.give(name, *span),
            Statement::Broken(names) => {
                self.unread += 1;
                names.iter().for_each(|name| self.names.breaks(&name.text));
            }
        }
    }

    /// A warning that is answered: of the step before it, or of every step where there is none or a shop says so.
    fn allow(&mut self, allow: &ast::Allow) {
        if self.plan.allowed.iter().all(|known| known.span != allow.span) {
            let step = if allow.everywhere { None } else { self.plan.steps.last().map(|step| step.span) };
            let (name, reason) = (allow.name.text.clone(), allow.reason.clone());
            self.plan.allowed.push(Allowed { code: Code::of(&name), name, reason, span: allow.span, step });
        }
    }

    fn end(mut self) -> (Plan, Vec<Set>, Vec<Diagnostic>) {
        for (name, count, tests, span) in std::mem::take(&mut self.targets) {
            let lot = self.names.last(name);
            let count = count.as_ref().and_then(|q| self.ordered(q));
            let tests = tests.iter().filter_map(|t| self.test(t)).collect();
            self.plan.targets.push(TargetPlan { piece: name.text.clone(), lot, span, count, tests });
        }
        self.plan.recipes = self.docs();
        let mut plan = self.plan;
        (plan.pieces, plan.rack) = self.names.left();
        plan.ground.shop = self.shop;
        self.names.steels.iter().for_each(|grade| _ = plan.ground.limits.push(forge::Limits::of(grade)));
        plan.ground.steels = self.names.steels;
        plan.ground.lots = self.names.lots;
        plan.ground.parts = self.names.parts;
        plan.ground.hardens |= plan.steps.iter().any(|step| step.word.fire == forge::Fire::Quench);
        plan.inches = self.shown_in.map_or(self.figures.inches > 0, |(inches, _)| inches);
        self.figures.empty_ranges();
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

    /// How many pieces an order is for.
    fn ordered(&mut self, q: &Quantity) -> Option<(u32, Span)> {
        let slot = self.figures.slot(q, "")?;
        let slot = self.of_kind(slot, Kind::NUMBER, "count", "target")?;
        self.figures.shapes(slot);
        let count = self.figures.value(slot);
        if self.figures.is_asked(slot) || count.fract() != 0.0 || !(1.0..=MOST_TIMES).contains(&count) {
            let message = format!("an order is for a whole number of pieces, from 1 to {MOST_TIMES}");
            let fault = Diagnostic::new(Code::NotWhole, message, q.span, "this is none");
            return self.fail(fault.help("write it like `target 3 of blade {`"));
        }
        Some((count as u32, q.span))
    }

    fn steel(&mut self, steel: &ast::Steel) {
        let ast::Steel { name, like, contents, span } = steel;
        self.unmade.remove(name.text.as_str());
        if self.early.contains(span) {
            return;
        }
        let Some(base) = self.grade(like) else {
            self.grades.remove(&name.text);
            return;
        };
        if self.grades.contains_key(&name.text) || steel::grades::find(&name.text).is_some() {
            let message = format!("there is a steel `{}` already", name.text);
            let fault = Diagnostic::new(Code::SteelTaken, message, name.span, "named once more here");
            return self
                .faults
                .push(fault.help(format!("give this one another name, such as `my-{}`", name.text)));
        }
        let mut grade = self.names.steels[base].clone();
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
                let message = "no steel has such a content";
                let fault = Diagnostic::new(Code::Content, message, slot.span, format!("of {element}"));
                self.faults.push(fault.help("contents run from `0 %` to `100 %`, as in `carbon 1.15 %`"));
                continue;
            }
            grade.set(element, value);
        }
        grade.name.clone_from(&name.text);
        grade.source = format!("the recipe's own, like {}", like.text);
        if let Some(id) = self.names.push_steel(grade, *span) {
            self.shop.like.push((id, base));
            self.grades.insert(name.text.clone(), id);
        }
    }

    fn grade(&mut self, name: &Name) -> Option<SteelId> {
        if let Some(id) = self.grades.get(&name.text) {
            return Some(*id);
        }
        let Some(grade) = steel::grades::find(&name.text) else {
            let own = self.grades.keys().map(String::as_str);
            let meant = nearest(&name.text, own).or_else(|| steel::grades::nearest(&name.text));
            let help = match meant {
                Some(meant) => format!("did you mean `{meant}`; `heatbook steels` lists them all"),
                None => format!(
                    "`heatbook steels` lists them all; or say above what it is like: `steel {} = like 1084, carbon 0.9 %`",
                    name.text
                ),
            };
            let message = format!("there is no steel `{}` in the table", name.text);
            let fault = Diagnostic::new(Code::UnknownSteel, message, name.span, "no such grade").help(help);
            let quoted = meant.map(|m| if m.contains(' ') { format!("\"{m}\"") } else { m.to_owned() });
            let fault = fault.fix_if(name.span, quoted.as_deref());
            return self.fail(fault);
        };
        let id = self.names.push_steel(grade.clone(), name.span)?;
        self.grades.insert(name.text.clone(), id);
        Some(id)
    }

    /// Keeps in mind what lies on the rack by its file; of two lots with one name the second is a fault.
    fn lay_by(&mut self, rack: &'s [Statement]) {
        let mut last = None;
        for statement in rack {
            match statement {
                Statement::Step(step) => {
                    let name = step.name.text.as_str();
                    last = Some(name);
                    if let Some((first, _)) = self.shelf.get(name) {
                        let message = format!("two lots on the rack are called `{name}`");
                        let fault = Code::NameTaken.says(message).at(step.name.span, "once more here");
                        let fault = fault.and(first.name.span, "the first is here");
                        self.faults.push(fault.help("give one of the two another name"));
                        continue;
                    }
                    self.shelf.insert(name, (step, Vec::new()));
                }
                Statement::Note(text, span) => {
                    let lot = last.and_then(|last| self.shelf.get_mut(last));
                    lot.into_iter().for_each(|(_, notes)| notes.push((text, *span)));
                }
                _ => {}
            }
        }
        self.names.filed = self.shelf.keys().map(|name| (*name).to_owned()).collect();
    }

    /// Puts what a step takes from the rack there, where it lies there by the rack's file: only what is taken comes into the plan.
    fn fetch(&mut self, step: &ast::Step) {
        let taken = step.clauses.iter().filter(|clause| clause.key == Key::FromRack);
        for name in taken.flat_map(|clause| &clause.args) {
            let ast::Arg::Name(name) = name else { continue };
            let Some((lies, _)) = self.shelf.get(name.text.as_str()) else { continue };
            if let Some(made) = self.names.racked(&name.text) {
                let message = format!("there are two `{}` on the rack", name.text);
                let fault = Code::NameTaken.says(message).at(name.span, "which of them is meant");
                let fault =
                    fault.and(made, "one comes from here").and(lies.name.span, "one lies there by its file");
                let help = "keep the recipe's own under another name: `keep NAME` behind its `cut`";
                self.faults.push(fault.help(help));
                continue;
            }
            let Some((lies, notes)) = self.shelf.remove(name.text.as_str()) else { continue };
            self.plan.drawn.push((name.text.clone(), lies.span));
            let before = self.plan.steps.len();
            self.plan.notes.extend(notes.into_iter().map(|(text, span)| (text.clone(), span, before)));
            self.names.to_rack = true;
            self.worked(lies, &lies.name.text);
            self.names.to_rack = false;
        }
    }

    fn step(&mut self, step: &ast::Step) {
        if !self.may_grow(step.span) {
            return;
        }
        self.fetch(step);
        let inside = self.inside_prefix();
        let count = self.verbs.entry(step.word.word).or_insert(0);
        *count += 1;
        let count = *count;
        let prefix = match step.word.form {
            forge::Form::Stock => format!("{inside}{}", step.name.text),
            _ => format!("{} {count}", step.word.word),
        };
        if let Some(piece) = self.worked(step, &prefix) {
            if let Some(made) = self.plan.steps.last_mut() {
                made.nth = Some(count);
            }
            self.measured_after(step.word.word, count, step.span, &piece);
        }
    }

    /// Binds a step and puts it into the plan, its figures at addresses that begin so; gives the piece that it makes.
    fn worked(&mut self, step: &ast::Step, prefix: &str) -> Option<Name> {
        self.names.begin(step.span);
        let before = self.found();
        let clauses: Vec<forge::Clause> = step.clauses.iter().map(|c| self.clause(c, prefix)).collect();
        self.figures.form = "";
        let sound = before == self.found();
        let mut hazards = step.word.hazards.to_vec();
        hazards.extend(clauses.iter().filter_map(forge::Clause::hazard));
        hazards.sort_unstable();
        hazards.dedup();
        let mut bag = Bag::new(step.word, step.span, step.name.clone(), clauses, &mut self.names);
        let bound = forge::Step::bind(&mut bag);
        let settled = bag.settled();
        let mut left = bag.done();
        // Where a figure could not be read, only what is wrong with the others is said.
        left.retain(|f| sound || matches!(f.code, Code::WrongKind | Code::ClauseUnknown));
        let failed = !left.is_empty();
        self.faults.extend(left);
        settled.into_iter().for_each(|(slot, kind, whole)| self.figures.settle(slot, kind, whole));
        let made = self.names.end();
        match bound {
            Some(bound) if sound && !failed => {
                let mut given = made.gives.iter().map(|lot| &self.names.lots[*lot]);
                let made_name = given.find(|lot| !lot.racked).map(|lot| lot.name.clone());
                self.names.follow(&bound, &step.name.text, &made.takes, &made.gives);
                self.planned((bound, step.word, hazards), &step.name, made);
                Some(Name { text: made_name.unwrap_or_else(|| step.name.text.clone()), span: step.name.span })
            }
            _ => {
                self.names.breaks_step(&step.name.text, &made.gives, &step.clauses);
                None
            }
        }
    }

    fn clause(&mut self, clause: &Clause<Key>, prefix: &str) -> forge::Clause {
        let word = clause.key.word();
        let address = format!("{prefix} {word}");
        self.figures.form = clause.key.form();
        forge::Clause { key: clause.key, span: clause.span, args: self.args(&clause.args, &address) }
    }

    fn args(&mut self, args: &[ast::Arg], address: &str) -> Vec<Arg> {
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
                    let stem = address.trim_end_matches(" bars").trim_end_matches(" sizes");
                    let names = ["thick", "wide", "long"].map(|w| format!("{stem} {w}"));
                    made.extend(self.figures.sizes(sizes, &names).map(|slots| Arg::Dims(slots, *span)));
                }
                ast::Arg::Name(name) => made.push(Arg::Name(name.clone())),
                ast::Arg::Word(word, span) => made.push(Arg::Word(word, *span)),
                ast::Arg::Text(text) => made.push(Arg::Text(text.clone())),
                ast::Arg::Grade(name) => made.extend(self.grade(name).map(Arg::Steel)),
                ast::Arg::Test(test) if test.what.of_the_build() => {
                    let word = test.what.word();
                    let message = format!("`{word}` is of the whole build, and nothing to see on the way");
                    let fault =
                        Diagnostic::new(Code::OfTheWhole, message, test.span, "a checkpoint looks at a bar");
                    self.faults.push(fault.help("ask for it in a `target`"));
                }
                ast::Arg::Test(test) => made.extend(self.test(test).map(Arg::Test)),
                ast::Arg::Place(place) => {
                    place_n += 1;
                    let address = match (heights, place_n) {
                        (0, 1) => address.clone(),
                        (0, _) => format!("{} to", address.trim_end_matches(" from")),
                        _ => format!("{address} {place_n} at"),
                    };
                    made.extend(self.place(place, &address, "at").map(Arg::Place));
                }
            }
        }
        made
    }

    /// The lets that a shop may use come first, then the shop: it holds for the whole file.
    fn shop(&mut self, own: &[Statement], used: &[Vec<Statement>]) {
        let mut first: Option<Span> = None;
        let ours =
            |of: &Name| own.iter().any(|s| matches!(s, Statement::Let(name, _) if name.text == of.text));
        for statement in used.iter().flatten() {
            if let Statement::Let(name, quantity) = statement
                && !ours(name)
            {
                self.figures.bind(name, quantity);
            }
        }
        for statement in own {
            match statement {
                Statement::Let(name, quantity) | Statement::Mark(_, name, quantity) => {
                    self.figures.bind(name, quantity);
                }
                Statement::Broken(names) => names.iter().for_each(|name| self.figures.broken(&name.text)),
                _ => {}
            }
        }
        let mut seen: BTreeMap<(&str, &str), Span> = BTreeMap::new();
        for statement in own {
            let Statement::Shop(entries, span) = statement else { continue };
            if let Some(first) = first {
                let fault =
                    Code::TwoShops.says("a recipe is worked in one shop").at(*span, "a second shop here");
                let fault = fault.and(first, "the first is here");
                self.faults.push(fault.help("put all entries into one block"));
                continue;
            }
            first = Some(*span);
            for entry in entries {
                // There are prices of several things.
                if let Some(before) = seen.insert(stated(entry), entry.span).filter(|_| entry.key != "price")
                {
                    let message = format!("the shop states its `{}` twice", entry.key);
                    let fault = Code::EntryTwice.says(message).at(entry.span, "stated once more here");
                    self.faults.push(fault.and(before, "first stated here").help("keep one of the two"));
                    continue;
                }
                self.enter(entry);
            }
        }
        // What the file's own shop leaves out, a used one may state.
        for statement in used.iter().flatten() {
            let Statement::Shop(entries, _) = statement else { continue };
            for entry in entries.iter().filter(|e| !seen.contains_key(&stated(e))) {
                self.enter(entry);
            }
        }
    }

    /// A steel that the shop speaks of may be the recipe's own, from a line further on.
    fn early_steel(&mut self, name: &str) {
        let Some(steel) = self.unmade.remove(name) else { return };
        self.early_steel(&steel.like.text);
        self.steel(steel);
        self.early.insert(steel.span);
    }

    fn enter(&mut self, entry: &Clause<&'static str>) {
        for arg in &entry.args {
            if let ast::Arg::Grade(of) | ast::Arg::Name(of) = arg {
                self.early_steel(&of.text);
            }
        }
        let (_, tool) = stated(entry);
        let address = match entry.args.first() {
            Some(ast::Arg::Name(of) | ast::Arg::Grade(of) | ast::Arg::Text(of)) => {
                format!("shop {} of {}", entry.key, of.text)
            }
            _ if !tool.is_empty() => format!("shop {} with {tool}", entry.key),
            _ => format!("shop {}", entry.key),
        };
        self.figures.form = forge::ENTRIES.iter().find(|e| e.word == entry.key).map_or("", |e| e.form);
        let args = self.args(&entry.args, &address);
        self.figures.form = "";
        let entry = forge::Entry { word: entry.key, span: entry.span, args };
        match entry.unsound(|slot| self.figures.value(slot)) {
            Some(fault) => self.faults.push(fault),
            None => self.shop.enter(&entry, &mut self.faults),
        }
    }

    /// Steels of used files, where the file has none of that name itself.
    fn used_steels(&mut self, own: &[Statement], used: &[Vec<Statement>]) {
        let ours = |of: &Name| {
            own.iter().any(|s| matches!(s, Statement::Steel(steel) if steel.name.text == of.text))
        };
        for statement in used.iter().flatten() {
            if let Statement::Steel(steel) = statement
                && !ours(&steel.name)
            {
                self.steel(steel);
            }
        }
    }

    fn test(&mut self, test: &ast::Test) -> Option<Test> {
        if let (Some(second), Some((_, first))) = (test.second_zone, &test.zone) {
            let message = "a test holds in one place or stretch";
            let fault = Diagnostic::new(Code::TwoZones, message, second, "a second one here");
            return self.fail(fault.and(*first, "the first is here").help("write a line for each"));
        }
        let kind = test.what.kind();
        let before = self.figures.imperial;
        let bounds = match &test.wanted {
            Wanted::AtLeast(q) => Bounds::AtLeast(self.limit(q, kind, test)?.slot),
            Wanted::AtMost(q) => Bounds::AtMost(self.limit(q, kind, test)?.slot),
            Wanted::Equal(q) => {
                let slot = self.limit(q, kind, test)?;
                Bounds::Equal(slot.slot, self.figures.tolerance(slot))
            }
            Wanted::Within(a, b) => {
                let (a, b) = self.figures.range(a, b)?;
                if let Some(other) = [a, b].into_iter().find(|slot| slot.kind != kind) {
                    return self.fail(wrong_kind(other, kind, test.what.word()));
                }
                if self.figures.value(a) > self.figures.value(b) {
                    let (message, text) = ("this range runs backwards", "the first is larger");
                    let fault = Diagnostic::new(Code::RangeBackwards, message, test.wanted_span, text);
                    return self.fail(fault.help("write the smaller figure first"));
                }
                Bounds::Within(a.slot, b.slot)
            }
        };
        let units = match self.figures.imperial - before {
            0 => None,
            more if more > 0 => Some(Units::Inch),
            _ => Some(Units::Metric),
        };
        self.of_the_whole(test)?;
        self.money(test)?;
        let behind = where_given(&test.behind, |q| self.behind(q, test))?;
        let allowing = where_given(&test.allowing, |q| self.allowance(q, &bounds, test))?;
        let spot = self.spot(test);
        self.of_the_pattern(test, spot)?;
        let named = test.part.as_ref().filter(|_| spot.is_none());
        let part = named.map_or(Some(None), |name| self.part(name).map(Some));
        let zone = match &test.zone {
            None | Some((ast::Zone::Everywhere | ast::Zone::OnFace, _)) => Zone::Everywhere,
            Some((ast::Zone::At(place), _)) => Zone::At(self.place(place, "", "at")?),
            Some((ast::Zone::Between(ends), _)) => {
                let [a, b] = ends.as_ref();
                Zone::Between(self.place(a, "", "from")?, self.place(b, "", "to")?)
            }
        };
        self.plan.ground.hardens |= test.what == What::Hardness;
        Some(Test {
            what: test.what,
            part: part?,
            spot,
            behind,
            on_face: matches!(test.zone, Some((ast::Zone::OnFace, _))),
            allowing,
            zone,
            bounds,
            span: test.span,
            wanted: test.wanted_span,
            zone_span: test.zone.as_ref().map(|(_, span)| *span),
            units,
        })
    }

    fn limit(&mut self, q: &Quantity, kind: Kind, test: &ast::Test) -> Option<Slot> {
        let slot = self.figures.slot(q, "")?;
        self.of_kind(slot, kind, kind.name(), test.what.word())
    }

    /// Balance and tang are of the whole blade, hours and cost of the build: they have neither part nor stretch.
    fn of_the_whole(&mut self, test: &ast::Test) -> Option<()> {
        let stretch = test.zone.as_ref().map(|(_, span)| *span);
        let words = test.part.as_ref().map(|p| p.span).or(stretch);
        let whole = match test.what {
            What::Balance | What::Tang => "blade",
            what if what.of_the_build() => "build",
            _ => return Some(()),
        };
        let Some(words) = words else { return Some(()) };
        let word = test.what.word();
        let message = format!("`{word}` is of the whole {whole}");
        let fault = Diagnostic::new(Code::OfTheWhole, message, words, "a part, or a place");
        let sample = match test.what {
            What::Hours => "<= 12 h",
            What::Cost => "<= 300",
            _ => ">= 30 mm",
        };
        self.fail(fault.help(format!("write it without, as in `{word} {sample}`")))
    }

    /// A sign of a currency stands with a cost alone, and is the shop's.
    fn money(&mut self, test: &ast::Test) -> Option<()> {
        let Some((sign, at)) = test.currency else { return Some(()) };
        if test.what != What::Cost {
            let message = format!("`{}` is no money", test.what.word());
            let fault = Diagnostic::new(Code::WrongKind, message, at, "the sign of a currency");
            return self.fail(fault.help("write the figure without it"));
        }
        match self.shop.currency {
            Some((own, _)) if own != sign => {
                let message = format!("the shop's prices are in `{own}`, and this is in `{sign}`");
                let fault = Diagnostic::new(Code::TwoCurrencies, message, at, "another currency");
                self.fail(fault.help(format!("write it in `{own}`")))
            }
            _ => Some(()),
        }
    }

    /// How much more than the least there is to be.
    fn allowance(&mut self, q: &Quantity, bounds: &Bounds, test: &ast::Test) -> Option<Q<Length>> {
        let slot = self.limit(q, Kind::LENGTH, test)?;
        if !matches!(bounds, Bounds::AtLeast(_)) || test.what.kind() != Kind::LENGTH {
            let message = "an allowance goes on top of the least size of something";
            let fault = Diagnostic::new(Code::Allowance, message, q.span, "there is no least size here");
            return self.fail(fault.help("write it as `spine >= 3 mm at heel, allowing 0.25 mm`"));
        }
        self.not_below_nothing(slot, q)
    }

    /// A figure of a test that cannot be below nothing.
    fn not_below_nothing(&mut self, slot: Slot, q: &Quantity) -> Option<Q<Length>> {
        if self.figures.value(slot) < 0.0 {
            let message = "this figure cannot be below nothing";
            let fault = Diagnostic::new(Code::Negative, message, q.span, "below nothing");
            return self.fail(fault.help("write it without the minus"));
        }
        Q::of(slot.slot, slot.kind)
    }

    /// How far behind the edge a thickness is tested.
    fn behind(&mut self, q: &Quantity, test: &ast::Test) -> Option<Q<Length>> {
        let slot = self.limit(q, Kind::LENGTH, test)?;
        if test.what != What::Thickness {
            let message = format!("`{}` is not tested behind the edge", test.what.word());
            let fault = Diagnostic::new(Code::BehindEdge, message, q.span, "so far behind the edge");
            return self.fail(fault.help("write it as `thickness 1 mm behind edge <= 0.4 mm`"));
        }
        self.not_below_nothing(slot, q)
    }

    fn known_part(&self, name: &Name) -> Option<PartName> {
        self.names.parts.pairs().find(|(_, part)| **part == name.text).map(|(known, _)| known)
    }

    /// Where in the section a hardness is asked, where no part is called so; of what of the pattern a pitch is.
    fn spot(&self, test: &ast::Test) -> Option<Spot> {
        let name = test.part.as_ref()?;
        let asked = |spot: &Spot| match spot.mark() {
            Some(_) => test.what == What::Pitch,
            None => test.what == What::Hardness && self.known_part(name).is_none(),
        };
        Spot::ALL.into_iter().find(|spot| spot.word() == name.text && asked(spot))
    }

    /// What is asked of a pattern is of its rungs, drops or turns, or of what shows on the faces, and of the whole piece.
    fn of_the_pattern(&mut self, test: &ast::Test, spot: Option<Spot>) -> Option<()> {
        let word = test.what.word();
        let lines = matches!(test.what, What::LayersPerMm | What::LayersPerIn);
        let on_face = matches!(test.zone, Some((ast::Zone::OnFace, _)));
        let zone = test.zone.as_ref().map(|(_, span)| *span);
        let shows = lines || (test.what == What::Share && test.part.is_some());
        let (message, at, help) = if test.what == What::Pitch && spot.is_none() {
            let at = test.part.as_ref().map_or(test.span, |name| name.span);
            let message = "a `pitch` is of `rungs`, of `drops` or of `twist`".to_owned();
            (message, at, "write it as `pitch of rungs 10 .. 14 mm`")
        } else if on_face && !shows {
            let message = format!("`{word}` is not told of what shows on the faces");
            let help = "that can be asked of a part's share, and of lines: `share of bright 30 .. 50 % on face`, `layers per mm 3 .. 8 on face`";
            (message, zone.unwrap_or(test.span), help)
        } else if let Some(at) = zone.filter(|_| test.what == What::Pitch || (lines && !on_face)) {
            (format!("`{word}` is of the whole piece"), at, "leave the place out")
        } else if let Some(part) = test.part.as_ref().filter(|_| lines) {
            (
                format!("`{word}` counts the lines between all steels"),
                part.span,
                "write it as `layers per mm 3 .. 8 on face`",
            )
        } else {
            return Some(());
        };
        self.fail(Code::PatternAsked.says(message).at(at, "this has no meaning there").help(help))
    }

    fn part(&mut self, name: &Name) -> Option<PartName> {
        if let Some(known) = self.known_part(name) {
            return Some(known);
        }
        // Its stock is at fault, or the stack that it went into: that is said already.
        if self.names.is_broken(&name.text) || self.names.is_left_over(&name.text) {
            return None;
        }
        let meant = nearest(&name.text, self.names.parts.iter().map(String::as_str));
        // A recipe at fault would have brought it.
        if meant.is_none() && self.lost_call {
            return None;
        }
        let message = format!("nothing called `{}` went into a stack", name.text);
        let fault = Diagnostic::new(Code::UnknownPart, message, name.span, "no such part");
        let help = "a part is asked for by the name under which it was stacked or joined";
        self.fail(fault.meant(meant, || help.to_owned()))
    }

    fn place(&mut self, place: &ast::Place, address: &str, word: &str) -> Option<Place> {
        let by = where_given(&place.by, |q| {
            let slot = self.figures.slot(q, address)?;
            let slot = self.of_kind(slot, Kind::LENGTH, "length", word)?;
            Q::of(slot.slot, slot.kind)
        })?;
        Some(Place { from: place.from, by, span: place.span })
    }

    /// The prefix of addresses inside a call: its piece.
    fn inside_prefix(&self) -> String {
        self.inside.iter().map(|i| format!("{} ", i.piece)).collect()
    }

    /// Whether one step or round more may be planned; says once where it may not. (A round without a step takes its time too.)
    fn may_grow(&mut self, span: Span) -> bool {
        let many = if self.plan.steps.len() >= MOST_STEPS {
            format!("{MOST_STEPS} steps")
        } else if self.visited > MOST_VISITS {
            format!("{MOST_VISITS} lines, round by round")
        } else {
            return true;
        };
        if !self.overgrown {
            self.overgrown = true;
            let message = format!("this comes to more than {many}");
            let fault = Diagnostic::new(Code::TooManySteps, message, span, "one too many is here");
            self.faults.push(fault.help("repeat less often: look for a count with too many noughts"));
        }
        false
    }

    /// `repeat N { … }`
    fn repeat(&mut self, count: &'s Quantity, body: &'s [Statement], span: Span) {
        self.repeats += 1;
        let address = format!("{}repeat {}", self.inside_prefix(), self.repeats);
        let Some(slot) = self.figures.slot(count, &address) else { return };
        if self.figures.is_asked(slot) {
            let message = "how often something is repeated cannot be asked for";
            let fault = Diagnostic::new(Code::RepeatAsked, message, slot.span, "a `?` stands here");
            return self.faults.push(fault.help("try it out: `--set` with one count after the other"));
        }
        if slot.kind != Kind::NUMBER {
            return self.faults.push(wrong_kind(slot, Kind::NUMBER, "repeat"));
        }
        self.figures.shapes(slot);
        let times = self.figures.value(slot);
        if times.fract() != 0.0 || !(0.0..=MOST_TIMES).contains(&times) {
            let text = format!("this is {}", trim_number(times, 4));
            let message = format!("`repeat` takes a whole number from 0 to {MOST_TIMES}");
            let fault = Diagnostic::new(Code::NotWhole, message, slot.span, text);
            return self.faults.push(fault.help("write how often it is done, as in `repeat 3 {`"));
        }
        let first = self.names.lots.len();
        for round in 1..=times as usize {
            if !self.may_grow(span) {
                break;
            }
            let (outside, steps) = (self.figures.enter(Vec::new()), self.plan.steps.len());
            let stop = !self.body(body, span);
            self.figures.leave(outside);
            // What comes to no step for want of a piece that is broken comes to none in the next round.
            let idle = self.plan.steps.len() == steps && self.found() + self.unread > 0;
            if stop || idle {
                // After fewer rounds than were asked for nobody knows what the pieces would be.
                if round < times as usize {
                    self.names.breaks_from(first);
                }
                break;
            }
        }
    }

    /// Works the lines of a block; `false` where it is no use to go on.
    fn body(&mut self, body: &'s [Statement], span: Span) -> bool {
        let before = (self.found(), self.unread);
        // An empty round is a line too.
        self.visited += 1;
        if !self.may_grow(span) {
            return false;
        }
        for statement in body {
            self.visited += 1;
            if !self.may_grow(span) {
                return false;
            }
            match statement {
                Statement::Let(name, quantity) | Statement::Mark(_, name, quantity) => {
                    let address = format!("{}{}", self.inside_prefix(), name.text);
                    self.figures.rebind(name, quantity, &address);
                }
                Statement::Broken(names) => {
                    names.iter().for_each(|name| self.figures.broken(&name.text));
                    self.statement(statement);
                }
                Statement::Use(_, at) => {
                    let message = "`use` stands at the top of a file";
                    let fault = Diagnostic::new(Code::UseInside, message, *at, "it stands in a block here");
                    self.faults.push(fault.help("move the line out of the block"));
                }
                _ => self.statement(statement),
            }
        }
        // The same fault once more in each round would help nobody.
        (self.found(), self.unread) == before
    }

    /// `give P`
    fn give(&mut self, name: &Name, span: Span) {
        let Some(inside) = self.inside.last_mut() else {
            let fault = Code::GiveOutside.says("`give` ends a recipe").at(span, "no recipe is open here");
            return self.faults.push(fault.help("it stands at the end of `recipe NAME(…) { … }`"));
        };
        if let Some((_, first)) = &inside.give {
            let fault = Code::GiveTwice.says("a recipe gives one piece").at(span, "a second one here");
            let fault = fault.and(*first, "the first is here");
            return self.faults.push(fault.help("join or stack them first, or keep the rest on the rack"));
        }
        inside.give = Some((name.clone(), span));
    }

    /// `stock N = NAME(…)`
    fn call(&mut self, call: &'s Call) {
        let before = self.found();
        let marks = [self.faults.len(), self.figures.faults.len(), self.names.faults.len()];
        let made = self.called(call);
        self.name_the_call(marks, call.span);
        if made.is_none() || before != self.found() {
            self.names.breaks(&call.name.text);
        }
    }

    /// Faults found inside a recipe also point at the line that calls it.
    fn name_the_call(&mut self, marks: [usize; 3], call: Span) {
        let lists = [&mut self.faults, &mut self.figures.faults, &mut self.names.faults];
        for (list, mark) in lists.into_iter().zip(marks) {
            for fault in list.iter_mut().skip(mark) {
                let at = fault.span();
                if at.start < call.start || at.end > call.end {
                    fault.labels.push(Label { span: call, text: "in the recipe called here".to_owned() });
                }
            }
        }
    }

    fn called(&mut self, call: &'s Call) -> Option<()> {
        let recipe = self.recipe_of(call)?;
        self.called.push(recipe.span);
        let handed = self.hand_over(call, recipe);
        let grades = self.grades.clone();
        let outside = self.figures.enter(handed.figures);
        let bars = self.names.enter(&handed.pieces);
        let (verbs_before, unread_before) = (self.found(), self.unread);
        self.grades.extend(handed.steels);
        let piece = call.name.text.clone();
        self.inside.push(Inside { call: call.span, piece, recipe: recipe.span, give: None });
        let broken = !self.defaults(call, recipe) || handed.broken;
        if !broken {
            self.body(&recipe.body, call.span);
        }
        let give = self.inside.pop().and_then(|i| i.give);
        self.names.begin(call.span);
        let lot = match give {
            Some((name, _)) => self.names.take(&name),
            None => {
                if !broken && verbs_before == self.found() && unread_before == self.unread {
                    let message = format!("`{}` gives nothing back", recipe.name.text);
                    let fault = Diagnostic::new(Code::NoGive, message, recipe.span, "no `give` stands in it");
                    self.faults.push(fault.help("end it with `give` and the piece that it makes"));
                }
                None
            }
        };
        self.names.leave(bars);
        self.figures.leave(outside);
        self.grades = grades;
        self.lost_call |= lot.is_none();
        let from = lot?;
        let to = self.names.give(&call.name)?;
        let made = self.names.end();
        let step = forge::Step::handed(from, to, call.span);
        self.names.follow(&step, &call.name.text, &made.takes, &made.gives);
        self.planned((step, call.word, Vec::new()), &call.name, made);
        Some(())
    }

    /// Puts a step that is bound into the plan.
    fn planned(
        &mut self,
        (step, word, hazards): (forge::Step, &'static forge::Word, Vec<forge::Hazard>),
        piece: &Name,
        made: names::Step,
    ) {
        let names::Step { span, takes, gives, brings } = made;
        let calls = self.inside.iter().map(|i| i.call).collect();
        let piece = piece.text.clone();
        // Stock that is handed over comes from no store.
        let stock = word.form == forge::Form::Stock && takes.is_empty();
        let brings = if stock { gives.first().copied().into_iter().collect() } else { brings };
        let nth = None;
        self.plan.steps.push(Planned { step, word, span, piece, takes, gives, brings, calls, nth, hazards });
    }

    fn recipe_of(&mut self, call: &'s Call) -> Option<&'s Recipe> {
        let name = &call.recipe;
        let Some(recipe) = self.recipes.get(name.text.as_str()).copied() else {
            if self.names.is_broken(&name.text) {
                return None;
            }
            let message = format!("there is no recipe `{}`", name.text);
            let fault = Diagnostic::new(Code::UnknownRecipe, message, name.span, "called here");
            let fault = fault.meant(nearest(&name.text, self.recipes.keys().copied()), || {
                if self.recipes.is_empty() {
                    return "`use \"file.heat\"` brings recipes from another file".to_owned();
                }
                format!("the recipes here are {}", quoted(self.recipes.keys().copied()))
            });
            return self.fail(fault);
        };
        let again = self.inside.iter().any(|i| i.recipe == recipe.span);
        if again || self.inside.len() >= DEEPEST {
            let message = format!("`{}` would be worked inside itself, without end", name.text);
            let fault = Diagnostic::new(Code::RecipeInItself, message, name.span, "called here")
                .and(recipe.span, "inside this recipe");
            return self.fail(fault.help("use `repeat` for what is done several times"));
        }
        Some(recipe)
    }

    /// What the call gives to each parameter, worked out where the call stands.
    fn hand_over(&mut self, call: &'s Call, recipe: &'s Recipe) -> Handed {
        let mut handed = Handed::default();
        let before = self.found();
        self.names.begin(call.span);
        let mut seen: Vec<&Name> = Vec::new();
        for (to, given) in &call.given {
            if let Some(first) = seen.iter().find(|n| n.text == to.text) {
                let message = format!("`{}` is given twice", to.text);
                let fault = Diagnostic::new(Code::ParamTwice, message, to.span, "once more here");
                self.faults.push(fault.and(first.span, "given here").help("keep one of the two"));
                continue;
            }
            seen.push(to);
            match recipe.params.iter().find(|p| p.name.text == to.text) {
                Some(param) => self.hand(call, param, given, &mut handed),
                None => self.no_such_param(recipe, to),
            }
        }
        handed.broken |= before != self.found();
        handed
    }

    fn no_such_param(&mut self, recipe: &Recipe, to: &Name) {
        let known = recipe.params.iter().map(|p| p.name.text.as_str());
        let message = format!("`{}` has no parameter `{}`", recipe.name.text, to.text);
        let fault = Diagnostic::new(Code::UnknownParam, message, to.span, "given here");
        let fault = fault.and(recipe.span, "this recipe").meant(nearest(&to.text, known.clone()), || {
            if recipe.params.is_empty() {
                "it takes none".to_owned()
            } else {
                format!("it takes {}", quoted(known))
            }
        });
        self.faults.push(fault);
    }

    fn hand(&mut self, call: &Call, param: &Param, given: &Given, handed: &mut Handed) {
        let name = param.name.text.clone();
        let address = format!("{}{} {name}", self.inside_prefix(), call.name.text);
        match (param.kind, given) {
            (ParamKind::Figure(kind, word), Given::Quantity(quantity)) => {
                let slot = self.figures.slot(quantity, &address);
                let slot = slot.and_then(|slot| self.of_kind(slot, kind, word, &name));
                handed.figures.push((name, slot));
            }
            (ParamKind::Figure(kind, _), Given::Grade(grade)) => {
                let message = format!("`{name}` takes {}", kind.name());
                let fault = Diagnostic::new(Code::WrongKind, message, grade.span, "this is none");
                self.faults.push(fault.help(format!("write it like {}", kind.example())));
            }
            (ParamKind::Piece, Given::Quantity(Quantity { expr: Expr::Name(piece), .. })) => {
                match self.names.take(piece) {
                    Some(lot) => handed.pieces.push((name, lot)),
                    // What it comes from is at fault, and that was said.
                    None => handed.broken = true,
                }
            }
            (ParamKind::Piece, given) => {
                let message = format!("`{name}` takes a piece");
                let fault = Diagnostic::new(Code::WrongKind, message, given.span(), "this names none");
                self.faults.push(fault.help("write the name of the piece: it is spent here"));
            }
            (ParamKind::Steel, given) => {
                let Some(grade) = grade_of(given) else {
                    let message = format!("`{name}` takes a steel");
                    let fault = Diagnostic::new(Code::WrongKind, message, given.span(), "this names none");
                    return self.faults.push(fault.help("`heatbook steels` lists them all"));
                };
                handed.steels.extend(self.grade(&grade).map(|steel| (name, steel)));
            }
        }
    }

    fn of_kind(&mut self, slot: Slot, kind: Kind, word: &str, param: &str) -> Option<Slot> {
        if slot.kind == Kind::OPEN {
            self.figures.settle(slot.slot, kind, word == "count");
            return Some(Slot { kind, ..slot });
        }
        let plain = kind == Kind::NUMBER && word == "number" && slot.kind.is_plain();
        if slot.kind == kind || plain {
            return Some(slot);
        }
        self.fail(wrong_kind(slot, kind, param))
    }

    /// The parameters that the call leaves out, worked out inside.
    fn defaults(&mut self, call: &Call, recipe: &'s Recipe) -> bool {
        let before = self.found();
        for param in &recipe.params {
            if call.given.iter().any(|(to, _)| to.text == param.name.text) {
                continue;
            }
            let Some(default) = &param.default else {
                let message = format!("`{}` must be told its `{}`", recipe.name.text, param.name.text);
                let text = format!("{} is left out", param.kind.word());
                let fault = Diagnostic::new(Code::ParamMissing, message, call.span, text);
                let sample = match param.kind {
                    ParamKind::Figure(kind, _) => kind.example().to_owned(),
                    ParamKind::Piece => "the name of a piece".to_owned(),
                    ParamKind::Steel => "a steel, such as `1084`".to_owned(),
                };
                let help = format!("give it in the call, as `{} = …`: {sample}", param.name.text);
                self.faults.push(fault.and(param.name.span, "it has no default").help(help));
                continue;
            };
            self.hand_default(param, default);
        }
        before == self.found()
    }

    fn hand_default(&mut self, param: &Param, default: &Given) {
        let name = param.name.text.clone();
        match (param.kind, default) {
            (ParamKind::Figure(kind, word), Given::Quantity(quantity)) => {
                let address = format!("{}{name}", self.inside_prefix());
                let slot = self.figures.slot(quantity, &address);
                let slot = slot.and_then(|slot| self.of_kind(slot, kind, word, &name));
                self.figures.know(name, slot);
            }
            (ParamKind::Steel, given) => {
                let steel = grade_of(given).and_then(|grade| self.grade(&grade));
                self.grades.extend(steel.map(|steel| (name, steel)));
            }
            (_, given) => {
                let message = format!("`{name}` can have no such default");
                let fault = Diagnostic::new(Code::WrongKind, message, given.span(), "this one");
                self.faults
                    .push(fault.help("leave the default out: a piece is named where the recipe is called"));
            }
        }
    }

    /// Notes the recipes of a file; of two with one name the second is a fault.
    fn learn(&mut self, statements: &'s [Statement], own: bool) {
        for statement in statements {
            let Statement::Recipe(recipe) = statement else { continue };
            let name = recipe.name.text.as_str();
            if let Some(first) = self.recipes.get(name) {
                // The file's own goes before one that it uses.
                let ours = self.own_recipes.contains(&name);
                if ours && !own {
                    continue;
                }
                let message = format!("there are two recipes `{name}`");
                let fault = Diagnostic::new(Code::RecipeTwice, message, recipe.name.span, "once more here")
                    .and(first.name.span, "the first is here");
                self.faults.push(fault.help("give one of the two another name"));
                continue;
            }
            self.recipes.insert(name, recipe);
            if own {
                self.own_recipes.push(name);
            }
        }
    }

    /// The recipes that can be called, for people.
    fn docs(&self) -> Vec<RecipeDoc> {
        let param = |param: &Param| ParamDoc {
            name: param.name.text.clone(),
            kind: param.kind.word(),
            default: param.default.as_ref().map(Given::span),
            doc: param.doc.clone(),
        };
        let doc = |recipe: &&Recipe| RecipeDoc {
            name: recipe.name.text.clone(),
            doc: recipe.doc.clone(),
            params: recipe.params.iter().map(param).collect(),
        };
        self.recipes.values().map(doc).collect()
    }

    /// After a step: what the log says was measured there becomes a step of its own.
    fn measured_after(&mut self, verb: &str, count: u32, span: Span, piece: &Name) {
        let found = self.log.of(verb, count, span);
        let word = verb_like(forge::Form::Measure);
        for i in found {
            let entry = self.log.entries.get_mut(i).unwrap_or_else(|| bug!("a log has no entry {i}"));
            entry.met = true;
            let logged = entry.logged;
            let name = Name { text: piece.text.clone(), span: logged.label_span };
            let clauses = logged.readings.clone();
            self.step(&ast::Step { word, name, clauses, span: logged.span });
        }
    }

    /// Log entries that speak of no step.
    fn unmet(&mut self) {
        for entry in self.log.entries.iter().filter(|e| !e.met) {
            let (message, help) = match &entry.logged.label {
                ast::Label::Line(n) => (
                    format!("no step begins on line {n} of the recipe"),
                    "a step goes by its verb and count too, as in `at weld 2`".to_owned(),
                ),
                ast::Label::Verb(verb, n) => match self.verbs.get(verb.as_str()) {
                    Some(all) => {
                        let times = if *all == 1 { "once".to_owned() } else { format!("{all} times") };
                        let help = format!("`{verb}` is run {times}: `{verb} 1` is the first");
                        (format!("there is no `{verb} {n}` in the recipe"), help)
                    }
                    None => {
                        let meant = nearest(verb, self.verbs.keys().copied());
                        let other = "label it by a verb of the recipe and its count".to_owned();
                        let help = meant.map_or(other, |meant| format!("did you mean `{meant}`"));
                        (format!("the recipe has no step `{verb}`"), help)
                    }
                },
            };
            let fault = Code::UnknownStep.says(message).at(entry.logged.label_span, "measured after this");
            self.faults.push(fault.help(help));
        }
    }

    /// Faults inside the file's own recipes that nothing calls: each is tried with what its parameters have by default.
    fn tried(
        &self,
        own: &'s [Statement],
        used: &'s [Vec<Statement>],
        rack: &'s [Statement],
    ) -> Vec<Diagnostic> {
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
            let word = verb_like(forge::Form::Stock);
            let call =
                ast::Call { word, name: name.clone(), recipe: name, given: Vec::new(), span: recipe.span };
            let mut trial = Planner::begun(own, used, Vec::new(), Vec::new());
            trial.lay_by(rack);
            own.iter().filter(|s| matches!(s, Statement::Steel(_))).for_each(|s| trial.statement(s));
            let _ = trial.called(&call);
            faults.extend(trial.end().2);
        }
        faults
    }
}

/// What is made of that which may be left out; nothing where it is at fault.
fn where_given<T, M>(given: &Option<T>, make: impl FnOnce(&T) -> Option<M>) -> Option<Option<M>> {
    given.as_ref().map_or(Some(None), |given| make(given).map(Some))
}

/// The verb of a form that one verb alone has.
fn verb_like(form: forge::Form) -> &'static forge::Word {
    forge::WORDS.iter().find(|w| w.form == form).unwrap_or_else(|| bug!("no verb has the form {form:?}"))
}

/// The grade that is meant: a name, or a number such as 1084 or 1.2235.
fn grade_of(given: &Given) -> Option<Name> {
    match given {
        Given::Grade(grade) => Some(grade.clone()),
        Given::Quantity(q) => match &q.expr {
            Expr::Name(name) => Some(name.clone()),
            Expr::Figure(f) if f.unit.is_none() => Some(Name { text: trim_number(f.value, 4), span: f.span }),
            _ => None,
        },
    }
}
