//! `edge`: forges a bar on edge. It grows narrower, and a little thicker.

use crate::piece::{Lot, Section};
use crate::source::Code;

use crate::forge::process::fire::Heating;
use crate::forge::process::press::{Aim, Schedule, Way};
use crate::forge::process::work::{begin, finish, heats_for, not_smaller, slender, warn_skin};
use crate::forge::words::args::{Blades, Fire, Form, Hazard, Makes};
use crate::forge::words::sizes::{Only, Size, Sizes};
use crate::forge::words::tool::{Bites, Tool};
use crate::forge::{Bag, Cx, Fault, Key, Sink, Verb, Word, Work};

/// Forging on edge.
#[derive(Debug)]
pub struct Edge {
    work: Work,
    heating: Heating,
    tool: Tool,
    to: Size,
}

impl Verb for Edge {
    const WORD: Word = Word {
        word: "edge",
        said: &[],
        doc: "forges a bar on edge: narrower, a little thicker, longer",
        form: Form::Work,
        clauses: &[Key::Size, Key::Heats, Key::At, Key::For, Key::With, Key::Bite, Key::Spread],
        example: "edge billet to 38 mm wide",
        hazards: &[Hazard::Fire, Hazard::Press],
        makes: Makes::Worked,
        blades: Blades::Never,
        fire: Fire::Forge,
        takes_off: false,
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        let tool = Tool::bind(bag);
        let work = bag.work();
        let only = Only { code: Code::EdgeWidth, what: "a width", sample: "to 38 mm wide" };
        let wanted = to.only(bag, to.wide, &only);
        Some(Edge { work: work?, heating, tool, to: wanted? })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
        let lot = cx.solid(self.work)?;
        let site = self.work.site.span;
        let wanted = self.to;
        let wide = wanted.cold(cx)?;
        let Lot { bar, .. } = lot;
        if wide > bar.wide * (1.0 + 1e-12) {
            let help = "`spread` makes a bar wider; `edge` only narrower";
            return Err(not_smaller(cx, wide, bar.wide, wanted.span, self.work, "width", help));
        }
        slender(cx, self.work, "edge", bar.wide, bar.thick, "wide")?;
        let grip = self.tool.across(cx, Bites::Half)?;
        let mut shift = begin(cx, self.work, &lot, &self.heating, grip, [wide, bar.thick], None)?;
        let law = shift.grip.map_or(grip.law(), |g| g.law());
        let heats = match self.heating.stated(cx)? {
            Some(heats) => heats,
            None => {
                let end = [bar.thick, wide, bar.volume() / (bar.thick * wide)];
                heats_for(cx, &lot, &mut shift, end, (bar.wide / wide).ln(), 1)
            }
        };
        let start = Way::OnEdge.order(bar.sizes());
        let schedule =
            Schedule { start, law, skin: shift.hot.skin, heats, minutes: shift.hot.minutes, books: S::KEEPS };
        let pressed = schedule.run(Aim::Thick(wide)).map_err(|burnt| burnt.fault(cx, site))?;
        finish(cx, self.work, lot, &pressed.on_edge(), Way::OnEdge, Section::Flat, &shift)?;
        warn_skin(cx, self.work, &pressed, Way::OnEdge, wide, wanted.span);
        Ok(())
    }
}
