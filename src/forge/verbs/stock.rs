//! `stock`: takes bars. Volume by their shape, weight by their steel's density. What an earlier build left has layers and a past.

use crate::piece::{Bar, Hard, Lot, LotId, Past, Section, SteelId, Warp};
use crate::quantity::{Count, Kind, Length, Q, Temperature, Time};
use crate::source::{Code, Span};
use crate::steel::laws::growth;
use crate::steel::laws::quench::Medium;

use super::harden::{quenched_section, swells};
use crate::forge::process::layered::Layered;
use crate::forge::words::args::{Arg, Form, Hazard, Makes};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Verb, Word};

/// The most bars that one line of stock may take: beyond that the figure is a slip of the pen.
const MOST_BARS: u32 = 10_000;

/// A line of stock.
#[derive(Debug)]
pub struct Stock {
    to: LotId,
    site: Span,
    what: What,
}

#[derive(Debug)]
enum What {
    Bars { count: Q<Count>, of: Of, shape: Shape, past: Told, patterned: Option<String> },
    Rack(LotId),
}

/// What a bar is of.
#[derive(Debug)]
enum Of {
    Steel(SteelId, f64),
    Layers(Layered),
}

/// What is told of its past.
#[derive(Debug)]
struct Told {
    lost: Option<Q<Length>>,
    hard: Option<(Q<Temperature>, Medium)>,
    temper: Option<(Q<Temperature>, Q<Time>)>,
}

#[derive(Debug)]
enum Shape {
    Flat { sizes: [Q<Length>; 3], span: Span },
    Square { side: Q<Length>, long: Q<Length> },
    Round { size: Q<Length>, long: Q<Length> },
}

impl Verb for Stock {
    const WORD: Word = Word {
        word: "stock",
        said: &["buy", "take"],
        doc: "takes bars from the store, or an offcut from the rack",
        form: Form::Stock,
        clauses: &[
            &[
                Key::Bars,
                Key::FromRack,
                Key::Layered,
                Key::Layers,
                Key::OnItself,
                Key::ShareOf,
                Key::Lies,
                Key::On,
            ],
            &[Key::BarSizes, Key::LostSkin, Key::Hardened, Key::Tempered, Key::Patterned],
        ],
        example: "stock dark = 9 bars of 1084, 4 x 40 x 150 mm",
        hazards: &[Hazard::Stock],
        makes: Makes::Bars,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let what = match bag.take(Key::FromRack) {
            Some(clause) => {
                let name = clause.names().next()?.clone();
                What::Rack(bag.scope.unrack(&name)?)
            }
            None => bars(bag)?,
        };
        let name = bag.name.clone();
        Some(Stock { to: bag.scope.give(&name)?, site: bag.site, what })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        match &self.what {
            What::Rack(from) => {
                let lot = cx.lot(*from, self.site)?;
                cx.book.origin(self.to, *from);
                cx.put(self.to, lot, self.site)?;
            }
            What::Bars { count, of, shape, past, patterned } => {
                let count = cx.whole(*count, 1, MOST_BARS, "the number of bars")?;
                let ([thick, wide, long], section) = shape.sizes(cx)?;
                let mut node = match of {
                    Of::Steel(steel, density) => cx.makeup.solid(*steel, *density),
                    Of::Layers(layered) => layered.node(cx, [thick, wide])?,
                };
                if let Some(pattern) = patterned {
                    node = cx.makeup.warp(node, Warp::Untold);
                    cx.book.assume(
                        "pattern of stock",
                        || format!("`{pattern}`: where its layers lie is not told"),
                        "the line of stock; its bands, pictures and what shows on a face are those of layers that lie flat",
                    );
                }
                let mut lot = Lot { bar: Bar::plain([thick, wide, long], section, node), count };
                past.tell(cx, &mut lot)?;
                let grams = lot.bar.volume() * cx.makeup.bar_density(&lot.bar);
                warn_large(cx, grams, lot.bar.long, shape.span(cx));
                cx.put(self.to, lot, self.site)?;
            }
        }
        Ok(())
    }
}

impl Stock {
    /// The same bars under another name.
    pub fn handed(from: LotId, to: LotId, site: Span) -> Stock {
        Stock { to, site, what: What::Rack(from) }
    }

    /// What moved the layers of these bars about, as the line tells it.
    #[must_use]
    pub fn pattern(&self) -> Option<&str> {
        match &self.what {
            What::Bars { patterned, .. } => patterned.as_deref(),
            What::Rack(_) => None,
        }
    }
}

fn bars(bag: &mut Bag) -> Option<What> {
    let (clause, layered) = match bag.take(Key::Layered) {
        Some(clause) => (clause, true),
        None => (bag.take(Key::Bars)?, false),
    };
    let count = bag.figure(&clause, "bars");
    let own = bag.take(Key::BarSizes);
    let (mut steel, mut sizes, mut word, mut span) = (None, Vec::new(), "bar", clause.span);
    for arg in clause.args.iter().chain(own.iter().flat_map(|own| &own.args)) {
        match arg {
            Arg::Steel(id) => steel = Some(*id),
            Arg::Word(w, _) => word = w,
            Arg::Dims(slots, at) => {
                span = *at;
                sizes = slots.iter().map(|s| bag.typed::<Length>(*s, word)).collect();
            }
            _ => {}
        }
    }
    let patterned = bag.take(Key::Patterned);
    if let (Some(pattern), false) = (&patterned, layered) {
        let fault =
            Code::LayeredHow.says("a bar of one steel shows no pattern").at(pattern.span, "of one steel");
        bag.fault(fault.help(
            "say what its layers are, as in `1 bar of layered 1084, 15N20, 13 layers`; or leave it out",
        ));
        return None;
    }
    let patterned = patterned.and_then(|clause| {
        clause
            .args
            .iter()
            .find_map(|arg| if let Arg::Text(text) = arg { Some(text.text.clone()) } else { None })
    });
    let of = if layered {
        Of::Layers(Layered::bind(bag, &clause)?)
    } else {
        let steel = steel?;
        Of::Steel(steel, bag.scope.density(steel))
    };
    let sizes: Vec<Q<Length>> = sizes.into_iter().collect::<Option<_>>()?;
    let shape = match (word, sizes.as_slice()) {
        ("bar" | "plate", [t, w, l]) => Shape::Flat { sizes: [*t, *w, *l], span },
        ("square", [side, long]) => Shape::Square { side: *side, long: *long },
        ("round", [size, long]) => Shape::Round { size: *size, long: *long },
        (word, sizes) => {
            let (wanted, sample) = match word {
                "square" => ("side x long", "12 x 300 mm"),
                "round" => ("diameter x long", "25 x 300 mm"),
                _ => ("thick x wide x long", "4 x 40 x 150 mm"),
            };
            let given = match sizes.len() {
                0 => "no sizes stand here".to_owned(),
                n => format!("{n} sizes stand here"),
            };
            let fault =
                Code::StockSizes.says(format!("a {word} of stock is measured {wanted}")).at(span, given);
            bag.fault(fault.help(format!("write it like `{sample}`")));
            return None;
        }
    };
    Some(What::Bars { count: count?, of, shape, past: told(bag)?, patterned })
}

/// What a line of stock says of the bar's past.
fn told(bag: &mut Bag) -> Option<Told> {
    let lost = bag.opt(Key::LostSkin);
    let hard = match bag.take(Key::Hardened) {
        Some(clause) => {
            let from = bag.figure::<Temperature>(&clause, "the heat of a quench")?;
            Some((from, super::harden::medium(&clause)))
        }
        None => None,
    };
    let temper = match bag.take(Key::Tempered) {
        Some(clause) if hard.is_none() => {
            let fault = Code::LayeredHow
                .says("a bar that is not hard is not tempered")
                .at(clause.span, "nothing says how it was hardened")
                .help("write `hardened from 815 C in oil` before it");
            bag.fault(fault);
            return None;
        }
        Some(clause) => {
            let mut slots = clause.slots();
            let (at, time) = (slots.next()?, slots.next()?);
            Some((bag.typed(at, "the heat of a temper")?, bag.typed(time, "the time of a temper")?))
        }
        None => None,
    };
    Some(Told { lost, hard, temper })
}

impl Told {
    /// Gives a bar the past that is told of it. Its sizes are as they were measured: hard steel has grown already.
    fn tell<S: Sink>(&self, cx: &mut Cx<S>, lot: &mut Lot) -> Outcome {
        if let Some(lost) = self.lost {
            let lost = cx.length(lost)?;
            lot.bar.past.lost = [lost.min(lot.bar.thick / 2.0), lost.min(lot.bar.wide / 2.0)];
        }
        let Some((from, medium)) = self.hard else { return Ok(()) };
        let section = quenched_section(&lot.bar);
        let none = (0.0, 0.0);
        let (temper_c, hours) = self.temper.map_or(none, |(at, time)| (cx.get(at), cx.get(time) / 60.0));
        let given_back = if self.temper.is_some() { growth::first_stage(temper_c) } else { 0.0 };
        let hard = Hard { from_c: cx.get(from), temper_c, hours, given_back, medium, section };
        let grown = swells(cx, lot, &hard, growth::quenched_percent);
        let back = given_back * swells(cx, lot, &hard, growth::given_back_percent);
        let light = Past::NONE.light / ((1.0 + grown / 100.0) * (1.0 + back / 100.0));
        lot.bar.past = Past { hard: Some(hard), light, ..lot.bar.past };
        Ok(())
    }
}

impl Shape {
    /// The words of its sizes.
    fn span<S: Sink>(&self, cx: &Cx<S>) -> Span {
        match self {
            Shape::Flat { span, .. } => *span,
            Shape::Square { side: across, long } | Shape::Round { size: across, long } => {
                cx.span(*across).to(cx.span(*long))
            }
        }
    }

    /// Thickness, width and length, mm, and the outline.
    fn sizes<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome<([f64; 3], Section)> {
        Ok(match self {
            Shape::Flat { sizes: [t, w, l], span } => {
                let sizes = [size(cx, *t)?, size(cx, *w)?, size(cx, *l)?];
                warn_order(cx, sizes, *span);
                (sizes, Section::Flat)
            }
            Shape::Square { side, long } => {
                let side = size(cx, *side)?;
                ([side, side, size(cx, *long)?], Section::Flat)
            }
            Shape::Round { size: d, long } => {
                let side = size(cx, *d)? * Section::Round.side_per_size();
                ([side, side, size(cx, *long)?], Section::Round)
            }
        })
    }
}

/// The largest size of stock, mm (project figure): beyond a thousand kilometres the balance runs out of digits.
const LARGEST_MM: f64 = 1e9;

fn size<S: Sink>(cx: &Cx<S>, q: Q<Length>) -> Outcome<f64> {
    let help = "write the sizes as thick x wide x long, such as `4 x 40 x 150 mm`";
    let value = cx.above_nothing(q, cx.span(q), "a size of stock must be above nothing", help)?;
    if value > LARGEST_MM {
        return Err(Code::OutOfRange
            .says("no bar can have such a size")
            .at(cx.span(q), "more than a thousand kilometres")
            .stops("look for a figure with too many noughts"));
    }
    Ok(value)
}

/// The heaviest bar that is lifted in a shop, g: three people's load (project figure).
const HEAVIEST_G: f64 = 75e3;
/// The longest bar that stands in a shop, mm: a mill's full length of 20 ft or 6 m, and a little (project figure).
const LONGEST_MM: f64 = 6200.0;

fn warn_large<S: Sink>(cx: &mut Cx<S>, grams: f64, long: f64, span: Span) {
    let (what, figure) = if grams > HEAVIEST_G {
        ("heavier than anybody lifts", cx.shown(grams, Kind::MASS))
    } else if long > LONGEST_MM {
        ("longer than bars are sold", cx.mm(long))
    } else {
        return;
    };
    cx.book.warn(|| {
        Code::StockLarge
            .says(format!("a bar of this stock is {what}"))
            .at(span, format!("{figure} a bar"))
            .help("look at the units of its sizes: each size without one takes that of the next to its right")
    });
}

fn warn_order<S: Sink>(cx: &mut Cx<S>, [t, w, l]: [f64; 3], span: Span) {
    let (what, a, b) = if t > w {
        ("thicker than wide", t, w)
    } else if w > l {
        ("wider than long", w, l)
    } else {
        return;
    };
    let (a, b) = (cx.mm(a), cx.mm(b));
    cx.book.warn(|| {
        Code::SizeOrder
            .says(format!("this stock is {what}: are the sizes in the right order"))
            .at(span, format!("{a} against {b}"))
            .help("sizes are thick x wide x long")
    });
}
