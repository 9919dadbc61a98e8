//! `upset`: shortens a bar end to end. Thickness and width grow alike.

use crate::piece::Section;
use crate::source::Code;

use crate::forge::process::fire::Heating;
use crate::forge::process::press::{Aim, Schedule, Way};
use crate::forge::process::work::{begin, finish, heats_for, not_smaller, slender};
use crate::forge::words::args::{Blades, Fire, Form, Hazard, Makes};
use crate::forge::words::sizes::{Only, Size, Sizes};
use crate::forge::words::tool::Tool;
use crate::forge::{Bag, Cx, Fault, Key, Sink, Verb, Word, Work};

/// Upsetting.
#[derive(Debug)]
pub struct Upset {
    work: Work,
    heating: Heating,
    tool: Tool,
    to: Size,
}

impl Verb for Upset {
    const WORD: Word = Word {
        word: "upset",
        said: &["bump"],
        doc: "shortens a bar end to end: thicker and wider alike",
        form: Form::Work,
        clauses: &[Key::Size, Key::Heats, Key::At, Key::For, Key::With, Key::Bite, Key::Spread],
        example: "upset billet to 120 mm long",
        hazards: &[Hazard::Fire, Hazard::Press],
        makes: Makes::Worked,
        blades: Blades::Never,
        fire: Fire::Forge,
        takes_off: false,
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let to = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        // The tool covers the whole end: its sizes are understood and change nothing.
        let tool = Tool::bind(bag);
        let work = bag.work();
        let only = Only { code: Code::UpsetLength, what: "a length", sample: "to 120 mm long" };
        let wanted = to.only(bag, to.long, &only);
        Some(Upset { work: work?, heating, tool, to: wanted? })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
        let lot = cx.solid(self.work)?;
        let site = self.work.site.span;
        let wanted = self.to;
        let long = wanted.cold(cx)?;
        let bar = lot.bar;
        if long > bar.long * (1.0 + 1e-12) {
            let help = "`draw` makes a bar longer; `upset` only shorter";
            return Err(not_smaller(cx, long, bar.long, wanted.span, self.work, "length", help));
        }
        slender(cx, self.work, "upset", bar.long, bar.thick.min(bar.wide), "long")?;
        let grip = self.tool.ends(cx)?;
        let mut shift = begin(cx, self.work, &lot, &self.heating, grip, [bar.thick, bar.wide], None)?;
        let heats = match self.heating.stated(cx)? {
            Some(heats) => heats,
            None => {
                let grow = (bar.long / long).sqrt();
                let end = [bar.thick * grow, bar.wide * grow, long];
                heats_for(cx, &lot, &mut shift, end, (bar.long / long).ln(), 1)
            }
        };
        let (skin, minutes) = (shift.hot.skin, shift.hot.minutes);
        let schedule =
            Schedule { start: bar.sizes(), law: grip.law(), skin, heats, minutes, books: S::KEEPS };
        let pressed = schedule.run(Aim::Short(long)).map_err(|burnt| burnt.fault(cx, site))?;
        finish(cx, self.work, lot, &pressed, Way::Flat, Section::Flat, &shift)?;
        Ok(())
    }
}
