//! The pattern of a piece as a small picture, for the hover of an editor that shows images.

use base64::Engine as _;

use crate::piece::LotId;
use crate::report::{Page, PicturePage};
use crate::study::{Side, Verdict, View};

use super::analysis::Analysis;

/// The most dots along a picture and in it (project figures: a dot costs one to two and a half microseconds, and nobody waits for a hover), those of the look before
/// it, and the most bytes as PNG: two thirds of what they are in letters.
const ALONG: f64 = 480.0;
const DOTS: f64 = 12_000.0;
const LOOK: f64 = 1_000.0;
const BYTES: usize = 30_000;

/// The picture in Markdown: the face that lies on top, or where that shows one steel only, a cut across its middle. `None`
/// where the piece is of one steel, or cannot be seen so.
pub fn shown(analysis: &Analysis, id: LotId) -> Option<String> {
    let lot = analysis.build.lot(id)?;
    if analysis.build.bench.makeup.steels(lot.bar.node).count() < 2 {
        return None;
    }
    let told = Verdict { met: false, faults: Vec::new(), warnings: Vec::new(), allowed: Vec::new() };
    let page = Page {
        files: &analysis.files,
        name: "",
        plan: &analysis.plan,
        build: &analysis.build,
        verdict: &told,
        units: analysis.units,
    };
    let (long, tall) = (lot.bar.long, lot.bar.calliper_wide());
    let seen = |side: Side, dots: f64| {
        let view = View { side, under: 0.0, at: long / 2.0 };
        // A cut across is as tall as the bar is thick.
        let ratio = if side == Side::Top { tall / long } else { lot.bar.calliper_thick() / tall };
        let dot = |extent: f64| (extent / ALONG).max(extent * (ratio / dots).sqrt());
        PicturePage::of(&page, id, view, dot, 1).ok()
    };
    let several = |page: &PicturePage| {
        let mut steels = page.picture.steels.iter().flatten();
        let first = steels.next();
        steels.any(|steel| Some(steel) != first)
    };
    let side = if several(&seen(Side::Top, LOOK)?) { Side::Top } else { Side::Across };
    let made = seen(side, DOTS)?;
    let bytes = Some(made.png()).filter(|bytes| bytes.len() <= BYTES)?;
    let data = base64::engine::general_purpose::STANDARD.encode(bytes);
    Some(format!("![{}, seen from {}](data:image/png;base64,{data})", made.piece, made.view))
}
