//! Making bars alike before they are laid together: small differences are trimmed, larger ones a fault.

use crate::piece::{Axis, Cause, Lot, LotId, Measure, Section};
use crate::source::{Code, Span};

use crate::forge::process::solid::weight_outside;
use crate::forge::{Cx, Fault, Outcome, Sink};

/// Bars that differ by no more than this are trimmed unasked, mm (metal.md).
const UNASKED: f64 = 1.0;

/// One of the lots that are to be laid together.
#[derive(Clone, Copy, Debug)]
pub struct Member {
    /// The bars.
    pub lot: Lot,
    /// The words that name them.
    pub span: Span,
    /// How many of them are laid.
    pub laid: u32,
}

/// Trims all members to the smallest along the axes across the stacking direction.
///
/// The changes of one member, the lowest, are booked to the lot `to`; what all of them lost is booked as trimmed.
///
/// # Errors
/// `unequal_bars`, where they differ by more than 1 mm and trimming was not asked for.
pub fn alike<S: Sink>(
    cx: &mut Cx<S>,
    members: &mut [Member],
    along: Axis,
    asked: bool,
    to: (LotId, usize),
) -> Outcome {
    Axis::ALL
        .into_iter()
        .filter(|axis| *axis != along)
        .try_for_each(|axis| flush(cx, members, axis, asked, to))
}

/// Trims all members to the smallest along one axis, as [`alike`] does.
///
/// # Errors
/// `unequal_bars`.
pub fn flush<S: Sink>(
    cx: &mut Cx<S>,
    members: &mut [Member],
    axis: Axis,
    asked: bool,
    (to, lowest): (LotId, usize),
) -> Outcome {
    let sizes = || members.iter().map(|m| m.lot.bar.along(axis));
    let least = sizes().fold(f64::INFINITY, f64::min);
    let most = sizes().fold(0.0, f64::max);
    if !asked && most - least > UNASKED + 1e-9 {
        return Err(odd_one(cx, members, axis, least));
    }
    for (i, member) in members.iter_mut().enumerate() {
        let size = member.lot.bar.along(axis);
        if size <= least {
            continue;
        }
        let bar = member.lot.bar;
        let keep = least / size;
        // Length is trimmed at the tip end; width and thickness on both sides alike.
        let window =
            if axis == Axis::Length { (0.0, keep) } else { ((1.0 - keep) / 2.0, (1.0 + keep) / 2.0) };
        let left = axis.with([(0.0, 1.0); 3], window);
        let grams = weight_outside(cx, &member.lot, left, bar.volume());
        member.lot.bar.node = cx.makeup.cut(bar.node, left, bar.sizes());
        let b = &mut member.lot.bar;
        [b.thick, b.wide, b.long] = axis.with(b.sizes(), least);
        if axis != Axis::Length {
            b.section = Section::Flat;
        }
        b.mass = b.volume() * cx.makeup.density(b.node) * b.past.light;
        let trimmed = *b;
        cx.book.loss(Cause::Trimmed, grams * f64::from(member.laid));
        if i == lowest {
            cx.change(to, Measure::Mass, Cause::Trimmed, -grams);
            // A round that is trimmed is none any more: what a calliper reads across it changes too.
            cx.resized(to, Cause::Trimmed, &bar, &trimmed);
        }
    }
    Ok(())
}

/// Names the bar that is unlike the others: the one furthest from the middle size.
fn odd_one<S: Sink>(cx: &Cx<S>, members: &[Member], axis: Axis, least: f64) -> Fault {
    // Every bar has a voice, as far as that takes a reasonable list.
    let voices = |m: &Member| std::iter::repeat_n(m.lot.bar.along(axis), m.laid.clamp(1, 100) as usize);
    let mut sizes: Vec<f64> = members.iter().flat_map(voices).collect();
    sizes.sort_by(f64::total_cmp);
    let Some(middle) = sizes.get(sizes.len().saturating_sub(1) / 2).copied() else {
        bug!("no bars were laid together")
    };
    let far = |m: &&Member| (m.lot.bar.along(axis) - middle).abs();
    let odd = members.iter().max_by(|a, b| far(a).total_cmp(&far(b)));
    let usual = members.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
    let word = axis.of(["thick", "wide", "long"]);
    let (odd_span, odd_size) = odd.map_or((Span::default(), 0.0), |m| (m.span, m.lot.bar.along(axis)));
    let (usual_span, usual_size) = usual.map_or((Span::default(), 0.0), |m| (m.span, m.lot.bar.along(axis)));
    let (odd_size, usual_size, least) = (cx.mm(odd_size), cx.mm(usual_size), cx.mm(least));
    Code::UnequalBars
        .says("these bars do not lie flush on each other")
        .at(odd_span, format!("{odd_size} {word}, the odd one"))
        .and(usual_span, format!("{usual_size} {word}"))
        .stops(format!("cut them alike first, or end the line with `trimmed` to cut all to {least}"))
}
