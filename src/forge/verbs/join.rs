//! `join`: lays one piece against another and welds them: a spine bar, an edge bar, a tang.

use crate::piece::{Axis, Cause, LotId, Measure, PartName};
use crate::quantity::show_count;
use crate::source::{Code, Span};

use crate::forge::process::trim::{Member, alike};
use crate::forge::verbs::weld::{PRESSED, WELDING, WeldClauses};
use crate::forge::words::args::{Hazard, Makes};
use crate::forge::{Bag, Cx, Key, Name, Outcome, Sink, Verb, Word, Work};

/// Joining.
#[derive(Debug)]
pub struct Join {
    /// The piece that goes on.
    work: Work,
    /// The piece that is spent.
    spent: LotId,
    spent_span: Span,
    onto: Name,
    along: Axis,
    trimmed: bool,
    parts: [PartName; 2],
    clauses: WeldClauses,
}

impl Verb for Join {
    const WORD: Word = Word {
        word: "join",
        doc: "lays one piece against another and welds them: `B` is spent, `A` goes on",
        clauses: &[&[Key::Onto, Key::On, Key::Trimmed], PRESSED, WELDING],
        example: "join spine to blade on edge, at 1230 C, thinning 12 %",
        hazards: &[Hazard::Fire, Hazard::Weld, Hazard::Press],
        makes: Makes::Together,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let onto = bag.take(Key::Onto).and_then(|c| c.names().next().cloned());
        let on = bag.take(Key::On);
        let trimmed = bag.flag(Key::Trimmed).is_some();
        let clauses = WeldClauses::bind(bag);
        let name = bag.name.clone();
        let spent = bag.scope.take(&name);
        let ways = [("edge", Axis::Width), ("end", Axis::Length), ("face", Axis::Thickness)];
        let along = on.and_then(|on| on.which(&ways));
        let (Some(onto), Some(along)) = (onto, along) else {
            let message = "this does not say what to join it to, or where";
            let help =
                format!("say it in full, as in `join {} to blade on edge`, `on end` or `on face`", name.text);
            bag.unsaid(Code::JoinHow, message, "to what, and on which side", help);
            return None;
        };
        let parts = [bag.scope.part(&onto.text), bag.scope.part(&name.text)];
        let from = bag.scope.take(&onto)?;
        let to = bag.scope.give(&onto)?;
        let work = Work { from, to, site: bag.site, word: bag.word };
        Some(Join { work, spent: spent?, spent_span: name.span, onto, along, trimmed, parts, clauses })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        let site = self.work.site;
        let base = cx.solid(self.work)?;
        let spent = cx.solid(Work { from: self.spent, ..self.work })?;
        if base.count != spent.count {
            let (one, other) =
                (show_count(u64::from(spent.count), "bar"), show_count(u64::from(base.count), "bar"));
            return Err(Code::JoinCounts
                .says("there is not one piece for each to be joined")
                .at(self.spent_span, one)
                .and(self.onto.span, other)
                .stops("join as many as there are pieces to join them to"));
        }
        let mut members = [
            Member { lot: base, span: self.onto.span, laid: base.count },
            Member { lot: spent, span: self.spent_span, laid: base.count },
        ];
        cx.book.origin(self.work.to, self.work.from);
        alike(cx, &mut members, self.along, self.trimmed, (self.work.to, 0))?;
        let [a, b] = members;
        let bars = [(a.lot.bar, self.parts[0]), (b.lot.bar, self.parts[1])];
        let mut lot = base;
        lot.bar = crate::forge::process::bars::pile(cx, self.along, bars.iter().map(|(b, n)| (b, *n)), site)?;
        lot.bar.mass = a.lot.bar.mass + b.lot.bar.mass;
        let to = self.work.to;
        cx.resized(to, Cause::Joined, &a.lot.bar, &lot.bar);
        cx.change(to, Measure::Mass, Cause::Joined, lot.bar.mass - a.lot.bar.mass);
        self.clauses.press(cx, self.work, lot, self.along)
    }
}
