//! Figures in a text turned from metric units to those of an inch shop: samples and rules of thumb, never a figure that was worked out.

use super::show::tape_figure;
use super::unit::{LB, TONF, US_TONF};
use super::{significant, trim_number};

/// A temperature below this is a difference, °C: nothing is worked so cold (project figure).
const DIFFERENCE_C: f64 = 60.0;

/// A unit that is turned, and how.
#[derive(Clone, Copy, PartialEq)]
enum From {
    Length(f64),
    Heat,
    Mass(f64),
    Force(f64),
    Energy,
}

/// Metric unit words, the longest first where one begins another.
const WORDS: [(&str, From); 10] = [
    ("mm", From::Length(1.0)),
    ("cm", From::Length(10.0)),
    ("m", From::Length(1000.0)),
    ("°C", From::Heat),
    ("C", From::Heat),
    ("kg", From::Mass(1000.0)),
    ("g", From::Mass(1.0)),
    ("tonf", From::Force(TONF)),
    ("kN", From::Force(1.0)),
    ("kJ", From::Energy),
];

/// What stands between figures that share the unit of the last.
const BETWEEN: [&str; 4] = [" x ", " to ", " .. ", " or "];

/// A figure in front of a unit, as it stands in a text.
struct Found<'t> {
    /// Where its first figure begins, and where its unit ends, bytes.
    start: usize,
    end: usize,
    /// Its figures, each with what stands behind it; nothing behind the last.
    figures: Vec<(&'t str, &'static str)>,
    unit: From,
}

/// A text with its metric figures turned to inches, °F, pounds and US tons, tidy as a shop writes them; a figure with its unit
/// that is to be kept, such as one that the user wrote, stays.
#[must_use]
pub fn turned(text: &str, keep: impl Fn(&str) -> bool) -> String {
    let mut made = String::new();
    let mut at = 0;
    while let Some(found) = next(text, at) {
        made += text.get(at..found.start).unwrap_or("");
        let words = text.get(found.start..found.end).unwrap_or("");
        made += &if keep(words) { words.to_owned() } else { written(&found) };
        at = found.end;
    }
    made + text.get(at..).unwrap_or("")
}

/// The next figure with a metric unit from a place on.
fn next(text: &str, from: usize) -> Option<Found<'_>> {
    let mut at = from;
    loop {
        let rest = text.get(at..)?;
        let start = at + rest.find(|c: char| c.is_ascii_digit())?;
        let before = text.get(from..start)?.chars().next_back();
        let length = figure(text.get(start..)?);
        // A name, such as `W1` or `15N20`, is no figure.
        if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '-') {
            at = start + length;
            continue;
        }
        match row(text, start) {
            Some(found) => return Some(found),
            None => at = start + length,
        }
    }
}

/// How long the figure is that a text begins with.
fn figure(text: &str) -> usize {
    let digits = |t: &str| t.bytes().take_while(u8::is_ascii_digit).count();
    let whole = digits(text);
    match text.get(whole..).and_then(|t| t.strip_prefix('.')) {
        Some(rest) if digits(rest) > 0 => whole + 1 + digits(rest),
        _ => whole,
    }
}

fn row(text: &str, start: usize) -> Option<Found<'_>> {
    let mut figures = Vec::new();
    let mut at = start;
    loop {
        let rest = text.get(at..)?;
        let length = figure(rest);
        let one = rest.get(..length).filter(|f| !f.is_empty())?;
        let behind = rest.get(length..)?;
        if let Some(between) = BETWEEN.into_iter().find(|b| behind.starts_with(b)) {
            figures.push((one, between));
            at += length + between.len();
            continue;
        }
        figures.push((one, ""));
        let blanks = behind.len() - behind.trim_start_matches(' ').len();
        let word = behind.get(blanks..)?;
        let (unit, from) = WORDS.into_iter().find(|(unit, _)| {
            let more = word.strip_prefix(unit).map(|rest| rest.chars().next());
            more.is_some_and(|next| next.is_none_or(|c| !c.is_alphanumeric() && c != '/' && c != '²'))
        })?;
        if blanks > 1 {
            return None;
        }
        return Some(Found { start, end: at + length + blanks + unit.len(), figures, unit: from });
    }
}

/// The figures in their new unit.
fn written(found: &Found) -> String {
    let values: Vec<f64> = found.figures.iter().filter_map(|(f, _)| f.parse().ok()).collect();
    let most = values.iter().copied().fold(0.0, f64::max);
    let mut unit = "";
    let mut text = String::new();
    for (value, (_, between)) in values.iter().zip(&found.figures) {
        let (figure, word) = match found.unit {
            From::Length(mm) => (length(value * mm), "in"),
            From::Heat if most < DIFFERENCE_C => (trim_number((value * 1.8 / 5.0).round() * 5.0, 0), "F"),
            From::Heat => (heat(value * 1.8 + 32.0), "F"),
            From::Mass(g) if most * g < LB => (significant(value * g / (LB / 16.0), 2), "oz"),
            From::Mass(g) => (significant(value * g / LB, 2), "lb"),
            From::Force(kn) => (significant(value * kn / US_TONF, 2), "US tonf"),
            // 1 ft-lbf is 1.3558179 J.
            From::Energy => (significant(value / 1.355_817_9e-3, 2), "ft-lbf"),
        };
        text += &figure;
        text += between;
        unit = word;
    }
    format!("{text} {unit}")
}

/// A length to the fraction that a smith would write for it.
fn length(mm: f64) -> String {
    let inches = mm / 25.4;
    let step = match inches {
        x if x >= 6.0 => 0.5,
        x if x >= 4.0 => 0.25,
        x if x >= 1.0 => 0.125,
        x if x >= 0.375 => 1.0 / 16.0,
        x if x >= 0.125 => 1.0 / 32.0,
        x if x >= 1.0 / 96.0 => 1.0 / 64.0,
        _ => 0.001,
    };
    tape_figure((inches / step).round() * step * 25.4)
}

/// A heat as a pyrometer's owner says it: the hotter, the rounder.
fn heat(f: f64) -> String {
    let step = if f >= 1000.0 { 25.0 } else { 10.0 };
    trim_number((f / step).round() * step, 0)
}

#[cfg(test)]
mod tests {
    use super::turned;

    #[test]
    fn samples_are_turned_as_an_inch_shop_writes_them() {
        // 25.4 mm, 453.59237 g (1959); F = 1.8 C + 32; 8.896 kN to the US ton.
        for (metric, inch) in [
            ("crop them, as in `cut b 8 mm off each end`", "crop them, as in `cut b 5/16 in off each end`"),
            ("`4 x 40 x 150 mm`", "`5/32 x 1 5/8 x 6 in`"),
            ("6 to 25 mm are common practice", "1/4 to 1 in are common practice"),
            ("`harden b from 815 C in oil`", "`harden b from 1500 F in oil`"),
            ("formulas differ by 15 to 35 C", "formulas differ by 25 to 65 F"),
            ("W1 at 200 C for 2 h", "W1 at 390 F for 2 h"),
            ("press 25 tonf, 0.7 kg per hour", "press 28 US tonf, 1.5 lb per hour"),
            ("scale 0.05 mm per heat, 30 W/m2K", "scale 0.002 in per heat, 30 W/m2K"),
            // 28.35 g to the ounce; a ft-lbf is 1.3558 J.
            ("take 250 g of it, or 1 kg", "take 8.8 oz of it, or 2.2 lb"),
            ("a hammer of 27 kJ a blow", "a hammer of 20000 ft-lbf a blow"),
            ("7.85 g/cm3, 9 bars of 1084, 2 times", "7.85 g/cm3, 9 bars of 1084, 2 times"),
        ] {
            assert_eq!(turned(metric, |_| false), inch);
        }
        assert_eq!(turned("write `12 mm`, not 8 mm", |words| words == "12 mm"), "write `12 mm`, not 5/16 in");
    }
}
