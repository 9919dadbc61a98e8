//! `harden`: heats a piece through and quenches it. It is hard then, brittle, and a little bigger.

use crate::piece::{Cause, Hard, Lot};
use crate::quantity::{Q, Temperature};
use crate::source::{Code, Diagnostic, Span};
use crate::steel::laws::growth;
use crate::steel::laws::hardening;

use crate::forge::process::austenite;
use crate::forge::process::fire::Heating;
use crate::forge::process::shaping::{Change, reshape};
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Blades, Fire, Hazard};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Verb, Word, Work};

/// What a piece is quenched in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Medium {
    Oil,
    /// Or brine.
    Water,
    /// Or between plates.
    Air,
}

/// Hardening.
#[derive(Debug)]
pub struct Harden {
    work: Work,
    heating: Heating,
    from: Q<Temperature>,
    medium: Medium,
    medium_span: Span,
}

impl Verb for Harden {
    const WORD: Word = Word {
        word: "harden",
        said: &["quench"],
        doc: "heats a piece through and quenches it: hard, brittle, a little bigger",
        clauses: &[&[Key::From, Key::InMedium, Key::For]],
        example: "harden blade from 815 C in oil",
        hazards: &[Hazard::Fire, Hazard::Quench],
        blades: Blades::Works,
        fire: Fire::Quench,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let from = bag.opt(Key::From);
        let medium = bag.take(Key::InMedium);
        let mut heating = Heating::bind(bag);
        let name = bag.name.text.clone();
        let work = bag.work();
        let (Some(from), Some(medium)) = (from, medium) else {
            let help = format!("write `harden {name} from 815 C in oil` (or water, brine, air, plates)");
            let what = "from what heat, and in what";
            bag.unsaid(Code::HardenHow, "this does not say how to harden", what, help);
            return None;
        };
        heating.at = Some(from);
        let medium_span = medium.span;
        let wet = [("oil", Medium::Oil), ("water", Medium::Water), ("brine", Medium::Water)];
        let dry = ["air", "plate", "plates"].map(|word| (word, Medium::Air));
        let Some(medium) = medium.which(&wet).or(medium.which(&dry)) else {
            bug!("a quench in nothing known")
        };
        Some(Harden { work: work?, heating, from, medium, medium_span })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        let lot = cx.piece(self.work)?;
        let (mut lot, hot) = rest(cx, self.work, lot, &self.heating, 1)?;
        let from_c = hot.window.from_c;
        if S::KEEPS {
            austenite::warn(cx, &lot, from_c, cx.span(self.from), true);
            self.warn_medium(cx, &lot);
        }
        if self.medium == Medium::Air && !self.air_hardens(cx, &lot) {
            return Ok(());
        }
        lot.bar.past.hard = Some(Hard { from_c, temper_c: 0.0, hours: 0.0 });
        self.grow(cx, &mut lot, from_c);
        cx.put(self.work.to, lot, self.work.site)
    }
}

impl Harden {
    /// Hardened steel takes more room: weight stays, sizes grow.
    fn grow<S: Sink>(&self, cx: &mut Cx<S>, lot: &mut Lot, from_c: f64) {
        let steels = &cx.ground.steels;
        let swells = cx.makeup.mix(lot.bar.node).filter_map(|(id, share)| {
            let s = &steels[id].composition;
            let turns =
                hardening::hardens(s) && (hardening::by_data_sheet(s) || from_c >= hardening::begins_c(s));
            turns.then(|| share * growth::hardened_percent(s.c, 0.0, 0.0))
        });
        let volume: f64 = 1.0 + swells.sum::<f64>() / 100.0;
        let factor = volume.cbrt();
        if factor == 1.0 {
            return;
        }
        let before = lot.bar;
        let to = self.work.to;
        lot.bar.past.light /= factor * factor * factor;
        let shown = || format!("{} % of each size", crate::quantity::trim_number((factor - 1.0) * 100.0, 2));
        let source = "by carbon, no carbide or austenite left over: Krauss and Thelning, from memory";
        cx.book.assume("growth on hardening", shown, source);
        if let Some(mut shape) = cx.makeup.blade(&lot.bar).cloned() {
            shape.stretch([factor; 3]);
            reshape(cx, to, lot, shape, Change::Grown);
            return;
        }
        for size in [&mut lot.bar.thick, &mut lot.bar.wide, &mut lot.bar.long] {
            *size *= factor;
        }
        cx.resized(to, Cause::Thermal, &before, &lot.bar);
    }

    fn air_hardens<S: Sink>(&self, cx: &Cx<S>, lot: &Lot) -> bool {
        austenite::layers(cx, lot).iter().any(|(_, s)| hardening::hardens(s) && hardening::by_data_sheet(s))
    }

    fn warn_medium<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot) {
        let layers = austenite::layers(cx, lot);
        let plain = layers.iter().find(|(_, s)| hardening::hardens(s) && !hardening::by_data_sheet(s));
        let rich = layers.iter().find(|(_, s)| hardening::hardens(s) && s.c > 0.6);
        let span = self.medium_span;
        match (self.medium, plain, rich) {
            (Medium::Air, Some((grade, _)), _) => cx.book.warn(|| {
                let message = format!("{} does not harden in air", grade.name);
                Diagnostic::new(Code::SlowQuench, message, span, "too slow for a steel with little alloy")
                    .help("quench it in oil; only richly alloyed steels harden in air or between plates")
            }),
            (Medium::Water, _, Some((grade, _))) => cx.book.warn(|| {
                let message = format!("{} may crack in water", grade.name);
                Diagnostic::new(Code::HarshQuench, message, span, "a fast quench for thin, rich steel")
                    .help("common practice quenches layered blades in warm oil")
            }),
            _ => {}
        }
    }
}
