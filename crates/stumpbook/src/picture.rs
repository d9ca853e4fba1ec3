//! Pictures to check a reading by: the rings over the photo, the stump unrolled,
//! the radial intensity profile, growth year by year and by decade.

use crate::error::CommandError;
use crate::writing;
use image::RgbImage;
use report::ReportError;
use report::picture::{Frame, intensity_profile, png, ring_map, unrolled};
use std::path::{Path, PathBuf};
use wood::{Facts, Reading, Units};

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

/// Draws and writes all pictures of a reading and the profile's numbers; gives their
/// paths.
///
/// # Errors
/// When a picture cannot be drawn or written.
pub(crate) fn write(
    pictures: &Pictures<'_>,
    photo: &RgbImage,
    reading: &Reading,
    facts: &Facts,
) -> Result<Vec<PathBuf>, CommandError> {
    let mut written = Vec::new();
    let mut keep = |ending: &str, bytes: &[u8]| {
        let path = pictures.path(ending);
        writing::replace(&path, bytes)?;
        written.push(path);
        Ok::<(), CommandError>(())
    };
    let map = ring_map(photo, reading, Frame::Captioned).and_then(|map| png(&map));
    keep("ringmap.png", &map.map_err(|error| broken(&error))?)?;
    let laid = unrolled(photo, reading, Frame::Captioned).map_err(|error| broken(&error))?;
    if let Some(picture) = laid {
        let bytes = png(&picture).map_err(|error| broken(&error))?;
        keep("unrolled.png", &bytes)?;
    }
    if let Some(profile) = intensity_profile(photo, reading, photo::lightness) {
        let scale = reading.scale.as_ref().map(|scale| scale.mm_per_px);
        let svg = chart::intensity_svg(&profile, scale, pictures.units)
            .map_err(|error| chart_failed(&error))?;
        keep("profile.png", &chart_png(&svg)?)?;
        keep("profile.svg", svg.as_bytes())?;
        keep(
            "profile.csv",
            exchange::intensity_csv(&profile, scale).as_bytes(),
        )?;
    }
    // A heart that was not read is no year: its bar would flatten all others.
    let years = growth::years_of_growth(reading, facts);
    if !years.is_empty() {
        let svg =
            chart::increments_svg(years, pictures.units).map_err(|error| chart_failed(&error))?;
        keep("growth.png", &chart_png(&svg)?)?;
        keep("growth.svg", svg.as_bytes())?;
    }
    if !reading.decades.is_empty() {
        let svg = chart::decades_svg(&reading.decades, pictures.units)
            .map_err(|error| chart_failed(&error))?;
        keep("decades.png", &chart_png(&svg)?)?;
        keep("decades.svg", svg.as_bytes())?;
    }
    Ok(written)
}

fn chart_png(svg: &str) -> Result<Vec<u8>, CommandError> {
    chart::png(svg, CHART_SCALE).map_err(|error| chart_failed(&error))
}

fn chart_failed(error: &chart::ChartError) -> CommandError {
    CommandError::failed(format!("cannot draw a chart: {error}"), error.advice())
}

fn broken(error: &ReportError) -> CommandError {
    CommandError::failed(format!("cannot draw a picture: {error}"), error.advice())
}
