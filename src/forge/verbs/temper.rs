//! `temper`: a low heat after hardening, to take the brittleness out.

use crate::piece::{Hard, Lot};
use crate::quantity::{Count, Kind, Q, Temperature, Time, trim_number};
use crate::source::Code;
use crate::steel::laws::{growth, tempering};

use crate::forge::verbs::harden::{swell, swells};
use crate::forge::words::args::{Blades, Hazard};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// The hottest temper, °C: above it steel begins to turn (low among the Ac1 of the table's steels).
const HOTTEST: f64 = 690.0;
/// The most times that anyone does it.
const MOST: u32 = 100;
/// Hours of one temper where nothing is said (common practice).
const HOURS: f64 = 1.0;
/// The constant of the tempering parameter that the hardness fits use.
const CONSTANT: f64 = 15.0;

/// Tempering.
pub struct Temper {
    at: Q<Temperature>,
    time: Option<Q<Time>>,
    times: Option<Q<Count>>,
}

impl Works for Temper {
    const WORD: Word = Word {
        word: "temper",
        doc: "holds a hardened piece at a low heat: tougher, a little softer",
        clauses: &[&[Key::At, Key::For, Key::Times]],
        example: "temper blade at 200 C for 2 h, 2 times",
        hazards: &[Hazard::Oven],
        blades: Blades::Works,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let (at, time, times) = (bag.opt(Key::At), bag.opt(Key::For), bag.opt(Key::Times));
        let name = bag.name.text.clone();
        if at.is_none() {
            let help = format!("say it in full, as in `temper {name} at 200 C for 2 h, 2 times`");
            bag.unsaid(Code::TemperHow, "this does not say how to temper", "at what heat", help);
        }
        Some(Temper { at: at?, time, times })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let mut lot = cx.piece(work)?;
        let at = cx.get(self.at);
        let words = cx.span(self.at);
        if at > HOTTEST {
            let (shown, most) = (cx.shown(at, Kind::TEMPERATURE), cx.shown(HOTTEST, Kind::TEMPERATURE));
            return Err(Code::NoTemper
                .says("this is no temper: the steel turns at it")
                .at(words, shown)
                .stops(format!(
                    "stay under {most}; knives are tempered at 150 C to 250 C (common practice)"
                )));
        }
        let times = self.times.map(|q| cx.whole(q, 1, MOST, "the number of times")).transpose()?.unwrap_or(1);
        let each = match self.time {
            Some(q) => crate::forge::process::fire::positive(cx, q)? / 60.0,
            None => {
                cx.book.assume("hours of a temper", || "1 h".to_owned(), "common practice");
                HOURS
            }
        };
        let hours = each * f64::from(times);
        cx.book.origin(work.to, work.from);
        match lot.bar.past.hard {
            Some(hard) => {
                let given_back = hard.given_back.max(growth::first_stage(at));
                lot.bar.past.hard = Some(Hard { given_back, ..tempered(hard, at, hours) });
                if given_back > hard.given_back {
                    self.give_back(cx, work, &mut lot, hard, given_back);
                }
            }
            None => {
                let name = cx.ground.lot_name(work.from).to_owned();
                let site = work.site;
                cx.book.warn(|| {
                    Code::TemperSoft
                        .says(format!("`{name}` is not hardened, so there is nothing to temper"))
                        .at(site, "this changes nothing")
                        .help(format!("harden it first: `harden {name} from 815 C in oil`"))
                });
            }
        }
        cx.put(work.to, lot, work.site)
    }
}

impl Temper {
    /// The first stage of tempering gives back a part of what the steel grew by.
    fn give_back<S: Sink>(&self, cx: &mut Cx<S>, work: Work, lot: &mut Lot, hard: Hard, given_back: f64) {
        let all = swells(cx, lot, &hard, growth::given_back_percent);
        let percent = all * (given_back - hard.given_back);
        if percent == 0.0 {
            return;
        }
        let shown = || format!("{} % of each size", trim_number(growth::linear_percent(percent), 1));
        let source = "stage 1 of tempering alone, by carbon, from memory";
        cx.book.assume("growth given back by tempering", shown, source);
        swell(cx, work.to, lot, percent);
    }
}

/// Tempers at one heat add their hours; of two heats the one that softens more counts.
fn tempered(hard: Hard, at: f64, hours: f64) -> Hard {
    if hard.hours > 0.0 && hard.temper_c == at {
        return Hard { hours: hard.hours + hours, ..hard };
    }
    let strength = |t: f64, h: f64| if h > 0.0 { tempering::parameter(t, h, CONSTANT) } else { 0.0 };
    if strength(at, hours) > strength(hard.temper_c, hard.hours) {
        Hard { temper_c: at, hours, ..hard }
    } else {
        hard
    }
}
