//! Round steps for axes.

/// The smallest round step (1, 2 or 5 times a power of ten) that makes at most
/// `most` steps up to `length`.
pub(crate) fn round_step(length: f64, most: f64) -> f64 {
    let rough = length / most;
    if !(rough.is_finite() && rough > 0.0) {
        return 1.0;
    }
    let power = 10.0_f64.powf(rough.log10().floor());
    // Slack, so that 0.1 / 1 is not taken for a little more than a tenth.
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// Multiples of `step` from 0 up to the first that is not below `highest`.
pub(crate) fn ticks_to(highest: f64, step: f64) -> Vec<f64> {
    let count = (highest / step - 1e-9).ceil().max(1.0) as u32;
    (0..=count).map(|i| f64::from(i) * step).collect()
}

/// A tick's number with as many places as its step needs.
pub(crate) fn tick_text(value: f64, step: f64) -> String {
    if value <= 0.0 {
        return "0".to_owned();
    }
    let places = (-(step * (1.0 + 1e-9)).log10().floor()).max(0.0) as usize;
    format!("{value:.places$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_few() {
        for (length, most, step) in [
            (5.3, 5.0, 2.0),
            (0.21, 5.0, 0.05),
            (12.0, 12.0, 1.0),
            (400.0, 14.0, 50.0),
            (0.0, 5.0, 1.0),
        ] {
            assert!((round_step(length, most) - step).abs() < 1e-12, "{length}");
        }
    }

    #[test]
    fn ticks_cover_the_highest_value_and_read_short() {
        assert_eq!(ticks_to(5.3, 2.0), [0.0, 2.0, 4.0, 6.0]);
        assert_eq!(tick_text(0.0, 0.05), "0");
        assert_eq!(tick_text(0.05, 0.05), "0.05");
        assert_eq!(tick_text(4.0, 2.0), "4");
        assert_eq!(tick_text(0.1, 0.1), "0.1");
    }
}
