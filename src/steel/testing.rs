//! One way to compare figures in the tests of this room.

/// Fails unless `got` lies within `tolerance` of `want`, both in the same unit.
#[track_caller]
pub(crate) fn within(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want} within {tolerance}");
}

/// Fails unless `got` lies within a relative `tolerance` of `want`.
#[track_caller]
pub(crate) fn near(got: f64, want: f64, tolerance: f64) {
    within(got, want, want.abs() * tolerance);
}

/// Fails unless there is a figure, and it lies within `tolerance` of `want`.
#[track_caller]
pub(crate) fn some_within(got: Option<f64>, want: f64, tolerance: f64) {
    within(got.unwrap_or(f64::NAN), want, tolerance);
}

/// Fails unless `got` lies within half of the last printed digit of `want`, as a table that was rounded does.
#[track_caller]
pub(crate) fn prints(got: f64, want: f64, digits: i32) {
    within(got, want, 0.5 * 10f64.powi(-digits) * (1.0 + 1e-9));
}
