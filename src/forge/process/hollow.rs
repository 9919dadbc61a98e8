//! Hollows in the faces of a bar: how they are asked for, cut, pressed in, and brought level again.

use crate::piece::relief::{Face, Layout};
use crate::piece::{Bar, Cause, Lot, Measure, Relief, Warp};
use crate::quantity::{Length, Q};
use crate::source::{Code, Span};

use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Work};

/// The clauses of all that makes hollows.
pub const HOLLOWS: &[Key] = &[Key::Every, Key::Deep, Key::BothFaces, Key::Staggered];

/// Less than this left standing is cut through, mm (project figure).
const THROUGH: f64 = 1e-6;

/// How far apart hollows lie, how deep they are, and in which faces.
#[derive(Clone, Copy, Debug)]
pub struct Hollows {
    every: Q<Length>,
    deep: Q<Length>,
    both: bool,
    staggered: bool,
}

/// What makes them.
#[derive(Clone, Copy, Debug)]
pub struct Tool {
    /// How one would call several of them.
    pub what: &'static str,
    /// How wide each is, or its rod, where the step says so.
    pub wide: Span,
}

impl Hollows {
    /// Takes the clauses; `help` is a line that says all.
    pub fn bind(bag: &mut Bag, wide: bool, help: &str) -> Option<Hollows> {
        let every = bag.opt(Key::Every);
        let deep = bag.take(Key::Deep).and_then(|clause| bag.figure(&clause, "deep"));
        let (both, staggered) = (bag.flag(Key::BothFaces), bag.flag(Key::Staggered));
        if let (None, Some(words)) = (both, staggered) {
            let message = "`staggered` tells how the two faces lie to each other, and only one is worked";
            let fault = Code::HollowsHow.says(message).at(words, "with one face this has no meaning");
            bag.fault(fault.help("write `both faces, staggered`, or leave it out"));
            return None;
        }
        let (Some(every), Some(deep), true) = (every, deep, wide) else {
            let what = "how wide, how deep and how far apart they are";
            bag.unsaid(Code::HollowsHow, "this does not say which hollows to make", what, help);
            return None;
        };
        Some(Hollows { every, deep, both: both.is_some(), staggered: staggered.is_some() })
    }

    /// How deep they are, mm.
    ///
    /// # Errors
    /// `no_size`.
    pub fn deep<S: Sink>(&self, cx: &Cx<S>) -> Outcome<f64> {
        sized(cx, self.deep)
    }

    /// The words of the depth.
    pub fn words<S: Sink>(&self, cx: &Cx<S>) -> Span {
        cx.span(self.deep)
    }

    /// From one to the next along a bar; `room` is what each takes that way, mm.
    ///
    /// # Errors
    /// `hollows_pitch`: they run into each other, or not one has room.
    pub fn pitch<S: Sink>(&self, cx: &Cx<S>, tool: Tool, room: f64, bar: &Bar) -> Outcome<f64> {
        let (pitch, words) = (sized(cx, self.every)?, cx.span(self.every));
        let what = tool.what;
        if pitch < room * (1.0 - 1e-12) {
            let (room, pitch) = (cx.mm(room), cx.mm(pitch));
            return Err(Code::HollowsPitch
                .says(format!("these {what} run into each other"))
                .at(words, format!("{pitch} from one to the next"))
                .and(tool.wide, format!("each takes {room} there"))
                .stops(format!("lay them {room} apart or more, or make them narrower")));
        }
        if pitch > bar.long {
            let (pitch, long) = (cx.mm(pitch), cx.mm(bar.long));
            return Err(Code::HollowsPitch
                .says(format!("not one of these {what} has room"))
                .at(words, format!("each stands for {pitch}; the bar is {long} long"))
                .stops("lay them closer together"));
        }
        Ok(pitch)
    }

    /// Both faces, of the one that lies on top; the bottom, staggered, is moved along and across.
    pub fn faces(&self, top: Face, by: [f64; 2]) -> [Option<Face>; 2] {
        let bottom = if self.staggered { top.moved(by) } else { top };
        [Some(top), self.both.then_some(bottom)]
    }
}

/// A figure of hollows above nothing, mm.
///
/// # Errors
/// `no_size`.
pub fn sized<S: Sink>(cx: &Cx<S>, q: Q<Length>) -> Outcome<f64> {
    cx.above_nothing(q, cx.span(q), "a hollow has some size", "write a length above nothing, such as `2 mm`")
}

/// Grooves all along a bar, in the middle of it: as many as it is long in pitches.
pub fn rungs(bar: &Bar, pitch: f64, slant: f64) -> Layout {
    let many = (bar.long / pitch + 1e-9).floor();
    Layout::Grooves { first: bar.long / 2.0 - (many - 1.0) / 2.0 * pitch, pitch, many: many as u32, slant }
}

/// Hollows on a face that are followed (project figure: a ladder has a few dozen, a bar of raindrops some hundreds).
const MOST: f64 = 1_000.0;

/// Makes sure that no more hollows are followed than that: nothing is asked of them before.
fn followed(relief: &Relief, (what, words): (&str, Span)) -> Outcome {
    if relief.hollows() <= MOST {
        return Ok(());
    }
    Err(Code::TooMuch
        .says(format!("more {what} on a bar than this book follows (1,000, and fewer aslant)"))
        .at(words, "so near to each other, on a bar so long")
        .stops("set them further apart, or cut the bar shorter first"))
}

/// The relief of a bar with these hollows; what stands between them must hold.
///
/// # Errors
/// `too_much`, `cut_through`.
pub fn relief<S: Sink>(
    cx: &Cx<S>,
    work: Work,
    (size, has): ([f64; 3], f64),
    [top, bottom]: [Option<Face>; 2],
    (what, words): (&str, Span),
) -> Outcome<Relief> {
    let relief = Relief::new(size, top, bottom);
    followed(&relief, (what, words))?;
    let [above, below] = relief.deepest();
    // Where both at their deepest leave enough, no place need be looked at.
    if size[0] - above - below > THROUGH || relief.thinnest() > THROUGH {
        return Ok(relief);
    }
    let (thick, deep) = (cx.mm(has), cx.mm(above.max(below)));
    let both = above > 0.0 && below > 0.0;
    let (sides, more) = if both { (", from both faces", "; or stagger the two faces") } else { ("", "") };
    Err(Code::CutThrough
        .says(format!("these {what} go through the bar"))
        .at(words, format!("{deep} deep{sides}"))
        .and(cx.made(work.from), format!("it is {thick} thick"))
        .stops(format!("make them less deep: a third of the thickness is common practice{more}")))
}

/// Warns of walls that lay themselves over when they are pressed down.
pub fn warn_walls<S: Sink>(cx: &mut Cx<S>, relief: &Relief, what: &'static str, words: Span) {
    let Some(face) = relief.top.or(relief.bottom) else { return };
    if !face.profile.walled() {
        return;
    }
    let (deep, most) = (cx.mm(face.profile.deepest()), cx.mm_within(face.profile.reach()));
    cx.book.warn(|| {
        Code::WallsFold
            .says(format!(
                "the walls of these {what} stand straight, and fold over when they are pressed down"
            ))
            .at(words, format!("{deep} deep; over {most} it is deeper than half its width"))
            .help(format!("up to {most} deep, or wider"))
    });
}

/// Cuts hollows into a bar: what was there is gone.
///
/// # Errors
/// `open_hollows`, `cut_through`, `out_of_range`.
pub fn cut<S: Sink>(
    cx: &mut Cx<S>,
    (work, mut lot): (Work, Lot),
    [top, bottom]: [Option<Face>; 2],
    (what, words): (&'static str, Span),
) -> Outcome {
    let before = lot.bar;
    let open = cx.makeup.relief(&before).cloned();
    let taken = open.as_ref().is_some_and(|open| {
        (open.top.is_some() && top.is_some()) || (open.bottom.is_some() && bottom.is_some())
    });
    if taken || (open.is_some() && cx.makeup.pressed_in(before.node)) {
        return Err(taken_up(cx, work));
    }
    let other = |own: Option<Face>, of: fn(&Relief) -> Option<Face>| own.or(open.as_ref().and_then(of));
    let faces = [other(top, |open| open.top), other(bottom, |open| open.bottom)];
    let relief = relief(cx, work, (before.sizes(), before.thick), faces, (what, words))?;
    warn_walls(cx, &relief, what, words);
    cx.book.origin(work.to, work.from);
    stand(cx, &mut lot.bar, Some(relief));
    let left = lot.bar.volume() * cx.makeup.bar_density(&lot.bar);
    cx.lose(work.to, Cause::Ground, before.mass - left, lot.count);
    cx.put(work.to, lot, work.site)
}

fn taken_up<S: Sink>(cx: &Cx<S>, work: Work) -> Fault {
    let name = cx.ground.lot_name(work.from);
    Code::OpenHollows
        .says(format!("`{name}` has hollows in this face already"))
        .at(work.site, "these would run into them")
        .and(cx.made(work.from), "it comes out of this step so")
        .stops(format!("press it flat first: `press {name} flat`"))
}

/// Gives a bar what stands of its hollows: how full its block is, and how heavy.
fn stand<S: Sink>(cx: &mut Cx<S>, bar: &mut Bar, relief: Option<Relief>) {
    (bar.fill, bar.heft) = (1.0, 1.0);
    if let Some(relief) = &relief {
        let standing = cx.makeup.standing(bar.node, relief);
        (bar.fill, bar.heft) = (standing.volume, standing.weight / standing.volume);
    }
    bar.relief = relief.map(|relief| cx.makeup.keep_relief(relief));
}

/// Takes the faces of a bar with hollows down to a thickness, mm, from both sides alike.
pub fn down<S: Sink>(cx: &mut Cx<S>, bar: &mut Bar, thick: f64) {
    let Some(open) = cx.makeup.relief(bar) else { bug!("a bar without hollows") };
    let off = (1.0 - thick / bar.thick) / 2.0;
    let [tall, ..] = open.size;
    let left = open.ground([off * tall; 2]);
    let window = [(off, 1.0 - off), (0.0, 1.0), (0.0, 1.0)];
    bar.node = cx.makeup.cut(bar.node, window, bar.sizes());
    bar.thick = thick;
    stand(cx, bar, left);
}

/// Grinds the faces of a bar with hollows down to a thickness, mm, from both sides alike; nothing moves.
pub fn grind<S: Sink>(cx: &mut Cx<S>, (work, mut lot): (Work, Lot), thick: f64) -> Outcome {
    let before = lot.bar;
    cx.book.origin(work.to, work.from);
    down(cx, &mut lot.bar, thick);
    let mass = lot.bar.volume() * cx.makeup.bar_density(&lot.bar);
    cx.lose(work.to, Cause::Ground, before.mass - mass, lot.count);
    lot.bar.past.strip([(before.thick - thick) / 2.0, 0.0]);
    cx.resized(work.to, Cause::Ground, &before, &lot.bar);
    cx.put(work.to, lot, work.site)
}

/// A bar whose hollows were brought level.
#[derive(Clone, Copy, Debug)]
pub struct Levelled {
    /// How thick it was over the hills, mm.
    pub hills: f64,
    /// How thick it is where both floors are reached, mm: the pattern is out then, and no hollow stays.
    pub floors: f64,
}

/// Brings the hollows of a bar level, at the mean of its thickness: hills down, valleys up, nothing lost. A bar without hollows stays.
pub fn level<S: Sink>(cx: &mut Cx<S>, work: Work, lot: &mut Lot) -> Option<Levelled> {
    let bar = &mut lot.bar;
    let relief = cx.makeup.relief(bar)?.clone();
    let hills = bar.thick;
    let [tall, ..] = relief.size;
    let floors = hills * (1.0 - relief.deepest().iter().sum::<f64>() / tall);
    let density = cx.makeup.density(bar.node) * bar.heft;
    bar.node = match cx.makeup.unpressed(bar.node, &relief) {
        Some(flat) => flat,
        None => cx.makeup.warp_hollows(bar.node, Warp::Level(relief), density),
    };
    bar.thick *= bar.fill;
    (bar.fill, bar.heft, bar.relief) = (1.0, 1.0, None);
    cx.change(
        work.to,
        Measure::Thickness,
        Cause::Pressed,
        bar.calliper_thick() - hills / bar.section.side_per_size(),
    );
    Some(Levelled { hills, floors })
}

impl Levelled {
    /// Where both floors are reached, mm; `None` where they lie past each other, as those of staggered hollows may.
    pub fn both_floors(&self) -> Option<f64> {
        Some(self.floors).filter(|floors| *floors > THROUGH)
    }

    /// Warns where a bar is not pressed so thin that its hollows are surely out.
    pub fn warn<S: Sink>(&self, cx: &mut Cx<S>, thick: f64, words: Span) {
        if thick <= self.floors * (1.0 + 1e-9) {
            return;
        }
        let (floors, thick) = (self.both_floors().map(|floors| cx.mm_within(floors)), cx.mm(thick));
        let (lie, help) = match floors {
            Some(floors) => (
                format!("the floors lie at {floors}"),
                format!("go down to {floors}: both floors are reached then (common practice)"),
            ),
            None => (
                "the floors of the two faces lie past each other".to_owned(),
                "make them less deep: a third of the thickness is common practice".to_owned(),
            ),
        };
        cx.book.warn(|| {
            Code::HollowsStay
                .says("hollows may fold shut or stay: they are deeper than is forged out")
                .at(words, format!("it comes to {thick}; {lie}"))
                .help(help)
        });
    }
}

/// Presses hollows into a bar with what is laid on it: hills rise by what goes down, length and width stay.
///
/// # Errors
/// `cut_through`, `out_of_range`.
pub fn press_in<S: Sink>(
    cx: &mut Cx<S>,
    (work, mut lot): (Work, Lot),
    faces: [Option<Face>; 2],
    (what, words): (&'static str, Span),
) -> Outcome {
    let before = lot.bar;
    let [thick, wide, long] = before.sizes();
    let [top, bottom] = faces;
    let flat = Relief::new(before.sizes(), top, bottom);
    followed(&flat, (what, words))?;
    let rise = thick * (1.0 - cx.makeup.standing(before.node, &flat).volume);
    let relief = relief(cx, work, ([thick + rise, wide, long], thick), faces, (what, words))?;
    warn_walls(cx, &relief, what, words);
    let density = cx.makeup.density(before.node);
    lot.bar.node = cx.makeup.warp_hollows(before.node, Warp::Pressed(relief.clone()), density);
    lot.bar.thick = thick + rise;
    lot.bar.section = crate::piece::Section::Flat;
    stand(cx, &mut lot.bar, Some(relief));
    cx.resized(work.to, Cause::Pressed, &before, &lot.bar);
    cx.put(work.to, lot, work.site)
}
