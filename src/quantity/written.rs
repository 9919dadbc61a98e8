//! A figure as a smith would write it: rounded to what a shop can set, on the side that still meets every target.

use super::show::{show, trim_number};
use super::{Kind, Units};

/// Steps that a figure is rounded to, coarsest first, base unit.
fn steps(kind: Kind, units: Units) -> &'static [f64] {
    const IN: f64 = 25.4; // mm, exact (1959)
    match (kind, units) {
        (Kind::LENGTH, Units::Metric) => &[10.0, 5.0, 1.0, 0.5, 0.1, 0.05, 0.01, 0.001],
        (Kind::LENGTH, Units::Inch) => {
            const FINE: [f64; 2] = [IN / 1000.0, IN / 10_000.0];
            &const { [IN, IN / 2.0, IN / 4.0, IN / 8.0, IN / 16.0, IN / 32.0, IN / 64.0, FINE[0], FINE[1]] }
        }
        (Kind::RATIO, _) => &[0.05, 0.01, 0.005, 0.001, 0.0001],
        (Kind::TEMPERATURE, Units::Metric) => &[10.0, 5.0, 1.0, 0.1],
        (Kind::TEMPERATURE, Units::Inch) => &const { [50.0 / 9.0, 25.0 / 9.0, 5.0 / 9.0] },
        (Kind::TIME, _) => &[5.0, 1.0, 0.5, 0.1, 0.01],
        (Kind::MASS, _) => &[10.0, 5.0, 1.0, 0.1, 0.01],
        _ => &[1.0, 0.5, 0.1, 0.05, 0.01, 0.001, 0.0001],
    }
}

/// How far a figure is rounded where its size matters, as a share of it.
pub const CLOSE: f64 = 0.005;

/// The coarsest rounding of a value, at most a share of it off, that `will_do`; the value itself where none does.
#[must_use]
pub fn rounded(
    value: f64,
    share: f64,
    kind: Kind,
    units: Units,
    mut will_do: impl FnMut(f64) -> bool,
) -> f64 {
    // Fahrenheit is even at 32.
    let origin = if kind == Kind::TEMPERATURE && units == Units::Inch { -160.0 / 9.0 } else { 0.0 };
    for step in steps(kind, units) {
        let at = (value - origin) / step;
        let (down, up) = (at.floor() * step + origin, at.ceil() * step + origin);
        let nearer = if (value - down).abs() <= (up - value).abs() { [down, up] } else { [up, down] };
        for tried in nearer {
            let near = (tried - value).abs() <= share * (value - origin).abs();
            if tried > origin && near && will_do(tried) {
                return tried;
            }
        }
    }
    value
}

/// The coarsest rounding down of a value, at most 1 % under it, that `will_do`; `None` where none does.
pub fn rounded_down(
    value: f64,
    kind: Kind,
    units: Units,
    mut will_do: impl FnMut(f64) -> bool,
) -> Option<f64> {
    let all = steps(kind, units).iter().flat_map(|step| {
        let floor = (value / step).floor();
        (0..3).map(move |less| (floor - f64::from(less)) * step)
    });
    all.filter(|tried| *tried > 0.0 && value - tried <= 0.01 * value).find(|tried| will_do(*tried))
}

/// A value as it stands in a recipe, so that reading it gives the value back.
#[must_use]
pub fn written(value: f64, kind: Kind, units: Units) -> String {
    match (kind, units) {
        (Kind::LENGTH, Units::Inch) => inches(value / 25.4),
        (Kind::LENGTH, Units::Metric) => format!("{} mm", shortest(value)),
        (Kind::RATIO, _) => format!("{} %", shortest(value * 100.0)),
        (Kind::TEMPERATURE, Units::Inch) => format!("{} F", shortest(value * 9.0 / 5.0 + 32.0)),
        (Kind::TEMPERATURE, Units::Metric) => format!("{} C", shortest(value)),
        (Kind::TIME, _) => format!("{} min", shortest(value)),
        (Kind::MASS, _) => format!("{} g", shortest(value)),
        (Kind::FORCE, _) => format!("{} kN", shortest(value)),
        (Kind::ANGLE, _) => format!("{} deg", shortest(value)),
        (Kind::HARDNESS, _) => format!("{} HRC", shortest(value)),
        (Kind::NUMBER, _) => shortest(value),
        _ => show(value, kind, units),
    }
}

/// The fewest digits, of up to nine behind the point, that are the figure to nine places.
fn shortest(value: f64) -> String {
    let close = |digits: &usize| {
        let text = trim_number(value, *digits);
        text.parse::<f64>().is_ok_and(|back| (back - value).abs() <= 5e-10 * value.abs().max(1.0))
    };
    trim_number(value, (0..9usize).find(close).unwrap_or(9))
}

/// Inches as a fraction down to a 64th, else in thousandths.
fn inches(value: f64) -> String {
    let sixty_fourths = (value * 64.0).round();
    if (value * 64.0 - sixty_fourths).abs() > 1e-7 || sixty_fourths <= 0.0 {
        return format!("{} in", shortest(value));
    }
    let (whole, mut part, mut of) = ((sixty_fourths / 64.0).floor(), sixty_fourths % 64.0, 64.0);
    while part > 0.0 && part % 2.0 == 0.0 {
        part /= 2.0;
        of /= 2.0;
    }
    match (whole, part) {
        (whole, 0.0) => format!("{whole} in"),
        (0.0, part) => format!("{part}/{of} in"),
        (whole, part) => format!("{whole} {part}/{of} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_as_a_shop_writes_them() {
        // 1 in = 25.4 mm (1959).
        assert_eq!(written(25.4 * 1.375, Kind::LENGTH, Units::Inch), "1 3/8 in");
        assert_eq!(written(25.4 / 16.0, Kind::LENGTH, Units::Inch), "1/16 in");
        assert_eq!(written(38.1, Kind::LENGTH, Units::Inch), "1 1/2 in");
        assert_eq!(written(37.5, Kind::LENGTH, Units::Metric), "37.5 mm");
        assert_eq!(written(0.155, Kind::RATIO, Units::Metric), "15.5 %");
        assert_eq!(written(1_121.111_111_111_111, Kind::TEMPERATURE, Units::Inch), "2050 F");
    }

    #[test]
    fn each_kind_is_rounded_to_what_a_shop_sets() {
        // The coarsest step within half a per cent: 5 min of a clock, 10 g of a scale, 5 % of a share, 10 C and 50 F of a fire.
        for (value, kind, units, coarse) in [
            (604.2, Kind::TIME, Units::Metric, 605.0),
            (604.2, Kind::TIME, Units::Inch, 605.0),
            (1_996.0, Kind::MASS, Units::Inch, 2_000.0),
            (0.5512, Kind::RATIO, Units::Metric, 0.55),
            (1_127.0, Kind::TEMPERATURE, Units::Metric, 1_130.0),
            // 2062 F is 1127.8 C: to 50 F it is 2050 F, 1121.1 C, too far off; to 25 F too; to 5 F it is 2060 F.
            (10_150.0 / 9.0, Kind::TEMPERATURE, Units::Inch, 10_140.0 / 9.0),
            (402.0, Kind::FORCE, Units::Metric, 402.0),
            (402.3, Kind::FORCE, Units::Metric, 402.0),
        ] {
            let got = rounded(value, CLOSE, kind, units, |_| true);
            assert!((got - coarse).abs() < 1e-9, "{value}: {got}");
        }
    }

    #[test]
    fn rounding_stays_where_it_will_do() {
        assert_eq!(rounded(37.42, CLOSE, Kind::LENGTH, Units::Metric, |v| v >= 37.42), 37.5);
        assert_eq!(rounded(37.42, CLOSE, Kind::LENGTH, Units::Metric, |_| true), 37.5);
        assert_eq!(rounded(149.4, CLOSE, Kind::LENGTH, Units::Metric, |_| true), 150.0);
        assert_eq!(rounded(37.42, CLOSE, Kind::LENGTH, Units::Metric, |_| false), 37.42);
    }
}
