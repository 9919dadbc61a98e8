//! `harden`: heats a piece through and quenches it. It is hard then, brittle, and a little bigger.

use crate::piece::{Bar, Cause, Hard, Lot, LotId, Section};
use crate::quantity::{Q, Temperature};
use crate::source::{Code, Diagnostic, Span};
use crate::steel::Composition;
use crate::steel::laws::growth;
use crate::steel::laws::hardening;
use crate::steel::laws::quench::{Medium, ROUND_AS_SQUARE};

use crate::forge::process::austenite;
use crate::forge::process::fire::Heating;
use crate::forge::process::shaping::{Change, reshape};
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Blades, Clause, Fire, Hazard};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Hardening.
pub struct Harden {
    heating: Heating,
    from: Q<Temperature>,
    medium: Medium,
    medium_span: Span,
    /// Oil without a word on how it moves.
    unsaid: bool,
}

impl Works for Harden {
    const WORD: Word = Word {
        word: "harden",
        said: &["quench"],
        doc: "heats a piece through and quenches it: hard, brittle, a little bigger",
        clauses: &[&[Key::From, Key::InMedium, Key::For]],
        example: "harden blade from 815 C in oil",
        hazards: &[Hazard::Fire],
        blades: Blades::Works,
        fire: Fire::Quench,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let from = bag.opt(Key::From);
        let medium = bag.take(Key::InMedium);
        let mut heating = Heating::bind(bag);
        let name = bag.name.text.clone();
        let (Some(from), Some(medium)) = (from, medium) else {
            let help = format!(
                "say it in full, as in `harden {name} from 815 C in oil` (or moved oil, fast oil, water, brine, air, plates)"
            );
            let what = "from what heat, and in what";
            bag.unsaid(Code::HardenHow, "this does not say how to harden", what, help);
            return None;
        };
        heating.at = Some(from);
        let medium_span = medium.span;
        let unsaid = medium.says("oil");
        let medium = self::medium(&medium);
        Some(Harden { heating, from, medium, medium_span, unsaid })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.piece(work)?;
        let (mut lot, hot) = rest(cx, work, lot, &self.heating, 1)?;
        let from_c = hot.window.from_c;
        if S::KEEPS || self.dry() {
            let layers = austenite::layers(cx, &lot);
            austenite::warn(cx, &layers, from_c, cx.span(self.from), (true, true));
            self.warn_medium(cx, &layers);
            let air_hardens = |(_, s): &(_, _)| hardening::hardens(s) && hardening::by_data_sheet(s);
            if self.dry() && !layers.iter().any(air_hardens) {
                return Ok(());
            }
        }
        if self.unsaid {
            let source =
                "`moved oil` or `fast oil` where it moves; H 0.3 an inch: a bearing supplier's note, read";
            cx.book.assume("oil of a quench", || "still".to_owned(), source);
        }
        let section = quenched_section(&lot.bar);
        let medium = self.medium;
        let hard = Hard { from_c, temper_c: 0.0, hours: 0.0, given_back: 0.0, medium, section };
        lot.bar.past.hard = Some(hard);
        self.grow(cx, work, &mut lot, &hard);
        cx.put(work.to, lot, work.site)
    }
}

impl Harden {
    /// Hardened steel takes more room: weight stays, sizes grow.
    fn grow<S: Sink>(&self, cx: &mut Cx<S>, work: Work, lot: &mut Lot, hard: &Hard) {
        let by = swells(cx, lot, hard, growth::quenched_percent);
        if by == 0.0 {
            return;
        }
        let shown =
            || format!("{} % of each size", crate::quantity::trim_number(growth::linear_percent(by), 1));
        let source = "by carbon, all of it dissolved: Krauss and Thelning, from memory; less the austenite left: Koistinen and Marburger; of a thick section what turns hard";
        cx.book.assume("growth on hardening", shown, source);
        swell(cx, work.to, lot, by);
    }

    fn dry(&self) -> bool {
        matches!(self.medium, Medium::Air | Medium::Plates)
    }

    fn warn_medium<S: Sink>(&self, cx: &mut Cx<S>, layers: &[(&crate::steel::Grade, Composition)]) {
        let plain = layers.iter().find(|(_, s)| hardening::hardens(s) && !hardening::by_data_sheet(s));
        let rich = layers.iter().find(|(_, s)| hardening::cracks_in_water(s));
        let (span, medium) = (self.medium_span, self.medium);
        match (medium, plain, rich) {
            (Medium::Air | Medium::Plates, Some((grade, _)), _) => cx.book.warn(|| {
                let message = format!("{} does not harden in air", grade.name);
                Diagnostic::new(Code::SlowQuench, message, span, "too slow for a steel with little alloy")
                    .help("quench it in oil; only richly alloyed steels harden in air or between plates")
            }),
            (Medium::Water | Medium::Brine, _, Some((grade, _))) => cx.book.warn(|| {
                let bath = if medium == Medium::Brine { "brine" } else { "water" };
                let message = format!("{} may crack in {bath}", grade.name);
                let help = if layers.len() > 1 {
                    "common practice quenches layered blades in warm oil"
                } else {
                    "common practice quenches thin blades of it in fast oil; out of water, temper it at once"
                };
                Diagnostic::new(
                    Code::HarshQuench,
                    message,
                    span,
                    "a fast quench for thin steel, rich or alloyed",
                )
                .help(help)
            }),
            _ => {}
        }
    }
}

/// What a clause says that a piece is quenched in.
pub(super) fn medium(clause: &Clause) -> Medium {
    let known = clause.which(&[
        ("oil", Medium::StillOil),
        ("still oil", Medium::StillOil),
        ("moved oil", Medium::MovedOil),
        ("fast oil", Medium::FastOil),
        ("water", Medium::Water),
        ("brine", Medium::Brine),
        ("air", Medium::Air),
        ("plates", Medium::Plates),
    ]);
    known.unwrap_or_else(|| bug!("a quench in nothing known"))
}

/// Thickness and width that a quench finds, mm.
pub(super) fn quenched_section(bar: &Bar) -> [f64; 2] {
    match bar.section {
        Section::Round => [bar.calliper_thick() / ROUND_AS_SQUARE; 2],
        Section::Flat | Section::Octagon => [bar.thick, bar.wide],
    }
}

/// Change of volume, %, of what a quench turned hard in a bar, layer by layer. A blade counts with its mean thickness.
pub(super) fn swells<S: Sink>(cx: &Cx<S>, lot: &Lot, hard: &Hard, by: impl Fn(&Composition) -> f64) -> f64 {
    let steels = &cx.ground.steels;
    let [thick, wide] = hard.section;
    let section = [thick * lot.bar.fill, wide];
    let layers = cx.makeup.mix(lot.bar.node).map(|(id, share)| (&steels[id].composition, share));
    let turned = |s: &Composition| hardening::turned(s, hard.from_c, hard.medium, section);
    layers
        .map(|(s, share)| (s, share * turned(s)))
        .filter(|(_, part)| *part > 0.0)
        .map(|(s, part)| part * by(s))
        .sum()
}

/// Makes a bar take so much more room, % of its volume, weight kept.
pub(super) fn swell<S: Sink>(cx: &mut Cx<S>, to: LotId, lot: &mut Lot, percent: f64) {
    let factor = (1.0 + percent / 100.0).cbrt();
    let before = lot.bar;
    lot.bar.past.light /= factor * factor * factor;
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
