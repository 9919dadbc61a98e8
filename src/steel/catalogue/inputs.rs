//! Small helpers for writing the inputs of a law once and reading them without a panic.

use crate::steel::catalogue::law::Input;
use crate::steel::grades::composition::Composition;

/// Kelvin at 0 C.
pub(crate) const KELVIN: f64 = 273.15;
/// Gas constant, J/(mol K): the exact SI value.
pub(crate) const GAS: f64 = 8.314_462_618;

/// The input at place `i`, NaN where the list is too short.
pub(crate) fn at(x: &[f64], i: usize) -> f64 {
    x.get(i).copied().unwrap_or(f64::NAN)
}

/// An input that must be given.
pub(crate) const fn must(
    key: &'static str,
    unit: &'static str,
    what: &'static str,
    low: f64,
    high: f64,
) -> Input {
    Input { key, unit, what, low, high, default: None }
}

/// An input that may be left out.
pub(crate) const fn or(
    key: &'static str,
    unit: &'static str,
    what: &'static str,
    low: f64,
    high: f64,
    default: f64,
) -> Input {
    Input { key, unit, what, low, high, default: Some(default) }
}

/// A weight per cent that may be left out (then none).
pub(crate) const fn element(key: &'static str, what: &'static str, high: f64) -> Input {
    or(key, "%", what, 0.0, high, 0.0)
}

/// Carbon, which must be given, within limits.
pub(crate) const fn carbon(low: f64, high: f64) -> Input {
    must("c", "%", "carbon by weight", low, high)
}

/// The eight elements of a [`Composition`], in the order that [`composition`] reads them.
/// The upper limits are low-alloy ones: a project figure, since few sources state theirs.
pub(crate) const fn eight(c_low: f64, c_high: f64) -> [Input; 8] {
    [
        carbon(c_low, c_high),
        element("mn", "manganese by weight", 2.0),
        element("si", "silicon by weight", 2.0),
        element("cr", "chromium by weight", 5.0),
        element("ni", "nickel by weight", 5.0),
        element("v", "vanadium by weight", 1.0),
        element("w", "tungsten by weight", 2.0),
        element("mo", "molybdenum by weight", 1.0),
    ]
}

/// Reads the eight elements back; those missing are NaN and spoil the result, as they should.
pub(crate) fn composition(x: &[f64]) -> Composition {
    Composition {
        c: at(x, 0),
        mn: at(x, 1),
        si: at(x, 2),
        cr: at(x, 3),
        ni: at(x, 4),
        v: at(x, 5),
        w: at(x, 6),
        mo: at(x, 7),
    }
}

/// Asserts that two figures agree within a relative tolerance.
#[cfg(test)]
#[track_caller]
pub(crate) fn near(got: f64, want: f64, relative: f64) {
    let gap = (got - want).abs();
    assert!(gap <= relative * want.abs(), "got {got}, want {want} within {relative} of it");
}

/// Asserts that two figures agree within half of the last printed digit, as a table that was rounded does.
#[cfg(test)]
#[track_caller]
pub(crate) fn prints(got: f64, want: f64, digits: i32) {
    let half = 0.5 * 10f64.powi(-digits) * (1.0 + 1e-9);
    assert!((got - want).abs() <= half, "got {got}, want {want} to {digits} digits");
}
