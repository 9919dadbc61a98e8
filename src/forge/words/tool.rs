//! The tool of a pressing step, its bite, and the spread law that they make.

use crate::quantity::{Length, Number, Q};
use crate::source::{Code, Span};

use crate::forge::process::grip::{Contact, Grip};
use crate::forge::process::rig::Rig;
use crate::forge::words::args::Arg;
use crate::forge::words::shop::{Machine, MachineKind, Shop};
use crate::forge::words::tool_kind::ToolKind;
use crate::forge::{Bag, Cx, Key, Outcome, Sink};

/// Width of a flat die along the bar where none is stated, mm (project figure).
const DIE: f64 = 40.0;
/// Width of a peen where none is stated, mm (project figure).
const PEEN: f64 = 12.0;
/// Face of a hammer where none is stated, mm (project figure).
const FACE: f64 = 40.0;
/// How much of a hand hammer's face one blow covers (project figure).
const CROWNED: f64 = 0.6;
/// Why a bite is half a die.
const HALF_BITES: &str = "common practice: half bites draw, full bites spread";
/// Length of a tool that lies along the bar, where none is stated, mm (metal.md).
const ALONG: f64 = 40.0;

/// What a run lists the spread law under that it leans on.
pub const SPREAD_LAW: &str = "spread";

/// The clauses of fire and tool that a step takes that forges.
pub const FORGING: &[Key] = &[Key::Heats, Key::At, Key::For, Key::With, Key::Bite, Key::Spread];

/// The tool clauses of a pressing step.
#[derive(Clone, Copy, Debug)]
pub struct Tool {
    kind: Option<ToolKind>,
    size: Option<Q<Length>>,
    length: Option<Q<Length>>,
    bite: Option<Q<Length>>,
    spread: Option<Q<Number>>,
}

/// How much of the tool one bite uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bites {
    /// All of it.
    Full,
    /// Half of a flat die: half bites draw, full bites spread (common practice).
    Half,
}

impl Tool {
    /// Takes the clauses.
    pub fn bind(bag: &mut Bag) -> Tool {
        let (bite, spread) = (bag.opt(Key::Bite), bag.opt(Key::Spread));
        let mut tool = Tool { kind: None, size: None, length: None, bite, spread };
        if let Some(clause) = bag.take(Key::With) {
            for arg in &clause.args {
                match arg {
                    Arg::Word(word, _) => tool.kind = ToolKind::ALL.into_iter().find(|k| k.word() == *word),
                    Arg::Slot(slot) => tool.size = bag.typed(*slot, "with"),
                    Arg::Dims(slots, _) => {
                        let mut each = slots.iter();
                        tool.size = each.next().and_then(|s| bag.typed(*s, "with"));
                        tool.length = each.next().and_then(|s| bag.typed(*s, "with"));
                    }
                    _ => {}
                }
            }
        }
        tool
    }

    /// Whether what the step says of its tool can be: also where nothing of it is leaned on.
    fn sound<S: Sink>(&self, cx: &Cx<S>) -> Outcome {
        for q in [self.size, self.length, self.bite].into_iter().flatten() {
            above_nothing(cx, q)?;
        }
        Ok(())
    }

    /// The grip of a step whose tool lies across the bar.
    ///
    /// # Errors
    /// A bite or coefficient that is none.
    pub fn across<'a, S: Sink>(&self, cx: &mut Cx<'a, S>, bites: Bites) -> Outcome<Grip<'a>> {
        self.sound(cx)?;
        let fixed = self.outright(cx, true)?;
        let rig = self.rig(cx)?;
        if let (Some(_), None, None) = (fixed, &rig, self.bite) {
            // The coefficient is set and no machine counts strokes: no tool is leaned on.
            let contact = Contact::Across { bite: DIE / 2.0 };
            return Ok(Grip { contact, rig, fixed, doubt: 1.0, stated: false });
        }
        let stated = rig.is_some() || self.size.is_some() || self.bite.is_some();
        let (kind, size) = self.resolve(cx);
        let bite = match self.bite {
            Some(q) => above_nothing(cx, q)?,
            None if kind == ToolKind::FlatDie && bites == Bites::Half => {
                cx.book.assume("bite", || "half the die".to_owned(), HALF_BITES);
                size / 2.0
            }
            None if kind == ToolKind::Hammer && rig.is_none_or(|r| r.machine.kind == MachineKind::Hammer) => {
                cx.book.assume(
                    "bite by hand",
                    || "0.6 of the face: it is crowned".to_owned(),
                    "project figure",
                );
                size * CROWNED
            }
            None if kind == ToolKind::Hammer && bites == Bites::Half => {
                cx.book.assume("bite", || "half the die".to_owned(), HALF_BITES);
                size / 2.0
            }
            None => size,
        };
        let contact = if kind == ToolKind::Rolls {
            Contact::Rolls { diameter: size }
        } else {
            Contact::Across { bite }
        };
        match (fixed, kind) {
            (Some(_), _) => {}
            (None, ToolKind::Rolls) => {
                let source = "Wusatowski 1969, through a secondary carrier";
                cx.book.assume(SPREAD_LAW, || "law for flat rolls".to_owned(), source);
            }
            (None, _) => assume_law(cx),
        }
        let doubt = cx.doubt * self.factor(cx, true)?;
        Ok(Grip { contact, rig, fixed, doubt, stated })
    }

    /// The grip of a step whose tool lies along the bar: width is gained for little length.
    ///
    /// # Errors
    /// A tool or coefficient that is none.
    pub fn along<'a, S: Sink>(&self, cx: &mut Cx<'a, S>) -> Outcome<Grip<'a>> {
        self.sound(cx)?;
        let fixed = self.outright(cx, false)?;
        let rig = self.rig(cx)?;
        if let (Some(_), None) = (fixed, &rig) {
            let contact = Contact::Along { tool: PEEN, long: ALONG };
            return Ok(Grip { contact, rig, fixed, doubt: 1.0, stated: false });
        }
        let size = match (self.kind, self.size) {
            (_, Some(q)) => above_nothing(cx, q)?,
            (Some(ToolKind::FlatDie), None) => self.resolve(cx).1,
            (Some(ToolKind::Hammer), None) => FACE,
            _ => cx.get_or(None::<Q<Length>>, "peen", PEEN, "project figure"),
        };
        let what = "length of the tool along the bar";
        let long = cx.get_or(self.length.or(self.bite), what, ALONG, "project figure");
        if fixed.is_none() {
            assume_law(cx);
        }
        let doubt = cx.doubt * self.factor(cx, false)?;
        let stated = rig.is_some() || self.size.is_some();
        Ok(Grip { contact: Contact::Along { tool: size, long }, rig, fixed, doubt, stated })
    }

    /// The grip of a step that presses a bar end to end.
    ///
    /// # Errors
    /// A tool or coefficient that is none.
    pub fn ends<'a, S: Sink>(&self, cx: &mut Cx<'a, S>) -> Outcome<Grip<'a>> {
        self.sound(cx)?;
        self.outright(cx, false)?;
        let rig = self.rig(cx)?;
        Ok(Grip { contact: Contact::Ends, rig, fixed: None, doubt: 1.0, stated: rig.is_some() })
    }

    /// The machine of the shop that drives this tool.
    fn rig<'a, S: Sink>(&self, cx: &mut Cx<'a, S>) -> Outcome<Option<Rig<'a>>> {
        let machines = &cx.ground.shop.machines;
        let fits = |m: &&Machine| match self.kind {
            None => true,
            Some(ToolKind::FlatDie) => matches!(m.kind, MachineKind::Press | MachineKind::PowerHammer),
            Some(ToolKind::Hammer) => matches!(m.kind, MachineKind::Hammer | MachineKind::PowerHammer),
            Some(ToolKind::Rolls) => m.kind == MachineKind::Rolls,
            Some(ToolKind::Fuller | ToolKind::Peen) => m.kind != MachineKind::Rolls,
        };
        let Some(machine) = machines.iter().find(fits) else { return Ok(None) };
        Rig::of(cx, machine).map(Some)
    }

    fn outright<S: Sink>(&self, cx: &Cx<S>, across: bool) -> Outcome<Option<f64>> {
        let kind = self.kind_here(cx, across);
        if let (None, Some(s)) = (self.spread, cx.habit.spread.get(kind.index()).copied().flatten()) {
            return Ok(Some(s.clamp(0.0, 1.0)));
        }
        if self.spread.is_none() && cx.habit.factor.get(kind.index()).is_some_and(Option::is_some) {
            return Ok(None);
        }
        let own = self.shop_spread(&cx.ground.shop, kind, across);
        let Some(q) = self.spread.or(own) else { return Ok(None) };
        let s = cx.get(q);
        if (0.0..=1.0).contains(&s) {
            return Ok(Some(s));
        }
        Err(Code::SpreadOutOfRange
            .says("a spread coefficient lies between 0 and 1")
            .at(cx.span(q), format!("this is {}", crate::quantity::trim_number(s, 4)))
            .stops("0 holds the width, 1 holds the length; flat dies with half bites are near 0.3"))
    }

    /// What the shop's spread is of the published law's.
    fn factor<S: Sink>(&self, cx: &Cx<S>, across: bool) -> Outcome<f64> {
        let kind = self.kind_here(cx, across);
        if let Some(factor) = cx.habit.factor.get(kind.index()).copied().flatten() {
            return Ok(factor);
        }
        let shop = &cx.ground.shop;
        let own = shop.spread_factors.get(kind.index()).copied().flatten();
        let Some(q) = own.or(if across { shop.spread_factor } else { None }) else { return Ok(1.0) };
        let help = "write what your bars spread of what the published law says, such as `spread 90 %`";
        cx.above_nothing(q, cx.span(q), "bars spread more than nothing", help)
    }

    /// What strikes the bar: as the step says, else by the shop's machine, else a hammer; along the bar a peen.
    fn kind_here<S: Sink>(&self, cx: &Cx<S>, across: bool) -> ToolKind {
        let usual = if across {
            cx.ground.shop.machine_of(None).map_or(ToolKind::Hammer, |m| tool_of(m.kind))
        } else {
            ToolKind::Peen
        };
        self.kind.unwrap_or(usual)
    }

    /// What the shop states for a tool: its own figure for it, else the one for all tools across the bar.
    fn shop_spread(&self, shop: &Shop, kind: ToolKind, across: bool) -> Option<Q<Number>> {
        let own = shop.spreads.get(kind.index()).copied().flatten();
        own.or(if across { shop.spread } else { None })
    }

    /// The tool and its size along the bar, from the step, else the shop, else a hammer.
    fn resolve<S: Sink>(&self, cx: &mut Cx<S>) -> (ToolKind, f64) {
        let shop = &cx.ground.shop;
        let (kind, size) = match self.kind {
            Some(kind) => (kind, self.size.or_else(|| shop_size(shop, kind))),
            None => match shop.machine_of(None) {
                Some(m) => (tool_of(m.kind), m.tool),
                None => (ToolKind::Hammer, None),
            },
        };
        let (what, usual) = match kind {
            ToolKind::FlatDie => ("flat die", DIE),
            ToolKind::Fuller | ToolKind::Peen => ("peen", PEEN),
            ToolKind::Hammer => ("hammer face", FACE),
            ToolKind::Rolls => ("rolls", 3.0 * DIE),
        };
        (kind, cx.get_or(size, what, usual, "project figure"))
    }

    /// The words that set the coefficient outright.
    #[must_use]
    pub fn spread_span<S: Sink>(&self, cx: &Cx<S>) -> Option<Span> {
        let own = self.shop_spread(&cx.ground.shop, self.kind_here(cx, true), true);
        self.spread.or(own).map(|q| cx.span(q))
    }
}

fn assume_law<S: Sink>(cx: &mut Cx<S>) {
    let shown = || "open-die law; published laws differ by about 30 % of the width gained".to_owned();
    cx.book.assume(SPREAD_LAW, shown, "Tomlinson & Stringer 1959, from memory");
}

fn above_nothing<S: Sink>(cx: &Cx<S>, q: Q<Length>) -> Outcome<f64> {
    let help = "write the length of bar that lies under the tool, such as `20 mm`";
    cx.above_nothing(q, cx.span(q), "a tool or bite needs a size above nothing", help)
}

fn tool_of(kind: MachineKind) -> ToolKind {
    match kind {
        MachineKind::Press => ToolKind::FlatDie,
        MachineKind::PowerHammer | MachineKind::Hammer => ToolKind::Hammer,
        MachineKind::Rolls => ToolKind::Rolls,
    }
}

fn shop_size(shop: &Shop, kind: ToolKind) -> Option<Q<Length>> {
    let machine = match kind {
        ToolKind::FlatDie => MachineKind::Press,
        ToolKind::Hammer => MachineKind::Hammer,
        ToolKind::Rolls => MachineKind::Rolls,
        ToolKind::Fuller | ToolKind::Peen => return None,
    };
    shop.machine_of(Some(machine)).and_then(|m| m.tool)
}
