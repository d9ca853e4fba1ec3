//! The owner's sheet from a stump and its photo.

#[cfg(test)]
mod tests;

use crate::ReportError;
use crate::content::Content;
use crate::html;
use crate::paper::{Paper, PaperColor};
use crate::pdf::{self, Print};
use crate::picture::{self, Frame};
use image::{RgbImage, imageops};
use std::cell::Cell;
use wood::{Stump, Units};

/// What a sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct SheetInput<'a> {
    /// The stump's entry.
    pub stump: &'a Stump,
    /// The upright photo that it was read from; without it the sheet has no
    /// pictures of the wood and says so.
    pub photo: Option<&'a RgbImage>,
    /// The tree's name; without one, its species or the photo's name.
    pub title: Option<&'a str>,
    /// The units of lengths; the page for the stump always has both.
    pub units: Units,
}

/// Pictures of the wood as JPEG, at print size.
#[derive(Debug)]
pub(crate) struct SheetPictures {
    /// The photo with its rings, or the bare photo of an unreadable face.
    pub(crate) ring_map: Option<Vec<u8>>,
    /// The stump unrolled.
    pub(crate) unrolled: Option<Vec<u8>>,
    /// The wood along the radius of the count sheet, its outer end at the left.
    pub(crate) strip: Option<Vec<u8>>,
}

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

    /// The letters of the title and the facts that the PDF's font cannot set, each
    /// once; the PDF has question marks in their place. The HTML page shows them, as
    /// far as the reader's own fonts have them.
    ///
    /// # Errors
    /// When the built-in font is damaged.
    pub fn letters_not_in_font(&self) -> Result<Vec<char>, ReportError> {
        let facts = self.content.facts.iter().map(|(_, value)| value.as_str());
        let texts = facts.chain([self.content.title.as_str()]);
        Ok(pdf::Fonts::ours()?.missing(texts))
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

impl SheetPictures {
    /// The longer side of a bare photo. Chosen: 300 dots an inch over half a page.
    const BARE_PX: u32 = 1200;

    fn of(input: &SheetInput<'_>, content: &Content) -> Result<Self, ReportError> {
        let reading = &input.stump.reading;
        let Some(photo) = input.photo else {
            return Ok(Self {
                ring_map: None,
                unrolled: None,
                strip: None,
            });
        };
        let map = if reading.readable {
            picture::ring_map(photo, reading, Frame::Bare)?
        } else {
            smaller(photo, Self::BARE_PX)
        };
        let unrolled = picture::unrolled(photo, reading, Frame::Bare)?;
        let strip = content
            .count
            .as_ref()
            .map(|sheet| picture::strip(photo, sheet.radius.end, sheet.radius.pith));
        let encoded = |picture: Option<RgbImage>| picture.as_ref().map(picture::jpeg).transpose();
        Ok(Self {
            ring_map: encoded(Some(map))?,
            unrolled: encoded(unrolled)?,
            strip: encoded(strip)?,
        })
    }
}

fn smaller(photo: &RgbImage, longer_px: u32) -> RgbImage {
    let longer = photo.width().max(photo.height()).max(1);
    if longer <= longer_px {
        return photo.clone();
    }
    let side = |length: u32| (length * longer_px / longer).max(1);
    imageops::thumbnail(photo, side(photo.width()), side(photo.height()))
}
