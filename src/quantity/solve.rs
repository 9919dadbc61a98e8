//! Roots by halving a bracket: slow, and never led astray.

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

#[cfg(test)]
mod tests {
    use super::{halve, halve_ratio};

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
