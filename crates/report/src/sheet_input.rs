//! What a sheet is made from: the stump, its photo, and pictures of the wood.

use crate::ReportError;
use crate::content::Content;
use crate::picture::{self, Frame};
use image::{RgbImage, imageops};
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

impl SheetPictures {
    /// The longer side of a bare photo. Chosen: 300 dots an inch over half a page.
    const BARE_PX: u32 = 1200;

    pub(crate) fn of(input: &SheetInput<'_>, content: &Content) -> Result<Self, ReportError> {
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
