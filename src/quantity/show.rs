//! How figures are shown: in the reader's units, with digits a calliper or a shop scale can give.

use super::Kind;
use super::unit::{LB, US_TONF};

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
/// Digits: lengths 0.01 mm below 100 mm, else 0.1 mm; inches as a tape reads them (whole 64ths, and what is left over); weights 1 g or 0.1 oz.
#[must_use]
pub fn show(value: f64, kind: Kind, units: Units) -> String {
    let (figure, digits, unit) = match (kind, units) {
        (Kind::LENGTH, Units::Metric) => (value, if value.abs() < 99.995 { 2 } else { 1 }, "mm"),
        (Kind::LENGTH, Units::Inch) => return tape(value),
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
        (Kind::FORCE, Units::Metric) => (value, 1, "kN"),
        (Kind::FORCE, Units::Inch) => (value / US_TONF, 1, "US tonf"),
        (Kind::ANGLE, _) => (value, 1, "deg"),
        (Kind::HARDNESS, _) => (value, 1, "HRC"),
        (Kind::DENSITY, Units::Metric) => (value * 1000.0, 2, "g/cm3"),
        (Kind::DENSITY, Units::Inch) => (value * 25.4 * 25.4 * 25.4 / 453.592_37, 3, "lb/in3"),
        _ => return trim_number(value, 4),
    };
    format!("{} {unit}", trim_number(figure, digits_for(figure, digits)))
}

/// What a tape is divided into, to the inch.
const SIXTY_FOURTHS: f64 = 64.0;
/// A length this near to a 64th is that 64th, in: half of what a calliper tells.
const NEAR_IN: f64 = 0.0005;
/// Below this a length that is no 64th is told in thousandths: sheets and margins go by the calliper, in (project figure).
const FINE_IN: f64 = 0.125;
/// From this on thousandths do not matter, in (project figure: about where a mm is told in tenths).
const LONG_IN: f64 = 4.0;

/// A length in inches as a tape reads it: the nearest 64th, ties to the larger; below 4 in with what is left over, in
/// thousandths, as in `1 17/64 in - 4 thou`, which a recipe reads; below 1/8 in, and for what is taken away, thousandths where it is no 64th.
fn tape(mm: f64) -> String {
    let inches = mm / 25.4;
    let sixty_fourths = whole(inches * SIXTY_FOURTHS);
    let nearest = sixty_fourths / SIXTY_FOURTHS;
    let left = inches - nearest;
    let thousandths = || format!("{} in", trim_number(inches, digits_for(inches, 3)));
    if !inches.is_finite() || inches == 0.0 {
        return thousandths();
    }
    if left.abs() < NEAR_IN && sixty_fourths != 0.0 {
        return format!("{} in", fraction(sixty_fourths));
    }
    if inches < FINE_IN {
        return thousandths();
    }
    if inches >= LONG_IN {
        return format!("{} in", fraction(sixty_fourths));
    }
    let sign = if left < 0.0 { '-' } else { '+' };
    format!("{} in {sign} {} thou", fraction(sixty_fourths), trim_number(left.abs() * 1000.0, 0))
}

/// The nearest 64th of an inch, without its unit and with no word of what is left over, as it stands in `1/8 x 2 x 7 in`;
/// below 1/8 in thousandths, as in [`show`].
#[must_use]
pub fn tape_figure(mm: f64) -> String {
    let inches = mm / 25.4;
    let sixty_fourths = whole(inches * SIXTY_FOURTHS);
    let near = (inches - sixty_fourths / SIXTY_FOURTHS).abs() < NEAR_IN && sixty_fourths != 0.0;
    if near || inches >= FINE_IN {
        fraction(sixty_fourths)
    } else {
        trim_number(inches, digits_for(inches, 3))
    }
}

/// Rounded, a tie away from nothing, also where the arithmetic has left it a hair below.
fn whole(value: f64) -> f64 {
    (value + 1e-9f64.copysign(value)).round()
}

/// So many 64ths as whole inches and a fraction in its lowest terms.
fn fraction(sixty_fourths: f64) -> String {
    let sign = if sixty_fourths < 0.0 { "-" } else { "" };
    let all = sixty_fourths.abs();
    let (whole, mut part, mut of) = ((all / SIXTY_FOURTHS).floor(), all % SIXTY_FOURTHS, SIXTY_FOURTHS);
    while part > 0.0 && part % 2.0 == 0.0 {
        part /= 2.0;
        of /= 2.0;
    }
    match (whole, part) {
        (whole, 0.0) => format!("{sign}{whole}"),
        (0.0, part) => format!("{sign}{part}/{of}"),
        (whole, part) => format!("{sign}{whole} {part}/{of}"),
    }
}

/// The same of a change or of what was taken: thousandths where it is no 64th, so that a column of them adds up.
#[must_use]
pub fn show_change(value: f64, kind: Kind, units: Units) -> String {
    let inches = value / 25.4;
    let near = (inches * SIXTY_FOURTHS - whole(inches * SIXTY_FOURTHS)).abs() < NEAR_IN * SIXTY_FOURTHS;
    match (kind, units) {
        (Kind::LENGTH, Units::Inch) if !near => format!("{} in", trim_number(inches, digits_for(inches, 3))),
        _ => show(value, kind, units),
    }
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

/// A number with at most so many digits behind the point, a tie away from nothing, and no tail of noughts.
#[must_use]
pub fn trim_number(value: f64, digits: usize) -> String {
    // Half of the last digit, whichever side of it the arithmetic ended on: 1/16 in is 0.063 in, always.
    let hair = 0.5e-6 * 10f64.powi(-i32::try_from(digits).unwrap_or(i32::MAX)).copysign(value);
    let text = format!("{:.digits$}", value + hair);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A temperature that is known to some ten degrees, °C, in the reader's degrees.
#[must_use]
pub fn show_about_c(t_c: f64, units: Units) -> String {
    let tens = |t: f64| (t / 10.0).round() * 10.0;
    let told = match units {
        Units::Metric => tens(t_c),
        Units::Inch => (tens(t_c * 1.8 + 32.0) - 32.0) / 1.8,
    };
    show(told, Kind::TEMPERATURE, units)
}

/// The last ten degrees that are not above a temperature, in the units asked for: a figure to work at under a limit.
#[must_use]
pub fn show_below_c(t_c: f64, units: Units) -> String {
    let tens = |t: f64| (t / 10.0).floor() * 10.0;
    let told = match units {
        Units::Metric => tens(t_c),
        Units::Inch => (tens(t_c * 1.8 + 32.0) - 32.0) / 1.8,
    };
    show(told, Kind::TEMPERATURE, units)
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

/// The step between two figures of two digits.
#[must_use]
pub fn two_digit_step(value: f64) -> f64 {
    10f64.powf(value.abs().max(1e-9).log10().floor() - 1.0)
}

/// A figure to two digits.
#[must_use]
pub fn two_digits(value: f64) -> f64 {
    let step = two_digit_step(value);
    (value / step).round() * step
}

/// A figure in steps, on the side of each limit where it is itself, the least that will do and the most: what is missed does not look
/// met, nor the other way about.
#[must_use]
pub fn on_its_side(
    value: f64,
    step: f64,
    least: impl IntoIterator<Item = f64>,
    most: impl IntoIterator<Item = f64>,
) -> f64 {
    let near = (value / step).round() * step;
    let parts = least.into_iter().any(|least| (value < least) != (near < least))
        || most.into_iter().any(|most| (value > most) != (near > most));
    match parts {
        false => near,
        true if near > value => (value / step).floor() * step,
        true => (value / step).ceil() * step,
    }
}

/// The step in which a time is told, min: about two digits of it, no more is known.
#[must_use]
pub fn hours_step(minutes: f64) -> f64 {
    match minutes {
        m if m < 100.0 => 1.0,
        m if m < 600.0 => 10.0,
        _ => 60.0,
    }
}

/// A time as it is told, min.
#[must_use]
pub fn told_minutes(minutes: f64) -> f64 {
    let step = hours_step(minutes);
    (minutes / step).round() * step
}

/// A time as one would say it, to two digits: no more is known of it.
#[must_use]
pub fn show_hours(minutes: f64) -> String {
    let whole = told_minutes(minutes);
    match ((whole / 60.0).floor(), whole % 60.0) {
        (0.0, least) => format!("{least} min"),
        (hours, 0.0) => format!("{hours} h"),
        (hours, more) => format!("{hours} h {more} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, Units, on_its_side, show, show_below_c};

    #[test]
    fn weights_carry_over_between_ounce_and_pound() {
        // 16 oz to the pound; 453.59237 g (1959 agreement).
        assert_eq!(show(453.592_37, Kind::MASS, Units::Inch), "1 lb");
        assert_eq!(show(453.592_37 * 2.375, Kind::MASS, Units::Inch), "2 lb 6 oz");
        assert_eq!(show(453.5, Kind::MASS, Units::Inch), "1 lb");
        assert_eq!(show(999.96, Kind::MASS, Units::Metric), "1 kg");
    }

    /// By hand, from 1 in = 25.4 mm and 1 lb = 453.59237 g (1959): a cubic inch is 16.387064 cm3, a square inch 6.4516 cm2, and
    /// a pound to the cubic inch 27.6799 g/cm3.
    #[test]
    fn every_kind_is_shown_in_both_units() {
        for (value, kind, metric, inch) in [
            (1290.32, Kind::AREA, "1290 mm2", "2 in2"),
            (32_774.128, Kind::VOLUME, "32.8 cm3", "2 in3"),
            (0.007_85, Kind::DENSITY, "7.85 g/cm3", "0.284 lb/in3"),
            (815.0, Kind::TEMPERATURE, "815 C", "1499 F"),
            (0.155, Kind::RATIO, "15.5 %", "15.5 %"),
            (7.25, Kind::TIME, "7.3 min", "7.3 min"),
            (250.0, Kind::FORCE, "250 kN", "28.1 US tonf"),
            (12.0, Kind::ANGLE, "12 deg", "12 deg"),
            (61.5, Kind::HARDNESS, "61.5 HRC", "61.5 HRC"),
            (2.5, Kind::NUMBER, "2.5", "2.5"),
        ] {
            assert_eq!([show(value, kind, Units::Metric), show(value, kind, Units::Inch)], [metric, inch]);
        }
    }

    #[test]
    fn noughts_are_not_trailed() {
        assert_eq!(show(40.0, Kind::LENGTH, Units::Metric), "40 mm");
        assert_eq!(show(-0.0, Kind::LENGTH, Units::Metric), "0 mm");
        assert_eq!(show(0.000_12, Kind::LENGTH, Units::Metric), "0.00012 mm");
        assert_eq!(show(38.1, Kind::LENGTH, Units::Inch), "1 1/2 in");
    }

    #[test]
    fn inches_are_read_off_a_tape() {
        // 1 in = 25.4 mm (1959); 17/64 in is 0.265625 in.
        for (inches, read) in [
            (1.0 / 16.0, "1/16 in"),
            (1.0 / 16.0 - 1e-12, "1/16 in"),
            (1.0 / 128.0, "0.008 in"),
            (0.07, "0.07 in"),
            (0.0, "0 in"),
            (1.265_625 - 0.004, "1 17/64 in - 4 thou"),
            (0.292, "19/64 in - 5 thou"),
            (1.0 + 1.0 / 128.0, "1 1/64 in - 8 thou"),
            (1.0 + 1.0 / 128.0 - 1e-13, "1 1/64 in - 8 thou"),
            (13.666, "13 43/64 in"),
            (-1.0 / 8.0, "-1/8 in"),
            (-0.423, "-0.423 in"),
        ] {
            assert_eq!(show(25.4 * inches, Kind::LENGTH, Units::Inch), read, "{inches}");
        }
        assert_eq!(super::tape_figure(25.4 * 2.106), "2 7/64");
        assert_eq!(super::tape_figure(25.4 * 0.07), "0.07");
        assert_eq!(show(8.896_443, Kind::FORCE, Units::Inch), "1 US tonf");
    }

    #[test]
    fn a_tie_is_rounded_away_from_nothing() {
        assert_eq!([0.0625, 0.062_499_999_999].map(|v| super::trim_number(v, 3)), ["0.063", "0.063"]);
        assert_eq!([2.5, 3.5, -2.5].map(|v| super::trim_number(v, 0)), ["3", "4", "-3"]);
    }

    /// 1093 C are 1999.4 F, by hand.
    #[test]
    fn a_figure_to_work_at_is_not_above_its_limit() {
        assert_eq!(
            [Units::Metric, Units::Inch].map(|units| show_below_c(1093.0, units)),
            ["1090 C", "1990 F"]
        );
    }

    /// In steps of an hour 604 min would be told as the 600 that are allowed, and 596 as the 600 that are asked.
    #[test]
    fn what_is_missed_does_not_look_met() {
        assert_eq!(on_its_side(604.0, 60.0, None, [600.0]), 660.0);
        assert_eq!(on_its_side(596.0, 60.0, [600.0], None), 540.0);
        assert_eq!(on_its_side(604.0, 60.0, [600.0], None), 600.0);
    }
}
