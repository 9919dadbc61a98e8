//! `spread`: widens a bar with the tool along it, for little length.

use crate::piece::Section;
use crate::source::{Code, Diagnostic};

use crate::forge::process::fire::Heating;
use crate::forge::process::grip::Law;
use crate::forge::process::press::{Aim, Schedule, Way};
use crate::forge::process::work::{begin, finish, heats_for};
use crate::forge::words::args::{Blades, Fire, Form, Hazard, Makes};
use crate::forge::words::sizes::{Only, Size, Sizes};
use crate::forge::words::tool::Tool;
use crate::forge::{Bag, Cx, Fault, Key, Sink, Verb, Word, Work};

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
        said: &["widen"],
        doc: "widens a bar with the tool lying along it: width for little length",
        form: Form::Work,
        clauses: &[Key::Size, Key::With, Key::Heats, Key::At, Key::For, Key::Bite, Key::Spread],
        example: "spread blade to 62 mm wide with peen 12 mm, heats 8",
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
        let only = Only { code: Code::SpreadWidth, what: "a width", sample: "to 62 mm wide" };
        let wanted = to.only(bag, to.wide, &only);
        Some(Spread { work: work?, heating, tool, to: wanted? })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
        let lot = cx.solid(self.work)?;
        let site = self.work.site.span;
        let wanted = self.to;
        let wide = wanted.cold(cx)?;
        let start = lot.bar.sizes();
        let [_, w0, _] = start;
        if wide <= w0 * (1.0 - 1e-12) {
            return Err(self.already_wider(cx, wide, w0));
        }
        let grip = self.tool.along(cx)?;
        let coefficient = |law: Law| law.coefficient(w0, 1.0, 1.0);
        if coefficient(grip.law()) <= 0.0 {
            let tool = self.tool.spread_span(cx).unwrap_or(site);
            return Err(Box::new(
                Diagnostic::new(
                    Code::SpreadAgainstAim,
                    "with a spread of 0 the bar grows no wider",
                    wanted.span,
                    "a width is asked",
                )
                .and(tool, "the spread is set here")
                .help("leave the spread to the law, or set one above 0"),
            ));
        }
        let ends = |law: Law| {
            let [t0, w0, l0] = start;
            let thick = t0 * (-(wide / w0).ln() / coefficient(law)).exp();
            [thick, wide, t0 * w0 * l0 / (thick * wide)]
        };
        let [thick, ..] = ends(grip.law());
        let mut shift = begin(cx, self.work, &lot, &self.heating, grip, [thick, wide], None)?;
        let law = shift.grip.map_or(grip.law(), |g| g.law());
        let heats = match self.heating.stated(cx)? {
            Some(heats) => heats,
            None => {
                // A machine presses the thickness down; where none counts, the widening is what is asked.
                let strain =
                    if grip.rig.is_some() { (start[0] / ends(law)[0]).ln() } else { (wide / w0).ln() };
                heats_for(cx, &lot, &mut shift, ends(law), strain, 1)
            }
        };
        let schedule =
            Schedule { start, law, skin: shift.hot.skin, heats, minutes: shift.hot.minutes, books: S::KEEPS };
        let pressed =
            schedule.run(Aim::Wide(wide, coefficient(law))).map_err(|burnt| burnt.fault(cx, site))?;
        finish(cx, self.work, lot, &pressed, Way::Flat, Section::Flat, &shift)?;
        Ok(())
    }
}

impl Spread {
    fn already_wider<S: Sink>(&self, cx: &Cx<S>, asked: f64, has: f64) -> Fault {
        let words = self.to.span;
        let name = cx.ground.lot_name(self.work.from);
        let made = cx.made(self.work.from);
        let (asked, has) = (cx.mm(asked), cx.mm(has));
        Box::new(
            Diagnostic::new(
                Code::AlreadyWider,
                format!("`{name}` is already wider than asked"),
                words,
                format!("asked {asked}; it is {has}"),
            )
            .and(made, format!("it comes out of this step {has} wide"))
            .help("`edge` makes a bar narrower; or leave this step out"),
        )
    }
}
