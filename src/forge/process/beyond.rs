//! Laws that a step leans on outside what they were made for, and how they err there.
//!
//! Where that errs by more than a calliper on a forged face tells, or leaves a middle unworked, the run warns; what stays within a law's own band is listed. A tool that
//! nobody states is not warned of, nor a press that moves only such a bite: that has a warning of its own.

use crate::quantity::trim_number;
use crate::source::Code;

use crate::forge::process::grip::{Contact, Grip};
use crate::forge::{Cx, Sink, Work};

/// The widest bite over width that the spread law was made for; it is held there (from memory).
const WIDEST_BITE: f64 = 3.33;
/// Bite over thickness from which on a press's force is told too high where the steel slips: by up to a third at a friction of 0.2 (slab with sliding
/// against slab with sticking, computed at 4).
pub const FLATTEST_BITE: f64 = 4.0;
/// Bite over thickness under which only the skin of a bar is worked (from memory).
const SHALLOWEST_BITE: f64 = 1.0 / 3.0;
/// What an honest reading of a forged face cannot tell, mm (metal.md).
const UNREADABLE_MM: f64 = 0.3;

/// Tells of the laws that a step leans on outside their limits: `start` and `end` are about its thickness and width, in the order in which it presses, mm.
pub fn tell<S: Sink>(cx: &mut Cx<S>, work: Work, grip: &Grip, welds: bool, start: [f64; 2], end: [f64; 2]) {
    let Contact::Across { bite } = grip.contact else { return };
    let ([thick, wide], [thinner, wider]) = (start, end);
    if grip.fixed.is_none() && bite > WIDEST_BITE * wide {
        // Of what is thinned all goes into width at the most; none of it hangs on the law where another width is asked.
        let free = wide * (thick / thinner).powf(grip.law().coefficient(wide, thick, thinner));
        let most = wide * thick / thinner - free;
        if grip.stated && most > UNREADABLE_MM && (wider / free - 1.0).abs() < 1e-9 {
            warn_wide(cx, work, bite, WIDEST_BITE * wide, most);
        } else {
            let ratio = bite / wide;
            let shown = || {
                format!(
                    "a bite of {} widths; the law ends at 3.3 and is held there: it tells too little width",
                    trim_number(ratio, 1)
                )
            };
            cx.book.assume("outside the spread law", shown, "Tomlinson & Stringer 1959, from memory");
        }
    }
    if grip.rig.is_some_and(|r| r.force_kn.is_some()) && bite > FLATTEST_BITE * thinner {
        let shown = || {
            format!(
                "a bite of {} thicknesses: up to a third too high where the steel slips",
                trim_number(bite / thinner, 1)
            )
        };
        cx.book.assume("outside the force law", shown, "sticking against a friction of 0.2, computed");
    }
    if grip.stated && bite < SHALLOWEST_BITE * thick {
        warn_shallow(cx, work, bite, thick, welds);
    }
}

fn warn_wide<S: Sink>(cx: &mut Cx<S>, work: Work, bite: f64, most: f64, err: f64) {
    let times = trim_number(bite * WIDEST_BITE / most, 1);
    let [bite, err] = [bite, err].map(|mm| cx.mm(mm));
    let most = cx.mm_within(most);
    cx.book.warn(|| {
        Code::OutsideLaw
            .says("the spread law is leaned on beyond its end")
            .at(
                work.site,
                format!("a bite of {bite} is {times} widths; the law ends at 3.3: up to {err} wider than told"),
            )
            .help(format!(
                "take bites of {most} at the most, or state the spread that your tool gives, as in `spread 0.8`"
            ))
    });
}

fn warn_shallow<S: Sink>(cx: &mut Cx<S>, work: Work, bite: f64, thick: f64, welds: bool) {
    let [bite, thick] = [bite, thick].map(|mm| cx.mm(mm));
    let (what, help) = if welds {
        ("this die hardly presses the middle of the stack", "a wider die, or a lower stack welded first")
    } else {
        (
            "these bites hardly reach the middle of the bar",
            "longer bites, or a die that is wider along the bar",
        )
    };
    cx.book.warn(|| {
        Code::OutsideLaw
            .says(what)
            .at(
                work.site,
                format!("{bite} under the tool on {thick} thick: under a third works the skin alone"),
            )
            .help(format!("{help} (a third is from memory)"))
    });
}
