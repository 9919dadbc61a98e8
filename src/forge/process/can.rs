//! A can that bars are stacked in, powder between them: what it holds, what it is made of, and how it comes off.

use crate::piece::{Axis, Bar, Cause, Lot, LotId, Packed, PartName, Section, SteelId};
use crate::quantity::{Kind, Length, Q, Ratio, show_count};
use crate::source::{Code, Span};

use crate::forge::process::bars::pile;
use crate::forge::process::packing::{Between, Crowded, Packing, pack};
use crate::forge::words::args::{Arg, Bought};
use crate::forge::{Bag, Clause, Cx, Fault, Key, Outcome, Sink};

/// How tight powder lies where nobody says: between the loosest and the tightest that balls alike lie at random, .555 (Onoda and Liniger 1990)
/// and .64 (Scott and Kilgour 1969), both from memory.
const PACKED: f64 = 0.60;
/// Looser than this balls alike do not lie at random (Onoda and Liniger 1990, from memory).
const LOOSE: f64 = 0.55;
/// Chromium from which on a steel is called stainless, % (EN 10088-1).
const STAINLESS: f64 = 10.5;
/// A can that is longer than what lies in it by no more than this is as long, mm (as bars that are trimmed unasked).
const AS_LONG: f64 = 1.0;

/// A can.
#[derive(Debug)]
pub struct Can {
    /// The words that say so.
    pub span: Span,
    sizes: Vec<Q<Length>>,
    wall: Q<Length>,
    steel: SteelId,
    told: bool,
    tube: Store,
    powder: Option<Powder>,
    off: Option<Cause>,
    /// The name that goes by all that lies in it.
    whole: PartName,
}

#[derive(Debug)]
struct Powder {
    steel: SteelId,
    packed: Option<Q<Ratio>>,
    store: Store,
}

/// What is taken from the store for it, by its lot and the name of its part.
#[derive(Clone, Copy, Debug)]
struct Store {
    lot: LotId,
    part: PartName,
    density: f64,
}

fn steel_in(clause: &Clause) -> Option<SteelId> {
    clause.args.iter().find_map(|arg| if let Arg::Steel(steel) = arg { Some(*steel) } else { None })
}

impl Can {
    /// Takes the clauses of a can, where there is one.
    pub fn bind(bag: &mut Bag) -> Option<Can> {
        let can = bag.take(Key::InCan);
        let (wall, powder) = (bag.take(Key::Wall), bag.take(Key::Powder));
        let (packed, off) = (bag.take(Key::Packed), bag.take(Key::CanOff));
        let can = can?;
        let dims =
            can.args.iter().find_map(|arg| if let Arg::Dims(slots, _) = arg { Some(slots) } else { None });
        let sizes: Vec<_> =
            dims?.iter().map(|slot| bag.typed::<Length>(*slot, "a size of the can")).collect();
        let sizes: Vec<Q<Length>> = sizes.into_iter().collect::<Option<_>>()?;
        if !(2..=3).contains(&sizes.len()) {
            let fault = Code::CanHow.says("a can is measured thick x wide, or thick x wide x long");
            bag.fault(
                fault
                    .at(can.span, show_count(sizes.len() as u64, "size"))
                    .help("write it like `in can 50 x 50 mm`"),
            );
            return None;
        }
        let Some(wall) = wall else {
            let message = "this does not say how thick the can's wall is";
            bag.unsaid(Code::CanHow, message, "its wall is not told", "write `wall 3 mm` behind it");
            return None;
        };
        let own = steel_in(&wall);
        let told = own.is_some();
        let steel = own.or_else(|| bag.scope.mild())?;
        let wall = bag.figure(&wall, "wall")?;
        if let (Some(packed), None) = (&packed, &powder) {
            let fault = Code::CanHow.says("nothing is packed where there is no powder");
            bag.fault(
                fault.at(packed.span, "of what").help("write `powder of 1084` before it, or leave it out"),
            );
            return None;
        }
        let packed = packed.and_then(|clause| bag.figure::<Ratio>(&clause, "packed"));
        let off = off.map(|clause| if clause.says("peeled") { Cause::Peeled } else { Cause::Ground });
        let name = bag.name.clone();
        let mut store = |what: &str, bought, steel| {
            let name = format!("{}-{what}", name.text);
            let (density, part) = (bag.scope.density(steel), bag.scope.part(&name));
            Store { lot: bag.scope.bring(name, bought), part, density }
        };
        let tube = store("can", Bought::Tube, steel);
        let powder = powder.as_ref().and_then(|clause| {
            let steel = steel_in(clause)?;
            Some(Powder { steel, packed, store: store("powder", Bought::Powder, steel) })
        });
        let whole = bag.scope.part(&name.text);
        Some(Can { span: can.span, sizes, wall, steel, told, tube, powder, off, whole })
    }

    /// Fills it: the bars of some rows, and powder round them. What is taken from the store for it is put there.
    ///
    /// # Errors
    /// `can_how`: what is asked does not go. More layers than can be counted.
    pub fn fill<S: Sink>(&self, cx: &mut Cx<S>, bars: &[(Bar, PartName)], site: Span) -> Outcome<Bar> {
        let [thick, wide] = self.outside(cx)?;
        let wall = self.wall(cx, thick.min(wide))?;
        let inside = [thick - 2.0 * wall, wide - 2.0 * wall];
        let long = self.long(cx, bars)?;
        let outlines: Vec<Bar> = bars.iter().map(|(bar, _)| *bar).collect();
        let rows = pack(&outlines, inside).map_err(|crowded| self.crowded(cx, &outlines, crowded, inside))?;
        let between = match &self.powder {
            Some(powder) => {
                let packed = self.packed(cx, powder)?;
                let node = if bars.is_empty() {
                    cx.makeup.solid(powder.steel, powder.store.density)
                } else {
                    cx.makeup.fill(powder.steel, powder.store.density)
                };
                Some(Between { node, part: powder.store.part, packed })
            }
            None => None,
        };
        let packing = Packing { bars, rows: &rows, inside, between, whole: self.whole, long };
        // The walls close with what they hold, each with the share of the metal that it is, as bands and columns do.
        let (held, [high, broad]) = (packing.metal(), inside);
        let metal = held + thick * wide - high * broad;
        let fill = metal / (thick * wide);
        let [closed_thick, closed_wide] = [thick, wide].map(|mm| mm * fill.sqrt());
        let band = metal - 2.0 * wall * wide;
        let walls = [wall * wide / metal, wall * high / band];
        let [t, w] = walls;
        let [high, broad] = [closed_thick * (1.0 - 2.0 * t), closed_wide * (1.0 - 2.0 * w)];
        let inner = packing.close(cx, [high, broad], site)?;
        let node = cx.makeup.fill(self.steel, self.tube.density);
        let side = Bar::plain([high, closed_wide * w, long], Section::Flat, node);
        let tube = self.tube.part;
        let walled = [(&side, tube), (&inner, self.whole), (&side, tube)];
        let row = pile(cx, Axis::Width, walled.into_iter(), site)?;
        let face = Bar { thick: closed_thick * t, wide: closed_wide, ..side };
        let walled = [(&face, tube), (&row, self.whole), (&face, tube)];
        let mut bar = pile(cx, Axis::Thickness, walled.into_iter(), site)?;
        (bar.thick, bar.wide, bar.fill) = (thick, wide, fill);
        bar.packed = Some(Packed { walls: Some(walls), off: self.off });
        self.bring(cx, [thick, wide, long], [metal - held, held - area(bars)]);
        self.tell(cx, [closed_thick, closed_wide], site);
        Ok(bar)
    }

    /// What of it comes from the store: the tube, and the powder.
    fn bring<S: Sink>(&self, cx: &mut Cx<S>, sizes: [f64; 3], [tube, powder]: [f64; 2]) {
        let [thick, wide, long] = sizes;
        let mut laid = |store: &Store, steel, metal: f64| {
            let node = cx.makeup.solid(steel, store.density);
            let mut bar = Bar::plain(sizes, Section::Flat, node);
            bar.fill = metal / (thick * wide);
            bar.mass = metal * long * store.density;
            cx.lots[store.lot] = Some(Lot { bar, count: 1 });
        };
        laid(&self.tube, self.steel, tube);
        if let Some(own) = &self.powder {
            laid(&own.store, own.steel, powder.max(0.0));
        }
    }
}

fn area(bars: &[(Bar, PartName)]) -> f64 {
    bars.iter().map(|(bar, _)| bar.thick * bar.wide).sum()
}

impl Can {
    /// Its thickness and width outside, mm.
    fn outside<S: Sink>(&self, cx: &Cx<S>) -> Outcome<[f64; 2]> {
        let size = |q: Option<&Q<Length>>| {
            let Some(q) = q else { bug!("a can without its sizes") };
            let help = "a can is measured outside, thick x wide: `in can 50 x 50 mm`";
            cx.above_nothing(*q, cx.span(*q), "a can must be larger than nothing", help)
        };
        Ok([size(self.sizes.first())?, size(self.sizes.get(1))?])
    }

    /// Its wall, mm, of a can whose smaller side is so wide.
    fn wall<S: Sink>(&self, cx: &Cx<S>, side: f64) -> Outcome<f64> {
        let help = "tubes for cans have walls of 2 mm to 5 mm, by common practice: `wall 3 mm`";
        let wall = cx.above_nothing(self.wall, cx.span(self.wall), "a can has a wall", help)?;
        if 2.0 * wall < side * (1.0 - 1e-6) {
            return Ok(wall);
        }
        let (shown, side, half) = (cx.mm(wall), cx.mm(side), cx.mm_within(side / 2.0));
        Err(Code::CanHow
            .says("walls so thick leave no room in the can")
            .at(cx.span(self.wall), format!("twice {shown}"))
            .and(self.span, format!("{side} on its smaller side"))
            .stops(format!("the wall must be well under {half}: `wall 3 mm` is common practice")))
    }

    /// How long it is, mm: as long as what lies in it.
    fn long<S: Sink>(&self, cx: &Cx<S>, bars: &[(Bar, PartName)]) -> Outcome<f64> {
        let told = match self.sizes.get(2) {
            Some(q) => {
                let help = "a can is measured thick x wide x long: `in can 50 x 50 x 150 mm`";
                Some((*q, cx.above_nothing(*q, cx.span(*q), "a can must be larger than nothing", help)?))
            }
            None => None,
        };
        match (bars.first(), told) {
            (None, Some((_, long))) => Ok(long),
            (Some((bar, _)), None) => Ok(bar.long),
            (Some((bar, _)), Some((q, long))) if (long - bar.long).abs() > AS_LONG => {
                let (long, has) = (cx.mm(long), cx.mm(bar.long));
                Err(Code::CanHow
                    .says("what lies in a can is as long as the can")
                    .at(cx.span(q), format!("{long} long; its bars are {has}"))
                    .stops(
                        "cut bars and can alike, and leave the can's length out: it follows from its bars",
                    ))
            }
            (Some((bar, _)), Some(_)) => Ok(bar.long),
            (None, None) => Err(Code::CanHow
                .says("this does not say how long the can is")
                .at(self.span, "no bars lie in it that it could be as long as")
                .stops("write it thick x wide x long: `in can 50 x 50 x 150 mm`")),
        }
    }

    /// How tight the powder lies, 0 to 1.
    fn packed<S: Sink>(&self, cx: &mut Cx<S>, powder: &Powder) -> Outcome<f64> {
        let source = "from memory: balls alike lie at random between 55.5 % and 64 %";
        let packed = cx.get_or(powder.packed, "packing of powder", PACKED, source);
        let Some(q) = powder.packed else { return Ok(packed) };
        let shown = cx.shown(packed, Kind::RATIO);
        if !(packed > 0.0 && packed <= 1.0) {
            return Err(Code::CanHow
                .says("powder fills more than nothing of its room, and no more than all of it")
                .at(cx.span(q), shown)
                .stops("powder that is tapped down fills about 60 %: weigh a can full of it, against a can full of water times 7.85 for steel"));
        }
        if packed < LOOSE {
            let words = cx.span(q);
            cx.book.warn(|| {
                Code::CanDoubt
                    .says("powder so loose may not close")
                    .at(words, format!("{shown}; balls alike lie at 55.5 % at the loosest (Onoda and Liniger 1990, from memory)"))
                    .help("tap the can while it is filled, and press it lightly in the first heat; or let mesh sizes mix")
            });
        }
        Ok(packed)
    }

    fn crowded<S: Sink>(&self, cx: &Cx<S>, bars: &[Bar], crowded: Crowded, inside: [f64; 2]) -> Fault {
        let [high, broad] = inside.map(|mm| cx.mm(mm));
        let room = format!("{high} x {broad} inside");
        let fault =
            |message: &str, text: String| Code::CanHow.says(message).at(self.span, format!("{room}; {text}"));
        match crowded {
            Crowded::Large(at) => {
                let Some(bar) = bars.get(at) else { bug!("bar {at} of {}", bars.len()) };
                let [tall, wide] = [bar.calliper_thick(), bar.calliper_wide()].map(|mm| cx.mm(mm));
                let text = if bar.section == Section::Round {
                    format!("a round of {tall} goes in here")
                } else {
                    format!("a bar of {tall} x {wide} goes in here")
                };
                fault("a bar is larger than the can inside", text)
                    .stops("take a larger can, or draw the bar down first; a flat bar can lie `turned`")
            }
            Crowded::Rounds(holds) => {
                let text = format!("{} here", show_count(bars.len() as u64, "rod"));
                let help = match holds {
                    0 => "take a larger can, or draw the rods down first".to_owned(),
                    _ => format!(
                        "{} lie in it in rows, nested or above each other: take so many, or a larger can; other ways to lay them were not tried",
                        show_count(holds as u64, "such rod")
                    ),
                };
                fault("more rods than go into the can", text).stops(help)
            }
            Crowded::Rows(tall) => {
                let text = format!("row by row the bars come to {}", cx.mm(tall));
                fault("the bars do not go into the can in this order", text)
                    .stops("take a larger can, or lay them in another order: each row is filled from left to right; other ways were not tried")
            }
        }
    }

    /// Lists what nobody said, and warns of a can that will not take.
    fn tell<S: Sink>(&self, cx: &mut Cx<S>, closed: [f64; 2], site: Span) {
        if !S::KEEPS {
            return;
        }
        let [thick, wide] = closed.map(|mm| cx.mm(mm));
        let shown = || {
            format!(
                "they close evenly in section, here to {thick} x {wide}, before it is pressed; its lids go with the ends"
            )
        };
        cx.book.assume("voids of a can", shown, "geometry; how a first heat closes them is left out");
        let grade = &cx.ground.steels[self.steel];
        if !self.told {
            cx.book.assume("steel of a can", || grade.name.clone(), "common practice: tube of mild steel");
        }
        if self.off.is_some() {
            return;
        }
        cx.book.assume(
            "what becomes of a can",
            || "it stays on the bar".to_owned(),
            "`ground off` or `peeled` takes it off behind its first weld",
        );
        let chromium = grade.composition.cr;
        if chromium >= STAINLESS {
            let text =
                format!("{} has {} % of chromium", grade.name, crate::quantity::trim_number(chromium, 0));
            cx.book.warn(|| {
                Code::CanDoubt
                    .says("a can of stainless hardly welds to what lies in it")
                    .at(self.span, text)
                    .and(site, "it stays on this piece")
                    .help("write `peeled` behind it where it is to come off (common practice: stainless, or painted inside with white oxide, peels), or take a can of mild steel")
            });
        }
    }
}

/// Closes the voids of what is packed, evenly in section; the length stays. Gives what it was packed in.
pub fn close<S: Sink>(cx: &mut Cx<S>, to: LotId, bar: &mut Bar) -> Option<Packed> {
    let packed = bar.packed.take()?;
    let before = *bar;
    bar.thick *= before.fill.sqrt();
    bar.wide *= before.fill.sqrt();
    bar.fill = 1.0;
    cx.resized(to, Cause::Pressed, &before, bar);
    Some(packed)
}
