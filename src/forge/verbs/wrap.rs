//! `wrap`: bends a jacket round a core, on both faces and the edge. A loose stack, to weld.

use crate::piece::{Axis, Bar, Cause, Lot, LotId, Measure, PartName, warp};
use crate::quantity::show_count;
use crate::source::Code;

use crate::forge::process::bars::pile;
use crate::forge::process::fire::Heating;
use crate::forge::process::solid::weight_outside;
use crate::forge::process::trim::{Member, flush};
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Hazard, Makes, Usual};
use crate::forge::{Bag, Cx, Fault, Key, Name, Outcome, Sink, Word, Work, Works};

/// Wrapping.
pub struct Wrap {
    heating: Heating,
    jacket: (LotId, Name),
    /// The core, the jacket, and both where they lie between the jacket's faces.
    parts: [PartName; 3],
    trimmed: bool,
}

impl Works for Wrap {
    const WORD: Word = Word {
        word: "wrap",
        said: &["bend"],
        doc: "bends a jacket round a core, on both faces and the edge: a loose stack to weld; the jacket is spent",
        clauses: &[&[Key::Jacket, Key::Trimmed, Key::Heats, Key::At, Key::For]],
        example: "wrap core with jacket",
        heats: Some(Usual { what: "heats to bend a jacket", heats: 2, note: "", source: "project figure" }),
        hazards: &[Hazard::Fire, Hazard::Press],
        makes: Makes::Together,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let jacket = bag.take(Key::Jacket).and_then(|clause| clause.names().next().cloned());
        let trimmed = bag.flag(Key::Trimmed).is_some();
        let heating = Heating::bind(bag);
        let name = bag.name.text.clone();
        let Some(jacket) = jacket else {
            let help =
                format!("say it in full, as in `wrap {name} with jacket`, with the name of a flat bar");
            bag.unsaid(Code::WrapHow, "this does not say what to wrap it with", "in which jacket", help);
            return None;
        };
        let parts = [name.clone(), jacket.text.clone(), format!("inside of {name}")];
        let parts = parts.map(|part| bag.scope.part(&part));
        let spent = bag.scope.take(&jacket);
        Some(Wrap { heating, jacket: (spent?, jacket), parts, trimmed })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let core = cx.solid(work)?;
        let jacket = cx.solid(Work { from: self.jacket.0, ..work })?;
        if core.count != jacket.count {
            let [one, other] = [jacket, core].map(|lot| show_count(u64::from(lot.count), "bar"));
            return Err(Code::JoinCounts
                .says("there is not one jacket for each core")
                .at(self.jacket.1.span, one)
                .and(cx.made(work.from), other)
                .stops("make as many jackets as there are cores"));
        }
        let heats = self.heating.heats(cx, work)?;
        // The core is told as hot as its jacket is: what the fire takes of the jacket meanwhile is left out.
        let (core, _) = rest(cx, work, core, &self.heating, heats)?;
        let mut members = [
            Member { lot: core, span: work.site, laid: core.count },
            Member { lot: jacket, span: self.jacket.1.span, laid: core.count },
        ];
        flush(cx, &mut members, Axis::Length, self.trimmed, (work.to, 0))?;
        let [core, jacket] = members.map(|member| member.lot);
        let sheet = self.fitted(cx, work, core.bar, jacket)?;
        let mut lot = core;
        lot.bar = self.lay(cx, work, core.bar, sheet)?;
        let mass = |cx: &Cx<S>, bar: &Bar| bar.volume() * cx.makeup.bar_density(bar);
        cx.resized(work.to, Cause::Joined, &core.bar, &lot.bar);
        let more = mass(cx, &lot.bar) - mass(cx, &core.bar);
        cx.change(work.to, Measure::Mass, Cause::Joined, more);
        cx.put(work.to, lot, work.site)
    }
}

impl Wrap {
    /// The jacket cut to the width that goes round.
    fn fitted<S: Sink>(&self, cx: &mut Cx<S>, work: Work, core: Bar, jacket: Lot) -> Outcome<Bar> {
        let mut bar = jacket.bar;
        let round = 2.0 * (core.wide + bar.thick) + core.thick;
        if bar.wide < round * (1.0 - 1e-9) {
            return Err(self.too_narrow(cx, work, &bar, round));
        }
        let off = (1.0 - round / bar.wide) / 2.0;
        if off > 1e-12 {
            let window = [(0.0, 1.0), (off, 1.0 - off), (0.0, 1.0)];
            let grams = weight_outside(cx, &jacket, window, bar.volume());
            cx.book.loss(Cause::Trimmed, grams * f64::from(jacket.count));
            bar.node = cx.makeup.cut(bar.node, window, bar.sizes());
            bar.wide = round;
        }
        Ok(bar)
    }

    /// The jacket round the core, in straight pieces bent at two corners.
    fn lay<S: Sink>(&self, cx: &mut Cx<S>, work: Work, core: Bar, sheet: Bar) -> Outcome<Bar> {
        let [core_part, jacket_part, inside] = self.parts;
        let (thin, site) = (sheet.thick, work.site);
        let (thick, wide) = (core.thick + 2.0 * thin, core.wide + thin);
        let mitre = warp::Mitre { size: [thick, wide], jacket: thin };
        let leg = mitre.leg();
        let mut piece = |from: f64, to: f64| {
            let node = cx.makeup.cut(sheet.node, [(0.0, 1.0), (from, to), (0.0, 1.0)], sheet.sizes());
            Bar { node, wide, ..sheet }
        };
        // Its lower face is the one that lies against the core.
        let (mut low, mut edge, high) = (piece(0.0, leg), piece(leg, 1.0 - leg), piece(1.0 - leg, 1.0));
        low.node = cx.makeup.flip(low.node, low.sizes());
        edge.wide = core.thick;
        crate::forge::verbs::turn::quarter(cx, &mut edge);
        let middle = pile(cx, Axis::Width, [(&edge, jacket_part), (&core, core_part)].into_iter(), site)?;
        let laid = [(&low, jacket_part), (&middle, inside), (&high, jacket_part)];
        let mut whole = pile(cx, Axis::Thickness, laid.into_iter(), site)?;
        whole.node = cx.makeup.bend(whole.node, mitre);
        Ok(whole)
    }

    fn too_narrow<S: Sink>(&self, cx: &Cx<S>, work: Work, jacket: &Bar, round: f64) -> Fault {
        let (has, needs, thick) = (cx.mm(jacket.wide), cx.mm(round), cx.mm(jacket.thick));
        let name = &self.jacket.1.text;
        Code::WrapHow
            .says(format!("`{name}` does not go round"))
            .at(self.jacket.1.span, format!("{has} wide, {thick} thick"))
            .and(cx.made(work.from), format!("twice the width, the edge and the bends take {needs}"))
            .stops(format!("make it {needs} wide or more: what is over is trimmed off"))
    }
}
