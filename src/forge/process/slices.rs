//! Slices of a bar laid end grain up, end to end: what tiles and an opened bar are.

use crate::piece::{Axis, Bar, Cause, Lot, Measure, PartName, Section};
use crate::source::{Code, Span};

use crate::forge::process::bars::pile;
use crate::forge::process::solid::segment;
use crate::forge::{Cx, Outcome, Sink, Work};

/// The most slices of one bar (project figure).
const MOST: u32 = 1_000;

/// How a bar is cut up, mm.
#[derive(Clone, Copy, Debug)]
pub struct Slices {
    /// Thickness of a slice.
    pub thick: f64,
    /// What is gone between two of them.
    pub gap: f64,
    /// Every second one is turned end for end, so that like meets like.
    pub mirrored: bool,
    /// They hang together still.
    pub solid: bool,
}

/// Lays the slices of bars in a row: the thickness of the bar becomes length, slice by slice. What is left over is trimmed off.
///
/// # Errors
/// `too_short_to_cut`: not one slice, or too many of them.
pub fn lay<S: Sink>(
    cx: &mut Cx<S>,
    (work, lot): (Work, Lot),
    slices: Slices,
    part: PartName,
    words: Span,
) -> Outcome<Lot> {
    let before = lot.bar;
    let Slices { thick, gap, mirrored, solid } = slices;
    let many = ((before.long + gap) / (thick + gap) + 1e-9).floor();
    if many < 1.0 || many > f64::from(MOST) {
        let (long, slice) = (cx.mm(before.long), cx.mm(thick));
        let what = if many < 1.0 { "not one slice comes of this bar" } else { "these are too many slices" };
        let way = if many < 1.0 {
            format!("up to {} comes of it in one", cx.mm_within(before.long))
        } else {
            "up to 1,000 are laid: make them thicker".to_owned()
        };
        return Err(Code::TooShortToCut
            .says(what)
            .at(words, format!("slices of {slice}"))
            .and(cx.made(work.from), format!("it is {long} long"))
            .stops(way));
    }
    let alike = !cx.makeup.placed(before.node, Axis::Length);
    let mut laid: Vec<(Bar, PartName)> = Vec::new();
    let mut first: Option<Bar> = None;
    for i in 0..many as u32 {
        let known = first.filter(|_| alike);
        let mut slice = known.unwrap_or_else(|| segment(cx, &before, f64::from(i) * (thick + gap), thick));
        first = first.or(Some(slice));
        slice.node = cx.makeup.tip(slice.node, slice.sizes());
        (slice.thick, slice.long, slice.section) = (slice.long, before.thick, Section::Flat);
        slice.past = slice.past.along(Axis::tipped);
        if mirrored && i % 2 == 1 {
            slice.node = cx.makeup.mirror(slice.node, slice.sizes());
        }
        laid.push((slice, part));
    }
    let mut row = lot;
    row.bar = pile(cx, Axis::Length, laid.iter().map(|(bar, name)| (bar, *name)), work.site)?;
    if solid {
        row.bar.loose = None;
    }
    book(cx, work, (lot, row), slices, many);
    cx.put(work.to, row, work.site)?;
    Ok(row)
}

/// Books what the row is more and less than the bar.
fn book<S: Sink>(cx: &mut Cx<S>, work: Work, (lot, row): (Lot, Lot), slices: Slices, many: f64) {
    let (to, before, after) = (work.to, lot.bar, row.bar);
    let Slices { thick, gap, .. } = slices;
    let used = many * (thick + gap) - gap;
    cx.book.origin(to, work.from);
    cx.change(to, Measure::Thickness, Cause::Turned, after.calliper_thick() - before.calliper_thick());
    cx.change(to, Measure::Width, Cause::Turned, after.calliper_wide() - before.calliper_wide());
    cx.change(to, Measure::Length, Cause::Kerf, -(many - 1.0) * gap);
    cx.change(to, Measure::Length, Cause::Trimmed, used - before.long);
    cx.change(to, Measure::Length, Cause::Turned, after.long - many * thick);
    if !S::COUNTS {
        return;
    }
    // The rest weighed where it lay, the swarf as what is missing then.
    let over = before.long - used;
    let rest = if over > 0.0 { segment(cx, &before, used, over).mass } else { 0.0 };
    let left = after.volume() * cx.makeup.bar_density(&after);
    let mass = before.volume() * cx.makeup.bar_density(&before);
    cx.lose(to, Cause::Trimmed, rest, lot.count);
    cx.lose(to, Cause::Kerf, mass - left - rest, lot.count);
}
