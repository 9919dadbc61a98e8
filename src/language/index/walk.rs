//! The way through the statements: what each name speaks of where it stands.

use std::collections::BTreeMap;

use super::super::ast::{
    Arg, Call, Clause, Expr, Given, Param, ParamKind, Place, Quantity, Recipe, Statement, Steel, Step, Test,
    Wanted, Zone,
};
use super::super::read::Uses;
use super::{Index, Sort, Thing, Turn};
use crate::forge::{Form, Key, Name};
use crate::source::Span;

/// What a call can name of a recipe.
struct Known<'s> {
    thing: usize,
    params: Vec<(&'s Param, usize)>,
}

#[derive(Default)]
struct Walk<'s> {
    index: Index,
    /// Figures by name: of the file, of the recipe, of each `repeat`, the innermost last.
    figures: Vec<BTreeMap<&'s str, usize>>,
    pieces: BTreeMap<(usize, &'s str), usize>,
    kept: BTreeMap<&'s str, usize>,
    steels: Vec<BTreeMap<&'s str, usize>>,
    recipes: BTreeMap<&'s str, Known<'s>>,
    /// Parts and offcuts are looked up at the end: what they speak of may come later, or from inside a recipe.
    parts: Vec<(usize, &'s Name)>,
    racked: Vec<(usize, &'s Name)>,
    scope: usize,
}

/// Goes through a file and those that it uses, the file first.
pub fn walk(read: &[(u32, Vec<Statement>)], uses: &Uses) -> Index {
    let mut walk = Walk { figures: vec![BTreeMap::new()], steels: vec![BTreeMap::new()], ..Walk::default() };
    for statement in read.iter().flat_map(|(_, statements)| statements) {
        walk.learn(statement, uses);
    }
    for (at, (_, statements)) in read.iter().enumerate() {
        for statement in statements {
            // The steps of a used file do not run: their pieces are nobody's here.
            use Statement::{Call, Repeat, Step, Target};
            if at == 0 || !matches!(statement, Step(_) | Repeat(..) | Call(_) | Target(..)) {
                walk.statement(statement, true);
            }
        }
    }
    walk.end()
}

impl<'s> Walk<'s> {
    fn thing(&mut self, name: &str, sort: Sort) -> usize {
        self.index.things.push(Thing {
            name: name.to_owned(),
            sort,
            made: Vec::new(),
            used: Vec::new(),
            offcuts: Vec::new(),
            value: None,
            doc: String::new(),
            scope: self.scope,
            doubtful: false,
        });
        self.index.things.len() - 1
    }

    /// A thing of the index.
    fn at(&mut self, thing: usize) -> &mut Thing {
        self.index.things.get_mut(thing).unwrap_or_else(|| bug!("there is no thing {thing}"))
    }

    fn made(&mut self, thing: usize, span: Span) {
        self.at(thing).made.push(span);
        self.index.spots.push((span, thing));
    }

    fn used(&mut self, thing: usize, span: Span) {
        self.at(thing).used.push(span);
        self.index.spots.push((span, thing));
    }

    /// What holds for the whole file: its lets, steels and recipes, wherever they stand.
    fn learn(&mut self, statement: &'s Statement, uses: &Uses) {
        match statement {
            Statement::Let(name, quantity) | Statement::Mark(_, name, quantity) => {
                let known = self.figures.first().and_then(|f| f.get(name.text.as_str())).copied();
                let thing = known.unwrap_or_else(|| self.thing(&name.text, Sort::Let));
                self.made(thing, name.span);
                if let Some(t) = self.index.things.get_mut(thing) {
                    t.value = t.value.or(Some(quantity.span));
                }
                if let Some(figures) = self.figures.first_mut() {
                    figures.insert(&name.text, thing);
                }
            }
            Statement::Steel(Steel { name, .. }) => {
                let known = self.steels.first().and_then(|s| s.get(name.text.as_str())).copied();
                let thing = known.unwrap_or_else(|| self.thing(&name.text, Sort::Steel));
                self.made(thing, name.span);
                if let Some(steels) = self.steels.first_mut() {
                    steels.insert(&name.text, thing);
                }
            }
            Statement::Recipe(recipe) => self.head(recipe),
            Statement::Use(_, span) => self.index.uses.push((*span, uses.get(span).copied())),
            _ => {}
        }
    }

    fn head(&mut self, recipe: &'s Recipe) {
        let name = recipe.name.text.as_str();
        let known = self.recipes.get(name).map(|k| k.thing);
        let thing = known.unwrap_or_else(|| self.thing(name, Sort::Recipe));
        self.made(thing, recipe.name.span);
        if self.at(thing).doc.is_empty() {
            self.at(thing).doc.clone_from(&recipe.doc);
        }
        self.index.recipes.push((recipe.span, recipe.name.text.clone()));
        self.scope = self.index.recipes.len();
        let mut params = Vec::new();
        for param in &recipe.params {
            let at = self.thing(&param.name.text, Sort::Param(param.kind.word()));
            self.made(at, param.name.span);
            self.at(at).doc.clone_from(&param.doc);
            self.at(at).value = param.default.as_ref().map(Given::span);
            if param.kind == ParamKind::Piece {
                self.pieces.insert((self.scope, &param.name.text), at);
                self.turn(recipe.span.tail(), &param.name.text, Turn::Made);
            }
            params.push((param, at));
        }
        self.scope = 0;
        // Of two recipes with one name the first is the one that is called.
        self.recipes.entry(name).or_insert(Known { thing, params });
    }

    fn statement(&mut self, statement: &'s Statement, top: bool) {
        match statement {
            Statement::Let(name, quantity) | Statement::Mark(_, name, quantity) => {
                if let Statement::Mark(piece, ..) = statement {
                    self.piece_used(piece);
                }
                self.quantity(quantity);
                if !top {
                    let thing = self.thing(&name.text, Sort::Let);
                    self.made(thing, name.span);
                    self.at(thing).value = Some(quantity.span);
                    if let Some(figures) = self.figures.last_mut() {
                        figures.insert(&name.text, thing);
                    }
                }
            }
            Statement::Steel(Steel { like, contents, .. }) => {
                self.grade(like);
                contents.iter().for_each(|(_, q)| self.quantity(q));
            }
            Statement::Shop(entries, _) => entries.iter().for_each(|e| self.args(&e.args)),
            Statement::Target(name, count, tests, _) => {
                self.piece_used(name);
                count.iter().for_each(|q| self.quantity(q));
                tests.iter().for_each(|t| self.test(t));
            }
            Statement::Step(step) => self.step(step),
            Statement::Repeat(count, body, _) => {
                self.quantity(count);
                self.figures.push(BTreeMap::new());
                body.iter().for_each(|s| self.statement(s, false));
                self.figures.pop();
            }
            Statement::Recipe(recipe) => self.recipe(recipe),
            Statement::Call(call) => self.call(call),
            Statement::Give(name, _) => self.spent(name),
            Statement::At(logged) => logged.readings.iter().for_each(|c| self.args(&c.args)),
            Statement::Broken(names) => {
                if let Some(name) = names.first() {
                    self.turn(name.span, &name.text, Turn::Made);
                }
            }
            _ => {}
        }
    }

    fn recipe(&mut self, recipe: &'s Recipe) {
        self.scope = self.index.scope_of(recipe.span);
        let (mut figures, mut steels) = (BTreeMap::new(), BTreeMap::new());
        for param in &recipe.params {
            let made = |t: &Thing| t.made.contains(&param.name.span);
            let Some(thing) = self.index.things.iter().position(made) else { continue };
            match param.kind {
                ParamKind::Figure(..) => figures.insert(param.name.text.as_str(), thing),
                ParamKind::Steel => steels.insert(param.name.text.as_str(), thing),
                ParamKind::Piece => None,
            };
        }
        self.figures.push(figures);
        self.steels.push(steels);
        for param in &recipe.params {
            if let Some(default) = &param.default {
                self.given(default, Some(param.kind));
            }
        }
        // A `let` of the body may hide a parameter from its line on.
        recipe.body.iter().for_each(|s| self.statement(s, false));
        self.steels.pop();
        self.figures.pop();
        self.scope = 0;
    }

    fn call(&mut self, call: &'s Call) {
        self.index.calls.push((call.recipe.text.clone(), call.name.text.clone()));
        let known = self.recipes.get(call.recipe.text.as_str());
        let thing = known.map(|k| k.thing);
        let params: Vec<(&str, ParamKind, usize)> = known
            .map(|k| k.params.iter().map(|(p, at)| (p.name.text.as_str(), p.kind, *at)).collect())
            .unwrap_or_default();
        if let Some(thing) = thing {
            self.used(thing, call.recipe.span);
        }
        for (to, given) in &call.given {
            let param = params.iter().find(|(name, _, _)| *name == to.text);
            if let Some((_, _, at)) = param {
                self.used(*at, to.span);
            }
            self.given(given, param.map(|(_, kind, _)| *kind));
        }
        self.piece_made(&call.name, call.span);
    }

    fn given(&mut self, given: &'s Given, kind: Option<ParamKind>) {
        match (given, kind) {
            (Given::Grade(grade), _) => self.grade(grade),
            (Given::Quantity(q), Some(ParamKind::Steel)) => match &q.expr {
                Expr::Name(name) => self.grade(name),
                Expr::Figure(f) => {
                    let written = crate::quantity::trim_number(f.value, 4);
                    self.index.grades.push((f.span, written));
                }
                _ => self.quantity(q),
            },
            (Given::Quantity(Quantity { expr: Expr::Name(name), .. }), Some(ParamKind::Piece)) => {
                self.spent(name);
            }
            (Given::Quantity(q), _) => self.quantity(q),
        }
    }

    fn step(&mut self, step: &'s Step) {
        match step.word.form {
            Form::Stock | Form::Stack => {}
            Form::Work | Form::Tests | Form::Measure => self.piece_used(&step.name),
        }
        for clause in &step.clauses {
            self.clause(step, clause);
        }
        if matches!(step.word.form, Form::Stock | Form::Stack) {
            self.piece_made(&step.name, step.span);
        }
    }

    fn clause(&mut self, step: &'s Step, clause: &'s Clause<Key>) {
        for arg in &clause.args {
            let Arg::Name(name) = arg else {
                self.arg(arg);
                continue;
            };
            match clause.key {
                Key::Into => {
                    self.turn(step.span, &step.name.text, Turn::Spent);
                    self.piece_made(name, step.span);
                }
                Key::Onto => {
                    self.turn(step.span, &step.name.text, Turn::Spent);
                    self.piece_used(name);
                }
                Key::Keep => {
                    let known = self.kept.get(name.text.as_str()).copied();
                    let thing = known.unwrap_or_else(|| self.thing(&name.text, Sort::Kept));
                    self.kept.insert(&name.text, thing);
                    self.made(thing, name.span);
                }
                Key::FromRack => self.racked.push((self.scope, name)),
                Key::Item | Key::Alternate => self.spent(name),
                Key::PartOff => self.parts.push((self.scope, name)),
                _ => self.piece_used(name),
            }
        }
    }

    fn args(&mut self, args: &'s [Arg]) {
        args.iter().for_each(|a| self.arg(a));
    }

    fn arg(&mut self, arg: &'s Arg) {
        match arg {
            Arg::Quantity(q) => self.quantity(q),
            Arg::Sizes(sizes, _) => sizes.iter().for_each(|q| self.quantity(q)),
            Arg::Grade(name) => self.grade(name),
            Arg::Test(test) => self.test(test),
            Arg::Place(place) => self.place(place),
            Arg::Name(_) | Arg::Word(..) | Arg::Text(_) => {}
        }
    }

    fn test(&mut self, test: &'s Test) {
        if let Some(part) = &test.part {
            self.parts.push((self.scope, part));
        }
        test.behind.iter().chain(&test.allowing).for_each(|q| self.quantity(q));
        match &test.wanted {
            Wanted::AtLeast(q) | Wanted::AtMost(q) | Wanted::Equal(q) => self.quantity(q),
            Wanted::Within(a, b) => [a, b].into_iter().for_each(|q| self.quantity(q)),
        }
        match &test.zone {
            Some((Zone::At(place), _)) => self.place(place),
            Some((Zone::Between(ends), _)) => ends.iter().for_each(|place| self.place(place)),
            Some((Zone::Everywhere | Zone::OnFace, _)) | None => {}
        }
    }

    fn place(&mut self, place: &'s Place) {
        place.by.iter().for_each(|q| self.quantity(q));
    }

    fn quantity(&mut self, quantity: &'s Quantity) {
        [&quantity.expr].into_iter().chain(&quantity.tolerance).for_each(|e| self.expr(e));
    }

    fn expr(&mut self, expr: &'s Expr) {
        match expr {
            Expr::Figure(_) => {}
            Expr::Name(name) => {
                let known = self.figures.iter().rev().find_map(|f| f.get(name.text.as_str())).copied();
                if let Some(thing) = known {
                    self.used(thing, name.span);
                }
            }
            Expr::Ask(_, within) => within.iter().for_each(|ends| {
                self.expr(&ends.0);
                self.expr(&ends.1);
            }),
            Expr::Minus(inner, _) => self.expr(inner),
            Expr::Row(first, rest, _) => {
                self.expr(first);
                rest.iter().for_each(|(_, e)| self.expr(e));
            }
        }
    }

    fn grade(&mut self, grade: &Name) {
        let known = self.steels.iter().rev().find_map(|s| s.get(grade.text.as_str())).copied();
        match known {
            Some(thing) => self.used(thing, grade.span),
            None => self.index.grades.push((grade.span, grade.text.clone())),
        }
    }

    fn piece(&mut self, name: &'s Name) -> usize {
        let place = (self.scope, name.text.as_str());
        if let Some(known) = self.pieces.get(&place) {
            return *known;
        }
        let made = self.thing(&name.text, Sort::Piece);
        self.pieces.insert(place, made);
        made
    }

    fn turn(&mut self, span: Span, name: &str, turn: Turn) {
        self.index.turns.push((span.start, self.scope, name.to_owned(), turn));
    }

    /// A piece made by a line: it is there once the line is done.
    fn piece_made(&mut self, name: &'s Name, line: Span) {
        let thing = self.piece(name);
        self.made(thing, name.span);
        self.turn(line.tail(), &name.text, Turn::Made);
    }

    fn piece_used(&mut self, name: &'s Name) {
        let thing = self.piece(name);
        self.used(thing, name.span);
    }

    fn spent(&mut self, name: &'s Name) {
        self.piece_used(name);
        self.turn(name.span, &name.text, Turn::Spent);
    }

    /// The pieces of this name: of the scope itself first, then of any other.
    fn pieces_called(&self, scope: usize, name: &str) -> Vec<usize> {
        let own = self.pieces.get(&(scope, name)).copied();
        let own = own.filter(|at| self.index.things.get(*at).is_some_and(|t| !t.made.is_empty()));
        let others = self.pieces.iter().filter(|((s, n), _)| *s != scope && *n == name).map(|(_, at)| *at);
        own.into_iter().chain(others).collect()
    }

    /// A use that may speak of any of several things: it is put to the first, and all are in doubt.
    fn used_one_of(&mut self, found: &[usize], span: Span) {
        if let Some(first) = found.first() {
            self.used(*first, span);
        }
        if found.len() > 1 {
            found.iter().for_each(|at| self.at(*at).doubtful = true);
        }
    }

    fn end(mut self) -> Index {
        for (scope, part) in std::mem::take(&mut self.parts) {
            let found = self.pieces_called(scope, &part.text);
            self.used_one_of(&found, part.span);
        }
        for (scope, name) in std::mem::take(&mut self.racked) {
            if let Some(kept) = self.kept.get(name.text.as_str()).copied() {
                self.used(kept, name.span);
                continue;
            }
            let offcut = name.text.rsplit_once("-offcut-").filter(|(_, n)| n.parse::<u32>().is_ok());
            if let Some((of, _)) = offcut {
                let found = self.pieces_called(scope, of);
                let own = self.pieces.contains_key(&(scope, of));
                if let Some(first) = found.first() {
                    let end = Span::within(name.span.start, 0..of.len()).end;
                    let front = Span { start: name.span.start, end };
                    self.at(*first).offcuts.push(front);
                    self.at(*first).doubtful |= found.len() > 1 && !own;
                    self.index.spots.push((front, *first));
                }
                continue;
            }
            let found = self.pieces_called(scope, &name.text);
            self.used_one_of(&found, name.span);
        }
        for thing in &mut self.index.things {
            thing.made.sort_unstable();
            thing.used.sort_unstable();
        }
        self.index.spots.sort_unstable_by_key(|(span, _)| *span);
        self.index.turns.sort_by_key(|(at, _, _, turn)| (*at, *turn == Turn::Made));
        self.index
    }
}
