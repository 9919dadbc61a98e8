//! Lines that are worked more than once: `repeat`, and recipes that are called. All of it is unrolled here, so that a
//! plan is one straight row of steps.

use super::ast::{Call, Expr, Given, Param, ParamKind, Quantity, Recipe, Statement};
use super::plan::{ParamDoc, Planned, RecipeDoc};
use super::planner::Planner;
use super::reuse::KINDS;
use super::syntax::nearest;
use crate::forge::Site;
use crate::forge::{self, Name, Scope, Slot, wrong_kind};
use crate::piece::{LotId, SteelId};
use crate::quantity::{Kind, trim_number};
use crate::source::{Code, Diagnostic, Label, Span};

/// Steps in one plan, and rounds of its repeats without a step: what is unrolled to more is a slip of the pen.
pub const MOST_STEPS: usize = 40_000;
/// The most rounds of one `repeat`.
const MOST_TIMES: f64 = 10_000.0;
/// Calls inside calls.
const DEEPEST: usize = 32;

/// A call under way.
#[derive(Clone)]
pub struct Inside {
    /// The line that calls.
    pub call: Span,
    /// The piece that it makes.
    pub piece: String,
    /// The recipe.
    pub recipe: Span,
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

impl<'s> Planner<'s> {
    /// The prefix of addresses inside a call: its piece.
    pub fn inside_prefix(&self) -> String {
        self.inside.iter().map(|i| format!("{} ", i.piece)).collect()
    }

    /// Whether one step or round more may be planned; says once where it may not. (A round without a step takes its time too.)
    pub fn may_grow(&mut self, span: Span) -> bool {
        if self.plan.steps.len() < MOST_STEPS && self.idle <= MOST_STEPS {
            return true;
        }
        if !self.overgrown {
            self.overgrown = true;
            let what = if self.idle <= MOST_STEPS { "steps" } else { "rounds" };
            let message = format!("this comes to more than {MOST_STEPS} {what}");
            let fault = Diagnostic::new(Code::TooManySteps, message, span, "one too many is here");
            self.faults.push(fault.help("repeat less often: look for a count with too many noughts"));
        }
        false
    }

    /// `repeat N { … }`
    pub fn repeat(&mut self, count: &'s Quantity, body: &'s [Statement], span: Span) {
        self.repeats += 1;
        let address = format!("{}repeat {}", self.inside_prefix(), self.repeats);
        let Some(slot) = self.figures.slot(count, &address) else { return };
        if self.figures.is_asked(slot) {
            let message = "how often something is repeated cannot be asked for";
            let fault = Diagnostic::new(Code::RepeatAsked, message, slot.span, "a `?` stands here");
            self.faults.push(fault.help("try it out: `--set` with one count after the other"));
            return;
        }
        if slot.kind != Kind::NUMBER {
            self.faults.push(wrong_kind(slot, Kind::NUMBER, "repeat"));
            return;
        }
        self.figures.shapes(slot);
        let times = self.figures.value(slot);
        if times.fract() != 0.0 || !(0.0..=MOST_TIMES).contains(&times) {
            let text = format!("this is {}", trim_number(times, 4));
            let message = format!("`repeat` takes a whole number from 0 to {MOST_TIMES}");
            let fault = Diagnostic::new(Code::NotWhole, message, slot.span, text);
            self.faults.push(fault.help("write how often it is done, as in `repeat 3 {`"));
            return;
        }
        for _ in 0..times as usize {
            if !self.may_grow(span) {
                break;
            }
            let steps = self.plan.steps.len();
            let outside = self.figures.enter(Vec::new());
            let stop = !self.body(body, span);
            self.figures.leave(outside);
            self.idle += usize::from(self.plan.steps.len() == steps);
            if stop {
                break;
            }
        }
    }

    /// Works the lines of a block; `false` where it is no use to go on.
    fn body(&mut self, body: &'s [Statement], span: Span) -> bool {
        let before = self.found();
        for statement in body {
            if !self.may_grow(span) {
                return false;
            }
            match statement {
                Statement::Let(name, quantity) | Statement::Mark(_, name, quantity) => {
                    let address = format!("{}{}", self.inside_prefix(), name.text);
                    self.figures.rebind(name, quantity, &address);
                }
                Statement::Broken(Some(name)) => {
                    self.figures.broken(&name.text);
                    self.names.breaks(&name.text);
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
        self.found() == before
    }

    /// `give P`
    pub fn give(&mut self, name: &Name, span: Span) {
        let Some(inside) = self.inside.last_mut() else {
            let fault =
                Diagnostic::new(Code::GiveOutside, "`give` ends a recipe", span, "no recipe is open here");
            self.faults.push(fault.help("it stands at the end of `recipe NAME(…) { … }`"));
            return;
        };
        if let Some((_, first)) = &inside.give {
            let first = *first;
            let fault =
                Diagnostic::new(Code::GiveTwice, "a recipe gives one piece", span, "a second one here");
            self.faults.push(
                fault
                    .and(first, "the first is here")
                    .help("join or stack them first, or keep the rest on the rack"),
            );
            return;
        }
        inside.give = Some((name.clone(), span));
    }

    /// `stock N = NAME(…)`
    pub fn call(&mut self, call: &'s Call) {
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

    pub(super) fn called(&mut self, call: &'s Call) -> Option<()> {
        let recipe = self.recipe_of(call)?;
        self.called.push(recipe.span);
        let handed = self.hand_over(call, recipe);
        let grades = self.grades.clone();
        let outside = self.figures.enter(handed.figures);
        let bars = self.names.enter(&handed.pieces);
        let verbs_before = self.found();
        self.grades.extend(handed.steels);
        let inside =
            Inside { call: call.span, piece: call.name.text.clone(), recipe: recipe.span, give: None };
        self.inside.push(inside);
        let mut broken = handed.broken;
        broken |= !self.defaults(call, recipe);
        if !broken {
            self.body(&recipe.body, call.span);
        }
        let give = self.inside.pop().and_then(|i| i.give);
        self.names.begin(call.span);
        let lot = match give {
            Some((name, _)) => self.names.take(&name),
            None => {
                if !broken && verbs_before == self.found() {
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
        let from = lot?;
        let to = self.names.give(&call.name)?;
        let made = self.names.end();
        let step = forge::Step::handed(from, to, Site { span: call.span });
        self.plan.steps.push(Planned {
            step,
            word: call.word,
            span: call.span,
            piece: call.name.text.clone(),
            takes: made.takes,
            gives: made.gives,
            calls: self.inside.iter().map(|i| i.call).collect(),
        });
        Some(())
    }

    fn recipe_of(&mut self, call: &'s Call) -> Option<&'s Recipe> {
        let name = &call.recipe;
        let Some(recipe) = self.recipes.get(name.text.as_str()).copied() else {
            let meant = nearest(&name.text, self.recipes.keys().copied());
            let help = match meant {
                Some(meant) => format!("did you mean `{meant}`"),
                None if self.recipes.is_empty() => {
                    "`use \"file.heat\"` brings recipes from another file".to_owned()
                }
                None => {
                    let all: Vec<String> = self.recipes.keys().map(|r| format!("`{r}`")).collect();
                    format!("the recipes here are {}", all.join(", "))
                }
            };
            let message = format!("there is no recipe `{}`", name.text);
            let fault = Diagnostic::new(Code::UnknownRecipe, message, name.span, "called here").help(help);
            let fault = fault.fix_if(name.span, meant);
            self.faults.push(fault);
            return None;
        };
        let again = self.inside.iter().any(|i| i.recipe == recipe.span);
        if again || self.inside.len() >= DEEPEST {
            let message = format!("`{}` would be worked inside itself, without end", name.text);
            let fault = Diagnostic::new(Code::RecipeInItself, message, name.span, "called here")
                .and(recipe.span, "inside this recipe");
            self.faults.push(fault.help("use `repeat` for what is done several times"));
            return None;
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
        handed.broken = before != self.found();
        handed
    }

    fn no_such_param(&mut self, recipe: &Recipe, to: &Name) {
        let known = recipe.params.iter().map(|p| p.name.text.as_str());
        let meant = nearest(&to.text, known.clone());
        let help = match meant {
            Some(meant) => format!("did you mean `{meant}`"),
            None if recipe.params.is_empty() => "it takes none".to_owned(),
            None => {
                let all: Vec<String> = known.map(|p| format!("`{p}`")).collect();
                format!("it takes {}", all.join(", "))
            }
        };
        let message = format!("`{}` has no parameter `{}`", recipe.name.text, to.text);
        let fault = Diagnostic::new(Code::UnknownParam, message, to.span, "given here");
        let fault = fault.and(recipe.span, "this recipe").help(help).fix_if(to.span, meant);
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
                if let Some(lot) = self.names.hand_over(piece) {
                    handed.pieces.push((name, lot));
                }
            }
            (ParamKind::Piece, given) => {
                let message = format!("`{name}` takes a piece");
                let fault = Diagnostic::new(Code::WrongKind, message, span_of(given), "this names none");
                self.faults.push(fault.help("write the name of the piece: it is spent here"));
            }
            (ParamKind::Steel, given) => {
                let steel = grade_of(given).and_then(|grade| self.grade(&grade));
                match steel {
                    Some(steel) => handed.steels.push((name, steel)),
                    None if grade_of(given).is_none() => {
                        let message = format!("`{name}` takes a steel");
                        let fault =
                            Diagnostic::new(Code::WrongKind, message, span_of(given), "this names none");
                        self.faults.push(fault.help("`heatbook steels` lists them all"));
                    }
                    None => {}
                }
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
        self.faults.push(wrong_kind(slot, kind, param));
        None
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
            let mut handed = Handed::default();
            self.hand_default(param, default, &mut handed);
            for (name, slot) in handed.figures {
                self.figures.know(name, slot);
            }
            self.grades.extend(handed.steels);
        }
        before == self.found()
    }

    fn hand_default(&mut self, param: &Param, default: &Given, handed: &mut Handed) {
        let name = param.name.text.clone();
        match (param.kind, default) {
            (ParamKind::Figure(kind, word), Given::Quantity(quantity)) => {
                let address = format!("{}{name}", self.inside_prefix());
                let slot = self.figures.slot(quantity, &address);
                let slot = slot.and_then(|slot| self.of_kind(slot, kind, word, &name));
                handed.figures.push((name, slot));
            }
            (ParamKind::Steel, given) => {
                let steel = grade_of(given).and_then(|grade| self.grade(&grade));
                handed.steels.extend(steel.map(|steel| (name, steel)));
            }
            (_, given) => {
                let message = format!("`{name}` can have no such default");
                let fault = Diagnostic::new(Code::WrongKind, message, span_of(given), "this one");
                self.faults
                    .push(fault.help("leave the default out: a piece is named where the recipe is called"));
            }
        }
    }

    /// Notes the recipes of a file; of two with one name the second is a fault.
    pub fn learn(&mut self, statements: &'s [Statement], own: bool) {
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
    pub fn docs(&self) -> Vec<RecipeDoc> {
        let doc = |recipe: &&Recipe| RecipeDoc {
            name: recipe.name.text.clone(),
            doc: recipe.doc.clone(),
            span: recipe.span,
            params: recipe.params.iter().map(param_doc).collect(),
        };
        self.recipes.values().map(doc).collect()
    }
}

fn param_doc(param: &Param) -> ParamDoc {
    ParamDoc {
        name: param.name.text.clone(),
        kind: KINDS.iter().find(|(_, kind)| *kind == param.kind).map_or("", |(word, _)| word),
        default: param.default.as_ref().map(span_of),
        doc: param.doc.clone(),
    }
}

fn span_of(given: &Given) -> Span {
    match given {
        Given::Quantity(q) => q.span,
        Given::Grade(g) => g.span,
    }
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
