//! `edge`: forges a bar on edge. It grows narrower, and a little thicker.

use crate::piece::{Lot, Section};

use super::args::{Form, Hazard};
use super::fire::Heating;
use super::press::{self, Aim, Way};
use super::sizes::{Only, Size, Sizes};
use super::tool::{Bites, Tool};
use super::work::{finish, heats_for, not_smaller, slender, warn_skin};
use super::{Bag, Cx, Fault, Key, Sink, Verb, Word, Work};

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
        doc: "forges a bar on edge: narrower, a little thicker, longer",
        form: Form::Work,
        clauses: &[Key::Size, Key::Heats, Key::At, Key::For, Key::With, Key::Bite, Key::Spread],
        example: "edge billet to 38 mm wide",
        hazards: &[Hazard::Fire, Hazard::Press],
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        let tool = Tool::bind(bag);
        let work = bag.work();
        let only = Only { code: "edge_width", what: "a width", sample: "to 38 mm wide" };
        let wanted = to.only(bag, to.wide, &only);
        Some(Edge { work: work?, heating, tool, to: wanted? })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
        let lot = cx.solid(self.work, "edge")?;
        let site = self.work.site.span;
        let wanted = self.to;
        let wide = wanted.cold(cx)?;
        let Lot { bar, .. } = lot;
        if wide > bar.wide * (1.0 + 1e-12) {
            let help = "`spread` makes a bar wider; `edge` only narrower";
            return Err(not_smaller(cx, wide, bar.wide, wanted.span, self.work, "width", help));
        }
        slender(cx, self.work, "edge", bar.wide, bar.thick, "wide")?;
        let law = self.tool.across(cx, Bites::Half)?;
        let skin = self.heating.skin(cx, &lot, site)?;
        let heats = match self.heating.stated(cx)? {
            Some(heats) => heats,
            None => heats_for(cx, (bar.wide / wide).ln()),
        };
        let start = Way::OnEdge.order(bar.sizes());
        let pressed =
            press::run(start, Aim::Thick(wide), law, skin, heats).map_err(|burnt| burnt.fault(cx, site))?;
        finish(cx, self.work, lot, &pressed.on_edge(), Way::OnEdge, Section::Flat)?;
        warn_skin(cx, self.work, &pressed, Way::OnEdge, wide, wanted.span);
        Ok(())
    }
}
