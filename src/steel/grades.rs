//! The steels that recipes may name: composition, density, standard, and how sure each is.
//!
//! The table is `grades.csv`; every row names its source, and each figure the mark of how it was read.

use std::sync::OnceLock;

use serde::Deserialize;

use super::composition::Composition;

/// One steel.
#[derive(Clone, Debug, Default)]
pub struct Grade {
    /// The name that smiths use.
    pub name: String,
    /// Other names of the same steel.
    pub aliases: Vec<String>,
    /// The standard that states it.
    pub standard: String,
    /// Nominal contents, weight per cent.
    pub composition: Composition,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// How sure the density is.
    pub density_mark: String,
    /// How sure the composition is.
    pub composition_mark: String,
    /// Where it was read.
    pub source: String,
    /// What else is worth knowing.
    pub note: String,
}

#[derive(Deserialize)]
struct Row {
    name: String,
    designation: String,
    aliases: String,
    near: String,
    standard: String,
    mn_min: Option<f64>,
    mn_max: Option<f64>,
    si_min: Option<f64>,
    si_max: Option<f64>,
    cr_min: Option<f64>,
    cr_max: Option<f64>,
    ni_min: Option<f64>,
    ni_max: Option<f64>,
    v_min: Option<f64>,
    v_max: Option<f64>,
    w_min: Option<f64>,
    w_max: Option<f64>,
    mo_min: Option<f64>,
    mo_max: Option<f64>,
    c_nominal: f64,
    density_kg_m3: f64,
    density_mark: String,
    composition_mark: String,
    source: String,
    note: String,
}

/// The middle of a range; half of a sole maximum (project figure: residuals lie well under their limit); the
/// minimum itself where only that is stated (commercially pure nickel); nothing where nothing is stated.
fn nominal(low: Option<f64>, high: Option<f64>) -> f64 {
    match (low, high) {
        (Some(low), Some(high)) => f64::midpoint(low, high),
        (None, Some(high)) => high / 2.0,
        (Some(low), None) => low,
        (None, None) => 0.0,
    }
}

impl From<Row> for Grade {
    fn from(row: Row) -> Grade {
        let mut aliases: Vec<String> = Vec::new();
        for alias in row.designation.split(';').chain(row.aliases.split(';')) {
            let alias = alias.trim();
            if !alias.is_empty() && alias != row.name && !aliases.iter().any(|a| a == alias) {
                aliases.push(alias.to_owned());
            }
        }
        let near = row.near.trim();
        let note = if near.is_empty() { row.note } else { format!("near {near}; {}", row.note) };
        Grade {
            name: row.name,
            aliases,
            standard: row.standard,
            composition: Composition {
                c: row.c_nominal,
                mn: nominal(row.mn_min, row.mn_max),
                si: nominal(row.si_min, row.si_max),
                cr: nominal(row.cr_min, row.cr_max),
                ni: nominal(row.ni_min, row.ni_max),
                v: nominal(row.v_min, row.v_max),
                w: nominal(row.w_min, row.w_max),
                mo: nominal(row.mo_min, row.mo_max),
            },
            density_kg_m3: row.density_kg_m3,
            density_mark: row.density_mark,
            composition_mark: row.composition_mark,
            source: row.source,
            note: note.trim_end_matches("; ").to_owned(),
        }
    }
}

/// All steels of the table, in its order.
pub fn all() -> &'static [Grade] {
    static GRADES: OnceLock<Vec<Grade>> = OnceLock::new();
    GRADES.get_or_init(|| {
        let mut reader = csv::Reader::from_reader(include_str!("grades.csv").as_bytes());
        // A row that could not be read would be missing; the test counts them.
        reader.deserialize::<Row>().filter_map(Result::ok).map(Grade::from).collect()
    })
}

/// The steel of a name: the one that smiths use, its designation, or another name of it.
#[must_use]
pub fn find(name: &str) -> Option<&'static Grade> {
    all().iter().find(|g| g.name == name || g.aliases.iter().any(|a| a == name))
}

/// The name most like one that is in no row, where one is like it at all.
#[must_use]
pub fn nearest(name: &str) -> Option<&'static str> {
    let wanted = name.to_lowercase();
    all()
        .iter()
        .flat_map(|g| std::iter::once(&g.name).chain(&g.aliases).map(move |a| (a, g)))
        .map(|(alias, g)| (strsim::damerau_levenshtein(&wanted, &alias.to_lowercase()), alias, g))
        .filter(|(far, alias, _)| *far <= 2 && *far < alias.chars().count().div_ceil(2))
        .min_by_key(|(far, alias, _)| {
            // Of two equally near, the one that begins alike: 1085 is a slip for 1084 rather than for 1045.
            let alike = alias.to_lowercase().chars().zip(wanted.chars()).take_while(|(a, b)| a == b).count();
            (*far, usize::MAX - alike)
        })
        .map(|(_, alias, g)| if alias.contains(' ') { g.name.as_str() } else { alias.as_str() })
}

impl Grade {
    /// Sets one content, as a fraction (0.0115 for 1.15 %), or the density, g/mm3. Other words do nothing.
    pub fn set(&mut self, element: &str, value: f64) {
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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read() {
        let lines = include_str!("grades.csv").lines().skip(1).filter(|l| !l.trim().is_empty()).count();
        assert_eq!(all().len(), lines);
        assert!(all().iter().all(|g| g.density_kg_m3 > 7000.0 && !g.source.is_empty()));
    }

    #[test]
    fn no_two_steels_share_a_name() {
        let mut names: Vec<&str> = all()
            .iter()
            .flat_map(|g| std::iter::once(&g.name).chain(&g.aliases))
            .map(String::as_str)
            .collect();
        names.sort_unstable();
        let before = names.len();
        names.dedup();
        assert_eq!(names.len(), before);
    }

    #[test]
    fn contents_are_those_of_the_standard() {
        // ASTM A576-90b (2006), grade 1084: C 0.80 to 0.93, Mn 0.60 to 0.90, Si 0.15 to 0.35.
        let c = find("1084").unwrap().composition;
        assert!((c.c - 0.865).abs() < 1e-12 && (c.mn - 0.75).abs() < 1e-12 && (c.si - 0.25).abs() < 1e-12);
        // EN 10132 designation of the trade's 15N20: 75Ni8, material number 1.5634.
        assert_eq!(find("1.5634").unwrap().name, find("15N20").unwrap().name);
    }

    #[test]
    fn slips_find_their_steel() {
        assert_eq!(nearest("15n20"), Some("15N20"));
        assert_eq!(nearest("marzipan"), None);
    }
}
