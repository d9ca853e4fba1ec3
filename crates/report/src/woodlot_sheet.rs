//! A sheet to print for a woodlot.

use crate::ReportError;
use crate::letters::not_in_font;
use crate::paper::Paper;
use crate::pdf;

/// What a woodlot's sheet says, in words, charts and tables that were made
/// from its book.
#[derive(Debug, Clone)]
pub struct WoodlotSheet<'a> {
    /// The woodlot's name.
    pub title: &'a str,
    /// How many stumps, and from when to when.
    pub subtitle: String,
    /// The chart of good and bad years.
    pub years_svg: Option<String>,
    /// Sentences on them.
    pub years: Vec<String>,
    /// The chart of how the stumps agree.
    pub agreement_svg: Option<String>,
    /// A verdict on each stump that does not agree, and a sentence on the rest.
    pub check: Vec<String>,
    /// Tables, each on the pages it needs.
    pub tables: Vec<Table>,
}

/// A table of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Its heading.
    pub title: &'static str,
    /// Its columns.
    pub columns: Vec<Column>,
    /// As many cells in each row as there are columns.
    pub rows: Vec<Vec<String>>,
    /// Said below it; may be empty.
    pub note: String,
}

/// A column of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Its name.
    pub name: &'static str,
    /// Its width against those of the other columns.
    pub share: f64,
}

impl WoodlotSheet<'_> {
    /// The sheet as a PDF on white paper: one page of charts, then the tables.
    ///
    /// # Errors
    /// When a chart or the PDF cannot be made.
    pub fn pdf(&self, paper: Paper) -> Result<Vec<u8>, ReportError> {
        pdf::woodlot::write(self, paper.size())
    }

    /// The letters that the font cannot set, each once, by the part of the sheet they are
    /// in; the PDF has question marks in their place.
    #[must_use]
    pub fn letters_not_in_font(&self) -> Vec<(&'static str, Vec<char>)> {
        let head = [("Title", self.title), ("Title", self.subtitle.as_str())];
        let tables = self.tables.iter().flat_map(|table| {
            let cells = table.rows.iter().flatten().chain([&table.note]);
            cells.map(|text| (table.title, text.as_str()))
        });
        not_in_font(
            head.into_iter()
                .chain(named("Years", &self.years))
                .chain(named("Check", &self.check))
                .chain(tables),
        )
    }
}

/// Sentences under one name.
fn named<'a>(
    name: &'static str,
    sentences: &'a [String],
) -> impl Iterator<Item = (&'static str, &'a str)> {
    sentences.iter().map(move |text| (name, text.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(rows: usize) -> WoodlotSheet<'static> {
        let year = |year| chart::YearBar {
            year: wood::Year(year),
            against_trend: 1.2,
            stumps: 3,
        };
        let bars: Vec<_> = (1950..2000).map(year).collect();
        WoodlotSheet {
            title: "Cold Hollow",
            subtitle: "3 stumps".to_owned(),
            years_svg: chart::years_svg(&bars, &[]).ok(),
            years: vec!["Good years: 1972.".to_owned()],
            agreement_svg: None,
            check: vec!["oak agrees with the others. ".repeat(30); 40],
            tables: vec![Table {
                title: "The trees",
                columns: vec![
                    Column {
                        name: "Stump",
                        share: 2.0,
                    },
                    Column {
                        name: "Rings",
                        share: 1.0,
                    },
                ],
                rows: vec![vec!["oak ".repeat(60), "72".to_owned()]; rows],
                note: "Estimates.".to_owned(),
            }],
        }
    }

    #[test]
    fn a_long_table_takes_the_pages_it_needs() {
        for (rows, pages) in [(0, 1), (10, 2), (120, 4)] {
            let pdf = sheet(rows).pdf(Paper::Letter).unwrap();
            assert!(pdf.starts_with(b"%PDF-1."));
            let count = format!("/Count {pages}");
            let found = pdf.windows(count.len()).any(|w| w == count.as_bytes());
            assert!(found, "{rows} rows: not {pages} pages");
        }
    }
}
