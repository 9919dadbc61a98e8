//! The units a smith may write, what each is in the base unit of its kind, and the ones that are refused.
//!
//! Factors: international yard and pound agreement of 1959 (1 in = 25.4 mm and 1 lb = 0.45359237 kg, both
//! exact); standard gravity 9.80665 m/s2 (3rd CGPM, 1901), exact, for the tonne-force; degree Celsius and
//! Fahrenheit by their definitions.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::Kind;
use crate::vocabulary::{Sort, Term};

/// What to make of a unit word behind a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// The base value is the figure times this factor.
    Factor(f64),
    /// Degrees Celsius: the base of temperatures.
    Celsius,
    /// Degrees Fahrenheit: `(F - 32) * 5/9`, and `F * 5/9` for a difference.
    Fahrenheit,
    /// People write it, and it is refused: the text says what to write.
    Refused(&'static str),
}

/// One unit word.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// The word as written.
    pub word: &'static str,
    /// The kind of quantity it makes.
    pub kind: Kind,
    /// How the figure is read.
    pub reading: Reading,
}

const IN: f64 = 25.4; // mm, exact (1959)
/// One pound, g: exact (1959).
pub const LB: f64 = 453.592_37;
/// The tonne-force, kN, exact.
pub const TONF: f64 = 9.806_65;
/// The US ton-force, kN, exact.
pub const US_TONF: f64 = 2000.0 * LBF;
const LBF: f64 = 0.453_592_37 * 9.806_65 / 1000.0; // kN

impl Unit {
    /// Where its factor comes from.
    #[must_use]
    pub fn source(&self) -> &'static str {
        match self.word {
            "in" | "inch" | "inches" | "thou" | "ft" | "in2" | "in3" => {
                "1 in = 25.4 mm, exact: international yard and pound agreement, 1959"
            }
            "lb" | "lbs" | "oz" => "1 lb = 453.59237 g, exact: international yard and pound agreement, 1959",
            "tonf" => "1000 kg under standard gravity, 9.80665 m/s2 exact: 3rd CGPM, 1901",
            "US tonf" => {
                "2000 lb under standard gravity: 453.59237 g (1959) and 9.80665 m/s2 (3rd CGPM, 1901), both exact"
            }
            "C" | "°C" => "degree Celsius by its definition",
            "F" | "°F" => {
                "degree Fahrenheit by its definition: (F - 32) x 5/9, and F x 5/9 for a difference"
            }
            "HRC" => "the Rockwell C scale as it is read",
            "%" => "a hundredth, by its name",
            _ => "a decimal or sixtieth part by definition",
        }
    }
}

const fn unit(word: &'static str, kind: Kind, factor: f64) -> Unit {
    Unit { word, kind, reading: Reading::Factor(factor) }
}

const fn refused(word: &'static str, kind: Kind, why: &'static str) -> Unit {
    Unit { word, kind, reading: Reading::Refused(why) }
}

const TON: &str = "a ton is three different things: write `tonf` (metric, 9.807 kN) or `US tonf` (8.896 kN)";

/// Every unit word there is. The grammar holds the same words, longest first; a test compares the two.
pub const UNITS: &[Unit] = &[
    unit("mm", Kind::LENGTH, 1.0),
    unit("cm", Kind::LENGTH, 10.0),
    unit("m", Kind::LENGTH, 1000.0),
    unit("in", Kind::LENGTH, IN),
    unit("inch", Kind::LENGTH, IN),
    unit("inches", Kind::LENGTH, IN),
    unit("thou", Kind::LENGTH, IN / 1000.0),
    unit("ft", Kind::LENGTH, 12.0 * IN),
    unit("mm2", Kind::AREA, 1.0),
    unit("cm2", Kind::AREA, 100.0),
    unit("in2", Kind::AREA, IN * IN),
    unit("mm3", Kind::VOLUME, 1.0),
    unit("cm3", Kind::VOLUME, 1000.0),
    unit("in3", Kind::VOLUME, IN * IN * IN),
    unit("g", Kind::MASS, 1.0),
    unit("kg", Kind::MASS, 1000.0),
    unit("lb", Kind::MASS, LB),
    unit("lbs", Kind::MASS, LB),
    unit("oz", Kind::MASS, LB / 16.0),
    unit("g/cm3", Kind::DENSITY, 0.001),
    unit("kg/m3", Kind::DENSITY, 1e-6),
    Unit { word: "C", kind: Kind::TEMPERATURE, reading: Reading::Celsius },
    Unit { word: "F", kind: Kind::TEMPERATURE, reading: Reading::Fahrenheit },
    Unit { word: "°C", kind: Kind::TEMPERATURE, reading: Reading::Celsius },
    Unit { word: "°F", kind: Kind::TEMPERATURE, reading: Reading::Fahrenheit },
    unit("tonf", Kind::FORCE, TONF),
    unit("US tonf", Kind::FORCE, US_TONF),
    unit("kN", Kind::FORCE, 1.0),
    unit("N", Kind::FORCE, 0.001),
    unit("s", Kind::TIME, 1.0 / 60.0),
    unit("sec", Kind::TIME, 1.0 / 60.0),
    unit("min", Kind::TIME, 1.0),
    unit("h", Kind::TIME, 60.0),
    unit("hour", Kind::TIME, 60.0),
    unit("hours", Kind::TIME, 60.0),
    unit("deg", Kind::ANGLE, 1.0),
    unit("°", Kind::ANGLE, 1.0),
    unit("%", Kind::RATIO, 0.01),
    unit("HRC", Kind::HARDNESS, 1.0),
    refused("ton", Kind::FORCE, TON),
    refused("tons", Kind::FORCE, TON),
    refused("mil", Kind::LENGTH, "it is two things: write `thou` (a thousandth of an inch) or `mm`"),
    refused("mils", Kind::LENGTH, "it is two things: write `thou` (a thousandth of an inch) or `mm`"),
    refused("K", Kind::TEMPERATURE, "temperatures are written in `C` or `F`, as in `1230 C`"),
];

/// The unit words for the vocabulary.
pub fn terms() -> impl Iterator<Item = Term> {
    UNITS.iter().map(|unit| match unit.reading {
        Reading::Refused(why) => Term::new(unit.word, Sort::Refused).told("", why),
        _ if unit.word == "ft" => {
            Term::new(unit.word, Sort::Unit).told("", unit.source()).also(&["feet", "foot"])
        }
        _ if unit.word == "%" => Term::new(unit.word, Sort::Unit).told("", unit.source()).also(&["percent"]),
        _ => Term::new(unit.word, Sort::Unit).told("", unit.source()),
    })
}

/// The unit of this word: marks, a point behind it and capitals as shops write them, blanks inside folded to one.
#[must_use]
pub fn find(word: &str) -> Option<&'static Unit> {
    let folded = word.split_whitespace().collect::<Vec<_>>().join(" ");
    let short = folded.strip_suffix('.').unwrap_or(&folded);
    let lower = short.to_lowercase();
    let own = match lower.as_str() {
        "\"" | "”" | "″" | "''" | "’’" => "in",
        "'" | "’" | "′" | "feet" | "foot" => "ft",
        "deg f" => "F",
        "deg c" => "C",
        "percent" => "%",
        _ => short,
    };
    let exact = UNITS.iter().find(|u| u.word == own);
    let in_any_case = |u: &&Unit| u.word.chars().flat_map(char::to_lowercase).eq(lower.chars());
    exact.or_else(|| UNITS.iter().find(in_any_case))
}

/// What smiths also say for a unit, each with the unit's word: read where a line can be read no other way.
const SAID: &[(&str, &str)] = &[
    ("millimeter millimeters millimetre millimetres mms", "mm"),
    ("centimeter centimeters centimetre centimetres cms", "cm"),
    ("meter meters metre metres", "m"),
    ("inchs ins inche", "in"),
    ("thousandth thousandths thousands", "thou"),
    ("pound pounds lbm", "lb"),
    ("ounce ounces ozs", "oz"),
    ("gram grams gramme grammes gr gm gms", "g"),
    ("kilo kilos kilogram kilograms kgs kilogramme kilogrammes", "kg"),
    ("fahrenheit farenheit fahrenheight farenheight farenheit degf ºf deg-f", "F"),
    ("celsius centigrade celcius celsious degc ºc deg-c", "C"),
    ("degree degrees degs º", "deg"),
    ("minute minutes mins", "min"),
    ("second seconds secs", "s"),
    ("hr hrs", "h"),
    ("rc hrc rockwell", "HRC"),
    ("percent percents pct prozent", "%"),
    ("tonne tonnes metric-ton metric-tons", "tonf"),
    ("kilonewton kilonewtons", "kN"),
    ("newton newtons", "N"),
];

/// Words of two parts that smiths say for a unit.
const SAID_IN_TWO: &[(&str, &str)] = &[
    ("deg f", "F"),
    ("deg c", "C"),
    ("degrees f", "F"),
    ("degree f", "F"),
    ("degs f", "F"),
    ("deg fahrenheit", "F"),
    ("degrees fahrenheit", "F"),
    ("degrees farenheit", "F"),
    ("degrees c", "C"),
    ("degree c", "C"),
    ("degs c", "C"),
    ("deg celsius", "C"),
    ("degrees celsius", "C"),
    ("degrees centigrade", "C"),
    ("per cent", "%"),
    ("metric ton", "tonf"),
    ("metric tons", "tonf"),
    ("metric tonnes", "tonf"),
    ("us ton", "US tonf"),
    ("us tons", "US tonf"),
    ("short tons", "US tonf"),
    ("short ton", "US tonf"),
    ("rockwell c", "HRC"),
    ("hr c", "HRC"),
];

/// The unit that smiths mean by a word that is none of the language's: in any case, a point behind it.
#[must_use]
pub fn said(word: &str) -> Option<&'static str> {
    let folded = word.to_lowercase().replace('.', " ");
    let folded = folded.split_whitespace().collect::<Vec<_>>().join(" ");
    static ALL: LazyLock<BTreeMap<&str, &str>> = LazyLock::new(|| {
        let ones = SAID.iter().flat_map(|(said, unit)| said.split(' ').map(|word| (word, *unit)));
        ones.chain(SAID_IN_TWO.iter().copied()).collect()
    });
    ALL.get(folded.as_str()).copied()
}

/// The unit most like a word that is none, for a suggestion.
#[must_use]
pub fn nearest(word: &str) -> Option<&'static str> {
    UNITS
        .iter()
        .filter(|u| !matches!(u.reading, Reading::Refused(_)))
        .map(|u| (strsim::damerau_levenshtein(&word.to_lowercase(), &u.word.to_lowercase()), u.word))
        .filter(|(distance, unit)| *distance <= 1 && (unit.len() > 1 || *distance == 0))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, unit)| unit)
}

#[cfg(test)]
mod tests {
    use super::{Reading, find, nearest, said};

    fn factor(word: &str) -> f64 {
        match find(word).map(|u| u.reading) {
            Some(Reading::Factor(f)) => f,
            other => panic!("{word}: {other:?}"),
        }
    }

    #[test]
    fn words_of_smiths_for_units_are_known_in_any_case() {
        assert_eq!(
            ["Short Tons.", "Rockwell C", "ounces"].map(said),
            [Some("US tonf"), Some("HRC"), Some("oz")]
        );
        assert_eq!(said("furlongs"), None);
    }

    #[test]
    fn factors_are_those_of_1959() {
        // International yard and pound agreement, 1959: exact.
        assert_eq!(factor("in"), 25.4);
        assert_eq!(factor("lb"), 453.592_37);
        // US ton-force 8.89644 kN: the figure of the design page, from the exact pound.
        assert!((factor("US  tonf") - 8.896_443_230_521).abs() < 1e-12);
    }

    #[test]
    fn only_a_decimal_or_sixtieth_part_is_called_so() {
        // mm, g, min and kN are the base: what is so by definition is a power of ten or of sixty of them.
        let by_definition = |factor: f64| {
            let power_of = |base: f64| {
                let power = factor.ln() / base.ln();
                (power - power.round()).abs() < 1e-9
            };
            power_of(10.0) || power_of(60.0)
        };
        let mut named = 0;
        for unit in super::UNITS {
            let Reading::Factor(factor) = unit.reading else { continue };
            let plain = unit.source().contains("decimal or sixtieth");
            assert!(!plain || by_definition(factor), "{} is {factor}: {}", unit.word, unit.source());
            named += usize::from(!plain && !by_definition(factor));
        }
        assert!(named > 8, "{named}");
        // Both tons of force go by standard gravity; a thousand kilograms make the one, two thousand pounds the other.
        assert!(find("tonf").is_some_and(|u| u.source().starts_with("1000 kg under standard gravity")));
        assert!((factor("tonf") - 9.806_65).abs() < 1e-12);
    }

    #[test]
    fn units_are_found_as_shops_write_them() {
        for (written, word) in [
            ("\"", "in"),
            ("″", "in"),
            ("’", "ft"),
            ("feet", "ft"),
            ("In.", "in"),
            ("MM", "mm"),
            ("kn", "kN"),
            ("deg  F", "F"),
            ("us tonf", "US tonf"),
        ] {
            assert_eq!(find(written).map(|u| u.word), Some(word), "{written}");
        }
        assert!(find("furlong").is_none());
    }

    #[test]
    fn slips_find_their_unit() {
        assert_eq!(nearest("mn"), Some("mm"));
        assert_eq!(nearest("MM"), Some("mm"));
        assert_eq!(nearest("tonff"), Some("tonf"));
        assert_eq!(nearest("bananas"), None);
    }
}
