//! An imported stump whose heart was not read has no year in it, in whichever unit its
//! widths are.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use exchange::{Format, read};
use std::fmt::Write as _;
use wood::Reading;

/// Forty rings of two units, the innermost of `first` units, as CSV in a unit.
fn imported(unit: &str, first: f64) -> Reading {
    let mut text = format!("stump,ring,year,width_{unit},scope\n");
    for ring in 1..=40 {
        let width = if ring == 1 { first } else { 2.0 };
        let year = 1985 + ring;
        let _ = writeln!(text, "oak,{ring},{year},{width},whole-face");
    }
    let found = read("oak.csv", text.as_bytes(), Format::Csv).unwrap();
    assert_eq!(found.entries.len(), 1, "{:?}", found.notices);
    found.entries[0].stump.reading.clone()
}

#[test]
fn a_heart_is_no_year_of_growth_in_millimeters_and_in_pixels() {
    for unit in ["mm", "px"] {
        let heart = imported(unit, 60.0);
        assert!((growth::unread_heart(&heart.rings).unwrap() - 30.0).abs() < 1e-9);
        assert_eq!(heart.decades[0].first_ring, 2, "{unit}");
        let wide = imported(unit, 6.0);
        assert_eq!(growth::unread_heart(&wide.rings), None);
        assert_eq!(wide.decades[0].first_ring, 1, "{unit}");
    }
}
