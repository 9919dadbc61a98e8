//! Tests and places on their way into a plan: kinds, ranges and names are looked up here.

use super::ast::{self, Quantity, Wanted};
use super::planner::Planner;
use crate::forge::{Name, Slot, wrong_kind};
use crate::quantity::{Kind, Q};
use crate::source::{Code, Diagnostic};
use crate::spec::{Bounds, Place, Test, Zone};

impl Planner<'_> {
    pub(super) fn test(&mut self, test: &ast::Test) -> Option<Test> {
        if let (Some(second), Some((_, first))) = (test.second_zone, &test.zone) {
            let fault = Diagnostic::new(
                Code::TwoZones,
                "a test holds in one place or stretch",
                second,
                "a second one here",
            );
            self.faults.push(fault.and(*first, "the first is here").help("write a line for each"));
            return None;
        }
        let kind = test.what.kind();
        let bounds = match &test.wanted {
            Wanted::AtLeast(q) => Bounds::AtLeast(self.limit(q, kind, test)?.slot),
            Wanted::AtMost(q) => Bounds::AtMost(self.limit(q, kind, test)?.slot),
            Wanted::Equal(q) => {
                let slot = self.limit(q, kind, test)?;
                Bounds::Equal(slot.slot, self.figures.tolerance(slot))
            }
            Wanted::Within(a, b) => {
                let (a, b) = self.figures.range(a, b)?;
                for slot in [a, b] {
                    if slot.kind != kind {
                        self.faults.push(wrong_kind(slot, kind, test.what.word()));
                        return None;
                    }
                }
                if self.figures.value(a) > self.figures.value(b) {
                    let fault = Diagnostic::new(
                        Code::RangeBackwards,
                        "this range runs backwards",
                        test.wanted_span,
                        "the first is larger",
                    );
                    self.faults.push(fault.help("write the smaller figure first"));
                    return None;
                }
                Bounds::Within(a.slot, b.slot)
            }
        };
        self.of_the_whole(test)?;
        let behind = match &test.behind {
            None => None,
            Some(q) => Some(self.behind(q, test)?),
        };
        let allowing = match &test.allowing {
            None => None,
            Some(q) => Some(self.allowance(q, &bounds, test)?),
        };
        let part = test.part.as_ref().map(|name| self.part(name)).transpose();
        let zone = match &test.zone {
            None => Zone::Everywhere,
            Some((ast::Zone::Everywhere, _)) => Zone::Everywhere,
            Some((ast::Zone::At(place), _)) => Zone::At(self.place(place, "")?),
            Some((ast::Zone::Between(ends), _)) => {
                let [a, b] = ends.as_ref();
                Zone::Between(self.place(a, "")?, self.place(b, "")?)
            }
        };
        Some(Test {
            what: test.what,
            part: part.ok()?,
            behind,
            allowing,
            zone,
            bounds,
            span: test.span,
            wanted: test.wanted_span,
            zone_span: test.zone.as_ref().map(|(_, span)| *span),
        })
    }

    fn limit(&mut self, q: &Quantity, kind: Kind, test: &ast::Test) -> Option<Slot> {
        let slot = self.figures.slot(q, "")?;
        if slot.kind == Kind::OPEN {
            self.figures.settle(slot.slot, kind, false);
            return Some(Slot { kind, ..slot });
        }
        if slot.kind == kind {
            return Some(slot);
        }
        self.faults.push(wrong_kind(slot, kind, test.what.word()));
        None
    }

    /// Balance and tang are of the whole blade: they have neither part nor stretch.
    fn of_the_whole(&mut self, test: &ast::Test) -> Option<()> {
        use crate::spec::What;
        let stretch = test.zone.as_ref().map(|(_, span)| *span);
        let words = test.part.as_ref().map(|p| p.span).or(stretch);
        let (What::Balance | What::Tang, Some(words)) = (test.what, words) else { return Some(()) };
        let word = test.what.word();
        let message = format!("`{word}` is of the whole blade");
        let fault = Diagnostic::new(Code::OfTheWhole, message, words, "a part, or a place");
        self.faults.push(fault.help(format!("write it without, as in `{word} >= 30 mm`")));
        None
    }

    /// How much more than the least there is to be.
    fn allowance(
        &mut self,
        q: &Quantity,
        bounds: &Bounds,
        test: &ast::Test,
    ) -> Option<Q<crate::quantity::Length>> {
        let slot = self.limit(q, Kind::LENGTH, test)?;
        if !matches!(bounds, Bounds::AtLeast(_)) || test.what.kind() != Kind::LENGTH {
            let message = "an allowance goes on top of the least size of something";
            let fault = Diagnostic::new(Code::Allowance, message, q.span, "there is no least size here");
            self.faults.push(fault.help("write it as `spine >= 3 mm at heel, allowing 0.25 mm`"));
            return None;
        }
        self.not_below_nothing(slot, q)
    }

    /// A figure of a test that cannot be below nothing.
    fn not_below_nothing(&mut self, slot: Slot, q: &Quantity) -> Option<Q<crate::quantity::Length>> {
        if self.figures.value(slot) < 0.0 {
            let message = "this figure cannot be below nothing";
            let fault = Diagnostic::new(Code::Negative, message, q.span, "below nothing");
            self.faults.push(fault.help("write it without the minus"));
            return None;
        }
        Q::of(slot.slot, slot.kind)
    }

    /// How far behind the edge a thickness is tested.
    fn behind(&mut self, q: &Quantity, test: &ast::Test) -> Option<Q<crate::quantity::Length>> {
        let slot = self.limit(q, Kind::LENGTH, test)?;
        if test.what != crate::spec::What::Thickness {
            let message = format!("`{}` is not tested behind the edge", test.what.word());
            let fault = Diagnostic::new(Code::BehindEdge, message, q.span, "so far behind the edge");
            self.faults.push(fault.help("write it as `thickness 1 mm behind edge <= 0.4 mm`"));
            return None;
        }
        self.not_below_nothing(slot, q)
    }

    fn part(&mut self, name: &Name) -> Result<crate::piece::PartName, ()> {
        if let Some(at) = self.names.parts.iter().position(|p| *p == name.text) {
            return u32::try_from(at).map(crate::piece::PartName).map_err(|_| ());
        }
        let known: Vec<&str> = self.names.parts.iter().map(String::as_str).collect();
        let meant = super::syntax::nearest(&name.text, known.iter().copied());
        let help = match meant {
            Some(meant) => format!("did you mean `{meant}`"),
            None => "a part is asked for by the name under which it was stacked or joined".to_owned(),
        };
        let message = format!("nothing called `{}` went into a stack", name.text);
        let fault = Diagnostic::new(Code::UnknownPart, message, name.span, "no such part").help(help);
        let fault = fault.fix_if(name.span, meant);
        self.faults.push(fault);
        Err(())
    }

    pub(super) fn place(&mut self, place: &ast::Place, address: &str) -> Option<Place> {
        let by = match &place.by {
            None => None,
            Some(q) => {
                let mut slot = self.figures.slot(q, address)?;
                if slot.kind == Kind::OPEN {
                    self.figures.settle(slot.slot, Kind::LENGTH, false);
                    slot.kind = Kind::LENGTH;
                }
                let q = Q::of(slot.slot, slot.kind);
                if q.is_none() {
                    self.faults.push(wrong_kind(slot, Kind::LENGTH, "at"));
                    return None;
                }
                q
            }
        };
        Some(Place { from: place.from, by, span: place.span })
    }
}
