//! `spread`: widens a bar with the tool along it, for little length.

use crate::piece::Section;
use crate::source::Diagnostic;

use super::args::{Form, Hazard};
use super::fire::Heating;
use super::press::{self, Aim, Way};
use super::sizes::{Only, Size, Sizes};
use super::tool::{Law, Tool};
use super::work::{finish, heats_for};
use super::{Bag, Cx, Fault, Key, Sink, Verb, Word, Work};

/// Spreading.
#[derive(Debug)]
pub struct Spread {
    work: Work,
    heating: Heating,
    tool: Tool,
    to: Size,
}

impl Verb for Spread {
    const WORD: Word = Word {
        word: "spread",
        doc: "widens a bar with the tool lying along it: width for little length",
        form: Form::Work,
        clauses: &[Key::Size, Key::With, Key::Heats, Key::At, Key::For, Key::Bite, Key::Spread],
        example: "spread blade to 62 mm wide with peen 12 mm, heats 8",
        hazards: &[Hazard::Fire, Hazard::Press],
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        let tool = Tool::bind(bag);
        let work = bag.work();
        let only = Only { code: "spread_width", what: "a width", sample: "to 62 mm wide" };
        let wanted = to.only(bag, to.wide, &only);
        Some(Spread { work: work?, heating, tool, to: wanted? })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
        let lot = cx.solid(self.work, "spread")?;
        let site = self.work.site.span;
        let wanted = self.to;
        let wide = wanted.cold(cx)?;
        let start = lot.bar.sizes();
        let [_, w0, _] = start;
        if wide <= w0 * (1.0 - 1e-12) {
            return Err(self.already_wider(cx, wide, w0));
        }
        let s = self.tool.along(cx)?;
        if s <= 0.0 {
            let tool = self.tool.spread_span(cx).unwrap_or(site);
            return Err(Box::new(
                Diagnostic::fault(
                    "spread_against_aim",
                    "with a spread of 0 the bar grows no wider",
                    wanted.span,
                    "a width is asked",
                )
                .and(tool, "the spread is set here")
                .help("leave the spread to the law, or set one above 0"),
            ));
        }
        let skin = self.heating.skin(cx, &lot, site)?;
        let heats = match self.heating.stated(cx)? {
            Some(heats) => heats,
            None => heats_for(cx, (wide / w0).ln()),
        };
        let pressed = press::run(start, Aim::Wide(wide, s), Law::Fixed(s), skin, heats)
            .map_err(|burnt| burnt.fault(cx, site))?;
        finish(cx, self.work, lot, &pressed, Way::Flat, Section::Flat)?;
        Ok(())
    }
}

impl Spread {
    fn already_wider<S: Sink>(&self, cx: &Cx<S>, asked: f64, has: f64) -> Fault {
        let words = self.to.span;
        let name = cx.ground.lot_name(self.work.from);
        let made = cx.ground.lots.get(self.work.from.0 as usize).map(|l| l.site).unwrap_or_default();
        let (asked, has) = (cx.mm(asked), cx.mm(has));
        Box::new(
            Diagnostic::fault(
                "already_wider",
                format!("`{name}` is already wider than asked"),
                words,
                format!("asked {asked}; it is {has}"),
            )
            .and(made, format!("it comes out of this step {has} wide"))
            .help("`edge` makes a bar narrower; or leave this step out"),
        )
    }
}
