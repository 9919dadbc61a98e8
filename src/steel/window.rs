//! Between which temperatures a steel may be forged.
//!
//! A row of the forging table that names the steel is taken; else nickel and stainless steel by their kind, and all other
//! steel by its carbon, on straight lines between the rows for 0 to 1.5 % C. Each figure carries its own mark.

use std::sync::OnceLock;

use crate::steel::composition::Composition;
use crate::steel::forging_table::{Row, rows};
use crate::steel::grades::Grade;
use crate::steel::inputs::{at, carbon};
use crate::steel::law::{Law, Mark};

/// Welding under this is warned of, C. Project figure.
pub const WELD_WARNING_C: f64 = 1000.0;

const BETWEEN: &str = "on carbon, between rows of the forging table";

/// One temperature limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Temperature, C.
    pub t_c: f64,
    /// How far to trust it; between two rows the weaker of theirs.
    pub mark: Mark,
    /// The row that it comes from, or that it lies between rows.
    pub from: &'static str,
}

/// The forging temperatures of one steel; `None` where no source has one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// The highest temperature to forge at: warn above it.
    pub highest: Option<Limit>,
    /// Do not forge below this.
    pub lowest: Option<Limit>,
    /// The steel burns at this: far below its solidus.
    pub burning: Option<Limit>,
}

impl Window {
    fn row(row: &'static Row) -> Self {
        let limit = |t_c: Option<f64>, mark| t_c.map(|t_c| Limit { t_c, mark, from: row.material.as_str() });
        Self {
            highest: limit(row.highest_c, row.mark()),
            lowest: limit(row.lowest_c, row.mark()),
            burning: limit(row.burning_c, row.burning_mark()),
        }
    }
}

/// A limit known at one carbon content.
type Step = (f64, Limit);

struct Ladders {
    highest: Vec<Step>,
    lowest: Vec<Step>,
    burning: Vec<Step>,
}

fn ladders() -> &'static Ladders {
    static LADDERS: OnceLock<Ladders> = OnceLock::new();
    LADDERS.get_or_init(|| Ladders {
        highest: ladder(|r| r.carbon_percent, |w| w.highest),
        lowest: ladder(|r| r.carbon_percent_for_lowest, |w| w.lowest),
        burning: ladder(|r| r.carbon_percent, |w| w.burning),
    })
}

/// The steps of one ladder by rising carbon. Where two rows have the same carbon, the first of the table counts:
/// the one with the better mark stands first.
fn ladder(key: fn(&Row) -> Option<f64>, pick: fn(Window) -> Option<Limit>) -> Vec<Step> {
    let steps = rows().iter().filter_map(|r| Some((key(r)?, pick(Window::row(r))?)));
    let mut steps: Vec<Step> = steps.collect();
    steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    steps.dedup_by(|later, first| later.0 == first.0);
    steps
}

/// The limit at a carbon content: on a straight line between two steps, held at the ends.
fn climb(steps: &[Step], carbon_percent: f64) -> Option<Limit> {
    if carbon_percent.is_nan() {
        return None;
    }
    let above = steps.iter().find(|s| s.0 >= carbon_percent);
    let below = steps.iter().rev().find(|s| s.0 <= carbon_percent);
    match (below, above) {
        (Some((c0, low)), Some((c1, high))) if c0 < c1 => {
            let share = (carbon_percent - c0) / (c1 - c0);
            let weak = low.mark == Mark::Memory || (low.mark == Mark::Carrier && high.mark == Mark::Read);
            Some(Limit {
                t_c: low.t_c + share * (high.t_c - low.t_c),
                mark: if weak { low.mark } else { high.mark },
                from: BETWEEN,
            })
        }
        (Some((_, limit)), _) | (None, Some((_, limit))) => Some(*limit),
        (None, None) => None,
    }
}

/// The window of carbon steel by its carbon alone, %.
pub fn by_carbon(carbon_percent: f64) -> Window {
    let ladders = ladders();
    Window {
        highest: climb(&ladders.highest, carbon_percent),
        lowest: climb(&ladders.lowest, carbon_percent),
        burning: climb(&ladders.burning, carbon_percent),
    }
}

fn named(is: impl Fn(&Row) -> bool) -> Option<Window> {
    rows().iter().find(|r| is(r)).map(Window::row)
}

/// The window of a metal known only by what it is made of: nickel, stainless steel by kind, else by carbon.
pub fn by_composition(s: &Composition) -> Window {
    let row = if s.is_nickel() {
        named(|r| r.serves("nickel"))
    } else if s.is_austenitic() {
        named(|r| r.material.starts_with("stainless non-magnetic"))
    } else if s.is_stainless() {
        named(|r| r.material.starts_with("stainless magnetic"))
    } else {
        None
    };
    row.unwrap_or_else(|| by_carbon(s.c))
}

/// The window of a steel of the table: its own row, else as [`by_composition`]. What its own row leaves out stays out,
/// save the burning temperature, which no named row has: that is taken by carbon for carbon and low-alloy steel.
pub fn of(grade: &Grade) -> Window {
    let s = &grade.composition;
    let whole = by_composition(s);
    let Some(own) = named(|r| r.serves(&grade.name)) else {
        return whole;
    };
    Window { burning: own.burning.or(whole.burning), ..own }
}

/// The lowest forge-welding heat that a source has for steel in general, C: a lower bound read through a carrier (1093 C).
///
/// Warnings go by [`WELD_WARNING_C`], which is lower.
pub fn weld_lowest() -> Option<Limit> {
    let row = rows().iter().find(|r| r.material.starts_with("forge welding heat (steel"))?;
    Some(Limit { t_c: row.start_min_c?, mark: row.mark(), from: row.material.as_str() })
}

const SOURCE: &str =
    "rows of the forging table for 0 to 1.5 % C, each with its own source; 0.2 and 0.9 % from memory";
const VALIDITY: &str = "carbon steel; a row that names the steel goes before it";

const fn by_carbon_law(
    name: &'static str,
    title: &'static str,
    inputs: &'static [crate::steel::law::Input],
    eval: fn(&[f64]) -> f64,
) -> Law {
    Law {
        name,
        title,
        formula: "straight lines between the rows of the forging table",
        inputs,
        gives: "temperature",
        unit: "C",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Memory,
        eval,
    }
}

fn or_nan(limit: Option<Limit>) -> f64 {
    limit.map_or(f64::NAN, |l| l.t_c)
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    by_carbon_law("forging-highest", "highest forging temperature by carbon", &[carbon(0.0, 1.5)], |x| {
        or_nan(by_carbon(at(x, 0)).highest)
    }),
    Law {
        source: "table of grade ranges (800 C from 0.08 to 0.60 % C), a page on 1095 (815 C)",
        mark: Mark::Carrier,
        ..by_carbon_law(
            "forging-lowest",
            "temperature to stop forging at, by carbon",
            &[carbon(0.08, 1.0)],
            |x| or_nan(by_carbon(at(x, 0)).lowest),
        )
    },
    by_carbon_law("burning", "temperature at which steel burns, by carbon", &[carbon(0.2, 1.5)], |x| {
        or_nan(by_carbon(at(x, 0)).burning)
    }),
];
