//! `open`: cuts a bar from both faces by turns, and opens it like an accordion: its end grain comes to lie on the face, mirrored from cut to
//! cut.

use crate::piece::PartName;
use crate::quantity::{Length, Q};
use crate::source::{Code, Span};

use crate::forge::process::fire::Heating;
use crate::forge::process::slices::{self, Slices};
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Hazard, Makes, Usual};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// How wide a cut's mouth is where nobody says, mm (project figure).
const KERF: f64 = 2.0;
/// What a cut leaves at the other face, as a share of the thickness, where nobody says (project figure).
const WEB: f64 = 1.0 / 3.0;

/// Opening.
pub struct Open {
    heating: Heating,
    every: (Q<Length>, Span),
    web: Option<Q<Length>>,
    kerf: Option<Q<Length>>,
    part: PartName,
}

impl Works for Open {
    const WORD: Word = Word {
        word: "open",
        doc: "cuts a bar from both faces by turns, and opens it like an accordion: its end grain comes to lie on the face",
        clauses: &[&[Key::Every, Key::Web, Key::Kerf, Key::Heats, Key::At, Key::For]],
        example: "open loaf every 12 mm, web 6 mm, heats 3",
        heats: Some(Usual { what: "heats to open a bar", heats: 2, note: "", source: "project figure" }),
        hazards: &[Hazard::Saw, Hazard::Fire, Hazard::Press],
        mark: "before: punch the heel's end once, beside the face that is up; behind it that end lies below, and that face is the new heel's end",
        makes: Makes::Laid,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let every = bag.take(Key::Every);
        let every = every.and_then(|clause| Some((bag.figure(&clause, "every")?, clause.span)));
        let (web, kerf) = (bag.opt(Key::Web), bag.opt(Key::Kerf));
        let heating = Heating::bind(bag);
        let name = bag.name.text.clone();
        let part = bag.scope.part(&name);
        if every.is_none() {
            let help = format!("say it in full, as in `open {name} every 12 mm`");
            bag.unsaid(
                Code::OpenHow,
                "this does not say how far apart the cuts are",
                "a cut every how many",
                help,
            );
        }
        Some(Open { heating, every: every?, web, kerf, part })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.solid(work)?;
        let (every, words) = self.every;
        let every =
            cx.above_nothing(every, words, "cuts lie some way apart", "write it above nothing: `12 mm`")?;
        let heats = self.heating.heats(cx, work)?;
        let (lot, _) = rest(cx, work, lot, &self.heating, heats)?;
        let thick = lot.bar.thick;
        let web = cx.length_or(self.web, "web under a cut", WEB * thick, "project figure")?;
        let mouth = cx.length_or(self.kerf, "mouth of a cut", KERF, "project figure")?;
        if web >= thick {
            return Err(self.nothing_opens(cx, work, web, thick));
        }
        // A wedge from its mouth to nothing at the web: half of it over the depth, told over the whole thickness.
        let gap = mouth * (thick - web) / (2.0 * thick);
        if gap >= every {
            let (mouth, apart) = (cx.mm(mouth), cx.mm(every));
            return Err(Code::OpenHow
                .says("the cuts leave nothing between them")
                .at(words, format!("{apart} from one to the next"))
                .and(
                    self.kerf.map_or(work.site, |q| cx.span(q)),
                    format!("each is {mouth} wide at its mouth"),
                )
                .stops(format!(
                    "lay them further apart: over all of the thickness {} goes in each",
                    cx.mm(gap)
                )));
        }
        if web > every {
            let (shown, most) = (cx.mm(web), cx.mm_within(every));
            let site = self.web.map_or(work.site, |q| cx.span(q));
            cx.book.warn(|| {
                Code::ThickWeb
                    .says("the webs are thicker than what lies between the cuts: they stay as lumps when it is opened")
                    .at(site, format!("webs of {shown}"))
                    .and(words, "the cuts are nearer than that")
                    .help(format!("cut deeper: `web {most}` at the most"))
            });
        }
        let slices = Slices { thick: every - gap, gap, mirrored: true, solid: true };
        slices::lay(cx, (work, lot), slices, self.part, words)?;
        Ok(())
    }
}

impl Open {
    fn nothing_opens<S: Sink>(&self, cx: &Cx<S>, work: Work, web: f64, thick: f64) -> Fault {
        let (web, shown, fits) = (cx.mm(web), cx.mm(thick), cx.mm_within(WEB * thick));
        Code::OpenHow
            .says("these webs leave nothing to cut")
            .at(self.web.map_or(work.site, |q| cx.span(q)), format!("webs of {web}"))
            .and(cx.made(work.from), format!("it is {shown} thick there"))
            .stops(format!("a third of the thickness is usual here (project figure): `web {fits}`"))
    }
}
