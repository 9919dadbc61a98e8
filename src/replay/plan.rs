//! A checked plan: everything that a run needs, and nothing that a run must look up by name.

use std::collections::{BTreeMap, BTreeSet};

use crate::forge::{Ground, Hazard, Step};
use crate::piece::{Lot, LotId};
use crate::quantity::{Kind, Units, Values};
use crate::source::{Code, Diagnostic, Span};
use crate::spec::Test;

/// What is known of a figure of the plan.
#[derive(Clone, Debug)]
pub struct SlotInfo {
    /// Its address, such as `bright thick` or `weld 2 thinning`; empty where it has none.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// The slot of its tolerance.
    pub tolerance: Option<u32>,
    /// The figure as written that this place copies, where its line is worked more than once.
    pub copy_of: Option<u32>,
    /// Whether it is such a figure as written: it has no address, and all its places follow it.
    pub leaf: bool,
    /// Whether the plan itself has its shape from it: the count of a `repeat`.
    pub shapes: bool,
}

/// How a figure follows from others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Op {
    /// The same.
    Copy,
    /// The same below nothing.
    Negate,
    /// A sum.
    Add,
    /// A difference.
    Subtract,
    /// A product.
    Multiply,
    /// A quotient.
    Divide,
}

/// One line of working: `slot = a op b`.
#[derive(Clone, Copy, Debug)]
pub struct OpLine {
    /// What is done.
    pub op: Op,
    /// Where the result goes.
    pub slot: u32,
    /// The first figure.
    pub a: u32,
    /// The second; the first again where there is none.
    pub b: u32,
}

impl OpLine {
    /// Does the line.
    pub fn work(&self, values: &mut Values) {
        let (a, b) = (values.at(self.a), values.at(self.b));
        let made = match self.op {
            Op::Copy => a,
            Op::Negate => -a,
            Op::Add => a + b,
            Op::Subtract => a - b,
            Op::Multiply => a * b,
            Op::Divide => a / b,
        };
        values.set(self.slot, made);
    }
}

/// A `?` of the recipe.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    /// The figure that is asked for.
    pub slot: u32,
    /// The slots of the values that it must lie between.
    pub within: Option<(u32, u32)>,
    /// Whether only whole numbers will do.
    pub whole: bool,
    /// The words.
    pub span: Span,
}

/// A step of the plan.
#[derive(Debug)]
pub struct Planned {
    /// The bound verb.
    pub step: Step,
    /// Its entry in the word table.
    pub word: &'static crate::forge::Word,
    /// The words.
    pub span: Span,
    /// The piece that the line names.
    pub piece: String,
    /// The lots that it takes or looks at.
    pub takes: Vec<LotId>,
    /// The lots that it gives, the one that stands for the step first.
    pub gives: Vec<LotId>,
    /// The lots of what it takes from the store: bars of stock, or what goes into its piece at once.
    pub brings: Vec<LotId>,
    /// The calls that it is worked in, the outermost first.
    pub calls: Vec<Span>,
    /// Which run of its verb it is, as a log counts them; nothing for the call of a recipe.
    pub nth: Option<u32>,
    /// The kinds of work in it that can hurt: its verb's, and those that its clauses bring with them.
    pub hazards: Vec<Hazard>,
}

/// A parameter of a recipe, for people.
#[derive(Clone, Debug)]
pub struct ParamDoc {
    /// Its name.
    pub name: String,
    /// The word of its kind.
    pub kind: &'static str,
    /// Its default as written; where there is none it must be given.
    pub default: Option<Span>,
    /// What the comment behind it says.
    pub doc: String,
}

/// A recipe that can be called, for people.
#[derive(Clone, Debug)]
pub struct RecipeDoc {
    /// Its name.
    pub name: String,
    /// What the comment above it says.
    pub doc: String,
    /// Its parameters, in order.
    pub params: Vec<ParamDoc>,
}

/// A target of the plan.
#[derive(Debug)]
pub struct TargetPlan {
    /// The piece.
    pub piece: String,
    /// The last bars of that name; `None` where there are none, which is a fault on record.
    pub lot: Option<LotId>,
    /// The head of the block.
    pub span: Span,
    /// Of an order, how many pieces it is for, and where that stands.
    pub count: Option<(u32, Span)>,
    /// Its lines.
    pub tests: Vec<Test>,
}

impl TargetPlan {
    /// The bars that are judged, where there are as many of them as it is for, and no loose ones.
    #[must_use]
    pub fn judged(&self, lot: Option<Lot>) -> Option<Lot> {
        let most = self.count.map_or(1, |(count, _)| count);
        lot.filter(|lot| lot.count >= most && lot.bar.loose.is_none())
    }
}

/// A warning that the recipe or its shop answers.
#[derive(Clone, Debug)]
pub struct Allowed {
    /// The warning; nothing where no finding is called so.
    pub code: Option<Code>,
    /// As it is written.
    pub name: String,
    /// Why it may be.
    pub reason: String,
    /// The line.
    pub span: Span,
    /// The step of which it is answered; nothing where it is of all.
    pub step: Option<Span>,
}

/// A checked recipe.
#[derive(Debug, Default)]
pub struct Plan {
    /// What steps read and never change.
    pub ground: Ground,
    /// Every figure as written.
    pub values: Values,
    /// What is known of each.
    pub slots: Vec<SlotInfo>,
    /// The working of `let` and arithmetic, in order.
    pub working: Vec<OpLine>,
    /// Every `?`.
    pub asks: Vec<Ask>,
    /// The steps.
    pub steps: Vec<Planned>,
    /// The targets.
    pub targets: Vec<TargetPlan>,
    /// The notes: text, where it stands, and the step that it comes before.
    pub notes: Vec<(String, Span, usize)>,
    /// The day that a log gives, as written, and where.
    pub day: Option<(String, Span)>,
    /// What comes from the shop's own `shop.heat`, and where that stands.
    pub from_shop: Vec<(String, Span)>,
    /// What it takes from the rack by its file: the name there, and the line of stock.
    pub drawn: Vec<(String, Span)>,
    /// The warnings that it answers.
    pub allowed: Vec<Allowed>,
    /// The lots that still stand under a name at the end, in the order they were made.
    pub pieces: Vec<LotId>,
    /// The lots that still lie on the rack.
    pub rack: Vec<LotId>,
    /// The recipes that can be called here.
    pub recipes: Vec<RecipeDoc>,
    /// Whether it is shown in inches: as it says, else as it speaks more in them than in mm.
    pub inches: bool,
}

impl Plan {
    /// The units that the recipe is written in.
    #[must_use]
    pub fn units(&self) -> Units {
        if self.inches { Units::Inch } else { Units::Metric }
    }

    /// What has to be bought, each with the step that takes it from the store. What lies on the rack is there.
    pub fn bought(&self) -> impl Iterator<Item = (usize, LotId)> + '_ {
        let steps = self.steps.iter().enumerate();
        let taken = steps.flat_map(|(index, step)| step.brings.iter().map(move |lot| (index, *lot)));
        taken.filter(|(_, lot)| !self.ground.lots[*lot].racked)
    }

    /// The step that makes each lot.
    #[must_use]
    pub fn makers(&self) -> BTreeMap<LotId, usize> {
        let steps = self.steps.iter().enumerate().rev();
        steps.flat_map(|(index, step)| step.gives.iter().map(move |lot| (*lot, index))).collect()
    }

    /// What is known of a figure, and the words where it stands.
    #[must_use]
    pub fn figure(&self, slot: u32) -> (&SlotInfo, Span) {
        let at = slot as usize;
        let both = self.slots.get(at).zip(self.ground.spans.get(at).copied());
        both.unwrap_or_else(|| bug!("the plan has no figure {slot}"))
    }

    /// A fault for each `?`: nothing can be worked before a figure stands there.
    pub fn open_questions(&self) -> impl Iterator<Item = Diagnostic> + '_ {
        self.asks.iter().map(|ask| {
            let message = "a `?` stands here, and this command answers none";
            Diagnostic::new(Code::OpenQuestion, message, ask.span, "nothing is known here")
                .help("`heatbook fill` finds the value that meets the target; or write a figure")
        })
    }

    /// The figures that were read off a piece, and those that such a one follows from: facts, of which nothing proposes others.
    #[must_use]
    pub fn readings(&self) -> BTreeSet<u32> {
        let measures = self.steps.iter().filter(|s| s.word.form == crate::forge::Form::Measure);
        let words: Vec<Span> = measures.map(|s| s.span).collect();
        let read = |span: &Span| words.iter().any(|w| span.start >= w.start && span.end <= w.end);
        let slots = (0..).zip(&self.ground.spans);
        self.with_sources(slots.filter(|(_, span)| read(span)).map(|(slot, _)| slot).collect())
    }

    /// Figures, and all that they follow from.
    fn with_sources(&self, mut figures: BTreeSet<u32>) -> BTreeSet<u32> {
        for line in self.working.iter().rev() {
            if figures.contains(&line.slot) {
                figures.extend([line.a, line.b]);
            }
        }
        figures
    }

    /// Makes every `measure` of the recipe itself a step that changes nothing.
    pub fn unmeasured(&mut self) {
        for step in &mut self.steps {
            if step.word.form == crate::forge::Form::Measure
                && let (Some(from), Some(to)) = (step.takes.first(), step.gives.first())
            {
                step.step = Step::handed(*from, *to, step.span);
            }
        }
    }

    /// Whether a target asks what the whole build takes.
    #[must_use]
    pub fn asks_of_the_build(&self) -> bool {
        self.targets.iter().flat_map(|t| &t.tests).any(|t| t.what.of_the_build())
    }

    /// The figures that a target holds against.
    fn bounds(&self) -> BTreeSet<u32> {
        self.targets.iter().flat_map(|t| &t.tests).flat_map(|t| t.bounds.slots()).collect()
    }

    /// The figures that a target asks for, or that such a one follows from: another value would ask for something else.
    #[must_use]
    pub fn asked_by(&self) -> BTreeSet<u32> {
        self.with_sources(self.bounds())
    }

    /// The first step (from 0) that any of these figures may touch, by where they stand and what follows from them. A figure
    /// of the shop may touch any step that works a piece; one that stands nowhere in a step may touch them all.
    #[must_use]
    pub fn first_touched(&self, slots: &[u32]) -> usize {
        let mut touched: BTreeSet<u32> = slots.iter().copied().collect();
        for line in &self.working {
            if touched.contains(&line.a) || touched.contains(&line.b) {
                touched.insert(line.slot);
            }
        }
        let works = |step: &Planned| step.word.form == crate::forge::Form::Work;
        let first_work = self.steps.iter().position(works).unwrap_or(self.steps.len());
        let bounds = self.bounds();
        let mut first = self.steps.len();
        for (slot, span) in (0u32..).zip(&self.ground.spans) {
            if !touched.contains(&slot) || bounds.contains(&slot) {
                continue;
            }
            let inside = |s: &Planned| s.span.start <= span.start && span.end <= s.span.end;
            // Outside every step it is a let, whose uses are touched themselves, or the shop's.
            first = first.min(self.steps.iter().position(inside).unwrap_or(first_work));
        }
        first
    }

    /// Of each figure, whether another value can move anything that a target is judged by, as far as the words tell: where it
    /// stands, what follows from it, and which steps lead to a piece that is judged. Each step, figure and line of working is
    /// looked at once.
    #[must_use]
    pub fn movers(&self) -> Vec<bool> {
        let mut judged: BTreeSet<LotId> = self.targets.iter().filter_map(|t| t.lot).collect();
        // Every step takes time, and most take steel.
        let all = self.asks_of_the_build();
        // By the first byte of a step: where its words end, and whether any of its places leads on.
        let mut leads: BTreeMap<u32, (u32, bool)> = BTreeMap::new();
        for step in self.steps.iter().rev() {
            let leading = all || step.gives.iter().any(|lot| judged.contains(lot));
            if leading {
                judged.extend(step.takes.iter().copied());
            }
            let (end, leads) = leads.entry(step.span.start).or_insert((step.span.end, false));
            *end = step.span.end.max(*end);
            *leads |= leading;
        }
        let asked = self.targets.iter().any(|t| !t.tests.is_empty());
        let bounds = self.bounds();
        let own = (0u32..).zip(&self.ground.spans).zip(&self.slots).map(|((slot, span), info)| {
            let step = leads.range(..=span.start).next_back().map(|(_, step)| *step);
            let moves = match step.filter(|(end, _)| span.end <= *end) {
                Some((_, leads)) => leads,
                // Outside every step: the shop's may move all; a let or a parameter has a name, and moves what follows from it.
                None => info.address.is_empty() || info.address.starts_with("shop "),
            };
            asked && moves && !bounds.contains(&slot)
        });
        let mut moves: Vec<bool> = own.collect();
        for line in self.working.iter().rev() {
            if moves.get(line.slot as usize) == Some(&true) {
                for from in [line.a, line.b] {
                    if let Some(moves) = moves.get_mut(from as usize) {
                        *moves = true;
                    }
                }
            }
        }
        moves
    }

    /// The kinds of work met, for the cautions.
    #[must_use]
    pub fn hazards(&self) -> Vec<Hazard> {
        let mut met: Vec<Hazard> = self.steps.iter().flat_map(|s| s.hazards.iter().copied()).collect();
        met.sort_unstable();
        met.dedup();
        met
    }
}
