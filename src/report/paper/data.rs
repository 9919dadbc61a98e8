//! What stands on the bench sheet, as figures and words.

use schemars::JsonSchema;
use serde::Serialize;

use crate::forge::{Bought, Form, Hazard, MEASURED_HOT};
use crate::manual::{caution, told_each_time};
use crate::piece::{Bar, Cause, Lot, LotId, Measure, Section};
use crate::quantity::Units;
use crate::report::chart::{
    AlongJson, ChartJson, LayersJson, SteelJson, along, charts, drawable, layers, steel,
};
use crate::report::diagnostics::{Record, records};
use crate::report::run::unit;
use crate::report::table::{shown_lot, step_lot};
use crate::report::verdict::verdict;
use crate::report::{Page, SIZES_ONLY, cautions, finite};
use crate::spec::{Judged, Test};
use crate::steel::laws::expansion::elongation;

#[derive(Serialize, JsonSchema)]
pub struct SheetJson<'a> {
    pub(super) file: &'a str,
    pub(super) met: bool,
    pub(super) heats: u32,
    /// At the fire and at the work, as far as it can be told.
    pub(super) minutes: f64,
    /// The heat at which the hot sizes are seen.
    pub(super) hot_at_c: f64,
    /// What the shop states of its tools, as written.
    pub(super) tools: Vec<String>,
    pub(super) buy: Vec<BuyJson<'a>>,
    pub(super) steps: Vec<StepJson<'a>>,
    pub(super) targets: Vec<TargetJson<'a>>,
    /// Where the sizes went that a target asks of.
    pub(super) charts: Vec<ChartJson<'a>>,
    /// The widths of the first blade of which a target asks for one somewhere.
    pub(super) along: Option<AlongJson<'a>>,
    /// The layers of the first piece that a target judges, where it has several.
    pub(super) layers: Option<LayersJson<'a>>,
    /// From the rack to the blade.
    pub(super) steel: SteelJson,
    pub(super) rack: Vec<RackJson<'a>>,
    pub(super) assumed: Vec<AssumedJson<'a>>,
    pub(super) cautions: Vec<String>,
    pub(super) said: &'static str,
    pub(super) warnings: Vec<Record<'a>>,
}

/// A bar as a calliper gives it: of a shaped one thickness and width at the heel.
#[derive(Serialize, JsonSchema)]
pub struct SizesJson {
    pub(super) thickness_mm: f64,
    pub(super) width_mm: f64,
    pub(super) length_mm: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct BuyJson<'a> {
    pub(super) name: &'a str,
    pub(super) steel: String,
    pub(super) bars: u32,
    /// Absent for powder, which has a weight and no sizes.
    pub(super) each: Option<SizesJson>,
    pub(super) each_g: f64,
    pub(super) mass_g: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct StepJson<'a> {
    pub(super) n: usize,
    pub(super) line: u32,
    /// The recipe's own words.
    pub(super) words: String,
    pub(super) verb: &'static str,
    pub(super) piece: &'a str,
    /// Whether there is something to measure behind it.
    pub(super) boxes: bool,
    /// What a build log calls it, where its first piece can be measured behind it.
    pub(super) log: Option<String>,
    pub(super) heats: u32,
    /// Whether the heats were counted, and not stated.
    pub(super) counted: bool,
    pub(super) minutes: Option<f64>,
    pub(super) from_c: Option<f64>,
    pub(super) stop_c: Option<f64>,
    pub(super) stops: Vec<StopJson>,
    /// What is marked before it, and how.
    pub(super) mark: Option<&'static str>,
    /// What comes out of it, the rack apart.
    pub(super) pieces: Vec<PieceJson<'a>>,
    pub(super) lost_g: f64,
    /// Above what the target's least sizes or weight need; absent where no target sets a least.
    pub(super) spare_g: Option<f64>,
    pub(super) cautions: Vec<CautionJson>,
    /// What the recipe notes before it.
    pub(super) notes: Vec<&'a str>,
}

/// One bar of a name, and how many there are.
#[derive(Serialize, JsonSchema)]
pub struct PieceJson<'a> {
    pub(super) name: &'a str,
    pub(super) bars: u32,
    pub(super) loose: bool,
    /// Whether it is no plain bar any more: its thickness and width are then those at the heel.
    pub(super) shaped: bool,
    pub(super) cold: SizesJson,
    /// At the sheet's heat; absent where nothing is heated.
    pub(super) hot: Option<SizesJson>,
    pub(super) mass_g: f64,
}

/// The stop block of the last heat under a press: the size cold, and as it is where that heat ends; and those of the heats before.
#[derive(Serialize, JsonSchema)]
pub struct StopJson {
    pub(super) of: &'static str,
    pub(super) cold_mm: f64,
    pub(super) hot_mm: f64,
    pub(super) at_c: f64,
    /// The same of the heats before it, in order.
    pub(super) before: Vec<GapJson>,
}

/// The stop block of a heat that another follows.
#[derive(Serialize, JsonSchema)]
pub struct GapJson {
    pub(super) cold_mm: f64,
    pub(super) hot_mm: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct CautionJson {
    pub(super) work: &'static str,
    pub(super) mind: &'static str,
    /// Whether it is told in full in its place.
    pub(super) full: bool,
}

#[derive(Serialize, JsonSchema)]
pub struct TargetJson<'a> {
    pub(super) piece: &'a str,
    /// Of an order, for how many pieces.
    pub(super) wanted: Option<u32>,
    pub(super) asked: String,
    pub(super) got: Option<f64>,
    pub(super) got_text: String,
    pub(super) margin: Option<f64>,
    pub(super) margin_text: String,
    pub(super) unit: &'static str,
    pub(super) met: bool,
    /// Whether it is a checkpoint on the way.
    pub(super) expect: bool,
}

#[derive(Serialize, JsonSchema)]
pub struct RackJson<'a> {
    pub(super) name: &'a str,
    pub(super) bars: u32,
    pub(super) each: SizesJson,
    pub(super) mass_g: f64,
}

#[derive(Serialize, JsonSchema)]
pub struct AssumedJson<'a> {
    pub(super) what: &'a str,
    pub(super) value: String,
    pub(super) source: String,
}

/// A box of the sheet that a log can take up.
pub struct Reading {
    /// The step, as the sheet numbers it.
    pub n: usize,
    /// Its words.
    pub words: String,
    /// What a log calls it.
    pub log: String,
    /// The piece.
    pub piece: String,
    /// What is read.
    pub size: Measure,
    /// What it is by the plan, cold, mm or g.
    pub planned: f64,
}

/// The boxes of the sheet, in its order, that a log can take up.
#[must_use]
pub fn readings(page: &Page) -> Vec<Reading> {
    let logged = steps(page).into_iter().filter_map(|mut step| Some((step.log.take()?, step)));
    let boxes = logged.flat_map(|(log, step)| {
        let piece = step.pieces.into_iter().next();
        let (n, words) = (step.n, step.words);
        let sizes = piece.into_iter().flat_map(move |p| {
            let planned = [p.cold.thickness_mm, p.cold.width_mm, p.cold.length_mm, p.mass_g];
            let (log, words, piece) = (log.clone(), words.clone(), p.name.to_owned());
            Measure::ALL.into_iter().zip(planned).map(move |(size, planned)| Reading {
                n,
                words: words.clone(),
                log: log.clone(),
                piece: piece.clone(),
                size,
                planned,
            })
        });
        sizes.collect::<Vec<_>>()
    });
    boxes.collect()
}

/// Everything that stands on the sheet.
pub fn sheet<'a>(page: &Page<'a>) -> SheetJson<'a> {
    let (plan, build) = (page.plan, page.build);
    let (heats, minutes) = build.ledger.totals();
    let rack = build.racked.iter().filter_map(|id| {
        let lot = build.lot(*id)?;
        let (name, mass_g) = (plan.ground.lot_name(*id), lot.mass());
        Some(RackJson { name, bars: lot.count, each: sizes(page, &lot.bar, 1.0), mass_g })
    });
    let told = |text: &str| match page.units {
        Units::Metric => text.to_owned(),
        Units::Inch => crate::quantity::turned(text, |_| false),
    };
    let assumed = build.ledger.assumed.iter();
    let assumed =
        assumed.map(|a| AssumedJson { what: a.what, value: told(&a.value), source: told(a.source) });
    let judged = plan.targets.iter().find_map(|t| t.lot);
    SheetJson {
        file: page.name,
        met: page.verdict.met,
        heats,
        minutes,
        hot_at_c: MEASURED_HOT,
        tools: plan.ground.shop.machines.iter().map(|m| page.files.words(m.span)).collect(),
        buy: plan.bought().filter_map(|(_, id)| buy(page, id)).collect(),
        steps: steps(page),
        targets: targets(page),
        charts: charts(page),
        along: along_target(page),
        layers: judged.map(|lot| layers(page, lot)).filter(drawable),
        steel: steel(page),
        rack: rack.collect(),
        assumed: assumed.collect(),
        cautions: cautions::lines(plan),
        said: SIZES_ONLY,
        warnings: records(&page.verdict.warnings, page.files),
    }
}

/// The widths of the first blade of which a target asks for one somewhere.
fn along_target<'a>(page: &Page<'a>) -> Option<AlongJson<'a>> {
    let widths = page.plan.targets.iter().filter_map(|target| along(page, target.lot?));
    widths.into_iter().find(|widths| !widths.limits.is_empty())
}

fn sizes(page: &Page, bar: &Bar, grown: f64) -> SizesJson {
    let (mut thick, mut wide) = (bar.calliper_thick(), bar.calliper_wide());
    // Of a shaped piece at the heel: there a measure is taken where nothing else is said.
    if let Some(heel) = page.build.bench.makeup.blade(bar).map(|blade| blade.section(0.0))
        && heel.width() > 0.0
        && heel.thickness() > 0.0
    {
        (thick, wide) = (heel.thickness(), heel.width());
    }
    SizesJson { thickness_mm: thick * grown, width_mm: wide * grown, length_mm: bar.long * grown }
}

fn buy<'a>(page: &Page<'a>, id: LotId) -> Option<BuyJson<'a>> {
    let lot = page.build.lot(id)?;
    let what = page.lot(id).bought;
    Some(BuyJson {
        name: page.plan.ground.lot_name(id),
        steel: page.bought(id, &lot.bar),
        bars: lot.count,
        each: (what != Bought::Powder).then(|| sizes(page, &lot.bar, 1.0)),
        each_g: lot.bar.mass,
        mass_g: lot.mass(),
    })
}

fn steps<'a>(page: &Page<'a>) -> Vec<StepJson<'a>> {
    let spare = crate::study::spare(page.plan, page.build);
    let mut counts = std::collections::BTreeMap::new();
    let mut made = Vec::new();
    for (index, planned) in page.plan.steps.iter().enumerate() {
        let count = counts.entry(planned.word.word).or_insert(0u32);
        *count += 1;
        let Some(lot) = shown_lot(page, index) else { continue };
        // A checkpoint is no work, and stands among the targets.
        if planned.word.form != Form::Tests {
            let mut step = step(page, index, lot, *count);
            step.spare_g = spare.get(&index).copied();
            made.push(step);
        }
    }
    made
}

fn step<'a>(page: &Page<'a>, index: usize, lot: &Lot, count: u32) -> StepJson<'a> {
    let (planned, ledger) = (page.step(index), &page.build.ledger);
    let word = planned.word;
    let effort = ledger.effort_in(index);
    let given = planned.gives.iter().filter(|id| !page.lot(**id).racked);
    let given: Vec<(&'a str, &Lot)> =
        given.filter_map(|id| Some((page.plan.ground.lot_name(*id), page.build.lot(*id)?))).collect();
    // What a log says of a step is of the first piece that it makes.
    let measured = word.form == Form::Work && given.first().is_some_and(|(_, lot)| lot.bar.loose.is_none());
    let heated = effort.is_some_and(|e| e.heats > 0);
    let stop = effort.filter(|e| e.force_kn.is_some() && lot.bar.blade.is_none()).and_then(|e| {
        let stop_c = e.stop_c?;
        Some(stops(page, index, step_lot(page, index)?, &lot.bar, stop_c.min(e.from_c)))
    });
    let notes = page.plan.notes.iter().filter(|(_, _, before)| *before == index);
    StepJson {
        n: index + 1,
        line: page.line(index),
        words: page.files.words(planned.span),
        verb: word.word,
        piece: &planned.piece,
        boxes: word.form == Form::Work || word.form == Form::Measure,
        log: measured.then(|| format!("{} {count}", word.word)),
        heats: effort.map_or(0, |e| e.heats),
        counted: effort.is_some_and(|e| e.counted),
        // Of a heat that lasts no time nobody can tell the minutes of its work.
        minutes: effort.map(|e| e.minutes),
        from_c: effort.filter(|_| heated).map(|e| e.from_c),
        stop_c: effort.and_then(|e| e.stop_c),
        stops: stop.unwrap_or_default(),
        mark: Some(word.mark).filter(|mark| !mark.is_empty()),
        pieces: given.into_iter().map(|(name, lot)| piece(page, name, lot, heated)).collect(),
        lost_g: Cause::LOSSES.iter().map(|cause| ledger.lost_in(index, *cause)).sum(),
        spare_g: None,
        cautions: page.step(index).hazards.iter().copied().map(told).collect(),
        notes: notes.map(|(text, ..)| text.as_str()).collect(),
    }
}

fn piece<'a>(page: &Page, name: &'a str, lot: &Lot, heated: bool) -> PieceJson<'a> {
    PieceJson {
        name,
        bars: lot.count,
        loose: lot.bar.loose.is_some(),
        shaped: lot.bar.blade.is_some(),
        cold: sizes(page, &lot.bar, 1.0),
        hot: heated.then(|| sizes(page, &lot.bar, 1.0 + elongation(MEASURED_HOT))),
        mass_g: lot.bar.mass,
    }
}

/// The sizes that a press brings down in a step, as they are where its last heat ends.
fn stops(page: &Page, index: usize, lot: LotId, bar: &Bar, at_c: f64) -> Vec<StopJson> {
    let ledger = &page.build.ledger;
    let from = ledger.entries.partition_point(|e| e.step < index);
    let own = || ledger.entries.iter().skip(from).take_while(|e| e.step == index && e.lot == lot);
    let pressed = |what: Measure| -> f64 {
        let tool = [Cause::Pressed, Cause::Edged, Cause::Upset];
        own().filter(|e| e.what == what && tool.contains(&e.cause)).map(|e| e.change).sum()
    };
    let grown = 1.0 + elongation(at_c);
    let gap = |cold_mm: f64| GapJson { cold_mm, hot_mm: cold_mm * grown };
    // As a calliper reads a round or an octagon, whose square of equal area the heats are worked on.
    let read = bar.calliper_thick() / bar.thick;
    let heats: Vec<[f64; 3]> = ledger.sizes_by_heat(index).collect();
    let before = |axis: usize| {
        let all = heats.iter().take(heats.len().saturating_sub(1));
        all.filter_map(|sizes| sizes.get(axis)).map(|cold| gap(cold * read)).collect()
    };
    let stop = |of, cold_mm, before| StopJson { of, cold_mm, hot_mm: cold_mm * grown, at_c, before };
    if bar.section != Section::Flat {
        // Of one size all around, in the same gap.
        return vec![stop("across", bar.calliper_thick(), before(0))];
    }
    let all = [
        (Measure::Thickness, bar.calliper_thick()),
        (Measure::Width, bar.calliper_wide()),
        (Measure::Length, bar.long),
    ];
    let down = all.into_iter().enumerate().filter(|(_, (what, _))| pressed(*what) < 0.0);
    down.map(|(axis, (what, cold))| stop(what.word(), cold, before(axis))).collect()
}

fn told(hazard: Hazard) -> CautionJson {
    let (work, mind) = caution(hazard);
    CautionJson { work, mind, full: told_each_time(hazard) }
}

fn targets<'a>(page: &Page<'a>) -> Vec<TargetJson<'a>> {
    let build = page.build;
    let lines = build.lines.iter().map(|l| {
        let of = page.target(l);
        let wanted = of.count.map(|(wanted, _)| wanted);
        TargetJson { wanted, ..target(page, &of.piece, &l.test, l.judged.as_ref(), false) }
    });
    let checked = build.ledger.checked.iter();
    let checked =
        checked.map(|c| target(page, page.plan.ground.lot_name(c.lot), &c.test, Some(&c.judged), true));
    lines.chain(checked).collect()
}

fn target<'a>(
    page: &Page<'a>,
    piece: &'a str,
    test: &Test,
    judged: Option<&Judged>,
    expect: bool,
) -> TargetJson<'a> {
    let [_, asked, got_text, margin_text] = verdict(page, test, judged);
    TargetJson {
        piece,
        wanted: None,
        asked,
        got: judged.and_then(|j| finite(j.got)),
        got_text,
        margin: judged.and_then(|j| finite(j.margin)),
        margin_text,
        unit: unit(test.what.kind()),
        met: judged.is_some_and(|j| j.met),
        expect,
    }
}
