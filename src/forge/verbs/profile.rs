//! `profile`: the outline of a blade, cut out of the bar or forged to.

use crate::piece::blade::{MOST_BEGUN, Outline, Run, Station, smooth};
use crate::piece::{Blade, Cause, Lot};
use crate::quantity::{Kind, Length, Q};
use crate::source::{Code, Diagnostic, Span};
use crate::spec::Place;

use crate::forge::process::fire::Heating;
use crate::forge::process::shaping::{Change, Manner, at, begin, burn, reshape, take_down};
use crate::forge::words::args::{Arg, Blades, Hazard, Usual};
use crate::forge::words::sizes::{Size, Sizes};
use crate::forge::{Bag, Clause, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// Pieces that a curve of the outline is drawn with.
const CHORDS: u32 = 16;

/// Profiling.
pub struct Profile {
    heating: Heating,
    manner: (Manner, bool),
    long: Option<Size>,
    wide: Option<Size>,
    belly: Option<Q<Length>>,
    point: Option<Q<Length>>,
    off_edge: Option<Q<Length>>,
    edge: Line,
    spine: Line,
    widths: Line,
}

/// Points of a line along the blade.
#[derive(Default)]
struct Line {
    points: Vec<(Q<Length>, Place)>,
    /// Whether the line runs smoothly through them, and not straight from one to the next.
    smooth: bool,
}

impl Works for Profile {
    const WORD: Word = Word {
        word: "profile",
        doc: "gives a blade its outline: cut out of the bar, or forged to it; what is behind the heel is left for the tang",
        clauses: &[
            &[
                Key::Size,
                Key::Belly,
                Key::Point,
                Key::OffEdge,
                Key::EdgeLine,
                Key::SpineLine,
                Key::OutlineLine,
            ],
            &[Key::Ground, Key::Forged, Key::Heats, Key::At, Key::For],
        ],
        example: "profile blade to 240 mm long, 50 mm wide, belly 90 mm, point 12 mm below spine",
        // The point, then the edge.
        heats: Some(Usual {
            what: "heats of a forged outline",
            heats: 4,
            note: "",
            source: "common practice",
        }),
        hazards: &[Hazard::Fire, Hazard::Grind],
        blades: Blades::Makes,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let (belly, point, off_edge) = (bag.opt(Key::Belly), bag.opt(Key::Point), bag.opt(Key::OffEdge));
        let (edge, spine) = (bag.take(Key::EdgeLine), bag.take(Key::SpineLine));
        let widths = bag.take(Key::OutlineLine);
        let heating = Heating::bind(bag);
        let manner = Manner::bind(bag, Manner::Ground, &heating);
        // Widths are laid out from the middle, and that may be said.
        let off = off_edge.filter(|_| widths.is_none()).map(|_| bag.site);
        let few = to.wide.map(|s| s.span).or(off).or(belly.map(|_| bag.site));
        let lines = edge.as_ref().or(spine.as_ref()).map(|line| line.span);
        let outline = widths.as_ref().map(|line| line.span);
        let message = "an outline goes by a few numbers or point by point, not both";
        // The few numbers are what is at fault.
        let points = lines.or(outline);
        bag.clash(Code::ProfileHow, message, (points, "point by point"), (few, "a few numbers"));
        let message = "an outline goes by its widths or by edge and spine, not both";
        bag.clash(Code::ProfileHow, message, (outline, "by widths"), (lines, "by edge and spine"));
        if let (Some(_), None, true) = (point, belly, points.is_none()) {
            let message = "the point of an outline lies where its belly ends, and this has no belly";
            bag.fault(
                Diagnostic::new(Code::ProfileHow, message, bag.site, "a point, and no belly")
                    .help("say how long the edge curves up to it, as in `belly 90 mm`; or leave the point out for a square end"),
            );
        }
        if let (Some(lone), None) | (None, Some(lone)) = (&edge, &spine) {
            let message = "an outline has an edge and a spine";
            bag.fault(
                Diagnostic::new(Code::ProfileHow, message, lone.span, "one of the two lines alone")
                    .help("write both: `edge 0 mm at heel then 40 mm at tip, spine 50 mm at heel then 40 mm at tip`"),
            );
        }
        let name = bag.name.text.clone();
        if let Some(other) = to.thick.or(to.section.map(|s| s.1)) {
            let fault =
                Code::ProfileHow.says("an outline has a length and a width").at(other.span, "not this");
            bag.fault(fault.help("thickness is `taper`, `bevel` or `grind`"));
        }
        let [edge, spine, widths] = [edge, spine, widths].map(|clause| line(bag, clause.as_ref()));
        let told = edge.points.len() + spine.points.len() + widths.points.len();
        if told > MOST_BEGUN {
            let message = format!("an outline has at most {MOST_BEGUN} points");
            let fault = Diagnostic::new(Code::TooMuch, message, bag.site, "more stand here");
            bag.fault(fault.help("a dozen along each line tell a blade"));
        }
        if to.wide.is_none() && told == 0 {
            // What is said stays as it is: only what lacks is told.
            let says = to.long.is_some() || belly.is_some() || point.is_some();
            let help = if says {
                "add it, as in `50 mm wide`".to_owned()
            } else {
                format!(
                    "say it in full, as in `profile {name} to 240 mm long, 50 mm wide, belly 90 mm, point 12 mm below spine`"
                )
            };
            let what = "how wide, or through which points";
            bag.unsaid(Code::ProfileHow, "this does not say what outline", what, help);
        }
        if bag.faulty() {
            return None;
        }
        let (long, wide) = (to.long, to.wide);
        Some(Profile { heating, manner, long, wide, belly, point, off_edge, edge, spine, widths })
    }

    fn moved(&self, [thick, ..]: Moved) -> Moved {
        if self.manner.0 == Manner::Forged { [true; 3] } else { [thick, false, false] }
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let (mut lot, mut blade) = begin(cx, work, self.manner)?;
        let long = self.long.map_or(Ok(blade.tip()), |size| size.cold(cx))?;
        match self.manner.0 {
            Manner::Ground => {
                let tip = blade.tip();
                if long > tip * (1.0 + 1e-9) {
                    return Err(self.too_short(cx, work, long, tip));
                }
                let behind = tip - long;
                if behind > 1e-9 {
                    blade.heel_at(behind);
                    reshape(cx, work.to, &mut lot, blade.clone(), Change::Tang);
                }
                blade.rest_edge();
                let outline = self.outline(cx, &lot, long)?;
                let before = blade.clone();
                let short = blade.cut_out(&outline);
                lot.bar.past.strip([0.0, least_off(&before, &blade)]);
                take_down(cx, work, &mut lot, (&before, blade), Cause::Ground)?;
                if let Some(short) = short {
                    self.warn_narrow(cx, work, short.x, short.edge.max(short.spine));
                }
            }
            Manner::Forged => self.forge(cx, (work, &mut lot, &mut blade), long)?,
        }
        cx.put(work.to, lot, work.site)
    }
}

/// The least that an outline takes off either edge of a blade, mm: what is left of their lost carbon is told by the worst place.
fn least_off(before: &Blade, after: &Blade) -> f64 {
    let off = |s: &Station| {
        let was = before.section(s.x);
        (s.edge().y - was.edge().y).min(was.spine().y - s.spine().y)
    };
    let off = after.stations.iter().filter(|s| s.x > 1e-9).map(off).fold(f64::INFINITY, f64::min);
    if off.is_finite() { off.max(0.0) } else { 0.0 }
}

/// The points of a line.
fn line(bag: &mut Bag, clause: Option<&Clause>) -> Line {
    let mut line = Line { smooth: clause.is_some_and(|c| c.says("through")), ..Line::default() };
    let mut height = None;
    for arg in clause.iter().flat_map(|c| &c.args) {
        match arg {
            Arg::Slot(slot) => height = bag.typed(*slot, "a height"),
            Arg::Place(place) => line.points.extend(height.take().map(|h| (h, *place))),
            _ => {}
        }
    }
    line
}

impl Profile {
    /// The outline that is wanted, in the heights of the bar; `long` mm from heel to tip.
    fn outline<S: Sink>(&self, cx: &mut Cx<S>, lot: &Lot, long: f64) -> Outcome<Outline> {
        if !self.edge.points.is_empty() {
            return Ok(Outline {
                edge: run_of(cx, &self.edge, long)?,
                spine: run_of(cx, &self.spine, long)?,
            });
        }
        if !self.widths.points.is_empty() {
            self.widths.points.iter().try_for_each(|(q, _)| cx.length(*q).map(|_| ()))?;
            let Run(wide) = run_of(cx, &self.widths, long)?;
            let widest = wide.iter().map(|p| p.1).fold(0.0, f64::max);
            let low = self.low(cx, lot.bar.wide, widest)?;
            let side = |by: f64| Run(wide.iter().map(|(x, w)| (*x, low + (widest + by * w) / 2.0)).collect());
            return Ok(Outline { edge: side(-1.0), spine: side(1.0) });
        }
        let Some(wide) = self.wide else { bug!("an outline without a width and without points") };
        let span = wide.span;
        let wide = wide.cold(cx)?;
        let low = self.low(cx, lot.bar.wide, wide)?;
        let high = low + wide;
        let stated = |q: Option<Q<Length>>| q.map_or(Ok(0.0), |q| cx.length(q));
        let (belly, drop) = (stated(self.belly)?, stated(self.point)?);
        if belly > long || drop > wide {
            return Err(self.no_outline(cx, span, long, wide));
        }
        // Both lines run level and bend to the point in a curve that leaves the level smoothly.
        let curve = |from: f64, to: f64, over: f64| -> Run {
            let start = long - over;
            let mut points = vec![(0.0, from)];
            for i in 0..=CHORDS {
                let s = f64::from(i) / f64::from(CHORDS);
                points.push((start + over * s, from + (to - from) * s * s));
            }
            points.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-9);
            Run(points)
        };
        let point = high - drop;
        if belly <= 0.0 {
            // No belly: the blade ends square.
            return Ok(Outline { edge: Run(vec![(0.0, low)]), spine: Run(vec![(0.0, high)]) });
        }
        Ok(Outline { edge: curve(low, point, belly), spine: curve(high, point, belly) })
    }

    /// How far above the lower edge of a bar so wide an outline begins, mm.
    fn low<S: Sink>(&self, cx: &mut Cx<S>, has: f64, wide: f64) -> Outcome<f64> {
        if let Some(q) = self.off_edge {
            return cx.length(q);
        }
        if has > wide {
            let shown = || "half off each edge".to_owned();
            cx.book.assume("what a profile takes", shown, "project figure");
        }
        // A bar too narrow falls short on both sides alike.
        Ok((has - wide) / 2.0)
    }

    fn forge<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot, blade): (Work, &mut Lot, &mut Blade),
        long: f64,
    ) -> Outcome {
        let heats = self.heating.heats(cx, work)?;
        burn(cx, work, lot, blade, &self.heating, (heats, true))?;
        blade.rest_edge();
        let outline = self.outline(cx, lot, long)?;
        let widest = (0..=64).map(|i| outline.width(long * f64::from(i) / 64.0)).fold(0.0, f64::max);
        if widest <= 1e-6 {
            return Err(self.no_width(work));
        }
        let [has, _] = blade.greatest();
        if widest > has * (1.0 + 1e-9) {
            return Err(self.too_narrow(cx, work, widest, has));
        }
        if let Err(reached) = blade.forge_out(&outline, long) {
            return Err(self.too_short(cx, work, long, reached));
        }
        reshape(cx, work.to, lot, blade.clone(), Change::Forged);
        Ok(())
    }

    fn too_short<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: f64, has: f64) -> Fault {
        let name = cx.ground.lot_name(work.from);
        let words = self.long.map_or(work.site, |s| s.span);
        let (asked, has) = (cx.mm(asked), cx.mm_within(has));
        Code::NotEnoughSteel
            .says(format!("`{name}` has not enough steel for this outline"))
            .at(words, format!("asked {asked}; there is steel for {has}"))
            .and(cx.made(work.from), "it comes out of this step so")
            .stops(format!("with this outline it comes to {has} long"))
    }

    fn too_narrow<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: f64, has: f64) -> Fault {
        let name = cx.ground.lot_name(work.from);
        let words = self.wide.map_or(work.site, |s| s.span);
        let (asked, has) = (cx.mm(asked), cx.mm_within(has));
        Code::AlreadySmaller
            .says(format!("`{name}` is narrower than this outline"))
            .at(words, format!("asked {asked}; it is {has} after its heats"))
            .and(cx.made(work.from), "it comes out of this step so wide")
            .stops("an outline is forged inwards: spread it before, or ask for less")
    }

    fn no_width(&self, work: Work) -> Fault {
        let message = "this outline has no width anywhere";
        Diagnostic::new(Code::ProfilePoint, message, work.site, "its spine is not above its edge")
                .stops("heights run up from the edge: `edge 0 mm at heel then 30 mm at tip, spine 40 mm at heel then 30 mm at tip`")
    }

    fn no_outline<S: Sink>(&self, cx: &Cx<S>, span: Span, long: f64, wide: f64) -> Fault {
        let (long, wide) = (cx.shown(long, Kind::LENGTH), cx.shown(wide, Kind::LENGTH));
        let off = |q: Option<Q<Length>>| q.map(|q| cx.span(q));
        let words = off(self.belly).or(off(self.point)).unwrap_or(span);
        Diagnostic::new(Code::ProfilePoint, "the point of this outline lies outside of it", words, "reaches too far")
                .stops(format!("the belly is at most the length, {long}; the point lies at most the width, {wide}, below the spine"))
    }

    fn warn_narrow<S: Sink>(&self, cx: &mut Cx<S>, work: Work, x: f64, by: f64) {
        let (x, by) = (cx.mm(x), cx.mm(by));
        let site = work.site;
        let made = cx.made(work.from);
        cx.book.warn(|| {
            Code::OutlineBeyondSteel
                .says("the outline reaches beyond the steel")
                .at(site, format!("most at {x} from the heel, by {by}: the blade stays narrower there"))
                .and(made, "it comes out of this step")
                .help("spread it wider before; where steel is left at the other side, `off edge` lays the outline further over")
        });
    }
}

/// A line along a blade so long from heel to tip, mm.
fn run_of<S: Sink>(cx: &Cx<S>, line: &Line, long: f64) -> Outcome<Run> {
    let mut run: Vec<(f64, f64)> = Vec::new();
    for (height, place) in &line.points {
        let x = at(cx, *place, long)?;
        if run.last().is_some_and(|last| x <= last.0) {
            return Err(Code::ProfileBackwards
                .says("the points of a line go from the heel to the tip")
                .at(place.span, "this one is not beyond the one before it")
                .stops("write them in order, each at a place of its own"));
        }
        run.push((x, cx.get(*height)));
    }
    if !line.smooth {
        return Ok(Run(run));
    }
    let run = smooth(&run);
    match line.points.last() {
        // Both lines together stay under what a step may begin with.
        Some((_, last)) if run.len() > MOST_BEGUN / 2 => Err(Code::TooMuch
            .says("this line bends more than this book follows")
            .at(last.span, "of the line that ends here")
            .stops("fewer points, or points that lie on a calmer line")),
        _ => Ok(Run(run)),
    }
}
