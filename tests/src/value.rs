//! Holding what is found against a worked value.

/// Relative tolerance of values given to seven digits.
const SEVEN_DIGITS: f64 = 1e-6;

/// Holds a value against a worked one given to seven digits.
///
/// # Panics
/// When it is not there, or differs by more than that.
#[track_caller]
pub fn check_value(id: &str, found: impl Into<Option<f64>>, expected: f64) {
    let found = found.into().unwrap_or(f64::NAN);
    let near = SEVEN_DIGITS * expected.abs().max(1e-3);
    assert!(
        (found - expected).abs() <= near,
        "{id}: found {found}, expected {expected}"
    );
}
