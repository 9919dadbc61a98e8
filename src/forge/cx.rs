//! What a step sees while it runs: figures, shop, bars, makeup, book.

use crate::piece::{Bar, Cause, Lot, LotId, Makeup, Measure, PartName, SteelId, TooMuch};
use crate::quantity::{
    Arena, Count, Kind, KindOf, Length, Q, Units, Values, show, show_about_c, trim_number,
};
use crate::source::{Code, Diagnostic, Span};
use crate::spec::Steels;
use crate::steel::laws::heating::Through;

use crate::forge::limits::Limits;
use crate::forge::words::args::Bought;
use crate::forge::{Moved, Shop, Sink, Word, Work};

/// No bar is thinner, mm (project figure: a tenth of the thinnest steel foil that is rolled, from memory).
const THINNEST_MM: f64 = 0.001;

/// A step that cannot be done: the one finding that stops it.
pub type Fault = Box<Diagnostic>;

/// What a step's work comes to, or what stops it.
pub type Outcome<T = ()> = Result<T, Fault>;

/// What is known of a lot before any run.
#[derive(Clone, Debug)]
pub struct LotInfo {
    /// The name that it was bound to.
    pub name: String,
    /// The step that made it.
    pub site: Span,
    /// Whether it lies on the rack.
    pub racked: bool,
    /// What it is bought as, where it is.
    pub bought: Bought,
    /// The lots that went into it.
    pub from: Vec<LotId>,
    /// Which of its sizes may have run into one another since it was stock or was last measured.
    pub moved: Moved,
}

/// The unchanging part of a plan that steps read.
#[derive(Debug, Default)]
pub struct Ground {
    /// The shop.
    pub shop: Shop,
    /// The steels, by [`SteelId`].
    pub steels: Steels,
    /// What heat each of them stands, by [`SteelId`].
    pub limits: Arena<SteelId, Limits>,
    /// Where each figure stands, by slot.
    pub spans: Vec<Span>,
    /// The lots, by [`LotId`].
    pub lots: Arena<LotId, LotInfo>,
    /// The names of parts, by [`PartName`].
    pub parts: Arena<PartName, String>,
    /// Whether a step hardens or a test asks for a hardness: else no verdict hangs on what the fire does to the carbon.
    pub hardens: bool,
}

impl Ground {
    /// The name of a part.
    #[must_use]
    pub fn part_name(&self, part: PartName) -> &str {
        &self.parts[part]
    }

    /// The name of a lot.
    #[must_use]
    pub fn lot_name(&self, lot: LotId) -> &str {
        &self.lots[lot].name
    }
}

/// How a shop's own hands differ from the book: set where a calibration looks for it, else nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Habit {
    /// Spread of each tool, outright, by the order of [`crate::forge::ToolKind::ALL`].
    pub spread: [Option<f64>; 5],
    /// What the spread of each tool is of the published law's, likewise: whatever the shop says of it.
    pub factor: [Option<f64>; 5],
    /// Skin of a heat, mm off each face.
    pub scale: Option<f64>,
    /// Welds come out thinner than asked by this share of the stack.
    pub thinning: f64,
    /// Faces and edges are ground by so much more than asked, mm each.
    pub grinding: f64,
    /// Measures are noted, and the run does not go on from them.
    pub deaf: bool,
}

/// What was worked out before for a lot: the next run often asks the same.
#[derive(Clone, Copy, Debug, Default)]
pub struct Recall {
    /// Its flow stress at the end of a heat, and in its middle.
    pub flow: [Option<Flow>; 2],
    /// How long its sections take to heat through: of fire, heat and where the heat before it stopped, °C; from cold, and from there.
    pub fire: Option<([f64; 3], [Through; 2])>,
    /// How long a heat lasts: from and to, °C; seconds, and seconds for the last degree, for each mm of volume over surface.
    pub lasts: Option<([f64; 2], [f64; 2])>,
}

/// A flow stress, and what for.
#[derive(Clone, Copy, Debug)]
pub struct Flow {
    /// Temperature, °C; rate, 1/s; share of the first steel.
    pub of: [f64; 3],
    /// The steels.
    pub steels: [u8; 2],
    /// Mean flow stress, MPa.
    pub stress: f64,
}

/// One run under way.
pub struct Cx<'a, S> {
    /// The figures.
    pub values: &'a Values,
    /// What never changes.
    pub ground: &'a Ground,
    /// The bars, by [`LotId`]; `None` where a step failed or has not run.
    pub lots: &'a mut Arena<LotId, Option<Lot>>,
    /// The makeup of all of them.
    pub makeup: &'a mut Makeup,
    /// Where it is written down.
    pub book: &'a mut S,
    /// The reader's units, for messages.
    pub units: Units,
    /// A factor on the coefficients of published spread laws: 1, but where a verdict is asked for its doubts.
    pub doubt: f64,
    /// How the shop's own hands differ from the book.
    pub habit: Habit,
    /// All verbs: for messages that name those that would work.
    pub words: &'static [Word],
    /// What earlier runs worked out, by the lot that was worked.
    pub recalls: &'a mut Arena<LotId, Recall>,
}

impl<S: Sink> Cx<'_, S> {
    /// A figure, base unit.
    #[must_use]
    pub fn get<K>(&self, q: Q<K>) -> f64 {
        self.values.get(q)
    }

    /// The words of a figure.
    #[must_use]
    pub fn span<K>(&self, q: Q<K>) -> Span {
        match self.ground.spans.get(q.slot() as usize) {
            Some(span) => *span,
            None => bug!("figure {} stands nowhere", q.slot()),
        }
    }

    /// A length that may be nothing, but not less, mm.
    ///
    /// # Errors
    /// `negative`.
    pub fn length(&self, q: Q<Length>) -> Outcome<f64> {
        let value = self.get(q);
        if value >= 0.0 {
            return Ok(value);
        }
        let shown = self.mm(value);
        Err(Code::Negative
            .says("this figure cannot be below nothing")
            .at(self.span(q), format!("this is {shown}"))
            .stops("write it without the minus"))
    }

    /// A length that may be nothing, but not less; where nobody says, the usual one, which is listed, mm.
    ///
    /// # Errors
    /// `negative`.
    pub fn length_or(
        &mut self,
        q: Option<Q<Length>>,
        what: &'static str,
        usual: f64,
        source: &'static str,
    ) -> Outcome<f64> {
        q.map(|q| self.length(q)).unwrap_or_else(|| Ok(self.get_or(q, what, usual, source)))
    }

    /// A figure, base unit; where nobody states it, the usual one, which is listed.
    pub fn get_or<K: KindOf>(
        &mut self,
        q: Option<Q<K>>,
        what: &'static str,
        usual: f64,
        source: &'static str,
    ) -> f64 {
        if q.is_none() {
            self.assume(what, usual, K::KIND, source);
        }
        q.map_or(usual, |q| self.get(q))
    }

    /// Lists a figure that nobody stated.
    pub fn assume(&mut self, what: &'static str, usual: f64, kind: Kind, source: &'static str) {
        let units = self.units;
        self.book.assume(what, || show(usual, kind, units), source);
    }

    /// The step that a lot comes out of.
    #[must_use]
    pub fn made(&self, lot: LotId) -> Span {
        self.ground.lots[lot].site
    }

    /// A length for a message.
    #[must_use]
    pub fn mm(&self, value: f64) -> String {
        show(value, Kind::LENGTH, self.units)
    }

    /// A length for a message, rounded down to the last digit shown: asked for, it is within reach.
    #[must_use]
    pub fn mm_within(&self, value: f64) -> String {
        self.mm_less(value, 0).0
    }

    /// The same, less so many of its last digits, and the length that is shown, mm.
    #[must_use]
    pub fn mm_less(&self, value: f64, digits: u32) -> (String, f64) {
        // From an inch on a 64th is what a tape tells, below it a thousandth what a calliper does: both can be typed.
        let step = match self.units {
            Units::Metric if value >= 99.0 => 0.1,
            Units::Metric => 0.01,
            Units::Inch if value >= 25.4 => 25.4 / 64.0,
            Units::Inch => 0.0254,
        };
        let less = ((value / step).floor() - f64::from(digits)) * step;
        let shown = match self.units {
            Units::Inch if value < 25.4 => format!("{} in", trim_number(less / 25.4, 3)),
            _ => self.mm(less),
        };
        (shown, less)
    }

    /// A figure of any kind for a message.
    #[must_use]
    pub fn shown(&self, value: f64, kind: Kind) -> String {
        show(value, kind, self.units)
    }

    /// A temperature that is known to some ten degrees, °C, in the reader's degrees.
    #[must_use]
    pub fn about_c(&self, t_c: f64) -> String {
        show_about_c(t_c, self.units)
    }

    /// A whole number from `low` up; anything else is a fault.
    ///
    /// # Errors
    /// `not_whole`: a fraction, or outside what can be done.
    pub fn whole(&self, q: Q<Count>, low: u32, high: u32, what: &str) -> Outcome<u32> {
        let value = self.get(q);
        if value.fract() == 0.0 && value >= f64::from(low) && value <= f64::from(high) {
            return Ok(value as u32);
        }
        if !value.is_finite() {
            // What stood in the place of a `?` was nothing, and something is divided by it.
            let fault =
                Code::NoFigure.says("this comes to no figure").at(self.span(q), "a division by nothing");
            return Err(fault.stops(format!("{what} must be a whole number from {low} to {high}")));
        }
        let figure = trim_number(value, 4);
        Err(Code::NotWhole
            .says(format!("{what} must be a whole number from {low} to {high}"))
            .at(self.span(q), format!("this is {figure}"))
            .stops(format!("write `{}`", value.round().clamp(f64::from(low), f64::from(high)))))
    }

    /// The bars of a lot.
    ///
    /// # Errors
    /// `none_left`: none are left of it.
    #[inline]
    pub fn lot(&self, id: LotId, site: Span) -> Outcome<Lot> {
        match self.lots[id] {
            Some(lot) if lot.count > 0 => Ok(lot),
            _ => Err(self.none_left(id, site)),
        }
    }

    #[cold]
    fn none_left(&self, id: LotId, site: Span) -> Fault {
        let LotInfo { name, site: made, racked, .. } = &self.ground.lots[id];
        let (message, text, help) = if *racked {
            let help = "a crop no longer than the kerf leaves no offcut: crop more, or take other steel";
            (format!("there is no `{name}` on the rack"), "nothing was left over here", help)
        } else {
            let help = "stack fewer of them there, or take more stock";
            (format!("no bar of `{name}` is left"), "the last of them went in here", help)
        };
        Diagnostic::new(Code::NoneLeft, message, site, "it is asked for here").and(*made, text).stops(help)
    }

    /// The bars of a lot, one solid plain bar each.
    ///
    /// # Errors
    /// `loose_stack`: the pieces only lie on each other. `shaped`: it is a blade by now.
    #[inline]
    pub fn solid(&self, work: Work) -> Outcome<Lot> {
        let lot = self.piece(work)?;
        self.plain(&lot, work)?;
        Ok(lot)
    }

    /// Makes sure that bars are plain ones still.
    ///
    /// # Errors
    /// `shaped`: it is a blade by now. `open_hollows`.
    #[inline]
    pub fn plain(&self, lot: &Lot, work: Work) -> Outcome {
        self.shapeless(lot, work)?;
        self.level(lot, work)
    }

    #[cold]
    fn shaped(&self, work: Work) -> Fault {
        let (name, verb) = (self.ground.lot_name(work.from), work.word.word);
        let ways: Vec<String> = self.words.iter().flat_map(Word::on_blades).collect();
        Code::Shaped
            .says(format!("`{name}` is a blade by now, and `{verb}` works plain bars"))
            .at(work.site, "it is no longer alike along its length")
            .and(self.made(work.from), "it comes out of this step shaped")
            .stops(format!("do this before the blade is shaped; a blade is worked by {}", ways.join(", ")))
    }

    /// The bars of a lot, one solid piece each, shaped or not.
    ///
    /// # Errors
    /// `loose_stack`: the pieces only lie on each other. `open_hollows`: grooves or holes are not level yet.
    #[inline]
    pub fn piece(&self, work: Work) -> Outcome<Lot> {
        let lot = self.hollow(work)?;
        self.level(&lot, work)?;
        Ok(lot)
    }

    /// Makes sure that no hollows are open.
    ///
    /// # Errors
    /// `open_hollows`.
    pub fn level(&self, lot: &Lot, work: Work) -> Outcome {
        if lot.bar.relief.is_none() { Ok(()) } else { Err(self.open_hollows(work)) }
    }

    #[cold]
    fn open_hollows(&self, work: Work) -> Fault {
        let (name, verb) = (self.ground.lot_name(work.from), work.word.word);
        Code::OpenHollows
            .says(format!("`{name}` has open hollows, and `{verb}` works level bars"))
            .at(work.site, "its faces are not level")
            .and(self.made(work.from), "it comes out of this step so")
            .stops(format!("press it flat first: `press {name} flat`; or grind its faces down to the floors of its hollows"))
    }

    /// Makes sure that bars are no blades yet, hollows or not.
    ///
    /// # Errors
    /// `shaped`.
    pub fn shapeless(&self, lot: &Lot, work: Work) -> Outcome {
        if lot.bar.blade.is_none() { Ok(()) } else { Err(self.shaped(work)) }
    }

    /// The bars of a lot, one solid piece each, shaped or not, its hollows open or not.
    ///
    /// # Errors
    /// `loose_stack`: the pieces only lie on each other.
    #[inline]
    pub fn hollow(&self, work: Work) -> Outcome<Lot> {
        let lot = self.lot(work.from, work.site)?;
        if self.makeup.blade(&lot.bar).is_some_and(crate::piece::Blade::overdone) {
            return Err(too_much(TooMuch::Shaping, work.site));
        }
        if lot.bar.loose.is_none() { Ok(lot) } else { Err(self.loose_stack(work)) }
    }

    /// The fault of a step on a loose stack.
    #[cold]
    pub fn loose_stack(&self, work: Work) -> Fault {
        let (name, verb) = (self.ground.lot_name(work.from), work.word.word);
        Code::LooseStack
            .says(format!("`{name}` is a loose stack: `{verb}` would only push its bars apart"))
            .at(work.site, "it is not welded yet")
            .and(self.made(work.from), "it was stacked here")
            .stops(format!("weld it first: `weld {name} at 1230 C, thinning 15 %`"))
    }

    /// Puts worked bars back under their lot, weighs them, and makes sure that every figure is one.
    ///
    /// # Errors
    /// `out_of_range`: a size that is no size.
    #[inline]
    pub fn put(&mut self, id: LotId, mut lot: Lot, site: Span) -> Outcome {
        let bar = &mut lot.bar;
        bar.mass = bar.volume() * self.makeup.bar_density(bar);
        // A repeat that thins without end would come to figures that no arithmetic holds.
        if [bar.thick, bar.wide].iter().any(|mm| (0.0..THINNEST_MM).contains(mm)) {
            let message = "hardly anything is left of the bar in this step";
            return Err(Diagnostic::new(Code::OutOfRange, message, site, "thinner than any foil")
                .stops("look for a figure with too many noughts, or a `repeat` that works it too often"));
        }
        let sound = [bar.thick, bar.wide, bar.long, bar.mass].iter().all(|v| v.is_finite() && *v > 0.0);
        if !sound {
            let message = "the sizes run out of all measure in this step";
            return Err(Diagnostic::new(Code::OutOfRange, message, site, "no bar can have such a size")
                .stops("look for a figure with too many noughts, here or in the stock"));
        }
        self.lots[id] = Some(lot);
        Ok(())
    }

    /// Notes that a lot has no bars.
    pub fn put_none(&mut self, id: LotId, like: Lot) {
        self.lots[id] = Some(Lot { count: 0, ..like });
    }

    /// Books one change of size for a bar.
    pub fn change(&mut self, lot: LotId, what: Measure, cause: Cause, amount: f64) {
        if S::KEEPS && amount != 0.0 {
            self.book.change(lot, what, cause, amount);
        }
    }

    /// Books what the three sizes of a bar changed by, to one cause.
    pub fn resized(&mut self, lot: LotId, cause: Cause, before: &Bar, now: &Bar) {
        self.change(lot, Measure::Thickness, cause, now.calliper_thick() - before.calliper_thick());
        self.change(lot, Measure::Width, cause, now.calliper_wide() - before.calliper_wide());
        self.change(lot, Measure::Length, cause, now.long - before.long);
    }

    /// Books that a piece was laid another way, and puts it back.
    ///
    /// # Errors
    /// As `put`.
    pub fn put_resized(&mut self, work: Work, cause: Cause, before: &Bar, lot: Lot) -> Outcome {
        self.book.origin(work.to, work.from);
        self.resized(work.to, cause, before, &lot.bar);
        self.put(work.to, lot, work.site)
    }

    /// A figure above nothing: a size, or the length of a tool.
    ///
    /// # Errors
    /// `no_size`.
    pub fn above_nothing<K: KindOf>(&self, q: Q<K>, words: Span, message: &str, help: &str) -> Outcome<f64> {
        let value = self.get(q);
        if value > 0.0 {
            return Ok(value);
        }
        let text = format!("this is {}", self.shown(value, K::KIND));
        Err(Diagnostic::new(Code::NoSize, message, words, text).stops(help))
    }

    /// Books steel that left the recipe: the loss of one bar, and how many bars lost it.
    pub fn lose(&mut self, lot: LotId, cause: Cause, grams_each: f64, count: u32) {
        if S::COUNTS && grams_each != 0.0 {
            self.book.change(lot, Measure::Mass, cause, -grams_each);
            self.book.loss(cause, grams_each * f64::from(count));
        }
    }

    /// The bars of stock that a lot comes from, with the weight of each; at most the three heaviest.
    #[must_use]
    pub fn roots(&self, lot: LotId) -> Vec<(Span, f64)> {
        let (mut open, mut seen, mut roots) = (vec![lot], std::collections::BTreeSet::new(), Vec::new());
        while let Some(id) = open.pop() {
            if !seen.insert(id) {
                continue;
            }
            let info = &self.ground.lots[id];
            if info.from.is_empty() {
                let grams = self.lots[id].map_or(0.0, |l| l.mass());
                roots.push((info.site, grams));
            }
            open.extend(&info.from);
        }
        roots.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        roots.truncate(3);
        roots
    }
}

/// So many, as pieces are counted: their names stand in one line.
#[must_use]
pub fn count_of(pieces: usize) -> u32 {
    match u32::try_from(pieces) {
        Ok(count) => count,
        Err(_) => bug!("{pieces} pieces in one step"),
    }
}

/// The fault of what is beyond what the book can hold.
#[must_use]
pub fn too_much(what: TooMuch, site: Span) -> Fault {
    let (message, help) = match what {
        TooMuch::Layers => (
            "more layers than can be counted (2^64)",
            "stop restacking earlier: no eye tells such layers apart",
        ),
        TooMuch::Stacks => (
            "more stacks inside stacks than this book follows (500)",
            "stack several bars at once instead of one by one",
        ),
        TooMuch::Looked => (
            "stacks turned and stacked again more often than this book can follow",
            "turn and restack less often: no eye tells such layers apart",
        ),
        TooMuch::Shaping => (
            "more shaping than this book can keep",
            "shape the blade in fewer steps: each of them is kept for `why`",
        ),
    };
    Diagnostic::new(Code::TooMuch, message, site, "this step goes beyond it").stops(help)
}
