//! `grind`: only takes away. Nothing moves.

use crate::piece::{Cause, Lot, Section};
use crate::quantity::{Length, Q};
use crate::source::Code;

use crate::forge::process::hollow;
use crate::forge::process::pressing::no_bigger;
use crate::forge::process::shaping::take_down;
use crate::forge::process::solid::{shell, take_off};
use crate::forge::words::args::{Blades, Hazard};
use crate::forge::words::sizes::{Size, Sizes};
use crate::forge::{Bag, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// What to do where there is less steel than asked.
const TAKES_AWAY: &str = "a grinder only takes away: leave more steel before, or ask for less";

/// Grinding.
pub struct Grind {
    faces: Option<Q<Length>>,
    edges: Option<Q<Length>>,
    ends: Option<Q<Length>>,
    bevels: Option<Q<Length>>,
    to: Sizes,
}

impl Works for Grind {
    const WORD: Word = Word {
        word: "grind",
        said: &["clean", "sand"],
        doc: "takes steel off faces, edges or ends; layers ground through leave the bands",
        clauses: &[&[Key::Faces, Key::Edges, Key::Ends, Key::Bevels, Key::Size]],
        example: "grind billet faces 0.4 mm, edges 1 mm",
        hazards: &[Hazard::Grind],
        blades: Blades::Works,
        takes_off: true,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let (faces, edges, ends) = (bag.take(Key::Faces), bag.take(Key::Edges), bag.take(Key::Ends));
        let bevels = bag.opt(Key::Bevels);
        let to = Sizes::bind(bag);
        for (by, size) in [(&faces, to.thick), (&edges, to.wide)] {
            let message = "grinding goes by an amount or to a size, not both";
            let by = (by.as_ref().map(|c| c.span), "by an amount here");
            bag.clash(Code::GrindAskedTwice, message, by, (size.map(|s| s.span), "to a size here"));
        }
        if let Some(other) = to.long.or(to.section.map(|s| s.1)) {
            let help = "to length: `cut`, or `grind … ends 2 mm`; to an outline: `draw … to 12 mm square`";
            let fault = Code::GrindSize.says("grinding goes to a thickness or a width");
            bag.fault(fault.at(other.span, "not to this").help(help));
        }
        let nothing =
            faces.is_none() && edges.is_none() && ends.is_none() && bevels.is_none() && to.span.is_none();
        let mut typed = |clause: Option<crate::forge::Clause>, word| {
            clause.and_then(|c| c.slots().next()).and_then(|s| bag.typed(s, word))
        };
        let (faces, edges, ends) = (typed(faces, "faces"), typed(edges, "edges"), typed(ends, "ends"));
        if nothing {
            let (message, what) = ("this does not say what to grind", "how much, and where");
            let help = format!(
                "say it in full, as in `grind {} faces 0.4 mm, edges 1 mm`: so much off each side",
                bag.name.text
            );
            bag.unsaid(Code::GrindNothing, message, what, help);
            return None;
        }
        Some(Grind { faces, edges, ends, bevels, to })
    }

    fn moved(&self, [thick, wide, long]: Moved) -> Moved {
        let faces = self.faces.is_some() || self.to.thick.is_some();
        let edges = self.edges.is_some() || self.to.wide.is_some();
        [thick && !faces, wide && !edges, long && self.ends.is_none()]
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let mut lot = cx.hollow(work)?;
        if lot.bar.relief.is_some() && self.edges.or(self.ends).or(self.to.wide.map(|to| to.q)).is_none() {
            let thick = self.after(cx, work, lot.bar.thick, self.faces, self.to.thick, "thick")?;
            return hollow::grind(cx, (work, lot), thick);
        }
        cx.level(&lot, work)?;
        if lot.bar.blade.is_some() {
            return self.blade(cx, work, lot);
        }
        if let Some(q) = self.bevels {
            return Err(self.no_bevels(cx, work, q));
        }
        let before = lot.bar;
        let sizes = before.sizes();
        let after = [
            self.after(cx, work, before.thick, self.faces, self.to.thick, "thick")?,
            self.after(cx, work, before.wide, self.edges, self.to.wide, "wide")?,
            self.after(cx, work, before.long, self.ends, None, "long")?,
        ];
        cx.book.origin(work.to, work.from);
        let mut kept = [1.0; 3];
        for ((kept, after), before) in kept.iter_mut().zip(after).zip(sizes) {
            *kept = after / before;
        }
        take_off(cx, work.to, &mut lot, shell(kept), Cause::Ground, before.volume(), sizes);
        [lot.bar.thick, lot.bar.wide, lot.bar.long] = after;
        if lot.bar.thick != before.thick || lot.bar.wide != before.wide {
            lot.bar.section = Section::Flat;
        }
        // The grinder takes the skin that has lost its carbon first.
        let off = [before.thick - lot.bar.thick, before.wide - lot.bar.wide];
        lot.bar.past.strip(off.map(|both| both / 2.0));
        cx.resized(work.to, Cause::Ground, &before, &lot.bar);
        cx.put(work.to, lot, work.site)
    }
}

impl Grind {
    /// Grinds a shaped blade.
    fn blade<S: Sink>(&self, cx: &mut Cx<S>, work: Work, mut lot: Lot) -> Outcome {
        let before = cx.makeup.shape(&lot.bar).into_owned();
        let mut after = before.clone();
        let each = |q: Option<Q<Length>>| -> Outcome<f64> {
            Ok(q.map(|q| cx.length(q)).transpose()?.map_or(0.0, |d| (d + cx.habit.grinding).max(0.0)))
        };
        let (faces, edges, ends, bevels) =
            (each(self.faces)?, each(self.edges)?, each(self.ends)?, each(self.bevels)?);
        if let Some(to) = self.to.wide {
            return Err(Code::GrindSize
                .says("a blade is not of one width any more")
                .at(to.span, "to a width")
                .stops("cut its outline with `profile`, or take so much off with `edges 1 mm`"));
        }
        if let Some(to) = self.to.thick {
            let asked = to.cold(cx)?;
            let [_, has] = after.greatest();
            no_bigger(cx, work, (asked, to.span), has, "thickness", TAKES_AWAY)?;
            let (start, tip) = (after.start(), after.tip());
            after.thin((start, asked), (tip, asked));
        }
        after.skin_faces(faces);
        after.skin_bevels(bevels);
        after.skin_edges(edges, edges);
        if ends > 0.0 {
            after.skin_ends(ends);
        }
        cx.book.origin(work.to, work.from);
        take_down(cx, work, &mut lot, (&before, after), Cause::Ground)?;
        lot.bar.past.strip([faces.max(bevels), edges]);
        cx.put(work.to, lot, work.site)
    }

    fn no_bevels<S: Sink>(&self, cx: &Cx<S>, work: Work, q: Q<Length>) -> Fault {
        let name = cx.ground.lot_name(work.from);
        Code::GrindBevels
            .says(format!("`{name}` has no bevels yet"))
            .at(cx.span(q), "off its bevels")
            .stops(format!("bevel it first: `bevel {name} edge 0.6 mm, height 30 mm, ground`"))
    }

    /// The size that is left along one axis, mm.
    fn after<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        has: f64,
        off: Option<Q<Length>>,
        to: Option<Size>,
        word: &str,
    ) -> Outcome<f64> {
        if let Some(to) = to {
            let asked = to.cold(cx)?;
            let what = if word == "thick" { "thickness" } else { "width" };
            no_bigger(cx, work, (asked, to.span), has, what, TAKES_AWAY)?;
            return Ok(asked);
        }
        let Some(q) = off else { return Ok(has) };
        let each = cx.length(q)?;
        let left = has - 2.0 * (each + cx.habit.grinding).max(0.0);
        if left > 0.0 {
            return Ok(left);
        }
        let (each, has, most) = (cx.mm(each), cx.mm(has), cx.mm(has / 2.0));
        Err(Code::GroundAway
            .says("this would grind the whole bar away")
            .at(cx.span(q), format!("{each} off each side; the bar is {has} {word}"))
            .and(cx.made(work.from), format!("it comes out of this step {has} {word}"))
            .stops(format!("both sides are ground: less than {most} each leaves something")))
    }
}
