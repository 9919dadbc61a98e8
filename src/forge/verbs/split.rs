//! `split`: drives a wedge through the middle of a bar, which drags the layers down with it. Welded again, tipped and drawn, they show
//! as a plume along the middle: a feather.

use crate::piece::{Axis, Bar, Cause, Cut, PartName, Section, warp};
use crate::quantity::{Length, Q};
use crate::source::Code;

use crate::forge::process::bars::pile;
use crate::forge::process::fire::Heating;
use crate::forge::process::shaping::above_nothing;
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Hazard, Makes, Usual};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// How far the layers go down in the middle, as a share of the thickness, where nobody says (project figure).
const DRAG: f64 = 0.2;
/// How far to the side of the wedge a third of that is met, as a share of the width, where nobody says (project figure).
const REACH: f64 = 1.0 / 6.0;
/// What comes off each of the two faces before they are welded where nobody says, mm (project figure).
const DRESSED: f64 = 1.0;

/// Splitting.
pub struct Split {
    heating: Heating,
    drag: Option<Q<Length>>,
    reach: Option<Q<Length>>,
    dressed: Option<Q<Length>>,
    part: PartName,
}

impl Works for Split {
    const WORD: Word = Word {
        word: "split",
        doc: "drives a wedge through the middle of the width, from the top, which drags the layers down: two halves side by side, a loose stack to weld",
        clauses: &[&[Key::Drag, Key::Reach, Key::Dressed, Key::Heats, Key::At, Key::For]],
        example: "split block, drag 10 mm, reach 8 mm",
        heats: Some(Usual { what: "heats of a split", heats: 1, note: "", source: "project figure" }),
        hazards: &[Hazard::Fire, Hazard::Press, Hazard::Grind],
        makes: Makes::Laid,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let (drag, reach, dressed) = (bag.opt(Key::Drag), bag.opt(Key::Reach), bag.opt(Key::Dressed));
        let heating = Heating::bind(bag);
        let name = bag.name.text.clone();
        let part = bag.scope.part(&name);
        Some(Split { heating, drag, reach, dressed, part })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.solid(work)?;
        let heats = self.heating.heats(cx, work)?;
        let (mut lot, _) = rest(cx, work, lot, &self.heating, heats)?;
        let before = lot.bar;
        let [thick, wide, long] = before.sizes();
        let drag = cx.length_or(self.drag, "drag of a wedge", DRAG * thick, "project figure")?;
        let reach = match self.reach {
            Some(q) => above_nothing(cx, q)?,
            None => cx.get_or::<Length>(None, "reach of a wedge", REACH * wide, "project figure"),
        };
        let dressed = cx.length_or(self.dressed, "dressed off each split face", DRESSED, "project figure")?;
        if drag >= thick || 2.0 * dressed >= wide {
            return Err(self.too_much(cx, work, &before, drag, dressed));
        }
        let form = warp::Drag::Wedge(reach / wide);
        let far = drag / thick;
        let shear = warp::Shear { along: Axis::Thickness, by: Axis::Width, far, drag: form, size: thick };
        let node = cx.makeup.shear(before.node, shear);
        let whole = Bar { node, thick: thick - drag, section: Section::Flat, ..before };
        let inner = dressed / wide;
        let halves = [(0.0, 0.5 - inner), (0.5 + inner, 1.0)].map(|side| {
            let window: Cut = [(0.0, 1.0), side, (0.0, 1.0)];
            let node = cx.makeup.cut(whole.node, window, whole.sizes());
            Bar { node, wide: (side.1 - side.0) * wide, ..whole }
        });
        lot.bar = pile(cx, Axis::Width, halves.iter().map(|half| (half, self.part)), work.site)?;
        // Both lie as long as they were: a pile's own length is that of its first.
        lot.bar.long = long;
        let mass = |cx: &Cx<S>, bar: &Bar| bar.volume() * cx.makeup.bar_density(bar);
        let off = mass(cx, &before) - mass(cx, &lot.bar);
        cx.lose(work.to, Cause::Ground, off, lot.count);
        cx.resized(work.to, Cause::Ground, &before, &lot.bar);
        let shown = || {
            let (drag, reach) =
                (crate::quantity::trim_number(drag, 1), crate::quantity::trim_number(reach, 1));
            format!(
                "{drag} mm in the middle, a third of that {reach} mm beside it; as much comes off top and bottom"
            )
        };
        cx.book.assume("layers under a wedge", shown, "geometry, project figure");
        cx.put(work.to, lot, work.site)
    }
}

impl Split {
    fn too_much<S: Sink>(&self, cx: &Cx<S>, work: Work, bar: &Bar, drag: f64, dressed: f64) -> Fault {
        let words = |q: Option<Q<Length>>| q.map_or(work.site, |q| cx.span(q));
        let made = cx.made(work.from);
        if drag >= bar.thick {
            let (drag, thick, fits) = (cx.mm(drag), cx.mm(bar.thick), cx.mm_within(DRAG * bar.thick));
            return Code::SplitHow
                .says("the wedge drags the layers by more than there is of them")
                .at(words(self.drag), format!("{drag} down"))
                .and(made, format!("it is {thick} thick there"))
                .stops(format!("a fifth of the thickness is usual here (project figure): `drag {fits}`"));
        }
        let (dressed, wide) = (cx.mm(2.0 * dressed), cx.mm(bar.wide));
        Code::SplitHow
            .says("dressing the split leaves nothing of its halves")
            .at(words(self.dressed), format!("{dressed} comes off in all"))
            .and(made, format!("it is {wide} wide there"))
            .stops("take less off: about `dressed 1 mm` (project figure)")
    }
}
