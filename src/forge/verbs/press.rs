//! `press`: presses a bar with hollows flat, or rods into the faces of a level one.

use crate::piece::Section;
use crate::piece::relief::{Face, Profile};
use crate::quantity::{Length, Q};
use crate::source::{Code, Span};

use crate::forge::process::fire::Heating;
use crate::forge::process::hollow::{self, HOLLOWS, Hollows, Tool as Rod, rungs, sized};
use crate::forge::process::press::{Aim, Way};
use crate::forge::process::pressing::{Pressing, no_bigger};
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::Usual;
use crate::forge::words::sizes::{Only, Size, Sizes};
use crate::forge::words::tool::{Bites, FORGING, Tool};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// Pressing.
pub struct Press {
    heating: Heating,
    way: How,
}

#[derive(Debug)]
enum How {
    Flat { tool: Tool, to: Option<Size> },
    Rods { hollows: Hollows, rod: (Q<Length>, Span) },
}

impl Works for Press {
    const WORD: Word = Word {
        word: "press",
        doc: "presses a bar with hollows flat, hills down and valleys up; or presses rods into its faces",
        clauses: &[&[Key::Floor, Key::Size], FORGING, &[Key::Rods], HOLLOWS],
        example: "press billet flat to 8 mm thick, heats 2",
        heats: Some(Usual { what: "heats to press rods in", heats: 1, note: "", source: "project figure" }),
        forms: &[
            "press billet flat",
            "press billet flat to 8 mm thick",
            "press billet with rods 6 mm, every 12 mm, 2 mm deep, both faces, staggered",
        ],
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let heating = Heating::bind(bag);
        let flat = bag.take(Key::Floor).filter(|floor| floor.says("flat"));
        let rods = bag.take(Key::Rods);
        let words = |clause: &Option<crate::forge::Clause>| clause.as_ref().map(|c| c.span);
        let message = "a bar is pressed flat, or rods are pressed into it";
        bag.clash(Code::PressFlat, message, (words(&flat), "flat here"), (words(&rods), "with rods here"));
        let name = bag.name.text.clone();
        if let Some(clause) = rods {
            let rod = bag.figure(&clause, "with rods").map(|q| (q, clause.span));
            let help = format!("say it in full, as in `press {name} with rods 6 mm, every 12 mm, 2 mm deep`");
            let hollows = Hollows::bind(bag, rod.is_some(), &help);
            return Some(Press { heating, way: How::Rods { hollows: hollows?, rod: rod? } });
        }
        let tool = Tool::bind(bag);
        let sizes = Sizes::bind(bag);
        if flat.is_none() {
            let help = format!(
                "say it in full, as in `press {name} flat`, or `press {name} with rods 6 mm, every 12 mm, 2 mm deep`; to press a level bar thinner, `draw {name} to 8 mm thick`"
            );
            bag.unsaid(Code::PressFlat, "this does not say how to press", "flat, or with rods", help);
            return None;
        }
        let only = Only { code: Code::PressFlat, what: "a thickness", sample: "flat to 8 mm thick" };
        let to = match sizes.span {
            Some(_) => Some(sizes.only(bag, sizes.thick, &only)?),
            None => None,
        };
        Some(Press { heating, way: How::Flat { tool, to } })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        match &self.way {
            How::Flat { tool, to } => self.flat(cx, work, tool, *to),
            How::Rods { hollows, rod } => self.rods(cx, work, hollows, *rod),
        }
    }
}

impl Press {
    fn flat<S: Sink>(&self, cx: &mut Cx<S>, work: Work, tool: &Tool, to: Option<Size>) -> Outcome {
        let mut lot = cx.hollow(work)?;
        cx.shapeless(&lot, work)?;
        let asked = to.map(|to| to.cold(cx)).transpose()?;
        let words = to.map_or(work.site, |to| to.span);
        let Some(levelled) = hollow::level(cx, work, &mut lot) else {
            return Err(self.is_level(cx, work, asked));
        };
        let [t0, w0, l0] = lot.bar.sizes();
        let Some(thick) = asked.or_else(|| levelled.both_floors()) else {
            return Err(self.no_floors(cx, work, t0));
        };
        if thick > t0 * (1.0 + 1e-12) && thick <= levelled.hills {
            return Err(self.too_high(cx, work, (thick, words), t0, levelled.both_floors().is_some()));
        }
        let help = "a press never thickens a bar: ask for less";
        no_bigger(cx, work, (thick, words), t0, "thickness", help)?;
        let grip = tool.across(cx, Bites::Half)?;
        let wide =
            |law: crate::forge::process::grip::Law| w0 * (t0 / thick).powf(law.coefficient(w0, t0, thick));
        let mut pressing =
            Pressing::begin(cx, (work, lot), &self.heating, grip, Way::Flat, [thick, wide(grip.law())])?;
        let law = pressing.law;
        // The hills go all the way down.
        let way = || ([thick, wide(law), t0 * w0 * l0 / (thick * wide(law))], (levelled.hills / thick).ln());
        let heats = pressing.heats(cx, way, 1);
        let pressed = pressing.press(cx, heats, Aim::Thick(thick))?;
        let lot = pressing.finish(cx, &pressed, Section::Flat)?;
        pressing.warn_skin(cx, &pressed, thick, words);
        levelled.warn(cx, lot.bar.thick, words);
        Ok(())
    }

    fn rods<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        hollows: &Hollows,
        (rod, words): (Q<Length>, Span),
    ) -> Outcome {
        let what = "rods";
        let lot = cx.solid(work)?;
        let (across, deep) = (sized(cx, rod)?, hollows.deep(cx)?);
        let profile = Profile::ball(across, deep);
        let pitch = hollows.pitch(cx, Rod { what, wide: words }, 2.0 * profile.reach(), &lot.bar)?;
        let heats = self.heating.heats(cx, work)?;
        let (lot, _) = rest(cx, work, lot, &self.heating, heats)?;
        let top = Face { profile, layout: rungs(&lot.bar, pitch, 0.0) };
        let faces = hollows.faces(top, [pitch / 2.0, 0.0]);
        let shown = || "hills rise by what goes down; the length that dies give is left out".to_owned();
        cx.book.assume("length and width under rods", shown, "geometry");
        hollow::press_in(cx, (work, lot), faces, (what, hollows.words(cx)))
    }

    fn is_level<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: Option<f64>) -> Fault {
        let name = cx.ground.lot_name(work.from);
        let draw =
            asked.map_or("`draw` it".to_owned(), |asked| format!("`draw {name} to {} thick`", cx.mm(asked)));
        Code::PressFlat
            .says(format!("`{name}` is level: nothing is to be pressed flat"))
            .at(work.site, "it has no hollows")
            .and(cx.made(work.from), "it comes out of this step level")
            .stops(format!("to make it thinner, {draw}; hollows are made by `groove`, `drill` or rods"))
    }

    fn no_floors<S: Sink>(&self, cx: &Cx<S>, work: Work, mean: f64) -> Fault {
        let name = cx.ground.lot_name(work.from);
        let within = cx.mm_within(mean);
        Code::PressFlat
            .says(format!("no thickness of `{name}` reaches both floors of its hollows"))
            .at(work.site, "the floors of the two faces lie past each other")
            .and(cx.made(work.from), "its hollows are made here")
            .stops(format!("say how thick it is to be, {within} or less; or make the hollows less deep: a third of the thickness is common practice"))
    }

    fn too_high<S: Sink>(
        &self,
        cx: &Cx<S>,
        work: Work,
        (asked, words): (f64, Span),
        mean: f64,
        floors: bool,
    ) -> Fault {
        let more = if floors { "; left out, it goes down to the floors" } else { "" };
        let name = cx.ground.lot_name(work.from);
        let (asked, mean, within) = (cx.mm(asked), cx.mm(mean), cx.mm_within(mean));
        Code::PressFlat
            .says(format!("`{name}` has not the steel to be level at this thickness"))
            .at(words, format!("asked {asked}; level it is {mean}"))
            .and(cx.made(work.from), "its hollows are made here")
            .stops(format!("ask for {within} or less{more}"))
    }
}
