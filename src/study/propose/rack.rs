//! What a build leaves over, written as recipes that the next build can call.
//!
//! A piece of one steel is stock of its sizes. A layered one is laid and welded from its layers, with as much steel as the weld
//! burns, and brought to its own sizes by a measure. What fire has done to it (grain, decarburised skin) is not carried over.

use crate::forge::Act;
use crate::piece::{Bar, LotId, Section, SteelId};
use crate::quantity::{Kind, Units};
use crate::replay::{Build, Plan};
use crate::steel::grades;
use crate::workshop::Job;

use crate::quantity::written;
use crate::study::propose::grade::grade;

/// Most layers that are written down one by one (project figure: a page of them).
const MOST_LAYERS: u64 = 100;
/// How much thinner the weld presses the layers (common practice: 10 to 20 %).
const THINNING: f64 = 0.12;

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
    /// The recipe that brings it back, or why there is none.
    pub recipe: Result<String, String>,
}

/// Writes down the rack after a build, and the pieces that no target asks for.
#[must_use]
pub fn rack(plan: &Plan, made: &Build, source: &str, units: Units) -> Vec<Kept> {
    let asked = |lot: &LotId| made.lines.iter().any(|l| l.lot == *lot);
    let left = made.standing.iter().filter(|l| !asked(l)).chain(&made.racked);
    let mut kept: Vec<Kept> = Vec::new();
    for id in left {
        let Some(lot) = made.lot(*id) else { continue };
        let own = plan.ground.lot_name(*id);
        let taken = |name: &str| kept.iter().any(|k| k.name == name);
        let mut name = own.to_owned();
        for n in 2.. {
            if !taken(&name) {
                break;
            }
            name = format!("{own}-{n}");
        }
        let writer = Writer { plan, made, source, units };
        let (steels, recipe) = match writer.recipe(&name, &lot.bar, lot.count) {
            Ok((steels, recipe)) => (steels, Ok(recipe)),
            Err(why) => (Vec::new(), Err(why)),
        };
        kept.push(Kept { name, count: lot.count, bar: lot.bar, steels, recipe });
    }
    kept
}

struct Writer<'a> {
    plan: &'a Plan,
    made: &'a Build,
    source: &'a str,
    units: Units,
}

impl Writer<'_> {
    fn recipe(&self, name: &str, bar: &Bar, count: u32) -> Result<(Vec<String>, String), String> {
        if bar.loose.is_some() {
            return Err("it is a loose stack still: take it from the bars it is of".to_owned());
        }
        let strata = crate::piece::strata(&self.made.bench.makeup, bar.node, bar.thick, MOST_LAYERS);
        let strata = strata.ok_or_else(|| {
            format!("its layers are more than {MOST_LAYERS}, or not alike all over: call the recipe it came from instead")
        })?;
        let mut steels: Vec<SteelId> = strata.iter().map(|s| s.0).collect();
        steels.sort_unstable();
        steels.dedup();
        let own: Result<Vec<&str>, String> = steels.iter().filter_map(|s| self.own_steel(*s)).collect();
        let steels: Vec<String> = own?.into_iter().map(str::to_owned).collect();
        let own: String = steels.iter().map(|line| format!("{line}\n")).collect();
        let body = match strata.as_slice() {
            [(steel, _)] => self.solid(name, bar, count, *steel),
            _ => self.layered(name, bar, &strata, &own)?,
        };
        Ok((steels, body))
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
        // To what a calliper tells, thin layers to four figures.
        let step: f64 = match self.units {
            Units::Metric => 0.01,
            Units::Inch => 0.0254,
        };
        let step = if mm < 100.0 * step { step / 100.0 } else { step };
        written((mm / step).round() * step, Kind::LENGTH, self.units)
    }

    fn solid(&self, name: &str, bar: &Bar, count: u32, steel: SteelId) -> String {
        let grade = grade(&self.plan.ground.steels[steel]);
        let (noun, sizes) = match bar.section {
            Section::Round => {
                ("round", format!("{} x {}", self.size(bar.calliper_thick()), self.size(bar.long)))
            }
            _ => ("bar", self.sizes(bar.thick, bar.wide, bar.long)),
        };
        let taken = Act::Stock.write("piece", &[&format!("bars {noun}s of {grade}"), &sizes]);
        format!("recipe {name}(bars: count = {count}) {{\n  {taken}  give piece\n}}\n")
    }

    fn sizes(&self, t: f64, w: f64, l: f64) -> String {
        format!("{} x {} x {}", self.size(t), self.size(w), self.size(l))
    }

    fn layered(&self, name: &str, bar: &Bar, strata: &[(SteelId, f64)], own: &str) -> Result<String, String> {
        // The weld burns some: the bars are so much longer that what is left weighs what the piece weighs.
        let mut long = bar.long * 1.05;
        for _ in 0..4 {
            let lines = self.laid(bar, strata, long);
            let weight = self.weight(&format!("{own}{lines}"));
            let weight = weight.ok_or("its layers cannot be welded again by this reckoning")?;
            long *= bar.mass / weight;
        }
        let lines = self.laid(bar, strata, long);
        let lines: String = lines.lines().map(|line| format!("  {line}\n")).collect();
        let read = [(bar.thick, "thick"), (bar.wide, "wide"), (bar.long, "long")];
        // A reading says how sure it is by its digits: one that ends in noughts must show them.
        let read = read.map(|(mm, what)| match self.units {
            Units::Metric => format!("{mm:.2} mm {what}"),
            Units::Inch => format!("{:.3} in {what}", mm / 25.4),
        });
        let measured = Act::Measure.write("piece", &read.each_ref().map(String::as_str));
        Ok(format!("recipe {name}() {{\n{lines}  {measured}  give piece\n}}\n"))
    }

    /// What a few lines come to, g.
    fn weight(&self, lines: &str) -> Option<f64> {
        let job = Job::alone("rack", lines).ok()?;
        let made = job.build(self.units);
        let mass = made.standing.last().and_then(|l| made.lot(*l)).map(|l| l.bar.mass);
        mass.filter(|m| job.found.is_empty() && made.faults.is_empty() && *m > 0.0)
    }

    fn laid(&self, bar: &Bar, strata: &[(SteelId, f64)], long: f64) -> String {
        let (mut lines, mut names): (String, Vec<String>) = (String::new(), Vec::new());
        for (i, (steel, thick)) in strata.iter().enumerate() {
            let name = format!("layer-{}", i + 1);
            let grade = grade(&self.plan.ground.steels[*steel]);
            let sizes = self.sizes(thick / (1.0 - THINNING), bar.wide, long);
            lines += &Act::Stock.write(&name, &[&format!("1 bar of {grade}"), &sizes]);
            names.push(name);
        }
        let thinning = format!("thinning {} %", THINNING * 100.0);
        lines += &Act::Stack.write("piece", &names.iter().map(String::as_str).collect::<Vec<_>>());
        let heat = match self.units {
            Units::Metric => "at 1130 C",
            Units::Inch => "at 2070 F",
        };
        lines += &Act::Weld.write("piece", &[heat, &thinning, "heats 3"]);
        lines
    }
}
