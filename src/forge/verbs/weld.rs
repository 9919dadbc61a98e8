//! `weld`: makes one solid piece of a loose stack, or sets a solid piece once more.

use crate::piece::{Axis, Cause, Lot, Packed, Section};
use crate::quantity::{Kind, Q, Ratio};
use crate::source::{Code, Span};
use crate::steel::laws::bonding::LEAST_REDUCTION;

use crate::forge::process::can;
use crate::forge::process::fire::{Heating, least_c};
use crate::forge::process::press::{Aim, Pressed, Way};
use crate::forge::process::pressing::{Pressing, no_bigger};
use crate::forge::process::solid::take_off;
use crate::forge::words::args::Hazard;
use crate::forge::words::sizes::{Size, Sizes};
use crate::forge::words::tool::{Bites, Tool};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// Heats of a weld where nothing is said (metal.md).
const HEATS: u32 = 3;
/// How much a weld is pressed where nothing is said (common practice).
const THINNING: f64 = 0.10;
/// Chromium from which on a weld is kept from the air, % (project figure: such oxide does not fuse under borax).
const OPEN_CHROMIUM: f64 = 5.0;
/// A weld.
pub struct Weld {
    clauses: WeldClauses,
}

/// The clauses of a weld: `join` takes the same.
#[derive(Debug)]
pub struct WeldClauses {
    heating: Heating,
    tool: Tool,
    thinning: Option<Q<Ratio>>,
    to: Sizes,
    /// The words that say it is fluxed.
    flux: Option<Span>,
    /// No chromium's oxide stays between the bars: no air comes to them, or the flux takes it.
    clean: bool,
}

/// The clauses that a weld takes: how far it is pressed, and how.
pub const PRESSED: &[Key] = &[Key::At, Key::Thinning, Key::Size];
/// The rest of them.
pub const WELDING: &[Key] = &[
    Key::Heats,
    Key::Soak,
    Key::Flux,
    Key::Fluoride,
    Key::Dry,
    Key::Sealed,
    Key::For,
    Key::With,
    Key::Bite,
    Key::Spread,
];

impl Works for Weld {
    const WORD: Word = Word {
        word: "weld",
        doc: "welds a loose stack to one solid piece, or sets a solid piece again",
        clauses: &[PRESSED, WELDING],
        example: "weld billet at 1230 C, thinning 15 %, heats 3",
        hazards: &[Hazard::Fire, Hazard::Weld, Hazard::Press],
        loose: true,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let clauses = WeldClauses::bind(bag);
        Some(Weld { clauses })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.lot(work.from, work.site)?;
        cx.plain(&lot, work)?;
        // A row of tiles is pressed flat, not end to end.
        let along = lot.bar.loose.filter(|along| *along == Axis::Width).unwrap_or(Axis::Thickness);
        self.clauses.press(cx, work, lot, along)
    }
}

impl WeldClauses {
    /// Takes the clauses.
    pub fn bind(bag: &mut Bag) -> WeldClauses {
        let mut heating = Heating::bind(bag);
        heating.soak = bag.opt(Key::Soak);
        let (fluoride, dry) = (bag.flag(Key::Fluoride), bag.flag(Key::Dry));
        let flux = bag.flag(Key::Flux).or(fluoride);
        let message = "a weld is fluxed or dry, not both";
        bag.clash(Code::FluxAndDry, message, (flux, "fluxed here"), (dry, "dry here"));
        heating.flux = flux.is_some();
        heating.welds = true;
        let clean = bag.flag(Key::Sealed).is_some() || fluoride.is_some();
        let thinning = bag.take(Key::Thinning);
        let to = Sizes::bind(bag);
        let message = "a weld is pressed by a share or to a size, not both";
        let by = (thinning.as_ref().map(|c| c.span), "by a share here");
        bag.clash(Code::WeldAskedTwice, message, by, (to.span, "to a size here"));
        let thinning = thinning.and_then(|c| bag.figure(&c, "thinning"));
        WeldClauses { heating, tool: Tool::bind(bag), thinning, to, flux, clean }
    }

    /// Welds a piece, pressed along an axis.
    ///
    /// # Errors
    /// The fault of the step.
    pub fn press<S: Sink>(&self, cx: &mut Cx<S>, work: Work, mut lot: Lot, along: Axis) -> Outcome {
        let packed = can::close(cx, work.to, &mut lot.bar);
        let canned = packed.is_some_and(|packed| packed.walls.is_some());
        let size = lot.bar.along(along);
        let asked = self.asked(cx, work, (size, packed.is_some()), along)?;
        let grip =
            if along == Axis::Length { self.tool.ends(cx)? } else { self.tool.across(cx, Bites::Full)? };
        let at = self.heating.temperature(cx);
        self.warn_cold(cx, work, &lot, at);
        if canned {
            self.warn_fluxed(cx, work);
        } else {
            self.warn_open(cx, work, &lot);
        }
        let way = if along == Axis::Width { Way::OnEdge } else { Way::Flat };
        let [_, wide, long] = way.order(lot.bar.sizes());
        let spread = grip.law().coefficient(wide, size, asked);
        let end = [asked, wide * (size / asked).powf(spread)];
        let mut pressing = Pressing::begin(cx, (work, lot), &self.heating, grip, way, end)?;
        let heats = match pressing.usual(cx, "heats of a weld", HEATS) {
            Some(heats) => heats,
            None => pressing.heats(cx, || ([asked, wide, long], (size / asked).ln()), HEATS),
        };
        let aim = if along == Axis::Length { Aim::Short(asked) } else { Aim::Thick(asked) };
        let pressed = pressing.press(cx, heats, aim)?;
        pressing.finish(cx, &pressed, Section::Flat)?;
        pressing.warn_skin(cx, &pressed, asked, self.words(cx, work));
        self.warn_light(cx, work, &pressed);
        if let Some(Packed { walls: Some(walls), off: Some(cause) }) = packed {
            uncan(cx, work, walls, way.order(pressed.kept), cause)?;
        }
        Ok(())
    }

    /// The size that the weld is pressed to, mm.
    fn asked<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        (size, closed): (f64, bool),
        along: Axis,
    ) -> Outcome<f64> {
        let (wanted, word) =
            along.of([(self.to.thick, "thick"), (self.to.wide, "wide"), (self.to.long, "long")]);
        if let Some(other) = self.to.beside(wanted) {
            return Err(wrong_way(cx, work, other, word));
        }
        if let Some(wanted) = wanted {
            let asked = wanted.cold(cx)?;
            if closed && asked > size {
                return Err(closes(cx, work, (asked, wanted.span), size));
            }
            let help = "a press never makes a stack thicker: ask for less, or stack more bars";
            no_bigger(cx, work, (asked, wanted.span), size, "size", help)?;
            return Ok(asked);
        }
        let thinning = match self.thinning {
            Some(q) => {
                let p = cx.get(q);
                if !(0.0..1.0).contains(&p) {
                    let shown = cx.shown(p, Kind::RATIO);
                    return Err(Code::ThinningOutOfRange
                        .says("a weld thins a stack by less than all of it, and by no less than nothing")
                        .at(cx.span(q), format!("this is {shown}"))
                        .stops("common practice is 10 % to 20 %"));
                }
                p
            }
            None => {
                cx.book.assume("thinning of a weld", || "10 %".to_owned(), "common practice");
                THINNING
            }
        };
        Ok((1.0 - (thinning + cx.habit.thinning).clamp(0.0, 0.99)) * size)
    }

    /// The words that say how far it is pressed.
    fn words<S: Sink>(&self, cx: &Cx<S>, work: Work) -> Span {
        self.to.span.or(self.thinning.map(|q| cx.span(q))).unwrap_or(work.site)
    }

    fn warn_cold<S: Sink>(&self, cx: &mut Cx<S>, work: Work, lot: &Lot, at: f64) {
        if !S::KEEPS {
            return;
        }
        let least = least_c(cx, lot);
        if let Some((grade, from)) = least.milder.filter(|(_, from)| at < *from) {
            let from = cx.shown(from, Kind::TEMPERATURE);
            let shown = format!("the forging table begins {} at {from}", grade.name);
            let source = "a weld goes by its richest steel; bands of the milder one may take late";
            cx.book.assume("heat of a weld for its milder steel", || shown, source);
        }
        if at >= least.from_c {
            return;
        }
        let words = self.heating.at.map_or(work.site, |q| cx.span(q));
        let (at, from) = (cx.shown(at, Kind::TEMPERATURE), cx.shown(least.from_c, Kind::TEMPERATURE));
        let text = match least.of {
            Some(grade) => format!("{at}; the forging table begins {} at {from}", grade.name),
            None => format!("{at}; under {from} layered steel hardly takes"),
        };
        cx.book.warn(|| {
            Code::ColdWeld
                .says("this is cold for a weld")
                .at(words, text)
                .help("plain high-carbon steels are welded at about 1150 C to 1250 C with flux (from memory)")
        });
    }

    /// Warns of a stack with chromium enough for an oxide that no borax takes, welded where air comes to it.
    fn warn_open<S: Sink>(&self, cx: &mut Cx<S>, work: Work, lot: &Lot) {
        if !S::KEEPS || self.clean || lot.bar.loose.is_none() {
            return;
        }
        let steels = &cx.ground.steels;
        let rich = cx.makeup.steels(lot.bar.node).map(|id| &steels[id]);
        let Some(grade) = rich.max_by(|a, b| a.composition.cr.total_cmp(&b.composition.cr)) else { return };
        if grade.composition.cr <= OPEN_CHROMIUM {
            return;
        }
        let (name, chromium) = (&grade.name, crate::quantity::trim_number(grade.composition.cr, 0));
        let made = cx.made(work.from);
        cx.book.warn(|| {
            Code::OpenChromium
                .says(format!("{name} hardly welds in the open"))
                .at(work.site, format!("its {chromium} % of chromium grow an oxide that borax does not take"))
                .and(made, "stacked here")
                .help("weld the edges shut and leave a vent, or use a can, and write `sealed`; or `fluoride flux` where you have such, drawn off (common practice; over 5 % is a project figure)")
        });
    }

    /// Warns of flux that comes to no joint.
    fn warn_fluxed<S: Sink>(&self, cx: &mut Cx<S>, work: Work) {
        let Some(flux) = self.flux else { return };
        let made = cx.made(work.from);
        cx.book.warn(|| {
            Code::CanDoubt
                .says("no flux gets into a can")
                .at(flux, "it only coats the can")
                .and(made, "stacked in a can here")
                .help("leave it out: what is shut in stays clean where all went in dry and bright")
        });
    }

    fn warn_light<S: Sink>(&self, cx: &mut Cx<S>, work: Work, pressed: &Pressed) {
        let share = 1.0 - 1.0 / pressed.squeezed;
        // The thinning that the house assumes is listed as such: it is not held against the recipe.
        let assumed = self.thinning.is_none() && self.to.span.is_none();
        if assumed || share >= LEAST_REDUCTION - 1e-9 {
            return;
        }
        let words = self.words(cx, work);
        let (share, least) = (cx.shown(share, Kind::RATIO), cx.shown(LEAST_REDUCTION, Kind::RATIO));
        cx.book.warn(|| {
            Code::LightWeld
                .says("this weld is hardly pressed")
                .at(words, format!("pressed by {share}, skins aside; under {least} bare steel may not meet"))
                .help(
                "ask for a few per cent more: the skins are part of the thinning (project figure, no source)",
            )
        });
    }
}

/// The fault of a weld of packed bars that is asked for more than is left once their voids are closed.
fn closes<S: Sink>(cx: &Cx<S>, work: Work, (asked, words): (f64, Span), size: f64) -> Fault {
    let name = cx.ground.lot_name(work.from);
    let (asked, closed) = (cx.mm(asked), cx.mm(size));
    Code::AlreadySmaller
        .says(format!("the voids of `{name}` close to less than the size asked"))
        .at(words, format!("asked {asked}; closed, and not pressed yet, it is {closed}"))
        .and(cx.made(work.from), "packed here")
        .stops(format!("ask for well under {}: a weld presses it further", cx.mm_within(size)))
}

/// Takes a can off what was welded in it: its walls took these shares of the piece, of which `kept` is left behind the skin.
fn uncan<S: Sink>(cx: &mut Cx<S>, work: Work, walls: [f64; 2], kept: [f64; 3], cause: Cause) -> Outcome {
    let mut lot = cx.lot(work.to, work.site)?;
    let before = lot.bar;
    let mut left = [(0.0, 1.0); 3];
    for ((left, wall), kept) in left.iter_mut().zip(walls).zip(kept) {
        // The fire may have eaten it already.
        let off = ((wall - (1.0 - kept) / 2.0) / kept).max(0.0);
        *left = (off, 1.0 - off);
    }
    take_off(cx, work.to, &mut lot, left, cause, before.volume(), before.sizes());
    cx.makeup.retell(lot.bar.node);
    let [thick, wide, _] = left.map(|(from, to)| to - from);
    (lot.bar.thick, lot.bar.wide) = (before.thick * thick, before.wide * wide);
    lot.bar.past.strip([(before.thick - lot.bar.thick) / 2.0, (before.wide - lot.bar.wide) / 2.0]);
    cx.resized(work.to, cause, &before, &lot.bar);
    cx.put(work.to, lot, work.site)
}

fn wrong_way<S: Sink>(cx: &Cx<S>, work: Work, size: Size, word: &str) -> Fault {
    Code::WeldWrongWay
        .says("a weld is pressed in the direction in which the bars lie on each other")
        .at(size.span, "this is another direction")
        .and(cx.made(work.from), "they were laid here")
        .stops(format!("ask for a size `{word}`, and `draw` or `spread` it afterwards"))
}
