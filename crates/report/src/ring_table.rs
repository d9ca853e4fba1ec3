//! Every ring with its year and width, as a table.

use crate::words::fraction_of_inch;
use wood::{Mm, Reading, Ring, Units};

/// The table of a reading's rings.
#[derive(Debug)]
pub(crate) struct RingTable {
    /// Names of the columns.
    pub(crate) columns: [&'static str; 4],
    /// The cells of each ring, outermost first.
    pub(crate) rows: Vec<[String; 4]>,
    /// Whether any row is marked as in doubt.
    pub(crate) any_doubtful: bool,
}

impl RingTable {
    /// The table, lengths in the units wanted; in pixels without a scale.
    pub(crate) fn of(reading: &Reading, units: Units) -> Self {
        let scaled = reading.rings.iter().all(|ring| ring.width_mm.is_some());
        let columns = match (scaled, units) {
            (true, Units::Inch) => ["Ring", "Year", "Width, in", "Radius, in"],
            (true, Units::Metric) => ["Ring", "Year", "Width, mm", "Radius, mm"],
            (false, _) => ["Ring", "Year", "Width, px", "Radius, px"],
        };
        let rows = reading.rings.iter().rev().map(|ring| row(ring, units));
        Self {
            columns,
            rows: rows.collect(),
            any_doubtful: reading.rings.iter().any(Ring::is_doubtful),
        }
    }
}

fn row(ring: &Ring, units: Units) -> [String; 4] {
    let mark = if ring.is_doubtful() { " ?" } else { "" };
    let width = |mm: Mm| match units {
        Units::Inch => format!("{:.3}", mm.inches()),
        Units::Metric => format!("{:.2}", mm.0),
    };
    let radius = |mm: Mm| match units {
        Units::Inch => fraction_of_inch(mm),
        Units::Metric => format!("{:.1}", mm.0),
    };
    [
        format!("{}{mark}", ring.number),
        ring.year
            .map_or_else(|| "\u{2013}".to_owned(), |year| year.to_string()),
        ring.width_mm
            .map_or_else(|| format!("{:.1}", ring.width_px.0), width),
        ring.radius_mm
            .map_or_else(|| format!("{:.1}", ring.radius_px.0), radius),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_readings::reading_of;

    #[test]
    fn every_ring_has_its_line_outermost_first() {
        let mut reading = reading_of(&[2.54; 12], Some(2025), true);
        reading.rings[4].notes.push(wood::RingNote::Doubtful);
        let table = RingTable::of(&reading, Units::Inch);
        assert_eq!(table.rows.len(), 12);
        assert_eq!(table.rows[0], ["12", "2025", "0.100", "1 3/16"]);
        assert_eq!(table.rows[7][0], "5 ?");
        assert!(table.any_doubtful);
        let metric = RingTable::of(&reading, Units::Metric);
        assert_eq!(metric.rows[11], ["1", "2014", "2.54", "2.5"]);
        let unscaled = RingTable::of(&reading_of(&[2.0; 3], None, false), Units::Inch);
        assert_eq!(unscaled.columns[2], "Width, px");
        assert_eq!(unscaled.rows[0], ["3", "\u{2013}", "8.0", "24.0"]);
    }
}
