//! `draw`: lengthens a bar. What is not asked for follows from constant volume and the spread law.

use crate::piece::warp::{Drag, Shear};
use crate::piece::{Axis, Bar, Cause, Lot, Section, warp};
use crate::quantity::{Count, Kind, Length, Q, halve_ratio, rounded_down, trim_number, written};
use crate::source::{Code, Diagnostic, Span};

use crate::forge::process::fire::Heating;
use crate::forge::process::grip::Law;
use crate::forge::process::press::{Aim, Pressed, Schedule, Way};
use crate::forge::process::pressing::{Pressing, no_bigger};
use crate::forge::process::skin::BurntAway;
use crate::forge::words::sizes::Sizes;
use crate::forge::words::tool::{Bites, FORGING, Tool};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// How far three sizes may be off the volume, as a fraction (metal.md: 1 %).
const AGREE: f64 = 0.01;
/// Edging in one heat, and width over thickness, from which on it is worth a warning (metal.md).
const EDGING: (f64, f64) = (0.10, 3.0);
/// A drawn bar is never thinner than this part of what it was: where the search for a length begins.
const THINNEST: f64 = 1e-5;
/// How far the middle goes before the faces, as a share of the thickness behind the step, where nobody says (project figure).
const BOW: f64 = 1.0 / 6.0;
/// Hands that are told apart by a number.
const MOST_HANDS: u32 = 1_000_000;
/// A pattern drawn out by more than this is worth a warning (project figure).
const STRETCHED: f64 = 1.2;

/// Drawing out.
pub struct Draw {
    heating: Heating,
    tool: Tool,
    to: Sizes,
    bow: Option<Bow>,
    uneven: Option<Uneven>,
}

/// How far the middle goes before the faces: where it stands, and the figure where one does.
#[derive(Clone, Copy, Debug)]
struct Bow {
    words: Span,
    far: Option<Q<Length>>,
}

/// How uneven the hand is.
#[derive(Clone, Copy, Debug)]
struct Uneven {
    words: Span,
    far: Q<Length>,
    over: Q<Length>,
    seed: Option<Q<Count>>,
}

/// The sizes asked for, cold, mm.
#[derive(Clone, Copy)]
struct Asked {
    thick: Option<f64>,
    wide: Option<f64>,
    long: Option<f64>,
    section: Section,
}

impl Works for Draw {
    const WORD: Word = Word {
        word: "draw",
        said: &["forge", "hammer", "flatten"],
        doc: "draws a bar out: longer and thinner, hardly wider",
        clauses: &[&[Key::Size], FORGING, &[Key::Bow, Key::Uneven, Key::Seed]],
        example: "draw billet to 9 mm thick, 40 mm wide, heats 5",
        forms: &[
            "draw billet to 12 mm thick",
            "draw billet to 12 mm thick, 40 mm wide",
            "draw billet to 400 mm long",
            "draw billet to 12 mm thick, 400 mm long",
            "draw billet to 12 mm square",
            "draw billet to 12 mm round",
            "draw billet to 12 mm octagon",
        ],
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        let tool = Tool::bind(bag);
        let bow = bag.take(Key::Bow);
        let bow = bow.map(|bow| Bow {
            words: bow.span,
            far: bow.slots().next().and_then(|far| bag.typed(far, "bow")),
        });
        let uneven = uneven(bag);
        if bag.faulty() {
            return None;
        }
        if let Some(fault) = unasked(&to, bag.site, &bag.name.text) {
            bag.fault(fault);
            return None;
        }
        Some(Draw { heating, tool, to, bow, uneven })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.solid(work)?;
        let site = work.site;
        let asked = self.asked(cx)?;
        let start = lot.bar.sizes();
        self.check_thinner(cx, work, &lot, asked)?;
        let grip = self.tool.across(cx, Bites::Half)?;
        self.check_spread(cx, work, grip.law(), asked)?;
        let [thick, wide] = to(start, asked, grip.law());
        let mut pressing = Pressing::begin(cx, (work, lot), &self.heating, grip, Way::Flat, [thick, wide])?;
        let law = pressing.law;
        let heats = pressing.heats(cx, || way(start, asked, law), 1);
        let pass = pressing.schedule(cx, heats);
        let pressed = match (asked.thick, asked.wide, asked.long) {
            (Some(t), None, None) => pressing.press(cx, heats, Aim::Thick(t))?,
            (Some(t), Some(w), long) => {
                let p = pressing.press(cx, heats, Aim::Both(t, w))?;
                if let Some(l) = long {
                    self.check_volume(cx, work, &p, [t, w, l])?;
                }
                self.check_width(cx, work, &p, (asked, w), &mut pressing)?;
                p
            }
            (Some(t), None, Some(l)) => self.solve_width(cx, work, pass, t, l)?,
            (None, w, Some(l)) => {
                let p = self.solve_thickness(cx, work, pass, w, l)?;
                if let Some(w) = w {
                    self.check_width(cx, work, &p, (asked, w), &mut pressing)?;
                }
                p
            }
            (None, _, None) => bug!("a draw was bound to no size"),
        };
        let lot = pressing.finish(cx, &pressed, asked.section)?;
        let words = self.to.span.unwrap_or(site);
        if let Some(thick) = asked.thick {
            pressing.warn_skin(cx, &pressed, thick, words);
        }
        self.warn_edging(cx, work, &pressed, words);
        self.warn_stretch(cx, work, start, &lot);
        let lot = match self.bow {
            Some(bow) => self.bowed(cx, work, lot, bow)?,
            None => lot,
        };
        self.uneven.map_or(Ok(()), |uneven| self.wavy(cx, work, lot, uneven))
    }
}

fn uneven(bag: &mut Bag) -> Option<Uneven> {
    let (clause, seed) = (bag.take(Key::Uneven), bag.take(Key::Seed));
    let Some(clause) = clause else {
        if let Some(seed) = seed {
            let fault = Code::UnevenHow.says("a seed tells which hand, and none is uneven here");
            bag.fault(
                fault
                    .at(seed.span, "of what")
                    .help("write `uneven 0.3 mm over 15 mm, seed 7`, or leave it out"),
            );
        }
        return None;
    };
    let mut slots = clause.slots();
    let far = slots.next().and_then(|slot| bag.typed(slot, "uneven"));
    let over = slots.next().and_then(|slot| bag.typed(slot, "over"));
    let seed = seed.and_then(|seed| bag.figure(&seed, "seed"));
    Some(Uneven { words: clause.span, far: far?, over: over?, seed })
}

fn unasked(to: &Sizes, site: Span, name: &str) -> Option<Diagnostic> {
    if let (Some((_, section)), Some(other)) = (to.section, to.thick.or(to.wide)) {
        let text = "this says thickness and width already";
        let message = "a square, round or octagon leaves no other thickness or width to ask for";
        return Some(
            Diagnostic::new(Code::DrawTwiceAsked, message, other.span, "asked once more here")
                .and(section.span, text)
                .help("keep one of the two"),
        );
    }
    let Some(span) = to.span else {
        return Some(
            Diagnostic::new(Code::DrawNothing, "this draws to no size", site, "no size stands here")
                .help(format!("say what is asked: `draw {name} to 12 mm thick, 40 mm wide`")),
        );
    };
    if to.thick.is_none() && to.long.is_none() && to.section.is_none() {
        let message = "drawing makes a bar longer; it is no way to a width alone";
        return Some(
            Diagnostic::new(Code::DrawWideAlone, message, span, "only a width is asked")
                .help("to widen, `spread` it; to narrow, `edge` it; or ask for a thickness as well"),
        );
    }
    None
}

/// About the sizes that a draw ends at, and its log strain (metal.md, "A heat").
fn to([t0, w0, l0]: [f64; 3], asked: Asked, law: Law) -> [f64; 2] {
    let volume = t0 * w0 * l0;
    let thick = match (asked.thick, asked.wide, asked.long) {
        (Some(t), ..) => t,
        (None, Some(w), Some(l)) => volume / (w * l),
        (None, _, Some(l)) => t0 / ((l / l0).ln() / (1.0 - law.coefficient(w0, t0, t0 * 0.8))).exp(),
        (None, _, None) => t0,
    };
    let wide = match (asked.wide, asked.long) {
        (Some(w), _) => w,
        (None, Some(l)) if asked.thick.is_some() => volume / (thick * l),
        _ => w0 * (t0 / thick).powf(law.coefficient(w0, t0, thick)),
    };
    [thick, wide]
}

/// The three sizes that a draw ends at, about, and the log strain on the way: thinning, and edging back from the free width.
fn way(start: [f64; 3], asked: Asked, law: Law) -> ([f64; 3], f64) {
    let [t0, w0, l0] = start;
    let [thick, wide] = to(start, asked, law);
    let e = (t0 / thick).ln();
    let free = w0 * (law.coefficient(w0, t0, thick) * e).exp();
    ([thick, wide, t0 * w0 * l0 / (thick * wide)], e + (free / wide).ln().max(0.0))
}

/// The last figure of a bracket for which something holds.
fn search(low: f64, high: f64, holds: impl FnMut(f64) -> bool) -> f64 {
    halve_ratio((low, high), 200, holds).0
}

/// Whether a try comes out at least so long. One that the fire eats on the way was pressed too small: what is left of
/// it has gone into length, as far as anybody can ask.
fn as_long(tried: Result<Pressed, BurntAway>, long: f64) -> bool {
    tried.map_or(true, |p| p.sizes[2] >= long)
}

/// Whether the bar is as wide in the end as asked, roundings aside.
fn as_wide(p: &Pressed, asked: f64) -> bool {
    p.sizes[1] >= asked * (1.0 - 1e-9)
}

impl Draw {
    /// Lets the middle go before the faces, and takes the edges off straight.
    fn bowed<S: Sink>(&self, cx: &mut Cx<S>, work: Work, mut lot: Lot, bow: Bow) -> Outcome<Lot> {
        let before = lot.bar;
        let [thick, wide, _] = before.sizes();
        let far = cx.length_or(bow.far, "bow", BOW * thick, "project figure")?;
        if far >= wide {
            let (shown, wide, fits) = (cx.mm(far), cx.mm(wide), cx.mm_within(BOW * thick));
            return Err(Code::BowHow
                .says("this bow leaves nothing of the width")
                .at(bow.words, format!("{shown} to one side"))
                .and(work.site, format!("it comes out of this step {wide} wide"))
                .stops(format!("a sixth of the thickness is usual here (project figure): `bow {fits}`")));
        }
        let shear =
            Shear { along: Axis::Width, by: Axis::Thickness, far: far / wide, drag: Drag::Bow, size: wide };
        lot.bar.node = cx.makeup.shear(before.node, shear);
        (lot.bar.wide, lot.bar.section) = (wide - far, Section::Flat);
        self.ground(cx, work, &before, &lot);
        cx.put(work.to, lot, work.site)?;
        Ok(lot)
    }

    /// Warns where a pattern of hollows is drawn out with the bar.
    fn warn_stretch<S: Sink>(&self, cx: &mut Cx<S>, work: Work, [.., long]: [f64; 3], lot: &Lot) {
        let stretch = lot.bar.long / long;
        if stretch < STRETCHED || !cx.makeup.levelled(lot.bar.node) {
            return;
        }
        let times = trim_number(stretch, 2);
        let (made, site) = (cx.made(work.from), work.site);
        let name = cx.ground.lot_name(work.from).to_owned();
        cx.book.warn(|| {
            Code::RungsStretch
                .says(format!("the pattern pressed into `{name}` is drawn out with it"))
                .at(site, format!("{times} times as long: rungs lie as much further apart, rings are ovals"))
                .and(made, "it comes out of this step level")
                .help("draw it first and make its hollows last; or lay them as much closer together, if that is meant")
        });
    }

    /// Books what was ground off a bar.
    fn ground<S: Sink>(&self, cx: &mut Cx<S>, work: Work, before: &Bar, lot: &Lot) {
        let mass = |cx: &Cx<S>, bar: &Bar| bar.volume() * cx.makeup.bar_density(bar);
        let off = mass(cx, before) - mass(cx, &lot.bar);
        cx.lose(work.to, Cause::Ground, off, lot.count);
        cx.resized(work.to, Cause::Ground, before, &lot.bar);
    }

    /// Lets the bar come out wavy, and grinds it flat.
    fn wavy<S: Sink>(&self, cx: &mut Cx<S>, work: Work, mut lot: Lot, uneven: Uneven) -> Outcome {
        let before = lot.bar;
        let thick = before.thick;
        let figure = cx.length(uneven.far)?;
        let over = cx.above_nothing(
            uneven.over,
            uneven.words,
            "hills lie some way apart",
            "write it above nothing: `over 15 mm`",
        )?;
        let seed = match uneven.seed {
            Some(seed) => cx.whole(seed, 0, MOST_HANDS, "the number of a hand")?,
            None => cx.get_or::<Count>(None, "which hand is uneven", 1.0, "by its number") as u32,
        };
        if 2.0 * figure >= thick {
            let (shown, thick) = (cx.mm(figure), cx.mm(thick));
            return Err(Code::UnevenHow
                .says("grinding this flat leaves nothing of the bar")
                .at(uneven.words, format!("{shown} off each face"))
                .and(work.site, format!("it comes out of this step {thick} thick"))
                .stops("ask for less than half of the thickness; a few tenths of a millimetre are usual (project figure)"));
        }
        let far = 2.0 * figure / thick;
        let hand = warp::Uneven { far, over, seed: u64::from(seed), size: before.sizes() };
        lot.bar.node = cx.makeup.uneven(before.node, hand);
        (lot.bar.thick, lot.bar.section) = (thick - 2.0 * figure, Section::Flat);
        lot.bar.past.strip([figure, 0.0]);
        self.ground(cx, work, &before, &lot);
        cx.put(work.to, lot, work.site)
    }

    fn asked<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome<Asked> {
        let mut cold = |size: Option<crate::forge::words::sizes::Size>| size.map(|s| s.cold(cx)).transpose();
        let (mut thick, mut wide, long) = (cold(self.to.thick)?, cold(self.to.wide)?, cold(self.to.long)?);
        let mut section = Section::Flat;
        if let Some((outline, size)) = self.to.section {
            let side = size.cold(cx)? * outline.side_per_size();
            (thick, wide, section) = (Some(side), Some(side), outline);
        }
        Ok(Asked { thick, wide, long, section })
    }

    fn check_spread<S: Sink>(&self, cx: &Cx<S>, work: Work, law: Law, asked: Asked) -> Outcome {
        let Law::Fixed(s) = law else { return Ok(()) };
        if s < 1.0 || asked.long.is_none() {
            return Ok(());
        }
        let words = self.to.span.unwrap_or(work.site);
        Err(Code::SpreadAgainstAim
            .says("with a spread of 1 the bar grows no longer")
            .at(words, "a length is asked")
            .and(self.tool.spread_span(cx).unwrap_or(words), "the spread is set here")
            .stops("leave the spread to the law, or set one between 0 and 1"))
    }

    fn check_thinner<S: Sink>(&self, cx: &Cx<S>, work: Work, lot: &Lot, asked: Asked) -> Outcome {
        let Some(t) = asked.thick else { return Ok(()) };
        let words = self.to.thick.or(self.to.section.map(|s| s.1)).map_or(work.site, |s| s.span);
        let help = "a press never thickens a bar: `upset` it, `turn` it, or ask for less";
        no_bigger(cx, work, (t, words), lot.bar.thick, "thickness", help)
    }

    fn check_width<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        p: &Pressed,
        (asked, width): (Asked, f64),
        pressing: &mut Pressing,
    ) -> Outcome {
        let [thick, wide, _] = p.sizes;
        if as_wide(p, width) {
            return Ok(());
        }
        let (size, side) = match (self.to.section, self.to.wide) {
            (Some((section, size)), _) => (size, section.side_per_size()),
            (None, Some(size)) => (size, 1.0),
            (None, None) => bug!("a width is asked of a draw that says none"),
        };
        // As the line has it: of its outline, and hot where it is measured hot.
        let as_written = size.as_written(cx) / side;
        let reaches = |w: f64, cx: &mut Cx<S>, pressing: &mut Pressing| self.reaches(cx, pressing, asked, w);
        // A run that keeps no book is asked whether it gets through, and not what would help.
        let widths = if S::KEEPS { 1..100 } else { 0..0 };
        // Less than what the bar spreads to by itself, where the skin of the last heats takes more than they spread.
        let step = 0.97;
        let coarse = widths.map(|k| width * f64::powi(step, k)).find(|w| reaches(*w, cx, pressing));
        let within = coarse.and_then(|w| {
            let widest = search(w, w / step, |w| reaches(w, cx, pressing));
            // Rounded to what a shop can set, it must still do.
            let units = cx.units;
            rounded_down(widest * as_written, Kind::LENGTH, units, |w| reaches(w / as_written, cx, pressing))
        });
        let [_, start, _] = pressing.sizes();
        let (reached, asked, start, thick) = (cx.mm(wide), cx.mm(width), cx.mm(start), cx.mm(thick));
        let other = "widening a bar is the work of `spread`";
        let within = within.map(|figure| written(figure, Kind::LENGTH, cx.units));
        let help =
            within.as_ref().map_or(other.to_owned(), |figure| format!("ask for {figure}, since {other}"));
        let fault = Code::TooNarrow
            .says("the bar does not spread as wide as asked")
            .at(size.span, format!("asked {asked}; drawing out leaves it {reached} wide at {thick} thick"))
            .and(cx.made(work.from), format!("it comes out of this step {start} wide"));
        // A figure that stands elsewhere, such as one of a `let`, may serve other steps too.
        let figure = cx.span(size.q);
        let own = figure.start >= size.span.start && figure.end <= size.span.end;
        Err(fault.fix_if(figure, within.as_deref().filter(|_| own)).stops(help))
    }

    /// Whether the bar comes out as wide as this, all else as it is asked.
    fn reaches<S: Sink>(&self, cx: &mut Cx<S>, pressing: &mut Pressing, asked: Asked, wide: f64) -> bool {
        let thick = if self.to.section.is_some() { Some(wide) } else { asked.thick };
        let asked = Asked { thick, wide: Some(wide), ..asked };
        let [t0, ..] = pressing.sizes();
        let (start, law) = (pressing.sizes(), pressing.law);
        let heats = pressing.heats(cx, || way(start, asked, law), 1);
        let pass = pressing.schedule(cx, heats);
        let thick = match (thick, asked.long) {
            (None, Some(long)) => search(t0 * THINNEST, t0, |t| as_long(pass.run(Aim::Both(t, wide)), long)),
            (thick, _) => thick.unwrap_or(t0),
        };
        pass.run(Aim::Both(thick, wide)).is_ok_and(|p| p.sizes[1] >= wide * (1.0 - 1e-12))
    }

    fn check_volume<S: Sink>(&self, cx: &Cx<S>, work: Work, p: &Pressed, asked: [f64; 3]) -> Outcome {
        let has: f64 = p.sizes.iter().product();
        let needs: f64 = asked.iter().product();
        if (needs - has).abs() <= AGREE * has {
            return Ok(());
        }
        let [thick, wide, long] = asked;
        let words = self.to.span.unwrap_or(work.site);
        let name = cx.ground.lot_name(work.from);
        let volume = |v: f64| cx.shown(v, Kind::VOLUME);
        let (holds, wants) = (volume(has), volume(needs));
        let at_length = cx.mm(has / (thick * long));
        if needs < has {
            // A width that is not met has a fault of its own, and leaving the length out would not mend that.
            if !as_wide(p, wide) {
                return Ok(());
            }
            return Err(Code::TooMuchSteel
                .says(format!("`{name}` has more steel than these three sizes hold"))
                .at(words, format!("this holds {wants}; `{name}` has {holds}"))
                .stops(format!("leave the length out: it comes to {} long", cx.mm(p.sizes[2]))));
        }
        let mut fault = Code::NotEnoughSteel
            .says(format!("`{name}` has not enough steel for this size"))
            .at(words, format!("needs {wants}; `{name}` holds {holds}"));
        for (root, grams) in cx.roots(work.from) {
            fault = fault.and(root, format!("{} came in here", cx.shown(grams, Kind::MASS)));
        }
        Err(fault.stops(format!("at that thickness and length it comes to {at_length} wide")))
    }

    /// Thickness and length asked: the width that gives the length.
    fn solve_width<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        pass: Schedule,
        thick: f64,
        long: f64,
    ) -> Outcome<Pressed> {
        let burnt = |b: BurntAway| b.fault(cx, work.site);
        let free = pass.run(Aim::Thick(thick)).map_err(burnt)?;
        let [_, widest, shortest] = free.sizes;
        if long < shortest * (1.0 - 1e-12) {
            return Err(self.too_long(cx, work, long, shortest));
        }
        let longer = |w: f64| as_long(pass.run(Aim::Both(thick, w)), long);
        // Wider than this no spread makes it; what comes out of a heat may be wider than what is left in the end.
        let most = pass.start[1] * (pass.start[0] / thick);
        let wide = search(widest * THINNEST, most, longer);
        pass.run(Aim::Both(thick, wide)).map_err(burnt)
    }

    /// Length asked, perhaps with a width: the thickness that gives the length.
    fn solve_thickness<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        pass: Schedule,
        wide: Option<f64>,
        long: f64,
    ) -> Outcome<Pressed> {
        let burnt = |b: BurntAway| b.fault(cx, work.site);
        let aim = |t: f64| wide.map_or(Aim::Thick(t), |w| Aim::Both(t, w));
        let [t0, _, l0] = pass.start;
        let longer = |t: f64| as_long(pass.run(aim(t)), long);
        if long <= l0 * (1.0 - 1e-12) && wide.is_none() {
            return Err(self.too_long(cx, work, long, l0));
        }
        if !longer(t0 * THINNEST) {
            return Err(self.too_short(cx, work, long));
        }
        let thick = search(t0 * THINNEST, t0, longer);
        let pressed = pass.run(aim(thick)).map_err(burnt)?;
        let [_, w, l] = pressed.sizes;
        // Where the skin goes below the thickness before the bar is pressed to its width, no thickness gives both.
        if (l - long).abs() > 1e-6 * long || wide.is_some_and(|asked| w > asked * (1.0 + 1e-6)) {
            let met = |t: f64| pass.run(aim(t)).is_ok_and(|p| !p.skin_passed);
            let thinner = (0..100).map(|k| thick * 0.9f64.powi(k)).find(|t| met(*t));
            let shortest = thinner.and_then(|t| pass.run(aim(search(t, t0, met))).ok());
            return Err(self.too_long(cx, work, long, shortest.map_or(l, |p| p.sizes[2])));
        }
        Ok(pressed)
    }

    fn too_long<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: f64, has: f64) -> Fault {
        let words = self.to.long.map_or(work.site, |s| s.span);
        let (asked, has) = (cx.mm(asked), cx.mm(has));
        let has = if asked == has { "a hair more".to_owned() } else { has };
        Code::AlreadyLonger
            .says("the bar comes out longer than asked")
            .at(words, format!("asked {asked}; it comes to {has} whatever is done"))
            .help("draw it to its other sizes and `cut` it to length; `upset` shortens a bar")
            .into()
    }

    fn too_short<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: f64) -> Fault {
        let words = self.to.long.map_or(work.site, |s| s.span);
        let asked = cx.mm(asked);
        Diagnostic::new(Code::OutOfReach, "no thickness gives this length", words, format!("asked {asked}"))
            .stops("ask for less length, or start with more steel")
    }

    fn warn_edging<S: Sink>(&self, cx: &mut Cx<S>, work: Work, pressed: &Pressed, words: Span) {
        let (share, slender) = pressed.edging;
        if share <= EDGING.0 || slender <= EDGING.1 {
            return;
        }
        let share = cx.shown(share, Kind::RATIO);
        let slender = crate::quantity::trim_number(slender, 1);
        let site = work.site;
        cx.book.warn(|| {
            Code::MuchEdging
                .says("a thin bar is pushed far back on edge in one heat")
                .at(words, format!("{share} of the width in one heat, at {slender} thicknesses wide"))
                .and(site, "over 3 thicknesses it may buckle")
                .help("take more heats, or ask for more width")
        });
    }
}
