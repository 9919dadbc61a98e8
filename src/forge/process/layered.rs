//! Bars of stock whose layers are welded already: what a bought billet, or what an earlier build left, is made up of.

use crate::forge::cx::too_much;
use crate::forge::words::args::{Arg, Clause};
use crate::forge::{Bag, Cx, Key, Outcome, Sink};
use crate::piece::{Axis, NodeId, Part, PartName, PastId, SteelId};
use crate::quantity::{Count, Q, Ratio, trim_number};
use crate::source::{Code, Span};

/// The most layers that are told at once, and the most times that they lie on themselves: beyond that a figure is a slip of the pen.
const MOST: u32 = 10_000;
/// Shares that add up to the whole but for rounding (project figure: as `33 %` three times does).
const ROUNDING: f64 = 0.015;

/// The layers of a bar, as the recipe tells them.
#[derive(Debug)]
pub struct Layered {
    sheets: Vec<Sheet>,
    how: How,
    /// How often they lie on themselves.
    times: Option<Q<Count>>,
    /// They stand across the width.
    axis: Axis,
    /// The name of the whole.
    whole: PartName,
    span: Span,
}

/// One layer, or one of the steels that go round.
#[derive(Clone, Copy, Debug)]
struct Sheet {
    steel: SteelId,
    /// g/mm3.
    density: f64,
    part: PartName,
}

#[derive(Debug)]
enum How {
    /// Each with its share.
    Told(Vec<Q<Ratio>>),
    /// So many in turn, some steels with a share of the whole.
    InTurn { count: Q<Count>, shares: Vec<(SteelId, Q<Ratio>)>, outside: Option<Span> },
}

impl Layered {
    /// Reads what a line of stock says of its layers.
    pub fn bind(bag: &mut Bag, clause: &Clause) -> Option<Self> {
        let (mut sheets, mut told) = (Vec::new(), Vec::new());
        for arg in &clause.args {
            match arg {
                Arg::Steel(steel) => {
                    let steel = *steel;
                    let name = bag.scope.grade(steel).to_owned();
                    let (density, part) = (bag.scope.density(steel), bag.scope.part(&name));
                    sheets.push(Sheet { steel, density, part });
                }
                Arg::Slot(slot) if !sheets.is_empty() => {
                    told.push(bag.typed::<Ratio>(*slot, "the share of a layer")?);
                }
                _ => {}
            }
        }
        let count = bag.take(Key::Layers);
        let shares: Vec<Clause> = bag.take_all(Key::ShareOf);
        let lies = bag.take(Key::Lies);
        let edge = bag.take(Key::On);
        let times = bag.opt(Key::OnItself);
        let axis = match &edge {
            Some(on) if !on.says("edge") => {
                let fault = Code::LayeredHow.says("layers lie flat, or stand on edge").at(on.span, "neither");
                bag.fault(fault.help("write `on edge`, or leave it out"));
                return None;
            }
            Some(_) => Axis::Width,
            None => Axis::Thickness,
        };
        let how = if told.is_empty() {
            let Some(count) = count.and_then(|count| bag.figure(&count, "the number of layers")) else {
                let help = "write `52 layers`, or each layer with its share, as in `layered 1084 20 %, 15N20 60 %, 1084 20 %`";
                bag.unsaid(
                    Code::LayeredHow,
                    "it is not said how many layers these are",
                    "steels alone",
                    help,
                );
                return None;
            };
            let mut known = Vec::new();
            for share in &shares {
                let steel = steel_in(bag, &sheets, share)?;
                if known.iter().any(|(other, _)| *other == steel) {
                    let message = "the share of one steel is told twice";
                    let fault = Code::LayeredHow.says(message).at(share.span, "once more here");
                    bag.fault(fault.help("keep one of the two"));
                    return None;
                }
                known.push((steel, bag.figure(share, "the share of a steel")?));
            }
            let mut outside = None;
            if let Some(lies) = &lies {
                let steel = steel_in(bag, &sheets, lies)?;
                let at = sheets.iter().position(|sheet| sheet.steel == steel)?;
                sheets.rotate_left(at);
                outside = lies.says("outside").then_some(lies.span);
            }
            How::InTurn { count, shares: known, outside }
        } else {
            let more = count.into_iter().chain(shares).chain(lies).next();
            if let Some(more) = more {
                let message = "each layer is told already, from the lowest up";
                let fault = Code::LayeredHow.says(message).at(more.span, "this says it once more");
                bag.fault(fault.and(clause.span, "told here").help("leave it out"));
                return None;
            }
            if told.len() != sheets.len() {
                let message = "some of these layers have a share, and some have none";
                let text = format!("{} layers, {} shares", sheets.len(), told.len());
                let fault = Code::LayeredHow.says(message).at(clause.span, text);
                bag.fault(fault.help(
                    "write a share behind each layer, as in `layered 1084 20 %, 15N20 60 %, 1084 20 %`",
                ));
                return None;
            }
            How::Told(told)
        };
        let name = bag.name.text.clone();
        Some(Layered { sheets, how, times, axis, whole: bag.scope.part(&name), span: clause.span })
    }

    /// The makeup of a bar of these layers; they fill so much of thickness and width, mm.
    ///
    /// # Errors
    /// Layers that cannot be so.
    pub fn node<S: Sink>(&self, cx: &mut Cx<S>, [thick, wide]: [f64; 2]) -> Outcome<NodeId> {
        let across = if self.axis == Axis::Width { wide } else { thick };
        let times = self.times.map(|q| cx.whole(q, 1, MOST, "the number of times")).transpose()?.unwrap_or(1);
        cx.book.assume(
            "carbon of layered stock",
            || "that of its steels, as if it were newly welded".to_owned(),
            "no data: the line of stock does not tell how far it has evened out",
        );
        let layers = match &self.how {
            How::Told(shares) => self.told(cx, shares)?,
            How::InTurn { count, shares, outside } => self.in_turn(cx, *count, shares, *outside)?,
        };
        let across = across / f64::from(times);
        let nodes: Vec<NodeId> =
            self.sheets.iter().map(|sheet| cx.makeup.solid(sheet.steel, sheet.density)).collect();
        cx.makeup.begin_pile();
        for (fraction, (sheet, node)) in layers.iter().zip(self.sheets.iter().zip(nodes).cycle()) {
            let (fraction, name) = (*fraction, sheet.part);
            cx.makeup.lay(Part { fraction, node, name, laid: fraction * across, past: PastId::NONE });
        }
        let node = cx.makeup.end_pile(self.axis).map_err(|e| too_much(e, self.span))?;
        if times == 1 {
            return Ok(node);
        }
        let fraction = 1.0 / f64::from(times);
        cx.makeup.begin_pile();
        for _ in 0..times {
            cx.makeup.lay(Part { fraction, node, name: self.whole, laid: across, past: PastId::NONE });
        }
        cx.makeup.end_pile(self.axis).map_err(|e| too_much(e, self.span))
    }

    /// The layers' shares, each as told.
    fn told<S: Sink>(&self, cx: &Cx<S>, shares: &[Q<Ratio>]) -> Outcome<Vec<f64>> {
        for q in shares {
            above_nothing(cx, *q)?;
        }
        let sum: f64 = shares.iter().map(|q| cx.get(*q)).sum();
        if (sum - 1.0).abs() > ROUNDING {
            let fault = Code::LayeredHow.says("the layers' shares do not make a whole bar");
            let fault = fault.at(self.span, format!("they add up to {}", percent(sum)));
            return Err(fault.stops("shares of the thickness add up to 100 %, but for rounding"));
        }
        Ok(shares.iter().map(|q| cx.get(*q) / sum).collect())
    }

    /// The layers' shares where steels go round.
    fn in_turn<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        count: Q<Count>,
        shares: &[(SteelId, Q<Ratio>)],
        outside: Option<Span>,
    ) -> Outcome<Vec<f64>> {
        let least = u32::try_from(self.sheets.len()).unwrap_or(MOST);
        let layers = cx.whole(count, least, MOST, "the number of layers")?;
        let turn: Vec<SteelId> = self.sheets.iter().map(|s| s.steel).cycle().take(layers as usize).collect();
        if let Some(words) = outside
            && turn.first() != turn.last()
        {
            let name = |steel: Option<&SteelId>| steel.map_or("", |s| cx.ground.steels[*s].name.as_str());
            let (low, high) = (name(turn.first()), name(turn.last()));
            let fault =
                Code::LayeredHow.says(format!("{layers} layers by turns have not one steel on both faces"));
            let fault =
                fault.at(words, format!("{low} lies below, {high} on top")).and(cx.span(count), "so many");
            return Err(fault.stops(format!("write `{low} below`, or an odd number of layers of two steels")));
        }
        let share_of = |steel: SteelId| shares.iter().find(|(s, _)| *s == steel).map(|(_, q)| *q);
        let of = |steel: SteelId| turn.iter().filter(|s| **s == steel).count() as f64;
        let mut known = 0.0;
        for (_, q) in shares {
            above_nothing(cx, *q)?;
            known += cx.get(*q);
        }
        let open = turn.iter().filter(|s| share_of(**s).is_none()).count() as f64;
        let whole = if open > 0.0 { known < 1.0 } else { (known - 1.0).abs() <= ROUNDING };
        if !whole {
            let words = shares.iter().map(|(_, q)| cx.span(*q)).reduce(Span::to).unwrap_or(self.span);
            let fault = Code::LayeredHow.says("the steels' shares do not make a whole bar");
            let fault = fault.at(words, format!("they add up to {}", percent(known)));
            let help = if open > 0.0 {
                "leave something for the steels whose share is not told"
            } else {
                "shares add up to 100 %, but for rounding; leave one of them out"
            };
            return Err(fault.stops(help));
        }
        if shares.is_empty() {
            cx.book.assume(
                "layers of stock",
                || "equally thick".to_owned(),
                "no data: write `66 % of` a steel where they are not",
            );
        }
        let scale = if open > 0.0 { 1.0 } else { known };
        Ok(turn
            .iter()
            .map(|steel| match share_of(*steel) {
                Some(q) => cx.get(q) / scale / of(*steel),
                None => (1.0 - known) / open,
            })
            .collect())
    }
}

/// The steel that a clause names: one of the layers'.
fn steel_in(bag: &mut Bag, sheets: &[Sheet], clause: &Clause) -> Option<SteelId> {
    let steel = clause.args.iter().find_map(|a| if let Arg::Steel(s) = a { Some(*s) } else { None })?;
    if sheets.iter().any(|sheet| sheet.steel == steel) {
        return Some(steel);
    }
    let mut names: Vec<&str> = sheets.iter().map(|s| bag.scope.grade(s.steel)).collect();
    names.dedup();
    let fault = Code::LayeredHow
        .says(format!("no layer of this bar is of {}", bag.scope.grade(steel)))
        .at(clause.span, "this steel is not among them")
        .help(format!("its layers are of {}", names.join(" and ")));
    bag.fault(fault);
    None
}

fn above_nothing<S: Sink>(cx: &Cx<S>, q: Q<Ratio>) -> Outcome {
    let help = "write a share such as `66 %`, or leave the steel out";
    cx.above_nothing(q, cx.span(q), "a layer takes more than nothing of its bar", help).map(|_| ())
}

fn percent(share: f64) -> String {
    format!("{} %", trim_number(share * 100.0, 1))
}
