//! JSON of a run and of a `why`: always mm and g, names fixed, faults among it.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::piece::{Cause, Lot};
use crate::quantity::{Kind, Units, show};
use crate::replay::StepDone;
use crate::spec::{Judged, Test, What, hardness};
use crate::study::Why;

use super::diagnostics::{Record, record};
use super::{Page, SIZES_ONLY, cautions};

/// Names the shape of what is printed; it changes when a name or a meaning does.
const RUN_SCHEMA: &str = "heatbook-run-1";
const WHY_SCHEMA: &str = "heatbook-why-1";

#[derive(Serialize)]
struct Run<'a> {
    schema: &'static str,
    file: &'a str,
    met: bool,
    steps: Vec<Step<'a>>,
    totals: Totals,
    pieces: BTreeMap<&'a str, Size>,
    steels: BTreeMap<&'a str, Vec<Layer<'a>>>,
    rack: Vec<Racked<'a>>,
    balance: Balance,
    targets: Vec<Tested<'a>>,
    assumed: Vec<Assumed<'a>>,
    notes: Vec<Note<'a>>,
    cautions: Vec<String>,
    said: &'static str,
    faults: Vec<Record<'a>>,
    warnings: Vec<Record<'a>>,
}

#[derive(Serialize)]
struct Step<'a> {
    n: usize,
    line: u32,
    verb: &'a str,
    piece: &'a str,
    done: bool,
    after: Option<Size>,
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    made: BTreeMap<&'a str, Size>,
    booked_g: Booked,
    heats: u32,
    /// What the step asks of smith and machine; absent where no fire is lit.
    effort: Option<EffortJson>,
    /// Above what the target's least sizes or weight need; absent where no target sets a least.
    spare_g: Option<f64>,
}

/// All bars of the step together; absent figures are not known.
#[derive(Serialize)]
struct EffortJson {
    heats: u32,
    counted: bool,
    minutes: f64,
    from_c: f64,
    stop_c: Option<f64>,
    work_s_per_heat: f64,
    strokes: Option<f64>,
    bite_mm: Option<f64>,
    peak_force_kn: Option<f64>,
    energy_kj: Option<f64>,
}

#[derive(Serialize)]
struct Totals {
    heats: u32,
    minutes: f64,
    energy_kj: f64,
    fuel_g: Option<f64>,
    fuel_assumed: bool,
    /// In the shop's own currency; absent where it states no price.
    cost: Option<f64>,
}

/// A steel of a piece at the end, % by mass.
#[derive(Serialize)]
struct Layer<'a> {
    steel: &'a str,
    share: f64,
    carbon_at_first: f64,
    carbon: f64,
    carbon_least: f64,
    carbon_most: f64,
    nickel: f64,
    manganese: f64,
}

/// One bar of a name, and how many there are.
#[derive(Serialize)]
struct Size {
    bars: u32,
    loose: bool,
    thickness_mm: f64,
    width_mm: f64,
    length_mm: f64,
    volume_mm3: f64,
    mass_g: f64,
    layers: u64,
    layers_text: String,
    bands: u64,
    decarburised_skin_mm: f64,
    hardness_hrc: Option<[f64; 2]>,
    /// The shape, where the piece is a blade.
    blade: Option<super::blade::BladeJson>,
}

#[derive(Serialize)]
struct Racked<'a> {
    name: &'a str,
    #[serde(flatten)]
    size: Size,
}

#[derive(Serialize)]
struct Booked {
    scale: f64,
    kerf: f64,
    ground: f64,
    trimmed: f64,
    etched: f64,
    /// Measured, and explained by no model; below nothing where there was more steel than planned.
    unexplained: f64,
}

#[derive(Serialize)]
struct Balance {
    in_g: f64,
    pieces_g: f64,
    rack_g: f64,
    lost_g: Booked,
    error: f64,
}

#[derive(Serialize)]
struct Tested<'a> {
    piece: &'a str,
    line: u32,
    what: String,
    zone: String,
    wanted: String,
    low: Option<f64>,
    high: Option<f64>,
    got: Option<f64>,
    unit: &'static str,
    margin: Option<f64>,
    met: bool,
    expect: bool,
}

#[derive(Serialize)]
struct Assumed<'a> {
    what: &'a str,
    value: &'a str,
    source: &'a str,
}

#[derive(Serialize)]
struct Note<'a> {
    line: u32,
    before_step: usize,
    text: &'a str,
}

/// The run as JSON.
#[must_use]
pub fn run_json(page: &Page) -> String {
    let (plan, build) = (page.plan, page.build);
    let spare = crate::study::spare(plan, build);
    let name = |lot: crate::piece::LotId| plan.ground.lot_name(lot);
    let steps = plan.steps.iter().enumerate().map(|(i, s)| step(page, i, s, &spare)).collect();
    let pieces =
        build.standing.iter().filter_map(|lot| Some((name(*lot), size(page, build.lot(*lot)?)))).collect();
    let rack = build
        .racked
        .iter()
        .filter_map(|lot| Some(Racked { name: name(*lot), size: size(page, build.lot(*lot)?) }))
        .collect();
    let lost = |cause| build.ledger.lost(cause);
    let balance = Balance {
        in_g: build.balance.taken,
        pieces_g: build.balance.pieces,
        rack_g: build.balance.rack,
        lost_g: booked(&lost),
        error: build.balance.error,
    };
    let targets = build.lines.iter().map(|l| {
        let piece = plan.targets.get(l.target).map_or("", |t| t.piece.as_str());
        tested(page, piece, &l.test, l.judged.as_ref(), false)
    });
    let checked =
        build.ledger.checked.iter().map(|c| tested(page, name(c.lot), &c.test, Some(&c.judged), true));
    let run = Run {
        schema: RUN_SCHEMA,
        file: page.name,
        met: page.verdict.met,
        steps,
        totals: totals(page),
        steels: build.standing.iter().map(|lot| (name(*lot), layers(page, *lot))).collect(),
        pieces,
        rack,
        balance,
        targets: targets.chain(checked).collect(),
        assumed: build
            .ledger
            .assumed
            .iter()
            .map(|a| Assumed { what: a.what, value: &a.value, source: a.source })
            .collect(),
        notes: plan
            .notes
            .iter()
            .map(|(text, span, before)| Note { line: page.files.line(*span), before_step: before + 1, text })
            .collect(),
        cautions: cautions::lines(plan),
        said: SIZES_ONLY,
        faults: page.verdict.faults.iter().map(|f| record(f, page.files)).collect(),
        warnings: page.verdict.warnings.iter().map(|f| record(f, page.files)).collect(),
    };
    print(&run)
}

/// A value as JSON.
pub fn print<T: Serialize>(value: &T) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}

fn booked(lost: &dyn Fn(Cause) -> f64) -> Booked {
    Booked {
        scale: lost(Cause::Scale),
        kerf: lost(Cause::Kerf),
        ground: lost(Cause::Ground),
        trimmed: lost(Cause::Trimmed),
        etched: lost(Cause::Etched),
        unexplained: lost(Cause::Unexplained),
    }
}

fn step<'a>(
    page: &Page<'a>,
    index: usize,
    planned: &'a crate::replay::Planned,
    spare: &BTreeMap<usize, f64>,
) -> Step<'a> {
    let build = page.build;
    let done = build.done.get(index) == Some(&StepDone::Done);
    let info = |lot: &crate::piece::LotId| page.plan.ground.lots.get(lot.0 as usize);
    let shown = |lot: &crate::piece::LotId| build.lot(*lot).map(|l| size(page, l));
    let given: Vec<_> = planned.gives.iter().filter(|l| info(l).is_some_and(|i| !i.racked)).collect();
    let made = if given.len() > 1 {
        given.iter().filter_map(|l| Some((info(l)?.name.as_str(), shown(l)?))).collect()
    } else {
        BTreeMap::new()
    };
    Step {
        n: index + 1,
        line: page.files.line(planned.span),
        verb: planned.word.word,
        piece: &planned.piece,
        done,
        after: super::table::shown_lot(page, index).map(|lot| size(page, lot)),
        made,
        booked_g: booked(&|cause| build.ledger.lost_in(index, cause)),
        heats: build.ledger.heats_in(index),
        effort: build.ledger.effort_in(index).map(effort),
        spare_g: spare.get(&index).copied(),
    }
}

fn size(page: &Page, lot: &Lot) -> Size {
    let (bar, makeup) = (&lot.bar, &page.build.bench.makeup);
    Size {
        bars: lot.count,
        loose: bar.loose.is_some(),
        thickness_mm: bar.calliper_thick(),
        width_mm: bar.calliper_wide(),
        length_mm: bar.long,
        volume_mm3: bar.volume(),
        mass_g: bar.mass,
        layers: makeup.layers(bar.node),
        layers_text: makeup.layers_text(bar.node),
        bands: makeup.bands(bar.node, bar.thick),
        decarburised_skin_mm: bar.past.decarb,
        hardness_hrc: hardness(bar, makeup, &page.plan.ground.steels, None)
            .ok()
            .map(|(r, _)| [r.least, r.most]),
        blade: makeup.blade(bar).map(|shape| super::blade::json(bar.node, makeup, shape)),
    }
}

fn effort(e: &crate::forge::Effort) -> EffortJson {
    EffortJson {
        heats: e.heats,
        counted: e.counted,
        minutes: e.minutes,
        from_c: e.from_c,
        stop_c: e.stop_c,
        work_s_per_heat: e.seconds,
        strokes: e.strokes,
        bite_mm: e.bite,
        peak_force_kn: e.force_kn,
        energy_kj: e.energy_kj,
    }
}

fn totals(page: &Page) -> Totals {
    let (heats, minutes) = page.build.ledger.totals();
    let energy_kj = page.build.ledger.efforts.iter().filter_map(|(_, e)| e.energy_kj).sum();
    let fuel = super::fire::fuel_g(page, minutes);
    Totals {
        heats,
        minutes,
        energy_kj,
        fuel_g: fuel.map(|f| f.0),
        fuel_assumed: fuel.is_some_and(|f| f.1),
        cost: Some(crate::study::cost(page.plan, &page.build.bench, minutes))
            .filter(|c| c.stated)
            .map(|c| c.total()),
    }
}

fn layers<'a>(page: &Page<'a>, lot: crate::piece::LotId) -> Vec<Layer<'a>> {
    let layers = super::metal::layers(page, lot);
    let of = |l: super::metal::Layer<'a>| Layer {
        steel: &l.grade.name,
        share: l.carbon.share,
        carbon_at_first: l.grade.composition.c,
        carbon: l.carbon.mean,
        carbon_least: l.carbon.least,
        carbon_most: l.carbon.most,
        nickel: l.grade.composition.ni,
        manganese: l.grade.composition.mn,
    };
    layers.into_iter().map(of).collect()
}

/// The unit of a tested figure in JSON, and the factor to it from the base unit.
fn unit(what: What) -> &'static str {
    match what.kind() {
        Kind::LENGTH => "mm",
        Kind::MASS => "g",
        Kind::VOLUME => "mm3",
        Kind::RATIO => "fraction",
        Kind::HARDNESS => "HRC",
        _ => "",
    }
}

fn tested<'a>(page: &Page, piece: &'a str, test: &Test, judged: Option<&Judged>, expect: bool) -> Tested<'a> {
    let words = |span| page.files.text(span).split_whitespace().collect::<Vec<_>>().join(" ");
    let what = match test.part {
        Some(part) => format!("{} of {}", test.what.word(), page.plan.ground.part_name(part)),
        None => test.what.word().to_owned(),
    };
    let finite = |v: f64| v.is_finite().then_some(v);
    let (low, high) = test.limits(page.build.values());
    Tested {
        piece,
        line: page.files.line(test.span),
        what,
        zone: test.zone_span.map_or("everywhere".to_owned(), words),
        wanted: words(test.wanted),
        low: low.and_then(finite),
        high: high.and_then(finite),
        got: judged.and_then(|j| finite(j.got)),
        unit: unit(test.what),
        margin: judged.and_then(|j| finite(j.margin)),
        met: judged.is_some_and(|j| j.met),
        expect,
    }
}

#[derive(Serialize)]
struct WhyJson<'a> {
    schema: &'static str,
    quantity: &'a str,
    piece: &'a str,
    unit: &'static str,
    from: f64,
    from_text: String,
    stock_line: u32,
    to: f64,
    entries: Vec<EntryJson<'a>>,
    by_cause: BTreeMap<&'a str, f64>,
}

#[derive(Serialize)]
struct EntryJson<'a> {
    n: usize,
    line: u32,
    verb: &'a str,
    cause: Cause,
    change: f64,
}

/// The story of a size as JSON.
#[must_use]
pub fn why_json(page: &Page, piece: &str, why: &Why) -> String {
    let mass = why.what == crate::piece::Measure::Mass;
    let kind = if mass { Kind::MASS } else { Kind::LENGTH };
    let line = |step: usize| page.plan.steps.get(step).map_or(0, |s| page.files.line(s.span));
    let stock = page.plan.ground.lots.get(why.stock.0 as usize).map(|l| l.site).unwrap_or_default();
    print(&WhyJson {
        schema: WHY_SCHEMA,
        quantity: why.what.word(),
        piece,
        unit: if mass { "g" } else { "mm" },
        from: why.from,
        from_text: show(why.from, kind, Units::Metric),
        stock_line: page.files.line(stock),
        to: why.to,
        entries: why
            .entries
            .iter()
            .map(|e| EntryJson {
                n: e.step + 1,
                line: line(e.step),
                verb: page.plan.steps.get(e.step).map_or("", |s| s.word.word),
                cause: e.cause,
                change: e.change,
            })
            .collect(),
        by_cause: why.by_cause().into_iter().map(|(cause, sum)| (cause.word(), sum)).collect(),
    })
}
