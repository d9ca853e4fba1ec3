//! Pictures to check a reading by: the rings over the photo, the stump
//! unrolled, growth year by year and by decade.

mod dots;
mod ink;
mod lettering;
mod ring_map;
mod straight;
mod unrolled;

use crate::trouble::Trouble;
use crate::writing;
use image::{ImageFormat, RgbImage};
use std::io::Cursor;
use std::path::{Path, PathBuf};
use wood::{Reading, RingNote, Units};

/// PNG charts are drawn at twice the size of their SVG, for paper.
const CHART_SCALE: f32 = 2.0;

/// Where pictures go and how they are named.
#[derive(Debug)]
pub(crate) struct Pictures<'a> {
    pub(crate) folder: &'a Path,
    pub(crate) stem: &'a str,
    pub(crate) units: Units,
}

impl Pictures<'_> {
    fn path(&self, ending: &str) -> PathBuf {
        self.folder.join(format!("{}-{ending}", self.stem))
    }
}

/// Draws and writes all pictures of a reading; gives their paths.
///
/// # Errors
/// When a picture cannot be drawn or written.
pub(crate) fn write(
    pictures: &Pictures<'_>,
    photo: &RgbImage,
    reading: &Reading,
) -> Result<Vec<PathBuf>, Trouble> {
    let mut written = Vec::new();
    let mut keep = |ending: &str, bytes: &[u8]| {
        let path = pictures.path(ending);
        writing::replace(&path, bytes)?;
        written.push(path);
        Ok::<(), Trouble>(())
    };
    let letters = lettering::Letters::ours().ok_or_else(|| broken("the built-in font"))?;
    keep(
        "ringmap.png",
        &png(&ring_map::draw(photo, reading, &letters))?,
    )?;
    if let Some(picture) = unrolled::draw(photo, reading, &letters) {
        keep("unrolled.png", &png(&picture)?)?;
    }
    if !reading.rings.is_empty() {
        let svg = growth::chart::increments_svg(&reading.rings, pictures.units)
            .map_err(|error| chart_trouble(&error))?;
        keep("growth.png", &chart_png(&svg)?)?;
        keep("growth.svg", svg.as_bytes())?;
    }
    if !reading.decades.is_empty() {
        let svg = growth::chart::decades_svg(&reading.decades, pictures.units)
            .map_err(|error| chart_trouble(&error))?;
        keep("decades.png", &chart_png(&svg)?)?;
        keep("decades.svg", svg.as_bytes())?;
    }
    Ok(written)
}

/// Whether a ring is one to look at again.
fn is_doubtful(notes: &[RingNote]) -> bool {
    notes
        .iter()
        .any(|note| matches!(note, RingNote::Doubtful | RingNote::MaybeTwo))
}

fn png(picture: &RgbImage) -> Result<Vec<u8>, Trouble> {
    let mut bytes = Cursor::new(Vec::new());
    picture
        .write_to(&mut bytes, ImageFormat::Png)
        .map_err(|_| broken("a picture"))?;
    Ok(bytes.into_inner())
}

fn chart_png(svg: &str) -> Result<Vec<u8>, Trouble> {
    growth::chart::png(svg, CHART_SCALE).map_err(|error| chart_trouble(&error))
}

fn chart_trouble(error: &growth::GrowthError) -> Trouble {
    Trouble::failed(format!("cannot draw a chart: {error}"), error.advice())
}

/// A mistake of ours, which no input can cause; still told and not a panic.
fn broken(what: &str) -> Trouble {
    Trouble::failed(
        format!("cannot draw {what}"),
        "count without --out, and report this: it is a mistake in the program",
    )
}
