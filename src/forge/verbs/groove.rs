//! `groove`: cuts grooves across the faces of a bar. Pressed flat afterwards, they bring the layers beneath up: a ladder.

use crate::piece::relief::{Face, Profile};
use crate::quantity::{Angle, Kind, Length, Q};
use crate::source::{Code, Span};

use crate::forge::process::hollow::{self, HOLLOWS, Hollows, Tool, rungs, sized};
use crate::forge::words::args::Hazard;
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Grooves that lean more than this run along the bar and not across it, degrees (project figure).
const MOST_SLANT: f64 = 60.0;

/// Grooving.
pub struct Groove {
    hollows: Hollows,
    across: (Q<Length>, Span),
    slant: Option<Q<Angle>>,
    floor: &'static str,
}

impl Works for Groove {
    const WORD: Word = Word {
        word: "groove",
        doc: "cuts grooves across a face, through the layers; pressed flat afterwards they show as rungs",
        clauses: &[HOLLOWS, &[Key::Across, Key::Floor, Key::Slant]],
        example: "groove billet every 12 mm, 6 mm across, 2 mm deep, both faces, staggered",
        hazards: &[Hazard::Grind],
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        // `6 mm wide` says as much as `6 mm across`.
        let across = bag.take(Key::Across).or_else(|| bag.take(Key::Size).filter(|size| size.says("wide")));
        let across = across.and_then(|clause| Some((bag.figure(&clause, "across")?, clause.span)));
        let floor = bag.take(Key::Floor);
        let floor = floor.and_then(|f| f.which(&[("vee", "vee"), ("flat", "flat")])).unwrap_or("round");
        let slant = bag.opt(Key::Slant);
        let help =
            format!("say it in full, as in `groove {} every 12 mm, 6 mm across, 2 mm deep`", bag.name.text);
        let hollows = Hollows::bind(bag, across.is_some(), &help);
        Some(Groove { hollows: hollows?, across: across?, slant, floor })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let what = "grooves";
        let lot = cx.hollow(work)?;
        cx.shapeless(&lot, work)?;
        let (across, deep) = (sized(cx, self.across.0)?, self.hollows.deep(cx)?);
        let slant = self.slant(cx)?.to_radians();
        let profile = match self.floor {
            "vee" => Profile::vee(across, deep),
            "flat" => Profile::Flat { deep, r: across / 2.0 },
            _ => Profile::round(across, deep),
        };
        let tool = Tool { what, wide: self.across.1 };
        let pitch = self.hollows.pitch(cx, tool, across / slant.cos(), &lot.bar)?;
        let top = Face { profile, layout: rungs(&lot.bar, pitch, slant) };
        let faces = self.hollows.faces(top, [pitch / 2.0, 0.0]);
        hollow::cut(cx, (work, lot), faces, (what, self.hollows.words(cx)))
    }
}

impl Groove {
    /// How far the grooves lean, degrees.
    fn slant<S: Sink>(&self, cx: &Cx<S>) -> Outcome<f64> {
        let Some(q) = self.slant else { return Ok(0.0) };
        let slant = cx.get(q);
        if slant.abs() <= MOST_SLANT {
            return Ok(slant);
        }
        let (shown, most) = (cx.shown(slant, Kind::ANGLE), cx.shown(MOST_SLANT, Kind::ANGLE));
        Err(Code::HollowsHow
            .says(format!("grooves lean up to {most} from straight across"))
            .at(cx.span(q), format!("this is {shown}"))
            .stops("ask for less"))
    }
}
