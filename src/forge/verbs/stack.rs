//! `stack`: lays bars loosely on each other, side by side, in a bundle, or in a can.

use smallvec::SmallVec;

use crate::piece::{Axis, Bar, Cause, Lot, LotId, Measure, Packed, PartName, Section};
use crate::quantity::{Count, Q, show_count};
use crate::source::{Code, Diagnostic, Span};

use crate::forge::cx::count_of;
use crate::forge::process::bars::pile;
use crate::forge::process::can::Can;
use crate::forge::process::packing::{Packing, hexagon, hexagon_of, outline};
use crate::forge::process::trim::{Member, alike, flush};
use crate::forge::words::args::{Arg, Form, Makes, Name};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Verb, Word, Work};

/// The most bars in one stack: beyond that the figure is a slip of the pen.
const MOST: u32 = 10_000;
/// Rods on a side of the largest bundle (project figure).
const MOST_SIDE: usize = 6;

/// The names of a usual stack, and the bars of one: more than that goes to the heap.
type Few<T> = SmallVec<[T; 4]>;
type Many<T> = SmallVec<[T; 32]>;

/// A stack.
#[derive(Debug)]
pub struct Stack {
    to: LotId,
    site: Span,
    alternate: bool,
    side_by_side: bool,
    held: Held,
    trimmed: bool,
    takes: Vec<Take>,
    items: Vec<Item>,
}

/// What holds the bars.
#[derive(Debug)]
enum Held {
    /// They lie on each other, or side by side.
    Pile,
    /// Ties, round a hexagon of rounds; and the name that goes by all of them.
    Bundle(Span, PartName),
    Can(Can),
}

/// A name that is stacked, all its mentions together.
#[derive(Debug)]
struct Take {
    name: String,
    from: LotId,
    /// What stays under the name, where every mention says how many it takes.
    rest: Option<LotId>,
    part: PartName,
}

/// One mention of a name.
#[derive(Debug)]
struct Item {
    take: usize,
    count: Option<Q<Count>>,
    turned: bool,
    flipped: bool,
    mirrored: bool,
    span: Span,
}

impl Verb for Stack {
    const WORD: Word = Word {
        word: "stack",
        said: &["restack", "pile"],
        doc: "lays bars loosely on each other, lowest first, side by side across the width, in a bundle, or in a can",
        form: Form::Stack,
        clauses: &[
            &[Key::Alternate, Key::Item, Key::SideBySide, Key::InBundle, Key::Trimmed],
            &[Key::InCan, Key::Wall, Key::Powder, Key::Packed, Key::CanOff],
        ],
        example: "stack billet = alternate dark, bright",
        makes: Makes::Together,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let alternate = bag.flag(Key::Alternate).is_some();
        let side_by_side = bag.flag(Key::SideBySide);
        let bundle = bag.flag(Key::InBundle);
        let can = Can::bind(bag);
        let trimmed = bag.flag(Key::Trimmed).is_some();
        let mut names: Vec<(Name, bool)> = Vec::new();
        let mut items = Vec::new();
        for clause in bag.take_all(Key::Item) {
            let Some(name) = clause.names().next().cloned() else { continue };
            let count = match clause.slots().next() {
                Some(slot) => Some(bag.typed(slot, "the number of bars")?),
                None => None,
            };
            let take = match names.iter().position(|(n, _)| n.text == name.text) {
                Some(known) => known,
                None => {
                    names.push((name, true));
                    names.len() - 1
                }
            };
            if let Some((_, counted)) = names.get_mut(take) {
                *counted &= count.is_some();
            }
            let turned = clause.args.iter().filter(|a| matches!(a, Arg::Word("turned", _))).count() % 2 == 1;
            let (flipped, mirrored) = (clause.says("flipped"), clause.says("mirrored"));
            items.push(Item { take, count, turned, flipped, mirrored, span: clause.span });
        }
        // Every name is looked up, so that all faults are found, before any is given up on.
        let taken: Vec<_> = names.iter().map(|(name, _)| bag.scope.take(name)).collect();
        let mut takes = Vec::new();
        for ((name, counted), from) in names.into_iter().zip(taken) {
            let part = bag.scope.part(&name.text);
            let rest = if counted { Some(bag.scope.give(&name)?) } else { None };
            takes.push(Take { name: name.text, from: from?, rest, part });
        }
        let name = bag.name.clone();
        let to = bag.scope.give(&name)?;
        let message = "bars that are held lie as they fit, not side by side";
        let holds = bundle.or(can.as_ref().map(|can| can.span));
        bag.clash(Code::CanHow, message, (side_by_side, "side by side here"), (holds, "held here"));
        let held = match (can, bundle) {
            (Some(can), _) => Held::Can(can),
            (None, Some(words)) => Held::Bundle(words, bag.scope.part(&name.text)),
            (None, None) => Held::Pile,
        };
        let side_by_side = side_by_side.is_some();
        Some(Stack { to, site: bag.site, alternate, side_by_side, held, trimmed, takes, items })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        let lots = self.takes.iter().map(|t| cx.lot(t.from, self.site)).collect::<Result<Few<Lot>, _>>()?;
        for (lot, take) in lots.iter().zip(&self.takes) {
            let work = Work { from: take.from, to: self.to, site: self.site, word: &Self::WORD };
            cx.plain(lot, work)?;
            if lot.bar.packed.is_some() {
                return Err(cx.loose_stack(work));
            }
        }
        let counts = self.counts(cx, &lots)?;
        let axis = if self.side_by_side { Axis::Width } else { Axis::Thickness };
        let order = self.order(&counts)?;
        let lowest = match (order.first().copied(), &self.held) {
            (Some(lowest), _) => lowest,
            (None, Held::Can(_)) => 0,
            (None, _) => bug!("a stack of no bars"),
        };

        let lowest_take = self.items.get(lowest).map_or(0, |i| i.take);
        if let (Some(take), true) = (self.takes.get(lowest_take), S::KEEPS) {
            cx.book.origin(self.to, take.from);
        }
        let mut members: Few<Member> = Few::new();
        for (i, (item, laid)) in self.items.iter().zip(&counts).enumerate() {
            let Some(lot) = lots.get(item.take) else { continue };
            let lot = self.lay(cx, *lot, item, i == lowest);
            members.push(Member { lot, span: item.span, laid: *laid });
        }
        match self.held {
            // Round what lies in a can is powder.
            Held::Can(_) if members.is_empty() => {}
            Held::Can(_) => flush(cx, &mut members, Axis::Length, self.trimmed, (self.to, lowest))?,
            _ => alike(cx, &mut members, axis, self.trimmed, (self.to, lowest))?,
        }

        let bars = order.iter().filter_map(|item| {
            let part = self.takes.get(self.items.get(*item)?.take)?.part;
            Some((&members.get(*item)?.lot.bar, part))
        });
        let low = members.get(lowest).map(|m| m.lot.bar);
        let bar = match &self.held {
            Held::Pile => pile(cx, axis, bars, self.site)?,
            Held::Bundle(words, whole) => {
                let rods: Vec<_> = bars.map(|(bar, part)| (*bar, part)).collect();
                self.bundle(cx, &rods, *words, *whole)?
            }
            Held::Can(can) => {
                let held: Vec<_> = bars.map(|(bar, part)| (*bar, part)).collect();
                can.fill(cx, &held, self.site)?
            }
        };
        cx.put(self.to, Lot { bar, count: 1 }, self.site)?;
        let bar = cx.lots[self.to].map_or(bar, |lot| lot.bar);
        if let (Some(low), true) = (low, S::KEEPS) {
            cx.resized(self.to, Cause::Stacked, &low, &bar);
            cx.change(self.to, Measure::Mass, Cause::Stacked, bar.mass - low.mass);
            self.warn_tall(cx, &bar, axis);
        }
        self.leave_rest(cx, &lots, &counts);
        Ok(())
    }
}

impl Stack {
    /// How many bars each item gives.
    fn counts<S: Sink>(&self, cx: &Cx<S>, lots: &[Lot]) -> Outcome<Few<u32>> {
        let mut counts: Few<u32> = smallvec::smallvec![0; self.items.len()];
        for (t, (take, lot)) in self.takes.iter().zip(lots).enumerate() {
            let mut left = lot.count;
            let mine = || self.items.iter().enumerate().filter(|(_, i)| i.take == t);
            for (i, item) in mine() {
                let Some(q) = item.count else { continue };
                let wants = cx.whole(q, 1, MOST, "the number of bars")?;
                if wants > left {
                    return Err(self.too_few(cx, take, item, lot.count));
                }
                left -= wants;
                if let Some(c) = counts.get_mut(i) {
                    *c = wants;
                }
            }
            let open = count_of(mine().filter(|(_, i)| i.count.is_none()).count());
            if open == 0 {
                continue;
            }
            if left % open != 0 || left == 0 {
                return Err(self.uneven_shares(cx, take, t, left, open));
            }
            for (i, _) in mine().filter(|(_, i)| i.count.is_none()) {
                if let Some(c) = counts.get_mut(i) {
                    *c = left / open;
                }
            }
        }
        let total: u64 = counts.iter().map(|c| u64::from(*c)).sum();
        if total > u64::from(MOST) {
            return Err(Code::TooManyBars
                .says(format!("no stack holds more than {MOST} bars"))
                .at(self.site, format!("{total} bars would lie here"))
                .stops("look for a count with too many noughts"));
        }
        Ok(counts)
    }

    /// The items in the order that they lie, lowest first.
    fn order(&self, counts: &[u32]) -> Outcome<Many<usize>> {
        if !self.alternate {
            let runs = counts.iter().enumerate();
            return Ok(runs.flat_map(|(i, n)| std::iter::repeat_n(i, *n as usize)).collect());
        }
        let rounds = counts.iter().copied().max().unwrap_or(0);
        let mut before = rounds;
        for (i, n) in counts.iter().enumerate() {
            // Round the list: who comes earlier may have one bar more, nobody may have two.
            if *n > before || *n + 1 < rounds {
                return Err(self.uneven_turns(counts, i));
            }
            before = *n;
        }
        let turn = |round: u32| counts.iter().enumerate().filter(move |(_, n)| round < **n).map(|(i, _)| i);
        Ok((0..rounds).flat_map(turn).collect())
    }

    /// The bars of an item as they lie: turned, flipped, end for end.
    fn lay<S: Sink>(&self, cx: &mut Cx<S>, lot: Lot, item: &Item, lowest: bool) -> Lot {
        let mut lot = lot;
        if item.turned {
            let before = lot.bar;
            crate::forge::verbs::turn::quarter(cx, &mut lot.bar);
            if lowest {
                cx.resized(self.to, Cause::Turned, &before, &lot.bar);
            }
        }
        if item.flipped {
            lot.bar.node = cx.makeup.flip(lot.bar.node, lot.bar.sizes());
        }
        if item.mirrored {
            lot.bar.node = cx.makeup.mirror(lot.bar.node, lot.bar.sizes());
        }
        lot
    }

    fn leave_rest<S: Sink>(&self, cx: &mut Cx<S>, lots: &[Lot], counts: &[u32]) {
        for (t, (take, lot)) in self.takes.iter().zip(lots).enumerate() {
            let Some(rest) = take.rest else { continue };
            let used: u32 = self.items.iter().zip(counts).filter(|(i, _)| i.take == t).map(|(_, n)| *n).sum();
            cx.book.origin(rest, take.from);
            cx.lots[rest] = Some(Lot { count: lot.count - used, ..*lot });
        }
    }

    /// Rounds in a hexagon, tied: what is void between them closes in the first weld.
    fn bundle<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        rods: &[(Bar, PartName)],
        words: Span,
        whole: PartName,
    ) -> Outcome<Bar> {
        let Some(side) = hexagon_of(rods.len()).filter(|side| *side <= MOST_SIDE) else {
            return Err(Code::BundleHow
                .says("so many rods are no hexagon")
                .at(words, format!("{} here", show_count(rods.len() as u64, "rod")))
                .stops("a bundle has 7 rods, 19, 37, 61 or 91: `stack … = 19 of rod in bundle`"));
        };
        let Some((first, _)) = rods.first().copied() else { bug!("a bundle of no rods") };
        if let Some((odd, _)) = rods.iter().find(|(rod, _)| rod.section != Section::Round) {
            let (thick, wide) = (cx.mm(odd.thick), cx.mm(odd.wide));
            return Err(Code::BundleHow
                .says("only rounds lie in a bundle, each between its neighbours")
                .at(words, format!("a bar {thick} on {wide} lies here"))
                .stops("draw them round first: `draw rod to 8 mm round`; flat bars lie on each other, side by side, or in a can"));
        }
        let rows = hexagon(side, first.calliper_thick());
        let [tall, wide] = outline(&rows);
        let packing =
            Packing { bars: rods, rows: &rows, inside: [tall, wide], between: None, whole, long: first.long };
        let fill = packing.metal() / (tall * wide);
        let mut bar = packing.close(cx, [tall, wide].map(|mm| mm * fill.sqrt()), self.site)?;
        let shown = || {
            let (rods, void) = (rods.len(), crate::quantity::trim_number(100.0 * (1.0 - fill), 0));
            format!(
                "the box around the rods, {void} % of it void for {rods}, closes evenly in section before it is pressed; each rod is drawn as a square as large"
            )
        };
        cx.book.assume("a bundle of rounds", shown, "geometry");
        (bar.thick, bar.wide, bar.fill) = (tall, wide, fill);
        bar.packed = Some(Packed { walls: None, off: None });
        Ok(bar)
    }

    fn warn_tall<S: Sink>(&self, cx: &mut Cx<S>, bar: &Bar, axis: Axis) {
        if axis != Axis::Thickness || bar.thick <= bar.wide {
            return;
        }
        let (tall, wide) = (cx.mm(bar.thick), cx.mm(bar.wide));
        cx.book.warn(|| {
            Code::TallStack
                .says("this stack is taller than wide, and tips under the hammer")
                .at(self.site, format!("{tall} tall on {wide}"))
                .help("common practice keeps a stack lower than it is wide: fewer bars, or wider ones")
        });
    }

    fn too_few<S: Sink>(&self, cx: &Cx<S>, take: &Take, item: &Item, has: u32) -> Fault {
        let has = show_count(u64::from(has), "bar");
        Code::TooFewBars
            .says(format!("there are not so many bars of `{}`", take.name))
            .at(item.span, "more than are left for it")
            .and(cx.made(take.from), format!("{has} in all"))
            .stops(format!("take fewer, or make more of `{}`", take.name))
    }

    fn uneven_shares<S: Sink>(&self, cx: &Cx<S>, take: &Take, t: usize, left: u32, open: u32) -> Fault {
        let mut spans = self.items.iter().filter(|i| i.take == t && i.count.is_none()).map(|i| i.span);
        let last = spans.next_back().unwrap_or(self.site);
        let bars = show_count(u64::from(left), "bar");
        let name = &take.name;
        let (message, text) = if left < open {
            (
                format!("there are too few bars of `{name}` for its places"),
                format!("{bars} for {open} places"),
            )
        } else {
            (format!("`{name}` does not divide evenly"), format!("{bars} for {open} places of this name"))
        };
        Diagnostic::new(Code::UnevenShares, message, last, text)
            .and(cx.made(take.from), "they come from here")
            .stops(format!(
                "make it {} bars, or say how many lie at each place, as in `2 of {name}`",
                left.div_ceil(open).max(1) * open
            ))
    }

    fn uneven_turns(&self, counts: &[u32], at: usize) -> Fault {
        let span = |i: usize| self.items.get(i).map_or(self.site, |item| item.span);
        let name =
            |i: usize| self.items.get(i).and_then(|i| self.takes.get(i.take)).map_or("", |t| t.name.as_str());
        let n = |i: usize| counts.get(i).copied().unwrap_or(0);
        // Held against the neighbour before it, or the longest where it is the first.
        let other = if at > 0 { at - 1 } else { counts.iter().position(|c| *c > n(at)).unwrap_or(0) };
        let (mine, theirs) = (show_count(u64::from(n(at)), "bar"), show_count(u64::from(n(other)), "bar"));
        let (name_it, most, least) = (name(at), n(other), n(other).saturating_sub(1).max(1));
        let fits = if n(at) > most {
            format!("put `{name_it}` first, or give it {most} or {least} bars")
        } else {
            format!("give `{name_it}` {most} or {least} bars")
        };
        Code::UnevenAlternate
            .says(format!("`{}` and `{}` do not go by turns", name(other), name(at)))
            .at(span(at), mine)
            .and(span(other), theirs)
            .stops(format!("by turns, an earlier name may have one bar more and no other: {fits}"))
    }
}
