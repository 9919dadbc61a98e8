//! What a verdict hangs on: the doubts of published spread laws, a calliper on hot steel, the band of a hardness.

use crate::forge::{MEASURED_HOT, SPREAD_LAW, Silent};
use crate::quantity::{Kind, Units, show};
use crate::replay::{Bench, Build, Line, Plan};
use crate::source::{Code, Diagnostic};
use crate::spec::{Judged, Spot, What, band_words};
use crate::steel::laws::expansion;

/// Published spread laws differ by about so much of the width gained (the reference, section 1.4).
const SPREAD: f64 = 0.3;

/// Warnings of verdicts that would be others, were a figure a little off.
#[must_use]
pub fn doubts(plan: &Plan, build: &Build, units: Units) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for line in &build.lines {
        let Some(judged) = line.judged else { continue };
        // Nobody holds a calliper to a finished blade while it is hot.
        let finished =
            build.lot(line.lot).is_some_and(|lot| lot.bar.blade.is_some() || lot.bar.past.hard.is_some());
        found.extend(hot_reading(line, &judged, units).filter(|_| !finished));
        found.extend(closer_than_known(line, &judged, units));
        found.extend(soft_middle(line, &judged, units));
    }
    let leans = build.ledger.assumed.iter().any(|a| a.what == SPREAD_LAW);
    if leans && build.faults.is_empty() && !build.lines.is_empty() {
        found.extend(spread(plan, build, units));
    }
    found
}

/// The same recipe with a published spread law's coefficients times a factor: each target line anew.
fn with_spread(
    bench: &mut Bench,
    plan: &Plan,
    build: &Build,
    factor: f64,
    units: Units,
) -> Result<Vec<Option<Judged>>, Diagnostic> {
    bench.doubt = factor;
    match bench.work(plan, &[], units, &mut Silent) {
        Err(Some(fault)) => return Err(*fault),
        Err(None) => return Ok(Vec::new()),
        Ok(()) => {}
    }
    let judge = |line: &Line| {
        let lot = bench.lot(line.lot).filter(|_| !line.test.what.of_the_build())?;
        Some(line.test.judge(&bench.values, &lot.bar, &bench.makeup, &plan.ground.steels))
    };
    Ok(build.lines.iter().map(judge).collect())
}

fn spread(plan: &Plan, build: &Build, units: Units) -> Vec<Diagnostic> {
    let mut found: Vec<Diagnostic> = Vec::new();
    let help = "if it matters, measure how your own tools spread and state it: `spread 0.30` in the shop";
    let mut bench = build.bench.again();
    for (factor, word) in [(1.0 - SPREAD, "less"), (1.0 + SPREAD, "more")] {
        let judged = match with_spread(&mut bench, plan, build, factor, units) {
            Ok(judged) => judged,
            Err(fault) => {
                let Some(label) = fault.labels.first() else { continue };
                let message = "this recipe hangs on how much the steel spreads";
                let text = format!("with 30 % {word} spread: {}", fault.message);
                found.push(Diagnostic::new(Code::HangsOnSpread, message, label.span, text).help(help));
                continue;
            }
        };
        for (line, other) in build.lines.iter().zip(judged) {
            let (Some(now), Some(other)) = (line.judged, other) else { continue };
            if now.met == other.met {
                continue;
            }
            let text = if other.got.is_nan() {
                format!("with 30 % {word} spread it cannot be told")
            } else {
                let got = show(other.got, line.test.what.kind(), units);
                let verdict = if other.met { "met" } else { "missed" };
                format!("with 30 % {word} spread it comes to {got}: {verdict}")
            };
            let message = "this verdict hangs on how much the steel spreads";
            let warning = Code::HangsOnSpread.says(message).at(line.test.span, text);
            let differ = "published spread laws differ by about 30 % of the width gained";
            found.push(warning.help(format!("{differ}; {help}")));
        }
    }
    found
}

/// A miss that a calliper on hot steel would not show.
fn hot_reading(line: &Line, judged: &Judged, units: Units) -> Option<Diagnostic> {
    if judged.met || !matches!(line.test.what, What::Thickness | What::Width | What::Length) {
        return None;
    }
    let hot = judged.got * (1.0 + expansion::elongation(MEASURED_HOT));
    judged.low.filter(|low| judged.got < *low && hot >= *low)?;
    let (hot, at) = (show(hot, Kind::LENGTH, units), show(MEASURED_HOT, Kind::TEMPERATURE, units));
    let text = format!("it reads {hot} at {at}, and shrinks");
    let message = "measured hot this would pass, and fail cold";
    let warning = Diagnostic::new(Code::PassesHot, message, line.test.span, text);
    Some(warning.help("a hot bar measures over 1 % bigger: leave that much more, or measure it cold"))
}

/// A hardness, or what shows on the faces, nearer to its limit than can be told.
fn closer_than_known(line: &Line, judged: &Judged, units: Units) -> Option<Diagnostic> {
    if judged.band <= 0.0 || judged.got.is_nan() || judged.margin.abs() >= judged.band {
        return None;
    }
    if line.test.of_the_faces() {
        let told = |figure: f64| show(figure, line.test.what.kind(), units);
        let text = format!("{}, give or take {}", told(judged.got), told(judged.band));
        let message =
            "what shows on the faces is closer to its limit than can be told of some thousand places";
        let warning = Code::HangsOnFace.says(message).at(line.test.span, text);
        return Some(
            warning.help("geometry of an ideal hand: ask for room on both sides, and etch a test piece"),
        );
    }
    let got = show(judged.got, Kind::HARDNESS, units);
    let text = format!("{got}, {}", band_words(judged.got, judged.got, judged.band));
    let message = "this hardness is closer to its limit than the figures can tell";
    let warning = Diagnostic::new(Code::HangsOnHardness, message, line.test.span, text);
    Some(warning.help("it goes by carbon, section and bath, and by fits to measured tempers: test a piece of the same billet"))
}

/// A middle that falls so much short is said, HRC.
const SHORT_HRC: f64 = 5.0;

/// A hardness that is met at the surface and far from it in the middle.
fn soft_middle(line: &Line, judged: &Judged, units: Units) -> Option<Diagnostic> {
    let named = matches!(line.test.spot, Some(Spot::Surface | Spot::Middle));
    if line.test.what != What::Hardness || !judged.met || named {
        return None;
    }
    let (low, middle) = (judged.low?, judged.inside?);
    (middle < low - SHORT_HRC).then(|| {
        let [asked, got] = [low, middle].map(|hrc| show(hrc, Kind::HARDNESS, units));
        let text = format!("{got} in the middle, where the surface meets {asked}");
        let message = "only the skin gets this hard";
        let warning = Code::SoftMiddle.says(message).at(line.test.span, text);
        warning.help(
            "a thinner section, a faster quench or a steel that hardens deeper; or keep the tough middle",
        )
    })
}
