//! The run as an answer: the bench sheet, JSON in mm and g with the faults among it, a row a step for spreadsheets.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use crate::piece::{Cause, Lot, LotId};
use crate::quantity::Kind;
use crate::replay::{Allowed, StepDone};
use crate::spec::{Judged, Spot, Test, hardness};
use crate::steel::laws::decarb::to_nine_tenths_mm;

use super::answer::{Answer, Table};
use super::blade::BladeJson;
use super::diagnostics::{Record, records};
use super::sheet::sheet_text;
use super::table::shown_lot;
use super::verdict::verdict_text;
use super::{Page, SIZES_ONLY, cautions, finite};

#[derive(Serialize, JsonSchema)]
pub struct RunJson<'a> {
    file: &'a str,
    met: bool,
    steps: Vec<StepJson<'a>>,
    totals: TotalsJson,
    pieces: BTreeMap<&'a str, SizeJson>,
    steels: BTreeMap<&'a str, Vec<LayerJson<'a>>>,
    rack: Vec<RackedJson<'a>>,
    balance: BalanceJson,
    targets: Vec<TestJson<'a>>,
    assumed: Vec<AssumedJson<'a>>,
    notes: Vec<NoteJson<'a>>,
    /// Warnings that the recipe answers.
    allowed: Vec<AllowedJson<'a>>,
    cautions: Vec<String>,
    said: &'static str,
    faults: Vec<Record<'a>>,
    warnings: Vec<Record<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct StepJson<'a> {
    n: usize,
    line: u32,
    verb: &'a str,
    piece: &'a str,
    done: bool,
    after: Option<SizeJson>,
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    made: BTreeMap<&'a str, SizeJson>,
    booked_g: BookedJson,
    heats: u32,
    /// What the step asks of smith and machine; absent where no fire is lit.
    effort: Option<EffortJson>,
    /// Above what the target's least sizes or weight need; absent where no target sets a least.
    spare_g: Option<f64>,
}

/// All bars of the step together; absent figures are not known.
#[derive(Serialize, JsonSchema)]
pub struct EffortJson {
    heats: u32,
    counted: bool,
    minutes: f64,
    from_c: f64,
    stop_c: Option<f64>,
    work_s_per_heat: Option<f64>,
    /// Why the seconds of work cannot be told, where they cannot.
    work_untold: Option<&'static str>,
    strokes: Option<f64>,
    bite_mm: Option<f64>,
    peak_force_kn: Option<f64>,
    energy_kj: Option<f64>,
}

#[derive(Serialize, JsonSchema)]
pub struct TotalsJson {
    heats: u32,
    minutes: f64,
    energy_kj: f64,
    fuel_g: Option<f64>,
    fuel_assumed: bool,
    /// Of the whole job: at the fire and at the bench.
    job_minutes: f64,
    set_up_minutes: f64,
    handling_minutes: f64,
    grinding_minutes: f64,
    treatment_minutes: f64,
    /// In the shop's own currency; absent where it states no price.
    cost: Option<f64>,
}

/// A steel of a piece at the end, % by mass.
#[derive(Serialize, JsonSchema)]
pub struct LayerJson<'a> {
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
#[derive(Serialize, JsonSchema)]
pub struct SizeJson {
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
    /// How deep the broad faces have lost half of their carbon.
    decarburised_skin_mm: f64,
    /// How deep they have lost a tenth of it.
    decarburised_to_nine_tenths_mm: f64,
    /// At the surface, least and most.
    hardness_hrc: Option<[f64; 2]>,
    /// In the middle; absent where no law tells it.
    hardness_middle_hrc: Option<[f64; 2]>,
    /// The shape, where the piece is a blade.
    blade: Option<BladeJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct RackedJson<'a> {
    name: &'a str,
    #[serde(flatten)]
    size: SizeJson,
}

#[derive(Serialize, JsonSchema)]
pub struct BookedJson {
    scale: f64,
    kerf: f64,
    ground: f64,
    trimmed: f64,
    /// Came off with a can.
    peeled: f64,
    etched: f64,
    /// Measured, and explained by no model; below nothing where there was more steel than planned.
    unexplained: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct BalanceJson {
    in_g: f64,
    pieces_g: f64,
    rack_g: f64,
    lost_g: BookedJson,
    error: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct TestJson<'a> {
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

#[derive(Serialize, JsonSchema)]
pub struct AssumedJson<'a> {
    what: &'a str,
    value: &'a str,
    source: &'a str,
}

#[derive(Serialize, JsonSchema)]
pub struct AllowedJson<'a> {
    code: String,
    file: &'a str,
    line: u32,
    reason: &'a str,
}

#[derive(Serialize, JsonSchema)]
pub struct NoteJson<'a> {
    line: u32,
    before_step: usize,
    text: &'a str,
}

impl<'a> Answer for Page<'a> {
    type Json = RunJson<'a>;
    const SCHEMA: &'static str = "heatbook-run-3";

    fn text(&self, wide: usize) -> String {
        verdict_text(self, wide) + &sheet_text(self, wide)
    }

    fn json(&self) -> RunJson<'a> {
        let (plan, build) = (self.plan, self.build);
        let spare = crate::study::spare(plan, build);
        let bars = |lot: &LotId| Some((plan.ground.lot_name(*lot), size(self, build.lot(*lot)?)));
        let steels = build.standing.iter().map(|lot| (plan.ground.lot_name(*lot), layers(self, *lot)));
        let rack = build.racked.iter().filter_map(bars).map(|(name, size)| RackedJson { name, size });
        let assumed = build.ledger.assumed.iter();
        let assumed = assumed.map(|a| AssumedJson { what: a.what, value: &a.value, source: a.source });
        let notes = plan.notes.iter().map(|(text, span, before)| {
            let (line, before_step) = (self.files.line(*span), before + 1);
            NoteJson { line, before_step, text }
        });
        RunJson {
            file: self.name,
            met: self.verdict.met,
            steps: (0..plan.steps.len()).map(|i| step(self, i, &spare)).collect(),
            totals: totals(self),
            pieces: build.standing.iter().filter_map(bars).collect(),
            steels: steels.collect(),
            rack: rack.collect(),
            balance: BalanceJson {
                in_g: build.balance.taken,
                pieces_g: build.balance.pieces,
                rack_g: build.balance.rack,
                lost_g: booked(&|cause| build.ledger.lost(cause)),
                error: build.balance.error,
            },
            targets: tests(self),
            assumed: assumed.collect(),
            notes: notes.collect(),
            allowed: self.verdict.allowed.iter().map(|a| allowed(self, a)).collect(),
            cautions: cautions::lines(plan),
            said: SIZES_ONLY,
            faults: records(&self.verdict.faults, self.files),
            warnings: records(&self.verdict.warnings, self.files),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::new(HEAD.split(' '), (0..self.plan.steps.len()).map(|i| row(self, i))))
    }
}

fn allowed<'a>(page: &Page<'a>, allowed: &'a Allowed) -> AllowedJson<'a> {
    let place = page.files.place(allowed.span);
    let code = format!("heatbook::{}", allowed.name.trim_start_matches("heatbook::"));
    AllowedJson { code, file: place.file, line: place.line, reason: &allowed.reason }
}

/// The head of the run's table: mm and g.
pub(super) const HEAD: &str = "n line verb piece bars thickness_mm width_mm length_mm volume_mm3 mass_g layers bands \
     scale_g kerf_g ground_g trimmed_g heats";

/// A step in the run's table.
pub(super) fn row(page: &Page, index: usize) -> Vec<String> {
    let planned = page.step(index);
    let line = page.files.line(planned.span);
    let mut row =
        vec![(index + 1).to_string(), line.to_string(), planned.word.word.to_owned(), planned.piece.clone()];
    match shown_lot(page, index) {
        Some(lot) => {
            let (bar, makeup) = (&lot.bar, &page.build.bench.makeup);
            row.push(lot.count.to_string());
            let sizes = [bar.calliper_thick(), bar.calliper_wide(), bar.long, bar.volume(), bar.mass];
            row.extend(sizes.map(|v| v.to_string()));
            row.push(makeup.layers(bar.node).to_string());
            row.push(crate::piece::bands(makeup, bar.node, bar.thick).to_string());
        }
        None => row.extend(vec![String::new(); 8]),
    }
    let ledger = &page.build.ledger;
    let causes = [Cause::Scale, Cause::Kerf, Cause::Ground, Cause::Trimmed];
    row.extend(causes.map(|cause| ledger.lost_in(index, cause).to_string()));
    row.push(ledger.heats_in(index).to_string());
    row
}

/// Every test of a build: the targets' lines, then the checkpoints on the way.
pub(super) fn tests<'a>(page: &Page<'a>) -> Vec<TestJson<'a>> {
    let build = page.build;
    let targets = build.lines.iter();
    let targets = targets.map(|l| tested(page, &page.target(l).piece, &l.test, l.judged.as_ref(), false));
    let checked = build.ledger.checked.iter();
    let checked =
        checked.map(|c| tested(page, page.plan.ground.lot_name(c.lot), &c.test, Some(&c.judged), true));
    targets.chain(checked).collect()
}

fn booked(lost: &dyn Fn(Cause) -> f64) -> BookedJson {
    BookedJson {
        scale: lost(Cause::Scale),
        kerf: lost(Cause::Kerf),
        ground: lost(Cause::Ground),
        trimmed: lost(Cause::Trimmed),
        peeled: lost(Cause::Peeled),
        etched: lost(Cause::Etched),
        unexplained: lost(Cause::Unexplained),
    }
}

fn step<'a>(page: &Page<'a>, index: usize, spare: &BTreeMap<usize, f64>) -> StepJson<'a> {
    let (build, planned) = (page.build, page.step(index));
    let info = |lot: &LotId| page.plan.ground.lots.find(*lot);
    let shown = |lot: &LotId| build.lot(*lot).map(|l| size(page, l));
    let given: Vec<_> = planned.gives.iter().filter(|l| info(l).is_some_and(|i| !i.racked)).collect();
    let several = given.iter().filter(|_| given.len() > 1);
    StepJson {
        n: index + 1,
        line: page.files.line(planned.span),
        verb: planned.word.word,
        piece: &planned.piece,
        done: build.done.get(index) == Some(&StepDone::Done),
        after: shown_lot(page, index).map(|lot| size(page, lot)),
        made: several.filter_map(|l| Some((info(l)?.name.as_str(), shown(l)?))).collect(),
        booked_g: booked(&|cause| build.ledger.lost_in(index, cause)),
        heats: build.ledger.heats_in(index),
        effort: build.ledger.effort_in(index).map(effort),
        spare_g: spare.get(&index).copied(),
    }
}

fn size(page: &Page, lot: &Lot) -> SizeJson {
    let (bar, makeup) = (&lot.bar, &page.build.bench.makeup);
    let hardness = hardness(bar, makeup, &page.plan.ground.steels, None, None, None).ok();
    SizeJson {
        bars: lot.count,
        loose: bar.loose.is_some(),
        thickness_mm: bar.calliper_thick(),
        width_mm: bar.calliper_wide(),
        length_mm: bar.long,
        volume_mm3: bar.volume(),
        mass_g: bar.mass,
        layers: makeup.layers(bar.node),
        layers_text: crate::piece::layers_text(makeup, bar.node),
        bands: crate::piece::bands(makeup, bar.node, bar.thick),
        decarburised_skin_mm: bar.past.lost[0],
        decarburised_to_nine_tenths_mm: to_nine_tenths_mm(bar.past.lost[0], 0.5 * bar.thick),
        hardness_hrc: hardness.map(|h| [h.surface.hrc.least, h.surface.hrc.most]),
        hardness_middle_hrc: hardness.and_then(|h| h.middle).map(|m| [m.hrc.least, m.hrc.most]),
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
        work_untold: e.seconds.is_none().then_some(super::fire::UNTOLD),
        strokes: e.strokes,
        bite_mm: e.bite,
        peak_force_kn: e.force_kn,
        energy_kj: e.energy_kj,
    }
}

fn totals(page: &Page) -> TotalsJson {
    let (heats, minutes) = page.build.ledger.totals();
    let fuel = super::fire::fuel_g(page, minutes);
    let job = page.hours();
    TotalsJson {
        heats,
        minutes,
        energy_kj: page.build.ledger.efforts.iter().filter_map(|(_, e)| e.energy_kj).sum(),
        fuel_g: fuel.map(|f| f.0),
        fuel_assumed: fuel.is_some_and(|f| f.1),
        job_minutes: job.total(),
        set_up_minutes: job.set_up,
        handling_minutes: job.handling,
        grinding_minutes: job.grinding,
        treatment_minutes: job.treatment,
        cost: page.cost().map(|c| c.total()),
    }
}

fn layers<'a>(page: &Page<'a>, lot: LotId) -> Vec<LayerJson<'a>> {
    let layers = super::metal::layers(page, lot);
    let of = |l: super::metal::Layer<'a>| LayerJson {
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

/// The unit of a figure in JSON.
pub(super) fn unit(kind: Kind) -> &'static str {
    match kind {
        Kind::LENGTH => "mm",
        Kind::MASS => "g",
        Kind::VOLUME => "mm3",
        Kind::RATIO => "fraction",
        Kind::HARDNESS => "HRC",
        Kind::TEMPERATURE => "C",
        Kind::TIME => "min",
        Kind::FORCE => "kN",
        Kind::ANGLE => "deg",
        _ => "",
    }
}

pub(super) fn tested<'a>(
    page: &Page,
    piece: &'a str,
    test: &Test,
    judged: Option<&Judged>,
    expect: bool,
) -> TestJson<'a> {
    let of = test.spot.map(Spot::word).or(test.part.map(|part| page.plan.ground.part_name(part)));
    let what = of.map_or(test.what.word().to_owned(), |of| format!("{} of {of}", test.what.word()));
    let (low, high) = test.limits(page.build.values());
    TestJson {
        piece,
        line: page.files.line(test.span),
        what,
        zone: test.zone_span.map_or("everywhere".to_owned(), |z| page.files.words(z)),
        wanted: page.files.words(test.wanted),
        low: low.and_then(finite),
        high: high.and_then(finite),
        got: judged.and_then(|j| finite(j.got)),
        unit: unit(test.what.kind()),
        margin: judged.and_then(|j| finite(j.margin)),
        met: judged.is_some_and(|j| j.met),
        expect,
    }
}
