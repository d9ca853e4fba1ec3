//! The owner's sheet from a stump and its photo.

#[cfg(test)]
mod tests;

use crate::ReportError;
use crate::content::Content;
use crate::html;
use crate::letters::not_in_font;
use crate::paper::{Paper, PaperColor};
use crate::pdf::{self, Print};
use crate::sheet_input::{SheetInput, SheetPictures};
use std::cell::Cell;

/// A sheet, ready to be printed or shown.
#[derive(Debug)]
pub struct Sheet<'a> {
    input: SheetInput<'a>,
    content: Content,
    pictures: SheetPictures,
}

impl<'a> Sheet<'a> {
    /// Gathers words and draws pictures, once for both forms. Linear in the
    /// photo's pixels.
    ///
    /// # Errors
    /// When a picture cannot be drawn or encoded.
    pub fn new(input: SheetInput<'a>) -> Result<Self, ReportError> {
        let content = Content::of(input.stump, input.title, input.units);
        let pictures = SheetPictures::of(&input, &content)?;
        Ok(Self {
            input,
            content,
            pictures,
        })
    }

    /// The sheet as a PDF: five pages or more, or one for a face that could not
    /// be read. Fonts are embedded, text can be searched, title and language set.
    ///
    /// # Errors
    /// When a chart or the PDF cannot be made.
    pub fn pdf(&self, paper: Paper, color: PaperColor) -> Result<Vec<u8>, ReportError> {
        pdf::write(&Print {
            input: &self.input,
            content: &self.content,
            pictures: &self.pictures,
            size: paper.size(),
            color,
            confidence_shown: Cell::new(0),
        })
    }

    /// The letters that the PDF's font cannot set, each once, of the title and of each
    /// fact by its name; the PDF has question marks in their place. The HTML page shows
    /// them, as far as the reader's own fonts have them.
    #[must_use]
    pub fn letters_not_in_font(&self) -> Vec<(&'static str, Vec<char>)> {
        let title = ("Title", self.content.title.as_str());
        let facts = &self.content.facts;
        not_in_font(
            [title]
                .into_iter()
                .chain(facts.iter().map(|(name, value)| (*name, value.as_str()))),
        )
    }

    /// The sheet as one HTML page that holds its pictures, charts and font and
    /// asks nothing of any other place.
    ///
    /// # Errors
    /// When a chart cannot be drawn.
    pub fn html(&self) -> Result<String, ReportError> {
        html::write(&self.input, &self.content, &self.pictures)
    }
}
