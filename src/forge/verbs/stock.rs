//! `stock`: takes bars. Volume by their shape, weight by their steel's density.

use crate::piece::{Bar, Lot, LotId, NodeId, Section, SteelId};
use crate::quantity::{Count, Kind, Length, Q};
use crate::source::{Code, Span};

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
    Bars { count: Q<Count>, steel: SteelId, density: f64, shape: Shape },
    Rack(LotId),
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
        clauses: &[&[Key::Bars, Key::FromRack]],
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
            What::Bars { count, steel, density, shape } => {
                let count = cx.whole(*count, 1, MOST_BARS, "the number of bars")?;
                let node = cx.makeup.solid(*steel, *density);
                let bar = shape.bar(cx, node)?;
                warn_large(cx, bar.volume() * *density, bar.long, shape.span(cx));
                cx.put(self.to, Lot { bar, count }, self.site)?;
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
}

fn bars(bag: &mut Bag) -> Option<What> {
    let clause = bag.take(Key::Bars)?;
    let count = bag.figure(&clause, "bars");
    let (mut steel, mut sizes, mut word, mut span) = (None, Vec::new(), "bar", clause.span);
    for arg in &clause.args {
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
            let fault = Code::StockSizes
                .says(format!("a {word} of stock is measured {wanted}"))
                .at(span, format!("{} sizes stand here", sizes.len()));
            bag.fault(fault.help(format!("write it like `{sample}`")));
            return None;
        }
    };
    let (count, steel) = (count?, steel?);
    Some(What::Bars { count, steel, density: bag.scope.density(steel), shape })
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

    fn bar<S: Sink>(&self, cx: &mut Cx<S>, node: NodeId) -> Outcome<Bar> {
        let (sizes, section) = match self {
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
        };
        Ok(Bar::plain(sizes, section, node))
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
