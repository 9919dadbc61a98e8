//! The tree of a recipe: what is written, with the words it stands in, before anything is looked up.

use std::collections::BTreeSet;

use crate::forge::{Key, Name, Word};
use crate::quantity::{Kind, find_unit};
use crate::replay::Op;
use crate::source::Span;
use crate::spec::{End, What};

/// A figure as written.
#[derive(Clone, Debug)]
pub struct Figure {
    /// The number before the unit.
    pub value: f64,
    /// The unit word, where there is one.
    pub unit: Option<Name>,
    /// The ounces behind the pounds.
    pub more: Option<(f64, Name)>,
    /// The worth of the last digit written, in the last unit.
    pub digit: f64,
    /// The words.
    pub span: Span,
}

impl Figure {
    /// Whether it is a fraction, such as `3/8`.
    pub fn is_part(&self) -> bool {
        self.digit < 1.0 && self.digit_is_coarse()
    }

    /// Whether it has no decimal point: a whole number, or a fraction.
    pub fn digit_is_coarse(&self) -> bool {
        let decimals = -self.digit.log10();
        self.digit >= 1.0 || (decimals - decimals.round()).abs() > 1e-9
    }
}

/// Anything that gives a quantity.
#[derive(Clone, Debug)]
pub enum Expr {
    /// A figure.
    Figure(Figure),
    /// The name of a `let`.
    Name(Name),
    /// `?`, perhaps between two values.
    Ask(Span, Option<Box<(Expr, Expr)>>),
    /// The same below nothing.
    Minus(Box<Expr>, Span),
    /// Terms or factors in a row: flat, so that a long row is no deep tree.
    Row(Box<Expr>, Vec<(Op, Expr)>, Span),
}

impl Expr {
    /// The words.
    pub fn span(&self) -> Span {
        match self {
            Expr::Figure(f) => f.span,
            Expr::Name(n) => n.span,
            Expr::Ask(span, _) | Expr::Minus(_, span) | Expr::Row(_, _, span) => *span,
        }
    }
}

/// A quantity, perhaps with its tolerance.
#[derive(Clone, Debug)]
pub struct Quantity {
    /// The quantity.
    pub expr: Expr,
    /// What stands behind `+-`.
    pub tolerance: Option<Expr>,
    /// The words.
    pub span: Span,
}

impl Quantity {
    /// The kind that its unit makes it, where it is a figure with a unit.
    pub fn kind(&self) -> Option<Kind> {
        let Expr::Figure(figure) = &self.expr else { return None };
        find_unit(&figure.unit.as_ref()?.text).map(|unit| unit.kind)
    }

    /// Whether a temperature is divided, or a length multiplied by one: strokes and stars that part figures.
    pub fn is_odd_product(&self) -> bool {
        let is = |expr: &Expr, of: Kind| {
            let Expr::Figure(figure) = expr else { return false };
            figure.unit.as_ref().and_then(|u| find_unit(&u.text)).is_some_and(|u| u.kind == of)
        };
        let Expr::Row(first, more, _) = &self.expr else { return false };
        // `1650/1550/1450 F` is no share of a heat.
        let hot = |next: &Expr| is(first, Kind::TEMPERATURE) || is(next, Kind::TEMPERATURE);
        more.iter().any(|(op, next)| match op {
            Op::Divide => hot(next),
            Op::Multiply => is(first, Kind::LENGTH) && is(next, Kind::LENGTH),
            _ => false,
        })
    }

    /// Whether it is a figure without a unit.
    pub fn is_bare(&self) -> bool {
        let toleranced = self.tolerance.is_some();
        matches!(&self.expr, Expr::Figure(figure) if figure.unit.is_none() && !toleranced)
    }

    /// Whether its tolerance lacks the unit that it has itself.
    pub fn is_lopsided(&self) -> bool {
        let bare = |expr: &Expr| matches!(expr, Expr::Figure(figure) if figure.unit.is_none());
        self.tolerance.as_ref().is_some_and(bare) && self.kind().is_some_and(|kind| !kind.is_plain())
    }
}

/// One part of a clause.
#[derive(Clone, Debug)]
pub enum Arg {
    /// A quantity.
    Quantity(Quantity),
    /// `4 x 40 x 150 mm`.
    Sizes(Vec<Quantity>, Span),
    /// A name.
    Name(Name),
    /// A word of the language.
    Word(&'static str, Span),
    /// A grade of steel.
    Grade(Name),
    /// Words of the user's own, without their marks.
    Text(Name),
    /// A test.
    Test(Box<Test>),
    /// A place along the bar.
    Place(Box<Place>),
}

/// One clause, or one entry of a shop.
#[derive(Clone, Debug)]
pub struct Clause<K> {
    /// What it is.
    pub key: K,
    /// The words.
    pub span: Span,
    /// Its parts, in order.
    pub args: Vec<Arg>,
}

/// A place along a bar.
#[derive(Clone, Debug)]
pub struct Place {
    /// Measured from this end.
    pub from: End,
    /// By so much.
    pub by: Option<Quantity>,
    /// The words.
    pub span: Span,
}

/// Where along the bar a test holds.
#[derive(Clone, Debug)]
pub enum Zone {
    /// The whole bar.
    Everywhere,
    /// What shows on its faces.
    OnFace,
    /// One place.
    At(Box<Place>),
    /// A stretch.
    Between(Box<[Place; 2]>),
}

/// What a test wants.
#[derive(Clone, Debug)]
pub enum Wanted {
    /// `>=`
    AtLeast(Quantity),
    /// `<=`
    AtMost(Quantity),
    /// `=`
    Equal(Quantity),
    /// `a .. b`
    Within(Quantity, Quantity),
}

/// One test.
#[derive(Clone, Debug)]
pub struct Test {
    /// What is tested.
    pub what: What,
    /// Of which part.
    pub part: Option<Name>,
    /// So far behind the edge.
    pub behind: Option<Quantity>,
    /// So much more than the least, to straighten and clean up in.
    pub allowing: Option<Quantity>,
    /// Where.
    pub zone: Option<(Zone, Span)>,
    /// A second zone, which is one too many.
    pub second_zone: Option<Span>,
    /// What is wanted.
    pub wanted: Wanted,
    /// The words of what is wanted.
    pub wanted_span: Span,
    /// The sign of a currency in it.
    pub currency: Option<(&'static str, Span)>,
    /// The whole test.
    pub span: Span,
}

/// A step.
#[derive(Clone, Debug)]
pub struct Step {
    /// The verb's entry.
    pub word: &'static Word,
    /// The piece.
    pub name: Name,
    /// The clauses.
    pub clauses: Vec<Clause<Key>>,
    /// The whole step.
    pub span: Span,
}

/// What a parameter of a recipe stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ParamKind {
    /// A quantity of this kind; a count is a whole number.
    Figure(Kind, &'static str),
    /// A piece: the one named is spent.
    Piece,
    /// A steel of the table.
    Steel,
}

impl ParamKind {
    /// The word that a recipe uses.
    pub fn word(self) -> &'static str {
        match self {
            ParamKind::Figure(_, word) => word,
            ParamKind::Piece => "piece",
            ParamKind::Steel => "steel",
        }
    }
}

/// What a parameter is given.
#[derive(Clone, Debug)]
pub enum Given {
    /// A quantity, or a name that may stand for a piece or a steel.
    Quantity(Quantity),
    /// A grade that is no name.
    Grade(Name),
}

impl Given {
    /// The words.
    pub fn span(&self) -> Span {
        match self {
            Given::Quantity(q) => q.span,
            Given::Grade(g) => g.span,
        }
    }
}

/// A parameter of a recipe.
#[derive(Clone, Debug)]
pub struct Param {
    /// Its name.
    pub name: Name,
    /// What it stands for.
    pub kind: ParamKind,
    /// What it is where a call leaves it out.
    pub default: Option<Given>,
    /// What the comment behind it says.
    pub doc: String,
}

/// A recipe to be called.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Its name.
    pub name: Name,
    /// Its parameters, in order.
    pub params: Vec<Param>,
    /// Its lines.
    pub body: Vec<Statement>,
    /// What the comment above it says.
    pub doc: String,
    /// Its head.
    pub span: Span,
}

/// A call of a recipe.
#[derive(Clone, Debug)]
pub struct Call {
    /// The verb's entry: a call takes stock.
    pub word: &'static Word,
    /// The name that its piece is given.
    pub name: Name,
    /// The recipe.
    pub recipe: Name,
    /// What its parameters are given.
    pub given: Vec<(Name, Given)>,
    /// The whole line.
    pub span: Span,
}

/// A steel of the recipe's own.
#[derive(Clone, Debug)]
pub struct Steel {
    /// The new grade.
    pub name: Name,
    /// The grade it is like.
    pub like: Name,
    /// What differs.
    pub contents: Vec<(&'static str, Quantity)>,
    /// The whole line.
    pub span: Span,
}

/// Which step a log speaks of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Label {
    /// The so-many-th run of a verb.
    Verb(String, u32),
    /// A line of the recipe.
    Line(u32),
}

/// What a log says was measured.
#[derive(Clone, Debug)]
pub struct Logged {
    /// After which step.
    pub label: Label,
    /// The words of the label.
    pub label_span: Span,
    /// The readings.
    pub readings: Vec<Clause<Key>>,
    /// The whole line.
    pub span: Span,
}

/// A warning that is answered.
#[derive(Clone, Debug)]
pub struct Allow {
    /// The code of the warning.
    pub name: Name,
    /// Why it may be.
    pub reason: String,
    /// The line.
    pub span: Span,
    /// Whether it stands in a shop, and answers for every step.
    pub everywhere: bool,
}

/// A statement.
#[derive(Clone, Debug)]
pub enum Statement {
    /// `let N = …`
    Let(Name, Quantity),
    /// `mark P ricasso at 40 mm`: the piece, and what a name of its own stands for.
    Mark(Name, Name, Quantity),
    /// `steel N = like G, carbon 1.15 %`
    Steel(Steel),
    /// `units in`: whether it is shown in inches.
    Units(bool, Span),
    /// `note "…"`
    Note(String, Span),
    /// `allow CODE "…"`
    Allow(Allow),
    /// `shop { … }`
    Shop(Vec<Clause<&'static str>>, Span),
    /// `target N { … }`, or of an order `target 3 of N { … }`
    Target(Name, Option<Quantity>, Vec<Test>, Span),
    /// A step.
    Step(Step),
    /// `repeat 3 { … }`
    Repeat(Quantity, Vec<Statement>, Span),
    /// `recipe NAME(…) { … }`
    Recipe(Box<Recipe>),
    /// `stock N = NAME(…)`
    Call(Box<Call>),
    /// `give P`
    Give(Name, Span),
    /// `use "file.heat"`; the words of the file name.
    Use(String, Span),
    /// `build of "file.heat"`: this file is a log; the words of the file name.
    BuildOf(String, Span),
    /// `on 2026-03-02 "first trial"`
    When(String, Span),
    /// `at weld 2: …`
    At(Logged),
    /// A line at fault: the names that it would have bound or worked are not to be missed.
    Broken(Vec<Name>),
}

/// The kinds that a parameter may have, by their words.
pub const KINDS: &[(&str, ParamKind)] = &[
    ("count", ParamKind::Figure(Kind::NUMBER, "count")),
    ("number", ParamKind::Figure(Kind::NUMBER, "number")),
    ("length", ParamKind::Figure(Kind::LENGTH, "length")),
    ("mass", ParamKind::Figure(Kind::MASS, "mass")),
    ("temperature", ParamKind::Figure(Kind::TEMPERATURE, "temperature")),
    ("time", ParamKind::Figure(Kind::TIME, "time")),
    ("share", ParamKind::Figure(Kind::RATIO, "share")),
    ("force", ParamKind::Figure(Kind::FORCE, "force")),
    ("hardness", ParamKind::Figure(Kind::HARDNESS, "hardness")),
    ("piece", ParamKind::Piece),
    ("steel", ParamKind::Steel),
];

/// Whether a figure is given by a name that nothing sets; nothing is known of names where they may come from elsewhere.
pub trait Leans {
    /// Whether one is.
    fn leans_on_unset(&self, set: Option<&BTreeSet<String>>) -> bool;
}

impl Leans for Expr {
    fn leans_on_unset(&self, set: Option<&BTreeSet<String>>) -> bool {
        match self {
            Expr::Figure(_) | Expr::Ask(..) => false,
            Expr::Name(name) => set.is_some_and(|set| !set.contains(&name.text)),
            Expr::Minus(inner, _) => inner.leans_on_unset(set),
            Expr::Row(first, rest, _) => {
                first.leans_on_unset(set) || rest.iter().any(|(_, e)| e.leans_on_unset(set))
            }
        }
    }
}

impl Leans for Quantity {
    fn leans_on_unset(&self, set: Option<&BTreeSet<String>>) -> bool {
        self.expr.leans_on_unset(set) || self.tolerance.as_ref().is_some_and(|t| t.leans_on_unset(set))
    }
}

impl Leans for Vec<Arg> {
    fn leans_on_unset(&self, set: Option<&BTreeSet<String>>) -> bool {
        self.iter().any(|arg| match arg {
            Arg::Quantity(q) => q.leans_on_unset(set),
            Arg::Sizes(sizes, _) => sizes.iter().any(|q| q.leans_on_unset(set)),
            _ => false,
        })
    }
}

impl Leans for Statement {
    fn leans_on_unset(&self, set: Option<&BTreeSet<String>>) -> bool {
        match self {
            Statement::Step(step) => step.clauses.iter().any(|clause| clause.args.leans_on_unset(set)),
            Statement::Let(_, figure) => figure.leans_on_unset(set),
            _ => false,
        }
    }
}

impl Leans for Test {
    fn leans_on_unset(&self, set: Option<&BTreeSet<String>>) -> bool {
        let place = |place: &Place| place.by.as_ref().is_some_and(|q| q.leans_on_unset(set));
        let zone = match &self.zone {
            Some((Zone::At(at), _)) => place(at),
            Some((Zone::Between(ends), _)) => ends.iter().any(place),
            Some((Zone::Everywhere | Zone::OnFace, _)) | None => false,
        };
        let wanted = match &self.wanted {
            Wanted::AtLeast(q) | Wanted::AtMost(q) | Wanted::Equal(q) => q.leans_on_unset(set),
            Wanted::Within(a, b) => a.leans_on_unset(set) || b.leans_on_unset(set),
        };
        let more = [&self.behind, &self.allowing].into_iter().flatten().any(|q| q.leans_on_unset(set));
        zone || wanted || more
    }
}
