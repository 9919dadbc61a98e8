//! Whether each layer of a piece takes a hardening or normalising heat, as its carbon is by then.

use crate::piece::{Lot, SteelCarbon};
use crate::quantity::Kind;
use crate::source::{Code, Diagnostic, Span};
use crate::steel::laws::hardening;
use crate::steel::{Composition, Grade};

use crate::forge::{Cx, Sink};

/// The steels of a bar with the carbon that each has by now, in the mean.
pub fn layers<'a, S: Sink>(cx: &Cx<'a, S>, lot: &Lot) -> Vec<(&'a Grade, Composition)> {
    let steels = &cx.ground.steels;
    let start = |id| steels[id].composition.c;
    let carbon = SteelCarbon::of(cx.makeup, lot.bar.node, &lot.bar.past, &start, None);
    let with = |one: SteelCarbon| {
        let grade = &steels[one.steel];
        (grade, grade.composition.with_carbon(one.mean))
    };
    carbon.into_iter().map(with).collect()
}

/// A layer with less than this share of the richest one's carbon is there to stay soft: a back, a jacket (project figure).
const MILD: f64 = 0.5;

/// Warns of layers that the heat does not turn, or overheats. It goes by the richest: where that one turns, mild layers are listed only.
///
/// Where no step `states` the heat, what is hotter than it should be is the fire's own, and a heat that suits is told.
pub fn warn<S: Sink>(
    cx: &mut Cx<S>,
    layers: &[(&Grade, Composition)],
    at: f64,
    span: Span,
    (quench, states): (bool, bool),
) {
    let shown = |cx: &Cx<S>, t: f64| cx.shown(t, Kind::TEMPERATURE);
    let layers: Vec<_> = layers.iter().filter(|(_, s)| hardening::hardens(s)).collect();
    let richest = layers.iter().max_by(|(_, a), (_, b)| a.c.total_cmp(&b.c));
    let meant = richest.filter(|(_, s)| hardening::by_data_sheet(s) || at >= hardening::needs_c(s));
    let mild = meant.map_or(0.0, |(_, s)| MILD * s.c);
    for (grade, s) in layers.iter().copied() {
        let (name, heat) = (&grade.name, shown(cx, at));
        if hardening::by_data_sheet(s) {
            cx.book.warn(|| {
                let message = format!("{name} is too rich in alloy for the formulas used here");
                Diagnostic::new(Code::DataSheet, message, span, "this heat is not checked for it")
                    .help("its data sheet says what heat, what soak and what quench it needs")
            });
            continue;
        }
        let (begins, needs, most) =
            (hardening::begins_c(s), hardening::needs_c(s), hardening::too_hot_c(s, quench));
        if at < needs && s.c < mild {
            let turns = if at < begins { "does not turn" } else { "turns only in part" };
            let value = || format!("{name} {turns} at {heat}: it stays soft, as a back or a jacket should");
            cx.book.assume(
                "heat of milder layers",
                value,
                "Andrews 1965; the heat goes by the richest layer",
            );
        } else if at < needs {
            let (begins_at, needs_at) = (shown(cx, begins), shown(cx, needs));
            let (message, text) = if at < begins {
                let text = format!("{heat}; {name} turns from {begins_at} on");
                (format!("{name} does not turn to austenite at this heat"), text)
            } else {
                let text = format!("{heat}; {name} is through at about {needs_at}");
                (format!("{name} turns only in part at this heat"), text)
            };
            let what = if quench { "it hardens badly, or not at all" } else { "its grain is not made new" };
            cx.book.warn(|| {
                Diagnostic::new(Code::TooColdToTurn, message, span, text).help(format!(
                    "{what}: go up to {needs_at} (Andrews 1965; formulas differ by 15 to 35 C)"
                ))
            });
        } else if at > most {
            let (most, needs) = (shown(cx, most), shown(cx, needs));
            cx.book.warn(|| {
                let message = format!("{name} is overheated for this");
                let text = format!("{heat}; above about {most} its grain grows coarse");
                let fault = Diagnostic::new(Code::Overheated, message, span, text);
                fault.help(if states {
                    "coarse steel is brittle: stay lower, or normalise before it is hardened (project figure)"
                        .to_owned()
                } else {
                    format!(
                        "no heat is stated, so it is the fire's own: say `at` which, {needs} to {most} here"
                    )
                })
            });
        }
    }
}
