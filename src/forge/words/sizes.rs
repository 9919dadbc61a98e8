//! The sizes that a step asks for, cold or as they measure hot.

use crate::piece::Section;
use crate::quantity::{Length, Q, Temperature};
use crate::source::{Code, Diagnostic, Span};
use crate::steel::laws::expansion;

use crate::forge::words::args::Arg;
use crate::forge::{Bag, Cx, Key, Outcome, Sink};

/// The temperature at which a hot bar is measured where nothing is said, °C (metal.md).
pub const MEASURED_HOT: f64 = 900.0;

/// One size asked for.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    /// The figure.
    pub q: Q<Length>,
    hot: bool,
    at: Option<Q<Temperature>>,
    /// The words, with the direction.
    pub span: Span,
}

/// The sizes asked for in one step.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sizes {
    /// `… thick`.
    pub thick: Option<Size>,
    /// `… wide`.
    pub wide: Option<Size>,
    /// `… long`.
    pub long: Option<Size>,
    /// `… square`, `round`, `octagon`.
    pub section: Option<(Section, Size)>,
    /// All of the words.
    pub span: Option<Span>,
}

impl Sizes {
    /// Takes the clauses; a direction that stands twice is a fault.
    pub fn bind(bag: &mut Bag) -> Sizes {
        let mut sizes = Sizes::default();
        for clause in bag.take_all(Key::Size) {
            let Some(slot) = clause.slots().next() else { continue };
            let Some(q) = bag.typed(slot, "to") else { continue };
            let hot = clause.says("hot");
            let at = clause.slots().nth(1).and_then(|s| bag.typed(s, "hot at"));
            let size = Size { q, hot, at, span: clause.span };
            sizes.span = Some(sizes.span.map_or(clause.span, |s| s.to(clause.span)));
            let word = clause.args.iter().find_map(|a| match a {
                Arg::Word(w, _) if *w != "hot" && *w != "to" => Some(*w),
                _ => None,
            });
            let twice = match word {
                Some("thick") => sizes.thick.replace(size).map(|s| s.span),
                Some("wide") => sizes.wide.replace(size).map(|s| s.span),
                Some("long") => sizes.long.replace(size).map(|s| s.span),
                Some("square") => sizes.section.replace((Section::Flat, size)).map(|s| s.1.span),
                Some("round") => sizes.section.replace((Section::Round, size)).map(|s| s.1.span),
                Some("octagon") => sizes.section.replace((Section::Octagon, size)).map(|s| s.1.span),
                other => bug!("a size in the direction {other:?}"),
            };
            let again = (Some(clause.span), "once more here");
            bag.clash(Code::SizeTwice, "the same size is asked twice", (twice, "first asked here"), again);
        }
        sizes
    }
}

/// A verb that asks for one size and nothing else.
pub struct Only {
    /// The fault's code.
    pub code: Code,
    /// `a width`, `a length`.
    pub what: &'static str,
    /// The clause as one would write it.
    pub sample: &'static str,
}

impl Sizes {
    /// A size that is asked for besides one. They are told apart by their figures: words that were read in others have all one place.
    #[must_use]
    pub fn beside(&self, size: Option<Size>) -> Option<Size> {
        let all = [self.thick, self.wide, self.long, self.section.map(|s| s.1)];
        all.into_iter().flatten().find(|s| size.is_none_or(|size| size.q != s.q))
    }

    /// The one size of a verb; another one, or none, is a fault.
    pub fn only(&self, bag: &mut Bag, size: Option<Size>, only: &Only) -> Option<Size> {
        if bag.faulty() {
            return None;
        }
        let other = self.beside(size);
        if let (Some(size), None) = (size, other) {
            return Some(size);
        }
        let (verb, name, what) = (bag.word.word, bag.name.text.clone(), only.what);
        let (span, text) = match other {
            Some(other) => (other.span, format!("this is not {what}")),
            None => (bag.site, format!("{what} should stand here")),
        };
        let message = format!("`{verb}` asks for {what}, and nothing else");
        let help = format!("say it in full, as in `{verb} {name} {}`; the other sizes follow", only.sample);
        bag.fault(Diagnostic::new(only.code, message, span, text).help(help));
        None
    }
}

impl Size {
    /// The cold size, mm.
    ///
    /// # Errors
    /// `no_size`: nothing or less.
    pub fn cold<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome<f64> {
        let help = "write the size that the bar is to have, such as `12 mm thick`";
        let asked = cx.above_nothing(self.q, self.span, "a size must be above nothing", help)?;
        if !self.hot {
            return Ok(asked);
        }
        Ok(asked / grown(cx, self.at))
    }

    /// How much bigger than cold it is as the line has it, as a factor.
    pub fn as_written<S: Sink>(&self, cx: &mut Cx<S>) -> f64 {
        if self.hot { grown(cx, self.at) } else { 1.0 }
    }
}

/// How much bigger a bar measures hot than cold, as a factor; the temperature in °C, or the usual one where none is said.
pub fn grown<S: Sink>(cx: &mut Cx<S>, at: Option<Q<Temperature>>) -> f64 {
    let at = cx.get_or(at, "temperature of a hot measure", MEASURED_HOT, "project figure");
    1.0 + expansion::elongation(at)
}
