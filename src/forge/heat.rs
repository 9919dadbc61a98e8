//! `heat`: a trip through the fire without forging. Only the skin goes.

use super::args::{Form, Hazard};
use super::fire::Heating;
use super::press::{Moves, Pressed, Way};
use super::{Bag, Cx, Fault, Key, Sink, Verb, Word, Work};

/// A trip through the fire.
#[derive(Debug)]
pub struct Heat {
    work: Work,
    heating: Heating,
}

impl Verb for Heat {
    const WORD: Word = Word {
        word: "heat",
        doc: "takes a piece through the fire without forging it",
        form: Form::Work,
        clauses: &[Key::Heats, Key::At, Key::For],
        example: "heat billet for 20 min at 1150 C",
        hazards: &[Hazard::Fire],
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let heating = Heating::bind(bag);
        Some(Heat { work: bag.work()?, heating })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Result<(), Fault> {
        let lot = cx.solid(self.work, "heat")?;
        let site = self.work.site.span;
        let heats = self.heating.stated(cx)?.unwrap_or(1);
        let skin = self.heating.skin(cx, &lot, site)?;
        let before = lot.bar.sizes();
        let (mut sizes, mut kept, mut heaviest) = (before, [1.0; 3], 0.0f64);
        for i in 0..heats {
            let lost = skin.take(&mut sizes, &mut kept, i == 0).map_err(|b| b.fault(cx, site))?;
            heaviest = heaviest.max(lost);
        }
        let mut moves = Moves::default();
        for ((sum, after), before) in moves.scale.iter_mut().zip(sizes).zip(before) {
            *sum = after - before;
        }
        let burnt = Pressed {
            sizes,
            kept,
            moves,
            heats,
            skin_passed: false,
            strain: 0.0,
            edging: (0.0, 0.0),
            heaviest,
        };
        super::work::finish(cx, self.work, lot, &burnt, Way::Flat, lot.bar.section)?;
        Ok(())
    }
}
