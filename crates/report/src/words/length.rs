//! Lengths in the person's units, one kind of unit in a whole sheet.

use wood::{Mm, Units};

/// Sixteenths in an inch: as fine as a carpenter's tape is ruled.
const SIXTEENTHS: f64 = 16.0;

/// A width across the face: "16.3 in", "41.4 cm".
pub(crate) fn diameter(length: Mm, units: Units) -> String {
    match units {
        Units::Inch => format!("{:.1} in", length.inches()),
        Units::Metric => format!("{:.1} cm", length.0 / 10.0),
    }
}

/// A height above the ground: "12 in", "4 ft 6 in", "30 cm".
pub(crate) fn height(length: Mm, units: Units) -> String {
    /// From here on feet are said. Chosen: people say "30 inches", not "2 feet 6".
    const FEET_FROM_IN: f64 = 48.0;
    match units {
        Units::Metric => format!("{:.0} cm", length.0 / 10.0),
        Units::Inch => {
            let inches = length.inches().round();
            if inches < FEET_FROM_IN {
                return format!("{inches:.0} in");
            }
            let feet = (inches / 12.0).floor();
            let rest = inches - 12.0 * feet;
            if rest < 0.5 {
                format!("{feet:.0} ft")
            } else {
                format!("{feet:.0} ft {rest:.0} in")
            }
        }
    }
}

/// How fast, by mean ring width: "7.0 rings to the inch", "3.63 mm a year".
pub(crate) fn pace(width: Mm, units: Units) -> String {
    match units {
        Units::Inch => format!("{} rings to the inch", pace_number(width, units)),
        Units::Metric => format!("{} mm a year", pace_number(width, units)),
    }
}

/// The number of [`pace`] alone.
pub(crate) fn pace_number(width: Mm, units: Units) -> String {
    match units {
        Units::Inch if width.0 > 0.0 => format!("{:.1}", 1.0 / width.inches()),
        Units::Inch => "no".to_owned(),
        Units::Metric => format!("{:.2}", width.0),
    }
}

/// Inches to the nearest sixteenth: "3 5/16", "1/2", "0".
pub(crate) fn fraction_of_inch(length: Mm) -> String {
    let sixteenths = (length.inches().max(0.0) * SIXTEENTHS).round() as u64;
    let (whole, mut above) = (sixteenths / 16, sixteenths % 16);
    let mut below = 16;
    while above > 0 && above.is_multiple_of(2) {
        above /= 2;
        below /= 2;
    }
    match (whole, above) {
        (whole, 0) => whole.to_string(),
        (0, above) => format!("{above}/{below}"),
        (whole, above) => format!("{whole} {above}/{below}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteenths_are_reported_in_lowest_terms() {
        for (inches, said) in [
            (0.0, "0"),
            (0.03, "0"),
            (0.04, "1/16"),
            (0.5, "1/2"),
            (3.3125, "3 5/16"),
            (2.96, "2 15/16"),
            (2.99, "3"),
            (1.25, "1 1/4"),
        ] {
            assert_eq!(fraction_of_inch(Mm::from_inches(inches)), said, "{inches}");
        }
    }

    #[test]
    fn lengths_are_said_in_one_unit() {
        assert_eq!(height(Mm(300.0), Units::Inch), "12 in");
        assert_eq!(height(Mm::from_inches(54.0), Units::Inch), "4 ft 6 in");
        assert_eq!(height(Mm::from_inches(60.0), Units::Inch), "5 ft");
        assert_eq!(height(Mm(300.0), Units::Metric), "30 cm");
        assert_eq!(diameter(Mm(413.0), Units::Inch), "16.3 in");
        assert_eq!(pace(Mm(2.54), Units::Inch), "10.0 rings to the inch");
        assert_eq!(pace(Mm(2.54), Units::Metric), "2.54 mm a year");
    }
}
