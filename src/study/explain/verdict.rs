//! The verdict on a build: every test met or missed, and each miss with its step and what would mend it.

use crate::forge::Key;
use crate::piece::Cause;
use crate::quantity::{
    Kind, Units, hours_step, on_its_side, show, show_count, show_hours, trim_number, two_digit_step,
};
use crate::replay::{Allowed, Build, Line, Plan, Planned, cost, hours};
use crate::source::{Code, Diagnostic, Fix, Label, Span};
use crate::spec::{End, Judged, NotTold, Spot, Test, What, Zone, band_words};
use crate::steel::laws::hardening::{LEAST_HRC, Untold};

use crate::study::explain::allowed::answered;
use crate::study::explain::blame::{Spare, blame};
use crate::study::explain::days::no_such_day;
use crate::study::explain::ends;
use crate::study::propose::mend::{Change, Mending, Mends, mends};

/// What a build comes to.
#[derive(Debug)]
pub struct Verdict {
    /// Whether there is no fault and every test is met.
    pub met: bool,
    /// What is wrong, the misses among it.
    pub faults: Vec<Diagnostic>,
    /// What a smith should know.
    pub warnings: Vec<Diagnostic>,
    /// What the recipe answers of that.
    pub allowed: Vec<Allowed>,
}

impl Verdict {
    /// What keeps the recipe from being worked to its end: a missed target does not.
    pub fn stops(&self) -> impl Iterator<Item = &Diagnostic> {
        self.faults.iter().filter(|fault| fault.code != Code::TargetMissed)
    }

    /// Whether nothing does.
    #[must_use]
    pub fn workable(&self) -> bool {
        self.stops().next().is_none()
    }
}

/// Judges a build; `found` is what reading the recipe found already.
#[must_use]
pub fn judge(plan: &Plan, build: &Build, found: Vec<Diagnostic>, units: Units) -> Verdict {
    judge_with(plan, build, found, units, Mending::Patient(None))
}

/// The same, by choice without the search for mends: it takes a hundred times as long as all the rest.
#[must_use]
pub fn judge_with(
    plan: &Plan,
    build: &Build,
    found: Vec<Diagnostic>,
    units: Units,
    mut mending: Mending,
) -> Verdict {
    let mut faults = found;
    faults.extend(build.faults.iter().cloned());
    let broken = !faults.is_empty();
    faults.extend(plan.open_questions());
    let looks = !matches!(mending, Mending::None);
    let spare = Spare::new();
    let mut misses = Vec::new();
    for (number, line) in build.lines.iter().enumerate() {
        if let Some(fault) = beyond(build, line, units) {
            faults.push(fault);
            continue;
        }
        let Some(judged) = line.judged.filter(|j| !j.met) else { continue };
        let blame = blame(plan, build, (line, &judged), &spare, units);
        misses.push((number, line, judged, blame));
    }
    let mut made = None;
    if !broken && !misses.is_empty() {
        let owed: Vec<Span> = misses.iter().filter_map(|(.., blame)| Some(blame.as_ref()?.span)).collect();
        // What is to be written is written as the recipe is, whatever the reader is told in.
        made = Some(mends(plan, &owed, plan.units(), &mut mending));
    }
    for (number, line, judged, blame) in misses {
        let mut fault = missed(plan, build, line, &judged, blame, units);
        if fault.code == Code::TargetMissed && !judged.got.is_nan() {
            match &made {
                // What would help is not known until it is looked for.
                Some(_) if !looks => {}
                Some(made) => {
                    fault = mended(fault, made, number, &ways_out(plan, build, line, &judged, units))
                }
                None => fault.help = Some(ways_out(plan, build, line, &judged, units)),
            }
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
    warnings.extend(no_such_day(plan));
    warnings.extend(ends::rough(plan, build));
    warnings.extend(ends::barrelled(build, units));
    warnings.extend(crate::study::explain::doubt::doubts(plan, build, units));
    let allowed = answered(plan, &mut warnings).into_iter().cloned().collect();
    Verdict { met: faults.is_empty(), faults, warnings: merged(&warnings), allowed }
}

/// What was got, as one would say it.
#[must_use]
pub fn got(plan: &Plan, test: &Test, judged: &Judged, units: Units) -> String {
    let soft = test.what == What::Hardness && judged.got <= LEAST_HRC;
    let or_less = if soft { " or less" } else { "" };
    match (judged.got.is_nan(), test.what.of_the_build() || test.of_the_faces()) {
        (true, true) => "not told".to_owned(),
        (true, false) if test.what == What::Hardness => "not told".to_owned(),
        (true, false) if test.what == What::Bands && test.part.is_none() => "not told".to_owned(),
        (true, false) => "none of it".to_owned(),
        (false, true) => format!("about {}", tested(plan, test, as_known(test, judged).got, units)),
        (false, false) => tested(plan, test, judged.got, units) + or_less,
    }
}

/// Time, money and what shows on the faces are known to two digits: what was got, and what is missing or to spare of that. All else is as it is.
#[must_use]
pub fn as_known(test: &Test, judged: &Judged) -> Judged {
    let step = match test.what {
        What::Hours => hours_step(judged.got),
        What::Cost => two_digit_step(judged.got),
        _ if test.of_the_faces() && judged.got > 0.0 => two_digit_step(judged.got),
        _ => return *judged,
    };
    let got = on_its_side(judged.got, step, judged.low, judged.high);
    let to = [judged.low.map(|low| got - low), judged.high.map(|high| high - got)];
    let margin = to.into_iter().flatten().fold(f64::INFINITY, f64::min);
    Judged { got, margin, ..*judged }
}

/// A figure of a test, as one would say it.
#[must_use]
pub fn tested(plan: &Plan, test: &Test, figure: f64, units: Units) -> String {
    match test.what {
        What::Hours if figure >= 1.0 => show_hours(figure),
        What::Cost => plan.ground.shop.about(figure),
        what => show(figure, what.kind(), units),
    }
}

fn subject(plan: &Plan, test: &Test) -> String {
    if let Some(spot) = test.spot {
        return format!("{} {}", test.what.word(), spot.said());
    }
    match test.part.map(|part| plan.ground.part_name(part)) {
        Some(part) if test.what == What::Shows => format!("{part} line"),
        Some(part) if test.on_face => format!("{} of {part} on its faces", test.what.word()),
        Some(part) => format!("{} of {part}", test.what.word()),
        None if test.behind.is_some() => "thickness behind the edge".to_owned(),
        None => test.what.word().to_owned(),
    }
}

fn short(judged: &Judged) -> bool {
    judged.low.is_some_and(|low| judged.got < low)
}

fn missing(plan: &Plan, test: &Test, judged: &Judged, units: Units) -> (String, &'static str) {
    (
        tested(plan, test, as_known(test, judged).margin.abs(), units),
        if short(judged) { "short" } else { "over" },
    )
}

fn missed(
    plan: &Plan,
    build: &Build,
    line: &Line,
    judged: &Judged,
    blame: Option<Label>,
    units: Units,
) -> Diagnostic {
    let piece = plan.targets.get(line.target).map_or("", |t| t.piece.as_str());
    let subject = subject(plan, &line.test);
    if judged.got.is_nan() && line.test.what == What::Hardness {
        return untold(plan, build, line, piece);
    }
    if judged.got.is_nan() && line.test.what == What::Bands && line.test.part.is_none() {
        let message = format!(
            "the bands of `{piece}` cannot be told: nobody knows where the layers of patterned stock lie"
        );
        return Code::TargetMissed
            .says(message)
            .at(line.test.span, "asked here")
            .help("ask for `layers`; or make the pattern in the recipe, where each step is followed");
    }
    if judged.got.is_nan() && line.test.what == What::Pitch {
        let message = format!("`{piece}` misses its {subject}: no step was found that made any along it");
        return Code::TargetMissed
            .says(message)
            .at(line.test.span, "asked here")
            .help("grooves and rods make rungs, holes make drops, `twist` makes turns");
    }
    if judged.got.is_nan() && line.test.of_the_faces() {
        let message = format!(
            "the {subject} of `{piece}` cannot be told: its faces are not level, or nobody knows where its layers lie"
        );
        return Code::TargetMissed
            .says(message)
            .at(line.test.span, "asked here")
            .help("press it flat first; a pattern of stock cannot be asked, one that the recipe makes can");
    }
    if judged.got.is_nan() && line.test.what == What::Cost {
        return unpriced(plan, build, line, piece);
    }
    if judged.got.is_nan() {
        let message = format!("`{piece}` misses its {subject}: the middle of it meets no such part");
        return Code::TargetMissed
            .says(message)
            .at(line.test.span, "asked here")
            .help("ask for it along the direction in which it was laid: `thickness`, `width` or `length`");
    }
    let units = line.test.told_in(units, plan.units());
    let (by, way) = missing(plan, &line.test, judged, units);
    let got = got(plan, &line.test, judged, units);
    let got = got + &at_place(judged, units);
    let message = format!("`{piece}` misses its {subject}: {got}, {by} {way}");
    let mut fault = Code::TargetMissed.says(message).at(line.test.span, format!("it comes to {got}"));
    fault.labels.extend(blame);
    fault
}

/// A miss with what would mend it, or what usually helps.
fn mended(mut fault: Diagnostic, mends: &Mends, number: usize, way_out: &str) -> Diagnostic {
    let own = || mends.each.iter().find(|(line, _)| *line == number).map(|(_, mend)| mend);
    let Some(mend) = mends.all.as_ref().or_else(own) else {
        let figures = show_count(mends.figures as u64, "figure");
        return fault.help(if mends.cut_short {
            format!("the search for a mend was cut short: {way_out}")
        } else {
            format!("no mend was found among {figures} of the recipe, one or two at a time: {way_out}")
        });
    };
    let what = if mends.all.is_some() { "every target" } else { "this line" };
    let words: Vec<String> = mend.iter().map(|m| format!("{} instead of {}", m.text, m.now)).collect();
    let behind = if mends.all.is_some() {
        ""
    } else if mends.alone.contains(&number) {
        ": it meets this line and loses no other, but does not hold beside the mends told for the lines before it; none was found for all lines together among two figures at a time"
    } else {
        ": it meets this line and loses no other; none was found for all lines together among two figures at a time"
    };
    let texts = match mend.as_slice() {
        [one, other] => vec![
            format!("with {} here and {} in the other place, {what} is met", one.text, other.text),
            format!("{} here", other.text),
        ],
        all => all.iter().map(|one| format!("with {} here, {what} is met", one.text)).collect(),
    };
    fault.labels.extend(mend.iter().zip(texts).map(|(change, text)| Label { span: change.span, text }));
    let fix = |change: &Change| Box::new(Fix { span: change.span, text: change.text.clone() });
    (fault.fix, fault.also) = (mend.first().map(fix), mend.get(1).map(fix));
    fault.help(format!("write {}{behind}", words.join(", and ")))
}

/// Where along a blade that is, from the nearer end; nothing where it is read off the whole.
#[must_use]
pub fn at_place(judged: &Judged, units: Units) -> String {
    let Some([heel, tip]) = judged.at else { return String::new() };
    let (by, end) = if heel <= tip { (heel, "heel") } else { (tip, "tip") };
    if by < 0.5 {
        return format!(" at the {end}");
    }
    format!(" at {} from the {end}", show(by, Kind::LENGTH, units))
}

/// How much of a stretch is given up at an end, at the most, and in what steps, mm (project figures).
const GIVEN_UP: f64 = 0.34;
const STEP_MM: f64 = 5.0;
const STEP_IN: f64 = 25.4 / 8.0;

/// The zone without the end where a test is missed, as it is written, where it is met on all the rest: tried before it is told.
fn narrower(plan: &Plan, build: &Build, line: &Line, units: Units) -> Option<String> {
    let (values, makeup, bar) = (build.values(), &build.bench.makeup, build.lot(line.lot)?.bar);
    let [x, behind] = line.judged?.at?;
    let [from, to] = line.test.zone.on(values, bar.long);
    let step = if units == Units::Inch { STEP_IN } else { STEP_MM };
    let heel = x - from <= to - x;
    let met = |stretch| line.test.judge_on(stretch, values, &bar, makeup, &plan.ground.steels).met;
    let told = |mm: f64| show(mm, Kind::LENGTH, units);
    let ends = match line.test.zone {
        Zone::Between(a, b) => [a, b].map(|place| match (place.from, place.by) {
            (End::Heel, None) => "heel".to_owned(),
            (End::Tip, None) => "tip".to_owned(),
            (End::Heel, Some(by)) => told(values.get(by)),
            (End::Tip, Some(by)) => format!("{} from tip", told(values.get(by))),
        }),
        _ => ["heel", "tip"].map(str::to_owned),
    };
    let [first, last] = ends;
    // From the nearest step behind the miss on.
    let near = if heel { x } else { behind };
    let most = near + GIVEN_UP * (to - from);
    let mut by = ((near / step).floor() + 1.0) * step;
    while by <= most {
        if heel && met([by, to]) {
            return Some(format!("from {} to {last}", told(by)));
        }
        if !heel && met([from, bar.long - by]) {
            return Some(format!("from {first} to {} from tip", told(by)));
        }
        by += step;
    }
    None
}

/// Carbon that has changed by more is said, %: the last digit that it is told to.
const MOVED: f64 = 0.005;

/// Why a hardness is not told, in a smith's words.
#[must_use]
pub fn why_untold(plan: &Plan, untold: &NotTold) -> String {
    let grade = untold.steel.and_then(|id| plan.ground.steels.find(id)).map_or("this steel", |g| &g.name);
    match untold.why {
        Untold::Soft => "it is not hardened at the end".to_owned(),
        Untold::Never => "no steel in it hardens".to_owned(),
        Untold::TooCold => "it was quenched too cold to harden".to_owned(),
        Untold::DataSheet => format!("no law is known for {grade}: it hardens by its data sheet"),
        Untold::NoTemper => {
            let had_before =
                untold.steel.and_then(|id| plan.ground.steels.find(id)).map_or(0.0, |g| g.composition.c);
            let [had, left] = [had_before, untold.carbon].map(|share| trim_number(share, 2));
            let moved = untold.carbon - had_before;
            match moved.abs() > MOVED {
                true if moved < 0.0 => format!(
                    "{grade} has lost carbon there, from {had} to {left} %, and no law is known for its temper then"
                ),
                true => format!(
                    "{grade} has taken up carbon there, from {had} to {left} %, and no law is known for its temper then"
                ),
                false => format!("no law is known for the temper of {grade}"),
            }
        }
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
    let untold = told.and_then(Result::err).unwrap_or(NotTold::SOFT);
    let help = match untold.why {
        Untold::NoTemper if untold.about.is_some() => {
            "that is what a few rows of 1045, 4140 and 5160 say; a law is known for plain steels of 0.74 to 1.15 % carbon: test a piece of the billet"
        }
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
        let (hrc, band) = (trim_number(q.hrc, 0), band_words(q.hrc, q.hrc, q.band));
        format!(
            "straight from the quench {hrc} HRC at the surface, {band} (ASTM A255, by carbon and section)"
        )
    });
    let text = match (known, untold.about) {
        (Some(known), Some(about)) => {
            let [least, most] = about.map(|hrc| trim_number(hrc, 0));
            format!("{known}; tempered about {least} .. {most}")
        }
        (Some(known), None) => known,
        (None, _) => "asked here".to_owned(),
    };
    Diagnostic::new(Code::HardnessUntold, message, line.test.span, text).help(help)
}

/// A cost of which a part has no price is not met: less than all of it would be no answer.
fn unpriced(plan: &Plan, build: &Build, line: &Line, piece: &str) -> Diagnostic {
    let (_, fire) = build.ledger.totals();
    let hours = hours(plan, build.values(), fire, build.ledger.lost(Cause::Ground), Units::Metric);
    let cost = cost(plan, &build.bench, &hours);
    let lacks = cost.lacks(fire).join(" and ");
    let message = format!("the cost of `{piece}` cannot be told: the shop has no price for {lacks}");
    let fault = Code::TargetMissed.says(message).at(line.test.span, "asked here");
    let steel = cost.unpriced.first().map(|steel| format!("`price of {steel} 9 per kg`"));
    let rest = [
        (cost.labour.is_none(), "price of labour 40"),
        (cost.fuel.is_none() && fire > 0.0, plan.ground.shop.fuel_lacks()),
    ];
    let rest = rest.into_iter().filter(|(none, _)| *none).map(|(_, words)| format!("`{words}`"));
    let words: Vec<String> = steel.into_iter().chain(rest).collect();
    match cost.billets.first() {
        Some(billet) if words.is_empty() => fault.help(format!(
            "no entry of a shop prices welded bars: make the {billet} in the recipe, from bars of steel"
        )),
        _ => fault.help(format!("write in the shop {}", words.join(", "))),
    }
}

fn unexpected(plan: &Plan, line: &Line, judged: &Judged, step: Span, units: Units) -> Diagnostic {
    let piece = plan.ground.lot_name(line.lot);
    let subject = subject(plan, &line.test);
    let units = line.test.told_in(units, plan.units());
    let (by, way) = missing(plan, &line.test, judged, units);
    let got = got(plan, &line.test, judged, units);
    let off = if judged.got.is_nan() { "there is no such part".to_owned() } else { format!("{by} {way}") };
    let message = format!("`{piece}` is not as expected here: {subject} {got}");
    let mut fault = Code::Unexpected.says(message).at(line.test.span, off);
    let made = &plan.ground.lots[line.lot];
    if made.site != step {
        fault = fault.and(made.site, "it comes out of this step so");
    }
    fault.help("change the steps before it, or what is expected")
}

/// What usually helps, and where along the bar it could be asked for.
fn ways_out(plan: &Plan, build: &Build, line: &Line, judged: &Judged, units: Units) -> String {
    let (what, short) = (line.test.what, short(judged));
    // Where nothing tapers there is nothing to taper less.
    let takes = |step: &Planned, wanted: Key| step.word.clauses().any(|key| key == wanted);
    let tapers = plan.steps.iter().any(|step| takes(step, Key::Zone) && takes(step, Key::Size));
    let usual =
        if what == What::Spine && short && !tapers { "leave it thicker" } else { way_out(what, short) };
    let tempered = build.lot(line.lot).and_then(|lot| lot.bar.past.hard).is_some_and(|hard| hard.hours > 0.0);
    let way = match what {
        // What was never tempered is not tempered less.
        What::Hardness if short && tempered => format!("temper it cooler or shorter, {usual}"),
        _ => usual.to_owned(),
    };
    let way = match narrower(plan, build, line, units) {
        Some(zone) => format!("{way}; or ask for it `{zone}`, where it is met"),
        None => way,
    };
    if judged.low == judged.high && what.kind() == Kind::LENGTH {
        let room = if units == Units::Inch { "+- 1/32 in" } else { "+- 0.5 mm" };
        return format!(
            "as it stands it may be off by nothing at all: give it room, such as `{room}` behind it; or {way}"
        );
    }
    way
}

/// What usually helps, where no figure was found that does.
fn way_out(what: What, short: bool) -> &'static str {
    match (what, short) {
        (What::Width, true) => "start wider, spread it, or weld on an edge bar",
        (What::Thickness, true) => "spread or draw it less, or start with more steel",
        (What::Length, true) => "start with more steel, or crop less",
        (What::Mass | What::Volume, true) => "start with more steel, or lose less of it",
        (What::Layers | What::Bands, true) => "stack more bars, or restack once more",
        (What::Hardness, true) => {
            "harden from the right heat; or a thinner section, a faster quench, a steel that hardens deeper"
        }
        (What::Hardness, false) => "temper it hotter or longer",
        (What::Spine, true) => "taper it less, or leave it thicker",
        (What::Edge, true) => "leave more at the edge, or burn and grind less of it",
        (What::Balance, _) => "a longer or thicker tang brings it back, a stronger taper too",
        (What::Tang, true) => "leave more steel behind the heel, or a thinner tang",
        (What::Shows, true) => "a thicker core, a taller bevel, a thinner edge; and forge it even",
        (What::Shows, false) => "a thinner core, a lower bevel; and forge it even",
        (What::Hours, false) => {
            "fewer heats or steps, or a machine that does more in each; `heatbook run` tells what each step takes"
        }
        (What::Hours, true) => "ask for less time",
        (What::Cost, false) => {
            "less steel, or fewer hours at the fire and at the bench; `heatbook quote` tells what each part comes to"
        }
        (What::Cost, true) => "ask for a lower cost",
        (What::Pitch, true) => {
            "draw it further behind the step that made the pattern, or set the marks of it further apart"
        }
        (What::Pitch, false) => {
            "draw it less behind the step that made the pattern, or set the marks of it closer together"
        }
        (What::LayersPerMm | What::LayersPerIn, true) => {
            "more layers, forged thinner; or a pattern that cuts them steeper"
        }
        (What::LayersPerMm | What::LayersPerIn, false) => {
            "fewer layers, left thicker; or a pattern that cuts them flatter"
        }
        (What::Share, _) => "thicker or more bars of the one, thinner or fewer of the other",
        (_, false) => "forge, cut or grind further, or start with less",
    }
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
        // What an `allow` does not answer, and why, is another thing each time.
        let like = |first: &Diagnostic| {
            first.code == warning.code && first.help == warning.help && warning.code != Code::UnusedAllow
        };
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
