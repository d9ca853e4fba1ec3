//! The radial intensity profile as a table.

use crate::table::{Lines, number};
use wood::{IntensityProfile, MmPerPx};

/// The columns, in this order.
const COLUMNS: [&str; 6] = [
    "from_pith_px",
    "from_pith_mm",
    "lightness",
    "seen",
    "ring",
    "year",
];

/// A radial intensity profile as CSV, one line a place, pith first. `ring` is the
/// ring that the place is in; it is empty beyond the outermost one. Distances in
/// millimeters are empty without a scale.
#[must_use]
pub fn intensity_csv(profile: &IntensityProfile, scale: Option<MmPerPx>) -> String {
    let mut lines = Lines::default();
    lines.line(COLUMNS.map(str::to_owned));
    let decimal = |value: Option<f64>| value.map_or_else(String::new, number);
    for place in &profile.places {
        let at = place.from_pith_px;
        let ring = profile
            .boundaries
            .iter()
            .find(|boundary| at <= boundary.from_pith_px);
        lines.line([
            number(at.0),
            decimal(scale.map(|scale| at.0 * scale.0)),
            decimal(place.lightness),
            number(place.seen),
            ring.map_or_else(String::new, |ring| ring.number.to_string()),
            ring.and_then(|ring| ring.year)
                .map_or_else(String::new, |year| year.to_string()),
        ]);
    }
    lines.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::{IntensityPlace, ProfileBoundary, Px, Year};

    #[test]
    fn each_place_names_the_ring_that_it_is_in() {
        let place = |px: f64, lightness| IntensityPlace {
            from_pith_px: Px(px),
            lightness,
            seen: 0.5,
        };
        let boundary = |number: u32, px: f64| ProfileBoundary {
            number,
            year: Some(Year(2000 + number as i32)),
            from_pith_px: Px(px),
            is_doubtful: false,
        };
        let profile = IntensityProfile {
            places: vec![
                place(0.0, None),
                place(10.0, Some(61.25)),
                place(21.0, Some(40.0)),
            ],
            boundaries: vec![boundary(1, 9.5), boundary(2, 20.0)],
        };
        let text = intensity_csv(&profile, Some(MmPerPx(0.5)));
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            lines,
            [
                "from_pith_px,from_pith_mm,lightness,seen,ring,year",
                "0,0,,0.5,1,2001",
                "10,5,61.25,0.5,2,2002",
                "21,10.5,40,0.5,,",
            ]
        );
        let unscaled = intensity_csv(&profile, None);
        assert!(unscaled.contains("\r\n10,,61.25,"), "{unscaled}");
    }
}
