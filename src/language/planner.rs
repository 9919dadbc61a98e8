//! From statements to a plan: names and kinds are looked up here, once.

use std::collections::BTreeMap;

use super::ast::{self, Clause, Quantity, Statement, Wanted};
use super::figures::Figures;
use super::names::Names;
use super::plan::{Plan, Planned, TargetPlan};
use crate::forge::args::{Arg, Site};
use crate::forge::{self, Bag, Entry, Key, Name, Shop, Slot, wrong_kind};
use crate::piece::SteelId;
use crate::quantity::{Kind, Q};
use crate::source::{Diagnostic, Span};
use crate::steel::{self, Grade};
use crate::target::{Bounds, Place, Test, Zone};

/// Plans a recipe.
pub fn plan(statements: &[Statement]) -> (Plan, Vec<Diagnostic>) {
    let mut planner = Planner::default();
    planner.shop(statements);
    for statement in statements {
        if planner.found() >= super::parse::MOST_FAULTS {
            break;
        }
        planner.statement(statement);
    }
    planner.end()
}

#[derive(Default)]
struct Planner<'s> {
    figures: Figures,
    names: Names,
    shop: Shop,
    plan: Plan,
    faults: Vec<Diagnostic>,
    verbs: BTreeMap<&'static str, u32>,
    grades: BTreeMap<String, SteelId>,
    targets: Vec<(&'s Name, &'s [ast::Test], Span)>,
}

/// The most different steels in one recipe: what a piece remembers them in has so many places.
const MOST_STEELS: usize = 64;

impl<'s> Planner<'s> {
    /// The lets that a shop may use come first, then the shop: it holds for the whole file.
    fn shop(&mut self, statements: &[Statement]) {
        let mut first: Option<Span> = None;
        for statement in statements {
            match statement {
                Statement::Let(name, quantity) => self.figures.bind(name, quantity),
                Statement::Broken(Some(name)) => self.figures.broken(&name.text),
                _ => {}
            }
        }
        for statement in statements {
            let Statement::Shop(entries, span) = statement else { continue };
            if let Some(first) = first {
                let fault = Diagnostic::fault(
                    "two_shops",
                    "a recipe is worked in one shop",
                    *span,
                    "a second shop here",
                );
                self.faults
                    .push(fault.and(first, "the first is here").help("put all entries into one block"));
                continue;
            }
            first = Some(*span);
            let mut seen: BTreeMap<&str, Span> = BTreeMap::new();
            for entry in entries {
                if let Some(before) = seen.insert(entry.key, entry.span) {
                    let message = format!("the shop states its `{}` twice", entry.key);
                    let fault =
                        Diagnostic::fault("entry_twice", message, entry.span, "stated once more here");
                    self.faults.push(fault.and(before, "first stated here").help("keep one of the two"));
                    continue;
                }
                let address = format!("shop {}", entry.key);
                let args = self.args(&entry.args, &address);
                self.shop.enter(&Entry { word: entry.key, span: entry.span, args }, &mut self.faults);
            }
        }
    }

    /// Faults found so far.
    fn found(&self) -> usize {
        self.faults.len() + self.figures.faults.len() + self.names.faults.len()
    }

    fn statement(&mut self, statement: &'s Statement) {
        match statement {
            Statement::Let(..) | Statement::Shop(..) => {}
            Statement::Note(text, span) => self.plan.notes.push((text.clone(), *span, self.plan.steps.len())),
            Statement::Steel { name, like, contents, span } => self.steel(name, like, contents, *span),
            Statement::Target(name, tests, span) => self.targets.push((name, tests, *span)),
            Statement::Step(step) => self.step(step),
            Statement::Broken(Some(name)) => self.names.breaks(&name.text),
            Statement::Broken(None) => {}
        }
    }

    fn end(mut self) -> (Plan, Vec<Diagnostic>) {
        for (name, tests, span) in std::mem::take(&mut self.targets) {
            let lot = self.names.last(name);
            let tests = tests.iter().filter_map(|t| self.test(t)).collect();
            self.plan.targets.push(TargetPlan { piece: name.text.clone(), lot, span, tests });
        }
        let mut plan = self.plan;
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
        (plan, faults)
    }

    fn steel(&mut self, name: &Name, like: &Name, contents: &[(&'static str, Quantity)], span: Span) {
        let Some(base) = self.grade(like) else {
            self.grades.remove(&name.text);
            return;
        };
        if self.grades.contains_key(&name.text) || steel::grades::find(&name.text).is_some() {
            let message = format!("there is a steel `{}` already", name.text);
            let fault = Diagnostic::fault("steel_taken", message, name.span, "named once more here");
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
                let fault = Diagnostic::fault(
                    "content",
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

    fn grade(&mut self, name: &Name) -> Option<SteelId> {
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
            self.faults
                .push(Diagnostic::fault("unknown_steel", message, name.span, "no such grade").help(help));
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
                Diagnostic::fault("too_many_steels", message, span, "one too many").help("use fewer grades"),
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

    fn step(&mut self, step: &ast::Step) {
        let count = self.verbs.entry(step.word.word).or_insert(0);
        *count += 1;
        let prefix = match step.word.form {
            forge::Form::Stock => step.name.text.clone(),
            _ => format!("{} {count}", step.word.word),
        };
        self.names.begin(step.span);
        let before = self.found();
        let clauses: Vec<forge::Clause> = step.clauses.iter().map(|c| self.clause(c, &prefix)).collect();
        let sound = before == self.found();
        let site = Site { span: step.span };
        let mut bag = Bag::new(step.word, site, step.name.clone(), clauses, &mut self.names);
        let bound = forge::Step::bind(&mut bag);
        let left = if sound { bag.done() } else { Vec::new() };
        let failed = !left.is_empty();
        self.faults.extend(left);
        let made = self.names.end();
        match bound {
            Some(bound) if sound && !failed => self.plan.steps.push(Planned {
                step: bound,
                word: step.word,
                span: step.span,
                piece: step.name.text.clone(),
                takes: made.takes,
                gives: made.gives,
            }),
            _ => self.names.breaks_step(&step.name.text, &made.gives, &step.clauses),
        }
    }

    fn clause(&mut self, clause: &Clause<Key>, prefix: &str) -> forge::Clause {
        let word = clause.key.word();
        let address = format!("{prefix} {word}");
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
        for arg in args {
            match arg {
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
            }
        }
        made
    }

    fn test(&mut self, test: &ast::Test) -> Option<Test> {
        if let (Some(second), Some((_, first))) = (test.second_zone, &test.zone) {
            let fault = Diagnostic::fault(
                "two_zones",
                "a test holds in one place or stretch",
                second,
                "a second one here",
            );
            self.faults.push(fault.and(*first, "the first is here").help("write a line for each"));
            return None;
        }
        let kind = test.what.kind();
        let bounds = match &test.wanted {
            Wanted::AtLeast(q) => Bounds::AtLeast(self.limit(q, kind, test)?.slot),
            Wanted::AtMost(q) => Bounds::AtMost(self.limit(q, kind, test)?.slot),
            Wanted::Equal(q) => {
                let slot = self.limit(q, kind, test)?;
                Bounds::Equal(slot.slot, self.figures.tolerance(slot))
            }
            Wanted::Within(a, b) => {
                let (a, b) = self.figures.range(a, b)?;
                for slot in [a, b] {
                    if slot.kind != kind {
                        self.faults.push(wrong_kind(slot, kind, test.what.word()));
                        return None;
                    }
                }
                if self.figures.value(a) > self.figures.value(b) {
                    let fault = Diagnostic::fault(
                        "range_backwards",
                        "this range runs backwards",
                        test.wanted_span,
                        "the first is larger",
                    );
                    self.faults.push(fault.help("write the smaller figure first"));
                    return None;
                }
                Bounds::Within(a.slot, b.slot)
            }
        };
        let part = test.part.as_ref().map(|name| self.part(name)).transpose();
        let zone = match &test.zone {
            None => Zone::Everywhere,
            Some((ast::Zone::Everywhere, _)) => Zone::Everywhere,
            Some((ast::Zone::At(place), _)) => Zone::At(self.place(place)?),
            Some((ast::Zone::Between(a, b), _)) => Zone::Between(self.place(a)?, self.place(b)?),
        };
        Some(Test {
            what: test.what,
            part: part.ok()?,
            zone,
            bounds,
            span: test.span,
            wanted: test.wanted_span,
            zone_span: test.zone.as_ref().map(|(_, span)| *span),
        })
    }

    fn limit(&mut self, q: &Quantity, kind: Kind, test: &ast::Test) -> Option<Slot> {
        let slot = self.figures.slot(q, "")?;
        if slot.kind == kind {
            return Some(slot);
        }
        self.faults.push(wrong_kind(slot, kind, test.what.word()));
        None
    }

    fn part(&mut self, name: &Name) -> Result<crate::piece::PartName, ()> {
        if let Some(at) = self.names.parts.iter().position(|p| *p == name.text) {
            return u32::try_from(at).map(crate::piece::PartName).map_err(|_| ());
        }
        let known: Vec<&str> = self.names.parts.iter().map(String::as_str).collect();
        let help = match super::syntax::nearest(&name.text, known.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`"),
            None => "a part is asked for by the name under which it was stacked or joined".to_owned(),
        };
        let message = format!("nothing called `{}` went into a stack", name.text);
        self.faults.push(Diagnostic::fault("unknown_part", message, name.span, "no such part").help(help));
        Err(())
    }

    fn place(&mut self, place: &ast::Place) -> Option<Place> {
        let by = match &place.by {
            None => None,
            Some(q) => {
                let slot = self.figures.slot(q, "")?;
                let q = Q::of(slot.slot, slot.kind);
                if q.is_none() {
                    self.faults.push(wrong_kind(slot, Kind::LENGTH, "at"));
                    return None;
                }
                q
            }
        };
        Some(Place { from: place.from, by, span: place.span })
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
