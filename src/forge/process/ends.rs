//! Ends that were forged and nobody planned to crop.

use crate::piece::LotId;
use crate::source::{Code, Span};

use crate::forge::{Cx, Sink};

/// Warns of a step that leans on such ends.
pub fn warn<S: Sink>(cx: &mut Cx<S>, from: LotId, site: Span, leans: &'static str) {
    let (made, name) = (cx.made(from), cx.ground.lot_name(from).to_owned());
    cx.book.warn(|| {
        Code::RoughEnds
            .says(format!("the ends of `{name}` were forged, and are not cropped"))
            .at(site, leans)
            .and(made, "its ends come out of this step as they were")
            .help(format!(
                "crop them first, as in `cut {name} 8 mm off each end`: 6 to 25 mm are common practice"
            ))
    });
}
