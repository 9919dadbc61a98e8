//! The verdict on a build: every test met or missed, and each miss with its step and what would mend it.

use crate::quantity::{Kind, Units, show, trim_number};
use crate::replay::{Build, Line, Plan};
use crate::source::{Code, Diagnostic, Fix, Label, Span};
use crate::spec::{Judged, NotTold, Spot, Test, What, Zone};
use crate::steel::laws::hardening::{LEAST_HRC, Untold};

use crate::study::explain::blame::{Spare, blame};
use crate::study::explain::ends;
use crate::study::propose::mend::{Mend, Mending, Search, exact, written};

/// What a build comes to.
#[derive(Debug)]
pub struct Verdict {
    /// Whether there is no fault and every test is met.
    pub met: bool,
    /// What is wrong, the misses among it.
    pub faults: Vec<Diagnostic>,
    /// What a smith should know.
    pub warnings: Vec<Diagnostic>,
}

/// Judges a build; `found` is what reading the recipe found already.
#[must_use]
pub fn judge(plan: &Plan, build: &Build, found: Vec<Diagnostic>, units: Units) -> Verdict {
    judge_with(plan, build, found, units, Mending::Patient)
}

/// The same, by choice without the search for mends: it takes a hundred times as long as all the rest.
#[must_use]
pub fn judge_with(
    plan: &Plan,
    build: &Build,
    found: Vec<Diagnostic>,
    units: Units,
    mending: Mending,
) -> Verdict {
    let mut faults = found;
    faults.extend(build.faults.iter().cloned());
    let broken = !faults.is_empty();
    faults.extend(plan.open_questions());
    let looks = !matches!(mending, Mending::None);
    let mut search = Search::new(plan, mending);
    let spare = Spare::new();
    for line in &build.lines {
        if let Some(fault) = beyond(build, line, units) {
            faults.push(fault);
            continue;
        }
        let Some(judged) = line.judged.filter(|j| !j.met) else { continue };
        let blame = blame(plan, build, (line, &judged), &spare, units);
        let own = blame.as_ref().map(|b| b.span);
        let mend = if broken || !looks { None } else { nearest(plan, own, &mut search, units) };
        let mut fault = missed(plan, build, line, &judged, (blame, mend), units);
        if !looks && !broken && fault.code == Code::TargetMissed && !judged.got.is_nan() {
            // What would help is not known until it is looked for.
            fault.help = None;
        }
        faults.push(fault);
    }
    for checked in &build.ledger.checked {
        if !checked.judged.met {
            let Some(step) = plan.steps.get(checked.step) else { bug!("a check in step {}", checked.step) };
            let line = Line { target: 0, lot: checked.lot, test: checked.test, judged: Some(checked.judged) };
            faults.push(unexpected(plan, &line, &checked.judged, step.span, units));
        }
    }
    faults.sort_by_key(Diagnostic::span);
    let mut warnings = build.ledger.warnings.clone();
    warnings.extend(ends::rough(plan, build));
    warnings.extend(ends::barrelled(build, units));
    warnings.extend(crate::study::explain::doubt::doubts(plan, build, units));
    Verdict { met: faults.is_empty(), faults, warnings: merged(&warnings) }
}

/// What was got, as one would say it.
#[must_use]
pub fn got(test: &Test, judged: &Judged, units: Units) -> String {
    let soft = test.what == What::Hardness && judged.got <= LEAST_HRC;
    let or_less = if soft { " or less" } else { "" };
    if judged.got.is_nan() {
        "none of it".to_owned()
    } else {
        show(judged.got, test.what.kind(), units) + or_less
    }
}

fn subject(plan: &Plan, test: &Test) -> String {
    if let Some(spot) = test.spot {
        return format!("{} {}", test.what.word(), spot.said());
    }
    match test.part.map(|part| plan.ground.part_name(part)) {
        Some(part) if test.what == What::Shows => format!("{part} line"),
        Some(part) => format!("{} of {part}", test.what.word()),
        None if test.behind.is_some() => "thickness behind the edge".to_owned(),
        None => test.what.word().to_owned(),
    }
}

fn missing(judged: &Judged, kind: Kind, units: Units) -> (String, &'static str) {
    let short = judged.low.is_some_and(|low| judged.got < low);
    (show(judged.margin.abs(), kind, units), if short { "short" } else { "over" })
}

fn missed(
    plan: &Plan,
    build: &Build,
    line: &Line,
    judged: &Judged,
    (blame, mend): (Option<Label>, Option<(Label, String, Fix)>),
    units: Units,
) -> Diagnostic {
    let piece = plan.targets.get(line.target).map_or("", |t| t.piece.as_str());
    let subject = subject(plan, &line.test);
    if judged.got.is_nan() && line.test.what == What::Hardness {
        return untold(plan, build, line, piece);
    }
    if judged.got.is_nan() {
        let message = format!("`{piece}` misses its {subject}: the middle of it meets no such part");
        return Code::TargetMissed
            .says(message)
            .at(line.test.span, "asked here")
            .help("ask for it along the direction in which it was laid: `thickness`, `width` or `length`");
    }
    let kind = line.test.what.kind();
    let (by, way) = missing(judged, kind, units);
    let got = got(&line.test, judged, units);
    let message = format!("`{piece}` misses its {subject}: {got}, {by} {way}");
    let mut fault = Code::TargetMissed.says(message).at(line.test.span, format!("it comes to {got}"));
    fault.labels.extend(blame);
    if let Some((label, help, fix)) = mend {
        fault.labels.push(label);
        (fault.help, fault.fix) = (Some(help), Some(Box::new(fix)));
    } else {
        fault.help = Some(way_out(line.test.what, way == "short"));
    }
    fault
}

/// Why a hardness is not told, in a smith's words.
#[must_use]
pub fn why_untold(plan: &Plan, untold: &NotTold) -> String {
    let grade = untold.steel.and_then(|id| plan.ground.steels.find(id)).map_or("this steel", |g| &g.name);
    match untold.why {
        Untold::Soft => "it is not hardened at the end".to_owned(),
        Untold::Never => "no steel in it hardens".to_owned(),
        Untold::TooCold => "it was quenched too cold to harden".to_owned(),
        Untold::DataSheet => format!("no law is known for {grade}: it hardens by its data sheet"),
        Untold::NoTemper => format!("no law is known for the temper of {grade}"),
        Untold::Thin => {
            format!("suppliers quench {grade} as thick as this, and the formula does not reach its middle")
        }
        Untold::NoLaw => "its layers are too many and too unlike to follow".to_owned(),
    }
}

/// A hardness that cannot be told is not met.
fn untold(plan: &Plan, build: &Build, line: &Line, piece: &str) -> Diagnostic {
    let (makeup, steels) = (&build.bench.makeup, &plan.ground.steels);
    let told = build.lot(line.lot).map(|lot| line.test.hardness(build.values(), &lot.bar, makeup, steels));
    let soft = NotTold { why: Untold::Soft, steel: None, quenched: None };
    let untold = told.and_then(Result::err).unwrap_or(soft);
    let help = match untold.why {
        Untold::Soft => {
            "harden it, and temper it: `harden blade from 815 C in oil`, `temper blade at 200 C for 2 h`"
        }
        Untold::Never if line.test.spot.is_some() => {
            "ask for it where the steel hardens, as in `hardness of edge >= 58 HRC`"
        }
        Untold::Never => "ask for the hardness of the part that hardens: `hardness of core >= 58 HRC`",
        Untold::TooCold => "quench it from the heat that the warning names",
        Untold::DataSheet | Untold::Thin | Untold::NoLaw => {
            "go by its data sheet, and test a piece of the billet"
        }
        Untold::NoTemper => {
            "tempered hardness is told for plain steels of 0.74 to 1.15 % carbon: test a piece of the billet instead"
        }
    };
    let why = match (untold.why, line.test.spot) {
        (Untold::Never, Some(spot @ (Spot::Spine | Spot::Edge))) => {
            format!("no steel at its {} hardens", spot.word())
        }
        _ => why_untold(plan, &untold),
    };
    let subject = subject(plan, &line.test);
    let message = format!("the {subject} of `{piece}` cannot be told: {why}");
    let known = untold.quenched.map(|q| {
        let (hrc, band) = (trim_number(q.hrc, 0), trim_number(q.band.ceil(), 0));
        format!("straight from the quench {hrc} HRC at the surface, give or take {band} (ASTM A255, by carbon and section)")
    });
    let text = known.unwrap_or_else(|| "asked here".to_owned());
    Diagnostic::new(Code::HardnessUntold, message, line.test.span, text).help(help)
}

fn unexpected(plan: &Plan, line: &Line, judged: &Judged, step: Span, units: Units) -> Diagnostic {
    let piece = plan.ground.lot_name(line.lot);
    let subject = subject(plan, &line.test);
    let kind = line.test.what.kind();
    let (by, way) = missing(judged, kind, units);
    let got = got(&line.test, judged, units);
    let off = if judged.got.is_nan() { "there is no such part".to_owned() } else { format!("{by} {way}") };
    let message = format!("`{piece}` is not as expected here: {subject} {got}");
    let mut fault = Code::Unexpected.says(message).at(line.test.span, off);
    let made = &plan.ground.lots[line.lot];
    if made.site != step {
        fault = fault.and(made.site, "it comes out of this step so");
    }
    fault.help("change the steps before it, or what is expected")
}

/// What usually helps, where no single figure was found that does.
fn way_out(what: What, short: bool) -> String {
    let way = match (what, short) {
        (What::Width, true) => "start wider, spread it, or weld on an edge bar",
        (What::Thickness, true) => "spread or draw it less, or start with more steel",
        (What::Length, true) => "start with more steel, or crop less",
        (What::Mass | What::Volume, true) => "start with more steel, or lose less of it",
        (What::Layers | What::Bands, true) => "stack more bars, or restack once more",
        (What::Hardness, true) => {
            "temper it cooler or shorter, harden from the right heat; or a thinner section, a faster quench, a steel that hardens deeper"
        }
        (What::Hardness, false) => "temper it hotter or longer",
        (What::Spine, true) => "taper it less, or leave it thicker",
        (What::Edge, true) => "leave more at the edge, or burn and grind less of it",
        (What::Balance, _) => "a longer or thicker tang brings it back, a stronger taper too",
        (What::Tang, true) => "leave more steel behind the heel, or a thinner tang",
        (What::Shows, true) => "a thicker core, a taller bevel, a thinner edge; and forge it even",
        (What::Shows, false) => "a thinner core, a lower bevel; and forge it even",
        (What::Share, _) => "thicker or more bars of the one, thinner or fewer of the other",
        (_, false) => "forge, cut or grind further, or start with less",
    };
    format!("no one figure was found to mend it: {way}")
}

/// The nearest change that meets everything, as words to add to a miss; `step` is the one that the miss is owed to.
fn nearest(
    plan: &Plan,
    step: Option<Span>,
    search: &mut Search,
    units: Units,
) -> Option<(Label, String, Fix)> {
    if search.spent() {
        return None;
    }
    // The figures of the step that the miss is owed to come first, then any other.
    let readings = plan.readings();
    let of = |inside: &dyn Fn(Span) -> bool| -> Vec<u32> {
        let slots = plan.slots.iter().zip(&plan.ground.spans).enumerate();
        slots
            .filter(|(_, (info, span))| {
                let own = !info.address.is_empty() && info.copy_of.is_none();
                (own || info.leaf) && !info.shapes && inside(**span)
            })
            .filter_map(|(i, _)| u32::try_from(i).ok())
            .filter(|slot| !readings.contains(slot))
            .collect()
    };
    let own = step.map(|s| of(&|span: Span| span.start >= s.start && span.end <= s.end)).unwrap_or_default();
    let found: Mend = search.nearest(&own).or_else(|| search.nearest(&of(&|_| true)))?;
    let (info, span) = plan.figure(found.slot);
    let value = written(plan, &found, units);
    let now = show(plan.values.at(found.slot), info.kind, units);
    let label = Label { span, text: format!("with {value} here, every target is met") };
    let fix = Fix { span, text: exact(plan, &found, units) };
    Some((label, format!("write {value} instead of {now}"), fix))
}

/// A zone that lies beyond the bar.
fn beyond(build: &Build, line: &Line, units: Units) -> Option<Diagnostic> {
    let long = build.lot(line.lot)?.bar.long;
    let places = match line.test.zone {
        Zone::Everywhere => return None,
        Zone::At(place) => vec![place],
        Zone::Between(a, b) => vec![a, b],
    };
    let values = build.values();
    let out = places.iter().find(|p| !(0.0..=long * (1.0 + 1e-9)).contains(&p.on(values, long)));
    let has = show(long, Kind::LENGTH, units);
    if let Some(place) = out {
        let said = Code::BeyondBar.says("this place is not on the bar");
        let fault = said.at(place.span, format!("the bar is {has} long"));
        return Some(fault.help("measure from the nearer end, as in `30 mm from tip`"));
    }
    if places.is_sorted_by_key(|place| place.on(values, long)) {
        return None;
    }
    let words = line.test.zone_span.unwrap_or(line.test.span);
    let fault =
        Code::ZoneBackwards.says("this stretch runs backwards").at(words, format!("on a bar {has} long"));
    Some(fault.help("name the place nearer the heel first"))
}

/// Places that a merged warning shows.
const MOST_LABELS: usize = 3;

/// Like warnings are one, with the lines of the others, each with what holds there: those that help in another way stand apart.
fn merged(warnings: &[Diagnostic]) -> Vec<Diagnostic> {
    let mut made: Vec<(Diagnostic, Vec<Label>)> = Vec::new();
    for warning in warnings {
        let like = |first: &Diagnostic| first.code == warning.code && first.help == warning.help;
        match made.iter_mut().find(|(first, _)| like(first)) {
            None => made.push((warning.clone(), Vec::new())),
            Some((first, more)) => more.extend(warning.labels.first().map(|label| {
                let own = if warning.message == first.message { "" } else { &warning.message };
                let text = [own, &label.text].into_iter().filter(|t| !t.is_empty());
                Label { span: label.span, text: text.collect::<Vec<_>>().join(": ") }
            })),
        }
    }
    let shown = made.into_iter().map(|(mut warning, more)| {
        let mut passed_over = 0;
        for label in more {
            if warning.labels.iter().any(|l| l.span == label.span) {
                continue;
            }
            if warning.labels.len() < MOST_LABELS {
                warning.labels.push(label);
            } else {
                passed_over += 1;
            }
        }
        if let (Some(last), true) = (warning.labels.last_mut(), passed_over > 0) {
            last.text += &format!("; and in {}", crate::quantity::show_count(passed_over, "more place"));
        }
        warning
    });
    shown.collect()
}
