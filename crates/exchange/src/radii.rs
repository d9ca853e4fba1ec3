//! Ring widths along single radii as a table.

use crate::table::{Lines, number};
use crate::{Entry, Notice};
use growth::radii::{Radius, along, long_and_short_way};
use wood::Angle;

/// The columns, in this order. Angles run clockwise from +x.
const COLUMNS: [&str; 9] = [
    "stump",
    "radius",
    "angle_deg",
    "ring",
    "year",
    "width_mm",
    "from_pith_mm",
    "width_px",
    "from_pith_px",
];

/// The text and how many stumps it holds: the long way and the short way of each
/// stump, or the `angles` asked for.
pub(crate) fn write(
    entries: &[Entry],
    angles: &[Angle],
    notices: &mut Vec<Notice>,
) -> (String, usize) {
    let mut lines = Lines::default();
    lines.line(COLUMNS.map(str::to_owned));
    let mut count = 0;
    for entry in entries {
        let reading = &entry.stump.reading;
        let radii: Vec<(&str, Radius)> = if angles.is_empty() {
            long_and_short_way(reading)
                .map(|(long, short)| vec![("long way", long), ("short way", short)])
                .unwrap_or_default()
        } else {
            let asked = angles.iter();
            asked
                .filter_map(|angle| Some(("asked for", along(reading, *angle)?)))
                .collect()
        };
        if radii.is_empty() {
            notices.push(Notice::of(
                &entry.name,
                "left out: it has no outlines of rings, so no single radius can be measured",
            ));
            continue;
        }
        count += 1;
        for (name, radius) in &radii {
            rings(&entry.name, name, radius, &mut lines);
        }
    }
    (lines.finish(), count)
}

fn rings(stump: &str, name: &str, radius: &Radius, lines: &mut Lines) {
    let decimal = |value: Option<f64>| value.map_or_else(String::new, number);
    let degrees = radius.angle.0.to_degrees();
    for ring in &radius.rings {
        lines.line([
            stump.to_owned(),
            name.to_owned(),
            number((degrees * 100.0).round() / 100.0),
            ring.number.to_string(),
            ring.year.map_or_else(String::new, |year| year.to_string()),
            decimal(ring.width_mm.map(|width| width.0)),
            decimal(ring.from_pith_mm.map(|out| out.0)),
            decimal(ring.width_px.map(|width| width.0)),
            number(ring.from_pith_px.0),
        ]);
    }
}
