//! What a verb is handed when it is bound: its piece, its clauses, and the names it may take and give.

use crate::piece::{LotId, PartName, SteelId};
use crate::quantity::{Kind, KindOf, Q};
use crate::source::{Code, Diagnostic, Span};
use crate::spec::{Place, Test};

use crate::forge::Key;

/// A figure of the plan, with its kind and the words it stands in.
#[derive(Clone, Copy, Debug)]
pub struct Slot {
    /// Its place in the values.
    pub slot: u32,
    /// Its kind.
    pub kind: Kind,
    /// The words.
    pub span: Span,
    /// Half of the last digit written, base unit; nothing for figures that follow from others.
    pub half_digit: f64,
}

/// A name as written.
#[derive(Clone, Debug)]
pub struct Name {
    /// The name.
    pub text: String,
    /// Where it stands.
    pub span: Span,
}

/// One part of a clause.
#[derive(Clone, Debug)]
pub enum Arg {
    /// A figure.
    Slot(Slot),
    /// `4 x 40 x 150 mm`.
    Dims(Vec<Slot>, Span),
    /// A name.
    Name(Name),
    /// A word of the language, as written.
    Word(&'static str, Span),
    /// A steel of the table.
    Steel(SteelId),
    /// Words of the user's own.
    Text(Name),
    /// A test.
    Test(Test),
    /// A place along the bar.
    Place(Place),
}

/// One clause of a step.
#[derive(Clone, Debug)]
pub struct Clause {
    /// What it is.
    pub key: Key,
    /// The words.
    pub span: Span,
    /// Its parts, in order.
    pub args: Vec<Arg>,
}

impl Clause {
    /// The figures in it.
    pub fn slots(&self) -> impl Iterator<Item = Slot> + '_ {
        self.args.iter().filter_map(|a| if let Arg::Slot(s) = a { Some(*s) } else { None })
    }

    /// The names in it.
    pub fn names(&self) -> impl Iterator<Item = &Name> {
        self.args.iter().filter_map(|a| if let Arg::Name(n) = a { Some(n) } else { None })
    }

    /// The places in it.
    pub fn places(&self) -> impl Iterator<Item = Place> + '_ {
        self.args.iter().filter_map(|a| if let Arg::Place(p) = a { Some(*p) } else { None })
    }

    /// What the first of these words that stands in it means.
    pub fn which<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        words.iter().find(|(word, _)| self.says(word)).map(|(_, meant)| *meant)
    }

    /// Whether a word stands in it.
    #[must_use]
    pub fn says(&self, word: &str) -> bool {
        self.args.iter().any(|a| matches!(a, Arg::Word(w, _) if *w == word))
    }
}

/// What a step takes from the store.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bought {
    /// Bars of stock.
    Bars,
    /// Powder: it has a weight and no sizes.
    Powder,
    /// A tube for a can.
    Tube,
}

/// The names of a plan, as a verb may use them. Every binding of a name is a fresh lot.
pub trait Scope {
    /// Takes all bars of a name: they are spent. `None` where that is a fault, which is then on record.
    fn take(&mut self, name: &Name) -> Option<LotId>;
    /// Looks at the bars of a name without taking them.
    fn look(&mut self, name: &Name) -> Option<LotId>;
    /// Binds a name to fresh bars.
    fn give(&mut self, name: &Name) -> Option<LotId>;
    /// Puts bars on the rack under a name, or under `PIECE-offcut-N` of the piece that they come from.
    fn rack(&mut self, keep: Option<&Name>, of: &Name) -> Option<LotId>;
    /// Takes bars off the rack.
    fn unrack(&mut self, name: &Name) -> Option<LotId>;
    /// Takes something from the store that goes into the piece at once: what it is listed as.
    fn bring(&mut self, name: String, what: Bought) -> LotId;
    /// Mild steel; `None` where a recipe has too many steels for it, which is then on record.
    fn mild(&mut self) -> Option<SteelId>;
    /// The number of a part's name.
    fn part(&mut self, name: &str) -> PartName;
    /// The density slot-free figure of a steel, g/mm3.
    fn density(&self, steel: SteelId) -> f64;
    /// What a steel is called.
    fn grade(&self, steel: SteelId) -> &str;
}

/// How a verb's line is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Verb, piece, clauses.
    Work,
    /// `stock N = …`.
    Stock,
    /// `stack P = …`.
    Stack,
    /// `expect P: …`.
    Tests,
    /// `measure P: …`.
    Measure,
}

/// The kinds of work that a caution belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hazard {
    /// Stock of unknown history.
    Stock,
    /// A hot fire.
    Fire,
    /// Flux and strips under the first blow.
    Weld,
    /// Flux with fluoride in it.
    Fluoride,
    /// What is welded shut, and heated.
    Sealed,
    /// A press or hammer.
    Press,
    /// Sawing.
    Saw,
    /// Grinding.
    Grind,
    /// A hot blade in oil.
    Quench,
    /// A hot blade in water or brine.
    Bath,
    /// A hot blade in air or between plates.
    Black,
    /// Hours in an oven.
    Oven,
    /// Drilling.
    Drill,
    /// A bar that may shear and whip.
    Twist,
    /// Acid.
    Etch,
}

impl Clause {
    /// The work that can hurt which it brings with it.
    #[must_use]
    pub fn hazard(&self) -> Option<Hazard> {
        match self.key {
            Key::Fluoride => Some(Hazard::Fluoride),
            Key::Sealed | Key::InCan => Some(Hazard::Sealed),
            Key::CanOff if self.says("ground off") => Some(Hazard::Grind),
            Key::InMedium if self.says("water") || self.says("brine") => Some(Hazard::Bath),
            Key::InMedium if self.says("air") || self.says("plates") => Some(Hazard::Black),
            Key::InMedium => Some(Hazard::Quench),
            _ => None,
        }
    }
}

/// What a verb's piece is to the pieces that went in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Makes {
    /// The same piece, worked: what its sizes are more or less is the verb's doing.
    Worked,
    /// The same piece, laid another way.
    Laid,
    /// One piece of several.
    Together,
    /// Bars from the store or the rack.
    Bars,
}

impl Makes {
    /// Whether sizes begin anew: nobody's work made them more or less.
    #[must_use]
    pub fn anew(self) -> bool {
        self != Makes::Worked
    }
}

/// Whether a verb works a blade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blades {
    /// It works plain bars, or nothing at all.
    Never,
    /// It works a blade in these ways, and a bar in others.
    Some(&'static [&'static str]),
    /// It works a blade as it works a bar.
    Works,
    /// It works a blade, and makes one of a bar.
    Makes,
}

/// What fire a verb needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fire {
    /// None to forge at.
    None,
    /// The forge's.
    Forge,
    /// The forge's, with a quench behind it that ends all forging.
    Quench,
}

/// How many heats a verb takes where nobody says.
#[derive(Clone, Copy, Debug)]
pub struct Usual {
    /// What they are called among the figures that were assumed.
    pub what: &'static str,
    /// So many.
    pub heats: u32,
    /// What is told behind them.
    pub note: &'static str,
    /// Who says so.
    pub source: &'static str,
}

/// A verb's entry in the word table: what is to be known of a verb outside its file stands here.
#[derive(Debug)]
pub struct Word {
    /// The verb.
    pub word: &'static str,
    /// What smiths also say for it.
    pub said: &'static [&'static str],
    /// What it does, in one line.
    pub doc: &'static str,
    /// How its line is written.
    pub form: Form,
    /// The clauses that it takes, in groups as verbs share them.
    pub clauses: &'static [&'static [Key]],
    /// A line that could stand in a recipe.
    pub example: &'static str,
    /// Lines of the other ways to write it, the usual one first; empty where its clauses tell them.
    pub forms: &'static [&'static str],
    /// What can hurt people in it.
    pub hazards: &'static [Hazard],
    /// How its piece is marked before it, so that ends and faces are known behind it; empty where nothing is laid another way.
    pub mark: &'static str,
    /// What its piece is to the pieces that went in.
    pub makes: Makes,
    /// Whether it works a blade.
    pub blades: Blades,
    /// What fire it needs.
    pub fire: Fire,
    /// The heats that it takes where nobody says and nothing counts them.
    pub heats: Option<Usual>,
    /// Whether it works a loose stack.
    pub loose: bool,
    /// Whether it only takes steel off the outside of its piece.
    pub takes_off: bool,
    /// Whether it presses, bends or twists hot metal: what a size is short of may have gone into another.
    pub moves: bool,
}

impl Word {
    /// What holds of a verb where its entry says no other: cold work on a plain bar, with nothing to it but the piece.
    pub(in crate::forge) const PLAIN: Word = Word {
        word: "",
        said: &[],
        doc: "",
        form: Form::Work,
        clauses: &[],
        example: "",
        forms: &[],
        hazards: &[],
        mark: "",
        makes: Makes::Worked,
        blades: Blades::Never,
        fire: Fire::None,
        heats: None,
        loose: false,
        takes_off: false,
        moves: false,
    };

    /// What holds of a verb that presses hot metal, likewise.
    pub(in crate::forge) const FORGED: Word =
        Word { hazards: &[Hazard::Fire, Hazard::Press], fire: Fire::Forge, moves: true, ..Word::PLAIN };

    /// The clauses that it takes, in the order that help lists them.
    pub fn clauses(&self) -> impl Iterator<Item = Key> + use<> {
        self.clauses.iter().copied().flatten().copied()
    }

    /// A line of a recipe with this verb, its piece and its clauses.
    #[must_use]
    pub fn write(&self, piece: &str, clauses: &[&str]) -> String {
        let sign = match self.form {
            Form::Work => "",
            Form::Stock | Form::Stack => " =",
            Form::Tests | Form::Measure => ":",
        };
        let blank = if clauses.is_empty() { "" } else { " " };
        format!("{} {piece}{sign}{blank}{}\n", self.word, clauses.join(", "))
    }

    /// The ways in which it works a blade, as one would write them in short.
    pub(in crate::forge) fn on_blades(&self) -> Vec<String> {
        match self.blades {
            Blades::Never => Vec::new(),
            Blades::Some(ways) => ways.iter().map(|way| format!("`{} … {way}`", self.word)).collect(),
            Blades::Works | Blades::Makes => vec![format!("`{}`", self.word)],
        }
    }
}

/// A step's clauses while a verb takes what it knows.
pub struct Bag<'a> {
    /// The verb's entry.
    pub word: &'static Word,
    /// Where the step stands.
    pub site: Span,
    /// The piece that it names.
    pub name: Name,
    /// The names it may take and give.
    pub scope: &'a mut dyn Scope,
    clauses: Vec<Clause>,
    faults: Vec<Diagnostic>,
    settled: Vec<(u32, Kind, bool)>,
}

impl<'a> Bag<'a> {
    /// A bag of clauses for a step.
    pub fn new(
        word: &'static Word,
        site: Span,
        name: Name,
        clauses: Vec<Clause>,
        scope: &'a mut dyn Scope,
    ) -> Self {
        Bag { word, site, name, scope, clauses, faults: Vec::new(), settled: Vec::new() }
    }

    /// Records a fault.
    pub fn fault(&mut self, fault: Diagnostic) {
        self.faults.push(fault);
    }

    /// Records a fault where both of two things are said of which only one may be; each has what is said of its words.
    pub fn clash(
        &mut self,
        code: Code,
        message: impl Into<String>,
        (first, of_first): (Option<Span>, &str),
        (second, of_second): (Option<Span>, &str),
    ) {
        if let (Some(first), Some(second)) = (first, second) {
            let fault = Diagnostic::new(code, message, second, of_second).and(first, of_first);
            self.fault(fault.help("keep one of the two"));
        }
    }

    /// Records that a step leaves out what its verb needs, where no other fault says why.
    pub fn unsaid(&mut self, code: Code, message: &str, what: &str, help: impl Into<String>) {
        if !self.faulty() {
            self.fault(Diagnostic::new(code, message, self.site, what).help(help));
        }
    }

    /// Whether a fault is on record: what a clause at fault left out is no second fault.
    #[must_use]
    pub fn faulty(&self) -> bool {
        !self.faults.is_empty()
    }

    /// Takes the one clause of a key; a second one is a fault.
    pub fn take(&mut self, key: Key) -> Option<Clause> {
        let mut found = self.take_all(key).into_iter();
        let first = found.next()?;
        if let Some(second) = found.next() {
            let message = format!("`{}` stands twice in one step", key.word());
            let second = (Some(second.span), "this is the second");
            self.clash(Code::ClauseTwice, message, (Some(first.span), "the first is here"), second);
        }
        Some(first)
    }

    /// Takes every clause of a key, in order.
    pub fn take_all(&mut self, key: Key) -> Vec<Clause> {
        let (found, rest) = std::mem::take(&mut self.clauses).into_iter().partition(|c| c.key == key);
        self.clauses = rest;
        found
    }

    /// Takes a clause without figures.
    pub fn flag(&mut self, key: Key) -> Option<Span> {
        self.take(key).map(|c| c.span)
    }

    /// Takes a clause of one figure; one of the wrong kind is a fault.
    pub fn opt<K: KindOf>(&mut self, key: Key) -> Option<Q<K>> {
        let clause = self.take(key)?;
        self.figure(&clause, key.word())
    }

    /// The first figure of a clause; one of the wrong kind is a fault.
    pub fn figure<K: KindOf>(&mut self, clause: &Clause, of: &str) -> Option<Q<K>> {
        self.typed(clause.slots().next()?, of)
    }

    /// The typed slot of a figure; one of the wrong kind is a fault.
    pub fn typed<K: KindOf>(&mut self, slot: Slot, of: &str) -> Option<Q<K>> {
        let typed = Q::of(slot.slot, slot.kind);
        if slot.kind == Kind::OPEN || K::WHOLE {
            self.settled.push((slot.slot, K::KIND, K::WHOLE));
        }
        if typed.is_none() {
            self.fault(wrong_kind(slot, K::KIND, of));
        }
        typed
    }

    /// Takes the piece, lets a verb take its clauses, and gives the piece its name back.
    pub fn work<V>(&mut self, bind: impl FnOnce(&mut Self) -> Option<V>) -> Option<(Work, V)> {
        let name = self.name.clone();
        let from = self.scope.take(&name);
        let bound = bind(self);
        let (from, to) = (from?, self.scope.give(&name)?);
        Some((Work { from, to, site: self.site, word: self.word }, bound?))
    }

    /// Open questions whose kind their place has told: slot, kind, whether whole.
    #[must_use]
    pub fn settled(&mut self) -> Vec<(u32, Kind, bool)> {
        std::mem::take(&mut self.settled)
    }

    /// Ends the binding: what is left over is a fault; all faults are handed over.
    #[must_use]
    pub fn done(mut self) -> Vec<Diagnostic> {
        for clause in std::mem::take(&mut self.clauses) {
            self.faults.push(left_over(self.word, &clause));
        }
        self.faults
    }
}

fn left_over(word: &Word, clause: &Clause) -> Diagnostic {
    let forms: Vec<String> = word.clauses().map(|k| format!("`{}`", k.form())).collect();
    let message = format!("`{}` takes no `{}`", word.word, clause.key.word());
    let fault = Diagnostic::new(Code::ClauseUnknown, message, clause.span, "this clause has no meaning here");
    if forms.is_empty() {
        fault.help(format!("`{}` takes the piece alone, as in `{}`", word.word, word.example))
    } else {
        fault.help(format!("it takes {}; an example: `{}`", forms.join(", "), word.example))
    }
}

/// The fault of a figure of the wrong kind.
#[must_use]
pub fn wrong_kind(slot: Slot, wanted: Kind, of: &str) -> Diagnostic {
    let degrees = slot.kind == Kind::ANGLE && wanted == Kind::TEMPERATURE;
    let more = if degrees { ": `deg` alone is an angle" } else { "" };
    let unit = if slot.kind == Kind::NUMBER { "a bare number has no unit" } else { "the unit makes it that" };
    Code::WrongKind
        .says(format!("`{of}` takes {}, and this is {}", wanted.name(), slot.kind.name()))
        .at(slot.span, unit)
        .help(format!("write it like {}{more}", wanted.example()))
}

/// A step that works one piece.
#[derive(Clone, Copy, Debug)]
pub struct Work {
    /// The bars as they come in.
    pub from: LotId,
    /// The bars as they go out.
    pub to: LotId,
    /// Where the step stands.
    pub site: Span,
    /// The verb's entry.
    pub word: &'static Word,
}
