//! How figures are shown: in the reader's units, with digits a calliper or a shop scale can give.

use super::Kind;
use super::unit::LB;

/// The reader's units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Millimetres, grams, °C.
    Metric,
    /// Inches, pounds and ounces, °F.
    Inch,
}

/// A figure of a kind, base unit, as text with its unit.
///
/// Digits: lengths 0.01 mm or 0.001 in below 100 mm, else 0.1 mm; weights 1 g or 0.1 oz.
#[must_use]
pub fn show(value: f64, kind: Kind, units: Units) -> String {
    let (figure, digits, unit) = match (kind, units) {
        (Kind::LENGTH, Units::Metric) => (value, if value.abs() < 99.995 { 2 } else { 1 }, "mm"),
        (Kind::LENGTH, Units::Inch) => (value / 25.4, 3, "in"),
        (Kind::AREA, Units::Metric) => (value, 0, "mm2"),
        (Kind::AREA, Units::Inch) => (value / (25.4 * 25.4), 3, "in2"),
        (Kind::VOLUME, Units::Metric) => (value / 1000.0, 1, "cm3"),
        (Kind::VOLUME, Units::Inch) => (value / (25.4 * 25.4 * 25.4), 2, "in3"),
        (Kind::MASS, Units::Metric) => return mass_metric(value),
        (Kind::MASS, Units::Inch) => return mass_inch(value),
        (Kind::TEMPERATURE, Units::Metric) => (value, 0, "C"),
        (Kind::TEMPERATURE, Units::Inch) => (value * 9.0 / 5.0 + 32.0, 0, "F"),
        (Kind::RATIO, _) => (value * 100.0, 1, "%"),
        (Kind::TIME, _) => (value, 1, "min"),
        (Kind::FORCE, _) => (value, 1, "kN"),
        (Kind::ANGLE, _) => (value, 1, "deg"),
        (Kind::HARDNESS, _) => (value, 1, "HRC"),
        (Kind::DENSITY, _) => (value * 1000.0, 2, "g/cm3"),
        _ => return trim_number(value, 4),
    };
    format!("{} {unit}", trim_number(figure, digits_for(figure, digits)))
}

/// More digits where the usual ones would show a small figure as nothing.
fn digits_for(figure: f64, usual: usize) -> usize {
    if figure == 0.0 || figure.abs() >= 0.5 * 10f64.powi(-(usual as i32)) || !figure.is_finite() {
        return usual;
    }
    (-figure.abs().log10()).ceil().clamp(0.0, 12.0) as usize + 1
}

fn mass_metric(grams: f64) -> String {
    if grams.abs() >= 999.95 {
        format!("{} kg", trim_number(grams / 1000.0, 3))
    } else if grams.abs() < 9.995 {
        format!("{} g", trim_number(grams, 2))
    } else {
        format!("{} g", trim_number(grams, 1))
    }
}

fn mass_inch(grams: f64) -> String {
    let ounces = grams / (LB / 16.0);
    // Rounded first, so that 15.96 oz does not come out as "16 oz" behind a pound that lacks it.
    let tenths = (ounces.abs() * 10.0).round();
    if tenths < 160.0 {
        return format!("{} oz", trim_number(ounces, 2));
    }
    let pounds = (tenths / 160.0).floor();
    let rest = (tenths - pounds * 160.0) / 10.0;
    let sign = if grams < 0.0 { "-" } else { "" };
    if rest == 0.0 {
        format!("{sign}{pounds} lb")
    } else {
        format!("{sign}{pounds} lb {} oz", trim_number(rest, 1))
    }
}

/// A number with at most so many digits behind the point, and no tail of noughts.
#[must_use]
pub fn trim_number(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A figure with so many digits that count, in all.
#[must_use]
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return trim_number(value, 0);
    }
    let more = digits.saturating_sub(1);
    let size = value.abs().log10().floor() as i32;
    if !(-5..7).contains(&size) {
        return format!("{value:.0$e}", more.max(0) as usize);
    }
    let unit = 10f64.powi(size - more);
    trim_number((value / unit).round() * unit, (more - size).max(0) as usize)
}

/// A count with its noun, in the singular or the plural: "1 bar", "4 bars".
#[must_use]
pub fn show_count(count: u64, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

#[cfg(test)]
mod tests {
    use super::{Kind, Units, show};

    #[test]
    fn weights_carry_over_between_ounce_and_pound() {
        // 16 oz to the pound; 453.59237 g (1959 agreement).
        assert_eq!(show(453.592_37, Kind::MASS, Units::Inch), "1 lb");
        assert_eq!(show(453.592_37 * 2.375, Kind::MASS, Units::Inch), "2 lb 6 oz");
        assert_eq!(show(453.5, Kind::MASS, Units::Inch), "1 lb");
        assert_eq!(show(999.96, Kind::MASS, Units::Metric), "1 kg");
    }

    #[test]
    fn noughts_are_not_trailed() {
        assert_eq!(show(40.0, Kind::LENGTH, Units::Metric), "40 mm");
        assert_eq!(show(-0.0, Kind::LENGTH, Units::Metric), "0 mm");
        assert_eq!(show(0.000_12, Kind::LENGTH, Units::Metric), "0.00012 mm");
        assert_eq!(show(38.1, Kind::LENGTH, Units::Inch), "1.5 in");
    }
}
