//! `tile`: saws a bar into slices and lays them end grain up, end to end: a mosaic's tiles.

use crate::piece::PartName;
use crate::quantity::{Length, Q};
use crate::source::{Code, Span};

use crate::forge::process::ends;
use crate::forge::process::slices::{self, Slices};
use crate::forge::words::args::{Hazard, Makes};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Word, Work, Works};

/// Kerf where nobody says, mm (project figure: a metal bandsaw takes 1.6 to 2.4 by common practice).
const KERF: f64 = 2.0;
/// Tiles thinner than this are warned of, mm (project figure).
const THIN: f64 = 4.0;

/// Tiling.
pub struct Tile {
    thick: (Q<Length>, Span),
    kerf: Option<Q<Length>>,
    mirrored: bool,
    part: PartName,
}

impl Works for Tile {
    const WORD: Word = Word {
        word: "tile",
        doc: "saws a bar into slices and lays them end to end with their end grain up: a loose row to weld",
        clauses: &[&[Key::Slices, Key::Kerf, Key::Mirrored]],
        example: "tile loaf in 10 mm slices, mirrored",
        hazards: &[Hazard::Saw],
        mark: "before: punch the heel's end once, beside the face that is up, and number each slice as it comes off, the same way round",
        makes: Makes::Laid,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let thick = bag.take(Key::Slices);
        let thick = thick.and_then(|clause| Some((bag.figure(&clause, "slices")?, clause.span)));
        let (kerf, mirrored) = (bag.opt(Key::Kerf), bag.flag(Key::Mirrored).is_some());
        let name = bag.name.text.clone();
        let part = bag.scope.part(&name);
        if thick.is_none() {
            let help = format!("say it in full, as in `tile {name} in 10 mm slices`");
            bag.unsaid(
                Code::TileHow,
                "this does not say how thick the slices are",
                "slices of what thickness",
                help,
            );
        }
        Some(Tile { thick: thick?, kerf, mirrored, part })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.solid(work)?;
        let (thick, words) = (self.thick.0, self.thick.1);
        let thick =
            cx.above_nothing(thick, words, "a slice has some thickness", "write it above nothing: `10 mm`")?;
        let gap = cx.length_or(self.kerf.or(cx.ground.shop.kerf), "kerf", KERF, "project figure")?;
        if lot.bar.past.rough {
            ends::warn(cx, work.from, work.site, "its last slices come of them");
        }
        if thick < THIN {
            let (shown, least) = (cx.mm(thick), cx.mm(THIN));
            cx.book.warn(|| {
                Code::ThinTiles
                    .says("these tiles are thin: they tip over, and the weld between them is ground through soon")
                    .at(words, format!("slices of {shown}"))
                    .help(format!("{least} or more hold better (project figure)"))
            });
        }
        let slices = Slices { thick, gap, mirrored: self.mirrored, solid: false };
        slices::lay(cx, (work, lot), slices, self.part, words)?;
        Ok(())
    }
}
