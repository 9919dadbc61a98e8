//! The steels that can be called by name, with what they are made of.
//!
//! The table is `grades.csv` beside this file: limits of each element as its standard or a page of it gives them,
//! with the source of each row. An empty cell means that no limit is stated, not that there is none of it.

use std::sync::OnceLock;

use crate::steel::csv_table::{self, Row};

pub use crate::steel::grades::composition::Composition;

/// The limits of one element, % by weight; `None` where none is stated.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// The least allowed.
    pub min: Option<f64>,
    /// The most allowed.
    pub max: Option<f64>,
}

impl Limits {
    /// One figure for an element, % by weight: the middle of its limits; half of the most where no least is
    /// stated; half way to 100 where no most is stated; 0 where nothing is. Project figures, save the middle.
    pub(crate) fn middle(self) -> f64 {
        match (self.min, self.max) {
            (Some(min), Some(max)) => 0.5 * (min + max),
            (None, Some(max)) => 0.5 * max,
            (Some(min), None) => 0.5 * (min + 100.0),
            (None, None) => 0.0,
        }
    }
}

/// One steel (or iron, or nickel) of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Grade {
    /// The short name that smiths use and that is shown.
    pub name: String,
    /// The full designation in its standard.
    pub designation: String,
    /// Further names that mean the same.
    pub aliases: Vec<String>,
    /// The standard that sets its limits.
    pub standard: String,
    /// Nominal composition: stated carbon, else the middle of the limits as `Limits::middle` takes it.
    pub composition: Composition,
    /// Limits in the order C, Mn, Si, Cr, Ni, V, W, Mo, each with its symbol.
    pub limits: [(&'static str, Limits); 8],
    /// Density at 20 C, kg/m3.
    pub density_kg_m3: f64,
    /// How far to trust the density, in words.
    pub density_mark: String,
    /// How far to trust the composition, in words.
    pub composition_mark: String,
    /// Where the row comes from.
    pub source: String,
    /// What else there is to know; may be empty.
    pub note: String,
    /// Names of steels that are like this one and not the same, some from memory: [`nearest`] offers this one for them.
    near: Vec<String>,
}

impl Grade {
    /// The name of this steel that a word is, in any case.
    pub(crate) fn spelt(&self, word: &str) -> Option<&str> {
        self.names().find(|name| name.eq_ignore_ascii_case(word))
    }

    /// Sets one content, as a fraction (0.0115 for 1.15 %), or the density, g/mm3. Other words do nothing.
    pub(crate) fn set(&mut self, element: &str, value: f64) {
        let c = &mut self.composition;
        let place = match element {
            "carbon" => &mut c.c,
            "manganese" => &mut c.mn,
            "silicon" => &mut c.si,
            "chromium" => &mut c.cr,
            "nickel" => &mut c.ni,
            "vanadium" => &mut c.v,
            "tungsten" => &mut c.w,
            "molybdenum" => &mut c.mo,
            "density" => {
                self.density_kg_m3 = value * 1e6;
                return;
            }
            _ => return,
        };
        *place = value * 100.0;
    }

    /// All names of this steel, the short one first.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        let short = [self.name.as_str(), self.designation.as_str()];
        short.into_iter().chain(self.aliases.iter().map(String::as_str))
    }
}

fn split(list: &str) -> Vec<String> {
    let parts = list.split(';').map(str::trim);
    parts.filter(|p| !p.is_empty()).map(String::from).collect()
}

impl Grade {
    fn of(row: &Row) -> Self {
        let cell = |column: &str| row.cell(column).to_owned();
        let figure = |column: &str| match row.cell(column) {
            "" => None,
            text => Some(text.parse().unwrap_or_else(|e| bug!("`{text}` of the table of steels: {e}"))),
        };
        let limits = Composition::SYMBOLS.map(|symbol| {
            let of = |end: &str| figure(&format!("{}_{end}", symbol.to_lowercase()));
            (symbol, Limits { min: of("min"), max: of("max") })
        });
        let [c, mn, si, cr, ni, v, w, mo] = limits.map(|(_, limits)| limits.middle());
        let c = figure("c_nominal").unwrap_or(c);
        Self {
            composition: Composition { c, mn, si, cr, ni, v, w, mo },
            limits,
            aliases: split(row.cell("aliases")),
            near: split(row.cell("near")),
            name: cell("name"),
            designation: cell("designation"),
            standard: cell("standard"),
            density_kg_m3: figure("density_kg_m3").unwrap_or_else(|| bug!("a steel without a density")),
            density_mark: cell("density_mark"),
            composition_mark: cell("composition_mark"),
            source: cell("source"),
            note: cell("note"),
        }
    }
}

const TABLE: &str = include_str!("grades.csv");

/// Every steel of the table, in its order.
pub fn all() -> &'static [Grade] {
    static GRADES: OnceLock<Vec<Grade>> = OnceLock::new();
    GRADES.get_or_init(|| csv_table::rows(TABLE, Grade::of))
}

/// The steel that has this name, short, full or other, in any case; `None` where there is none.
pub(crate) fn find(word: &str) -> Option<&'static Grade> {
    all().iter().find(|g| g.spelt(word).is_some())
}

/// A steel's name as the table spells it; another word as it is.
pub(crate) fn house_grade(word: &str) -> &str {
    all().iter().find_map(|g| g.spelt(word)).unwrap_or(word)
}

/// The short name of the steel whose name is closest to a word that [`find`] does not know.
///
/// Case, blanks and dashes do not count, and near relatives of a listed steel lead to it. `None` where nothing is close:
/// more than two characters differ, or more than one in three.
pub(crate) fn nearest(word: &str) -> Option<&'static str> {
    let asked = plain(word);
    if asked.is_empty() {
        return None;
    }
    // A nought for the letter, and the letter for a nought: `01`, `1O84`.
    let even = |name: &str| name.replace('o', "0");
    let same = |name: &str| even(&plain(name)) == even(&asked);
    let alike = all().iter().find(|g| g.names().any(same) || g.near.iter().any(|n| same(n)));
    if let Some(grade) = alike {
        return Some(grade.name.as_str());
    }
    let allowed = (asked.chars().count() / 3).min(2);
    // A steel's number is its name: another number is another steel, and no slip of the pen; its end may be left out.
    let digits = |name: &str| name.chars().filter(char::is_ascii_digit).collect::<String>();
    let number = digits(&asked);
    let cut_short = number.len() >= 2 && !asked.ends_with(|c: char| c.is_ascii_digit());
    let same_number = |name: &str| {
        let whole = digits(name);
        whole == number || (cut_short && whole.starts_with(&number))
    };
    let scored = all().iter().flat_map(|g| {
        let names = g.names().map(plain).filter(|n| same_number(n)).map(|n| strsim::osa_distance(&n, &asked));
        names.min().map(|distance| (distance, g.name.as_str()))
    });
    let close = scored.filter(|(distance, _)| *distance <= allowed);
    // Of two equally near, the one that begins alike.
    let apart =
        |name: &str| asked.len() - plain(name).chars().zip(asked.chars()).take_while(|(a, b)| a == b).count();
    close.min_by_key(|(distance, name)| (*distance, apart(name))).map(|(_, name)| name)
}

/// A name as it is compared: small letters, without blanks, dashes and underscores. Long words are cut, since no
/// name is that long and the comparison takes time.
fn plain(word: &str) -> String {
    let kept = word.chars().filter(|c| !matches!(c, ' ' | '-' | '_'));
    kept.take(40).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    #[test]
    fn every_row_is_read() {
        // The table has a heading and one line a steel; 34 steels in the reference, section 6, and four that are bought besides.
        assert_eq!(all().len(), TABLE.trim().lines().count() - 1);
        assert_eq!(all().len(), 34 + 4);
    }

    #[test]
    fn names_smiths_type() {
        let shown = |word: &str| find(word).map(|g| g.name.as_str());
        for word in [
            "1084", "1095", "15N20", "W1", "W2", "O1", "D2", "L6", "304", "316", "410", "420", "5160",
            "52100", "80CrV2", "1.2842", "nickel", "A203E",
        ] {
            assert_eq!(shown(word), Some(word));
        }
        assert_eq!(shown("wrought-iron"), Some("wrought-iron"));
        let others = [("SAE 1084", "1084"), ("75Ni8", "15N20"), ("1.5634", "15N20"), ("1.2235", "80CrV2")];
        for (word, name) in others.into_iter().chain([("90MnCrV8", "1.2842")]) {
            assert_eq!(shown(word), Some(name), "{word}");
        }
        assert_eq!((shown("15n20"), shown("WROUGHT-iron")), (Some("15N20"), Some("wrought-iron")));
        assert!(find("").is_none());
    }

    #[test]
    fn no_name_means_two_steels() {
        for g in all() {
            for name in g.names() {
                let owners = all().iter().filter(|o| o.spelt(name).is_some()).count();
                assert_eq!(owners, 1, "{name}");
            }
            assert!(g.near.iter().all(|n| find(n).is_none()), "{}", g.name);
            assert!(!g.name.contains(' '), "{}", g.name);
        }
    }

    #[test]
    fn suggestions() {
        assert_eq!(nearest("15n20"), Some("15N20"));
        assert_eq!(nearest("wrought iron"), Some("wrought-iron"));
        assert_eq!(nearest("nickle"), Some("nickel"));
        assert_eq!(nearest("100Cr6"), Some("52100"));
        assert_eq!(nearest("O2"), Some("1.2842"));
        assert_eq!(nearest("80crv"), Some("80CrV2"));
        assert_eq!(nearest("mystery"), None);
        assert_eq!(nearest(""), None);
        assert_eq!(nearest(&"x".repeat(100_000)), None);
    }

    #[test]
    fn compositions() {
        let of = |word: &str| find(word).map(|g| g.composition).unwrap_or_default();
        // ASTM A576: 1084 is 0.80-0.93 C, 0.60-0.90 Mn; usual silicon 0.15-0.35.
        assert_eq!(of("1084"), Composition::plain(0.865, 0.75, 0.25));
        // EN 10132: 75Ni8 has 1.8 to 2.1 Ni (from memory) and chromium up to 0.15 only.
        within(of("15N20").ni, 1.95, 1e-12);
        within(of("15N20").cr, 0.075, 1e-12);
        // ASTM A681: O1 has tungsten 0.40-0.60; SAE J404: 52100 has chromium 1.30-1.60.
        within(of("O1").w, 0.5, 1e-12);
        within(of("52100").cr, 1.45, 1e-12);
        assert!(of("nickel").is_nickel());
        assert!(of("304").is_austenitic() && of("316").is_austenitic());
        assert!(of("410").is_stainless() && !of("410").is_austenitic());
        // ASTM A681 has no limit of vanadium for O1 below 0.30: half the most is taken.
        within(of("O1").v, 0.15, 1e-12);
    }

    #[test]
    fn figures_are_possible() {
        for g in all() {
            let sum: f64 = g.limits.iter().map(|(_, l)| l.middle()).sum();
            assert!(sum <= 100.0, "{}", g.name);
            assert!((7600.0..=8900.0).contains(&g.density_kg_m3), "{}", g.name);
            for (symbol, l) in g.limits {
                let ordered = l.min.unwrap_or(0.0) <= l.max.unwrap_or(100.0);
                assert!(ordered, "{} {symbol}", g.name);
            }
            let text = [&g.source, &g.standard, &g.density_mark, &g.composition_mark];
            assert!(text.iter().all(|t| !t.is_empty()), "{}", g.name);
            let whole = format!("{}{}", g.source, g.note);
            assert!(!whole.contains("://") && !whole.contains("www"), "{whole}");
        }
    }
}
