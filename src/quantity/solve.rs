//! Roots in a bracket: by halving, where only yes or no is known; by false position, where a figure is.

/// Narrows a bracket, from a figure for which something `holds` to one for which it does not (whichever is the greater), by
/// so many halvings or until it can be no narrower; gives the ends it comes to, the one for which it holds first.
pub fn halve(bracket: (f64, f64), halvings: u32, holds: impl FnMut(f64) -> bool) -> (f64, f64) {
    narrow(bracket, halvings, f64::midpoint, holds)
}

/// The same between two figures above nothing, halving their ratio.
pub fn halve_ratio(bracket: (f64, f64), halvings: u32, holds: impl FnMut(f64) -> bool) -> (f64, f64) {
    narrow(bracket, halvings, |a, b| (a * b).sqrt(), holds)
}

fn narrow(
    (mut yes, mut no): (f64, f64),
    halvings: u32,
    middle: impl Fn(f64, f64) -> f64,
    mut holds: impl FnMut(f64) -> bool,
) -> (f64, f64) {
    for _ in 0..halvings {
        let tried = middle(yes, no);
        if tried <= yes.min(no) || tried >= yes.max(no) {
            break;
        }
        if holds(tried) {
            yes = tried;
        } else {
            no = tried;
        }
    }
    (yes, no)
}

/// The root of a figure in a bracket at whose ends it has other signs, to the last digits; the end nearer to one where it has not.
/// False position, its idle end halved (the Illinois rule: Dowell and Jarratt, BIT 11, 1971, from memory).
pub fn root((mut a, mut b): (f64, f64), mut of: impl FnMut(f64) -> f64) -> f64 {
    let (mut at_a, mut at_b) = (of(a), of(b));
    if at_a * at_b > 0.0 {
        return if at_a.abs() < at_b.abs() { a } else { b };
    }
    for _ in 0..MOST_TRIES {
        let next = b - at_b * (b - a) / (at_b - at_a);
        let hair = 2.0 * f64::EPSILON * b.abs().max(a.abs());
        if at_a == 0.0 || at_b == 0.0 || (next - b).abs() <= hair {
            let beyond = of(b + hair.copysign(a - b));
            if at_a == 0.0 || at_b * beyond <= 0.0 {
                return if at_a == 0.0 { a } else { b };
            }
            break;
        }
        let there = of(next);
        if there * at_b < 0.0 {
            (a, at_a) = (b, at_b);
        } else {
            at_a /= 2.0;
        }
        (b, at_b) = (next, there);
    }
    // What hugs the axis is not come to in this way.
    halve((a, b), 200, |x| of(x) * at_a > 0.0).0
}

/// The root of a rising figure between two ends, by Newton's steps from a guess, halved where they leave the bracket; `of` gives the
/// figure and its slope, `hair` is the step that ends it.
#[inline]
pub fn newton_between(
    mut low: f64,
    mut high: f64,
    guess: f64,
    hair: f64,
    of: impl Fn(f64) -> (f64, f64),
) -> f64 {
    // Ends that are no figures give a root that is none.
    let mut x = guess.max(low).min(high);
    for _ in 0..60 {
        let (value, slope) = of(x);
        if value < 0.0 {
            low = x
        } else {
            high = x
        }
        let next = x - value / slope;
        let next = if next >= low && next <= high { next } else { f64::midpoint(low, high) };
        let step = (next - x).abs();
        x = next;
        if step <= hair {
            break;
        }
    }
    x
}

/// Steps of false position before halving takes over: roots that it suits take ten.
const MOST_TRIES: u32 = 40;

#[cfg(test)]
mod tests {
    use super::{halve, halve_ratio, newton_between, root};

    #[test]
    fn false_position_comes_to_the_last_digits() {
        // Roots that are known: of 2, of one in ten thousand by a power that hugs the axis, at an end, and of nothing.
        assert!((root((0.0, 2.0), |x| x * x - 2.0) - 2.0f64.sqrt()).abs() < 1e-15);
        assert!((root((0.0, 1.0), |x| x.powi(9) - 1e-36) - 1e-4).abs() < 1e-12);
        assert_eq!(root((0.0, 1.0), |x| x), 0.0);
        assert_eq!(root((-1.0, 1.0), |x| x - 1.0), 1.0);
        assert_eq!(root((0.0, 1.0), |x| x + 1.0), 0.0);
        let mut tries = 0;
        let near = root((0.0, 1.0), |x| {
            tries += 1;
            x * x * x + x - 1.0
        });
        // The real root of x^3 + x = 1, to the digits of any table.
        assert!((near - 0.682_327_803_828_019_3).abs() < 1e-15 && tries < 15, "{near} in {tries}");
    }

    #[test]
    fn newtons_steps_stay_between_the_ends() {
        let cube = |x: f64| (x * x * x - 2.0, 3.0 * x * x);
        assert!((newton_between(0.0, 2.0, 0.0, 1e-15, cube) - 2f64.cbrt()).abs() < 1e-14);
        // A slope that lies points far outside: halving comes there all the same.
        let flat = |x: f64| (x - 0.3, 1e-9);
        assert!((newton_between(0.0, 1.0, 0.9, 1e-15, flat) - 0.3).abs() < 1e-14);
        assert_eq!(newton_between(0.0, 1.0, 0.5, 1e-15, |x| (x, 1.0)), 0.0);
    }

    #[test]
    fn both_ends_close_in_on_the_root_from_their_own_side() {
        // The root of 2, from either side.
        let (yes, no) = halve((0.0, 2.0), 200, |x| x * x < 2.0);
        assert!(yes * yes < 2.0 && no * no >= 2.0 && (no - yes) < 1e-15);
        let (yes, no) = halve((2.0, 0.0), 200, |x| x * x >= 2.0);
        assert!(yes * yes >= 2.0 && no * no < 2.0 && (yes - no) < 1e-15);
        // A thousandth is 2^-10 away to three figures: ten halvings of a ratio of 1e6 are enough to know its size.
        let (yes, no) = halve_ratio((1e-6, 1.0), 10, |x| x < 1e-3);
        assert!(yes < 1e-3 && no >= 1e-3 && no / yes < 1.02);
    }
}
