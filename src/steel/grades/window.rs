//! Between which temperatures a steel may be forged.
//!
//! A row of the forging table that names the steel is taken; else nickel and stainless steel by their kind, and all other
//! steel by its carbon, on straight lines between the rows for 0 to 1.5 % C. Each figure carries its own mark.

use std::sync::OnceLock;

use crate::steel::grades::Grade;
use crate::steel::grades::composition::Composition;
use crate::steel::grades::forging_table::{Row, rows};
use crate::steel::mark::Mark;

/// Welding under this is warned of, C: 2000 F, the least for steel in general (forging table, through a carrier).
pub const WELD_WARNING_C: f64 = 1093.0;
/// Where the pressing of a weld ends at the latest, C. Project figure.
pub const WELD_STOP_C: f64 = 1000.0;

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
    /// Forging is begun no colder than this, in its own row alone.
    pub starts: Option<Limit>,
    /// The highest temperature to forge at: warn above it.
    pub highest: Option<Limit>,
    /// Do not forge below this.
    pub lowest: Option<Limit>,
    /// The steel burns at this: far below its solidus.
    pub burning: Option<Limit>,
}

impl Window {
    fn row(row: &'static Row) -> Self {
        let limit = |t_c: Option<f64>, mark: fn(&Row) -> Mark| {
            t_c.map(|t_c| Limit { t_c, mark: mark(row), from: row.material.as_str() })
        };
        Self {
            starts: limit(row.start_min_c, Row::mark),
            highest: limit(row.highest_c, Row::mark),
            lowest: limit(row.lowest_c, Row::mark),
            burning: limit(row.burning_c, Row::burning_mark),
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
pub(crate) fn by_carbon(carbon_percent: f64) -> Window {
    let ladders = ladders();
    Window {
        starts: None,
        highest: climb(&ladders.highest, carbon_percent),
        lowest: climb(&ladders.lowest, carbon_percent),
        burning: climb(&ladders.burning, carbon_percent),
    }
}

fn named(is: impl Fn(&Row) -> bool) -> Option<Window> {
    rows().iter().find(|r| is(r)).map(Window::row)
}

/// The window of a metal known only by what it is made of: nickel, stainless steel by kind, else by carbon.
pub(crate) fn by_composition(s: &Composition) -> Window {
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
pub(crate) fn of(grade: &Grade) -> Window {
    let s = &grade.composition;
    let whole = by_composition(s);
    let Some(own) = named(|r| r.serves(&grade.name)) else {
        return whole;
    };
    Window { burning: own.burning.or(whole.burning), ..own }
}

#[cfg(test)]
mod tests {
    use crate::steel::grades;
    use crate::steel::grades::composition::Composition;
    use crate::steel::grades::window::{Limit, Window, by_carbon, by_composition, of};
    use crate::steel::laws::solidus;
    use crate::steel::mark::Mark;
    use crate::steel::testing::within;

    fn window(name: &str) -> Window {
        grades::find(name).map_or_else(|| by_carbon(f64::NAN), of)
    }

    fn t(limit: Option<Limit>) -> f64 {
        limit.map_or(f64::NAN, |l| l.t_c)
    }

    #[test]
    fn best_supported_rows() {
        // Reference, section 10.2: highest and lowest as its sources have them.
        for (name, highest, lowest) in [
            ("1095", 1150.0, 815.0),
            ("5160", 1205.0, 870.0),
            ("52100", 1150.0, 925.0),
            ("O1", 1066.0, 843.0),
            ("L6", 1190.0, 927.0),
            ("D2", 1065.0, 926.0),
            ("C45U", 1100.0, 850.0),
            ("1018", 1250.0, 800.0),
            ("1045", 1200.0, 800.0),
            ("15N20", 1100.0, 850.0),
        ] {
            within(t(window(name).highest), highest, 0.0);
            within(t(window(name).lowest), lowest, 0.0);
        }
        within(t(window("nickel").highest), 1095.0, 0.0);
        within(t(window("L6").starts), 1149.0, 0.0);
        assert_eq!(window("1084").starts, None);
        within(t(window("304").highest), 1260.0, 0.0);
        within(t(window("wrought-iron").highest), 1371.0, 0.0);
        assert_eq!(window("nickel").lowest, None);
        let mark = |name: &str| window(name).highest.map(|l| l.mark);
        assert_eq!(mark("C45U"), Some(Mark::Read));
        assert_eq!(mark("1095"), Some(Mark::Carrier));
        assert_eq!(mark("80CrV2"), Some(Mark::Memory));
    }

    #[test]
    fn by_carbon_between_rows_computed() {
        // Steps 0.5 % 1230 C (carrier), 0.9 % 1121 C (memory), 1.1 % 1082 C (carrier).
        within(t(by_carbon(0.7).highest), 1175.5, 1e-9);
        within(t(by_carbon(1.1).highest), 1082.0, 0.0);
        within(t(by_carbon(3.0).highest), 1049.0, 0.0);
        within(t(by_carbon(0.0).highest), 1371.0, 0.0);
        assert_eq!(by_carbon(1.1).highest.map(|l| l.mark), Some(Mark::Carrier));
        assert_eq!(by_carbon(1.0).highest.map(|l| l.mark), Some(Mark::Memory));
        assert_eq!(by_carbon(0.7).lowest.map(|l| l.mark), Some(Mark::Carrier));
        assert_eq!(by_carbon(0.45).lowest.map(|l| l.mark), Some(Mark::Read));
        assert_eq!(by_carbon(f64::NAN).highest, None);
        let eleven = t(window("1084").highest);
        assert!(eleven > 1121.0 && eleven < 1150.0);
    }

    #[test]
    fn more_carbon_never_bears_more_heat() {
        let mut last = by_carbon(0.0);
        for i in 1..=160 {
            let next = by_carbon(f64::from(i) / 100.0);
            assert!(t(next.highest) <= t(last.highest));
            assert!(t(next.burning) <= t(last.burning));
            assert!(t(next.lowest) >= t(last.lowest));
            assert!(t(next.lowest) < t(next.highest) && t(next.highest) < t(next.burning));
            last = next;
        }
    }

    #[test]
    fn burning_lies_below_the_solidus() {
        // Reference, 10.1: the rows for 1.1 and 1.5 % C burn 100 to 150 C under the solidus.
        for c in [1.1, 1.5] {
            let solid = solidus::of_c(&Composition::plain(c, 0.3, 0.2));
            let gap = solid - t(by_carbon(c).burning);
            assert!((99.0..151.0).contains(&gap), "{c} {gap}");
        }
        within(t(window("1095").burning), t(by_carbon(0.965).burning), 0.0);
    }

    #[test]
    fn kinds_without_a_row() {
        assert_eq!(t(window("316").highest), 1150.0);
        assert_eq!(t(window("420").highest), 1095.0);
        let mine = Composition { cr: 18.0, ni: 9.0, ..Composition::plain(0.05, 1.0, 0.5) };
        assert_eq!(t(by_composition(&mine).highest), 1150.0);
        assert_eq!(by_composition(&mine).burning, None);
    }
}
