//! How numbers are said: dates, lengths, spans of years, directions.

mod length;
mod time;

pub(crate) use length::{diameter, fraction_of_inch, height, pace, pace_number};
pub use time::Span;
pub(crate) use time::{spoken_date, years};

/// With a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// "a, b and c".
pub(crate) fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// A number of things with its word: "1 ring", "12 rings".
pub(crate) fn counted(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// A share as a percentage that never claims certainty: 0.004 is "under 1".
pub(crate) fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    if percent < 1.0 {
        "under 1 percent".to_owned()
    } else {
        format!("{percent:.0} percent")
    }
}

/// One of eight directions in the photo, in words; x to the right, y down.
#[must_use]
pub fn direction(right: f64, down: f64) -> &'static str {
    const NAMES: [&str; 8] = [
        "to the right",
        "down to the right",
        "straight down",
        "down to the left",
        "to the left",
        "up to the left",
        "straight up",
        "up to the right",
    ];
    let eighth = (down.atan2(right) / std::f64::consts::FRAC_PI_4).round() as i32;
    NAMES[eighth.rem_euclid(8) as usize]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_and_counts_read_as_people_write_them() {
        let names = |n: usize| -> Vec<String> {
            ["1950s", "1960s", "1990s"][..n]
                .iter()
                .map(|s| (*s).to_owned())
                .collect()
        };
        assert_eq!(listed(&names(0)), "");
        assert_eq!(listed(&names(1)), "1950s");
        assert_eq!(listed(&names(3)), "1950s, 1960s and 1990s");
        assert_eq!(counted(1, "ring", "rings"), "1 ring");
        assert_eq!(capital("white oak"), "White oak");
        assert_eq!(percent(0.001), "under 1 percent");
        assert_eq!(direction(0.0, -5.0), "straight up");
        assert_eq!(direction(5.0, 5.0), "down to the right");
    }
}
