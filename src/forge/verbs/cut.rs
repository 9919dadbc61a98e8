//! `cut`: divides a bar along its length. The saw takes its kerf, what is cropped goes to the rack.

use smallvec::SmallVec;

use crate::piece::{Axis, Bar, Cause, Lot, LotId, Measure};
use crate::quantity::{Count, Length, Q};
use crate::source::{Code, Diagnostic, Span};

use crate::forge::cx::count_of;
use crate::forge::process::ends;
use crate::forge::process::shaping::weighed;
use crate::forge::process::solid::segment;
use crate::forge::words::args::{Blades, Hazard};
use crate::forge::words::sizes::{Size, Sizes};
use crate::forge::{Bag, Clause, Cx, Fault, Key, Moved, Outcome, Sink, Verb, Word, Work};

/// Kerf where nobody says, mm (project figure: a metal bandsaw takes 1.6 to 2.4 by common practice).
const KERF: f64 = 2.0;
/// The most pieces of one cut.
const MOST: u32 = 10_000;

/// What a cut gives; one piece stands for all where they are alike.
type Pieces = SmallVec<[Bar; 1]>;

/// A cut.
#[derive(Debug)]
pub struct Cut {
    from: LotId,
    site: Span,
    way: Way,
    kerf: Option<Q<Length>>,
}

#[derive(Debug)]
enum Way {
    /// Equal pieces under the same name.
    Into { to: LotId, count: Q<Count> },
    /// Equal pieces, each with its name.
    Named(Vec<LotId>),
    /// The first piece to measure, the rest behind the saw.
    Place { at: Q<Length>, front: LotId, rest: LotId },
    /// The heel end to length, the rest to the rack.
    Long { to: LotId, size: Size, rack: LotId },
    /// A crop at one or both ends.
    Off { to: LotId, by: Q<Length>, heel: bool, tip: bool, rack: LotId },
}

impl Verb for Cut {
    const WORD: Word = Word {
        word: "cut",
        said: &["saw", "crop", "trim"],
        doc: "saws a bar into pieces, to length, or crops its ends",
        clauses: &[&[Key::Into, Key::At, Key::Size, Key::Off, Key::Kerf, Key::Keep]],
        example: "cut billet into 4",
        hazards: &[Hazard::Saw],
        blades: Blades::Some(&["to length", "off the tip end"]),
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let kerf = bag.opt(Key::Kerf);
        let (into, at, off, keep) =
            (bag.take(Key::Into), bag.take(Key::At), bag.take(Key::Off), bag.take(Key::Keep));
        let sizes = Sizes::bind(bag);
        let name = bag.name.clone();
        let from = bag.scope.take(&name);
        let ways = [into.is_some() || at.is_some(), off.is_some(), sizes.span.is_some()];
        if ways.iter().filter(|w| **w).count() != 1 {
            bag.fault(unclear(bag, &ways));
            return None;
        }
        if let (Some(keep), false, None) = (&keep, off.is_some(), sizes.span) {
            let fault = Code::NothingToKeep.says("no offcut is left over here");
            let help = "`keep` goes with `to … long` and with `… off each end`";
            bag.fault(fault.at(keep.span, "this names one").help(help));
        }
        let keep = keep.and_then(|k| k.names().next().cloned());
        let way = if let Some(into) = into {
            divide(bag, &into, at.as_ref())
        } else if let Some(at) = at {
            let fault =
                Code::CutNoNames.says("the two pieces have no names").at(at.span, "cut here into what");
            let behind = Span { start: at.span.end, end: at.span.end };
            let help = "name both: write `into front, rest` behind it, or other names";
            bag.fault(fault.help(help).fix(behind, " into front, rest"));
            None
        } else if let Some(off) = off {
            let by = bag.figure(&off, "off");
            let (each, heel) = (off.says("each"), off.says("heel"));
            let rack = bag.scope.rack(keep.as_ref(), &name);
            let to = bag.scope.give(&name)?;
            by.zip(rack).map(|(by, rack)| Way::Off { to, by, heel: each || heel, tip: each || !heel, rack })
        } else {
            to_length(bag, &sizes, keep.as_ref())
        };
        Some(Cut { from: from?, site: bag.site, way: way?, kerf })
    }

    fn moved(&self, [thick, wide, _]: Moved) -> Moved {
        [thick, wide, false]
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        let work = Work { from: self.from, to: self.from, site: self.site, word: &Self::WORD };
        let lot = cx.piece(work)?;
        let kerf = self.kerf(cx)?;
        if lot.bar.blade.is_some() {
            return self.blade(cx, &lot, kerf);
        }
        if lot.bar.past.rough && !matches!(self.way, Way::Long { .. } | Way::Off { .. }) {
            ends::warn(cx, self.from, self.site, "these pieces hang on its whole length");
        }
        match &self.way {
            Way::Into { to, count } => self.equal_pieces(cx, &lot, *to, *count, kerf),
            Way::Named(names) => self.named_pieces(cx, &lot, names, kerf),
            Way::Place { at, front, rest } => self.at_place(cx, &lot, *at, (*front, *rest), kerf),
            Way::Long { to, size, rack } => {
                let long = size.cold(cx)?;
                let behind = lot.bar.long - long;
                if behind < -1e-9 * long {
                    return Err(self.too_short(cx, &lot.bar, size.span, long));
                }
                self.crop(cx, &lot, (*to, *rack), [0.0, behind.max(0.0)], kerf)
            }
            Way::Off { to, by, heel, tip, rack } => {
                let d = cx.length(*by)?;
                let ends = [if *heel { d } else { 0.0 }, if *tip { d } else { 0.0 }];
                if ends.iter().sum::<f64>() >= lot.bar.long {
                    return Err(self.too_short(cx, &lot.bar, cx.span(*by), ends.iter().sum()));
                }
                self.crop(cx, &lot, (*to, *rack), ends, kerf)
            }
        }
    }
}

fn unclear(bag: &Bag, ways: &[bool]) -> Diagnostic {
    let name = &bag.name.text;
    let (message, text) = if ways.iter().any(|w| *w) {
        ("a cut is one thing at a time", "more than one is asked here")
    } else {
        ("this does not say how to cut", "into what, or to what length")
    };
    Diagnostic::new(Code::CutHow, message, bag.site, text).help(format!(
        "say it in full, as in `cut {name} into 4`, `cut {name} to 250 mm long`, `cut {name} 8 mm off each end`, or `cut {name} at 120 mm into front, rest`"
    ))
}

fn divide(bag: &mut Bag, into: &Clause, at: Option<&Clause>) -> Option<Way> {
    let names: Vec<_> = into.names().cloned().collect();
    let Some(at) = at else {
        if names.is_empty() {
            let count = bag.figure(into, "into")?;
            let name = bag.name.clone();
            return Some(Way::Into { to: bag.scope.give(&name)?, count });
        }
        return names.iter().map(|n| bag.scope.give(n)).collect::<Option<_>>().map(Way::Named);
    };
    let place = bag.figure(at, "at");
    let [front, rest] = names.as_slice() else {
        let fault = Code::CutTwoNames
            .says("a cut at one place makes two pieces")
            .at(into.span, format!("{} names stand here", names.len()));
        bag.fault(fault.help("name the exact piece first, then the rest: `into front, rest`"));
        return None;
    };
    let (front, rest) = (bag.scope.give(front), bag.scope.give(rest));
    Some(Way::Place { at: place?, front: front?, rest: rest? })
}

fn to_length(bag: &mut Bag, sizes: &Sizes, keep: Option<&crate::forge::Name>) -> Option<Way> {
    let name = bag.name.clone();
    let other = sizes.thick.or(sizes.wide).or(sizes.section.map(|s| s.1));
    if let Some(other) = other {
        let fault =
            Code::CutLength.says("a saw cuts to a length").at(other.span, "this is another direction");
        bag.fault(fault.help(format!(
            "say it in full, as in `cut {} to 250 mm long`; for thickness and width: `grind`",
            name.text
        )));
        return None;
    }
    let rack = bag.scope.rack(keep, &name)?;
    Some(Way::Long { to: bag.scope.give(&name)?, size: sizes.long?, rack })
}

impl Cut {
    fn kerf<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome<f64> {
        cx.length_or(self.kerf.or(cx.ground.shop.kerf), "kerf", KERF, "project figure")
    }

    /// Books what one of the pieces is less than the bar, and puts the piece down.
    fn put<S: Sink>(&self, cx: &mut Cx<S>, to: LotId, piece: Lot, from: &Bar, gone: &Gone) -> Outcome {
        cx.book.origin(to, self.from);
        let cause = gone.cause;
        cx.change(to, Measure::Length, Cause::Kerf, -gone.kerf_mm);
        cx.change(to, Measure::Length, cause, (piece.bar.long - from.long) + gone.kerf_mm);
        cx.change(to, Measure::Mass, Cause::Kerf, -gone.kerf_g);
        cx.change(to, Measure::Mass, cause, (piece.bar.mass - from.mass) + gone.kerf_g);
        cx.put(to, piece, self.site)
    }

    /// The equal pieces of a bar, and the swarf.
    fn equal<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        bar: &Bar,
        (n, alike): (u32, bool),
        kerf: f64,
    ) -> Outcome<(Pieces, Gone)> {
        let count = f64::from(n);
        let each = (bar.long - (count - 1.0) * kerf) / count;
        if each <= 0.0 {
            let most = ((bar.long + kerf) / kerf).ceil() - 1.0;
            let (long, saw) = (cx.mm(bar.long), cx.mm(kerf));
            return Err(Code::TooShortToCut
                .says("the saw would eat the whole bar")
                .at(self.site, format!("{n} pieces of a bar {long} long, {saw} each cut"))
                .stops(format!("at most {most} pieces leave any steel at all")));
        }
        let mut gone = Gone { kerf_mm: (count - 1.0) * kerf, kerf_g: 0.0, cause: Cause::Divided };
        let mut pieces = Pieces::new();
        for i in 0..if alike { 1 } else { n } {
            let from = f64::from(i) * (each + kerf);
            pieces.push(segment(cx, bar, from, each));
            if i + 1 < n {
                let swarf = segment(cx, bar, from + each, kerf).mass;
                gone.kerf_g += if alike { swarf * (count - 1.0) } else { swarf };
            }
        }
        Ok((pieces, gone))
    }

    fn equal_pieces<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, to: LotId, n: Q<Count>, kerf: f64) -> Outcome {
        let words = cx.span(n);
        let n = cx.whole(n, 1, MOST, "the number of pieces")?;
        // Bars that are the same along their length make pieces alike: one stands for all, in pictures too.
        let alike = !cx.makeup.varies(lot.bar.node, Axis::Length);
        let (pieces, gone) = self.equal(cx, &lot.bar, (n, alike), kerf)?;
        let [piece] = pieces.as_slice() else {
            if n == 1 {
                return self.put(cx, to, *lot, &lot.bar, &gone);
            }
            return Err(Code::UnlikePieces
                .says("this bar is not the same along its length, so its pieces are not alike")
                .at(words, "one name cannot stand for unlike pieces")
                .stops("name them, heel end first: `into low, mid, tip`"));
        };
        let Some(count) = lot.count.checked_mul(n).filter(|c| *c <= MOST) else {
            let message = format!("no cut makes more than {MOST} pieces");
            let help = "look for a count with too many noughts";
            return Err(Diagnostic::new(Code::TooManyBars, message, words, "too many").stops(help));
        };
        cx.book.loss(Cause::Kerf, gone.kerf_g * f64::from(lot.count));
        self.put(cx, to, Lot { bar: *piece, count }, &lot.bar, &gone)
    }

    fn named_pieces<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, names: &[LotId], kerf: f64) -> Outcome {
        let n = count_of(names.len());
        let alike = !cx.makeup.placed(lot.bar.node, Axis::Length);
        let (pieces, gone) = self.equal(cx, &lot.bar, (n, alike), kerf)?;
        cx.book.loss(Cause::Kerf, gone.kerf_g * f64::from(lot.count));
        for (i, to) in names.iter().enumerate() {
            let Some(piece) = pieces.get(i).or(pieces.first()) else { bug!("a cut made no piece") };
            self.put(cx, *to, Lot { bar: *piece, ..*lot }, &lot.bar, &gone)?;
        }
        Ok(())
    }

    fn at_place<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        lot: &Lot,
        at: Q<Length>,
        (front, rest): (LotId, LotId),
        kerf: f64,
    ) -> Outcome {
        let (d, words) = (cx.length(at)?, cx.span(at));
        let bar = lot.bar;
        let left = bar.long - d - kerf;
        if left <= 0.0 || d <= 0.0 {
            return Err(self.too_short(cx, &bar, words, d + kerf));
        }
        let first = segment(cx, &bar, 0.0, d);
        let behind = segment(cx, &bar, d + kerf, left);
        let swarf = segment(cx, &bar, d, kerf).mass;
        cx.book.loss(Cause::Kerf, swarf * f64::from(lot.count));
        let gone = |kerf_mm, kerf_g| Gone { kerf_mm, kerf_g, cause: Cause::Divided };
        self.put(cx, front, Lot { bar: first, ..*lot }, &bar, &gone(0.0, 0.0))?;
        self.put(cx, rest, Lot { bar: behind, ..*lot }, &bar, &gone(kerf, swarf))
    }

    /// Crops so much at the heel and at the tip; each crop is kerf first, and what is over goes to the rack.
    fn crop<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        lot: &Lot,
        (to, rack): (LotId, LotId),
        [heel, tip]: [f64; 2],
        kerf: f64,
    ) -> Outcome {
        let bar = lot.bar;
        let mut stays = segment(cx, &bar, heel, bar.long - heel - tip);
        stays.past.rough &= heel <= 0.0 && tip <= 0.0;
        let mut gone = Gone { kerf_mm: 0.0, kerf_g: 0.0, cause: Cause::Offcut };
        let mut crops: SmallVec<[Bar; 2]> = SmallVec::new();
        // The saw runs on the side of the crop.
        for (off, cut_at, start) in
            [(heel, heel - heel.min(kerf), 0.0), (tip, bar.long - tip, bar.long - tip + tip.min(kerf))]
        {
            if off <= 0.0 {
                continue;
            }
            let saw = off.min(kerf);
            gone.kerf_mm += saw;
            if S::KEEPS {
                gone.kerf_g += segment(cx, &bar, cut_at, saw).mass;
            }
            if off > kerf {
                crops.push(segment(cx, &bar, start, off - kerf));
            }
        }
        cx.book.loss(Cause::Kerf, gone.kerf_g * f64::from(lot.count));
        self.put(cx, to, Lot { bar: stays, ..*lot }, &bar, &gone)?;
        self.shelve(cx, lot, rack, &crops)
    }

    fn shelve<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, rack: LotId, crops: &[Bar]) -> Outcome {
        cx.book.origin(rack, self.from);
        let Some(first) = crops.first() else {
            cx.put_none(rack, *lot);
            return Ok(());
        };
        let unlike = crops.iter().any(|c| c.node != first.node && c.mass.to_bits() != first.mass.to_bits());
        if unlike {
            return Err(Code::UnlikePieces
                .says("this bar is not the same along its length, so its two crops are not alike")
                .at(self.site, "one offcut cannot stand for both")
                .stops("crop one end at a time: `off the heel end`, then `off the tip end`"));
        }
        let count = lot.count.saturating_mul(count_of(crops.len()));
        let gone = Gone { kerf_mm: 0.0, kerf_g: 0.0, cause: Cause::Divided };
        self.put(cx, rack, Lot { bar: *first, count }, &lot.bar, &gone)
    }

    /// Crops a shaped blade at its tip.
    fn blade<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, kerf: f64) -> Outcome {
        let (to, rack, off, words) = match &self.way {
            Way::Long { to, size, rack } => {
                let long = size.cold(cx)?;
                if long > lot.bar.long * (1.0 + 1e-9) {
                    return Err(self.too_short(cx, &lot.bar, size.span, long));
                }
                (*to, *rack, lot.bar.long - long, size.span)
            }
            Way::Off { to, by, heel: false, tip: true, rack } => (*to, *rack, cx.length(*by)?, cx.span(*by)),
            Way::Off { .. } | Way::Into { .. } | Way::Named(_) | Way::Place { .. } => {
                return Err(self.not_tip(cx));
            }
        };
        if off >= lot.bar.long {
            return Err(self.too_short(cx, &lot.bar, words, off));
        }
        let whole = cx.makeup.shape(&lot.bar).into_owned();
        let tip = whole.tip();
        let part = |from: f64, to: f64| {
            let mut part = whole.clone();
            part.keep(from, to);
            part
        };
        let mut piece = *lot;
        let kept = part(whole.start(), tip - off);
        let light = lot.bar.past.light;
        let gone = cx.makeup.ground_off(lot.bar.node, &whole, &kept) * light;
        let saw = off.min(kerf);
        let with_saw = part(whole.start(), tip - off + saw);
        let swarf =
            if off > saw { cx.makeup.ground_off(lot.bar.node, &with_saw, &kept) * light } else { gone };
        cx.book.origin(to, self.from);
        cx.change(to, Measure::Mass, Cause::Kerf, -swarf);
        cx.change(to, Measure::Mass, Cause::Offcut, -(gone - swarf));
        cx.book.loss(Cause::Kerf, swarf * f64::from(lot.count));
        weighed(cx, to, &mut piece, kept, (lot.bar.mass - gone, Cause::Offcut));
        cx.put(to, piece, self.site)?;
        cx.book.origin(rack, self.from);
        if off <= kerf {
            cx.put_none(rack, *lot);
            return Ok(());
        }
        let mut crop = part(tip - off + saw, tip);
        crop.rest_heel();
        let mut rest = *lot;
        cx.change(rack, Measure::Mass, Cause::Divided, (gone - swarf) - lot.bar.mass);
        weighed(cx, rack, &mut rest, crop, (gone - swarf, Cause::Divided));
        cx.put(rack, rest, self.site)
    }

    fn not_tip<S: Sink>(&self, cx: &Cx<S>) -> Fault {
        let name = cx.ground.lot_name(self.from);
        let message = format!("`{name}` is a blade by now, and a saw only takes its tip end");
        Diagnostic::new(Code::Shaped, message, self.site, "this cuts elsewhere")
                .and(cx.made(self.from), "it comes out of this step shaped")
                .help(format!(
                    "a blade is cut as in `cut {name} 10 mm off the tip end` or `cut {name} to 200 mm long`; a tang is cropped by `tang`, and a bar before it is shaped"
                )).into()
    }

    fn too_short<S: Sink>(&self, cx: &Cx<S>, bar: &Bar, words: Span, asked: f64) -> Fault {
        let (asked, has) = (cx.mm(asked), cx.mm(bar.long));
        let name = cx.ground.lot_name(self.from);
        Code::TooShortToCut
            .says(format!("`{name}` is not long enough for this cut"))
            .at(words, format!("this needs {asked}; it is {has} long"))
            .and(cx.made(self.from), format!("it comes out of this step {has} long"))
            .stops("cut less, or draw it longer first")
    }
}

/// What a piece is less than the bar that it was cut from.
struct Gone {
    kerf_mm: f64,
    kerf_g: f64,
    cause: Cause,
}
