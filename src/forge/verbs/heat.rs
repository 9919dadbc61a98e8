//! `heat`: a trip through the fire without forging. Only the skin goes.

use crate::piece::Lot;

use crate::forge::process::fire::{Heating, Hot};
use crate::forge::process::press::Aim;
use crate::forge::process::pressing::Pressing;
use crate::forge::process::shaping;
use crate::forge::words::args::{Blades, Fire, Hazard};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// A trip through the fire.
pub struct Heat(Heating);

impl Works for Heat {
    const WORD: Word = Word {
        word: "heat",
        doc: "takes a piece through the fire without forging it",
        clauses: &[&[Key::Heats, Key::At, Key::For]],
        example: "heat billet for 20 min at 1150 C",
        hazards: &[Hazard::Fire],
        blades: Blades::Works,
        fire: Fire::Forge,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let heating = Heating::bind(bag);
        Some(Heat(heating))
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.piece(work)?;
        let heats = self.0.stated(cx)?.unwrap_or(1);
        rest(cx, work, lot, &self.0, heats)?;
        Ok(())
    }
}

/// Takes bars through the fire so many times without forging them.
///
/// # Errors
/// The fault of the fire.
pub fn rest<S: Sink>(
    cx: &mut Cx<S>,
    work: Work,
    lot: Lot,
    heating: &Heating,
    heats: u32,
) -> Outcome<(Lot, Hot)> {
    let site = work.site;
    if lot.bar.blade.is_some() {
        let (mut lot, mut shape) = (lot, cx.makeup.shape(&lot.bar).into_owned());
        cx.book.origin(work.to, work.from);
        let hot = shaping::burn(cx, work, &mut lot, &mut shape, heating, (heats, false))?;
        cx.put(work.to, lot, site)?;
        return Ok((lot, hot));
    }
    let hot = heating.fire(cx, work, &lot, false)?;
    let pressing = Pressing::rest(work, lot, hot);
    let burnt = pressing.press(cx, heats, Aim::Rest)?;
    let lot = pressing.finish(cx, &burnt, lot.bar.section)?;
    Ok((lot, hot))
}
