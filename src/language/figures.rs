//! Quantities of the tree to slots of the plan: units, kinds, arithmetic, tolerances.

use std::collections::{BTreeMap, BTreeSet};

use super::ast::{Expr, Figure, Quantity};
use super::set::Set;
use crate::forge::{Name, Slot};
use crate::quantity::{Kind, Reading, Values, find_unit};
use crate::replay::{Ask, Op, OpLine, SlotInfo};
use crate::source::{Code, Diagnostic, Span};

/// Absolute zero, °C (by definition of the scale).
const COLDEST_C: f64 = -273.15;

/// The figures of a plan in the making.
#[derive(Default)]
pub struct Figures {
    /// Every figure as written.
    pub values: Values,
    /// What is known of each.
    pub slots: Vec<SlotInfo>,
    /// Where each stands.
    pub spans: Vec<Span>,
    /// The working, in order.
    pub working: Vec<OpLine>,
    /// Every `?`.
    pub asks: Vec<Ask>,
    /// What is wrong.
    pub faults: Vec<Diagnostic>,
    /// How many figures were in inches, less those in metric lengths.
    pub inches: i64,
    /// The same of lengths and weights together.
    pub imperial: i64,
    /// Figures that are set from outside: address, value, kind.
    pub set: Vec<Set>,
    pub(super) lets: BTreeMap<String, Slot>,
    /// Lets that were at fault: their use is no second fault.
    broken: Vec<String>,
    /// How often one was used.
    pub lost: usize,
    /// What lets meant before they were hidden, in order: it comes back when the block ends.
    hidden: Vec<(String, Option<Slot>)>,
    /// Figures that are not known yet because a `?` stands in them.
    asked: BTreeSet<u32>,
    /// Leaves of lines that are worked more than once: all their places share the figure as written.
    shared: BTreeMap<Span, Slot>,
    /// Whether the lines under way may be worked more than once.
    inlined: bool,
    /// The form of the clause or entry under way, for what is wrong in it.
    pub form: &'static str,
}

/// The names of figures before a call: they come back after it.
pub struct Outside {
    hidden: usize,
    broken: Vec<String>,
    inlined: bool,
}

/// A term under way: its slot, and whether it is a bare figure that may take a unit from its neighbour.
type Made = Option<Slot>;

/// What a figure means where it stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum As {
    /// A value.
    Value,
    /// A difference: behind `+ - +-` a temperature is one.
    Difference,
}

impl Figures {
    /// Binds a `let`.
    pub fn bind(&mut self, name: &Name, quantity: &Quantity) {
        if let Some(first) = self.lets.get(&name.text) {
            let message = format!("`{}` is set twice", name.text);
            let fault = Code::LetTwice.says(message).at(name.span, "set once more here");
            let fault = fault.and(first.span, "first set here");
            return self.faults.push(fault.help("give the second one another name"));
        }
        self.rebind(name, quantity, &name.text);
    }

    /// Binds a `let` of a block: it holds until the block ends, and may hide one outside.
    pub fn rebind(&mut self, name: &Name, quantity: &Quantity, address: &str) {
        let slot = self.slot(quantity, address);
        self.know(name.text.clone(), slot);
    }

    /// A name whose figure cannot be meant: where it is used nothing more is said.
    pub fn forget(&mut self, name: &str) {
        self.lets.remove(name);
        self.broken.push(name.to_owned());
    }

    /// Makes a figure known by a name until the block ends.
    pub fn know(&mut self, name: String, slot: Option<Slot>) {
        match slot {
            Some(slot) => {
                self.broken.retain(|b| *b != name);
                let before = self.lets.insert(name.clone(), slot);
                self.hidden.push((name, before));
            }
            None => self.broken.push(name),
        }
    }

    /// The place of a `?` has told its kind.
    pub fn settle(&mut self, slot: u32, kind: Kind, whole: bool) {
        let mut open = Some(slot);
        while let Some(at) = open {
            let info = self.info(at);
            if info.kind == Kind::OPEN {
                info.kind = kind;
            }
            if let Some(ask) = self.asks.iter_mut().find(|ask| ask.slot == at) {
                ask.whole |= whole;
            }
            let copied = self.line_of(at).filter(|line| line.op == Op::Copy);
            open = copied.map(|line| line.a).filter(|a| *a != at);
        }
    }

    /// What is wrong with the ranges of what can only be a whole number: none lies in one.
    pub fn empty_ranges(&mut self) {
        let empty = self.asks.iter().filter(|ask| ask.whole).filter_map(|ask| {
            let (a, b) = ask.within.map(|(a, b)| (self.values.at(a), self.values.at(b)))?;
            let (least, most) = (a.min(b).ceil().max(1.0), a.max(b).floor());
            (least > most).then(|| {
                let near = a.min(b).floor().max(1.0);
                Code::RangeEmpty
                    .says("no whole number lies in this range")
                    .at(ask.span, "this is counted, from 1")
                    .help(format!("write a wider range, as in `? in {near} .. {}`", near.max(b.ceil()) + 1.0))
            })
        });
        let empty: Vec<Diagnostic> = empty.collect();
        self.faults.extend(empty);
    }

    /// Marks a figure, and all that it follows from, as one that the plan has its shape from.
    pub fn shapes(&mut self, slot: Slot) {
        let mut open = vec![slot.slot];
        while let Some(at) = open.pop() {
            if !std::mem::replace(&mut self.info(at).shapes, true) {
                open.extend(self.line_of(at).into_iter().flat_map(|l| [l.a, l.b]));
            }
        }
    }

    /// The line that works a figure out, where one does: lines stand in the order of their figures.
    fn line_of(&self, slot: u32) -> Option<OpLine> {
        let at = self.working.partition_point(|line| line.slot < slot);
        self.working.get(at).copied().filter(|line| line.slot == slot)
    }

    /// Opens the inside of a recipe: its parameters go before the file's own names.
    pub fn enter(&mut self, params: Vec<(String, Option<Slot>)>) -> Outside {
        let (hidden, inlined) = (self.hidden.len(), self.inlined);
        let outside = Outside { hidden, broken: self.broken.clone(), inlined };
        self.inlined = true;
        params.into_iter().for_each(|(name, slot)| self.know(name, slot));
        outside
    }

    /// Leaves it again.
    pub fn leave(&mut self, outside: Outside) {
        for (name, before) in self.hidden.drain(outside.hidden.min(self.hidden.len())..).rev() {
            match before {
                Some(slot) => _ = self.lets.insert(name, slot),
                None => _ = self.lets.remove(&name),
            }
        }
        (self.broken, self.inlined) = (outside.broken, outside.inlined);
    }

    /// Overwrites a figure that is set from outside.
    fn take_set(&mut self, made: Slot) {
        if self.set.is_empty() {
            return;
        }
        let address = self.info(made.slot).address.clone();
        let set = self.set.iter_mut().find(|set| !address.is_empty() && set.address == address);
        let Some(set) = set else { return };
        set.found = Some(made.kind);
        // A bare number is a share too, and the other way round.
        if set.kind == made.kind || (set.kind.is_plain() && made.kind.is_plain()) {
            self.values.set(made.slot, set.value);
            self.working.retain(|line| line.slot != made.slot);
            self.asks.retain(|ask| ask.slot != made.slot);
            self.asked.remove(&made.slot);
        }
    }

    /// Notes that a `let` of this name was at fault.
    pub fn broken(&mut self, name: &str) {
        self.broken.push(name.to_owned());
    }

    /// The slot of a quantity, under an address.
    pub fn slot(&mut self, quantity: &Quantity, address: &str) -> Made {
        self.slot_with(quantity, None, address)
    }

    /// The slots of sizes: a bare one takes the unit of the next to its right.
    pub fn sizes(&mut self, sizes: &[Quantity], addresses: &[String]) -> Option<Vec<Slot>> {
        let mut unit: Option<Name> = None;
        let mut slots = Vec::new();
        for (i, quantity) in sizes.iter().enumerate().rev() {
            if unit.is_none() && matches!(&quantity.expr, Expr::Figure(f) if f.unit.is_none()) {
                let message = "the last size has no unit, so none of them has one";
                let fault = Diagnostic::new(Code::BareSize, message, quantity.span, "this is a bare number");
                let help = "write the unit behind the last, as in `4 x 40 x 150 mm`: it serves all three";
                return self.fail(fault.help(help));
            }
            let bare = matches!(&quantity.expr, Expr::Figure(f) if f.unit.is_none());
            if let Some(large) = unit.as_ref().filter(|u| bare && matches!(u.text.as_str(), "ft" | "m")) {
                return self.fail(too_large_a_unit(large, quantity.span));
            }
            let part = matches!(&quantity.expr, Expr::Figure(f) if f.unit.is_none() && f.is_part());
            if let Some(metric) = unit.as_ref().filter(|u| part && matches!(u.text.as_str(), "mm" | "cm")) {
                return self.fail(part_of_an_inch(metric, quantity.span));
            }
            slots.push((quantity, unit.clone(), addresses.get(i).map_or("", String::as_str)));
            unit = unit_of(&quantity.expr).or(unit);
        }
        let made = slots.into_iter().rev().map(|(q, unit, address)| {
            let slot = self.slot_with(q, unit, address)?;
            // A unit that is no size's is one mistake, where it stands.
            let borrowed = matches!(&q.expr, Expr::Figure(f) if f.unit.is_none());
            Some(if borrowed { Slot { kind: Kind::LENGTH, ..slot } } else { slot })
        });
        made.collect::<Vec<Made>>().into_iter().collect()
    }

    /// The slots of `a .. b`: a bare first takes the unit of the second.
    pub fn range(&mut self, a: &Quantity, b: &Quantity) -> Option<(Slot, Slot)> {
        let unit = unit_of(&b.expr);
        let (a, b) = (self.slot_with(a, unit, ""), self.slot_with(b, None, ""));
        let (a, b) = (a?, b?);
        if a.kind != b.kind {
            return self.fail(unlike(a, b, "a range runs between like things"));
        }
        Some((a, b))
    }

    /// The tolerance of a slot, where one was written.
    pub fn tolerance(&self, slot: Slot) -> Option<u32> {
        let info = self.slots.get(slot.slot as usize);
        info.unwrap_or_else(|| bug!("there is no figure {}", slot.slot)).tolerance
    }

    /// The figure of a slot as it stands.
    pub fn value(&self, slot: Slot) -> f64 {
        self.values.at(slot.slot)
    }

    fn slot_with(&mut self, quantity: &Quantity, unit: Option<Name>, address: &str) -> Made {
        // `250 +- 2 mm`: the figure in front takes the unit behind.
        let unit = unit.or_else(|| quantity.tolerance.as_ref().and_then(unit_of));
        let mut made = self.expr(&quantity.expr, As::Value, unit.as_ref())?;
        made.span = quantity.expr.span();
        // A name stands for its own figure, and so does a figure of a line that is worked more than once: this place
        // gets a copy, to be overwritten alone.
        let shared = self.inlined && matches!(quantity.expr, Expr::Figure(_) | Expr::Ask(..));
        if shared || matches!(quantity.expr, Expr::Name(_)) {
            let of = made.slot;
            // A copy of a figure as written is written to the same digits.
            let half_digit = if shared { made.half_digit } else { 0.0 };
            made = Slot { half_digit, ..self.work(Op::Copy, made.kind, made, made, quantity.span) };
            self.info(made.slot).copy_of = Some(of).filter(|_| shared);
            self.info(of).leaf |= shared;
        }
        if let Some(tolerance) = &quantity.tolerance {
            let t = self.expr(tolerance, As::Difference, None)?;
            let t = self.told(t)?;
            let share = t.kind == Kind::RATIO && made.kind != Kind::RATIO;
            if t.kind != made.kind && !share {
                return self.fail(unlike(made, t, "a tolerance is of the same kind as its figure"));
            }
            let tolerance = if share { self.work(Op::Multiply, made.kind, made, t, t.span) } else { t };
            self.info(made.slot).tolerance = Some(tolerance.slot);
        }
        let info = self.info(made.slot);
        if info.address.is_empty() {
            address.clone_into(&mut info.address);
        }
        self.take_set(made);
        self.told(Slot { span: quantity.span, ..made })?;
        let value = self.values.at(made.slot);
        if made.kind == Kind::TEMPERATURE && value < COLDEST_C {
            let text = "below -273.15 C, where there is no heat left";
            let fault = Code::NoFigure.says("nothing is so cold").at(quantity.span, text);
            return self.fail(fault.help("write the temperature in C or F, as in `1150 C`"));
        }
        Some(Slot { span: quantity.span, ..made })
    }

    /// What comes to a figure, or is yet to be found.
    fn told(&mut self, made: Slot) -> Made {
        if self.values.at(made.slot).is_finite() || self.is_asked(made) {
            return Some(made);
        }
        let (message, text) = ("this comes to no figure", "nothing can have this size");
        let fault = Diagnostic::new(Code::NoFigure, message, made.span, text);
        self.fail(fault.help("look for a division by nothing, or a figure with too many digits"))
    }

    /// Whether a figure is not known yet because a `?` stands in it.
    pub fn is_asked(&self, slot: Slot) -> bool {
        self.asked.contains(&slot.slot)
    }

    fn expr(&mut self, expr: &Expr, means: As, unit: Option<&Name>) -> Made {
        if let (true, Expr::Figure(_) | Expr::Ask(..)) = (self.inlined, expr)
            && let Some(known) = self.shared.get(&expr.span())
        {
            return Some(*known);
        }
        let made = self.expr_anew(expr, means, unit);
        if let (true, Expr::Figure(_) | Expr::Ask(..), Some(slot)) = (self.inlined, expr, made) {
            self.shared.insert(expr.span(), slot);
        }
        made
    }

    fn expr_anew(&mut self, expr: &Expr, means: As, unit: Option<&Name>) -> Made {
        match expr {
            Expr::Figure(figure) => self.figure(figure, means, unit),
            Expr::Name(name) => self.name(name, means),
            Expr::Ask(span, within) => self.ask(*span, within.as_deref(), unit),
            Expr::Minus(inner, span) => {
                let inner = self.expr(inner, means, unit)?;
                Some(self.work(Op::Negate, inner.kind, inner, inner, *span))
            }
            Expr::Row(first, rest, span) => self.row(first, rest, means, *span),
        }
    }

    fn figure(&mut self, figure: &Figure, means: As, neighbour: Option<&Name>) -> Made {
        let Some(word) = figure.unit.as_ref().or(neighbour) else {
            let made = self.push(figure.value, Kind::NUMBER, figure.span);
            return Some(Slot { half_digit: figure.digit / 2.0, ..made });
        };
        let (mut value, kind) = self.read(figure.value, word, means)?;
        if let Some((more, unit)) = &figure.more {
            let pairs =
                [("lb", "oz"), ("lbs", "oz"), ("ft", "in"), ("h", "min"), ("hour", "min"), ("hours", "min")];
            if !pairs.contains(&(word.text.as_str(), unit.text.as_str())) {
                let text = format!("`{}` behind `{}`", unit.text, word.text);
                let fault = Code::TwoFigures.says("two figures stand side by side").at(figure.span, text);
                return self.fail(fault.help("only `2 lb 6 oz`, `4 ft 2 in` and `1 h 30 min` go together; else put a comma between clauses"));
            }
            value += self.read(*more, unit, means)?.0;
        }
        if kind == Kind::LENGTH {
            let inch = matches!(word.text.as_str(), "in" | "inch" | "inches" | "thou" | "ft");
            self.inches += if inch { 1 } else { -1 };
        }
        if kind == Kind::LENGTH || kind == Kind::MASS {
            let own = ["in", "inch", "inches", "thou", "ft", "lb", "lbs", "oz"].contains(&word.text.as_str());
            self.imperial += if own { 1 } else { -1 };
        }
        // Half of the last digit, in the unit that it stands before.
        let last = figure.more.as_ref().map_or(word, |(_, unit)| unit);
        let half_digit = match find_unit(&last.text).map(|u| u.reading) {
            // Inches without a decimal point are read off a rule: to a 64th (project figure).
            Some(Reading::Factor(factor))
                if matches!(last.text.as_str(), "in" | "inch" | "inches" | "ft")
                    && figure.digit_is_coarse() =>
            {
                factor.min(25.4) / 128.0
            }
            Some(Reading::Factor(factor)) => figure.digit * factor / 2.0,
            Some(Reading::Fahrenheit) => figure.digit * 5.0 / 18.0,
            _ => figure.digit / 2.0,
        };
        let made = self.push(value, kind, figure.span);
        Some(Slot { half_digit, ..made })
    }

    fn read(&mut self, value: f64, word: &Name, means: As) -> Option<(f64, Kind)> {
        let unit = find_unit(&word.text)?;
        let base = match (unit.reading, means) {
            (Reading::Factor(factor), _) => value * factor,
            (Reading::Celsius, _) => value,
            (Reading::Fahrenheit, As::Value) => (value - 32.0) * 5.0 / 9.0,
            (Reading::Fahrenheit, As::Difference) => value * 5.0 / 9.0,
            (Reading::Refused(why), _) => {
                let message = format!("`{}` is not read as a unit", word.text);
                let fault = Diagnostic::new(Code::RefusedUnit, message, word.span, "this one").help(why);
                return self.fail(fault);
            }
        };
        Some((base, unit.kind))
    }

    fn name(&mut self, name: &Name, means: As) -> Made {
        let Some(slot) = self.lets.get(&name.text).copied() else {
            if self.broken.contains(&name.text) {
                self.lost += 1;
            } else {
                let meant = super::syntax::nearest(
                    &name.text,
                    self.lets.keys().chain(&self.broken).map(String::as_str).chain(["heel", "tip"]),
                );
                let message = format!("no `let` or `mark` sets `{}`", name.text);
                let text = "a figure should stand here";
                let fault = Diagnostic::new(Code::UnknownFigure, message, name.span, text);
                let form = self.form;
                let otherwise = || match form {
                    "" => {
                        "write a figure here; a name stands for a figure that a `let` sets above".to_owned()
                    }
                    form => format!("write a figure here, as in `{form}`"),
                };
                self.faults.push(match super::wording::said_number(&name.text.to_lowercase()) {
                    Some(number) => {
                        fault.help(format!("write `{number}`")).fix(name.span, number.to_string())
                    }
                    None => fault.meant(meant, otherwise),
                });
            }
            return None;
        };
        if means == As::Difference && slot.kind == Kind::TEMPERATURE {
            let message = "a temperature that is added or taken away must be written as a figure";
            let text = "this name stands for a temperature, not a difference";
            let fault = Diagnostic::new(Code::TemperatureDifference, message, name.span, text);
            return self.fail(fault.help("write the difference here, as in `1200 C + 30 C`"));
        }
        Some(Slot { span: name.span, ..slot })
    }

    fn ask(&mut self, span: Span, within: Option<&(Expr, Expr)>, unit: Option<&Name>) -> Made {
        let mut bounds = None;
        let mut kind = unit.and_then(|u| find_unit(&u.text)).map_or(Kind::OPEN, |u| u.kind);
        if let Some((low, high)) = within {
            let unit = unit_of(high);
            let (low, high) = (self.expr(low, As::Value, unit.as_ref()), self.expr(high, As::Value, None));
            let (low, high) = (low?, high?);
            let (low, high) = (self.told(low)?, self.told(high)?);
            if let Some(open) = [low, high].into_iter().find(|bound| self.is_asked(*bound)) {
                let message = "where a `?` is looked for hangs on another `?`";
                let fault = Code::RangeAsked.says(message).at(open.span, "this is not known itself");
                return self.fail(fault.help("write a figure that is known here, as in `? in 2 .. 6`"));
            }
            if low.kind != high.kind {
                return self.fail(unlike(low, high, "a range runs between like things"));
            }
            kind = low.kind;
            bounds = Some((low.slot, high.slot));
        }
        let slot = self.push(f64::NAN, kind, span);
        self.asked.insert(slot.slot);
        self.asks.push(Ask { slot: slot.slot, within: bounds, whole: false, span });
        Some(slot)
    }

    fn row(&mut self, first: &Expr, rest: &[(Op, Expr)], means: As, span: Span) -> Made {
        let mut sum = self.expr(first, means, None)?;
        for (op, term) in rest {
            let added = matches!(op, Op::Add | Op::Subtract);
            let means = if added { As::Difference } else { As::Value };
            let term = self.expr(term, means, None)?;
            let whole = sum.span.to(term.span);
            let made = if added { self.sum_kind(sum, term) } else { self.product_kind(sum, term, *op) };
            sum = self.work(*op, made?, sum, term, whole);
        }
        sum.span = span;
        Some(sum)
    }

    fn sum_kind(&mut self, a: Slot, b: Slot) -> Option<Kind> {
        if a.kind == b.kind {
            return Some(a.kind);
        }
        // What a `?` is added to tells its kind.
        for (open, other) in [(a, b), (b, a)] {
            if open.kind == Kind::OPEN {
                self.settle(open.slot, other.kind, false);
                return Some(other.kind);
            }
        }
        // `1 - 15 %` is 0.85.
        if a.kind.is_plain() && b.kind.is_plain() {
            return Some(Kind::NUMBER);
        }
        self.fail(unlike(a, b, "only like things are added or taken away"))
    }

    fn product_kind(&mut self, a: Slot, b: Slot, op: Op) -> Option<Kind> {
        if a.kind == Kind::TEMPERATURE || b.kind == Kind::TEMPERATURE {
            let hot = if a.kind == Kind::TEMPERATURE { a } else { b };
            let message = "a temperature is not multiplied or divided";
            let fault = Diagnostic::new(Code::TemperatureProduct, message, hot.span, "this is a temperature");
            return self.fail(fault.help("write the temperature that is meant"));
        }
        let kind = if op == Op::Multiply { a.kind.times(b.kind) } else { a.kind.over(b.kind) };
        if kind.is_none() {
            let message = "this product is of no kind that anything has";
            let fault = Diagnostic::new(Code::NoKind, message, a.span.to(b.span), "here");
            self.faults.push(fault.help("lengths multiply to areas and volumes, and no further"));
        }
        kind
    }

    /// Puts a fault on record: nothing is made.
    fn fail<T>(&mut self, fault: Diagnostic) -> Option<T> {
        // The unit of a range stands behind both its ends: it is refused once.
        let told = |last: &Diagnostic| last.code == fault.code && last.span() == fault.span();
        if !self.faults.last().is_some_and(told) {
            self.faults.push(fault);
        }
        None
    }

    /// What is known of a figure.
    fn info(&mut self, slot: u32) -> &mut SlotInfo {
        self.slots.get_mut(slot as usize).unwrap_or_else(|| bug!("there is no figure {slot}"))
    }

    fn push(&mut self, value: f64, kind: Kind, span: Span) -> Slot {
        let slot = self.values.0.len();
        let slot = u32::try_from(slot).unwrap_or_else(|_| bug!("{slot} figures are more than can be read"));
        self.values.0.push(value);
        self.slots.push(SlotInfo {
            address: String::new(),
            kind,
            tolerance: None,
            copy_of: None,
            leaf: false,
            shapes: false,
        });
        self.spans.push(span);
        Slot { slot, kind, span, half_digit: 0.0 }
    }

    fn work(&mut self, op: Op, kind: Kind, a: Slot, b: Slot, span: Span) -> Slot {
        let made = self.push(f64::NAN, kind, span);
        let line = OpLine { op, slot: made.slot, a: a.slot, b: b.slot };
        line.work(&mut self.values);
        self.working.push(line);
        if self.asked.contains(&a.slot) || self.asked.contains(&b.slot) {
            self.asked.insert(made.slot);
        }
        made
    }
}

fn unit_of(expr: &Expr) -> Option<Name> {
    match expr {
        Expr::Figure(f) => f.unit.clone(),
        Expr::Ask(_, Some(within)) => unit_of(&within.1),
        _ => None,
    }
}

/// Feet and metres serve only their own figure: nobody means a bar of feet by feet.
fn too_large_a_unit(unit: &Name, bare: Span) -> Diagnostic {
    let (meant, whole) = match unit.text.as_str() {
        "ft" => ("in", "1/4 x 1-1/2 in x 4 ft"),
        _ => ("mm", "6 x 40 mm x 1.2 m"),
    };
    let behind = Span { start: bare.end, end: bare.end };
    let message = format!("`{}` serves only its own figure, and this size has no unit", unit.text);
    Code::BareSize
        .says(message)
        .at(bare, "this is a bare number")
        .and(unit.span, "this unit is too large to be meant for it")
        .help(format!("write its unit behind it, as in `{whole}`"))
        .fix(behind, format!(" {meant}"))
}

/// A tape has parts of an inch, and none of a millimetre.
fn part_of_an_inch(unit: &Name, bare: Span) -> Diagnostic {
    let behind = Span { start: bare.end, end: bare.end };
    Code::BareSize
        .says(format!("a fraction is a part of an inch, and `{}` would serve it here", unit.text))
        .at(bare, "this is a bare fraction")
        .and(unit.span, "this unit is not meant for it")
        .help("write its unit behind it, as in `3/8 in x 38 mm`")
        .fix(behind, " in")
}

fn unlike(a: Slot, b: Slot, why: &str) -> Diagnostic {
    Code::UnlikeKinds
        .says(format!("{} and {} do not go together", a.kind.name(), b.kind.name()))
        .at(b.span, format!("this is {}", b.kind.name()))
        .and(a.span, format!("this is {}", a.kind.name()))
        .help(format!("{why}: write {} here", a.kind.example()))
}
