//! `fold`: lays a bar on itself in leaves, faces mirrored. A loose stack, to weld.

use crate::piece::{Axis, Bar, Cause, Measure, PartName};
use crate::quantity::{Count, Length, Q};
use crate::source::Code;

use crate::forge::process::bars::pile;
use crate::forge::process::solid::segment;
use crate::forge::words::args::{Hazard, Makes};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// The most leaves of one fold.
const MOST: u32 = 100;

/// A fold.
pub struct Fold {
    leaves: Option<Q<Count>>,
    kerf: Option<Q<Length>>,
    part: PartName,
}

impl Works for Fold {
    const WORD: Word = Word {
        word: "fold",
        doc: "lays a bar on itself, faces mirrored: a loose stack to weld",
        clauses: &[&[Key::In, Key::Kerf]],
        example: "fold billet in 3",
        hazards: &[Hazard::Fire, Hazard::Saw],
        makes: Makes::Laid,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let leaves = bag.opt(Key::In);
        let kerf = bag.opt(Key::Kerf);
        let name = bag.name.text.clone();
        let part = bag.scope.part(&name);
        Some(Fold { leaves, kerf, part })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let mut lot = cx.solid(work)?;
        let site = work.site;
        let leaves = self.leaves.map_or(Ok(2), |q| cx.whole(q, 2, MOST, "the number of leaves"))?;
        let kerf = self.kerf.map_or(Ok(0.0), |q| cx.length(q))?;
        let bar = lot.bar;
        let n = f64::from(leaves);
        let leaf = (bar.long - (n - 1.0) * kerf) / n;
        if leaf <= 0.0 {
            let long = cx.mm(bar.long);
            return Err(Code::TooShortToCut
                .says("the cuts eat the whole bar")
                .at(site, format!("it is {long} long"))
                .stops("fewer leaves, or a thinner kerf"));
        }
        let mut bars: Vec<(Bar, PartName)> = Vec::new();
        let mut swarf = 0.0;
        for i in 0..leaves {
            let from = f64::from(i) * (leaf + kerf);
            let mut piece = segment(cx, &bar, from, leaf);
            if i % 2 == 1 {
                piece.node = cx.makeup.mirror(piece.node, piece.sizes());
            }
            bars.push((piece, self.part));
            if i + 1 < leaves {
                swarf += segment(cx, &bar, from + leaf, kerf).mass;
            }
        }
        lot.bar = pile(cx, Axis::Thickness, bars.iter().map(|(b, n)| (b, *n)), site)?;
        let to = work.to;
        cx.book.origin(to, work.from);
        cx.change(to, Measure::Thickness, Cause::Folded, lot.bar.thick - bar.calliper_thick());
        cx.change(to, Measure::Width, Cause::Folded, lot.bar.wide - bar.calliper_wide());
        cx.change(to, Measure::Length, Cause::Kerf, -(n - 1.0) * kerf);
        cx.change(to, Measure::Length, Cause::Folded, lot.bar.long - (bar.long - (n - 1.0) * kerf));
        cx.lose(to, Cause::Kerf, swarf, lot.count);
        cx.put(to, lot, site)
    }
}
