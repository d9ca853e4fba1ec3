//! A table as stumps.

use crate::{ExchangeError, Format, Notice, Place, Series, Widths, bytes};
use csv::StringRecord;
use std::collections::BTreeMap;
use wood::{Facts, Felled, Mm, Px, Scope, Year, find_species};

/// Most columns that are looked at; no table of rings has as many.
const MOST_COLUMNS: usize = 1000;

/// Series in the order in which their stumps first appear. Columns may stand
/// in any order; unknown ones are left out, with a notice. Lines of one stump
/// need not follow one another, but its rings must run from the pith outward.
pub(crate) fn read(raw: &[u8], notices: &mut Vec<Notice>) -> Result<Vec<Series>, ExchangeError> {
    let text = bytes::text(raw, Format::Csv)?;
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut records = reader.records();
    let header = match records.next() {
        None => {
            return Err(ExchangeError::Nothing {
                format: Format::Csv,
            });
        }
        Some(header) => header.map_err(|error| broken(&error))?,
    };
    let columns = Columns::of(&header, notices)?;
    let mut stumps: Vec<Stump> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for record in records {
        let record = record.map_err(|error| broken(&error))?;
        if record.iter().all(|field| field.trim().is_empty()) {
            continue;
        }
        let row = Row {
            record: &record,
            columns: &columns,
        };
        let name = row.text("stump").unwrap_or("stump").to_owned();
        let at = *places.entry(name.clone()).or_insert_with(|| {
            stumps.push(Stump::named(&name));
            stumps.len() - 1
        });
        stumps[at].take(&row, notices)?;
    }
    Ok(stumps.into_iter().map(Stump::series).collect())
}

/// Where each column stands, by the name that is used here.
struct Columns(BTreeMap<&'static str, (usize, f64)>);

/// Names of columns that are understood, what each is to us, and what its
/// numbers are multiplied with.
const KNOWN: [(&str, &str, f64); 17] = [
    ("stump", "stump", 1.0),
    ("series", "stump", 1.0),
    ("tree", "stump", 1.0),
    ("species", "species", 1.0),
    ("felled", "felled", 1.0),
    ("scope", "scope", 1.0),
    ("cut_height_mm", "cut_height_mm", 1.0),
    ("across_inside_bark_mm", "across_inside_bark_mm", 1.0),
    ("ring", "ring", 1.0),
    ("year", "year", 1.0),
    ("width_mm", "width_mm", 1.0),
    ("width_um", "width_mm", 0.001),
    ("width_in", "width_mm", Mm::PER_INCH),
    ("width_px", "width_px", 1.0),
    // Follows from the widths.
    ("radius_mm", "radius_mm", 1.0),
    ("confidence", "confidence", 1.0),
    ("value", "value", 1.0),
];

impl Columns {
    fn of(header: &StringRecord, notices: &mut Vec<Notice>) -> Result<Self, ExchangeError> {
        let mut found = BTreeMap::new();
        let mut unknown = Vec::new();
        for (index, field) in header.iter().take(MOST_COLUMNS).enumerate() {
            let name = field.trim().to_ascii_lowercase();
            match KNOWN.iter().find(|(known, ..)| *known == name) {
                Some((_, ours, factor)) if *ours != "value" => {
                    if found.insert(*ours, (index, *factor)).is_some() {
                        return Err(at(header, index, format!("a second column for {ours}")));
                    }
                }
                _ => unknown.push(field.trim().to_owned()),
            }
        }
        if !found.contains_key("width_mm") && !found.contains_key("width_px") {
            return Err(at(
                header,
                0,
                "no column is named width_mm (or width_um, width_in, width_px): the unit of the widths is not known".to_owned(),
            ));
        }
        if !unknown.is_empty() {
            notices.push(Notice::all(format!(
                "columns that are not known here are left out: {}",
                unknown.join(", ")
            )));
        }
        Ok(Self(found))
    }
}

struct Row<'a> {
    record: &'a StringRecord,
    columns: &'a Columns,
}

impl Row<'_> {
    fn text(&self, column: &str) -> Option<&str> {
        let (index, _) = *self.columns.0.get(column)?;
        self.record
            .get(index)
            .filter(|field| !field.trim().is_empty())
    }

    fn wrong(&self, column: &str, problem: String) -> ExchangeError {
        let index = self.columns.0.get(column).map_or(0, |(index, _)| *index);
        at(self.record, index, problem)
    }

    fn number(&self, column: &str) -> Result<Option<f64>, ExchangeError> {
        let Some(text) = self.text(column) else {
            return Ok(None);
        };
        let factor = self
            .columns
            .0
            .get(column)
            .map_or(1.0, |(_, factor)| *factor);
        match text.trim().parse::<f64>() {
            Ok(value) if value.is_finite() && value >= 0.0 => Ok(Some(value * factor)),
            _ => Err(self.wrong(
                column,
                format!("{column}: \"{text}\" is no number from 0 up"),
            )),
        }
    }

    fn whole(&self, column: &str) -> Result<Option<i32>, ExchangeError> {
        self.text(column)
            .map(|text| {
                text.trim().parse().map_err(|_| {
                    self.wrong(column, format!("{column}: \"{text}\" is no whole number"))
                })
            })
            .transpose()
    }
}

/// One stump as it is put together.
struct Stump {
    series: Series,
    mm: Vec<Option<Mm>>,
    px: Vec<Option<Px>>,
}

impl Stump {
    fn named(name: &str) -> Self {
        Self {
            series: Series {
                name: name.to_owned(),
                facts: Facts::default(),
                scope: None,
                first_year: None,
                widths: Widths::Mm(Vec::new()),
                confidence: Vec::new(),
                from_photo: false,
            },
            mm: Vec::new(),
            px: Vec::new(),
        }
    }

    fn take(&mut self, row: &Row<'_>, notices: &mut Vec<Notice>) -> Result<(), ExchangeError> {
        let index = self.mm.len();
        if index == 0 {
            self.facts(row, notices)?;
            self.series.first_year = row.whole("year")?.map(Year);
        }
        if let Some(ring) = row.whole("ring")?
            && usize::try_from(ring).ok() != Some(index + 1)
        {
            let problem = format!("ring {ring} where ring {} should follow", index + 1);
            return Err(row.wrong("ring", problem));
        }
        let expected = self
            .series
            .first_year
            .and_then(|first| first.0.checked_add(i32::try_from(index).ok()?));
        let year = row.whole("year")?;
        if year != expected {
            let text = |year: Option<i32>| year.map_or("none".to_owned(), |y| y.to_string());
            let problem = format!("year {} where {} should follow", text(year), text(expected));
            return Err(row.wrong("year", problem));
        }
        self.mm.push(row.number("width_mm")?.map(Mm));
        self.px.push(row.number("width_px")?.map(Px));
        if let Some(confidence) = row.number("confidence")? {
            if confidence > 1.0 {
                return Err(row.wrong("confidence", "confidence runs from 0 to 1".to_owned()));
            }
            self.series.confidence.push(confidence);
        }
        Ok(())
    }

    fn facts(&mut self, row: &Row<'_>, notices: &mut Vec<Notice>) -> Result<(), ExchangeError> {
        let facts = &mut self.series.facts;
        if let Some(text) = row.text("species") {
            match find_species(text) {
                Ok(species) => facts.species = Some(species.name.to_owned()),
                Err(unknown) => {
                    facts.note = Some(format!("species: {text}"));
                    notices.push(Notice::of(
                        &self.series.name,
                        format!("{unknown}; the name is kept as a note"),
                    ));
                }
            }
        }
        if let Some(text) = row.text("felled") {
            let felled: Result<Felled, _> = text.parse();
            facts.felled = Some(felled.map_err(|why| row.wrong("felled", why.to_string()))?);
        }
        facts.cut_height_mm = row.number("cut_height_mm")?.map(Mm);
        facts.across_inside_bark_mm = row.number("across_inside_bark_mm")?.map(Mm);
        self.series.scope = match row.text("scope").map(str::trim) {
            None => None,
            Some("whole-face") => Some(Scope::WholeFace),
            Some("rings-in-view") => Some(Scope::RingsInView),
            Some("outside-heart") => Some(Scope::OutsideHeart),
            Some(other) => {
                let problem =
                    format!("scope: \"{other}\" is not whole-face, rings-in-view or outside-heart");
                return Err(row.wrong("scope", problem));
            }
        };
        Ok(())
    }

    fn series(self) -> Series {
        let mut series = self.series;
        if series.confidence.len() != self.mm.len() {
            series.confidence.clear();
        }
        series.widths =
            if self.mm.iter().all(Option::is_none) && self.px.iter().any(Option::is_some) {
                Widths::Px(self.px)
            } else {
                Widths::Mm(self.mm)
            };
        series
    }
}

/// A field of a record that is wrong; the place is that of the field's number,
/// for a table's columns are counted in fields.
fn at(record: &StringRecord, field: usize, problem: String) -> ExchangeError {
    let line = record.position().map_or(1, |position| position.line());
    ExchangeError::Malformed {
        format: Format::Csv,
        place: Place {
            line: usize::try_from(line).unwrap_or(usize::MAX),
            column: field + 1,
        },
        problem,
    }
}

fn broken(error: &csv::Error) -> ExchangeError {
    let line = error.position().map_or(1, |position| position.line());
    ExchangeError::Malformed {
        format: Format::Csv,
        place: Place {
            line: usize::try_from(line).unwrap_or(usize::MAX),
            column: 1,
        },
        problem: error.to_string(),
    }
}
