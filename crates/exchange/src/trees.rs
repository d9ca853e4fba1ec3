//! A list of trees for a spreadsheet: one line a tree, no rings.

use crate::Entry;
use crate::table::{Lines, number, scope_name};
use growth::series::mm_to_rings_per_inch;
use wood::{Mm, Scope, Stump, find_species};

/// The columns, in this order. Lengths are inside the bark.
const COLUMNS: [&str; 21] = [
    "stump",
    "tag",
    "species",
    "latin",
    "place",
    "owner",
    "counted_by",
    "felled",
    "scope",
    "rings",
    "rings_low",
    "rings_high",
    "counted",
    "age",
    "age_low",
    "age_high",
    "diameter_mm",
    "diameter_in",
    "mean_width_mm",
    "rings_per_inch",
    "note",
];

/// The text of the list; a stump that could not be read has a line without
/// numbers.
pub(crate) fn write(entries: &[Entry]) -> String {
    let mut lines = Lines::default();
    lines.line(COLUMNS.map(str::to_owned));
    for entry in entries {
        lines.line(line(entry));
    }
    lines.finish()
}

fn line(entry: &Entry) -> [String; COLUMNS.len()] {
    let Stump { facts, reading, .. } = &entry.stump;
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    let whole = |value: Option<u32>| value.map_or_else(String::new, |value| value.to_string());
    let decimal = |value: Option<f64>| value.map_or_else(String::new, number);
    let latin = facts.species.as_deref().and_then(|s| find_species(s).ok());
    let count = reading.count.as_ref().filter(|_| reading.readable);
    let age = reading.age.as_ref();
    let diameter = diameter(&entry.stump);
    let width = reading.figures.as_ref().and_then(|f| f.mean_width_mm);
    let tenths = |value: f64| (10.0 * value).round() / 10.0;
    [
        entry.name.clone(),
        text(&facts.tag),
        text(&facts.species),
        latin.map_or_else(String::new, |species| species.latin.to_owned()),
        text(&facts.place),
        text(&facts.owner),
        text(&facts.counted_by),
        facts.felled.map_or_else(String::new, |day| day.to_string()),
        reading
            .scope
            .map_or_else(String::new, |scope| scope_name(scope).to_owned()),
        whole(count.map(|count| count.best)),
        whole(count.map(|count| count.low)),
        whole(count.map(|count| count.high)),
        reading.counted_along().unwrap_or_default().to_owned(),
        whole(age.map(|age| age.best)),
        whole(age.map(|age| age.low)),
        whole(age.map(|age| age.high)),
        decimal(diameter.map(|mm| tenths(mm.0))),
        decimal(diameter.map(|mm| tenths(mm.inches()))),
        decimal(width.map(|mm| mm.0)),
        decimal(width.and_then(mm_to_rings_per_inch).map(tenths)),
        text(&facts.note),
    ]
}

/// The width inside the bark: as measured by hand, else twice the mean radius
/// of the outermost ring where the bark is in view.
fn diameter(stump: &Stump) -> Option<Mm> {
    let reading = &stump.reading;
    let measured = stump.facts.across_inside_bark_mm;
    let from_rings = || {
        let seen = matches!(reading.scope, Some(Scope::WholeFace))
            || (reading.scope == Some(Scope::OutsideHeart) && reading.pith.is_some());
        let radius = reading.rings.last()?.radius_mm?;
        seen.then(|| radius * 2.0)
    };
    measured.or_else(from_rings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Series, Source, Widths, stump_of};
    use wood::Facts;

    fn entry(name: &str, facts: Facts, widths: Vec<Option<Mm>>) -> Entry {
        let series = Series {
            name: name.to_owned(),
            facts,
            scope: Some(Scope::WholeFace),
            first_year: None,
            widths: Widths::Mm(widths),
            confidence: Vec::new(),
            from_photo: false,
        };
        Entry {
            name: name.to_owned(),
            stump: stump_of(&series, &Source::of("oak.csv", b"...")),
        }
    }

    #[test]
    fn each_tree_is_one_line_under_named_columns() {
        let facts = Facts {
            species: Some("white oak".to_owned()),
            felled: "2025-11".parse().ok(),
            tag: Some("17".to_owned()),
            place: Some("by the brook, north side".to_owned()),
            counted_by: Some("A. Reader".to_owned()),
            ..Facts::default()
        };
        let text = write(&[
            entry("oak", facts, vec![Some(Mm(2.54)); 50]),
            entry("elm", Facts::default(), vec![None; 3]),
        ]);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let names = reader.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), 2);
        let cell = |row: usize, name: &str| {
            let at = names.iter().position(|known| known == name).unwrap();
            rows[row].get(at).unwrap().to_owned()
        };
        assert_eq!(cell(0, "tag"), "17");
        assert_eq!(cell(0, "latin"), "Quercus alba");
        assert_eq!(cell(0, "place"), "by the brook, north side");
        assert_eq!(cell(0, "rings"), "50");
        assert_eq!(cell(0, "diameter_mm"), "254");
        assert_eq!(cell(0, "diameter_in"), "10");
        assert_eq!(cell(0, "rings_per_inch"), "10");
        let age: u32 = cell(0, "age").parse().unwrap();
        assert!(age > 50);
        assert_eq!(cell(1, "diameter_mm"), "");
        assert_eq!(cell(1, "rings"), "3");
    }

    #[test]
    fn a_count_along_a_strip_says_so() {
        let mut tree = entry("oak", Facts::default(), vec![Some(Mm(2.0)); 9]);
        let column = COLUMNS.iter().position(|name| *name == "counted").unwrap();
        assert_eq!(line(&tree)[column], "");
        tree.stump.reading.strip = Some(wood::Strip {
            from: wood::Point::new(0.0, 0.0),
            to: wood::Point::new(90.0, 0.0),
            width_px: None,
            by_hand: true,
            rings: Vec::new(),
        });
        assert_eq!(line(&tree)[column], "counted by hand along one strip");
    }

    #[test]
    fn a_width_measured_by_hand_is_the_diameter() {
        let facts = Facts {
            across_inside_bark_mm: Some(Mm(300.0)),
            ..Facts::default()
        };
        let tree = entry("oak", facts, vec![Some(Mm(2.0)); 50]);
        assert_eq!(diameter(&tree.stump), Some(Mm(300.0)));
    }
}
