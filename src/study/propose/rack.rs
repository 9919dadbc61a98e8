//! What a build leaves over, written as stock that the next build can take.
//!
//! A piece of one steel is stock of its sizes. A layered one is told by its layers: in turn where they go round, one by one where they
//! do not. What the fire has done to it is told as far as stock can have it: a skin that lost its carbon, a quench, a temper. Of a
//! pattern the words are kept; what no line can keep is said beside it.

use std::collections::BTreeSet;

use crate::forge::{Act, PATTERNS, Step};
use crate::piece::{Axis, Bar, Hard, LotId, Section, SteelId};
use crate::quantity::{Kind, Units, show, trim_number};
use crate::replay::{Build, Plan};
use crate::steel::grades;
use crate::steel::laws::quench::Medium;

use crate::quantity::written;
use crate::study::propose::grade::grade;

/// Most layers that are written down one by one (project figure: a page of them).
const MOST_TOLD: usize = 100;
/// Up to here layers that are not all as thick are told one by one; of more, none is told from the mean (project figure).
const FEW: usize = 15;
/// Most layers that are looked at (project figure: what a line of stock may have).
const MOST_LAYERS: u64 = 10_000;
/// Layers of one steel are as thick as each other within this share.
const ALIKE: f64 = 0.02;

/// One lot of what is left.
#[derive(Clone, Debug)]
pub struct Kept {
    /// Its name, as no other lot here has it.
    pub name: String,
    /// How many bars.
    pub count: u32,
    /// One of them.
    pub bar: Bar,
    /// The lines that make the steels of its own.
    pub steels: Vec<String>,
    /// What stands behind its name in the line of stock that brings it back, or why there is none.
    pub stock: Result<Vec<String>, String>,
    /// What of it the line does not keep.
    pub unkept: Option<&'static str>,
}

impl Kept {
    /// The line of stock that brings it back under a name.
    #[must_use]
    pub fn line(&self, name: &str) -> Option<String> {
        let clauses: Vec<&str> = self.stock.as_ref().ok()?.iter().map(String::as_str).collect();
        Some(Act::Stock.write(name, &clauses).trim_end().to_owned())
    }
}

/// Writes down the rack after a build, and the pieces that no target asks for.
#[must_use]
pub fn rack(plan: &Plan, made: &Build, source: &str, units: Units) -> Vec<Kept> {
    // Of an order, what is more than it asks for is left over; of a target without a number, nothing.
    let ordered = |lot: &LotId| {
        let of = plan.targets.iter().filter(|target| target.lot == Some(*lot));
        of.map(|target| target.count.map_or(u32::MAX, |(count, _)| count)).max().unwrap_or(0)
    };
    let left =
        made.standing.iter().map(|lot| (lot, ordered(lot))).chain(made.racked.iter().map(|lot| (lot, 0)));
    let mut kept: Vec<Kept> = Vec::new();
    for (id, ordered) in left {
        let Some(lot) = made.lot(*id) else { continue };
        let count = lot.count.saturating_sub(ordered);
        if count == 0 {
            continue;
        }
        let own = plan.ground.lot_name(*id);
        let taken = |name: &str| kept.iter().any(|k| k.name == name);
        let mut name = own.to_owned();
        for n in 2.. {
            if !taken(&name) {
                break;
            }
            name = format!("{own}-{n}");
        }
        let writer = Writer { plan, made, source, units, lot: *id };
        let (steels, stock) = match writer.stock(&lot.bar, count) {
            Ok((steels, stock)) => (steels, Ok(stock)),
            Err(why) => (Vec::new(), Err(format!("{why}. It has {}", writer.facts(&lot.bar)))),
        };
        let unkept = if stock.is_ok() { writer.unkept(&lot.bar) } else { None };
        kept.push(Kept { name, count, bar: lot.bar, steels, stock, unkept });
    }
    kept
}

struct Writer<'a> {
    plan: &'a Plan,
    made: &'a Build,
    source: &'a str,
    units: Units,
    lot: LotId,
}

/// Layers, lowest first: steel and thickness, mm.
type Sheets = [(SteelId, f64)];

impl Writer<'_> {
    fn stock(&self, bar: &Bar, count: u32) -> Result<(Vec<String>, Vec<String>), String> {
        if bar.loose.is_some() {
            return Err("it is a loose stack still: take it from the bars it is of".to_owned());
        }
        if bar.blade.is_some() {
            return Err("it is shaped by now, and stock is plain bars: call the recipe it came from instead"
                .to_owned());
        }
        if bar.relief.is_some() {
            return Err(
                "its hollows stand open, and stock is plain bars: press it flat, or grind it level first"
                    .to_owned(),
            );
        }
        let makeup = &self.made.bench.makeup;
        let mut steels: Vec<SteelId> = makeup.steels(bar.node).collect();
        steels.sort_unstable();
        let own: Result<Vec<&str>, String> = steels.iter().filter_map(|s| self.own_steel(*s)).collect();
        let own: Vec<String> = own?.into_iter().map(str::to_owned).collect();
        let (noun, sizes) = match bar.section {
            Section::Round => ("round", self.sizes(&[bar.calliper_thick(), bar.long])),
            _ => ("bar", self.sizes(&bar.sizes())),
        };
        let bars = if count == 1 { format!("1 {noun} of") } else { format!("{count} {noun}s of") };
        let mut clauses = match steels.as_slice() {
            [only] => vec![format!("{bars} {}", self.grade(*only))],
            _ if makeup.patterned(bar.node) => self.heaped(bar, &bars)?,
            _ => self.layered(bar, &bars)?,
        };
        clauses.push(sizes);
        clauses.extend(self.past(bar));
        if steels.len() > 1 && makeup.patterned(bar.node) {
            clauses.push(format!("patterned \"{}\"", self.pattern(bar)));
        }
        Ok((own, clauses))
    }

    fn grade(&self, steel: SteelId) -> String {
        grade(&self.plan.ground.steels[steel])
    }

    /// The line that makes a steel which the table does not have.
    fn own_steel(&self, steel: SteelId) -> Option<Result<&str, String>> {
        let name = self.plan.ground.steels[steel].name.as_str();
        if grades::find(name).is_some() {
            return None;
        }
        let is = |line: &&str| {
            let mut words = line.split_whitespace();
            words.next() == Some("steel") && words.next() == Some(name)
        };
        let line = self.source.lines().find(is).map(str::trim);
        Some(line.ok_or_else(|| {
            format!("its steel `{name}` is made in another file: call the recipe it came from instead")
        }))
    }

    fn size(&self, mm: f64) -> String {
        // To what a calliper tells.
        let step: f64 = match self.units {
            Units::Metric => 0.01,
            Units::Inch => 0.0254,
        };
        let step = if mm < 100.0 * step { step / 100.0 } else { step };
        written((mm / step).round() * step, Kind::LENGTH, self.units)
    }

    /// Sizes, with one unit behind the last where it serves all.
    fn sizes(&self, sizes: &[f64]) -> String {
        let told: Vec<String> = sizes.iter().map(|mm| self.size(*mm)).collect();
        let unit = [" mm", " in"].into_iter().find(|unit| told.iter().all(|size| size.ends_with(unit)));
        let (Some(unit), Some((last, first))) = (unit, told.split_last()) else { return told.join(" x ") };
        let bare = first.iter().map(|size| size.strip_suffix(unit).map_or(size.as_str(), |bare| bare));
        bare.chain([last.as_str()]).collect::<Vec<_>>().join(" x ")
    }

    /// The clauses that tell the layers of a bar.
    fn layered(&self, bar: &Bar, bars: &str) -> Result<Vec<String>, String> {
        let makeup = &self.made.bench.makeup;
        let on_edge = makeup.varies(bar.node, Axis::Width);
        let axis = if on_edge { Axis::Width } else { Axis::Thickness };
        let sheets = crate::piece::sheets(makeup, bar.node, axis, bar.along(axis), MOST_LAYERS);
        let sheets = sheets.ok_or_else(|| {
            format!("its layers are more than {MOST_LAYERS}, or not alike all over: call the recipe it came from instead")
        })?;
        let mut clauses = match in_turn(&sheets) {
            Some(turn) if sheets.len() > FEW || even(&sheets) => self.turned(bars, &sheets, &turn),
            _ if sheets.len() <= MOST_TOLD => vec![self.told(bars, &sheets, bar.along(axis))],
            _ => {
                return Err(format!(
                    "its layers are more than {MOST_TOLD}, and do not go round: call the recipe it came from instead"
                ));
            }
        };
        if on_edge {
            clauses.push("on edge".to_owned());
        }
        Ok(clauses)
    }

    /// How many layers of which steels a patterned bar has, whatever way they lie by now: the outside is told where it is of one steel.
    fn heaped(&self, bar: &Bar, bars: &str) -> Result<Vec<String>, String> {
        let makeup = &self.made.bench.makeup;
        let layers = makeup.layers(bar.node);
        let mut mix: Vec<(SteelId, f64)> = makeup.mix(bar.node).filter(|(_, share)| *share > 0.0).collect();
        if layers > MOST_LAYERS || layers < mix.len() as u64 {
            return Err(format!(
                "its layers are more than {MOST_LAYERS}, or fewer than its steels: call the recipe it came from instead"
            ));
        }
        let [below, above] = makeup.outside(bar.node, bar.thick);
        // What lies outside comes first, then what there is most of.
        mix.sort_by(|a, b| b.1.total_cmp(&a.1));
        mix.sort_by_key(|(steel, _)| below.or(above) != Some(*steel));
        let names: Vec<String> = mix.iter().map(|(steel, _)| self.grade(*steel)).collect();
        let mut clauses = vec![format!("{bars} layered {}", names.join(", ")), format!("{layers} layers")];
        // The last follows from the others.
        for ((_, share), name) in mix.iter().zip(&names).rev().skip(1).rev() {
            clauses.push(format!("{} % of {name}", percent(*share)));
        }
        if let (Some(lowest), Some(_)) = (names.first(), below.or(above)) {
            let like = below == above && mix.len() == 2 && layers % 2 == 1;
            clauses.push(format!("{lowest} {}", if like { "outside" } else { "below" }));
        }
        Ok(clauses)
    }

    /// What has moved its layers about, step by step as a log counts them, or as its own stock tells it.
    fn pattern(&self, bar: &Bar) -> String {
        let mut made = BTreeSet::from([self.lot]);
        let mut told: Vec<String> = Vec::new();
        for step in self.plan.steps.iter().rev() {
            if !step.gives.iter().any(|lot| made.contains(lot)) {
                continue;
            }
            made.extend(&step.takes);
            let word = step.word.word;
            if let Step::Stock(stock) = &step.step {
                told.extend(stock.pattern().map(str::to_owned));
            } else if PATTERNS.iter().any(|(act, _)| act.word().word == word) {
                told.push(step.nth.map_or_else(|| word.to_owned(), |nth| format!("{word} {nth}")));
            }
        }
        if told.is_empty() {
            told.push("a pattern".to_owned());
        }
        told.reverse();
        let [below, above] = self.made.bench.makeup.outside(bar.node, bar.thick);
        match (below, above) {
            (Some(below), Some(above)) if below != above => {
                told.push(format!("{} on top", self.grade(above)));
            }
            (Some(_), Some(_)) => {}
            _ => told.push("more than one steel outside".to_owned()),
        }
        told.join("; ").replace('"', "'")
    }

    /// What of a bar its line of stock does not keep.
    fn unkept(&self, bar: &Bar) -> Option<&'static str> {
        match bar.section {
            Section::Octagon => Some("an octagon, written as the square of as much steel"),
            Section::Round | Section::Flat => None,
        }
    }

    /// What is to be known of a piece that no line of stock can tell: its outside, its skin, whether it is hard.
    fn facts(&self, bar: &Bar) -> String {
        let faces = self.made.bench.makeup.outside(bar.node, bar.thick);
        let [below, above] =
            faces.map(|steel| steel.map_or("more than one steel".to_owned(), |s| self.grade(s)));
        let mut told = vec![if below == above {
            format!("{below} outside")
        } else {
            format!("{below} below, {above} above")
        }];
        told.extend(self.past(bar));
        if bar.past.hard.is_none() {
            told.push("no hardness".to_owned());
        }
        told.join(", ")
    }

    /// Layer by layer.
    fn told(&self, bars: &str, sheets: &Sheets, whole: f64) -> String {
        let layer =
            |(steel, mm): &(SteelId, f64)| format!("{} {} %", self.grade(*steel), percent(mm / whole));
        format!("{bars} layered {}", sheets.iter().map(layer).collect::<Vec<_>>().join(", "))
    }

    /// Steels that go round.
    fn turned(&self, bars: &str, sheets: &Sheets, turn: &Turn) -> Vec<String> {
        let names: Vec<String> = turn.steels.iter().map(|s| self.grade(*s)).collect();
        let mut clauses = vec![format!("{bars} layered {}", names.join(", "))];
        clauses.push(format!("{} layers", turn.layers));
        if turn.times > 1 {
            clauses.push(format!("{} times", turn.times));
        }
        let whole: f64 = sheets.iter().map(|(_, mm)| mm).sum();
        // The last follows from the others.
        for steel in turn.steels.iter().rev().skip(1).rev() {
            let of: f64 = sheets.iter().filter(|(s, _)| s == steel).map(|(_, mm)| mm).sum();
            clauses.push(format!("{} % of {}", percent(of / whole), self.grade(*steel)));
        }
        let like = turn.steels.len() == 2 && turn.layers % 2 == 1;
        if let Some(lowest) = names.first() {
            clauses.push(format!("{lowest} {}", if like { "outside" } else { "below" }));
        }
        clauses
    }

    /// What fire and quench have left.
    fn past(&self, bar: &Bar) -> Vec<String> {
        let mut told = Vec::new();
        let [faces, edges] = bar.past.lost;
        // The deeper of both, rounded up: an estimate, on the safe side.
        let lost = (faces.max(edges) * 100.0).ceil() / 100.0;
        if faces.max(edges) > 0.005 {
            told.push(format!("lost skin {}", written(lost, Kind::LENGTH, self.units)));
        }
        if let Some(hard) = bar.past.hard {
            told.extend(self.hard(&hard));
        }
        told
    }

    fn hard(&self, hard: &Hard) -> Vec<String> {
        let medium = match hard.medium {
            Medium::StillOil => "still oil",
            Medium::MovedOil => "moved oil",
            Medium::FastOil => "fast oil",
            Medium::Water => "water",
            Medium::Brine => "brine",
            Medium::Air => "air",
            Medium::Plates => "plates",
        };
        let from = show(hard.from_c, Kind::TEMPERATURE, self.units);
        let mut told = vec![format!("hardened from {from} in {medium}")];
        if hard.hours > 0.0 {
            let at = show(hard.temper_c, Kind::TEMPERATURE, self.units);
            told.push(format!("tempered at {at} for {} h", trim_number(hard.hours, 2)));
        }
        told
    }
}

/// A share as stock has it: to a hundredth of a percent.
fn percent(share: f64) -> String {
    trim_number(share * 100.0, 2)
}

/// Steels that go round.
struct Turn {
    /// The lowest first.
    steels: Vec<SteelId>,
    /// How many layers make one stack.
    layers: usize,
    /// How often that lies on itself.
    times: usize,
}

/// The steels of layers that go round, in one stack or in several alike.
fn in_turn(sheets: &Sheets) -> Option<Turn> {
    let mut steels: Vec<SteelId> = Vec::new();
    for (steel, _) in sheets {
        if !steels.contains(steel) {
            steels.push(*steel);
        }
    }
    let goes_round = |layers: usize| {
        let turn = steels.iter().cycle().take(layers).cycle();
        layers >= steels.len() && sheets.iter().zip(turn).all(|((steel, _), turn)| steel == turn)
    };
    let divides = |times: &usize| sheets.len().is_multiple_of(*times);
    let times = (1..=sheets.len()).filter(divides).find(|times| goes_round(sheets.len() / times))?;
    Some(Turn { layers: sheets.len() / times, steels, times })
}

/// Whether all layers of one steel are as thick as each other.
fn even(sheets: &Sheets) -> bool {
    sheets.iter().all(|(steel, mm)| {
        let first = sheets.iter().find(|(other, _)| other == steel).map_or(*mm, |(_, first)| *first);
        (mm / first - 1.0).abs() <= ALIKE
    })
}
